//! Signed distance against the reference library, and against its own certificate checked independently.

mod common;

use common::{Random, check_certificate, reference};
use glidewright_geometry::{DMat3, Ending, separation};

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
            if error > 1e-4 {
                off += 1;
                if off < 10 {
                    eprintln!("{how:?}: {} against {expected}\n{s:?}\n{a:?}\n{b:?}", s.gap);
                }
                continue;
            }
            worst[how as usize] = worst[how as usize].max(error);
        }
    }
    eprintln!("{checked} pairs; largest difference {worst:?} mm; {off} beyond");
}
