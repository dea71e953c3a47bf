//! The window as one value: state, views, what is asked for, what is being shown over it.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use egui::{Context, Ui};
use glidewright_project::store::Store;

use super::dialogs::Dialog;
use super::finder::Finder;
use super::frame_times::FrameTimes;
use super::handbook::Handbook;
use super::modals::{Leaving, Modal};
use super::opened::Opened;
use super::picture::{Making, PictureDialog};
use crate::commands::{Action, Queue, read_keys};
use crate::panels;
use crate::state::{
    BuildShares, Demo, Drawer, Foresight, Keeping, Looks, Notice, Outlook, OwnLibrary, Preferences, Remedies,
    Session, State, Sweeps, WindowPlace, left_behind,
};
use crate::theme;
use crate::views::{CENTRE, COMPARE, Canvases};

/// A message that says something was done goes after so long.
const FADES: Duration = Duration::from_secs(8);

/// The program's window.
pub struct App {
    /// What it knows.
    pub(super) state: State,
    /// What each view keeps.
    pub(super) canvases: Canvases,
    /// What was asked for in this frame.
    pub(super) queue: Queue,
    /// A system dialog being shown.
    pub(super) dialog: Option<Dialog>,
    /// What lies over the window.
    pub(super) modal: Option<Modal>,
    /// The command finder, if it is open.
    pub(super) finder: Option<Finder>,
    /// Writing a picture, if that is open.
    pub(super) picture: Option<PictureDialog>,
    /// A picture being made.
    pub(super) making: Option<Making>,
    /// The handbook.
    pub(super) handbook: Handbook,
    /// What was opened beside the drawing, the last at the end.
    pub(super) opened: Vec<Opened>,
    /// The message that is shown, and since when.
    told_since: Option<(Notice, Instant)>,
    /// Whether all keys are shown.
    pub(super) keys_shown: bool,
    /// Whether the preferences are shown.
    pub(super) preferences_shown: bool,
    /// Whether the unsaved work that was left is not to be offered unasked any more.
    pub(super) left_put_off: bool,
    /// Where unsaved work is kept.
    pub(super) keeping: Keeping,
    /// Why it is not being kept, as was told last.
    pub(super) keeping_trouble: Option<String>,
    pub(super) frame_times: FrameTimes,
    /// What to do once the work is saved.
    pub(super) after_saving: Option<Leaving>,
    /// Whether leaving was agreed to.
    pub(super) may_leave: bool,
    preferences_file: Option<PathBuf>,
    title: String,
    place: Option<WindowPlace>,
}

impl App {
    /// A window on a project file, or on the demo.
    pub fn new(
        ctx: &Context,
        file: Option<PathBuf>,
        preferences: Preferences,
        preferences_file: Option<PathBuf>,
    ) -> Self {
        let mut notice = None;
        let mut modal = None;
        let session = match file.as_deref().map(Session::open) {
            None => Session::demo(Demo::SeedlingLift),
            Some(Ok(session)) => Ok(session),
            Some(Err(error)) => {
                modal = Some(Modal::cannot_open(&error));
                Session::demo(Demo::SeedlingLift)
            }
        };
        let session = session.unwrap_or_else(|problems| {
            notice = problems.first().map(|problem| Notice::trouble(problem.to_string()));
            Session::empty()
        });
        let left = left_behind(&Store::disk(), file.as_deref(), None);
        let mut app = Self::on(ctx, session, preferences, preferences_file);
        app.state.notice = notice.or(app.state.notice);
        app.modal = modal.or(app.modal);
        app.take_left(left);
        app
    }

