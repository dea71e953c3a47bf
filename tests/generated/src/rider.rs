//! Riders with all that is on them.

use super::body::{self, Room};
use super::hand::Hand;
use super::plate;
use super::rail::{Rail, Run};
use super::random::Random;
use super::wheel::{Wheel, wheel};

/// A rider, written, with what the rest of the fixture needs to know of it.
pub(super) struct Rider {
    pub text: String,
    /// The parts it needs beside the built-in ones.
    pub parts: Vec<String>,
    pub name: String,
    pub faces: &'static str,
    /// Level of its plate's outer face, about (mm).
    pub top: f64,
    /// Half its plate's extent along and across, about (mm).
    pub half: (f64, f64),
}

/// How it moves along the rail.
#[derive(Clone, Copy)]
pub(super) struct Course {
    /// Its place at travel 0 (mm).
    pub at: f64,
    /// Travels of its own for the lead's; `None` for one that is moved by itself.
    pub ratio: Option<f64>,
    /// How far it goes (mm).
    pub stroke: f64,
}

/// What a rider is asked to be.
pub(super) struct Asked<'a> {
    pub name: &'a str,
    pub faces: &'static str,
    pub course: Course,
    /// Wheels one behind the other on either side.
    pub rows: usize,
}

/// What holds a rider's wheels' screws.
#[derive(Clone, Copy)]
enum Held {
    /// The deck and a nut.
    Once,
    /// A thread in the deck.
    InDeck,
    /// The deck and a plate behind the wheels, the last of them tapped or with a nut.
    Between { is_tapped: bool },
}

impl Held {
    const fn is_tapped(self) -> bool {
        matches!(self, Self::InDeck | Self::Between { is_tapped: true })
    }
}

fn held(random: &mut Random, head: &str) -> Held {
    match random.below(10) {
        0 => Held::Between { is_tapped: true },
        1 => Held::Between { is_tapped: false },
        2 | 3 if head == "inside" => Held::InDeck,
        _ => Held::Once,
    }
}

