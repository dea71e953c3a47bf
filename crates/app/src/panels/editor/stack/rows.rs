//! The names of a stack's pieces from the head on, each to be swapped, with what it takes up of the screw.

use egui::{Align, Align2, Color32, Frame, Label, Layout, RichText, Sense, TextStyle, Ui, Vec2};
use glidewright_project::PartUse;
use glidewright_project::document::{PartKind, Piece, PieceKind, ScrewHole};
use glidewright_project::size::Formula;
use glidewright_sheet::{Tone, number};

use super::super::fields::{PartField, field_at, scroll_once};
use super::super::fields_ui;
use super::StackView;
use crate::commands::Queue;
use crate::theme::{Surface, colour};
use crate::widgets::{hanging_ui, text_scale};

/// Width of the figures, at ordinary text size (points).
const FIGURE: f32 = 62.0;
/// Width of the button for more.
const MORE: f32 = 20.0;

impl StackView<'_> {
    /// Draws them.
    pub(super) fn rows_ui(&self, ui: &mut Ui, queue: &mut Queue) {
        ui.spacing_mut().item_spacing.y = 1.0;
        self.screw_ui(ui, queue);
        for place in 0..self.stack.pieces.len() {
            self.piece_ui(ui, place, queue);
        }
        self.end_ui(ui);
        ui.spacing_mut().item_spacing.y = 4.0;
    }

    /// A row, tinted where it is chosen or pointed at.
    fn row_ui(&self, ui: &mut Ui, path: &str, add: impl FnOnce(&mut Ui)) {
        let chosen = self.is_chosen(path);
        let fill = if chosen {
            Surface::SelectedFill.color32(self.shared.theme)
        } else if self.is_pointed_at(ui, path) {
            Surface::Field.color32(self.shared.theme)
        } else {
            Color32::TRANSPARENT
        };
        let shown = Frame::new().fill(fill).show(ui, |ui| {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                ui.spacing_mut().item_spacing.x = 3.0;
                add(ui);
            });
        });
        if shown.response.contains_pointer() {
            self.point_at(ui, path);
        }
        if chosen {
            scroll_once(ui, &self.shared.state.selected, &shown.response);
        }
    }

    fn screw_ui(&self, ui: &mut Ui, queue: &mut Queue) {
        let path = format!("{}/screw", self.path);
        ui.allocate_ui(Vec2::new(ui.available_width(), ui.spacing().interact_size.y), |ui| {
            self.row_ui(ui, &path, |ui| {
                ui.add_space(MORE * text_scale(ui) + 3.0);
                let length = self.resolved.as_ref().map(|known| known.stack.screw.length.nominal);
                let unit = self.shared.state.preferences.units();
                figure_ui(ui, &length.map_or_else(String::new, |length| unit.bare(length, 2)));
                let (part_use, now) = (PartUse::Kind(PartKind::Screw), self.stack.screw.as_str());
                let field = PartField { name: "screw", path: &path, part_use, now, figure: "" };
                let width = ui.available_width();
                field.show(ui, self.shared, width, queue);
            });
        });
    }

    fn piece_ui(&self, ui: &mut Ui, place: usize, queue: &mut Queue) {
        let (Some(piece), Some(name)) = (self.stack.pieces.get(place), self.names.get(place)) else { return };
        let path = self.piece_path(place);
        ui.push_id(("piece", place), |ui| {
            ui.allocate_ui(Vec2::new(ui.available_width(), ui.spacing().interact_size.y), |ui| {
                self.row_ui(ui, &path, |ui| {
                    let more = egui::Button::new("…").frame_when_inactive(false);
                    let more = ui.add_sized([MORE * text_scale(ui), ui.spacing().interact_size.y], more);
                    let more = more.accessible_name(format!("More: {}", self.spoken(place)));
                    egui::Popup::menu(&more)
                        .close_behavior(egui::PopupCloseBehavior::CloseOnClickOutside)
                        .show(|ui| hanging_ui(ui, |ui| self.more_ui(ui, place, piece, queue)));
                    self.length_ui(ui, piece, place, &path, queue);
                    let width = ui.available_width();
                    self.pick_ui(ui, piece, name, &path, width, queue);
                });
            });
        });
        let chosen = self.is_chosen(&path);
        let (is_tapped, holds) = (piece.hole == ScrewHole::Tapped, piece.hole.holds());
        if piece.kind == PieceKind::Plate && (chosen || holds) {
            let keep = |below: &str| matches!(below, "hole" | "insert") || (below == "depth" && is_tapped);
            fields_ui(ui, self.shared, &path, keep, queue);
        }
    }

    fn pick_ui(&self, ui: &mut Ui, piece: &Piece, name: &str, path: &str, width: f32, queue: &mut Queue) {
        // Beside a field with its length left open, or written as a formula, what that comes to.
        let length = piece.length.as_ref().map(|length| &length.formula);
        let figure = match length {
            Some(Formula::Number(_)) => String::new(),
            _ if has_field(piece.kind) => self
                .names
                .iter()
                .position(|known| known == name)
                .and_then(|place| self.extent(place))
                .unwrap_or_default(),
            _ => String::new(),
        };
        let part_use = PartUse::of_piece(piece.kind);
        PartField { name, path, part_use, now: &piece.part, figure: &figure }.show(
            ui,
            self.shared,
            width,
            queue,
        );
    }

    /// The extent along the screw: a field where it is the piece's own, a figure where its part says it.
    fn length_ui(&self, ui: &mut Ui, piece: &Piece, place: usize, path: &str, queue: &mut Queue) {
        let at = format!("{path}/length");
        if has_field(piece.kind) {
            let name = format!("{} length", path.rsplit('/').next().unwrap_or_default());
            if let Some(field) = field_at(self.shared, &at, &name) {
                let width = FIGURE * text_scale(ui);
                ui.scope(|ui| field.as_field(self.shared).show_short(ui, "", width, queue));
                return;
            }
        }
        figure_ui(ui, &self.extent(place).unwrap_or_default());
    }

    /// The free end of the screw.
    fn end_ui(&self, ui: &mut Ui) {
        let Some((words, tip, enough)) = self.end_words() else { return };
        let mut text = RichText::new(format!("free end: {words}"));
        text = if enough { text.weak() } else { text.color(colour(self.shared.theme.colour(Tone::Clash))) };
        ui.add(Label::new(text).wrap()).on_hover_text(tip);
    }

    /// How much of the screw stands out or holds, and whether that is enough.
    fn end_words(&self) -> Option<(String, String, bool)> {
        let thread = self.resolved.as_ref()?.placed?.thread;
        let unit = self.shared.state.preferences.units();
        let is_tapped = self.stack.ends_tapped();
        let words = if is_tapped {
            format!("{} of thread in the plate", unit.text(thread.engaged, 2))
        } else if thread.projection >= 0.0 {
            format!("{} beyond the nut", unit.text(thread.projection, 2))
        } else {
            format!("{} too short", unit.text(-thread.projection, 2))
        };
        let (enough, tip) = if is_tapped {
            (
                thread.engaged >= thread.least - 1e-9 && thread.bottoms <= 0.0,
                format!("At least {} should hold", unit.text(thread.least, 2)),
            )
        } else {
            (
                thread.projection >= thread.asked,
                format!("At least one pitch, {}, should stand out", unit.text(thread.asked, 2)),
            )
        };
        Some((words, tip, enough))
    }

    /// The extent along the screw in the reader's unit, without the unit.
    fn extent(&self, place: usize) -> Option<String> {
        let solid = self.solid(place)?;
        Some(self.shared.state.preferences.units().bare(solid.thickness.nominal, 2))
    }

    /// The same with its unit and its name, for assistive technology.
    fn spoken(&self, place: usize) -> String {
        let name = self.names.get(place).map_or("", String::as_str);
        let along = self.solid(place).map(|solid| number(solid.thickness.nominal, 2));
        along.map_or_else(|| name.to_owned(), |along| format!("{name}, {along} mm"))
    }
}

/// Whether a piece can be had in any length, so that its own is typed.
const fn has_field(kind: PieceKind) -> bool {
    matches!(kind, PieceKind::Spacer | PieceKind::Shim | PieceKind::Eccentric)
}

/// A figure right-aligned in its column.
fn figure_ui(ui: &mut Ui, words: &str) {
    let size = Vec2::new(FIGURE * text_scale(ui), ui.spacing().interact_size.y);
    let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
    let font = TextStyle::Body.resolve(ui.style());
    let color = ui.visuals().weak_text_color();
    ui.painter().text(rect.right_center() - Vec2::new(6.0, 0.0), Align2::RIGHT_CENTER, words, font, color);
}
