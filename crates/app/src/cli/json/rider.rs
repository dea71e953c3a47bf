//! Riders: masses, plates, stacks, wheels.

use glidewright_motion::loads::{Carrier, wheel_of};
use glidewright_motion::{
    ForceAction, PlacedStack, Results, Rider, RiderResistance, SeatContact, Seating, StackEnd, Sunk,
    WheelResistance, turning_inertia,
};
use serde_json::{Value, json};

use super::{point, standing};

pub(super) fn rider(results: &Results, number: usize, rider: &Rider) -> Value {
    let placed = results.assembly.riders.get(number);
    let stacks: Vec<_> =
        placed.iter().flat_map(|p| &p.stacks).filter_map(|stack| placed_stack(rider, stack)).collect();
    let wheels: Vec<_> =
        (0..rider.wheels.len()).map(|wheel| wheel_curves(results, number, wheel, rider)).collect();
    json!({
        "name": rider.name,
        "mass_kg": placed.map(|p| p.mass.total()),
        "load_mass_kg": placed.map(|p| p.mass.loads()),
        "centre_of_mass_mm": placed.map(|p| point(p.mass.centre())),
        "masses": placed.iter().flat_map(|p| &p.mass.items).map(|item| json!({
            "label": item.label,
            "path": item.path,
            "mass_kg": item.mass,
            "centre_mm": point(item.centre),
        })).collect::<Vec<_>>(),
        "plates": rider.plates.iter().zip(placed.iter().flat_map(|p| &p.plates)).map(|(plate, place)| json!({
            "name": plate.name,
            "inner_level_mm": place.inner,
            "outer_level_mm": place.outer,
            "disagreement_mm": place.disagreement,
        })).collect::<Vec<_>>(),
        "stacks": stacks,
        "assembly_order": results.orders.get(number).map(|order| json!({
            "steps": names(results, number, rider, &order.steps),
            "before_the_rest": names(results, number, rider, &order.early),
            "not_reached": order.blocked.iter().map(|blocked| json!({
                "stack": names(results, number, rider, &[blocked.stack]).pop(),
                "end": blocked.end.word(),
            })).collect::<Vec<_>>(),
        })),
        "wheels": wheels,
        "shoes": standing::shoes(results, number, rider),
        "standing": standing::rider(results, number, rider),
        "applied_forces": rider.forces.iter().map(|force| json!({
            "name": force.name,
            "path": force.path,
            "acts": match force.acts { ForceAction::Pushes => "push", ForceAction::Drags => "drag" },
            "force_n": results.curves.travel.iter().map(|travel| force.at_travel(*travel)).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "tilt_rad": results.curves.loads.get(number).map(|stations| {
            stations.iter().map(|s| point(s.equilibrium.motion.turn)).collect::<Vec<_>>()
        }),
        "shift_mm": results.curves.loads.get(number).map(|stations| {
            stations.iter().map(|s| point(s.equilibrium.motion.shift)).collect::<Vec<_>>()
        }),
    })
}

/// The names of placed stacks by their numbers.
fn names(results: &Results, number: usize, rider: &Rider, stacks: &[usize]) -> Vec<String> {
    let placed = results.assembly.riders.get(number);
    let one = |stack: &usize| Some(rider.stack(placed?.stacks.get(*stack)?.of)?.0.to_owned());
    stacks.iter().filter_map(one).collect()
}

fn placed_stack(rider: &Rider, placed: &PlacedStack) -> Option<Value> {
    let (name, path, stack) = rider.stack(placed.of)?;
    let seating = placed.seating.as_ref().map(seat);
    Some(json!({
        "name": name,
        "path": path,
        "axis_along_mm": placed.at.x,
        "axis_lateral_mm": placed.at.y,
        "datum_level_mm": placed.datum,
        "seating": seating,
        "screw": stack.screw.name,
        "screw_length_mm": stack.screw.length.nominal,
        "grip_mm": placed.thread.grip,
        "projection_mm": placed.thread.projection,
        "required_projection_mm": placed.thread.asked,
        "ends_in": match stack.end {
            StackEnd::Nut => "nut",
            StackEnd::Tapped { .. } if stack.insert.is_some() => "insert",
            StackEnd::Tapped { .. } => "tapped plate",
        },
        "engaged_mm": placed.thread.engaged,
        "least_engagement_mm": placed.thread.least,
        "head_level_mm": placed.head_level,
        "screw_end_level_mm": placed.tip_level,
        "pieces": stack.pieces.iter().zip(&placed.pieces).map(|(piece, place)| json!({
            "name": piece.name,
            "path": piece.path,
            "thickness_mm": piece.thickness.nominal,
            "half_width_mm": piece.thickness.half_width(),
            "from_level_mm": place.span().0,
            "to_level_mm": place.span().1,
        })).collect::<Vec<_>>(),
    }))
}

fn seat(seating: &Seating) -> Value {
    let main = seating.main();
    let contact = |contact: &SeatContact| {
        json!({
            "kind": contact.touch.name(),
            "across_mm": contact.across,
            "radii_mm": contact.radii,
            "length_mm": contact.length,
            "half_angle_rad": contact.half_angle(),
            // None on a corner.
            "curvature_per_mm": contact.curvature.is_finite().then_some(contact.curvature),
            "gap_mm": contact.gap,
        })
    };
    json!({
        "axle_height_mm": seating.axle_height,
        "tip_depth_mm": seating.depth,
        "rolling_radius_mm": seating.rolling_radius(),
        "contact": main.map(|main| main.touch.name()),
        "contact_length_mm": main.map(|main| main.length).filter(|length| *length > 0.0),
        "contacts": seating.contacts.iter().map(contact).collect::<Vec<_>>(),
        "sunk": seating.sunk.map(|sunk| match sunk {
            Sunk::FallsIn { .. } => "falls in",
            Sunk::Bottoms { .. } => "on the floor",
        }),
    })
}

fn wheel_curves(results: &Results, rider_number: usize, wheel: usize, rider: &Rider) -> Value {
    let loads = results.curves.loads.get(rider_number).map_or(&[][..], |stations| stations);
    let load = |pick: fn(&glidewright_motion::loads::WheelLoad) -> f64| {
        loads.iter().filter_map(|s| s.wheels.get(wheel)).map(pick).collect::<Vec<_>>()
    };
    let split = |stations: Option<&Vec<RiderResistance>>| {
        let stations = stations.map_or(&[][..], |stations| stations);
        let cause = |pick: fn(&WheelResistance) -> f64| {
            stations.iter().filter_map(|s| s.wheels.get(wheel)).map(pick).collect::<Vec<_>>()
        };
        json!({
            "bearing": cause(|r| r.bearing),
            "no_load": cause(|r| r.no_load),
            "flank_slip": cause(|r| r.slip),
            "hysteresis": cause(|r| r.hysteresis),
        })
    };
    json!({
        "name": rider.wheels.get(wheel).map(|w| &w.name),
        "turning_inertia_kgmm2": rider.wheels.get(wheel).and_then(wheel_of).map(turning_inertia),
        "radial_n": load(|l| l.radial),
        "axial_n": load(|l| l.axial),
        "normal_sum_n": load(|l| l.normal),
        "peak_pressure_mpa": load(|l| l.pressure),
        "contact_half_length_mm": load(|l| l.half_length),
        "beyond_hertz": loads.iter().filter_map(|s| s.wheels.get(wheel)).any(|l| l.beyond_hertz),
        "contacts": standing::contacts(results, rider_number, Carrier::Wheel(wheel)),
        "resistance_up_n": split(results.curves.resistance_up.get(rider_number)),
        "resistance_down_n": split(results.curves.resistance_down.get(rider_number)),
    })
}
