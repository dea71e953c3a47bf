//! Rows of a panel: a name, then what belongs to it.

use egui::text::{CCursor, CCursorRange};
use egui::{
    Align, ComboBox, Key, Label, Layout, Response, RichText, ScrollArea, Sense, TextEdit, TextStyle, Ui,
    UiBuilder, Vec2,
};

use crate::theme::FontRole;

/// Width of the names beside fields and lists, at ordinary text size (points).
const NAME_WIDTH: f32 = 104.0;

/// How much larger than ordinary the window's text is.
pub fn text_scale(ui: &Ui) -> f32 {
    TextStyle::Body.resolve(ui.style()).size / 13.0
}

/// Width of the names beside fields and lists (points).
pub fn name_width(ui: &Ui) -> f32 {
    (NAME_WIDTH * text_scale(ui)).min(0.42 * ui.available_width())
}

/// A name at the left of a row, cut short where it does not fit.
pub fn name_ui(ui: &mut Ui, name: &str, width: f32) -> Response {
    let size = Vec2::new(width, ui.spacing().interact_size.y);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    ui.new_child(UiBuilder::new().max_rect(rect).layout(Layout::left_to_right(Align::Center)))
        .add(Label::new(name).truncate().selectable(false));
    response
}

/// A row with its name.
pub fn named_row<R>(ui: &mut Ui, name: &str, add: impl FnOnce(&mut Ui) -> R) -> R {
    ui.horizontal(|ui| {
        let width = name_width(ui);
        name_ui(ui, name, width);
        add(ui)
    })
    .inner
}

/// A row with a line of text that belongs to the caller.
pub fn line_ui(ui: &mut Ui, name: &str, text: &mut String, hint: &str) -> Response {
    named_row(ui, name, |ui| {
        let width = ui.available_width();
        let field = line_edit(ui, text, width, hint);
        ui.add(field).accessible_name(name)
    })
}

/// More than this is no name and no note one would type (characters).
const LONGEST_LINE: usize = 400;

/// A field for one line of text, as high as a button.
fn line_edit<'t>(ui: &Ui, text: &'t mut String, width: f32, hint: &str) -> TextEdit<'t> {
    TextEdit::singleline(text)
        .hint_text(hint.to_owned())
        .desired_width(width)
        .char_limit(LONGEST_LINE)
        .align(egui::Align2::LEFT_CENTER)
        .min_size(Vec2::new(0.0, ui.spacing().interact_size.y))
}

/// A field for text of the document; gives the new text once it is left with Enter or by going elsewhere, and
/// nothing when it was left with Escape.
pub fn text_ui(
    ui: &mut Ui,
    id: impl egui::AsIdSalt,
    name: &str,
    now: &str,
    width: f32,
    hint: &str,
) -> Option<String> {
    let id = ui.make_persistent_id(id);
    let pending = ui.data(|data| data.get_temp::<String>(id));
    let was_pending = pending.is_some();
    let mut text = pending.unwrap_or_else(|| now.to_owned());
    let field = line_edit(ui, &mut text, width, hint).id(id);
    let field = ui.add(field).accessible_name(name);
    select_all_by_key(ui, &field, &text);
    if field.has_focus() {
        ui.data_mut(|data| data.insert_temp(id, text));
        return None;
    }
    if was_pending {
        ui.data_mut(|data| data.remove::<String>(id));
    }
    if !field.lost_focus() {
        return None;
    }
    let gave_up = ui.input(|input| input.key_pressed(Key::Escape));
    (!gave_up && text != now).then_some(text)
}

