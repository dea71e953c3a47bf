//! The sizes, parts and choices below a path, each in its row; the coordinates of a place share one.

use egui::{Align, Color32, Frame, Layout, Ui};
use glidewright_motion::Interference;
use glidewright_project::document::{Certainty, Part, PartKind, Stocked};
use glidewright_project::quantity::Quantity;
use glidewright_project::size::Formula;
use glidewright_project::tables::{built_in, plain_name};
use glidewright_project::tolerance::Tolerance;
use glidewright_project::{Document, PartUse, Slot, Suiting, cost_of, mass_of_part, parts_of_kind, told};
use glidewright_sheet::{Tone, number};

use super::bodies::names_on_outline;
use crate::commands::{Action, Queue};
use crate::panels::Shared;
use crate::panels::drawer::library::taken;
use crate::panels::findings::mark_of;
use crate::state::{Edit, Question};
use crate::theme::Surface;
use crate::widgets::{
    Choice, Picker, SizeField, choice_ui, name_ui, named_row, part_summary, text_scale, tolerance_button_ui,
};

/// One place in the document that holds a value.
struct Row {
    path: String,
    /// The path below the base, in the reader's words.
    name: String,
    value: RowValue,
}

enum RowValue {
    Size(Option<Formula>, Option<Tolerance>, Quantity),
    Part(PartUse, String),
    Choice(&'static str, &'static [&'static str]),
}

/// Names of the coordinates of a place.
const COORDINATES: [&str; 5] = ["x", "y", "z", "along", "across"];

/// What stands below `base`, as far as `keep` wants it by its path below.
fn rows(document: &Document, base: &str, keep: &dyn Fn(&str) -> bool) -> Vec<Row> {
    let mut rows = Vec::new();
    document.visit(&mut |path, slot| {
        let below = match path.strip_prefix(base) {
            Some("") => "",
            Some(rest) => match rest.strip_prefix('/') {
                Some(rest) => rest,
                None => return,
            },
            None => return,
        };
        if !keep(below) {
            return;
        }
        let value = match slot {
            Slot::Size(size) => {
                RowValue::Size(size.formula().cloned(), size.tolerance().cloned(), size.quantity())
            }
            Slot::Part(part_use, name) => RowValue::Part(part_use, name.to_owned()),
            Slot::Choice(choice) => RowValue::Choice(choice.word(), choice.words()),
        };
        rows.push(Row { path: path.to_owned(), name: words(below), value });
    });
    rows
}

/// A path in a reader's words.
fn words(below: &str) -> String {
    let whole = match below {
        "press" => "preload",
        "youngs" => "Young's modulus",
        "poisson" => "Poisson's ratio",
        "allowable_pressure" => "pressure to allow",
        "mass_per_length" => "mass per length",
        "half_angle" | "running/half_angle" | "profile/half_angle" => "flank angle",
        "running/tip" => "tip width",
        "running/radius" => "profile radius",
        "rim/diameter" => "diameter",
        "rim/teeth" => "teeth",
        "rim/pitch" | "kind/pitch" => "tooth pitch",
        "plane/y" => "plane at y",
        "plane/z" => "plane at z",
        "gap" => "least gap",
        "effort" => "greatest effort",
        "tilt" => "greatest tilt",
        "reach/at" => "reach now",
        "stand/incline" => "incline",
        "stand/roll" => "roll",
        "moves/ratio" | "ratio" => "ratio",
        "turned/by" => "turned by",
        _ => "",
    };
    if !whole.is_empty() {
        return whole.to_owned();
    }
    // Axis and place of a turn stand below the choice that says so; a column holds no longer name.
    below.strip_prefix("turned/").unwrap_or(below).replace('/', " · ").replace('_', " ")
}

/// Draws the rows below `base` that `keep` wants by their path below.
pub fn fields_ui(
    ui: &mut Ui,
    shared: &Shared<'_>,
    base: &str,
    keep: impl Fn(&str) -> bool,
    queue: &mut Queue,
) -> bool {
    let reading = shared.state.session.reading();
    let rows = rows(&reading.document, base, &keep);
    let selected = &shared.state.selected;
    let mut rest = rows.as_slice();
    while let Some((first, others)) = rest.split_first() {
        let many = group(rest);
        let (shown, left) =
            if many > 1 { rest.split_at(many) } else { (std::slice::from_ref(first), others) };
        rest = left;
        let chosen = shown.iter().any(|row| row.path == *selected);
        let fill = if chosen { Surface::SelectedFill.color32(shared.theme) } else { Color32::TRANSPARENT };
        let drawn = ui.push_id(&first.path, |ui| {
            Frame::new().fill(fill).corner_radius(4.0).show(ui, |ui| match shown {
                [row] => row_ui(ui, shared, row, queue),
                several => place_ui(ui, shared, several, queue),
            })
        });
        if chosen {
            scroll_once(ui, selected, &drawn.response);
        }
    }
    !rows.is_empty()
}

/// Scrolls to what was selected elsewhere, once.
pub fn scroll_once(ui: &Ui, selected: &str, response: &egui::Response) {
    let seen = egui::Id::unique("selection scrolled to");
    let is_new = ui.data(|data| data.get_temp::<String>(seen)).as_deref() != Some(selected);
    if is_new {
        response.scroll_to_me(Some(Align::Center));
        ui.data_mut(|data| data.insert_temp(seen, selected.to_owned()));
    }
}

/// One size of the document by its path, under a name of the caller's.
pub struct OneField {
    row: Row,
}

/// The size at a path, if there is one or could be.
pub fn field_at(shared: &Shared<'_>, path: &str, name: &str) -> Option<OneField> {
    let document = &shared.state.session.reading().document;
    let mut row = rows(document, path, &|below| below.is_empty()).into_iter().next()?;
    name.clone_into(&mut row.name);
    matches!(row.value, RowValue::Size(..)).then_some(OneField { row })
}

impl OneField {
    /// The field to show.
    pub fn as_field<'a>(&'a self, shared: &'a Shared<'_>) -> SizeField<'a> {
        let reading = shared.state.session.reading();
        let (formula, tolerance, quantity) = match &self.row.value {
            RowValue::Size(formula, tolerance, quantity) => (formula.as_ref(), tolerance.as_ref(), *quantity),
            RowValue::Part(..) | RowValue::Choice(..) => (None, None, Quantity::Any),
        };
        SizeField {
            name: &self.row.name,
            path: &self.row.path,
            formula,
            tolerance,
            quantity,
            values: &reading.values,
            problem: reading.problem_at(&self.row.path),
            units: shared.state.preferences.units(),
            theme: shared.theme,
        }
    }
}

