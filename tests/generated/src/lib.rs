//! Random but plausible projects, for tests and benches: the same text for a seed on every machine.
//!
//! Rails of every built-in kind and own sections; one to four riders facing every way on wheels from the tables and
//! own ones, on shoes, with eccentrics, press and play; plates with features, before and behind the wheels and on bolts, some tapped; loads of boxes, outlines, cylinders, cones
//! and balls, askew, overlapping and sliding; obstacles clear, flush to a few units in the last place and in the way;
//! stops, lines, drives, forces, tolerances, trials. What overlaps is meant to: so it is while a person drags.
//!
//! A fixture can be written down in several [`Manner`]s that say the same of the world.

mod around;
mod body;
mod crowd;
mod drag;
mod hand;
mod line;
mod plate;
mod rail;
mod random;
mod rider;
mod wheel;

use glidewright_motion::Fixture;
use glidewright_project::{Document, parse, resolve};

pub use crowd::crowd;
pub use drag::Drag;
pub use hand::Manner;
pub use random::Random;

use hand::Hand;
use rail::Run;
use rider::{Asked, Course};

/// The project of a seed.
pub fn project(seed: u64) -> String {
    written(seed, Manner::default())
}

/// A project of a seed with its fixture.
pub struct Generated {
    /// Its seed.
    pub seed: u64,
    /// Its text.
    pub text: String,
    /// What the text reads as.
    pub document: Document,
    /// What that comes to.
    pub fixture: Fixture,
}

/// The projects of the seeds from `first` on that come to a fixture without an error. Some do not: a wheel that finds no
/// seat, a screw longer than any sold.
pub fn usable(first: u64) -> impl Iterator<Item = Generated> {
    (first..).filter_map(of)
}

/// The project of a seed, if it comes to a fixture without an error.
pub fn of(seed: u64) -> Option<Generated> {
    let text = project(seed);
    let document = parse(&text).ok()?;
    let resolved = resolve(&document, None);
    let fixture = resolved.fixture.clone().filter(|_| !resolved.has_errors())?;
    Some(Generated { seed, text, document, fixture })
}

/// The project of a seed, written in a manner.
pub fn written(seed: u64, manner: Manner) -> String {
    let random = &mut Random::new(seed);
    let hand = &Hand::new(manner);
    let rail = rail::rail(random, hand);
    let stroke = random.size(40.0, 500.0);
    let length = stroke + random.size(250.0, 600.0);
    let faces = faces(random, &rail);
    let mut riders = Vec::new();
    let mut parts: Vec<String> = rail.part.iter().cloned().collect();
    for (number, &faces) in faces.iter().enumerate() {
        let name = ["lead", "second", "third", "fourth"][number.min(3)];
        let asked = Asked { name, faces, course: course(random, number, stroke, length), rows: rows(random) };
        let rider = rider::rider(random, hand, &rail, &asked);
        parts.extend(rider.parts.iter().cloned());
        riders.push((rider, asked.course));
    }
    let tied =
        riders.iter().find(|(other, course)| course.ratio == Some(-1.0) && opposed(&riders[0].0, other));
    let other = tied.map(|(rider, _)| rider);
    let with_line = random.chance(if other.is_some() { 0.8 } else { 0.25 });
    let (line, drive) = if with_line {
        line::line(random, hand, &riders[0].0, other, length)
    } else {
        (String::new(), String::new())
    };
    let stand = match random.below(4) {
        0 => "upright".to_owned(),
        1 => "lying".to_owned(),
        _ => {
            let roll = random.pick(&[0.0, 0.0, 90.0, 180.0, 30.0, -75.0]);
            format!("inclined(incline: {:?}, roll: {:?})", random.size(0.0, 90.0), hand.y(roll))
        }
    };
    let (texts, riders): (Vec<String>, Vec<_>) =
        riders.into_iter().map(|(rider, _)| (rider.text.clone(), rider)).unzip();
    let obstacles = around::obstacles(random, hand, &riders, length);
    let trials = around::trials(random, hand);
    let from = if random.chance(0.2) { random.size(-20.0, 0.0) } else { 0.0 };
    format!(
        "(format: 1, name: \"Fixture {seed}\", rail: (section: {}, length: {}, stand: {stand}), riders: {}{line}, obstacles: {}, \
         stroke: (from: {}, to: {}), limits: (gap: {}, effort: 10, tilt: 0.5){drive}, parts: {}, trials: {})\n",
        rail.section,
        hand.mm(length),
        hand.list(texts),
        hand.list(obstacles),
        hand.travel(from),
        hand.travel(stroke),
        hand.mm(random.pick(&[1.0, 0.5, 2.0])),
        hand.list(parts),
        hand.list(trials)
    )
}

/// Which way each rider looks.
fn faces(random: &mut Random, rail: &rail::Rail) -> Vec<&'static str> {
    let mut ways = vec!["front", "rear"];
    if !rail.faces.is_empty() && rail.run != Run::Round {
        ways.extend(["left", "right"]);
    }
    let count = random.pick(&[1, 1, 2, 2, 2, 3, 4]);
    let first = random.pick(&ways);
    let mut faces = vec![first];
    for number in 1..count {
        let across = match first {
            "front" => "rear",
            "rear" => "front",
            "left" => "right",
            _ => "left",
        };
        // A second one mostly runs on the other side.
        faces.push(if number == 1 && random.chance(0.7) { across } else { random.pick(&ways) });
    }
    faces
}

fn opposed(a: &rider::Rider, b: &rider::Rider) -> bool {
    matches!(
        (a.faces, b.faces),
        ("front", "rear") | ("rear", "front") | ("left", "right") | ("right", "left")
    )
}

fn rows(random: &mut Random) -> usize {
    random.pick(&[1, 2, 2, 2, 2, 3])
}

fn course(random: &mut Random, number: usize, stroke: f64, length: f64) -> Course {
    let margin = 90.0;
    let end = length - margin;
    let (ratio, at) = match (number, random.below(10)) {
        (0, _) => (Some(1.0), random.size(margin, (end - stroke).max(margin + 1.0))),
        (_, 0..=5) => (Some(-1.0), random.size((margin + stroke).min(end - 1.0), end)),
        (_, 6) => (Some(0.5), random.size(margin, (end - 0.5 * stroke).max(margin + 1.0))),
        (_, 7) => (Some(1.0), random.size(margin, (end - stroke).max(margin + 1.0))),
        (_, 8) => (Some(-0.3), random.size(margin + 0.3 * stroke, end)),
        _ => (None, random.size(margin, (end - 0.4 * stroke).max(margin + 1.0))),
    };
    Course { at, ratio, stroke: if ratio.is_none() { 0.4 * stroke } else { stroke } }
}
