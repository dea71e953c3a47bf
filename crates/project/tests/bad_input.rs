//! Input that cannot be used gets a clear message with its place, and no panic.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_project::size::AnySize;
use glidewright_project::{Place, Problem, Severity, edit, parse, read_bytes, resolve};
use glidewright_samples::COPY_STAND;

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
    let text = COPY_STAND.replace(from, to);
    assert_ne!(text, COPY_STAND, "nothing to replace: {from}");
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
    assert_eq!(parse(&format!("\u{FEFF}{}", COPY_STAND)), parse(COPY_STAND));
}

#[test]
fn truncated_files() {
    // Cut at a hundred places; every cut before the last bracket is an error with a place inside the text.
    let text = COPY_STAND;
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
        let text = COPY_STAND.replace("length: 700", &format!("length: {number}"));
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
    let problem = syntax("(\n    format: 2,\n    naem: \"x\",\n)");
    assert!(matches!(problem.place, Place::Text { line: 3, .. }), "{problem:?}");
    assert!(problem.message.contains("'naem'") && problem.remedy.contains("'name'"), "{problem:?}");

    let problem = syntax(&COPY_STAND.replace("faces: front", "faces: frnt"));
    assert!(problem.message.contains("'frnt'") && problem.remedy.contains("'front'"), "{problem:?}");
}

#[test]
fn missing_fields_are_named() {
    let problem = syntax("(format: 2, name: \"x\")");
    assert!(problem.message.contains("'rail'"), "{problem:?}");
}

#[test]
fn hundred_thousand_brackets() {
    for bracket in ["(", "[", "{", "(((name:", "/*"] {
        let problem = syntax(&bracket.repeat(100_000));
        assert!(problem.message.chars().count() < 300, "{problem:?}");
    }
    let nested = format!("(format: 2, name: {}", "[".repeat(100_000));
    syntax(&nested);
    let nested = COPY_STAND.replace("length: 700", &format!("length: \"{}1\"", "(".repeat(100_000)));
    let document = parse(&nested).unwrap();
    let problems = resolve(&document, None).problems;
    expect(&problems, "rail/length", "characters");
    let deep = format!("{}1{}", "(".repeat(400), ")".repeat(400));
    let document = parse(&COPY_STAND.replace("length: 700", &format!("length: \"{deep}\""))).unwrap();
    expect(&resolve(&document, None).problems, "rail/length", "nested deeper");
}

#[test]
fn files_too_large_and_not_text() {
    let name = "x".repeat(10 * 1024 * 1024);
    let text = COPY_STAND.replace("Copy stand", &name);
    assert!(syntax(&text).message.contains("at most"));
    let text = COPY_STAND.replace("Copy stand", &name[..1024 * 1024]);
    let document = parse(&text).unwrap();
    let problems = resolve(&document, None).problems;
    assert!(problems[0].message.contains("longer than") && problems[0].message.chars().count() < 200);

    let problem = &read_bytes(b"(\nname: \"\xff\")").unwrap_err()[0];
    assert_eq!(problem.place, at(2, 8));
}

#[test]
fn a_newer_format_is_named() {
    let problem = syntax(&COPY_STAND.replace("format: 2", "format: 7"));
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
        &errors_with("wheel: \"vee wheel 48, bore 6\"", "wheel: \"ISO 7089 M6\""),
        "riders/camera head/stack/wheel",
        "is a washer",
    );
    expect(
        &errors_with("pair: \"front\"", "pair: \"frnt\""),
        "riders/camera head/wheels/upper/pair",
        "no pair",
    );
}

/// What follows from a mistake alone is not told beside it.
#[test]
fn one_mistake_gives_one_error() {
    for (from, to) in [
        ("pair: \"front\"", "pair: \"frnt\""),
        ("wheel: \"vee wheel 48, bore 6\"", "wheel: \"V84\""),
        ("grooved 30x60", "groved 30x60"),
        ("\"PETG\"", "\"PETTG\""),
    ] {
        let problems = errors_with(from, to);
        let riders: std::collections::HashSet<_> =
            problems.iter().filter_map(|p| Some(p.place.path()?.split('/').nth(1)?.to_owned())).collect();
        assert!(problems.len() <= riders.len().max(1), "{to}: {problems:#?}");
    }
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
    let start = COPY_STAND.find("    riders: [").unwrap();
    let end = COPY_STAND.find("    line: (").unwrap();
    let rest = format!("{}{}", &COPY_STAND[..start], &COPY_STAND[end..]);
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
    let text = COPY_STAND
        .replace("\"corner\": 6", "\"corner\": \"margin - 8\"")
        .replace("\"margin\": 14", "\"margin\": \"corner + 8\"");
    let problems = resolve(&parse(&text).unwrap(), None).problems;
    expect(&problems, "sizes/corner", "corner → margin → corner");
    expect(&problems, "sizes/margin", "margin → corner → margin");
}

