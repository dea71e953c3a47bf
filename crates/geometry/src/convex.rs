//! Convex planar sets with round or sharp corners, the form in which distances are closed.
//!
//! A convex outline of lines and arcs is written as its corners in order of their outward normals: each
//! corner is a disc (radius 0 for a sharp corner) that forms the boundary for the normals between its own
//! `normal` and the next corner's; straight edges are what joins the discs. In this form the Minkowski sum of
//! two outlines is a merge by angle, and the signed distance of a point is the greatest of the edge distances,
//! unless the point lies in a corner's cone. The distance of two outlines is the distance of their
//! displacement from their Minkowski difference. Own derivation from the support function (Boyd &
//! Vandenberghe, Convex Optimization, §2.2.4, §3.2.4); tested against dense sampling and a reference library.

use std::f64::consts::{FRAC_PI_2, TAU};

use glam::DVec2;

use crate::outline::{Edge, Outline, SAME_POINT};
use crate::solid::MOST_MM;

/// One corner of a convex set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Corner {
    /// Centre of the corner's disc (mm).
    pub centre: DVec2,
    /// Radius of the corner's disc (mm), 0 for a sharp corner.
    pub radius: f64,
    /// Unit outward normal where the corner begins; zero when the set is a single disc.
    pub normal: DVec2,
    /// Grows with the angle of `normal` from 0 to 4, see [`angle_key`].
    pub key: f64,
    /// Which corners of the first and second operand this corner of a Minkowski difference comes from.
    pub sources: [u16; 2],
}

/// The distance found by [`signed_distance`].
#[derive(Clone, Copy, Debug)]
pub(crate) struct Nearest {
    /// Signed distance (mm): negative inside.
    pub distance: f64,
    /// Unit outward normal of the set at the nearest boundary point.
    pub normal: DVec2,
    /// The corner, or the corner at which the edge ends.
    pub corner: usize,
    /// True if the nearest boundary point lies on the straight edge before the corner.
    pub on_edge: bool,
}

/// Edges that meet at less than this angle (rad) meet smoothly: a corner so flat is rounding of a tangent, and
/// leaving it out moves the boundary by less than 1e-9 mm at 100 mm.
const SMOOTH: f64 = 1e-11;

/// A monotone stand-in for the angle of a direction: 0 at +x, 1 at +y, 2 at −x, 3 at −y.
pub(crate) fn angle_key(d: DVec2) -> f64 {
    let t = d.y / (d.x.abs() + d.y.abs());
    let t = if t.is_finite() { t } else { 0.0 };
    if d.x < 0.0 {
        2.0 - t
    } else if t < 0.0 {
        4.0 + t
    } else {
        t
    }
}

/// The corners of a convex counter-clockwise outline, ordered by normal angle from 0; `None` if the outline is
/// broken or not convex.
pub(crate) fn corners_of(outline: &Outline) -> Option<Vec<Corner>> {
    let sound = |e: &Edge| {
        let size = match *e {
            Edge::Line { from, to } => from.abs().max(to.abs()).max_element(),
            Edge::Arc { radius, .. } if !(radius > 0.0) => f64::INFINITY,
            Edge::Arc { centre, radius, .. } => centre.abs().max_element() + radius,
        };
        e.is_finite() && e.length() > 0.0 && size <= MOST_MM
    };
    if !outline.edges.iter().all(sound) || !outline.is_convex() {
        return None;
    }
    if let [Edge::Arc { centre, radius, sweep, .. }] = *outline.edges.as_slice() {
        // An arc alone has to come back to where it starts.
        let whole = radius * (TAU - sweep).abs() <= SAME_POINT;
        return whole.then(|| vec![disc(centre, radius)]);
    }
    let count = outline.edges.len();
    let mut corners = Vec::with_capacity(2 * count);
    for (i, edge) in outline.edges.iter().enumerate() {
        let next = &outline.edges[(i + 1) % count];
        if edge.to().distance(next.from()) > SAME_POINT {
            return None;
        }
        if let Edge::Arc { centre, radius, start, sweep } = *edge {
            push_cone(&mut corners, centre, radius, DVec2::from_angle(start), sweep);
        }
        let (out, into) = (edge.tangent(1.0), next.tangent(0.0));
        let turn = out.perp_dot(into).atan2(out.dot(into));
        if turn > SMOOTH {
            push_cone(&mut corners, edge.to(), 0.0, -out.perp(), turn);
        }
    }
    order(&mut corners);
    (!corners.is_empty()).then_some(corners)
}

