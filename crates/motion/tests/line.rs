//! The belt or cord: its path, how it moves with the riders, how hard it pulls.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use common::{Random, Recipe, fixture, motor};
use glam::{DVec2, DVec3};
use glidewright_motion::resistance::Friction;
use glidewright_motion::*;

fn anchor(rider: Option<usize>, x: f64, across: f64) -> LineNode {
    LineNode::Anchor {
        name: "clamp".into(),
        path: String::new(),
        rider,
        at: DVec3::new(x, 0.0, across),
        tail: 20.0,
    }
}

fn pulley(kind: PulleyKind, centre: DVec2, radius: f64, turn: Turn) -> Pulley {
    Pulley {
        name: format!("{kind:?}"),
        path: "line/pulley".into(),
        rider: None,
        centre,
        radius,
        turn,
        kind,
        width: 7.0,
        bore: 5.0,
        bearings: 0,
        inertia: 0.0,
        mass: 0.0,
        teeth: 0,
    }
}

/// Two riders and a line without weight, losses and pretension over these nodes.
fn with_line(nodes: Vec<LineNode>) -> Fixture {
    let mut fixture = fixture(&Recipe::default());
    let line = fixture.line.as_mut().unwrap();
    line.mass_per_metre = 0.0;
    line.bending_loss = Coefficient::assumed(0.0);
    line.pretension = Coefficient::assumed(0.0);
    line.nodes = nodes;
    fixture
}

fn model(fixture: &Fixture, travel: f64) -> LineModel<'_> {
    LineModel::new(fixture, travel).unwrap().unwrap()
}

fn near(got: f64, expected: f64, within: f64) {
    assert!((got - expected).abs() <= within, "got {got}, expected {expected} ± {within}");
}

/// A closed belt round two pulleys of radii `a` at the origin and `b` at `apart` along x, opened in the middle of
/// its upper span and clamped there with both ends.
fn round_two(a: f64, b: f64, apart: f64, crossed: bool) -> Vec<LineNode> {
    let far = if crossed { -b } else { b };
    let lean = ((a - far) / apart).asin();
    let normal = DVec2::new(lean.sin(), lean.cos());
    let middle = 0.5 * (normal * a + DVec2::new(apart, 0.0) + normal * far);
    let turn = if crossed { Turn::Right } else { Turn::Left };
    vec![
        anchor(None, middle.x, middle.y),
        LineNode::Pulley(pulley(PulleyKind::Driven, DVec2::ZERO, a, Turn::Left)),
        LineNode::Pulley(pulley(PulleyKind::Idler, DVec2::new(apart, 0.0), b, turn)),
        anchor(None, middle.x, middle.y),
    ]
}

/// Belt over pulleys of 1.6 m and 0.5 m, 12 m apart (theory-of-machines exercise, 27.32 m read, recomputed): open
/// 27.323 885 0 m, crossed 27.390 606 0 m.
#[test]
fn lengths_of_an_open_and_a_crossed_belt() {
    for (crossed, metres) in [(false, 27.323_885_0), (true, 27.390_606_0)] {
        let fixture = with_line(round_two(800.0, 250.0, 12_000.0, crossed));
        let length = model(&fixture, 0.0).path().length();
        near(length * 1e-3, metres, 1e-7);
    }
}

/// A toothed belt of pitch 2 on 20 and 40 teeth, 100 mm apart (260.4 mm read, the rest computed from exact
/// tangents): 260.405 422 mm, 130.2027 teeth, wrap 3.014 182 5 rad, 9.5944 teeth in mesh on the small pulley.
#[test]
fn length_and_mesh_of_a_toothed_belt() {
    let mut nodes = round_two(20.0 * 2.0 / TAU, 40.0 * 2.0 / TAU, 100.0, false);
    for (node, teeth) in nodes.iter_mut().skip(1).zip([20, 40]) {
        let LineNode::Pulley(pulley) = node else { continue };
        pulley.teeth = teeth;
    }
    let mut fixture = with_line(nodes);
    fixture.line.as_mut().unwrap().kind = LineKind::Toothed { pitch: 2.0 };
    let results = analyse(&fixture);
    let line = results.line.unwrap();
    near(line.length, 260.405_422, 1e-6);
    let whole = line.whole_teeth.unwrap();
    near(whole.pitches, 130.2027, 5e-5);
    assert_eq!(whole.teeth, 130.0);
    near(whole.anchor_shift, 260.0 - 260.405_422, 1e-6);
    // Cut so that the tails of 20 mm hold it at both ends.
    near(line.cut_length, 300.0, 1e-9);
    let (small, large) = (&line.wraps[0], &line.wraps[1]);
    near(small.wrap, 3.014_182_5, 1e-7);
    near(large.wrap, TAU - 3.014_182_5, 1e-7);
    near(small.teeth_in_mesh.unwrap(), 9.5944, 5e-5);
    near(large.teeth_in_mesh.unwrap(), 40.0 * (TAU - 3.014_182_5) / TAU, 1e-6);
    assert!(!results.findings.iter().any(|finding| finding.code == "belt.teeth_in_mesh"));
}

