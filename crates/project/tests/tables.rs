//! The built-in tables against the published values beside this test (`reference/checks`), whose own columns say how
//! each number was obtained: read in secondary tables, or from memory. What was found wrong there later stands in
//! `corrections.csv`, with its source. Formulas are named where one is used.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use std::collections::HashMap;

use glidewright_motion::Spread;
use glidewright_project::document::{Certainty, HeadForm, Part, PartForm};
use glidewright_project::tables::{built_in, clearance_hole, thread};
use glidewright_project::tolerance::{GeneralClass, Tolerance};
use glidewright_project::{Slot, Values};

type Row = HashMap<String, String>;

fn rows(text: &str) -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headings: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let row =
        |record: csv::StringRecord| headings.iter().cloned().zip(record.iter().map(str::to_owned)).collect();
    reader.records().map(|record| row(record.unwrap())).collect()
}

/// The rows of a table of checks with what was found wrong in them put right.
fn corrected(table: &str, text: &str) -> Vec<Row> {
    let mut rows = rows(text);
    let corrections = self::rows(include_str!("reference/checks/corrections.csv"));
    for correction in corrections.iter().filter(|correction| correction["table"] == table) {
        let row = rows
            .iter_mut()
            .find(|row| named(row) == correction["row"])
            .unwrap_or_else(|| panic!("no row {}", correction["row"]));
        row.insert(correction["column"].clone(), correction["value"].clone());
    }
    rows
}

/// What a row of a table is called: "ISO 4032 M3", "POM".
fn named(row: &Row) -> String {
    match (row.get("standard"), row.get("material")) {
        (Some(standard), _) => format!("{} {}", standard.split(" (").next().unwrap(), row["size"]),
        (_, Some(material)) => material.clone(),
        _ => String::new(),
    }
}

fn number(row: &Row, column: &str) -> Option<f64> {
    row[column].parse().ok()
}

fn part(name: &str) -> &'static Part {
    built_in().part(name).unwrap_or_else(|| panic!("there is no {name}"))
}

/// Least, nominal and greatest of a size of a table part.
fn size(part: &Part, name: &str) -> (f64, f64, f64) {
    let mut found = None;
    part.visit(&mut |path, slot| {
        if path == name
            && let Slot::Size(size) = slot
        {
            let nominal =
                Values::default().try_formula(&size.formula().unwrap().to_string(), size.quantity()).unwrap();
            found = Some(match size.tolerance() {
                None => (nominal, nominal, nominal),
                Some(tolerance) => {
                    let about = tolerance.about(nominal).unwrap();
                    (about.nominal - about.half_width(), about.nominal, about.nominal + about.half_width())
                }
            });
        }
    });
    found.unwrap_or_else(|| panic!("{} has no {name}", part.name))
}

fn near(got: f64, expected: f64, what: &str) {
    assert!((got - expected).abs() < 1e-9, "{what}: {got}, not {expected}");
}

/// Group N of ISO 5753-1 (read in one table) and the normal class of ISO 492 (read in two) by bore; EN 12020-2's limits
/// of precision profiles (from memory), an overall size's share for each of its modules.
#[test]
fn clearance_runout_and_limits_of_profiles() {
    for (name, least, greatest, runout) in
        [("623", 0.002, 0.013, 0.01), ("608", 0.002, 0.013, 0.01), ("6000", 0.002, 0.013, 0.01)]
    {
        let part = part(name);
        let (low, _, high) = size(part, "clearance");
        near(low, least, name);
        near(high, greatest, name);
        near(size(part, "runout").1, runout, name);
        assert_eq!(part.certainty_of("clearance"), Some(Certainty::OneSource));
    }
    for (name, module, mouth) in [
        ("grooved 20x20", 0.25, 0.15),
        ("grooved 30x30", 0.25, 0.2),
        ("grooved 30x60", 0.25, 0.2),
        ("grooved 45x90", 0.3, 0.2),
        ("grooved 60x60", 0.2, 0.2),
    ] {
        let half = |of: &str| {
            let (low, _, high) = size(part(name), of);
            0.5 * (high - low)
        };
        near(half("module"), module, name);
        near(half("mouth"), mouth, name);
    }
}

