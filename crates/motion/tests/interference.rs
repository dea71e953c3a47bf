//! Riders off their nominal places, and analyses that keep what has not changed.
#![allow(clippy::expect_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{Recipe, fixture};
use glam::DVec3;
use glidewright_geometry::{Effort, Pose, Solid, separation};
use glidewright_motion::*;

fn stations(fixture: &Fixture) -> Vec<f64> {
    let Stroke { from, to } = fixture.stroke;
    (0..STATIONS).map(|k| from + (to - from) * k as f64 / (STATIONS - 1) as f64).collect()
}

/// Gap of two bodies at one travel, from their placed solids.
fn at_travel(
    fixture: &Fixture,
    assembly: &Assembly,
    poses: &[Pose],
    ids: (BodyId, BodyId),
    travel: f64,
) -> f64 {
    let body = |id: BodyId| &assembly.bodies[id.0 as usize];
    let placed = |id: BodyId| -> Vec<Solid> {
        let at = |solids: &[Solid], pose: &Pose, x: f64| {
            solids.iter().map(|s| s.placed(pose).shifted(DVec3::X * x)).collect()
        };
        let solids = assembly.solids_at(fixture, id, travel);
        match body(id).owner {
            Owner::Ground => solids.into_owned(),
            Owner::Rider(n) => {
                at(&solids, poses.get(n).unwrap_or(&Pose::IDENTITY), rider_x(fixture, n, travel))
            }
        }
    };
    let (a, b) = (placed(ids.0), placed(ids.1));
    let pairs = a.iter().flat_map(|p| b.iter().map(move |q| separation(p, q).gap));
    pairs.fold(f64::INFINITY, f64::min)
}

/// Least gap of two bodies over the stroke by brute force on their placed solids.
fn brute(fixture: &Fixture, assembly: &Assembly, poses: &[Pose], ids: (BodyId, BodyId)) -> f64 {
    let gap = |travel: f64| at_travel(fixture, assembly, poses, ids, travel);
    let Stroke { from, to } = fixture.stroke;
    let at = |k: usize| from + (to - from) * k as f64 / 960.0;
    let lowest = (0..=960).min_by(|&p, &q| gap(at(p)).total_cmp(&gap(at(q)))).expect("stations");
    let (mut low, mut high) = (at(lowest.saturating_sub(1)), at((lowest + 1).min(960)));
    for _ in 0..60 {
        let (p, q) = (low + 0.382 * (high - low), low + 0.618 * (high - low));
        if gap(p) < gap(q) { high = q } else { low = p }
    }
    gap(0.5 * (low + high)).min(gap(at(lowest)))
}

/// A rider that stands the same all along the stroke.
fn standing(motion: loads::Motion, stations: usize) -> RiderResults {
    let tilt = vec![motion.turn.length(); stations];
    RiderResults { poses: vec![motion; stations], tilt, ..RiderResults::default() }
}

#[test]
fn tilted_riders_are_checked_where_they_stand() {
    let fixture = fixture(&Recipe { nut: Toleranced::between(5.7, 6.0), ..Recipe::default() });
    let assembly = Assembly::new(&fixture);
    let lean = loads::Motion { shift: DVec3::new(0.0, 0.05, -0.1), turn: DVec3::new(0.002, -0.003, 0.001) };
    let back = loads::Motion { shift: DVec3::new(0.0, -0.02, 0.05), turn: DVec3::new(0.0, 0.001, 0.0) };
    let poses = [lean.pose(), back.pose()];
    // The whole rotation is the small motion but for its square.
    let p = DVec3::new(60.0, -40.0, 30.0);
    assert!((lean.pose().point(p) - p - lean.of_point(p)).length() < 1e-3);
    let stations = stations(&fixture);
    let riders = [lean, back].map(|motion| standing(motion, stations.len()));
    let level = Interference::new(&fixture, &assembly, &stations, &[]);
    let tilted = Interference::new(&fixture, &assembly, &stations, &riders);
    assert!(!tilted.passing.is_empty());
    // How a stretch of belt stands with its riders is told to first order.
    for pair in tilted.passing.iter().filter(|pair| pair.kinship != Kinship::MovingLine).take(8) {
        let expected = brute(&fixture, &assembly, &poses, pair.bodies);
        assert!((pair.loaded.gap - expected).abs() < 2e-6, "{pair:?} {expected}");
        let before = level.passing.iter().find(|other| other.bodies == pair.bodies).expect("near when level");
        assert_eq!(pair.gap, before.gap);
    }
    let least = tilted.band.points.iter().map(|p| p.loaded).fold(f64::INFINITY, f64::min);
    let tightest = tilted.passing.iter().filter(|p| !p.meets_stop).map(|p| p.loaded.gap);
    let tightest = tightest.fold(f64::INFINITY, f64::min);
    assert!(least >= tightest - 1e-9 && least < tightest + 0.05, "{least} {tightest}");
    // Where nothing is within reach the band follows the pair that is nearest as drawn, but for squares of its shifts
    // over the radii of rims.
    let mut far = 0;
    for point in tilted.band.points.iter().filter(|point| point.loaded > Interference::REACH + 0.5) {
        let (a, b) = point.pair.expect("the nearest");
        let expected = at_travel(&fixture, &assembly, &poses, (a, b), point.travel);
        assert!((point.loaded - expected).abs() < 0.02, "{point:?} {expected}");
        far += 1;
    }
    assert!(far > 50, "{far}");
    // A rider's own pieces tilt with it.
    for pair in tilted.steady.iter().filter(|pair| pair.kinship == Kinship::OneRider) {
        assert!((pair.loaded.gap - pair.gap).abs() < 1e-9);
    }
}