/// The same for text that means something: gives what it means. Text that cannot be read stays in the field, with the
/// reason below it, and what was there before stands.
pub fn read_ui<T>(
    ui: &mut Ui,
    id: impl egui::AsIdSalt,
    name: &str,
    now: &str,
    width: f32,
    hint: &str,
    read: impl Fn(&str) -> Result<T, String>,
) -> Option<T> {
    let id = ui.make_persistent_id(id);
    // What is being typed stays, whatever happens to what it stands for meanwhile.
    let focused = ui.memory(|memory| memory.has_focus(id));
    let pending =
        ui.data(|data| data.get_temp::<(String, String)>(id)).filter(|(_, before)| focused || before == now);
    let mut text = pending.as_ref().map_or_else(|| now.to_owned(), |(text, _)| text.clone());
    let wrong = pending.as_ref().and_then(|(text, _)| read(text).err());
    let mut field = line_edit(ui, &mut text, width, hint).id(id);
    if wrong.is_some() {
        field = field.text_color(ui.visuals().error_fg_color);
    }
    let field = ui.add(field).accessible_name(name);
    select_all_by_key(ui, &field, &text);
    if let Some(wrong) = wrong {
        let told = egui::Tooltip::always_open(ui.ctx().clone(), ui.layer_id(), id.with("wrong"), &field);
        told.show(|ui| ui.colored_label(ui.visuals().error_fg_color, wrong));
    }
    let keep = |ui: &Ui, text: String| {
        ui.data_mut(|data| data.insert_temp(id, (text, now.to_owned())));
    };
    if field.has_focus() {
        keep(ui, text);
        return None;
    }
    if !field.lost_focus() {
        return None;
    }
    let gave_up = ui.input(|input| input.key_pressed(Key::Escape));
    match read(&text) {
        Err(_) if !gave_up && text != now => keep(ui, text),
        read => {
            ui.data_mut(|data| data.remove::<(String, String)>(id));
            return read.ok().filter(|_| !gave_up && text != now);
        }
    }
    None
}

/// Puts the keyboard into the field of [`text_ui`] with this id, with all its text selected.
pub fn begin_text(ui: &Ui, id: impl egui::AsIdSalt, text: &str) {
    let id = ui.make_persistent_id(id);
    ui.memory_mut(|memory| memory.request_focus(id));
    select_all(ui, id, text);
}

/// A field reached with the keyboard has all its text selected: what is typed takes its place.
pub fn select_all_by_key(ui: &Ui, field: &Response, text: &str) {
    let by_key = field.gained_focus() && ui.input(|input| input.key_pressed(Key::Tab));
    if by_key {
        select_all(ui, field.id, text);
    }
}

fn select_all(ui: &Ui, id: egui::Id, text: &str) {
    let mut state = TextEdit::load_state(ui.ctx(), id).unwrap_or_default();
    let (start, end) = (CCursor::new(0), CCursor::new(text.chars().count()));
    state.cursor.set_char_range(Some(CCursorRange::two(start, end)));
    state.store(ui.ctx(), id);
}

/// A list of words to choose one from; gives the number of the one chosen instead.
pub fn choice_ui(ui: &mut Ui, name: &str, now: usize, words: &[&str], width: f32) -> Option<usize> {
    let shown = words.get(now).copied().unwrap_or_default();
    let combo = ComboBox::from_id_salt((name, "choice")).selected_text(shown).width(width).truncate();
    let shown = combo.show_ui(ui, |ui| {
        let mut taken = None;
        for (place, word) in words.iter().enumerate() {
            if ui.selectable_label(place == now, *word).clicked() {
                taken = Some(place);
            }
        }
        taken
    });
    let now_words = words.get(now).copied().unwrap_or_default();
    shown.response.accessible_name(format!("{name}: {now_words}"));
    shown.inner.flatten().filter(|place| *place != now)
}

/// The same as a row with its name.
pub fn choice_row(ui: &mut Ui, name: &str, now: usize, words: &[&str]) -> Option<usize> {
    named_row(ui, name, |ui| {
        let width = ui.available_width();
        choice_ui(ui, name, now, words, width)
    })
}

/// A list over the window or in a popup that scrolls beyond a height (points). It is as high as it will be from the
/// first frame on: what stands below it must not move away under the pointer.
pub fn list_area(height: f32) -> ScrollArea {
    ScrollArea::vertical().max_height(height).min_scrolled_height(height).auto_shrink([false, true])
}

/// The inside of something that hangs over a panel: what is brought into view in it, as a text field that is typed in is,
/// does not scroll the panel behind.
pub fn hanging_ui<R>(ui: &mut Ui, add: impl FnOnce(&mut Ui) -> R) -> R {
    ScrollArea::neither().show(ui, add).inner
}

/// A small heading inside a panel.
pub fn section_ui(ui: &mut Ui, words: &str) {
    ui.add_space(4.0);
    ui.label(RichText::new(words).font(FontRole::Strong.id()));
}

/// A small button without a frame, named for assistive technology.
pub fn quiet_button(ui: &mut Ui, words: &str, name: &str, tip: &str) -> Response {
    let button = egui::Button::new(words).frame_when_inactive(false).small();
    ui.add(button).on_hover_text(tip).accessible_name(name)
}
