//! How the fixture is moved, and what resists.

use egui::{Align, Layout, RichText, Ui};
use glidewright_motion::{Basis, Coefficient};
use glidewright_project::document::{Drive, Motor, Resistance, TorquePoint};
use glidewright_project::size::{Acceleration, Inertia, Kind, Number, Size, Speed, Torque};
use glidewright_sheet::{Tone, number};

use super::fields::field_at;
use super::{alter, fields_ui, title_ui};
use crate::commands::Queue;
use crate::panels::Shared;
use crate::theme::colour;
use crate::widgets::{choice_row, named_row, quiet_button, section_ui, text_ui};

/// A small stepping motor to start from; invented.
fn motor() -> Motor {
    Motor {
        name: "motor".to_owned(),
        efficiency: Number::of(0.9),
        inertia: Inertia::of(54.0),
        speed: Speed::of(200.0),
        acceleration: Acceleration::of(1000.0),
        continuous: None,
        torque: [(0.0, 250.0), (300.0, 240.0), (600.0, 180.0), (1200.0, 80.0)]
            .map(|(speed, torque)| TorquePoint(Number::of(speed), Torque::of(torque)))
            .to_vec(),
    }
}

pub fn drive_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    title_ui(ui, "Drive");
    let drive = &shared.state.session.reading().document.drive;
    let now = usize::from(matches!(drive, Drive::Motor(_)));
    if let Some(chosen) = choice_row(ui, "It is moved", now, &["by hand", "by a motor"]) {
        alter(
            "drive",
            "Move it another way",
            move |document| {
                document.drive = if chosen == 0 { Drive::Hand } else { Drive::Motor(motor()) };
                Some(())
            },
            queue,
        );
    }
    let Drive::Motor(motor) = drive else {
        ui.add(egui::Label::new(RichText::new("A hand takes hold at the rider's grip.").weak()).wrap());
        return;
    };
    named_row(ui, "Motor", |ui| {
        let width = ui.available_width();
        if let Some(new) = text_ui(ui, "motor name", "Name: Motor", &motor.name, width, "") {
            alter(
                "drive/name",
                "Rename the motor",
                move |document| {
                    let Drive::Motor(motor) = &mut document.drive else { return None };
                    motor.name = new.trim().to_owned();
                    Some(())
                },
                queue,
            );
        }
    });
    fields_ui(ui, shared, "drive", |below| !below.starts_with("torque"), queue);
    torque_ui(ui, shared, motor, queue);
}

/// The torque it gives by speed.
fn torque_ui(ui: &mut Ui, shared: &Shared<'_>, motor: &Motor, queue: &mut Queue) {
    section_ui(ui, "Torque it gives");
    let change = |about: &str, change: fn(&mut Vec<TorquePoint>, usize), place: usize, queue: &mut Queue| {
        alter(
            "drive/torque",
            about,
            move |document| {
                let Drive::Motor(motor) = &mut document.drive else { return None };
                change(&mut motor.torque, place);
                Some(())
            },
            queue,
        );
    };
    for place in 0..motor.torque.len() {
        let row = place + 1;
        ui.horizontal(|ui| {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                let remove = format!("Remove point {row}");
                if quiet_button(ui, "×", &remove, &remove).clicked() {
                    let drop: fn(&mut Vec<TorquePoint>, usize) = |points, at| {
                        if at < points.len() {
                            points.remove(at);
                        }
                    };
                    change("Take a point off the torque curve", drop, place, queue);
                }
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    let width = 0.5 * ui.available_width() - 50.0;
                    for (below, unit) in [("speed", "1/min"), ("torque", "N·mm")] {
                        let path = format!("drive/torque/{row}/{below}");
                        if let Some(field) = field_at(shared, &path, &format!("{below} {row}")) {
                            ui.scope(|ui| field.as_field(shared).show_short(ui, "", width.max(40.0), queue));
                            ui.weak(unit);
                        }
                    }
                });
            });
        });
    }
    if ui.button("Add a point").clicked() {
        let add: fn(&mut Vec<TorquePoint>, usize) = |points, _| {
            let last = points.last().cloned();
            let (speed, torque) = last.map_or((0.0, 100.0), |TorquePoint(speed, torque)| {
                use glidewright_project::size::Formula::Number;
                let plain = |formula: &_| if let Number(value) = formula { *value } else { 0.0 };
                (plain(&speed.formula) + 300.0, plain(&torque.formula))
            });
            points.push(TorquePoint(Number::of(speed), Torque::of(torque)));
        };
        change("Add a point to the torque curve", add, 0, queue);
    }
}

