//! What was opened beside the drawing, so that Escape closes the last of it and nothing else.

use egui::{Context, Key, Modifiers};

use super::App;

/// Something that is opened and closed without covering the rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Opened {
    Handbook,
    Drawer,
}

impl App {
    fn is_open(&self, what: Opened) -> bool {
        match what {
            Opened::Handbook => self.handbook.shown,
            Opened::Drawer => self.state.drawer.is_some(),
        }
    }

    /// Keeps the order in which things were opened, and closes the last on Escape. What has the keyboard comes first: a
    /// field gives its text up, a list closes.
    pub(super) fn close_last(&mut self, ctx: &Context) {
        let mut opened = std::mem::take(&mut self.opened);
        opened.retain(|what| self.is_open(*what));
        for what in [Opened::Handbook, Opened::Drawer] {
            if self.is_open(what) && !opened.contains(&what) {
                opened.push(what);
            }
        }
        let is_free = !self.is_covered()
            && !self.canvases.is_moving()
            && !egui::Popup::is_any_open(ctx)
            && !ctx.text_edit_focused()
            && !self.canvases.text_had_focus();
        if is_free
            && let Some(last) = opened.last()
            && ctx.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape))
        {
            match last {
                Opened::Handbook => self.handbook.shown = false,
                Opened::Drawer => self.state.drawer = None,
            }
            opened.pop();
        }
        self.opened = opened;
    }
}
