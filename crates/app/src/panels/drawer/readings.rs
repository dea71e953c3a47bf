//! Caliper readings of parts, beside what their tables state.

use egui::{Button, Label, RichText, ScrollArea, Ui};
use glidewright_project::document::{Measured, PartKind};
use glidewright_project::tables::built_in;
use glidewright_project::{Slot, measured_sizes, parts_in_use};
use glidewright_sheet::{Tone, number};

use super::super::{Shared, editor};
use super::{Columns, cell_ui};
use crate::commands::Queue;
use crate::theme::{FontRole, colour};
use crate::widgets::{
    Choice, Picker, bare_number_ui, choice_ui, part_summary, plain_text, readings_ui as numbers_ui, round,
    text_scale,
};

const COLUMNS: Columns<'static> = Columns {
    heads: &[
        ("part", 130.0),
        ("size", 104.0),
        ("stated, mm", 110.0),
        ("readings, mm", 0.0),
        ("smallest step", 84.0),
        ("mean", 64.0),
        ("95 % of parts", 150.0),
        ("against stated", 92.0),
        ("", 60.0),
    ],
};

/// Draws the table.
pub fn readings_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let known = measured_sizes(document);
    ScrollArea::both().auto_shrink([false, false]).show(ui, |ui| {
        ui.set_min_width(960.0 * text_scale(ui));
        ui.spacing_mut().item_spacing.y = 2.0;
        begin_ui(ui, shared, queue);
        if document.measured.is_empty() {
            ui.weak(
                "Measure a part at a few places and note what the caliper says: the mean takes the place of \
                     the table's size wherever the part is used, and its spread goes into every gap.",
            );
            return;
        }
        let widths = COLUMNS.widths(ui);
        COLUMNS.head_ui(ui, &widths);
        for (place, measured) in document.measured.iter().enumerate() {
            let sizes = known.iter().find(|k| k.part == measured.part && k.size == measured.size);
            ui.push_id(("measured", place), |ui| row_ui(ui, shared, place, measured, sizes, &widths, queue));
        }
    });
}

/// The button that begins readings of a part in use.
fn begin_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let button =
        ui.button("Measure a part…").on_hover_text("Choose a part of the fixture to note readings of");
    let choices = || used_parts(shared);
    if let Some(part) = Picker::plain("Part to measure", "").pick(ui, &button, choices) {
        let size = measurable(shared, &part).into_iter().next().unwrap_or_default();
        editor::begin_readings(shared, &part, &size, queue);
    }
}

/// Parts the fixture uses, each once.
fn used_parts(shared: &Shared<'_>) -> Vec<Choice> {
    let document = &shared.state.session.reading().document;
    let used = parts_in_use(document).into_iter().filter(|part| part.kind != PartKind::Rail);
    let choices = used.map(|part| {
        let own = document.parts.iter().find(|known| known.name == part.name);
        let about = own.or_else(|| built_in().part(&part.name)).map(part_summary).unwrap_or_default();
        Choice::new(part.name, about)
    });
    choices.collect()
}

/// The sizes of a part that can be measured: its lengths, the one that counts most first.
fn measurable(shared: &Shared<'_>, name: &str) -> Vec<String> {
    let document = &shared.state.session.reading().document;
    let own = document.parts.iter().find(|part| part.name == name);
    let Some(part) = own.or_else(|| built_in().part(name)) else { return Vec::new() };
    let mut sizes = Vec::new();
    part.visit(&mut |path, slot| {
        if let Slot::Size(size) = slot
            && size.quantity() == glidewright_project::quantity::Quantity::Length
        {
            sizes.push(path.to_owned());
        }
    });
    if let Some(first) = editor::measurable(part)
        && let Some(place) = sizes.iter().position(|size| size == first)
    {
        sizes.swap(0, place);
    }
    sizes
}

