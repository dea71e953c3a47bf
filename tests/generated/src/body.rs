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

/// One body somewhere in a room: boxes, cylinders along an axis or askew, cones, balls.
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
        0..=3 => format!("box(from: {}, to: {})", at(a), at(b)),
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
