//! The window as one value: state, views, what is asked for, what is being shown over it.

use std::path::{Path, PathBuf};
use std::time::Instant;

use egui::{Context, Ui};

use super::dialogs::Dialog;
use super::finder::Finder;
use super::frame_times::FrameTimes;
use super::modals::{Leaving, Modal};
use crate::commands::{Action, Queue, read_keys};
use crate::panels;
use crate::state::{Demo, Notice, Outlook, Preferences, Session, State, Tray};
use crate::theme;
use crate::views::{CENTRE, Canvases};

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
    pub(super) frame_times: FrameTimes,
    /// What to do once the work is saved.
    pub(super) after_saving: Option<Leaving>,
    /// Whether leaving was agreed to.
    pub(super) may_leave: bool,
    preferences_file: Option<PathBuf>,
    title: String,
}

impl App {
    /// A window on a project file, or on the demo.
    pub fn new(
        ctx: &Context,
        file: Option<PathBuf>,
        preferences: Preferences,
        preferences_file: Option<PathBuf>,
    ) -> Self {
        theme::install_fonts(ctx);
        theme::apply(ctx, preferences.paper);
        let mut notice = None;
        let mut modal = None;
        let session = match file.as_deref().map(Session::open) {
            None => Session::demo(Demo::CopyStand),
            Some(Ok(session)) => Ok(session),
            Some(Err(error)) => {
                modal = Some(Modal::cannot_open(&error));
                Session::demo(Demo::CopyStand)
            }
        };
        let mut session = session.unwrap_or_else(|problems| {
            notice = problems.first().map(|problem| Notice::trouble(problem.to_string()));
            Session::empty()
        });
        let repaint = ctx.clone();
        session.work_beside(move || repaint.request_repaint());
        let mut outlook = Outlook::default();
        let repaint = ctx.clone();
        outlook.work_beside(move || repaint.request_repaint());
        let state = State {
            session,
            travel: 0.0,
            selected: String::new(),
            hovered: None,
            finding: None,
            centre: CENTRE,
            preferences,
            notice,
            tray: Tray::default(),
            outlook,
        };
        let mut app = Self {
            state,
            canvases: Canvases::default(),
            queue: Queue::new(),
            dialog: None,
            modal,
            finder: None,
            frame_times: FrameTimes::default(),
            after_saving: None,
            may_leave: false,
            preferences_file,
            title: String::new(),
        };
        app.start_travel();
        app
    }

    /// What the window knows.
    pub const fn state(&self) -> &State {
        &self.state
    }

    /// Selects what stands at a path in the document; empty selects nothing.
    pub fn select(&mut self, path: &str) {
        path.clone_into(&mut self.state.selected);
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
        let modal_open = self.modal.is_some() || self.finder.is_some();
        if !modal_open {
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

    /// Takes in what finished since the last frame.
    fn take_in(&mut self, ctx: &Context) {
        if self.state.session.take_results() {
            self.state.settle_travel();
        }
        self.state.outlook.follow(&self.state.session);
        self.take_dialog(ctx);
        let dropped: Vec<PathBuf> =
            ctx.input(|input| input.raw.dropped_files.iter().map(|file| file.path().to_owned()).collect());
        if let Some(file) = dropped.into_iter().next() {
            self.queue.push(Action::Open(file));
        }
        let wants_to_close = ctx.input(|input| input.viewport().close_requested());
        if wants_to_close && !self.may_leave && self.state.session.is_changed() {
            ctx.send_viewport_cmd(egui::ViewportCommand::CancelClose);
            self.modal = Some(Modal::unsaved(Leaving::Quit));
        }
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

impl eframe::App for App {
    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        self.frame(ui);
    }

    fn clear_color(&self, visuals: &egui::Visuals) -> [f32; 4] {
        visuals.panel_fill.to_normalized_gamma_f32()
    }
}
