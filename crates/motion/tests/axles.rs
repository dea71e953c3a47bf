//! Axles: screws with a plain shank, the tubes clamped round them, and when those open.
#![allow(clippy::expect_used, reason = "a test that cannot go on may stop")]

mod common;

use std::f64::consts::PI;

use common::{Recipe, fixture};
use glidewright_motion::loads::{LoadCase, Opening, RiderLoads};
use glidewright_motion::*;

const STEEL: f64 = 205_000.0;

/// The common fixture with pressed wheels, changed by `change`.
fn pressed(press: f64, change: impl Fn(&mut Stack)) -> Fixture {
    let mut fixture = fixture(&Recipe { hub: 13.0, screw: 55.0, ..Recipe::default() });
    for rider in &mut fixture.riders {
        for mount in &mut rider.wheels {
            mount.press = press;
            change(&mut mount.stack);
        }
        for plate in &mut rider.plates {
            plate.fill = 1.0;
            plate.material.youngs = 69_000.0;
        }
    }
    fixture
}

fn unloaded(fixture: &Fixture) -> RiderLoads {
    LoadCase::new(fixture, &Assembly::new(fixture), 0).loads(&loads::Wrench::default())
}

/// Shift of a cantilever's end under 1 N there: the curvature u/EI summed up twice in small steps from the root on,
/// `stiffness` being EI at a distance from the root (mm, N·mm²). A second route to the integrals of the program.
fn shift_by_steps(length: f64, stiffness: impl Fn(f64) -> f64) -> f64 {
    const STEPS: u32 = 200_000;
    let step = length / f64::from(STEPS);
    let (mut slope, mut shift) = (0.0, 0.0);
    for i in 0..STEPS {
        let s = (f64::from(i) + 0.5) * step;
        let curvature = (length - s) / stiffness(s);
        shift += step * (slope + 0.5 * curvature * step);
        slope += curvature * step;
    }
    shift
}

fn second_moment(outer: f64, bore: f64) -> f64 {
    PI / 64.0 * (outer.powi(4) - bore.powi(4))
}

/// What is pressed into the track is taken up by contact, axle and plate in series: from the force found, the axle's
/// share is what the contact's law and the plate leave of the press.
fn axle_shift_per_newton(fixture: &Fixture) -> f64 {
    let assembly = Assembly::new(fixture);
    let mut case = LoadCase::new(fixture, &assembly, 0);
    let loads = case.loads(&loads::Wrench::default());
    let force = loads.wheels[0].radial;
    let contact = &case.contacts()[0];
    let lean = contact.spring.normal.dot(contact.radial);
    let given = contact.softening().give(loads.equilibrium.forces[0]).0 * loads.equilibrium.forces[0];
    // The plate of 120 mm, shared by two wheels on each side, bends between the screws: Ma/2EI at each end.
    let placed = &assembly.riders[0].stacks;
    let span = (placed[0].at.y - placed[1].at.y).abs();
    let plate = span / (2.0 * 69_000.0 * (60.0 * 6f64.powi(3) / 12.0));
    let arm = 15.0 + 1.0 + 6.5;
    fixture.riders[0].wheels[0].press / force - given / lean / force - plate * arm * arm
}

#[test]
fn shank_and_thread_bend_each_by_its_own_diameter() {
    // Washer 1.6, plate 6, spacer 15, shim 1, half the hub of 13: the free length runs from 7.6 to 30.1 mm under the
    // head. Torque 0: nothing is clamped.
    let stress = 6.0 - 0.5 * (0.649_519 + 1.226_869);
    for shank in [0.0, 5.0, 12.0, 21.0, 29.0, 40.0] {
        let fixture = pressed(0.05, |stack| {
            stack.screw.shank = shank;
            stack.screw.torque = Some(0.0);
        });
        let expected =
            shift_by_steps(22.5, |s| STEEL * second_moment(if 7.6 + s < shank { 6.0 } else { stress }, 0.0));
        let got = axle_shift_per_newton(&fixture);
        assert!((got - expected).abs() < 1e-5 * expected, "{shank}: {got}, expected {expected}");
    }
}