pub(super) fn rider(random: &mut Random, hand: &Hand, rail: &Rail, asked: &Asked<'_>) -> Rider {
    let (faces, course) = (asked.faces, asked.course);
    let sideways = matches!(faces, "left" | "right");
    let (tracks, across, outward) = if sideways {
        (&rail.faces, rail.half.1, rail.half.0)
    } else {
        (&rail.sides, rail.half.0, rail.half.1)
    };
    let wheel = wheel(random, hand, rail);
    let mut parts: Vec<String> = wheel.own.iter().cloned().collect();
    let (place, offset) = tracks[random.below(tracks.len())];
    // Outward is against z or y for those that look to the rear or the left.
    let offset = if matches!(faces, "rear" | "left") { -offset } else { offset };
    // Mostly the plate clears the rail; at times it touches it or stands inside.
    let clear = match random.below(12) {
        0 => 0.0,
        1 => random.size(-4.0, 0.0),
        _ => random.size(1.0, 12.0),
    };
    let spacer = (outward + clear - offset - 0.5 * wheel.hub - 1.0).max(1.5);
    let level = offset + 0.5 * wheel.hub + 1.0 + spacer;
    let half_base =
        if asked.rows > 1 { random.size(1.2 * wheel.radius, 2.0 * wheel.radius + 30.0) } else { 0.0 };
    let half = (half_base + 12.0, across + wheel.off);
    let shoes = rail.run == Run::Flat && random.chance(0.15);
    let head = if random.chance(0.2) { "inside" } else { "outside" };
    let screw = random.pick(&["ISO 4762", "ISO 7380-1", "ISO 4017", "ISO 4014", "ISO 7380-2"]);
    let nut = match random.pick(&[
        "DIN 985",
        "ISO 7040",
        "ISO 4032",
        "ISO 10511",
        "ISO 4035",
        "DIN 562",
        "ISO 4161",
        "ISO 7719",
    ]) {
        // These begin with M5.
        "ISO 4161" | "ISO 7719" if matches!(wheel.size, "M3" | "M4") => "DIN 562",
        nut => nut,
    };
    let aside = &mut random.aside();
    let held = if shoes { Held::Once } else { held(aside, head) };
    let behind = (offset + outward + aside.size(0.5, 8.0) - 0.5 * wheel.hub - 1.0).max(1.5);
    let depth =
        if aside.chance(0.3) { format!(", depth: {}", hand.mm(aside.size(1.0, 2.5))) } else { String::new() };
    let beyond = &mut aside.aside();
    let insert = if beyond.chance(0.5) { insert(wheel.size) } else { None };
    let screw = if beyond.chance(0.15) { "DIN 7984" } else { screw };
    let stack = |spacing: &str, adjusts: bool| {
        let size = wheel.size;
        let washer = format!("(washer: \"ISO 7089 {size}\")");
        let deck = format!("(plate: {})", hand.name("deck"));
        let ring = format!("(shim: \"ring {size}\", length: {})", hand.mm(1.0));
        let running = format!("(wheel: {})", wheel.part);
        let nut = format!("(nut: \"{nut} {size}\")");
        // An eccentric shifts no screw that a thread holds.
        let is_tapped = held.is_tapped() && !adjusts;
        let plate = |name: &str, ends: bool| {
            let hole = match (ends && is_tapped, insert) {
                (false, _) => String::new(),
                (true, None) => format!(", hole: tapped{depth}"),
                (true, Some(insert)) => format!(", hole: insert, insert: \"heat-set insert {insert}\""),
            };
            format!("(plate: {}{hole})", hand.name(name))
        };
        let back_spacer = format!("(spacer: \"tube {size}\", length: {})", hand.mm(behind));
        let mut pieces = match (held, head) {
            (Held::Between { .. }, "outside") => {
                vec![
                    washer,
                    deck,
                    spacing.to_owned(),
                    ring.clone(),
                    running,
                    ring,
                    back_spacer,
                    plate("back", true),
                ]
            }
            (Held::Between { .. }, _) => {
                let back = plate("back", false);
                let deck = plate("deck", true);
                vec![washer, back, back_spacer, ring.clone(), running, ring, spacing.to_owned(), deck]
            }
            (_, "outside") => vec![washer, deck, spacing.to_owned(), ring.clone(), running, ring],
            (Held::InDeck, _) => vec![ring.clone(), running, ring, spacing.to_owned(), plate("deck", true)],
            _ => vec![ring.clone(), running, ring, spacing.to_owned(), deck, washer],
        };
        if !is_tapped {
            pieces.push(nut);
        }
        format!("(screw: \"{screw} {size}\", head: {head}, pieces: [{}])", pieces.join(", "))
    };
    let tube = format!("(spacer: \"tube {}\", length: {})", wheel.size, spacer_size(random, hand, spacer));
    let turn = hand.across(faces, random.pick(&[0.0, 30.0, 45.0, 90.0, -60.0]));
    let cam =
        format!("(eccentric: \"eccentric {}\", length: {}, turn: {turn:?})", wheel.size, hand.mm(spacer));
    let wheels = if shoes {
        Vec::new()
    } else {
        wheels(random, hand, rail, asked, half_base, place, &stack(&cam, true))
    };
    let shoe_list = if shoes { shoe_list(random, hand, rail, faces, sideways) } else { Vec::new() };
    let frame = plate::Frame { faces, half, level: shoes.then_some(level) };
    let mut plates = vec![plate::plate(random, hand, "deck", &frame, true)];
    if random.chance(0.1) {
        let upper = plate::Frame { faces, half: (10.0, 10.0), level: Some(level + 30.0) };
        plates.push(plate::plate(random, hand, "upper", &upper, false));
    }
    if let Held::Between { .. } = held {
        let back = plate::Frame { faces, half, level: None };
        plates.push(plate::plate(aside, hand, "back", &back, false));
    }
    let mut bolts = if random.chance(0.3) { vec![bolt(random, hand, faces, half)] } else { Vec::new() };
    // Its hole would meet pockets, and miss webs.
    let has_room = plates.first().is_some_and(|deck| !deck.contains("pocket(") && !deck.contains("pads("));
    if aside.chance(0.2) && has_room {
        let (plate, bolt) = bracket(aside, hand, faces, half);
        plates.push(plate);
        bolts.push(bolt);
    }
    let mut extra = extras(random, hand, faces, half);
    let loads = loads(random, hand, faces, half);
    if !bolts.is_empty() {
        extra += &format!(", bolts: {}", hand.list(bolts));
    }
    if !shoe_list.is_empty() {
        extra += &format!(", shoes: {}", hand.list(shoe_list));
    }
    if random.chance(0.1) {
        extra += &format!(", stiffness: {:?}", random.between(50.0, 2000.0));
    }
    let moves = match course.ratio {
        None => format!(
            "free(from: {}, to: {}, at: {})",
            hand.mm(0.0),
            hand.mm(course.stroke),
            hand.mm(random.unit() * course.stroke)
        ),
        Some(1.0) if asked.name == "lead" => "lead".to_owned(),
        Some(ratio) => format!("linked({ratio:?})"),
    };
    let text = format!(
        "(name: {}, faces: {}, at: {}, moves: {moves}, stack: {}, wheels: {}, plates: {}, loads: {}{extra})",
        hand.name(asked.name),
        hand.side(faces),
        hand.at(course.at, course.ratio.unwrap_or(0.0)),
        stack(&tube, false),
        hand.list(wheels),
        hand.list(plates),
        hand.list(loads)
    );
    parts.dedup();
    let Wheel { .. } = wheel;
    Rider { text, parts, name: asked.name.to_owned(), faces, top: level + 6.0, half }
}

