//! First contact of two planar profiles: how far one can be pushed before it rests on the other.
//!
//! Profiles are open chains of lines and arcs in a section plane. One is moved along a direction. At the first
//! contact of two edges either an end of one lies on the other, or both touch inside with parallel tangents;
//! each case has a closed form, and the least shift over all pairs of edges is the seat. Own derivation; tested
//! against sliding in small steps.

use glam::DVec2;

use crate::Edge;
use crate::outline::{line_circle, within_sweep};

/// How two profiles meet at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Contact {
    /// A stretch of two straight edges lies on one another.
    Flank {
        /// Where the stretch begins (mm), profile at rest.
        from: DVec2,
        /// Where it ends (mm).
        to: DVec2,
        /// Unit normal, from the fixed profile towards the moving one.
        normal: DVec2,
        /// Edge of the moving profile.
        moving: usize,
        /// Edge of the fixed profile.
        fixed: usize,
    },
    /// One point: a corner on a flank, two corners, or an arc on a line or arc.
    Point {
        /// Where (mm), profile at rest.
        at: DVec2,
        /// Unit normal, from the fixed profile towards the moving one.
        normal: DVec2,
        /// Edge of the moving profile.
        moving: usize,
        /// Edge of the fixed profile.
        fixed: usize,
    },
}

impl Contact {
    /// Length of the stretch (mm); 0 for a point.
    pub fn length(&self) -> f64 {
        match self {
            Self::Flank { from, to, .. } => from.distance(*to),
            Self::Point { .. } => 0.0,
        }
    }

    /// Middle of the contact (mm).
    pub fn middle(&self) -> DVec2 {
        match self {
            Self::Flank { from, to, .. } => 0.5 * (*from + *to),
            Self::Point { at, .. } => *at,
        }
    }

    /// Unit normal, from the fixed profile towards the moving one.
    pub fn normal(&self) -> DVec2 {
        match self {
            Self::Flank { normal, .. } | Self::Point { normal, .. } => *normal,
        }
    }
}

/// Where a profile comes to rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Seat {
    /// Shift along the direction from the given place to rest (mm); negative if the profiles overlap as given.
    pub shift: f64,
    /// Everything that touches then.
    pub contacts: Vec<Contact>,
}

/// Contacts whose shifts differ from the least by no more than this (mm) act together: symmetric flanks computed
/// by two routes differ by rounding only.
pub const TOGETHER: f64 = 1e-9;

/// Moves `moving` along the unit vector of `direction` from far behind until it first touches `fixed`.
/// `None` if they never meet, or if a number is not finite.
///
/// ```
/// use glidewright_geometry::{DVec2, Edge, first_contact};
/// let floor = [Edge::line(DVec2::new(-5.0, 0.0), DVec2::new(5.0, 0.0))];
/// let ball = [Edge::arc(DVec2::new(1.0, 10.0), 2.0, 0.0, std::f64::consts::TAU)];
/// let seat = first_contact(&ball, &floor, DVec2::NEG_Y).ok_or("they miss")?;
/// assert!((seat.shift - 8.0).abs() < 1e-12);
/// # Ok::<(), &str>(())
/// ```
pub fn first_contact(moving: &[Edge], fixed: &[Edge], direction: DVec2) -> Option<Seat> {
    let direction = direction.try_normalize()?;
    if !moving.iter().chain(fixed).all(Edge::is_finite) {
        return None;
    }
    let mut touches: Vec<Touch> = Vec::new();
    for (i, m) in moving.iter().enumerate() {
        for (j, f) in fixed.iter().enumerate() {
            first_touch(m, f, direction, &mut |shift, at| {
                // Coordinates too large to be squared lead nowhere.
                if shift.is_finite() && at.is_finite() {
                    touches.push(Touch { shift, at, moving: i, fixed: j });
                }
            });
        }
    }
    let shift = touches.iter().map(|t| t.shift).min_by(f64::total_cmp)?;
    touches.retain(|t| t.shift <= shift + TOGETHER);
    Some(Seat { shift, contacts: contacts(moving, fixed, direction, shift, &touches) })
}

struct Touch {
    shift: f64,
    at: DVec2,
    moving: usize,
    fixed: usize,
}

