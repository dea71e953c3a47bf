//! Shares of builds through whole projects against closed forms.
//!
//! Sums of uniform sizes follow the Irwin–Hall distribution (Irwin, Biometrika 19 (1927) 225; Hall, the same, 240; from
//! memory): with u = (x + Σt)/2t, P(sum of n ≤ x) = Σₖ (−1)ᵏ C(n, k) (u − k)₊ⁿ/n!. The values below were worked out from it,
//! and again by quadrature.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use std::f64::consts::TAU;
use std::fmt::Write;

use common::{Project, agrees, bar, built};
use glidewright_choice::{Likeness, Outcome};

/// Shared sizes of 0 ± each of these, by letters.
fn sizes(half_widths: &[f64]) -> (String, String) {
    let (mut sizes, mut names) = (String::new(), Vec::new());
    for (half, letter) in half_widths.iter().zip('a'..) {
        let _ = write!(sizes, "\"{letter}_off\": (value: 0, tolerance: plus_minus({half:?})),");
        names.push(format!("{letter}_off"));
    }
    (sizes, names.join(" + "))
}

/// Builds of which those foul whose sizes add up to more than `beyond`.
fn sums(half_widths: &[f64], beyond: f64, samples: u64) -> Outcome {
    let (sizes, sum) = sizes(half_widths);
    built(&Project::passing(&sizes, &sum, beyond), &[], samples)
}

#[test]
fn three_uniform_sizes() {
    let outcome = sums(&[0.1; 3], 0.2, 200_000);
    agrees(outcome.fouls.count, outcome.samples, 0.020_833_3);
    assert!(outcome.fouls.low < 0.020_833_3 && outcome.fouls.high > 0.020_833_3);
    assert!((outcome.drawn - 0.2).abs() < 1e-9 && (outcome.mean.unwrap() - 0.2).abs() < 2e-3);
    assert_eq!(outcome.unproved, 0);
    // No build gets as far as the required half millimetre: the worst case is 0.2 + 0.3.
    assert_eq!(outcome.short.count, outcome.samples);
    // The interval that holds 95 %: the sum is beyond s in (0.3 − s)³/(48·0.1³) of builds at either end.
    let s = 0.3 - 0.1 * (0.025f64 * 48.0).cbrt();
    let (low, high) = outcome.likely.unwrap();
    assert!((low - (0.2 - s)).abs() < 2e-3 && (high - (0.2 + s)).abs() < 2e-3, "{low} {high} {s}");
}

#[test]
fn four_uniform_sizes() {
    let outcome = sums(&[0.1; 4], 0.25, 200_000);
    agrees(outcome.fouls.count, outcome.samples, 0.013_183_59);
}

/// The sizes of a textbook stack, ±0.20, ±0.10 and ±0.15; and what share falls short of a required gap.
#[test]
fn three_unequal_sizes() {
    let outcome = sums(&[0.20, 0.10, 0.15], 0.40, 400_000);
    agrees(outcome.fouls.count, outcome.samples, 8.680_556e-4);
    let (sizes, sum) = sizes(&[0.20, 0.10, 0.15]);
    let project = Project { gap: 0.40 - 0.269_26, ..Project::passing(&sizes, &sum, 0.40) };
    let outcome = built(&project, &[], 100_000);
    agrees(outcome.short.count, outcome.samples, 0.041_001_6);
}

/// Of n equal uniform sizes the root of the sum of squares leaves 8 % of builds outside, not the 0.27 % of a normal spread:
/// 0.0857864 for two, 0.0832645 without end (erfc(√(3/2))).
#[test]
fn eight_in_a_hundred_lie_beyond_the_root_of_squares() {
    for (count, truth) in [(2, 0.085_786_4), (12, 0.083_26)] {
        let outcome = sums(&vec![0.02; count], 0.2, 100_000);
        let squares = 0.02 * (count as f64).sqrt();
        assert!((outcome.root_of_squares - squares).abs() < 1e-6, "{}", outcome.root_of_squares);
        let beyond = outcome.beyond_root_of_squares;
        // Of twelve the share lies between that of two and the limit.
        let within = if count == 2 { 0.0 } else { 6e-4 };
        assert!((beyond.share - truth).abs() < 4.0 * (truth / 1e5f64).sqrt() + within, "{beyond:?}");
    }
}

