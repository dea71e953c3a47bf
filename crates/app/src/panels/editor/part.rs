//! The project's own parts and materials.

use egui::Ui;
use glidewright_project::PartUse;
use glidewright_project::document::{BeltKind, Part, PartForm, PulleyRim, RailPart, Running};
use glidewright_project::size::{Angle, Length, Number};

use super::fields::choices;
use super::stack::begin_readings;
use super::{alter, fields_ui, name_field_ui, note_ui};
use crate::commands::Queue;
use crate::panels::Shared;
use crate::state::Drawer;
use crate::widgets::{Picker, choice_row, named_row, section_ui};

fn part_mut<'d>(document: &'d mut glidewright_project::Document, name: &str) -> Option<&'d mut Part> {
    document.parts.iter_mut().find(|part| part.name == name)
}

pub fn part_ui(ui: &mut Ui, shared: &Shared<'_>, name: &str, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let Some(part) = document.parts.iter().find(|part| part.name == name) else { return };
    let path = format!("parts/{name}");
    let word = part.form.kind().word();
    name_field_ui(ui, shared, "Own part", &path, name, queue);
    let sure = part.certainty.map_or_else(String::new, |known| format!("; its sizes: {}", known.says()));
    let article = if word.starts_with(['a', 'e', 'i']) { "An" } else { "A" };
    ui.weak(format!("{article} {word} of this project{sure}"));
    if !part.origin.is_empty() {
        ui.weak(format!("Copied from {}", part.origin));
    }
    form_ui(ui, &path, part, queue);
    fields_ui(ui, shared, &path, |_| true, queue);
    named_row(ui, "material", |ui| {
        let width = ui.available_width();
        let list = || choices(shared, PartUse::Material, &path);
        if let Some(material) = Picker::plain("material", &part.material).show(ui, width, list) {
            let name = name.to_owned();
            alter(
                &path,
                format!("Make {name} of {material}"),
                move |document| {
                    part_mut(document, &name)?.material.clone_from(&material);
                    Some(())
                },
                queue,
            );
        }
    });
    let of = name.to_owned();
    note_ui(
        ui,
        &path,
        "Note",
        &part.note,
        move |document, note| {
            part_mut(document, &of)?.note = note;
            Some(())
        },
        queue,
    );
    section_ui(ui, "Readings and cost");
    ui.horizontal(|ui| {
        if let Some(size) = measurable(part)
            && ui.button("Note readings…").clicked()
        {
            begin_readings(shared, name, size, queue);
        }
        if ui.button("Note its cost…").clicked() {
            queue.push(crate::commands::Action::Drawer(Drawer::Costs));
        }
    });
}

/// The size one measures first.
pub const fn measurable(part: &Part) -> Option<&'static str> {
    Some(match part.form {
        PartForm::Washer(_) => "thickness",
        PartForm::Nut(_) => "height",
        PartForm::Screw(_) => "head_height",
        PartForm::Insert(_) | PartForm::Spacer(_) | PartForm::Shim(_) | PartForm::Eccentric(_) => "length",
        PartForm::Wheel(_) => "hub",
        PartForm::Bearing(_) | PartForm::Belt(_) | PartForm::Pulley(_) => "width",
        PartForm::Rail(_) => return None,
    })
}

/// Choices that change which sizes a part has.
fn form_ui(ui: &mut Ui, path: &str, part: &Part, queue: &mut Queue) {
    let change = |about: &str, write: fn(&mut PartForm, usize), chosen: usize, queue: &mut Queue| {
        let name = part.name.clone();
        alter(
            path,
            about,
            move |document| {
                write(&mut part_mut(document, &name)?.form, chosen);
                Some(())
            },
            queue,
        );
    };
    match &part.form {
        PartForm::Nut(nut) => {
            let words = ["plain", "locking: grips the screw"];
            if let Some(chosen) = choice_row(ui, "It is", usize::from(nut.locking), &words) {
                change(
                    "Say whether the nut locks",
                    |form, chosen| {
                        if let PartForm::Nut(nut) = form {
                            nut.locking = chosen == 1;
                        }
                    },
                    chosen,
                    queue,
                );
            }
        }
        PartForm::Wheel(wheel) => {
            let now = match wheel.running {
                Running::Vee { .. } => 0,
                Running::Flat => 1,
                Running::Crowned { .. } => 2,
                Running::Grooved { .. } => 3,
            };
            if let Some(chosen) = choice_row(ui, "It is", now, &["vee", "flat", "crowned", "grooved"]) {
                change(
                    "Give the wheel another form",
                    |form, chosen| {
                        if let PartForm::Wheel(wheel) = form {
                            wheel.running = match chosen {
                                0 => Running::Vee { tip: Length::of(5.0), half_angle: Angle::of(45.0) },
                                1 => Running::Flat,
                                2 => Running::Crowned { radius: Length::of(60.0) },
                                _ => Running::Grooved { radius: Length::of(4.1) },
                            };
                        }
                    },
                    chosen,
                    queue,
                );
            }
        }
        PartForm::Belt(belt) => {
            let now = match belt.kind {
                BeltKind::Toothed { .. } => 0,
                BeltKind::Flat => 1,
                BeltKind::Cord => 2,
            };
            if let Some(chosen) = choice_row(ui, "It is", now, &["toothed", "flat", "a cord"]) {
                change(
                    "Give the belt another form",
                    |form, chosen| {
                        if let PartForm::Belt(belt) = form {
                            belt.kind = match chosen {
                                0 => BeltKind::Toothed { pitch: Length::of(2.0) },
                                1 => BeltKind::Flat,
                                _ => BeltKind::Cord,
                            };
                        }
                    },
                    chosen,
                    queue,
                );
            }
        }
        PartForm::Pulley(pulley) => {
            let now = usize::from(matches!(pulley.rim, PulleyRim::Toothed { .. }));
            if let Some(chosen) = choice_row(ui, "Its rim", now, &["plain", "toothed"]) {
                change(
                    "Give the pulley another rim",
                    |form, chosen| {
                        if let PartForm::Pulley(pulley) = form {
                            pulley.rim = if chosen == 0 {
                                PulleyRim::Plain { diameter: Length::of(16.0) }
                            } else {
                                PulleyRim::Toothed { teeth: Number::of(20.0), pitch: Length::of(2.0) }
                            };
                        }
                    },
                    chosen,
                    queue,
                );
            }
        }
        PartForm::Rail(RailPart::Outline(outline)) => {
            ui.weak(format!("Section by its outline, {} tracks", outline.tracks.len()));
            let name = part.name.clone();
            note_ui(
                ui,
                path,
                "Path",
                &outline.d,
                move |document, text| {
                    match &mut part_mut(document, &name)?.form {
                        PartForm::Rail(RailPart::Outline(outline)) => outline.d = text,
                        _ => return None,
                    }
                    Some(())
                },
                queue,
            );
        }
        _ => {}
    }
}

pub fn material_ui(ui: &mut Ui, shared: &Shared<'_>, name: &str, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let Some(material) = document.materials.iter().find(|material| material.name == name) else { return };
    let path = format!("materials/{name}");
    name_field_ui(ui, shared, "Material", &path, name, queue);
    fields_ui(ui, shared, &path, |_| true, queue);
    let of = name.to_owned();
    note_ui(
        ui,
        &path,
        "Note",
        &material.note,
        move |document, note| {
            document.materials.iter_mut().find(|material| material.name == of)?.note = note;
            Some(())
        },
        queue,
    );
}
