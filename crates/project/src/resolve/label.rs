//! A path in a reader's words.

/// What a reader calls the size at a path: its own name, then what it is a size of, from the innermost outward.
pub(super) fn label(path: &str) -> String {
    if let Some(name) = path.strip_prefix("sizes/") {
        return format!("shared size {name}");
    }
    /// Names of lists, which say nothing that the names in them do not.
    const LISTS: [&str; 13] = [
        "bodies",
        "riders",
        "obstacles",
        "loads",
        "plates",
        "wheels",
        "bolts",
        "nodes",
        "points",
        "parts",
        "holes",
        "stops",
        "shoes",
    ];
    let mut steps: Vec<String> = Vec::new();
    let mut list = "";
    for step in path.split('/') {
        if LISTS.contains(&step) {
            list = step;
            continue;
        }
        match (list, step.parse::<usize>()) {
            ("bodies", Ok(_)) => steps.push(format!("body {step}")),
            // What a file writes as one word.
            ("", Ok(_)) | (_, Err(_)) => steps.push(step.replace('_', " ")),
            (list, Ok(_)) => steps.push(format!("{} {step}", list.trim_end_matches('s'))),
        }
        list = "";
    }
    steps.reverse();
    // Of a place one coordinate: "x of from" is "from x".
    if let [own, place, ..] = steps.as_slice()
        && matches!(own.as_str(), "x" | "y" | "z")
    {
        let joined = format!("{place} {own}");
        steps.splice(0..2, [joined]);
    }
    steps.join(" of ")
}
