//! A button that names a part and opens a searchable list to take another: what suits the place first, by the size one
//! chooses it by.

use egui::{
    Align, Align2, Button, EventFilter, Id, Key, Modifiers, Popup, PopupCloseBehavior, Rect, Response,
    RichText, Sense, Shape, Stroke, TextEdit, TextStyle, Ui, Vec2, pos2,
};
use glidewright_sheet::Theme;

use super::rows::{hanging_ui, list_area, text_scale};
use super::{Mark, paint_mark};
use crate::theme;

/// One thing to choose.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// What it is called: what is written to the document.
    pub name: String,
    /// What the trade calls it, where the name does not say.
    pub plain: String,
    /// A few words about it.
    pub about: String,
    /// What keeps it from standing there, if anything does.
    pub unfit: Option<String>,
    /// What would come of it, once that is known: a mark and the tightest gap.
    pub foreseen: Option<(Mark, String)>,
    /// What one weighs, in words, if that is known.
    pub mass: Option<String>,
    /// What one costs, in words, if that is known.
    pub cost: Option<String>,
    /// How sure its sizes are, in words for a column and in full; empty where nothing is said of that.
    pub sure: [&'static str; 2],
}

impl Choice {
    /// Something with a name and a few words about it.
    pub fn new(name: impl Into<String>, about: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            plain: String::new(),
            about: about.into(),
            unfit: None,
            foreseen: None,
            mass: None,
            cost: None,
            sure: [""; 2],
        }
    }

    /// The same with what the trade calls it, unless its name says that.
    pub fn plainly(mut self, plain: &str) -> Self {
        if !self.name.contains(plain) {
            plain.clone_into(&mut self.plain);
        }
        self
    }
}

/// What a picker shows before its list is opened.
pub struct Picker<'a> {
    /// What is chosen here.
    pub label: &'a str,
    /// What is chosen now.
    pub now: &'a str,
    /// A figure of it at the right of the button; empty for none.
    pub figure: &'a str,
    /// Whether the list has a column for what would come of each.
    pub foresees: bool,
    /// The currency of costs; empty where the list has none.
    pub currency: &'a str,
}

impl<'a> Picker<'a> {
    /// Without figures and without a look ahead.
    pub const fn plain(label: &'a str, now: &'a str) -> Self {
        Self { label, now, figure: "", foresees: false, currency: "" }
    }
}

/// Width of the list, of its columns for mass, cost, gap and certainty, at ordinary text size (points).
const WIDTH: f32 = 570.0;
const WIDE: f32 = 740.0;
const MASS_WIDTH: f32 = 52.0;
const COST_WIDTH: f32 = 44.0;
const GAP_WIDTH: f32 = 74.0;
const SURE_WIDTH: f32 = 70.0;
/// Size of a mark (points).
const MARK: f32 = 10.0;
/// Height of the list (points).
const HEIGHT: f32 = 320.0;

