//! A sweep as JSON.

use glidewright_choice::{End, Figure, Point, Swept, Trouble};
use glidewright_motion::Severity;
use glidewright_project::NumberSize;
use serde_json::{Map, Value, json};

/// Adds what becomes of figures.
pub fn add(map: &mut Map<String, Value>, sweep: &Swept) {
    map.insert("size".into(), size(&sweep.size));
    let question = &sweep.question;
    map.insert("from".into(), json!(question.from));
    map.insert("to".into(), json!(question.to));
    map.insert("builds".into(), json!(question.builds));
    map.insert("values".into(), sweep.points.iter().map(point).collect());
    map.insert("ends".into(), sweep.ends.iter().map(end).collect());
}

/// A size that can be swept.
pub fn size(size: &NumberSize) -> Value {
    json!({
        "path": size.path,
        "label": size.label,
        "unit": size.unit(),
        "now": size.now,
        "is_formula": !size.is_plain,
    })
}

fn point(point: &Point) -> Value {
    let mut map = Map::new();
    map.insert("value".into(), json!(point.value));
    map.insert("impossible".into(), json!(point.outcome.as_ref().err()));
    let counts = point.outcome.as_ref().ok().map(glidewright_choice::Figures::counts);
    map.insert("fails".into(), json!(counts.map(|(fails, _)| fails)));
    map.insert("marginal".into(), json!(counts.map(|(_, marginal)| marginal)));
    for figure in Figure::ALL {
        map.insert(figure.name().into(), json!(point.figure(figure)));
    }
    Value::Object(map)
}

fn end(end: &End) -> Value {
    let troubles = |list: &[Trouble]| -> Value { list.iter().map(trouble).collect() };
    json!({
        "value": end.value(),
        "between": [end.between.0, end.between.1],
        "ceases": troubles(&end.ceases),
        "begins": troubles(&end.begins),
        "impossible_below": end.impossible[0],
        "impossible_above": end.impossible[1],
    })
}

fn trouble(trouble: &Trouble) -> Value {
    json!({
        "code": trouble.code,
        "severity": if trouble.severity == Severity::Fails { "fails" } else { "marginal" },
        "who": trouble.who,
        "title": trouble.title.to_string(),
    })
}