/// Reports every shift at which the edges meet at an end of one of them or tangentially, with the point.
fn first_touch(m: &Edge, f: &Edge, direction: DVec2, report: &mut dyn FnMut(f64, DVec2)) {
    for end in [m.from(), m.to()] {
        along_ray(f, end, direction, &mut |t| report(t, end + t * direction));
    }
    for end in [f.from(), f.to()] {
        along_ray(m, end, -direction, &mut |t| report(t, end));
    }
    match (m, f) {
        (Edge::Line { .. }, Edge::Line { .. }) => {}
        (Edge::Arc { centre, radius, start, sweep }, line @ Edge::Line { from, to }) => {
            let n = (*to - *from).normalize_or_zero().perp();
            for n in [n, -n] {
                if n != DVec2::ZERO && within_sweep(n.to_angle(), *start, *sweep) {
                    let p = *centre + *radius * n;
                    along_ray(line, p, direction, &mut |t| report(t, p + t * direction));
                }
            }
        }
        (line @ Edge::Line { from, to }, Edge::Arc { centre, radius, start, sweep }) => {
            let n = (*to - *from).normalize_or_zero().perp();
            for n in [n, -n] {
                if n != DVec2::ZERO && within_sweep(n.to_angle(), *start, *sweep) {
                    let p = *centre + *radius * n;
                    along_ray(line, p, -direction, &mut |t| report(t, p));
                }
            }
        }
        (
            Edge::Arc { centre: a, radius: r, start: s0, sweep: w0 },
            Edge::Arc { centre: b, radius: q, start: s1, sweep: w1 },
        ) => {
            // Outside one another the centres stand r + q apart, inside |r − q|.
            for (apart, inside) in [(r + q, false), ((r - q).abs(), true)] {
                let off = (*a - *b).perp_dot(direction);
                if off.abs() > apart {
                    continue;
                }
                for t in line_circle(*a, direction, *b, apart) {
                    let Some(n) = (*b - (*a + t * direction)).try_normalize() else { continue };
                    // Where on each arc the touching point lies, seen from its centre.
                    let on_a = if inside && q > r { -n } else { n };
                    let on_b = if inside { on_a } else { -n };
                    if within_sweep(on_a.to_angle(), *s0, *w0) && within_sweep(on_b.to_angle(), *s1, *w1) {
                        report(t, *b + *q * on_b);
                    }
                }
            }
        }
    }
}

/// Reports the shifts `t` at which `origin + t·direction` lies on the edge.
fn along_ray(edge: &Edge, origin: DVec2, direction: DVec2, report: &mut dyn FnMut(f64)) {
    match *edge {
        Edge::Line { from, to } => {
            let along = to - from;
            let cross = direction.perp_dot(along);
            let length = along.length();
            if cross.abs() <= 1e-14 * length {
                // The ray runs along the edge or misses it.
                if (from - origin).perp_dot(direction).abs() <= TOGETHER {
                    for p in [from, to] {
                        report((p - origin).dot(direction));
                    }
                }
                return;
            }
            let share = (from - origin).perp_dot(direction) / cross;
            let slack = TOGETHER / length;
            if share >= -slack && share <= 1.0 + slack {
                report((from - origin).perp_dot(along) / cross);
            }
        }
        Edge::Arc { centre, radius, start, sweep } => {
            let off = (origin - centre).perp_dot(direction);
            if off.abs() > radius {
                return;
            }
            for t in line_circle(origin, direction, centre, radius) {
                let at = origin + t * direction - centre;
                // An end counts although rounding may put it a hair outside the sweep.
                let near_end = [edge.from(), edge.to()].iter().any(|p| p.distance(centre + at) <= TOGETHER);
                if near_end || within_sweep(at.to_angle(), start, sweep) {
                    report(t);
                }
            }
        }
    }
}