#[test]
fn what_has_not_changed_is_not_worked_out_again() {
    let mut cache = InterferenceCache::default();
    let recipe = Recipe::default();
    let first = fixture(&recipe);
    let stations = stations(&first);
    let assembly = Assembly::new(&first);
    let one = cache.update(&first, &assembly, &stations, &[]);
    let whole = cache.effort();
    assert!(whole.pairs > 0 && whole.gaps > 0);
    // The cursor is no part of the question: asking again costs nothing.
    assert_eq!(cache.update(&first, &assembly, &stations, &[]), one);
    assert_eq!(cache.effort(), Effort::default());
    // A name or a limit on effort changes no pair.
    let mut renamed = first.clone();
    renamed.limits.effort += 1.0;
    assert_eq!(cache.update(&renamed, &Assembly::new(&renamed), &stations, &[]), one);
    assert_eq!(cache.effort(), Effort::default());
    // One nut thicker: its own pairs only.
    let mut thicker = first.clone();
    for piece in &mut thicker.riders[0].wheels[0].stack.pieces {
        if matches!(piece.kind, PieceKind::Nut { .. }) {
            piece.thickness = Toleranced::exact(9.5);
        }
    }
    let assembly = Assembly::new(&thicker);
    let kept = cache.update(&thicker, &assembly, &stations, &[]);
    let part = cache.effort();
    assert!(part.pairs > 0 && part.gaps * 9 < 5 * whole.gaps, "{part:?} of {whole:?}");
    assert!(part.pairs * 5 < whole.pairs && part.gaps < 2 * STATIONS, "{part:?} of {whole:?}");
    assert_same(&kept, &Interference::new(&thicker, &assembly, &stations, &[]));
    // Another structure, and back again: never what was kept of another fixture.
    let mut fewer = first.clone();
    fewer.riders[1].wheels.pop();
    for other in [&fewer, &first, &thicker, &first] {
        let assembly = Assembly::new(other);
        let kept = cache.update(other, &assembly, &stations, &[]);
        assert_same(&kept, &Interference::new(other, &assembly, &stations, &[]));
    }
    // A whole drag of one size, checked at its end; the stroke and poses too.
    let mut dragged = first.clone();
    for step in 0..40 {
        dragged.riders[0].wheels[1].along += 0.05;
        if step % 7 == 0 {
            dragged.stroke.to -= 1.0;
        }
        let turn = DVec3::Y * (1e-4 * f64::from(step / 10));
        let riders = [standing(loads::Motion { turn, ..loads::Motion::default() }, stations.len())];
        let assembly = Assembly::new(&dragged);
        let kept = cache.update(&dragged, &assembly, &stations, &riders);
        if step % 8 == 7 {
            assert_same(&kept, &Interference::new(&dragged, &assembly, &stations, &riders));
        }
    }
}

/// The same findings; which of two equal pairs is named may differ.
fn assert_same(a: &Interference, b: &Interference) {
    for (p, q) in [(&a.passing, &b.passing), (&a.steady, &b.steady)] {
        assert_eq!(p.len(), q.len());
        for x in p.iter() {
            let y = q.iter().find(|y| y.bodies == x.bodies).expect("the same pairs");
            assert!((x.gap - y.gap).abs() < 1e-7 && x.outcome.word() == y.outcome.word(), "{x:?}\n{y:?}");
            assert_eq!((x.touching.len(), x.below_asked.len()), (y.touching.len(), y.below_asked.len()));
        }
    }
    for (p, q) in a.band.points.iter().zip(&b.band.points) {
        assert!((p.gap - q.gap).abs() < 1e-7 || p.gap == q.gap, "{p:?} {q:?}");
    }
}

#[test]
fn nonsense_is_survived() {
    for bad in [f64::NAN, f64::INFINITY, -1.0, 1e300] {
        let mut broken = fixture(&Recipe::default());
        broken.stroke.to = bad;
        broken.riders[0].at_zero = bad;
        broken.riders[1].wheels[0].along = bad;
        let assembly = Assembly::new(&broken);
        let off = loads::Motion { shift: DVec3::splat(bad), turn: DVec3::splat(bad) };
        let _ = Interference::new(&broken, &assembly, &[0.0, bad, 480.0], &[standing(off, 3)]);
        let mut cache = InterferenceCache::default();
        let good = fixture(&Recipe::default());
        let _ = cache.update(&broken, &assembly, &[0.0, 480.0], &[]);
        let assembly = Assembly::new(&good);
        let after = cache.update(&good, &assembly, &[0.0, 480.0], &[]);
        assert_same(&after, &Interference::new(&good, &assembly, &[0.0, 480.0], &[]));
    }
}
