//! Wheels between plates: screws as beams held in several places, bolts that carry plates, screws that end in a thread.
#![allow(clippy::expect_used, reason = "a test that cannot go on may stop")]

mod common;

use std::f64::consts::PI;

use common::{Recipe, fixture};
use glidewright_motion::loads::{LoadCase, RiderLoads};
use glidewright_motion::*;

const STEEL: f64 = 205_000.0;
/// Stress diameter of M6 (mm), ISO 898-1.
const STRESS: f64 = 6.0 - 0.5 * (0.649_519 + 1.226_869);

fn second_moment(outer: f64, bore: f64) -> f64 {
    PI / 64.0 * (outer.powi(4) - bore.powi(4))
}

/// The common front rider whose wheels stand between two plates, `far` being the spacer's length on the far side; the
/// first of `youngs` is that of the near plate (MPa).
fn between(far: f64, youngs: [f64; 2], change: impl Fn(&mut Stack)) -> Fixture {
    let mut fixture = fixture(&Recipe { screw: 90.0, ..Recipe::default() });
    fixture.riders.truncate(1);
    fixture.line = None;
    let rider = &mut fixture.riders[0];
    let mut back = rider.plates[0].clone();
    (back.name, back.path) = ("back".into(), "riders/front/plates/back".into());
    rider.plates.push(back);
    for (plate, youngs) in rider.plates.iter_mut().zip(youngs) {
        (plate.fill, plate.material.youngs) = (1.0, youngs);
    }
    for mount in &mut rider.wheels {
        mount.press = 0.05;
        let pieces = &mut mount.stack.pieces;
        let mut spacer = pieces[2].clone();
        spacer.thickness = Toleranced::exact(far);
        let mut plate = pieces[1].clone();
        (plate.kind, plate.name) = (PieceKind::Plate(1), "back".into());
        let nut = pieces.len() - 1;
        pieces.insert(nut, spacer);
        pieces.insert(nut + 1, plate);
        change(&mut mount.stack);
    }
    fixture
}

fn unloaded(fixture: &Fixture) -> (LoadCase, RiderLoads) {
    let mut case = LoadCase::new(fixture, &Assembly::new(fixture), 0);
    let loads = case.loads(&loads::Wrench::default());
    (case, loads)
}

/// What the first wheel's axle gives per newton (mm/N): what the contact's own law leaves of the press. The rider has
/// settled along its axles, so that both flanks press alike.
fn axle_give(fixture: &Fixture) -> f64 {
    let (case, loads) = unloaded(fixture);
    let (contact, force) = (&case.contacts()[0], loads.wheels[0].radial);
    let lean = contact.spring.normal.dot(contact.radial);
    let given = contact.softening().give(loads.equilibrium.forces[0]).0 * loads.equilibrium.forces[0];
    fixture.riders[0].wheels[0].press / force - given / lean / force
}

const RIGID: f64 = 1e15;
const LIMP: f64 = 1e-6;

/// W. C. Young, R. G. Budynas, Roark's Formulas for Stress and Strain, table 8.1, a load W at a and b from the ends:
/// both ends fixed, y = Wa³b³/(3EIl³) (case 1d); both simply supported, y = Wa²b²/(3EIl) (1e); one fixed, the other
/// simply supported, y = Wa³b²(3l + b)/(12EIl³), a from the fixed end (1c). From memory.
#[test]
fn a_screw_between_plates_is_the_handbooks_beam() {
    let ei = STEEL * second_moment(STRESS, 0.0);
    for far in [15.0, 4.0, 40.0] {
        // Half the hub and the ring stand between the wheel's middle and each spacer.
        let (a, b) = (15.0 + 1.0 + 6.5, far + 1.0 + 6.5);
        let l: f64 = a + b;
        for (youngs, expected) in [
            ([RIGID, RIGID], a.powi(3) * b.powi(3) / (3.0 * ei * l.powi(3))),
            ([LIMP, LIMP], a * a * b * b / (3.0 * ei * l)),
            ([RIGID, LIMP], a.powi(3) * b * b * (3.0 * l + b) / (12.0 * ei * l.powi(3))),
            ([LIMP, RIGID], b.powi(3) * a * a * (3.0 * l + a) / (12.0 * ei * l.powi(3))),
        ] {
            let got = axle_give(&between(far, youngs, |stack| stack.screw.torque = Some(0.0)));
            assert!((got - expected).abs() < 1e-4 * expected, "{far} {youngs:?}: {got}, expected {expected}");
        }
    }
}