/// The shortest built-in threaded insert for a screw, as plates go.
fn insert(size: &str) -> Option<&'static str> {
    ["M3 x 3", "M4 x 4", "M5 x 5.8"].into_iter().find(|insert| insert.split(' ').next() == Some(size))
}

/// The spacer's length, at times with a tolerance.
fn spacer_size(random: &mut Random, hand: &Hand, spacer: f64) -> String {
    let value = hand.mm(spacer);
    // A tolerance counts in the unit of the size as it is written.
    match random.below(6) {
        0 => format!("(value: {value}, tolerance: plus_minus(0.1))"),
        1 => format!("(value: {value}, tolerance: general(m), note: \"as bought\")"),
        2 => format!("(value: {value}, tolerance: normal(0.05))"),
        _ => value,
    }
}

/// Wheels on both sides, as pairs or each for itself.
fn wheels(
    random: &mut Random,
    hand: &Hand,
    rail: &Rail,
    asked: &Asked<'_>,
    half_base: f64,
    place: &str,
    adjusting: &str,
) -> Vec<String> {
    let press = match random.below(5) {
        0 | 1 => 0.0,
        2 => random.size(0.0, 0.1),
        3 => random.between(0.01, 0.08),
        _ => -random.between(0.01, 0.2),
    };
    let sides = if matches!(asked.faces, "left" | "right") { ["front", "rear"] } else { ["left", "right"] };
    let each = !rail.pairs || random.chance(0.4);
    let cams = random.chance(0.3);
    let pair = if place.is_empty() { "middle".to_owned() } else { hand.side(place) };
    let mut list = Vec::new();
    for row in 0..asked.rows {
        let share = if asked.rows > 1 { 2.0 * row as f64 / (asked.rows - 1) as f64 - 1.0 } else { 0.0 };
        let along = hand.mm((share * half_base * 10.0).round() / 10.0);
        if !each {
            list.push(format!(
                "(name: {}, pair: {pair:?}, along: {along}, press: {})",
                hand.name(&format!("row {row}")),
                hand.mm(press)
            ));
            continue;
        }
        for side in sides {
            let track = format!("{} {place}", hand.side(side));
            let track =
                if place.is_empty() { hand.side(side) } else { track.replace(place, &hand.side(place)) };
            // One side is adjusted.
            let own = if cams && side == sides[1] { format!(", stack: {adjusting}") } else { String::new() };
            list.push(format!(
                "(name: {}, track: {:?}, along: {along}, press: {}{own})",
                hand.name(&format!("{side} of row {row}")),
                track.trim(),
                hand.mm(press)
            ));
        }
    }
    list
}

fn shoe_list(random: &mut Random, hand: &Hand, rail: &Rail, faces: &str, sideways: bool) -> Vec<String> {
    let sides = if sideways { ["front", "rear"] } else { ["left", "right"] };
    let length = random.size(15.0, 50.0);
    let width = 0.4 * rail.mouth.max(2.0);
    let mut list = Vec::new();
    for (side, sign) in sides.into_iter().zip(if sideways { [1.0, -1.0] } else { [-1.0, 1.0] }) {
        let along = if random.chance(0.5) { 0.0 } else { random.size(-10.0, 10.0) };
        let face = if sideways { rail.half.1 } else { rail.half.0 };
        let out = sign * (face + 5.0);
        let (from, to) = if sideways {
            ([along - 0.5 * length, -width, sign * face], [along + 0.5 * length, width, out])
        } else {
            ([along - 0.5 * length, sign * face, -width], [along + 0.5 * length, out, width])
        };
        let at = |p| body::place(hand, body::Frame::Rail, p);
        list.push(format!(
            "(name: {}, track: {:?}, along: {}, length: {}, material: \"POM\", bodies: [box(from: {}, to: {})])",
            hand.name(&format!("shoe {side}")),
            hand.side(side),
            hand.mm(along),
            hand.mm(length),
            at(from),
            at(to)
        ));
    }
    let _ = faces;
    list
}

fn bolt(random: &mut Random, hand: &Hand, faces: &str, half: (f64, f64)) -> String {
    let size = random.pick(&["M4", "M5", "M6"]);
    let at = (random.size(-0.4, 0.4) * half.0, random.between(-0.3, 0.3) * half.1);
    format!(
        "(name: {}, at: ({}, {}), stack: (screw: \"ISO 4017 {size}\", pieces: [(washer: \"ISO 7093-1 {size}\"), (plate: {}), \
         (nut: \"ISO 4032 {size}\")]))",
        hand.name("bolt"),
        hand.mm(at.0),
        hand.mm(hand.across(faces, at.1)),
        hand.name("deck")
    )
}

