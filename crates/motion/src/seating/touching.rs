//! The places where a wheel's profile meets a track's, sorted by how they meet.

use std::f64::consts::FRAC_PI_2;

use glam::DVec2;
use glidewright_geometry::{Contact, Edge, Seat, first_contact};

use super::{LYING, NEAR, SeatContact, Surface, Touch, WheelProfile};

/// Points this near are the same (mm): beyond the rounding of any drawing, far below any size.
const SAME: f64 = 1e-6;

/// Two straight edges that lie on one another over less than this only meet with their corners (mm).
const SHORTEST: f64 = 0.01;

/// Height of the axle above the face, and every contact that touches then or nearly does; `None` where nothing is met.
///
/// Every edge of the wheel is pushed alone: the one that meets first says where the wheel rests, the others what is
/// still open there.
pub(super) fn contacts(profile: &WheelProfile, fixed: &[Edge]) -> Option<(f64, Vec<SeatContact>)> {
    let seats: Vec<(Surface, Edge, Seat)> = profile
        .edges
        .iter()
        .filter_map(|(surface, edge)| {
            let seat = first_contact(&[*edge], fixed, DVec2::NEG_Y)?;
            Some((*surface, *edge, seat))
        })
        .collect();
    let least = seats.iter().map(|(.., seat)| seat.shift).min_by(f64::total_cmp)?;
    let mut found: Vec<SeatContact> = Vec::new();
    // Lines first: they swallow the points at their ends.
    let near = || seats.iter().filter(|(.., seat)| seat.shift <= least + NEAR);
    let mut add = |contact: SeatContact| {
        let lies_on_known = found.iter().any(|known: &SeatContact| {
            let [from, to] = known.ends();
            let at = DVec2::new(contact.across, contact.radius());
            contact.length == 0.0 && on_segment(from, to, at) <= 2.0 * LYING
        });
        if !lies_on_known {
            found.push(contact);
        }
    };
    for (surface, edge, seat) in near() {
        lying_lines(*surface, edge, fixed, seat.shift, seat.shift - least, &mut add);
    }
    for (surface, edge, seat) in near() {
        let around = in_groove(*surface, edge, fixed, seat.shift, seat.shift - least);
        if let Some(contact) = around {
            add(contact);
            continue;
        }
        for contact in &seat.contacts {
            if let Some(contact) = point(edge, contact, fixed, seat.shift, seat.shift - least) {
                add(contact);
            }
        }
    }
    found.sort_by(|a, b| a.across.total_cmp(&b.across));
    (!found.is_empty()).then_some((-least, found))
}

fn on_segment(from: DVec2, to: DVec2, point: DVec2) -> f64 {
    let along = to - from;
    let length = along.length_squared();
    let share = if length > 0.0 { ((point - from).dot(along) / length).clamp(0.0, 1.0) } else { 0.0 };
    (from + share * along).distance(point)
}

/// Stretches over which a straight edge of the wheel lies on straight edges of the track.
fn lying_lines(
    surface: Surface,
    edge: &Edge,
    fixed: &[Edge],
    shift: f64,
    open: f64,
    add: &mut impl FnMut(SeatContact),
) {
    let Edge::Line { from, to } = edge.placed(0.0, shift * DVec2::NEG_Y) else { return };
    for other in fixed {
        let Edge::Line { from: start, to: end } = *other else { continue };
        let Some(along) = (end - start).try_normalize() else { continue };
        let place = |p: DVec2| (p - start).dot(along);
        let (a, b) = (place(from), place(to));
        let (low, high) = (a.min(b).max(0.0), a.max(b).min(start.distance(end)));
        if high - low < SHORTEST {
            continue;
        }
        // How far the wheel's line is off the track's at both ends of the stretch.
        let off = |at: f64| {
            let share = (at - a) / (b - a);
            along.perp_dot(from + share * (to - from) - start).abs()
        };
        if off(low) > LYING || off(high) > LYING {
            continue;
        }
        let normal = if along.x < 0.0 { -along.perp() } else { along.perp() };
        let flat = normal.x.abs() < SAME;
        let touch = match surface {
            _ if !flat => Touch::Flank,
            Surface::Tip => Touch::Tip,
            Surface::Shoulder => Touch::Shoulder,
            _ => Touch::Rim,
        };
        let (p, q) = (start + low * along, start + high * along);
        let (r, s) = (-shift - p.y, -shift - q.y);
        add(SeatContact {
            touch,
            across: 0.5 * (p.x + q.x),
            radii: if flat { [0.5 * (r + s); 2] } else { [r.min(s), r.max(s)] },
            length: high - low,
            normal: if flat { DVec2::Y } else { normal },
            curvature: 0.0,
            least_radius: f64::INFINITY,
            gap: open * normal.y,
        });
    }
}

