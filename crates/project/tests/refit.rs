//! Another length, section, face or thread: what hangs on it follows, or is named.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "tests fail by panicking")]

use glidewright_motion::{Severity, analyse};
use glidewright_project::document::{Facing, Stand, Trial};
use glidewright_project::edit::{
    Wish, change_thread, fixture, goes_with_rail, lengthen, put_on_face, set_all, set_all_in_trial,
    take_section,
};
use glidewright_project::size::Formula;
use glidewright_project::{Document, demo, parse, resolve};

/// Level, so that nothing hangs on what wheels and screws weigh.
fn wish(section: &str, two: bool) -> Option<Document> {
    fixture(&Wish {
        name: "Own".to_owned(),
        section: section.to_owned(),
        length: 1200.0,
        stand: Stand::Lying,
        two,
        linked: two,
        load: 500.0,
    })
    .ok()
}

fn fails(document: &Document) -> Vec<String> {
    let resolved = resolve(document, None);
    let Some(fixture) = resolved.fixture else {
        return resolved.problems.iter().map(ToString::to_string).collect();
    };
    let results = analyse(&fixture);
    let failing = results.findings.iter().filter(|finding| finding.severity == Severity::Fails);
    failing.map(|finding| finding.title.to_string()).collect()
}

#[test]
fn a_longer_rail_takes_its_far_end_along() {
    // A fixture in plain numbers, as one who began with an earlier version has it.
    let document = demo().unwrap();
    let far = goes_with_rail(&document);
    assert!(far.iter().any(|name| name == "stroke") && far.iter().any(|name| name == "rear tray"), "{far:?}");
    let longer = lengthen(&document, &Formula::Number(1300.0)).unwrap();
    assert!(longer.description.contains("with its far end move"), "{}", longer.description);
    let [before, after] = [&document, &longer.document].map(|d| resolve(d, None).fixture.unwrap());
    assert_eq!(after.stroke.to - before.stroke.to, 200.0);
    // What stands near the other end stays, what stands near this one has moved, to the last digit.
    let x = |fixture: &glidewright_motion::Fixture, name: &str| {
        let obstacle = fixture.obstacles.iter().find(|known| known.name == name).unwrap();
        obstacle.solids.first().map(|placed| placed.pose.shift.x)
    };
    if let (Some(then), Some(now)) = (x(&before, "roller bracket"), x(&after, "roller bracket")) {
        assert!((now - then - 200.0).abs() < 1e-9, "{then} {now}");
    }
    // And back again: nothing is left of it but the length.
    let back = lengthen(&longer.document, &document.rail.length.formula).unwrap();
    assert_eq!(resolve(&back.document, None).fixture.unwrap(), before);
}

#[test]
fn another_section_is_a_fixture_again() {
    let sections =
        ["grooved 20x40", "grooved 40x40", "grooved 30x60", "grooved 40x40 by 20", "grooved 45x90"];
    let (mut sound, mut all) = (0, 0);
    let mut told = Vec::new();
    for from in sections {
        for two in [false, true] {
            let Some(document) = wish(from, two) else { continue };
            // Where two cannot pass at all, they do not pass on that rail either.
            for to in sections.iter().filter(|to| **to != from && wish(to, two).is_some()) {
                let taken = take_section(&document, &Formula::Text((*to).to_owned())).unwrap();
                assert_eq!(taken.document.rail.section, *to);
                let failing = fails(&taken.document);
                all += 1;
                if failing.is_empty() {
                    sound += 1;
                } else {
                    told.push(format!("{from} -> {to}, {two}: {} ({failing:?})", taken.description));
                }
            }
        }
    }
    assert!(all > 20 && sound == all, "{sound} of {all} sound:\n{}", told.join("\n"));
}

#[test]
fn a_rider_goes_to_another_face_with_its_tracks() {
    let document = wish("grooved 40x40 by 20", false).unwrap();
    let name = document.riders[0].name.clone();
    for (word, faces) in [("rear", Facing::Rear), ("left", Facing::Left), ("right", Facing::Right)] {
        let put = put_on_face(&document, &name, &Formula::Text(word.to_owned())).unwrap();
        assert_eq!(put.document.riders[0].faces, faces);
        let failing: Vec<String> =
            fails(&put.document).into_iter().filter(|title| !title.contains("stop")).collect();
        assert!(failing.is_empty(), "{word}: {failing:?}");
        // There and back is where it was.
        let back = put_on_face(&put.document, &name, &Formula::Text("front".to_owned())).unwrap();
        assert_eq!(resolve(&back.document, None).fixture, resolve(&document, None).fixture, "{word}");
    }
}

#[test]
fn a_stack_goes_to_another_thread_in_one_step() {
    let document = wish("grooved 40x40", false).unwrap();
    let path = format!("riders/{}/stack", document.riders[0].name);
    let screw = document.riders[0].stack.as_ref().unwrap().screw.clone();
    let other = if screw.ends_with("M6") { "M5" } else { "M6" };
    let changed = change_thread(&document, &path, other).unwrap();
    let stack = changed.document.riders[0].stack.as_ref().unwrap();
    assert!(stack.screw.ends_with(other));
    for piece in &stack.pieces {
        let is_wheel = piece.part.contains("wheel");
        assert!(piece.part == "plate" || is_wheel || piece.part.ends_with(other), "{}", piece.part);
        if is_wheel {
            assert!(piece.part.ends_with(&format!("bore {}", &other[1..])), "{}", piece.part);
        }
    }
    assert!(fails(&changed.document).is_empty(), "{:?}", fails(&changed.document));
    // A stack that is not there, a thread no screw has.
    assert!(change_thread(&document, "riders/none/stack", "M5").is_err());
    assert!(change_thread(&document, &path, "M7").is_err());
    let text = glidewright_project::print(&changed.document);
    assert_eq!(parse(&text).unwrap(), changed.document);
}

/// In a trial the same follows as in the fixture, and the fixture stays as it is.
#[test]
fn a_trial_takes_along_what_the_fixture_would() {
    let (mut checked, mut alone) = (0, 0);
    let wishes = ["grooved 20x40", "grooved 30x60", "grooved 40x80"];
    let documents = wishes.iter().flat_map(|section| [wish(section, false), wish(section, true)]).flatten();
    for mut document in documents.chain([demo().unwrap()]) {
        document.trials = vec![Trial {
            name: "other".to_owned(),
            note: String::new(),
            over: Vec::new(),
            changes: Vec::new(),
        }];
        for (path, to) in [
            ("rail/length", Formula::Number(1375.5)),
            ("rail/section", Formula::Text("grooved 45x90".to_owned())),
            ("stroke/from", Formula::Number(12.5)),
        ] {
            let Ok(wanted) = set_all(&document, path, &to) else { continue };
            let tried = set_all_in_trial(&document, "other", path, &to).unwrap();
            if tried.description.ends_with("a trial cannot hold what would follow it") {
                assert_eq!(path, "rail/section");
                alone += 1;
                continue;
            }
            assert!(tried.description.ends_with("in other"), "{}", tried.description);
            let before = Document { trials: Vec::new(), ..document.clone() };
            assert_eq!(Document { trials: Vec::new(), ..tried.document.clone() }, before, "{path}");
            let [got, wanted] = [resolve(&tried.document, Some("other")), resolve(&wanted.document, None)];
            assert_eq!(got.fixture, wanted.fixture, "{} {path}", document.name);
            checked += 1;
        }
    }
    assert!(checked > 15 && alone <= 1, "{checked}, {alone} alone");
}
