//! What is published of generated fixtures, ordinary ones and such as are driven to the ends of what sizes may be:
//! nothing of it is without a value, infinite, or told to more digits than mean something.
//!
//! How many: `GLIDEWRIGHT_GENERATED` (a few without it).
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

use glidewright::cli::Outcome;
use glidewright_generated::usable;
use glidewright_tests::{program, scratch};
use serde_json::Value;

fn count(few: usize) -> usize {
    std::env::var("GLIDEWRIGHT_GENERATED").ok().and_then(|count| count.parse().ok()).unwrap_or(few)
}

/// A project as text with some of its sizes driven to where they may just be.
fn strained(text: &str, how: u64) -> String {
    let (from, to) = match how % 6 {
        1 => ("g: 9.80665", "g: 0.001"),
        2 => ("mass: 0.", "mass: 900."),
        3 => ("friction: 0.", "friction: 0.00000"),
        4 => ("thickness: ", "thickness: 0.01 * "),
        5 => ("stroke: (to: ", "stroke: (to: 0.001 * "),
        _ => return text.to_owned(),
    };
    text.replace(from, to)
}

/// Words of a text that are no numbers a reader can use.
fn odd_words(text: &str) -> Vec<String> {
    let is_part = |c: char| c.is_ascii_alphanumeric() || c == '.';
    text.split(|c: char| !is_part(c))
        .filter(|word| {
            let lower = word.to_ascii_lowercase();
            let digits: String = word.chars().filter(char::is_ascii_digit).collect();
            let is_number = word.starts_with(|c: char| c.is_ascii_digit())
                && word.chars().all(|c| c.is_ascii_digit() || c == '.');
            matches!(lower.as_str(), "nan" | "inf" | "infinity")
                || (is_number && word.contains('.') && digits.trim_matches('0').len() > 6)
                || (is_number && digits.trim_matches('0').len() > 7)
        })
        .map(str::to_owned)
        .collect()
}

/// Where in a JSON value a list of numbers holds something else.
fn holes(value: &Value, path: &str, found: &mut Vec<String>) {
    match value {
        Value::Array(list) => {
            let numbers = list.iter().filter(|item| item.is_number()).count();
            // At a reach where the rider jams no effort moves it.
            let jams = path.starts_with("/reach/")
                && (path.ends_with("/greatest_effort_up_n") || path.ends_with("/greatest_effort_down_n"))
                && list.iter().all(|item| item.is_number() || item.is_null());
            if numbers > 0 && numbers < list.len() && !jams {
                found.push(format!("{path}: {} of {} are no numbers", list.len() - numbers, list.len()));
            }
            for (place, item) in list.iter().enumerate().filter(|(_, item)| !item.is_number()) {
                holes(item, &format!("{path}/{place}"), found);
            }
        }
        Value::Object(map) => map.iter().for_each(|(key, item)| holes(item, &format!("{path}/{key}"), found)),
        Value::Number(number) if !number.as_f64().is_some_and(|x| x.abs() < 1e15) => {
            found.push(format!("{path}: {number}"));
        }
        _ => {}
    }
}

#[test]
fn nothing_published_is_without_a_value() {
    let folder = scratch("published");
    let file = folder.join("project.ron");
    let path = file.to_string_lossy().into_owned();
    let (mut all, mut faults) = (0, Vec::new());
    for (number, generated) in (0..).zip(usable(0).take(count(18))) {
        std::fs::write(&file, strained(&generated.text, number)).unwrap();
        let seed = generated.seed;
        let said = program(&["check", &path]);
        if said.outcome == Outcome::Unusable {
            // Told in words, and no odd ones.
            faults.extend(
                odd_words(&said.error).into_iter().map(|word| format!("{seed}: {word} in {}", said.error)),
            );
            continue;
        }
        all += 1;
        for line in said.out.lines() {
            faults.extend(
                odd_words(line).into_iter().map(|word| format!("{seed}, {number}: {word} in {line}")),
            );
        }
        let said = program(&["figures", &path, "--json"]);
        let mut found = Vec::new();
        holes(&serde_json::from_str(&said.out).unwrap_or_default(), "", &mut found);
        faults.extend(found.into_iter().map(|hole| format!("{seed}, {number}: {hole}")));
        let said = program(&["figures", &path]);
        faults.extend(
            odd_words(&said.out).into_iter().map(|word| format!("{seed}, {number}: {word} in the table")),
        );
        let picture = folder.join("bench.svg");
        let said = program(&["picture", &path, "--out", &picture.to_string_lossy()]);
        let svg = std::fs::read_to_string(&picture).unwrap_or(said.error);
        if svg.contains("NaN") || svg.contains("inf ") || !svg.contains("</svg>") {
            faults.push(format!("{seed}, {number}: the picture"));
        }
        let out = folder.join(format!("solids-{number}"));
        let said = program(&["solids", &path, "--at", "0", "--out", &out.to_string_lossy()]);
        for entry in std::fs::read_dir(&out).into_iter().flatten().flatten() {
            let bytes = std::fs::read(entry.path()).unwrap();
            if entry.path().extension().is_some_and(|ending| ending == "stl") && !is_finite(&bytes) {
                faults.push(format!("{seed}, {number}: {:?}", entry.path()));
            }
        }
        if said.outcome != Outcome::Good {
            faults.push(format!("{seed}, {number}: {}", said.error));
        }
        let _ = std::fs::remove_dir_all(&out);
    }
    let _ = std::fs::remove_dir_all(&folder);
    assert!(all > 8, "{all}");
    assert!(
        faults.is_empty(),
        "{} faults, the first:\n{}",
        faults.len(),
        faults[..faults.len().min(40)].join("\n")
    );
}

/// Whether all numbers of a binary STL file are: 80 bytes, the count of triangles, 50 bytes each with 12 numbers.
fn is_finite(bytes: &[u8]) -> bool {
    bytes.get(84..).is_some_and(|triangles| {
        triangles.chunks_exact(50).all(|triangle| {
            triangle[..48]
                .chunks_exact(4)
                .all(|four| f32::from_le_bytes([four[0], four[1], four[2], four[3]]).is_finite())
        })
    })
}
