//! How riders stand under load, as JSON: pose, sag, play, preload, contact patches.

use glidewright_motion::loads::{Carrier, Contact, HeldAlong, Moving, Play, Range, RiderLoads};
use glidewright_motion::{
    Contributor, PairResult, PointSag, Results, Rider, RiderResistance, RiderResults, Tolerance,
};
use serde_json::{Value, json};

/// How one rider stands.
pub(super) fn rider(results: &Results, number: usize, rider: &Rider) -> Option<Value> {
    let standing = results.riders.get(number)?;
    let travel = |station: usize| results.curves.travel.get(station);
    let preload: Vec<_> = rider
        .wheels
        .iter()
        .zip(&standing.preload)
        .map(|(wheel, preload)| {
            json!({
                "wheel": wheel.name,
                "unloaded_n": preload.unloaded,
                "least_n": preload.least,
                "least_flank_n": preload.least_flank,
                "least_at_travel_mm": travel(preload.station),
            })
        })
        .collect();
    Some(json!({
        "tilt_rad": standing.tilt,
        "most_tilted_at_travel_mm": travel(standing.worst_station),
        "points": standing.points.iter().map(point).collect::<Vec<_>>(),
        "play": play(standing),
        "preload": preload,
        "held_along": held_along(loads(results, number)),
        "moving": results.curves.moving.get(number).map(|m| moving(m, &standing.contacts)),
        "is_held": standing.unrestrained.is_none(),
        "free_to": standing.unrestrained.as_ref().map(|free| &free.words),
        "residual_n": loads(results, number).iter().map(|l| l.equilibrium.residual).reduce(f64::max),
    }))
}

fn loads(results: &Results, number: usize) -> &[RiderLoads] {
    results.curves.loads.get(number).map_or(&[], |stations| stations)
}

fn point(point: &PointSag) -> Value {
    json!({
        "name": point.name,
        "path": point.path,
        "at_mm": point.at.to_array(),
        "moved_mm": point.moved.iter().map(|m| m.to_array()).collect::<Vec<_>>(),
        "sag_mm": point.sag,
        "furthest_mm": point.furthest(),
        "play_mm": point.play.map(|play| play.to_array()),
    })
}

fn play(standing: &RiderResults) -> Value {
    let kind = match standing.play {
        Play::None => "none",
        Play::Within(_) => "within limits",
        Play::Unlimited(_) => "without limit",
    };
    let range = |range: Range| [range.least, range.greatest];
    json!({
        "kind": kind,
        "shift_y_mm": standing.play_limits.map(|l| range(l.shift_y)),
        "shift_z_mm": standing.play_limits.map(|l| range(l.shift_z)),
        "turn_x_rad": standing.play_limits.map(|l| range(l.turn[0])),
        "turn_y_rad": standing.play_limits.map(|l| range(l.turn[1])),
        "turn_z_rad": standing.play_limits.map(|l| range(l.turn[2])),
    })
}

/// What holds the rider along the rail at rest, against travel.
fn held_along(loads: &[RiderLoads]) -> Value {
    let of = |pick: fn(&HeldAlong) -> f64| loads.iter().map(|l| pick(&l.held)).collect::<Vec<_>>();
    json!({
        "friction_n": of(|held| held.friction),
        "line_n": of(|held| held.line),
        "grip_n": of(|held| held.grip),
        "nothing_n": of(|held| held.nothing),
    })
}

/// The worst of what happens while the rider is moved.
fn moving(moving: &Moving, contacts: &[Contact]) -> Value {
    let most = |values: &mut dyn Iterator<Item = f64>| values.filter(|v| v.is_finite()).reduce(f64::max);
    let of_wheels = moving.all().flat_map(|l| l.wheels.iter().map(|wheel| wheel.least));
    let on_shoes = moving
        .all()
        .flat_map(|l| l.equilibrium.forces.iter().zip(contacts))
        .filter_map(|(force, contact)| matches!(contact.carrier, Carrier::Shoe(_)).then_some(*force));
    let flank = of_wheels.chain(on_shoes).reduce(f64::min);
    json!({
        "greatest_tilt_rad": most(&mut moving.all().map(|l| l.equilibrium.motion.turn.length())),
        "least_press_n": flank,
        "greatest_peak_pressure_mpa": most(&mut moving.all().flat_map(|l| l.wheels.iter().map(|w| w.pressure))),
    })
}