impl Picker<'_> {
    /// Shows what is chosen now; returns what was chosen instead.
    pub fn show(&self, ui: &mut Ui, width: f32, choices: impl FnOnce() -> Vec<Choice>) -> Option<String> {
        // Room at the right for the triangle that says a list opens.
        let figure = RichText::new(self.figure).weak();
        let button =
            Button::new(self.now).right_text((figure, "    ")).truncate().min_size(Vec2::new(width, 0.0));
        let response = ui.add_sized([width, ui.spacing().interact_size.y], button);
        let response = response.accessible_name(format!("{}: {}", self.label, self.now));
        paint_triangle(ui, &response);
        self.pick(ui, &response, choices)
    }

    /// The list that a button opens; returns what was chosen.
    pub fn pick(
        &self,
        ui: &Ui,
        response: &Response,
        choices: impl FnOnce() -> Vec<Choice>,
    ) -> Option<String> {
        let search = response.id.with("search");
        if response.clicked() {
            ui.data_mut(|data| data.insert_temp(search, Search::default()));
        }
        let mut chosen = None;
        let room = ui.ctx().content_rect().width() - 40.0;
        let width = if self.foresees { WIDE } else { WIDTH };
        Popup::from_toggle_button_response(response)
            .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
            .width((width * text_scale(ui)).min(room))
            .show(|ui| {
                chosen = hanging_ui(ui, |ui| self.list_ui(ui, search, &choices()));
                if chosen.is_some() {
                    ui.close();
                }
            });
        chosen
    }

    fn list_ui(&self, ui: &mut Ui, id: Id, choices: &[Choice]) -> Option<String> {
        let mut search: Search = ui.data(|data| data.get_temp(id)).unwrap_or_default();
        // It stays as high as it was: grown smaller it would go to another place under the pointer.
        ui.set_min_height(search.height);
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
            .accessible_name(format!("Search: {}", self.label));
        let first = !search.begun;
        if first {
            field.request_focus();
        }
        let words: Vec<String> = search.words.to_lowercase().split_whitespace().map(str::to_owned).collect();
        let found = |choice: &&Choice| {
            let text = format!("{} {} {}", choice.name, choice.plain, choice.about).to_lowercase();
            words.iter().all(|word| text.contains(word))
        };
        // What does not suit the place is behind "all", unless nothing does or it is what stands there now.
        let unfit = choices.iter().filter(|choice| choice.unfit.is_some() && choice.name != self.now).count();
        let hides = unfit > 0 && unfit < choices.len() && !search.all;
        let shows = |choice: &&Choice| !hides || choice.unfit.is_none() || choice.name == self.now;
        let mut fitting: Vec<&Choice> = choices.iter().filter(shows).filter(found).collect();
        if fitting.is_empty() {
            // What is asked for by name is shown, and told not to fit.
            fitting = choices.iter().filter(found).collect();
        }
        if field.changed() {
            search.row = 0;
        } else if first {
            search.row = fitting.iter().position(|choice| choice.name == self.now).unwrap_or(0);
        }
        search.row = (search.row + down).saturating_sub(up).min(fitting.len().saturating_sub(1));
        search.begun = true;
        let (row, moved) = (search.row, up + down > 0 || first);
        let mut chosen = None;
        if field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter)) {
            chosen = fitting.get(row).map(|choice| choice.name.clone());
        }
        if fitting.is_empty() {
            ui.weak("Nothing by these words. Fewer words find more.");
        } else {
            let columns = Columns {
                currency: self.currency,
                gap: self.foresees,
                mass: fitting.iter().any(|choice| choice.mass.is_some()),
                cost: fitting.iter().any(|choice| choice.cost.is_some()),
                sure: fitting.iter().any(|choice| !choice.sure[0].is_empty()),
            };
            let theme = theme::current(ui.ctx());
            columns.head_ui(ui);
            list_area(HEIGHT).show(ui, |ui| {
                ui.spacing_mut().item_spacing.y = 1.0;
                for (place, choice) in fitting.iter().enumerate() {
                    let response = columns.row_ui(ui, choice, choice.name == self.now, place == row, &theme);
                    if place == row && moved {
                        response.scroll_to_me(Some(Align::Center));
                    }
                    if response.clicked() {
                        chosen = Some(choice.name.clone());
                    }
                }
            });
        }
        if unfit > 0 && unfit < choices.len() {
            let words = format!("Show all: {unfit} more that do not fit here");
            ui.checkbox(&mut search.all, words);
        }
        search.height = search.height.max(ui.min_rect().height());
        ui.data_mut(|data| data.insert_temp(id, search));
        chosen
    }
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
    /// Whether what does not suit the place shows too.
    all: bool,
    /// The most the list has been high (points).
    height: f32,
}

/// Heads of the columns for what one weighs and costs, and how sure its sizes are.
const MASS: &str = "mass";
const COST: &str = "cost";
const SURE: &str = "certainty";

