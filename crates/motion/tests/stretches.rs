//! Belts and cords as bodies: where they run, at every travel, against everything else.
//!
//! Dense sampling with parry3d-f64 is the reference for slanted spans; the cases by hand follow from the fixture in
//! `common`: belt 6 × 1.4 at z = 50 from the front rider's clamp at x = 170 + travel round an idler of radius 10 at
//! x = 720, y = 0.
#![allow(
    clippy::expect_used,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that cannot go on may stop"
)]

mod common;

use common::{Random, Recipe, fixture};
use glam::{DQuat, DVec2, DVec3};
use glidewright_geometry::{DMat3, Pose, Shape, Solid};
use glidewright_motion::*;
use parry3d_f64::math::{Pose3, Rot3};
use parry3d_f64::{query, shape};

/// Both riders on one belt, nuts thin enough that they pass.
fn sound() -> Fixture {
    let mut fixture = fixture(&Recipe { nut: Toleranced::exact(5.0), screw: 42.0, ..Recipe::default() });
    fixture.obstacles.clear();
    fixture
}

fn obstacle(from: [f64; 3], to: [f64; 3]) -> Obstacle {
    Obstacle {
        name: "block".into(),
        path: "obstacles/block".into(),
        solids: vec![Solid::cuboid_between(from.into(), to.into())],
        extruded: Vec::new(),
        is_stop: false,
        give: None,
        is_base: false,
        mass: None,
    }
}

/// All pairs of a stretch of line and something else.
fn of_line(results: &Results) -> Vec<(String, String, &PairResult)> {
    let body = |id: BodyId| &results.assembly.bodies[id.0 as usize];
    let all = results.interference.pairs();
    all.filter_map(|pair| {
        let (a, b) = (body(pair.bodies.0), body(pair.bodies.1));
        match (a.role == Role::Span, b.role == Role::Span) {
            (true, _) => Some((a.label.clone(), b.label.clone(), pair)),
            (_, true) => Some((b.label.clone(), a.label.clone(), pair)),
            _ => None,
        }
    })
    .collect()
}

/// The pair of a stretch with a thing.
fn pair<'a>(results: &'a Results, stretch: &str, other: &str) -> Option<&'a PairResult> {
    of_line(results).into_iter().find(|(a, b, _)| a == stretch && b == other).map(|(_, _, pair)| pair)
}

fn fouling(results: &Results) -> Vec<(String, String)> {
    let fouls = |pair: &PairResult| matches!(pair.outcome, Outcome::Fouls { .. });
    of_line(results).into_iter().filter(|(_, _, pair)| fouls(pair)).map(|(a, b, _)| (a, b)).collect()
}

const FRONT: &str = "belt between front clamp and front idler";
const BETWEEN: &str = "belt between front idler and rear idler";
const REAR: &str = "belt between rear idler and rear clamp";

#[test]
fn a_sound_belt_touches_nothing() {
    let results = analyse(&sound());
    assert_eq!(fouling(&results), []);
    let labels: Vec<&str> = results
        .assembly
        .stretches
        .iter()
        .map(|stretch| results.assembly.bodies[stretch.body.0 as usize].label.as_str())
        .collect();
    assert_eq!(labels, [FRONT, "belt on front idler", BETWEEN, "belt on rear idler", REAR]);
}

#[test]
fn a_block_in_a_belts_way_fouls_it_as_long_as_the_belt_reaches_it() {
    // The belt lies between z = 49.3 and 50.7 and ends 150 mm before it has left the block.
    let mut fixture = sound();
    fixture.obstacles.push(obstacle([300.0, -10.0, 45.0], [320.0, 10.0, 60.0]));
    let results = analyse(&fixture);
    let found = pair(&results, FRONT, "block").expect("held against the block");
    assert!((found.gap + 5.7).abs() < 1e-6, "{}", found.gap);
    assert!(matches!(found.outcome, Outcome::Fouls { .. }));
    let [(from, to)] = found.touching[..] else { panic!("{:?}", found.touching) };
    assert!(from.abs() < 1e-9 && (to - 150.0).abs() < 1e-6, "{from} {to}");
    let [(from, to)] = found.below_asked[..] else { panic!("{:?}", found.below_asked) };
    assert!(from.abs() < 1e-9 && (to - 151.0).abs() < 1e-6, "{from} {to}");
    let told =
        results.findings.iter().find(|f| f.code == "gap.fouls" && f.title.to_string().contains("block"));
    let told = told.expect("a finding");
    assert!(told.title.to_string().starts_with(FRONT), "{}", told.title);
    // The band knows it too.
    let point = &results.interference.band.points[0];
    assert_eq!(point.pair, Some(found.bodies));
    assert!((point.gap + 5.7).abs() < 1e-6, "{point:?}");
}

