//! A button that says what would come of it: a mark and a figure behind its words.

use egui::{Align2, Atom, AtomExt, Atoms, Button, Color32, IdSalt, Response, RichText, TextStyle, Ui, Vec2};
use glidewright_sheet::Theme;

use super::{Mark, paint_mark};

/// Size of a mark in a button (points).
const MARK: f32 = 12.0;

/// What stands on the button.
pub struct Marked<'a> {
    /// Its words.
    pub text: RichText,
    /// How what it does would look; nothing while that is not known.
    pub mark: Option<Mark>,
    /// The figure behind.
    pub figure: &'a str,
    /// The widest figure that is to have room, so that nothing moves when it becomes known; empty for none.
    pub room_for: &'a str,
    /// Whether it is the one chosen.
    pub chosen: bool,
}

/// Draws it; long words are broken where a limit of the room is set.
pub fn marked_button(ui: &mut Ui, marked: Marked<'_>, theme: &Theme) -> Response {
    let place = IdSalt::new("mark in a button");
    let mut parts = Atoms::new(marked.text.atom_shrink(true));
    let kept = !marked.room_for.is_empty();
    if marked.mark.is_some() || kept {
        parts.push_right(Atom::custom(place, Vec2::splat(MARK)));
    }
    let figure = RichText::new(marked.figure).weak();
    if kept {
        let font = TextStyle::Button.resolve(ui.style());
        let widest = ui.painter().layout_no_wrap(marked.room_for.to_owned(), font, Color32::WHITE).size();
        parts.push_right(figure.atom_size(widest).atom_align(Align2::RIGHT_CENTER));
    } else if !marked.figure.is_empty() {
        parts.push_right(figure);
    }
    let button = Button::selectable(marked.chosen, parts).frame_when_inactive(true);
    let drawn = button.atom_ui(ui);
    if let (Some(mark), Some(rect)) = (marked.mark, drawn.rect(place)) {
        paint_mark(ui.painter(), rect.center(), MARK, mark, theme);
    }
    drawn.response
}
