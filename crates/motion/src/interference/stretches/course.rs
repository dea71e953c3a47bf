//! How a stretch of line that changes, and what it is held against, stand at each travel.

use glam::{DVec2, DVec3};
use glidewright_geometry::{Bounds, Separation, Solid, closest_over, separation};

use super::lane;
use crate::assembly::{carrier, solids_of};
use crate::{Coupling, Fixture, Line, LineNode, Owner, PathElement, Stretch, Turn, path_at, rider_x};

/// What a stretch is held against.
#[derive(Clone, Copy)]
pub(super) enum Other<'a> {
    /// A solid in its owner's frame.
    Solid(&'a Solid, Owner),
    /// Another stretch that changes.
    Stretch(&'a Stretch),
}

/// A stretch that changes beside something else.
#[derive(Clone, Copy)]
pub(super) struct Course<'a> {
    pub(super) fixture: &'a Fixture,
    pub(super) line: &'a Line,
    pub(super) stretch: &'a Stretch,
    pub(super) other: Other<'a>,
    /// How the stretch turns, and the other if it is one.
    pub(super) turns: [Turning; 2],
}

/// How fast a stretch turns at most.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Turning {
    /// Distance of its outermost points from the centres that carry them (mm).
    reach: f64,
    /// Rate (rad per mm of travel).
    rate: f64,
    /// Change of the rate (rad per mm²).
    change: f64,
}

/// Where an owner's frame may stand along the rail at a travel (mm).
pub(super) fn place(fixture: &Fixture, owner: Owner, travel: f64) -> (f64, f64) {
    let Owner::Rider(number) = owner else { return (0.0, 0.0) };
    match fixture.riders.get(number).map(|rider| (rider.at_zero, rider.coupling)) {
        Some((at_zero, Coupling::Free { from, to, .. })) => (at_zero + from, at_zero + to),
        _ => {
            let x = rider_x(fixture, number, travel);
            (x, x)
        }
    }
}

/// The solids of a stretch at a travel, in the rail frame.
pub(super) fn solids(fixture: &Fixture, line: &Line, stretch: &Stretch, travel: f64) -> Vec<Solid> {
    let path = path_at(fixture, line, travel).ok();
    let element = path.and_then(|path| path.elements.get(stretch.element).copied());
    element.map_or_else(Vec::new, |element| solids_of(line, &element))
}

fn nearest(a: &[Solid], distance: impl Fn(&Solid) -> Separation) -> Separation {
    let all = a.iter().map(distance).filter(Separation::is_valid);
    all.min_by(|p, q| p.gap.total_cmp(&q.gap)).unwrap_or(Separation::INVALID)
}

impl lane::Course for Course<'_> {
    fn separation(&self, travel: f64) -> Separation {
        let own = solids(self.fixture, self.line, self.stretch, travel);
        match self.other {
            Other::Solid(solid, owner) => {
                let (from, to) = place(self.fixture, owner, travel);
                if from == to {
                    let placed = solid.shifted(DVec3::X * from);
                    nearest(&own, |own| separation(own, &placed))
                } else {
                    nearest(&own, |own| closest_over(own, solid, DVec3::X, from, to).separation)
                }
            }
            Other::Stretch(other) => {
                let others = solids(self.fixture, self.line, other, travel);
                nearest(&own, |own| nearest(&others, |other| separation(own, other)))
            }
        }
    }

    fn support(&self, direction: DVec3, travel: f64) -> f64 {
        lane::support(&solids(self.fixture, self.line, self.stretch, travel), direction)
    }

    fn begins(&self, direction: DVec3, begins: f64, at: f64, travel: f64) -> f64 {
        match self.other {
            Other::Solid(_, owner) => {
                let shift = place(self.fixture, owner, travel).0 - place(self.fixture, owner, at).0;
                begins + direction.x * shift
            }
            Other::Stretch(other) => {
                -lane::support(&solids(self.fixture, self.line, other, travel), -direction)
            }
        }
    }

    fn slack(&self, normal: DVec3, travel: f64, width: f64) -> f64 {
        let other = match self.other {
            Other::Stretch(other) => Some(other),
            Other::Solid(..) => None,
        };
        let both = [(Some(self.stretch), normal, self.turns[0]), (other, -normal, self.turns[1])];
        let each = both.into_iter().filter(|(_, _, turning)| turning.rate > 0.0);
        each.filter_map(|(stretch, normal, turning)| {
            Some(self.own_slack(stretch?, turning, normal, travel, width))
        })
        .sum()
    }
}

impl Course<'_> {
    /// A point at R from its centre that turns by θ(s) is R θ′² towards the centre and R θ″ along its way off a straight
    /// way evenly walked: on an interval h wide it leaves the chord by no more than R (θ′² + |θ″|) h²/8. Square to a span
    /// its points' ways lie along the span, so that of θ″ only the part along the normal counts; of the line on a pulley the
    /// rim is the same wherever both its ends are elsewhere.
    fn own_slack(&self, stretch: &Stretch, turning: Turning, normal: DVec3, travel: f64, width: f64) -> f64 {
        let swings = turning.rate * width;
        let path = path_at(self.fixture, self.line, travel).ok();
        let along = match path.and_then(|path| path.elements.get(stretch.element).copied()) {
            Some(PathElement::Span { from, to, .. }) => {
                let along = (self.line.plane.point(to) - self.line.plane.point(from)).normalize_or_zero();
                (normal.dot(along).abs() + swings).min(1.0)
            }
            Some(PathElement::Wrap { start, sweep, .. }) => {
                let first = if sweep > 0.0 { start } else { start + sweep };
                let facing = self.line.plane.flat(normal).to_angle() - first;
                let facing = facing.rem_euclid(std::f64::consts::TAU);
                if facing > swings && facing < sweep.abs() - swings {
                    return 0.0;
                }
                1.0
            }
            None => 1.0,
        };
        turning.reach * (turning.rate * turning.rate + turning.change * along) * width * width / 8.0
    }
}

