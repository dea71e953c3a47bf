//! Loads on the contacts of generated riders against a second solver.
//!
//! `reference/wheel_load_cases.txt` holds the riders as plain numbers, `reference/wheel_loads.txt` what scipy makes of them
//! by the complementary energy, from the contacts' forms and materials on; the script beside them makes the one from
//! the other and says how. `GLIDEWRIGHT_REFERENCE=write` writes the riders anew.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

use std::fmt::Write as _;

use glidewright_generated::{Generated, of, usable};
use glidewright_motion::contact::{Elastic, Form};
use glidewright_motion::loads::{Contact, LoadCase, RiderLoads, SolveEnding};
use glidewright_motion::{Assembly, TravelCurves};

const CASES: &str = include_str!("reference/wheel_load_cases.txt");
const FORCES: &str = include_str!("reference/wheel_loads.txt");

const HEADER: &str = "# case seed rider travel | wrench fx fy fz mx my mz | support k11 k12 k22 (shift, turn) | \
     contact px py pz nx ny nz closure support per_shift per_turn form and materials (N, mm, MPa)\n";

/// So many riders are written down.
const WRITTEN: usize = 240;

/// Numbers of a rider are those written down to within this share of the greatest of a line.
const SAME: f64 = 1e-9;

/// A force may differ by this share of the greatest of its rider: the numbers are written with nine to twelve digits.
const TOLERANCE: f64 = 1e-7;

/// A rider at one travel, in words and numbers, and what the program finds of it.
struct Case {
    lines: Vec<String>,
    forces: Vec<f64>,
}

/// Every rider of a fixture that stands on its contacts at the first and in the middle of the stroke.
fn cases(generated: &Generated) -> Vec<Case> {
    let fixture = &generated.fixture;
    let assembly = Assembly::new(fixture);
    let stations = [fixture.stroke.from, 0.5 * (fixture.stroke.from + fixture.stroke.to)];
    let curves = TravelCurves::new(fixture, &assembly, &stations);
    let mut found = Vec::new();
    for rider in 0..fixture.riders.len() {
        let case = LoadCase::new(fixture, &assembly, rider);
        for (travel, loads) in stations.iter().zip(&curves.loads[rider]) {
            // An axle whose joint opens is another one.
            let opens = loads.wheels.iter().any(|wheel| wheel.opening.is_some_and(|o| o.is_open()));
            if loads.equilibrium.ending == SolveEnding::Exact && !opens && !case.contacts().is_empty() {
                let head = format!("case {} {rider} {travel}", generated.seed);
                found.push(Case {
                    lines: described(head, &case, loads),
                    forces: loads.equilibrium.forces.clone(),
                });
            }
        }
    }
    found
}

fn described(head: String, case: &LoadCase, loads: &RiderLoads) -> Vec<String> {
    let (force, moment) = (loads.wrench.force, loads.wrench.moment);
    let mut lines =
        vec![head, format!("wrench{}", numbers(force.to_array().into_iter().chain(moment.to_array())))];
    lines.extend(case.supports().iter().map(|support| {
        let k = support.stiffness;
        format!("support{}", numbers([k.m11, k.m12, k.m22]))
    }));
    lines.extend(case.contacts().iter().map(contact));
    lines
}

/// Point, normal, closure, what carries it and how it turns with that, form and materials.
fn contact(contact: &Contact) -> String {
    let spring = &contact.spring;
    let place = spring.point.to_array().into_iter().chain(spring.normal.to_array()).chain([spring.closure]);
    let give = spring.give.map_or_else(
        || "-1 0 0".to_owned(),
        |give| format!("{}{}", give.support, numbers(give.per.iter().copied())),
    );
    let pairing = &contact.pairing;
    let elastic = |body: Elastic| [body.youngs, body.poisson];
    let both = elastic(pairing.runner).into_iter().chain(elastic(pairing.rail));
    let law = match pairing.form {
        _ if contact.given => format!("given{}", numbers([spring.stiffness])),
        Form::Line { length, radius } => format!("line{}", numbers([length, radius].into_iter().chain(both))),
        Form::Point(shape) => format!("point{}", numbers(shape.radii.into_iter().chain(both))),
        Form::Strip { length, foundation, .. } => format!("strip{}", numbers([length, foundation])),
        Form::Face { area, depth } => format!("face{}", numbers([area, depth, pairing.runner.youngs])),
    };
    format!("contact{} {give} {law}", numbers(place))
}