/// A span between two circles touches both, square to their radii, and the wraps join the spans without a corner.
#[test]
fn paths_are_tangent_everywhere() {
    let mut random = Random::new(31);
    for _ in 0..300 {
        let mut nodes = vec![anchor(None, random.between(-40.0, 0.0), random.between(-30.0, 30.0))];
        for step in 1..=4 {
            let centre = DVec2::new(90.0 * f64::from(step), random.between(-60.0, 60.0));
            let turn = if random.between(0.0, 1.0) < 0.5 { Turn::Left } else { Turn::Right };
            nodes.push(LineNode::Pulley(pulley(PulleyKind::Idler, centre, random.between(3.0, 30.0), turn)));
        }
        nodes.push(anchor(None, 450.0, random.between(-30.0, 30.0)));
        let fixture = with_line(nodes);
        let model = model(&fixture, 0.0);
        let elements = &model.path().elements;
        assert_eq!(elements.len(), 9);
        for three in elements.windows(3) {
            let [
                PathElement::Span { to, from: before, .. },
                PathElement::Wrap { centre, radius, start, sweep, .. },
                PathElement::Span { from, to: after, .. },
            ] = three
            else {
                continue;
            };
            let on = |angle: f64| *centre + DVec2::from_angle(angle) * *radius;
            near(on(*start).distance(*to), 0.0, 1e-9);
            near(on(start + sweep).distance(*from), 0.0, 1e-9);
            // The line runs on in the sense in which it turns.
            for (direction, angle) in [(*to - *before, *start), (*after - *from, start + sweep)] {
                let along = DVec2::from_angle(angle).perp() * sweep.signum();
                near(direction.normalize().dot(along), 1.0, 1e-9);
            }
            assert!(sweep.abs() < TAU);
        }
    }
}

/// How fast a path grows as the riders move, against central differences of its stretches: pulleys on riders, spans
/// that lean.
#[test]
fn growth_is_the_slope_of_the_length() {
    let mut random = Random::new(37);
    for _ in 0..100 {
        let mut carried = pulley(
            PulleyKind::Idler,
            DVec2::new(random.between(-30.0, 30.0), random.between(20.0, 60.0)),
            random.between(4.0, 12.0),
            Turn::Left,
        );
        carried.rider = Some(0);
        let over = pulley(
            PulleyKind::Idler,
            DVec2::new(800.0, random.between(-5.0, 15.0)),
            random.between(4.0, 16.0),
            Turn::Right,
        );
        let mut fixture = with_line(vec![
            anchor(None, 790.0, random.between(60.0, 90.0)),
            LineNode::Pulley(carried),
            LineNode::Pulley(over),
            anchor(Some(1), random.between(-20.0, 20.0), random.between(-60.0, -20.0)),
        ]);
        fixture.riders[1].coupling = Coupling::Linked { ratio: random.between(-3.0, 1.0) };
        let travel = random.between(50.0, 400.0);
        let step = 1e-3;
        let lengths = [-step, step].map(|by| model(&fixture, travel + by).stretches());
        let got: Vec<f64> = model(&fixture, travel).growth().collect();
        assert_eq!(got.len(), lengths[0].len());
        for (rate, (before, after)) in got.iter().zip(lengths[0].iter().zip(&lengths[1])) {
            near(*rate, (after - before) / (2.0 * step), 1e-7);
        }
    }
}

