//! The drawn stack: pieces are pointed at, chosen, dragged to another place, and have a menu.

use std::sync::Arc;

use egui::{
    CornerRadius, CursorIcon, EventFilter, Id, Key, Modifiers, Rect, Response, Sense, Stroke, StrokeKind, Ui,
    Vec2, WidgetInfo, pos2,
};
use glidewright_motion::Results;
use glidewright_project::document::{PartKind, Piece, PieceKind};
use glidewright_project::edit;
use glidewright_sheet::Tone;
use glidewright_sheet::views::{OneStack, one_stack};

use super::super::{change, rename, take_away};
use super::StackView;
use crate::commands::{Action, Queue};
use crate::theme::colour;
use crate::views::{Camera, Shapes};
use crate::widgets::{hanging_ui, menu_row, plain_text, round, text_scale, text_ui};

/// No picture is higher than this, at ordinary text size (points).
const HIGHEST: f32 = 150.0;
/// A piece thinner than this is still hit within it (points).
const THINNEST: f32 = 7.0;

/// The picture as it was made last, and what it was made of.
#[derive(Clone)]
struct Kept {
    key: (String, Rect, bool, u32),
    /// Whose stack it is.
    of: Arc<Results>,
    stack: Arc<OneStack>,
    shapes: Arc<Shapes>,
}