#[test]
fn a_belt_inside_the_rail_fouls_it() {
    let mut fixture = sound();
    let line = fixture.line.as_mut().unwrap();
    for node in &mut line.nodes {
        match node {
            LineNode::Anchor { at, .. } => at.z = at.z.signum() * 28.0,
            LineNode::Pulley(pulley) => pulley.centre.y = pulley.centre.y.signum() * 18.0,
        }
    }
    let found = fouling(&analyse(&fixture));
    assert!(found.contains(&(FRONT.into(), "rail".into())), "{found:?}");
    assert!(found.contains(&(REAR.into(), "rail".into())), "{found:?}");
}

#[test]
fn the_belt_on_a_pulley_has_its_thickness() {
    // Outside of the belt: 720 + 10 + 0.7.
    for (face, gap) in [(731.9, 1.2), (730.5, -0.2)] {
        let mut fixture = sound();
        fixture.obstacles.push(obstacle([face, -10.0, 30.0], [face + 20.0, 10.0, 45.0]));
        let results = analyse(&fixture);
        let found = pair(&results, "belt on front idler", "block").expect("near");
        assert!((found.gap - gap).abs() < 1e-9, "{} {gap}", found.gap);
        assert_eq!(found.kinship, Kinship::LineAndFixed);
        assert_eq!(matches!(found.outcome, Outcome::Fouls { .. }), gap < 0.0);
    }
}

#[test]
fn a_belt_ends_where_it_ends() {
    // Beyond the idler, in the way of a belt as long as the longest that travelled along.
    let mut fixture = sound();
    fixture.obstacles.push(obstacle([802.0, -10.0, 45.0], [900.0, 10.0, 60.0]));
    let results = analyse(&fixture);
    assert_eq!(fouling(&results), []);
    let stretch = results.assembly.stretches[0];
    assert!(stretch.changes);
    for (travel, length) in [(0.0, 550.0), (140.0, 410.0), (480.0, 70.0)] {
        let solids = results.assembly.solids_at(&fixture, stretch.body, travel);
        let [Solid { shape: Shape::Cuboid { half }, pose }] = &solids[..] else { panic!("{solids:?}") };
        assert!((2.0 * half.x - length).abs() < 1e-9 && (2.0 * half.y - 1.4).abs() < 1e-9);
        assert!((pose.shift.x - (720.0 - 0.5 * length)).abs() < 1e-9 && (pose.shift.z - 50.0).abs() < 1e-9);
    }
}

#[test]
fn a_belt_is_held_against_the_wheels_of_its_own_rider() {
    // In the plane of the right wheels' axles, clamped behind them.
    let mut fixture = sound();
    let line = fixture.line.as_mut().unwrap();
    line.plane = LinePlane::Upright { y: 38.0 };
    for node in &mut line.nodes {
        match node {
            LineNode::Anchor { at, .. } => *at = DVec3::new(-80.0, 38.0, at.z.signum() * 15.0),
            LineNode::Pulley(pulley) => pulley.centre.y = pulley.centre.y.signum() * 5.0,
        }
    }
    let results = analyse(&fixture);
    let wheels = fouling(&results);
    let own = |name: &str| wheels.iter().any(|(a, b)| a == FRONT && b.contains("front") && b.contains(name));
    assert!(own("lower right") && own("upper right"), "{wheels:?}");
}

#[test]
fn strands_of_one_line_keep_clear_of_each_other() {
    let mut fixture = sound();
    // The rear strand comes back 1 mm below the front one, round an idler beside it.
    let line = fixture.line.as_mut().unwrap();
    for (number, node) in line.nodes.iter_mut().enumerate() {
        match (number, node) {
            (1, LineNode::Pulley(pulley)) => (pulley.radius, pulley.centre) = (2.0, DVec2::new(720.0, 48.0)),
            (2, LineNode::Pulley(pulley)) => (pulley.radius, pulley.centre) = (2.0, DVec2::new(700.0, 51.0)),
            (3, LineNode::Anchor { at, .. }) => at.z = 49.0,
            _ => {}
        }
    }
    let found = fouling(&analyse(&fixture));
    assert!(found.iter().any(|(a, b)| (a == FRONT && b == REAR) || (a == REAR && b == FRONT)), "{found:?}");
}

