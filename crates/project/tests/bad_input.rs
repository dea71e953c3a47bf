//! Input that cannot be used gets a clear message with its place, and no panic.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_project::{Place, Problem, Severity, demo_text, parse, read_bytes, resolve};

/// The problem of a text that cannot be read.
fn syntax(text: &str) -> Problem {
    let problems = parse(text).expect_err("this should not be readable");
    assert!(!problems.is_empty());
    problems[0].clone()
}

fn at(line: usize, column: usize) -> Place {
    Place::Text { line, column }
}

/// The errors of the demo with one piece of text replaced.
fn errors_with(from: &str, to: &str) -> Vec<Problem> {
    let text = demo_text().replace(from, to);
    assert_ne!(text, demo_text(), "nothing to replace: {from}");
    let document = parse(&text).unwrap_or_else(|problems| panic!("{problems:?}"));
    let problems = resolve(&document, None).problems;
    problems.into_iter().filter(|p| p.severity == Severity::Error).collect()
}

/// Some error with this path says this and offers a remedy.
fn expect(problems: &[Problem], path: &str, says: &str) {
    let found = problems.iter().find(|p| p.place.path() == Some(path) && p.message.contains(says));
    let found = found.unwrap_or_else(|| panic!("no problem at '{path}' with '{says}' in {problems:#?}"));
    assert!(!found.remedy.is_empty(), "{found:?} has no remedy");
}

#[test]
fn empty_and_blank_files() {
    for text in ["", " \n\t\n", "\u{FEFF}", "\u{FEFF}\n"] {
        assert_eq!(syntax(text).message, "the file is empty");
    }
}

#[test]
fn a_byte_order_mark_is_no_matter() {
    assert_eq!(parse(&format!("\u{FEFF}{}", demo_text())), parse(demo_text()));
}

#[test]
fn truncated_files() {
    // Cut at a hundred places; every cut before the last bracket is an error with a place inside the text.
    let text = demo_text();
    let end = text.rfind(')').unwrap();
    for part in 1..100 {
        let cut = (part * end) / 100;
        let Some(cut_text) = text.get(..cut) else { continue };
        let problem = syntax(cut_text);
        let Place::Text { line, .. } = problem.place else { panic!("{problem:?}") };
        assert!(line <= cut_text.matches('\n').count() + 1, "{problem:?}");
    }
}

#[test]
fn numbers_that_are_none() {
    for number in ["NaN", "inf", "-inf", "1e999"] {
        let text = demo_text().replace("length: 700", &format!("length: {number}"));
        let problem = syntax(&text);
        let Place::Text { line, .. } = problem.place else { panic!("{problem:?}") };
        assert!(text.lines().nth(line - 1).unwrap().contains(number), "{problem:?}");
        assert!(problem.message.contains("finite number"), "{problem:?}");
    }
    for (number, says) in
        [("\"NaN\"", "no shared size"), ("\"1e999\"", "too large"), ("\"1e300*1e300\"", "too large")]
    {
        let problems = errors_with("length: 700", &format!("length: {number}"));
        assert!(problems.iter().any(|p| p.message.contains(says)), "{problems:?}");
    }
}

#[test]
fn unknown_fields_and_words_get_a_suggestion() {
    let problem = syntax("(\n    format: 1,\n    naem: \"x\",\n)");
    assert!(matches!(problem.place, Place::Text { line: 3, .. }), "{problem:?}");
    assert!(problem.message.contains("'naem'") && problem.remedy.contains("'name'"), "{problem:?}");

    let problem = syntax(&demo_text().replace("faces: front", "faces: frnt"));
    assert!(problem.message.contains("'frnt'") && problem.remedy.contains("'front'"), "{problem:?}");
}

#[test]
fn missing_fields_are_named() {
    let problem = syntax("(format: 1, name: \"x\")");
    assert!(problem.message.contains("'rail'"), "{problem:?}");
}

#[test]
fn hundred_thousand_brackets() {
    for bracket in ["(", "[", "{", "(((name:", "/*"] {
        let problem = syntax(&bracket.repeat(100_000));
        assert!(problem.message.chars().count() < 300, "{problem:?}");
    }
    let nested = format!("(format: 1, name: {}", "[".repeat(100_000));
    syntax(&nested);
    let nested = demo_text().replace("length: 700", &format!("length: \"{}1\"", "(".repeat(100_000)));
    let document = parse(&nested).unwrap();
    let problems = resolve(&document, None).problems;
    expect(&problems, "rail/length", "characters");
    let deep = format!("{}1{}", "(".repeat(400), ")".repeat(400));
    let document = parse(&demo_text().replace("length: 700", &format!("length: \"{deep}\""))).unwrap();
    expect(&resolve(&document, None).problems, "rail/length", "nested deeper");
}

#[test]
fn files_too_large_and_not_text() {
    let name = "x".repeat(10 * 1024 * 1024);
    let text = demo_text().replace("Copy stand", &name);
    assert!(syntax(&text).message.contains("at most"));
    let text = demo_text().replace("Copy stand", &name[..1024 * 1024]);
    let document = parse(&text).unwrap();
    let problems = resolve(&document, None).problems;
    assert!(problems[0].message.contains("longer than") && problems[0].message.chars().count() < 200);

    let problem = &read_bytes(b"(\nname: \"\xff\")").unwrap_err()[0];
    assert_eq!(problem.place, at(2, 8));
}

