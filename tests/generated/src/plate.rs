//! Plates with what is added to them and cut out of them.

use super::hand::Hand;
use super::random::Random;

/// What a plate must hold.
pub(super) struct Frame<'a> {
    /// The way its rider looks.
    pub faces: &'a str,
    /// Half the distance of the axles along and across (mm).
    pub half: (f64, f64),
    /// Level of the inner face, for a plate that no stack carries (mm).
    pub level: Option<f64>,
}

const MATERIALS: [&str; 5] = ["PETG", "PLA", "Al 6061-T6", "ABS", "steel, plain carbon"];

pub(super) fn plate(
    random: &mut Random,
    hand: &Hand,
    name: &str,
    frame: &Frame<'_>,
    features: bool,
) -> String {
    let thickness = random.size(3.0, 12.0);
    let (along, across) = frame.half;
    let spot = |x: f64, y: f64| format!("({}, {})", hand.mm(x), hand.mm(hand.across(frame.faces, y)));
    let margin = random.size(8.0, 25.0);
    let kind = if frame.level.is_some() { 1 + 2 * random.below(2) } else { random.below(5) };
    let outline = match kind {
        0 => format!("around(margin: {}, corner: {})", hand.mm(margin), hand.mm(random.size(1.0, 8.0))),
        1 => {
            let (x, y) = (along + margin, across + margin);
            let skew = random.size(-5.0, 15.0);
            format!(
                "rectangle(from: {}, to: {}, corner: {})",
                spot(-x, -y),
                spot(x + skew, y),
                hand.mm(random.pick(&[0.0, 2.0, 6.0]))
            )
        }
        2 | 4 => format!(
            "pads(pad: {}, web: {}, webs: {}, fillet: {})",
            hand.mm(random.size(18.0, 32.0)),
            hand.mm(random.size(8.0, 16.0)),
            random.pick(&["ring", "all", "star"]),
            hand.mm(random.pick(&[0.0, 3.0, 5.0]))
        ),
        _ => drawn(random, hand, (along + margin, across + margin)),
    };
    let (x, y) = (along.max(4.0), across.max(4.0));
    let mut list = Vec::new();
    if features {
        for number in 0..random.below(4) {
            list.push(feature(random, hand, number, (x, y), thickness, &spot));
        }
    }
    let fill = random.pick(&[1.0, 1.0, 0.4, 0.25]);
    let level = frame.level.map_or_else(String::new, |level| format!(", level: {}", hand.mm(level)));
    let material = random.pick(&MATERIALS);
    format!(
        "(name: {}, outline: {outline}, thickness: {}, material: {material:?}, fill: {fill:?}, features: {}{level})",
        hand.name(name),
        hand.mm(thickness),
        hand.list(list)
    )
}

/// A drawn outline about the middle: a cross, a wedge or a ring with a hole. Its picture has across up or down,
/// as the plate is looked at.
fn drawn(random: &mut Random, hand: &Hand, (x, y): (f64, f64)) -> String {
    // Looked at from outside, whichever way the rider faces, the mirror image of a plate is its picture upside down.
    let flip = |v: f64| if hand.manner.mirrored { 0.0 - v } else { v };
    let ring = match random.below(3) {
        0 => vec![
            (-x, -0.4 * y),
            (-0.4 * x, -y),
            (0.4 * x, -y),
            (x, -0.4 * y),
            (x, 0.4 * y),
            (0.4 * x, y),
            (-0.4 * x, y),
            (-x, 0.4 * y),
        ],
        1 => vec![(-x, -y), (x, -0.8 * y), (x, y), (-x, 0.9 * y)],
        _ => vec![(-x, -y), (-0.2 * x, -y), (0.0, -0.3 * y), (0.2 * x, -y), (x, -y), (x, y), (-x, y)],
    };
    let mut d = String::new();
    for (i, (px, py)) in ring.iter().enumerate() {
        d += &format!("{}{px:?} {:?} ", if i == 0 { "M" } else { "L" }, flip(*py));
    }
    format!("path(\"{}Z\")", d)
}

fn feature(
    random: &mut Random,
    hand: &Hand,
    number: usize,
    (x, y): (f64, f64),
    thickness: f64,
    spot: &dyn Fn(f64, f64) -> String,
) -> String {
    let place = |random: &mut Random| (random.size(-0.6 * x, 0.6 * x), random.size(-0.5 * y, 0.5 * y));
    let small = 0.3 * x.min(y).max(6.0);
    let shape = |random: &mut Random, (cx, cy): (f64, f64)| match random.below(3) {
        0 => format!("circle(at: {}, diameter: {})", spot(cx, cy), hand.mm(random.size(3.0, 3.0 + small))),
        1 => format!(
            "rectangle(from: {}, to: {}, corner: 0.5)",
            spot(cx - small, cy - 0.6 * small),
            spot(cx + small, cy + 0.5 * small)
        ),
        _ => format!(
            "slot(from: {}, to: {}, width: {})",
            spot(cx, cy),
            spot(cx + small, cy + 0.4 * small),
            hand.mm(random.size(3.0, 6.0))
        ),
    };
    let side = random.pick(&["outside", "inside"]);
    let at = place(random);
    match random.below(6) {
        0 => {
            let out = x + random.size(5.0, 20.0);
            format!(
                "tab(name: {}, shape: slot(from: {}, to: {}, width: 12))",
                hand.name(&format!("tab {number}")),
                spot(0.5 * x, at.1),
                spot(out, at.1)
            )
        }
        1 | 2 => {
            format!("cut(name: {}, shape: {})", hand.name(&format!("cut {number}")), shape(random, at))
        }
        3 => {
            let at = (0.4 * at.0, 0.4 * at.1);
            let fill = random.pick(&["", ", fill: (material: \"lead (element)\", packing: 0.64)"]);
            format!(
                "pocket(name: {}, shape: {}, depth: {}, side: {side}{fill})",
                hand.name(&format!("pocket {number}")),
                shape(random, at),
                hand.mm(random.between(0.2, 0.7) * thickness)
            )
        }
        4 => format!(
            "rib(name: {}, shape: {}, height: {}, side: {side})",
            hand.name(&format!("rib {number}")),
            shape(random, at),
            hand.mm(random.size(2.0, 15.0))
        ),
        _ => format!(
            "clamp(name: {}, at: {}, length: {}, width: 16, height: 8, groove: 7, depth: 3, side: {side})",
            hand.name(&format!("clamp {number}")),
            spot(at.0, at.1),
            hand.mm(random.size(10.0, 24.0))
        ),
    }
}
