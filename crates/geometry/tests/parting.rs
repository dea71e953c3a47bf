//! How far bodies of several pieces overlap: held against dense sampling of directions with parry3d-f64's overlap test, and
//! against what must hold of any depth.

mod common;

use std::sync::Arc;

use common::Random;
use common::reference::{Parry, gap_moved, shape};
use glidewright_geometry::{
    DMat3, DVec2, DVec3, Depth, DepthEffort, Outline, Overlap, Pose, Shape, Solid, separation,
};

/// A body of a few pieces that lie in and beside each other.
fn body(random: &mut Random, tilted: bool) -> Vec<Solid> {
    let lean = if tilted { random.turn() } else { DMat3::IDENTITY };
    let place = |solids: Vec<Solid>| -> Vec<Solid> {
        solids.iter().map(|s| s.placed(&Pose { turn: lean, shift: DVec3::ZERO })).collect()
    };
    let size = random.between(4.0, 9.0);
    match random.below(5) {
        // A stepped roller: discs on one axis.
        0 => {
            let (a, b) = (random.between(1.0, 3.0), random.between(1.0, 4.0));
            let disc =
                |from: f64, to: f64, r: f64| Solid::cylinder_between(DVec3::Z * from, DVec3::Z * to, r);
            place(vec![disc(-a, 0.0, size), disc(0.0, b, random.between(2.0, 12.0)), disc(b, b + a, size)])
        }
        // An angle section, its two legs sharing the corner.
        1 => {
            let wall = random.between(1.0, 4.0);
            let box_of = |a: DVec3, b: DVec3| Solid::cuboid_between(a, b);
            let half = random.between(2.0, 12.0);
            place(vec![
                box_of(DVec3::new(0.0, 0.0, -half), DVec3::new(2.0 * size, wall, half)),
                box_of(DVec3::new(0.0, 0.0, -half), DVec3::new(wall, 2.0 * size, half)),
            ])
        }
        // A frame: four bars round a hole.
        2 => {
            let (hole, wall, half) =
                (random.between(1.0, 5.0), random.between(1.5, 4.0), random.between(1.0, 5.0));
            let out = hole + wall;
            let bar = |x0: f64, y0: f64, x1: f64, y1: f64| {
                Solid::cuboid_between(DVec3::new(x0, y0, -half), DVec3::new(x1, y1, half))
            };
            place(vec![
                bar(-out, -out, out, -hole),
                bar(-out, hole, out, out),
                bar(-out, -hole, -hole, hole),
                bar(hole, -hole, out, hole),
            ])
        }
        // A bar cut in three.
        3 => {
            let length = random.between(4.0, 12.0);
            let piece = |k: f64| {
                Solid::cuboid_between(
                    DVec3::new(length * k, -2.0, -size),
                    DVec3::new(length * (k + 1.0), 2.0, size),
                )
            };
            place(vec![piece(-1.5), piece(-0.5), piece(0.5)])
        }
        // Anything.
        _ => (0..2 + random.below(2))
            .map(|_| {
                let turn = if tilted { random.turn() } else { random.axial_turn() };
                let kind = [0, 1, 2][random.below(3)];
                let mut solid =
                    Solid { shape: random.shape(kind), pose: Pose { turn, shift: 4.0 * random.direction() } };
                if kind == 2 {
                    let sides = 3 + random.below(5) as u32;
                    solid.shape = Shape::Prism {
                        outline: Arc::new(Outline::regular_polygon(sides, random.between(2.0, 9.0))),
                        half_height: random.between(1.0, 6.0),
                    };
                }
                solid
            })
            .collect(),
    }
}

fn references(body: &[Solid]) -> Vec<Parry> {
    body.iter().filter_map(shape).collect()
}

/// Whether any pieces overlap by more than the reference can tell.
fn meet(a: &[Parry], b: &[Parry], shift: DVec3) -> bool {
    a.iter().any(|p| b.iter().any(|q| gap_moved(p, (&q.0, &*q.1), shift).is_some_and(|gap| gap < -1e-6)))
}

/// The first free shift along a direction within `most`, to a hair.
fn first_free(a: &[Parry], b: &[Parry], at: DVec3, direction: DVec3, most: f64) -> Option<f64> {
    let step = most / 30.0;
    let mut t = 0.0;
    while t < most {
        let next = (t + step).min(most);
        if !meet(a, b, at + next * direction) {
            let (mut low, mut high) = (t, next);
            for _ in 0..40 {
                let middle = 0.5 * (low + high);
                if meet(a, b, at + middle * direction) { low = middle } else { high = middle }
            }
            return Some(high);
        }
        t = next;
    }
    None
}