#[test]
fn nuts() {
    let rows = corrected("nuts", include_str!("reference/checks/nuts.csv"));
    assert_eq!(rows.len(), 30);
    for row in rows {
        let name = format!("{} {}", row["standard"], row["size"]);
        let part = part(&name);
        let PartForm::Nut(nut) = &part.form else { panic!("{name} is no nut") };
        near(size(part, "diameter").1, row["size"][1..].parse().unwrap(), &name);
        near(size(part, "pitch").1, number(&row, "pitch_mm").unwrap(), &name);
        near(size(part, "flats").2, number(&row, "across_flats_max_mm").unwrap(), &name);
        let height = size(part, "height");
        near(height.2, number(&row, "height_max_mm").unwrap(), &name);
        match number(&row, "height_min_mm") {
            Some(least) => near(height.0, least, &name),
            None => assert!(part.note.contains("maximum, no minimum known"), "{name}: {}", part.note),
        }
        assert_eq!(
            nut.locking,
            ["DIN 985", "ISO 7040", "ISO 10511"].contains(&row["standard"].as_str()),
            "{name}"
        );
        // As it was found at first; a second route may have made it surer since.
        let found = match &row["confidence"] {
            found if found.starts_with("read in 2") => Certainty::TwoSources,
            found if found.starts_with("read in one") || found.starts_with("height max read") => {
                Certainty::OneSource
            }
            _ => Certainty::Computed,
        };
        assert!(part.certainty.unwrap() <= found, "{name}: {:?}", part.certainty);
        assert!(
            part.note.contains(&format!("the minimum is {}", row["across_flats_min_mm"])),
            "{}",
            part.note
        );
    }
}

#[test]
fn screws_and_their_lengths() {
    let rows_of_lengths = rows(include_str!("reference/checks/screw_lengths.csv"));
    let rows = corrected("screws", include_str!("reference/checks/screws.csv"));
    assert_eq!(rows.len(), 30);
    for row in rows {
        let standard = row["standard"].split(" (").next().unwrap();
        let name = format!("{standard} {}", row["size"]);
        let part = part(&name);
        let PartForm::Screw(screw) = &part.form else { panic!("{name} is no screw") };
        near(size(part, "pitch").1, number(&row, "pitch_mm").unwrap(), &name);
        near(size(part, "head_size").2, number(&row, "head_dia_or_flats_max_mm").unwrap(), &name);
        let height = size(part, "head_height");
        near(height.2, number(&row, "head_height_max_mm").unwrap(), &name);
        if let Some(least) = number(&row, "head_height_min_mm") {
            near(height.0, least, &name);
        }
        if let Some(plain) = number(&row, "plain_head_dia_nominal_mm") {
            assert!(part.note.contains(&format!("a plain head has {plain} mm")), "{}", part.note);
        }
        assert!(part.certainty.unwrap() <= Certainty::Memory, "{name}");
        let wanted = match standard {
            "ISO 4762" => HeadForm::Socket,
            "ISO 7380-1" => HeadForm::Button,
            "ISO 4014" | "ISO 4017" => HeadForm::Hexagon,
            _ => HeadForm::Countersunk,
        };
        assert_eq!(screw.head, wanted, "{name}");
        // ISO 888 lengths of the standard's list within the range of the size.
        let list = if standard == "DIN 7991" { "ISO 10642" } else { standard };
        let listed =
            &rows_of_lengths.iter().find(|row| row["standard"] == list).unwrap()["nominal_lengths_mm"];
        let range =
            number(&row, "shortest_mm").unwrap_or(0.0)..=number(&row, "longest_mm").unwrap_or(f64::INFINITY);
        let expected: Vec<f64> =
            listed.split(',').map(|l| l.parse::<f64>().unwrap()).filter(|l| range.contains(l)).collect();
        assert!(expected.len() >= 3, "{name}");
        assert_eq!(screw.lengths, expected, "{name}");
    }
}

/// Thread lengths: ISO 4762 b = 2d + 12 and DIN 7991 b = 2d + 6 read, ISO 10642 and ISO 7380-1 b = 2d + 12, ISO 4014
/// b = 2d + 6 from memory, ISO 4017 threaded to the head. An ISO 4762 M6 × 45 has 24 mm of thread.
#[test]
fn thread_lengths() {
    for size in [3.0, 4.0, 5.0, 6.0, 8.0] {
        for (standard, beyond) in [
            ("ISO 4762", 12.0),
            ("ISO 10642", 12.0),
            ("ISO 7380-1", 12.0),
            ("DIN 7991", 6.0),
            ("ISO 4014", 6.0),
        ] {
            let part = part(&format!("{standard} M{size}"));
            near(self::size(part, "thread_length").1, 2.0 * size + beyond, standard);
            assert!(part.note.contains("thread length b = 2d"), "{}", part.note);
        }
        let part = part(&format!("ISO 4017 M{size}"));
        assert!(matches!(&part.form, PartForm::Screw(screw) if screw.thread_length.is_none()));
        assert!(part.note.contains("threaded to the head"), "{}", part.note);
    }
}

