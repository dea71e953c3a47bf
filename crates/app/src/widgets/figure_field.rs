//! A figure that is no size of the document: its name to drag, its number to type.

use std::ops::RangeInclusive;

use egui::{CursorIcon, Label, RichText, Sense, Ui};
use glidewright_project::Values;
use glidewright_project::quantity::Quantity;
use glidewright_sheet::{ReaderUnits, number};

use super::rows::{read_ui, text_scale};
use super::typed::value_of;

/// A figure of the window, such as the travel, in the unit of its quantity.
pub struct FigureField<'a> {
    /// What the reader calls it, in full.
    pub name: &'a str,
    /// The same as it stands before the field; dragging it sideways changes the figure.
    pub short: &'a str,
    /// What it means.
    pub about: &'a str,
    /// What it is now.
    pub now: f64,
    /// What it can be.
    pub range: RangeInclusive<f64>,
    /// Change per point of a drag.
    pub speed: f64,
    /// Decimals in the quantity's own unit.
    pub decimals: usize,
    /// What kind it is.
    pub quantity: Quantity,
    /// What names in a formula come to.
    pub values: &'a Values,
    /// The units the reader sees.
    pub units: ReaderUnits,
}

impl FigureField<'_> {
    /// Shows it; gives its new value, within its range. What cannot be read, or lies outside, stays with the reason.
    pub fn show(&self, ui: &mut Ui) -> Option<f64> {
        let id = ui.make_persistent_id((self.name, "dragged"));
        let label = Label::new(RichText::new(self.short).weak()).selectable(false).sense(Sense::DRAG);
        let handle = ui.add(label).on_hover_cursor(CursorIcon::ResizeHorizontal);
        let handle = handle.on_hover_text(format!("{}: drag sideways or type it", self.about));
        let mut new = None;
        if handle.drag_started() {
            ui.data_mut(|data| data.insert_temp(id, self.now));
        }
        if handle.dragged() {
            let fine = if ui.input(|input| input.modifiers.shift) { 0.1 } else { 1.0 };
            let from = ui.data(|data| data.get_temp(id)).unwrap_or(self.now);
            let to = from + f64::from(handle.drag_delta().x) * self.speed * fine;
            let to = to.clamp(*self.range.start(), *self.range.end());
            ui.data_mut(|data| data.insert_temp(id, to));
            new = Some(to).filter(|to| *to != self.now);
        }
        let width = 78.0 * text_scale(ui);
        let typed =
            read_ui(ui, (self.name, "typed"), self.name, &self.written(), width, "", |text| self.read(text));
        typed.or(new)
    }

    fn written(&self) -> String {
        let unit = self.units.of_symbol(self.quantity.unit());
        match unit {
            Some(unit) => {
                format!("{} {}", number(self.now / unit.size, unit.decimals(self.decimals)), unit.symbol)
            }
            None => format!("{} {}", number(self.now, self.decimals), self.quantity.unit()),
        }
    }

    /// What a text comes to: a number is one of the reader's unit, any other unit may stand behind it.
    fn read(&self, text: &str) -> Result<f64, String> {
        let size = self.units.of_symbol(self.quantity.unit()).map_or(1.0, |unit| unit.size);
        let value = value_of(text, self.quantity, self.values, self.units)?;
        // As written it is rounded: its ends may be typed as they are read.
        let slack = 0.51 * size * 0.1_f64.powi(self.decimals as i32);
        if (self.range.start() - slack..=self.range.end() + slack).contains(&value) {
            return Ok(value.clamp(*self.range.start(), *self.range.end()));
        }
        let ends = [self.range.start(), self.range.end()].map(|end| number(end / size, self.decimals));
        Err(format!("{} lies between {} and {}", self.name, ends[0], ends[1]))
    }
}
