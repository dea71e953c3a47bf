//! Does what was asked for, once the frame is drawn.

use std::path::{Path, PathBuf};

use egui::{Context, ViewportCommand};

use super::App;
use super::dialogs::{Answer, Dialog, Purpose};
use super::finder::Finder;
use super::modals::{Leaving, Modal};
use crate::commands::{Action, Command};
use crate::state::{Notice, Origin, Session, write_whole};
use crate::theme::{self, Paper};
use crate::views::CENTRE;

/// How a picture is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PictureKind {
    /// Pixels.
    Png,
    /// Lines and text.
    Svg,
    /// A page to print.
    Pdf,
}

impl PictureKind {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Png, Self::Svg, Self::Pdf];

    /// Its name.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Png => "PNG",
            Self::Svg => "SVG",
            Self::Pdf => "PDF",
        }
    }

    /// What it is good for.
    pub const fn about(self) -> &'static str {
        match self {
            Self::Png => "Pixels, for messages and pages",
            Self::Svg => "Lines and text, for editing and for any size",
            Self::Pdf => "A page, for printing",
        }
    }

    /// The file name's end.
    pub const fn extension(self) -> &'static str {
        match self {
            Self::Png => "png",
            Self::Svg => "svg",
            Self::Pdf => "pdf",
        }
    }

    /// The kind a file's name asks for.
    fn of(path: &Path) -> Option<Self> {
        let end = path.extension()?.to_str()?.to_ascii_lowercase();
        Self::ALL.into_iter().find(|kind| kind.extension() == end)
    }
}

impl App {
    /// Does everything in the queue.
    pub(super) fn perform(&mut self, ctx: &Context) {
        for action in std::mem::take(&mut self.queue) {
            self.act(ctx, action);
        }
    }

    fn act(&mut self, ctx: &Context, action: Action) {
        match action {
            Action::Do(command) => {
                if command.hindrance(&self.state).is_none() {
                    self.command(ctx, command);
                }
            }
            Action::GoTo(travel) => self.state.go_to(travel),
            Action::GoBy(by) => self.state.go_to(self.state.travel + by),
            Action::Select(path) => self.state.selected = path,
            Action::Hover(body) => self.state.hovered = body,
            Action::Try(name) => {
                self.state.session.choose_trial(name.as_deref());
                self.after_change(ctx);
            }
            Action::Edit(edit) => {
                if let Err(problem) = self.state.session.edit(&edit) {
                    self.state.notice = Some(Notice::trouble(problem.to_string()));
                }
                self.after_change(ctx);
            }
            Action::EndEdit => self.state.session.seal(),
            Action::DropEdit => {
                let dropped = self.state.session.drop_edit();
                self.tell_of(dropped.map(|()| None));
                self.after_change(ctx);
            }
            Action::OpenFinding(number) => self.open_finding(number),
            Action::Open(file) => self.guarded_leave(ctx, Leaving::Open(file)),
            Action::OpenDemo(demo) => self.guarded_leave(ctx, Leaving::Demo(demo)),
            Action::Begin(document) => self.guarded_leave(ctx, Leaving::New(document)),
            Action::Tray(tray) => {
                self.state.tray = tray;
                if !self.state.preferences.findings {
                    self.prefer(|preferences| preferences.findings = true);
                }
            }
            Action::Tell(text) => self.state.notice = Some(Notice::done(text)),
            Action::Centre(view) => self.state.centre = view,
            Action::Paper(paper) => self.set_paper(ctx, paper),
            Action::Dismiss => self.state.notice = None,
        }
    }

    fn tell_of(&mut self, outcome: Result<Option<String>, Vec<glidewright_project::Problem>>) {
        self.state.notice = match outcome {
            Ok(done) => done.map(Notice::done),
            Err(problems) => problems.first().map(|problem| Notice::trouble(problem.to_string())),
        };
    }

    fn after_change(&mut self, ctx: &Context) {
        self.state.settle_travel();
        // Body and finding numbers belong to the fixture before.
        self.state.hovered = None;
        let findings = self.state.session.bench().map_or(0, |bench| bench.results.findings.len());
        if self.state.finding.is_some_and(|number| number >= findings) {
            self.state.finding = None;
        }
        ctx.request_repaint();
    }

