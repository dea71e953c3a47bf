//! Results as JSON: a stable contract, described in `assets/handbook/json.md`. Names carry units.

use glidewright_geometry::DVec3;
use glidewright_motion::loads::Carrier;
use glidewright_motion::{
    Assembly, Body, BodyId, Chain, Finding, Fixture, Outcome, Owner, PairResult, PlacedStack, Results, Rider,
    SeatContact, Severity, TrackProfile,
};
use serde_json::{Value, json};

use super::standing;

/// Version of the contract; a change that removes or renames something raises it.
const CONTRACT: u32 = 1;

/// What every JSON answer begins with.
pub fn header(kind: &str, fixture: &Fixture, trial: Option<&str>) -> serde_json::Map<String, Value> {
    let mut map = serde_json::Map::new();
    map.insert("contract".into(), json!(format!("glidewright.{kind}/{CONTRACT}")));
    map.insert("fixture".into(), json!(fixture.name));
    map.insert("trial".into(), json!(trial));
    map
}

/// Word for a severity.
pub const fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Fails => "fails",
        Severity::Marginal => "marginal",
        Severity::Note => "note",
    }
}

/// One finding.
pub fn finding(assembly: &Assembly, finding: &Finding) -> Value {
    let bodies: Vec<_> = finding.bodies.iter().filter_map(|id| body_at(assembly, *id)).map(body).collect();
    json!({
        "code": finding.code,
        "severity": severity_word(finding.severity),
        "title": finding.title,
        "reason": finding.reason,
        "bodies": bodies,
        "paths": finding.paths,
        "value": finding.value,
        "limit": finding.limit,
        "unit": finding.unit,
        "at_travel_mm": finding.at_travel,
        "travel_stretches_mm": finding.stretches,
        "chain": finding.chain.as_ref().map(chain),
        "remedies": finding.remedies.iter().map(|remedy| json!({
            "text": remedy.text,
            "path": remedy.path,
            "by_mm": remedy.by,
        })).collect::<Vec<_>>(),
    })
}

/// The key figures of a fixture.
pub fn key_figures(results: &Results) -> Value {
    let tightest = results.interference.tightest();
    let curves = &results.curves;
    let passing = || results.interference.passing.iter().filter(|pair| !pair.meets_stop);
    let least = |of: fn(&PairResult) -> f64| passing().map(of).reduce(f64::min);
    let greatest = |values: &[f64]| curves.greatest(values).map(|(value, _)| value);
    json!({
        "tightest_gap_mm": tightest.map(|pair| pair.gap),
        "tightest_loaded_gap_mm": least(|pair| pair.loaded.gap),
        "tightest_left_mm": least(PairResult::left),
        "tightest_at_travel_mm": tightest.map(|pair| pair.at_travel),
        "tightest_outcome": tightest.map(|pair| pair.outcome.word()),
        "greatest_effort_up_n": greatest(&curves.effort_up),
        "greatest_effort_down_n": greatest(&curves.effort_down),
        "greatest_imbalance_n": curves.imbalance.iter().map(|u| u.abs()).reduce(f64::max),
        "least_breakaway_n": curves.breakaway.iter().copied().reduce(f64::min),
        "holds_everywhere": (0..curves.travel.len()).all(|i| curves.holds(i)),
        "greatest_torque_nmm": greatest(&curves.torque_up).into_iter().chain(greatest(&curves.torque_down)).reduce(f64::max),
    })
}

