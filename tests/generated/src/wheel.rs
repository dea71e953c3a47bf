//! Wheels from the tables and of the fixture's own.

use super::hand::Hand;
use super::rail::{Rail, Run};
use super::random::Random;

/// A wheel as its stack needs to know it.
pub(super) struct Wheel {
    /// Its part's name, in quotes.
    pub part: String,
    /// The part, if it is no built-in one.
    pub own: Option<String>,
    /// Screw size, e.g. `M5`.
    pub size: &'static str,
    /// Outer radius (mm).
    pub radius: f64,
    /// How far its axle stands off the face, about (mm).
    pub off: f64,
    /// Width over the inner rings (mm).
    pub hub: f64,
}

/// Name, outer diameter, hub, screw.
type Row = (&'static str, f64, f64, &'static str);

const VEE: [Row; 10] = [
    ("vee wheel 15, bore 3", 15.0, 8.0, "M3"),
    ("vee wheel 20, bore 5", 20.0, 9.0, "M5"),
    ("vee wheel 22, bore 6", 22.0, 13.0, "M6"),
    ("vee wheel 24, bore 6", 24.0, 13.0, "M6"),
    ("vee wheel 24, bore 5", 24.0, 11.0, "M5"),
    ("vee wheel 30, bore 5", 30.0, 11.0, "M5"),
    ("vee wheel 40, bore 6", 40.0, 13.0, "M6"),
    ("vee wheel 40, bore 5", 40.0, 11.0, "M5"),
    ("vee wheel 48, bore 6", 48.0, 13.0, "M6"),
    ("vee wheel 48, bore 5", 48.0, 11.0, "M5"),
];
const FLAT: [Row; 4] = [
    ("flat wheel 20, bore 5", 20.0, 9.0, "M5"),
    ("flat wheel 30, bore 5", 30.0, 11.0, "M5"),
    ("flat wheel 40, bore 6", 40.0, 13.0, "M6"),
    ("crowned wheel 30, bore 5", 30.0, 11.0, "M5"),
];
const ROUND: [Row; 3] = [
    ("round-grooved wheel 24 for rods of 6, bore 5", 24.0, 11.0, "M5"),
    ("round-grooved wheel 30 for rods of 8, bore 5", 30.0, 11.0, "M5"),
    ("round-grooved wheel 40 for rods of 12, bore 6", 40.0, 13.0, "M6"),
];

/// Bearing, its outer diameter, the screw through it, and the least hub of two of them.
const BEARINGS: [(&str, f64, &str, f64); 5] = [
    ("693 shielded", 8.0, "M3", 8.0),
    ("624", 13.0, "M4", 10.0),
    ("625", 16.0, "M5", 10.0),
    ("626", 19.0, "M6", 12.0),
    ("608", 22.0, "M8", 14.0),
];

pub(super) fn wheel(random: &mut Random, hand: &Hand, rail: &Rail) -> Wheel {
    // The tables have no grooved wheel for a thicker edge.
    let own = random.chance(0.35) || (rail.run == Run::Round && rail.mouth > 6.0);
    let depth = |tip: f64, angle: f64| {
        0.5 * (rail.mouth - tip).max(0.0) / f64::to_radians(angle.max(rail.angle).max(1.0)).tan()
    };
    if !own {
        let (name, outer, hub, size) = match rail.run {
            Run::Vee if rail.mouth < 5.9 => VEE[0],
            // Now and then one that does not belong on the rail.
            Run::Vee if random.chance(0.03) => random.pick(&FLAT),
            Run::Vee => random.pick(&VEE),
            Run::Flat => random.pick(&FLAT),
            Run::Round => match rail.mouth {
                r if r <= 3.0 => ROUND[0],
                r if r <= 4.0 => ROUND[1],
                _ => ROUND[2],
            },
        };
        let radius = 0.5 * outer;
        let off = match rail.run {
            Run::Vee => radius - depth(if name == "vee wheel 15, bore 3" { 2.4 } else { 5.0 }, 45.0),
            Run::Flat => radius,
            Run::Round => radius - if name.starts_with("round") { 0.6 * rail.mouth } else { 0.0 },
        };
        return Wheel { part: format!("{name:?}"), own: None, size, radius, off, hub };
    }
    let (bearing, ring, size, least) = random.pick(&BEARINGS);
    let width = random.size(6.0, 16.0);
    let hub = width.max(least) + random.pick(&[0.0, 1.0, 2.0, 0.5]);
    let mut radius = 0.5 * ring + random.size(4.0, 18.0);
    let mut off = radius;
    let running = match rail.run {
        Run::Vee => {
            let any = random.between(35.0, 55.0);
            let angle = random.pick(&[rail.angle, rail.angle, 45.0, any]);
            let tip = (random.between(0.4, 0.95) * rail.mouth).min(0.8 * width);
            off = radius - depth(tip, angle);
            format!("vee(tip: {}, half_angle: {angle:?})", hand.mm(tip))
        }
        Run::Flat if random.chance(0.5) => "flat".to_owned(),
        Run::Flat => format!("crowned(radius: {})", hand.mm(random.size(1.2 * width, 120.0))),
        Run::Round => {
            let groove = rail.mouth * random.pick(&[1.02, 1.05, 1.1, 1.3, 2.0]);
            let deep = groove - (groove * groove - 0.25 * width * width).max(0.0).sqrt();
            radius += deep;
            off = radius - deep;
            format!("grooved(radius: {})", hand.mm(groove))
        }
    };
    let name = format!("own wheel {}", hand.serial());
    let name = hand.name(&name);
    let material = random.pick(&["POM", "nylon PA6", "TPU 95A", "Al 6061-T6"]);
    let part = format!(
        "(name: {name}, form: wheel(running: {running}, outer: {}, width: {}, hub: {}, bearing: {bearing:?}, bearings: 2), \
         material: {material:?})",
        hand.mm(2.0 * radius),
        hand.mm(width),
        hand.mm(hub)
    );
    Wheel { part: name, own: Some(part), size, radius, off, hub }
}