#[test]
fn washers() {
    let rows = rows(include_str!("reference/checks/washers.csv"));
    assert_eq!(rows.len(), 18);
    for row in rows {
        let (standard, twin) = row["standard"].split_once(" (").unwrap_or((&row["standard"], ""));
        let name = format!("{standard} {}", row["size"]);
        let part = part(&name);
        if let Some(twin) = twin.strip_prefix('=') {
            let other = format!("{} {}", twin.trim_end_matches(')'), row["size"]);
            assert_eq!(self::part(&other).name, name);
        }
        near(size(part, "hole").1, number(&row, "hole_mm").unwrap(), &name);
        near(size(part, "outer").1, number(&row, "outer_dia_mm").unwrap(), &name);
        let thickness = size(part, "thickness");
        near(thickness.1, number(&row, "thickness_nominal_mm").unwrap(), &name);
        near(thickness.2, number(&row, "thickness_max_mm").unwrap(), &name);
        if let Some(least) = number(&row, "thickness_min_mm") {
            near(thickness.0, least, &name);
        }
        assert!(part.certainty.unwrap() <= Certainty::Memory, "{name}");
    }
}

#[test]
fn bearings() {
    let rows = rows(include_str!("reference/checks/bearings.csv"));
    assert_eq!(rows.len(), 23);
    for row in rows {
        let (name, twin) = row["designation"].split_once(" (=").unwrap_or((&row["designation"], ""));
        let part = part(name);
        for (size_name, column) in [("bore", "bore_mm"), ("outer", "outer_mm"), ("width", "width_mm")] {
            near(size(part, size_name).1, number(&row, column).unwrap(), name);
        }
        if !twin.is_empty() {
            assert_eq!(self::part(twin.trim_end_matches(')')).name, name);
        }
        assert!(part.certainty.unwrap() <= Certainty::Memory, "{name}");
    }
}

#[test]
fn threads() {
    let rows = rows(include_str!("reference/checks/threads.csv"));
    assert_eq!(rows.len(), 5);
    // Those beside the checks by the same formulas: M2, M2.5 and M10 have 2.07, 3.39 and 58 mm² in tables (from memory).
    for (d, area) in [(2.0, 2.07), (2.5, 3.39), (10.0, 58.0)] {
        assert!((thread(d).unwrap().stress_area - area).abs() < 0.02, "M{d}");
    }
    for row in rows {
        let d: f64 = row["size"][1..].parse().unwrap();
        let thread = thread(d).unwrap();
        let p = number(&row, "pitch_mm").unwrap();
        assert_eq!(thread.pitch, p);
        // ISO 724: d2 = d − 3/8·√3·P, D1 = d − 5/8·√3·P; ISO 898-1: core d3 = d1 − H/6, stress area between d2 and d3.
        let root = 3.0_f64.sqrt();
        let close = |got: f64, expected: f64, within: f64| {
            assert!((got - expected).abs() < within, "M{d}: {got}, not {expected}");
        };
        close(thread.pitch_diameter, d - 0.375 * root * p, 1e-4);
        close(thread.internal_minor, d - 0.625 * root * p, 1e-4);
        close(thread.core, d - 0.625 * root * p - root * p / 12.0, 1e-4);
        let middle = 0.5 * (thread.pitch_diameter + thread.core);
        close(thread.stress_area, std::f64::consts::FRAC_PI_4 * middle * middle, 2e-3);
        close(thread.stress_area, number(&row, "stress_area_computed_mm2").unwrap(), 1e-12);
        // As printed in ISO 898-1, to its three figures.
        close(thread.stress_area, number(&row, "stress_area_table_mm2").unwrap(), 0.05);
    }
    assert_eq!(thread(7.0), None);
}

#[test]
fn clearance_holes() {
    // ISO 273.
    for row in rows(include_str!("reference/checks/clearance_holes.csv")) {
        let hole = clearance_hole(row["size"][1..].parse().unwrap()).unwrap();
        let expected = ["close_mm", "normal_mm", "loose_mm"].map(|column| number(&row, column).unwrap());
        assert_eq!([hole.close, hole.normal, hole.loose], expected);
    }
}

