//! Screws through several plates and screws that end in a tapped plate, as they are written, edited and refused.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_motion::{Assembly, Fixture, StackEnd, analyse};
use glidewright_project::document::{Change, ScrewHole, Trial};
use glidewright_project::edit::{self, MirrorPlane};
use glidewright_project::size::Formula;
use glidewright_project::tables::tap_drill;
use glidewright_project::{Document, Problem, Severity, parse, print, resolve};

/// A tray on a lying rail, its wheels between a deck and a back plate that is tapped; a bracket on bolts that end in the
/// deck.
const TRAY: &str = r#"(
    format: 2,
    name: "Between two plates",
    rail: (section: "grooved 40x20", length: 500),
    riders: [
        (
            name: "tray",
            faces: front,
            at: 100,
            stack: (
                screw: "ISO 4762 M5",
                pieces: [
                    (washer: "ISO 7089 M5"),
                    (plate: "deck"),
                    (spacer: "tube M5", length: 8),
                    (shim: "ring M5", name: "deck-side shim"),
                    (wheel: "vee wheel 24, bore 5"),
                    (shim: "ring M5", name: "back-side shim"),
                    (spacer: "tube M5", length: 9, name: "back spacer"),
                    (plate: "back", hole: tapped),
                ],
            ),
            wheels: [
                (name: "leading", pair: "middle", along: 40),
                (name: "trailing", pair: "middle", along: -40),
            ],
            bolts: [
                (
                    name: "bracket bolt",
                    at: (10, 0),
                    stack: (
                        screw: "ISO 4762 M5",
                        pieces: [
                            (washer: "ISO 7089 M5"),
                            (plate: "bracket"),
                            (spacer: "tube M5", length: 6),
                            (plate: "deck", hole: tapped, depth: 7),
                        ],
                    ),
                ),
            ],
            plates: [
                (name: "deck", outline: around(margin: 14), thickness: 12, material: "PETG"),
                (name: "back", outline: around(margin: 14), thickness: 8, material: "Al 6061-T6"),
                (name: "bracket", outline: rectangle(from: (-10, -15), to: (30, 15)), thickness: 4, material: "PLA"),
            ],
            loads: [(name: "gauge", mass: 200, on: "bracket", centre: (0, 0, 10))],
        ),
    ],
    stroke: (to: 250),
)
"#;

fn problems(text: &str) -> (Option<Fixture>, Vec<Problem>) {
    let document = parse(text).unwrap_or_else(|problems| panic!("{problems:?}"));
    let resolved = resolve(&document, None);
    (resolved.fixture, resolved.problems)
}

fn sound(text: &str) -> Fixture {
    let (fixture, problems) = problems(text);
    assert!(problems.is_empty(), "{problems:#?}");
    fixture.unwrap()
}

fn changed(from: &str, to: &str) -> String {
    assert!(TRAY.contains(from), "{from}");
    TRAY.replacen(from, to, 1)
}

/// Drills for tapped holes: ISO 2306 (from memory).
#[test]
fn tap_drills() {
    for (thread, pitch, drill) in
        [(3.0, 0.5, 2.5), (4.0, 0.7, 3.3), (5.0, 0.8, 4.2), (6.0, 1.0, 5.0), (8.0, 1.25, 6.8)]
    {
        assert!((tap_drill(thread, pitch) - drill).abs() < 1e-9, "M{thread}: {}", tap_drill(thread, pitch));
    }
    assert!(tap_drill(f64::NAN, 1.0).is_nan() && tap_drill(1.0, 3.0) == 0.5);
}

