//! Do a plate's screw holes keep their distance from its edge and from each other?

use glam::DVec2;
use glidewright_geometry::Outline;

use super::Known;
use crate::phrase::{length, phrase};
use crate::{Finding, Plate, Severity};

/// Least distance of a screw hole's middle from an edge, and of two holes' middles, in hole diameters: EN 1993-1-8,
/// table 3.3 (from memory), made for steel, and no less than a printed plate needs.
const FROM_EDGE: f64 = 1.2;
const FROM_EACH_OTHER: f64 = 2.2;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (rider, placed) in known.fixture.riders.iter().zip(&known.assembly.riders) {
        for (number, plate) in rider.plates.iter().enumerate() {
            let screws = placed.stacks.iter().filter_map(|stack| {
                let (name, path, pieces) = rider.stack(stack.of)?;
                pieces.place_of(number).map(|_| (name, path, stack.at))
            });
            let worst = screws
                .filter_map(|(name, path, at)| Some((name, path, too_near(plate, at)?)))
                .max_by(|a, b| a.2.missing().total_cmp(&b.2.missing()));
            let Some((name, path, near)) = worst else { continue };
            findings.push(Finding {
                code: "plate.hole",
                severity: Severity::Marginal,
                title: phrase![
                    format!("{}: the hole of {name} in {} stands only ", rider.name, plate.name),
                    length(near.distance, 1),
                    format!(" from {}", near.what)
                ],
                reason: phrase![
                    format!(
                        "From the hole's middle to an edge at least {FROM_EDGE} hole diameters, from hole to hole {FROM_EACH_OTHER} (EN 1993-1-8, table 3.3): here "
                    ),
                    length(near.asked, 1),
                    ". Nearer, the plate tears or bulges when the screw is tightened. More margin round the axles cures it."
                ],
                paths: vec![plate.path.clone(), path.to_owned()],
                value: Some(near.distance),
                limit: Some(near.asked),
                unit: "mm",
                ..Finding::blank()
            });
        }
    }
    findings
}

struct Near {
    distance: f64,
    asked: f64,
    what: &'static str,
}

impl Near {
    fn missing(&self) -> f64 {
        self.asked - self.distance
    }
}

/// What the hole at a place is too near to, most of all.
fn too_near(plate: &Plate, at: DVec2) -> Option<Near> {
    let own = plate.holes.iter().position(|hole| hole.contains(at))?;
    let round = |hole: &Outline| {
        let bounds = hole.bounds();
        let size = bounds.high - bounds.low;
        // A circle fills π/4 of its box.
        let is_round = (hole.area().abs() / (size.x * size.y) - std::f64::consts::FRAC_PI_4).abs() < 1e-3;
        is_round.then(|| (0.5 * (bounds.low + bounds.high), size.x))
    };
    let (middle, diameter) = round(plate.holes.get(own)?)?;
    let edge = Near {
        distance: plate.outline.distance_to_boundary(middle),
        asked: FROM_EDGE * diameter,
        what: "the plate's edge",
    };
    let others = plate.holes.iter().enumerate().filter(|(number, _)| *number != own).map(|(_, hole)| {
        match round(hole) {
            Some((other, size)) => Near {
                distance: other.distance(middle),
                asked: FROM_EACH_OTHER * 0.5 * (diameter + size),
                what: "the next hole's middle",
            },
            None => Near {
                distance: hole.distance_to_boundary(middle),
                asked: FROM_EDGE * diameter,
                what: "a cut-out",
            },
        }
    });
    std::iter::once(edge)
        .chain(others)
        .filter(|near| near.missing() > 0.0)
        .max_by(|a, b| a.missing().total_cmp(&b.missing()))
}