/// A disc.
pub(crate) fn disc(centre: DVec2, radius: f64) -> Corner {
    Corner { centre, radius, normal: DVec2::ZERO, key: 0.0, sources: [0, 0] }
}

/// The convex hull of points, as corners; empty for no points. A segment and a single point are sets too.
pub(crate) fn hull(points: &mut Vec<DVec2>) -> Vec<Corner> {
    let chain = hull_points(points);
    match chain.as_slice() {
        [] => Vec::new(),
        [only] => vec![disc(*only, 0.0)],
        _ => {
            let count = chain.len();
            let side = |i: usize| chain[(i + 1) % count] - chain[i % count];
            let mut corners = Vec::with_capacity(count + 2);
            for i in 0..count {
                let (into, out) = (side(i).normalize_or_zero(), side(i + 1).normalize_or_zero());
                let turn = into.perp_dot(out).atan2(into.dot(out));
                push_cone(&mut corners, chain[(i + 1) % count], 0.0, -into.perp(), turn.abs());
            }
            order(&mut corners);
            corners
        }
    }
}

/// The corners of the convex hull of points, counter-clockwise (Andrew's monotone chain, Inf. Proc. Letters 9
/// (1979) 216). Sorts and empties the input.
pub(crate) fn hull_points(points: &mut Vec<DVec2>) -> Vec<DVec2> {
    points.retain(|p| p.is_finite());
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points.dedup();
    if points.len() < 3 {
        return std::mem::take(points);
    }
    let mut chain: Vec<DVec2> = Vec::with_capacity(points.len() + 1);
    let mut run = |points: &mut dyn Iterator<Item = DVec2>| {
        let floor = chain.len().max(1);
        for p in points {
            while chain.len() > floor
                && (chain[chain.len() - 1] - chain[chain.len() - 2]).perp_dot(p - chain[chain.len() - 1])
                    <= 0.0
            {
                chain.pop();
            }
            chain.push(p);
        }
    };
    run(&mut points.iter().copied());
    run(&mut points.iter().rev().skip(1).copied());
    chain.pop();
    points.clear();
    chain
}

/// Adds a corner whose normals run from `from` through `turn`, in pieces of at most a quarter turn so that
/// cones stay narrow enough for sign tests.
fn push_cone(corners: &mut Vec<Corner>, centre: DVec2, radius: f64, from: DVec2, turn: f64) {
    // A hair of slack keeps right angles whole.
    let pieces = (turn / (FRAC_PI_2 * (1.0 + 1e-9))).ceil().clamp(1.0, 4.0);
    for k in 0..pieces as u32 {
        let normal = if k == 0 { from } else { DVec2::from_angle(turn * f64::from(k) / pieces).rotate(from) };
        corners.push(Corner { centre, radius, normal, key: angle_key(normal), sources: [0, 0] });
    }
}

/// Rotates the list so that the keys ascend.
pub(crate) fn order(corners: &mut [Corner]) {
    let least = (0..corners.len()).min_by(|&a, &b| corners[a].key.total_cmp(&corners[b].key)).unwrap_or(0);
    corners.rotate_left(least);
}

/// The corners turned by the rotation whose x axis is `rotor`, then shifted; a mirrored frame is allowed for by
/// `flip`, which reverses y first.
pub(crate) fn placed(corners: &[Corner], rotor: DVec2, flip: bool, shift: DVec2) -> Vec<Corner> {
    let count = corners.len();
    let mut out: Vec<Corner> = Vec::with_capacity(count);
    for i in 0..count {
        // Mirroring reverses the order, and a corner then begins at the normal where it ended.
        let (c, normal) = if flip {
            let i = count - 1 - i;
            (corners[i], corners[(i + 1) % count].normal)
        } else {
            (corners[i], corners[i].normal)
        };
        let mirror = |p: DVec2| if flip { DVec2::new(p.x, -p.y) } else { p };
        let normal = rotor.rotate(mirror(normal));
        out.push(Corner {
            centre: rotor.rotate(mirror(c.centre)) + shift,
            radius: c.radius,
            normal,
            key: angle_key(normal),
            sources: [0, 0],
        });
    }
    order(&mut out);
    out
}

