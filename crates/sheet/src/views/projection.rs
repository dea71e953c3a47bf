//! From the rail frame to paper.

use glam::{DAffine2, DVec2, DVec3};
use glidewright_motion::{Facing, Fixture};

/// From where the rail is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Projection {
    /// From the side: shows X and Z, plates and stacks of front and rear riders edge-on.
    Side,
    /// From the front: shows X and Y.
    Front,
    /// From behind.
    Rear,
}

impl Projection {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Side, Self::Front, Self::Rear];

    /// What a reader calls it.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Side => "from the side",
            Self::Front => "from the front",
            Self::Rear => "from behind",
        }
    }

    /// What shows the riders' stacks edge-on, so that facing nuts are seen.
    pub fn suited_to(fixture: &Fixture) -> Self {
        let sideways =
            fixture.riders.iter().filter(|r| matches!(r.facing, Facing::Left | Facing::Right)).count();
        if 2 * sideways > fixture.riders.len() { Self::Front } else { Self::Side }
    }
}

/// How the rail lies on paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lie {
    /// Travel runs upwards.
    Upright,
    /// Travel runs to the right.
    Lying,
}

impl Lie {
    /// A rail inclined by more than 45° is drawn upright.
    pub(super) fn of(fixture: &Fixture) -> Self {
        if fixture.rail.stand.is_upright() { Self::Upright } else { Self::Lying }
    }
}

/// A parallel projection: which way of the rail frame is to the right, up and towards the reader.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Projector {
    pub(super) right: DVec3,
    pub(super) up: DVec3,
    pub(super) toward: DVec3,
}

/// Sine below which a direction counts as square to another.
const SQUARE: f64 = 1e-6;

impl Projector {
    /// The projector of a view along the rail's side.
    pub(super) fn new(fixture: &Fixture, projection: Projection, lie: Lie) -> Self {
        let toward = match projection {
            Projection::Front => DVec3::Z,
            Projection::Rear => DVec3::NEG_Z,
            Projection::Side => match lie {
                Lie::Upright => DVec3::Y,
                // From this side the front face is above; from the other if it looks down.
                Lie::Lying if fixture.rail.stand.down().z > 0.5 => DVec3::Y,
                Lie::Lying => DVec3::NEG_Y,
            },
        };
        match lie {
            Lie::Upright => Self { right: DVec3::X.cross(toward), up: DVec3::X, toward },
            Lie::Lying => Self { right: DVec3::X, up: toward.cross(DVec3::X), toward },
        }
    }

    /// From anywhere: `turn` round the vertical through the rail, growing to the reader's right, and `lift` from
    /// above (rad). At 0 and 0 a standing rail is seen square to its front, a lying one from the side.
    pub(super) fn around(fixture: &Fixture, turn: f64, lift: f64) -> Self {
        let usable = |angle: f64| if angle.is_finite() { angle } else { 0.0 };
        let (turn, lift) =
            (usable(turn), usable(lift).clamp(-std::f64::consts::FRAC_PI_2, std::f64::consts::FRAC_PI_2));
        let lie = Lie::of(fixture);
        let up = (-fixture.rail.stand.down()).try_normalize().unwrap_or(DVec3::X);
        let square = |p: DVec3| (p - up * p.dot(up)).try_normalize();
        let (side, front) = (Self::new(fixture, Projection::Side, lie).toward, DVec3::Z);
        let ahead = match lie {
            Lie::Upright => square(front).or_else(|| square(side)),
            Lie::Lying => square(side).or_else(|| square(front)),
        };
        let ahead = ahead.unwrap_or_else(|| up.any_orthonormal_vector());
        let level = ahead * turn.cos() + up.cross(ahead) * turn.sin();
        let toward = level * lift.cos() + up * lift.sin();
        let right = up.cross(level);
        Self { right, up: toward.cross(right), toward }
    }

    /// Along the rail from its lower or left end, the front face up: the rail's left is left on paper.
    pub(super) const fn end() -> Self {
        Self { right: DVec3::NEG_Y, up: DVec3::Z, toward: DVec3::NEG_X }
    }

    /// The direction across the rail that is seen.
    pub(super) fn across(&self) -> DVec3 {
        if self.right.x == 0.0 { self.right } else { self.up }
    }

    /// A point or direction on paper (world of the panel, y up).
    pub(super) fn flat(&self, p: DVec3) -> DVec2 {
        DVec2::new(p.dot(self.right), p.dot(self.up))
    }

    /// How near the reader a point is (mm).
    pub(super) fn depth(&self, p: DVec3) -> f64 {
        p.dot(self.toward)
    }

    /// Whether a direction points at the reader or away.
    pub(super) fn is_end_on(&self, direction: DVec3) -> bool {
        direction.cross(self.toward).length() < SQUARE
    }

    /// Whether a direction lies in the paper.
    pub(super) fn is_edge_on(&self, direction: DVec3) -> bool {
        direction.dot(self.toward).abs() < SQUARE
    }

    /// The map from the plane spanned by `x` and `y` at `origin` to paper.
    pub(super) fn plane(&self, origin: DVec3, x: DVec3, y: DVec3) -> DAffine2 {
        DAffine2::from_cols(self.flat(x), self.flat(y), self.flat(origin))
    }
}
