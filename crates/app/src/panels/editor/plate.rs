//! Plates and their features.

use egui::Ui;
use glidewright_project::document::{Feature, Patch, Plate, PlateOutline, PocketFill, Spot};
use glidewright_project::edit::{self, Addition};
use glidewright_project::size::{Length, Number};

use super::patch::{patch_ui, path_ui};
use super::{alter, change, fields_ui, name_field_ui, new, reach};
use crate::commands::{Action, Queue};
use crate::panels::Shared;
use crate::widgets::{choice_row, section_ui};

/// How a plate's drawing is seen.
const PLATE_SEEN: &str = "the plate from outside, the rail running to the right";

/// Kinds of outline, in the order they are offered.
const OUTLINES: [&str; 4] = ["round the axles", "rectangle", "pads and webs", "own path"];

const fn outline_form(outline: &PlateOutline) -> usize {
    match outline {
        PlateOutline::Around { .. } => 0,
        PlateOutline::Rectangle { .. } => 1,
        PlateOutline::Pads { .. } => 2,
        PlateOutline::Path(_) => 3,
    }
}

/// An outline of another kind, of about the extent the plate has now (mm, along and across).
fn outline_of(form: usize, half: (f64, f64)) -> PlateOutline {
    let (x, y) = half;
    match form {
        0 => PlateOutline::Around { margin: Length::of(14.0), corner: Length::of(6.0) },
        1 => PlateOutline::Rectangle { from: Spot::of(-x, -y), to: Spot::of(x, y), corner: Length::of(6.0) },
        2 => PlateOutline::Pads {
            pad: Length::of(28.0),
            web: Length::of(16.0),
            webs: Default::default(),
            fillet: Length::of(4.0),
        },
        _ => PlateOutline::Path(format!("M {} {} H {x} V {y} H {} Z", -x, -y, -x)),
    }
}

pub fn plate_ui(ui: &mut Ui, shared: &Shared<'_>, of: &str, name: &str, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let Some(rider) = document.riders.iter().find(|rider| rider.name == of) else { return };
    let Some(plate) = rider.plates.iter().find(|plate| plate.name == name) else { return };
    let path = format!("riders/{of}/plates/{name}");
    name_field_ui(ui, shared, "Plate", &path, name, queue);
    fields_ui(ui, shared, &path, |below| matches!(below, "thickness" | "material" | "fill" | "level"), queue);
    section_ui(ui, "Outline");
    let now = outline_form(&plate.outline);
    if let Some(chosen) = choice_row(ui, "Outline", now, &OUTLINES) {
        let (of, name) = (of.to_owned(), name.to_owned());
        let outline = outline_of(chosen, half_extent(shared, &of, &name));
        alter(
            &path,
            format!("Outline {name} another way"),
            move |document| {
                reach::plate(document, &of, &name)?.outline = outline.clone();
                Some(())
            },
            queue,
        );
    }
    fields_ui(ui, shared, &path, |below| below.starts_with("outline"), queue);
    if let PlateOutline::Path(d) = &plate.outline {
        path_ui(
            ui,
            &path,
            d,
            PLATE_SEEN,
            {
                let (of, name) = (of.to_owned(), name.to_owned());
                move |document, d| {
                    reach::plate(document, &of, &name)?.outline = PlateOutline::Path(d);
                    Some(())
                }
            },
            queue,
        );
    }
    features_ui(ui, of, plate, shared, queue);
}

/// Half the extent of a plate along and across (mm), as it is now.
fn half_extent(shared: &Shared<'_>, of: &str, name: &str) -> (f64, f64) {
    let plate = shared.state.session.bench().and_then(|bench| {
        let rider = bench.fixture.riders.iter().find(|rider| rider.name == of)?;
        rider.plates.iter().find(|plate| plate.name == name)
    });
    plate.map_or((40.0, 30.0), |plate| {
        let size = plate.outline.bounds().size();
        ((0.5 * size.x).round(), (0.5 * size.y).round())
    })
}

