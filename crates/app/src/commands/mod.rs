//! Every command: its words, keys and conditions once, for menus, buttons, the command finder and keys.

mod command;
mod queue;
mod table;

pub use command::Command;
pub use queue::{Action, Queue};
pub use table::{Menu, Spec, TABLE};

use egui::{Context, Event, KeyboardShortcut, Modifiers};
use glidewright_sheet::views::View;

use crate::state::State;

impl Command {
    /// What the table says of it.
    pub fn spec(self) -> &'static Spec {
        // Every command has a row; a test holds that.
        TABLE.iter().find(|spec| spec.command == self).unwrap_or(&table::MISSING)
    }

    /// Its words now: a view's own name, where it shows one.
    pub fn label(self) -> &'static str {
        match self.view() {
            Some(view) => view.title,
            None => self.spec().label,
        }
    }

    /// The view it brings to the middle.
    pub fn view(self) -> Option<&'static View> {
        const VIEWS: [Command; 9] = [
            Command::View1,
            Command::View2,
            Command::View3,
            Command::View4,
            Command::View5,
            Command::View6,
            Command::View7,
            Command::View8,
            Command::View9,
        ];
        let number = VIEWS.iter().position(|command| *command == self)?;
        crate::views::on_screen().nth(number)
    }

    /// Whether there is anything behind it: not every view command has a view.
    pub fn exists(self) -> bool {
        !self.spec().label.starts_with("View ") || self.view().is_some()
    }

    /// Why it cannot be used now; `None` when it can.
    pub fn hindrance(self, state: &State) -> Option<&'static str> {
        (self.spec().hindrance)(state)
    }

    /// Its first shortcut as text; empty if it has none.
    pub fn keys(self, ctx: &Context) -> String {
        self.spec().shortcuts.first().map_or_else(String::new, |keys| ctx.format_shortcut(keys))
    }

    /// Tooltip with its keys.
    pub fn tooltip(self, ctx: &Context) -> String {
        let keys = self.keys(ctx);
        let spec = self.spec();
        if keys.is_empty() { spec.tooltip.to_owned() } else { format!("{} ({keys})", spec.tooltip) }
    }
}

/// Queues the commands whose keys were pressed. Keys without Ctrl belong to the drawing and are left alone while
/// something else has the keyboard; those that are about the selected part belong to whatever has it, as long as that
/// is no field for text.
pub fn read_keys(ctx: &Context, state: &State, drawing_has_keys: bool, queue: &mut Queue) {
    let writes = ctx.text_edit_focused();
    if !writes && !egui::Popup::is_any_open(ctx) {
        read_clipboard(ctx, state, queue);
    }
    // More modifiers first, so that Ctrl+Shift+Z is not taken for Ctrl+Z.
    let mut rows: Vec<(&KeyboardShortcut, Command)> =
        TABLE.iter().flat_map(|spec| spec.shortcuts.iter().map(|keys| (keys, spec.command))).collect();
    rows.sort_by_key(|(keys, _)| std::cmp::Reverse(count(keys.modifiers)));
    for (keys, command) in rows {
        let plain = !keys.modifiers.command && !is_function_key(keys.logical_key);
        let is_ours = match command {
            Command::DeletePart => !writes && !egui::Popup::is_any_open(ctx),
            // The clipboard comes as words, not as keys.
            Command::CopyPart | Command::PastePart => false,
            _ => !plain || drawing_has_keys,
        };
        if !is_ours {
            continue;
        }
        // Usable or not, the keys are ours: they must not fall through to a widget.
        let pressed = ctx.input_mut(|input| input.count_and_consume_key(keys.modifiers, keys.logical_key));
        if pressed > 0 && command.hindrance(state).is_none() {
            for _ in 0..pressed.min(20) {
                queue.push(Action::Do(command));
            }
        }
    }
}

/// Copying and pasting, which reach a window as words of their own instead of keys.
fn read_clipboard(ctx: &Context, state: &State, queue: &mut Queue) {
    let (events, shift) = ctx.input_mut(|input| {
        let is = |event: &Event| matches!(event, Event::Copy | Event::Cut | Event::Paste(_));
        let events: Vec<Event> = input.events.iter().filter(|event| is(event)).cloned().collect();
        input.events.retain(|event| !is(event));
        (events, input.modifiers.shift)
    });
    for event in events {
        match event {
            Event::Copy if shift && Command::CopyPicture.hindrance(state).is_none() => {
                queue.push(Action::Do(Command::CopyPicture));
            }
            Event::Copy if !shift && Command::CopyPart.hindrance(state).is_none() => {
                queue.push(Action::Do(Command::CopyPart));
            }
            Event::Cut if Command::CopyPart.hindrance(state).is_none() => {
                queue.push(Action::Do(Command::CopyPart));
                queue.push(Action::Do(Command::DeletePart));
            }
            Event::Paste(text) => queue.push(Action::Paste(text)),
            _ => {}
        }
    }
}

fn count(modifiers: Modifiers) -> usize {
    usize::from(modifiers.command) + usize::from(modifiers.shift) + usize::from(modifiers.alt)
}

fn is_function_key(key: egui::Key) -> bool {
    use egui::Key::*;
    matches!(key, F1 | F2 | F3 | F4 | F5 | F6 | F7 | F8 | F9 | F10 | F11 | F12)
}
