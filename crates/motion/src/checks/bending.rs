//! Do screws and plates bear the bending that the wheels put on them?

use super::Known;
use super::beam::round_bar;
use crate::loads::wheel_of;
use crate::phrase::{force, length, phrase, torque};
use crate::{Finding, PlacedPiece, PlacedStack, Plate, Remedy, Rider, Severity, StackOf, stress_diameter};

/// Yield strength of a screw of unknown class, taken as 8.8 (MPa), ISO 898-1 (read), and the share of it that repeated
/// bending on its thread may take (own assumption).
const YIELDS: f64 = 640.0;
const REPEATED: f64 = 1.0 / 3.0;

/// Bending stress of a flat strip (MPa): 6 M/(b t²).
fn strip(moment: f64, width: f64, thickness: f64) -> f64 {
    6.0 * moment / (width * thickness * thickness)
}

/// The worst bending of one rider's wheels: moment at a plate (N·mm), arm from wheel to plate (mm), force (N), travel.
struct Worst<'a> {
    moment: f64,
    arm: f64,
    force: f64,
    travel: f64,
    stack: &'a PlacedStack,
    wheel: usize,
    plate: usize,
}

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, rider) in known.fixture.riders.iter().enumerate() {
        let Some(placed) = known.assembly.riders.get(number) else { continue };
        let bent: Vec<Worst<'_>> =
            placed.stacks.iter().filter_map(|stack| worst(known, number, rider, stack)).collect();
        findings.extend(screw(rider, &bent));
        findings.extend(plate(rider, placed.stacks.as_slice(), &bent));
    }
    findings
}

/// Where a wheel's force bends its screw most.
fn worst<'a>(known: &Known<'_>, number: usize, rider: &Rider, stack: &'a PlacedStack) -> Option<Worst<'a>> {
    let StackOf::Wheel(wheel) = stack.of else { return None };
    let mount = rider.wheels.get(wheel)?;
    // With plates on both sides of the wheel it is no cantilever.
    let sides = mount.stack.plates().filter_map(|(place, plate)| {
        let (low, high) = stack.pieces.get(place).map(PlacedPiece::span)?;
        let off = if 0.5 * (low + high) > stack.datum { low - stack.datum } else { stack.datum - high };
        Some((plate, off.max(0.0), 0.5 * (low + high) > stack.datum))
    });
    let sides: Vec<_> = sides.collect();
    if sides.iter().any(|side| side.2) && sides.iter().any(|side| !side.2) {
        return None;
    }
    let (plate, arm, _) = sides.into_iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
    let radius = wheel_of(mount)?.outer_radius.nominal;
    let (moment, force, travel) = known
        .cases(number)
        .flat_map(|case| {
            case.held(&known.curves.travel)
                .filter_map(|(loads, travel)| {
                    let load = loads.wheels.get(wheel)?;
                    // A push along the axle bends by the wheel's radius.
                    let moment = load.radial.abs() * arm + load.axial.abs() * radius;
                    Some((moment, load.radial.abs(), *travel))
                })
                .collect::<Vec<_>>()
        })
        .filter(|found| found.0.is_finite())
        .max_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(Worst { moment, arm, force, travel, stack, wheel, plate })
}

