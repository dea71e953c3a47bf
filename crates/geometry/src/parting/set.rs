//! All shifts at which two convex pieces overlap, known between an inner and an outer bound.
//!
//! That set is the Minkowski difference of the pieces: convex, and known by its support function. A polytope inscribed
//! in it grows where a question needs it (as in van den Bergen's expanding polytope, 2001): its faces bound the set from
//! within, the supports in their directions from without.

use std::sync::Arc;

use glam::{DMat3, DVec3};

use crate::Bounds;
use crate::pair::polytope::Polytope;
use crate::pair::simplex::Vertex;
use crate::pair::support::Body;

/// A polytope is grown to so many faces at most.
const MOST_FACES: usize = 1_500;
/// So many points are added for one question at most.
const MOST_POINTS: usize = 60;

/// The convex hull of some solids, as one piece of a body.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    parts: Vec<Body>,
    /// The smallest upright box around it (mm).
    pub(super) bounds: Bounds,
    /// Lengths by which rounding is judged: how large the piece is and how far it lies off (mm).
    size: f64,
    off: f64,
}

impl Piece {
    /// `None` without parts.
    pub(super) fn new(parts: Vec<Body>) -> Option<Self> {
        let bounds = parts.iter().map(Body::bounds).reduce(|a, b| a.joined(&b))?;
        let off = parts.iter().map(|part| part.centre.length()).fold(0.0, f64::max);
        let size = match &parts[..] {
            [part] => part.reach,
            _ => 0.5 * bounds.low.distance(bounds.high),
        };
        Some(Self { parts, bounds, size, off })
    }

    /// The farthest point in a direction: along the direction itself (`normal`, unit), with the sense of `sign`.
    fn support(&self, direction: DVec3, normal: DVec3, sign: f64) -> DVec3 {
        let far =
            |part: &Body| part.centre + part.core_support(sign * direction).0 + sign * part.margin * normal;
        match &self.parts[..] {
            [part] => far(part),
            parts => parts
                .iter()
                .map(far)
                .max_by(|p, q| (sign * p.dot(direction)).total_cmp(&(sign * q.dot(direction))))
                .unwrap_or_default(),
        }
    }

    /// The greatest coordinate along a unit direction (mm).
    pub(super) fn farthest(&self, direction: DVec3) -> f64 {
        self.parts.iter().map(|part| part.farthest(direction)).fold(f64::NEG_INFINITY, f64::max)
    }
}

/// The shifts of B at which a piece of it overlaps a piece of A.
#[derive(Clone, Debug)]
pub(super) struct Set {
    pieces: [Arc<Piece>; 2],
    polytope: Polytope,
    /// Twice as far as rounding moves a point (mm).
    rounding: f64,
    /// Every shift of the set lies in this box.
    pub(super) around: Bounds,
    /// How often a polytope was begun anew because rounding had spoilt it or it had grown too large.
    restarts: usize,
    /// Too often: nothing is known to lie inside.
    is_closed: bool,
}

/// Where a line meets the set: what surely lies inside, and outside of what nothing does, as lengths along the line (mm).
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Chord {
    pub(super) inner: Option<(f64, f64)>,
    pub(super) outer: Option<(f64, f64)>,
}

/// How far a shift lies within the set.
#[derive(Clone, Copy, Debug)]
pub(super) struct Within {
    /// A ball of this radius lies in the set (mm); negative where the shift is not known to lie in it.
    pub(super) low: f64,
    /// No larger ball than this does (mm); nothing or less: it lies outside.
    pub(super) high: f64,
    /// Unit direction of the nearest way out known.
    pub(super) normal: DVec3,
}

