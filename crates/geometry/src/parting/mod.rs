//! How far two bodies of several convex pieces overlap: the least translation, in any direction, that parts the whole
//! bodies.
//!
//! Piece a of A and piece b of B overlap at the shifts of B in one convex set, their Minkowski difference; the bodies
//! overlap at the shifts in the union of these sets. The depth is the distance of B's place from the complement of the
//! union. No piece has to be drawn out of every other on its own: of two long pieces end to end the joint is no way out.
//! Own derivation ([`search`], [`cell`]); tested against dense sampling with another library's overlap test.

mod cell;
mod search;
mod set;
mod stroke;

use std::sync::Arc;

use glam::DVec3;

use crate::pair::support::Body;
use crate::separation::{CERTIFIED, Ending, Separation};
use crate::{Bounds, Solid};
use search::{Search, WayOut};
use set::{Piece, Set};
pub use stroke::Deepest;

/// How much a depth may cost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DepthEffort {
    /// The bounds need come no nearer to each other than this (mm).
    pub tolerance: f64,
    /// Rays that are followed through the union of up to [`Self::PAIRS`] pairs of pieces at most; through larger ones
    /// fewer, so that the whole work stays the same. With none the depth is the shortest of the ways out of single
    /// pieces, and no more is proved than how deep two pieces overlap.
    pub rays: usize,
    /// Ways out of single pieces that are tried on the whole.
    pub ways: usize,
    /// Places of a travel that are looked at, at most.
    pub places: usize,
}

impl DepthEffort {
    /// Bounds as near as those of two convex solids.
    pub const FULL: Self = Self { tolerance: CERTIFIED, rays: 4_000, ways: 24, places: 12 };
    /// Pairs of pieces that come near, above which fewer rays are followed.
    pub const PAIRS: usize = 24;
    /// For what is read to hundredths of a millimetre while something is dragged.
    pub const QUICK: Self = Self { tolerance: 1e-3, rays: 150, ways: 24, places: 12 };
    /// A shift that parts the bodies, soon: it may be longer than the least.
    pub const BOUND: Self = Self { tolerance: 1e-3, rays: 0, ways: 6, places: 1 };
}

/// The depth of two bodies that overlap.
///
/// The truth lies between `at_least` and `depth`: shifted by `depth` along `direction` the bodies are proved apart, and
/// no shorter shift than `at_least` parts them.
#[derive(Clone, Debug, PartialEq)]
pub struct Depth {
    /// Length of a translation that parts the bodies (mm); 0 for bodies that do not overlap.
    pub depth: f64,
    /// No shorter translation than this parts them (mm).
    pub at_least: f64,
    /// Unit direction in which B is shifted.
    pub direction: DVec3,
    /// Where the bodies touch once B has been shifted so.
    pub contacts: Vec<PartedContact>,
    /// How the search ended.
    pub ending: Ending,
}

/// A place where two bodies touch once they have been drawn apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartedContact {
    /// Point of A (mm, the common frame).
    pub on_a: DVec3,
    /// Point of B before it is shifted (mm, the common frame).
    pub on_b: DVec3,
    /// Unit normal of the contact, from A to B.
    pub normal: DVec3,
    /// Change of the depth with a growth of either body along the normal at this place (mm per mm).
    pub share: f64,
}

impl Depth {
    /// The same as a separation: the gap is minus the depth, and `lower` is no certificate for it but the same number;
    /// `at_least` tells how near it is proved.
    pub fn separation(&self) -> Separation {
        let first = self.contacts.first();
        let at = |point: Option<DVec3>| point.unwrap_or(DVec3::NAN);
        Separation {
            gap: -self.depth,
            lower: -self.depth,
            on_a: at(first.map(|contact| contact.on_a)),
            on_b: at(first.map(|contact| contact.on_b)),
            normal: self.direction,
            ending: self.ending,
        }
    }
}

