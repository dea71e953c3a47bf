//! Results as a table to read: the same values as in the JSON, named in words, curves by their ends and extremes.

use std::fmt::Write;

use glidewright_motion::plain;
use serde_json::Value;

/// Column at which values begin (characters).
const VALUES_AT: usize = 44;
/// Units as the names of the contract end in them, longest first, and as they are written.
const UNITS: [(&str, &str); 24] = [
    ("_n_per_mm", "N/mm"),
    ("_mm_per_n", "mm/N"),
    ("_mm_per_s2", "mm/s²"),
    ("_kg_per_m3", "kg/m³"),
    ("_mm_per_s", "mm/s"),
    ("_kg_mm2", "kg·mm²"),
    ("_kgmm2", "kg·mm²"),
    ("_nmm", "N·mm"),
    ("_mpa", "MPa"),
    ("_gpa", "GPa"),
    ("_mm3", "mm³"),
    ("_mm2", "mm²"),
    ("_deg", "°"),
    ("_rad", "rad"),
    ("_mm", "mm"),
    ("_mj", "mJ"),
    ("_hz", "Hz"),
    ("_kg", "kg"),
    ("_um", "µm"),
    ("_g", "g"),
    ("_n", "N"),
    ("_s", "s"),
    ("_j", "J"),
    ("_w", "W"),
];

/// The table of one JSON answer.
pub fn table(value: &Value) -> String {
    let mut out = String::new();
    if let Value::Object(map) = value {
        for (name, value) in map.iter().filter(|(name, _)| *name != "contract") {
            if value.is_object() || value.as_array().is_some_and(|list| list.iter().any(Value::is_object)) {
                let (words, _) = words(name);
                let _ = writeln!(out, "\n{}", capital(&words));
                below(&mut out, name, value, 1);
            } else {
                row(&mut out, name, value, 0);
            }
        }
    }
    out
}

/// What stands below a heading.
fn below(out: &mut String, name: &str, value: &Value, depth: usize) {
    match value {
        Value::Object(map) => {
            for (name, value) in map {
                row(out, name, value, depth);
            }
        }
        Value::Array(list) => {
            for (number, item) in list.iter().enumerate() {
                let title = ["name", "title", "label", "text"].iter().find_map(|key| item.get(key)?.as_str());
                let title = title.map_or_else(|| format!("{}", number + 1), str::to_owned);
                let _ = writeln!(out, "{}{title}", "  ".repeat(depth));
                below(out, name, item, depth + 1);
            }
        }
        _ => row(out, name, value, depth),
    }
}

/// One value with its name and unit, or a heading with what stands below it.
fn row(out: &mut String, name: &str, value: &Value, depth: usize) {
    let (words, unit) = words(name);
    let indent = "  ".repeat(depth);
    let simple = match value {
        Value::Array(list) if list.is_empty() => Some("none".to_owned()),
        Value::Array(list) => curve(list, unit),
        Value::Object(_) => None,
        Value::Null => Some("–".to_owned()),
        Value::Bool(is) => Some(if *is { "yes" } else { "no" }.to_owned()),
        Value::Number(number) => Some(with_unit(&plain(number.as_f64().unwrap_or(f64::NAN)), unit)),
        Value::String(text) => Some(text.clone()),
    };
    match simple {
        Some(text) => {
            let width = VALUES_AT.saturating_sub(indent.len());
            let _ = writeln!(out, "{indent}{words:<width$} {text}");
        }
        None => {
            let _ = writeln!(out, "{indent}{words}");
            below(out, name, value, depth + 1);
        }
    }
}

/// A list of plain values in one line: all of a short one, the extremes of a long one.
fn curve(list: &[Value], unit: &str) -> Option<String> {
    const MOST: usize = 4;
    if list.iter().all(Value::is_string) {
        return Some(list.iter().filter_map(Value::as_str).collect::<Vec<_>>().join(", "));
    }
    if !list.iter().all(|value| value.is_number() || value.is_null()) {
        return None;
    }
    let numbers: Vec<f64> = list.iter().filter_map(Value::as_f64).collect();
    if list.len() <= MOST {
        let all: Vec<String> =
            list.iter().map(|value| value.as_f64().map_or_else(|| "–".to_owned(), plain)).collect();
        return Some(with_unit(&all.join(", "), unit));
    }
    let least = numbers.iter().copied().reduce(f64::min);
    let most = numbers.iter().copied().reduce(f64::max);
    Some(match (least, most) {
        (Some(least), Some(most)) if least == most => {
            format!("{} throughout ({} values)", with_unit(&plain(least), unit), list.len())
        }
        (Some(least), Some(most)) => {
            format!("{} to {} ({} values)", plain(least), with_unit(&plain(most), unit), list.len())
        }
        _ => format!("– ({} values)", list.len()),
    })
}

fn with_unit(text: &str, unit: &str) -> String {
    if unit.is_empty() { text.to_owned() } else { format!("{text} {unit}") }
}

/// The words of a name, and the unit it ends in.
fn words(name: &str) -> (String, &'static str) {
    let found = UNITS.iter().find_map(|(end, unit)| Some((name.strip_suffix(end)?, *unit)));
    let (stem, unit) = found.filter(|(stem, _)| !stem.is_empty()).unwrap_or((name, ""));
    (stem.replace('_', " "), unit)
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn names_are_read_as_words_with_units() {
        let value = json!({
            "contract": "x/1",
            "fixture": "stand",
            "key_figures": { "tightest_gap_mm": -0.42, "holds_everywhere": true, "peak_drive_torque_nmm": null },
            "travel_mm": [0.0, 1.0, 2.0, 3.0, 4.0],
            "riders": [{ "name": "head", "mass_kg": 1.5, "places": [{ "at_mm": 2.0 }] }],
        });
        let text = table(&value);
        for line in [
            "fixture                                      stand",
            "Key figures",
            "  tightest gap                               −0.42 mm",
            "  holds everywhere                           yes",
            "  peak drive torque                          –",
            "travel                                       0 to 4 mm (5 values)",
            "  head",
            "    mass                                     1.5 kg",
            "        at                                   2 mm",
        ] {
            assert!(text.lines().any(|known| known == line), "{line:?} is missing in\n{text}");
        }
    }
}
