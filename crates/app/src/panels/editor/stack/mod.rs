//! A stack, lying as the close-up draws it, to be changed in the drawing itself; below it the names of its pieces.

mod drawn;
mod rows;

use egui::{RichText, Ui};
use glidewright_motion as motion;
use glidewright_project::document::{Document, Measured, PartKind, Piece, PieceKind, Stack, piece_names};
use glidewright_project::edit::{self, Addition};
use glidewright_project::size::Formula;
use glidewright_project::{PartUse, cost_of, price_at};
use glidewright_sheet::number;

use super::{change, fields_ui};
use crate::commands::{Action, Queue};
use crate::panels::Shared;
use crate::state::{Bench, Drawer};
use crate::theme::FontRole;
use crate::widgets::{Choice, choice_row, plain_text};

/// The same as it was resolved: its rider, its number among the rider's placed stacks, and how it was placed.
struct Resolved<'s> {
    bench: &'s Bench,
    rider: usize,
    number: Option<usize>,
    stack: &'s motion::Stack,
    placed: Option<&'s motion::PlacedStack>,
}

fn resolved<'s>(shared: &'s Shared<'_>, path: &str) -> Option<Resolved<'s>> {
    let bench = shared.state.session.bench()?;
    let screw = format!("{path}/screw");
    bench.fixture.riders.iter().enumerate().find_map(|(number, rider)| {
        let wheels = rider.wheels.iter().enumerate().map(|(at, m)| (motion::StackOf::Wheel(at), &m.stack));
        let bolts = rider.bolts.iter().enumerate().map(|(at, b)| (motion::StackOf::Bolt(at), &b.stack));
        let (of, stack) = wheels.chain(bolts).find(|(_, stack)| stack.screw.path == screw)?;
        let placed = bench.results.assembly.riders.get(number);
        let at = placed.and_then(|rider| rider.stacks.iter().position(|stack| stack.of == of));
        let placed = placed.zip(at).and_then(|(rider, at)| rider.stacks.get(at));
        Some(Resolved { bench, rider: number, number: at, stack, placed })
    })
}

/// Draws the stack that stands at a path.
pub fn stack_ui(ui: &mut Ui, shared: &Shared<'_>, path: &str, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let Some(stack) = document.stack_at(path) else {
        ui.weak("There is no stack here.");
        return;
    };
    used_by_ui(ui, document, path);
    let view = StackView {
        shared,
        path,
        stack,
        names: piece_names(&stack.pieces),
        resolved: resolved(shared, path),
    };
    view.drawn_ui(ui, queue);
    view.rows_ui(ui, queue);
    ui.add_space(4.0);
    view.foot_ui(ui, queue);
}

/// Which wheels have a rider's stack.
fn used_by_ui(ui: &mut Ui, document: &Document, path: &str) {
    let Some(rider) = path.strip_prefix("riders/").and_then(|rest| rest.strip_suffix("/stack")) else {
        return;
    };
    let Some(rider) = document.riders.iter().find(|known| known.name == rider) else { return };
    let users: Vec<&str> =
        rider.wheels.iter().filter(|wheel| wheel.stack.is_none()).map(|wheel| wheel.name.as_str()).collect();
    let words = if users.is_empty() {
        "No wheel uses it: each has a stack of its own.".to_owned()
    } else {
        format!("Shared by {}", users.join(", "))
    };
    ui.add(egui::Label::new(RichText::new(words).weak()).wrap());
}

struct StackView<'a> {
    shared: &'a Shared<'a>,
    path: &'a str,
    stack: &'a Stack,
    names: Vec<String>,
    resolved: Option<Resolved<'a>>,
}

