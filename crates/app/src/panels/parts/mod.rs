//! The parts of the fixture as one list. What is chosen opens where it stands: what is on it in a row, and its sizes below.

mod adding;
mod doing;
mod things;

use egui::{Align, Button, Color32, Frame, Layout, Margin, Rect, Response, RichText, ScrollArea, Ui, Vec2};
use glidewright_project::Severity;
use glidewright_project::edit::is_thing;
use glidewright_sheet::Tone;

use super::{Shared, editor};
use crate::commands::{Action, Queue};
use crate::theme::{FontRole, Surface, colour};
use crate::widgets::{Mark, Region, arrows_walk, paint_mark};
use things::{Thing, thing_of, things};

pub use doing::{
    copy as copy_part, delete as delete_part, double as double_part, meant as meant_part,
    menu_ui as part_menu_ui, paste as paste_part,
};

/// In a low window the list may shrink to about a line (points).
const LOW: f32 = 24.0;
/// So much of what opened is brought into sight with its row (points).
const SHOWN_BELOW: f32 = 220.0;

/// Draws the list.
pub fn parts_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let things = things(document);
    let chosen = thing_of(&things, &shared.state.selected);
    head_ui(ui, shared, chosen, queue);
    let area = ScrollArea::vertical().id_salt("parts").min_scrolled_height(LOW).auto_shrink([false, false]);
    area.show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        let chosen_path = chosen.map_or("", |chosen| chosen.path.as_str());
        let mut rows = Vec::new();
        for thing in &things {
            if thing.begins_settings {
                ui.add_space(7.0);
            }
            thing_ui(ui, shared, thing, chosen, &mut rows, queue);
        }
        if let Some(row) = rows.iter().find(|(path, _)| *path == chosen_path).or(rows.first()) {
            Region::Parts.anchor(&row.1);
        }
        let rows: Vec<Response> = rows.into_iter().map(|(_, row)| row).collect();
        arrows_walk(ui, &rows);
        ui.add_space(8.0);
    });
}

/// The head of the panel: what can be done with what is selected.
fn head_ui(ui: &mut Ui, shared: &Shared<'_>, chosen: Option<&Thing>, queue: &mut Queue) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("Parts").font(FontRole::Strong.id()));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.spacing_mut().item_spacing.x = 2.0;
            let path = chosen.map_or("", |thing| thing.path.as_str());
            doing::buttons_ui(ui, shared, path, queue);
            ui.menu_button("Add", |ui| adding::add_ui(ui, shared, path, queue))
                .response
                .on_hover_text("Add something to what is selected, or to the fixture");
        });
    });
    ui.add_space(2.0);
}

/// A thing's row; where it or something in it is chosen, all about that below.
fn thing_ui(
    ui: &mut Ui,
    shared: &Shared<'_>,
    thing: &Thing,
    chosen: Option<&Thing>,
    rows: &mut Vec<(String, Response)>,
    queue: &mut Queue,
) {
    let Some(chosen) = chosen.filter(|chosen| thing.holds(&chosen.path)) else {
        rows.push((thing.path.clone(), row_ui(ui, shared, thing, false, queue)));
        return;
    };
    let opened = Frame::new()
        .fill(Surface::Bar.color32(shared.theme))
        .inner_margin(Margin { left: 6, right: 2, top: 0, bottom: 6 })
        .outer_margin(Margin { bottom: 4, ..Margin::ZERO })
        .show(ui, |ui| {
            let row = row_ui(ui, shared, thing, chosen.path == thing.path, queue);
            let place = row.rect;
            rows.push((thing.path.clone(), row));
            let mut level = thing;
            let mut last = place;
            while !level.inside.is_empty() {
                last = chips_ui(ui, shared, level, chosen, rows, queue).unwrap_or(last);
                let Some(next) = level.inside.iter().find(|inner| inner.holds(&chosen.path)) else { break };
                level = next;
            }
            show_once(ui, &chosen.path, place.union(last));
            ui.spacing_mut().item_spacing.y = 4.0;
            ui.add_space(4.0);
            ui.push_id(&chosen.path, |ui| {
                if chosen.is_group {
                    ui.weak(if chosen.inside.is_empty() { "None yet." } else { "Choose one to change it." });
                } else {
                    editor::editor_ui(ui, shared, &chosen.path, queue);
                }
            });
        });
    let edge =
        Rect::from_min_size(opened.response.rect.min, Vec2::new(2.0, opened.response.rect.height() - 4.0));
    ui.painter().rect_filled(edge, 0.0, colour(shared.theme.colour(Tone::Selection)));
}