/// A beam from 0 to `length` with a unit load at `load`, its ends held and turning by `turn` per moment: its shift at
/// the load, and the bending moment along it. By the force method: the curvature M/EI summed up twice in small steps for
/// each of the moment and the force at the left end and for the load, and the two chosen so that the right end stays.
fn beam(length: f64, load: f64, turn: [f64; 2], ei: impl Fn(f64) -> f64) -> (f64, impl Fn(f64) -> f64) {
    const STEPS: u32 = 100_000;
    let step = length / f64::from(STEPS);
    let moment_of = move |m: f64, r: f64, w: f64, x: f64| r * x - m - w * (x - load).max(0.0);
    // Shift and turn at the right end beyond what its own give allows, and the shift at the load.
    let run = |m: f64, r: f64, w: f64| {
        let (mut slope, mut shift, mut at_load) = (turn[0] * m, 0.0, 0.0);
        for i in 0..STEPS {
            let x = (f64::from(i) + 0.5) * step;
            let curvature = -moment_of(m, r, w, x) / ei(x);
            shift += step * (slope + 0.5 * curvature * step);
            slope += curvature * step;
            if f64::from(i + 1) * step < load + 0.5 * step {
                at_load = shift;
            }
        }
        [shift, slope + turn[1] * -moment_of(m, r, w, length), at_load]
    };
    let [by_m, by_r, by_w] = [run(1.0, 0.0, 0.0), run(0.0, 1.0, 0.0), run(0.0, 0.0, 1.0)];
    let det = by_m[0] * by_r[1] - by_r[0] * by_m[1];
    let m = (-by_w[0] * by_r[1] + by_r[0] * by_w[1]) / det;
    let r = (-by_m[0] * by_w[1] + by_w[0] * by_m[1]) / det;
    (m * by_m[2] + r * by_r[2] + by_w[2], move |x| moment_of(m, r, 1.0, x))
}

/// The second route must know the handbook's formulas itself.
#[test]
fn the_force_method_gives_the_handbooks_beam() {
    let (shift, moment) = beam(60.0, 30.0, [0.0; 2], |_| 1e6);
    assert!((shift - 60f64.powi(3) / 192e6).abs() < 1e-6 * shift, "{shift}");
    for x in [0.0, 30.0, 60.0] {
        assert!((moment(x).abs() - 60.0 / 8.0).abs() < 1e-4, "{x}: {}", moment(x));
    }
}

/// Plates that turn, a plain shank, tubes round the screw: against the force method.
#[test]
fn stepped_beams_between_elastic_plates() {
    for (far, shank, tube, youngs) in [
        (15.0, 0.0, 0.0, [69_000.0, 2_000.0]),
        (25.0, 30.0, 0.0, [3_000.0, 69_000.0]),
        (8.0, 20.0, 68_000.0, [2_000.0, 2_000.0]),
    ] {
        let fixture = between(far, youngs, |stack| {
            stack.screw.shank = shank;
            stack.screw.torque = Some(if tube > 0.0 { 1e6 } else { 0.0 });
            for piece in stack.pieces.iter_mut().filter(|piece| piece.kind == PieceKind::Spacer) {
                piece.youngs = tube;
            }
        });
        let length = 15.0 + 1.0 + 13.0 + 1.0 + far;
        // Washer and plate, 7.6 mm, lie before the beam.
        let ei = |x: f64| {
            let screw = STEEL * second_moment(if 7.6 + x < shank { 6.0 } else { STRESS }, 0.0);
            let (spacer, hub) = (tube * second_moment(10.0, 6.2), STEEL * second_moment(9.9, 6.2));
            let round = match x {
                _ if tube == 0.0 => 0.0,
                x if !(15.0..=30.0).contains(&x) => spacer,
                x if x > 16.0 && x < 29.0 => hub,
                _ => 0.0,
            };
            screw + round
        };
        let placed = &Assembly::new(&fixture).riders[0];
        let span = (placed.stacks[0].at.y - placed.stacks[1].at.y).abs();
        // A strip of 60 × 6 mm for each of the two wheels on a side, Ma/(2EI) at its ends.
        let turn = youngs.map(|youngs| span / (2.0 * youngs * (60.0 * 216.0 / 12.0)));
        let (expected, moment) = beam(length, 22.5, turn, ei);
        let got = axle_give(&fixture);
        assert!((got - expected).abs() < 1e-4 * expected, "{far}: {got}, expected {expected}");
        // What is clamped is used most at one of its ends.
        let (_, loads) = unloaded(&fixture);
        let Some(opening) = loads.wheels[0].opening.filter(|_| tube > 0.0) else { continue };
        let clamping = 1e6 / (0.2 * 6.0);
        let limit = |outer: f64| clamping * (outer * outer + 6.2 * 6.2) / (8.0 * outer);
        let ends =
            [(0.0, 10.0), (15.0, 10.0), (16.0, 9.9), (22.5, 9.9), (29.0, 9.9), (30.0, 10.0), (length, 10.0)];
        let used = |(x, outer): (f64, f64)| loads.wheels[0].radial * moment(x).abs() / limit(outer);
        let most = ends.map(used).into_iter().fold(0.0, f64::max);
        assert!((opening.used() - most).abs() < 1e-3 * most, "{}, expected {most}", opening.used());
    }
}

