//! Belts and cords.

use super::hand::Hand;
use super::random::Random;
use super::rider::Rider;

/// A line that moves a lead rider, or ties another to it, along a rail of this length. Gives the line and the drive.
pub(super) fn line(
    random: &mut Random,
    hand: &Hand,
    lead: &Rider,
    other: Option<&Rider>,
    length: f64,
) -> (String, String) {
    let sideways = matches!(lead.faces, "left" | "right");
    let sign = if matches!(lead.faces, "rear" | "left") { -1.0 } else { 1.0 };
    // The plane is square to the plate.
    let upright = !sideways;
    let turned = |turn: &'static str| match (turn, upright || !hand.manner.mirrored) {
        ("left", false) => "right",
        ("right", false) => "left",
        (turn, _) => turn,
    };
    let across = |value: f64| if upright { value } else { hand.y(value) };
    let spot = |along: f64, out: f64| format!("({}, {})", hand.mm(along), hand.mm(across(out)));
    let plane = if upright {
        format!("upright(y: {})", hand.mm(hand.y(random.pick(&[0.0, 0.0, 6.0]))))
    } else {
        format!("flat(z: {})", hand.mm(random.pick(&[0.0, 5.0])))
    };
    let toothed = random.chance(0.5);
    let (part, pulley, driven, radius) = if toothed {
        (
            "toothed belt, pitch 2, width 6",
            "toothed idler, 20 teeth, pitch 2, bore 5",
            "pulley, 20 teeth, pitch 2, bore 5",
            6.4,
        )
    } else {
        random.pick(&[
            ("cord 2", "idler 16", "idler 16", 8.0),
            ("strap, width 10", "idler 20", "idler 20", 10.0),
            ("cord 3", "post 8", "post 8", 4.0),
        ])
    };
    let roller = if pulley.starts_with("post") { "post" } else { "idler" };
    let anchor = |name: &str, rider: &Rider, along: f64, out: f64| {
        format!(
            "anchor(name: {}, rider: {}, at: {})",
            hand.name(name),
            hand.name(&rider.name),
            spot(along, out)
        )
    };
    let wheel = |kind: &str, name: &str, part: &str, along: f64, out: f64, turn: &'static str| {
        format!(
            "{kind}(name: {}, part: {part:?}, at: {}, turn: {})",
            hand.name(name),
            spot(along, out),
            turned(turn)
        )
    };
    let level = lead.top + random.size(2.0, 10.0);
    let far = length + random.size(15.0, 40.0);
    let turn = if sign > 0.0 { "right" } else { "left" };
    let mut drive = String::new();
    let nodes = if let Some(other) = other {
        let beneath = other.top + random.size(2.0, 10.0);
        let top = sign * (level - radius);
        let bottom = sign * (radius - beneath);
        vec![
            anchor("near knot", lead, 10.0, sign * level),
            wheel(roller, "upper roller", pulley, far, top, turn),
            wheel(roller, "lower roller", pulley, far, bottom, turn),
            anchor("far knot", other, 5.0, -sign * beneath),
        ]
    } else {
        // A loop round the whole rail and back to the same rider.
        let near = -random.size(15.0, 40.0);
        let low = level - 2.0 * radius;
        let last = if toothed && random.chance(0.6) {
            drive = ", drive: motor(name: \"motor\", efficiency: 0.7, inertia: 40, speed: 200, acceleration: 1500, \
                     continuous: 120, torque: [(0, 250), (400, 180)])"
                .to_owned();
            wheel("driven", "driver", driven, near, sign * (low + radius), turn)
        } else {
            wheel(roller, "near roller", pulley, near, sign * (low + radius), turn)
        };
        vec![
            anchor("front knot", lead, 12.0, sign * level),
            wheel(roller, "far roller", pulley, far, sign * (low + radius), turn),
            last,
            anchor("back knot", lead, -12.0, sign * level),
        ]
    };
    let pretension = random.pick(&["", ", pretension: 20", ", bending_loss: 0.02"]);
    let text = format!(
        ", line: (name: {}, part: {part:?}, plane: {plane}, nodes: [{}]{pretension})",
        hand.name("line"),
        nodes.join(", ")
    );
    (text, drive)
}