/// Turns touching points into flank lines and single points.
fn contacts(
    moving: &[Edge],
    fixed: &[Edge],
    direction: DVec2,
    shift: f64,
    touches: &[Touch],
) -> Vec<Contact> {
    let mut found: Vec<Contact> = Vec::new();
    // Pairs of straight edges that lie on one another come first: they swallow the points on them.
    for t in touches {
        let (Edge::Line { from, to }, Edge::Line { from: f0, to: f1 }) = (moving[t.moving], fixed[t.fixed])
        else {
            continue;
        };
        let seen = found.iter().any(
            |c| matches!(c, Contact::Flank { moving, fixed, .. } if *moving == t.moving && *fixed == t.fixed),
        );
        if seen {
            continue;
        }
        let (from, to) = (from + shift * direction, to + shift * direction);
        let Some(along) = (f1 - f0).try_normalize() else { continue };
        let off = |p: DVec2| along.perp_dot(p - f0).abs();
        if off(from) > TOGETHER || off(to) > TOGETHER {
            continue;
        }
        let (a, b) = ((from - f0).dot(along), (to - f0).dot(along));
        let low = a.min(b).max(0.0);
        let high = a.max(b).min(f0.distance(f1));
        if high - low > TOGETHER {
            found.push(Contact::Flank {
                from: f0 + low * along,
                to: f0 + high * along,
                normal: facing(along.perp(), direction),
                moving: t.moving,
                fixed: t.fixed,
            });
        }
    }
    for t in touches {
        let near = 1e3 * TOGETHER;
        let covered = found.iter().any(|c| match c {
            Contact::Flank { from, to, .. } => {
                crate::outline::nearest_on_segment(*from, *to, t.at).distance(t.at) <= near
            }
            Contact::Point { at, .. } => at.distance(t.at) <= near,
        });
        if !covered {
            let normal = normal_at(&moving[t.moving], &fixed[t.fixed], t.at, shift, direction);
            found.push(Contact::Point { at: t.at, normal, moving: t.moving, fixed: t.fixed });
        }
    }
    found
}

/// The normal of whichever edge is smooth at the touching point; between two corners, against the motion.
fn normal_at(m: &Edge, f: &Edge, at: DVec2, shift: f64, direction: DVec2) -> DVec2 {
    let m = m.placed(0.0, shift * direction);
    for edge in [f, &m] {
        let at_corner = [edge.from(), edge.to()].iter().any(|p| p.distance(at) <= 1e3 * TOGETHER);
        if !at_corner {
            let n = match *edge {
                Edge::Line { .. } => edge.tangent(0.5).perp(),
                Edge::Arc { centre, .. } => (at - centre).normalize_or(direction),
            };
            return facing(n, direction);
        }
    }
    -direction
}

/// The sense of a normal that opposes the motion.
fn facing(n: DVec2, direction: DVec2) -> DVec2 {
    if n.dot(direction) > 0.0 { -n } else { n }
}

