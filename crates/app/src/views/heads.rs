//! The bars over and under the views: which view, which strips; play and travel; the hint.

use egui::containers::menu::{MenuButton, MenuConfig};
use egui::{Align, Button, Frame, Layout, Margin, PopupCloseBehavior, Rect, RichText, Ui, UiBuilder, Vec2};
use glidewright_project::quantity::Quantity;
use glidewright_sheet::views::{Compared, StripAxis, StripKind, View};

use super::canvases::on_screen;
use super::look::{COMPARE, Look, strips};
use super::{CENTRE, SPACE};
use crate::commands::{Action, Command, Queue};
use crate::panels::{Shared, named_gaps};
use crate::state::{Preferences, SPEEDS, about_strip, about_view};
use crate::theme::{FontRole, Surface};
use crate::widgets::{FigureField, choice_ui as pick_ui, wrapped_bar_ui};

/// Which view stands in the middle, and how it is looked at.
pub fn choice_ui(ui: &mut Ui, chosen: &View, look: &Look, shared: &Shared<'_>, queue: &mut Queue) {
    let views = |ui: &mut Ui, queue: &mut Queue| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = Vec2::splat(2.0);
            views_ui(ui, chosen, shared, queue);
        });
    };
    let ways = |ui: &mut Ui, queue: &mut Queue| {
        if chosen.name == COMPARE {
            compared_ui(ui, look, queue);
        }
        if chosen.name != CENTRE {
            return;
        }
        strips_ui(ui, look, shared, queue);
        if look.window.is_some() {
            let all = Command::ShowAll;
            let button = ui.small_button("All of it").on_hover_text(all.tooltip(ui.ctx()));
            if button.clicked() {
                queue.push(Action::Do(all));
            }
        }
    };
    ui.horizontal_top(|ui| wrapped_bar_ui(ui, queue, views, ways));
}

/// What is pictured of each trial.
fn compared_ui(ui: &mut Ui, look: &Look, queue: &mut Queue) {
    let now = Compared::ALL.iter().position(|known| *known == look.compared).unwrap_or(0);
    let words = Compared::ALL.map(Compared::title);
    if let Some(chosen) = pick_ui(ui, "Picture of each trial", now, &words, 110.0)
        && let Some(compared) = Compared::ALL.get(chosen)
    {
        queue.push(Action::Picture(*compared));
    }
}

/// A button for each view that has something to show.
fn views_ui(ui: &mut Ui, chosen: &View, shared: &Shared<'_>, queue: &mut Queue) {
    let bench = shared.state.session.bench();
    for view in on_screen() {
        let is_empty = bench.is_some_and(|bench| (view.lacks)(&bench.fixture, &bench.results).is_some());
        if is_empty && view.name != chosen.name {
            continue;
        }
        let button = Button::selectable(view.name == chosen.name, view.title);
        let response = ui.add(button).on_hover_text(view.about);
        if response.accessible_name(format!("Show: {}", view.title)).clicked() {
            queue.push(Action::Centre(view.name));
        }
    }
}

/// Play, travel, and the gap there.
pub fn stroke_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    ui.horizontal_wrapped(|ui| {
        play_ui(ui, shared, queue);
        let Some(bench) = shared.state.session.bench() else { return };
        ui.separator();
        let unit = shared.state.preferences.units();
        let stroke = bench.fixture.stroke;
        let field = FigureField {
            name: "Travel",
            short: "travel",
            about: "Where the lead rider stands",
            now: shared.state.travel,
            range: stroke.from..=stroke.to,
            speed: 0.5,
            decimals: 1,
            quantity: Quantity::Length,
            values: &shared.state.session.reading().values,
            units: unit,
        };
        if let Some(travel) = field.show(ui) {
            queue.push(Action::GoTo(travel));
        }
        ui.weak(format!("of {}", unit.stretch(stroke.from, stroke.to, 0)));
        let here = bench.results.interference.band.at(shared.state.travel);
        if let Some(here) = here.filter(|here| here.gap.is_finite()) {
            ui.separator();
            let named = named_gaps(unit, [here.gap, here.loaded, here.least()]);
            ui.weak("gap here").on_hover_text(&named);
            ui.label(RichText::new(unit.text(here.gap, 2)).font(FontRole::Strong.id())).on_hover_text(named);
        }
    });
}

/// Play, speed, again, rest.
fn play_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    ui.spacing_mut().item_spacing.x = 4.0;
    let playing = shared.state.play.is_some();
    let hindrance = Command::Play.hindrance(shared.state);
    let word = if playing { "Pause" } else { "Play" };
    let button = Button::selectable(playing, word).frame_when_inactive(true);
    let response = ui.add_enabled(hindrance.is_none(), button).on_hover_text(Command::Play.tooltip(ui.ctx()));
    if response.clicked() {
        queue.push(Action::Do(Command::Play));
    }
    let before = &shared.state.preferences;
    let mut wanted = before.play;
    let field = FigureField {
        name: "Speed of play",
        short: "at",
        about: "Speed of the lead rider while it plays",
        now: wanted.speed,
        range: SPEEDS,
        speed: 2.0,
        decimals: 0,
        quantity: Quantity::Speed,
        values: &shared.state.session.reading().values,
        units: before.units(),
    };
    if let Some(speed) = field.show(ui) {
        wanted.speed = speed;
    }
    let again = ui.toggle_value(&mut wanted.again, "Loop").on_hover_text("Go on until it is paused");
    again.accessible_name("Play on and on");
    let rest =
        ui.toggle_value(&mut wanted.rest, "Rest").on_hover_text("Rest for a moment where it is tightest");
    rest.accessible_name("Rest where it is tightest");
    if wanted != before.play {
        queue.push(Action::Prefer(Box::new(Preferences { play: wanted, ..before.clone() })));
    }
}

