//! A size: its name to drag, its number or formula to type, its value beside it.

use egui::{Align, CursorIcon, Key, Layout, Response, RichText, Sense, TextEdit, Ui, Vec2};
use glidewright_project::quantity::Quantity;
use glidewright_project::size::Formula;
use glidewright_project::tolerance::Tolerance;
use glidewright_project::{Problem, Values};
use glidewright_sheet::{ReaderUnits, Theme, Tone, Unit};

use super::rows::{name_width, select_all_by_key, text_scale};
use super::tolerance_button::tolerance_button_ui;
use super::typed::{meant, other_unit, value_of};
use crate::commands::{Action, Queue};
use crate::state::{Edit, meaning};
use crate::theme::colour;

/// Width of a field that has a row to itself, at ordinary text size (points).
const FIELD_WIDTH: f32 = 84.0;

/// One size of the document, to be read, typed or dragged.
pub struct SizeField<'a> {
    /// What the reader calls it.
    pub name: &'a str,
    /// Where it stands in the document.
    pub path: &'a str,
    /// What is written there; `None` if it is left to its default.
    pub formula: Option<&'a Formula>,
    /// What is known of its tolerance.
    pub tolerance: Option<&'a Tolerance>,
    /// What kind it is.
    pub quantity: Quantity,
    /// What the sizes come to.
    pub values: &'a Values,
    /// What is wrong with it.
    pub problem: Option<&'a Problem>,
    /// The units a plain number is shown and typed in.
    pub units: ReaderUnits,
    /// The palette.
    pub theme: &'a Theme,
}

