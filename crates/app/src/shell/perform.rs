//! Does what was asked for, once the frame is drawn.

use std::path::{Path, PathBuf};

use egui::{Context, ViewportCommand};

use super::App;
use super::app::connect;
use super::dialogs::{Answer, Dialog, Purpose};
use super::finder::Finder;
use super::modals::{Leaving, Modal};
use crate::commands::{Action, Command};
use crate::state::{Hint, LengthUnit, Notice, Origin, Play, Preferences, Session, TEXT_SCALES, left_behind};
use crate::theme::{self, Paper};
use crate::views::CENTRE;

/// How far one press of a key turns the view in space (rad): five degrees.
const TURN_STEP: f64 = std::f64::consts::PI / 36.0;

impl App {
    /// Does everything in the queue.
    pub(super) fn perform(&mut self, ctx: &Context) {
        let actions = std::mem::take(&mut self.queue);
        if actions.is_empty() {
            return;
        }
        let before = (self.state.travel, self.state.selected.clone());
        // What is done shows in the next frame. A pointer that holds something still asks for the same travel again
        // and again: that is nothing to show.
        let mut shows = false;
        for action in actions {
            shows |= !matches!(action, Action::GoTo(_) | Action::Select(_) | Action::Follow(_));
            self.act(ctx, action);
        }
        if shows || before != (self.state.travel, self.state.selected.clone()) {
            ctx.request_repaint();
        }
    }

    fn act(&mut self, ctx: &Context, action: Action) {
        match action {
            Action::Do(command) => {
                if command.hindrance(&self.state).is_none() {
                    self.command(ctx, command);
                }
            }
            Action::GoTo(travel) => {
                self.state.play = None;
                self.state.go_to(travel);
            }
            Action::GoBy(by) => {
                self.state.play = None;
                self.state.go_to(self.state.travel + by);
            }
            Action::Select(path) => self.state.selected = path,
            Action::Hover(body) => self.state.hovered = body,
            Action::Try(name) => {
                self.follow(Hint::Try);
                self.state.session.choose_trial(name.as_deref());
                self.after_change(ctx);
            }
            Action::Edit(edit) => {
                if let Err(problem) = self.state.session.edit(&edit) {
                    self.state.notice = Some(Notice::trouble(problem.to_string()));
                }
                self.after_change(ctx);
            }
            Action::EndEdit => {
                self.follow(Hint::Change);
                self.state.session.seal();
            }
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
            Action::Prefer(preferences) => self.take_preferences(ctx, *preferences),
            Action::Handbook(section) => {
                self.handbook.open_at(section);
                self.follow(Hint::Handbook);
            }
            Action::Follow(hint) => self.follow(hint),
            Action::Turn(right, up) => self.canvases.turn(right, up),
        }
    }

    /// Notes that a hint was followed.
    fn follow(&mut self, hint: Hint) {
        // Only the hint that is given can be followed; others are still news when their turn comes.
        if self.state.preferences.hints.next() == Some(hint) && self.state.preferences.hints.follow(hint) {
            self.keep_preferences();
        }
    }

    fn take_preferences(&mut self, ctx: &Context, wanted: Preferences) {
        let before = std::mem::replace(&mut self.state.preferences, wanted);
        let now = &self.state.preferences;
        if now.paper != before.paper {
            theme::apply(ctx, now.paper);
        }
        if now.text_scale != before.text_scale {
            ctx.set_zoom_factor(now.text_scale);
        }
        self.keep_preferences();
    }