/// First order indices of a linear gap are the shares of the squares: 0.551724, 0.137931, 0.310345 of the stack above
/// (Saltelli et al., Global Sensitivity Analysis, 2008, ch. 1; from memory).
#[test]
fn shares_of_variance_of_a_linear_gap() {
    // A tenth of it, so that nothing else comes as near.
    let outcome = sums(&[0.020, 0.010, 0.015], 0.2, 20_000);
    let shares: Vec<f64> = outcome.contributors.iter().map(|c| c.share_of_variance.unwrap()).collect();
    for (share, truth) in shares.iter().zip([0.551_724, 0.310_345, 0.137_931]) {
        assert!((share - truth).abs() < 0.02, "{shares:?}");
    }
    let order: Vec<usize> = outcome.contributors.iter().map(|c| c.size).take(3).collect();
    assert_eq!(order, [0, 2, 1]);
}

/// With the spread of one of two equal sizes halved, by the area of a corner of a rectangle. Of ±0.1 and
/// ±0.05 the sum is beyond 0.12 in (0.15 − 0.12)²/(2·0.2·0.1) = 0.0225 of builds; of ±0.1 twice in (0.2 − 0.12)²/0.08 = 0.08.
#[test]
fn halving_a_spread() {
    let (sizes, sum) = sizes(&[0.1, 0.1]);
    let document = Project::passing(&sizes, &sum, 0.12).document();
    let mut builds = common::begin(&document, &common::question(&[]));
    builds.advance(60_000, &|| false);
    assert_eq!(builds.halve(60_000, &|| false), Some(60_000));
    let outcome = builds.outcome();
    agrees(outcome.fouls.count, outcome.samples, 0.08);
    for contributor in &outcome.contributors {
        let halved = contributor.halved.unwrap();
        assert_eq!(halved.fouled, outcome.fouls.count);
        if contributor.size < 2 {
            agrees(halved.fouls.count, halved.fouls.of, 0.0225);
        } else {
            assert_eq!(halved.fouls.count, outcome.fouls.count);
        }
    }
}

fn bolt(name: &str, at: (i32, i32)) -> String {
    format!(
        "(name: \"{name}\", at: {at:?}, stack: (screw: \"exact screw\", length: 22, pieces: [(spacer: \"sleeve\", name: \"lower\"), \
         (spacer: \"sleeve\", name: \"upper\"), (plate: \"shelf\"), (nut: \"exact nut\")])),"
    )
}

/// Bolts in a shelf with two sleeves of one kind under each head, 0.15 mm below a bar.
fn sleeves(bolts: &[(i32, i32)]) -> Project {
    Project {
        bolts: bolts.iter().enumerate().map(|(n, at)| bolt(&format!("bolt {n}"), *at)).collect(),
        parts: "(name: \"sleeve\", material: \"steel, plain carbon\", form: spacer(hole: 5.2, outer: 9, length: (value: 4, tolerance: plus_minus(0.1)))),"
            .into(),
        bar: bar(66.0 + 8.0 + 5.0 + 0.15),
        gap: 0.5,
        ..Project::default()
    }
}

/// Two parts under one head: each by itself their sum is beyond 0.15 in (0.2 − 0.15)²/(8·0.1²) = 0.03125 of builds, of one
/// lot in 0.125. Four such bolts, each by itself: 1 − (1 − 0.03125)⁴ = 0.1192617.
#[test]
fn of_one_lot_or_each_by_itself() {
    const SLEEVE: &str = "parts/sleeve/length";
    let one = sleeves(&[(0, 0)]);
    let each = built(&one, &[], 100_000);
    agrees(each.fouls.count, each.samples, 0.031_25);
    let alike = built(&one, &[(SLEEVE, Likeness::Alike)], 100_000);
    agrees(alike.fouls.count, alike.samples, 0.125);
    let four = sleeves(&[(-20, -20), (-20, 20), (20, -20), (20, 20)]);
    let each = built(&four, &[(SLEEVE, Likeness::Each)], 100_000);
    agrees(each.fouls.count, each.samples, 0.119_261_7);
    // Of four bolts any is the least as often as another.
    for pair in each.pairs.iter().take(4) {
        assert!((pair.least_of.share - 0.25).abs() < 0.01, "{:?}", pair.least_of);
    }
    // Of one lot all four are one.
    let alike = built(&four, &[(SLEEVE, Likeness::Alike)], 100_000);
    agrees(alike.fouls.count, alike.samples, 0.125);
}

