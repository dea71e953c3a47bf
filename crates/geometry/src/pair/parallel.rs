//! Two solids with parallel axes: closed form.
//!
//! Across the axes the two outlines have a signed distance D; along them the two intervals have theirs. Right
//! prisms: √(D² + axial²) where both are positive, else the greater (the Minkowski difference is itself a right
//! prism). Frusta are solids of revolution: by mirror symmetry the nearest points lie in the plane of the two
//! axes (or of the axis and the nearest point of the outline), so the distance is that of the point (D, z)
//! from the Minkowski difference of the two half profiles. Own derivation; tested against the general solver
//! and a reference library.

use glam::{DMat3, DVec2, DVec3};

use super::section::Section;
use crate::convex::{self, Corner, Nearest};
use crate::search;
use crate::separation::{Ending, Separation};

/// The Minkowski difference of two half profiles in the (D, z) half plane.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Profile {
    /// Corners from bottom to top.
    corners: [DVec2; 3],
    /// Outward normals of the two flanks between them.
    flanks: [DVec2; 2],
    /// True if the first flank is A's (else B's).
    first_is_a: bool,
    /// Neither solid tapers.
    straight: bool,
}

/// Distance of (D, z) from a [`Profile`], the outward normal there, and the share of A's and B's profile
/// (0 lower end of A or upper end of B, 1 the other) at which the nearest points lie.
#[derive(Clone, Copy, Debug)]
struct ProfilePoint {
    distance: f64,
    normal: DVec2,
    part: Part,
}

/// Which part of the profile is nearest.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Part {
    Bottom,
    Flank(usize),
    Corner(usize),
    Top,
}

impl Profile {
    fn new(a: &Section, b: &Section) -> Self {
        let (a_low, a_high) = (DVec2::new(a.radii[0], a.low), DVec2::new(a.radii[1], a.high));
        let (b_low, b_high) = (DVec2::new(b.radii[1], -b.high), DVec2::new(b.radii[0], -b.low));
        let flank = |low: DVec2, high: DVec2| {
            // A profile without height keeps only the flank that its wider end needs: none.
            (high - low).perp().try_normalize().map_or(DVec2::X, |n| -n)
        };
        let (fa, fb) = (flank(a_low, a_high), flank(b_low, b_high));
        let first_is_a = fa.y <= fb.y;
        let middle = if first_is_a { a_high + b_low } else { a_low + b_high };
        Self {
            corners: [a_low + b_low, middle, a_high + b_high],
            flanks: if first_is_a { [fa, fb] } else { [fb, fa] },
            first_is_a,
            straight: a.radii == [0.0; 2] && b.radii == [0.0; 2],
        }
    }

    /// Signed distance and its normal.
    fn distance(&self, planar: f64, z: f64) -> (f64, DVec2) {
        if self.straight {
            let below = self.corners[0].y - z;
            let above = z - self.corners[2].y;
            let (axial, up) = if above >= below { (above, 1.0) } else { (below, -1.0) };
            if planar > 0.0 && axial > 0.0 {
                let d = (planar * planar + axial * axial).sqrt();
                return (d, DVec2::new(planar / d, up * axial / d));
            }
            return if planar >= axial { (planar, DVec2::X) } else { (axial, DVec2::new(0.0, up)) };
        }
        let p = self.nearest(planar, z);
        (p.distance, p.normal)
    }

    fn nearest(&self, planar: f64, z: f64) -> ProfilePoint {
        let p = DVec2::new(planar, z);
        let [c0, c1, c2] = self.corners;
        let [f0, f1] = self.flanks;
        let edges = [
            (c0.y - z, DVec2::NEG_Y, Part::Bottom),
            (f0.dot(p - c0), f0, Part::Flank(0)),
            (f1.dot(p - c2), f1, Part::Flank(1)),
            (z - c2.y, DVec2::Y, Part::Top),
        ];
        let mut best = edges[1];
        for e in [edges[2], edges[0], edges[3]] {
            if e.0 > best.0 {
                best = e;
            }
        }
        let mut found = ProfilePoint { distance: best.0, normal: best.1, part: best.2 };
        if best.0 > 0.0 {
            let cones = [(c0, DVec2::NEG_Y, f0), (c1, f0, f1), (c2, f1, DVec2::Y)];
            for (k, (c, from, to)) in cones.into_iter().enumerate() {
                let out = p - c;
                let length = out.length();
                if length >= found.distance
                    && length > 0.0
                    && out.x >= 0.0
                    && from.perp_dot(out) >= 0.0
                    && out.perp_dot(to) >= 0.0
                {
                    found = ProfilePoint { distance: length, normal: out / length, part: Part::Corner(k) };
                }
            }
        }
        found
    }

