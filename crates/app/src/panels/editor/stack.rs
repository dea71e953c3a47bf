//! A stack piece by piece, from the head on, drawn to one scale; pieces are dragged to another place, swapped,
//! added and taken away.

use egui::{
    Align, Button, Color32, CursorIcon, EventFilter, Frame, Id, Key, Layout, Modifiers, Popup,
    PopupCloseBehavior, Rect, Response, RichText, Sense, Stroke, Ui, Vec2,
};
use glidewright_motion as motion;
use glidewright_project::document::{
    Change, Document, Measured, PartKind, Piece, PieceKind, ScrewHole, Stack, piece_names,
};
use glidewright_project::edit::{self, Addition};
use glidewright_project::size::Formula;
use glidewright_project::{PartUse, cost_of};
use glidewright_sheet::{Tone, number};

use super::fields::{field_at, scroll_once};
use super::{change, fields_ui, rename};
use crate::commands::{Action, Queue};
use crate::panels::Shared;
use crate::state::{Drawer, Edit};
use crate::theme::{FontRole, Surface, colour};
use crate::widgets::{Choice, Glyph, paint_glyph, part_picker_ui, plain_text, round, text_scale, text_ui};

/// Width of the pictures, at ordinary text size (points).
const GLYPH_WIDTH: f32 = 58.0;
/// No piece is drawn larger than this (points per mm), so that small ones stay in proportion to the text.
const MOST_SCALE: f32 = 2.2;

/// The stack that stands at a path.
pub fn stack_at<'d>(document: &'d Document, path: &str) -> Option<&'d Stack> {
    let steps: Vec<&str> = path.split('/').collect();
    let ["riders", rider, rest @ ..] = steps.as_slice() else { return None };
    let rider = document.riders.iter().find(|known| known.name == *rider)?;
    match rest {
        ["stack"] => rider.stack.as_ref(),
        ["wheels", name, "stack"] => rider.wheels.iter().find(|known| known.name == *name)?.stack.as_ref(),
        ["bolts", name, "stack"] => Some(&rider.bolts.iter().find(|known| known.name == *name)?.stack),
        _ => None,
    }
}

/// The same as it was resolved, with where its pieces came to stand.
fn resolved<'s>(
    shared: &'s Shared<'_>,
    path: &str,
) -> Option<(&'s motion::Stack, Option<&'s motion::PlacedStack>)> {
    let bench = shared.state.session.bench()?;
    let screw = format!("{path}/screw");
    bench.fixture.riders.iter().enumerate().find_map(|(number, rider)| {
        let wheels = rider.wheels.iter().enumerate().map(|(at, m)| (motion::StackOf::Wheel(at), &m.stack));
        let bolts = rider.bolts.iter().enumerate().map(|(at, b)| (motion::StackOf::Bolt(at), &b.stack));
        let (of, stack) = wheels.chain(bolts).find(|(_, stack)| stack.screw.path == screw)?;
        let placed = bench.results.assembly.riders.get(number);
        Some((stack, placed.and_then(|rider| rider.stacks.iter().find(|stack| stack.of == of))))
    })
}

/// Draws the stack that stands at a path.
pub fn stack_ui(ui: &mut Ui, shared: &Shared<'_>, path: &str, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let Some(stack) = stack_at(document, path) else {
        ui.weak("There is no stack here.");
        return;
    };
    used_by_ui(ui, document, path);
    let known = resolved(shared, path);
    let view = StackView {
        shared,
        path,
        stack,
        names: piece_names(&stack.pieces),
        resolved: known.map(|(stack, _)| stack),
        placed: known.and_then(|(_, placed)| placed),
    };
    let scale = view.scale(ui);
    ui.spacing_mut().item_spacing.y = 0.0;
    view.head_ui(ui, scale, queue);
    let mut rows: Vec<Rect> = Vec::new();
    let mut dragged = None;
    for place in 0..stack.pieces.len() {
        let (rect, drag) = view.piece_ui(ui, place, scale, queue);
        rows.push(rect);
        dragged = drag.or(dragged);
    }
    view.end_ui(ui, scale);
    if let Some(drag) = dragged {
        view.drop_ui(ui, &rows, drag, queue);
    }
    ui.spacing_mut().item_spacing.y = 4.0;
    ui.add_space(6.0);
    view.foot_ui(ui, queue);
}

