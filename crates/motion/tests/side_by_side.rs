//! "Clear side by side" holds however long the screws, and no outcome hangs on rounding.
#![allow(clippy::expect_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{Recipe, fixture};
use glam::DVec2;
use glidewright_motion::*;

/// The second rider faces left: its screws stand square to the first's, their tips `beyond` millimetres outside the
/// first's screws and its axles `up` above and below the first's tips.
fn square_riders(beyond: f64, up: f64, longer: f64) -> Fixture {
    let mut fixture = fixture(&Recipe { nut: Toleranced::exact(6.0), ..Recipe::default() });
    let axle = |fixture: &Fixture, rider: usize| {
        let assembly = Assembly::new(fixture);
        assembly.riders[rider].stacks.iter().map(|s| (s.at.y, s.datum, s.tip_level)).collect::<Vec<_>>()
    };
    let outermost = axle(&fixture, 0).iter().map(|s| s.0).fold(f64::NEG_INFINITY, f64::max);
    fixture.riders[1].facing = Facing::Left;
    for (track, side) in [(2, -1.0), (3, 1.0)] {
        fixture.rail.tracks[track].normal = DVec2::new(0.0, side);
        fixture.rail.tracks[track].middle = DVec2::new(0.0, side * (up - 22.7));
    }
    let tip = axle(&fixture, 1)[0].2;
    // 3 is the screw's radius.
    for track in [2, 3] {
        fixture.rail.tracks[track].middle.x += outermost + 3.0 + beyond - tip;
    }
    for mount in fixture.riders.iter_mut().flat_map(|rider| &mut rider.wheels) {
        mount.stack.screw.length = Toleranced::exact(mount.stack.screw.length.nominal + longer);
    }
    fixture.line = None;
    fixture
}

fn between_screw_ends(fixture: &Fixture) -> Vec<PairResult> {
    let results = analyse(fixture);
    let is_end = |id: BodyId| results.assembly.bodies[id.0 as usize].role == Role::ScrewEnd;
    let all =
        results.interference.passing.iter().filter(|pair| is_end(pair.bodies.0) && is_end(pair.bodies.1));
    all.cloned().collect()
}

/// The gap of 1.60 lies along the second's screws: seen along the first's they pass side by side, and a longer screw on
/// the second still fouls.
#[test]
fn screws_square_to_each_other_face_along_one_of_them() {
    for swapped in [false, true] {
        let order = |mut fixture: Fixture| {
            if swapped {
                fixture.riders.swap(0, 1);
            }
            fixture
        };
        let pairs = between_screw_ends(&order(square_riders(1.6, 0.0, 0.0)));
        let nearest = pairs.first().expect("they come near");
        assert!((nearest.gap - 1.6).abs() < 1e-6, "{nearest:?}");
        assert_eq!(nearest.passage, Passage::Facing, "swapped {swapped}");
        assert!(!matches!(nearest.outcome, Outcome::ClearByPassing { .. }), "{nearest:?}");
        let longer = between_screw_ends(&order(square_riders(1.6, 0.0, 4.0)));
        let fouls = longer.first().expect("they come near");
        assert!(matches!(fouls.outcome, Outcome::Fouls { depth } if (depth - 2.4).abs() < 1e-6), "{fouls:?}");
    }
}

/// Whatever passes side by side stays clear of the other however long the screws are.
#[test]
fn what_passes_side_by_side_stays_clear_of_longer_screws() {
    let mut seen = 0;
    for beyond in [-4.0, 0.5, 3.0, 5.0] {
        let order = |beyond: f64, longer: f64| {
            let mut fixture = square_riders(beyond, 8.0, longer);
            // The second stops short of the first: 4 mm along the rail are left between their screws.
            fixture.stroke.to = 190.0;
            fixture
        };
        for pair in between_screw_ends(&order(beyond, 0.0)) {
            let Passage::Beside { room } = pair.passage else { continue };
            let longer = between_screw_ends(&order(beyond, 30.0));
            let same = longer.iter().find(|other| other.bodies == pair.bodies).expect("still near");
            assert!(same.gap > 0.0 && same.gap >= room - 1e-9, "{pair:?} {same:?}");
            seen += 1;
        }
    }
    assert!(seen >= 4, "{seen}");
}

/// Sizes that add up to the gap asked for, or to nothing, but for the last digit: one outcome.
#[test]
fn outcomes_do_not_hang_on_rounding() {
    let pair = |nut: f64, asked: f64| {
        let recipe = Recipe {
            nut: Toleranced::exact(nut),
            asked_gap: asked,
            screw: 42.0,
            head_mass: 0.0,
            counter_mass: 0.0,
            ..Recipe::default()
        };
        let mut fixture = fixture(&recipe);
        fixture.line = None;
        let results = analyse(&fixture);
        let pair = results.interference.tightest().expect("they pass").clone();
        let finding = results.findings.iter().find(|f| f.code.starts_with("gap.")).expect("told").clone();
        (pair, finding)
    };
    // 30 − 2 × (6.5 + 1.0 + nut): 7.5 leaves nothing, 7.3 leaves 0.4.
    for off in [-1e-13, -1e-15, 0.0, 1e-15, 1e-13] {
        let (touching, finding) = pair(7.5 + off, 0.2);
        assert!(matches!(touching.outcome, Outcome::Fouls { depth } if depth < 1e-12), "{off} {touching:?}");
        assert_eq!((finding.code, finding.stretches.len()), ("gap.fouls", 3), "{off}");
        let (asked, finding) = pair(7.3 + off, 0.4);
        assert_eq!(asked.below_asked, [], "{off}");
        assert_ne!(finding.code, "gap.fouls");
        assert!(!falls_short(asked.gap, asked.asked), "{off}");
    }
    let (short, _) = pair(7.3, 0.401);
    assert!(falls_short(short.gap, short.asked) && !short.below_asked.is_empty());
}