impl StackView<'_> {
    /// The piece at a place as it was resolved, if all were.
    fn solid(&self, place: usize) -> Option<&motion::Piece> {
        let pieces = &self.resolved.as_ref()?.stack.pieces;
        (pieces.len() == self.stack.pieces.len()).then(|| pieces.get(place))?
    }

    /// Whether what stands at a path, or something in it, is selected.
    fn is_chosen(&self, path: &str) -> bool {
        let selected = &self.shared.state.selected;
        selected.strip_prefix(path).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    }

    fn thread(&self) -> f64 {
        self.resolved.as_ref().map_or(6.0, |known| known.stack.screw.diameter)
    }

    /// The path of the piece at a place.
    fn piece_path(&self, place: usize) -> String {
        format!("{}/{}", self.path, self.names.get(place).map_or("", String::as_str))
    }

    fn insert(&self, place: usize, piece: Piece, queue: &mut Queue) {
        let path = self.path.to_owned();
        change(
            self.shared,
            self.path,
            move |document| edit::add(document, Addition::Piece(path.clone(), place, piece.clone())),
            queue,
        );
    }

    /// Begins readings of a piece's extent along the screw, with what its part states as the first guess.
    fn measure(&self, piece: &Piece, queue: &mut Queue) {
        let size = match piece.kind {
            PieceKind::Nut => "height",
            PieceKind::Washer => "thickness",
            PieceKind::Wheel => "hub",
            _ => "length",
        };
        begin_readings(self.shared, &piece.part, size, queue);
    }

    fn foot_ui(&self, ui: &mut Ui, queue: &mut Queue) {
        ui.menu_button("Add a piece", |ui| {
            for kind in PieceKind::ALL {
                if ui.button(kind.word()).clicked() {
                    let ends = |piece: &Piece| piece.kind == PieceKind::Nut || piece.hole.holds();
                    let last = self.stack.pieces.iter().rposition(ends);
                    let place =
                        self.chosen_place().map(|at| at + 1).or(last).unwrap_or(self.stack.pieces.len());
                    self.insert(place, self.fresh(kind), queue);
                    ui.close();
                }
            }
        })
        .response
        .on_hover_text("It goes after the piece that is selected, else before the nut or the tapped plate");
        fields_ui(ui, self.shared, self.path, |below| matches!(below, "length" | "torque" | "head"), queue);
        if self.stack.length.is_none()
            && let Some(known) = &self.resolved
        {
            let length = glidewright_motion::plain(known.stack.screw.length.nominal);
            ui.weak(format!("Left open: the shortest that does, {length} mm"));
        }
        self.thread_ui(ui, queue);
        self.totals_ui(ui);
    }

    /// Everything on another thread in one step.
    fn thread_ui(&self, ui: &mut Ui, queue: &mut Queue) {
        let thread = format!("M{}", plain_text(self.thread()));
        let Some(now) = edit::THREADS.iter().position(|known| *known == thread) else { return };
        if self.shared.state.session.trial().is_some() {
            return;
        }
        if let Some(wanted) =
            choice_row(ui, "thread", now, &edit::THREADS).and_then(|at| edit::THREADS.get(at))
        {
            let (path, wanted) = (self.path.to_owned(), (*wanted).to_owned());
            let what = move |document: &Document| edit::change_thread(document, &path, &wanted);
            // What is not to be had in it is told.
            let told = what(self.shared.state.session.document());
            if change(self.shared, self.path, what, queue)
                && let Ok(edited) = told
                && edited.description.contains(';')
            {
                queue.push(Action::Tell(edited.description));
            }
        }
    }

    fn chosen_place(&self) -> Option<usize> {
        let below = self.shared.state.selected.strip_prefix(self.path)?.strip_prefix('/')?;
        self.names.iter().position(|name| name == below)
    }

    /// A piece of a kind that fits the screw.
    fn fresh(&self, kind: PieceKind) -> Piece {
        let thread = format!("M{}", plain_text(self.thread()));
        let same = self.stack.pieces.iter().find(|piece| piece.kind == kind);
        let part = match (same, kind) {
            (Some(piece), _) => piece.part.clone(),
            (None, PieceKind::Washer) => format!("ISO 7089 {thread}"),
            (None, PieceKind::Spacer) => format!("tube {thread}"),
            (None, PieceKind::Shim) => format!("ring {thread}"),
            (None, PieceKind::Eccentric) => format!("eccentric {thread}"),
            (None, PieceKind::Nut) => format!("DIN 985 {thread}"),
            (None, PieceKind::Wheel | PieceKind::Plate) => {
                let choices = piece_choices(self.shared, kind, self.path);
                choices.into_iter().next().map(|choice| choice.name).unwrap_or_default()
            }
        };
        Piece::new(kind, part)
    }

    /// What one of it weighs and costs.
    fn totals_ui(&self, ui: &mut Ui) {
        let Some(resolved) = self.resolved.as_ref().map(|known| known.stack) else { return };
        let mass = resolved.screw.mass + resolved.pieces.iter().map(|piece| piece.mass).sum::<f64>();
        let document = &self.shared.state.session.reading().document;
        let bought = self.stack.pieces.iter().filter(|piece| piece.kind != PieceKind::Plate);
        let screw = &resolved.screw;
        let screw_cost = price_at(document, &self.stack.screw, screw.length.nominal - screw.beyond);
        let costs: Vec<Option<f64>> = bought
            .map(|piece| cost_of(document, &piece.part))
            .chain([screw_cost.map(|cost| cost.amount)])
            .collect();
        let known = costs.iter().flatten().count();
        let mut words = format!("{} without plates", self.shared.state.preferences.units().mass(mass, 1));
        if known > 0 {
            let sum: f64 = costs.iter().flatten().sum();
            words.push_str(&format!(", {} {}", number(sum, 2), document.currency()));
            if known < costs.len() {
                words.push_str(&format!(" with {} of {} known", known, costs.len()));
            }
        }
        ui.label(RichText::new(words).font(FontRole::Body.id()).weak());
    }
}

/// What could stand in a stack instead of a piece.
pub fn piece_choices(shared: &Shared<'_>, kind: PieceKind, path: &str) -> Vec<Choice> {
    match PartKind::of_piece(kind) {
        Some(kind) => super::parts(shared, kind),
        None => super::fields::choices(shared, PartUse::Plate, path),
    }
}

/// Begins readings of one size of a part and shows them.
pub fn begin_readings(shared: &Shared<'_>, part: &str, size: &str, queue: &mut Queue) {
    let document = shared.state.session.document();
    if !document.measured.iter().any(|known| known.part == part && known.size == size) {
        let measured = Measured {
            part: part.to_owned(),
            size: size.to_owned(),
            readings: Vec::new(),
            resolution: 0.01,
            note: String::new(),
        };
        change(
            shared,
            "measured",
            move |document| edit::add(document, Addition::Measured(measured.clone())),
            queue,
        );
    }
    queue.push(Action::Drawer(Drawer::Readings));
}

/// What a part states for a size, where that is a plain number.
pub fn stated(document: &Document, part: &str, size: &str) -> Option<f64> {
    let own = document.parts.iter().find(|known| known.name == part);
    let part = own.or_else(|| glidewright_project::tables::built_in().part(part))?;
    let mut found = None;
    part.visit(&mut |name, slot| {
        if let glidewright_project::Slot::Size(known) = slot
            && name == size
            && let Some(Formula::Number(number)) = known.formula()
        {
            found =
                Some(known.tolerance().and_then(|t| t.about(*number).ok()).map_or(*number, |t| t.nominal));
        }
    });
    found
}