/// A line from the frame down round a pulley on the lead and up over a fixed one to the other rider: the other moves
/// twice as far, half its mass balances the lead, and the lead hangs on two parts of the line.
fn two_to_one() -> Fixture {
    let mut carried = pulley(PulleyKind::Idler, DVec2::new(60.0, 40.0), 10.0, Turn::Left);
    carried.rider = Some(0);
    let mut fixture = with_line(vec![
        anchor(None, 700.0, 50.0),
        // The line comes down at z = 50, turns below the pulley and goes up at z = 30.
        LineNode::Pulley(carried),
        LineNode::Pulley(pulley(PulleyKind::Idler, DVec2::new(720.0, 0.0), 30.0, Turn::Right)),
        anchor(Some(1), 0.0, -30.0),
    ]);
    fixture.riders[1].coupling = Coupling::Linked { ratio: -2.0 };
    fixture.riders[1].at_zero = 650.0;
    fixture.stroke = Stroke { from: 0.0, to: 240.0 };
    fixture
}

#[test]
fn two_to_one_halves_the_weight() {
    let mut fixture = two_to_one();
    let assembly = Assembly::new(&fixture);
    let [lead, other] = [0, 1].map(|rider: usize| assembly.riders[rider].mass.total());
    fixture.riders[1].loads[0].mass += 0.5 * lead - other;
    let assembly = Assembly::new(&fixture);
    for travel in [0.0, 100.0, 240.0] {
        near(forces::imbalance(&fixture, &assembly, travel), 0.0, 1e-9);
        let model = model(&fixture, travel);
        near(model.growth().map(f64::abs).sum(), 0.0, 1e-9);
        let along: Vec<f64> = (0..2).map(|rider| forces::weight_along(&fixture, &assembly, rider)).collect();
        let pulls = model.pulls(0.0, &along, &Friction::default());
        for ends in &pulls.spans {
            near(ends[0], 0.5 * lead * STANDARD_GRAVITY, 1e-9);
            near(ends[1], 0.5 * lead * STANDARD_GRAVITY, 1e-9);
        }
    }
    // Four times the other's mass moves with the lead, and its wheels turn twice as fast.
    let wheels = [0, 1].map(|rider| forces::rolling_masses(&fixture, &assembly, rider).iter().sum::<f64>());
    let expected = lead + wheels[0] + 4.0 * (0.5 * lead + wheels[1]);
    near(forces::effective_mass(&fixture, &assembly), expected, 1e-9);
    let results = analyse(&fixture);
    let line = results.line.as_ref().unwrap();
    near(line.length_change, 0.0, 1e-9);
    // The resultant on the pulley that the lead carries is the lead's whole weight.
    near(line.wraps[0].wrap, PI, 1e-9);
    let least = lead * STANDARD_GRAVITY;
    assert!(line.wraps[0].resultant >= least - 1e-9 && line.wraps[0].resultant < 1.1 * least);
}

/// A ratio that does not fit the path is told, with the one that does.
#[test]
fn a_ratio_that_does_not_fit_is_told() {
    let mut fixture = two_to_one();
    fixture.riders[1].coupling = Coupling::Linked { ratio: -1.5 };
    let results = analyse(&fixture);
    let line = results.line.as_ref().unwrap();
    near(line.length_change, 0.5 * 240.0, 1e-6);
    let (rider, ratio) = line.fitting_ratio.unwrap();
    assert_eq!(rider, 1);
    near(ratio, -2.0, 1e-9);
    let finding = results.findings.iter().find(|finding| finding.code == "belt.length_changes").unwrap();
    assert_eq!(finding.severity, Severity::Fails);
}

