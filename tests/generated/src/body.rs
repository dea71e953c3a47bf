//! Bodies in space.

use super::hand::Hand;
use super::random::Random;

/// A box in space that bodies are put in (mm).
#[derive(Clone, Copy)]
pub(super) struct Room {
    pub from: [f64; 3],
    pub to: [f64; 3],
}

/// The frame a body's places count in.
#[derive(Clone, Copy)]
pub(super) enum Frame<'a> {
    /// The rail's.
    Rail,
    /// A rider's that looks this way.
    Rider(&'a str),
}

pub(super) fn place(hand: &Hand, frame: Frame<'_>, [x, y, z]: [f64; 3]) -> String {
    let y = match frame {
        Frame::Rail => hand.y(y),
        Frame::Rider(faces) => hand.across(faces, y),
    };
    format!("({}, {}, {})", hand.mm(x), hand.mm(y), hand.mm(z))
}

/// One body somewhere in a room: boxes square and turned, outlines, cylinders along an axis or askew, cones, balls.
pub(super) fn body(random: &mut Random, hand: &Hand, frame: Frame<'_>, room: &Room) -> String {
    let mut point = |i: usize| random.size(room.from[i], room.to[i]);
    let a = [point(0), point(1), point(2)];
    let b = [point(0), point(1), point(2)];
    let extent = |i: usize| (room.to[i] - room.from[i]).abs();
    let least = extent(0).min(extent(1)).min(extent(2));
    // Nothing is thinner than a tenth.
    let apart = |i: usize| if (a[i] - b[i]).abs() < 0.1 { a[i] + 0.5 * least.max(1.0) } else { b[i] };
    let b = [apart(0), apart(1), apart(2)];
    let thick = random.size(0.2 * least.max(2.0), least.clamp(3.0, 60.0)).max(1.0);
    let at = |p| place(hand, frame, p);
    match random.below(10) {
        0..=3 => {
            boxed(&mut Random::new(a[0].to_bits() ^ b[1].to_bits().rotate_left(17)), hand, frame, (a, b))
        }
        4 | 5 => {
            let axis = random.below(3);
            let mut end = a;
            end[axis] = b[axis];
            format!("cylinder(from: {}, to: {}, diameter: {})", at(a), at(end), hand.mm(thick))
        }
        // Askew, at times by next to nothing.
        6 | 7 => {
            let mut end = b;
            if random.chance(0.3) {
                end = [b[0], a[1], random.nudged(a[2])];
            }
            format!("cylinder(from: {}, to: {}, diameter: {})", at(a), at(end), hand.mm(thick))
        }
        8 => {
            let top = thick * random.pick(&[0.0, 0.5, 0.99, 1.5]);
            format!(
                "cone(from: {}, to: {}, from_diameter: {}, to_diameter: {})",
                at(a),
                at(b),
                hand.mm(thick),
                hand.mm(top)
            )
        }
        _ => format!("ball(at: {}, diameter: {})", at(a), hand.mm(thick)),
    }
}

/// A box between two corners, as it is, turned, or a channel cut from it. Its choices are a stream of its own, so that
/// they move nothing else.
fn boxed(random: &mut Random, hand: &Hand, frame: Frame<'_>, (a, b): ([f64; 3], [f64; 3])) -> String {
    let turned = if random.chance(0.4) { turned(random, hand, frame) } else { String::new() };
    if random.chance(0.3) {
        return channel(random, hand, frame, (a, b), &turned);
    }
    format!("box(from: {}, to: {}{turned})", place(hand, frame, a), place(hand, frame, b))
}

/// Whether a mirrored fixture is written with the places of this frame mirrored.
fn is_mirrored(hand: &Hand, frame: Frame<'_>) -> bool {
    match frame {
        Frame::Rail => hand.y(1.0) < 0.0,
        Frame::Rider(faces) => hand.across(faces, 1.0) < 0.0,
    }
}

/// A turn about an axis of the frame or askew, at times by next to nothing, at times by a quarter.
fn turned(random: &mut Random, hand: &Hand, frame: Frame<'_>) -> String {
    let axis = random.pick(&[[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, -2.0, 0.5]]);
    let angle = match random.below(5) {
        0 => 1e-9,
        1 => 90.0,
        _ => random.size(-60.0, 60.0),
    };
    // A mirror turns the axis round as it does a place, and the sense of every turn.
    let (y, angle) = if is_mirrored(hand, frame) { (-axis[1], 0.0 - angle) } else { (axis[1], angle) };
    format!(", turned: (about: ({:?}, {:?}, {:?}), by: {angle:?})", axis[0], y + 0.0, axis[2])
}

/// A channel along x, y or z that fills a box but for its groove: an outline drawn by a path.
fn channel(
    random: &mut Random,
    hand: &Hand,
    frame: Frame<'_>,
    (a, b): ([f64; 3], [f64; 3]),
    turned: &str,
) -> String {
    let axis = random.below(3);
    let [right, up] = [[1, 2], [0, 2], [0, 1]][axis];
    let low = |i: usize| a[i].min(b[i]);
    let high = |i: usize| a[i].max(b[i]);
    let flips = is_mirrored(hand, frame);
    // What a place of the frame is written as, and the far end of the outline seen from its near one.
    let written = |i: usize, value: f64| if i == 1 && flips { 0.0 - value } else { value };
    let reach = |i: usize| written(i, high(i)) - written(i, low(i));
    // The way a unit to the right and one up on the drawing go in the frame.
    let handed = match frame {
        Frame::Rail | Frame::Rider("front") => 1.0,
        Frame::Rider("rear") => -1.0,
        Frame::Rider(faces) => {
            // The file's format calls left what looks to −y.
            let right_handed = (faces == "left") != hand.manner.mirrored;
            if right_handed { 1.0 } else { -1.0 }
        }
    };
    let (to_right, to_up) = match axis {
        0 => (-handed, 1.0),
        1 => (1.0, 1.0),
        _ => (1.0, handed),
    };
    // The data's y grows downwards.
    let (w, h) = (to_right * reach(right), -to_up * reach(up));
    let share = random.between(0.2, 0.4);
    let (near, far, floor) = (share * w, (1.0 - share) * w, share * h);
    let d = format!("M0 0 H{w:?} V{h:?} H{far:?} V{floor:?} H{near:?} V{h:?} H0 Z");
    format!(
        "outline(shape: path(d: {d:?}, at: ({}, {})), along: {}, from: {}, to: {}{turned})",
        hand.mm(written(right, low(right))),
        hand.mm(written(up, low(up))),
        ["x", "y", "z"][axis],
        hand.mm(written(axis, low(axis))),
        hand.mm(written(axis, high(axis))),
    )
}