#[test]
fn every_plate_has_its_hole_and_its_place() {
    let fixture = sound(TRAY);
    let assembly = Assembly::new(&fixture);
    assert!(assembly.faults.is_empty(), "{:?}", assembly.faults);
    let (rider, placed) = (&fixture.riders[0], &assembly.riders[0]);
    let diameters = |plate: usize| {
        let mut all: Vec<f64> = rider.plates[plate].holes.iter().map(|hole| hole.bounds().size().x).collect();
        all.sort_by(f64::total_cmp);
        all
    };
    let near = |got: Vec<f64>, expected: &[f64]| {
        let same = got.len() == expected.len() && got.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-9);
        assert!(same, "{got:?}, expected {expected:?}");
    };
    // ISO 273 medium for M5 is 5.5, the tap's drill 4.2; the blind one in the deck is a hollow of its own.
    near(diameters(0), &[5.5; 4]);
    near(diameters(1), &[4.2; 4]);
    near(diameters(2), &[5.5]);
    let hollow = &rider.plates[0].features[0];
    assert!(hollow.is_cut && rider.plates[0].features.len() == 1);
    assert!((hollow.from - 5.0).abs() < 1e-9 && (hollow.to - 12.0).abs() < 1e-9, "{hollow:?}");
    assert!((hollow.region.bounds().size().x - 4.2).abs() < 1e-9);
    // The mass goes with it: a drill of 4.2 mm, 7 deep.
    let whole = rider.plates[0].thickness.nominal * rider.plates[0].sheet().area();
    let drilled = std::f64::consts::PI / 4.0 * 4.2 * 4.2 * 7.0;
    assert!((whole - rider.plates[0].volume() - drilled).abs() < 0.01 * drilled);
    // Half the hub, a ring and a spacer on either side of the tracks' middle, by hand.
    let hub = rider.wheels[0].stack.pieces[4].thickness.nominal;
    let ring = rider.wheels[0].stack.pieces[3].thickness.nominal;
    let track = placed.stacks[0].datum;
    let deck = track + 0.5 * hub + ring + 8.0;
    for (number, inner) in [(0, deck), (1, track - 0.5 * hub - ring - 9.0 - 8.0), (2, deck + 12.0 + 6.0)] {
        let plate = placed.plates[number];
        assert!(
            (plate.inner - inner).abs() < 1e-9 && plate.disagreement < 1e-9,
            "{number}: {plate:?}, {inner}"
        );
    }
    // The load on the bracket stands on its outer face, 4 mm further out.
    let gauge = &rider.loads[0];
    assert!((gauge.centre.z - (deck + 12.0 + 6.0 + 4.0 + 10.0)).abs() < 1e-9, "{gauge:?}");
}

/// The shortest length sold that goes a diameter into metal; none that meets the bottom of a thread.
#[test]
fn screws_are_chosen_for_the_thread_they_end_in() {
    let of = |text: &str| {
        let fixture = sound(text);
        let rider = &fixture.riders[0];
        (rider.wheels[0].stack.clone(), rider.bolts[0].stack.clone())
    };
    let (wheel, bolt) = of(TRAY);
    assert_eq!(wheel.end, StackEnd::Tapped { depth: None });
    let ahead: f64 = wheel.pieces[..7].iter().map(|piece| piece.thickness.nominal).sum();
    let length = wheel.screw.length.nominal;
    assert!(length >= ahead + 5.0 && length < ahead + 5.0 + 5.0, "{length} for {ahead}");
    // 1 + 4 + 6 before the deck, 7 of thread in plastic, which asks for 10: at most 18.
    assert_eq!(bolt.end, StackEnd::Tapped { depth: Some(7.0) });
    assert!((bolt.screw.length.nominal - 16.0).abs() < 1e-9, "{}", bolt.screw.length.nominal);
    let codes_of = |text: &str| {
        let findings = analyse(&sound(text)).findings;
        findings
            .into_iter()
            .filter(|f| f.code.starts_with("screw."))
            .map(|f| (f.code, f.title.to_string()))
            .collect::<Vec<_>>()
    };
    let found = codes_of(TRAY);
    assert!(
        found.iter().any(|(code, title)| *code == "screw.tapped" && title.contains("in deck")),
        "{found:?}"
    );
    // Nothing sold ends in a thread from 13 to 14.5 mm: the next longer comes to a stand in it, and that is told.
    let shallow = changed("length: 6)", "length: 8)").replacen("depth: 7", "depth: 1.5", 1);
    assert!((of(&shallow).1.screw.length.nominal - 16.0).abs() < 1e-9);
    assert!(codes_of(&shallow).iter().any(|(code, _)| *code == "screw.bottoms"));
    // In a deck of aluminium 5 would do.
    let metal =
        codes_of(&changed("thickness: 12, material: \"PETG\"", "thickness: 12, material: \"Al 6061-T6\""));
    assert!(metal.iter().all(|(code, _)| *code != "screw.tapped"), "{metal:?}");
}

