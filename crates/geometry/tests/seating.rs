//! First contact of profiles against a slide in small steps, closed forms, and the meaning of its contact sets.
#![allow(clippy::unwrap_used, reason = "a broken fixture must fail the test")]

mod common;

use std::f64::consts::PI;

use common::Random;
use glidewright_geometry::{Contact, DVec2, Edge, Seat, first_contact, vee_depth};

fn v(x: f64, y: f64) -> DVec2 {
    DVec2::new(x, y)
}

fn chain(points: &[DVec2]) -> Vec<Edge> {
    points.windows(2).map(|w| Edge::line(w[0], w[1])).collect()
}

/// A groove in the face y = 0: mouth, flank angle from the centre plane, depth.
fn groove(mouth: f64, half_angle: f64, depth: f64) -> Vec<Edge> {
    let inner = (0.5 * mouth - depth * half_angle.tan()).max(0.0);
    chain(&[
        v(-30.0, 0.0),
        v(-0.5 * mouth, 0.0),
        v(-inner, -depth),
        v(inner, -depth),
        v(0.5 * mouth, 0.0),
        v(30.0, 0.0),
    ])
}

/// A vee wheel's profile whose tip stands at y = `tip_y`; worn wheels have their tip's corners rounded by `wear`.
fn vee(tip: f64, half_angle: f64, height: f64, tip_y: f64, wear: f64) -> Vec<Edge> {
    let outer = 0.5 * tip + height * half_angle.tan();
    let top = v(outer, tip_y + height);
    let corner = v(0.5 * tip, tip_y);
    if wear == 0.0 {
        return chain(&[v(-top.x, top.y), v(-corner.x, corner.y), corner, top]);
    }
    // The arc tangent to flat and flank: it starts `back` before the corner and turns up to the flank.
    let turn = 0.5 * PI - half_angle;
    let back = (wear * (0.5 * turn).tan()).min(0.45 * tip);
    let radius = back / (0.5 * turn).tan();
    let right = Edge::arc(v(corner.x - back, tip_y + radius), radius, -0.5 * PI, turn);
    let left = Edge::arc(v(back - corner.x, tip_y + radius), radius, -0.5 * PI - turn, turn);
    vec![
        Edge::line(v(-top.x, top.y), left.from()),
        left,
        Edge::line(left.to(), right.from()),
        right,
        Edge::line(right.to(), top),
    ]
}

fn crowned(radius: f64, y: f64) -> Vec<Edge> {
    vec![Edge::arc(v(0.0, y + radius), radius, 1.25 * PI, 0.5 * PI)]
}

fn rod(radius: f64) -> Vec<Edge> {
    vec![Edge::arc(v(0.0, -radius), radius, 0.0, PI)]
}

/// A wheel with a round groove of the given radius and width, its groove's bottom at y.
fn hollow(radius: f64, width: f64, y: f64) -> Vec<Edge> {
    let half = (0.5 * width / radius).min(0.99).asin();
    let arc = Edge::arc(v(0.0, y - radius), radius, 0.5 * PI - half, 2.0 * half);
    let (right, left) = (arc.from(), arc.to());
    vec![Edge::line(v(right.x + 4.0, right.y), right), arc, Edge::line(left, v(left.x - 4.0, left.y))]
}

/// Steps along until edges cross, then halves the step.
fn slid(moving: &[Edge], fixed: &[Edge], direction: DVec2, from: f64, to: f64) -> Option<f64> {
    let hits = |s: f64| {
        moving.iter().any(|m| {
            let m = m.placed(0.0, s * direction);
            fixed.iter().any(|f| !m.intersections(f, 1e-9).is_empty())
        })
    };
    let steps = 3000;
    let at = |i: u32| from + (to - from) * f64::from(i) / f64::from(steps);
    let first = (0..=steps).find(|&i| hits(at(i)))?;
    let (mut free, mut hit) = (at(first.saturating_sub(1)), at(first));
    for _ in 0..60 {
        let mid = 0.5 * (free + hit);
        if hits(mid) { hit = mid } else { free = mid }
    }
    Some(hit)
}

fn near(a: f64, b: f64, tolerance: f64, what: &str) {
    assert!((a - b).abs() <= tolerance, "{what}: {a} {b}");
}

fn seat(moving: &[Edge], fixed: &[Edge]) -> Seat {
    first_contact(moving, fixed, DVec2::NEG_Y).unwrap()
}

fn points(seat: &Seat) -> Vec<DVec2> {
    seat.contacts.iter().filter(|c| matches!(c, Contact::Point { .. })).map(Contact::middle).collect()
}

