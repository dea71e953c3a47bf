//! A button that names a part and opens a searchable list to take another.

use egui::{
    Align, Align2, Button, EventFilter, Id, Key, Modifiers, Popup, PopupCloseBehavior, Response, RichText,
    Sense, Shape, Stroke, TextEdit, TextStyle, Ui, Vec2,
};
use glidewright_sheet::number;

use super::rows::{list_area, text_scale};

/// One thing to choose.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// What it is called: what is written to the document.
    pub name: String,
    /// A few words about it.
    pub about: String,
    /// What one weighs (g), if that is known.
    pub mass: Option<f64>,
    /// What one costs, if that is known.
    pub cost: Option<f64>,
}

impl Choice {
    /// Something with a name and a few words about it.
    pub fn new(name: impl Into<String>, about: impl Into<String>) -> Self {
        Self { name: name.into(), about: about.into(), mass: None, cost: None }
    }
}

/// Width of the list, of its columns for mass and cost, at ordinary text size (points).
const WIDTH: f32 = 430.0;
const MASS_WIDTH: f32 = 56.0;
const COST_WIDTH: f32 = 46.0;

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
    pick_ui(ui, &response, label, now, choices)
}

/// The list that a button opens; returns what was chosen.
pub fn pick_ui(
    ui: &Ui,
    response: &Response,
    label: &str,
    now: &str,
    choices: impl FnOnce() -> Vec<Choice>,
) -> Option<String> {
    let search = response.id.with("search");
    if response.clicked() {
        ui.data_mut(|data| data.insert_temp(search, Search::default()));
    }
    let mut chosen = None;
    let room = ui.ctx().content_rect().width() - 40.0;
    Popup::from_toggle_button_response(response)
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .width((WIDTH * text_scale(ui)).min(room))
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
    /// The row the arrow keys have come to.
    row: usize,
    /// The list has been seen: the field has had the keyboard, the chosen row has been scrolled to.
    begun: bool,
}

fn list_ui(ui: &mut Ui, id: Id, label: &str, now: &str, choices: &[Choice]) -> Option<String> {
    let mut search: Search = ui.data(|data| data.get_temp(id)).unwrap_or_default();
    let [up, down] = [Key::ArrowUp, Key::ArrowDown]
        .map(|key| ui.input_mut(|input| input.count_and_consume_key(Modifiers::NONE, key)));
    let field = ui
        .add(
            TextEdit::singleline(&mut search.words)
                .hint_text("Search by name or size")
                .event_filter(EventFilter {
                    vertical_arrows: true,
                    horizontal_arrows: true,
                    ..Default::default()
                })
                .desired_width(f32::INFINITY),
        )
        .accessible_name(format!("Search: {label}"));
    let first = !search.begun;
    if first {
        field.request_focus();
    }
    let words: Vec<String> = search.words.to_lowercase().split_whitespace().map(str::to_owned).collect();
    let fits = |choice: &&Choice| {
        let text = format!("{} {}", choice.name, choice.about).to_lowercase();
        words.iter().all(|word| text.contains(word))
    };
    let fitting: Vec<&Choice> = choices.iter().filter(fits).collect();
    if field.changed() {
        search.row = 0;
    } else if first {
        search.row = fitting.iter().position(|choice| choice.name == now).unwrap_or(0);
    }
    search.row = (search.row + down).saturating_sub(up).min(fitting.len().saturating_sub(1));
    search.begun = true;
    let (row, moved) = (search.row, up + down > 0 || first);
    ui.data_mut(|data| data.insert_temp(id, search));
    if fitting.is_empty() {
        ui.weak("Nothing by these words. Fewer words find more.");
        return None;
    }
    let mut chosen = None;
    if field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter)) {
        chosen = fitting.get(row).map(|choice| choice.name.clone());
    }
    let columns = Columns {
        mass: fitting.iter().any(|choice| choice.mass.is_some()),
        cost: fitting.iter().any(|choice| choice.cost.is_some()),
    };
    columns.head_ui(ui);
    list_area(320.0).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        for (place, choice) in fitting.iter().enumerate() {
            let response = columns.row_ui(ui, choice, choice.name == now, place == row);
            if place == row && moved {
                response.scroll_to_me(Some(Align::Center));
            }
            if response.clicked() {
                chosen = Some(choice.name.clone());
            }
        }
    });
    chosen
}

/// Which figures the list has columns for.
struct Columns {
    mass: bool,
    cost: bool,
}

impl Columns {
    fn head_ui(&self, ui: &mut Ui) {
        if !self.mass && !self.cost {
            return;
        }
        let height = TextStyle::Small.resolve(ui.style()).size + 4.0;
        let (rect, _) = ui.allocate_exact_size(Vec2::new(ui.available_width(), height), Sense::hover());
        let mut right = rect.right() - 8.0;
        let font = TextStyle::Small.resolve(ui.style());
        let color = ui.visuals().weak_text_color();
        for (shown, word, width) in [(self.cost, "cost", COST_WIDTH), (self.mass, "mass", MASS_WIDTH)] {
            if shown {
                let at = egui::pos2(right, rect.center().y);
                ui.painter().text(at, Align2::RIGHT_CENTER, word, font.clone(), color);
                right -= width * text_scale(ui);
            }
        }
        let at = egui::pos2(right, rect.center().y);
        ui.painter().text(at, Align2::RIGHT_CENTER, "sizes in mm", font, color);
    }

    fn row_ui(&self, ui: &mut Ui, choice: &Choice, is_now: bool, is_reached: bool) -> Response {
        let scale = text_scale(ui);
        let mut figures = 0.0;
        let mut cells: Vec<(f32, String)> = Vec::new();
        for (shown, figure, width) in [
            (self.cost, choice.cost.map(|cost| number(cost, 2)), COST_WIDTH),
            (
                self.mass,
                choice.mass.map(|mass| format!("{} g", number(mass, if mass < 10.0 { 2 } else { 1 }))),
                MASS_WIDTH,
            ),
        ] {
            if shown {
                cells.push((figures, figure.unwrap_or_default()));
                figures += width * scale;
            }
        }
        let about = RichText::new(&choice.about).small().weak();
        let button = Button::selectable(is_now, choice.name.as_str())
            .right_text((about, egui::AtomExt::atom_size(egui::Atom::default(), Vec2::new(figures, 0.0))))
            .min_size(Vec2::new(ui.available_width(), 0.0));
        let response = ui.add(button).accessible_name(choice.name.as_str());
        let font = TextStyle::Small.resolve(ui.style());
        let color = ui.visuals().weak_text_color();
        for (from_right, text) in cells {
            let at = egui::pos2(response.rect.right() - 8.0 - from_right, response.rect.center().y);
            ui.painter().text(at, Align2::RIGHT_CENTER, text, font.clone(), color);
        }
        if is_reached {
            let stroke = ui.visuals().selection.stroke;
            ui.painter().rect_stroke(response.rect.shrink(0.5), 4.0, stroke, egui::StrokeKind::Inside);
        }
        response
    }
}
