//! What do warmth and cold do to the press of the wheels?

use super::Known;
use crate::loads::wheel_of;
use crate::phrase::{length, phrase};
use crate::{Finding, PlacedStack, Remedy, Rider, Severity, StackOf, WORKSHOP, number};

/// Less change of press than this is nothing (mm; own choice: less than any wheel runs true).
const NOTHING: f64 = 0.02;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let Some((coldest, warmest)) = known.fixture.limits.temperature else { return Vec::new() };
    known
        .fixture
        .riders
        .iter()
        .zip(&known.assembly.riders)
        .filter_map(|(rider, placed)| spread(known, rider, &placed.stacks, [coldest, warmest]))
        .collect()
}

/// How much nearer to each other, to first order, two wheels across a rail come per kelvin (mm/K): rail and wheels grow
/// between the axles and press, the plate grows and eases. `across` the rail between the tracks, `wheels` of both wheels
/// from axle to track (mm), with their expansions (1/K).
fn tighter(across: f64, rail: f64, wheels: f64, tyre: f64, plate: f64) -> f64 {
    rail * across + tyre * wheels - plate * (across + wheels)
}

fn spread(
    known: &Known<'_>,
    rider: &Rider,
    stacks: &[PlacedStack],
    temperatures: [f64; 2],
) -> Option<Finding> {
    let rail = known.fixture.rail.material.expansion?;
    let mut worst: Option<(f64, f64, f64, &str)> = None;
    for (number, a) in stacks.iter().enumerate() {
        for b in stacks.iter().skip(number + 1) {
            let (StackOf::Wheel(one), StackOf::Wheel(other)) = (a.of, b.of) else { continue };
            let (Some(one), Some(other)) = (rider.wheels.get(one), rider.wheels.get(other)) else { continue };
            let normal = |track: usize| known.fixture.rail.tracks.get(track).map(|track| track.normal);
            let faces = normal(one.track).zip(normal(other.track)).is_some_and(|(a, b)| a.dot(b) < -0.5);
            if !faces || (a.at.x - b.at.x).abs() > 1.0 {
                continue;
            }
            let (Some(seat_a), Some(seat_b), Some(wheel)) = (&a.seating, &b.seating, wheel_of(one)) else {
                continue;
            };
            let plate = one.stack.plates().next().and_then(|(_, plate)| rider.plates.get(plate))?;
            let (Some(tyre), Some(plate)) = (wheel.tyre.expansion, plate.material.expansion) else {
                continue;
            };
            let wheels = seat_a.axle_height + seat_b.axle_height;
            let across = (a.at.y - b.at.y).abs() - wheels;
            let per_kelvin = tighter(across, rail, wheels, tyre, plate);
            let press = one.press + other.press;
            for temperature in temperatures {
                let change = per_kelvin * (temperature - WORKSHOP);
                if worst.is_none_or(|known| change.abs() > known.0.abs()) {
                    worst = Some((change, temperature, press, one.path.as_str()));
                }
            }
        }
    }
    let (change, temperature, press, path) = worst?;
    (change.abs() > NOTHING).then(|| {
        let lost = press + change < 0.0;
        Finding {
            code: "heat.press",
            severity: if lost || change > press.max(NOTHING) { Severity::Marginal } else { Severity::Note },
            title: phrase![
                format!("{}: at {} °C its wheels stand ", rider.name, number(temperature, 0)),
                length(change.abs(), 3),
                if change > 0.0 { " nearer to the rail" } else { " further from the rail" }
            ],
            reason: phrase![
                "Rail, wheels and plate grow by different amounts as they warm (Σ α l ΔT, from 20 °C at which it is put together). Two wheels across from each other are pressed together by ",
                length(press, 3),
                " as drawn, and by ",
                length(press + change, 3),
                if lost { " then: they come loose." } else { " then." },
                " A plate of what the rail is made of grows with it."
            ],
            paths: vec![path.to_owned(), known.fixture.paths.limits.clone()],
            value: Some(change),
            limit: Some(press),
            unit: "mm",
            remedies: vec![Remedy {
                text: "a plate of the rail's material".into(),
                path: rider.plates.first().map(|plate| plate.path.clone()),
                by: None,
            }],
            ..Finding::blank()
        }
    })
}

#[cfg(test)]
mod tests {
    use super::tighter;

    /// All of one material: nothing changes. A plate of aluminium (23.4e-6) on wheels of POM (110e-6), 20 mm of them: each
    /// kelvin presses by 20 × 86.6e-6 mm (by hand).
    #[test]
    fn only_differences_count() {
        assert!(tighter(40.0, 2e-5, 20.0, 2e-5, 2e-5).abs() < 1e-15);
        assert!((tighter(40.0, 23.4e-6, 20.0, 110e-6, 23.4e-6) - 20.0 * 86.6e-6).abs() < 1e-15);
    }
}