/// The contacts of a wheel or shoe, each with its force and patch against travel.
pub(super) fn contacts(results: &Results, number: usize, carrier: Carrier) -> Value {
    let Some(standing) = results.riders.get(number) else { return Value::Null };
    let mine = standing.contacts.iter().enumerate().filter(|(_, contact)| contact.carrier == carrier);
    mine.map(|(i, contact)| {
        let forces: Vec<f64> =
            loads(results, number).iter().filter_map(|l| l.equilibrium.forces.get(i)).copied().collect();
        let softening = contact.softening();
        let patches: Vec<_> = forces.iter().map(|force| contact.patch(*force)).collect();
        json!({
            "point_mm": contact.spring.point.to_array(),
            "normal": contact.spring.normal.to_array(),
            "closure_mm": contact.spring.closure,
            "force_n": forces,
            "stiffness_n_per_mm": forces.iter().map(|f| softening.stiffness(*f).0).collect::<Vec<_>>(),
            "half_length_along_mm": patches.iter().map(|p| p.along).collect::<Vec<_>>(),
            "half_length_across_mm": patches.iter().map(|p| p.across).collect::<Vec<_>>(),
            "peak_pressure_mpa": patches.iter().map(|p| p.peak_pressure).collect::<Vec<_>>(),
            "mean_pressure_mpa": patches.iter().map(|p| p.mean_pressure).collect::<Vec<_>>(),
            "approach_mm": forces.iter().map(|f| contact.pairing.approach(*f)).collect::<Vec<_>>(),
        })
    })
    .collect()
}

/// The loads of a rider's shoes against travel.
pub(super) fn shoes(results: &Results, number: usize, rider: &Rider) -> Value {
    let of = |shoe: usize, pick: fn(&glidewright_motion::loads::ShoeLoad) -> f64| {
        loads(results, number).iter().filter_map(|l| l.shoes.get(shoe)).map(pick).collect::<Vec<_>>()
    };
    let friction = |set: &[Vec<RiderResistance>], shoe: usize| {
        let stations = set.get(number).map_or(&[][..], |stations| stations);
        stations.iter().filter_map(|s| s.shoes.get(shoe)).copied().collect::<Vec<_>>()
    };
    rider
        .shoes
        .iter()
        .enumerate()
        .map(|(shoe, written)| {
            json!({
                "name": written.name,
                "radial_n": of(shoe, |l| l.radial),
                "across_n": of(shoe, |l| l.axial),
                "normal_sum_n": of(shoe, |l| l.normal),
                "centre_x_mm": of(shoe, |l| l.centre),
                "peak_pressure_mpa": of(shoe, |l| l.pressure),
                "friction_up_n": friction(&results.curves.resistance_up, shoe),
                "friction_down_n": friction(&results.curves.resistance_down, shoe),
                "contacts": contacts(results, number, Carrier::Shoe(shoe)),
            })
        })
        .collect()
}

/// What takes of a pair's gap.
pub(super) fn takes(pair: &PairResult) -> Value {
    json!({
        "tilt_mm": pair.tilt(),
        "play_mm": pair.play,
        "tolerances_worst_case_mm": pair.tolerance.worst,
        "left_mm": pair.left(),
    })
}

/// The tolerance of a gap with its contributors.
pub(super) fn tolerance(tolerance: &Tolerance) -> Value {
    let contributor = |c: &Contributor| {
        json!({
            "label": c.label,
            "path": c.path,
            "half_width_mm": c.half_width,
            "sensitivity": c.sensitivity,
            "share_of_worst_case": c.share_of_worst,
            "share_of_squares": c.share_of_squares,
        })
    };
    json!({
        "worst_case_half_width_mm": tolerance.worst,
        "root_sum_square_half_width_mm": tolerance.rss,
        "contributors": tolerance.contributors.iter().map(contributor).collect::<Vec<_>>(),
    })
}