/// The least way out by brute force: many directions, then smaller and smaller steps around the best of them.
fn brute(a: &[Parry], b: &[Parry], at: DVec3, random: &mut Random) -> f64 {
    let mut best = (80.0, DVec3::X);
    let look = |d: DVec3, best: &mut (f64, DVec3)| {
        if let Some(t) = first_free(a, b, at, d, best.0)
            && t < best.0
        {
            *best = (t, d);
            return true;
        }
        false
    };
    for d in [DVec3::X, DVec3::Y, DVec3::Z] {
        look(d, &mut best);
        look(-d, &mut best);
    }
    for _ in 0..200 {
        look(random.direction(), &mut best);
    }
    let mut step = 0.1;
    while step > 1e-5 {
        let mut found = false;
        for _ in 0..10 {
            let d = (best.1 + step * random.direction()).normalize();
            found |= look(d, &mut best);
        }
        if !found {
            step *= 0.6;
        }
    }
    best.0
}

fn found(a: &[Solid], b: &[Solid], at: DVec3) -> Depth {
    Overlap::new(a, b).depth(at, &DepthEffort::FULL)
}

#[test]
fn depths_are_those_of_dense_sampling() {
    let mut random = Random(0x5eed_0001);
    let (mut overlapping, mut deeper, mut proved) = (0, 0, 0);
    for case in 0..72 {
        let (a, b) = (body(&mut random, case % 3 == 1), body(&mut random, case % 3 == 2));
        let at = 6.0 * random.direction() * random.unit();
        let (pa, pb) = (references(&a), references(&b));
        assert_eq!((pa.len(), pb.len()), (a.len(), b.len()));
        let depth = found(&a, &b, at);
        if !meet(&pa, &pb, at) {
            assert!(depth.depth < 1e-5, "case {case}: {depth:?}");
            continue;
        }
        overlapping += 1;
        let expected = brute(&pa, &pb, at, &mut random);
        let context = || format!("case {case}: {depth:?} by brute force {expected}\n{a:?}\n{b:?} at {at}");
        // What was sampled is a way out; no way out is shorter than the bound.
        assert!(depth.at_least <= expected + 1e-4, "{}", context());
        assert!(depth.depth <= expected + 1e-4, "{}", context());
        // The way out is one.
        assert!(!meet(&pa, &pb, at + (depth.depth + 1e-4) * depth.direction), "{}", context());
        // The sampling comes near the truth, from above.
        assert!(depth.depth >= expected - 0.01 * (1.0 + expected) || depth.at_least > 0.98 * depth.depth);
        let pairs = a.iter().flat_map(|p| b.iter().map(move |q| (p, q)));
        let by_pieces = pairs.map(|(p, q)| -separation(p, &q.shifted(at)).gap).fold(0.0, f64::max);
        assert!(depth.depth >= by_pieces - 1e-5, "{} {by_pieces}", context());
        deeper += usize::from(depth.depth > by_pieces + 0.05);
        let is_proved = depth.depth - depth.at_least <= 1e-5;
        if !is_proved {
            println!("case {case}: {} to {}", depth.at_least, depth.depth);
        }
        proved += usize::from(is_proved);
    }
    assert!(overlapping > 48 && deeper > 8, "{overlapping} {deeper}");
    assert!(proved * 20 > overlapping * 19, "{proved} of {overlapping}");
}

