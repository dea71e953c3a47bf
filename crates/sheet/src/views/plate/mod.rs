//! One plate, drawn to be made: its face with dimensions, its thickness, and how it lies on the print bed.

mod face;
mod figures;
mod holes;

use glam::{DAffine2, DVec2, DVec3};
use glidewright_geometry::{Edge, Outline};
use glidewright_motion::{Fixture, Owner, PlacedPlate, Plate, Results, Rider, Role, Slab};

use super::projection::Lie;
use super::scene::Scene;
use super::words::{place, shortened};
use super::{View, table};
use crate::drawing::{Drawing, Label, Panel, Rect};
use crate::look::{ReaderUnits, Weight};

/// A plate.
pub(super) const VIEW: View = View {
    name: "plate",
    title: "Plate",
    about: "A plate to make it from: outline, the places of its holes from one datum, thickness and the face on the print bed.",
    lacks,
    still: |_| true,
    draw,
};

/// Name of the panel drawn to scale.
pub(super) const PANEL: &str = "plate";
const TITLE_PT: f64 = 10.0;
const TABLE_PT: f64 = 8.5;
const BESIDE: table::Beside =
    table::Beside { from: 520.0, share: 0.36, least: 220.0, most: 300.0, gap: 14.0, below: 0.5 };

fn lacks(fixture: &Fixture, _: &Results) -> Option<&'static str> {
    fixture.riders.iter().all(|rider| rider.plates.is_empty()).then_some("No rider has a plate.")
}

fn draw(scene: &Scene<'_>) -> Drawing {
    let mut drawing = Drawing::new(format!("{}: plate", scene.fixture.name), scene.size());
    drawing.panels = panels(scene, Rect::between(DVec2::ZERO, scene.size()));
    drawing
}

/// The plate that is shown.
pub(super) struct Shown<'a> {
    /// The unit lengths are written in.
    pub(super) unit: ReaderUnits,
    pub(super) rider: &'a Rider,
    pub(super) owner: usize,
    pub(super) plate: &'a Plate,
    pub(super) number: usize,
    pub(super) place: Option<&'a PlacedPlate>,
    /// From (rider x, lateral) to paper's directions as seen from outside, y up (mm).
    pub(super) to_paper: DAffine2,
}

impl<'a> Shown<'a> {
    /// The selected plate, else the first of the rider in focus, else the first there is.
    fn new(scene: &Scene<'a>) -> Option<Self> {
        let selected = scene.state.selected.and_then(|id| scene.body(id)).and_then(|body| {
            let Owner::Rider(owner) = body.owner else { return None };
            let number = match body.role {
                Role::Plate => {
                    scene.fixture.riders.get(owner)?.plates.iter().position(|p| p.path == body.path)?
                }
                _ => 0,
            };
            Self::of(scene, owner, number)
        });
        let in_focus = || Self::of(scene, scene.rider_in_focus()?, 0);
        let any = || (0..scene.fixture.riders.len()).find_map(|owner| Self::of(scene, owner, 0));
        selected.or_else(in_focus).or_else(any)
    }

    fn of(scene: &Scene<'a>, owner: usize, number: usize) -> Option<Self> {
        let rider = scene.fixture.riders.get(owner)?;
        let plate = rider.plates.get(number)?;
        let (drawn_up, lateral) = (rider.facing.drawn_up(), rider.facing.lateral());
        // Seen from outside; growing travel to the right on a lying rail, the same turned by a quarter on a
        // standing one.
        let (right, up) = match Lie::of(scene.fixture) {
            Lie::Upright => (-drawn_up, DVec3::X),
            Lie::Lying => (DVec3::X, drawn_up),
        };
        let flat = |p: DVec3| DVec2::new(p.dot(right), p.dot(up));
        let to_paper = DAffine2::from_cols(flat(DVec3::X), flat(lateral), DVec2::ZERO);
        let place = scene.results.assembly.riders.get(owner).and_then(|placed| placed.plates.get(number));
        Some(Self { unit: scene.unit(), rider, owner, plate, number, place, to_paper })
    }