/// Two bodies of several convex pieces made ready for questions about how far they overlap.
///
/// ```
/// use glidewright_geometry::{DVec3, DepthEffort, Overlap, Solid};
/// // A bar of two halves, and a pin through it near the joint.
/// let half = |from: f64, to: f64| {
///     Solid::cuboid_between(DVec3::new(from, -3.0, -3.0), DVec3::new(to, 3.0, 3.0))
/// };
/// let bar = [half(-40.0, 0.0), half(0.0, 40.0)];
/// let pin = [Solid::cylinder_between(DVec3::new(0.5, 0.0, -9.0), DVec3::new(0.5, 0.0, 9.0), 1.0)];
/// let mut overlap = Overlap::new(&bar, &pin);
/// let found = overlap.depth(DVec3::ZERO, &DepthEffort::FULL);
/// // Sideways by half the bar and half the pin; along the bar either half alone would be left sooner.
/// assert!((found.depth - 4.0).abs() < 1e-6 && found.depth - found.at_least <= 1e-6);
/// ```
#[derive(Clone, Debug)]
pub struct Overlap {
    bodies: [Vec<Arc<Piece>>; 2],
    /// By pair of pieces, made where the pair matters.
    sets: Vec<Set>,
    waiting: Vec<(u32, u32, Bounds)>,
}

impl Overlap {
    /// Bodies A and B in one frame, of convex solids; those that are not sound or flat take part in nothing.
    pub fn new(a: &[Solid], b: &[Solid]) -> Self {
        Self::of(
            [a, b].map(|solids| {
                solids.iter().filter_map(|solid| Piece::new(vec![Body::new(solid)?])).collect()
            }),
        )
    }

    /// Bodies A and B in one frame whose pieces are the convex hulls of some solids each. What is covered by such
    /// hulls lies no deeper in another body than they do.
    ///
    /// ```
    /// use glidewright_geometry::{DVec3, DepthEffort, Overlap, Solid};
    /// let disc = |z: f64| Solid::cylinder_between(DVec3::Z * z, DVec3::Z * (z + 1.0), 6.0);
    /// // A pulley's two flanges with what lies between them, and a pin between the flanges.
    /// let flanges = vec![disc(-3.0), disc(2.0)];
    /// let pin = vec![Solid::cylinder_between(DVec3::X * 5.0, DVec3::X * 20.0, 1.0)];
    /// let mut covered = Overlap::of_hulls(&[flanges.clone()], &[pin.clone()]);
    /// assert!(Overlap::new(&flanges, &pin).depth(DVec3::ZERO, &DepthEffort::FULL).depth == 0.0);
    /// assert!((covered.depth(DVec3::ZERO, &DepthEffort::FULL).depth - 1.0).abs() < 1e-5);
    /// ```
    pub fn of_hulls(a: &[Vec<Solid>], b: &[Vec<Solid>]) -> Self {
        let piece = |solids: &Vec<Solid>| Piece::new(solids.iter().filter_map(Body::new).collect());
        Self::of([a, b].map(|hulls| hulls.iter().filter_map(piece).collect()))
    }

    fn of(bodies: [Vec<Piece>; 2]) -> Self {
        let bodies = bodies.map(|pieces| pieces.into_iter().map(Arc::new).collect::<Vec<_>>());
        let mut waiting = Vec::with_capacity(bodies[0].len() * bodies[1].len());
        for (i, a) in (0..).zip(&bodies[0]) {
            for (j, b) in (0..).zip(&bodies[1]) {
                let (a, b) = (a.bounds, b.bounds);
                waiting.push((i, j, Bounds { low: a.low - b.high, high: a.high - b.low }));
            }
        }
        Self { bodies, sets: Vec::new(), waiting }
    }

    /// Makes the sets ready that come nearer to any shift from `from` to `to` than `reach` (mm).
    fn make_ready(&mut self, from: DVec3, to: DVec3, reach: f64) {
        let (low, high) = (from.min(to) - reach, from.max(to) + reach);
        let Self { bodies: [in_a, in_b], sets, waiting } = self;
        waiting.retain(|(i, j, around)| {
            if around.low.cmpge(high).any() || around.high.cmple(low).any() {
                return true;
            }
            if let (Some(a), Some(b)) = (in_a.get(*i as usize), in_b.get(*j as usize)) {
                sets.extend(Set::new(a, b));
            }
            false
        });
    }

    /// The way out across the whole of both bodies in a direction (unit) from a shift (mm).
    fn across(&self, shift: DVec3, direction: DVec3) -> f64 {
        let [a, b] = &self.bodies;
        farthest(a, direction) + farthest(b, -direction) - direction.dot(shift)
    }

