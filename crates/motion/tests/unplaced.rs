//! Nothing that has a place is left out of the comparison without a finding that fails and says why.

mod common;

use std::sync::Arc;

use common::{Recipe, fixture};
use glidewright_geometry::{DVec2, DVec3, Outline, Pose, Shape, Solid};
use glidewright_motion::{Finding, Fixture, Load, Obstacle, Severity, analyse};

fn unplaced(fixture: &Fixture) -> Vec<Finding> {
    let mut findings = analyse(fixture).findings;
    findings.retain(|finding| finding.code == "place.impossible");
    findings
}

/// One thing that fails, with its place and a reason that holds these words.
fn check(fixture: &Fixture, path: &str, reason: &str) {
    let findings = unplaced(fixture);
    assert_eq!(findings.len(), 1, "{path}: {findings:?}");
    let finding = &findings[0];
    assert_eq!(finding.severity, Severity::Fails, "{path}");
    assert_eq!(finding.paths, [path]);
    // A reader reads names, not paths.
    assert!(!finding.title.to_string().contains('/'), "{path}: {}", finding.title);
    assert!(finding.reason.to_string().contains(reason), "{path}: {}", finding.reason);
}

#[test]
fn sound_fixtures_leave_nothing_out() {
    assert_eq!(unplaced(&fixture(&Recipe::default())), Vec::new());
}

#[test]
fn what_cannot_be_placed_fails_with_its_reason_and_place() {
    let sound = fixture(&Recipe::default());
    let corner = |x: f64, y: f64| DVec2::new(x, y);
    let bow = [corner(-15.0, -30.0), corner(15.0, 30.0), corner(15.0, -30.0), corner(-15.0, 30.0)];

    let mut crossed = sound.clone();
    crossed.rail.bars[0].outer = Outline::polygon(&bow);
    check(&crossed, "rail", "edges 0 and 2 cross");

    let mut bored = sound.clone();
    bored.rail.bars[0].holes.push(Outline::circle(corner(500.0, 0.0), 2.0));
    check(&bored, "rail", "not inside");

    let mut torn = sound.clone();
    let plate = &mut torn.riders[0].plates[0];
    plate.outline = Outline::polygon(&bow);
    let path = plate.path.clone();
    check(&torn, &path, "edges 0 and 2 cross");

    let ball = |radius: f64| Solid { shape: Shape::Sphere { radius }, pose: Pose::IDENTITY };
    let mut loaded = sound.clone();
    let load = Load {
        name: "bad load".into(),
        path: "riders/bad/load".into(),
        mass: 0.1,
        centre: DVec3::Z * 80.0,
        solids: vec![ball(1.0).shifted(DVec3::Z * 90.0), ball(-1.0)],
        extruded: Vec::new(),
        reach: None,
        on: None,
        is_ballast: false,
    };
    loaded.riders[0].loads.push(load);
    check(&loaded, "riders/bad/load", "negative");

    let mut blocked = sound;
    let hollow = Outline::polygon(&[corner(0.0, 0.0), corner(9.0, 0.0), corner(2.0, 2.0), corner(0.0, 9.0)]);
    blocked.obstacles.push(Obstacle {
        name: "bad obstacle".into(),
        path: "obstacles/bad".into(),
        solids: vec![Solid {
            shape: Shape::Prism { outline: Arc::new(hollow), half_height: 2.0 },
            pose: Pose::from_shift(DVec3::new(0.0, 500.0, 0.0)),
        }],
        extruded: Vec::new(),
        is_stop: false,
        give: None,
        is_base: false,
        mass: None,
    });
    check(&blocked, "obstacles/bad", "not convex");
}