#[test]
fn vees_of_equal_and_unequal_angles() {
    let mut random = Random(0x5ea7_5ea7_5ea7_5ea7);
    for _ in 0..300 {
        let phi = random.between(0.35, 1.1);
        let mouth = random.between(5.0, 12.0);
        let tip = random.between(1.0, 0.95 * mouth);
        let deep = vee_depth(mouth, tip, phi).unwrap();
        let s = seat(&vee(tip, phi, deep + 2.0, 9.0, 0.0), &groove(mouth, phi, deep + 0.3));
        near(s.shift, 9.0 + deep, 1e-9, "matching vees");
        assert_eq!(s.contacts.len(), 2);
        for c in &s.contacts {
            near(c.length(), deep / phi.cos(), 1e-8, "flank line");
        }
        // A sharper wheel stands on its tip's corners, a blunter one on the mouth's: own derivation.
        let other = phi + random.between(0.05, 0.3);
        let s = seat(&vee(tip, phi, 12.0, 9.0, 0.0), &groove(mouth, other, deep + 1.0));
        let d = 0.5 * (mouth - tip) / other.tan();
        near(s.shift, 9.0 + d, 1e-9, "sharper wheel");
        for p in points(&s) {
            near(p.x.abs(), 0.5 * tip, 1e-9, "tip corner");
            near(p.y, -d, 1e-9, "tip corner");
        }
        assert_eq!(points(&s).len(), 2);
        let s = seat(&vee(tip, other, 12.0, 9.0, 0.0), &groove(mouth, phi, deep + 1.0));
        near(s.shift, 9.0 + d, 1e-9, "blunter wheel");
        for p in points(&s) {
            near(p.x.abs(), 0.5 * mouth, 1e-9, "mouth corner");
            near(p.y, 0.0, 1e-9, "mouth corner");
        }
    }
}

#[test]
fn round_forms_have_closed_forms() {
    let mut random = Random(0x0bed_0bed_0bed_0bed);
    for _ in 0..200 {
        let (phi, r) = (random.between(0.4, 1.1), random.between(1.0, 3.0));
        // A ball of radius r in a vee whose flanks meet at the apex: its centre stands r/sin φ above that.
        let (mouth, depth) = (14.0, 7.0 / phi.tan());
        let s = seat(&[Edge::arc(v(0.0, 20.0), r, PI, PI)], &groove(mouth, phi, depth));
        let centre = 20.0 - s.shift;
        if r * phi.cos() < 7.0 {
            near(centre, -depth + r / phi.sin(), 1e-9, "ball in a vee");
            assert_eq!(points(&s).len(), 2);
        }
        // Crowned on flat, flat on rod, round groove on a rod that is no larger: crest on crest.
        let floor = chain(&[v(-30.0, 0.0), v(30.0, 0.0)]);
        near(seat(&crowned(random.between(5.0, 80.0), 3.0), &floor).shift, 3.0, 1e-9, "crowned on flat");
        let small = random.between(2.0, 5.0);
        let wide = small + random.between(0.1, 2.0);
        let s = seat(&hollow(wide, 1.2 * wide, 4.0), &rod(small));
        near(s.shift, 4.0, 1e-9, "round groove on a rod");
        assert_eq!(points(&s).len(), 1);
        // A groove too narrow for the rod rests on its two edges.
        let tight = small - random.between(0.2, 0.5);
        let half = 0.6 * tight;
        let s = seat(&hollow(tight, 2.0 * half, 4.0), &rod(small));
        let edge = tight - (tight * tight - half * half).sqrt();
        let on_rod = small - (small * small - half * half).sqrt();
        near(s.shift, 4.0 - edge + on_rod, 1e-9, "narrow groove on a rod");
        assert_eq!(points(&s).len(), 2);
    }
}

#[test]
fn any_profile_agrees_with_sliding() {
    let mut random = Random(0x51de_51de_51de_51de);
    let mut met = 0;
    for round in 0..400 {
        let phi = random.between(0.35, 1.1);
        let moving = match round % 4 {
            0 => vee(random.between(1.0, 6.0), phi, 8.0, 4.0, random.between(0.2, 2.0)),
            1 => crowned(random.between(3.0, 40.0), 4.0),
            2 => hollow(random.between(2.0, 7.0), random.between(2.0, 8.0), 4.0),
            _ => vee(random.between(1.0, 6.0), phi, 8.0, 4.0, 0.0),
        };
        let fixed = match (round / 4) % 3 {
            0 => groove(random.between(4.0, 12.0), random.between(0.35, 1.1), random.between(1.0, 3.0)),
            1 => rod(random.between(2.0, 6.0)),
            _ => chain(&[v(-30.0, 0.3), v(-3.0, 0.0), v(2.0, 0.0), v(3.0, 0.8), v(30.0, -0.5)]),
        };
        let aside = v(random.between(-2.0, 2.0), 0.0);
        let moving: Vec<Edge> = moving.iter().map(|e| e.placed(0.0, aside)).collect();
        let direction = DVec2::NEG_Y.rotate(DVec2::from_angle(random.between(-0.3, 0.3)));
        let found = first_contact(&moving, &fixed, direction);
        let slide = slid(&moving, &fixed, direction, -8.0, 24.0);
        match (&found, slide) {
            (Some(seat), Some(slide)) => {
                // Sliding counts edges within 1e-9 mm as crossing, which at a grazing angle is more of shift.
                near(seat.shift, slide, 3e-6, &format!("{round}: {moving:?} {fixed:?} {direction}"));
                assert!(!seat.contacts.is_empty());
                for c in &seat.contacts {
                    let at = c.middle();
                    let on = |edges: &[Edge], s: f64| {
                        edges
                            .iter()
                            .map(|e| e.placed(0.0, s * direction).nearest(at).distance(at))
                            .fold(f64::INFINITY, f64::min)
                    };
                    assert!(on(&moving, seat.shift) < 1e-6 && on(&fixed, 0.0) < 1e-6, "{round} {c:?}");
                    assert!(c.normal().dot(direction) <= 1e-9, "{round} {c:?}");
                }
                met += 1;
            }
            (None, None) => {}
            _ => panic!("{round}: {found:?} {slide:?}"),
        }
    }
    assert!(met > 380, "{met}");
}