    /// A window on a session.
    pub fn on(
        ctx: &Context,
        mut session: Session,
        preferences: Preferences,
        preferences_file: Option<PathBuf>,
    ) -> Self {
        theme::install_fonts(ctx);
        theme::apply(ctx, preferences.paper);
        // Larger text has a command of its own, which is remembered.
        ctx.options_mut(|options| options.zoom_with_keyboard = false);
        ctx.set_zoom_factor(preferences.text_scale);
        session.claim();
        let repaint = ctx.clone();
        let told: Arc<dyn Fn() + Send + Sync> = Arc::new(move || repaint.request_repaint());
        let keeping = Keeping { told: Some(told), ..Keeping::default() };
        connect(ctx, &mut session, &keeping);
        let mut state = State {
            session,
            travel: 0.0,
            selected: String::new(),
            hovered: None,
            finding: None,
            centre: CENTRE,
            preferences,
            notice: None,
            drawer: None,
            outlook: Outlook::default(),
            builds: BuildShares::default(),
            sweeps: Sweeps::default(),
            remedies: Remedies::default(),
            foresight: Foresight::default(),
            play: None,
            own: OwnLibrary::beside(preferences_file.as_deref()),
            left: Vec::new(),
        };
        state.look_ahead_beside(ctx);
        let mut app = Self {
            state,
            canvases: Canvases::default(),
            queue: Queue::new(),
            dialog: None,
            modal: None,
            finder: None,
            picture: None,
            making: None,
            handbook: Handbook::default(),
            opened: Vec::new(),
            told_since: None,
            keys_shown: false,
            preferences_shown: false,
            left_put_off: false,
            keeping,
            keeping_trouble: None,
            frame_times: FrameTimes::default(),
            after_saving: None,
            may_leave: false,
            preferences_file,
            title: String::new(),
            place: None,
        };
        app.start_travel();
        app.warn_of_taken();
        app
    }

    /// The same, keeping the unsaved work of documents without a file in a folder, and offering what a killed
    /// program left there.
    #[must_use]
    pub fn keeping_unsaved_in(mut self, folder: PathBuf) -> Self {
        self.take_left(left_behind(&Store::disk(), None, Some(&folder)));
        self.keeping.folder = Some(folder);
        self.state.session.keep_unsaved(self.keeping.clone());
        self
    }

    /// The same, without a folder for unsaved work; `why` is told for as long as that matters.
    #[must_use]
    pub fn without_unsaved_folder(mut self, why: &str) -> Self {
        self.keeping.no_folder = Some(why.to_owned());
        self.state.session.keep_unsaved(self.keeping.clone());
        self
    }

    /// The same, with something to tell.
    #[must_use]
    pub fn telling(mut self, trouble: Option<String>) -> Self {
        if let Some(trouble) = trouble {
            self.state.notice = Some(Notice::trouble(trouble));
        }
        self
    }

    /// Says so when another window writes the file that is open.
    pub(super) fn warn_of_taken(&mut self) {
        if self.state.session.is_taken() {
            let text = "This project is open in another window too: save it under another name";
            self.state.notice = Some(Notice::trouble(text));
        }
    }

    /// Where the handles of what is selected lie in the middle view, on screen.
    pub fn handles(&self) -> Vec<egui::Pos2> {
        self.canvases.handles(self.state.centre)
    }

    /// Selects what stands at a path in the document, as a click on it does.
    pub fn select(&mut self, path: &str) {
        self.queue.push(Action::Select(path.to_owned()));
    }

    /// Shows a view in the middle, as a click on its name does.
    pub fn show_view(&mut self, name: &'static str) {
        self.queue.push(Action::Centre(name));
    }

    /// Median and 95th percentile of the last frames by the clock (ms), painting excluded.
    pub fn frame_times(&self) -> Option<(f64, f64)> {
        self.frame_times.figures()
    }

    /// Forgets how long frames took so far.
    pub fn forget_frame_times(&mut self) {
        self.frame_times.forget();
    }

    /// Whether a picture is being made.
    pub const fn is_making(&self) -> bool {
        self.making.is_some()
    }

    /// Whether something lies over the window and has the keys.
    pub(super) fn is_covered(&self) -> bool {
        self.modal.is_some()
            || self.finder.is_some()
            || self.picture.is_some()
            || self.keys_shown
            || self.preferences_shown
    }

    /// What the window knows.
    pub const fn state(&self) -> &State {
        &self.state
    }

    /// Where a travel (mm) lies on the axis of the middle view, on screen.
    pub fn place_of_travel(&self, travel: f64) -> Option<egui::Pos2> {
        self.canvases.place_of_travel(self.state.centre, travel)
    }