impl SizeField<'_> {
    /// Shows it in a row of its own, with its value and tolerance, and queues what was changed.
    pub fn show(&self, ui: &mut Ui, queue: &mut Queue) -> Response {
        let response = ui
            .horizontal(|ui| {
                let width = name_width(ui);
                self.name_ui(ui, self.name, width, queue);
                let field = self.field_ui(ui, FIELD_WIDTH * text_scale(ui), queue);
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    if self.formula.is_some() {
                        tolerance_button_ui(ui, &[self], queue);
                    }
                    ui.with_layout(Layout::left_to_right(Align::Center), |ui| self.value_ui(ui));
                });
                field
            })
            .inner;
        self.complaint_ui(ui, &response);
        response
    }

    /// Shows it in little room, among others of its kind: a short name and the field.
    pub fn show_short(&self, ui: &mut Ui, short: &str, width: f32, queue: &mut Queue) -> Response {
        ui.spacing_mut().item_spacing.x = 3.0;
        let own = 12.0 * text_scale(ui);
        if !short.is_empty() {
            self.name_ui(ui, short, own, queue);
        }
        let room = if short.is_empty() { width } else { width - own - 3.0 };
        let response = self.field_ui(ui, room, queue);
        match (self.formula, self.values.at(self.path)) {
            (Some(Formula::Text(text)), Some(value)) => {
                let (unit, size) =
                    self.other_unit().map_or((self.quantity.unit(), 1.0), |unit| (unit.symbol, unit.size));
                response
                    .on_hover_text(format!("{text} = {} {unit}", plain_text(round(value.nominal / size, 3))))
            }
            _ => response,
        }
    }

    /// What is wrong with what is typed, or else with what is written.
    pub fn complaint_ui(&self, ui: &mut Ui, response: &Response) {
        let typed = draft(ui, response.id).map(|draft| draft.text);
        let complaint = match typed.filter(|text| !text.trim().is_empty()) {
            Some(text) => value_of(&text, self.quantity, self.values, self.units).err(),
            None => self.problem.map(Problem::told),
        };
        if let Some(complaint) = complaint {
            let text = RichText::new(complaint).small().color(colour(self.theme.colour(Tone::Clash)));
            ui.add(egui::Label::new(text).wrap());
        }
    }

    fn plain(&self) -> Option<f64> {
        match self.formula {
            Some(Formula::Number(number)) => Some(*number),
            _ => None,
        }
    }

    fn set(&self, formula: String, queue: &mut Queue) {
        queue.push(Action::Edit(Edit::set(self.path, &formula)));
    }

    /// The name: dragging it sideways changes the number.
    fn name_ui(&self, ui: &mut Ui, words: &str, width: f32, queue: &mut Queue) {
        let size = Vec2::new(width, ui.spacing().interact_size.y);
        let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
        let label = egui::Label::new(RichText::new(words)).truncate().selectable(false);
        let mut child =
            ui.new_child(egui::UiBuilder::new().max_rect(rect).layout(Layout::left_to_right(Align::Center)));
        child.add(label);
        let Some(now) = self.plain() else {
            let response = ui.interact(rect, child.next_auto_id(), Sense::CLICK);
            self.menu_ui(&response, queue);
            response.on_hover_ui(|ui| self.means_ui(ui, ""));
            return;
        };
        let id = ui.make_persistent_id((self.path, "drag"));
        let response =
            ui.interact(rect, id, Sense::CLICK | Sense::DRAG).on_hover_cursor(CursorIcon::ResizeHorizontal);
        if response.drag_started() {
            ui.data_mut(|data| data.insert_temp(id, (now, 0.0_f64)));
        }
        if response.dragged() {
            let (from, gone): (f64, f64) = ui.data(|data| data.get_temp(id)).unwrap_or((now, 0.0));
            let fine = ui.input(|input| input.modifiers.shift);
            let gone = gone + f64::from(response.drag_delta().x) * if fine { 0.1 } else { 1.0 };
            ui.data_mut(|data| data.insert_temp(id, (from, gone)));
            let step = if fine { self.step() * 0.1 } else { self.step() };
            let wanted = snapped(from + gone * 0.25 * self.step(), step);
            if wanted != now {
                self.set(plain_text(wanted), queue);
            }
        }
        if response.drag_stopped() {
            queue.push(Action::EndEdit);
        }
        self.menu_ui(&response, queue);
        response.on_hover_ui(|ui| self.means_ui(ui, "Drag sideways to change it, with Shift in fine steps"));
    }

    /// What a click with the other button offers.
    fn menu_ui(&self, response: &Response, queue: &mut Queue) {
        response.context_menu(|ui| {
            let tip = "What becomes of gaps, effort and findings as it grows";
            if ui.button("Sweep this size").on_hover_text(tip).clicked() {
                queue.push(Action::Sweep(self.path.to_owned()));
                ui.close();
            }
        });
    }

    /// What it means, in words, and where it stands.
    fn means_ui(&self, ui: &mut Ui, how: &str) {
        ui.set_max_width(320.0 * text_scale(ui));
        if let Some(words) = meaning(self.path) {
            ui.label(words);
        }
        if !how.is_empty() {
            ui.weak(how);
        }
        ui.weak(RichText::new(self.path).small());
    }

    /// The least step of a drag or an arrow key, in the document's unit.
    fn step(&self) -> f64 {
        match self.quantity {
            Quantity::Length => 0.1,
            Quantity::Angle => 0.5,
            Quantity::Mass => 1.0,
            _ => {
                let size = self.plain().unwrap_or(1.0).abs();
                if size > 0.0 && size.is_finite() { 10_f64.powf(size.log10().floor() - 1.0) } else { 0.1 }
            }
        }
    }

    fn field_ui(&self, ui: &mut Ui, width: f32, queue: &mut Queue) -> Response {
        let id = ui.make_persistent_id((self.path, "field"));
        let written = self.written();
        let focused = ui.memory(|memory| memory.has_focus(id));
        // What was typed and cannot be read stays, until something else is written there.
        let kept = draft(ui, id).filter(|draft| focused || draft.written == written);
        let is_draft = kept.is_some();
        let mut text = kept.map_or_else(|| written.clone(), |draft| draft.text);
        if focused && let Some(now) = self.plain() {
            let [up, down] = [Key::ArrowUp, Key::ArrowDown]
                .map(|key| ui.input_mut(|input| input.count_and_consume_key(egui::Modifiers::NONE, key)));
            if up != down {
                let wanted = snapped(now + self.step() * (up as f64 - down as f64), self.step());
                self.set(plain_text(wanted), queue);
                text = self.in_reader_unit(wanted);
            }
        }
        let hint = if self.formula.is_none() { "default" } else { "" };
        let output = ui.add(
            TextEdit::singleline(&mut text)
                .id(id)
                .hint_text(hint)
                .desired_width(width)
                .char_limit(glidewright_project::formula::LONGEST_FORMULA)
                .align(egui::Align2::LEFT_CENTER)
                .min_size(Vec2::new(width.min(20.0), ui.spacing().interact_size.y)),
        );
        let output = output.accessible_name(self.name).on_hover_ui(|ui| self.means_ui(ui, ""));
        select_all_by_key(ui, &output, &text);
        if output.changed() {
            self.typed(&text, &written, queue);
        }
        if output.has_focus() {
            ui.data_mut(|data| data.insert_temp(id, Draft { text, written }));
        } else if output.lost_focus() {
            let gave_up = ui.input(|input| input.key_pressed(Key::Escape));
            let stands = gave_up || self.is_sound(&text);
            if stands {
                ui.data_mut(|data| data.remove::<Draft>(id));
            } else {
                // The size is what it was; the text stays with what is wrong with it.
                let draft = Draft { text, written: self.before(ui, id, written) };
                ui.data_mut(|data| data.insert_temp(id, draft));
            }
            queue.push(if gave_up || !stands { Action::DropEdit } else { Action::EndEdit });
        } else if !is_draft {
            ui.data_mut(|data| data.remove::<Draft>(id));
        }
        if output.gained_focus() {
            ui.data_mut(|data| data.insert_temp(id.with("before"), self.written()));
        }
        output
    }

    /// What was written before it was typed at.
    fn before(&self, ui: &Ui, id: egui::Id, now: String) -> String {
        ui.data(|data| data.get_temp(id.with("before"))).unwrap_or(now)
    }

    /// Whether a text can be taken: a formula with a value in the size's own quantity, or nothing for its default.
    fn is_sound(&self, text: &str) -> bool {
        text.trim().is_empty() || self.values.try_formula(&self.meant(text), self.quantity).is_ok()
    }

    /// Follows what is typed as long as all of it has a value; else the value before it stands.
    fn typed(&self, text: &str, written: &str, queue: &mut Queue) {
        let text = text.trim();
        if text == written {
            return;
        }
        if text.is_empty() {
            // Left to its default, where it may be.
            queue.push(Action::Edit(Edit::Default { path: self.path.to_owned() }));
        } else if self.is_sound(text) {
            self.set(self.meant(text), queue);
        } else {
            queue.push(Action::DropEdit);
        }
    }

    /// The reader's own unit, where it is another than the document's.
    fn other_unit(&self) -> Option<Unit> {
        other_unit(self.units, self.quantity)
    }

    /// A number of the document as the reader writes it.
    fn in_reader_unit(&self, number: f64) -> String {
        match self.other_unit() {
            Some(unit) => plain_text(round(number / unit.size, 5)),
            None => plain_text(number),
        }
    }

    /// What stands in the field.
    fn written(&self) -> String {
        match self.formula {
            Some(Formula::Number(number)) => self.in_reader_unit(*number),
            Some(Formula::Text(text)) => text.clone(),
            None => String::new(),
        }
    }

    /// What is typed, as the document writes it.
    fn meant(&self, text: &str) -> String {
        meant(text, self.quantity, self.values, self.units)
    }

    fn value_ui(&self, ui: &mut Ui) {
        let (symbol, size, decimals) = match self.other_unit() {
            Some(unit) => (unit.symbol, unit.size, 4),
            None => (self.quantity.unit(), 1.0, 3),
        };
        let figure = |value: f64| plain_text(round(value / size, decimals));
        let text = match (self.formula, self.values.at(self.path)) {
            (Some(Formula::Text(_)), Some(value)) => format!("= {} {symbol}", figure(value.nominal)),
            _ => symbol.to_owned(),
        };
        let spread = self.values.at(self.path).map(|value| value.half_width()).filter(|half| *half > 0.0);
        let text = match spread {
            Some(half) => format!("{text} ± {}", figure(half)),
            None => text,
        };
        let label = egui::Label::new(RichText::new(&text).weak()).truncate().selectable(false);
        ui.add(label).on_hover_text(text);
    }
}

/// A number as one types it: no trailing zeros, a plain minus.
pub fn plain_text(value: f64) -> String {
    format!("{}", round(value, 9))
}

pub fn round(value: f64, decimals: i32) -> f64 {
    let scale = 10_f64.powi(decimals);
    let rounded = (value * scale).round() / scale;
    if rounded.is_finite() { rounded } else { value }
}

fn snapped(value: f64, step: f64) -> f64 {
    let steps = (value / step).round();
    if steps.is_finite() { round(steps * step, 9) } else { value }
}

/// What is typed in a field and not yet taken.
#[derive(Clone)]
struct Draft {
    text: String,
    /// What is written there meanwhile.
    written: String,
}

fn draft(ui: &Ui, id: egui::Id) -> Option<Draft> {
    ui.data(|data| data.get_temp(id))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drags_land_on_steps() {
        assert_eq!(snapped(12.3456, 0.1), 12.3);
        assert_eq!(plain_text(snapped(0.1 + 0.2, 0.1)), "0.3");
        assert!(snapped(f64::NAN, 0.1).is_nan());
    }
}
