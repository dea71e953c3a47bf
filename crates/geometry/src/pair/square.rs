//! Two solids with axes square to each other: closed form wherever one exists.
//!
//! Let a and b be the axes and c = a × b. Seen along a, along b and along c the solids are plane figures; the
//! distance in each view is a lower bound of the distance. The greatest of the three *is* the distance when the
//! parts that are nearest in that view also face each other along the line of sight: that is checked, and if it
//! fails (rim against rim, or an overlap) there is no closed form and the general solver must be asked. Own
//! derivation; tested against the general solver.

use std::cmp::Ordering;

use glam::{DMat3, DVec2, DVec3};

use super::section::{PARALLEL, axes, section_with};
use super::support::Body;
use crate::Solid;
use crate::convex::{self, Corner};

/// A range of coordinates (mm).
type Range = (f64, f64);

/// One of the two solids. Its own axis, the other's axis ("far") and c are the three coordinates (mm).
#[derive(Clone, Copy, Debug)]
struct Side {
    own: Range,
    far: Range,
    c: Range,
    /// Where along its own axis the outline is widest: all along, or one end of a frustum.
    wide: Range,
    /// Where along "far" the surface is that faces −c and +c.
    at_c: [Range; 2],
    /// Where along c the surface is that faces −far and +far.
    at_far: [Range; 2],
    /// A disc (centre as (far, c), radius) within the lower and the upper end face: the whole face if that is round.
    ends: [(DVec2, f64); 2],
    tapered: bool,
}

/// Two solids ready for evaluation at many shifts of B; the views' Minkowski differences are kept by the caller.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Square {
    a: Side,
    b: Side,
    /// B's shift per travel along a, b and c.
    travel: DVec3,
    /// How many corners of the list belong to the view along a; the rest to the view along b.
    first: usize,
}

/// Axes of A and B that are square to each other, if any.
pub(crate) fn square_axes(a: &Solid, b: &Solid) -> Option<(DVec3, DVec3)> {
    axes(a).iter().find_map(|&i| {
        axes(b).iter().find_map(|&j| {
            let (p, q) = (a.pose.turn.col(i), b.pose.turn.col(j));
            (p.dot(q).abs() <= PARALLEL).then_some((p, q))
        })
    })
}

impl Square {
    /// Makes a pair ready and appends its views to `corners`; `None` if the axes are not square.
    pub(crate) fn new(
        (a, body_a): (&Solid, &Body),
        (b, body_b): (&Solid, &Body),
        direction: DVec3,
        corners: &mut Vec<Corner>,
    ) -> Option<Self> {
        let (axis_a, axis_b) = square_axes(a, b)?;
        let c = axis_a.cross(axis_b).normalize();
        // Plane coordinates: (far, c) for A, (c, far) for B, so that both frames are right-handed.
        let (frame_a, frame_b) = (DMat3::from_cols(axis_b, c, axis_a), DMat3::from_cols(c, axis_a, axis_b));
        let sa = section_with(a, body_a.corners(), &frame_a, DVec3::ZERO)?;
        let sb = section_with(b, body_b.corners(), &frame_b, DVec3::ZERO)?;
        let grown = |outline: &[Corner], radii: [f64; 2]| -> Vec<Corner> {
            let more = radii[0].max(radii[1]);
            outline.iter().map(|k| Corner { radius: k.radius + more, ..*k }).collect()
        };
        let (oa, ob) = (grown(&sa.outline, sa.radii), grown(&sb.outline, sb.radii));
        let side_a = Side::new(&oa, (DVec2::X, DVec2::Y), (sa.low, sa.high), sa.radii);
        let side_b = Side::new(&ob, (DVec2::Y, DVec2::X), (sb.low, sb.high), sb.radii);
        let start = corners.len();
        // Along a: A's outline against B's side view, both in (b, c).
        let view = side_b.profile(sb.radii, false);
        convex::difference(&oa, &view, corners);
        let first = corners.len() - start;
        // Along b: A's side view against B's outline, both in (c, a).
        let view = side_a.profile(sa.radii, true);
        convex::difference(&view, &ob, corners);
        let travel = DVec3::new(direction.dot(axis_a), direction.dot(axis_b), direction.dot(c));
        // A direction square to an axis but for rounding is square to it.
        let travel = travel.map(|t| if t.abs() <= PARALLEL { 0.0 } else { t });
        Some(Self { a: side_a, b: side_b, travel, first })
    }

