//! The belt or cord along its path, to scale: spans, wraps, tangent points, what it is clamped to, its length.

mod course;
mod figures;

use glam::{DVec2, DVec3};
use glidewright_motion::{Fixture, Line, LinePath, LinePlane, Results, path_at};

use super::projection::Lie;
use super::scene::Scene;
use super::words::{place, shortened};
use super::{View, table};
use crate::drawing::{Drawing, Label, Panel, Rect};
use crate::look::{Tone, Weight};

/// The belt.
pub(super) const VIEW: View = View {
    name: "belt",
    title: "Belt path",
    about: "The belt or cord along its path: spans, wraps, teeth in mesh and the length to cut.",
    lacks,
    still: |_| false,
    draw,
};

/// Name of the panel drawn to scale.
pub(super) const PANEL: &str = "belt path";
const TITLE_PT: f64 = 10.0;
const TABLE_PT: f64 = 8.5;
const BESIDE: table::Beside =
    table::Beside { from: 460.0, share: 0.36, least: 180.0, most: 280.0, gap: 14.0, below: 0.4 };

fn lacks(fixture: &Fixture, _: &Results) -> Option<&'static str> {
    fixture.line.is_none().then_some("There is no belt or cord.")
}

fn draw(scene: &Scene<'_>) -> Drawing {
    let mut drawing = Drawing::new(format!("{}: belt path", scene.fixture.name), scene.size());
    drawing.panels = panels(scene, Rect::between(DVec2::ZERO, scene.size()));
    drawing
}

/// The line that is shown.
pub(super) struct Shown<'a> {
    pub(super) line: &'a Line,
    pub(super) path: LinePath,
    /// Paper's right and up in the line's plane.
    right: DVec2,
    up: DVec2,
}

impl Shown<'_> {
    /// A point of the line's plane on paper's directions (mm).
    pub(super) fn flat(&self, p: DVec2) -> DVec2 {
        DVec2::new(p.dot(self.right), p.dot(self.up))
    }

    /// Whether travel runs upwards.
    pub(super) fn upright(&self) -> bool {
        self.up.x != 0.0
    }
}

/// The view in a frame: the course, and its figures beside or below it.
pub(super) fn panels(scene: &Scene<'_>, frame: Rect) -> Vec<Panel> {
    let Some(line) = &scene.fixture.line else { return Vec::new() };
    let inner = frame.grown(-8.0);
    let mut words = Panel::centred("figures of the belt", frame, DVec2::ZERO, 1.0);
    let title = shortened(&line.name, TITLE_PT, Weight::SemiBold, inner.size().x);
    let at = place(&words, inner.min);
    words.add(Label::new(title, at, TITLE_PT).bold().anchored(0.0, 1.0));
    let path = match path_at(scene.fixture, line, scene.travel) {
        Ok(path) => path,
        Err(fault) => {
            let at = place(&words, inner.middle());
            let text = shortened(fault.text(), TITLE_PT, Weight::Regular, inner.size().x);
            words.add(Label::new(text, at, TITLE_PT).toned(Tone::Marginal));
            return vec![words];
        }
    };
    // As the rail is seen from the side, or from the front for a belt in that plane.
    let (right, up) = match (Lie::of(scene.fixture), line.plane) {
        (Lie::Upright, LinePlane::Upright { .. }) => (DVec2::Y, DVec2::X),
        (Lie::Upright, LinePlane::Flat { .. }) => (DVec2::NEG_Y, DVec2::X),
        (Lie::Lying, _) => (DVec2::X, DVec2::Y),
    };
    let shown = Shown { line, path, right, up };
    let rows = figures::rows(scene, &shown);
    let body = Rect { min: inner.min + DVec2::new(0.0, 1.5 * TITLE_PT), max: inner.max };
    let needed = table::height(rows.len(), TABLE_PT);
    let wanted = course::width_at(scene, &shown, body.size().y);
    let (drawn, listed) = BESIDE.split(&body, needed, wanted);
    let panel = course::panel(scene, &shown, drawn);
    table::draw(&mut words, &listed, "", &rows, TABLE_PT);
    vec![panel, words]
}

/// Where a rider stands in the line's plane (mm).
pub(super) fn home(scene: &Scene<'_>, rider: Option<usize>) -> DVec2 {
    let x = rider.map_or(0.0, |number| scene.home(glidewright_motion::Owner::Rider(number), scene.travel));
    DVec2::new(x, 0.0)
}

/// An anchor's place in the line's plane (mm).
pub(super) fn anchor(scene: &Scene<'_>, line: &Line, rider: Option<usize>, at: DVec3) -> DVec2 {
    line.plane.flat(at) + home(scene, rider)
}
