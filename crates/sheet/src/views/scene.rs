//! What a view draws from, with the questions every view asks.

use std::cell::OnceCell;

use glam::{DVec2, DVec3};
use glidewright_geometry::{Bounds, DepthEffort, Separation, Shape, Solid, separation};
use glidewright_motion::{
    Body, BodyId, Coupling, Fixture, Outcome, Owner, PairResult, Results, Role, falls_short, overlaps,
    rider_x, touches,
};

use super::ViewState;
use crate::look::{ReaderUnits, Tone};
use crate::strip::round_down;

/// A tilt one sees at a glance (rad).
const PLAINLY_TILTED: f64 = 0.06;
/// Tilt is drawn no more than this many times as large: below that there is none to speak of.
const MOST_TIMES: f64 = 1000.0;

/// A fixture, its results and what the reader looks at.
pub(super) struct Scene<'a> {
    pub(super) fixture: &'a Fixture,
    pub(super) results: &'a Results,
    pub(super) state: &'a ViewState,
    /// Travel of the lead, within the stroke (mm).
    pub(super) travel: f64,
    /// Boxes round the bodies, worked out when first asked for.
    boxes: OnceCell<Vec<Option<Bounds>>>,
}

impl<'a> Scene<'a> {
    pub(super) fn new(fixture: &'a Fixture, results: &'a Results, state: &'a ViewState) -> Self {
        let (from, to) = (fixture.stroke.from, fixture.stroke.to);
        let (low, high) = (from.min(to), from.max(to));
        let travel = if state.travel.is_finite() { state.travel.max(low).min(high) } else { low };
        let travel = if travel.is_finite() { travel } else { 0.0 };
        Self { fixture, results, state, travel, boxes: OnceCell::new() }
    }

    pub(super) fn size(&self) -> DVec2 {
        self.state.size()
    }

    /// How many times larger than it is the tilt of the riders is drawn, where the reader asked for it to be seen:
    /// a round number that lets the greatest of it be seen.
    pub(super) fn tilt_times(&self) -> Option<f64> {
        if !self.state.tilted {
            return None;
        }
        let tilts = self.results.riders.iter().flat_map(|rider| &rider.tilt);
        let most = tilts.copied().filter(|tilt| tilt.is_finite()).fold(0.0, f64::max);
        let wanted = PLAINLY_TILTED / most;
        if !(wanted.is_finite() && wanted > 1.0) {
            return Some(1.0);
        }
        Some(round_down(wanted).map_or(MOST_TIMES, |(times, _)| times).min(MOST_TIMES))
    }

    /// The units figures are written in.
    pub(super) const fn unit(&self) -> ReaderUnits {
        self.state.unit
    }

    /// A length (mm) with its unit, to `decimals` places in millimetres.
    pub(super) fn text(&self, mm: f64, decimals: usize) -> String {
        self.unit().text(mm, decimals)
    }

    /// The same without its unit.
    pub(super) fn bare(&self, mm: f64, decimals: usize) -> String {
        self.unit().bare(mm, decimals)
    }