/// A round groove that rests with its bottom on the crest of a rod no larger than it is.
fn in_groove(surface: Surface, edge: &Edge, fixed: &[Edge], shift: f64, open: f64) -> Option<SeatContact> {
    let (Surface::Groove, Edge::Arc { centre, radius: groove, sweep, .. }) = (surface, *edge) else {
        return None;
    };
    fixed.iter().find_map(|other| {
        let Edge::Arc { centre: middle, radius: rod, .. } = *other else { return None };
        let crest = middle + DVec2::new(0.0, rod);
        let bottom = centre.y + groove - shift;
        let fits = rod <= groove + SAME
            && middle.x.abs() <= SAME
            && (bottom - crest.y).abs() <= SAME
            && other.nearest(crest).distance(crest) <= SAME;
        let rod = rod.min(groove);
        fits.then(|| SeatContact {
            touch: Touch::Groove { groove, rod, reach: (0.5 * sweep.abs()).min(FRAC_PI_2) },
            across: 0.0,
            radii: [-shift - crest.y; 2],
            length: 0.0,
            normal: DVec2::Y,
            curvature: (1.0 / rod - 1.0 / groove).max(0.0),
            least_radius: rod,
            gap: open,
        })
    })
}

/// A contact at a point, unless it is at the side of a wall that the wheel merely passes.
fn point(edge: &Edge, contact: &Contact, fixed: &[Edge], shift: f64, open: f64) -> Option<SeatContact> {
    /// Normals leaning less than this from a wall hold nothing (sine).
    const WALL: f64 = 1e-6;
    let (at, normal) = (contact.middle(), contact.normal());
    if !(normal.y > WALL) {
        return None;
    }
    let own = edge.placed(0.0, shift * DVec2::NEG_Y);
    let at_end = [own.from(), own.to()].iter().any(|end| end.distance(at) <= SAME);
    let number = match *contact {
        Contact::Flank { fixed, .. } | Contact::Point { fixed, .. } => fixed,
    };
    let track = smooth_curvature(fixed, number, at, normal);
    let wheel = (!at_end).then(|| curvature(&own, at, -normal));
    let (curvature, least_radius) = match (wheel, track) {
        (Some(wheel), Some(track)) if wheel + track > 0.0 => {
            (wheel + track, 1.0 / wheel.abs().max(track.abs()))
        }
        _ => (f64::INFINITY, 0.0),
    };
    Some(SeatContact {
        touch: if curvature.is_finite() { Touch::Crest } else { Touch::Edge },
        across: at.x,
        radii: [-shift - at.y; 2],
        length: 0.0,
        normal,
        curvature,
        least_radius,
        gap: open * normal.y,
    })
}

/// Curvature of an edge seen along `outward` from its material: positive where it bulges.
fn curvature(edge: &Edge, at: DVec2, outward: DVec2) -> f64 {
    match *edge {
        Edge::Line { .. } => 0.0,
        Edge::Arc { centre, radius, .. } => {
            if (at - centre).dot(outward) >= 0.0 {
                1.0 / radius
            } else {
                -1.0 / radius
            }
        }
    }
}

/// Curvature of the track at a point of its edge `number`; `None` at a corner. Where edges run into one another
/// without one, the greater counts.
fn smooth_curvature(fixed: &[Edge], number: usize, at: DVec2, normal: DVec2) -> Option<f64> {
    let mut meeting = fixed
        .iter()
        .flat_map(|edge| [(edge, edge.from(), 0.0), (edge, edge.to(), 1.0)])
        .filter(|(_, end, _)| end.distance(at) <= SAME)
        .peekable();
    if meeting.peek().is_none() {
        return Some(curvature(fixed.get(number)?, at, normal));
    }
    let ends: Vec<_> = meeting.collect();
    let first = ends.first()?.0.tangent(ends.first()?.2);
    let smooth =
        ends.len() > 1 && ends.iter().all(|(edge, _, t)| first.perp_dot(edge.tangent(*t)).abs() <= SAME);
    smooth.then(|| ends.iter().map(|(edge, ..)| curvature(edge, at, normal)).fold(f64::MIN, f64::max))
}
