//! Whether two solids ever face each other along an axis, against a slab turned step by step about that axis, and
//! against what it means: bodies that never face each other stay apart however far they grow along the axis.
#![allow(clippy::unwrap_used, reason = "a broken fixture must fail the test")]

mod common;

use std::f64::consts::TAU;

use common::{Random, farthest};
use glidewright_geometry::{
    Change, DMat3, DVec3, Pair, Passing, Pose, Shape, Solid, faces_along, separation,
};

/// The widest slab across `axis` between A and B (mm, negative by the least overlap): two hundred directions, the best
/// of them refined.
fn seen(a: &Solid, b: &Solid, axis: DVec3) -> f64 {
    let (u, v) = axis.any_orthonormal_pair();
    let slab = |angle: f64| {
        let n = angle.cos() * u + angle.sin() * v;
        -farthest(b, -n) - farthest(a, n)
    };
    let step = TAU / 200.0;
    let best =
        (0..200).max_by(|&i, &j| slab(step * f64::from(i)).total_cmp(&slab(step * f64::from(j)))).unwrap();
    let (mut low, mut high) = (step * f64::from(best - 1), step * f64::from(best + 1));
    for _ in 0..50 {
        let (p, q) = (low + 0.382 * (high - low), low + 0.618 * (high - low));
        if slab(p) > slab(q) { high = q } else { low = p }
    }
    slab(0.5 * (low + high)).max(slab(step * f64::from(best)))
}

/// The shift between two at which the slab is narrowest, and its width.
fn narrowest(gap: &impl Fn(f64) -> f64, (from, to): (f64, f64)) -> (f64, f64) {
    let (mut low, mut high) = (from, to);
    for _ in 0..60 {
        let (p, q) = (low + 0.382 * (high - low), low + 0.618 * (high - low));
        if gap(p) < gap(q) { high = q } else { low = p }
    }
    let ends = [from, to, 0.5 * (low + high)].map(|u| (u, gap(u)));
    ends.into_iter().min_by(|p, q| p.1.total_cmp(&q.1)).unwrap()
}

#[test]
fn agrees_with_slabs_turned_about_the_axis() {
    let mut random = Random(0x9a55_9a55_9a55_9a55);
    let (mut never, mut faces) = (0, 0);
    for k in 0..240 {
        let turn = |random: &mut Random| match k % 3 {
            0 => random.axial_turn(),
            1 => DMat3::from_axis_angle(random.direction(), 0.01) * random.axial_turn(),
            _ => random.turn(),
        };
        let (ta, tb) = (turn(&mut random), turn(&mut random));
        let (a, b) = (random.solid(ta, 8.0), random.solid(tb, 25.0));
        let axis = if k % 2 == 0 { DVec3::Z } else { random.direction() };
        let direction = if k % 5 == 4 { random.direction() } else { axis.any_orthonormal_vector() };
        let range = (random.between(-50.0, 0.0), random.between(0.0, 50.0));
        let gap = |u: f64| seen(&a, &b.shifted(u * direction), axis);
        let (_, least) = narrowest(&gap, range);
        match faces_along(&a, &b, 3.0 * axis, 0.5 * direction, range.0, range.1) {
            Passing::Never { room, u, normal } => {
                never += 1;
                assert!((room - least).abs() < 1e-6, "{k}: room {room} tried {least}\n{a:?}\n{b:?}");
                assert!(u >= range.0 && u <= range.1 && normal.dot(axis).abs() < 1e-9);
                let there = b.shifted(u * direction);
                let slab = -farthest(&there, -normal) - farthest(&a, normal);
                assert!((slab - room).abs() < 1e-6, "{k}: room {room} slab {slab}\n{a:?}\n{b:?}");
            }
            Passing::Faces { from, to } => {
                faces += 1;
                assert!(least < 1e-6 && range.0 <= from && from <= to && to <= range.1, "{k}: {least}");
                for (end, limit, out) in [(from, range.0, -1.0), (to, range.1, 1.0)] {
                    assert!(gap(end) < 1e-6, "{k}: {} at {end}", gap(end));
                    // Past its end there is light between them.
                    if end != limit {
                        let past = end + out * 0.05;
                        assert!(gap(past) > 1e-9, "{k}: {} at {past}\n{a:?}\n{b:?}", gap(past));
                    }
                }
            }
            Passing::Invalid => panic!("sound solids\n{a:?}\n{b:?}"),
        }
    }
    assert!(never > 50 && faces > 50, "{never} {faces}");
}

/// Pieces of two stacks, their axes along z, that face each other never touch less than their room however tall they
/// grow; the others foul when they do.
#[test]
fn growth_along_the_axis_is_what_decides() {
    let mut random = Random(0x6120_6120_6120_6120);
    let (mut never, mut faces) = (0, 0);
    for k in 0..500 {
        let mut piece = |z: f64, spread: f64| {
            let kind = random.below(3);
            let shape = random.shape(kind);
            let turn = DMat3::from_rotation_z(random.between(0.0, TAU));
            let shift = DVec3::new(0.0, random.between(-spread, spread), z);
            Solid { shape, pose: Pose { turn, shift } }
        };
        let (a, b) = (piece(0.0, 2.0), piece(40.0, 25.0));
        let tall = |s: &Solid| s.changed(&Change { along: 1e3, ..Change::NONE });
        let pair = Pair::new(&tall(&a), &tall(&b), DVec3::X).unwrap();
        let grown = pair.closest_over(-60.0, 60.0).separation.gap;
        let now = Pair::new(&a, &b, DVec3::X).unwrap().closest_over(-60.0, 60.0).separation.gap;
        assert!(now > 0.0, "{k}: they stand one above the other");
        match faces_along(&a, &b, DVec3::Z, DVec3::X, -60.0, 60.0) {
            Passing::Never { room, .. } => {
                never += 1;
                assert!((grown - room).abs() < 1e-9 && now >= room - 1e-9, "{k}: {grown} {room} {now}");
            }
            Passing::Faces { from, to } => {
                faces += 1;
                assert!(grown <= 1e-9, "{k}: {grown}");
                let (low, high) = pair.touching(-60.0, 60.0, 0.0).unwrap();
                assert!((low - from).abs() < 1e-6 && (high - to).abs() < 1e-6, "{k}");
            }
            Passing::Invalid => panic!("sound solids"),
        }
    }
    assert!(never > 100 && faces > 100, "{never} {faces}");
}

#[test]
fn nonsense_has_no_answer() {
    let good = Solid::cylinder_between(DVec3::ZERO, DVec3::Z, 2.0);
    let bad = Solid { shape: Shape::Sphere { radius: f64::NAN }, pose: Pose::IDENTITY };
    let ask = |a: &Solid, axis: DVec3, direction: DVec3, to: f64| {
        faces_along(a, &good, axis, direction, 0.0, to) == Passing::Invalid
            && faces_along(&good, a, axis, direction, 0.0, to) == Passing::Invalid
    };
    assert!(!separation(&bad, &good).is_valid() && ask(&bad, DVec3::Z, DVec3::X, 9.0));
    for wrong in [DVec3::ZERO, DVec3::NAN, DVec3::INFINITY] {
        assert!(ask(&good, wrong, DVec3::X, 9.0) && ask(&good, DVec3::Z, wrong, 9.0));
    }
    for wrong in [f64::NAN, f64::INFINITY] {
        assert!(ask(&good, DVec3::Z, DVec3::X, wrong));
    }
}
