//! The user's own parts, their library, readings and costs.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_motion::Spread;
use glidewright_project::document::{Change, Measured, PartForm, PartKind, PartsFile};
use glidewright_project::edit::{self, Addition};
use glidewright_project::store::{open_parts, save_parts};
use glidewright_project::tables::{built_in, clearance_hole};
use glidewright_project::{
    Document, cost_of, demo, measured_sizes, parse, parts_of_kind, print_parts, read_parts, resolve,
};

const LIBRARY: &str = r#"// My parts.
(
    format: 1,
    parts: [
        (
            name: "my wheel",
            form: wheel(
                running: vee(tip: 5, half_angle: 45),
                outer: 50.2, // measured once
                width: 12,
                hub: 13,
                bearing: "my bearing",
                bearings: 2,
            ),
            material: "my plastic",
        ),
        (name: "my bearing", form: bearing(bore: 6, outer: 17, width: 6)),
    ],
    materials: [(name: "my plastic", density: "1.2 g/cm^3", youngs: "2 GPa", poisson: 0.4)],
)
"#;

fn stand() -> Document {
    demo().unwrap()
}

#[test]
fn a_library_is_read_printed_and_kept() {
    let library = read_parts(LIBRARY).unwrap();
    assert_eq!(print_parts(&library), LIBRARY);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("parts.ron");
    let (empty, expected) = open_parts(&path).unwrap();
    assert_eq!(empty, PartsFile::default());
    save_parts(&path, &library, expected).unwrap();
    let (again, expected) = open_parts(&path).unwrap();
    assert_eq!(again, library);
    save_parts(&path, &library, expected).unwrap();
    assert!(read_parts("(format: 9)").unwrap_err()[0].message.contains("format 9"));
    assert!(read_parts("(format: 1, prts: [])").unwrap_err()[0].remedy.contains("parts"));
}

#[test]
fn a_part_comes_from_the_library_with_what_it_needs() {
    let library = read_parts(LIBRARY).unwrap();
    let document = edit::take_part(&stand(), &library, "my wheel").unwrap().document;
    assert_eq!(document.parts.len(), 2);
    assert_eq!(document.materials.len(), 1);
    let change = Change::Swap { from: "V48".into(), to: "my wheel".into(), within: String::new() };
    let document = edit::change(&document, &change).unwrap().document;
    let resolved = resolve(&document, None);
    assert!(!resolved.has_errors(), "{:#?}", resolved.problems);
    let fixture = resolved.fixture.unwrap();
    let wheel = fixture.riders[0].wheels[0]
        .stack
        .pieces
        .iter()
        .find_map(|piece| match &piece.kind {
            glidewright_motion::PieceKind::Wheel(wheel) => Some(wheel),
            _ => None,
        })
        .unwrap();
    assert_eq!(wheel.outer_radius.nominal, 25.1);
    assert_eq!(wheel.bearing.outer, 17.0);
    assert_eq!(wheel.tyre.density, 1200.0);
    assert_eq!(wheel.tyre.youngs, 2000.0);
    // Weighed by its volume: between 15 and 60 g for such a wheel.
    assert!(wheel.mass > 0.015 && wheel.mass < 0.06, "{}", wheel.mass);
    assert_eq!(parts_of_kind(&document, PartKind::Wheel).next().unwrap().name, "my wheel");

    let kept = edit::keep_part(&document, &PartsFile::default(), "my wheel").unwrap();
    assert_eq!((kept.parts.len(), kept.materials.len()), (2, 1));
    assert!(edit::keep_part(&document, &kept, "no wheel").is_err());
    let tied = edit::set(&document, "parts/my wheel/outer", "plate * 8").unwrap().document;
    assert!(edit::keep_part(&tied, &kept, "my wheel").unwrap_err().message.contains("shared size plate"));
}

#[test]
fn readings_replace_the_table_and_stand_beside_it() {
    let measured = Measured {
        part: "DIN 985 M6".into(),
        size: "height".into(),
        readings: vec![5.91, 5.88, 5.93],
        resolution: 0.01,
        note: String::new(),
    };
    let document = edit::add(&stand(), Addition::Measured(measured.clone())).unwrap().document;
    let sizes = measured_sizes(&document);
    assert_eq!(sizes.len(), 1);
    assert_eq!(sizes[0].stated.nominal, 5.85);
    assert!((sizes[0].measured.nominal - 5.906_666_666_666_667).abs() < 1e-12);
    let fixture = resolve(&document, Some("thin lock nuts")).fixture.unwrap();
    let nut = fixture.riders[0].wheels[0].stack.pieces.last().unwrap();
    assert_eq!(nut.thickness, sizes[0].measured);
    assert!(matches!(nut.thickness.spread, Spread::Measured { count: 3, .. }));
    // More readings of the same size join the first.
    let more = Measured { readings: vec![5.90], ..measured };
    let document = edit::add(&document, Addition::Measured(more)).unwrap().document;
    assert_eq!(document.measured[0].readings.len(), 4);
    // Readings of what there is not are told.
    for (part, size, says) in [
        ("DIN 985 M66", "height", "no part"),
        ("DIN 985 M6", "hight", "no size"),
        ("ISO 4762 M6", "height", "no size"),
    ] {
        let wrong = Measured {
            part: part.into(),
            size: size.into(),
            readings: vec![1.0],
            resolution: 0.0,
            note: String::new(),
        };
        let document = edit::add(&stand(), Addition::Measured(wrong)).unwrap().document;
        let problems = resolve(&document, None).problems;
        assert!(
            problems.iter().any(|p| p.message.contains(says) && !p.remedy.is_empty()),
            "{part} {size}: {problems:?}"
        );
    }
}

