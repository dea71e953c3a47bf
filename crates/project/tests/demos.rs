//! The demo projects: they read, resolve without a problem, and say what they are meant to say.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_motion::{Fixture, PieceKind, Rider};
use glidewright_project::{
    Document, apply, check_all, demo_text, parse, print, resolve, sample_shuttle_text,
};
use glidewright_samples::COPY_STAND;

fn read(text: &str) -> Document {
    parse(text).unwrap_or_else(|problems| panic!("{problems:?}"))
}

fn fixture(document: &Document, trial: Option<&str>) -> Fixture {
    let resolved = resolve(document, trial);
    assert!(resolved.problems.is_empty(), "{:#?}", resolved.problems);
    resolved.fixture.unwrap()
}

#[test]
fn all_resolve_without_a_problem_and_so_do_their_trials() {
    for text in [demo_text(), COPY_STAND, sample_shuttle_text()] {
        let document = read(text);
        fixture(&document, None);
        for trial in &document.trials {
            fixture(&document, Some(&trial.name));
        }
        assert!(check_all(&document).is_empty());
    }
}

#[test]
fn all_survive_printing() {
    for text in [demo_text(), COPY_STAND, sample_shuttle_text()] {
        let document = read(text);
        let printed = print(&document);
        assert_eq!(read(&printed), document);
        assert_eq!(print(&read(&printed)), printed);
        assert_eq!(printed, text);
    }
}

/// How far a rider's nuts and screws reach from the track's mid-plane away from the plate.
fn reaches(rider: &Rider) -> (f64, f64) {
    let stack = &rider.wheels[0].stack;
    let wheel = stack.pieces.iter().position(|p| matches!(p.kind, PieceKind::Wheel(_))).unwrap();
    let thickness =
        |from: usize, to: usize| stack.pieces[from..to].iter().map(|p| p.thickness.nominal).sum::<f64>();
    let hub = stack.pieces[wheel].thickness.nominal;
    let nut = 0.5 * hub + thickness(wheel + 1, stack.pieces.len());
    let tip = stack.screw.length.nominal - thickness(0, wheel) - 0.5 * hub;
    (nut, tip)
}

#[test]
fn facing_stacks_of_the_copy_stand_reach_as_designed() {
    let document = read(COPY_STAND);
    let check = |trial, nut: f64, tip: f64| {
        for rider in &fixture(&document, trial).riders {
            let got = reaches(rider);
            assert!((got.0 - nut).abs() < 1e-12 && (got.1 - tip).abs() < 1e-12, "{trial:?}: {got:?}");
        }
    };
    // Own sums over the stacks, nut heights the middle of ISO 7040 and DIN 985 limits.
    check(None, 15.21, 14.9);
    check(Some("thin lock nuts"), 13.35, 14.9);
    check(Some("spacers regrouped"), 12.85, 13.9);
}

#[test]
fn turning_screws_round_puts_the_pieces_in_the_other_order() {
    let document = read(COPY_STAND);
    let (turned, problems) = apply(&document, "screws turned round");
    assert!(problems.is_empty());
    let names = |document: &Document| {
        let stack = document.riders[0].stack.as_ref().unwrap();
        stack.pieces.iter().map(|p| p.part.clone()).collect::<Vec<_>>()
    };
    let mut expected = names(&document);
    expected[..6].reverse();
    assert_eq!(names(&turned), expected);
}

/// Mass of a rider (kg); plates by their outline less holes.
fn mass(rider: &Rider) -> f64 {
    let stacks = rider.wheels.iter().map(|w| &w.stack).chain(rider.bolts.iter().map(|b| &b.stack));
    let hardware: f64 = stacks.map(|s| s.screw.mass + s.pieces.iter().map(|p| p.mass).sum::<f64>()).sum();
    let plates: f64 = rider
        .plates
        .iter()
        .map(|p| {
            let area = p.outline.area() - p.holes.iter().map(|h| h.area()).sum::<f64>();
            area * p.thickness.nominal * p.fill * p.material.density * 1e-9
        })
        .sum();
    hardware + plates + rider.loads.iter().map(|l| l.mass).sum::<f64>()
}

#[test]
fn the_copy_stand_nearly_balances() {
    let fixture = fixture(&read(COPY_STAND), None);
    let masses: Vec<f64> = fixture.riders.iter().map(mass).collect();
    assert!((masses[0] - 1.3).abs() < 0.1);
    assert!((masses[0] - masses[1]).abs() < 0.02);
}

/// By hand: from the wheel's middle, 30 mm before the rail's, outwards half a hub of 5.5, a ring of 1, a tube of 13, a plate
/// of 6 and a washer of 1 make 56.5 to the head, 45 of screw reach back to 11.5; the tie reaches to 12. The trays of
/// 220 leave 0.8 to the hose clip, those of 216 leave 2.8.
#[test]
fn the_seedling_lifts_screws_foul_the_tie_and_its_trials_cure_that() {
    let document = read(demo_text());
    assert!(check_all(&document).is_empty());
    let tightest = |trial: Option<&str>| {
        let results = glidewright_motion::analyse(&fixture(&document, trial));
        results.interference.tightest().map(|pair| pair.gap).unwrap()
    };
    let gaps =
        [None, Some("tie on edge"), Some("shorter screws"), Some("smaller wheels"), Some("trimmed trays")]
            .map(tightest);
    for (gap, told) in gaps.into_iter().zip([-0.5, 0.8, 0.8, 0.5, 2.8]) {
        assert!((gap - told).abs() < 1e-6, "{gaps:?}");
    }
}
