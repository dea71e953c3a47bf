//! Does what was asked for, once the frame is drawn.

use std::path::Path;

use egui::Context;

use super::App;
use super::dialogs::Purpose;
use super::finder::Finder;
use super::modals::{Leaving, Modal};
use crate::commands::{Action, Command, Queue};
use crate::panels::{Shared, copy_part, delete_part, double_part, meant_part, paste_part};
use crate::state::{Drawer, FindingKey, Hint, LengthUnit, Notice, Play, Preferences, TEXT_SCALES};
use crate::theme::{self, Paper};
use crate::views::CENTRE;
use crate::widgets::go_round;

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
            shows |= !matches!(
                action,
                Action::GoTo(_) | Action::Select(_) | Action::Follow(_) | Action::Foresee(_)
            );
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
                match self.state.session.edit(&edit) {
                    Err(problem) => self.state.notice = Some(Notice::trouble(problem.to_string())),
                    // What follows a change besides, or cannot, is told with it.
                    Ok(()) if edit.takes_along() => {
                        let done = self.state.session.history().undo_description();
                        let more = done.filter(|done| done.contains("; "));
                        self.state.notice = more.map(Notice::done).or(self.state.notice.take());
                    }
                    Ok(()) => {}
                }
                self.after_change(ctx);
            }
            Action::Foresee(question) => self.state.foresight.ask(&self.state.session, question),
            Action::EndEdit => {
                self.follow(Hint::Change);
                self.state.session.seal();
                ctx.request_repaint();
            }
            Action::DropEdit => {
                let dropped = self.state.session.drop_edit();
                self.tell_of(dropped.map(|()| None));
                self.after_change(ctx);
            }
            Action::Paste(text) => self.with_parts(ctx, |shared, queue| paste_part(shared, &text, queue)),
            Action::OpenFinding(number) => self.open_finding(number),
            Action::Open(file) => self.guarded_leave(ctx, Leaving::Open(file)),
            Action::OpenDemo(demo) => self.guarded_leave(ctx, Leaving::Demo(demo)),
            Action::Begin(document) => self.guarded_leave(ctx, Leaving::New(document)),
            Action::Drawer(page) => self.state.drawer = Some(page),
            Action::CloseDrawer => self.state.drawer = None,
            Action::Sweep(path) => {
                self.state.sweeps.about(&self.state.session, &path);
                self.state.drawer = Some(Drawer::Sweep);
            }
            Action::Seek(asked) => self.state.remedies.ask(*asked),
            Action::SeekFromShown => self.state.remedies.begin_from_shown(),
            Action::SeekAcross(across) => self.state.remedies.show(across),
            Action::MakeRemedies(goes_on) => self.state.remedies.make(goes_on),
            Action::WritePlot(plot) => self.open_plot(ctx, *plot),
            Action::Picture(compared) => self.canvases.compare_by(compared),
            Action::SweepRange(from, to) => self.state.sweeps.range(from, to),
            Action::SweepShows(figure) => self.state.sweeps.show(figure),
            Action::MakeSweep(goes_on) => self.state.sweeps.make(goes_on),
            Action::MakeBuilds(goes_on) => self.state.builds.make(goes_on),
            Action::TakeAs(path, likeness) => self.state.builds.take_as(path, likeness),
            Action::KeepPart(part) => {
                let document = self.state.session.document().clone();
                let kept = self.state.own.keep(&document, &part);
                self.tell_of_library(kept, || format!("{part} is kept in your own library"));
            }
            Action::NoteStock(news) => {
                let noted = self.state.own.note(news);
                self.tell_of_library(noted, || "Noted in your own library".to_owned());
            }
            Action::ReadLibrary => self.state.own.read_again(),
            Action::TakeReadings(file) => {
                if let Err(complaint) = self.take_readings(ctx, &file) {
                    self.state.notice = Some(Notice::trouble(complaint));
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

    fn tell_of_library(&mut self, done: Result<(), String>, words: impl FnOnce() -> String) {
        self.state.notice = Some(match done {
            Ok(()) => Notice::done(words()),
            Err(why) => Notice::trouble(format!("Not kept: {why}")),
        });
    }

    /// Does something with parts, as the panels do it.
    fn with_parts(&mut self, ctx: &Context, act: impl FnOnce(&Shared<'_>, &mut Queue)) {
        let theme = theme::current(ctx);
        let mut queue = Queue::new();
        act(&Shared { state: &self.state, theme: &theme }, &mut queue);
        for action in queue {
            self.act(ctx, action);
        }
    }

    /// The same with the part that is selected.
    fn with_selected(&mut self, ctx: &Context, act: impl FnOnce(&Shared<'_>, &str, &mut Queue)) {
        self.with_parts(ctx, |shared, queue| act(shared, &meant_part(shared, &shared.state.selected), queue));
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

    pub(super) fn after_change(&mut self, ctx: &Context) {
        self.state.settle_travel();
        // Numbers of bodies belong to the fixture before.
        self.state.hovered = None;
        ctx.request_repaint();
    }

    fn command(&mut self, ctx: &Context, command: Command) {
        match command {
            Command::Start => self.modal = Some(Modal::Start(Box::default())),
            Command::Open => self.guarded_leave(ctx, Leaving::Choose),
            Command::TakeReadings => self.ask_file(ctx, Purpose::Readings),
            Command::Save => match self.state.session.file().map(Path::to_owned) {
                Some(file) => self.save(ctx, &file, false),
                None => self.ask_file(ctx, Purpose::Save),
            },
            Command::SaveAs => self.ask_file(ctx, Purpose::Save),
            Command::UnsavedWork => {
                self.left_put_off = true;
                self.show_left();
            }
            Command::ExportPicture => {
                self.state.session.complete();
                self.open_picture(ctx);
            }
            Command::CopyPicture => {
                self.state.session.complete();
                self.copy_picture(ctx);
            }
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
                // What is shown without having been opened is opened first.
                let next = match &self.state.finding {
                    None => self.state.shown_finding().unwrap_or(0),
                    Some(_) => self.state.shown_finding().map_or(0, |number| number + 1),
                };
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
            Command::CopyPart => self.with_selected(ctx, |shared, path, queue| {
                copy_part(ctx, shared, path, queue);
            }),
            // The clipboard answers with the words that are on it.
            Command::PastePart => ctx.send_viewport_cmd(egui::ViewportCommand::RequestPaste),
            Command::DuplicatePart => self.with_selected(ctx, double_part),
            Command::DeletePart => self.with_selected(ctx, delete_part),
            Command::NextRegion => go_round(ctx, true),
            Command::PreviousRegion => go_round(ctx, false),
            Command::SelectNothing => self.state.selected.clear(),
            Command::FindCommand => self.finder = Some(Finder::default()),
            Command::ToggleFrameTimes => self.frame_times.shown = !self.frame_times.shown,
        }
    }

    pub(super) fn prefer(&mut self, change: impl FnOnce(&mut Preferences)) {
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
        self.state.finding = FindingKey::of(&bench.results, number);
        if let Some(travel) = finding.at_travel {
            self.state.go_to(travel);
        }
        let body = finding.bodies.first().and_then(|body| bench.results.assembly.body(*body));
        if let Some(path) = body.map(|body| &body.path).or_else(|| finding.paths.first()) {
            self.state.selected.clone_from(path);
        }
    }
}
