//! Forces along the rail: weights, line pull, imbalance; the wrench each rider bears.

use glam::DVec3;

use crate::loads::{Wrench, force_at};
use crate::{Assembly, Coupling, Drive, Fixture, LineNode, STANDARD_GRAVITY, path_at, rider_travel};

/// The unit direction of gravity in the rail frame times g (m/s²).
pub fn gravity(fixture: &Fixture) -> DVec3 {
    fixture.rail.stand.down() * STANDARD_GRAVITY
}

/// Ratio of a rider's travel to the lead's: 1 for the lead, 0 for one that moves on its own.
pub fn ratio(fixture: &Fixture, rider: usize) -> f64 {
    match fixture.riders.get(rider).map(|r| r.coupling) {
        Some(Coupling::Lead) => 1.0,
        Some(Coupling::Linked { ratio }) => ratio,
        Some(Coupling::Free { .. }) | None => 0.0,
    }
}

/// Weight of a rider along the rail (N), positive towards growing x.
pub fn weight_along(fixture: &Fixture, assembly: &Assembly, rider: usize) -> f64 {
    assembly.riders.get(rider).map_or(0.0, |placed| placed.mass.total() * gravity(fixture).x)
}

/// The force along the lead's travel that keeps everything linked in balance at `travel` without friction
/// (N): the slope of the potential energy. Positive: it must be pushed towards growing travel.
pub fn imbalance(fixture: &Fixture, assembly: &Assembly, travel: f64) -> f64 {
    let riders: f64 = (0..fixture.riders.len())
        .map(|rider| -weight_along(fixture, assembly, rider) * ratio(fixture, rider))
        .sum();
    riders + line_imbalance(fixture, travel)
}

/// Potential energy of the belt or cord at `travel` (N·mm), from the mass of each stretch at its centre.
pub fn line_energy(fixture: &Fixture, travel: f64) -> Option<f64> {
    let line = fixture.line.as_ref()?;
    let down = gravity(fixture);
    let per_millimetre = line.mass_per_metre * 1e-3;
    let path = path_at(fixture, line, travel).ok()?;
    Some(
        path.elements
            .iter()
            .map(|element| -down.dot(line.plane.point(element.middle())) * element.length() * per_millimetre)
            .sum(),
    )
}

/// The belt's own share of the imbalance (N). Its energy is quadratic in the travel while the spans stay
/// parallel to the rail, so the central difference is exact there.
fn line_imbalance(fixture: &Fixture, travel: f64) -> f64 {
    const STEP: f64 = 0.5;
    match (line_energy(fixture, travel - STEP), line_energy(fixture, travel + STEP)) {
        (Some(before), Some(after)) => (after - before) / (2.0 * STEP),
        _ => 0.0,
    }
}

/// Which way the line pulls on each rider it is clamped to: the unit direction away from the clamp, and
/// where.
struct LinePull {
    rider: usize,
    at: DVec3,
    direction: DVec3,
}

fn line_pulls(fixture: &Fixture, travel: f64) -> Vec<LinePull> {
    let Some(line) = &fixture.line else { return Vec::new() };
    let Ok(path) = path_at(fixture, line, travel) else { return Vec::new() };
    let mut pulls = Vec::new();
    for (number, node) in line.nodes.iter().enumerate() {
        let LineNode::Anchor { rider: Some(rider), at, .. } = node else { continue };
        for element in &path.elements {
            let crate::PathElement::Span { from, to, nodes } = element else { continue };
            let away = if nodes.0 == number {
                *to - *from
            } else if nodes.1 == number {
                *from - *to
            } else {
                continue;
            };
            let direction =
                (line.plane.point(away) - line.plane.point(glam::DVec2::ZERO)).normalize_or_zero();
            pulls.push(LinePull { rider: *rider, at: *at, direction });
        }
    }
    pulls
}

/// What acts on rider number `rider` at rest at `travel`, except the wheels: its weight, the line's pull,
/// and what holds it along the rail.
///
/// A rider hung on the line hangs its weight along the rail on it; the line carries the same pull to the
/// lead; what then is missing along the rail is held at the lead's grip, or by the line when a motor
/// drives it.
pub fn wrench_at_rest(fixture: &Fixture, assembly: &Assembly, rider: usize, travel: f64) -> Wrench {
    let Some(placed) = assembly.riders.get(rider) else { return Wrench::default() };
    let gravity = gravity(fixture);
    let mut sum = Wrench::default();
    for item in &placed.mass.items {
        sum += force_at(gravity * item.mass, item.centre);
    }
    let along = sum.force.x;
    let pulls = line_pulls(fixture, travel);
    let mine: Vec<_> = pulls.iter().filter(|pull| pull.rider == rider).collect();
    let is_lead = matches!(fixture.riders.get(rider).map(|r| r.coupling), Some(Coupling::Lead));
    let by_line = if is_lead && matches!(fixture.drive, Drive::Hand) {
        // Virtual work on an inextensible line: the pulls of all riders times their travel cancel.
        (0..fixture.riders.len())
            .filter(|other| *other != rider && pulls.iter().any(|pull| pull.rider == *other))
            .map(|other| ratio(fixture, other) * weight_along(fixture, assembly, other))
            .sum::<f64>()
    } else {
        -along
    };
    let mut held = 0.0;
    // A line only pulls: use a clamp whose pull goes the way that is needed.
    if let Some(pull) = mine.iter().find(|pull| pull.direction.x * by_line > 0.0) {
        sum += force_at(pull.direction * (by_line / pull.direction.x), pull.at);
        held = by_line;
    }
    let rest = -(along + held);
    let grip = fixture
        .riders
        .get(rider)
        .and_then(|r| r.grip.as_ref())
        .map_or_else(|| placed.mass.centre(), |grip| grip.at);
    sum + force_at(DVec3::X * rest, grip)
}

/// Mass that moves with the lead, as if all were on it (kg): m_lead + Σ ρ²·m.
pub fn effective_mass(fixture: &Fixture, assembly: &Assembly) -> f64 {
    let riders: f64 = assembly
        .riders
        .iter()
        .enumerate()
        .map(|(number, placed)| placed.mass.total() * ratio(fixture, number).powi(2))
        .sum();
    let line = fixture.line.as_ref().map_or(0.0, |line| {
        let length = path_at(fixture, line, fixture.stroke.from).map_or(0.0, |path| path.length());
        line.mass_per_metre * 1e-3 * length
    });
    let pulleys: f64 = fixture.line.as_ref().map_or(0.0, |line| {
        line.nodes
            .iter()
            .map(|node| match node {
                LineNode::Pulley(pulley) if pulley.radius > 0.0 => pulley.inertia / pulley.radius.powi(2),
                _ => 0.0,
            })
            .sum()
    });
    riders + line + pulleys
}

/// Height a rider falls through over the stroke if the line lets go (mm), and its mass (kg).
pub fn fall(fixture: &Fixture, assembly: &Assembly, rider: usize) -> Option<(f64, f64)> {
    let placed = assembly.riders.get(rider)?;
    let ends = [fixture.stroke.from, fixture.stroke.to].map(|s| rider_travel(fixture, rider, s));
    let rise = (ends[1] - ends[0]).abs() * fixture.rail.stand.down().x.abs();
    Some((rise, placed.mass.total()))
}
