//! Forces along the rail: weights, applied forces, imbalance, energy; and what falls if the line lets go.

use crate::line::path_energy;
use crate::{
    Assembly, Fixture, ForceAction, LineModel, StackOf, gravity, interpolated, path_at, rider_ratio,
    rider_travel, turning_inertia,
};

/// Weight of a rider along the rail (N), positive towards growing x.
pub fn weight_along(fixture: &Fixture, assembly: &Assembly, rider: usize) -> f64 {
    assembly.riders.get(rider).map_or(0.0, |placed| placed.mass.total() * gravity(fixture).x)
}

/// Sum of the forces on a rider that push along the rail whichever way it moves, at `travel` of the lead
/// (N), positive towards growing x.
pub fn pushed_along(fixture: &Fixture, rider: usize, travel: f64) -> f64 {
    applied(fixture, rider, travel, ForceAction::Pushes)
}

/// Sum of the forces that drag on a rider against its motion at `travel` of the lead (N).
pub fn dragged(fixture: &Fixture, rider: usize, travel: f64) -> f64 {
    applied(fixture, rider, travel, ForceAction::Drags)
}

fn applied(fixture: &Fixture, rider: usize, travel: f64, acts: ForceAction) -> f64 {
    let forces = fixture.riders.get(rider).map_or(&[][..], |rider| &rider.forces);
    forces.iter().filter(|force| force.acts == acts).map(|force| force.at_travel(travel)).sum()
}

/// The force along the lead's travel that keeps everything linked in balance at `travel` without friction
/// (N): the slope of the potential energy. Positive: it must be pushed towards growing travel.
pub fn imbalance(fixture: &Fixture, assembly: &Assembly, travel: f64) -> f64 {
    let line = LineModel::new(fixture, travel).and_then(Result::ok);
    let riders: f64 = (0..fixture.riders.len())
        .map(|rider| {
            let along = weight_along(fixture, assembly, rider) + pushed_along(fixture, rider, travel);
            -along * rider_ratio(fixture, rider)
        })
        .sum();
    riders + line.map_or(0.0, |line| line.imbalance())
}

/// Potential energy of the belt or cord at `travel` (N·mm), from the mass of each stretch at its centre.
pub fn line_energy(fixture: &Fixture, travel: f64) -> Option<f64> {
    let line = fixture.line.as_ref()?;
    Some(path_energy(fixture, line, &path_at(fixture, line, travel).ok()?))
}

/// Potential energy of everything linked at `travel` but the line (N·mm), from the origin of the rail: riders, and the
/// forces that push along the rail, these from travel 0.
pub(crate) fn riders_energy(fixture: &Fixture, assembly: &Assembly, travel: f64) -> f64 {
    (0..fixture.riders.len())
        .filter(|rider| rider_ratio(fixture, *rider) != 0.0)
        .map(|rider| {
            let moved = rider_travel(fixture, rider, travel);
            let pushes = fixture.riders.get(rider).into_iter().flat_map(|known| &known.forces);
            let stored: f64 = pushes
                .filter(|force| force.acts == ForceAction::Pushes)
                .map(|force| -rider_ratio(fixture, rider) * integral(&force.table, travel))
                .sum();
            stored - weight_along(fixture, assembly, rider) * moved
        })
        .sum()
}

/// Integral of a table from 0 to `to`: trapezia between its points.
fn integral(table: &[(f64, f64)], to: f64) -> f64 {
    let (low, high) = (to.min(0.0), to.max(0.0));
    let inside = table.iter().map(|point| point.0).filter(|at| *at > low && *at < high);
    let mut ends: Vec<f64> = std::iter::once(low).chain(inside).chain([high]).collect();
    ends.sort_by(f64::total_cmp);
    let value = |at: f64| interpolated(table, at).unwrap_or(0.0);
    let area: f64 = ends
        .windows(2)
        .filter_map(|pair| Some((*pair.first()?, *pair.last()?)))
        .map(|(a, b)| {
            // Just inside the stretch, where a table that steps has one value.
            let middle = value(0.5 * (a + b));
            (b - a) * middle
        })
        .sum();
    if to < 0.0 { -area } else { area }
}

/// Mass that moves with the lead, as if all were on it (kg): m_lead + Σ ρ²·m, the riders' turning wheels, the line and
/// its pulleys; without the motor.
pub fn effective_mass(fixture: &Fixture, assembly: &Assembly) -> f64 {
    let riders: f64 = (0..assembly.riders.len())
        .map(|rider| {
            let mass = assembly.riders.get(rider).map_or(0.0, |placed| placed.mass.total());
            let turning: f64 = rolling_masses(fixture, assembly, rider).iter().sum();
            (mass + turning) * rider_ratio(fixture, rider).powi(2)
        })
        .sum();
    let line = LineModel::new(fixture, fixture.stroke.from).and_then(Result::ok);
    riders + line.map_or(0.0, |line| line.effective_mass())
}

/// What a rider's turning wheels add to the mass it takes to move it (kg), in its wheels' order: J/r₀², r₀ the radius a
/// wheel rolls on; 0 for a wheel that is not seated.
pub fn rolling_masses(fixture: &Fixture, assembly: &Assembly, rider: usize) -> Vec<f64> {
    let (Some(known), Some(placed)) = (fixture.riders.get(rider), assembly.riders.get(rider)) else {
        return Vec::new();
    };
    let mut masses = vec![0.0; known.wheels.len()];
    for stack in &placed.stacks {
        let StackOf::Wheel(number) = stack.of else { continue };
        let wheel = known.wheels.get(number).and_then(crate::loads::wheel_of);
        let (Some(wheel), Some(seating), Some(mass)) = (wheel, &stack.seating, masses.get_mut(number)) else {
            continue;
        };
        let share = turning_inertia(wheel) / seating.rolling_radius().powi(2);
        if share.is_finite() {
            *mass = share;
        }
    }
    masses
}

/// Height a rider falls through over the stroke if the line lets go (mm), and its mass (kg).
pub fn fall(fixture: &Fixture, assembly: &Assembly, rider: usize) -> Option<(f64, f64)> {
    let placed = assembly.riders.get(rider)?;
    let ends = [fixture.stroke.from, fixture.stroke.to].map(|s| rider_travel(fixture, rider, s));
    let rise = (ends[1] - ends[0]).abs() * fixture.rail.stand.down().x.abs();
    Some((rise, placed.mass.total()))
}
