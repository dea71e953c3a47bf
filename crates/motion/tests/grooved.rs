//! Wheels with round grooves on a rod hold it sideways; contacts must stay on the rail.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{Recipe, fixture};
use glam::{DVec2, DVec3};
use glidewright_geometry::Outline;
use glidewright_motion::*;

/// The common fixture on a rod of 8 mm, its front rider only, wheels of 30 mm with a groove on either side.
fn on_rod(groove: f64, load_at: DVec3) -> Fixture {
    let mut fixture = fixture(&Recipe::default());
    fixture.riders.truncate(1);
    (fixture.line, fixture.drive) = (None, Drive::Hand);
    fixture.obstacles.clear();
    let rail = &mut fixture.rail;
    rail.bars = vec![Outline::circle(DVec2::ZERO, 4.0).into()];
    for track in &mut rail.tracks {
        (track.middle, track.profile) = (track.normal * 4.0, TrackProfile::Round { radius: 4.0 });
    }
    rail.stand = Stand { incline: 0.0, roll: 0.0 };
    let rider = &mut fixture.riders[0];
    rider.loads[0].centre = load_at;
    for mount in &mut rider.wheels {
        for piece in &mut mount.stack.pieces {
            if let PieceKind::Wheel(wheel) = &mut piece.kind {
                wheel.running = Running::Grooved { radius: groove };
                wheel.outer_radius = Toleranced::exact(15.0);
                wheel.width = 10.0;
            }
        }
    }
    fixture
}

/// A rider on a lying rod under its own weight, square to its wheels' axles' plane: the wheels stand on either side of
/// the rod, so that all of its weight is along the axles. Grooves carry it; the sums of forces and moments are the
/// weight's (statics), and each wheel's push leans no further than the groove reaches.
#[test]
fn grooves_carry_across() {
    for groove in [4.0, 4.02, 4.1, 4.5] {
        let results = analyse(&on_rod(groove, DVec3::new(3.0, 0.0, 10.0)));
        let standing = &results.riders[0];
        assert!(
            standing.unrestrained.as_ref().is_none_or(|free| !free.driven),
            "{groove}: {:?}",
            standing.unrestrained
        );
        let loads = &results.curves.loads[0][100];
        assert!(loads.equilibrium.residual < 1e-6, "{groove}: {}", loads.equilibrium.residual);
        let weight = results.assembly.riders[0].mass.total() * STANDARD_GRAVITY;
        let carried: f64 = loads.wheels.iter().map(|wheel| wheel.axial).sum();
        assert!((carried - weight).abs() < 1e-6 * weight, "{groove}: {carried} of {weight}");
        for wheel in loads.wheels.iter().filter(|wheel| wheel.is_loaded()) {
            let lean = wheel.axial.abs().atan2(wheel.radial);
            assert!(lean < 0.5 * std::f64::consts::PI, "{lean}");
            assert!(wheel.pressure > 0.0 && wheel.pressure.is_finite() && wheel.half_length > 0.0);
        }
        let resistance = &results.curves.resistance_up[0][100].wheels;
        assert!(resistance.iter().map(|wheel| wheel.slip).sum::<f64>() > 0.0);
    }
}

/// Where groove and rod are alike, Hertz's ellipse is wider than his theory allows, and that is said.
#[test]
fn beyond_hertz_is_said() {
    let results = analyse(&on_rod(4.0, DVec3::new(0.0, 0.0, 10.0)));
    assert!(results.findings.iter().any(|finding| finding.code == "wheel.beyond_hertz"));
    let results = analyse(&fixture(&Recipe::default()));
    assert!(results.findings.iter().all(|finding| finding.code != "wheel.beyond_hertz"));
}

/// An axle over the rail's very end: half of its contact stands beyond. Half a contact further in it does not.
#[test]
fn the_whole_contact_stays_on_the_rail() {
    let mut fixture = fixture(&Recipe::default());
    let last = 110.0 + fixture.stroke.to + 45.0;
    let off = |fixture: &Fixture| {
        let results = analyse(fixture);
        let found = results.findings.iter().find(|f| f.code == "travel.off_rail").cloned();
        // Its upper wheels are at the end, at rest or as it is moved.
        let moving = &results.curves.moving[0];
        let ends = [&results.curves.loads[0], &moving.up, &moving.down].map(|loads| loads.last().unwrap());
        let pressed = ends.into_iter().flat_map(|loads| loads.wheels.iter().skip(2)).map(|w| w.half_length);
        (found, pressed.fold(0.0, f64::max))
    };
    fixture.rail.length = last;
    let (found, half) = off(&fixture);
    let found = found.unwrap();
    assert!(half > 0.05 && half < 1.0, "{half}");
    assert!((found.value.unwrap() - half).abs() < 1e-9 && found.severity == Severity::Fails, "{found:?}");
    fixture.rail.length = last + 2.0 * half;
    assert_eq!(off(&fixture).0, None);
    fixture.rail.length = last - 3.0;
    let found = off(&fixture).0.unwrap();
    assert!(
        (found.value.unwrap() - 3.0).abs() < 1e-9 && found.title.to_string().contains("3.0"),
        "{found:?}"
    );
}

/// A barrel in a vee touches both flanks, or both of its mouth's edges: it is held sideways too.
#[test]
fn a_barrel_in_a_vee_is_held() {
    for crown in [6.0, 9.0, 40.0] {
        let mut fixture = fixture(&Recipe::default());
        for mount in fixture.riders.iter_mut().flat_map(|rider| &mut rider.wheels) {
            for piece in &mut mount.stack.pieces {
                if let PieceKind::Wheel(wheel) = &mut piece.kind {
                    wheel.running = Running::Crowned { radius: crown };
                }
            }
        }
        let results = analyse(&fixture);
        let seating = results.assembly.riders[0].stacks[0].seating.as_ref().unwrap();
        assert_eq!(seating.touching().count(), 2, "{seating:?}");
        for standing in &results.riders {
            assert_eq!(standing.unrestrained, None, "{crown}");
            assert!(standing.preload.iter().all(|preload| preload.unloaded > 0.0));
        }
    }
}
