//! One convex solid shifted along a line past another.
//!
//! The gap is a convex function of the shift (the distance from a convex set is convex: Boyd & Vandenberghe,
//! Convex Optimization, §3.2.5; the signed distance likewise, being the greatest of linear functions). So its
//! least value is found by a one-dimensional convex search, and the shifts at which the gap is below a level
//! form one interval. Nothing is sampled.

use glam::{DMat3, DVec3};

use crate::convex::{self, Corner};
use crate::pair::general::{self, Warm};
use crate::pair::parallel::{self, Track};
use crate::pair::section::{PARALLEL, Section, axes, frame_along, section};
use crate::pair::support::Body;
use crate::pair::travel::Travel;
use crate::separation::{CERTIFIED, Ending, Separation};
use crate::{Shape, Solid, search};

/// The least gap of a solid travelling past another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Closest {
    /// The shift at which the gap is least, the middle of `span` (mm).
    pub u: f64,
    /// All shifts at which it is least, as near as rounding tells (mm).
    pub span: (f64, f64),
    /// The gap there, with B at its shifted place.
    pub separation: Separation,
}

/// Two solids made ready for many questions about the same travel: B is shifted by `u` (mm) along a fixed
/// direction.
///
/// ```
/// use glidewright_geometry::{DVec3, Pair, Solid};
/// let post = Solid::cylinder_between(DVec3::ZERO, DVec3::new(0.0, 0.0, 20.0), 3.0);
/// let nut = Solid::cylinder_between(DVec3::new(-50.0, 7.5, 5.0), DVec3::new(-50.0, 7.5, 9.0), 4.0);
/// let pair = Pair::new(&post, &nut, DVec3::X).ok_or("not solids")?;
/// let closest = pair.closest_over(0.0, 300.0);
/// assert!((closest.separation.gap - 0.5).abs() < 1e-12 && (closest.u - 50.0).abs() < 1e-12);
/// let (from, to) = pair.touching(0.0, 300.0, 1.0).ok_or("never that near")?;
/// assert!((from - (50.0 - 7.75f64.sqrt())).abs() < 1e-9 && (to - (50.0 + 7.75f64.sqrt())).abs() < 1e-9);
/// # Ok::<(), &str>(())
/// ```
#[derive(Clone, Debug)]
pub struct Pair {
    direction: DVec3,
    kind: Kind,
}

#[derive(Clone, Debug)]
enum Kind {
    Parallel(Box<Closed>),
    General { a: Box<Body>, b: Box<Body> },
}

/// A pair with a closed form.
#[derive(Clone, Debug)]
struct Closed {
    track: Track,
    planar: Vec<Corner>,
    a: Section,
    b: Section,
    turn: DMat3,
    origin: DVec3,
}

impl Closed {
    fn new(a: &Solid, b: &Solid, direction: DVec3) -> Option<Self> {
        let (turn, origin) = (frame_along(common_axis(a, b)?), a.pose.shift);
        let (a, b) = (section(a, &turn, origin)?, section(b, &turn, origin)?);
        let mut planar = Vec::with_capacity(a.outline.len() + b.outline.len());
        convex::difference(&a.outline, &b.outline, &mut planar);
        let track = Track::new(&a, &b, turn.transpose() * direction);
        Some(Self { track, planar, a, b, turn, origin })
    }

    fn at(&self, u: f64) -> Separation {
        parallel::mapped(self.track.separation(&self.planar, &self.a, &self.b, u), (&self.turn, self.origin))
    }

    fn closest(&self, u0: f64, u1: f64) -> Closest {
        let least = self.track.least(&self.planar, u0, u1);
        let u = 0.5 * (least.from + least.to);
        Closest { u, span: (least.from, least.to), separation: self.at(u) }
    }
}

impl Pair {
    /// `None` if a solid is not sound (see [`Solid::faults`]) or the direction is not finite or zero. The
    /// direction is made a unit vector.
    pub fn new(a: &Solid, b: &Solid, direction: DVec3) -> Option<Self> {
        let direction = direction.try_normalize()?;
        let (body_a, body_b) = (Body::new(a)?, Body::new(b)?);
        let kind = Closed::new(a, b, direction).map(|closed| Kind::Parallel(Box::new(closed)));
        let kind = kind.unwrap_or_else(|| Kind::General { a: Box::new(body_a), b: Box::new(body_b) });
        Some(Self { direction, kind })
    }