    fn command(&mut self, ctx: &Context, command: Command) {
        match command {
            Command::Start => self.modal = Some(Modal::Start(Box::default())),
            Command::Open => self.guarded_leave(ctx, Leaving::Choose),
            Command::Save => match self.state.session.file().map(Path::to_owned) {
                Some(file) => self.save(ctx, &file),
                None => self.ask_file(ctx, Purpose::Save),
            },
            Command::SaveAs => self.ask_file(ctx, Purpose::Save),
            Command::ExportPicture => {
                self.modal = Some(Modal::Picture {
                    path: self.suggested_file("png").display().to_string(),
                    kind: PictureKind::Png,
                    width: 2000,
                    complaint: String::new(),
                });
            }
            Command::Quit => self.guarded_leave(ctx, Leaving::Quit),
            Command::Undo => {
                let undone = self.state.session.undo();
                self.tell_of(undone.map(|what| Some(format!("Taken back: {}", what?))));
                self.after_change(ctx);
            }
            Command::Redo => {
                let redone = self.state.session.redo();
                self.tell_of(redone.map(|what| Some(format!("Done again: {}", what?))));
                self.after_change(ctx);
            }
            Command::GoTightest => {
                let tightest =
                    self.state.session.bench().and_then(|bench| bench.results.interference.tightest());
                if let Some(travel) = tightest.map(|pair| pair.at_travel) {
                    self.state.go_to(travel);
                }
            }
            Command::GoStart => self.state.go_to(f64::MIN),
            Command::GoEnd => self.state.go_to(f64::MAX),
            Command::StepOn => self.state.go_to(self.state.travel + 1.0),
            Command::StepBack => self.state.go_to(self.state.travel - 1.0),
            Command::StrideOn => self.state.go_to(self.state.travel + 10.0),
            Command::StrideBack => self.state.go_to(self.state.travel - 10.0),
            Command::NudgeOn => self.state.go_to(self.state.travel + 0.1),
            Command::NudgeBack => self.state.go_to(self.state.travel - 0.1),
            Command::NextFinding => {
                let count = self.state.session.bench().map_or(0, |bench| bench.results.findings.len());
                let next = self.state.finding.map_or(0, |number| number + 1);
                if count > 0 {
                    self.open_finding(next % count);
                }
            }
            Command::NextTrial => {
                let next = self.trial_after_this();
                self.state.session.choose_trial(next.as_deref());
                self.after_change(ctx);
            }
            Command::ToggleParts => self.prefer(|p| p.parts = !p.parts),
            Command::ToggleCloseUps => self.prefer(|p| p.close_ups = !p.close_ups),
            Command::ToggleFindings => self.prefer(|p| p.findings = !p.findings),
            Command::ToggleDark => {
                let paper = if ctx.theme() == egui::Theme::Dark { Paper::Light } else { Paper::Dark };
                self.set_paper(ctx, paper);
            }
            Command::ShowBench => self.state.centre = CENTRE,
            Command::SelectNothing => self.state.selected.clear(),
            Command::FindCommand => self.finder = Some(Finder::default()),
            Command::ToggleFrameTimes => self.frame_times.shown = !self.frame_times.shown,
        }
    }

    fn prefer(&mut self, change: impl FnOnce(&mut crate::state::Preferences)) {
        change(&mut self.state.preferences);
        self.keep_preferences();
    }

    fn set_paper(&mut self, ctx: &Context, paper: Paper) {
        theme::apply(ctx, paper);
        self.prefer(|preferences| preferences.paper = paper);
    }

    fn trial_after_this(&self) -> Option<String> {
        let trials = &self.state.session.document().trials;
        let next = match self.state.session.trial() {
            None => 0,
            Some(now) => trials.iter().position(|trial| trial.name == now).map_or(0, |place| place + 1),
        };
        trials.get(next).map(|trial| trial.name.clone())
    }

    /// Takes the riders to a finding's worst place and selects what it is about.
    fn open_finding(&mut self, number: usize) {
        let Some(bench) = self.state.session.bench().map(std::sync::Arc::clone) else { return };
        let Some(finding) = bench.results.findings.get(number) else { return };
        self.state.finding = Some(number);
        if let Some(travel) = finding.at_travel {
            self.state.go_to(travel);
        }
        let body = finding.bodies.first().and_then(|body| bench.results.assembly.bodies.get(body.0 as usize));
        if let Some(path) = body.map(|body| &body.path).or_else(|| finding.paths.first()) {
            self.state.selected.clone_from(path);
        }
    }

    /// Asks first when work would be lost.
    fn guarded_leave(&mut self, ctx: &Context, then: Leaving) {
        if self.state.session.is_changed() {
            self.modal = Some(Modal::unsaved(then));
        } else {
            self.leave(ctx, then);
        }
    }

    /// Leaves what is open.
    pub(super) fn leave(&mut self, ctx: &Context, then: Leaving) {
        match then {
            Leaving::Quit => {
                self.may_leave = true;
                ctx.send_viewport_cmd(ViewportCommand::Close);
            }
            Leaving::Choose => self.ask_file(ctx, Purpose::Open),
            Leaving::Open(file) => match Session::open(&file) {
                Ok(session) => {
                    self.begin(ctx, session);
                    self.remember(&file);
                }
                Err(error) => self.modal = Some(Modal::cannot_open(&error)),
            },
            Leaving::New(document) => self.begin(ctx, Session::new(*document, Origin::New)),
            Leaving::Demo(demo) => match Session::demo(demo) {
                Ok(session) => self.begin(ctx, session),
                Err(problems) => self.modal = Some(Modal::problems(demo.title(), &problems)),
            },
        }
    }

