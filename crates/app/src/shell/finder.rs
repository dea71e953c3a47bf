//! Finds a command by its words.

use egui::{Align, Button, Context, Id, Key, RichText, TextEdit, Vec2};

use super::App;
use crate::commands::{Action, Spec, TABLE};
use crate::widgets::{list_area, over};

/// What is being looked for.
#[derive(Default)]
pub struct Finder {
    words: String,
    chosen: usize,
    /// The field has had the keyboard: from then on Tab goes where it will.
    begun: bool,
}

impl App {
    /// Shows the command finder if it is open.
    pub(super) fn finder_ui(&mut self, ctx: &Context) {
        let Some(mut finder) = self.finder.take() else { return };
        let mut done = None;
        let shown = over(ctx, "find a command").show(ctx, |ui| {
            ui.set_width(420.0);
            ui.heading("Find a command");
            let count = |key| ui.input_mut(|input| input.count_and_consume_key(egui::Modifiers::NONE, key));
            let [up, down] = [Key::ArrowUp, Key::ArrowDown].map(count);
            let id = Id::unique("words of a command");
            // On a row Enter is that row's own.
            let enter = if ui.memory(|memory| memory.has_focus(id)) { count(Key::Enter) } else { 0 };
            let field = TextEdit::singleline(&mut finder.words).id(id).hint_text("What to do");
            let field = ui.add(field.desired_width(f32::INFINITY));
            let field = field.accessible_name("What to do");
            if !std::mem::replace(&mut finder.begun, true) {
                field.request_focus();
            }
            if field.changed() {
                finder.chosen = 0;
            }
            let fitting = fitting(&finder.words);
            finder.chosen = (finder.chosen + down).saturating_sub(up).min(fitting.len().saturating_sub(1));
            list_area(360.0).show(ui, |ui| {
                ui.spacing_mut().item_spacing.y = 1.0;
                for (place, spec) in fitting.iter().enumerate() {
                    let hindrance = spec.command.hindrance(&self.state);
                    let keys = spec.command.keys(ctx);
                    let button = Button::selectable(place == finder.chosen, spec.command.label())
                        .right_text(RichText::new(keys).small().weak())
                        .min_size(Vec2::new(ui.available_width(), 0.0));
                    let row = ui.add_enabled(hindrance.is_none(), button).on_hover_text(spec.tooltip);
                    let row = match hindrance {
                        Some(why) => row.on_disabled_hover_text(why),
                        None => row,
                    };
                    if place == finder.chosen && up + down > 0 {
                        row.scroll_to_me(Some(Align::Center));
                    }
                    let taken = row.clicked() || (place == finder.chosen && enter > 0 && hindrance.is_none());
                    if taken {
                        done = Some(spec.command);
                    }
                }
            });
        });
        match done {
            Some(command) => self.queue.push(Action::Do(command)),
            None if shown.should_close() => {}
            None => self.finder = Some(finder),
        }
    }
}

fn fitting(words: &str) -> Vec<&'static Spec> {
    let words: Vec<String> = words.to_lowercase().split_whitespace().map(str::to_owned).collect();
    TABLE
        .iter()
        .filter(|spec| {
            let text = format!("{} {}", spec.command.label(), spec.tooltip).to_lowercase();
            spec.command.exists() && words.iter().all(|word| text.contains(word))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_in_any_order_find_a_command() {
        let found = |words| fitting(words).iter().map(|spec| spec.label).collect::<Vec<_>>();
        assert_eq!(found("tightest"), ["To the tightest place"]);
        assert_eq!(found("SVG picture"), ["Export picture…"]);
        assert_eq!(found("no such words"), [""; 0]);
        assert!(found("").len() > 40);
        assert_eq!(found("wheel in its track middle"), ["View 4"]);
    }
}