/// How many rows from the first on are the coordinates of one place.
fn group(rows: &[Row]) -> usize {
    let parent = |row: &Row| {
        let (parent, last) = row.path.rsplit_once('/')?;
        let is_coordinate = matches!(row.value, RowValue::Size(..)) && COORDINATES.contains(&last);
        is_coordinate.then(|| parent.to_owned())
    };
    let Some(first) = rows.first().and_then(parent) else { return 1 };
    rows.iter().take(3).take_while(|row| parent(row).as_ref() == Some(&first)).count()
}

fn field<'a>(shared: &'a Shared<'_>, row: &'a Row) -> Option<SizeField<'a>> {
    let reading = shared.state.session.reading();
    let RowValue::Size(formula, tolerance, quantity) = &row.value else { return None };
    Some(SizeField {
        name: &row.name,
        path: &row.path,
        formula: formula.as_ref(),
        tolerance: tolerance.as_ref(),
        quantity: *quantity,
        values: &reading.values,
        problem: reading.problem_at(&row.path),
        units: shared.state.preferences.units(),
        theme: shared.theme,
    })
}

/// The coordinates of a place in one row.
fn place_ui(ui: &mut Ui, shared: &Shared<'_>, rows: &[Row], queue: &mut Queue) {
    let fields: Vec<SizeField<'_>> = rows.iter().filter_map(|row| field(shared, row)).collect();
    let document = &shared.state.session.reading().document;
    let [along, across] =
        rows.first().and_then(|row| names_on_outline(document, &row.path)).unwrap_or(["x", "y"]);
    let mut responses = Vec::new();
    ui.horizontal(|ui| {
        let name = rows.first().and_then(|row| row.name.rsplit_once(" · ")).map_or("place", |(name, _)| name);
        let narrow = (64.0 * text_scale(ui)).min(0.3 * ui.available_width());
        name_ui(ui, name, narrow);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            tolerance_button_ui(ui, &fields.iter().collect::<Vec<_>>(), queue);
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let width = ui.available_width() / fields.len().max(1) as f32 - 4.0;
                for field in &fields {
                    let last = field.path.rsplit('/').next().unwrap_or_default();
                    let short = match last {
                        "along" => along,
                        "across" => across,
                        other => other,
                    };
                    ui.scope(|ui| responses.push(field.show_short(ui, short, width, queue)));
                }
            });
        });
    });
    for (field, response) in fields.iter().zip(&responses) {
        field.complaint_ui(ui, response);
    }
}