/// Which wheels have a rider's stack.
fn used_by_ui(ui: &mut Ui, document: &Document, path: &str) {
    let Some(rider) = path.strip_prefix("riders/").and_then(|rest| rest.strip_suffix("/stack")) else {
        return;
    };
    let Some(rider) = document.riders.iter().find(|known| known.name == rider) else { return };
    let users: Vec<&str> =
        rider.wheels.iter().filter(|wheel| wheel.stack.is_none()).map(|wheel| wheel.name.as_str()).collect();
    let words = if users.is_empty() {
        "No wheel uses it: each has a stack of its own.".to_owned()
    } else {
        format!("Shared by {}", users.join(", "))
    };
    ui.add(egui::Label::new(RichText::new(words).weak()).wrap());
}

/// A piece being dragged to another place.
struct Drag {
    from: usize,
    pointer: f32,
    released: bool,
}

struct StackView<'a> {
    shared: &'a Shared<'a>,
    path: &'a str,
    stack: &'a Stack,
    names: Vec<String>,
    resolved: Option<&'a motion::Stack>,
    placed: Option<&'a motion::PlacedStack>,
}

impl StackView<'_> {
    /// The piece at a place as it was resolved, if all were.
    fn solid(&self, place: usize) -> Option<&motion::Piece> {
        let pieces = &self.resolved?.pieces;
        (pieces.len() == self.stack.pieces.len()).then(|| pieces.get(place))?
    }

    fn thread(&self) -> f64 {
        self.resolved.map_or(6.0, |stack| stack.screw.diameter)
    }

    fn glyph(&self, place: usize) -> Glyph {
        let Some(piece) = self.solid(place) else {
            return Glyph::Ring { outer: 10.0, length: 3.0, offset: 0.0 };
        };
        let length = piece.thickness.nominal;
        match &piece.kind {
            motion::PieceKind::Plate(_) => Glyph::Plate { thickness: length },
            motion::PieceKind::Wheel(wheel) => {
                let outer = 2.0 * wheel.outer_radius.nominal;
                let width = wheel.width;
                let tip = match wheel.running {
                    motion::Running::Vee { tip, .. } => tip,
                    _ => width,
                };
                Glyph::Wheel { outer, width, hub: length, tip }
            }
            motion::PieceKind::Nut { locking } => {
                Glyph::Nut { flats: piece.outer, height: length, locking: *locking }
            }
            motion::PieceKind::Eccentric { offset, .. } => {
                Glyph::Ring { outer: piece.outer, length, offset: *offset }
            }
            _ => Glyph::Ring { outer: piece.outer, length, offset: 0.0 },
        }
    }

    /// Points per mm: the widest piece fills the pictures' width.
    fn scale(&self, ui: &Ui) -> f32 {
        let widest =
            (0..self.stack.pieces.len()).map(|place| self.glyph(place).across()).fold(10.0, f64::max);
        ((GLYPH_WIDTH - 4.0) * text_scale(ui) / widest as f32).min(MOST_SCALE * text_scale(ui))
    }

    /// A row with its picture; the row's rectangle, a handle's response, and whether the picture was clicked.
    fn row_ui(
        &self,
        ui: &mut Ui,
        glyph: Glyph,
        scale: f32,
        chosen: bool,
        add: impl FnOnce(&mut Ui),
    ) -> (Rect, Response) {
        let height = (glyph.length() as f32 * scale + 3.0).max(ui.spacing().interact_size.y + 2.0);
        let width = GLYPH_WIDTH * text_scale(ui);
        let fill =
            if chosen { Surface::SelectedFill.color32(self.shared.theme) } else { Color32::TRANSPARENT };
        let shown = Frame::new().fill(fill).show(ui, |ui| {
            ui.horizontal(|ui| {
                ui.spacing_mut().item_spacing.x = 3.0;
                ui.set_min_height(height);
                let (rect, response) = ui.allocate_exact_size(Vec2::new(width, height), Sense::click());
                paint_glyph(ui.painter(), rect, glyph, self.thread(), scale, chosen, self.shared.theme);
                add(ui);
                response
            })
            .inner
        });
        (shown.response.rect, shown.inner)
    }

    fn kind_ui(&self, ui: &mut Ui, word: &str) {
        let width = 50.0 * text_scale(ui);
        let (rect, _) =
            ui.allocate_exact_size(Vec2::new(width, ui.spacing().interact_size.y), Sense::hover());
        let text = RichText::new(word).small().weak();
        ui.new_child(egui::UiBuilder::new().max_rect(rect).layout(Layout::left_to_right(Align::Center)))
            .add(egui::Label::new(text).truncate().selectable(false));
    }

    fn head_ui(&self, ui: &mut Ui, scale: f32, queue: &mut Queue) {
        let glyph = match self.resolved {
            Some(stack) => Glyph::Head {
                size: stack.screw.head_size,
                height: stack.screw.head_height.nominal,
                is_dome: stack.screw.head_form == motion::HeadForm::Button,
                is_sunk: stack.screw.head_form == motion::HeadForm::Countersunk,
            },
            None => Glyph::Head { size: 10.0, height: 6.0, is_dome: false, is_sunk: false },
        };
        let path = format!("{}/screw", self.path);
        let chosen = self.shared.state.selected == path;
        let (_, picture) = self.row_ui(ui, glyph, scale, chosen, |ui| {
            ui.add_space(17.0 * text_scale(ui));
            self.kind_ui(ui, "screw");
            let width = ui.available_width();
            let screw = &self.stack.screw;
            super::fields::part_ui(
                ui,
                self.shared,
                "screw",
                &path,
                PartUse::Kind(PartKind::Screw),
                screw,
                width,
                queue,
            );
        });
        if picture.accessible_name("Picture of the screw's head").clicked() {
            queue.push(Action::Select(path));
        }
    }

    fn piece_ui(&self, ui: &mut Ui, place: usize, scale: f32, queue: &mut Queue) -> (Rect, Option<Drag>) {
        let (Some(piece), Some(name)) = (self.stack.pieces.get(place), self.names.get(place)) else {
            return (Rect::NOTHING, None);
        };
        let path = format!("{}/{name}", self.path);
        let chosen =
            self.shared.state.selected == path || self.shared.state.selected.starts_with(&format!("{path}/"));
        let mut drag = None;
        let (rect, picture) = ui
            .push_id(("piece", place), |ui| {
                self.row_ui(ui, self.glyph(place), scale, chosen, |ui| {
                    drag = self.handle_ui(ui, place, name, piece, queue);
                    self.kind_ui(ui, piece.kind.word());
                    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                        self.length_ui(ui, piece, &path, queue);
                        let width = ui.available_width();
                        self.pick_ui(ui, piece, name, &path, width, queue);
                    });
                })
            })
            .inner;
        let tip = if piece.name.is_empty() { String::new() } else { format!("{name}: ") };
        let says = self.solid(place).map_or_else(String::new, |solid| {
            let half = solid.thickness.half_width();
            let spread =
                if half > 0.0 { format!(" ± {}", plain_text(round(half, 3))) } else { String::new() };
            format!("{tip}{}, {}{spread} mm along the screw", solid.name, number(solid.thickness.nominal, 2))
        });
        let picture = picture.on_hover_text(says).accessible_name(format!("Picture of the {name}"));
        if chosen {
            scroll_once(ui, &self.shared.state.selected, &picture);
        }
        if picture.clicked() {
            queue.push(Action::Select(path.clone()));
        }
        let is_tapped = piece.hole == ScrewHole::Tapped;
        if piece.kind == PieceKind::Plate && (chosen || is_tapped) {
            let keep = |below: &str| below == "hole" || (below == "depth" && is_tapped);
            fields_ui(ui, self.shared, &path, keep, queue);
        }
        if let Some(problem) = self.shared.state.session.reading().problem_at(&path) {
            super::complaint_ui(ui, self.shared, &problem.message, &problem.remedy);
        }
        (rect, drag)
    }

    fn pick_ui(&self, ui: &mut Ui, piece: &Piece, name: &str, path: &str, width: f32, queue: &mut Queue) {
        let choices = || piece_choices(self.shared, piece.kind, path);
        if let Some(part) = part_picker_ui(ui, name, &piece.part, width, choices) {
            queue.push(Action::Edit(Edit::set(path, &part)));
            queue.push(Action::EndEdit);
        }
    }

    /// The extent along the screw: a field where it is the piece's own, a figure where its part says it.
    fn length_ui(&self, ui: &mut Ui, piece: &Piece, path: &str, queue: &mut Queue) {
        let width = 60.0 * text_scale(ui);
        let can_be_cut = matches!(piece.kind, PieceKind::Spacer | PieceKind::Shim | PieceKind::Eccentric);
        let at = format!("{path}/length");
        if can_be_cut {
            let name = format!("{} length", path.rsplit('/').next().unwrap_or_default());
            if let Some(field) = field_at(self.shared, &at, &name) {
                ui.scope(|ui| field.as_field(self.shared).show_short(ui, "", width, queue));
                return;
            }
        }
        let place = self.names.iter().position(|name| path.ends_with(&format!("/{name}")));
        let figure = place.and_then(|place| self.solid(place)).map(|solid| solid.thickness.nominal);
        let (rect, _) =
            ui.allocate_exact_size(Vec2::new(width, ui.spacing().interact_size.y), Sense::hover());
        if let Some(figure) = figure {
            let font = egui::TextStyle::Body.resolve(ui.style());
            let color = ui.visuals().weak_text_color();
            let at = rect.left_center() + Vec2::new(4.0, 0.0);
            let text = self.shared.state.preferences.unit.bare(figure, 2);
            ui.painter().text(at, egui::Align2::LEFT_CENTER, text, font, color);
        }
    }

    /// The handle: drag it, or move with the arrow keys, or click it for more.
    fn handle_ui(
        &self,
        ui: &mut Ui,
        place: usize,
        name: &str,
        piece: &Piece,
        queue: &mut Queue,
    ) -> Option<Drag> {
        let id = self.handle_id(place);
        let size = Vec2::new(14.0 * text_scale(ui), ui.spacing().interact_size.y);
        let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
        let response = ui.interact(rect, id, Sense::click_and_drag());
        let tip = "Drag it to another place, or move it with the arrow keys; click for more";
        let response = response.on_hover_cursor(CursorIcon::Grab).on_hover_text(tip);
        response.widget_info(|| {
            egui::WidgetInfo::labeled(egui::Role::Button, true, format!("Move or change: {name}"))
        });
        let strong = response.hovered() || response.has_focus();
        let color = if strong { ui.visuals().text_color() } else { ui.visuals().weak_text_color() };
        for row in [-4.0, 0.0, 4.0] {
            for column in [-2.0, 2.0] {
                ui.painter().circle_filled(rect.center() + Vec2::new(column, row), 1.2, color);
            }
        }
        if response.has_focus() {
            let filter = EventFilter { vertical_arrows: true, ..EventFilter::default() };
            ui.memory_mut(|memory| memory.set_focus_lock_filter(id, filter));
            let stroke = Stroke::new(1.0, colour(self.shared.theme.colour(Tone::Selection)));
            ui.painter().rect_stroke(rect, 3.0, stroke, egui::StrokeKind::Inside);
            let [up, down] = [Key::ArrowUp, Key::ArrowDown]
                .map(|key| ui.input_mut(|input| input.consume_key(Modifiers::NONE, key)));
            if up && place > 0 {
                self.move_piece(ui, place, place - 1, queue);
            } else if down && place + 1 < self.stack.pieces.len() {
                self.move_piece(ui, place, place + 1, queue);
            }
        }
        Popup::from_toggle_button_response(&response)
            .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
            .width(220.0 * text_scale(ui))
            .show(|ui| self.more_ui(ui, place, name, piece, queue));
        let pointer = ui.input(|input| input.pointer.interact_pos())?;
        let is = response.dragged() || response.drag_stopped();
        is.then(|| Drag { from: place, pointer: pointer.y, released: response.drag_stopped() })
    }

    fn handle_id(&self, place: usize) -> Id {
        Id::unique(("piece handle", self.path, place))
    }

    /// Moves a piece to the place that `to` has among the others.
    fn move_piece(&self, ui: &Ui, from: usize, to: usize, queue: &mut Queue) {
        let Some(name) = self.names.get(from) else { return };
        let path = format!("{}/{name}", self.path);
        if change(self.shared, self.path, move |document| edit::reorder(document, &path, to), queue) {
            ui.memory_mut(|memory| memory.request_focus(self.handle_id(to)));
        }
    }

    /// Where a dragged piece would land, and putting it there.
    fn drop_ui(&self, ui: &Ui, rows: &[Rect], drag: Drag, queue: &mut Queue) {
        let to = rows.iter().filter(|row| row.center().y < drag.pointer).count();
        let moves = to != drag.from && to != drag.from + 1;
        if drag.released {
            if moves {
                let among_others = if to > drag.from { to - 1 } else { to };
                self.move_piece(ui, drag.from, among_others, queue);
            }
            return;
        }
        ui.ctx().set_cursor_icon(CursorIcon::Grabbing);
        let (Some(first), Some(last)) = (rows.first(), rows.last()) else { return };
        let y = rows.get(to).map_or(last.bottom(), |row| row.top());
        let stroke = Stroke::new(2.0, colour(self.shared.theme.colour(Tone::Selection)));
        ui.painter().hline(first.x_range(), y, stroke);
    }

    /// What else can be done with a piece.
    fn more_ui(&self, ui: &mut Ui, place: usize, name: &str, piece: &Piece, queue: &mut Queue) {
        ui.horizontal(|ui| {
            ui.label("Name");
            let width = ui.available_width();
            let hint = piece.kind.word();
            let path = format!("{}/{name}", self.path);
            if let Some(new) =
                text_ui(ui, (&path, "piece name"), "Name of the piece", &piece.name, width, hint)
            {
                rename(self.shared, &path, new.trim(), queue);
                ui.close();
            }
        });
        let row = |ui: &mut Ui, words: &str, enabled: bool| {
            let size = Vec2::new(ui.available_width(), 0.0);
            let button = Button::new(words).right_text("").min_size(size).frame_when_inactive(false);
            ui.add_enabled(enabled, button).accessible_name(words).clicked()
        };
        let count = self.stack.pieces.len();
        let done = if row(ui, "Towards the head", place > 0) {
            self.move_piece(ui, place, place.saturating_sub(1), queue);
            true
        } else if row(ui, "Towards the free end", place + 1 < count) {
            self.move_piece(ui, place, place + 1, queue);
            true
        } else if row(ui, "Another of it", true) {
            let copy = Piece { name: String::new(), ..piece.clone() };
            self.insert(place + 1, copy, queue);
            true
        } else if row(ui, "Note readings of it…", PartKind::of_piece(piece.kind).is_some()) {
            self.measure(piece, queue);
            true
        } else if row(ui, "Take it away", true) {
            queue.push(Action::EndEdit);
            let path = format!("{}/{name}", self.path);
            queue.push(Action::Edit(Edit::Change(Change::Remove { path })));
            queue.push(Action::EndEdit);
            true
        } else {
            false
        };
        if done {
            ui.close();
        }
    }

    fn insert(&self, place: usize, piece: Piece, queue: &mut Queue) {
        let path = self.path.to_owned();
        change(
            self.shared,
            self.path,
            move |document| edit::add(document, Addition::Piece(path.clone(), place, piece.clone())),
            queue,
        );
    }

    /// Begins readings of a piece's extent along the screw, with what its part states as the first guess.
    fn measure(&self, piece: &Piece, queue: &mut Queue) {
        let size = match piece.kind {
            PieceKind::Nut => "height",
            PieceKind::Washer => "thickness",
            PieceKind::Wheel => "hub",
            _ => "length",
        };
        begin_readings(self.shared, &piece.part, size, queue);
    }

    /// The free end of the screw.
    fn end_ui(&self, ui: &mut Ui, scale: f32) {
        let Some(thread) = self.placed.map(|placed| placed.thread) else { return };
        let unit = self.shared.state.preferences.unit;
        let is_tapped = self.stack.ends_tapped();
        let words = if is_tapped {
            format!("{} of thread in the plate", unit.text(thread.engaged, 2))
        } else if thread.projection >= 0.0 {
            format!("{} beyond the nut", unit.text(thread.projection, 2))
        } else {
            format!("{} too short", unit.text(-thread.projection, 2))
        };
        let enough = if is_tapped {
            thread.engaged >= thread.least - 1e-9 && thread.bottoms <= 0.0
        } else {
            thread.projection >= thread.asked
        };
        self.row_ui(ui, Glyph::End { length: thread.projection.max(0.0) }, scale, false, |ui| {
            ui.add_space(17.0 * text_scale(ui));
            self.kind_ui(ui, "free end");
            let mut text = RichText::new(words);
            if !enough {
                text = text.color(colour(self.shared.theme.colour(Tone::Clash)));
            }
            let tip = if is_tapped {
                format!("At least {} should hold", unit.text(thread.least, 2))
            } else {
                format!("At least one pitch, {}, should stand out", unit.text(thread.asked, 2))
            };
            ui.add(egui::Label::new(text).truncate()).on_hover_text(tip);
        });
    }

    fn foot_ui(&self, ui: &mut Ui, queue: &mut Queue) {
        ui.menu_button("Add a piece", |ui| {
            for kind in PieceKind::ALL {
                if ui.button(kind.word()).clicked() {
                    let ends =
                        |piece: &Piece| piece.kind == PieceKind::Nut || piece.hole == ScrewHole::Tapped;
                    let last = self.stack.pieces.iter().rposition(ends);
                    let place =
                        self.chosen_place().map(|at| at + 1).or(last).unwrap_or(self.stack.pieces.len());
                    self.insert(place, self.fresh(kind), queue);
                    ui.close();
                }
            }
        })
        .response
        .on_hover_text("It goes after the piece that is selected, else before the nut or the tapped plate");
        fields_ui(ui, self.shared, self.path, |below| matches!(below, "length" | "torque" | "head"), queue);
        if self.stack.length.is_none()
            && let Some(stack) = self.resolved
        {
            let length = glidewright_motion::plain(stack.screw.length.nominal);
            ui.weak(format!("Left open: the shortest that does, {length} mm"));
        }
        self.totals_ui(ui);
    }

    fn chosen_place(&self) -> Option<usize> {
        let below = self.shared.state.selected.strip_prefix(self.path)?.strip_prefix('/')?;
        self.names.iter().position(|name| name == below)
    }

    /// A piece of a kind that fits the screw.
    fn fresh(&self, kind: PieceKind) -> Piece {
        let thread = format!("M{}", plain_text(self.thread()));
        let same = self.stack.pieces.iter().find(|piece| piece.kind == kind);
        let part = match (same, kind) {
            (Some(piece), _) => piece.part.clone(),
            (None, PieceKind::Washer) => format!("ISO 7089 {thread}"),
            (None, PieceKind::Spacer) => format!("tube {thread}"),
            (None, PieceKind::Shim) => format!("ring {thread}"),
            (None, PieceKind::Eccentric) => format!("eccentric {thread}"),
            (None, PieceKind::Nut) => format!("DIN 985 {thread}"),
            (None, PieceKind::Wheel | PieceKind::Plate) => {
                let choices = piece_choices(self.shared, kind, self.path);
                choices.into_iter().next().map(|choice| choice.name).unwrap_or_default()
            }
        };
        Piece::new(kind, part)
    }

    /// What one of it weighs and costs.
    fn totals_ui(&self, ui: &mut Ui) {
        let Some(resolved) = self.resolved else { return };
        let mass = 1e3 * (resolved.screw.mass + resolved.pieces.iter().map(|piece| piece.mass).sum::<f64>());
        let document = &self.shared.state.session.reading().document;
        let bought = self.stack.pieces.iter().filter(|piece| piece.kind != PieceKind::Plate);
        let names = bought.map(|piece| piece.part.as_str()).chain([self.stack.screw.as_str()]);
        let costs: Vec<Option<f64>> = names.map(|name| cost_of(document, name)).collect();
        let known = costs.iter().flatten().count();
        let mut words = format!("{} g without plates", number(mass, 1));
        if known > 0 {
            let sum: f64 = costs.iter().flatten().sum();
            words.push_str(&format!(", cost {}", number(sum, 2)));
            if known < costs.len() {
                words.push_str(&format!(" with {} of {} known", known, costs.len()));
            }
        }
        ui.label(RichText::new(words).font(FontRole::Body.id()).weak());
    }
}