/// The Minkowski difference {a − b}: B shifted by t meets A exactly when t lies in it. Appended to `out`.
pub(crate) fn difference(a: &[Corner], b: &[Corner], out: &mut Vec<Corner>) {
    let (na, nb) = (a.len(), b.len());
    if na == 0 || nb == 0 {
        return;
    }
    if nb == 1 {
        out.extend(a.iter().enumerate().map(|(i, c)| Corner {
            centre: c.centre - b[0].centre,
            radius: c.radius + b[0].radius,
            sources: [i as u16, 0],
            ..*c
        }));
        return;
    }
    // −B has B's corners with normals turned by half a turn; find where its keys start again from 0.
    let half = b.partition_point(|c| c.key < 2.0) % nb;
    let key_b = |j: usize| {
        let key = b[(half + j) % nb].key;
        if key >= 2.0 { key - 2.0 } else { key + 2.0 }
    };
    if na == 1 {
        out.extend((0..nb).map(|j| {
            let c = &b[(half + j) % nb];
            Corner {
                centre: a[0].centre - c.centre,
                radius: a[0].radius + c.radius,
                normal: -c.normal,
                key: key_b(j),
                sources: [0, ((half + j) % nb) as u16],
            }
        }));
        return;
    }
    let (mut i, mut j) = (0, 0);
    let (mut key_i, mut key_j) = (a[0].key, key_b(0));
    while i < na || j < nb {
        let (normal, key) =
            if key_i <= key_j { (a[i].normal, key_i) } else { (-b[(half + j) % nb].normal, key_j) };
        // Parallel edges of the two become one; the slack is rounding of unit vectors.
        let (take_a, take_b) = (key_i <= key + 1e-15, key_j <= key + 1e-15);
        if take_a {
            i += 1;
            key_i = if i < na { a[i].key } else { f64::INFINITY };
        }
        if take_b {
            j += 1;
            key_j = if j < nb { key_b(j) } else { f64::INFINITY };
        }
        let (ia, jb) = ((i + na - 1) % na, (half + j + nb - 1) % nb);
        out.push(Corner {
            centre: a[ia].centre - b[jb].centre,
            radius: a[ia].radius + b[jb].radius,
            normal,
            key,
            sources: [ia as u16, jb as u16],
        });
    }
}

/// Signed distance of a point from a convex set; NaN for an empty one.
pub(crate) fn signed_distance(set: &[Corner], point: DVec2) -> Nearest {
    if set.is_empty() {
        return Nearest { distance: f64::NAN, normal: DVec2::X, corner: 0, on_edge: false };
    }
    if let [only] = set {
        let out = point - only.centre;
        let length = out.length();
        let normal = if length > 0.0 { out / length } else { DVec2::X };
        return Nearest { distance: length - only.radius, normal, corner: 0, on_edge: false };
    }
    let (mut best, mut at) = (f64::NEG_INFINITY, 0);
    for (k, c) in set.iter().enumerate() {
        let e = c.normal.dot(point - c.centre) - c.radius;
        if e > best {
            (best, at) = (e, k);
        }
    }
    let mut nearest = Nearest { distance: best, normal: set[at].normal, corner: at, on_edge: true };
    let before = if at == 0 { set.len() - 1 } else { at - 1 };
    // Beyond an edge the boundary is the edge or one of its two corners: n·p − h(n) has a single maximum
    // over the directions where it is positive. Inside, any round corner may be the nearest.
    if best > 0.0 {
        try_corner(set, at, point, &mut nearest);
        try_corner(set, before, point, &mut nearest);
    } else {
        for k in 0..set.len() {
            if set[k].radius > 0.0 {
                try_corner(set, k, point, &mut nearest);
            }
        }
    }
    nearest
}

/// Takes corner `k` as the nearest part if the point lies in its cone.
fn try_corner(set: &[Corner], k: usize, point: DVec2, nearest: &mut Nearest) {
    let c = &set[k];
    let next = &set[if k + 1 == set.len() { 0 } else { k + 1 }];
    let out = point - c.centre;
    if c.normal.perp_dot(out) >= 0.0 && out.perp_dot(next.normal) >= 0.0 {
        let length = out.length();
        if length - c.radius >= nearest.distance && length > 0.0 {
            *nearest =
                Nearest { distance: length - c.radius, normal: out / length, corner: k, on_edge: false };
        }
    }
}

/// The two ends (equal on a corner) of the set's boundary part nearest to a point, each as the corner and
/// the normal to go out along: the point `corner.centre + corner.radius·normal`.
pub(crate) fn part(set: &[Corner], nearest: &Nearest) -> [usize; 2] {
    let at = nearest.corner;
    if nearest.on_edge { [if at == 0 { set.len() - 1 } else { at - 1 }, at] } else { [at, at] }
}

/// Index of the corner whose cone holds a direction (any length, not zero).
pub(crate) fn corner_towards(set: &[Corner], direction: DVec2) -> usize {
    let key = angle_key(direction);
    let after = set.partition_point(|c| c.key <= key);
    if after == 0 { set.len() - 1 } else { after - 1 }
}