fn row_ui(ui: &mut Ui, shared: &Shared<'_>, row: &Row, queue: &mut Queue) {
    match &row.value {
        RowValue::Size(..) => {
            if let Some(field) = field(shared, row) {
                field.show(ui, queue);
            }
        }
        RowValue::Part(part_use, now) => {
            named_row(ui, &row.name, |ui| {
                let width = ui.available_width();
                let (name, path) = (row.name.as_str(), row.path.as_str());
                PartField { name, path, part_use: *part_use, now, figure: "" }.show(ui, shared, width, queue);
            });
        }
        RowValue::Choice(now, words) => {
            named_row(ui, &row.name, |ui| {
                let width = ui.available_width();
                let place = words.iter().position(|word| word == now).unwrap_or(0);
                if let Some(word) = choice_ui(ui, &row.name, place, words, width).and_then(|at| words.get(at))
                {
                    queue.push(Action::Edit(Edit::set(&row.path, word)));
                    queue.push(Action::EndEdit);
                }
            });
        }
    }
}

/// A part, plate or material to swap for another.
pub struct PartField<'a> {
    /// What it is, in the reader's words.
    pub name: &'a str,
    /// Where it stands.
    pub path: &'a str,
    /// What can stand there.
    pub part_use: PartUse,
    /// What stands there now.
    pub now: &'a str,
    /// A figure of it; empty for none.
    pub figure: &'a str,
}

impl PartField<'_> {
    /// Draws it, and what is wrong with it.
    pub fn show(&self, ui: &mut Ui, shared: &Shared<'_>, width: f32, queue: &mut Queue) {
        let reading = shared.state.session.reading();
        let foresees = matches!(self.part_use, PartUse::Kind(_));
        let picker = Picker {
            label: self.name,
            now: self.now,
            figure: self.figure,
            foresees,
            currency: reading.document.currency(),
        };
        let mut asked = None;
        let chosen = picker.show(ui, width, || {
            let choices = choices(shared, self.part_use, self.path);
            if foresees {
                // What would first have to be taken from the library is not looked at ahead.
                let is_here = |name: &str| {
                    built_in().part(name).is_some() || reading.document.parts.iter().any(|p| p.name == name)
                };
                let fits = choices.iter().filter(|choice| choice.unfit.is_none() && is_here(&choice.name));
                let names = fits.map(|choice| choice.name.clone()).collect();
                asked = Some(Question { path: self.path.to_owned(), names });
            }
            choices
        });
        queue.extend(asked.map(Action::Foresee));
        if let Some(part) = chosen {
            let own = &shared.state.own;
            let document = &reading.document;
            let is_taken_first = document.parts.iter().all(|known| known.name != part)
                && own.parts().parts.iter().any(|known| known.name == part);
            queue.push(Action::Edit(if is_taken_first {
                taken(own, &part, Some(self.path))
            } else {
                Edit::set(self.path, &part)
            }));
            queue.push(Action::EndEdit);
        }
        if let Some(problem) = reading.problem_at(self.path) {
            complaint_ui(ui, shared, &problem.message, &problem.remedy);
        }
    }
}

/// What is wrong, in small type.
pub fn complaint_ui(ui: &mut Ui, shared: &Shared<'_>, message: &str, remedy: &str) {
    let text = told(message, remedy);
    let tone = crate::theme::colour(shared.theme.colour(Tone::Clash));
    ui.add(egui::Label::new(egui::RichText::new(text).small().color(tone)).wrap());
}

/// What could stand in a place instead.
pub fn choices(shared: &Shared<'_>, part_use: PartUse, path: &str) -> Vec<Choice> {
    let document = &shared.state.session.reading().document;
    match part_use {
        PartUse::Kind(kind) => parts_for(shared, kind, path),
        PartUse::Material => {
            let own = document.materials.iter();
            own.chain(built_in().materials())
                .map(|material| Choice::new(&material.name, &material.note))
                .collect()
        }
        PartUse::Plate => document
            .riders
            .iter()
            .filter(|rider| path.starts_with(&format!("riders/{}/", rider.name)))
            .flat_map(|rider| &rider.plates)
            .map(|plate| Choice::new(&plate.name, ""))
            .collect(),
    }
}

/// Parts of a kind with their sizes, mass and cost.
pub fn parts(shared: &Shared<'_>, kind: PartKind) -> Vec<Choice> {
    let document = &shared.state.session.reading().document;
    parts_of_kind(document, kind).map(|part| choice(shared, part)).collect()
}

fn choice(shared: &Shared<'_>, part: &Part) -> Choice {
    let reading = shared.state.session.reading();
    let document = &reading.document;
    Choice {
        mass: mass_of_part(document, &reading.values, part).map(|grams| {
            let decimals = if grams < 10.0 { 2 } else { 1 };
            shared.state.preferences.units().mass(1e-3 * grams, decimals)
        }),
        cost: cost_of(document, &part.name).map(|cost| number(cost, 2)),
        sure: part.certainty.map_or([""; 2], |certainty| [certainty.in_short(), certainty.says()]),
        ..Choice::new(part.name.as_str(), part_summary(part)).plainly(plain_name(part))
    }
}

