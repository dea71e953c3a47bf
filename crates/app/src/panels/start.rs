//! How to start: a new fixture from a few answers, a project worked on lately, a built-in one.

use std::path::{Path, PathBuf};

use egui::{Align, Button, Layout, RichText, Ui, Vec2};
use glidewright_project::document::Stand;
use glidewright_project::edit::{Wish, fixture, rails};
use glidewright_project::quantity::Quantity;
use glidewright_project::{Document, Problem, Values};
use glidewright_sheet::Tone;

use crate::commands::{Action, Command};
use crate::state::{Demo, Preferences, ReaderUnits};
use crate::theme::{self, FontRole, colour};
use crate::widgets::{Choice, Picker, line_ui, list_area, named_row, part_summary, text_scale, value_of};

/// What was answered so far.
#[derive(Clone, Debug, PartialEq)]
pub struct Start {
    name: String,
    section: String,
    length: String,
    stand: usize,
    incline: String,
    riders: usize,
    load: String,
    complaint: String,
}

/// How the rail can stand, in the order they are offered.
const STANDS: [&str; 3] = ["upright", "lying", "inclined"];
/// What can run on it, in the order it is offered.
const RIDERS: [&str; 3] = ["one rider", "two, tied by a belt", "two, each on its own"];

impl Default for Start {
    /// What is asked for most often.
    fn default() -> Self {
        Self {
            name: "New fixture".to_owned(),
            section: "grooved 30x60".to_owned(),
            length: "800 mm".to_owned(),
            stand: 0,
            incline: "30 deg".to_owned(),
            riders: 1,
            load: "500 g".to_owned(),
            complaint: String::new(),
        }
    }
}

impl Start {
    /// What it asks for, numbers without a unit being of the reader's units.
    fn document(&self, units: ReaderUnits) -> Result<Document, Problem> {
        let values = Values::default();
        let figure = |text: &str, what: &str, quantity: Quantity| {
            value_of(text, quantity, &values, units)
                .map_err(|wrong| Problem::error("", format!("{what}: {wrong}")))
        };
        let stand = match self.stand {
            0 => Stand::Upright,
            1 => Stand::Lying,
            _ => {
                let incline = figure(&self.incline, "incline", Quantity::Angle)?;
                Stand::Inclined { incline: incline.into(), roll: Default::default() }
            }
        };
        let load = if self.load.trim().is_empty() { "0" } else { self.load.as_str() };
        let name = self.name.trim();
        fixture(&Wish {
            name: if name.is_empty() { "New fixture".to_owned() } else { name.to_owned() },
            section: self.section.clone(),
            length: figure(&self.length, "length", Quantity::Length)?,
            stand,
            two: self.riders > 0,
            linked: self.riders == 1,
            load: figure(load, "load", Quantity::Mass)?,
        })
    }
}

/// What was chosen.
#[derive(Clone, Debug, PartialEq)]
pub enum StartAnswer {
    /// A new fixture.
    New(Box<Document>),
    /// A project file.
    Open(PathBuf),
    /// A file still to be chosen.
    Choose,
    /// A built-in project.
    Demo(Demo),
    /// None.
    Nothing,
}

impl StartAnswer {
    /// What is to be done then.
    pub fn action(self) -> Option<Action> {
        match self {
            Self::New(document) => Some(Action::Begin(document)),
            Self::Open(file) => Some(Action::Open(file)),
            Self::Choose => Some(Action::Do(Command::Open)),
            Self::Demo(demo) => Some(Action::OpenDemo(demo)),
            Self::Nothing => None,
        }
    }
}

/// Draws the questions, and beside them what else there is to open.
pub fn start_ui(ui: &mut Ui, start: &mut Start, preferences: &Preferences) -> Option<StartAnswer> {
    let scale = text_scale(ui);
    ui.set_width((640.0 * scale).min(ui.ctx().content_rect().width() - 60.0));
    let mut answer = None;
    ui.horizontal_top(|ui| {
        let width = 0.6 * ui.available_width();
        ui.vertical(|ui| {
            ui.set_width(width);
            answer = new_ui(ui, start, preferences.units());
        });
        ui.separator();
        ui.vertical(|ui| {
            if let Some(open) = open_ui(ui, &preferences.recent) {
                answer = Some(open);
            }
        });
    });
    answer
}