    fn scale_text(&mut self, ctx: &Context, scale: f32) {
        let (least, most) = (*TEXT_SCALES.start(), *TEXT_SCALES.end());
        // Steps of a twentieth, without the dust of sums.
        let scale = ((scale * 20.0).round() / 20.0).clamp(least, most);
        self.take_preferences(ctx, Preferences { text_scale: scale, ..self.state.preferences.clone() });
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
            Command::ExportPicture => self.open_picture(ctx),
            Command::CopyPicture => self.copy_picture(ctx),
            Command::Preferences => self.preferences_shown = true,
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
                self.state.play = None;
                self.follow(Hint::Tightest);
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
            Command::Play => {
                self.state.play = match (self.state.play, self.state.session.bench()) {
                    (None, Some(bench)) => Some(Play::from(self.state.travel, &bench.fixture.stroke)),
                    _ => None,
                };
                ctx.request_repaint();
            }
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
            Command::View1
            | Command::View2
            | Command::View3
            | Command::View4
            | Command::View5
            | Command::View6
            | Command::View7
            | Command::View8
            | Command::View9 => {
                if let Some(view) = command.view() {
                    self.state.centre = view.name;
                }
            }
            Command::ShowAll => self.canvases.show_all(&self.state),
            Command::Enlarge => self.canvases.enlarge(&self.state, 1),
            Command::Reduce => self.canvases.enlarge(&self.state, -1),
            Command::TurnLeft => self.canvases.turn(-TURN_STEP, 0.0),
            Command::TurnRight => self.canvases.turn(TURN_STEP, 0.0),
            Command::LiftUp => self.canvases.turn(0.0, TURN_STEP),
            Command::LiftDown => self.canvases.turn(0.0, -TURN_STEP),
            Command::ToggleGhosts => self.prefer(|p| p.ghosts = !p.ghosts),
            Command::ToggleAxis => self.canvases.toggle_axis(),
            Command::ToggleTilt => self.canvases.toggle_tilt(),
            Command::ToggleUnit => self.prefer(|p| {
                p.unit = match p.unit {
                    LengthUnit::Millimetre => LengthUnit::Inch,
                    LengthUnit::Inch => LengthUnit::Millimetre,
                }
            }),
            Command::LargerText => self.scale_text(ctx, self.state.preferences.text_scale + 0.1),
            Command::SmallerText => self.scale_text(ctx, self.state.preferences.text_scale - 0.1),
            Command::UsualText => self.scale_text(ctx, 1.0),
            Command::Handbook => {
                self.handbook.open_at("");
                self.follow(Hint::Handbook);
            }
            Command::Keys => {
                self.keys_shown = true;
                self.follow(Hint::Handbook);
            }
            Command::StopWork => self.state.outlook.stop(),
            Command::SelectNothing => self.state.selected.clear(),
            Command::FindCommand => self.finder = Some(Finder::default()),
            Command::ToggleFrameTimes => self.frame_times.shown = !self.frame_times.shown,
        }
    }

    fn prefer(&mut self, change: impl FnOnce(&mut Preferences)) {
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
                // What was not saved is given up on purpose.
                self.state.session.finish();
                ctx.send_viewport_cmd(ViewportCommand::Close);
            }
            Leaving::Choose => self.ask_file(ctx, Purpose::Open),
            Leaving::Open(file) => match Session::open(&file) {
                Ok(session) => {
                    self.begin(ctx, session);
                    self.remember(&file);
                    self.left.extend(left_behind(Some(&file), None));
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

    pub(super) fn begin(&mut self, ctx: &Context, session: Session) {
        let mut before = std::mem::replace(&mut self.state.session, session);
        before.finish();
        // Only now: the file opened may be the one just given back.
        self.state.session.claim();
        connect(ctx, &mut self.state.session, self.unsaved_folder.clone());
        let repaint = ctx.clone();
        self.state.outlook.work_beside(move || repaint.request_repaint());
        self.state.play = None;
        self.state.selected.clear();
        self.state.hovered = None;
        self.state.finding = None;
        self.state.notice = None;
        self.state.centre = CENTRE;
        self.canvases = Default::default();
        self.start_travel();
        self.warn_of_taken();
        ctx.request_repaint();
    }

    /// Goes on with the unsaved work that is offered.
    pub(super) fn recover(&mut self, ctx: &Context) {
        if self.left.is_empty() {
            return;
        }
        let left = self.left.remove(0);
        let session = Session::recovered(left, self.unsaved_folder.clone());
        self.begin(ctx, session);
        self.state.notice = Some(Notice::done("Recovered what was not saved; save it to keep it"));
    }

    /// Throws the unsaved work away that is offered.
    pub(super) fn throw_away_left(&mut self) {
        if self.left.is_empty() {
            return;
        }
        let left = self.left.remove(0);
        if let Err(error) = std::fs::remove_file(&left.journal) {
            let text = format!("Not removed: {error}: {}", left.journal.display());
            self.state.notice = Some(Notice::trouble(text));
        }
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
        let suggested = match (purpose, &self.picture) {
            (Purpose::Open, _) => self.state.session.file().map(Path::to_owned),
            (Purpose::Picture, Some(dialog)) => Some(PathBuf::from(&dialog.path)),
            (Purpose::Picture, None) => Some(self.suggested_file("png")),
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
            Answer::NoDialog => match &mut self.picture {
                Some(dialog) => {
                    dialog.complaint = "This system shows no file dialog: type the path.".to_owned();
                }
                None => {
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
                if let Some(dialog) = &mut self.picture {
                    dialog.take_file(file);
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
                let repaint = ctx.clone();
                self.state.session.watch_file(move || repaint.request_repaint());
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
}

/// The path with an extension where it has none.
pub(super) fn with_extension(path: &Path, extension: &str) -> PathBuf {
    if path.extension().is_some() { path.to_owned() } else { path.with_extension(extension) }
}