/// Which strips, in which order, over what, and what shows behind.
fn strips_ui(ui: &mut Ui, look: &Look, shared: &Shared<'_>, queue: &mut Queue) {
    // Several things are changed in one go: only a click outside closes it.
    let stays = MenuConfig::new().close_behavior(PopupCloseBehavior::CloseOnClickOutside);
    let (response, _) = MenuButton::new("Strips").config(stays).ui(ui, |ui| {
        ui.set_min_width(240.0);
        let before = &shared.state.preferences;
        let chosen = strips(before);
        let mut wanted = chosen.clone();
        for (place, kind) in chosen.iter().enumerate() {
            ui.horizontal(|ui| {
                let mut shown = true;
                ui.checkbox(&mut shown, kind.title());
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    let up = ui.add_enabled(place > 0, Button::new("↑").small());
                    if up.accessible_name(format!("{} earlier", kind.title())).clicked() {
                        wanted.swap(place, place - 1);
                    }
                    let last = place + 1 == chosen.len();
                    let down = ui.add_enabled(!last, Button::new("↓").small());
                    if down.accessible_name(format!("{} later", kind.title())).clicked() {
                        wanted.swap(place, place + 1);
                    }
                    let how = ui.add(Button::new("?").small()).on_hover_text("How this is computed");
                    if how.accessible_name(format!("How it is computed: {}", kind.title())).clicked() {
                        queue.push(Action::Handbook(about_strip(*kind)));
                    }
                });
                if !shown {
                    wanted.retain(|other| other != kind);
                }
            });
        }
        for kind in StripKind::ALL.into_iter().filter(|kind| !chosen.contains(kind)) {
            let mut shown = false;
            if ui.checkbox(&mut shown, kind.title()).changed() {
                wanted.push(kind);
            }
        }
        if wanted != chosen {
            let names = wanted.iter().map(|kind| kind.name().to_owned()).collect();
            let preferences = Preferences { strips: Some(names), ..before.clone() };
            queue.push(Action::Prefer(Box::new(preferences)));
        }
        ui.separator();
        let reach = Command::ToggleAxis;
        let hindrance = reach.hindrance(shared.state);
        ui.add_enabled_ui(hindrance.is_none(), |ui| {
            let mut over_reach = look.axis == StripAxis::Reach;
            let response = ui.checkbox(&mut over_reach, "Over the reach of the arm");
            let response = match hindrance {
                Some(why) => response.on_disabled_hover_text(why),
                None => response.on_hover_text(reach.tooltip(ui.ctx())),
            };
            if response.changed() {
                queue.push(Action::Do(reach));
            }
        });
        let ghosts = Command::ToggleGhosts;
        ui.add_enabled_ui(ghosts.hindrance(shared.state).is_none(), |ui| {
            let mut shown = before.ghosts;
            let response = ui.checkbox(&mut shown, "Other trials faintly");
            if response.on_hover_text(ghosts.tooltip(ui.ctx())).changed() {
                queue.push(Action::Do(ghosts));
            }
        });
    });
    response.on_hover_text("Which strips are shown, in which order");
}

/// The bar over a close-up.
pub fn head_ui(ui: &mut Ui, head: Rect, of: &View, shared: &Shared<'_>, queue: &mut Queue) {
    ui.painter().rect_filled(head, 0.0, Surface::Panel.color32(shared.theme));
    let inside = head.shrink2(Vec2::new(8.0, 0.0));
    let layout = Layout::right_to_left(Align::Center);
    let builder = UiBuilder::new().id_salt(("head", of.name)).max_rect(inside).layout(layout);
    let mut ui = ui.new_child(builder);
    let button = ui.small_button("To the middle").on_hover_text("Show it in the middle");
    if button.accessible_name(format!("To the middle: {}", of.title)).clicked() {
        queue.push(Action::Centre(of.name));
    }
    let button = ui.small_button("?").on_hover_text("How this is computed");
    if button.accessible_name(format!("How it is computed: {}", of.title)).clicked() {
        queue.push(Action::Handbook(about_view(of.name)));
    }
    ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
        let title = RichText::new(of.title).font(FontRole::Strong.id());
        ui.add(egui::Label::new(title).truncate()).on_hover_text(of.about);
        if of.name == SPACE {
            ui.weak("drag to turn");
        }
    });
}

/// The hint to give, in a bar at the foot of the view; what is left above it.
pub fn hint_ui(ui: &mut Ui, body: Rect, shared: &Shared<'_>, queue: &mut Queue) -> Rect {
    let before = &shared.state.preferences;
    let Some(hint) = before.hints.next() else { return body };
    if body.height() < 200.0 {
        return body;
    }
    let (above, bar) = body.split_top_bottom_at_y(body.bottom() - 30.0);
    ui.painter().rect_filled(bar, 0.0, Surface::SelectedFill.color32(shared.theme));
    let inside = bar.shrink2(Vec2::new(10.0, 0.0));
    let layout = Layout::right_to_left(Align::Center);
    let mut ui = ui.new_child(UiBuilder::new().id_salt("hint").max_rect(inside).layout(layout));
    if ui.small_button("No more hints").clicked() {
        let mut preferences = before.clone();
        preferences.hints.off = true;
        queue.push(Action::Prefer(Box::new(preferences)));
    }
    if ui.small_button("Got it").accessible_name("Put the hint away").clicked() {
        queue.push(Action::Follow(hint));
    }
    ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
        Frame::new().inner_margin(Margin::ZERO).show(ui, |ui| {
            ui.add(egui::Label::new(hint.text()).truncate()).on_hover_text(hint.text());
        });
    });
    above
}