    pub(super) fn body(&self, id: BodyId) -> Option<&'a Body> {
        self.results.assembly.body(id)
    }

    pub(super) fn bodies(&self) -> impl Iterator<Item = (BodyId, &'a Body)> {
        self.results.assembly.numbered()
    }

    /// A box round a body, in its owner's frame (mm).
    pub(super) fn bounds(&self, id: BodyId) -> Option<Bounds> {
        let boxes = self.boxes.get_or_init(|| self.results.assembly.bodies.iter().map(body_box).collect());
        boxes.get(id.0 as usize).copied().flatten()
    }

    /// Where an owner's frame stands along the rail at a travel (mm).
    pub(super) fn home(&self, owner: Owner, travel: f64) -> f64 {
        match owner {
            Owner::Ground => 0.0,
            Owner::Rider(number) => rider_x(self.fixture, number, travel),
        }
    }

    /// The rider that sets the travel: the lead, else the first.
    pub(super) fn lead(&self) -> Option<usize> {
        lead(self.fixture)
    }

    /// Where along the rail the cursor stands at travel 0 (mm).
    pub(super) fn datum(&self) -> f64 {
        datum(self.fixture)
    }

    /// The rider whose wheels are asked about: the selected body's, else the lead.
    pub(super) fn rider_in_focus(&self) -> Option<usize> {
        let selected = self.state.selected.and_then(|id| self.body(id)).and_then(|body| match body.owner {
            Owner::Rider(number) => Some(number),
            Owner::Ground => None,
        });
        selected.or_else(|| self.lead())
    }

    /// The gap of two bodies at a travel, in the rail frame; `None` without solids.
    pub(super) fn separation_at(&self, pair: (BodyId, BodyId), travel: f64) -> Option<Separation> {
        let (a, b) = (self.body(pair.0)?, self.body(pair.1)?);
        let home = self.home(a.owner, travel);
        let shift = DVec3::X * (self.home(b.owner, travel) - home);
        let mut best: Option<Separation> = None;
        let [of_a, of_b] =
            [pair.0, pair.1].map(|id| self.results.assembly.solids_at(self.fixture, id, travel));
        for sa in of_a.iter() {
            for sb in of_b.iter() {
                let found = separation(sa, &sb.shifted(shift));
                if found.is_valid() && best.is_none_or(|seen| found.gap < seen.gap) {
                    best = Some(found);
                }
            }
        }
        // Whole bodies are drawn apart as one.
        if (of_a.len() > 1 || of_b.len() > 1) && best.is_some_and(|seen| overlaps(seen.gap)) {
            let [a, b] = [(a, of_a), (b, of_b)]
                .map(|(body, solids)| Body { solids: solids.into_owned(), ..body.clone() });
            let mut whole = a.whole_with(&b);
            let depth = whole.overlap.depth(shift, &DepthEffort::QUICK);
            if depth.depth > 0.0 && !depth.contacts.is_empty() {
                best = Some(depth.separation());
            }
        }
        best.map(|found| Separation {
            on_a: found.on_a + DVec3::X * home,
            on_b: found.on_b + DVec3::X * home,
            ..found
        })
    }

    /// The result of a pair of bodies, in either order.
    pub(super) fn pair_result(&self, pair: (BodyId, BodyId)) -> Option<&'a PairResult> {
        let all = self.results.interference.pairs();
        let same = |p: &&PairResult| p.bodies == pair || p.bodies == (pair.1, pair.0);
        all.into_iter().find(same)
    }
}

/// The rider that sets the travel: the lead, else the first.
pub(super) fn lead(fixture: &Fixture) -> Option<usize> {
    let lead = fixture.riders.iter().position(|rider| rider.coupling == Coupling::Lead);
    lead.or_else(|| (!fixture.riders.is_empty()).then_some(0))
}

/// Where along the rail the cursor stands at travel 0 (mm).
pub(super) fn datum(fixture: &Fixture) -> f64 {
    let at = lead(fixture).and_then(|number| fixture.riders.get(number)).map_or(0.0, |rider| rider.at_zero);
    if at.is_finite() { at } else { 0.0 }
}

/// A box round a solid, in its owner's frame (mm): the smallest for all that stands square to the rail, at
/// most a little too large for what leans. Far quicker than asking the solid, which prepares for distances.
fn solid_box(solid: &Solid) -> Bounds {
    let pose = &solid.pose;
    let turned = |middle: DVec3, half: DVec3| {
        let [x, y, z] = [pose.turn.x_axis, pose.turn.y_axis, pose.turn.z_axis];
        let half = x.abs() * half.x + y.abs() * half.y + z.abs() * half.z;
        let middle = pose.point(middle);
        Bounds { low: middle - half, high: middle + half }
    };
    let round = |radius: f64, half_height: f64| {
        let axis = pose.turn.z_axis;
        let across = (DVec3::ONE - axis * axis).max(DVec3::ZERO);
        let half =
            axis.abs() * half_height + DVec3::new(across.x.sqrt(), across.y.sqrt(), across.z.sqrt()) * radius;
        Bounds { low: pose.shift - half, high: pose.shift + half }
    };
    match &solid.shape {
        Shape::Prism { outline, half_height } => {
            let flat = outline.bounds();
            turned(flat.centre().extend(0.0), (0.5 * flat.size()).extend(*half_height))
        }
        Shape::Cylinder { radius, half_height } => round(*radius, *half_height),
        Shape::Frustum { lower_radius, upper_radius, half_height } => {
            round(lower_radius.max(*upper_radius), *half_height)
        }
        Shape::Cuboid { half } => turned(DVec3::ZERO, *half),
        Shape::Sphere { radius } => round(*radius, *radius),
        Shape::Polyhedron(body) => Bounds::around(body.corners.iter().map(|corner| pose.point(*corner))),
    }
}

/// A box round a body's solids, in its owner's frame (mm).
fn body_box(body: &Body) -> Option<Bounds> {
    let all = body.solids.iter().map(solid_box).reduce(|a, b| a.joined(&b))?;
    (!all.is_empty() && all.low.is_finite() && all.high.is_finite()).then_some(all)
}