/// A screw bent too far.
fn screw(rider: &Rider, bent: &[Worst<'_>]) -> Option<Finding> {
    let (worst, stress) = bent
        .iter()
        .filter_map(|worst| {
            let screw = &rider.wheels.get(worst.wheel)?.stack.screw;
            Some((worst, round_bar(worst.moment, stress_diameter(screw.diameter, screw.pitch))))
        })
        .max_by(|a, b| a.1.total_cmp(&b.1))?;
    let mount = rider.wheels.get(worst.wheel)?;
    let yields = mount.stack.screw.yields.unwrap_or(YIELDS);
    let limit = REPEATED * yields;
    (stress > limit).then(|| Finding {
        code: "screw.bending",
        severity: if stress > yields { Severity::Fails } else { Severity::Marginal },
        title: format!("{}: the axle of {} is bent with {stress:.0} MPa", rider.name, mount.name).into(),
        reason: phrase![
            phrase![force(worst.force, 0), format!(" on its wheel bend {} ", mount.stack.screw.name)],
            "where it stands out of the plate, ",
            length(worst.arm, 1),
            phrase![" from the wheel's middle: 32 M/(π d³) with ", torque(worst.moment, 2), format!(", of the thread's stress area alone. Required: at most {limit:.0} MPa, a third of what it yields at ({yields:.0} MPa), as it is bent again and again.")]
        ],
        paths: vec![mount.path.clone(), mount.stack.screw.path.clone()],
        value: Some(stress),
        limit: Some(limit),
        unit: "MPa",
        at_travel: Some(worst.travel),
        remedies: vec![Remedy {
            text: "a thicker screw, a shorter spacer, or a plate on both sides".into(),
            path: Some(mount.stack.screw.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}

/// Length of plate that one screw bends (mm): what is there between the middles to its neighbours on the same side.
fn share(plate: &Plate, stacks: &[PlacedStack], stack: &PlacedStack) -> f64 {
    let bounds = plate.outline.bounds();
    let beside = stacks
        .iter()
        .filter(|other| matches!(other.of, StackOf::Wheel(_)) && (other.at.y - stack.at.y).abs() < 1.0)
        .count()
        .max(1);
    (bounds.high.x - bounds.low.x) / beside as f64
}

/// A plate bent too far.
fn plate(rider: &Rider, stacks: &[PlacedStack], bent: &[Worst<'_>]) -> Option<Finding> {
    let (worst, plate, stress, bears) = bent
        .iter()
        .filter_map(|worst| {
            let plate = rider.plates.get(worst.plate)?;
            let bears = plate.material.bears_for_long(plate.fill)?;
            let stress = strip(worst.moment, share(plate, stacks, worst.stack), plate.thickness.nominal);
            Some((worst, plate, stress, bears))
        })
        .filter(|found| found.2.is_finite())
        .max_by(|a, b| (a.2 / a.3).total_cmp(&(b.2 / b.3)))?;
    let mount = rider.wheels.get(worst.wheel)?;
    (stress > bears).then(|| Finding {
        code: "plate.bending",
        severity: if stress > bears * if plate.material.is_metal() { 1.0 } else { 3.0 } {
            Severity::Fails
        } else {
            Severity::Marginal
        },
        title: format!("{}: {} is bent with {stress:.1} MPa at {}", rider.name, plate.name, mount.name).into(),
        reason: phrase![
            phrase!["Its axle turns the plate with ", torque(worst.moment, 2), "; a strip of "],
            length(share(plate, stacks, worst.stack), 0),
            " by ",
            length(plate.thickness.nominal, 1),
            format!(
                " takes that with 6 M/(b t²). {} bears {bears:.1} MPa for long{}. A thicker plate, a shorter spacer or less preload helps; twice as thick bears four times as much.",
                plate.material.name,
                if plate.material.is_metal() { "" } else { ", a third of its strength times what is filled; beyond, it creeps (common practice, no source)" }
            )
        ],
        paths: vec![plate.path.clone(), mount.path.clone()],
        value: Some(stress),
        limit: Some(bears),
        unit: "MPa",
        at_travel: Some(worst.travel),
        remedies: vec![Remedy { text: "a thicker plate".into(), path: Some(plate.path.clone()), by: None }],
        ..Finding::blank()
    })
}

#[cfg(test)]
mod tests {
    use super::{round_bar, strip};

    /// Section moduli of textbooks, by their integrals ∫y²dA/e summed over thin slices: a bar 5 across, a strip 20 by 6.
    #[test]
    fn section_moduli() {
        let slices = 200_000;
        let modulus = |half: f64, width: &dyn Fn(f64) -> f64| {
            let step = 2.0 * half / f64::from(slices);
            let ys = (0..slices).map(|i| -half + (f64::from(i) + 0.5) * step);
            ys.map(|y| y * y * width(y) * step).sum::<f64>() / half
        };
        let bar = modulus(2.5, &|y| 2.0 * (6.25 - y * y).sqrt());
        let flat = modulus(3.0, &|_| 20.0);
        assert!((round_bar(1000.0, 5.0) - 1000.0 / bar).abs() < 1e-3);
        assert!((strip(1000.0, 20.0, 6.0) - 1000.0 / flat).abs() < 1e-4);
    }
}