/// Every computed result.
pub fn figures(fixture: &Fixture, results: &Results, trial: Option<&str>) -> Value {
    let assembly = &results.assembly;
    let curves = &results.curves;
    let band = &results.interference.band.points;
    let mut map = header("figures", fixture, trial);
    let pairs = |list: &[PairResult]| list.iter().map(|p| pair(assembly, p)).collect::<Vec<_>>();
    map.insert("key_figures".into(), key_figures(results));
    map.insert("rail".into(), rail(fixture));
    map.insert("travel_mm".into(), json!(curves.travel));
    map.insert(
        "clearance".into(),
        json!({
            "asked_gap_mm": fixture.limits.gap,
            "gap_mm": band.iter().map(|p| p.gap).collect::<Vec<_>>(),
            "loaded_gap_mm": band.iter().map(|p| p.loaded).collect::<Vec<_>>(),
            "gap_play_mm": band.iter().map(|p| p.play).collect::<Vec<_>>(),
            "gap_worst_case_half_width_mm": band.iter().map(|p| p.spread).collect::<Vec<_>>(),
            "gap_root_sum_square_half_width_mm": band.iter().map(|p| p.rss).collect::<Vec<_>>(),
            "least_gap_mm": band.iter().map(|p| p.least()).collect::<Vec<_>>(),
            "passing_pairs": pairs(&results.interference.passing),
            "steady_pairs": pairs(&results.interference.steady),
        }),
    );
    map.insert(
        "effort".into(),
        json!({
            "imbalance_n": curves.imbalance,
            "running_resistance_n": curves.running,
            "breakaway_resistance_n": curves.breakaway,
            "line_loss_n": curves.line_loss,
            "effort_up_n": curves.effort_up,
            "effort_down_n": curves.effort_down,
            "holds": (0..curves.travel.len()).map(|i| curves.holds(i)).collect::<Vec<_>>(),
            "comfortable_effort_n": fixture.limits.effort,
            "effective_mass_kg": curves.effective_mass,
        }),
    );
    map.insert(
        "drive".into(),
        json!({ "torque_up_nmm": curves.torque_up, "torque_down_nmm": curves.torque_down }),
    );
    map.insert(
        "hold_bands".into(),
        results
            .hold_bands
            .iter()
            .map(|band| {
                json!({
                    "rider": fixture.riders.get(band.rider).map(|r| &r.name),
                    "mass_kg": band.now,
                    "least_mass_kg": band.least,
                    "greatest_mass_kg": band.greatest,
                })
            })
            .collect(),
    );
    map.insert(
        "riders".into(),
        fixture.riders.iter().enumerate().map(|(number, r)| rider(results, number, r)).collect(),
    );
    map.insert("findings".into(), results.findings.iter().map(|f| finding(assembly, f)).collect());
    Value::Object(map)
}

fn rail(fixture: &Fixture) -> Value {
    let rail = &fixture.rail;
    json!({
        "name": rail.name,
        "length_mm": rail.length,
        "incline_rad": rail.stand.incline,
        "roll_rad": rail.stand.roll,
        "section_area_mm2": rail.section.area(),
        "tracks": rail.tracks.iter().map(|track| json!({
            "name": track.name,
            "middle_y_mm": track.middle.x,
            "middle_z_mm": track.middle.y,
            "normal_y": track.normal.x,
            "normal_z": track.normal.y,
            "mouth_width_mm": match track.profile {
                TrackProfile::Vee { mouth, .. } => Some(mouth.nominal),
                _ => None,
            },
        })).collect::<Vec<_>>(),
    })
}

fn body_at(assembly: &Assembly, id: BodyId) -> Option<&Body> {
    assembly.bodies.get(id.0 as usize)
}

fn body(body: &Body) -> Value {
    json!({
        "label": body.label,
        "path": body.path,
        "role": body.role.word(),
        "rider_number": match body.owner { Owner::Ground => None, Owner::Rider(number) => Some(number) },
    })
}

fn chain(chain: &Chain) -> Value {
    json!({
        "sentence": chain.sentence(),
        "nominal_mm": chain.nominal(),
        "worst_case_half_width_mm": chain.worst_case(),
        "root_sum_square_half_width_mm": chain.root_sum_square(),
        "terms": chain.terms.iter().map(|term| json!({
            "label": term.label,
            "path": term.path,
            "size_mm": term.size.nominal,
            "half_width_mm": term.size.half_width(),
            "sensitivity": term.sensitivity,
        })).collect::<Vec<_>>(),
    })
}

