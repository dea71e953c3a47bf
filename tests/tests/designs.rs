//! Small designs with one mistake each that an experienced designer would name at a glance, and sound ones that must be
//! left in peace: `tests/designs`. What is wrong with each is common practice, no source, where its check names none.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use glidewright_motion::{Finding, Severity, analyse};
use glidewright_project::{parse, resolve};

/// Fewer than these would be no list.
const BAD: usize = 40;
const SOUND: usize = 15;

fn folder(kind: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("designs").join(kind)
}

/// Names of the designs of a kind, as files.
fn files(kind: &str) -> BTreeSet<String> {
    let entries = std::fs::read_dir(folder(kind)).unwrap().map(|entry| entry.unwrap().path());
    entries.map(|path| path.file_stem().unwrap().to_string_lossy().into_owned()).collect()
}

/// The rows of a list of designs: name, and what stands beside it.
fn list(kind: &str) -> Vec<(String, String)> {
    let text = std::fs::read_to_string(folder(&format!("{kind}.csv"))).unwrap();
    let rows = text.lines().skip(1).filter(|line| !line.is_empty());
    rows.map(|line| {
        let (name, rest) = line.split_once(',').unwrap();
        (name.to_owned(), rest.to_owned())
    })
    .collect()
}

/// What is found about a design; it must be one that can be read without a word.
fn findings(kind: &str, name: &str) -> Vec<Finding> {
    let text = std::fs::read_to_string(folder(kind).join(format!("{name}.ron"))).unwrap();
    let document = parse(&text).unwrap_or_else(|error| panic!("{kind}/{name}: {error:?}"));
    let resolved = resolve(&document, None);
    assert!(!resolved.has_errors(), "{kind}/{name}: {:?}", resolved.problems);
    analyse(&resolved.fixture.unwrap()).findings
}

fn told(findings: &[Finding]) -> Vec<String> {
    findings.iter().map(|finding| format!("{} {}", finding.code, finding.title)).collect()
}

#[test]
fn the_lists_name_every_design() {
    for (kind, least) in [("bad", BAD), ("sound", SOUND)] {
        let listed: BTreeSet<String> = list(kind).into_iter().map(|(name, _)| name).collect();
        assert_eq!(listed, files(kind), "{kind}");
        assert!(listed.len() >= least, "{} {kind} designs", listed.len());
    }
}

/// No mistake is missed, each by the finding that names it, with a reason and something to do about it or a figure.
#[test]
fn no_mistake_is_missed() {
    let mut missed = Vec::new();
    for (name, rest) in list("bad") {
        let (codes, _) = rest.split_once(',').unwrap();
        let found = findings("bad", &name);
        for code in codes.split(' ') {
            match found.iter().find(|finding| finding.code == code) {
                Some(finding) => assert!(
                    !finding.reason.is_empty() && (finding.value.is_some() || !finding.remedies.is_empty()),
                    "{name}: {code} says too little"
                ),
                None => missed.push(format!("{name}: {code} is missing; found {:?}", told(&found))),
            }
        }
    }
    assert!(missed.is_empty(), "{missed:#?}");
}

/// No sound design is blamed; what is good to know may be told.
#[test]
fn no_sound_design_is_blamed() {
    let mut blamed = Vec::new();
    for (name, _) in list("sound") {
        let mut found = findings("sound", &name);
        found.retain(|finding| finding.severity > Severity::Note);
        if !found.is_empty() {
            blamed.push(format!("{name}: {:?}", told(&found)));
        }
    }
    assert!(blamed.is_empty(), "{blamed:#?}");
}

/// The design most bad ones are made from by one change is told none of their findings, not even as a note: it is the
/// change that is found.
#[test]
fn it_is_the_mistake_that_is_found() {
    let found = findings("sound", "drawer-slide");
    for (name, rest) in list("bad") {
        let (codes, _) = rest.split_once(',').unwrap();
        for code in codes.split(' ') {
            assert!(found.iter().all(|finding| finding.code != code), "{name}: {code}");
        }
    }
}