/// How deep the tip of a vee wheel sinks into a matching vee groove (mm): (mouth − tip)/(2 tan φ), from flanks
/// touching all along (own, the two vees being similar triangles).
///
/// `mouth` is the groove's width at the face, `tip` the width of the wheel's flat tip (mm), `half_angle` the angle
/// φ of the flanks from the groove's centre plane (rad), the same for both. Holds while 0 ≤ tip ≤ mouth,
/// 0 < φ < π/2, the groove is at least that deep and the wheel's flank reaches the face; `None` for
/// sizes outside the first two.
pub fn vee_depth(mouth: f64, tip: f64, half_angle: f64) -> Option<f64> {
    let sound = tip >= 0.0 && tip <= mouth && mouth.is_finite() && half_angle > 0.0;
    (sound && half_angle < std::f64::consts::FRAC_PI_2).then(|| (mouth - tip) / (2.0 * half_angle.tan()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{PI, TAU};

    fn v(x: f64, y: f64) -> DVec2 {
        DVec2::new(x, y)
    }

    /// A groove of the given mouth, flank angle from the centre plane and depth, in the face y = 0.
    fn groove(mouth: f64, half_angle: f64, depth: f64) -> Vec<Edge> {
        let inner = 0.5 * mouth - depth * half_angle.tan();
        let p = [
            v(-20.0, 0.0),
            v(-0.5 * mouth, 0.0),
            v(-inner, -depth),
            v(inner, -depth),
            v(0.5 * mouth, 0.0),
            v(20.0, 0.0),
        ];
        p.windows(2).map(|w| Edge::line(w[0], w[1])).collect()
    }

    /// A wheel's profile, tip at y = `tip_y` pointing down.
    fn wheel(tip: f64, half_angle: f64, height: f64, tip_y: f64) -> Vec<Edge> {
        let outer = 0.5 * tip + height * half_angle.tan();
        let p =
            [v(-outer, tip_y + height), v(-0.5 * tip, tip_y), v(0.5 * tip, tip_y), v(outer, tip_y + height)];
        p.windows(2).map(|w| Edge::line(w[0], w[1])).collect()
    }

    fn rotated(edges: &[Edge], turn: f64) -> Vec<Edge> {
        edges.iter().map(|e| e.placed(turn, DVec2::ZERO)).collect()
    }

    /// Second route: slide in small steps until edges first cross, then halve the step.
    fn by_sliding(moving: &[Edge], fixed: &[Edge], direction: DVec2, from: f64, to: f64) -> Option<f64> {
        let hits = |s: f64| {
            moving.iter().any(|m| {
                let m = m.placed(0.0, s * direction);
                fixed.iter().any(|f| !m.intersections(f, 1e-9).is_empty())
            })
        };
        let steps = 4000;
        let at = |i: u32| from + (to - from) * f64::from(i) / f64::from(steps);
        let first = (0..=steps).find(|&i| hits(at(i)))?;
        let (mut free, mut hit) = (at(first.saturating_sub(1)), at(first));
        for _ in 0..60 {
            let mid = 0.5 * (free + hit);
            if hits(mid) { hit = mid } else { free = mid }
        }
        Some(hit)
    }

    #[test]
    fn matching_vee_agrees_with_the_closed_form() {
        for (mouth, tip, degrees) in [(9.16_f64, 5.0_f64, 45.0_f64), (6.0, 5.9, 30.0), (10.0, 2.0, 60.0)] {
            let phi = degrees.to_radians();
            let depth = vee_depth(mouth, tip, phi).unwrap();
            for turn in [0.0, 0.7, 2.0, -2.5] {
                let direction = DVec2::NEG_Y.rotate(DVec2::from_angle(turn));
                let g = rotated(&groove(mouth, phi, depth + 0.2), turn);
                let w = rotated(&wheel(tip, phi, depth + 1.0, 3.0), turn);
                let seat = first_contact(&w, &g, direction).unwrap();
                assert!((seat.shift - 3.0 - depth).abs() < 1e-12, "{seat:?}");
                assert_eq!(seat.contacts.len(), 2, "{seat:?}");
                for c in &seat.contacts {
                    assert!((c.length() - depth / phi.cos()).abs() < 1e-9, "{c:?}");
                    assert!((c.normal().dot(direction) + phi.sin()).abs() < 1e-9);
                }
            }
        }
    }

    #[test]
    fn unequal_angles_rest_on_corners() {
        let direction = DVec2::NEG_Y;
        // A sharper wheel in a blunter groove: its flanks are steeper, so its tip corners touch the flanks.
        let g = groove(10.0, 50f64.to_radians(), 3.0);
        let seat = first_contact(&wheel(4.0, 40f64.to_radians(), 6.0, 5.0), &g, direction).unwrap();
        assert!((seat.shift - 5.0 - 3.0 / 50f64.to_radians().tan()).abs() < 1e-12, "{seat:?}");
        assert_eq!(seat.contacts.len(), 2);
        // A blunter wheel rests on the mouth's corners.
        let g = groove(10.0, 40f64.to_radians(), 3.0);
        let seat = first_contact(&wheel(4.0, 50f64.to_radians(), 6.0, 5.0), &g, direction).unwrap();
        assert!((seat.shift - 5.0 - 3.0 / 50f64.to_radians().tan()).abs() < 1e-12, "{seat:?}");
        assert!(seat.contacts.iter().all(|c| matches!(c, Contact::Point { at, .. } if at.y.abs() < 1e-12)));
    }

    #[test]
    fn agrees_with_sliding() {
        let rod = |r: f64| vec![Edge::arc(v(0.0, -r), r, 0.0, PI)];
        let round_groove = |r: f64, y: f64| vec![Edge::arc(v(0.0, y + r), r, PI, PI)];
        let crowned = |r: f64, y: f64| vec![Edge::arc(v(0.3, y + r), r, 1.2 * PI, 0.6 * PI)];
        let hollow = |r: f64, y: f64| {
            vec![
                Edge::line(v(-9.0, y), v(-4.0, y)),
                Edge::arc(v(0.0, y + (r * r - 16.0).sqrt()), r, PI + (1.0f64).atan2(0.5), 0.7),
                Edge::line(v(4.0, y), v(9.0, y)),
            ]
        };
        let worn = vec![
            Edge::line(v(-6.0, 7.0), v(-2.5, 3.0)),
            Edge::arc(v(0.0, 5.0), 3.2015621187164243, -PI + 0.6747, PI - 2.0 * 0.6747),
            Edge::line(v(2.5, 3.0), v(6.0, 7.0)),
        ];
        let cases: Vec<(Vec<Edge>, Vec<Edge>)> = vec![
            (crowned(8.0, 4.0), rod(5.0)),
            (crowned(50.0, 4.0), groove(9.0, 0.7, 2.0)),
            (round_groove(3.0, 5.0), groove(9.0, 0.7, 2.0)),
            (hollow(6.0, 5.0), rod(5.0)),
            (worn, groove(9.0, 0.8, 2.0)),
            (wheel(3.0, 0.6, 4.0, 5.0), rod(4.0)),
            (wheel(3.0, 0.6, 4.0, 5.0), groove(8.0, 0.9, 1.0)),
            (wheel(9.0, 0.6, 4.0, 5.0), groove(8.0, 0.9, 1.0)),
        ];
        for (i, (moving, fixed)) in cases.iter().enumerate() {
            for side in [0.0, 0.37, -1.1] {
                let moving: Vec<Edge> = moving.iter().map(|e| e.placed(0.0, v(side, 0.0))).collect();
                for lean in [0.0, 0.2, -0.3] {
                    let direction = DVec2::NEG_Y.rotate(DVec2::from_angle(lean));
                    let seat = first_contact(&moving, fixed, direction);
                    let slid = by_sliding(&moving, fixed, direction, -5.0, 25.0);
                    match (&seat, slid) {
                        (Some(seat), Some(slid)) => {
                            // Sliding sees contact 1e-9 mm early, which at a grazing angle is more of shift.
                            assert!((seat.shift - slid).abs() < 2e-6, "{i} {side} {lean}: {seat:?} {slid}");
                        }
                        (None, None) => {}
                        _ => panic!("{i} {side} {lean}: {seat:?} {slid:?}"),
                    }
                }
            }
        }
    }

    #[test]
    fn flat_on_flat_and_misses() {
        let floor = [Edge::line(v(-5.0, 0.0), v(5.0, 0.0))];
        let block = [Edge::line(v(3.0, 2.0), v(8.0, 2.0))];
        let seat = first_contact(&block, &floor, DVec2::NEG_Y).unwrap();
        assert_eq!(seat.contacts.len(), 1);
        assert!((seat.contacts[0].length() - 2.0).abs() < 1e-12 && (seat.shift - 2.0).abs() < 1e-12);
        let away = [Edge::line(v(5.5, 2.0), v(8.0, 2.0))];
        assert_eq!(first_contact(&away, &floor, DVec2::NEG_Y), None);
        let below = [Edge::line(v(0.0, -2.0), v(8.0, -2.0))];
        assert!((first_contact(&below, &floor, DVec2::NEG_Y).unwrap().shift + 2.0).abs() < 1e-12);
        let nan = [Edge::arc(v(f64::NAN, 0.0), 1.0, 0.0, TAU)];
        assert_eq!(first_contact(&nan, &floor, DVec2::NEG_Y), None);
        assert_eq!(first_contact(&[], &floor, DVec2::NEG_Y), None);
        assert_eq!(first_contact(&block, &floor, DVec2::ZERO), None);
        assert_eq!(vee_depth(5.0, 6.0, 0.7), None);
        assert_eq!(vee_depth(f64::NAN, 6.0, 0.7), None);
    }
}