#[test]
fn what_cannot_be_is_told_with_its_place_and_a_remedy() {
    for (from, to, path, message) in [
        (
            "(plate: \"back\", hole: tapped)",
            "(plate: \"rear\", hole: tapped)",
            "riders/tray/stack/plate 2",
            "'tray' has no plate called 'rear'",
        ),
        (
            "(plate: \"back\", hole: tapped)",
            "(plate: \"deck\", hole: tapped)",
            "riders/tray/stack/plate 2",
            "the screw passes 'deck' twice",
        ),
        (
            "(plate: \"back\", hole: tapped),",
            "(plate: \"back\", hole: tapped), (nut: \"DIN 985 M5\"),",
            "riders/tray/stack/plate 2",
            "the tapped plate 'back' is not the last piece of the stack",
        ),
        (
            "(plate: \"back\", hole: tapped),",
            "(plate: \"back\"),",
            "riders/tray/stack",
            "the stack has no nut",
        ),
        (
            "(plate: \"deck\"),",
            "(plate: \"deck\", depth: 3),",
            "riders/tray/stack/plate 1/depth",
            "only a tapped plate has a depth of thread",
        ),
        (
            "(washer: \"ISO 7089 M5\"),",
            "(washer: \"ISO 7089 M5\", hole: tapped),",
            "riders/tray/stack/washer",
            "a washer is not tapped and takes no insert; only a plate is",
        ),
        (
            "depth: 7",
            "depth: 12",
            "riders/tray/bolts/bracket bolt/stack/plate 2/depth",
            "the thread is 12 mm deep, the plate 12 mm thick: nothing of it is left",
        ),
        (
            "pieces: [\n                            (washer",
            "length: 10, pieces: [\n                            (washer",
            "riders/tray/bolts/bracket bolt/stack/screw",
            "is too short by 1.00 mm to reach the thread in deck",
        ),
        (
            "(spacer: \"tube M5\", length: 8),",
            "(eccentric: \"eccentric M5\", length: 8),",
            "riders/tray/stack/eccentric",
            "an eccentric cannot shift a screw that a thread holds",
        ),
        (
            "(plate: \"bracket\"),\n                            (spacer: \"tube M5\", length: 6),\n                            (plate: \"deck\", hole: tapped, depth: 7),",
            "(plate: \"back\"),\n                            (plate: \"deck\"), (plate: \"bracket\"), (nut: \"DIN 985 M5\")",
            "riders/tray/bolts/bracket bolt/stack/plate 1",
            "'back' lies outside 'deck' here, and the other way round at",
        ),
        (
            "(plate: \"deck\", hole: tapped, depth: 7),",
            "(nut: \"DIN 985 M5\"),",
            "riders/tray/plates/bracket",
            "no wheel's stack carries this plate, nor the plates it is bolted to, and it has no level",
        ),
    ] {
        let (_, found) = problems(&changed(from, to));
        let known = found.iter().find(|p| p.message.contains(message));
        let problem = known.unwrap_or_else(|| panic!("{message}: {found:#?}"));
        assert_eq!(problem.place.path(), Some(path), "{problem:?}");
        assert!(problem.severity == Severity::Error && !problem.remedy.is_empty(), "{problem:?}");
    }
}

/// A bolt that only a plate with a level holds, and one that holds a plate from a level.
#[test]
fn a_level_holds_what_no_wheel_does() {
    let text = changed("(plate: \"deck\", hole: tapped, depth: 7),", "(nut: \"DIN 985 M5\"),").replacen(
        "thickness: 4, material: \"PLA\"",
        "thickness: 4, material: \"PLA\", level: 70",
        1,
    );
    let assembly = Assembly::new(&sound(&text));
    assert!((assembly.riders[0].plates[2].inner - 70.0).abs() < 1e-9);
    // Carried by a bolt, the level given counts no more.
    let text = changed("thickness: 4, material: \"PLA\"", "thickness: 4, material: \"PLA\", level: 70");
    let (given, free) = (Assembly::new(&sound(&text)), Assembly::new(&sound(TRAY)));
    assert_eq!(given.riders[0].plates, free.riders[0].plates);
}

/// An eccentric's hole is in the plate next to it; in the other the screw goes round in a wider one.
#[test]
fn an_eccentric_between_two_plates() {
    let text = changed("(spacer: \"tube M5\", length: 8),", "(eccentric: \"cam\", turn: 90),")
        .replacen("(plate: \"back\", hole: tapped),", "(plate: \"back\"), (nut: \"DIN 985 M5\"),", 1)
        .replacen(
            "    stroke:",
            "    parts: [(name: \"cam\", form: eccentric(hole: 5.2, outer: 13, length: 8, offset: 0.5, boss: 9))],\n    stroke:",
            1,
        );
    // Thin enough for the screws that are sold.
    let text = text.replacen("thickness: 12", "thickness: 5", 1).replacen("depth: 7", "depth: 3", 1);
    let fixture = sound(&text);
    let at = Assembly::new(&fixture).riders[0].stacks[0].at;
    for (plate, diameter) in [(0, 9.2), (1, 5.5 + 1.0)] {
        let holes = &fixture.riders[0].plates[plate].holes;
        let hole = holes.iter().min_by(|a, b| {
            let off = |hole: &&glidewright_geometry::Outline| (hole.bounds().centre() - at).length();
            off(a).total_cmp(&off(b))
        });
        let bounds = hole.unwrap().bounds();
        assert!((bounds.size().x - diameter).abs() < 1e-9, "{plate}: {bounds:?}");
        assert!(((bounds.centre() - at).length() - 0.5).abs() < 1e-9, "{plate}: {bounds:?} {at}");
    }
}