/// The same for a place: what suits it first, by the size one chooses it by, with what would come of it.
fn parts_for(shared: &Shared<'_>, kind: PartKind, path: &str) -> Vec<Choice> {
    let state = shared.state;
    let reading = state.session.reading();
    let document = &reading.document;
    let suiting = Suiting::of(document, &reading.values);
    let unit = state.preferences.units();
    let own = &state.own;
    // What is in the project already is the project's; of the library, what is not.
    let is_new = |part: &&Part| document.parts.iter().all(|known| known.name != part.name);
    let in_library = own.parts().parts.iter().filter(|part| part.form.kind() == kind).filter(is_new);
    let is_in_library = |part: &Part| own.parts().parts.iter().any(|known| known.name == part.name);
    let mut all: Vec<Ranked> = in_library
        .chain(parts_of_kind(document, kind).filter(|part| !is_new(part) || !is_in_library(part)))
        .map(|part| {
            let outcome = state.foresight.of(&state.session, path, &part.name);
            let foreseen = outcome.map(|outcome| {
                let gap = match outcome.tightest {
                    _ if outcome.is_broken => "–".to_owned(),
                    Some((gap, ..)) => unit.bare(gap, 2),
                    None => format!("> {}", unit.bare(Interference::REACH, 0)),
                };
                (mark_of(outcome), gap)
            });
            let unfit = suiting.at(path, part).err();
            let stock = own.stock_of(part);
            let is_own = stock.is_some() || is_in_library(part);
            let mut choice = Choice { unfit, foreseen, ..choice(shared, part) };
            if is_own {
                let words = |cost: f64| number(cost, 2);
                let price = stock.and_then(|stock| stock.price).map(words);
                choice.cost = price.or(choice.cost).or(part.cost.map(words));
                choice.about.push_str(&own_words(stock));
            }
            Ranked { is_own, sizes: suiting.sizes(part), certainty: part.certainty, choice }
        })
        .collect();
    all.sort_by(Ranked::order);
    all.into_iter().map(|ranked| ranked.choice).collect()
}

/// What one has of a part, behind its sizes.
fn own_words(stock: Option<&Stocked>) -> String {
    let mut words = "; your own library".to_owned();
    if let Some(stock) = stock {
        if !stock.own_name.is_empty() {
            words.push_str(&format!(": {}", stock.own_name));
        }
        if let Some(count) = stock.count {
            words.push_str(&format!(", {count} at hand"));
        }
    }
    words
}

/// A part to choose with what it is ranked by.
struct Ranked {
    /// Whether it is in the person's own library, or something is noted of it there.
    is_own: bool,
    sizes: [f64; 2],
    certainty: Option<Certainty>,
    choice: Choice,
}

impl Ranked {
    /// What fits first, of that what one has oneself, then by the sizes one chooses by; of one size the surest first.
    fn order(&self, other: &Self) -> std::cmp::Ordering {
        let unfit = |ranked: &Self| ranked.choice.unfit.is_some();
        unfit(self)
            .cmp(&unfit(other))
            .then(other.is_own.cmp(&self.is_own))
            .then(self.sizes[0].total_cmp(&other.sizes[0]))
            .then(self.sizes[1].total_cmp(&other.sizes[1]))
            // One's own parts, of which nothing is said, come first.
            .then(self.certainty.cmp(&other.certainty))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glidewright_samples::COPY_STAND;

    fn names(base: &str, keep: &dyn Fn(&str) -> bool) -> Vec<String> {
        let document = glidewright_project::parse(COPY_STAND).unwrap();
        rows(&document, base, keep).into_iter().map(|row| row.name).collect()
    }

    #[test]
    fn rows_stand_below_their_base_only() {
        assert_eq!(names("stroke", &|_| true), ["from", "to"]);
        assert_eq!(names("rail", &|below| below == "length"), ["length"]);
        assert_eq!(names("rai", &|_| true), [""; 0]);
        assert_eq!(names("riders/camera head/grip", &|_| true), ["at · x", "at · y", "at · z"],);
    }

    #[test]
    fn coordinates_of_one_place_share_a_row() {
        let document = glidewright_project::parse(COPY_STAND).unwrap();
        let all = rows(&document, "obstacles/base board/bodies/1", &|_| true);
        assert_eq!(group(&all), 3);
        assert_eq!(group(&all[3..]), 3);
        let stroke = rows(&document, "stroke", &|_| true);
        assert_eq!(group(&stroke), 1);
    }
}