    /// Signed distance with B shifted by `u` (mm); its point given at the shifted place.
    pub fn at(&self, u: f64) -> Separation {
        if !u.is_finite() {
            return Separation::INVALID;
        }
        match &self.kind {
            Kind::Parallel(closed) => closed.at(u),
            Kind::General { a, b } => general::separation(a, b, u * self.direction, &mut Warm::default()),
        }
    }

    /// Signed gap and its slope over the shift (mm, mm per mm).
    pub fn gap(&self, u: f64) -> (f64, f64) {
        match &self.kind {
            Kind::Parallel(closed) => closed.track.gap(&closed.planar, u),
            Kind::General { .. } => {
                let s = self.at(u);
                (s.gap, s.normal.dot(self.direction))
            }
        }
    }

    /// The least gap for shifts from `u0` to `u1` (mm, in either order).
    pub fn closest_over(&self, u0: f64, u1: f64) -> Closest {
        if !(u0.is_finite() && u1.is_finite()) {
            return Closest { u: f64::NAN, span: (f64::NAN, f64::NAN), separation: Separation::INVALID };
        }
        let (u0, u1) = (u0.min(u1), u0.max(u1));
        match &self.kind {
            Kind::Parallel(closed) => closed.closest(u0, u1),
            Kind::General { a, b } => self.closest_general(a, b, u0, u1),
        }
    }

    /// The least gap alone, for shifts from `u0` to `u1` (mm, in either order): sooner than [`Pair::closest_over`] where the
    /// solids meet. Not a number for shifts that are not finite.
    pub fn least_gap(&self, u0: f64, u1: f64) -> f64 {
        if !(u0.is_finite() && u1.is_finite()) {
            return f64::NAN;
        }
        let (from, to) = (u0.min(u1), u0.max(u1));
        match &self.kind {
            Kind::Parallel(closed) => closed.track.least(&closed.planar, from, to).value,
            Kind::General { a, b } => {
                let travel = Travel { direction: self.direction, from, to };
                general::least(a, b, travel, Some(f64::INFINITY), &mut Warm::default()).0.value
            }
        }
    }

    fn closest_general(&self, a: &Body, b: &Body, u0: f64, u1: f64) -> Closest {
        let travel = Travel { direction: self.direction, from: u0, to: u1 };
        let (swept, u) = general::swept(a, b, DVec3::ZERO, travel, &mut Warm::default());
        let u = u.clamp(u0, u1);
        if swept.gap > 0.0 || !swept.is_valid() {
            // The swept body's nearest point is the nearest of all shifts.
            let flat = swept.normal.dot(self.direction).abs() <= 1e-9 && u0 < u1;
            let span = if flat { self.flat_span(u0, u, u1, swept.gap) } else { (u, u) };
            return Closest { u: 0.5 * (span.0 + span.1), span, separation: swept };
        }
        let least = search::least(|u| self.gap(u), (u0, u1), 1e-10, f64::INFINITY);
        let u = 0.5 * (least.from + least.to);
        let mut separation = self.at(u);
        separation.lower = separation.lower.min(least.lower);
        if separation.gap - separation.lower > CERTIFIED {
            separation.ending = Ending::LimitReached;
        }
        Closest { u, span: (least.from, least.to), separation }
    }

    /// The shifts around `u` at which the gap is not above its least value by more than 1e-9 mm.
    fn flat_span(&self, u0: f64, u: f64, u1: f64, least: f64) -> (f64, f64) {
        let level = least + 1e-9;
        let end = |outside: f64| {
            search::crossing(
                |t| self.gap(t).into(),
                (outside, u),
                level,
                search::ROUNDING * (1.0 + level.abs()),
            )
        };
        (end(u0), end(u1))
    }

    /// The shifts between `u0` and `u1` (mm, in either order) at which the gap is at most `below` (mm; 0:
    /// touching; negative: at least that deep), or `None` if there are none.
    pub fn touching(&self, u0: f64, u1: f64, below: f64) -> Option<(f64, f64)> {
        let (u0, u1) = (u0.min(u1), u0.max(u1));
        let closest = self.closest_over(u0, u1);
        if !(closest.separation.gap <= below) {
            return None;
        }
        let end = |outside: f64| {
            search::crossing(
                |t| self.gap(t).into(),
                (outside, closest.u),
                below,
                search::ROUNDING * (1.0 + below.abs()),
            )
        };
        Some((end(u0), end(u1)))
    }
}