/// Two plates on one side, the wheel overhanging: a beam fixed at its far end, simply supported a span l on and loaded
/// at a beyond: δ = Fa³/(3EI) + Fa²l/(4EI), by superposition of the cantilever and the turn Ml/(4EI) of a beam fixed
/// at its far end under a moment (Roark, table 8.1, case 3c, from memory).
#[test]
fn a_second_plate_on_the_same_side_holds_the_first_against_turning() {
    let ei = STEEL * second_moment(STRESS, 0.0);
    for span in [10.0, 30.0] {
        let fixture = between(0.0, [LIMP, RIGID], |stack| {
            stack.screw.torque = Some(0.0);
            // Washer, back, spacer of the span, plate, spacer, ring, wheel, ring, nut.
            let back = stack.pieces.remove(stack.pieces.len() - 2);
            let mut spacer = stack.pieces.remove(stack.pieces.len() - 2);
            spacer.thickness = Toleranced::exact(span);
            stack.pieces.insert(1, spacer);
            stack.pieces.insert(1, back);
        });
        let a: f64 = 22.5;
        let expected = a.powi(3) / (3.0 * ei) + a * a * span / (4.0 * ei);
        let got = axle_give(&fixture);
        assert!((got - expected).abs() < 1e-4 * expected, "{span}: {got}, expected {expected}");
    }
}

/// Both plates stand where the sizes say, whichever way the screws point; stacks that disagree hold both skew.
#[test]
fn every_plate_on_a_screw_has_its_level() {
    for turned in [false, true] {
        let mut fixture = between(15.0, [RIGID; 2], |stack| {
            if turned {
                stack.head = HeadSide::Inside;
                let nut = stack.pieces.len() - 1;
                stack.pieces[..nut].reverse();
            }
        });
        let assembly = Assembly::new(&fixture);
        assert!(assembly.faults.is_empty(), "{:?}", assembly.faults);
        let plates = &assembly.riders[0].plates;
        // The front tracks lie 15 mm before the middle; half the hub, ring and spacer are 22.5 mm.
        for (plate, inner) in plates.iter().zip([37.5, 15.0 - 22.5 - 6.0]) {
            assert!((plate.inner - inner).abs() < 1e-9 && plate.disagreement < 1e-9, "{plate:?}");
        }
        let spacer = |stack: &mut Stack| {
            let last = stack.pieces.iter().rposition(|piece| piece.kind == PieceKind::Spacer);
            stack.pieces[last.expect("a spacer")].thickness = Toleranced::exact(15.4);
        };
        spacer(&mut fixture.riders[0].wheels[0].stack);
        let plates = Assembly::new(&fixture).riders[0].plates.clone();
        let skew: Vec<f64> = plates.iter().map(|plate| (plate.disagreement * 1e6).round() / 1e6).collect();
        assert_eq!(skew, if turned { [0.4, 0.0] } else { [0.0, 0.4] });
    }
}

/// The plate behind the wheel is compared with its tyre: half the hub, a ring and a spacer of 1 mm lie between their
/// middles, half the tyre takes 5.5.
#[test]
fn the_tyre_keeps_clear_of_the_plate_behind_it() {
    let fixture = between(1.0, [RIGID; 2], |_| {});
    let results = analyse(&fixture);
    let bodies = &results.assembly.bodies;
    let gaps: Vec<f64> = results
        .interference
        .steady
        .iter()
        .filter(|pair| {
            let (a, b) = (&bodies[pair.bodies.0.0 as usize], &bodies[pair.bodies.1.0 as usize]);
            let is =
                |plate: &Body, tyre: &Body| plate.path.ends_with("plates/back") && tyre.role == Role::Tyre;
            is(a, b) || is(b, a)
        })
        .map(|pair| pair.gap)
        .collect();
    assert!(!gaps.is_empty() && gaps.iter().all(|gap| (gap - 3.0).abs() < 1e-6), "{gaps:?}");
}

