//! The handbook page on the project file names every field, word, unit and function there is, no others, and its
//! examples are good.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_samples::COPY_STAND;
use std::collections::BTreeSet;
use std::path::Path;

use glidewright_project::document::PartKind;
use glidewright_project::quantity::Quantity;
use glidewright_project::tables::built_in;
use glidewright_project::{Values, formula, parse, read_parts, read_readings, resolve};

const PAGE: &str = include_str!("../../../assets/handbook/project-file.md");

/// What stands between backticks on the page, without the code blocks.
fn quoted() -> Vec<String> {
    let mut in_block = false;
    let mut quoted = Vec::new();
    for line in PAGE.lines() {
        if line.starts_with("```") {
            in_block = !in_block;
        } else if !in_block {
            quoted.extend(line.split('`').skip(1).step_by(2).map(str::to_owned));
        }
    }
    quoted
}

/// Single words between backticks, and those before a bracket or colon in examples between backticks.
fn words_on_page() -> BTreeSet<String> {
    let mut words = BTreeSet::new();
    for text in quoted() {
        let parts = text.split('"').step_by(2);
        for word in parts.flat_map(|part| part.split(|c: char| !(c.is_ascii_alphanumeric() || c == '_'))) {
            if word.starts_with(|c: char| c.is_ascii_lowercase()) {
                words.insert(word.to_owned());
            }
        }
    }
    words
}

fn snake(name: &str) -> String {
    let mut out = String::new();
    for (at, c) in name.char_indices() {
        if c.is_ascii_uppercase() && at > 0 {
            out.push('_');
        }
        out.push(c.to_ascii_lowercase());
    }
    out
}

/// Every name a file can hold: fields, variants and words of the types a file is made of, from their source.
fn names_in_the_source() -> BTreeSet<String> {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files: Vec<_> =
        std::fs::read_dir(source.join("document")).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.push(source.join("tolerance.rs"));
    let mut names = BTreeSet::new();
    for file in files {
        let text = std::fs::read_to_string(file).unwrap();
        let mut on_disk = false;
        let mut of_enum = false;
        let mut skipped = false;
        for line in text.lines() {
            let indent = line.len() - line.trim_start().len();
            let code = line.trim();
            if indent == 0 && code.starts_with("#[derive") {
                on_disk = code.contains("Deserialize");
            }
            if indent == 0 && (code.contains("struct ") || code.contains("enum ")) {
                of_enum = code.contains("enum ");
            }
            if indent == 0 && (code == "}" || code.starts_with("impl") || code.contains("fn ")) {
                on_disk = false;
            }
            if code == "#[serde(skip)]" {
                skipped = true;
                continue;
            }
            // A word of a choice: `Front = "front",`.
            if let Some((_, word)) = code.split_once(" = \"")
                && let Some(word) = word.strip_suffix("\",")
                && code.starts_with(|c: char| c.is_ascii_uppercase())
            {
                names.insert(word.to_owned());
            }
            if !on_disk || indent == 0 {
                continue;
            }
            let end = code.find(|c: char| !(c.is_ascii_alphanumeric() || c == '_')).unwrap_or(code.len());
            if of_enum && indent == 4 && code.starts_with(|c: char| c.is_ascii_uppercase()) {
                names.insert(snake(&code[..end]));
            }
            let field = code.strip_prefix("pub ").unwrap_or(code);
            if let Some((name, _)) = field.split_once(": ")
                && !name.is_empty()
                && name.chars().all(|c| c.is_ascii_lowercase() || c == '_')
            {
                if !skipped {
                    names.insert(name.to_owned());
                }
                skipped = false;
            }
        }
    }
    // A size of its own fields is read by hand; places are nameless.
    names.extend(["value", "tolerance", "note"].map(str::to_owned));
    names
}

#[test]
fn every_name_of_the_format_is_on_the_page() {
    let names = names_in_the_source();
    // If the scan went blind, this would show it.
    for known in [
        "format",
        "stack",
        "flat_bar",
        "from_diameter",
        "plus_minus",
        "readings",
        "inside",
        "washer",
        "linked",
    ] {
        assert!(names.contains(known), "the scan misses {known}");
    }
    assert!(!names.contains("comments"));
    assert!(names.len() > 150, "{}", names.len());
    let words = words_on_page();
    let missing: Vec<&String> = names.iter().filter(|name| !words.contains(*name)).collect();
    assert!(missing.is_empty(), "the page does not name {missing:?}");
}

#[test]
fn the_first_column_of_its_tables_holds_no_name_that_is_not_there() {
    let names = names_in_the_source();
    let functions_and_units =
        |word: &str| formula::is_reserved(word) || ["a", "b", "step", "x", "y"].contains(&word);
    for line in PAGE.lines().filter(|line| line.starts_with("| `")) {
        let first = line.split('|').nth(1).unwrap();
        for text in first.split('`').skip(1).step_by(2) {
            let end = text.find(|c: char| !(c.is_ascii_alphanumeric() || c == '_')).unwrap_or(text.len());
            let word = &text[..end];
            let known = names.contains(word) || functions_and_units(word) || functions_and_units(text);
            assert!(
                known || word.is_empty() || word.starts_with(|c: char| c.is_ascii_digit()),
                "{text:?} in {line}"
            );
        }
    }
}