#[test]
fn costs_are_the_users() {
    let mut document = stand();
    document.costs.insert("DIN 125 A M6".into(), 0.03);
    document.costs.insert("DIN 985 M6".into(), 0.08);
    let text = glidewright_project::print(&document);
    assert!(
        text.contains("costs: {\n        \"DIN 125 A M6\": 0.03,\n        \"DIN 985 M6\": 0.08,\n    },")
    );
    assert_eq!(parse(&text).unwrap(), document);
    assert_eq!(cost_of(&document, "DIN 985 M6"), Some(0.08));
    assert_eq!(cost_of(&document, "DIN 125 A M6"), Some(0.03));
    assert_eq!(cost_of(&document, "V48"), None);
    document.costs.insert("nothing".into(), 1.0);
    assert!(resolve(&document, None).problems.iter().any(|p| p.place.path() == Some("costs")));
}

/// The size at a name of a table part: nominal and limits.
fn table(part: &str, size: &str) -> (f64, f64, f64) {
    let mut document = stand();
    document.measured.push(Measured {
        part: part.into(),
        size: size.into(),
        readings: vec![1.0],
        resolution: 0.0,
        note: String::new(),
    });
    let stated = measured_sizes(&document)[0].stated;
    (stated.nominal, stated.nominal - stated.half_width(), stated.nominal + stated.half_width())
}

#[test]
fn standards_as_published() {
    let check = |part, size, nominal: f64, least: f64, greatest: f64| {
        let got = table(part, size);
        let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
        assert!(
            near(got.0, nominal) && near(got.1, least) && near(got.2, greatest),
            "{part} {size}: {got:?}"
        );
    };
    // DIN 985 and ISO 7040 are not the same nut, nor are ISO 4032 and DIN 934 (secondary tables).
    check("DIN 985 M5", "height", 4.85, 4.7, 5.0);
    check("ISO 7040 M5", "height", 6.51, 6.22, 6.8);
    check("ISO 4032 M5", "height", 4.55, 4.4, 4.7);
    check("DIN 934 M5", "height", 4.0, 4.0, 4.0);
    check("DIN 985 M6", "height", 5.85, 5.7, 6.0);
    check("ISO 7040 M6", "height", 7.71, 7.42, 8.0);
    // Some tables print the washer's maximum 1.8 as if it were nominal.
    check("ISO 7089 M6", "thickness", 1.6, 1.4, 1.8);
    check("DIN 125 A M6", "thickness", 1.6, 1.4, 1.8);
    check("ISO 7093-1 M6", "thickness", 1.6, 1.4, 1.8);
    check("ISO 4762 M6", "head_height", 5.85, 5.7, 6.0);
    check("ISO 4017 M8", "head_height", 5.3, 5.15, 5.45);
    // ISO 10642 and DIN 7991 heads differ.
    check("ISO 10642 M6", "head_size", 13.44, 13.44, 13.44);
    check("DIN 7991 M6", "head_size", 12.0, 12.0, 12.0);
    check("626", "outer", 19.0, 19.0, 19.0);
    check("619/4", "outer", 11.0, 11.0, 11.0);
    assert!(built_in().part("DIN 934 M5").unwrap().note.contains("maximum, no minimum known"));
    assert!(built_in().part("ISO 10511 M4").unwrap().note.contains("memory"));

    // ISO 273.
    let hole = clearance_hole(5.0).unwrap();
    assert_eq!((hole.close, hole.normal, hole.loose), (5.3, 5.5, 5.8));
    let lengths = |name: &str| match &built_in().part(name).unwrap().form {
        PartForm::Screw(screw) => screw.lengths.clone(),
        _ => panic!("{name} is no screw"),
    };
    // ISO 888 lengths within the range of the size.
    assert_eq!(lengths("ISO 4762 M5")[..5], [8.0, 10.0, 12.0, 16.0, 20.0]);
    assert_eq!(lengths("ISO 4762 M5").last(), Some(&50.0));
    assert!(lengths("ISO 4762 M6").contains(&45.0));
}
