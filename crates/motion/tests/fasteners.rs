//! Checks of screws, holes and bearings.
#![allow(clippy::expect_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{Recipe, fixture};
use glam::DVec2;
use glidewright_geometry::Outline;
use glidewright_motion::*;

fn find<'a>(results: &'a Results, code: &str) -> Option<&'a Finding> {
    results.findings.iter().find(|finding| finding.code == code)
}

/// A hole of 6.6 mm wants 1.2 × 6.6 = 7.92 mm from its middle to the edge (EN 1993-1-8, table 3.3, from memory).
#[test]
fn holes_keep_their_distance_from_the_edge() {
    let with_margin = |margin: f64| {
        let mut fixture = fixture(&Recipe::default());
        let assembly = Assembly::new(&fixture);
        let plate = &mut fixture.riders[0].plates[0];
        let lateral = assembly.riders[0].stacks.iter().map(|stack| stack.at.y).fold(0.0, f64::max);
        let corner = DVec2::new(45.0 + margin, lateral + margin);
        plate.outline = Outline::rectangle(-corner, corner);
        plate.holes = assembly.riders[0].stacks.iter().map(|stack| Outline::circle(stack.at, 3.3)).collect();
        analyse(&fixture)
    };
    let near = with_margin(6.0);
    let finding = find(&near, "plate.hole").expect("too near the edge");
    assert!((finding.value.expect("distance") - 6.0).abs() < 1e-9);
    assert!((finding.limit.expect("asked") - 7.92).abs() < 1e-9);
    assert!(find(&with_margin(8.0), "plate.hole").is_none());
}

#[test]
fn holes_keep_their_distance_from_each_other() {
    let mut fixture = fixture(&Recipe { half_base: 7.0, ..Recipe::default() });
    let assembly = Assembly::new(&fixture);
    fixture.riders[0].plates[0].holes =
        assembly.riders[0].stacks.iter().map(|stack| Outline::circle(stack.at, 3.3)).collect();
    let results = analyse(&fixture);
    let finding = find(&results, "plate.hole").expect("too near each other");
    assert!((finding.value.expect("distance") - 14.0).abs() < 1e-9);
    assert!((finding.limit.expect("asked") - 2.2 * 6.6).abs() < 1e-9);
}

/// A 626 on M6 goes on with clearance; a 625 does not go on at all; a 608 rattles.
#[test]
fn bearings_are_held_against_their_screws() {
    let with_bore = |bore: f64| {
        let mut fixture = fixture(&Recipe::default());
        for wheel in &mut fixture.riders[0].wheels {
            for piece in &mut wheel.stack.pieces {
                if let PieceKind::Wheel(wheel) = &mut piece.kind {
                    wheel.bearing.bore = bore;
                }
            }
        }
        fixture.riders.truncate(1);
        let results = analyse(&fixture);
        find(&results, "bearing.fit").map(|finding| (finding.severity, finding.title.to_string()))
    };
    // As it should be: nothing is told.
    assert!(with_bore(6.0).is_none());
    assert_eq!(with_bore(5.0).expect("a fit").0, Severity::Fails);
    assert_eq!(with_bore(8.0).expect("a fit").0, Severity::Marginal);
}

/// A screw that stands a whole length step beyond what it must is said to be long.
#[test]
fn overlong_screws_are_noted() {
    let with_screw = |screw: f64| {
        let results = analyse(&fixture(&Recipe { screw, spacing: 60.0, ..Recipe::default() }));
        find(&results, "screw.long").cloned()
    };
    // Clamped: 1.6 + 6 + 15 + 1 + 13 + 1 + 7.71 = 45.31 mm.
    assert!(with_screw(50.0).is_none());
    let finding = with_screw(55.0).expect("long");
    assert!((finding.value.expect("projection") - 9.69).abs() < 1e-9);
    assert_eq!(finding.severity, Severity::Note);
}

/// Only a length that is sold, reaches and lets the nut run is proposed.
#[test]
fn lengths_are_proposed_as_they_are_sold() {
    let with_sold = |sold: &[(f64, f64)]| {
        let mut fixture = fixture(&Recipe { screw: 60.0, spacing: 60.0, ..Recipe::default() });
        for mount in fixture.riders.iter_mut().flat_map(|rider| &mut rider.wheels) {
            mount.stack.screw.sold =
                sold.iter().map(|&(length, shank)| SoldLength { length, shank }).collect();
        }
        find(&analyse(&fixture), "screw.long").cloned()
    };
    // Clamped: 45.31 mm; 37.6 without the nut.
    let finding = with_sold(&[(45.0, 21.0), (50.0, 26.0), (55.0, 31.0), (60.0, 36.0)]).expect("long");
    assert_eq!(finding.remedies[0].by, Some(10.0));
    assert!(finding.remedies[0].text.to_string().contains("50 mm"), "{}", finding.remedies[0].text);
    // 50 would leave the nut on the shank.
    let finding = with_sold(&[(50.0, 40.0), (55.0, 31.0), (60.0, 36.0)]).expect("long");
    assert_eq!(finding.remedies[0].by, Some(5.0));
    assert!(with_sold(&[(45.0, 21.0), (60.0, 36.0)]).is_none());
}

/// Pressure against what the tyre bears: given, or 1 % of its modulus for a plastic.
#[test]
fn pressed_tyres_and_parked_ones() {
    let with = |press: f64, allowed: Option<f64>| {
        let mut fixture = fixture(&Recipe::default());
        for mount in fixture.riders.iter_mut().flat_map(|rider| &mut rider.wheels) {
            mount.press = press;
            for piece in &mut mount.stack.pieces {
                if let PieceKind::Wheel(wheel) = &mut piece.kind {
                    wheel.tyre.allowable_pressure = allowed;
                }
            }
        }
        analyse(&fixture)
    };
    let hard = with(2.0, None);
    let finding = find(&hard, "wheel.pressure").expect("pressed hard");
    assert_eq!(finding.limit, Some(29.0));
    assert!(finding.reason.to_string().contains("assumed"));
    let light = with(0.01, Some(1000.0));
    assert!(find(&light, "wheel.pressure").is_none() && find(&light, "wheel.parked").is_none());
    let pressure = finding.value.expect("a pressure");
    let parked = with(2.0, Some(1.5 * pressure));
    assert!(find(&parked, "wheel.pressure").is_none());
    assert_eq!(find(&parked, "wheel.parked").expect("a flat may form").severity, Severity::Note);
}