impl Set {
    /// `None` for pieces that are flat.
    pub(super) fn new(a: &Arc<Piece>, b: &Arc<Piece>) -> Option<Self> {
        let size = a.size + b.size;
        let (in_a, in_b) = (a.bounds, b.bounds);
        let mut set = Self {
            pieces: [Arc::clone(a), Arc::clone(b)],
            polytope: Polytope::new(),
            rounding: 2e-15 * (size + a.off + b.off),
            around: Bounds { low: in_a.low - in_b.high, high: in_a.high - in_b.low },
            restarts: 0,
            is_closed: false,
        };
        let (mut polytope, pieces) = (Polytope::new(), &set.pieces);
        let flat = polytope.start(&mut |d| support(pieces, d), 1e-9 * size, &DMat3::IDENTITY);
        set.polytope = polytope;
        flat.is_none().then_some(set)
    }

    /// Whether its box lies across the first `length` (mm) of a line in a unit direction.
    pub(super) fn may_meet(&self, from: DVec3, direction: DVec3, length: f64) -> bool {
        let (mut entry, mut exit) = (0.0f64, length);
        for k in 0..3 {
            let (low, high) = (self.around.low[k] - from[k], self.around.high[k] - from[k]);
            if direction[k].abs() < 1e-12 {
                if low >= 0.0 || high <= 0.0 {
                    return false;
                }
                continue;
            }
            let (s, t) = (low / direction[k], high / direction[k]);
            entry = entry.max(s.min(t));
            exit = exit.min(s.max(t));
        }
        entry <= exit
    }

    /// The farthest shift of the set in a direction (any length, not zero).
    pub(super) fn support(&self, direction: DVec3) -> Vertex {
        support(&self.pieces, direction)
    }

    /// Adds the farthest point in a face's direction; whether that lies beyond the face, and the support there.
    fn grow(&mut self, face: usize, offset: f64, worth: f64) -> (bool, f64, DVec3) {
        let normal = self.polytope.normal(face);
        let point = self.support(normal);
        let reach = point.w.dot(normal).max(offset);
        if reach - offset <= worth.max(self.rounding) || self.is_closed {
            return (false, reach, normal);
        }
        if self.polytope.count() > MOST_FACES || !self.polytope.add(face, point, self.rounding) {
            self.restart();
        }
        (!self.is_closed, reach, normal)
    }

    /// Begins another polytope, from other directions.
    fn restart(&mut self) {
        const MOST_RESTARTS: usize = 200;
        self.restarts += 1;
        let turn = DMat3::from_axis_angle(DVec3::new(2.0, 3.0, 6.0) / 7.0, 0.7 * self.restarts as f64);
        let (mut polytope, pieces) = (Polytope::new(), &self.pieces);
        let size = pieces[0].size + pieces[1].size;
        let flat = polytope.start(&mut |d| support(pieces, d), 1e-9 * size, &turn);
        self.polytope = polytope;
        self.is_closed = flat.is_some() || self.restarts > MOST_RESTARTS;
    }

    /// How far a shift lies within, to `tolerance` (mm); no nearer where it is proved to be at least `enough` or to be
    /// outside.
    pub(super) fn within(&mut self, shift: DVec3, enough: f64, tolerance: f64) -> Within {
        let mut found = Within { low: f64::NEG_INFINITY, high: f64::INFINITY, normal: DVec3::X };
        for _ in 0..MOST_POINTS {
            let nearest = self
                .polytope
                .faces()
                .map(|(face, normal, offset)| (face, offset, offset - normal.dot(shift)))
                .min_by(|p, q| p.2.total_cmp(&q.2));
            let Some((face, offset, low)) = nearest else { break };
            found.low = found.low.max(low);
            if low >= enough {
                break;
            }
            let (has_grown, reach, normal) = self.grow(face, offset, tolerance);
            let high = reach - normal.dot(shift);
            if high < found.high {
                (found.high, found.normal) = (high, normal);
            }
            if !has_grown || high <= 0.0 {
                break;
            }
        }
        if self.is_closed {
            found.low = f64::NEG_INFINITY;
        }
        found.low = found.low.min(found.high);
        found
    }