/// What is on a plate, and what can be added.
fn features_ui(ui: &mut Ui, of: &str, plate: &Plate, shared: &Shared<'_>, queue: &mut Queue) {
    section_ui(ui, "Features");
    let base = format!("riders/{of}/plates/{}", plate.name);
    for feature in &plate.features {
        use glidewright_project::document::Named as _;
        let name = feature.name();
        let words = format!("{name}, {}", feature_word(feature));
        let size = egui::Vec2::new(ui.available_width(), 0.0);
        let button = egui::Button::new(words).right_text("").min_size(size).frame_when_inactive(false);
        if ui.add(button).accessible_name(format!("Feature: {name}")).clicked() {
            queue.push(Action::Select(format!("{base}/features/{name}")));
        }
    }
    ui.menu_button("Add a feature", |ui| {
        for form in new::FEATURES {
            if ui.button(form).clicked() {
                let feature = new::feature(form, &plate.features);
                let path =
                    format!("{base}/features/{}", glidewright_project::document::Named::name(&feature));
                let (of, on) = (of.to_owned(), plate.name.clone());
                let added = change(
                    shared,
                    &base,
                    move |document| {
                        edit::add(document, Addition::Feature(of.clone(), on.clone(), feature.clone()))
                    },
                    queue,
                );
                if added {
                    queue.push(Action::Select(path));
                }
                ui.close();
            }
        }
    });
}

/// What a feature is, in a word.
pub const fn feature_word(feature: &Feature) -> &'static str {
    match feature {
        Feature::Tab(_) => "more plate",
        Feature::Cut(flat) => match flat.shape {
            Patch::Circle { .. } => "hole",
            Patch::Slot { .. } => "slot",
            _ => "cut-out",
        },
        Feature::Pocket(_) => "pocket",
        Feature::Rib(_) => "rib",
        Feature::Clamp(_) => "belt clamp",
    }
}

const fn shape_of(feature: &Feature) -> Option<&Patch> {
    match feature {
        Feature::Tab(flat) | Feature::Cut(flat) => Some(&flat.shape),
        Feature::Pocket(pocket) => Some(&pocket.shape),
        Feature::Rib(rib) => Some(&rib.shape),
        Feature::Clamp(_) => None,
    }
}

const fn shape_mut(feature: &mut Feature) -> Option<&mut Patch> {
    match feature {
        Feature::Tab(flat) | Feature::Cut(flat) => Some(&mut flat.shape),
        Feature::Pocket(pocket) => Some(&mut pocket.shape),
        Feature::Rib(rib) => Some(&mut rib.shape),
        Feature::Clamp(_) => None,
    }
}

pub fn feature_ui(ui: &mut Ui, shared: &Shared<'_>, of: &str, on: &str, name: &str, queue: &mut Queue) {
    use glidewright_project::document::Named as _;
    let document = &shared.state.session.reading().document;
    let Some(rider) = document.riders.iter().find(|rider| rider.name == of) else { return };
    let Some(plate) = rider.plates.iter().find(|plate| plate.name == on) else { return };
    let Some(feature) = plate.features.iter().find(|feature| feature.name() == name) else { return };
    let path = format!("riders/{of}/plates/{on}/features/{name}");
    name_field_ui(ui, shared, "Feature", &path, name, queue);
    ui.weak(format!("A {} of {on}", feature_word(feature)));
    let names = [of.to_owned(), on.to_owned(), name.to_owned()];
    if let Some(shape) = shape_of(feature) {
        let [of, on, name] = names.clone();
        patch_ui(
            ui,
            (&path, &name.clone()),
            shape,
            PLATE_SEEN,
            move |document| shape_mut(reach::feature(document, &of, &on, &name)?),
            queue,
        );
    }
    fields_ui(ui, shared, &path, |below| !below.starts_with("fill"), queue);
    if let Feature::Pocket(pocket) = feature {
        let filled = usize::from(pocket.fill.is_some());
        if let Some(chosen) = choice_row(ui, "Filled", filled, &["empty", "with ballast"]) {
            let [of, on, name] = names;
            alter(
                &path,
                "Fill or empty a pocket",
                move |document| {
                    let Feature::Pocket(pocket) = reach::feature(document, &of, &on, &name)? else {
                        return None;
                    };
                    // Poured shot packs to 0.64 of the room (random packing).
                    pocket.fill = (chosen == 1)
                        .then(|| PocketFill { material: new::ballast_material(), packing: Number::of(0.64) });
                    Some(())
                },
                queue,
            );
        }
        fields_ui(ui, shared, &path, |below| below.starts_with("fill"), queue);
    }
}
