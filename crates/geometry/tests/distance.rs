//! Signed distance against the reference library, and against its own certificate checked independently.

mod common;

use common::{Random, check_certificate, farthest, reference};
use glidewright_geometry::{DMat3, DVec3, Ending, Solid, separation};

/// How the two solids of a random pair are turned.
#[derive(Clone, Copy, Debug)]
enum Turns {
    Axial,
    SlightlyTilted,
    Any,
}

fn turns(random: &mut Random, how: Turns) -> (DMat3, DMat3) {
    match how {
        Turns::Axial => (random.axial_turn(), random.axial_turn()),
        Turns::SlightlyTilted => {
            let tilt = DMat3::from_axis_angle(random.direction(), 10f64.powf(random.between(-7.0, -2.0)));
            (random.axial_turn(), tilt * random.axial_turn())
        }
        Turns::Any => (random.turn(), random.turn()),
    }
}

#[test]
fn certificates_hold_for_random_pairs() {
    let mut random = Random(0x1234_5678_9abc_def1);
    let mut worst: f64 = 0.0;
    let mut limits = 0;
    for how in [Turns::Axial, Turns::SlightlyTilted, Turns::Any] {
        for i in 0..20_000 {
            let (ta, tb) = turns(&mut random, how);
            let spread = [2.0, 15.0, 40.0][i % 3];
            let (a, b) = (random.solid(ta, spread), random.solid(tb, spread));
            let s = separation(&a, &b);
            assert!(s.is_valid(), "{a:?} {b:?}");
            let tolerance = match s.ending {
                Ending::Exact => 1e-9,
                _ => 1e-6,
            };
            if s.ending == Ending::LimitReached {
                assert!(s.gap < 0.0 && s.gap - s.lower < 1e-3, "{s:?}\n{a:?}\n{b:?}");
                limits += 1;
                continue;
            }
            worst = worst.max(s.gap - s.lower);
            check_certificate(&a, &b, &s, tolerance, &format!("{how:?} {i}"));
        }
    }
    eprintln!("widest certificate {worst:e} mm, limits {limits}");
    assert!(limits < 600);
}

#[test]
fn agrees_with_the_reference_library() {
    let mut random = Random(0xfeed_beef_1234_5679);
    let (mut checked, mut worst) = (0, [0.0_f64; 3]);
    let mut off = 0;
    for how in [Turns::Axial, Turns::SlightlyTilted, Turns::Any] {
        let mut tried = 0;
        while tried < 40_000 {
            let (ta, tb) = turns(&mut random, how);
            let spread = [2.0, 15.0, 40.0][tried % 3];
            let (a, b) = (random.solid(ta, spread), random.solid(tb, spread));
            let (Some(ra), Some(rb)) = (reference::shape(&a), reference::shape(&b)) else { continue };
            tried += 1;
            let Some(expected) = reference::gap(&ra, &rb) else { continue };
            checked += 1;
            let s = separation(&a, &b);
            let error = (s.gap - expected).abs();
            if error > 1e-5 {
                // The reference stops at a wrong depth of a few deep overlaps. No shift that short separates them.
                assert!(s.gap < -0.1 && expected > s.gap, "{how:?}: {expected} {s:?}\n{a:?}\n{b:?}");
                assert!(
                    least_shift(&mut random, &a, &b, 300) >= -s.gap - 1e-6,
                    "{expected} {s:?}\n{a:?}\n{b:?}"
                );
                off += 1;
                continue;
            }
            worst[how as usize] = worst[how as usize].max(error);
        }
    }
    eprintln!("{checked} pairs; largest difference {worst:?} mm; {off} where the reference is wrong");
    assert!(checked > 110_000 && off < 20);
}

/// No direction separates overlapping solids with a smaller shift than the depth reported: thousands of
/// directions, each refined by a pattern search, against the support functions.
#[test]
fn depth_is_least_over_directions() {
    let mut random = Random(0x0bad_cafe_0bad_cafe);
    let mut checked = 0;
    let mut nearest_miss = f64::INFINITY;
    while checked < 1500 {
        let how = [Turns::Axial, Turns::SlightlyTilted, Turns::Any][checked % 3];
        let (ta, tb) = turns(&mut random, how);
        let (a, b) = (random.solid(ta, 3.0), random.solid(tb, 3.0));
        let s = separation(&a, &b);
        if s.gap >= 0.0 {
            continue;
        }
        checked += 1;
        let best = least_shift(&mut random, &a, &b, 12);
        nearest_miss = nearest_miss.min(best + s.gap);
        assert!(best >= -s.gap - 1e-6, "{how:?}: a shift of {best} separates\n{s:?}\n{a:?}\n{b:?}");
    }
    eprintln!("smallest excess of a tried shift over the depth: {nearest_miss:e} mm");
}

/// The smallest shift of B that separates two solids, by pattern searches over directions from random starts.
fn least_shift(random: &mut Random, a: &Solid, b: &Solid, starts: usize) -> f64 {
    let shift = |n: DVec3| farthest(a, n) + farthest(b, -n);
    let mut best = f64::INFINITY;
    for _ in 0..starts {
        let mut n = random.direction();
        let mut h = shift(n);
        let mut step = 0.3;
        while step > 1e-4 {
            let (u, v) = n.any_orthonormal_pair();
            let mut better = false;
            for d in [u, -u, v, -v] {
                let tried = (n + step * d).normalize();
                if shift(tried) < h {
                    (h, n, better) = (shift(tried), tried, true);
                }
            }
            if !better {
                step *= 0.5;
            }
        }
        best = best.min(h);
    }
    best
}