/// Belt equation: 100 kg on a rope that is slung by three quarters of a turn round a post with μ = 0.2 is held with
/// 382.2576 N at g = 9.81 (textbook exercise, read and recomputed).
#[test]
fn a_rope_round_a_post() {
    let post = DVec2::new(720.0, 40.0);
    let mut fixture = with_line(vec![
        // Upwards to the post's left side, clockwise round it by 270°, away to the front.
        anchor(Some(0), 0.0, 50.0),
        LineNode::Pulley(pulley(PulleyKind::Post, post, 10.0, Turn::Right)),
        anchor(None, post.x - 10.0, post.y + 200.0),
    ]);
    // Nobody holds the rider but the rope.
    fixture.drive = motor(1.0, 1.0);
    let model = model(&fixture, 0.0);
    let weight = -100.0 * STANDARD_GRAVITY;
    let lowered = model.pulls(-1.0, &[weight, 0.0], &Friction::default());
    let held = lowered.spans[1][0];
    near(held * 9.81 / STANDARD_GRAVITY, 382.2576, 1e-4);
    // Pulled up it takes as many times more.
    let raised = model.pulls(1.0, &[weight, 0.0], &Friction::default());
    near(raised.spans[1][0] * held, weight * weight, 1e-6 * weight * weight);
    // What the post takes is the difference.
    near(raised.losses[0].sliding, raised.spans[1][0] + weight, 1e-9 * raised.spans[1][0]);
}

/// Atwood's machine, 2 kg and 4 kg: the string pulls with 26.1333 N at g = 9.8 (college physics, read and
/// recomputed); the inertia of the accelerated masses is among the forces on them.
#[test]
fn the_string_of_atwoods_machine() {
    let fixture = with_line(fixture(&Recipe::default()).line.unwrap().nodes);
    let (gravity, acceleration) = (9.8, 9.8 * 2.0 / 6.0);
    near(acceleration, 3.266_67, 1e-5);
    let along = [-4.0 * (gravity - acceleration), -2.0 * (gravity + acceleration)];
    for travel in [0.0, 300.0] {
        let pulls = model(&fixture, travel).pulls(0.0, &along, &Friction::default());
        for pull in pulls.spans.iter().flatten() {
            near(*pull, 26.1333, 5e-5);
        }
    }
}

/// Losses of an idler by hand: M = μ·P·d/2 on the resultant 2T·sin(θ/2), two bearings' no-load torque, a share of
/// the pull for bending. The tight side is the one the line leaves by.
#[test]
fn what_an_idler_takes() {
    let mut nodes = fixture(&Recipe::default()).line.unwrap().nodes;
    for node in &mut nodes {
        if let LineNode::Pulley(pulley) = node {
            pulley.bearings = 2;
        }
    }
    let mut fixture = with_line(nodes);
    fixture.line.as_mut().unwrap().bending_loss = Coefficient::assumed(0.01);
    let friction = Friction { bearing: 0.002, no_load_torque: 0.6, ..Friction::default() };
    let model = model(&fixture, 100.0);
    // The lead goes up: the line runs from it over the idlers to the other, whose weight draws it.
    let pulls = model.pulls(1.0, &[-15.0, -12.0], &friction);
    let one = |slack: f64| {
        let bearing = 0.002 * 2.0 * slack * (0.5 * FRAC_PI_2).sin() * 5.0 / 2.0 / 10.0;
        slack + bearing + 2.0 * 0.6 / 10.0 + 0.01 * slack
    };
    let last = pulls.spans[2][1];
    near(last, 12.0, 1e-9);
    // Walked from the lead the pull grows over each idler.
    near(one(one(pulls.spans[0][0])), last, 1e-9);
    let lost: f64 = pulls.losses.iter().map(PulleyLoss::total).sum();
    near(lost, last - pulls.spans[0][0], 1e-9);
    // Down: the other way round.
    let back = model.pulls(-1.0, &[-15.0, -12.0], &friction);
    near(back.spans[0][0], one(one(12.0)), 1e-9);
}

/// An upright line of weight λg per length: its pull grows upwards by what hangs below.
#[test]
fn a_heavy_line_pulls_more_at_the_top() {
    let mut fixture = with_line(fixture(&Recipe::default()).line.unwrap().nodes);
    fixture.line.as_mut().unwrap().mass_per_metre = 0.1;
    let model = model(&fixture, 60.0);
    let pulls = model.pulls(0.0, &[-15.0, -12.0], &Friction::default());
    let [PathElement::Span { from, to, .. }, ..] = model.path().elements.as_slice() else { panic!("a span") };
    let growth = 0.1e-3 * STANDARD_GRAVITY * (to.x - from.x);
    near(pulls.spans[0][1] - pulls.spans[0][0], growth, 1e-9);
    assert!(growth > 0.1);
    // At equal heights it pulls alike on both sides of the idlers.
    near(pulls.spans[0][1], pulls.spans[2][0], 1e-9);
}