/// A bracket on a bolt that stands in the front plate: 6 of plate, 20 of spacer further out; a second bolt carries a
/// third plate on the bracket, whatever their order.
#[test]
fn bolts_carry_plates() {
    let made = |order: [usize; 2], spacer: f64| {
        let mut fixture = between(15.0, [RIGID; 2], |_| {});
        let rider = &mut fixture.riders[0];
        for name in ["bracket", "shelf"] {
            let mut plate = rider.plates[0].clone();
            (plate.name, plate.path) = (name.into(), format!("riders/front/plates/{name}"));
            rider.plates.push(plate);
        }
        let like = rider.wheels[0].stack.clone();
        let bolt = |name: &str, lower: usize, upper: usize, spacer: f64| {
            let mut stack = like.clone();
            let mut plates = [stack.pieces[1].clone(), stack.pieces[1].clone()];
            (plates[0].kind, plates[1].kind) = (PieceKind::Plate(upper), PieceKind::Plate(lower));
            let (mut tube, nut) = (stack.pieces[2].clone(), stack.pieces[8].clone());
            tube.thickness = Toleranced { nominal: spacer, spread: Spread::Uniform { half_width: 0.1 } };
            let [outer, inner] = plates;
            stack.pieces = vec![outer, tube, inner, nut];
            Bolt {
                name: name.into(),
                path: format!("riders/front/bolts/{name}"),
                at: Default::default(),
                stack,
            }
        };
        let bolts = [bolt("low", 0, 2, spacer), bolt("high", 2, 3, 8.0)];
        rider.bolts = order.map(|number| bolts[number].clone()).to_vec();
        fixture
    };
    for order in [[0, 1], [1, 0]] {
        let assembly = Assembly::new(&made(order, 20.0));
        assert!(assembly.faults.is_empty(), "{:?}", assembly.faults);
        let plates = &assembly.riders[0].plates;
        let levels = [plates[2].inner, plates[3].inner];
        assert!((levels[0] - (37.5 + 6.0 + 20.0)).abs() < 1e-9, "{levels:?}");
        assert!((levels[1] - (levels[0] + 6.0 + 8.0)).abs() < 1e-9, "{levels:?}");
        // A bar 3 mm before the shelf's outer face: the gap takes in the sizes of both bolts and of the wheels' stacks,
        // each as it changes when everything is built anew.
        let gap = |change: &dyn Fn(&mut Fixture)| {
            let mut fixture = made(order, 20.0);
            let low = glam::DVec3::new(300.0, -10.0, levels[1] + 6.0 + 3.0);
            let solid =
                glidewright_geometry::Solid::cuboid_between(low, low + glam::DVec3::new(10.0, 20.0, 5.0));
            let bar =
                Obstacle { name: "bar".into(), path: "obstacles/bar".into(), ..fixture.obstacles[0].clone() };
            fixture.obstacles = vec![Obstacle { solids: vec![solid], is_stop: false, ..bar }];
            for mount in &mut fixture.riders[0].wheels {
                mount.stack.pieces[2].path = "near spacer".into();
                mount.stack.pieces[2].thickness.spread = Spread::Uniform { half_width: 0.1 };
            }
            for bolt in &mut fixture.riders[0].bolts {
                bolt.stack.pieces[1].path = bolt.name.clone();
            }
            change(&mut fixture);
            let results = analyse(&fixture);
            let path = |id: BodyId| results.assembly.bodies[id.0 as usize].path.clone();
            let ends = |pair: &&PairResult| {
                let paths = [path(pair.bodies.0), path(pair.bodies.1)];
                paths.iter().any(|p| p == "obstacles/bar")
                    && paths.iter().any(|p| p.ends_with("plates/shelf"))
            };
            let found = results.interference.passing.iter().find(ends).expect("they pass").clone();
            (found.gap, found.tolerance)
        };
        let (before, tolerance) = gap(&|_| {});
        assert!((before - 3.0).abs() < 1e-6, "{before}");
        let bolt_named = |name: &'static str, by: f64| {
            move |fixture: &mut Fixture| {
                for bolt in fixture.riders[0].bolts.iter_mut().filter(|bolt| bolt.name == name) {
                    bolt.stack.pieces[1].thickness.nominal += by;
                }
            }
        };
        let near = |fixture: &mut Fixture| {
            fixture.riders[0].wheels.iter_mut().for_each(|m| m.stack.pieces[2].thickness.nominal += 0.5);
        };
        let after = [gap(&near).0, gap(&bolt_named("low", 0.5)).0, gap(&bolt_named("high", 0.5)).0];
        for (after, name) in after.into_iter().zip(["near spacer", "low", "high"]) {
            let of = tolerance.contributors.iter().filter(|c| c.path == name);
            let own: f64 = of.map(|c| c.sensitivity).sum();
            let slope = (after - before) / 0.5;
            assert!(
                (own - slope).abs() < 1e-6 && (own + 1.0).abs() < 1e-6,
                "{name}: {own}, {slope} by rebuild"
            );
        }
    }
}