    /// Where the line `from + t·direction` (unit) meets the set. Its ends are found to `tolerance` (mm), or to a tenth of
    /// how far they lie from `about` along the line.
    pub(super) fn chord(&mut self, from: DVec3, direction: DVec3, about: f64, tolerance: f64) -> Chord {
        let (mut entry, mut exit) = (f64::NEG_INFINITY, f64::INFINITY);
        let mut inner = None;
        for _ in 0..MOST_POINTS {
            let mut ends = [(f64::NEG_INFINITY, usize::MAX, 0.0), (f64::INFINITY, usize::MAX, 0.0)];
            let mut passes_by = None;
            for (face, normal, offset) in self.polytope.faces() {
                let (rate, room) = (normal.dot(direction), offset - normal.dot(from));
                if rate > 1e-12 {
                    let t = room / rate;
                    if t < ends[1].0 {
                        ends[1] = (t, face, offset);
                    }
                } else if rate < -1e-12 {
                    let t = room / rate;
                    if t > ends[0].0 {
                        ends[0] = (t, face, offset);
                    }
                } else if room < 0.0 {
                    passes_by = Some((face, offset));
                }
            }
            if let Some((face, offset)) = passes_by {
                let (has_grown, reach, normal) = self.grow(face, offset, tolerance);
                if reach <= normal.dot(from) {
                    return Chord::default();
                }
                if has_grown {
                    continue;
                }
                break;
            }
            let [(t0, first, offset0), (t1, last, offset1)] = ends;
            if first == usize::MAX || last == usize::MAX {
                break;
            }
            inner = (t1 > t0 && !self.is_closed).then_some((t0, t1));
            let worth = |t: f64| tolerance.max(0.1 * (t - about).abs());
            let mut has_grown = false;
            // Both ends, unless the first point has already done away with the second face.
            for (t, face, offset, is_exit) in [(t1, last, offset1, true), (t0, first, offset0, false)] {
                if has_grown {
                    break;
                }
                let normal = self.polytope.normal(face);
                let rate = normal.dot(direction);
                let worth = if inner.is_some() { worth(t) } else { tolerance };
                let (grown, reach, _) = self.grow(face, offset, worth * rate.abs());
                let bound = (reach - normal.dot(from)) / rate;
                if is_exit {
                    exit = exit.min(bound)
                } else {
                    entry = entry.max(bound)
                }
                has_grown |= grown;
                if self.is_closed {
                    break;
                }
            }
            if exit <= entry {
                return Chord::default();
            }
            if !has_grown {
                break;
            }
        }
        if self.is_closed {
            inner = None;
        }
        Chord { inner, outer: (exit > entry).then_some((entry, exit)) }
    }

    /// The outermost plane of the set beyond which a shift on its boundary or outside lies: unit normal and support, with
    /// the point of the set nearest to the shift.
    pub(super) fn beyond(&mut self, shift: DVec3, tolerance: f64) -> Option<(DVec3, f64, Vertex)> {
        for _ in 0..MOST_POINTS {
            let (face, normal, offset) = self
                .polytope
                .faces()
                .min_by(|p, q| (p.2 - p.1.dot(shift)).total_cmp(&(q.2 - q.1.dot(shift))))?;
            let (has_grown, reach, _) = self.grow(face, offset, tolerance);
            if !has_grown {
                let foot = if reach - offset <= 2.0 * tolerance && !self.is_closed {
                    self.polytope.on_face(face, shift + (offset - normal.dot(shift)) * normal)
                } else {
                    self.support(normal)
                };
                return Some((normal, reach, foot));
            }
        }
        None
    }
}

/// The farthest shift at which the pieces overlap, with the points that touch there (common frame, B unshifted).
fn support([a, b]: &[Arc<Piece>; 2], direction: DVec3) -> Vertex {
    let n = direction.normalize_or_zero();
    let on_a = a.support(direction, n, 1.0);
    let on_b = b.support(direction, n, -1.0);
    Vertex { w: on_a - on_b, a: on_a, b: on_b, ..Vertex::default() }
}
