//! What comes how near to what.

use glidewright_motion::{Assembly, Fixture, Outcome, PairResult, Results};
use serde_json::{Value, json};

use super::finding::{body, body_at, chain};
use super::{point, standing};

/// The clearance band and the pairs behind it.
pub(super) fn clearance(fixture: &Fixture, results: &Results) -> Value {
    let band = &results.interference.band.points;
    let assembly = &results.assembly;
    let pairs = |list: &[PairResult]| list.iter().map(|p| pair(assembly, p)).collect::<Vec<_>>();
    json!({
        "required_gap_mm": fixture.limits.gap,
        "gap_mm": band.iter().map(|p| p.gap).collect::<Vec<_>>(),
        "loaded_gap_mm": band.iter().map(|p| p.loaded).collect::<Vec<_>>(),
        "gap_play_mm": band.iter().map(|p| p.play).collect::<Vec<_>>(),
        "gap_worst_case_half_width_mm": band.iter().map(|p| p.spread).collect::<Vec<_>>(),
        "gap_root_sum_square_half_width_mm": band.iter().map(|p| p.rss).collect::<Vec<_>>(),
        "least_gap_mm": band.iter().map(|p| p.least()).collect::<Vec<_>>(),
        "passing_pairs": pairs(&results.interference.passing),
        "passing_pairs_left_out": results.interference.left_out,
        "steady_pairs": pairs(&results.interference.steady),
    })
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
        "depth_mm": pair.depth.map(|depth| json!({ "at_least": depth.at_least, "at_most": depth.at_most })),
        "loaded_gap_mm": pair.loaded.gap,
        "loaded_at_travel_mm": pair.loaded.at_travel,
        "takes": standing::takes(pair),
        "tolerance": standing::tolerance(&pair.tolerance),
        "required_gap_mm": pair.asked,
        "at_travel_mm": pair.at_travel,
        "outcome": pair.outcome.word(),
        "sideways_room_mm": room,
        "touching_travel_mm": pair.touching,
        "below_required_travel_mm": pair.below_asked,
        "point_on_a_mm": point(pair.separation.on_a),
        "point_on_b_mm": point(pair.separation.on_b),
        "direction": point(pair.separation.normal),
        "chain": pair.chain.as_ref().map(chain),
    })
}