/// A node as a circle in the line's plane: where its centre stands at the stroke's ends, its radius and how fast it
/// moves per mm of travel.
struct Round {
    from: DVec2,
    to: DVec2,
    radius: f64,
    speed: f64,
}

fn round(fixture: &Fixture, line: &Line, node: usize) -> Option<Round> {
    let node = line.nodes.get(node)?;
    let (centre, radius) = match node {
        LineNode::Anchor { at, .. } => (line.plane.flat(*at), 0.0),
        LineNode::Pulley(pulley) => (pulley.centre, pulley.radius),
    };
    let at = |travel: f64| {
        let x = carrier(node).map_or(0.0, |rider| rider_x(fixture, rider, travel));
        centre + DVec2::X * x
    };
    let speed =
        carrier(node).map_or(0.0, |rider| rider_x(fixture, rider, 1.0) - rider_x(fixture, rider, 0.0));
    Some(Round { from: at(fixture.stroke.from), to: at(fixture.stroke.to), radius, speed })
}

/// How a stretch turns, and a box that holds it at every travel in the rail frame; `None` for one that cannot be told.
pub(super) fn extent(fixture: &Fixture, line: &Line, stretch: &Stretch) -> Option<(Turning, Bounds)> {
    let (first, last) = stretch.nodes;
    let half_section = 0.5 * line.thickness.hypot(line.width);
    let ends = [round(fixture, line, first)?, round(fixture, line, last)?];
    let reach = ends[0].radius.max(ends[1].radius) + half_section;
    let (rate, change) = if first == last {
        let before = first.checked_sub(1).map_or((0.0, 0.0), |before| turning(fixture, line, before, first));
        let after = turning(fixture, line, first, first + 1);
        (before.0.max(after.0), before.1.max(after.1))
    } else {
        turning(fixture, line, first, last)
    };
    let grown = |end: &Round| end.radius + 0.5 * line.thickness;
    let corners = ends.iter().flat_map(|end| {
        let by = DVec2::splat(grown(end));
        [end.from - by, end.from + by, end.to - by, end.to + by]
    });
    let across = line.plane.normal() * (0.5 * line.width.max(line.thickness));
    let bounds = Bounds::around(corners.flat_map(|corner| {
        let point = line.plane.point(corner);
        [point - across, point + across]
    }));
    Some((Turning { reach, rate, change }, bounds))
}

/// The fastest the span between two nodes turns over the stroke (rad per mm of travel), and that rate's greatest change.
///
/// The span touches two circles whose centres are Δ apart, so that its normal n has n · Δ constant; with Δ changing by v
/// along the rail, θ the span's lean and ℓ its length, that gives θ′ = −v sin θ / ℓ, and, ℓ′ being v cos θ, no more than
/// 2 |v θ′| / ℓ for θ″. The lean grows or falls all along, so it is greatest at an end of the stroke, unless the span
/// stands across the rail in between.
fn turning(fixture: &Fixture, line: &Line, first: usize, last: usize) -> (f64, f64) {
    /// A span that leans by less is parallel (sine).
    const PARALLEL: f64 = 1e-12;
    const UNKNOWN: (f64, f64) = (f64::INFINITY, f64::INFINITY);
    let direction = |travel: f64| {
        let path = path_at(fixture, line, travel).ok()?;
        path.elements.iter().find_map(|element| match *element {
            PathElement::Span { from, to, nodes } if nodes == (first, last) => {
                Some((to - from).normalize_or_zero())
            }
            _ => None,
        })
    };
    let (Some(a), Some(b)) = (round(fixture, line, first), round(fixture, line, last)) else {
        return UNKNOWN;
    };
    let (Some(start), Some(end)) = (direction(fixture.stroke.from), direction(fixture.stroke.to)) else {
        return UNKNOWN;
    };
    let speed = (b.speed - a.speed).abs();
    let lean = if start.x * end.x > 0.0 { start.y.abs().max(end.y.abs()) } else { 1.0 };
    if lean <= PARALLEL || speed == 0.0 {
        return (0.0, 0.0);
    }
    let (before, after) = (b.from - a.from, b.to - a.to);
    let along = if before.x * after.x <= 0.0 { 0.0 } else { before.x.abs().min(after.x.abs()) };
    let side = |node: usize| match line.nodes.get(node) {
        Some(LineNode::Pulley(pulley)) if pulley.turn == Turn::Left => 1.0,
        Some(LineNode::Pulley(_)) => -1.0,
        _ => 0.0,
    };
    let k = side(last) * b.radius - side(first) * a.radius;
    let length = (along * along + before.y * before.y - k * k).max(0.0).sqrt();
    if !(length > 0.0) {
        return UNKNOWN;
    }
    let rate = speed * lean / length;
    (rate, 2.0 * speed * rate / length)
}