fn document() -> Document {
    parse(TRAY).unwrap()
}

#[test]
fn edits_keep_plates_and_threads() {
    // Printed and read again.
    assert_eq!(parse(&print(&document())).unwrap(), document());
    // Renamed where it is listed.
    let renamed = edit::rename(&document(), "riders/tray/plates/back", "rear").unwrap().document;
    assert_eq!(renamed.riders[0].stack.as_ref().unwrap().pieces[7].part, "rear");
    let renamed = edit::rename(&document(), "riders/tray/plates/deck", "floor").unwrap().document;
    assert_eq!(renamed.riders[0].bolts[0].stack.pieces[3].part, "floor");
    // A second rider alike, mirrored to the other side.
    let two = edit::duplicate(&document(), "riders/tray").unwrap().document;
    assert_eq!(two.riders[1].stack, two.riders[0].stack);
    assert_eq!(two.riders[1].bolts[0].stack, two.riders[0].bolts[0].stack);
    let masses = |document: &Document| {
        let fixture = resolve(document, None).fixture.unwrap();
        let placed = Assembly::new(&fixture).riders[0].clone();
        (placed.mass.total(), placed.mass.centre(), placed.plates)
    };
    let (mass, centre, plates) = masses(&document());
    let mirrored = edit::mirror(&document(), "riders/tray", MirrorPlane::FrontRear).unwrap().document;
    let other = masses(&mirrored);
    assert!((other.0 - mass).abs() < 1e-12 && (other.1.z + centre.z).abs() < 1e-9, "{} {}", other.1, centre);
    for (a, b) in plates.iter().zip(&other.2) {
        assert!((a.inner - b.inner).abs() < 1e-9, "{a:?} {b:?}");
    }
    // A trial gives the back plate a clear hole, then there is no nut.
    let path = "riders/tray/stack/plate 2/hole";
    let set = Change::Set { path: path.to_owned(), to: Formula::Text("clear".to_owned()) };
    let clear = edit::change(&document(), &set).unwrap().document;
    assert_eq!(clear.riders[0].stack.as_ref().unwrap().pieces[7].hole, ScrewHole::Clear);
    assert!(resolve(&clear, None).problems.iter().any(|p| p.message == "the stack has no nut"));
    assert!(edit::set(&document(), "riders/tray/bolts/bracket bolt/stack/plate 2/depth", "6 mm").is_ok());
    // A screw that ends in a thread is not turned round.
    let turn = Change::Turn { within: "riders/tray".to_owned() };
    let refused = edit::change(&document(), &turn).unwrap_err();
    assert!(refused.message.contains("ends in a tapped plate"), "{refused:?}");
    let mut trial = document();
    let changes = vec![turn];
    trial.trials.push(Trial { name: "turned".into(), note: String::new(), over: Vec::new(), changes });
    assert!(resolve(&trial, Some("turned")).problems.iter().any(|p| p.severity >= Severity::Warning));
    // Deleted, the plate goes from every stack.
    let without = edit::delete(&document(), "riders/tray/plates/deck").unwrap().document;
    assert!(
        without.riders[0].stacks().all(|(_, stack)| stack.pieces.iter().all(|piece| piece.part != "deck"))
    );
}

/// A tolerance on the back spacer moves the back plate and nothing on the deck's side.
#[test]
fn sizes_reach_only_the_plates_beyond_them() {
    let at = |text: &str| Assembly::new(&sound(text)).riders[0].plates.clone();
    let (before, after) = (at(TRAY), at(&changed("length: 9,", "length: 10.5,")));
    assert!((before[1].inner - after[1].inner - 1.5).abs() < 1e-9);
    assert_eq!((before[0], before[2]), (after[0], after[2]));
}