/// The farthest point of the set in a direction (any length, not zero).
pub(crate) fn support(set: &[Corner], direction: DVec2) -> DVec2 {
    let c = match set {
        [only] => only,
        _ => &set[corner_towards(set, direction)],
    };
    if c.radius == 0.0 { c.centre } else { c.centre + c.radius * direction.normalize_or_zero() }
}

/// The range of shifts `t` (mm) for which `origin + t·direction` (unit) lies nearer to the set than `within`
/// (signed; mm), or `None` if it never does. Newton's method from both ends on a convex function: it
/// never passes the root, and gains digits quadratically.
pub(crate) fn line_within(
    set: &[Corner],
    origin: DVec2,
    direction: DVec2,
    within: f64,
) -> Option<(f64, f64)> {
    let (t_low, t_high, least) = line_least(set, origin, direction)?;
    (least <= within).then(|| line_ends(set, origin, direction, within, (t_low, t_high)))
}

/// The ends of what [`line_within`] finds, from shifts that are known to lie inside.
pub(crate) fn line_ends(
    set: &[Corner],
    origin: DVec2,
    direction: DVec2,
    within: f64,
    (t_low, t_high): (f64, f64),
) -> (f64, f64) {
    // Far enough out that the function is surely positive: it grows at least as fast as distance along the
    // line less the size of the set.
    let reach =
        set.iter().map(|c| (c.centre - origin).length() + c.radius).fold(0.0, f64::max) + within.abs();
    let start = 2.0 * reach + t_low.abs().max(t_high.abs()) + 1.0;
    let root = |mut t: f64, stop: f64, sense: f64| {
        for _ in 0..64 {
            let n = signed_distance(set, origin + t * direction);
            let over = n.distance - within;
            let slope = n.normal.dot(direction) * sense;
            if over <= 0.0 || slope <= 0.0 {
                break;
            }
            let next = t - sense * over / slope;
            if next == t {
                break;
            }
            if (next - stop) * sense <= 0.0 {
                return stop;
            }
            t = next;
        }
        t
    };
    (root(-start, t_low, -1.0), root(start, t_high, 1.0))
}

/// Where along `origin + t·direction` (unit) the signed distance is least: the range of `t` and the least
/// value. `None` for an empty set or numbers that are not finite.
pub(crate) fn line_least(set: &[Corner], origin: DVec2, direction: DVec2) -> Option<(f64, f64, f64)> {
    if set.is_empty() || !origin.is_finite() || !direction.is_finite() {
        return None;
    }
    // If the line misses the set, the nearest point is the support across the line.
    let across = direction.perp();
    for side in [across, -across] {
        let beyond = (origin - support(set, side)).dot(side);
        if beyond >= 0.0 {
            let (a, b) = support_range(set, side, direction);
            let base = origin.dot(direction);
            return Some((a - base, b - base, beyond));
        }
    }
    // It crosses: descend between the two tangents, the lower of which bounds the value from below.
    let reach = set.iter().map(|c| (c.centre - origin).length() + c.radius).fold(0.0, f64::max);
    let eval = |t: f64| {
        let n = signed_distance(set, origin + t * direction);
        (n.distance, n.normal.dot(direction))
    };
    let least = crate::search::least(
        eval,
        (-2.0 * reach - 1.0, 2.0 * reach + 1.0),
        1e-14 * (1.0 + reach),
        f64::INFINITY,
    );
    Some((least.from, least.to, least.value))
}