/// A pin along the way, off by a normal spread of 0.05 mm (±0.15) across and up, in a hole with 0.15 mm of room all round:
/// it touches when it is off by more, in exp(−½ (0.15/0.05)²) = 0.0111090 of builds (Rayleigh). The hole is of 64 flats,
/// whose corners lie 0.0002 mm farther out.
#[test]
fn a_pin_in_a_hole() {
    const FLATS: usize = 64;
    let mut bodies = String::new();
    for k in 0..FLATS {
        let angle = TAU * k as f64 / FLATS as f64;
        let (sin, cos) = angle.sin_cos();
        // A thin slab, its inner face 3.15 from the axis of the pin, at (0, 120) in (y, z).
        let point = |out: f64, side: f64| (cos * out - sin * side, 120.0 + sin * out + cos * side);
        let corners = [point(3.15, -0.3), point(5.0, -0.3), point(5.0, 0.3), point(3.15, 0.3)];
        let path: Vec<String> = corners.iter().map(|(y, z)| format!("{:.9} {:.9}", -y, -z)).collect();
        let _ = write!(
            bodies,
            "outline(shape: path(d: \"M{} L{} L{} L{} z\"), along: x, from: 400, to: 406),",
            path[0], path[1], path[2], path[3]
        );
    }
    let project = Project {
        sizes:
            "\"aside\": (value: 0, tolerance: normal(0.15)), \"up\": (value: 120, tolerance: normal(0.15)),"
                .into(),
        mast: "cylinder(from: (-20, \"aside\", \"up\"), to: (20, \"aside\", \"up\"), diameter: 6)".into(),
        bar: bodies,
        gap: 0.05,
        ..Project::default()
    };
    let outcome = built(&project, &[], 100_000);
    assert!((outcome.drawn - 0.15).abs() < 1e-7, "{}", outcome.drawn);
    agrees(outcome.fouls.count, outcome.samples, 0.011_109_0);
    // And beyond 0.10: exp(−2).
    agrees(outcome.short.count, outcome.samples, (-2f64).exp());
}

/// A normal size whose limits stand for three deviations is beyond one of them in 1349.9 of a million (half of the 2699.8
/// of both tails, Cpk 1; read in tables as 2700).
#[test]
fn limits_of_a_normal_size() {
    let sizes = "\"a_off\": (value: 0, tolerance: normal(0.15)),";
    let outcome = built(&Project::passing(sizes, "a_off", 0.15), &[], 400_000);
    agrees(outcome.fouls.count, outcome.samples, 1349.898e-6);
}

/// One sleeve under a head, measured at 5.91, 5.88 and 5.93: the next is beyond 6.00 in 0.0423957 of builds (Student's t of
/// two degrees, by scipy). Two of them are beyond 12.00 together in P(t > 0.186667/(s√(4/3 + 2))): their mean is common to both,
/// s is 0.0251661.
#[test]
fn few_readings() {
    let bolt = |more: &str| {
        format!(
            "(name: \"bolt\", at: (0, 0), stack: (screw: \"exact screw\", length: 24, pieces: [(spacer: \"sleeve\", name: \"lower\"), \
             {more} (plate: \"shelf\"), (nut: \"exact nut\")])),"
        )
    };
    let project = |more: &str, height: f64| {
        Project {
        bolts: bolt(more),
        parts: "(name: \"sleeve\", material: \"steel, plain carbon\", form: spacer(hole: 5.2, outer: 9, length: (value: 6, tolerance: plus_minus(0.2)))),"
            .into(),
        measured: "(part: \"sleeve\", size: \"length\", readings: [5.91, 5.88, 5.93]),".into(),
        bar: bar(66.0 + height + 5.0),
        gap: 0.01,
        ..Project::default()
    }
    };
    let one = built(&project("", 6.0), &[], 100_000);
    agrees(one.fouls.count, one.samples, 0.042_395_7);
    let two = built(&project("(spacer: \"sleeve\", name: \"upper\"),", 12.0), &[], 100_000);
    // P(T > t) of two degrees of freedom is ½ (1 − t/√(2 + t²)) (Abramowitz & Stegun 26.7.3, from memory).
    let t: f64 = (12.0 - 2.0 * 17.72 / 3.0) / (0.025_166_1 * (4f64 / 3.0 + 2.0).sqrt());
    agrees(two.fouls.count, two.samples, 0.5 * (1.0 - t / (2.0 + t * t).sqrt()));
}

/// A single reading tells no scatter: the stated spread stays, about the reading.
#[test]
fn one_reading_keeps_the_stated_spread() {
    let mut project = sleeves(&[(0, 0)]);
    project.measured = "(part: \"sleeve\", size: \"length\", readings: [4.02]),".into();
    let outcome = built(&project, &[], 100_000);
    // Two sleeves of ±0.1 about 4.02: their sum is 0.11 off where the bar is.
    agrees(outcome.fouls.count, outcome.samples, (0.2f64 - 0.11).powi(2) / 0.08);
}
