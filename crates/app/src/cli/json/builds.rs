//! Builds as JSON.

use glidewright_choice::{Builds, Law, MEASURED_LEVEL, Outcome, Share, Standing};
use serde_json::{Map, Value, json};

/// Adds what comes of builds.
pub fn add(map: &mut Map<String, Value>, builds: &Builds, outcome: &Outcome) {
    map.insert("status".into(), json!(if outcome.fouls.count > 0 { "some foul" } else { "none foul" }));
    map.insert("samples".into(), json!(outcome.samples));
    map.insert("seed".into(), json!(outcome.seed));
    map.insert(
        "standing".into(),
        json!(match outcome.standing {
            Standing::Loaded => "loaded",
            Standing::Drawn => "drawn",
        }),
    );
    map.insert("required_gap_mm".into(), json!(outcome.required));
    map.insert("fouls".into(), share(&outcome.fouls));
    map.insert("below_required".into(), share(&outcome.short));
    let interval = |ends: Option<(f64, f64)>| ends.map(|(least, greatest)| json!([least, greatest]));
    map.insert(
        "gap".into(),
        json!({
            "drawn_mm": finite(outcome.drawn),
            "mean_mm": outcome.mean,
            "interval_95_mm": interval(outcome.likely),
            "interval_99_7_mm": interval(outcome.nearly_all),
            "root_of_squares_mm": outcome.root_of_squares,
            "beyond_root_of_squares": share(&outcome.beyond_root_of_squares),
        }),
    );
    let histogram = &outcome.histogram;
    map.insert(
        "histogram".into(),
        json!({
            "from_mm": histogram.from,
            "width_mm": histogram.width,
            "counts": histogram.counts,
            "below": histogram.below,
            "above": histogram.above,
        }),
    );
    let pairs = outcome.pairs.iter().map(|pair| {
        json!({
            "a": { "label": pair.labels[0], "path": pair.paths[0] },
            "b": { "label": pair.labels[1], "path": pair.paths[1] },
            "least_of": share(&pair.least_of),
            "deducted": { "tilt_mm": pair.deducted.tilt, "play_mm": pair.deducted.play },
        })
    });
    map.insert("least_pairs".into(), pairs.collect());
    let contributors = outcome.contributors.iter().filter_map(|contributor| {
        let size = builds.sizes().get(contributor.size)?;
        Some(json!({
            "label": size.label,
            "path": size.path,
            "unit": size.unit,
            "nominal": size.nominal,
            "half_width": size.half_width,
            "spread": match size.law {
                Law::Uniform => json!({ "kind": "uniform" }),
                Law::Normal => json!({
                    "kind": "normal",
                    "deviations_in_half_width": glidewright_choice::LIMIT_IN_DEVIATIONS,
                }),
                Law::Measured { count } => json!({
                    "kind": "measured",
                    "readings": count,
                    "share_within_half_width": MEASURED_LEVEL,
                }),
            },
            "likeness": size.likeness.word(),
            "pieces": size.pieces,
            "off_straight_mm": size.bend,
            "share_of_variance": contributor.share_of_variance,
            "halved": contributor.halved.map(|halved| json!({
                "fouls": share(&halved.fouls),
                "below_required": share(&halved.short),
                "fouled_before": halved.fouled,
                "below_required_before": halved.fell_short,
            })),
        }))
    });
    map.insert("contributors".into(), contributors.collect());
    map.insert("unproved".into(), json!(outcome.unproved));
    map.insert("not_counted".into(), json!(outcome.not_counted));
}

/// Adds that every build is as drawn.
pub fn add_nothing(map: &mut Map<String, Value>, (gap, required): (f64, f64), not_counted: &[String]) {
    map.insert("status".into(), json!("nothing varies"));
    map.insert("required_gap_mm".into(), json!(required));
    map.insert("gap".into(), json!({ "drawn_mm": finite(gap) }));
    map.insert("not_counted".into(), json!(not_counted));
}

/// A share with its interval.
pub fn share(share: &Share) -> Value {
    json!({ "count": share.count, "of": share.of, "share": share.share, "interval_95": [share.low, share.high] })
}

fn finite(number: f64) -> Option<f64> {
    number.is_finite().then_some(number)
}