/// Least and greatest coordinate along `along` of the part of the set that is farthest towards `side`.
pub(crate) fn support_range(set: &[Corner], side: DVec2, along: DVec2) -> (f64, f64) {
    if let [only] = set {
        let t = only.centre.dot(along);
        return (t, t);
    }
    let k = corner_towards(set, side);
    let next = (k + 1) % set.len();
    let before = (k + set.len() - 1) % set.len();
    let point = |i: usize| (set[i].centre + set[i].radius * side).dot(along);
    let (mut low, mut high) = (point(k), point(k));
    // An edge square to `side` widens the answer; the slack is rounding of unit vectors.
    let square = |n: DVec2| n.dot(side) > 0.0 && n.perp_dot(side).abs() < 1e-13;
    for (yes, other) in [(square(set[k].normal), before), (square(set[next].normal), next)] {
        if yes {
            low = low.min(point(other));
            high = high.max(point(other));
        }
    }
    (low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outlines() -> Vec<Outline> {
        let d = |radius: f64, sweep: f64| {
            let arc = Edge::arc(DVec2::ZERO, radius, -0.5 * sweep, sweep);
            Outline::from_edges(vec![arc, Edge::line(arc.to(), arc.from())])
        };
        vec![
            Outline::circle(DVec2::new(1.0, 2.0), 3.0),
            Outline::regular_polygon(3, 4.0),
            Outline::regular_polygon(6, 8.0),
            Outline::rectangle(DVec2::ZERO, DVec2::new(4.0, 1.0)),
            Outline::rounded_rectangle(DVec2::ZERO, DVec2::new(6.0, 7.0), 1.8),
            Outline::slot(DVec2::ZERO, DVec2::new(3.0, 2.0), 1.5),
            d(9.8, 3.019),
            d(9.8, 0.7),
            d(5.0, 4.5),
        ]
    }

    fn turned() -> Vec<Outline> {
        let mut all = Vec::new();
        for (i, outline) in outlines().iter().enumerate() {
            for k in 0..7 {
                all.push(outline.transformed(0.9 * f64::from(k), DVec2::new(2.0, -1.0) * i as f64));
            }
        }
        all
    }

    #[test]
    fn support_is_the_farthest_boundary_point() {
        for outline in turned() {
            let corners = corners_of(&outline).unwrap();
            for i in 0..500 {
                let n = DVec2::from_angle(0.0126 * f64::from(i) + 1e-3);
                let p = support(&corners, n);
                assert!(outline.distance_to_boundary(p) < 1e-9, "{outline:?} {n} {p} {corners:?}");
                for edge in &outline.edges {
                    for k in 0..=20 {
                        assert!(edge.at(0.05 * f64::from(k)).dot(n) <= p.dot(n) + 1e-9);
                    }
                }
            }
        }
    }

    #[test]
    fn signed_distance_is_that_of_the_outline() {
        for outline in turned() {
            let corners = corners_of(&outline).unwrap();
            let b = outline.bounds();
            for i in 0..60 {
                for j in 0..60 {
                    let share = DVec2::new(f64::from(i), f64::from(j)) / 59.0 * 2.0 - 0.5;
                    let p = b.low + b.size() * share;
                    let found = signed_distance(&corners, p);
                    let off = outline.distance_to_boundary(p);
                    let expected = if outline.contains(p) { -off } else { off };
                    assert!((found.distance - expected).abs() < 1e-9, "{p} {found:?} {expected} {outline:?}");
                    let foot = p - found.distance * found.normal;
                    assert!(outline.distance_to_boundary(foot) < 1e-9, "{p} {found:?}");
                }
            }
        }
    }

    #[test]
    fn difference_has_the_sum_of_supports() {
        let all = turned();
        let mut out = Vec::new();
        for (i, a) in all.iter().enumerate() {
            for b in all.iter().skip(i % 5).step_by(5) {
                let (ca, cb) = (corners_of(a).unwrap(), corners_of(b).unwrap());
                out.clear();
                difference(&ca, &cb, &mut out);
                for k in 0..40 {
                    let n = DVec2::from_angle(0.157 * f64::from(k) + 1e-3);
                    let expected = support(&ca, n).dot(n) - support(&cb, -n).dot(n);
                    assert!((support(&out, n).dot(n) - expected).abs() < 1e-9);
                }
            }
        }
    }

    #[test]
    fn line_queries_agree_with_sampling() {
        for outline in turned() {
            let corners = corners_of(&outline).unwrap();
            for k in 0..12 {
                let direction = DVec2::from_angle(0.55 * f64::from(k));
                let origin =
                    outline.centroid() + direction.perp() * (f64::from(k) - 5.5) * 1.3 - direction * 3.0;
                let (from, to, least) = line_least(&corners, origin, direction).unwrap();
                let sd = |t: f64| signed_distance(&corners, origin + t * direction).distance;
                assert!((sd(from) - least).abs() < 1e-9 && (sd(to) - least).abs() < 1e-9);
                for i in -200..200 {
                    assert!(sd(0.2 * f64::from(i)) >= least - 1e-9);
                }
                for within in [least + 0.5, least + 1e-3, 2.0] {
                    if let Some((a, b)) = line_within(&corners, origin, direction, within) {
                        assert!((sd(a) - within).abs() < 1e-9 && (sd(b) - within).abs() < 1e-9 && a <= b);
                    } else {
                        assert!(least > within);
                    }
                }
                assert_eq!(line_within(&corners, origin, direction, least - 0.1), None);
            }
        }
    }
}
