//! A button that names a part and opens a searchable list to take another.

use egui::{
    Align, Button, Id, Key, Popup, PopupCloseBehavior, Response, RichText, ScrollArea, Shape, Stroke,
};
use egui::{TextEdit, Ui, Vec2};

/// One thing to choose.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// What it is called: what is written to the document.
    pub name: String,
    /// A few words about it.
    pub about: String,
}

/// Shows what is chosen now; returns what was chosen instead.
pub fn part_picker_ui(
    ui: &mut Ui,
    label: &str,
    now: &str,
    width: f32,
    choices: impl FnOnce() -> Vec<Choice>,
) -> Option<String> {
    // Room at the right for the triangle that says a list opens.
    let button = Button::new(now).right_text("    ").truncate().min_size(Vec2::new(width, 0.0));
    let response = ui.add_sized([width, ui.spacing().interact_size.y], button);
    let response = response.accessible_name(format!("{label}: {now}"));
    paint_triangle(ui, &response);
    let search = response.id.with("search");
    if response.clicked() {
        ui.data_mut(|data| data.insert_temp(search, Search::default()));
    }
    let mut chosen = None;
    Popup::from_toggle_button_response(&response)
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .width(340.0)
        .show(|ui| {
            chosen = list_ui(ui, search, label, now, &choices());
            if chosen.is_some() {
                ui.close();
            }
        });
    chosen
}

/// A small triangle pointing down, as on every list that opens.
fn paint_triangle(ui: &Ui, response: &Response) {
    let color = ui.style().interact(response).fg_stroke.color;
    let at = response.rect.right_center() - Vec2::new(13.0, -0.5);
    let corners = vec![at + Vec2::new(-4.0, -2.5), at + Vec2::new(4.0, -2.5), at + Vec2::new(0.0, 2.5)];
    ui.painter().add(Shape::convex_polygon(corners, color, Stroke::NONE));
}

/// What is being looked for.
#[derive(Clone, Default)]
struct Search {
    words: String,
    /// The list has been seen: the field has had the keyboard, the chosen row has been scrolled to.
    begun: bool,
}

fn list_ui(ui: &mut Ui, id: Id, label: &str, now: &str, choices: &[Choice]) -> Option<String> {
    let mut search: Search = ui.data(|data| data.get_temp(id)).unwrap_or_default();
    let field = ui
        .add(
            TextEdit::singleline(&mut search.words)
                .hint_text("Search by name or size")
                .desired_width(f32::INFINITY),
        )
        .accessible_name(format!("Search: {label}"));
    let first = !search.begun;
    if first {
        field.request_focus();
    }
    let words: Vec<String> = search.words.to_lowercase().split_whitespace().map(str::to_owned).collect();
    search.begun = true;
    ui.data_mut(|data| data.insert_temp(id, search));
    let fits = |choice: &&Choice| {
        let text = format!("{} {}", choice.name, choice.about).to_lowercase();
        words.iter().all(|word| text.contains(word))
    };
    let fitting: Vec<&Choice> = choices.iter().filter(fits).collect();
    if fitting.is_empty() {
        ui.weak("Nothing by these words. Fewer words find more.");
        return None;
    }
    let mut chosen = None;
    if field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter)) {
        chosen = fitting.first().map(|choice| choice.name.clone());
    }
    ScrollArea::vertical().max_height(320.0).auto_shrink([false, true]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        for choice in fitting {
            let selected = choice.name == now;
            let button = Button::selectable(selected, choice.name.as_str())
                .right_text(RichText::new(&choice.about).small().weak())
                .min_size(Vec2::new(ui.available_width(), 0.0));
            let response = ui.add(button).accessible_name(choice.name.as_str());
            if selected && first {
                response.scroll_to_me(Some(Align::Center));
            }
            if response.clicked() {
                chosen = Some(choice.name.clone());
            }
        }
    });
    chosen
}