/// The least engagement in a tapped part: 1 d in metal, 2 d in plastic (common practice, no source).
#[test]
fn a_thread_in_a_plate_must_hold() {
    // Head to back plate: 1.6 + 6 + 15 + 1 + 13 + 1 + 15 = 52.6 mm.
    let made = |youngs: f64, thick: f64, length: f64, depth: Option<f64>| {
        let mut fixture = between(15.0, [RIGID, youngs], |stack| {
            stack.pieces.pop();
            stack.screw.length = Toleranced::exact(length);
            stack.end = StackEnd::Tapped { depth };
            let back = stack.pieces.last_mut().expect("a plate");
            (back.thickness, back.youngs) = (Toleranced::exact(thick), youngs);
        });
        fixture.riders[0].plates[1].thickness = Toleranced::exact(thick);
        fixture
    };
    let found = |fixture: &Fixture| {
        let mut findings = analyse(fixture).findings;
        findings.retain(|finding| finding.code.starts_with("screw."));
        findings.iter().map(|f| (f.code, f.severity, f.value)).collect::<Vec<_>>()
    };
    let close = |value: Option<f64>, to: f64| value.is_some_and(|value| (value - to).abs() < 1e-9);
    let (steel, plastic) = (210_000.0, 2_100.0);
    // 7.4 mm in steel hold, in plastic 12 are asked.
    assert_eq!(found(&made(steel, 12.0, 60.0, None)), []);
    let short = found(&made(plastic, 14.0, 60.0, None));
    assert!(
        matches!(short[..], [("screw.tapped", Severity::Marginal, value)] if close(value, 7.4)),
        "{short:?}"
    );
    assert_eq!(found(&made(plastic, 14.0, 65.0, None)), []);
    // A plate too thin for it, through which the screw goes.
    let thin = found(&made(steel, 5.0, 60.0, None));
    assert!(
        thin.contains(&("screw.tapped", Severity::Marginal, Some(thin[0].2.expect("a value")))),
        "{thin:?}"
    );
    assert!(thin.iter().any(|(code, severity, value)| {
        *code == "screw.through" && *severity == Severity::Note && close(*value, 2.4)
    }));
    // One that does not reach.
    assert!(matches!(
        found(&made(steel, 12.0, 50.0, None))[..],
        [("screw.tapped", Severity::Fails, Some(0.0))]
    ));
    // 8 mm of thread in 12 of plate: 60 stays 0.6 off its bottom, 65 would go 4.4 beyond.
    assert_eq!(found(&made(steel, 12.0, 60.0, Some(8.0))), []);
    let bottoms = found(&made(steel, 12.0, 65.0, Some(8.0)));
    assert!(bottoms.iter().any(|(code, severity, value)| {
        *code == "screw.bottoms" && *severity == Severity::Fails && close(*value, 4.4)
    }));
    // A plain shank takes from what holds, and may not reach the plate.
    let mut shank = made(steel, 12.0, 60.0, None);
    for mount in &mut shank.riders[0].wheels {
        mount.stack.screw.shank = 55.0;
    }
    let on_shank = found(&shank);
    assert!(on_shank.iter().any(|(code, ..)| *code == "screw.shank"), "{on_shank:?}");
    assert!(on_shank.iter().any(|(code, _, value)| *code == "screw.tapped" && close(*value, 5.0)));
}

/// A blind thread's and a nut's screws clamp alike: the axle does not hang on what its thread holds in.
#[test]
fn a_tapped_plate_holds_the_axle_as_a_nut_does() {
    let nut = axle_give(&between(15.0, [69_000.0; 2], |_| {}));
    let tapped = axle_give(&between(15.0, [69_000.0; 2], |stack| {
        stack.pieces.pop();
        stack.end = StackEnd::Tapped { depth: None };
    }));
    assert!((nut - tapped).abs() < 1e-12 * nut.abs() && nut > 0.0, "{nut} {tapped}");
}