fn row_ui(
    ui: &mut Ui,
    shared: &Shared<'_>,
    place: usize,
    measured: &Measured,
    sizes: Option<&glidewright_project::MeasuredSize>,
    widths: &[f32],
    queue: &mut Queue,
) {
    let [part, size, stated, readings, step, mean, interval, against, more] = widths else { return };
    let says = format!("{} {}", measured.part, measured.size);
    let change = |about: &str, write: Box<dyn Fn(&mut Measured) + Send + Sync>, queue: &mut Queue| {
        editor::alter(
            &format!("measured/{place}"),
            about,
            move |document| {
                write(document.measured.get_mut(place)?);
                Some(())
            },
            queue,
        );
    };
    ui.horizontal(|ui| {
        cell_ui(ui, *part, |ui| ui.add(Label::new(&measured.part).truncate()));
        cell_ui(ui, *size, |ui| {
            let all = measurable(shared, &measured.part);
            let words: Vec<String> = all.iter().map(|size| size.replace(['_', '/'], " ")).collect();
            let words: Vec<&str> = words.iter().map(String::as_str).collect();
            let now = all.iter().position(|known| *known == measured.size).unwrap_or(usize::MAX);
            let width = ui.available_width();
            if let Some(chosen) = choice_ui(ui, &format!("Size of {}", measured.part), now, &words, width)
                .and_then(|at| all.get(at).cloned())
            {
                change(
                    "Measure another size",
                    Box::new(move |measured| measured.size.clone_from(&chosen)),
                    queue,
                );
            }
        });
        cell_ui(ui, *stated, |ui| {
            let document = &shared.state.session.reading().document;
            let plain =
                || editor::stated(document, &measured.part, &measured.size).map(|size| number(size, 3));
            let text = sizes.map_or_else(|| plain().unwrap_or_default(), |sizes| with_half(&sizes.stated));
            ui.add(Label::new(RichText::new(text).weak()).truncate());
        });
        cell_ui(ui, *readings, |ui| {
            let read =
                numbers_ui(ui, (place, "readings"), &format!("Readings of {says}"), &measured.readings);
            if let Some(read) = read {
                change("Note readings", Box::new(move |measured| measured.readings.clone_from(&read)), queue);
            }
        });
        cell_ui(ui, *step, |ui| {
            let name = format!("Smallest step of {says}");
            if let Some(resolution) = bare_number_ui(ui, &name, measured.resolution, 0.0) {
                change("Note the caliper's step", Box::new(move |m| m.resolution = resolution), queue);
            }
        });
        if let Some(sizes) = sizes {
            figures_ui(ui, shared, sizes, [*mean, *interval, *against]);
        } else {
            cell_ui(ui, mean + interval + against, |ui| ui.weak("no readings, or no such part"));
        }
        cell_ui(ui, *more, |ui| {
            let button =
                ui.add(Button::new("Delete").small()).accessible_name(format!("Delete readings: {says}"));
            if button.on_hover_text("Take the readings away: the table's size counts again").clicked() {
                editor::alter(
                    "measured",
                    "Take readings away",
                    move |document| {
                        (place < document.measured.len()).then(|| drop(document.measured.remove(place)))
                    },
                    queue,
                );
            }
        });
    });
}

fn with_half(size: &glidewright_motion::Toleranced) -> String {
    let half = size.half_width();
    let nominal = plain_text(round(size.nominal, 3));
    if half > 0.0 { format!("{nominal} ± {}", plain_text(round(half, 3))) } else { nominal }
}

fn figures_ui(ui: &mut Ui, shared: &Shared<'_>, sizes: &glidewright_project::MeasuredSize, widths: [f32; 3]) {
    let [mean, interval, against] = widths;
    let measured = &sizes.measured;
    cell_ui(ui, mean, |ui| {
        let text = RichText::new(number(measured.nominal, 3)).font(FontRole::Strong.id());
        ui.add(Label::new(text).truncate());
    });
    cell_ui(ui, interval, |ui| {
        let half = measured.half_width();
        let (low, high) = (measured.nominal - half, measured.nominal + half);
        let text = format!("± {}: {} to {}", number(half, 3), number(low, 2), number(high, 2));
        ui.add(Label::new(text).truncate()).on_hover_text(crate::widgets::come_to(*measured, "mm"));
    });
    cell_ui(ui, against, |ui| {
        let off = measured.nominal - sizes.stated.nominal;
        let outside = off.abs() > sizes.stated.half_width() + 0.5e-3 && sizes.stated.half_width() > 0.0;
        let sign = if off >= 0.0 { "+" } else { "" };
        let mut text = RichText::new(format!("{sign}{}", number(off, 3)));
        if outside {
            text = text.color(colour(shared.theme.colour(Tone::Marginal)));
        }
        let tip = if outside { "Outside what is stated" } else { "Within what is stated" };
        ui.add(Label::new(text).truncate()).on_hover_text(tip);
    });
}