    /// Signed gap at the shift `u` and its slope, or `None` where there is no closed form.
    pub(crate) fn gap(&self, corners: &[Corner], u: f64) -> Option<(f64, f64)> {
        let t = u * self.travel;
        let (view_a, view_b) = corners.split_at(self.first);
        let seen_a = convex::signed_distance(view_a, DVec2::new(t.y, t.z));
        let seen_b = convex::signed_distance(view_b, DVec2::new(t.z, t.x));
        if seen_a.distance >= seen_b.distance {
            let n = seen_a.normal;
            if seen_a.distance > 0.0 && facing(&self.a, &self.b, n.x, n.y, t.x, t.z) {
                return Some((seen_a.distance, n.x * self.travel.y + n.y * self.travel.z));
            }
        } else {
            let n = seen_b.normal;
            // The same with the solids exchanged: the direction and the shift turn round.
            if seen_b.distance > 0.0 && facing(&self.b, &self.a, -n.y, -n.x, -t.y, -t.z) {
                return Some((seen_b.distance, n.x * self.travel.z + n.y * self.travel.x));
            }
        }
        self.corner(t)
    }

    /// The case of two edges that face diagonally, seen along c.
    fn corner(&self, t: DVec3) -> Option<(f64, f64)> {
        let (a, b) = (&self.a, &self.b);
        // Along a: A's own extent against B's far one; along b the other way round.
        let (gap_a, sign_a) = apart(a.own, b.far, t.x);
        let (gap_b, sign_b) = apart(a.far, b.own, t.y);
        if !(gap_a > 0.0 && gap_b > 0.0) || a.tapered || b.tapered {
            return None;
        }
        let on_a = a.at_far[usize::from(sign_b > 0.0)];
        let on_b = b.at_far[usize::from(sign_a < 0.0)];
        let d = gap_a.hypot(gap_b);
        meet(on_a, on_b, t.z)
            .then(|| (d, (gap_a * sign_a * self.travel.x + gap_b * sign_b * self.travel.y) / d))
    }
}

impl Side {
    /// From the widest outline in plane coordinates, of which `far` and `c` name the two axes.
    fn new(outline: &[Corner], (far, c): (DVec2, DVec2), own: Range, radii: [f64; 2]) -> Self {
        let face = |side: DVec2, along: DVec2| convex::support_range(outline, side, along);
        let extent = |d: DVec2| (convex::support(outline, -d).dot(d), convex::support(outline, d).dot(d));
        let most = radii[0].max(radii[1]);
        let middle = outline.iter().map(|k| k.centre).sum::<DVec2>() / outline.len() as f64;
        let inner = -convex::signed_distance(outline, middle).distance;
        let end = |r: f64| (DVec2::new(middle.dot(far), middle.dot(c)), inner - most + r);
        let wide = match radii[0].total_cmp(&radii[1]) {
            Ordering::Less => (own.1, own.1),
            Ordering::Greater => (own.0, own.0),
            Ordering::Equal => own,
        };
        Self {
            own,
            far: extent(far),
            c: extent(c),
            wide,
            at_c: [face(-c, far), face(c, far)],
            at_far: [face(-far, c), face(far, c)],
            ends: radii.map(end),
            tapered: radii[0] != radii[1],
        }
    }

    /// The solid seen along the other's axis, in coordinates (own, c), or (c, own) if `swapped`.
    fn profile(&self, radii: [f64; 2], swapped: bool) -> Vec<Corner> {
        let at = |own: f64, c: f64| if swapped { DVec2::new(c, own) } else { DVec2::new(own, c) };
        let (low, high) = self.c;
        let most = radii[0].max(radii[1]);
        let mut points = Vec::with_capacity(4);
        for (own, r) in [(self.own.0, radii[0]), (self.own.1, radii[1])] {
            points.extend([at(own, low + most - r), at(own, high - most + r)]);
        }
        convex::hull(&mut points)
    }
}

/// True if the parts that are nearest when seen along `v`'s axis overlap along the line of sight. The direction
/// from v to w has the components `n_far` along w's axis and `n_c`; w is shifted by `sight` along v's axis and by `t_c`
/// along c.
fn facing(v: &Side, w: &Side, n_far: f64, n_c: f64, sight: f64, t_c: f64) -> bool {
    // A direction along w's axis but for rounding is along it.
    if n_c.abs() > PARALLEL {
        return meet(v.wide, w.at_c[usize::from(n_c < 0.0)], sight);
    }
    // w's end face against the strip of v's surface that faces along w's axis.
    let (centre, radius) = w.ends[usize::from(n_far < 0.0)];
    let (x, y) = (centre.x + sight, centre.y + t_c);
    let strip = v.at_far[usize::from(n_far > 0.0)];
    let off = DVec2::new(x - x.clamp(v.wide.0, v.wide.1), y - y.clamp(strip.0, strip.1));
    off.length() <= radius
}

/// True if two ranges share a point, the second shifted.
fn meet(a: Range, b: Range, shift: f64) -> bool {
    a.0 <= b.1 + shift && b.0 + shift <= a.1
}

/// The signed distance of two ranges, the second shifted, and which way the second lies.
fn apart(a: Range, b: Range, shift: f64) -> (f64, f64) {
    let (ahead, behind) = (b.0 + shift - a.1, a.0 - b.1 - shift);
    if ahead >= behind { (ahead, 1.0) } else { (behind, -1.0) }
}