/// What could stand in a stack instead of a piece.
pub fn piece_choices(shared: &Shared<'_>, kind: PieceKind, path: &str) -> Vec<Choice> {
    match PartKind::of_piece(kind) {
        Some(kind) => super::parts(shared, kind),
        None => super::fields::choices(shared, PartUse::Plate, path),
    }
}

/// Begins readings of one size of a part and shows them.
pub fn begin_readings(shared: &Shared<'_>, part: &str, size: &str, queue: &mut Queue) {
    let document = shared.state.session.document();
    if !document.measured.iter().any(|known| known.part == part && known.size == size) {
        let start = stated(document, part, size);
        let measured = Measured {
            part: part.to_owned(),
            size: size.to_owned(),
            readings: start.into_iter().collect(),
            resolution: 0.01,
            note: String::new(),
        };
        change(
            shared,
            "measured",
            move |document| edit::add(document, Addition::Measured(measured.clone())),
            queue,
        );
    }
    queue.push(Action::Drawer(Drawer::Readings));
}

/// What a part states for a size, where that is a plain number.
fn stated(document: &Document, part: &str, size: &str) -> Option<f64> {
    let own = document.parts.iter().find(|known| known.name == part);
    let part = own.or_else(|| glidewright_project::tables::built_in().part(part))?;
    let mut found = None;
    part.visit(&mut |name, slot| {
        if let glidewright_project::Slot::Size(known) = slot
            && name == size
            && let Some(Formula::Number(number)) = known.formula()
        {
            found =
                Some(known.tolerance().and_then(|t| t.about(*number).ok()).map_or(*number, |t| t.nominal));
        }
    });
    found
}