    /// Puts the riders where it is tightest: that is what one wants to see first.
    pub(super) fn start_travel(&mut self) {
        let tightest = self.state.session.bench().map(|bench| {
            bench.results.interference.tightest().map_or(bench.fixture.stroke.from, |pair| pair.at_travel)
        });
        if let Some(travel) = tightest {
            self.state.go_to(travel);
        }
    }

    /// One frame: finished work in, panels, then what was asked for.
    pub fn frame(&mut self, ui: &mut Ui) {
        let start = Instant::now();
        let ctx = ui.ctx().clone();
        self.take_in(&ctx);
        self.play(&ctx);
        self.close_last(&ctx);
        // A drag given up with Escape is not a wish to select nothing.
        if !self.is_covered() && !self.canvases.is_moving() {
            let drawing_has_keys = self.canvases.have_keys(&ctx);
            read_keys(&ctx, &self.state, drawing_has_keys, &mut self.queue);
        }
        panels::all_ui(ui, &self.state, &mut self.canvases, &self.frame_times, &mut self.queue);
        self.over_ui(&ctx);
        self.canvases.note_focus(&ctx);
        self.perform(&ctx);
        self.tell_title(&ctx);
        self.frame_times.note(start.elapsed());
    }

    /// Puts a message away that has been read; one of trouble stays until it is put away.
    fn fade(&mut self, ctx: &Context) {
        let Some(notice) = self.state.notice.as_ref().filter(|notice| !notice.is_trouble) else {
            self.told_since = None;
            return;
        };
        if self.told_since.as_ref().is_none_or(|(told, _)| told != notice) {
            self.told_since = Some((notice.clone(), Instant::now()));
        }
        let gone = self.told_since.as_ref().map_or(FADES, |(_, since)| since.elapsed());
        match FADES.checked_sub(gone).filter(|left| !left.is_zero()) {
            Some(left) => ctx.request_repaint_after(left),
            None => {
                self.state.notice = None;
                self.told_since = None;
            }
        }
    }