/// One coefficient: where it stands in the document, what it is called, what is calculated with.
struct Known<'a> {
    below: &'static str,
    words: &'static str,
    used: &'a Coefficient,
    unit: &'static str,
}

pub fn resistance_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    title_ui(ui, "Friction and losses");
    ui.weak("What is left open has a default; what is assumed is worth measuring.");
    let Some(bench) = shared.state.session.bench() else {
        fields_ui(ui, shared, "resistance", |_| true, queue);
        return;
    };
    let used = &bench.fixture.resistance;
    for known in [
        Known { below: "bearing", words: "Bearing friction", used: &used.bearing, unit: "" },
        Known { below: "no_load_torque", words: "Bearing drag", used: &used.no_load_torque, unit: "N·mm" },
        Known { below: "flank", words: "Tyre on rail", used: &used.flank, unit: "" },
        Known { below: "hysteresis", words: "Tyre loss", used: &used.hysteresis, unit: "" },
        Known { below: "shoe", words: "Shoe on rail", used: &used.shoe, unit: "" },
        Known { below: "start_factor", words: "Breakaway factor", used: &used.start_factor, unit: "" },
    ] {
        coefficient_ui(ui, shared, &known, queue);
    }
}

fn coefficient_ui(ui: &mut Ui, shared: &Shared<'_>, known: &Known<'_>, queue: &mut Queue) {
    let path = format!("resistance/{}", known.below);
    if let Some(field) = field_at(shared, &path, known.words) {
        field.as_field(shared).show(ui, queue);
    }
    let value = format!("{} {}", number(known.used.value, 4), known.unit);
    let (word, tone, source) = match &known.used.basis {
        Basis::Assumed => ("assumed", Tone::Marginal, String::new()),
        Basis::Given => ("given", Tone::Ink, String::new()),
        Basis::Source(source) => ("given", Tone::Ink, format!(": {source}")),
        Basis::Fitted { standard_error } => {
            ("fitted", Tone::Clear, format!(" ± {} (standard error)", number(*standard_error, 4)))
        }
    };
    ui.horizontal(|ui| {
        ui.add_space(8.0);
        let mark = match &known.used.basis {
            Basis::Assumed => crate::widgets::Mark::Marginal,
            Basis::Given | Basis::Source(_) => crate::widgets::Mark::Note,
            Basis::Fitted { .. } => crate::widgets::Mark::Clear,
        };
        crate::widgets::mark_ui(ui, mark, shared.theme).on_hover_text(word);
        ui.colored_label(colour(shared.theme.colour(tone)), word);
        let text = format!("{}{source}", value.trim());
        ui.add(egui::Label::new(RichText::new(&text).weak()).truncate()).on_hover_text(text);
    });
    source_ui(ui, shared, known.below, queue);
}

/// Where a value that was given comes from.
fn source_ui(ui: &mut Ui, shared: &Shared<'_>, below: &'static str, queue: &mut Queue) {
    let given = &shared.state.session.reading().document.resistance;
    let Some(now) = note_of(given, below) else { return };
    let path = format!("resistance/{below}");
    named_row(ui, "  from", |ui| {
        let width = ui.available_width();
        let name = format!("Source of {below}");
        if let Some(new) = text_ui(ui, (&path, "source"), &name, now, width, "where it comes from") {
            alter(
                &path,
                "Say where a value comes from",
                move |document| write_note(&mut document.resistance, below, new.trim()),
                queue,
            );
        }
    });
}

fn note_of<'a>(resistance: &'a Resistance, below: &str) -> Option<&'a str> {
    fn note<K: Kind>(size: Option<&Size<K>>) -> Option<&str> {
        size.map(|size| size.note.as_str())
    }
    match below {
        "bearing" => note(resistance.bearing.as_ref()),
        "no_load_torque" => note(resistance.no_load_torque.as_ref()),
        "flank" => note(resistance.flank.as_ref()),
        "hysteresis" => note(resistance.hysteresis.as_ref()),
        "shoe" => note(resistance.shoe.as_ref()),
        "start_factor" => note(resistance.start_factor.as_ref()),
        _ => None,
    }
}

fn write_note(resistance: &mut Resistance, below: &str, text: &str) -> Option<()> {
    let note = match below {
        "bearing" => &mut resistance.bearing.as_mut()?.note,
        "no_load_torque" => &mut resistance.no_load_torque.as_mut()?.note,
        "flank" => &mut resistance.flank.as_mut()?.note,
        "hysteresis" => &mut resistance.hysteresis.as_mut()?.note,
        "shoe" => &mut resistance.shoe.as_mut()?.note,
        "start_factor" => &mut resistance.start_factor.as_mut()?.note,
        _ => return None,
    };
    text.clone_into(note);
    Some(())
}