#[test]
fn clamped_tubes_bend_along() {
    for (shank, youngs) in [(0.0, 68_000.0), (21.0, 68_000.0), (21.0, 3_000.0)] {
        let fixture = pressed(0.05, |stack| {
            stack.screw.shank = shank;
            for piece in &mut stack.pieces {
                match piece.kind {
                    PieceKind::Spacer => piece.youngs = youngs,
                    PieceKind::Shim => piece.youngs = STEEL,
                    _ => {}
                }
            }
        });
        let stress = 6.0 - 0.5 * (0.649_519 + 1.226_869);
        let expected = shift_by_steps(22.5, |s| {
            let screw = STEEL * second_moment(if 7.6 + s < shank { 6.0 } else { stress }, 0.0);
            // Spacer 10 × 6.2, ring 9 × 6.2, then the inner rings of 626 bearings: 6 + 0.3·(19 − 6) = 9.9 mm.
            screw
                + match s {
                    s if s < 15.0 => youngs * second_moment(10.0, 6.2),
                    s if s < 16.0 => STEEL * second_moment(9.0, 6.2),
                    _ => STEEL * second_moment(9.9, 6.2),
                }
        });
        let got = axle_shift_per_newton(&fixture);
        assert!((got - expected).abs() < 2e-5 * expected, "{shank} {youngs}: {got}, expected {expected}");
    }
}

fn with_tube(torque: Option<f64>, press: f64) -> Fixture {
    pressed(press, |stack| {
        stack.screw.torque = torque;
        for piece in &mut stack.pieces {
            if piece.kind == PieceKind::Spacer {
                piece.youngs = 68_000.0;
            }
        }
    })
}

/// A joint opens where bending relieves an edge: M = F(D² + d²)/(8D), F = T/(0.2 d) (VDI 2230 practice). The edge's
/// stress by the second route: M·(D/2)/I of the tube against F/A.
#[test]
fn a_joint_opens_where_its_edge_is_relieved() {
    let opening = |torque: f64| -> Opening {
        unloaded(&with_tube(Some(torque), 0.05)).wheels[0].opening.expect("a clamped tube")
    };
    let tight = opening(4000.0);
    let clamping = 4000.0 / (0.2 * 6.0);
    let area = PI / 4.0 * (10f64.powi(2) - 6.2f64.powi(2));
    let edge = tight.limit * 5.0 / second_moment(10.0, 6.2);
    assert!((edge - clamping / area).abs() < 1e-9 * edge, "{edge} against {}", clamping / area);
    assert!(!tight.is_open());
    // The greatest bending of the tube is at the plate, 22.5 mm from the wheel's middle.
    let force = unloaded(&with_tube(Some(4000.0), 0.05)).wheels[0].radial;
    assert!((tight.moment - 22.5 * force).abs() < 1e-6 * tight.moment);
    // A torque a little above what that moment asks holds, one a little below does not.
    let least = 4000.0 * tight.used();
    assert!(!opening(1.001 * least).is_open());
    assert!(opening(0.999 * least).is_open());
    // Open, the screw bends alone.
    let bare = unloaded(&with_tube(Some(0.0), 0.05)).wheels[0].radial;
    let open = unloaded(&with_tube(Some(0.999 * least), 0.05)).wheels[0].radial;
    assert!((open - bare).abs() < 1e-9 * bare && bare < 0.8 * force, "{open} {bare} {force}");
}

#[test]
fn an_open_joint_is_found_and_its_torque_named() {
    let find = |fixture: &Fixture| analyse(fixture).findings.into_iter().find(|f| f.code == "wheel.joint");
    assert!(find(&with_tube(None, 0.05)).is_none());
    let found = find(&with_tube(Some(300.0), 0.05)).expect("opens");
    assert!(
        found.reason.to_string().contains("0.30 N·m given") && found.reason.to_string().contains("250 N"),
        "{}",
        found.reason
    );
    assert!(found.value > found.limit);
    // Pressed hard enough, what is taken by default opens too, and is said to be assumed: 175 MPa × 20.12 mm².
    let found = find(&with_tube(None, 1.0)).expect("opens");
    assert!(
        found.reason.to_string().contains("assumed: 4.2 N·m") && found.reason.to_string().contains("3522 N"),
        "{}",
        found.reason
    );
}