/// With twelve digits each.
fn numbers(values: impl IntoIterator<Item = f64>) -> String {
    values.into_iter().fold(String::new(), |mut text, value| {
        let rounded: f64 = format!("{value:.11e}").parse().unwrap();
        write!(text, " {rounded}").unwrap();
        text
    })
}

/// The blocks that begin with `case`.
fn blocks(text: &str) -> Vec<Vec<&str>> {
    let mut blocks: Vec<Vec<&str>> = Vec::new();
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        if line.starts_with("case") {
            blocks.push(Vec::new());
        }
        blocks.last_mut().unwrap().push(line);
    }
    blocks
}

/// Whether two lines say the same in words and, nearly, in numbers.
fn agree(a: &str, b: &str) -> bool {
    let values = |line: &str| line.split(' ').filter_map(|word| word.parse().ok()).collect::<Vec<f64>>();
    let size = values(a).iter().fold(0.0_f64, |most, value| most.max(value.abs()));
    let (mut first, mut second) = (a.split(' '), b.split(' '));
    let same = |p: &str, q: &str| match (p.parse::<f64>(), q.parse::<f64>()) {
        (Ok(p), Ok(q)) => p == q || (p - q).abs() <= SAME * size,
        _ => p == q,
    };
    first.by_ref().zip(second.by_ref()).all(|(p, q)| same(p, q)) && first.next() == second.next()
}

#[test]
fn the_second_solver_finds_the_same_forces() {
    if std::env::var("GLIDEWRIGHT_REFERENCE").is_ok_and(|asked| asked == "write") {
        let all = usable(0).flat_map(|generated| cases(&generated)).take(WRITTEN);
        let lines = all.flat_map(|case| case.lines).fold(HEADER.to_owned(), |text, line| text + &line + "\n");
        std::fs::write(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/wheel_load_cases.txt"), lines)
            .unwrap();
        return;
    }
    let (written, solved) = (blocks(CASES), blocks(FORCES));
    assert!(written.len() >= 200 && written.len() == solved.len(), "{} {}", written.len(), solved.len());
    let seed = |block: &[&str]| -> u64 { block[0].split(' ').nth(1).unwrap().parse().unwrap() };
    let (mut worst, mut bears, mut next) = (0.0_f64, 0, 0);
    while next < written.len() {
        let now = cases(&of(seed(&written[next])).unwrap());
        for case in now {
            // The last fixture may be written in part.
            let Some((known, reference)) = written.get(next).zip(solved.get(next)) else { break };
            next += 1;
            assert_eq!(known.len(), case.lines.len(), "{}", known[0]);
            for (was, now) in known.iter().zip(&case.lines) {
                assert!(agree(was, now), "the rider is another one, write it anew:\n{was}\n{now}");
            }
            assert_eq!(known[0], reference[0]);
            let forces: Vec<f64> =
                reference[1].split(' ').skip(1).map(|word| word.parse().unwrap()).collect();
            assert_eq!(forces.len(), case.forces.len());
            let most = forces.iter().copied().fold(1.0, f64::max);
            for (contact, (force, reference)) in case.forces.iter().zip(&forces).enumerate() {
                let off = (force - reference).abs() / most;
                assert!(
                    off <= TOLERANCE,
                    "{}, contact {contact}: {force} N, the second solver {reference} N",
                    known[0]
                );
                worst = worst.max(off);
                bears += usize::from(*force > 0.0);
            }
        }
    }
    assert!(bears > 500, "{bears} contacts bear, off by {worst} at most");
}
