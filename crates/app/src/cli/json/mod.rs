//! Results as JSON: a stable contract, described in `assets/handbook/json.md`. Names carry units.

pub mod builds;
mod clearance;
mod coefficients;
mod drive;
mod effort;
mod finding;
mod line;
mod rail;
mod reach;
pub mod remedies;
mod rider;
mod standing;
pub mod sweep;

pub use finding::finding;

use glidewright_choice::Share;
use glidewright_geometry::DVec3;
use glidewright_motion::{Fixture, LineNode, PairResult, Results};
use glidewright_project::{Problem, Severity};
use serde_json::{Value, json};

/// Version of a kind's contract; a change that removes or renames something raises it.
pub fn version(kind: &str) -> u32 {
    match kind {
        "builds" | "compare" | "remedies" | "sweep" => 1,
        _ => 2,
    }
}

/// What every JSON answer begins with.
pub fn header(kind: &str, fixture: &Fixture, trial: Option<&str>) -> serde_json::Map<String, Value> {
    let mut map = serde_json::Map::new();
    map.insert("contract".into(), json!(format!("glidewright.{kind}/{}", version(kind))));
    map.insert("fixture".into(), json!(fixture.name));
    map.insert("trial".into(), json!(trial));
    map
}

/// Problems of a document.
pub fn problems(problems: &[Problem]) -> Value {
    let one = |problem: &Problem| {
        json!({
            "severity": match problem.severity {
                Severity::Error => "error",
                Severity::Warning => "warning",
                Severity::Note => "note",
            },
            "place": problem.place.to_string(),
            "message": problem.message,
            "remedy": problem.remedy,
        })
    };
    problems.iter().map(one).collect()
}

/// The answer where the input can't be used.
pub fn unusable(kind: &str, trial: Option<&str>, found: &[Problem]) -> Value {
    json!({
        "contract": format!("glidewright.{kind}/{}", version(kind)),
        "fixture": null,
        "trial": trial,
        "status": "unusable",
        "problems": problems(found),
    })
}

/// The key figures of a fixture.
pub fn key_figures(results: &Results, builds: Option<&Share>) -> Value {
    let tightest = results.interference.tightest();
    let curves = &results.curves;
    let least = |of: fn(&PairResult) -> f64| results.interference.least(of);
    let greatest = |values: &[f64]| curves.greatest(values).map(|(value, _)| value);
    let breakaway = curves.breakaway_up.iter().chain(&curves.breakaway_down);
    let torques = greatest(&curves.torque_up).into_iter().chain(greatest(&curves.torque_down));
    let binding = results.binding.iter().map(|binding| binding.ratio);
    json!({
        "tightest_gap_mm": tightest.map(|pair| pair.gap),
        "tightest_loaded_gap_mm": least(|pair| pair.loaded.gap),
        "tightest_left_mm": least(PairResult::left),
        "tightest_at_travel_mm": tightest.map(|pair| pair.at_travel),
        "tightest_outcome": tightest.map(|pair| pair.outcome.word()),
        "builds_that_foul": builds.map(builds::share),
        "greatest_effort_up_n": greatest(&curves.effort_up),
        "greatest_effort_down_n": greatest(&curves.effort_down),
        "greatest_imbalance_n": curves.imbalance.iter().map(|u| u.abs()).reduce(f64::max),
        "least_breakaway_n": breakaway.copied().reduce(f64::min),
        "holds_everywhere": (0..curves.travel.len()).all(|i| curves.holds(i)),
        "greatest_torque_nmm": torques.reduce(f64::max),
        "peak_drive_torque_nmm": results.drive.as_ref().map(|drive| drive.peak_torque),
        "rms_drive_torque_nmm": results.drive.as_ref().map(|drive| drive.rms_torque),
        "least_torque_margin": results.drive.as_ref().and_then(|drive| drive.least_margin),
        "greatest_binding_ratio": binding.reduce(f64::max),
        "belt_cut_length_mm": results.line.as_ref().map(|line| line.cut_length),
        "assumed_coefficients": results.coefficients.iter().filter(|c| c.is_assumed()).count(),
    })
}

/// Every computed result.
pub fn figures(fixture: &Fixture, results: &Results, trial: Option<&str>, share: Option<&Share>) -> Value {
    let assembly = &results.assembly;
    let mut map = header("figures", fixture, trial);
    map.insert("key_figures".into(), key_figures(results, share));
    map.insert("rail".into(), rail::rail(fixture));
    map.insert("travel_mm".into(), json!(results.curves.travel));
    map.insert("clearance".into(), clearance::clearance(fixture, results));
    map.insert("effort".into(), effort::effort(fixture, results));
    map.insert("hold_bands".into(), effort::hold_bands(fixture, &results.hold_bands));
    map.insert("reach".into(), reach::reach(fixture, results));
    map.insert("belt".into(), line::line(fixture, results));
    map.insert("drive".into(), drive::drive(results));
    map.insert("binding".into(), effort::binding(fixture, results));
    map.insert("coefficients".into(), coefficients::coefficients(results));
    map.insert("calibration".into(), coefficients::calibration(fixture, results));
    map.insert(
        "riders".into(),
        fixture.riders.iter().enumerate().map(|(number, r)| rider::rider(results, number, r)).collect(),
    );
    map.insert("findings".into(), results.findings.iter().map(|f| finding(assembly, f)).collect());
    Value::Object(map)
}

fn point(point: DVec3) -> [f64; 3] {
    point.to_array()
}

/// Name of a rider.
fn rider_name(fixture: &Fixture, number: usize) -> Option<&str> {
    fixture.riders.get(number).map(|rider| rider.name.as_str())
}

/// Name of a node of the line.
fn node_name(fixture: &Fixture, number: usize) -> Option<&str> {
    Some(match fixture.line.as_ref()?.nodes.get(number)? {
        LineNode::Anchor { name, .. } => name,
        LineNode::Pulley(pulley) => &pulley.name,
    })
}