/// The convex hull of a solid's corners, or a cylinder.
fn reference(solid: &Solid) -> (Pose3, Box<dyn shape::Shape>) {
    let turn = solid.pose.turn;
    let (turn, shape): (DMat3, Box<dyn shape::Shape>) = match &solid.shape {
        Shape::Cuboid { half } => {
            let corner = |i: u32| {
                let pick = |bit: u32, h: f64| if i >> bit & 1 == 0 { -h } else { h };
                DVec3::new(pick(0, half.x), pick(1, half.y), pick(2, half.z))
            };
            let points: Vec<DVec3> = (0..8).map(corner).collect();
            (turn, Box::new(shape::ConvexPolyhedron::from_convex_hull(&points).unwrap()))
        }
        Shape::Cylinder { radius, half_height } => (
            // The library's cylinders stand along y.
            DMat3::from_cols(turn.x_axis, turn.z_axis, -turn.y_axis),
            Box::new(shape::Cylinder::new(*half_height, *radius)),
        ),
        _ => panic!("no such shape here"),
    };
    (Pose3::from_parts(solid.pose.shift, Rot3::from_mat3(&turn)), shape)
}

/// A belt's span as the hull of its two ends' corners.
fn span_reference(line: &Line, from: DVec2, to: DVec2) -> (Pose3, Box<dyn shape::Shape>) {
    let across = (to - from).normalize().perp() * (0.5 * line.thickness);
    let normal = line.plane.normal() * (0.5 * line.width);
    let points: Vec<DVec3> = [from + across, from - across, to + across, to - across]
        .into_iter()
        .flat_map(|corner| [line.plane.point(corner) + normal, line.plane.point(corner) - normal])
        .collect();
    let identity = Pose3::from_parts(DVec3::ZERO, Rot3::IDENTITY);
    (identity, Box::new(shape::ConvexPolyhedron::from_convex_hull(&points).unwrap()))
}

fn distance(a: &(Pose3, Box<dyn shape::Shape>), b: &(Pose3, Box<dyn shape::Shape>)) -> f64 {
    query::distance(&a.0, &*a.1, &b.0, &*b.1).unwrap().distance
}

/// Slanted spans that turn as they shorten, beside and across boxes and rods that stand or ride: the least distance and
/// the stretches of travel against dense sampling.
#[test]
fn slanted_spans_agree_with_dense_sampling() {
    const SAMPLES: usize = 1500;
    let mut random = Random::new(17);
    let (mut near, mut touching, mut apart, mut errs) = (0, 0, 0, 0);
    for case in 0..40 {
        let mut fixture = sound();
        fixture.riders.truncate(1);
        let y = random.between(-4.0, 4.0);
        let mut r = |low, high| random.between(low, high);
        let fixed = DVec3::new(r(650.0, 800.0), y, r(60.0, 140.0));
        let carried = DVec3::new(r(-60.0, 60.0), y, r(60.0, 140.0));
        let line = fixture.line.as_mut().unwrap();
        line.plane = LinePlane::Upright { y };
        let anchor = |name: &str, rider, at| LineNode::Anchor {
            name: name.into(),
            path: String::new(),
            rider,
            at,
            tail: 0.0,
        };
        line.nodes = vec![anchor("post", None, fixed), anchor("clamp", Some(0), carried)];
        // A thing beside a point of the span at some travel.
        let at_travel = r(0.0, 480.0);
        let start = fixed;
        let end = carried + DVec3::X * (110.0 + at_travel);
        let point = start.lerp(end, r(0.1, 0.9));
        let turn = DQuat::from_scaled_axis(DVec3::new(r(-2.0, 2.0), r(-2.0, 2.0), r(-2.0, 2.0)));
        let off = turn * DVec3::Z * r(8.0, 34.0);
        let shape = if case % 2 == 0 {
            Shape::Cuboid { half: DVec3::new(r(2.0, 12.0), r(2.0, 12.0), r(2.0, 8.0)) }
        } else {
            Shape::Cylinder { radius: r(2.0, 6.0), half_height: r(2.0, 8.0) }
        };
        let pose = Pose { turn: DMat3::from_quat(turn), shift: point + off };
        let mut thing = obstacle([0.0; 3], [1.0; 3]);
        thing.solids = vec![Solid { shape, pose }];
        fixture.obstacles.push(thing);
        let results = analyse(&fixture);
        let line = fixture.line.as_ref().unwrap();
        let other = reference(&fixture.obstacles[0].solids[0]);
        let gap = |travel: f64| {
            let path = path_at(&fixture, line, travel).unwrap();
            let PathElement::Span { from, to, .. } = path.elements[0] else { panic!("a span") };
            distance(&span_reference(line, from, to), &other)
        };
        let travel = |k: usize| 480.0 * k as f64 / SAMPLES as f64;
        let sampled: Vec<f64> = (0..=SAMPLES).map(|k| gap(travel(k))).collect();
        let lowest = (0..=SAMPLES).min_by(|&a, &b| sampled[a].total_cmp(&sampled[b])).unwrap();
        let (mut low, mut high) = (travel(lowest.saturating_sub(1)), travel((lowest + 1).min(SAMPLES)));
        for _ in 0..60 {
            let (p, q) = (low + 0.382 * (high - low), low + 0.618 * (high - low));
            if gap(p) < gap(q) { high = q } else { low = p }
        }
        let least = gap(0.5 * (low + high)).min(sampled[lowest]);
        let found = pair(&results, "belt between post and clamp", "block");
        let Some(found) = found else {
            assert!(least > Interference::REACH - 1e-3, "case {case}: {least}");
            apart += 1;
            continue;
        };
        if least > 0.0 {
            assert!((found.gap - least).abs() < 1e-3, "case {case}: {} {least}", found.gap);
            assert!(found.separation.lower <= least + 1e-4 && found.touching.is_empty());
            near += 1;
        } else {
            assert!(found.gap <= 1e-6, "case {case}: {} {least}", found.gap);
            touching += 1;
        }
        let inside = |list: &[(f64, f64)], s: f64| list.iter().any(|(from, to)| (*from..=*to).contains(&s));
        for (k, &sample) in sampled.iter().enumerate() {
            // Nothing moves by more than 0.4 mm from one sample to the next: where the reference jumps it errs.
            let beside = [k.saturating_sub(1), (k + 1).min(SAMPLES)];
            if beside.into_iter().any(|other| (sampled[other] - sample).abs() > 0.4) {
                errs += 1;
                continue;
            }
            let sampled = sample;
            if sampled > 1e-3 {
                assert!(!inside(&found.touching, travel(k)), "case {case}, {}", travel(k));
            }
            if sampled == 0.0 {
                let close = found
                    .touching
                    .iter()
                    .any(|(from, to)| travel(k) >= from - 0.02 && travel(k) <= to + 0.02);
                assert!(close, "case {case}, {} {:?}", travel(k), found.touching);
            }
            if (sampled - found.asked).abs() > 1e-3 {
                let below = inside(&found.below_asked, travel(k));
                let expected = sampled < found.asked;
                assert_eq!(below, expected, "case {case}, {}: {sampled} {:?}", travel(k), found.below_asked);
            }
        }
    }
    assert!(near > 5 && touching > 5 && apart < 25, "{near} {touching} {apart}");
    assert!(errs < 40 * SAMPLES / 100, "{errs} of {} samples", 40 * SAMPLES);
}