    /// The greatest D at height `z` for which the distance is still `value`, given that the nearest part is the
    /// bottom or the top.
    fn flat_reach(&self, value: f64, z: f64) -> f64 {
        let end =
            if z - self.corners[2].y >= self.corners[0].y - z { self.corners[2] } else { self.corners[0] };
        if value >= 0.0 {
            return end.x;
        }
        let reach = |flank: DVec2, corner: DVec2| {
            if flank.x > 0.0 {
                corner.x + (value - flank.y * (z - corner.y)) / flank.x
            } else {
                f64::INFINITY
            }
        };
        reach(self.flanks[0], self.corners[0]).min(reach(self.flanks[1], self.corners[2]))
    }

    /// The points of A's and of B's half profile (each in its own section: growth, height) that make up
    /// the nearest point. B's height comes in the frame's sense.
    fn sources(&self, a: &Section, b: &Section, planar: f64, z: f64) -> (ProfilePoint, DVec2, DVec2) {
        let found = self.nearest(planar, z);
        let a_ends = [DVec2::new(a.radii[0], a.low), DVec2::new(a.radii[1], a.high)];
        let b_ends = [DVec2::new(b.radii[1], b.high), DVec2::new(b.radii[0], b.low)];
        let corner = |k: usize| match k {
            0 => (a_ends[0], b_ends[0]),
            1 if self.first_is_a => (a_ends[1], b_ends[0]),
            1 => (a_ends[0], b_ends[1]),
            _ => (a_ends[1], b_ends[1]),
        };
        // On a flat end both profiles may take any growth up to their own.
        let inward = |k: usize| {
            let (pa, pb) = corner(k);
            let share = (planar / self.corners[k].x).clamp(0.0, 1.0);
            let share = if share.is_finite() { share } else { 0.0 };
            (DVec2::new(pa.x * share, pa.y), DVec2::new(pb.x * share, pb.y))
        };
        let (pa, pb) = match found.part {
            Part::Bottom => inward(0),
            Part::Top => inward(2),
            Part::Corner(k) => corner(k),
            Part::Flank(k) => {
                let (c, d) = (self.corners[k], self.corners[k + 1]);
                // Parallel flanks lie on one another: let both share the whole length.
                let both = self.flanks[0].perp_dot(self.flanks[1]).abs() < 1e-15;
                let (c, d, k0, k1) =
                    if both { (self.corners[0], self.corners[2], 0, 2) } else { (c, d, k, k + 1) };
                let along = d - c;
                let p = DVec2::new(planar, z);
                let share = ((p - c).dot(along) / along.length_squared()).clamp(0.0, 1.0);
                let share = if share.is_finite() { share } else { 0.5 };
                let ((a0, b0), (a1, b1)) = (corner(k0), corner(k1));
                (a0.lerp(a1, share), b0.lerp(b1, share))
            }
        };
        (found, pa, pb)
    }
}

/// Two solids in one axial frame, B shifted along a line. The Minkowski difference across the axis is kept by the
/// caller (who may keep many in one list) and handed to every question.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Track {
    /// Minkowski difference of the half profiles.
    profile: Profile,
    /// Growth of both together (mm).
    margin: f64,
    /// B's shift across the axis per unit of travel.
    across: DVec2,
    /// B's shift along the axis per unit of travel.
    along: f64,
}