/// A rider on a driven loop with a pretension of 25 N, walked from it to the near pulley, under the rail to the far one, and
/// back.
fn driven_loop() -> Fixture {
    let mut fixture = with_line(vec![
        anchor(Some(0), -20.0, 10.0),
        LineNode::Pulley(pulley(PulleyKind::Driven, DVec2::new(-30.0, 0.0), 10.0, Turn::Left)),
        LineNode::Pulley(pulley(PulleyKind::Idler, DVec2::new(700.0, 0.0), 10.0, Turn::Left)),
        anchor(Some(0), 20.0, 10.0),
    ]);
    fixture.line.as_mut().unwrap().pretension = Coefficient::assumed(25.0);
    fixture.drive = motor(100.0, 1000.0);
    fixture
}

/// Both runs from a driven pulley share what moves a rider evenly about the pretension: T ± F/2.
#[test]
fn a_drive_takes_from_one_side_what_it_gives_the_other() {
    let fixture = driven_loop();
    let model = model(&fixture, 100.0);
    let pulls = model.pulls(1.0, &[-3.0, 0.0], &Friction::default());
    near(pulls.spans[0][0], 25.0 - 1.5, 1e-9);
    near(pulls.spans[2][1], 25.0 + 1.5, 1e-9);
    near(pulls.spans[1][0], 25.0 + 1.5, 1e-9);
    near(model.drive_radius().unwrap(), 10.0, 1e-12);
}

/// A line cannot push. Of a loop that is drawn with more than twice its pretension the one side hangs slack and the
/// other takes all of it (statics of a belt drive: T₁ − T₂ = F and T₂ ≥ 0).
#[test]
fn a_slack_side_pulls_nothing_and_the_other_takes_all() {
    let fixture = driven_loop();
    let model = model(&fixture, 100.0);
    let taut = model.pulls(1.0, &[-49.0, 0.0], &Friction::default());
    assert!(!taut.is_slack());
    near(taut.spans[0][0], 0.5, 1e-9);
    let slack = model.pulls(1.0, &[-70.0, 0.0], &Friction::default());
    assert!(slack.is_slack());
    near(slack.spans[0][0], 0.0, 1e-9);
    near(slack.spans[2][1], 70.0, 1e-9);
    // As it would be told: the pretension less half of what is drawn.
    near(slack.pushes[0], 35.0 - 25.0, 1e-9);
    assert_eq!(slack.pushes[2], 0.0);
}

/// A rider that is pushed towards the idler by more than its weight lets the line go slack: it pulls nothing on either
/// rider, and the hand alone holds the lead (two free bodies).
#[test]
fn a_slack_line_leaves_both_riders_alone() {
    let fixture = with_line(fixture(&Recipe::default()).line.unwrap().nodes);
    let model = model(&fixture, 60.0);
    let taut = model.pulls(0.0, &[-15.0, -12.0], &Friction::default());
    near(taut.spans[0][0], 12.0, 1e-9);
    near(taut.hand.unwrap(), 3.0, 1e-9);
    for sense in [0.0, 1.0, -1.0] {
        let slack = model.pulls(sense, &[-15.0, 12.0], &Friction::default());
        assert!(slack.spans.iter().flatten().all(|pull| *pull == 0.0), "{:?}", slack.spans);
        assert!(slack.pushes.iter().all(|push| (push - 12.0).abs() < 1e-9), "{:?}", slack.pushes);
        near(slack.hand.unwrap(), 15.0, 1e-9);
        for rider in [0, 1] {
            assert!(model.on_rider(rider, &slack).all(|(force, _)| force.length() == 0.0));
        }
    }
}

