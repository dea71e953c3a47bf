//! What the tests on generated fixtures share.
#![allow(dead_code, reason = "each test binary uses its own part")]

use glidewright_generated::{Generated, usable};
use glidewright_motion::loads::{RiderLoads, wheel_of};
use glidewright_motion::resistance::{Friction, WheelFactors};
use glidewright_motion::{Assembly, Drive, Fixture, ForceAction, Shoe, StackOf};

/// The generated fixtures a test looks at: `few`, or as many as `GLIDEWRIGHT_GENERATED` says.
pub fn fixtures(few: usize) -> impl Iterator<Item = Generated> {
    let asked = std::env::var("GLIDEWRIGHT_GENERATED").ok().and_then(|count| count.parse().ok());
    usable(0).take(asked.unwrap_or(few))
}

/// The same with their seeds, moved by hand at steady speed: what is accelerated carries other loads, of which nothing tells
/// the friction.
pub fn by_hand(few: usize) -> impl Iterator<Item = (u64, Fixture)> {
    fixtures(few).map(|generated| (generated.seed, Fixture { drive: Drive::Hand, ..generated.fixture }))
}

/// What the wheels and shoes of a rider resist with under its loads, in the wheels' and the shoes' order (N).
pub fn resists(
    fixture: &Fixture,
    assembly: &Assembly,
    number: usize,
    loads: &RiderLoads,
) -> (Vec<f64>, Vec<f64>) {
    let rider = &fixture.riders[number];
    let friction = Friction::from(&fixture.resistance);
    let wheels = (0..rider.wheels.len())
        .map(|wheel| {
            let stack = assembly.riders[number].stacks.iter().find(|s| s.of == StackOf::Wheel(wheel));
            let seating = stack.and_then(|stack| stack.seating.as_ref());
            seating.zip(wheel_of(&rider.wheels[wheel])).map_or(0.0, |(seating, part)| {
                WheelFactors::new(part, seating.rolling_radius(), &loads.wheels[wheel])
                    .with(&friction)
                    .total()
            })
        })
        .collect();
    let shoes = rider.shoes.iter().zip(&loads.shoes);
    let own = |shoe: &Shoe| shoe.friction.as_ref().map_or(friction.shoe, |own| own.value);
    (wheels, shoes.map(|(shoe, load)| own(shoe) * load.normal).collect())
}

/// No friction anywhere.
pub fn smooth(fixture: &mut Fixture) {
    let resistance = &mut fixture.resistance;
    for coefficient in [
        &mut resistance.bearing,
        &mut resistance.no_load_torque,
        &mut resistance.flank,
        &mut resistance.hysteresis,
        &mut resistance.shoe,
    ] {
        coefficient.value = 0.0;
    }
    for rider in &mut fixture.riders {
        rider.forces.retain(|force| force.acts == ForceAction::Pushes);
        rider.shoes.iter_mut().for_each(|shoe| shoe.friction = None);
    }
    if let Some(line) = &mut fixture.line {
        line.bending_loss.value = 0.0;
        line.post_friction.value = 0.0;
    }
}

/// What is known to fail on generated fixtures, by name: a test that finds another failure fails, and so does one that
/// finds none of a name any more.
pub struct Ledger {
    known: &'static [(&'static str, &'static str)],
    found: Vec<(String, String)>,
}

impl Ledger {
    /// Known failures: what fails and why.
    pub const fn new(known: &'static [(&'static str, &'static str)]) -> Self {
        Self { known, found: Vec::new() }
    }

    /// A failure of this name, told in words.
    pub fn fails(&mut self, name: &str, words: String) {
        self.found.push((name.to_owned(), words));
    }

    /// Fails the test on a failure that is not known, and on a known one that did not show.
    pub fn close(self) {
        let unknown: Vec<_> = self
            .found
            .iter()
            .filter(|(name, _)| !self.known.iter().any(|(known, _)| known == name))
            .collect();
        assert!(
            unknown.is_empty(),
            "{} failures that are not known, the first of them:\n{}",
            unknown.len(),
            unknown
                .iter()
                .take(20)
                .map(|(name, words)| format!("{name}: {words}"))
                .collect::<Vec<_>>()
                .join("\n")
        );
        for (name, why) in self.known {
            assert!(
                self.found.iter().any(|(found, _)| found == name),
                "{name} ({why}) fails no more: take it off the list"
            );
        }
    }
}