impl Track {
    pub(crate) fn new(a: &Section, b: &Section, direction_in_frame: DVec3) -> Self {
        let (across, along) = (direction_in_frame.truncate(), direction_in_frame.z);
        // A direction square to the axis but for rounding is square to it.
        let (across, along) = if along.abs() <= super::section::PARALLEL {
            (across.normalize_or_zero(), 0.0)
        } else if across.length() <= super::section::PARALLEL {
            (DVec2::ZERO, along.signum())
        } else {
            (across, along)
        };
        Self { profile: Profile::new(a, b), margin: a.margin + b.margin, across, along }
    }

    /// Signed gap (mm) and its slope over travel; the slope is 0 exactly where the ends alone decide.
    pub(crate) fn gap(&self, planar: &[Corner], u: f64) -> (f64, f64) {
        let near = convex::signed_distance(planar, u * self.across);
        let (distance, normal) = self.profile.distance(near.distance, u * self.along);
        (distance - self.margin, normal.x * near.normal.dot(self.across) + normal.y * self.along)
    }

    /// Everything about the pair at the shift `u`, in the frame's coordinates (B's point at its shifted place).
    pub(crate) fn separation(&self, planar: &[Corner], a: &Section, b: &Section, u: f64) -> Separation {
        let shift = u * self.across;
        let near = convex::signed_distance(planar, shift);
        let (found, pa, pb) = self.profile.sources(a, b, near.distance, u * self.along);
        let (a2, b2) = if found.normal.x > 0.0 {
            witness(planar, &near, a, b, shift)
        } else {
            common_point(planar, &near, a, b, shift)
        };
        let n = near.normal;
        let normal = DVec3::new(n.x * found.normal.x, n.y * found.normal.x, found.normal.y);
        let on_a = (a2 + n * pa.x).extend(pa.y) + normal * a.margin;
        let on_b = (b2 - n * pb.x).extend(pb.y + u * self.along) - normal * b.margin;
        let gap = found.distance - self.margin;
        let ending = if gap.is_finite() { Ending::Exact } else { Ending::Invalid };
        Separation { gap, lower: gap, on_a, on_b, normal, ending }
    }

    /// True if the travel is square to the axis.
    pub(crate) fn is_square(&self) -> bool {
        self.along == 0.0 && self.across != DVec2::ZERO
    }

    /// The gap at a shift if the ends alone decide it: then no shift has a smaller one, and moving across the axis
    /// changes nothing.
    pub(crate) fn floor(&self, planar: &[Corner], u: f64) -> Option<f64> {
        if self.along != 0.0 {
            return None;
        }
        let near = convex::signed_distance(planar, u * self.across);
        let (distance, normal) = self.profile.distance(near.distance, 0.0);
        (normal.x == 0.0).then_some(distance - self.margin)
    }

    /// The least gap for shifts from `u0` to `u1`, with one shift at which it is met.
    pub(crate) fn least_somewhere(&self, planar: &[Corner], u0: f64, u1: f64) -> search::Least {
        let (u0, u1) = (u0.min(u1), u0.max(u1));
        // The ends decide most pairs that pass; then their middles tell.
        let middle = planar.iter().map(|c| c.centre).sum::<DVec2>() / planar.len() as f64;
        let u = middle.dot(self.across).clamp(u0, u1);
        if let Some(value) = self.floor(planar, u) {
            return search::Least { from: u, to: u, value, lower: value };
        }
        self.least(planar, u0, u1)
    }

    /// All shifts from `u0` to `u1` at which the gap is least, given one of them.
    pub(crate) fn span(&self, planar: &[Corner], u0: f64, u1: f64, at: f64) -> (f64, f64) {
        let (u0, u1) = (u0.min(u1), u0.max(u1));
        if let Some(value) = self.floor(planar, at) {
            let reach = self.profile.flat_reach(value + self.margin, 0.0);
            let (from, to) = convex::line_ends(planar, DVec2::ZERO, self.across, reach, (at, at));
            return (from.clamp(u0, u1), to.clamp(u0, u1));
        }
        let least = self.least(planar, u0, u1);
        (least.from, least.to)
    }