fn point(point: DVec3) -> [f64; 3] {
    point.to_array()
}

fn pair(assembly: &Assembly, pair: &PairResult) -> Value {
    let room = match pair.outcome {
        Outcome::ClearByPassing { room } => Some(room),
        _ => None,
    };
    json!({
        "a": body_at(assembly, pair.bodies.0).map(body),
        "b": body_at(assembly, pair.bodies.1).map(body),
        "gap_mm": pair.gap,
        "loaded_gap_mm": pair.loaded.gap,
        "loaded_at_travel_mm": pair.loaded.at_travel,
        "takes": standing::takes(pair),
        "tolerance": standing::tolerance(&pair.tolerance),
        "asked_gap_mm": pair.asked,
        "at_travel_mm": pair.at_travel,
        "outcome": pair.outcome.word(),
        "sideways_room_mm": room,
        "touching_travel_mm": pair.touching,
        "below_asked_travel_mm": pair.below_asked,
        "point_on_a_mm": point(pair.separation.on_a),
        "point_on_b_mm": point(pair.separation.on_b),
        "direction": point(pair.separation.normal),
        "chain": pair.chain.as_ref().map(chain),
    })
}

fn rider(results: &Results, number: usize, rider: &Rider) -> Value {
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
        "wheels": wheels,
        "shoes": standing::shoes(results, number, rider),
        "standing": standing::rider(results, number, rider),
        "tilt_rad": results.curves.loads.get(number).map(|stations| {
            stations.iter().map(|s| point(s.equilibrium.motion.turn)).collect::<Vec<_>>()
        }),
        "shift_mm": results.curves.loads.get(number).map(|stations| {
            stations.iter().map(|s| point(s.equilibrium.motion.shift)).collect::<Vec<_>>()
        }),
    })
}

fn placed_stack(rider: &Rider, placed: &PlacedStack) -> Option<Value> {
    let (name, path, stack) = rider.stack(placed.of)?;
    let seating = placed.seating.map(|seating| {
        let (contact, length) = match seating.contact {
            SeatContact::Flanks { length, .. } => ("flanks", Some(length)),
            SeatContact::Edges { .. } => ("edges", None),
            SeatContact::Rim { width } => ("rim", Some(width)),
            SeatContact::Crest { .. } => ("crest", None),
        };
        json!({
            "axle_height_mm": seating.axle_height,
            "tip_depth_mm": seating.depth,
            "rolling_radius_mm": seating.rolling_radius(),
            "contact": contact,
            "contact_length_mm": length,
        })
    });
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
        "asked_projection_mm": placed.thread.asked,
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

fn wheel_curves(results: &Results, rider_number: usize, wheel: usize, rider: &Rider) -> Value {
    let loads = results.curves.loads.get(rider_number).map_or(&[][..], |stations| stations);
    let load = |pick: fn(&glidewright_motion::loads::WheelLoad) -> f64| {
        loads.iter().filter_map(|s| s.wheels.get(wheel)).map(pick).collect::<Vec<_>>()
    };
    let resistances = results.curves.resistance.get(rider_number).map_or(&[][..], |stations| stations);
    let resistance = |pick: fn(&glidewright_motion::WheelResistance) -> f64| {
        resistances.iter().filter_map(|s| s.get(wheel)).map(pick).collect::<Vec<_>>()
    };
    json!({
        "name": rider.wheels.get(wheel).map(|w| &w.name),
        "radial_n": load(|l| l.radial),
        "axial_n": load(|l| l.axial),
        "normal_sum_n": load(|l| l.normal),
        "peak_pressure_mpa": load(|l| l.pressure),
        "contacts": standing::contacts(results, rider_number, Carrier::Wheel(wheel)),
        "resistance_n": {
            "bearing": resistance(|r| r.bearing),
            "no_load": resistance(|r| r.no_load),
            "flank_slip": resistance(|r| r.slip),
            "hysteresis": resistance(|r| r.hysteresis),
        },
    })
}