#[test]
fn every_unit_and_function_is_on_the_page() {
    let quoted = quoted();
    for unit in formula::UNITS {
        // The page writes µ as one of its two characters.
        let symbol = unit.symbol.replace('\u{3bc}', "\u{b5}");
        assert!(quoted.contains(&symbol), "the unit {symbol}");
    }
    let words = words_on_page();
    for function in formula::function_names() {
        assert!(words.contains(function), "the function {function}");
    }
    for quantity in [
        Quantity::Length,
        Quantity::Angle,
        Quantity::Mass,
        Quantity::Force,
        Quantity::Torque,
        Quantity::Pressure,
        Quantity::Stiffness,
        Quantity::Density,
        Quantity::LinearDensity,
        Quantity::Inertia,
        Quantity::Speed,
        Quantity::Acceleration,
    ] {
        let name = quantity.with_article().split_once(' ').unwrap().1;
        let row = PAGE.lines().find(|line| line.starts_with(&format!("| {name} |")));
        let row = row.unwrap_or_else(|| panic!("no row for {name}"));
        assert!(row.contains(&format!("| {} |", quantity.unit())), "{row}");
    }
}

/// The code blocks of a kind.
fn blocks(kind: &str) -> Vec<String> {
    let fence = format!("```{kind}\n");
    PAGE.split(&fence).skip(1).map(|rest| rest.split("```").next().unwrap().to_owned()).collect()
}

#[test]
fn its_project_is_whole_and_sound() {
    let [text] = &blocks("ron")[..] else { panic!("one project is expected") };
    let document = parse(text).unwrap_or_else(|problems| panic!("{problems:?}"));
    let resolved = resolve(&document, None);
    assert!(resolved.problems.is_empty(), "{:#?}", resolved.problems);
    assert_eq!(glidewright_project::print(&document), *text);
    let fixture = resolved.fixture.unwrap();
    assert_eq!(fixture.riders[0].wheels.len(), 4);
    assert!((fixture.riders[0].loads[0].mass - 0.3).abs() < 1e-12);
}

#[test]
fn its_table_of_readings_is_taken_in() {
    let [table] = &blocks("csv")[..] else { panic!("one table is expected") };
    let readings = read_readings(table.as_bytes()).unwrap();
    assert_eq!(readings.len(), 2);
    assert_eq!(readings[0].readings, [5.91, 5.88, 5.93]);
}

#[test]
fn its_formulas_have_the_values_it_says() {
    let values = Values::default();
    for (text, expected) in [("1/4 in", 6.35), ("3 1/4 in", 82.55), ("1 in + 2", 27.4), ("max(6,5; 7)", 7.0)]
    {
        assert!(PAGE.contains(text), "{text}");
        let got = values.try_formula(text, Quantity::Length).unwrap();
        assert!((got - expected).abs() < 1e-12, "{text}: {got}");
    }
}

#[test]
fn the_parts_it_names_are_there() {
    for name in quoted() {
        let with_thread = [name.clone(), format!("{name} M6")];
        let is_standard = ["ISO ", "DIN "].iter().any(|start| name.starts_with(start));
        let is_ware = [
            "grooved 30",
            "flat bar",
            "rod ",
            "tube ",
            "ring ",
            "eccentric M",
            "belt 2",
            "strap ",
            "cord ",
            "pulley ",
            "toothed idler",
            "idler 1",
            "post ",
        ]
        .iter()
        .any(|start| name.starts_with(start));
        if is_standard || is_ware {
            assert!(with_thread.iter().any(|name| built_in().part(name).is_some()), "{name}");
        }
    }
    // And the other way round: every standard in the tables is named.
    for kind in [PartKind::Nut, PartKind::Screw, PartKind::Washer] {
        for part in built_in().of_kind(kind) {
            // Nuts for slots go by their slot and thread.
            let standard = match part.name.rsplit_once(' ').unwrap().0 {
                slot if slot.starts_with("slot nut") => "slot nut 8, M5",
                standard => standard,
            };
            assert!(quoted().iter().any(|name| name == standard), "{standard}");
        }
    }
}

#[test]
fn the_defaults_it_names_are_those_of_the_program() {
    let text = "(format: 2, name: \"x\", rail: (section: \"rod 8\", length: 100), stroke: (to: 10))";
    let document = parse(text).unwrap();
    let row = |name: &str, says: &str| {
        let start = format!("| `{name}` |");
        assert!(
            PAGE.lines()
                .any(|line| line.starts_with(&start) && line.trim_end().ends_with(&format!("| {says} |"))),
            "{name}: {says}"
        );
    };
    assert_eq!(document.limits.gap, 1.0.into());
    row("gap", "1 mm");
    assert_eq!(document.limits.effort, 10.0.into());
    row("effort", "10 N");
    assert_eq!(document.limits.tilt, 0.5.into());
    row("tilt", "0.5°");
    // What is left out of the resistance comes from the resolved fixture.
    let demo = parse(COPY_STAND).unwrap();
    let fixture = resolve(&demo, None).fixture.unwrap();
    let resistance = &fixture.resistance;
    for (name, value, says) in [
        ("bearing", resistance.bearing.value, "0.0015, open tribology notes"),
        ("no_load_torque", resistance.no_load_torque.value, "0.4 N·mm, assumed"),
        ("flank", resistance.flank.value, "0.2, assumed"),
        ("hysteresis", resistance.hysteresis.value, "0.1, assumed"),
        ("shoe", resistance.shoe.value, "0.25, assumed"),
        ("start_factor", resistance.start_factor.value, "2, open tribology notes"),
    ] {
        row(name, says);
        let stated: f64 = says.split([' ', ',']).next().unwrap().parse().unwrap();
        assert_eq!(stated, value, "{name}");
    }
    let line = fixture.line.unwrap();
    for (name, value, says) in [
        ("bending_loss", line.bending_loss.value, "0.01, assumed"),
        ("post_friction", line.post_friction.value, "0.25, assumed"),
    ] {
        row(name, says);
        assert_eq!(says.split(',').next().unwrap().parse::<f64>().unwrap(), value, "{name}");
    }
    assert!(read_parts("(format: 2)").is_ok());
}
