//! How deep bodies of several pieces overlap: the same figure whoever asks, no less at any travel than is told.
#![allow(clippy::expect_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{Recipe, fixture};
use glam::DVec3;
use glidewright_geometry::{Depth, DepthEffort, Overlap, Solid};
use glidewright_motion::*;

/// Two riders whose wheels run into each other: every tyre is of three pieces.
fn crossing(spacing: f64) -> Fixture {
    fixture(&Recipe { spacing, rear_radius: 22.0, head_mass: 0.0, counter_mass: 0.0, ..Recipe::default() })
}

fn standing(fixture: &Fixture, results: &Results, id: BodyId, travel: f64) -> Vec<Solid> {
    let body = &results.assembly.bodies[id.0 as usize];
    let home = match body.owner {
        Owner::Ground => 0.0,
        Owner::Rider(number) => rider_x(fixture, number, travel),
    };
    body.solids.iter().map(|solid| solid.shifted(DVec3::X * home)).collect()
}

fn depth(fixture: &Fixture, results: &Results, ids: (BodyId, BodyId), travel: f64) -> Depth {
    let [a, b] = [ids.0, ids.1].map(|id| standing(fixture, results, id, travel));
    let effort = DepthEffort { tolerance: 1e-4, rays: 600, ..DepthEffort::FULL };
    Overlap::new(&a, &b).depth(DVec3::ZERO, &effort)
}

fn several(results: &Results, pair: &PairResult) -> bool {
    let pieces = |id: BodyId| results.assembly.bodies[id.0 as usize].solids.len();
    overlaps(pair.gap) && (pieces(pair.bodies.0) > 1 || pieces(pair.bodies.1) > 1)
}

#[test]
fn the_gap_of_an_overlap_is_the_depth_of_the_whole_bodies() {
    let mut seen = 0;
    for spacing in [2.0, 5.0, 9.0] {
        let fixture = crossing(spacing);
        let results = analyse(&fixture);
        for pair in results.interference.passing.iter().filter(|pair| several(&results, pair)).take(12) {
            seen += 1;
            let there = depth(&fixture, &results, pair.bodies, pair.at_travel);
            let bounds = pair.depth.expect("an overlap has bounds");
            assert!(bounds.at_least <= -pair.gap + 1e-9 && bounds.at_most >= -pair.gap - 1e-9);
            assert!(
                there.at_least <= -pair.gap + 1e-3 && bounds.at_least <= there.depth + 1e-6,
                "{pair:?} {there:?}"
            );
            assert!((there.depth + pair.gap).abs() < 2e-3, "{pair:?} {there:?}");
            // Shifted as far as that they are apart.
            assert!((pair.separation.gap - pair.gap).abs() < 1e-12);
            for k in 0..=48 {
                let travel = 10.0 * f64::from(k);
                let found = depth(&fixture, &results, pair.bodies, travel);
                assert!(found.at_least <= bounds.at_most + 2e-3, "{travel}: {found:?} {pair:?}");
                assert!(found.at_least <= -pair.gap + 0.02, "{travel}: {found:?} {pair:?}");
            }
        }
        let deepest = results.interference.tightest().expect("they pass");
        let band = results.interference.band.points.iter().map(|p| p.gap).fold(f64::INFINITY, f64::min);
        assert!(band >= deepest.gap - 5e-3, "{band} {}", deepest.gap);
    }
    assert!(seen > 6, "{seen}");
}

/// The riders in another order, and the fixture mirrored left to right: the same depths.
#[test]
fn depths_do_not_hang_on_the_order_of_riders() {
    let depths = |fixture: &Fixture| {
        let results = analyse(fixture);
        let mut all: Vec<f64> = results
            .interference
            .passing
            .iter()
            .filter(|pair| several(&results, pair))
            .map(|pair| pair.gap)
            .collect();
        all.sort_by(f64::total_cmp);
        all
    };
    let first = crossing(4.0);
    let mut swapped = first.clone();
    swapped.riders.swap(0, 1);
    if let Some(line) = &mut swapped.line {
        for node in &mut line.nodes {
            if let LineNode::Anchor { rider: Some(rider), .. } = node {
                *rider = 1 - *rider;
            }
        }
    }
    let (one, other) = (depths(&first), depths(&swapped));
    assert!(one.len() > 3 && one.len() == other.len(), "{one:?} {other:?}");
    for (p, q) in one.iter().zip(&other) {
        assert!((p - q).abs() < 2e-3, "{one:?} {other:?}");
    }
}
