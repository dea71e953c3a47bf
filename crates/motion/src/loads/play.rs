//! How far a rider can rattle when nothing presses it: the limits its contacts set.

use glam::DVec3;

use super::equilibrium::SolveEnding;
use super::linear::{UNKNOWNS, Vector};
use super::simplex::Simplex;
use super::solve::solve;
use super::springs::{SpringContact, row};
use super::wrench::{Motion, Wrench};

/// The free motion of a rider between its contacts, all of them rigid and none pressed.
#[derive(Clone, Debug, PartialEq, Default)]
pub enum Play {
    /// Its contacts press on each other or just touch: it has none.
    #[default]
    None,
    /// It moves within limits.
    Within(PlayRegion),
    /// Its contacts leave a motion without limit (largest part scaled to 1): only its load keeps it on the rail.
    Unlimited(Motion),
}

/// The set of motions ξ that press no contact: n·(δ + θ×p) ≥ closure for each.
#[derive(Clone, Debug, PartialEq)]
pub struct PlayRegion {
    simplex: Simplex,
    /// A motion within the region, from which the simplex counts.
    inside: Motion,
    reach: f64,
}

/// Least and greatest of something.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Range {
    /// Least value.
    pub least: f64,
    /// Greatest value.
    pub greatest: f64,
}

impl Range {
    /// How far apart they are.
    ///
    /// ```
    /// use glidewright_motion::loads::Range;
    ///
    /// assert_eq!(Range { least: -0.25, greatest: 0.5 }.width(), 0.75);
    /// ```
    pub fn width(&self) -> f64 {
        self.greatest - self.least
    }
}

/// Limits of the five motions of a rider, each taken alone at its extreme.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct PlayLimits {
    /// Shift along y (mm).
    pub shift_y: Range,
    /// Shift along z (mm).
    pub shift_z: Range,
    /// Turn about x, y and z (rad).
    pub turn: [Range; 3],
}

/// Less free motion than this is none (mm): it is what touching contacts leave by rounding.
const TOUCHING: f64 = 1e-7;
/// Motions longer than this have no limit (mm, of turns at the farthest contact): contacts that face each other but for
/// rounding leave such ones, and no wheel stays on its rail so far.
const LIMITED: f64 = 1e3;

impl Play {
    /// From the contacts of a rider.
    ///
    /// ```
    /// use glam::DVec3;
    /// use glidewright_motion::loads::{Play, SpringContact};
    ///
    /// // One face that only pushes up leaves a rider free to lift off.
    /// let contact = SpringContact {
    ///     point: DVec3::ZERO,
    ///     normal: DVec3::Z,
    ///     closure: -0.1,
    ///     stiffness: 100.0,
    ///     give: None,
    /// };
    /// assert!(matches!(Play::new(&[contact]), Play::Unlimited(_)));
    /// ```
    pub fn new(contacts: &[SpringContact]) -> Self {
        // Without load the rider comes to rest where it presses least: if that is nowhere, it is in its play.
        let rigid: Vec<_> =
            contacts.iter().map(|c| SpringContact { give: None, stiffness: 1.0, ..*c }).collect();
        let rest = solve(&rigid, &[], &Wrench::default(), None);
        let pressed = rest.forces.iter().copied().fold(0.0, f64::max);
        if contacts.is_empty() || rest.ending == SolveEnding::Invalid || !(pressed < TOUCHING) {
            return Self::None;
        }
        let reach = contacts.iter().map(|c| c.point.length()).fold(1.0, f64::max);
        let inside = rest.motion.scaled(reach);
        let rows = contacts.iter().map(|contact| {
            let row = row(contact, reach);
            (-row, row.dot(&inside) - contact.closure)
        });
        let mut region = PlayRegion { simplex: Simplex::new(rows), inside: rest.motion, reach };
        let mut most: f64 = 0.0;
        for axis in 0..UNKNOWNS {
            for sign in [1.0, -1.0] {
                match region.simplex.most(&Vector::ith(axis, sign)) {
                    Some((value, _)) if value <= LIMITED => most = most.max(value),
                    _ => return Self::Unlimited(unlimited(axis, sign, reach)),
                }
            }
        }
        if most < TOUCHING { Self::None } else { Self::Within(region) }
    }

    /// How much further than `from` the point can move along `direction` within the play (mm); 0 without play, and
    /// where there is no limit.
    pub fn beyond(&mut self, from: &Motion, point: DVec3, direction: DVec3) -> f64 {
        match self {
            Self::None | Self::Unlimited(_) => 0.0,
            Self::Within(region) => region
                .most(point, direction)
                .map_or(0.0, |most| (most - direction.dot(from.of_point(point))).max(0.0)),
        }
    }

    /// How far a point can move along `direction`, both ways (mm).
    pub fn range(&mut self, point: DVec3, direction: DVec3) -> Option<Range> {
        match self {
            Self::None => Some(Range::default()),
            Self::Unlimited(_) => None,
            Self::Within(region) => Some(Range {
                least: -region.most(point, -direction)?,
                greatest: region.most(point, direction)?,
            }),
        }
    }

    /// The limits of the five motions; `None` when one has none.
    pub fn limits(&mut self) -> Option<PlayLimits> {
        match self {
            Self::None => Some(PlayLimits::default()),
            Self::Unlimited(_) => None,
            Self::Within(region) => {
                let mut range = |axis: usize| -> Option<Range> {
                    let objective = Vector::ith(axis, 1.0);
                    let at = region.inside.scaled(region.reach)[axis];
                    let unit = if axis < 2 { 1.0 } else { region.reach };
                    let greatest = (at + region.simplex.most(&objective)?.0) / unit;
                    let least = (at - region.simplex.most(&-objective)?.0) / unit;
                    Some(Range { least, greatest })
                };
                Some(PlayLimits {
                    shift_y: range(0)?,
                    shift_z: range(1)?,
                    turn: [range(2)?, range(3)?, range(4)?],
                })
            }
        }
    }
}

impl PlayRegion {
    /// The furthest a point can move along `direction`, from its nominal place (mm).
    fn most(&mut self, point: DVec3, direction: DVec3) -> Option<f64> {
        let arm = point.cross(direction) / self.reach;
        let objective = Vector::new(direction.y, direction.z, arm.x, arm.y, arm.z);
        let (beyond, _) = self.simplex.most(&objective)?;
        Some(direction.dot(self.inside.of_point(point)) + beyond)
    }
}

fn unlimited(axis: usize, sign: f64, reach: f64) -> Motion {
    let mut motion = Motion::default();
    match axis {
        0 => motion.shift.y = sign,
        1 => motion.shift.z = sign,
        2 => motion.turn.x = sign / reach,
        3 => motion.turn.y = sign / reach,
        _ => motion.turn.z = sign / reach,
    }
    motion
}