    fn begin(&mut self, ctx: &Context, mut session: Session) {
        let repaint = ctx.clone();
        session.work_beside(move || repaint.request_repaint());
        self.state.session = session;
        let repaint = ctx.clone();
        self.state.outlook.work_beside(move || repaint.request_repaint());
        self.state.selected.clear();
        self.state.hovered = None;
        self.state.finding = None;
        self.state.notice = None;
        self.state.centre = CENTRE;
        self.canvases = Default::default();
        self.start_travel();
        ctx.request_repaint();
    }

    fn remember(&mut self, file: &Path) {
        let whole = std::path::absolute(file).unwrap_or_else(|_| file.to_owned());
        self.prefer(|preferences| preferences.remember(&whole));
    }

    /// Shows the system's dialog.
    pub(super) fn ask_file(&mut self, ctx: &Context, purpose: Purpose) {
        if self.dialog.is_some() {
            return;
        }
        let suggested = match (purpose, &self.modal) {
            (Purpose::Open, _) => self.state.session.file().map(Path::to_owned),
            (Purpose::Picture, Some(Modal::Picture { path, .. })) => Some(PathBuf::from(path)),
            (Purpose::Picture, _) => Some(self.suggested_file("png")),
            (Purpose::Save, _) => Some(self.suggested_file("ron")),
        };
        let repaint = ctx.clone();
        self.dialog = Some(Dialog::ask(purpose, suggested, move || repaint.request_repaint()));
    }

    /// Takes the system dialog's answer.
    pub(super) fn take_dialog(&mut self, ctx: &Context) {
        let Some((purpose, answer)) = self.dialog.as_ref().and_then(|d| Some((d.purpose, d.answer()?)))
        else {
            return;
        };
        self.dialog = None;
        match answer {
            Answer::File(file) => self.take_file(ctx, purpose, &file),
            Answer::Nothing => self.after_saving = None,
            Answer::NoDialog => match &mut self.modal {
                Some(Modal::Picture { complaint, .. }) => {
                    *complaint = "This system shows no file dialog: type the path.".to_owned();
                }
                _ => {
                    let text = match (purpose, &self.state.session.origin()) {
                        (Purpose::Open, Origin::File(file)) => file.display().to_string(),
                        (Purpose::Open, _) => String::new(),
                        _ => self.suggested_file("ron").display().to_string(),
                    };
                    self.modal = Some(Modal::TypePath { purpose, text, complaint: String::new() });
                }
            },
        }
    }

    fn take_file(&mut self, ctx: &Context, purpose: Purpose, file: &Path) {
        match purpose {
            Purpose::Open => self.leave(ctx, Leaving::Open(file.to_owned())),
            Purpose::Save => self.save(ctx, &with_extension(file, "ron")),
            Purpose::Picture => {
                if let Some(Modal::Picture { path, kind, .. }) = &mut self.modal {
                    *kind = PictureKind::of(file).unwrap_or(*kind);
                    *path = with_extension(file, kind.extension()).display().to_string();
                }
            }
        }
    }

    /// Takes a typed path.
    pub(super) fn take_typed(&mut self, ctx: &Context, purpose: Purpose, text: &str) {
        let wrong = match text.trim() {
            "" => Some("Type the path of a file.".to_owned()),
            path if purpose == Purpose::Open && !Path::new(path).is_file() => {
                Some(format!("There is no file {path}."))
            }
            _ => None,
        };
        if let (Some(wrong), Some(Modal::TypePath { complaint, .. })) = (wrong, &mut self.modal) {
            *complaint = wrong;
            return;
        }
        self.modal = None;
        self.take_file(ctx, purpose, Path::new(text.trim()));
    }

    fn save(&mut self, ctx: &Context, file: &Path) {
        match self.state.session.save(file) {
            Ok(()) => {
                self.state.notice = Some(Notice::done(format!("Saved {}", file.display())));
                self.remember(file);
                if let Some(then) = self.after_saving.take() {
                    self.leave(ctx, then);
                }
            }
            Err(error) => {
                self.after_saving = None;
                self.state.notice = Some(Notice::trouble(format!("Not saved: {error}; {}", error.remedy())));
            }
        }
    }

    /// Writes the middle view as a picture.
    pub(super) fn write_picture(&mut self, path: &str, kind: PictureKind, width: u32, dark: bool) {
        let path = path.trim();
        let written = if path.is_empty() {
            Err("Type the path of the file.".to_owned())
        } else {
            let file = with_extension(Path::new(path), kind.extension());
            self.canvases
                .picture(&self.state, dark, kind.extension(), width)
                .and_then(|bytes| {
                    write_whole(&file, &bytes)
                        .map_err(|error| format!("Not written: {error}: {}", file.display()))
                })
                .map(|()| file)
        };
        match (written, &mut self.modal) {
            (Ok(file), _) => {
                self.modal = None;
                self.state.notice = Some(Notice::done(format!("Wrote {}", file.display())));
            }
            (Err(message), Some(Modal::Picture { complaint, .. })) => *complaint = message,
            (Err(message), _) => self.state.notice = Some(Notice::trouble(message)),
        }
    }
}

/// The path with an extension where it has none.
fn with_extension(path: &Path, extension: &str) -> PathBuf {
    if path.extension().is_some() { path.to_owned() } else { path.with_extension(extension) }
}