/// Which figures the list has columns for.
struct Columns<'a> {
    currency: &'a str,
    gap: bool,
    mass: bool,
    cost: bool,
    sure: bool,
}

impl Columns<'_> {
    /// The columns from the right: heading, width; those that are shown.
    fn widths(&self) -> impl Iterator<Item = (&'static str, f32)> {
        [
            (self.cost, COST, COST_WIDTH),
            (self.mass, MASS, MASS_WIDTH),
            (self.gap, "tightest gap", GAP_WIDTH),
            (self.sure, SURE, SURE_WIDTH),
        ]
        .into_iter()
        .filter_map(|(shown, word, width)| shown.then_some((word, width)))
    }

    fn head_ui(&self, ui: &mut Ui) {
        if self.widths().next().is_none() {
            return;
        }
        let height = TextStyle::Small.resolve(ui.style()).size + 4.0;
        let (rect, _) = ui.allocate_exact_size(Vec2::new(ui.available_width(), height), Sense::hover());
        let mut right = rect.right() - 8.0;
        let font = TextStyle::Small.resolve(ui.style());
        let color = ui.visuals().weak_text_color();
        for (word, width) in self.widths() {
            let at = pos2(right, rect.center().y);
            let words = if word == COST { self.currency } else { word };
            ui.painter().text(at, Align2::RIGHT_CENTER, words, font.clone(), color);
            right -= width * text_scale(ui);
        }
        let at = pos2(right, rect.center().y);
        ui.painter().text(at, Align2::RIGHT_CENTER, "sizes in mm", font, color);
    }

    fn row_ui(
        &self,
        ui: &mut Ui,
        choice: &Choice,
        is_now: bool,
        is_reached: bool,
        theme: &Theme,
    ) -> Response {
        let scale = text_scale(ui);
        let figures: f32 = self.widths().map(|(_, width)| width * scale).sum();
        let about = match &choice.unfit {
            Some(why) => RichText::new(format!("does not fit: {why}")).small().weak(),
            None => RichText::new(&choice.about).small().weak(),
        };
        let name = RichText::new(choice.name.as_str());
        let name = if choice.unfit.is_some() { name.weak() } else { name };
        let plain = RichText::new(choice.plain.as_str()).small();
        let room = egui::AtomExt::atom_size(egui::Atom::default(), Vec2::new(figures, 0.0));
        let button = if choice.plain.is_empty() {
            Button::selectable(is_now, name)
        } else {
            Button::selectable(is_now, (name, plain))
        };
        let button = button.right_text((about, room)).min_size(Vec2::new(ui.available_width(), 0.0));
        let mut response = ui.add(button).accessible_name(choice.name.as_str());
        if !choice.sure[1].is_empty() {
            response = response.on_hover_text(format!("Its sizes: {}", choice.sure[1]));
        }
        let font = TextStyle::Small.resolve(ui.style());
        let color = ui.visuals().weak_text_color();
        let mut right = response.rect.right() - 8.0;
        for (word, width) in self.widths() {
            let at = pos2(right, response.rect.center().y);
            let text = match word {
                COST => choice.cost.clone(),
                MASS => choice.mass.clone(),
                SURE => Some(choice.sure[0].to_owned()),
                _ => choice.foreseen.as_ref().map(|(_, gap)| gap.clone()),
            };
            let drawn =
                ui.painter().text(at, Align2::RIGHT_CENTER, text.unwrap_or_default(), font.clone(), color);
            if let (false, Some((mark, _))) = (matches!(word, COST | MASS | SURE), &choice.foreseen) {
                let at = Rect::from_center_size(drawn.left_center() - Vec2::new(9.0, 0.0), Vec2::splat(MARK));
                paint_mark(ui.painter(), at.center(), MARK, *mark, theme);
            }
            right -= width * scale;
        }
        if is_reached {
            let stroke = ui.visuals().selection.stroke;
            ui.painter().rect_stroke(response.rect.shrink(0.5), 4.0, stroke, egui::StrokeKind::Inside);
        }
        response
    }
}