    /// The round holes, on paper's directions: centre and radius (mm).
    pub(super) fn round_holes(&self) -> Vec<(DVec2, f64)> {
        let holes = self.plate.holes.iter().filter_map(circle);
        holes.map(|(centre, radius)| (self.to_paper.transform_point2(centre), radius)).collect()
    }

    /// Of a round hole that does not go through, centre and radius on paper's directions (mm).
    pub(super) fn blind_hole(&self, slab: &Slab) -> Option<(DVec2, f64)> {
        let (centre, radius) =
            circle(&slab.region.outer).filter(|_| slab.is_cut && slab.region.holes.is_empty())?;
        Some((self.to_paper.transform_point2(centre), radius))
    }

    /// The thinnest wall between a hole and another edge: from, to (paper's directions) and its width (mm).
    pub(super) fn thinnest_wall(&self) -> Option<(DVec2, DVec2, f64)> {
        let edges = || std::iter::once(&self.plate.outline).chain(&self.plate.holes).enumerate();
        let mut best: Option<(DVec2, DVec2, f64)> = None;
        for (number, hole) in self.plate.holes.iter().enumerate() {
            let Some((centre, radius)) = circle(hole) else { continue };
            for (_, other) in edges().filter(|(place, _)| *place != number + 1) {
                let near = other
                    .edges
                    .iter()
                    .map(|edge| edge.nearest(centre))
                    .min_by(|a, b| a.distance(centre).total_cmp(&b.distance(centre)));
                let Some(near) = near else { continue };
                let wall = near.distance(centre) - radius;
                if wall.is_finite() && best.is_none_or(|(_, _, least)| wall < least - 1e-9) {
                    let rim = centre + (near - centre).normalize_or_zero() * radius;
                    let on_paper = |p: DVec2| self.to_paper.transform_point2(p);
                    best = Some((on_paper(rim), on_paper(near), wall));
                }
            }
        }
        best
    }
}

/// Centre and radius of an outline that is one full circle (mm).
pub(super) fn circle(outline: &Outline) -> Option<(DVec2, f64)> {
    let mut found: Option<(DVec2, f64)> = None;
    let mut swept = 0.0;
    for edge in &outline.edges {
        let Edge::Arc { centre, radius, sweep, .. } = *edge else { return None };
        let (c, r) = *found.get_or_insert((centre, radius));
        if c.distance(centre) > 1e-6 || (r - radius).abs() > 1e-6 {
            return None;
        }
        swept += sweep;
    }
    found.filter(|_| (swept.abs() - std::f64::consts::TAU).abs() < 1e-6)
}

/// The plate in a frame: drawn, and its figures beside or below it.
pub(super) fn panels(scene: &Scene<'_>, frame: Rect) -> Vec<Panel> {
    let Some(shown) = Shown::new(scene) else { return Vec::new() };
    let inner = frame.grown(-8.0);
    let rows = figures::rows(scene, &shown);
    let body = Rect { min: inner.min + DVec2::new(0.0, 1.5 * TITLE_PT), max: inner.max };
    let holes = holes::of(scene, &shown);
    // The figures' width follows from the frame's, and the table's height from that.
    let listed = if inner.size().x < BESIDE.from { inner.size().x } else { BESIDE.least };
    let needed = table::height(rows.len(), TABLE_PT) + holes::height(&holes, listed);
    let (drawn, listed) = BESIDE.split(&body, needed, face::width_at(&shown, body.size().y));
    let panel = face::panel(scene, &shown, &holes, drawn);
    let mut words = Panel::centred("figures of the plate", frame, DVec2::ZERO, 1.0);
    let title = format!("{}, {}", shown.rider.name, shown.plate.name);
    let title = shortened(&title, TITLE_PT, Weight::SemiBold, inner.size().x);
    let at = place(&words, inner.min);
    words.add(Label::new(title, at, TITLE_PT).bold().anchored(0.0, 1.0));
    let end = holes::table(&mut words, &listed, &shown, &face::face_of(&shown), &holes);
    let below = Rect { min: DVec2::new(listed.min.x, end), ..listed };
    table::draw(&mut words, &below, "", &rows, TABLE_PT);
    vec![panel, words]
}