fn new_ui(ui: &mut Ui, start: &mut Start, units: ReaderUnits) -> Option<StartAnswer> {
    ui.heading("New fixture");
    ui.weak("A complete fixture is drawn from this; everything can be changed afterwards.");
    ui.add_space(6.0);
    line_ui(ui, "Name", &mut start.name, "what it is called");
    named_row(ui, "Rail", |ui| {
        let width = ui.available_width();
        let rails = || rails().map(|part| Choice::new(&part.name, part_summary(part))).collect::<Vec<_>>();
        if let Some(section) = Picker::plain("Rail", &start.section).show(ui, width, rails) {
            start.section = section;
        }
    });
    line_ui(ui, "Length", &mut start.length, "such as 800 mm");
    choice_row(ui, "It stands", &STANDS, &mut start.stand);
    if start.stand == 2 {
        line_ui(ui, "Incline", &mut start.incline, "above the level, such as 30 deg");
    }
    choice_row(ui, "Riders", &RIDERS, &mut start.riders);
    line_ui(ui, "Load", &mut start.load, "what the first rider carries, such as 500 g");
    ui.add_space(2.0);
    let words = match (start.riders, start.stand) {
        (1, 0 | 2) => "The second rider becomes a counterweight with ballast for the load.",
        (1, _) => "The second rider moves the other way.",
        (2, 0 | 2) => "Each is moved by itself, and hangs on a spring that balances its weight.",
        (2, _) => "The second rider is moved by itself.",
        (_, 0 | 2) => {
            "It is moved by hand, and hangs on a spring that balances its weight; a motor can be added."
        }
        _ => "It is moved by hand; a motor can be added.",
    };
    ui.weak(words);
    if !start.complaint.is_empty() {
        let tone = colour(theme::current(ui.ctx()).colour(Tone::Clash));
        ui.add(egui::Label::new(RichText::new(&start.complaint).color(tone)).wrap());
    }
    ui.add_space(8.0);
    ui.horizontal(|ui| {
        if ui.add(Button::new(RichText::new("Draw it").font(FontRole::Strong.id()))).clicked() {
            match start.document(units) {
                Ok(document) => return Some(StartAnswer::New(Box::new(document))),
                Err(problem) => start.complaint = problem.told(),
            }
        }
        ui.button("Cancel").clicked().then_some(StartAnswer::Nothing)
    })
    .inner
}

fn choice_row(ui: &mut Ui, name: &str, words: &[&str], now: &mut usize) {
    named_row(ui, name, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 2.0;
            for (place, word) in words.iter().enumerate() {
                let button = Button::selectable(*now == place, *word).frame_when_inactive(true);
                if ui.add(button).accessible_name(format!("{name}: {word}")).clicked() {
                    *now = place;
                }
            }
        });
    });
}

fn open_ui(ui: &mut Ui, recent: &[PathBuf]) -> Option<StartAnswer> {
    let mut answer = None;
    let row = |ui: &mut Ui, words: &str, tip: &str| {
        let size = Vec2::new(ui.available_width(), 0.0);
        let button = Button::new(words).right_text("").truncate().min_size(size).frame_when_inactive(false);
        ui.add(button).on_hover_text(tip).clicked()
    };
    ui.label(RichText::new("Open").font(FontRole::Strong.id()));
    if row(ui, "A file…", "Choose a project file") {
        answer = Some(StartAnswer::Choose);
    }
    if !recent.is_empty() {
        ui.add_space(4.0);
        ui.weak("Worked on lately");
        list_area(150.0).show(ui, |ui| {
            for file in recent {
                let name = file
                    .file_stem()
                    .map_or_else(|| file.display().to_string(), |name| name.to_string_lossy().into_owned());
                if row(ui, &name, &file.display().to_string()) {
                    answer = Some(StartAnswer::Open(file.clone()));
                }
                folder_ui(ui, file);
            }
        });
    }
    ui.add_space(4.0);
    ui.weak("To look round in");
    for demo in Demo::ALL {
        if row(ui, demo.title(), "A project carried in the program") {
            answer = Some(StartAnswer::Demo(demo));
        }
    }
    answer
}

fn folder_ui(ui: &mut Ui, file: &Path) {
    let Some(folder) = file.parent() else { return };
    ui.with_layout(Layout::left_to_right(Align::Min), |ui| {
        ui.add_space(8.0);
        let text = RichText::new(folder.display().to_string()).small().weak();
        ui.add(egui::Label::new(text).truncate());
    });
}
