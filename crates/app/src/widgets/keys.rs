//! Lists under the keyboard.

use egui::{EventFilter, Key, Modifiers, Response, RichText, Ui, Vec2};

/// Lets the up and down arrows walk through rows that are drawn one after the other, as long as one of them has the
/// keyboard; Home and End go to the first and the last.
pub fn arrows_walk(ui: &Ui, rows: &[Response]) {
    let Some(at) = rows.iter().position(Response::has_focus) else { return };
    let Some(now) = rows.get(at) else { return };
    let filter = EventFilter { vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(now.id, filter));
    let pressed = |key| ui.input_mut(|input| input.count_and_consume_key(Modifiers::NONE, key));
    let (up, down) = (pressed(Key::ArrowUp), pressed(Key::ArrowDown));
    let (home, end) = (pressed(Key::Home), pressed(Key::End));
    let last = rows.len() - 1;
    let to = if home > 0 {
        0
    } else if end > 0 {
        last
    } else {
        (at + down).saturating_sub(up).min(last)
    };
    if to != at
        && let Some(row) = rows.get(to)
    {
        row.request_focus();
        row.scroll_to_me(None);
    }
}

/// A row of a menu over its whole width, with the keys that do the same; whether it was clicked.
pub fn menu_row(ui: &mut Ui, words: &str, keys: &str, enabled: bool) -> bool {
    let size = Vec2::new(ui.available_width(), 0.0);
    let keys = RichText::new(keys).weak();
    let button = egui::Button::new(words).right_text(keys).min_size(size).frame_when_inactive(false);
    ui.add_enabled(enabled, button).accessible_name(words).clicked()
}