/// A slack line that weighs something still pulls where it hangs: at its top with its own weight.
#[test]
fn a_slack_line_hangs_by_its_own_weight() {
    let mut fixture = with_line(fixture(&Recipe::default()).line.unwrap().nodes);
    fixture.line.as_mut().unwrap().mass_per_metre = 0.1;
    let model = model(&fixture, 60.0);
    let slack = model.pulls(0.0, &[-15.0, 12.0], &Friction::default());
    let least = slack.spans.iter().flatten().copied().fold(f64::INFINITY, f64::min);
    near(least, 0.0, 1e-9);
    let [PathElement::Span { from, to, .. }, ..] = model.path().elements.as_slice() else { panic!("a span") };
    near(slack.spans[0][1] - slack.spans[0][0], 0.1e-3 * STANDARD_GRAVITY * (to.x - from.x), 1e-9);
}

/// On a lying rail a hand that moves the lead towards the idler moves nothing else: the line goes slack and hands nothing
/// on. Away from it the line draws the other rider as well (two free bodies).
#[test]
fn a_slack_line_takes_no_effort() {
    let mut fixture = fixture(&Recipe::default());
    fixture.rail.stand = Stand { incline: 0.0, roll: 0.0 };
    fixture.line.as_mut().unwrap().mass_per_metre = 0.0;
    let results = analyse(&fixture);
    let curves = &results.curves;
    for station in [0, 100, 200] {
        let of = |list: &Vec<Vec<RiderResistance>>, rider: usize| list[rider][station].total();
        near(curves.effort_up[station], of(&curves.resistance_up, 0), 1e-6);
        let both = of(&curves.resistance_down, 0) + of(&curves.resistance_down, 1);
        near(curves.effort_down[station], both + curves.line_loss_down[station], 1e-6);
        assert!(curves.line_pulls_up[station].spans.iter().flatten().all(|pull| *pull == 0.0));
    }
    let finding = results.findings.iter().find(|finding| finding.code == "belt.slack").unwrap();
    assert!(finding.value.unwrap() < 0.0);
    assert!(results.line.unwrap().spans.iter().all(|span| span.pull.0 == 0.0 && span.push > 0.0));
}

/// What a rider carries of a line weighs on it: a pulley, and the ends in its clamps. Hung on two parts of the line, the
/// lead's pulley takes half its weight more from the other (a two-to-one tackle).
#[test]
fn carried_pulleys_and_ends_weigh() {
    let base = two_to_one();
    let mut heavy = base.clone();
    let line = heavy.line.as_mut().unwrap();
    for node in &mut line.nodes {
        if let LineNode::Pulley(pulley) = node {
            pulley.mass = 0.4;
        }
    }
    let of = |fixture: &Fixture| {
        let assembly = Assembly::new(fixture);
        let mass = [0, 1].map(|rider: usize| assembly.riders[rider].mass.total());
        (mass, forces::imbalance(fixture, &assembly, 100.0), forces::effective_mass(fixture, &assembly))
    };
    let (before, after) = (of(&base), of(&heavy));
    near(after.0[0] - before.0[0], 0.4, 1e-12);
    // The pulley that stands still does not count.
    near(after.0[1] - before.0[1], 0.0, 1e-12);
    near(after.1 - before.1, 0.4 * STANDARD_GRAVITY, 1e-9);
    near(after.2 - before.2, 0.4, 1e-9);
    let centre =
        Assembly::new(&heavy).riders[0].mass.items.iter().find(|item| item.mass == 0.4).unwrap().centre;
    near(centre.distance(DVec3::new(60.0, 0.0, 40.0)), 0.0, 1e-12);

    // 20 mm of line at 0.5 kg/m in the clamp of the rider that moves twice as fast: 10 g, and four times as much at the
    // lead. The path's own part is taken off by a line without ends.
    let mut ends = base.clone();
    ends.line.as_mut().unwrap().mass_per_metre = 0.5;
    let mut bare = ends.clone();
    for node in &mut bare.line.as_mut().unwrap().nodes {
        if let LineNode::Anchor { tail, .. } = node {
            *tail = 0.0;
        }
    }
    let (with, without) = (of(&ends), of(&bare));
    near(with.0[1] - without.0[1], 0.010, 1e-12);
    near(with.0[0] - without.0[0], 0.0, 1e-12);
    near(with.1 - without.1, -2.0 * 0.010 * STANDARD_GRAVITY, 1e-9);
    near(with.2 - without.2, 4.0 * 0.010, 1e-9);
}
