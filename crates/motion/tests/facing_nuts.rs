//! The job the engine exists for: do facing nuts clear as two riders pass, by how much, and why?
#![allow(clippy::expect_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{Recipe, fixture};
use glidewright_motion::*;

fn tightest(recipe: &Recipe) -> (PairResult, Results) {
    let results = analyse(&fixture(recipe));
    assert!(results.assembly.faults.is_empty(), "{:?}", results.assembly.faults);
    let pair = results.interference.tightest().cloned().expect("two riders pass");
    (pair, results)
}

fn roles(results: &Results, pair: &PairResult) -> (Role, Role) {
    let role = |id: BodyId| results.assembly.bodies[id.0 as usize].role;
    (role(pair.bodies.0), role(pair.bodies.1))
}

#[test]
fn facing_lock_nuts_foul() {
    let recipe = Recipe::default();
    let (pair, results) = tightest(&recipe);
    // 30 − 2 × (6.5 + 1.0 + 7.71)
    assert!((pair.gap + 0.42).abs() < 1e-9, "{}", pair.gap);
    assert_eq!(roles(&results, &pair), (Role::Nut, Role::Nut));
    assert!(matches!(pair.outcome, Outcome::Fouls { .. }));
    let chain = pair.chain.as_ref().expect("the gap lies along the screws");
    assert!((chain.nominal() - pair.gap).abs() < 1e-9);
    assert!((chain.worst_case() - 2.0 * 0.29).abs() < 1e-9);
    assert_eq!(
        chain.sentence().to_string(),
        "30.00 track spacing − 2 × (6.50 half wheel + 1.00 shim + 7.71 nut) = −0.42 mm"
    );
    let finding = &results.findings[0];
    assert_eq!((finding.code, finding.severity), ("gap.fouls", Severity::Fails));
    // Nuts at ±45 on both riders pass at relative travel −90, 0 and 90, the riders meeting at travel 240:
    // three stretches, each as long as two corner circles allow at half the relative speed.
    assert_eq!(finding.stretches.len(), 3, "{:?}", finding.stretches);
    let reach = 10.0 / (std::f64::consts::PI / 6.0).cos() / 2.0;
    for ((from, to), middle) in finding.stretches.iter().zip([195.0, 240.0, 285.0]) {
        assert!((from - (middle - reach)).abs() < 1e-6, "{from} {middle} {reach}");
        assert!((to - (middle + reach)).abs() < 1e-6);
    }
}

#[test]
fn thinner_nuts_leave_the_screw_ends_nearest() {
    let recipe = Recipe { nut: Toleranced::between(5.7, 6.0), ..Recipe::default() };
    let (pair, results) = tightest(&recipe);
    // The tip stands 45 − (1.6 + 6 + 15 + 1 + 6.5) = 14.9 from the wheel's middle.
    assert!((pair.gap - 0.2).abs() < 1e-9, "{}", pair.gap);
    assert_eq!(roles(&results, &pair), (Role::ScrewEnd, Role::ScrewEnd));
    assert_eq!(pair.outcome, Outcome::Marginal);
}

#[test]
fn smaller_wheels_at_the_rear_clear_by_passing() {
    let recipe = Recipe { rear_radius: 12.0, ..Recipe::default() };
    let (pair, results) = tightest(&recipe);
    let room = 13.0 - 10.0 / (std::f64::consts::PI / 6.0).cos();
    let Outcome::ClearByPassing { room: got } = pair.outcome else { panic!("{pair:?}") };
    assert!((got - room).abs() < 1e-9, "{got} {room}");
    assert_eq!(
        results.findings.iter().filter(|f| f.code.starts_with("gap.") && f.severity > Severity::Note).count(),
        0
    );
}

