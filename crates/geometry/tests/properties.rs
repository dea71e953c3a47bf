//! What must hold of any distance: symmetry, invariance, scale, convexity in travel, bounded change.

mod common;

use common::{Random, farthest};
use glidewright_geometry::{Change, DMat3, Ending, Pair, Pose, Separation, Solid, separation};
use proptest::prelude::*;

/// Kind of turns: along common axes, leaning a little, anything.
fn turn(random: &mut Random, kind: u8) -> DMat3 {
    match kind {
        0 => random.axial_turn(),
        1 => DMat3::from_axis_angle(random.direction(), 0.01 * random.unit()) * random.axial_turn(),
        _ => random.turn(),
    }
}

fn pair(seed: u64, kind: u8) -> (Random, Solid, Solid) {
    let mut random = Random(seed | 1);
    random.unit();
    let (ta, tb) = (turn(&mut random, kind), turn(&mut random, kind));
    let (a, b) = (random.solid(ta, 10.0), random.solid(tb, 22.0));
    (random, a, b)
}

/// How far a result may be off: its own bounds, and rounding.
fn slack(s: &Separation) -> f64 {
    (s.gap - s.lower) + 2e-9
}

fn agree(a: &Separation, b: &Separation) -> Result<(), TestCaseError> {
    prop_assert!(a.is_valid() && b.is_valid());
    prop_assert!((a.gap - b.gap).abs() <= slack(a) + slack(b), "{a:?} {b:?}");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn symmetric(seed in any::<u64>(), kind in 0u8..3) {
        let (_, a, b) = pair(seed, kind);
        let (ab, ba) = (separation(&a, &b), separation(&b, &a));
        agree(&ab, &ba)?;
        agree(&ab, &ba.swapped())?;
        // The same direction too, where there is only one: apart, or not deep.
        if ab.gap > 1e-3 {
            prop_assert!(ab.normal.dot(-ba.normal) > 1.0 - 1e-6, "{ab:?} {ba:?}");
        }
    }

    #[test]
    fn unmoved_by_rigid_motion(seed in any::<u64>(), kind in 0u8..3) {
        let (mut random, a, b) = pair(seed, kind);
        let motion = Pose { turn: random.turn(), shift: random.direction() * random.between(0.0, 300.0) };
        let (here, there) = (separation(&a, &b), separation(&a.placed(&motion), &b.placed(&motion)));
        agree(&here, &there)?;
    }

    #[test]
    fn scales(seed in any::<u64>(), kind in 0u8..3, factor in 0.05f64..20.0) {
        let (_, a, b) = pair(seed, kind);
        let grown = |s: &Solid| {
            let mut s = s.changed(&Change { along: factor, across: factor, ..Change::NONE });
            s.pose.shift *= factor;
            s
        };
        let (small, large) = (separation(&a, &b), separation(&grown(&a), &grown(&b)));
        prop_assert!((large.gap - factor * small.gap).abs() <= slack(&large) + factor * slack(&small));
    }

    /// No solid can bring A and B nearer than a third between them allows: the gap of A and B is at most that of A
    /// and C, the width of C, and that of C and B together.
    #[test]
    fn triangle_with_a_body_between(seed in any::<u64>(), kind in 0u8..3) {
        let (mut random, a, b) = pair(seed, kind);
        let turned = turn(&mut random, kind);
        let c = random.solid(turned, 15.0);
        let (ab, ac, cb) = (separation(&a, &b), separation(&a, &c), separation(&c, &b));
        if ab.gap > 0.0 {
            let width = ac.on_b.distance(cb.on_a);
            prop_assert!(ab.gap <= ac.gap.max(0.0) + cb.gap.max(0.0) + width + 1e-6, "{ab:?} {ac:?} {cb:?}");
        }
    }

    /// The gap changes by no more than the farthest any point moves.
    #[test]
    fn changes_no_faster_than_points_move(seed in any::<u64>(), kind in 0u8..3, size in 0.0f64..2.0) {
        let (mut random, a, b) = pair(seed, kind);
        let by = random.direction() * size;
        let (before, after) = (separation(&a, &b), separation(&a, &b.shifted(by)));
        prop_assert!((before.gap - after.gap).abs() <= size + slack(&before) + slack(&after));
        // And along the reported direction it changes at rate one, apart at least.
        if before.gap > 1e-6 {
            let away = separation(&a, &b.shifted(before.normal * size));
            prop_assert!((away.gap - before.gap - size).abs() <= 1e-6, "{before:?} {away:?}");
        }
    }

    /// The gap is a convex function of the travel, continuous through touching, and the exact sweep knows its least
    /// value and the ends of its intervals.
    #[test]
    fn convex_in_travel(seed in any::<u64>(), kind in 0u8..3) {
        let (mut random, a, b) = pair(seed, kind);
        let direction = random.direction();
        let Some(pair) = Pair::new(&a, &b, direction) else { return Ok(()) };
        let gap = |u: f64| separation(&a, &b.shifted(direction * u));
        let (u0, u1) = (random.between(-60.0, 0.0), random.between(0.0, 60.0));
        let closest = pair.closest_over(u0, u1);
        let tolerance = 1e-6 + (closest.separation.gap - closest.separation.lower).max(0.0);
        for _ in 0..6 {
            let (p, q) = (random.between(u0, u1), random.between(u0, u1));
            let share = random.unit();
            let (at_p, at_q, between) = (gap(p), gap(q), gap(p + share * (q - p)));
            let chord = at_p.gap + share * (at_q.gap - at_p.gap);
            prop_assert!(between.lower <= chord + 1e-8, "{between:?} {chord}");
            prop_assert!(between.gap >= closest.separation.gap - tolerance, "{between:?} {closest:?}");
        }
        prop_assert!((gap(closest.u).gap - closest.separation.gap).abs() <= tolerance);
        for level in [0.0, closest.separation.gap + 0.5] {
            if let Some((from, to)) = pair.touching(u0, u1, level) {
                for (end, limit) in [(from, u0), (to, u1)] {
                    let s = gap(end);
                    prop_assert!(end == limit || (s.gap - level).abs() <= 2e-6 + slack(&s), "{s:?} {level}");
                }
            } else {
                prop_assert!(closest.separation.gap > level);
            }
        }
    }

    /// Just apart, touching and just overlapping differ by what was moved: nothing jumps at zero.
    #[test]
    fn continuous_through_zero(seed in any::<u64>(), kind in 0u8..3, hair in -1e-5f64..1e-5) {
        let (_, a, b) = pair(seed, kind);
        let s = separation(&a, &b);
        if s.gap > 0.0 {
            let touching = b.shifted(-s.normal * (s.gap - hair));
            let near = separation(&a, &touching);
            prop_assert!(near.is_valid());
            prop_assert!((near.gap - hair).abs() <= 1e-8 + slack(&near), "{s:?} {near:?} {hair}");
            // The direction still separates them as far as it can.
            let slab = -farthest(&touching, -near.normal) - farthest(&a, near.normal);
            prop_assert!((slab - near.lower).abs() <= 1e-8, "{near:?} {slab}");
            prop_assert!(near.ending != Ending::LimitReached || near.gap < 0.0);
        }
    }
}