/// Turned, mirrored, in another order, A and B exchanged, in other units: the same depth.
#[test]
fn depths_do_not_hang_on_how_they_are_asked() {
    let mut random = Random(0x5eed_0002);
    let mut overlapping = 0;
    for case in 0..150 {
        let (a, b) = (body(&mut random, case % 3 == 1), body(&mut random, case % 3 == 2));
        let at = 5.0 * random.direction() * random.unit();
        let first = found(&a, &b, at);
        if first.depth < 1e-3 {
            continue;
        }
        overlapping += 1;
        let same = |other: &Depth, scale: f64, how: &str| {
            let slack = (first.depth - first.at_least) + (other.depth - other.at_least) / scale + 1e-6;
            assert!(
                (other.depth / scale - first.depth).abs() <= slack,
                "case {case} {how}: {first:?} {other:?}"
            );
        };
        same(&found(&b, &a, -at), 1.0, "exchanged");
        let backwards = |body: &[Solid]| body.iter().rev().cloned().collect::<Vec<_>>();
        same(&found(&backwards(&a), &backwards(&b), at), 1.0, "reordered");
        let turn = random.turn();
        let turned = |body: &[Solid]| -> Vec<Solid> {
            body.iter().map(|s| s.placed(&Pose { turn, shift: DVec3::new(300.0, -40.0, 7.0) })).collect()
        };
        same(&found(&turned(&a), &turned(&b), turn * at), 1.0, "turned");
        let mirrored = |body: &[Solid]| body.iter().map(mirrored).collect::<Vec<_>>();
        same(&found(&mirrored(&a), &mirrored(&b), at * DVec3::new(1.0, -1.0, 1.0)), 1.0, "mirrored");
        let inches = |body: &[Solid]| body.iter().map(|s| scaled(s, 1.0 / 25.4)).collect::<Vec<_>>();
        same(&found(&inches(&a), &inches(&b), at / 25.4), 1.0 / 25.4, "in inches");
    }
    assert!(overlapping > 90, "{overlapping}");
}

/// The solid mirrored in y = 0: a mirror turns the axes, and a shape that is its own mirror image stays.
fn mirrored(solid: &Solid) -> Solid {
    let flip = DMat3::from_diagonal(DVec3::new(1.0, -1.0, 1.0));
    let pose = Pose { turn: flip * solid.pose.turn * flip, shift: flip * solid.pose.shift };
    let shape = match &solid.shape {
        Shape::Prism { outline, half_height } => {
            let corners: Vec<DVec2> =
                outline.edges.iter().rev().map(|e| e.to() * DVec2::new(1.0, -1.0)).collect();
            Shape::Prism { outline: Arc::new(Outline::polygon(&corners)), half_height: *half_height }
        }
        other => other.clone(),
    };
    Solid { shape, pose }
}

fn scaled(solid: &Solid, by: f64) -> Solid {
    let pose = Pose { turn: solid.pose.turn, shift: by * solid.pose.shift };
    let shape = match &solid.shape {
        Shape::Cylinder { radius, half_height } => {
            Shape::Cylinder { radius: by * radius, half_height: by * half_height }
        }
        Shape::Cuboid { half } => Shape::Cuboid { half: by * *half },
        Shape::Prism { outline, half_height } => {
            let corners: Vec<DVec2> = outline.edges.iter().map(|e| by * e.from()).collect();
            Shape::Prism { outline: Arc::new(Outline::polygon(&corners)), half_height: by * half_height }
        }
        other => other.clone(),
    };
    Solid { shape, pose }
}

/// The deepest place of a travel is as deep as any of many, and no place is deeper than the bound.
#[test]
fn the_deepest_place_of_a_travel() {
    let mut random = Random(0x5eed_0003);
    let mut overlapping = 0;
    for case in 0..40 {
        let (a, b) = (body(&mut random, case % 3 == 1), body(&mut random, case % 3 == 2));
        let at = DVec3::new(-30.0, 0.0, 0.0)
            + DVec3::new(0.0, random.between(-5.0, 5.0), random.between(-5.0, 5.0));
        let b: Vec<Solid> = b.iter().map(|s| s.shifted(at)).collect();
        let mut overlap = Overlap::new(&a, &b);
        let quick = DepthEffort { tolerance: 1e-4, rays: 1_000, ..DepthEffort::FULL };
        let Some(deepest) = overlap.deepest(DVec3::X, (0.0, 60.0), &[30.0], &quick) else { continue };
        overlapping += 1;
        let there = Overlap::new(&a, &b).depth(DVec3::X * deepest.at, &quick);
        assert!((there.depth - deepest.found.depth).abs() < 1e-3, "{there:?} {deepest:?}");
        let mut most: f64 = 0.0;
        for k in 0..=60 {
            let found = Overlap::new(&a, &b).depth(DVec3::X * f64::from(k), &quick);
            assert!(found.at_least <= deepest.at_most + 1e-3, "case {case} at {k}: {found:?} {deepest:?}");
            most = most.max(found.at_least);
        }
        assert!(most <= deepest.found.depth.max(deepest.at_most) + 1e-3);
        // Only where the search has met its limit may another place be noticeably deeper.
        assert!(most <= deepest.found.depth + 1e-3 || deepest.at_most > deepest.found.depth + 1e-3);
        assert!(most <= 1.05 * deepest.found.depth + 0.02, "case {case}: {most} {deepest:?}");
    }
    assert!(overlapping > 30, "{overlapping}");
}