/// Common practice, no source: a standard nylon-insert M5 lock nut measures about 4.9 mm, a low-profile
/// one 4.46 mm; where facing standard nuts just touch, swapping both gains 2 × 0.44 = 0.88 mm.
#[test]
fn low_profile_nuts_gain_almost_a_millimetre() {
    let base = Recipe {
        spacing: 20.0,
        hub: 8.2,
        nut: Toleranced::exact(4.9),
        across_flats: 8.0,
        spacer: 20.0,
        screw: 40.0,
        ..Recipe::default()
    };
    let (before, _) = tightest(&base);
    assert!(before.gap.abs() < 1e-9, "{}", before.gap);
    let (after, results) = tightest(&Recipe { nut: Toleranced::exact(4.46), ..base });
    assert!((after.gap - 0.88).abs() < 1e-9, "{}", after.gap);
    assert_eq!(roles(&results, &after), (Role::Nut, Role::Nut));
    assert_eq!(after.outcome, Outcome::Marginal);
}

/// Common practice, no source: a face-to-face gap of 0.88 mm between two riders' nuts still grazed on a real build.
/// With ordinary play, a load that makes the riders lean from their belt, and ordinary tolerances nothing of it may be
/// left, whatever little is asked for.
#[test]
fn a_gap_of_0_88_still_grazes() {
    let around =
        |nominal: f64, half_width: f64| Toleranced::between(nominal - half_width, nominal + half_width);
    let recipe = Recipe {
        spacing: 20.0,
        hub: 8.2,
        nut: around(4.46, 0.15),
        across_flats: 8.0,
        spacer: 20.0,
        screw: 38.0,
        head_mass: 0.6,
        counter_mass: 0.6,
        asked_gap: 0.2,
        ..Recipe::default()
    };
    let mut ordinary = fixture(&recipe);
    for rider in &mut ordinary.riders {
        rider.loads[0].centre *= 1.5;
        for mount in &mut rider.wheels {
            mount.press = -0.1;
            mount.stack.pieces[4].thickness = around(8.2, 0.1);
        }
    }
    let worst = |fixture: &Fixture| {
        let results = analyse(fixture);
        let pair = results.interference.tightest().cloned().expect("two riders pass");
        assert!((pair.gap - 0.88).abs() < 1e-9, "{}", pair.gap);
        (pair, results)
    };
    let (pair, results) = worst(&ordinary);
    assert_eq!(pair.outcome, Outcome::Marginal);
    assert!(pair.tilt() > 0.1 && pair.play > 0.1 && pair.tolerance.worst > 0.3, "{pair:?}");
    assert!(pair.left() < 0.0, "{}", pair.left());
    assert!((pair.tilt() + pair.play + pair.tolerance.worst + pair.left() - 0.88).abs() < 1e-9);
    let finding = results.findings.iter().find(|finding| finding.code == "gap.marginal").expect("a finding");
    for words in
        ["tilt and deflection under load take", "play can take", "tolerances can take", "may be left"]
    {
        assert!(finding.reason.to_string().contains(words), "{}", finding.reason);
    }
    // Held by hand at their own centres instead of a belt they still lean as far as play lets them: friction at the wheels
    // takes its share of the holding.
    ordinary.line = None;
    let centres: Vec<_> = Assembly::new(&ordinary).riders.iter().map(|placed| placed.mass.centre()).collect();
    for (rider, at) in ordinary.riders.iter_mut().zip(centres) {
        rider.grip = Some(Grip { name: "hand".into(), at });
    }
    let (pair, _) = worst(&ordinary);
    assert!(pair.tilt().abs() < pair.play && pair.play > 0.3, "{pair:?}");
    assert_eq!(pair.outcome, Outcome::Marginal);
    // Pressed wheels leave no play, and the same gap does.
    for mount in ordinary.riders.iter_mut().flat_map(|rider| &mut rider.wheels) {
        mount.press = 0.02;
    }
    let (pair, _) = worst(&ordinary);
    assert_eq!((pair.outcome, pair.play), (Outcome::ClearByGap, 0.0));
}

#[test]
fn the_band_reaches_its_minimum_where_the_pair_does() {
    let (pair, results) = tightest(&Recipe::default());
    let least = results.interference.band.points.iter().map(|p| p.gap).fold(f64::INFINITY, f64::min);
    assert!(least >= pair.gap - 1e-9);
    assert!((results.interference.band.at(240.0).unwrap().gap - pair.gap).abs() < 1e-6);
}
