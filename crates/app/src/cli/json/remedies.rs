//! What a search finds as JSON.

use glidewright_choice::{Bought, Found, Place, Row, Told};
use glidewright_motion::Severity;
use serde_json::{Map, Value, json};

/// Adds what comes of a search among these places.
pub fn add(map: &mut Map<String, Value>, found: &Found, places: &[Place]) {
    let best = found.rows.first();
    let status = match best.map_or((found.now.fails, found.now.marginal), |best| (best.fails, best.marginal))
    {
        (0, 0) => "cured",
        (0, _) => "nothing fails",
        _ => "something fails",
    };
    map.insert("status".into(), json!(status));
    // A count may be greater than numbers of JSON are sure to hold.
    map.insert("combinations".into(), json!(found.space as f64));
    map.insert("analysed".into(), json!(found.progress.analysed));
    map.insert("final_rows".into(), json!(found.progress.final_rows));
    map.insert("currency".into(), json!(found.currency));
    map.insert("now".into(), row(&found.now));
    map.insert("rows".into(), found.rows.iter().map(row).collect());
    let offers = |place: &Place| place.offers.iter().map(|offer| json!(offer.words)).collect::<Value>();
    let place = |place: &Place| {
        json!({
            "kind": place.kind.word(),
            "path": place.path,
            "label": place.label,
            "offers": offers(place),
        })
    };
    map.insert("places".into(), places.iter().map(place).collect());
    let impossible = found.impossible.iter().map(|(why, count)| json!({ "why": why, "count": count }));
    map.insert("impossible".into(), impossible.collect());
    map.insert("left_out".into(), json!(found.left_out));
    map.insert("checked".into(), json!({ "looked_at": found.checked.0, "wrong": found.checked.1 }));
    map.insert("remarks".into(), json!(found.remarks));
}

/// A row.
pub fn row(row: &Row) -> Value {
    json!({
        "words": row.words,
        "notes": row.notes,
        "fails": row.fails,
        "marginal": row.marginal,
        "findings": row.findings.iter().map(told).collect::<Value>(),
        "cured": row.cured,
        "brought": row.brought.iter().map(told).collect::<Value>(),
        "least_gap_mm": row.least_gap,
        "least_between": row.least_between,
        "changed": row.changed,
        "pieces_to_buy": row.pieces,
        "to_buy": row.bought.iter().map(bought).collect::<Value>(),
        "cost": row.cost,
        "pieces_without_price": row.unpriced,
        "has_guide_price": row.has_guide_price,
        "certainty": row.certainty.map(|certainty| certainty.says()),
        "least_certain": row.least_certain,
        "greatest_effort_n": row.effort.filter(|effort| effort.is_finite()),
        "greatest_pressure_mpa": row.pressure.filter(|pressure| pressure.is_finite()),
        "wheels": row.wheels,
        "builds_that_foul": row.builds.map(|share| json!({
            "count": share.count, "of": share.of, "share": share.share, "interval_95": [share.low, share.high],
        })),
        "looks_cm2": row.looks,
        "alike": row.alike,
    })
}

fn told(told: &Told) -> Value {
    let severity = match told.severity {
        Severity::Fails => "fails",
        Severity::Marginal => "marginal",
        Severity::Note => "note",
    };
    json!({ "code": told.code, "severity": severity, "title": told.title })
}

fn bought(bought: &Bought) -> Value {
    json!({
        "part": bought.part,
        "count": bought.count,
        "price": bought.price,
        "is_guide_price": bought.is_guide,
    })
}