/// Each contact's share is how much the depth grows with the body there: by finite difference.
#[test]
fn shares_are_slopes() {
    // A pin in the inner corner of an angle: it leaves along the diagonal, past both legs' ends at once, or out of one.
    let leg = |a: DVec3, b: DVec3| Solid::cuboid_between(a, b);
    let angle = |x: f64, y: f64| {
        vec![
            leg(DVec3::new(0.0, 0.0, -50.0), DVec3::new(60.0, x, 50.0)),
            leg(DVec3::new(0.0, 0.0, -50.0), DVec3::new(y, 60.0, 50.0)),
        ]
    };
    let pin = vec![leg(DVec3::new(3.0, 3.0, -80.0), DVec3::new(20.0, 20.0, 80.0))];
    let depth = |x: f64, y: f64| found(&angle(x, y), &pin, DVec3::ZERO);
    let at = depth(9.0, 10.0);
    // Past the first leg's face by 6, past the second's by 7.
    assert!((at.depth - 6f64.hypot(7.0)).abs() < 1e-5, "{at:?}");
    assert_eq!(at.contacts.len(), 2, "{at:?}");
    for contact in &at.contacts {
        let (dx, dy) = if contact.normal.y > 0.9 { (1e-2, 0.0) } else { (0.0, 1e-2) };
        let slope = (depth(9.0 + dx, 10.0 + dy).depth - depth(9.0 - dx, 10.0 - dy).depth) / 2e-2;
        assert!((slope - contact.share).abs() < 1e-3, "{slope} {contact:?}");
    }
}

#[test]
fn nonsense_has_no_depth() {
    let bad = [Solid::cylinder_between(DVec3::ZERO, DVec3::Z, f64::NAN)];
    let good = [Solid::cylinder_between(DVec3::ZERO, DVec3::Z, 1.0)];
    assert_eq!(found(&bad, &good, DVec3::ZERO).depth, 0.0);
    assert_eq!(found(&[], &good, DVec3::ZERO).depth, 0.0);
    assert_eq!(found(&good, &good, DVec3::NAN).depth, 0.0);
    let nowhere = Overlap::new(&good, &good).deepest(DVec3::ZERO, (0.0, 1.0), &[], &DepthEffort::FULL);
    assert!(nowhere.is_none());
}

/// The hull of a convex body's parts is the body: the same depth, whatever the parts, and no less than that of the parts.
#[test]
fn a_hull_overlaps_as_deep_as_the_whole_it_makes_up() {
    let mut random = Random(0x51ab);
    let mut seen = 0;
    for _ in 0..200 {
        let (long, thick) = (random.between(4.0, 30.0), random.between(1.0, 6.0));
        let half = |from: f64, to: f64| {
            Solid::cuboid_between(DVec3::new(from, -thick, -thick), DVec3::new(to, thick, thick))
        };
        let lean = Pose { turn: random.turn(), shift: DVec3::ZERO };
        let joint = random.between(-0.9, 0.9) * long;
        let whole = vec![half(-long, long).placed(&lean)];
        let ends = vec![half(-long, joint).placed(&lean), half(joint, long).placed(&lean)];
        // With the middle left out the hull is the same.
        let tips = vec![half(-long, -0.95 * long).placed(&lean), half(0.95 * long, long).placed(&lean)];
        let other = body(&mut random, true);
        let at = DVec3::from_array([(); 3].map(|()| random.between(-6.0, 6.0)));
        let taken = |a: &[Solid]| {
            Overlap::of_hulls(&[a.to_vec()], std::slice::from_ref(&other)).depth(at, &DepthEffort::FULL)
        };
        let [one, two, far] = [&whole, &ends, &tips].map(|a| taken(a));
        for found in [&two, &far] {
            assert!((found.depth - one.depth).abs() < 1e-5, "{one:?} {found:?}");
        }
        let pieces = Overlap::new(&ends, &other).depth(at, &DepthEffort { rays: 200, ..DepthEffort::FULL });
        assert!(pieces.at_least <= one.depth + 1e-5, "{pieces:?} {one:?}");
        if one.depth > 0.0 {
            seen += 1;
            assert!(one.depth - one.at_least < 1e-4, "{one:?}");
        }
    }
    assert!(seen > 60, "{seen}");
}