    /// A length by which B can be shifted square to the unit vector `direction` to be clear of A wherever it stands along
    /// it (mm).
    pub fn beside(&self, direction: DVec3) -> f64 {
        let (p, q) = direction.any_orthonormal_pair();
        [p, -p, q, -q].map(|n| self.across(DVec3::ZERO, n).max(0.0)).into_iter().fold(f64::INFINITY, f64::min)
    }

    /// How far B must be shifted along a unit direction for the middles of both to be abreast (mm); `None` for nothing.
    pub fn abreast(&self, direction: DVec3) -> Option<f64> {
        let [a, b] = &self.bodies;
        let middle = |pieces| 0.5 * (farthest(pieces, direction) - farthest(pieces, -direction));
        let shift: f64 = middle(a) - middle(b);
        shift.is_finite().then_some(shift)
    }

    /// The depth with B shifted by `shift` (mm). Bodies that do not overlap, or only by what rounding makes, have none.
    pub fn depth(&mut self, shift: DVec3, effort: &DepthEffort) -> Depth {
        let found = if shift.is_finite() { self.way_out(shift, effort) } else { None };
        let Some(WayOut { low, high, direction }) = found else {
            let ending = if shift.is_finite() { Ending::Exact } else { Ending::Invalid };
            return Depth { depth: 0.0, at_least: 0.0, direction: DVec3::X, contacts: Vec::new(), ending };
        };
        let close = high - low <= effort.tolerance.max(1e-9 * high);
        Depth {
            depth: high,
            at_least: low,
            direction,
            contacts: self.contacts(shift, high, direction, effort.tolerance),
            ending: if close { Ending::Converged } else { Ending::LimitReached },
        }
    }

    fn way_out(&mut self, shift: DVec3, effort: &DepthEffort) -> Option<WayOut> {
        let axes = [DVec3::X, DVec3::NEG_X, DVec3::Y, DVec3::NEG_Y, DVec3::Z, DVec3::NEG_Z];
        let mut best = (f64::INFINITY, DVec3::X);
        for axis in axes {
            let way = self.across(shift, axis);
            if way < best.0 {
                best = (way, axis);
            }
        }
        if !(best.0 > 0.0 && best.0.is_finite()) {
            return None;
        }
        self.make_ready(shift, shift, best.0);
        // What does not come near enough has no part in it.
        let near = |set: &Set| {
            set.around.low.cmplt(shift + best.0).all() && set.around.high.cmpgt(shift - best.0).all()
        };
        let end = brought_forward(&mut self.sets, near);
        let sets = self.sets.get_mut(..end)?;
        let tolerance = effort.tolerance;
        // A single convex set is left across its nearest face.
        if let [set] = sets {
            let within = set.within(shift, f64::INFINITY, 0.1 * tolerance);
            let (high, direction) = if within.high < best.0 { (within.high, within.normal) } else { best };
            return (high > 0.0).then(|| WayOut { low: within.low.clamp(0.0, high), high, direction });
        }
        let mut low = 0.0f64;
        let mut ways = Vec::new();
        for set in sets.iter_mut() {
            let holds = set.around.low.cmplt(shift).all() && set.around.high.cmpgt(shift).all();
            if !holds {
                continue;
            }
            let within = set.within(shift, best.0, 0.1 * tolerance);
            if within.high > 0.0 {
                low = low.max(within.low);
                ways.push((within.high, within.normal));
            }
        }
        if ways.is_empty() {
            return None;
        }
        let rays = effort.rays * DepthEffort::PAIRS / sets.len().max(DepthEffort::PAIRS);
        let mut search = Search::new(sets, shift, tolerance, best);
        // The other way along each as well: of an even body a set may name either.
        search.try_all(deepest_ways(ways, effort.ways).into_iter().flat_map(|way| [way, -way]));
        let (high, direction) = search.best();
        if low >= high - tolerance || effort.rays == 0 {
            return Some(WayOut { low: low.min(high), high, direction });
        }
        let mut found = search.prove(rays);
        found.low = found.low.max(low.min(found.high));
        (found.high > 0.0).then_some(found)
    }