#[test]
fn materials() {
    let rows = corrected("materials", include_str!("reference/checks/materials.csv"));
    assert_eq!(rows.len(), 20);
    for row in rows {
        let name = &row["material"];
        let material = built_in().material(name).unwrap_or_else(|| panic!("there is no {name}"));
        let value = |size: &dyn glidewright_project::SizeSlot| {
            Values::default().try_formula(&size.formula().unwrap().to_string(), size.quantity()).unwrap()
        };
        near(value(&material.density), number(&row, "density_kg_m3").unwrap(), name);
        // The middle of the range; 0 stands for "not known".
        let middle = |column: &str| {
            let text = row[column].split(" (").next().unwrap();
            let ends: Vec<f64> = text.split('-').filter_map(|end| end.parse().ok()).collect();
            if ends.is_empty() { 0.0 } else { ends.iter().sum::<f64>() / ends.len() as f64 }
        };
        near(value(&material.youngs), 1000.0 * middle("E_GPa"), name);
        near(value(&material.poisson), middle("poisson"), name);
        assert!(
            material.note.contains("read") || material.certainty_of("youngs") > Some(Certainty::OneSource),
            "{name}"
        );
    }
}

fn half_width(tolerance: &Tolerance, nominal: f64) -> Option<f64> {
    tolerance.about(nominal).ok().map(|about| about.half_width())
}

#[test]
fn general_tolerances() {
    // ISO 2768-1, table 1: at both ends and in the middle of every range.
    let ranges = [
        ("0.5-3", 0.5, 3.0),
        (">3-6", 3.0, 6.0),
        (">6-30", 6.0, 30.0),
        (">30-120", 30.0, 120.0),
        (">120-400", 120.0, 400.0),
        (">400-1000", 400.0, 1000.0),
    ];
    let classes =
        [("f", GeneralClass::F), ("m", GeneralClass::M), ("c", GeneralClass::C), ("v", GeneralClass::V)];
    let rows = rows(include_str!("reference/checks/general_tolerances.csv"));
    for (letter, class) in classes {
        let row = rows.iter().find(|row| row["class"] == letter).unwrap();
        for (number_of, (column, over, to)) in ranges.iter().enumerate() {
            let expected = number(row, column);
            let first = if number_of == 0 { *over } else { over + 0.01 };
            for nominal in [first, 0.5 * (over + to), *to] {
                assert_eq!(
                    half_width(&Tolerance::General(class), nominal),
                    expected,
                    "{letter} at {nominal}"
                );
            }
        }
        assert_eq!(half_width(&Tolerance::General(class), 0.4), None);
        assert_eq!(half_width(&Tolerance::General(class), 1000.1), None);
    }
}

#[test]
fn standard_tolerance_grades() {
    // 120 to 180 mm, IT5 to IT11: 18 25 40 63 100 160 250 µm (read).
    for (grade, width) in (5..).zip([18.0, 25.0, 40.0, 63.0, 100.0, 160.0, 250.0]) {
        let about = Tolerance::Fit(format!("H{grade}")).about(150.0).unwrap();
        near(2.0 * about.half_width(), width / 1000.0, "IT of 150");
    }
    // ISO 286-1, table 1, in µm: H lies above the nominal, h below, JS about it.
    for row in rows(include_str!("reference/checks/it_grades.csv")) {
        let (over, to) = (number(&row, "size_over").unwrap(), number(&row, "size_to").unwrap());
        for grade in 5..=14 {
            let column = if grade == 5 { "IT5_um".to_owned() } else { format!("IT{grade}") };
            let width = number(&row, &column).unwrap() / 1000.0;
            for nominal in [over + 0.01, 0.5 * (over + to), to] {
                for (letters, least, greatest) in [
                    ("H", 0.0, width),
                    ("h", -width, 0.0),
                    ("JS", -0.5 * width, 0.5 * width),
                    ("js", -0.5 * width, 0.5 * width),
                ] {
                    let about = Tolerance::Fit(format!("{letters}{grade}")).about(nominal).unwrap();
                    near(about.nominal - about.half_width(), nominal + least, letters);
                    near(about.nominal + about.half_width(), nominal + greatest, letters);
                    assert!(matches!(about.spread, Spread::Uniform { .. }));
                }
            }
        }
    }
}

