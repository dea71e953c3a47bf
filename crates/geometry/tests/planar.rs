//! Booleans, offsets and hulls of areas with arcs and holes, point by point against their definitions.
#![allow(clippy::unwrap_used, reason = "a broken fixture must fail the test")]

mod common;

use common::Random;
use glidewright_geometry::{DVec2, Outline, Region, difference, hull, intersection, offset, union};

/// How far arcs may be flattened (mm).
const TOLERANCE: f64 = 1e-3;

/// An outline with or without a hole, anywhere near the middle.
fn region(random: &mut Random) -> Region {
    let outer = loop {
        let outline = random.outline();
        if outline.faults().is_empty() {
            break outline;
        }
    };
    let middle = outer.centroid();
    let room = outer.distance_to_boundary(middle);
    let hole = match random.below(3) {
        0 => Some(Outline::circle(middle, 0.6 * room)),
        1 => Some(Outline::regular_polygon(5, 0.7 * room).transformed(random.between(0.0, 6.0), middle)),
        _ => None,
    };
    let region = Region::new(outer, hole.into_iter().collect());
    assert_eq!(region.check(), Ok(()));
    region
}

fn to_boundary(region: &Region, p: DVec2) -> f64 {
    region
        .holes
        .iter()
        .map(|h| h.distance_to_boundary(p))
        .fold(region.outer.distance_to_boundary(p), f64::min)
}

fn held(regions: &[Region], p: DVec2) -> bool {
    regions.iter().any(|r| r.contains(p))
}

fn area(regions: &[Region]) -> f64 {
    regions.iter().map(Region::area).sum()
}

/// Points around a region, half of them near its boundary.
fn points(random: &mut Random, region: &Region, near: f64) -> Vec<DVec2> {
    let (b, edges) = (region.bounds(), &region.outer.edges);
    (0..120)
        .map(|k| {
            if k % 2 == 0 {
                return b.low - 3.0 + (b.size() + 6.0) * DVec2::new(random.unit(), random.unit());
            }
            let e = &edges[random.below(edges.len())];
            e.at(random.unit()) + DVec2::from_angle(random.between(0.0, 6.3)) * random.between(0.0, near)
        })
        .collect()
}

#[test]
fn booleans_hold_the_points_they_should() {
    let mut random = Random(0xb001_b001_b001_b001);
    for round in 0..150 {
        let (p, q) = (region(&mut random), region(&mut random));
        let (a, b) = (vec![p.clone()], vec![q.clone()]);
        let plus = union(&a, &b, TOLERANCE).unwrap();
        let minus = difference(&a, &b, TOLERANCE).unwrap();
        let both = intersection(&a, &b, TOLERANCE).unwrap();
        for r in plus.iter().chain(&minus).chain(&both) {
            assert!(r.outer.area() > 0.0 && r.holes.iter().all(|h| h.area() > 0.0), "{round}");
        }
        // What is in either is in one alone, in the other alone, or in both.
        let room = 1e-6 + 2.0 * TOLERANCE * (p.outer.perimeter() + q.outer.perimeter());
        assert!((area(&plus) + area(&both) - p.area() - q.area()).abs() < room, "{round}");
        assert!((area(&minus) + area(&both) - p.area()).abs() < room, "{round}");
        for at in points(&mut random, &p, 0.3) {
            if to_boundary(&p, at).min(to_boundary(&q, at)) < 2.0 * TOLERANCE {
                continue;
            }
            let (in_p, in_q) = (p.contains(at), q.contains(at));
            assert_eq!(held(&plus, at), in_p || in_q, "{round} {at}");
            assert_eq!(held(&minus, at), in_p && !in_q, "{round} {at}");
            assert_eq!(held(&both, at), in_p && in_q, "{round} {at}");
        }
    }
}

#[test]
fn offsets_and_hulls_hold_the_points_they_should() {
    let mut random = Random(0x0ff5_0ff5_0ff5_0ff5);
    for round in 0..150 {
        let r = region(&mut random);
        for by in [random.between(0.05, 2.0), -random.between(0.05, 0.8)] {
            let found = offset(std::slice::from_ref(&r), by, TOLERANCE).unwrap();
            for at in points(&mut random, &r, 2.0 * by.abs()) {
                let (inside, away) = (r.contains(at), to_boundary(&r, at));
                if (away - by.abs()).abs() < 3.0 * TOLERANCE {
                    continue;
                }
                let expected = if by > 0.0 { inside || away < by } else { inside && away > -by };
                assert_eq!(held(&found, at), expected, "{round} by {by} at {at}, {away} from the boundary");
            }
        }
        let other = region(&mut random).transformed(0.0, DVec2::new(random.between(-30.0, 30.0), 5.0));
        let around = hull(&[r.clone(), other.clone()], TOLERANCE).unwrap();
        assert_eq!(around.faults(), [], "{round}");
        assert!(around.is_convex(), "{round}: {r:?} {other:?}");
        assert!(around.area() >= r.outer.area().max(other.outer.area()) - 1e-9, "{round}");
        // Nothing stands out of it, and in no direction does it reach farther than one of the two.
        let reach = |o: &Outline, n: DVec2| {
            let samples = o.edges.iter().flat_map(|e| (0..40).map(|i| e.at(f64::from(i) / 39.0).dot(n)));
            samples.fold(f64::NEG_INFINITY, f64::max)
        };
        for i in 0..40 {
            let n = DVec2::from_angle(f64::from(i) * 0.157);
            let (own, most) = (reach(&around, n), reach(&r.outer, n).max(reach(&other.outer, n)));
            // Samples of an arc of 10 mm lie up to its sagitta over a fortieth inside.
            assert!(own >= most - 1e-9 && own <= most + 0.05, "{round}: {own} {most}");
        }
    }
}