fn row_ui(ui: &mut Ui, shared: &Shared<'_>, thing: &Thing, chosen: bool, queue: &mut Queue) -> Response {
    let mark = mark_of(shared, thing);
    let room = if mark.is_some() { "      " } else { "" };
    let mut name = RichText::new(thing.name.as_str());
    if thing.is_rider {
        name = name.font(FontRole::Strong.id());
    }
    let button = Button::selectable(chosen, name)
        .right_text((RichText::new(thing.word).small().weak(), room))
        .truncate()
        .min_size(Vec2::new(ui.available_width(), 0.0));
    let response = ui.add(button).accessible_name(format!("Part: {}", thing.name));
    if let Some(mark) = mark {
        let at = response.rect.right_center() - Vec2::new(11.0, 0.0);
        paint_mark(ui.painter(), at, 10.0, mark, shared.theme);
    }
    answer(&response, shared, thing, queue);
    response
}

/// What is on a thing, side by side as far as they fit; the place of the one that holds what is chosen.
fn chips_ui(
    ui: &mut Ui,
    shared: &Shared<'_>,
    thing: &Thing,
    chosen: &Thing,
    rows: &mut Vec<(String, Response)>,
    queue: &mut Queue,
) -> Option<Rect> {
    let mut at = None;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = Vec2::new(3.0, 3.0);
        for inner in &thing.inside {
            let holds = inner.holds(&chosen.path);
            let mut name = RichText::new(inner.name.as_str());
            if let Some(mark) = mark_of(shared, inner) {
                name = name.color(mark_colour(shared, mark));
            }
            // The word only where the name does not say what it is.
            let word = if inner.word.len() <= 7 && !inner.name.contains(inner.word.trim_end_matches('s')) {
                RichText::new(inner.word).small().weak()
            } else {
                RichText::new("")
            };
            let button = if word.is_empty() {
                Button::selectable(holds, name)
            } else {
                Button::selectable(holds, (name, word))
            };
            let button = button.frame_when_inactive(true).small();
            let mut response = ui.add(button).accessible_name(format!("Part: {}", inner.name));
            if !inner.word.is_empty() {
                response = response.on_hover_text(inner.word);
            }
            answer(&response, shared, inner, queue);
            if holds {
                at = Some(response.rect);
            }
            rows.push((inner.path.clone(), response));
        }
    });
    at
}

fn mark_colour(shared: &Shared<'_>, mark: Mark) -> Color32 {
    colour(shared.theme.colour(if mark == Mark::Fails { Tone::Clash } else { Tone::Marginal }))
}

/// Chooses it, or shows what can be done with it.
fn answer(response: &Response, shared: &Shared<'_>, thing: &Thing, queue: &mut Queue) {
    if response.clicked() || response.secondary_clicked() {
        queue.push(Action::Select(thing.path.clone()));
    }
    if response.double_clicked() && is_thing(&thing.path) {
        editor::begin_rename(&response.ctx, &thing.path, queue);
    }
    if is_thing(&thing.path) || thing.path.ends_with("/stack") {
        response.context_menu(|ui| part_menu_ui(ui, shared, &thing.path, queue));
    }
}

/// Keeps what is chosen in sight when it was chosen elsewhere.
fn show_once(ui: &Ui, path: &str, row: Rect) {
    let seen = egui::Id::unique("part scrolled to");
    if ui.data(|data| data.get_temp::<String>(seen)).as_deref() != Some(path) {
        ui.scroll_to_rect(Rect::from_min_max(row.min, row.max + Vec2::new(0.0, SHOWN_BELOW)), None);
        ui.data_mut(|data| data.insert_temp(seen, path.to_owned()));
    }
}

/// Whether something in it is wrong in the document.
fn mark_of(shared: &Shared<'_>, thing: &Thing) -> Option<Mark> {
    let problems = &shared.state.session.reading().problems;
    let worst = problems.iter().filter(|problem| problem.place.path().is_some_and(|path| thing.holds(path)));
    match worst.map(|problem| problem.severity).max()? {
        Severity::Error => Some(Mark::Fails),
        Severity::Warning => Some(Mark::Marginal),
        Severity::Note => None,
    }
}
