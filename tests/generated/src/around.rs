//! What stands round the rail, what is asked, and what is tried.

use super::body::{self, Frame, Room, body};
use super::hand::Hand;
use super::random::Random;
use super::rider::Rider;

/// Obstacles beside, above and in the way of riders, and end stops.
pub(super) fn obstacles(random: &mut Random, hand: &Hand, riders: &[Rider], length: f64) -> Vec<String> {
    let mut list = Vec::new();
    for number in 0..random.count(0, 4) {
        let rider = &riders[random.below(riders.len())];
        // Level out from the rail: clear, flush to a few units in the last place, or in the way.
        let level = match random.below(6) {
            0 => rider.top,
            1 => random.nudged(rider.top),
            2 => rider.top - random.size(0.0, 15.0),
            _ => rider.top + random.size(0.2, 60.0),
        };
        let (x, y) = (random.size(0.0, length), random.size(-1.0, 1.0) * (rider.half.1 + 20.0));
        let size = [random.size(3.0, 60.0), random.size(3.0, 60.0), random.size(3.0, 40.0)];
        let turned = |p: [f64; 3]| match rider.faces {
            "rear" => [p[0], p[1], -p[2]],
            "right" => [p[0], p[2], p[1]],
            "left" => [p[0], -p[2], p[1]],
            _ => p,
        };
        let (a, b) = (turned([x, y, level]), turned([x + size[0], y + size[1], level + size[2]]));
        let room = Room {
            from: [a[0].min(b[0]), a[1].min(b[1]), a[2].min(b[2])],
            to: [a[0].max(b[0]), a[1].max(b[1]), a[2].max(b[2])],
        };
        let bodies = if random.chance(0.4) {
            let at = |p| body::place(hand, Frame::Rail, p);
            vec![format!("box(from: {}, to: {})", at(room.from), at(room.to))]
        } else {
            (0..random.count(1, 3)).map(|_| body(random, hand, Frame::Rail, &room)).collect()
        };
        list.push(format!(
            "(name: {}, bodies: {})",
            hand.name(&format!("obstacle {number}")),
            hand.list(bodies)
        ));
    }
    if random.chance(0.3) {
        let rider = &riders[0];
        let at = [random.size(0.0, 0.2) * length, -8.0, rider.top - 8.0];
        let to = [at[0] + 12.0, 8.0, rider.top];
        let (at, to) = (body::place(hand, Frame::Rail, at), body::place(hand, Frame::Rail, to));
        list.push(format!("(name: {}, stop: true, bodies: [box(from: {at}, to: {to})])", hand.name("stop"),));
    }
    list
}

/// Trials over the fixture.
pub(super) fn trials(random: &mut Random, hand: &Hand) -> Vec<String> {
    if !random.chance(0.3) {
        return Vec::new();
    }
    let path = format!("riders/{}/at", hand.manner.name("lead"));
    vec![format!(
        "(name: {}, changes: [shift(path: {path:?}, by: {})])",
        hand.name("further on"),
        hand.mm(5.0)
    )]
}