/// A bracket held off the deck by one bolt, which ends in the deck or goes through it.
fn bracket(random: &mut Random, hand: &Hand, faces: &str, half: (f64, f64)) -> (String, String) {
    let size = random.pick(&["M4", "M5", "M6"]);
    let (x, y) = (random.size(-0.4, 0.4) * half.0, random.between(-0.3, 0.3) * half.1);
    let spot = |x: f64, y: f64| format!("({}, {})", hand.mm(x), hand.mm(hand.across(faces, y)));
    let (wide, tall) = (random.size(9.0, 20.0), random.size(9.0, 20.0));
    let plate = format!(
        "(name: {}, outline: rectangle(from: {}, to: {}), thickness: {}, material: \"PETG\")",
        hand.name("bracket"),
        spot(x - wide, y - tall),
        spot(x + wide, y + tall),
        hand.mm(random.size(3.0, 8.0))
    );
    let ends = if random.chance(0.5) {
        format!("(plate: {}, hole: tapped)", hand.name("deck"))
    } else {
        format!("(plate: {}), (nut: \"ISO 4032 {size}\")", hand.name("deck"))
    };
    let bolt = format!(
        "(name: {}, at: {}, stack: (screw: \"ISO 4017 {size}\", pieces: [(washer: \"ISO 7089 {size}\"), (plate: {}), \
         (spacer: \"tube {size}\", length: {}), {ends}]))",
        hand.name("bracket bolt"),
        spot(x, y),
        hand.name("bracket"),
        hand.mm(random.size(4.0, 25.0))
    );
    (plate, bolt)
}

/// What it carries.
fn loads(random: &mut Random, hand: &Hand, faces: &str, half: (f64, f64)) -> Vec<String> {
    let frame = body::Frame::Rider(faces);
    let mut list = Vec::new();
    for number in 0..random.count(0, 3) {
        let tall = random.size(5.0, 120.0);
        let wide = (half.0 * random.between(0.5, 1.5), half.1 * random.between(0.4, 1.4));
        let room = Room { from: [-wide.0, -wide.1, 0.0], to: [wide.0, wide.1, tall] };
        let bodies: Vec<String> =
            (0..random.count(0, 4)).map(|_| body::body(random, hand, frame, &room)).collect();
        let centre = (bodies.is_empty() || random.chance(0.3)).then(|| {
            let centre = [random.size(-10.0, 10.0), random.size(-10.0, 10.0), random.size(0.0, 0.5 * tall)];
            format!(", centre: {}", body::place(hand, frame, centre))
        });
        let reach = random.chance(0.25).then(|| {
            let mut way = [0.0; 3];
            way[random.below(3)] = random.pick(&[1.0, -1.0, 2.0]);
            if random.chance(0.3) {
                way = [random.between(-1.0, 1.0), random.between(-1.0, 1.0), 0.7];
            }
            let to = random.size(20.0, 200.0);
            // A direction has no unit.
            format!(
                ", reach: (direction: {}, from: 0, to: {}, at: {})",
                body::place(hand, frame, way),
                hand.mm(to),
                hand.mm(to * random.pick(&[0.0, 0.3, 1.0]))
            )
        });
        list.push(format!(
            "(name: {}, mass: {:?}, on: {}, bodies: {}{}{}{})",
            hand.name(&format!("load {number}")),
            random.size(5.0, 2500.0),
            hand.name("deck"),
            hand.list(bodies),
            centre.unwrap_or_default(),
            reach.unwrap_or_default(),
            if random.chance(0.15) { ", ballast: true" } else { "" }
        ));
    }
    list
}

/// Grip, forces, points.
fn extras(random: &mut Random, hand: &Hand, faces: &str, half: (f64, f64)) -> String {
    let frame = body::Frame::Rider(faces);
    let mut extra = String::new();
    let somewhere = |random: &mut Random| {
        let place = [random.size(-half.0, half.0), random.size(-half.1, half.1), random.size(0.0, 40.0)];
        body::place(hand, frame, place)
    };
    if random.chance(0.4) {
        let at = somewhere(random);
        extra += &format!(", grip: (name: {}, on: {}, at: {at})", hand.name("grip"), hand.name("deck"));
    }
    if random.chance(0.2) {
        let at = somewhere(random);
        let acts = random.pick(&["push", "drag"]);
        let (first, second) = (random.between(0.0, 2.0), random.between(0.0, 3.0));
        extra += &format!(
            ", forces: [(name: {}, acts: {acts}, on: {}, at: {at}, table: [({}, {first:?}), ({}, {second:?})])]",
            hand.name("spring"),
            hand.name("deck"),
            hand.travel(0.0),
            hand.travel(100.0)
        );
    }
    if random.chance(0.3) {
        let at = somewhere(random);
        extra += &format!(", points: [(name: {}, on: {}, at: {at})]", hand.name("tip"), hand.name("deck"));
    }
    extra
}