#[test]
fn what_is_easily_taken_for_another_says_so() {
    let check = |name: &str, says: &str| {
        let note = &part(name).note;
        assert!(note.contains(says), "{name}: {note}");
    };
    // DIN 985 and ISO 7040, ISO 4032 and DIN 934 differ by millimetres.
    let height = |name: &str, expected: f64| near(size(part(name), "height").2, expected, name);
    height("DIN 985 M5", 5.0);
    height("ISO 7040 M5", 6.8);
    height("ISO 4032 M5", 4.7);
    height("DIN 934 M5", 4.0);
    check("DIN 985 M5", "not the same nut as ISO 7040");
    check("ISO 7040 M6", "not the same nut as DIN 985");
    check("ISO 4032 M5", "not the same nut as DIN 934");
    check("DIN 934 M8", "not the same nut as ISO 4032");
    // Some tables print a washer's greatest thickness as its nominal one.
    near(size(part("ISO 7089 M6"), "thickness").1, 1.6, "ISO 7089 M6");
    check("ISO 7089 M6", "1.8 mm, as if it were the nominal 1.6");
    // Countersunk heads differ; cylinder heads come knurled and plain.
    assert_ne!(size(part("ISO 10642 M6"), "head_height").2, size(part("DIN 7991 M6"), "head_height").2);
    check("ISO 10642 M6", "higher than that of DIN 7991");
    check("DIN 7991 M6", "lower than that of ISO 10642");
    check("ISO 4762 M6", "a plain head has 10 mm");
    check("ISO 4762 M6", "knurled");
    // Uncertain heights are said to be.
    check("ISO 10511 M4", "height uncertain by 0.15 mm");
    check("ISO 10511 M5", "height uncertain by 0.15 mm");
}

#[test]
fn every_part_says_what_it_is_made_of_where_its_values_come_from_and_what_it_may_cost() {
    for part in built_in().parts() {
        assert!(!part.note.is_empty(), "{} has no note", part.name);
        assert!(part.cost.is_some_and(|cost| cost > 0.0), "{} has no guide price", part.name);
        assert!(part.certainty.is_some(), "{} has no certainty", part.name);
        if let PartForm::Belt(_) = part.form {
            // Weighed by its length.
            continue;
        }
        let material =
            built_in().material(&part.material).unwrap_or_else(|| panic!("{} names no material", part.name));
        assert!(material.density != glidewright_project::size::Density::of(0.0));
    }
    for material in built_in().materials() {
        assert!(!material.note.is_empty(), "{} has no note", material.name);
    }
}

/// Prices tell kinds and forms apart: a thin lock nut is not a lock nut, a collar costs, a longer screw costs more.
#[test]
fn prices_tell_kinds_forms_and_lengths_apart() {
    let cost = |name: &str| part(name).cost.unwrap();
    assert_ne!(cost("DIN 985 M5"), cost("ISO 7040 M5"));
    assert_ne!(cost("ISO 4032 M5"), cost("ISO 4161 M5"));
    assert_ne!(cost("ISO 7380-1 M5"), cost("ISO 7380-2 M5"));
    assert_ne!(cost("ISO 7089 M5"), cost("ISO 7093-1 M5"));
    assert!(
        part("ISO 4762 M5").cost_at(Some(50.0)).unwrap()
            > 1.2 * part("ISO 4762 M5").cost_at(Some(10.0)).unwrap()
    );
    assert_eq!(part("ISO 4032 M5").cost_at(Some(50.0)), part("ISO 4032 M5").cost);
    // What is sold in packs says how many are in one.
    assert!(part("ISO 4032 M5").pack.is_some_and(|pack| pack > 1));
}

/// Extrusions of several modules are hollow: 20x40 about 0.9 kg/m, 30x60 1.7 to 2, 45x90 4 to 5 (from memory). Second
/// moments of area, here by the rail's own area and mass; a hollow section is lighter than two of its modules and what
/// would fill the seam.
#[test]
fn sections_of_several_modules_are_hollow() {
    for (name, least, most) in [("20x40", 0.85, 0.95), ("30x60", 1.7, 2.0), ("45x90", 4.0, 5.0)] {
        for name in [format!("grooved {name}"), "slot 8 30x60".to_owned()] {
            let (least, most) = if name.starts_with("slot") { (1.7, 2.0) } else { (least, most) };
            let text = format!(
                "(format: 2, name: \"x\", rail: (section: \"{name}\", length: 400), riders: [(name: \"tray\", faces: front, \
                 at: 200, moves: lead, stack: (screw: \"ISO 4762 M5\", pieces: [(washer: \"ISO 7089 M5\"), (plate: \
                 \"deck\"), (wheel: \"vee wheel 30, bore 5\"), (nut: \"ISO 4032 M5\")]), plates: [(name: \"deck\", \
                 outline: around(margin: 12, corner: 4), thickness: 6, material: \"PETG\")], wheels: [(name: \"only\", \
                 pair: \"front\", along: 0)])], stroke: (to: 50))"
            );
            let document = glidewright_project::parse(&text).unwrap();
            let resolved = glidewright_project::resolve(&document, None);
            let rail = resolved.fixture.unwrap_or_else(|| panic!("{name}: {:?}", resolved.problems)).rail;
            let mass = 1e3 * rail.mass_per_length();
            assert!((least..=most).contains(&mass), "{name}: {mass} kg/m");
        }
    }
}