#[test]
fn a_plate_printed_half_full_turns_twice_as_far() {
    let preload = |fill: f64, youngs: f64| {
        let mut fixture = with_tube(None, 0.05);
        for plate in fixture.riders.iter_mut().flat_map(|rider| &mut rider.plates) {
            (plate.fill, plate.material.youngs) = (fill, youngs);
        }
        unloaded(&fixture).wheels[0].radial
    };
    assert!((preload(0.5, 2100.0) - preload(1.0, 1050.0)).abs() < 1e-9);
    assert!(preload(0.5, 2100.0) < 0.9 * preload(1.0, 2100.0));
}

/// N2: a screw ISO 4762 M6 × 45 has 24 mm of thread and up to 21 of plain shank.
#[test]
fn a_nut_cannot_run_onto_the_shank() {
    let find = |shank: f64, screw: f64| {
        let mut fixture = fixture(&Recipe { screw, ..Recipe::default() });
        for mount in fixture.riders.iter_mut().flat_map(|rider| &mut rider.wheels) {
            mount.stack.screw.shank = shank;
        }
        analyse(&fixture).findings.into_iter().find(|finding| finding.code == "screw.shank")
    };
    // Clamped: 1.6 + 6 + 15 + 1 + 13 + 1 = 37.6 mm.
    assert!(find(21.0, 45.0).is_none());
    assert!(find(37.6, 55.0).is_none());
    let found = find(41.0, 65.0).expect("on the shank");
    assert_eq!(found.severity, Severity::Fails);
    assert!((found.value.expect("clamped") - 37.6).abs() < 1e-9 && found.limit == Some(41.0));
    assert!(found.title.to_string().contains("3.40 mm"), "{}", found.title);
    // 65 − 45.31 − 1 are to spare: a shorter screw does, so does one threaded to the head.
    assert!((found.remedies[0].by.expect("by so much") - 3.4).abs() < 1e-9);
    assert!(found.remedies[1].text.to_string().contains("threaded to the head"));
    // No shorter screw where its end would no longer reach.
    let found = find(41.0, 47.0).expect("on the shank");
    assert!(found.remedies.iter().all(|remedy| remedy.by.is_none()));
}

/// On its shank (h13: 5.82 to 6 mm) a bearing of 6 mm sits closer than on the thread's crests (5.794 to 5.974 mm), and
/// in the worst case not at all freely: bore 5.992 to 6.
#[test]
fn a_bearing_sits_on_shank_or_thread() {
    let fit = |shank: f64| {
        let mut fixture = fixture(&Recipe::default());
        fixture.riders.truncate(1);
        for mount in &mut fixture.riders[0].wheels {
            mount.stack.screw.shank = shank;
        }
        let results = analyse(&fixture);
        results.findings.into_iter().find(|finding| finding.code == "bearing.fit")
    };
    // The hub fills 23.6 to 36.6 mm under the head.
    // On the thread it always slides on, as it should: nothing is told.
    assert!(fit(21.0).is_none());
    let shank = fit(37.0).expect("a fit");
    assert!(
        shank.title.to_string().contains("the shank of") && shank.reason.to_string().contains("h13"),
        "{}",
        shank.title
    );
    assert!(
        shank.reason.to_string().contains("5.820 to 6.000 mm")
            && shank.reason.to_string().contains("−0.008 to 0.180")
    );
    assert_eq!(shank.severity, Severity::Marginal);
    let both = fit(30.0).expect("a fit");
    assert!(both.title.to_string().contains("shank and thread"), "{}", both.title);
    // Loosest on the thread's least crests: 6 − 5.794.
    assert!(both.value > shank.value && both.value.is_some_and(|loose| (loose - 0.206).abs() < 0.005));
}