/// A load of the front rider slides out across the belt that runs past it to the rear rider, and through it: at every
/// reach the gap is that of everything placed anew.
#[test]
fn a_load_that_slides_across_a_belt_is_held_against_it() {
    let mut fixture = sound();
    let reach = Reach { direction: DVec3::Z, from: 0.0, to: 60.0, at: 60.0 };
    // Above the belt's own clamp; at a reach of nothing it ends 12 mm below the belt's inner face.
    let block = Solid::cuboid_between([80.0, -8.0, 20.0].into(), [100.0, 8.0, 37.3].into());
    fixture.riders[0].loads.push(Load {
        name: "block".into(),
        path: "riders/front/loads/block".into(),
        mass: 0.0,
        centre: DVec3::ZERO,
        solids: vec![block],
        extruded: Vec::new(),
        reach: Some(reach),
        on: None,
        is_ballast: false,
    });
    let load = fixture.riders[0].loads.len() - 1;
    let results = analyse(&fixture);
    let reaches: Vec<f64> = (0..=30).map(|i| 2.0 * f64::from(i)).collect();
    let known = (&results.assembly, &results.interference);
    let gaps = gap_against_reach(&fixture, known, (0, load), &reaches);
    let mut across = 0;
    for (&at, gap) in reaches.iter().zip(&gaps) {
        fixture.riders[0].loads[load].reach = Some(Reach { at, ..reach });
        let anew = analyse(&fixture);
        let tightest = anew.interference.tightest().map(|pair| pair.gap);
        let told = of_line(&anew);
        across += usize::from(
            told.iter().any(|(a, b, pair)| a == FRONT && b.contains("block") && Some(pair.gap) == tightest),
        );
        let (Some(gap), Some(tightest)) = (gap, tightest) else { panic!("{gap:?} {tightest:?} at {at}") };
        assert!((gap - tightest).abs() < 3e-4, "at {at}: {gap}, placed anew {tightest}");
    }
    assert!(across > 5, "the belt tells at {across} reaches, {gaps:?}");
}