impl StackView<'_> {
    /// Draws it, and answers what is done in it.
    pub(super) fn drawn_ui(&self, ui: &mut Ui, queue: &mut Queue) {
        let Some(known) = &self.resolved else { return };
        let Some(number) = known.number else { return };
        let theme = self.shared.theme;
        let at = ui.cursor().min;
        let width = ui.available_width();
        let height = HIGHEST * text_scale(ui);
        let frame = Rect::from_min_size(at, Vec2::new(width, height));
        let id = Id::unique(("drawn stack", self.path));
        let key = (self.path.to_owned(), frame, theme.dark, ui.pixels_per_point().to_bits());
        let kept = ui
            .data(|data| data.get_temp::<Kept>(id))
            .filter(|kept| kept.key == key && Arc::ptr_eq(&kept.of, &known.bench.results));
        let kept = match kept {
            Some(kept) => kept,
            None => {
                let bench = known.bench;
                let place = (known.rider, number);
                let (w, h) = (f64::from(width), f64::from(height));
                let Some(stack) = one_stack(&bench.fixture, &bench.results, place, w, h) else { return };
                let camera = Camera { origin: at, scale: 1.0 };
                let shapes = Shapes::new(&stack.drawing.page(), theme, &camera, ui.painter());
                let of = Arc::clone(&bench.results);
                let kept = Kept { key, of, stack: Arc::new(stack), shapes: Arc::new(shapes) };
                ui.data_mut(|data| data.insert_temp(id, kept.clone()));
                kept
            }
        };
        let size = kept.stack.drawing.size_pt;
        let (frame, _) = ui.allocate_exact_size(Vec2::new(width, size.y as f32), Sense::hover());
        ui.painter().rect_filled(frame, CornerRadius::same(2), colour(theme.colour(Tone::Paper)));
        kept.shapes.paint(&ui.painter().with_clip_rect(frame.intersect(ui.clip_rect())));
        let camera = Camera { origin: at, scale: 1.0 };
        let screen = |rect: &glidewright_sheet::Rect| camera.rect(rect).intersect(frame);
        self.head_answers(ui, screen(&kept.stack.head), queue);
        let columns: Vec<Rect> = kept.stack.pieces.iter().map(screen).collect();
        let mut dragged = None;
        for place in 0..columns.len().min(self.stack.pieces.len()) {
            dragged = self.piece_answers(ui, frame, &columns, place, queue).or(dragged);
        }
        if let Some(drag) = dragged {
            self.drop_ui(ui, frame, &columns, drag, queue);
        }
    }

    fn head_answers(&self, ui: &Ui, head: Rect, queue: &mut Queue) {
        let path = format!("{}/screw", self.path);
        let response = ui.interact(head.expand(1.0), Id::unique(("screw head", self.path)), Sense::click());
        response.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, "Choose the screw"));
        self.told(ui, head, &path, &response);
        let response = response.on_hover_text(&self.stack.screw);
        if response.clicked() {
            queue.push(Action::Select(path));
        }
    }

    /// Points out what the pointer is over and what is chosen, as in the other drawings.
    fn told(&self, ui: &Ui, rect: Rect, path: &str, response: &Response) {
        let theme = self.shared.theme;
        let painter = ui.painter();
        if self.is_chosen(path) {
            let violet = colour(theme.colour(Tone::Selection));
            painter.rect_filled(rect, 0.0, violet.gamma_multiply(0.22));
            painter.rect_stroke(rect, 0.0, Stroke::new(1.4, violet), StrokeKind::Outside);
        }
        if response.hovered() || response.has_focus() || self.is_pointed_at(ui, path) {
            let halo = colour(theme.colour(Tone::Paper));
            painter.rect_stroke(rect, 0.0, Stroke::new(4.0, halo), StrokeKind::Middle);
            let ink = colour(theme.colour(Tone::Highlight));
            painter.rect_stroke(rect, 0.0, Stroke::new(1.8, ink), StrokeKind::Middle);
        }
        if response.hovered() {
            self.point_at(ui, path);
        }
    }

    /// The piece under the pointer is shown in the drawing and in the row of its name alike.
    pub(super) fn point_at(&self, ui: &Ui, path: &str) {
        let frame = ui.ctx().cumulative_frame_nr();
        ui.data_mut(|data| data.insert_temp(Id::unique("piece pointed at"), (frame, path.to_owned())));
    }

    /// Whether it was, in this frame or the last.
    pub(super) fn is_pointed_at(&self, ui: &Ui, path: &str) -> bool {
        let now = ui.ctx().cumulative_frame_nr();
        let seen = ui.data(|data| data.get_temp::<(u64, String)>(Id::unique("piece pointed at")));
        seen.is_some_and(|(frame, seen)| seen == path && now.saturating_sub(frame) <= 1)
    }

    pub(super) fn piece_id(&self, place: usize) -> Id {
        Id::unique(("piece of a stack", self.path, place))
    }

    fn piece_answers(
        &self,
        ui: &Ui,
        frame: Rect,
        columns: &[Rect],
        place: usize,
        queue: &mut Queue,
    ) -> Option<Drag> {
        let (column, piece, name) =
            (columns.get(place)?, self.stack.pieces.get(place)?, self.names.get(place)?);
        let path = self.piece_path(place);
        let id = self.piece_id(place);
        // What is thin is hit a little beside it, too.
        let more = (0.5 * (THINNEST - column.width())).max(0.0);
        let response =
            ui.interact(column.expand2(Vec2::new(more, 0.0)).intersect(frame), id, Sense::click_and_drag());
        response
            .widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, format!("Move or change: {name}")));
        self.told(ui, *column, &path, &response);
        let response = response.on_hover_cursor(CursorIcon::Grab).on_hover_ui(|ui| self.says_ui(ui, place));
        if response.has_focus() {
            let filter =
                EventFilter { vertical_arrows: true, horizontal_arrows: true, ..EventFilter::default() };
            ui.memory_mut(|memory| memory.set_focus_lock_filter(id, filter));
            let [left, right, up, down] = [Key::ArrowLeft, Key::ArrowRight, Key::ArrowUp, Key::ArrowDown]
                .map(|key| ui.input_mut(|input| input.consume_key(Modifiers::NONE, key)));
            if (left || up) && place > 0 {
                self.move_piece(ui, place, place - 1, queue);
            } else if (right || down) && place + 1 < self.stack.pieces.len() {
                self.move_piece(ui, place, place + 1, queue);
            }
        }
        if response.clicked() || response.secondary_clicked() {
            queue.push(Action::Select(path));
        }
        response.context_menu(|ui| hanging_ui(ui, |ui| self.more_ui(ui, place, piece, queue)));
        let pointer = ui.input(|input| input.pointer.interact_pos())?;
        let is = response.dragged() || response.drag_stopped();
        is.then(|| Drag { from: place, pointer: pointer.x, released: response.drag_stopped() })
    }

    /// What a piece is, in whole words.
    fn says_ui(&self, ui: &mut Ui, place: usize) {
        let (Some(piece), Some(name)) = (self.stack.pieces.get(place), self.names.get(place)) else { return };
        let own = if piece.name.is_empty() { String::new() } else { format!("{name}: ") };
        let Some(solid) = self.solid(place) else {
            ui.label(format!("{own}{}", piece.part));
            return;
        };
        let unit = self.shared.state.preferences.units();
        let half = solid.thickness.half_width();
        let spread = if half > 0.0 { format!(" ± {}", plain_text(round(half, 3))) } else { String::new() };
        ui.label(format!("{own}{}, {}", piece.kind.word(), solid.name));
        ui.weak(format!("{}{spread} along the screw", unit.text(solid.thickness.nominal, 2)));
        ui.weak("Drag it to another place; right click for more");
    }

    /// Moves a piece to the place that `to` has among the others.
    fn move_piece(&self, ui: &Ui, from: usize, to: usize, queue: &mut Queue) {
        let path = self.piece_path(from);
        if change(self.shared, self.path, move |document| edit::reorder(document, &path, to), queue) {
            ui.memory_mut(|memory| memory.request_focus(self.piece_id(to)));
        }
    }

    /// Where a dragged piece would land, and putting it there.
    fn drop_ui(&self, ui: &Ui, frame: Rect, columns: &[Rect], drag: Drag, queue: &mut Queue) {
        let to = columns.iter().filter(|column| column.center().x < drag.pointer).count();
        let moves = to != drag.from && to != drag.from + 1;
        if drag.released {
            if moves {
                let among_others = if to > drag.from { to - 1 } else { to };
                self.move_piece(ui, drag.from, among_others, queue);
            }
            return;
        }
        ui.ctx().set_cursor_icon(CursorIcon::Grabbing);
        let Some(last) = columns.last() else { return };
        let x = columns.get(to).map_or(last.right(), |column| column.left());
        let violet = colour(self.shared.theme.colour(Tone::Selection));
        ui.painter().vline(x, frame.y_range(), Stroke::new(2.0, violet));
        for y in [frame.top(), frame.bottom()] {
            ui.painter().circle_filled(pos2(x, y), 3.0, violet);
        }
    }

    /// What else can be done with a piece.
    pub(super) fn more_ui(&self, ui: &mut Ui, place: usize, piece: &Piece, queue: &mut Queue) {
        ui.set_min_width(200.0 * text_scale(ui));
        ui.horizontal(|ui| {
            ui.label("Name");
            let width = ui.available_width();
            let hint = piece.kind.word();
            let path = self.piece_path(place);
            if let Some(new) =
                text_ui(ui, (&path, "piece name"), "Name of the piece", &piece.name, width, hint)
            {
                rename(self.shared, &path, new.trim(), queue);
                ui.close();
            }
        });
        let count = self.stack.pieces.len();
        ui.menu_button("Add after it", |ui| {
            for kind in PieceKind::ALL {
                if menu_row(ui, kind.word(), "", true) {
                    self.insert(place + 1, self.fresh(kind), queue);
                    ui.close();
                }
            }
        });
        let done = if menu_row(ui, "Towards the head", "", place > 0) {
            self.move_piece(ui, place, place.saturating_sub(1), queue);
            true
        } else if menu_row(ui, "Towards the free end", "", place + 1 < count) {
            self.move_piece(ui, place, place + 1, queue);
            true
        } else if menu_row(ui, "Another of it", "", true) {
            let copy = Piece { name: String::new(), ..piece.clone() };
            self.insert(place + 1, copy, queue);
            true
        } else if menu_row(ui, "Note readings of it…", "", PartKind::of_piece(piece.kind).is_some()) {
            self.measure(piece, queue);
            true
        } else if menu_row(ui, "Take it away", "", true) {
            take_away(&self.piece_path(place), queue);
            true
        } else {
            false
        };
        if done {
            ui.close();
        }
    }
}

/// A piece being dragged to another place.
struct Drag {
    from: usize,
    pointer: f32,
    released: bool,
}