    /// Takes in what finished since the last frame.
    fn take_in(&mut self, ctx: &Context) {
        if self.state.session.take_results() {
            self.state.settle_travel();
        }
        if let Some(left) = self.state.session.settle() {
            ctx.request_repaint_after(left);
        }
        self.state.outlook.follow(&self.state.session, self.canvases.shows_reach());
        let page = self.state.drawer;
        let looks = match page {
            Some(Drawer::Builds) => Looks::Page,
            Some(Drawer::Sweep | Drawer::Remedies) => Looks::No,
            _ if self.state.centre == COMPARE => Looks::Trials,
            _ if self.state.outlook.is_working() || self.state.is_crowd() => Looks::No,
            _ => Looks::Shown,
        };
        self.state.builds.follow(&self.state.session, looks);
        self.state.sweeps.follow(&self.state.session, page == Some(Drawer::Sweep));
        let searches = page == Some(Drawer::Remedies);
        self.state.remedies.follow(&self.state.session, self.state.own.parts(), searches);
        let wakes = [
            self.state.builds.work().wakes_after(),
            self.state.sweeps.work().wakes_after(),
            self.state.remedies.work().wakes_after(),
        ];
        if let Some(left) = wakes.into_iter().flatten().min() {
            ctx.request_repaint_after(left);
        }
        self.state.foresight.take_in();
        self.fade(ctx);
        self.tell_of_keeping();
        self.offer_left();
        self.tell_of_others();
        self.note_place(ctx);
        self.take_dialog(ctx);
        let dropped: Vec<PathBuf> =
            ctx.input(|input| input.raw.dropped_files.iter().map(|file| file.path().to_owned()).collect());
        if let Some(file) = dropped.into_iter().next() {
            let is_table = file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("csv"));
            self.queue.push(if is_table { Action::TakeReadings(file) } else { Action::Open(file) });
        }
        let wants_to_close = ctx.input(|input| input.viewport().close_requested());
        if wants_to_close && !self.may_leave && self.state.session.is_changed() {
            ctx.send_viewport_cmd(egui::ViewportCommand::CancelClose);
            self.modal = Some(Modal::unsaved(Leaving::Quit));
        }
    }

    /// Runs the stroke if it is played.
    fn play(&mut self, ctx: &Context) {
        let Some(mut play) = self.state.play else { return };
        let Some(bench) = self.state.session.bench().map(Arc::clone) else {
            self.state.play = None;
            return;
        };
        let choices = self.state.preferences.play;
        let tightest = bench.results.interference.tightest().map(|pair| pair.at_travel);
        // At rest the frames are far apart, which is not what the steady frame time tells of.
        let resting = play.is_resting();
        let seconds = f64::from(ctx.input(|input| if resting { input.unstable_dt } else { input.stable_dt }));
        let moved = play.go_on(&choices, self.state.travel, &bench.fixture.stroke, tightest, seconds);
        self.state.go_to(moved.travel);
        self.state.play = (!moved.over).then_some(play);
        if self.state.play.is_some() {
            if moved.rest.is_zero() {
                ctx.request_repaint();
            } else {
                // A rest is counted in frames of at most a tenth of a second.
                ctx.request_repaint_after(moved.rest.min(Duration::from_millis(90)));
            }
        }
    }

    /// Notes where the window stands, to open it there the next time.
    fn note_place(&mut self, ctx: &Context) {
        let zoom = ctx.zoom_factor();
        let place = ctx.input(|input| {
            let viewport = input.viewport();
            let inner = viewport.inner_rect?;
            Some(WindowPlace {
                at: viewport.outer_rect.map(|rect| (rect.left() * zoom, rect.top() * zoom)),
                size: (inner.width() * zoom, inner.height() * zoom),
                maximized: viewport.maximized.unwrap_or(false),
            })
        });
        if let Some(place) = place.filter(WindowPlace::is_sound) {
            self.place = Some(match self.place {
                // The size to return to is that from before.
                Some(before) if place.maximized => WindowPlace { maximized: true, ..before },
                _ => place,
            });
        }
    }

    /// Ends. Leaving has decided about unsaved work; where nobody did, it stays in its journal.
    fn end(&mut self) {
        if self.place.is_some() && self.place != self.state.preferences.window {
            self.state.preferences.window = self.place;
            self.keep_preferences();
        }
        self.state.session.close();
    }

    fn tell_title(&mut self, ctx: &Context) {
        let changed = if self.state.session.is_changed() { "● " } else { "" };
        let title = format!("{changed}{} – Glidewright", panels::file_name(&self.state));
        if title != self.title {
            ctx.send_viewport_cmd(egui::ViewportCommand::Title(title.clone()));
            self.title = title;
        }
    }

    /// Keeps the preferences; trouble with that is told, not fatal.
    pub(super) fn keep_preferences(&mut self) {
        let Some(file) = self.preferences_file.as_deref() else { return };
        if let Err(error) = self.state.preferences.save(file) {
            self.state.notice = Some(Notice::trouble(format!("preferences not kept: {error}")));
        }
    }

    /// A file name for what is saved or exported next.
    pub(super) fn suggested_file(&self, extension: &str) -> PathBuf {
        match self.state.session.file() {
            Some(file) => file.with_extension(extension),
            None => {
                let name: String = panels::file_name(&self.state)
                    .chars()
                    .map(|c| if c.is_alphanumeric() { c.to_ascii_lowercase() } else { '-' })
                    .collect();
                Path::new(name.trim_matches('-')).with_extension(extension)
            }
        }
    }
}

/// Lets a session work beside the window, keep unsaved work safe and notice changes by others.
pub(super) fn connect(ctx: &Context, session: &mut Session, keeping: &Keeping) {
    let repaint = ctx.clone();
    session.work_beside(move || repaint.request_repaint());
    session.keep_unsaved(keeping.clone());
    let repaint = ctx.clone();
    session.watch_file(move || repaint.request_repaint());
}

impl eframe::App for App {
    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        self.frame(ui);
    }

    fn on_exit(&mut self, _gl: Option<&eframe::glow::Context>) {
        self.end();
    }

    fn clear_color(&self, visuals: &egui::Visuals) -> [f32; 4] {
        visuals.panel_fill.to_normalized_gamma_f32()
    }
}