/// A unit axis along which both solids have a closed form.
fn common_axis(a: &Solid, b: &Solid) -> Option<DVec3> {
    let axis = |s: &Solid, k: usize| s.pose.turn.col(k);
    let any = |s: &Solid| matches!(s.shape, Shape::Sphere { .. });
    match (any(a), any(b)) {
        (true, true) => Some(DVec3::Z),
        (true, false) => axes(b).first().map(|&k| axis(b, k)),
        (false, true) => axes(a).first().map(|&k| axis(a, k)),
        (false, false) => axes(a).iter().find_map(|&i| {
            let ai = axis(a, i);
            axes(b).iter().any(|&j| ai.cross(axis(b, j)).length() <= PARALLEL).then_some(ai)
        }),
    }
}

/// Signed distance of two convex solids in any pose, with proof.
///
/// Parallel axes, a sphere against anything with an axis: closed form ([`Ending::Exact`]). Everything else is
/// found by iteration and certified: the truth lies between `lower` and `gap`.
///
/// ```
/// use glidewright_geometry::{DVec3, Ending, Solid, separation};
/// let nut = Solid::cylinder_between(DVec3::ZERO, DVec3::new(0.0, 0.0, 4.0), 4.0);
/// let head = Solid::cylinder_between(DVec3::new(0.0, 10.0, 7.0), DVec3::new(0.0, 10.0, 9.0), 3.0);
/// let gap = separation(&nut, &head);
/// assert_eq!(gap.ending, Ending::Exact);
/// assert!((gap.gap - 3f64.hypot(3.0)).abs() < 1e-12);
/// ```
pub fn separation(a: &Solid, b: &Solid) -> Separation {
    Pair::new(a, b, DVec3::X).map_or(Separation::INVALID, |pair| pair.at(0.0))
}

/// The least gap while B is shifted along `direction` by `u0` to `u1` (mm); see [`Pair::closest_over`].
///
/// ```
/// use glidewright_geometry::{DVec3, Solid, closest_over};
/// let head = Solid::cylinder_between(DVec3::ZERO, DVec3::new(0.0, 0.0, 5.0), 4.0);
/// let stop = Solid::cuboid_between(DVec3::new(90.0, 5.5, 0.0), DVec3::new(110.0, 9.0, 5.0));
/// // Seen from the head the stop comes by as it travels 200 mm the other way.
/// let found = closest_over(&head, &stop, -DVec3::X, 0.0, 200.0);
/// assert!((found.separation.gap - 1.5).abs() < 1e-12);
/// assert!((found.span.0 - 90.0).abs() < 1e-9 && (found.span.1 - 110.0).abs() < 1e-9);
/// ```
pub fn closest_over(a: &Solid, b: &Solid, direction: DVec3, u0: f64, u1: f64) -> Closest {
    Pair::new(a, b, direction).map_or(
        Closest { u: f64::NAN, span: (f64::NAN, f64::NAN), separation: Separation::INVALID },
        |pair| pair.closest_over(u0, u1),
    )
}

/// The shifts at which the gap is at most `below` (mm); see [`Pair::touching`]. `None` also for solids that are
/// not sound: ask [`Solid::faults`].
///
/// ```
/// use glidewright_geometry::{DVec3, Solid, touching};
/// let wheel = Solid::cylinder_between(DVec3::ZERO, DVec3::new(0.0, 0.0, 5.0), 4.0);
/// let pin = Solid::cylinder_between(DVec3::new(0.0, 3.0, 0.0), DVec3::new(0.0, 3.0, 5.0), 1.0);
/// // Middles 5 mm apart touch: 4 mm to either side at a height of 3.
/// let (from, to) = touching(&wheel, &pin, DVec3::X, -50.0, 50.0, 0.0).ok_or("apart")?;
/// assert!((from + 4.0).abs() < 1e-9 && (to - 4.0).abs() < 1e-9);
/// # Ok::<(), &str>(())
/// ```
pub fn touching(a: &Solid, b: &Solid, direction: DVec3, u0: f64, u1: f64, below: f64) -> Option<(f64, f64)> {
    Pair::new(a, b, direction)?.touching(u0, u1, below)
}