    /// The least gap for shifts from `u0` to `u1`: where, and how much.
    pub(crate) fn least(&self, planar: &[Corner], u0: f64, u1: f64) -> search::Least {
        let (u0, u1) = (u0.min(u1), u0.max(u1));
        if self.along != 0.0 || self.across == DVec2::ZERO {
            return search::least(|u| self.gap(planar, u), (u0, u1), 1e-13, f64::INFINITY);
        }
        // Square to the axis the gap only rises with the planar distance.
        let Some((from, to, _)) = convex::line_least(planar, DVec2::ZERO, self.across) else {
            return search::Least { from: u0, to: u1, value: f64::NAN, lower: f64::NAN };
        };
        let (mut from, mut to) = (from.clamp(u0, u1), to.clamp(u0, u1));
        let near = convex::signed_distance(planar, 0.5 * (from + to) * self.across);
        let (distance, normal) = self.profile.distance(near.distance, 0.0);
        if normal.x == 0.0 {
            let reach = self.profile.flat_reach(distance, 0.0);
            if let Some((a, b)) = convex::line_within(planar, DVec2::ZERO, self.across, reach) {
                from = from.min(a).clamp(u0, u1);
                to = to.max(b).clamp(u0, u1);
            }
        }
        let value = distance - self.margin;
        search::Least { from, to, value, lower: value }
    }
}

/// The nearest (or deepest) points of two outlines, B's at its shifted place.
fn witness(planar: &[Corner], near: &Nearest, a: &Section, b: &Section, shift: DVec2) -> (DVec2, DVec2) {
    boundary_pair(planar, near, a, b, shift).map_or((shift, shift), |(pa, pb)| (pa, pb + shift))
}

/// Points of A's and of B's (unshifted) boundary whose difference is the point of the Minkowski difference's
/// boundary nearest to `point`.
fn boundary_pair(
    planar: &[Corner],
    near: &Nearest,
    a: &Section,
    b: &Section,
    point: DVec2,
) -> Option<(DVec2, DVec2)> {
    let n = near.normal;
    let at = |k: usize| {
        let [i, j] = planar.get(k)?.sources;
        let (ca, cb) = (a.outline.get(usize::from(i))?, b.outline.get(usize::from(j))?);
        Some((ca.centre + ca.radius * n, cb.centre - cb.radius * n))
    };
    let [from, to] = convex::part(planar, near);
    let ((a0, b0), (a1, b1)) = (at(from)?, at(to)?);
    let (m0, m1) = (a0 - b0, a1 - b1);
    let along = m1 - m0;
    let share = ((point - m0).dot(along) / along.length_squared()).clamp(0.0, 1.0);
    let share = if share.is_finite() { share } else { 0.5 };
    Some((a0.lerp(a1, share), b0.lerp(b1, share)))
}

/// A point in both outlines (B shifted) if they overlap, written twice; else their nearest points. The shift is
/// split along a chord of the Minkowski difference, whose ends are differences of known boundary points.
fn common_point(planar: &[Corner], near: &Nearest, a: &Section, b: &Section, shift: DVec2) -> (DVec2, DVec2) {
    let fallback = || witness(planar, near, a, b, shift);
    if !(near.distance < 0.0) {
        return fallback();
    }
    let Some((t0, t1)) = convex::line_within(planar, shift, near.normal, 0.0) else { return fallback() };
    let end = |t: f64| {
        let q = shift + t * near.normal;
        boundary_pair(planar, &convex::signed_distance(planar, q), a, b, q)
    };
    let (Some((a0, _)), Some((a1, _))) = (end(t0), end(t1)) else { return fallback() };
    let share = if t1 > t0 { (-t0 / (t1 - t0)).clamp(0.0, 1.0) } else { 0.5 };
    let common = a0.lerp(a1, share);
    (common, common)
}

/// A separation of frame coordinates in the outer frame.
pub(crate) fn mapped(s: Separation, (turn, origin): (&DMat3, DVec3)) -> Separation {
    Separation { on_a: *turn * s.on_a + origin, on_b: *turn * s.on_b + origin, normal: *turn * s.normal, ..s }
}