    /// Where the bodies touch at the end of a way out, and what each contact has to do with its length.
    fn contacts(&mut self, shift: DVec3, way: f64, direction: DVec3, tolerance: f64) -> Vec<PartedContact> {
        /// Planes as near to the end of the way as this bound it (mm), or as it is told.
        const NEAR: f64 = 2e-5;
        let end = shift + way * direction;
        /// More planes than this at one place are not told apart.
        const PLANES: usize = 24;
        let mut planes: Vec<PartedContact> = Vec::new();
        let mut nearest: Option<(f64, PartedContact)> = None;
        let level = NEAR.max(1e-6 * way).max(2.0 * tolerance);
        for set in &mut self.sets {
            let (low, high) = (set.around.low - level, set.around.high + level);
            if end.cmplt(low).any() || end.cmpgt(high).any() {
                continue;
            }
            let Some((normal, reach, foot)) = set.beyond(end, 1e-7) else { continue };
            let off = (normal.dot(end) - reach).abs();
            let contact = PartedContact { on_a: foot.a, on_b: foot.b + shift, normal, share: 0.0 };
            if normal.dot(direction) <= 0.0 {
                continue;
            }
            if nearest.is_none_or(|(known, _)| off < known) {
                nearest = Some((off, contact));
            }
            let same = |known: &PartedContact| known.normal.dot(normal) > 1.0 - 1e-9;
            if off <= level && planes.len() < PLANES && !planes.iter().any(same) {
                planes.push(contact);
            }
        }
        if planes.is_empty() {
            planes.extend(nearest.map(|(_, contact)| contact));
        }
        balanced(planes, direction)
    }
}

/// The greatest coordinate of some pieces along a unit direction (mm).
fn farthest(pieces: &[Arc<Piece>], direction: DVec3) -> f64 {
    pieces.iter().map(|piece| piece.farthest(direction)).fold(f64::NEG_INFINITY, f64::max)
}

/// The contacts whose pushes along their normals make up the direction: with that of least error.
fn balanced(planes: Vec<PartedContact>, direction: DVec3) -> Vec<PartedContact> {
    let mut best: (f64, Vec<(usize, f64)>) = (f64::INFINITY, Vec::new());
    let mut take = |which: &[(usize, f64)], simpler: f64| {
        if which.iter().any(|(_, weight)| !(*weight >= -1e-9)) {
            return;
        }
        let sum: DVec3 = which.iter().map(|(i, weight)| *weight * planes[*i].normal).sum();
        let error = sum.distance(direction) + simpler;
        if error < best.0 {
            best = (error, which.to_vec());
        }
    };
    // Where one will do, more do not do better but for rounding.
    const SIMPLER: f64 = 1e-5;
    let n = |i: usize| planes[i].normal;
    for i in 0..planes.len() {
        take(&[(i, n(i).dot(direction))], 0.0);
        for j in i + 1..planes.len() {
            let c = n(i).dot(n(j));
            let (s, t) = (n(i).dot(direction), n(j).dot(direction));
            let det = 1.0 - c * c;
            take(&[(i, (s - c * t) / det), (j, (t - c * s) / det)], SIMPLER);
            for k in j + 1..planes.len() {
                let meet = glam::DMat3::from_cols(n(i), n(j), n(k));
                if meet.determinant().abs() > 1e-9 {
                    let w = meet.inverse() * direction;
                    take(&[(i, w.x), (j, w.y), (k, w.z)], 2.0 * SIMPLER);
                }
            }
        }
    }
    let mut contacts: Vec<PartedContact> =
        best.1.iter().map(|(i, weight)| PartedContact { share: weight.max(0.0), ..planes[*i] }).collect();
    contacts.sort_by(|p, q| q.share.total_cmp(&p.share));
    contacts
}

/// The ways out of single pieces that are tried on the whole: different ones, the longest first, since none that is
/// shorter parts the bodies.
fn deepest_ways(mut ways: Vec<(f64, DVec3)>, most: usize) -> Vec<DVec3> {
    /// Cosine above which two directions are one.
    const SAME: f64 = 1.0 - 1e-9;
    ways.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut kept: Vec<DVec3> = Vec::with_capacity(most);
    for (_, way) in ways {
        if kept.len() == most {
            break;
        }
        if !kept.iter().any(|other| other.dot(way) > SAME) {
            kept.push(way);
        }
    }
    kept
}

/// Brings what satisfies a condition to the front; how many do.
fn brought_forward<T>(list: &mut [T], wanted: impl Fn(&T) -> bool) -> usize {
    let mut end = 0;
    for i in 0..list.len() {
        if wanted(&list[i]) {
            list.swap(i, end);
            end += 1;
        }
    }
    end
}
