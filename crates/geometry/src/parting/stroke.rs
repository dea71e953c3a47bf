//! Where on a straight travel two bodies of several pieces overlap deepest.
//!
//! A shift x at which the bodies are apart bounds the depth at every place u of the travel by its distance from u; and
//! so does every shift that is reached from x along the travel without an overlap. The depth is looked at where the bounds
//! known so far leave most room; each look gives another bound. Ends with the deepest place found and a bound of what
//! any other can reach (the cutting planes of Kelley 1960, with cones for planes). Own derivation.

use glam::DVec3;

use super::{Depth, DepthEffort, Overlap};

/// Where two bodies overlap deepest on a travel.
#[derive(Clone, Debug, PartialEq)]
pub struct Deepest {
    /// The shift along the travel (mm).
    pub at: f64,
    /// The depth there.
    pub found: Depth,
    /// No place of the travel is deeper than this (mm).
    pub at_most: f64,
    frees: Vec<Free>,
}

impl Deepest {
    /// The depth at a shift along the travel is no more than this (mm), as far as the search has shown.
    pub fn bound_at(&self, u: f64) -> f64 {
        bound(&self.frees, u)
    }
}

/// Free shifts: from one to another along the travel, so far beside it.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Free {
    from: f64,
    to: f64,
    beside: f64,
}

impl Free {
    /// Its distance from a place of the travel.
    fn bound(&self, u: f64) -> f64 {
        self.beside.hypot((self.from - u).max(u - self.to).max(0.0))
    }
}

impl Overlap {
    /// The deepest overlap while B is shifted along the unit vector `direction` from `u0` to `u1` (mm); `first` are places
    /// to look at first. `None` where they overlap nowhere that was looked at, or for numbers without meaning.
    ///
    /// ```
    /// use glidewright_geometry::{DVec3, DepthEffort, Overlap, Solid};
    /// let ring = |z: f64, r: f64| Solid::cylinder_between(DVec3::Z * z, DVec3::Z * (z + 2.0), r);
    /// let nut = Solid::cylinder_between(DVec3::new(-50.0, 7.0, -5.0), DVec3::new(-50.0, 7.0, 9.0), 4.0);
    /// let mut overlap = Overlap::new(&[ring(0.0, 4.0), ring(2.0, 5.0)], &[nut]);
    /// let deepest = overlap.deepest(DVec3::X, (0.0, 100.0), &[45.0], &DepthEffort::FULL).ok_or("apart")?;
    /// // Side by side the greater ring and the nut reach 2 mm into each other.
    /// assert!((deepest.at - 50.0).abs() < 1e-2 && (deepest.found.depth - 2.0).abs() < 1e-5);
    /// # Ok::<(), &str>(())
    /// ```
    pub fn deepest(
        &mut self,
        direction: DVec3,
        (u0, u1): (f64, f64),
        first: &[f64],
        effort: &DepthEffort,
    ) -> Option<Deepest> {
        let direction = direction.try_normalize()?;
        let (u0, u1) = (u0.min(u1), u0.max(u1));
        if !(u0.is_finite() && u1.is_finite()) {
            return None;
        }
        let mut frees: Vec<Free> = Vec::new();
        let mut best: Option<(f64, Depth)> = None;
        let mut first = first.iter().copied().filter(|u| u.is_finite()).map(|u| u.clamp(u0, u1));
        let mut at_most = f64::INFINITY;
        for _ in 0..effort.places {
            let (room, u) = most_room(&frees, u0, u1);
            at_most = at_most.min(room);
            let known = best.as_ref().map_or(0.0, |(_, found)| found.depth);
            if room <= known + effort.tolerance.max(1e-5 * known) {
                break;
            }
            // A place that is proposed, unless it is known to be no deeper.
            let proposed = first.find(|u| bound(&frees, *u) > known + effort.tolerance);
            let u = proposed.unwrap_or(u);
            let found = self.depth(u * direction, effort);
            if found.contacts.is_empty() && found.depth == 0.0 {
                frees.push(self.free(u * direction, direction, u));
                continue;
            }
            frees.push(self.free(u * direction + found.depth * found.direction, direction, u));
            if best.as_ref().is_none_or(|(_, known)| found.depth > known.depth) {
                best = Some((u, found));
            }
        }
        let (at, found) = best?;
        let at_most = at_most.min(most_room(&frees, u0, u1).0).max(found.depth);
        Some(Deepest { at, found, at_most, frees })
    }

    /// The shifts around a free one that are reached along the travel without an overlap, seen from the travel's place 0.
    fn free(&mut self, shift: DVec3, direction: DVec3, u: f64) -> Free {
        /// How far rounding and tolerances may put an end into an overlap (mm).
        const SLACK: f64 = 1e-6;
        let along = shift.dot(direction);
        let beside = (shift - along * direction).length();
        let reach = 1e3 + 10.0 * (along - u).abs();
        self.make_ready(shift - reach * direction, shift + reach * direction, SLACK);
        let (mut from, mut to) = (-reach, reach);
        for set in &mut self.sets {
            let aside = (set.around.low - shift).max(shift - set.around.high);
            let off = aside - direction.abs() * 1e300;
            if off.max_element() > 0.0 && direction.abs().max_element() > 1.0 - 1e-12 {
                continue;
            }
            let Some((entry, exit)) = set.chord(shift, direction, 0.0, SLACK).outer else { continue };
            if exit <= SLACK {
                from = from.max(exit);
            } else if entry >= -SLACK {
                to = to.min(entry);
            } else {
                (from, to) = (0.0, 0.0);
            }
        }
        Free { from: along + from.min(0.0), to: along + to.max(0.0), beside: beside + SLACK }
    }
}

fn bound(frees: &[Free], u: f64) -> f64 {
    frees.iter().map(|free| free.bound(u)).fold(f64::INFINITY, f64::min)
}

/// Where the bounds leave most room between two places, and how much.
fn most_room(frees: &[Free], u0: f64, u1: f64) -> (f64, f64) {
    let mut best = (f64::NEG_INFINITY, 0.5 * (u0 + u1));
    let mut take = |u: f64| {
        if u.is_finite() {
            let u = u.clamp(u0, u1);
            let room = bound(frees, u);
            if room > best.0 {
                best = (room, u);
            }
        }
    };
    take(0.5 * (u0 + u1));
    take(u0);
    take(u1);
    // Elsewhere the lowest of the bounds is highest where two of them cross.
    for (i, p) in frees.iter().enumerate() {
        take(0.5 * (p.from + p.to));
        for q in frees.iter().skip(i + 1) {
            for s in [p.from, p.to] {
                for t in [q.from, q.to] {
                    take((q.beside.powi(2) - p.beside.powi(2) + t * t - s * s) / (2.0 * (t - s)));
                }
            }
            for (flat, round) in [(p, q), (q, p)] {
                let off = (flat.beside.powi(2) - round.beside.powi(2)).max(0.0).sqrt();
                take(round.from - off);
                take(round.to + off);
            }
        }
    }
    best
}