#[test]
fn every_problem_is_told_at_once() {
    let text = COPY_STAND
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

#[test]
fn sizes_end_at_what_means_something() {
    // The greatest length is a kilometre, the greatest mass a tonne.
    for (path, fits, beyond) in [
        ("rail/length", "1e6", "1.01e6"),
        ("rail/length", "1 km", "1.1 km"),
        ("stroke/to", "-1e6", "-1e9"),
        ("riders/camera head/loads/camera/mass", "1e6", "2e6"),
        ("riders/camera head/loads/camera/mass", "1 t", "1e300"),
    ] {
        let problems = |typed: &str| match edit::set(&parse(COPY_STAND).unwrap(), path, typed) {
            Ok(edited) => resolve(&edited.document, None).problems,
            Err(problem) => vec![problem],
        };
        let speaks = |problem: &Problem| problem.message.contains("beyond anything calculated here");
        assert!(!problems(fits).iter().any(speaks), "{path}: {fits}");
        let found = problems(beyond);
        let told =
            found.iter().find(|problem| speaks(problem)).unwrap_or_else(|| panic!("{beyond}: {found:?}"));
        assert_eq!(told.place.path(), Some(path));
        assert!(!told.remedy.is_empty());
    }
}

#[test]
fn a_long_circle_of_sizes_is_told_in_a_line() {
    let mut document = parse(COPY_STAND).unwrap();
    for number in 0..1000 {
        let next = format!("s{}", (number + 1) % 1000);
        document.sizes.entries.push((format!("s{number}"), AnySize::typed(&next)));
    }
    let problems = resolve(&document, None).problems;
    let circle = problems.iter().find(|problem| problem.message.contains("refers to itself")).unwrap();
    assert!(circle.to_string().len() < 200, "{circle}");
    assert!(circle.message.contains("more)"), "{circle}");
}

/// Whatever is wrong with a file, the message speaks of the file and says what to do.
#[test]
fn messages_speak_of_the_file_and_have_a_remedy() {
    let words = [
        "(",
        ")",
        "[",
        "]",
        "{",
        "}",
        ",",
        ":",
        "\"",
        "\"x\"",
        "r#x",
        "r#\"x\"#",
        "Some(",
        "None",
        "true",
        "-1",
        "1e999",
        "NaN",
        "'a'",
        "0x",
        "front",
        "//",
        "/*",
        "1.5.2",
        "#![enable(x)]",
        "b\"x\"",
        "wheel",
        "()",
    ];
    let mut state = 1_u64;
    let mut random = |below: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((state >> 33) % below as u64) as usize
    };
    let mut seen = 0;
    for _ in 0..1500 {
        let text = COPY_STAND;
        let breaks: Vec<usize> =
            text.char_indices().filter(|(_, c)| " ,:()[]\"".contains(*c)).map(|(at, _)| at).collect();
        let at = breaks[random(breaks.len())];
        let end = at + text[at..].find([' ', ',', '\n']).unwrap_or(0).max(random(2));
        let end = (end..=text.len()).find(|end| text.is_char_boundary(*end)).unwrap();
        let broken = format!("{}{}{}", &text[..at], words[random(words.len())], &text[end..]);
        let problems = match parse(&broken) {
            Ok(document) => resolve(&document, None).problems,
            Err(problems) => problems,
        };
        for problem in problems {
            seen += 1;
            let told = problem.to_string();
            assert!(!problem.remedy.is_empty(), "no remedy: {told}");
            // What stands in quotes is the file's own.
            let own: String = problem.message.split('\'').step_by(2).collect();
            for inner in ["Expected", "expected", "struct ", "enum ", "r#", "identifier", "os error", ".rs"] {
                assert!(!own.contains(inner), "{told}");
            }
            assert!(told.len() < 600, "{told}");
        }
    }
    assert!(seen > 500, "{seen}");
}
