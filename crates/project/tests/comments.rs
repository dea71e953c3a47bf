//! Comments in a project file outlive reading, editing and saving.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_project::edit::{self, History};
use glidewright_project::{parse, print};
use glidewright_samples::COPY_STAND;

/// The demo with comments put before and behind every line, except inside texts.
fn commented() -> String {
    COPY_STAND
        .lines()
        .enumerate()
        .map(|(number, line)| format!("// before {number};\n{line} // behind {number};\n"))
        .collect()
}

/// Numbers of the comments found in a text, sorted.
fn numbers(text: &str, kind: &str) -> Vec<usize> {
    let mut numbers: Vec<usize> = text
        .split(&format!("// {kind} "))
        .skip(1)
        .map(|rest| rest.split(';').next().unwrap().parse().unwrap())
        .collect();
    numbers.sort_unstable();
    numbers
}

#[test]
fn every_comment_survives() {
    let text = commented();
    let document = parse(&text).unwrap();
    let printed = print(&document);
    for kind in ["before", "behind"] {
        assert_eq!(numbers(&printed, kind), numbers(&text, kind));
    }
    assert_eq!(parse(&printed).unwrap(), document);
    assert_eq!(print(&parse(&printed).unwrap()), printed);
}

#[test]
fn comments_stay_where_they_are_said() {
    let text = "// A stand.\n(\n    // The format.\n    format: 2,\n    name: \"x\", // Its name.\n    sizes: {\n        // Printed thickness.\n        \"plate\": 6, // measured\n    },\n    rail: (section: \"rod 8\", length: /* long */ 100, stand: lying),\n    riders: [\n        // none yet\n    ],\n    stroke: (to: 10),\n    // The end.\n)\n";
    let printed = print(&parse(text).unwrap());
    assert_eq!(
        printed,
        text.replace(
            "rail: (section: \"rod 8\", length: /* long */ 100, stand: lying),",
            "rail: (\n        section: \"rod 8\",\n        /* long */\n        length: 100,\n    ),"
        )
    );
    assert_eq!(print(&parse(&printed).unwrap()), printed);
}

#[test]
fn a_comment_at_a_default_left_out_is_kept_nearby() {
    let text = "(format: 2, name: \"x\", rail: (section: \"rod 8\", length: 100, stand: lying), riders: [], stroke: (from: 0, // from the start\n to: 10))";
    let printed = print(&parse(text).unwrap());
    assert!(printed.contains("stroke: (\n        to: 10,\n        // from the start\n    ),"), "{printed}");
}

#[test]
fn signs_of_comments_inside_texts_are_no_comments() {
    let text = "(format: 2, name: \"a // b /* c\", note: r#\"d // \"e\" */\"#, rail: (section: \"rod 8\", length: 100), riders: [], stroke: (to: 10)) // end";
    let document = parse(text).unwrap();
    assert_eq!(document.name, "a // b /* c");
    assert_eq!(document.note, "d // \"e\" */");
    let printed = print(&document);
    assert_eq!(printed.matches("// end").count(), 1);
    assert_eq!(parse(&printed).unwrap(), document);
}

#[test]
fn comments_follow_edits_and_undo() {
    let text = COPY_STAND
        .replace(
            "            name: \"counterweight\",",
            "            // Heavy.\n            name: \"counterweight\",",
        )
        .replace("        \"spacer\": (", "        // Cut square.\n        \"spacer\": (");
    let document = parse(&text).unwrap();
    assert_eq!(print(&document), text);
    let mut history = History::new(document, true);
    let edited = edit::rename(history.document(), "riders/counterweight", "weight").unwrap();
    history.push(edited);
    let edited = edit::rename_size(history.document(), "spacer", "standoff").unwrap();
    history.push(edited);
    assert!(history.text().contains("// Heavy.\n            name: \"weight\""));
    assert!(history.text().contains("// Cut square.\n        \"standoff\": ("));
    let edited = edit::delete(history.document(), "riders/weight").unwrap();
    history.push(edited);
    assert!(!history.text().contains("// Heavy."));
    while history.undo().unwrap() {}
    assert_eq!(history.text(), text);
}