/// Stretches of travel where something that passes fouls (mm), joined.
pub(super) fn touching(scene: &Scene<'_>) -> Vec<(f64, f64)> {
    joined(scene, |pair| &pair.touching)
}

/// Stretches of travel of everything that passes (mm), joined.
pub(super) fn joined(scene: &Scene<'_>, of: impl Fn(&PairResult) -> &Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    let pairs = scene.results.interference.passing.iter().filter(|pair| !pair.meets_stop);
    let mut all: Vec<(f64, f64)> = pairs
        .flat_map(|pair| of(pair).iter().copied())
        .filter(|s| s.0.is_finite() && s.1.is_finite())
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all.dedup_by(|next, kept| {
        let meets = next.0 <= kept.1;
        if meets {
            kept.1 = kept.1.max(next.1);
        }
        meets
    });
    all
}

/// Colours of a gap: of lines and text, of areas; and the word that goes with them.
pub(super) fn gap_tones(gap: f64, asked: f64) -> (Tone, Tone, &'static str) {
    if touches(gap) {
        (Tone::Clash, Tone::ClashFill, "fouls")
    } else if falls_short(gap, asked) {
        (Tone::Marginal, Tone::MarginalFill, "gap")
    } else {
        (Tone::Clear, Tone::ClearFill, "gap")
    }
}

/// Colour of an outcome's lines and text.
pub(super) fn outcome_tone(outcome: &Outcome) -> Tone {
    match outcome {
        Outcome::Fouls { .. } => Tone::Clash,
        Outcome::Marginal => Tone::Marginal,
        Outcome::ClearByGap | Outcome::ClearByPassing { .. } => Tone::Clear,
    }
}

/// Fill and line colours of a rider.
pub(super) const fn rider_tones(number: usize) -> (Tone, Tone) {
    match number % 3 {
        0 => (Tone::RiderA, Tone::RiderALine),
        1 => (Tone::RiderB, Tone::RiderBLine),
        _ => (Tone::RiderC, Tone::RiderCLine),
    }
}

/// The fill of a body.
pub(super) fn body_tone(body: &Body) -> Tone {
    match body.role {
        Role::Rail => Tone::Rail,
        Role::Plate => match body.owner {
            Owner::Rider(number) => rider_tones(number).0,
            Owner::Ground => Tone::RiderA,
        },
        Role::Head | Role::ScrewEnd | Role::Washer | Role::Nut => Tone::Hardware,
        Role::Spacer | Role::Shim => Tone::Spacer,
        Role::Tyre | Role::Shoe => Tone::Tyre,
        Role::Hub => Tone::Bearing,
        Role::Load => Tone::Load,
        Role::Obstacle | Role::Stop => Tone::Obstacle,
        Role::Pulley => Tone::Pulley,
        Role::Span => Tone::Belt,
    }
}

#[cfg(test)]
mod tests {
    use glidewright_geometry::{Outline, Pose};

    use super::*;

    /// The quick boxes against the solids' own support functions.
    #[test]
    fn boxes_hold_what_they_are_round() {
        let outline = Outline::rounded_rectangle(DVec2::new(-7.0, 1.0), DVec2::new(3.0, 9.0), 2.0);
        let shapes = [
            Shape::Prism { outline: outline.into(), half_height: 3.0 },
            Shape::Cylinder { radius: 4.0, half_height: 6.0 },
            Shape::Frustum { lower_radius: 1.0, upper_radius: 5.0, half_height: 2.0 },
            Shape::Cuboid { half: DVec3::new(1.0, 2.0, 3.0) },
            Shape::Sphere { radius: 2.5 },
        ];
        for shape in shapes {
            for (turn, exact) in [(0.0, true), (std::f64::consts::FRAC_PI_2, true), (0.7, false)] {
                let pose = Pose { shift: DVec3::new(5.0, -3.0, 2.0), ..Pose::from_turn(DVec3::X, turn) };
                let solid = Solid { shape: shape.clone(), pose };
                let (quick, own) = (solid_box(&solid), solid.bounds());
                let slack = (own.low - quick.low).min(quick.high - own.high);
                assert!(slack.min_element() > -1e-9, "{shape:?} {turn}: {slack}");
                let loose = (own.low - quick.low).max(quick.high - own.high).max_element();
                assert!(!exact || loose < 1e-9, "{shape:?} {turn}: {loose}");
            }
        }
    }
}