#[test]
fn a_newer_format_is_named() {
    let problem = syntax(&demo_text().replace("format: 1", "format: 7"));
    assert!(problem.message.contains("format 7"), "{problem:?}");
    let problem = syntax("(format: 7, things: [wheel, (x: 1)])");
    assert!(problem.message.contains("format 7"), "{problem:?}");
}

#[test]
fn unknown_parts_get_a_suggestion() {
    let problems = errors_with(
        "ISO 7040 M6\"),\n                ],\n            ),\n            wheels: [\n                (name: \"upper\", pair: \"front\"",
        "ISO 7041 M6\"),\n                ],\n            ),\n            wheels: [\n                (name: \"upper\", pair: \"front\"",
    );
    expect(&problems, "riders/camera head/stack/nut", "no nut called 'ISO 7041 M6'");
    assert!(problems.iter().any(|p| p.remedy.contains("ISO 7040 M6")), "{problems:?}");
    expect(&errors_with("grooved 30x60", "groved 30x60"), "rail/section", "no rail called");
    expect(
        &errors_with("\"PETG\"", "\"PETTG\""),
        "riders/camera head/plates/head plate/material",
        "no material",
    );
    expect(
        &errors_with("wheel: \"V48\"", "wheel: \"ISO 7089 M6\""),
        "riders/camera head/stack/wheel",
        "is a washer",
    );
    expect(
        &errors_with("pair: \"front\"", "pair: \"frnt\""),
        "riders/camera head/wheels/upper/pair",
        "no pair",
    );
}

#[test]
fn negative_sizes() {
    expect(&errors_with("length: 700", "length: -700"), "rail/length", "must be above 0");
    expect(
        &errors_with("\"plate\": (value: 6", "\"plate\": (value: -6"),
        "riders/camera head/plates/head plate/thickness",
        "must be above 0",
    );
    expect(&errors_with("mass: 190", "mass: -1"), "riders/camera head/loads/arm/mass", "must not be below 0");
}

#[test]
fn riders_that_cannot_be() {
    let start = demo_text().find("    riders: [").unwrap();
    let end = demo_text().find("    line: (").unwrap();
    let rest = format!("{}{}", &demo_text()[..start], &demo_text()[end..]);
    let document = parse(&rest).unwrap();
    let resolved = resolve(&document, None);
    expect(&resolved.problems, "riders", "no riders");
    assert!(resolved.fixture.is_none());

    expect(
        &errors_with("\"wheelbase\": 90", "\"wheelbase\": 900"),
        "riders/camera head",
        "longer than the rail",
    );
    expect(&errors_with("stroke: (to: 480)", "stroke: (to: 700)"), "riders/camera head", "runs off the end");
    expect(&errors_with("moves: linked(-1)", "moves: lead"), "riders", "2 riders lead");
    expect(&errors_with("name: \"counterweight\"", "name: \"camera head\""), "riders", "more than once");
    expect(&errors_with("stroke: (to: 480)", "stroke: (from: 500, to: 480)"), "stroke", "before it starts");
}

#[test]
fn formulas_that_have_no_value() {
    let check = |formula: &str, says: &str| {
        let problems = errors_with("length: 700", &format!("length: \"{formula}\""));
        let found = problems.iter().find(|p| p.place.path() == Some("rail/length"));
        let found = found.unwrap_or_else(|| panic!("{formula}: {problems:?}"));
        assert!(found.message.contains(says), "{formula}: {found}");
    };
    check("6 kg", "a length is needed here, this is a mass");
    check("plat + 1", "no shared size 'plat'");
    check("1/0", "division by zero");
    check("1/(plate - 6)", "division by zero");
    check("700 mm + 6 kg", "cannot add a length and a mass");
    check("", "empty");
}

#[test]
fn shared_sizes_that_refer_to_each_other() {
    let problems = errors_with("\"corner\": 6", "\"corner\": \"margin - 8\"").len();
    assert_eq!(problems, 0);
    let text = demo_text()
        .replace("\"corner\": 6", "\"corner\": \"margin - 8\"")
        .replace("\"margin\": 14", "\"margin\": \"corner + 8\"");
    let problems = resolve(&parse(&text).unwrap(), None).problems;
    expect(&problems, "sizes/corner", "corner → margin → corner");
    expect(&problems, "sizes/margin", "margin → corner → margin");
}

#[test]
fn every_problem_is_told_at_once() {
    let text = demo_text()
        .replace("length: 700", "length: \"6 kg\"")
        .replace("mass: 190", "mass: -1")
        .replace("\"PETG\"", "\"PETTG\"")
        .replace("part: \"idler 16\"", "part: \"idler 17\"");
    let problems = resolve(&parse(&text).unwrap(), None).problems;
    for path in [
        "rail/length",
        "riders/camera head/loads/arm/mass",
        "riders/camera head/plates/head plate/material",
        "riders/counterweight/plates/weight plate/material",
        "line/nodes/front idler/part",
        "line/nodes/rear idler/part",
    ] {
        assert!(problems.iter().any(|p| p.place.path() == Some(path)), "{path} missing in {problems:#?}");
    }
}
