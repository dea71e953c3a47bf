//! Whole sweeps against the reference library: the envelope against dense sampling refined near its minima, the ends
//! of touching and near intervals by bisection, all on parry3d-f64's own distances.
#![allow(clippy::unwrap_used, reason = "a broken fixture must fail the test")]

mod common;

use common::{Random, reference};
use glidewright_geometry::{Ask, DMat3, DVec3, Motion, Pose, Scene, Shape, Solid};

/// The reference's own error on the shapes and distances used here (mm): see its documented tolerance, and the
/// comparison of single pairs.
const REFERENCE_ERROR: f64 = 2e-5;

fn solids(random: &mut Random, count: usize, up: bool, pose: &Pose) -> Vec<Solid> {
    (0..count)
        .map(|k| {
            let kind = [0, 1, 0, 2][k % 4];
            let mut shape = random.shape(kind);
            // Outlines with arcs have no exact form in the reference.
            while let Shape::Prism { outline, .. } = &shape
                && outline.edges.iter().any(|e| matches!(e, glidewright_geometry::Edge::Arc { .. }))
            {
                shape = random.shape(2);
            }
            let turn = DMat3::from_rotation_z(random.between(0.0, std::f64::consts::TAU));
            let mut solid = Solid { shape, pose: Pose { turn, shift: DVec3::ZERO } };
            let b = solid.bounds();
            let gap = random.between(0.02, 0.8);
            let z = if up { -b.high.z - gap } else { -b.low.z + gap - 0.5 };
            solid.pose.shift = DVec3::new(random.between(-30.0, 30.0), random.between(-12.0, 12.0), z);
            solid.placed(pose)
        })
        .collect()
}

#[test]
fn envelope_minima_and_interval_ends() {
    let mut random = Random(0x2ef5_2ef5_2ef5_2ef5);
    let (mut worst_gap, mut worst_end, mut ends, mut positions): (f64, f64, usize, usize) = (0.0, 0.0, 0, 0);
    for round in 0..10 {
        let pose = match round % 2 {
            0 => Pose::IDENTITY,
            _ => Pose::from_turn(random.direction(), random.between(0.0005, 0.004)),
        };
        let lists = [solids(&mut random, 6, true, &pose), solids(&mut random, 6, false, &Pose::IDENTITY)];
        let mut scene = Scene::new(DVec3::X).unwrap();
        let groups = [
            scene.add_group(Motion::Linked { offset: -20.0, ratio: 1.0 }),
            scene.add_group(Motion::Linked { offset: 100.0, ratio: -0.7 }),
        ];
        for (list, group) in lists.iter().zip(groups) {
            for (k, solid) in (0..).zip(list) {
                scene.add_solid(group, k, solid);
            }
        }
        let channel = scene.watch(groups[0], groups[1]);
        let ask =
            Ask { from: 0.0, to: 140.0, positions: 71, below: 0.3, horizon: 50.0, ceiling: f64::INFINITY };
        scene.sweep(&ask);
        let found = scene.result(channel).unwrap();
        let shift = |s: f64| 120.0 - 1.7 * s;
        // The reference takes B's shape once and moves it.
        let shapes = lists
            .each_ref()
            .map(|list| list.iter().map(|s| reference::shape(s).unwrap()).collect::<Vec<_>>());
        let gap = |i: usize, j: usize, s: f64| {
            let (pose, shape) = &shapes[1][j];
            reference::gap_moved(&shapes[0][i], (pose, &**shape), DVec3::X * shift(s)).unwrap()
        };
        let all = |s: f64| {
            let pairs = (0..6).flat_map(|i| (0..6).map(move |j| (i, j)));
            pairs.map(|(i, j)| gap(i, j, s)).fold(f64::INFINITY, f64::min)
        };
        for (k, nearest) in found.envelope.iter().enumerate() {
            let off = (nearest.gap - all(2.0 * k as f64)).abs();
            // Deep overlaps are where the reference may stop at a wrong depth.
            if nearest.gap > -0.3 {
                worst_gap = worst_gap.max(off);
                assert!(off < REFERENCE_ERROR, "{round} at {k}: {nearest:?} off {off}");
                positions += 1;
            }
        }
        for near in &found.near {
            let (i, j) = (near.body_a as usize, near.body_b as usize);
            // Dense sampling, then a golden-section search around the lowest sample.
            let samples = 701;
            let s_of = |k: usize| 140.0 * k as f64 / (samples - 1) as f64;
            let lowest =
                (0..samples).min_by(|&p, &q| gap(i, j, s_of(p)).total_cmp(&gap(i, j, s_of(q)))).unwrap();
            let (mut low, mut high) = (s_of(lowest.saturating_sub(1)), s_of((lowest + 1).min(samples - 1)));
            for _ in 0..60 {
                let (p, q) = (low + 0.382 * (high - low), low + 0.618 * (high - low));
                if gap(i, j, p) < gap(i, j, q) { high = q } else { low = p }
            }
            let refined = gap(i, j, 0.5 * (low + high)).min(gap(i, j, s_of(lowest)));
            if near.least.gap > -0.3 {
                let off = (near.least.gap - refined).abs();
                assert!(off < REFERENCE_ERROR, "{round} {i} {j}: {:?} {refined}", near.least);
                worst_gap = worst_gap.max(off);
            }
            for (level, list) in [(0.0, &near.touching), (0.3, &near.below)] {
                for &(from, to) in list {
                    let inside = 0.5 * (near.least.span.0 + near.least.span.1);
                    for (end, limit) in [(from, 0.0), (to, 140.0)] {
                        if end == limit {
                            continue;
                        }
                        let (mut out, mut within) = (limit, inside);
                        if gap(i, j, out) <= level {
                            continue;
                        }
                        for _ in 0..60 {
                            let mid = 0.5 * (out + within);
                            if gap(i, j, mid) <= level { within = mid } else { out = mid }
                        }
                        // A grazing end is only as sharp as the reference's error over the slope.
                        let h = 1e-3;
                        let slope = (gap(i, j, out + h) - gap(i, j, out - h)).abs() / (2.0 * h);
                        let room = 1e-6 + REFERENCE_ERROR / slope.max(1e-3);
                        let off = (end - out).abs();
                        assert!(off <= room, "{round} {i} {j} level {level}: {end} {out} slope {slope}");
                        if slope > 0.2 {
                            worst_end = worst_end.max(off);
                            ends += 1;
                        }
                    }
                }
            }
        }
    }
    eprintln!(
        "{positions} positions, {ends} steep ends; largest difference of a gap {worst_gap:.1e} mm, of an end {worst_end:.1e} mm"
    );
    assert!(ends > 60 && positions > 300, "{ends} {positions}");
}
