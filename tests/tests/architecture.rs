//! The house keeps its order: who may know whom.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_path_buf()
}

/// Names under `[dependencies]` of a crate.
fn dependencies(folder: &str) -> BTreeSet<String> {
    let text = std::fs::read_to_string(root().join("crates").join(folder).join("Cargo.toml")).unwrap();
    text.lines()
        .skip_while(|line| line.trim() != "[dependencies]")
        .skip(1)
        .take_while(|line| !line.starts_with('['))
        .filter_map(|line| line.split(['.', '=', ' ']).next())
        .filter(|name| !name.is_empty())
        .map(str::to_owned)
        .collect()
}

#[test]
fn crates_know_only_those_below_them() {
    let order = ["geometry", "motion", "project", "choice", "sheet", "app"];
    for (place, folder) in order.iter().enumerate() {
        let known = dependencies(folder);
        for name in &order[place..] {
            let name = format!("glidewright-{name}");
            assert!(!known.contains(&name), "{folder} must not know {name}");
        }
    }
    // Drawing reads results, not documents; what could be otherwise is no drawing's business to find out.
    assert!(!dependencies("sheet").contains("glidewright-project"));
    assert!(!dependencies("sheet").contains("glidewright-choice"));
}

#[test]
fn only_the_app_knows_the_window_library() {
    for folder in ["geometry", "motion", "project", "choice", "sheet"] {
        let known = dependencies(folder);
        assert!(
            !known.iter().any(|name| name.starts_with("egui") || name == "eframe"),
            "{folder}: {known:?}"
        );
    }
}

#[test]
fn the_engine_does_no_input_or_output() {
    for folder in ["geometry", "motion"] {
        let known = dependencies(folder);
        assert!(!known.contains("serde") && !known.contains("ron"), "{folder}: {known:?}");
        for file in rust_files(&root().join("crates").join(folder).join("src")) {
            let text = std::fs::read_to_string(&file).unwrap();
            let program = text.split("#[cfg(test)]").next().unwrap();
            for forbidden in ["std::fs", "std::net", "std::env", "println!", "static mut", "thread_local!"] {
                assert!(!program.contains(forbidden), "{} uses {forbidden}", file.display());
            }
        }
    }
}

/// A path of the document is made and read by whoever made the fixture.
#[test]
fn the_engine_composes_no_paths_and_takes_none_apart() {
    for file in rust_files(&root().join("crates/motion/src")) {
        let text = std::fs::read_to_string(&file).unwrap();
        let program = text.split("#[cfg(test)]").next().unwrap();
        for line in program.lines().filter(|line| !line.trim_start().starts_with("//")) {
            for forbidden in ["/{", "}/", "'/'", "\"/", "/\"", "strip_prefix", "path: \"", "paths: vec![\""] {
                assert!(!line.contains(forbidden), "{}: {line}", file.display());
            }
        }
    }
}

#[test]
fn the_contributor_guide_names_every_crate() {
    let guide = std::fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    for entry in std::fs::read_dir(root().join("crates")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        assert!(guide.contains(&format!("`crates/{name}`")), "DEVELOPERS.md does not name crates/{name}");
    }
}

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(rust_files(&path));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            files.push(path);
        }
    }
    files
}
