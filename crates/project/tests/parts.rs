//! The user's own parts, their library, readings and costs.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_motion::Spread;
use glidewright_project::document::{Change, Measured, Part, PartForm, PartKind, PartsFile};
use glidewright_project::edit::{self, Addition};
use glidewright_project::store::Store;
use glidewright_project::tables::{built_in, clearance_hole};
use glidewright_project::{
    Cost, Document, cost_of, measured_sizes, parse, parts_of_kind, price_of, print_parts, read_parts,
    read_readings, resolve,
};
use glidewright_samples::COPY_STAND;

const LIBRARY: &str = r#"// My parts.
(
    format: 2,
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
    parse(COPY_STAND).unwrap()
}

#[test]
fn a_library_is_read_printed_and_kept() {
    let library = read_parts(LIBRARY).unwrap();
    assert_eq!(print_parts(&library), LIBRARY);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("parts.ron");
    let (empty, expected) = Store::disk().open_parts(&path).unwrap();
    assert_eq!(empty, PartsFile::default());
    Store::disk().save_parts(&path, &library, expected).unwrap();
    let (again, expected) = Store::disk().open_parts(&path).unwrap();
    assert_eq!(again, library);
    Store::disk().save_parts(&path, &library, expected).unwrap();
    assert!(read_parts("(format: 9)").unwrap_err()[0].message.contains("format 9"));
    assert!(read_parts("(format: 2, prts: [])").unwrap_err()[0].remedy.contains("parts"));
}

#[test]
fn a_part_comes_from_the_library_with_what_it_needs() {
    let library = read_parts(LIBRARY).unwrap();
    let document =
        edit::take_part(&stand(), &library, "my wheel", "own library, 2026-01-31").unwrap().document;
    assert_eq!(document.parts.len(), 2);
    assert_eq!(document.materials.len(), 1);
    let change =
        Change::Swap { from: "vee wheel 48, bore 6".into(), to: "my wheel".into(), within: String::new() };
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

    let kept = edit::keep_part(&document, &PartsFile::default(), "my wheel", "2026-01-31").unwrap();
    assert_eq!((kept.parts.len(), kept.materials.len()), (2, 1));
    assert!(edit::keep_part(&document, &kept, "no wheel", "").is_err());
    let tied = edit::set(&document, "parts/my wheel/outer", "plate * 8").unwrap().document;
    assert!(edit::keep_part(&tied, &kept, "my wheel", "").unwrap_err().message.contains("shared size plate"));
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

/// What a DIN 985 M6's height of 5.85 ± 0.15 comes to with these readings.
fn height(readings: &[f64], resolution: f64) -> (f64, bool) {
    let (part, size) = ("DIN 985 M6".into(), "height".into());
    let measured = Measured { part, size, readings: readings.to_vec(), resolution, note: String::new() };
    let document = edit::add(&stand(), Addition::Measured(measured)).unwrap().document;
    let size = measured_sizes(&document).remove(0);
    assert!((size.stated.half_width() - 0.15).abs() < 1e-12);
    let fixture = resolve(&document, Some("thin lock nuts")).fixture.unwrap();
    assert_eq!(fixture.riders[0].wheels[0].stack.pieces.last().unwrap().thickness, size.measured);
    let Spread::Measured { half_width, is_stated, .. } = size.measured.spread else { panic!("{size:?}") };
    (half_width, is_stated)
}

/// Fewer than three readings do not narrow a stated tolerance below half of it; those that do not show the spread leave it.
/// One reading took ± 0.15 mm to ± 0.005 mm before.
#[test]
fn few_readings_do_not_narrow_what_is_stated() {
    let near = |got: (f64, bool), half_width: f64, is_stated: bool| {
        assert!((got.0 - half_width).abs() < 1e-9 && got.1 == is_stated, "{got:?}, not {half_width}");
    };
    near(height(&[5.9], 0.01), 0.15, true);
    near(height(&[5.9], 0.0), 0.15, true);
    // Alike, or a step apart.
    near(height(&[5.9, 5.9], 0.01), 0.15, true);
    near(height(&[5.89, 5.9], 0.01), 0.15, true);
    near(height(&[5.9, 5.9], 0.0), 0.15, true);
    near(height(&[5.9; 10], 0.0), 0.15, true);
    // t(1) = 12.706 (NIST/SEMATECH e-Handbook, 1.3.6.7.2), s = 0.002/√2.
    near(height(&[5.9, 5.902], 0.001), 0.075, true);
    let half = (12.706_204_736_f64 * 0.014 / 2f64.sqrt() * 1.5f64.sqrt()).hypot(0.005);
    assert!((height(&[5.9, 5.914], 0.01).0 - half).abs() < 1e-6);
    // An instrument that shows less than is stated does not make it narrower.
    assert!(height(&[5.9, 5.9], 1.0).0 >= 0.5);
}

/// Three and more readings say what they show, but no less than rounding to the instrument's step makes: a deviation of
/// step/√12 (JCGM 100:2008, F.2.2.1), t(2) = 4.303 and t(9) = 2.262 (NIST/SEMATECH e-Handbook, 1.3.6.7.2).
#[test]
fn readings_that_agree_spread_by_what_rounding_makes() {
    let floor = |t: f64, n: f64| (t * 0.01 / 12f64.sqrt() * (1.0 + 1.0 / n).sqrt()).hypot(0.005);
    for (readings, t) in [(vec![5.9; 3], 4.303), (vec![5.9; 10], 2.262)] {
        let (half_width, is_stated) = height(&readings, 0.01);
        assert!((half_width - floor(t, readings.len() as f64)).abs() < 5e-6 && !is_stated, "{half_width}");
    }
    let spread = height(&[5.88, 5.91, 5.93], 0.01).0;
    assert!(spread > 2.0 * floor(4.303, 3.0) && spread < 0.15, "{spread}");
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
    // Under its other name it is the same part.
    let paid = Some(Cost { amount: 0.03, is_guide: false });
    assert_eq!(price_of(&document, "ISO 7089 M6"), paid);
    assert!(price_of(&document, "vee wheel 48, bore 6").unwrap().is_guide);
    assert_eq!(price_of(&document, "nothing"), None);
    let bare = Part {
        name: "my part".into(),
        cost: None,
        ..built_in().part("vee wheel 48, bore 6").unwrap().clone()
    };
    document.parts.push(bare);
    assert_eq!(price_of(&document, "my part"), None);
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
    check("DIN 934 M5", "height", 3.85, 3.7, 4.0);
    check("DIN 985 M6", "height", 5.85, 5.7, 6.0);
    check("ISO 7040 M6", "height", 7.71, 7.42, 8.0);
    // Some tables print the washer's maximum 1.8 as if it were nominal.
    check("ISO 7089 M6", "thickness", 1.6, 1.4, 1.8);
    check("DIN 125 A M6", "thickness", 1.6, 1.4, 1.8);
    check("ISO 7093-1 M6", "thickness", 1.6, 1.4, 1.8);
    check("ISO 4762 M6", "head_height", 5.85, 5.7, 6.0);
    check("ISO 4017 M8", "head_height", 5.3, 5.15, 5.45);
    // Real heads of ISO 10642 are as wide as those of DIN 7991, and higher.
    check("ISO 10642 M6", "head_size", 12.0, 12.0, 12.0);
    check("ISO 10642 M6", "head_height", 3.72, 3.72, 3.72);
    check("DIN 7991 M6", "head_size", 12.0, 12.0, 12.0);
    check("626", "outer", 19.0, 19.0, 19.0);
    check("619/4", "outer", 11.0, 11.0, 11.0);
    assert!(built_in().part("ISO 10642 M5").unwrap().note.contains("no minimum known"));
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

#[test]
fn readings_under_another_name_of_a_part_count() {
    let mut document = stand();
    document.measured.push(Measured {
        part: "DIN 125 A M6".into(),
        size: "thickness".into(),
        readings: vec![1.5, 1.5],
        resolution: 0.01,
        note: String::new(),
    });
    let fixture = resolve(&document, None).fixture.unwrap();
    assert_eq!(fixture.riders[0].wheels[0].stack.pieces[0].thickness.nominal, 1.5);
}

/// The readings of a table, or the problems.
fn table_of_readings(text: &str) -> Result<Vec<Measured>, Vec<String>> {
    read_readings(text.as_bytes()).map_err(|problems| problems.iter().map(ToString::to_string).collect())
}

#[test]
fn a_table_of_readings_is_taken_in() {
    let text = "part,size,reading,reading,Reading 3,unit,resolution,note\n\
        DIN 985 M6,height,5.91,5.88,5.93,,0.01,first box\n\
        V48,outer,1.89,,1.891,in,0.001,\n\
        ,,,,,,,\n\
        DIN 985 M6,height,5.90,,,mm,0.02,\"second, box\"\n";
    let readings = table_of_readings(text).unwrap();
    assert_eq!(readings.len(), 2);
    assert_eq!(readings[0].readings, [5.91, 5.88, 5.93, 5.9]);
    assert_eq!((readings[0].resolution, readings[0].note.as_str()), (0.02, "first box; second, box"));
    assert!(
        (readings[1].readings[0] - 1.89 * 25.4).abs() < 1e-12
            && (readings[1].resolution - 0.0254).abs() < 1e-15
    );

    let edited = edit::take_readings(&stand(), readings.clone()).unwrap();
    assert_eq!(edited.description, "Take in 6 readings of 2 sizes");
    assert!(!resolve(&edited.document, None).has_errors());
    let more = edit::take_readings(&edited.document, readings).unwrap().document;
    assert_eq!(more.measured[0].readings.len(), 8);

    // As spreadsheets of other countries save it.
    for (separator, text) in [
        (';', "part;size;reading\nDIN 985 M6;height;5,91\n"),
        ('\t', "\u{feff}Part\tSize\tReading\r\nDIN 985 M6\theight\t5,91\r\n"),
    ] {
        assert_eq!(table_of_readings(text).unwrap()[0].readings, [5.91], "{separator:?}");
    }
}

#[test]
fn faults_in_a_table_of_readings_are_told_with_their_line() {
    let check = |text: &str, says: &str| {
        let problems = table_of_readings(text).expect_err(text);
        assert!(problems.iter().any(|problem| problem.contains(says)), "{text:?}: {problems:?}");
    };
    check("", "the column 'part' is missing");
    check("part,reading\nV48,1\n", "the column 'size' is missing");
    check("part,size\nV48,hub\n", "the column 'reading' is missing");
    check("part,size,reading\n", "no readings in the table");
    check(
        "part,size,reading,rezolution\nV48,hub,1,1\n",
        "no column 'rezolution' in tables of readings (did you mean 'resolution'?)",
    );
    check("part,size,reading,part\nV48,hub,1,1\n", "stands there twice");
    check(
        "part,size,reading\nV48,hub,13\nV48,hub,thirteen\n",
        "line 3, column 1: 'thirteen' is not a number",
    );
    check("part,size,reading\nV48,hub,NaN\n", "'NaN' is not a number");
    check("part,size,reading\nV48,hub,1e999\n", "'1e999' is not a number");
    check("part,size,reading\nV48,hub,\"5,9\"\n", "'5,9' is not a number");
    check("part,size,reading,resolution\nV48,hub,1,-1\n", "'-1' is not a number");
    check("part,size,reading\nV48,hub,\n", "line 2, column 1: this line has no readings");
    check("part,size,reading\n,hub,1\n", "which size of which part");
    check("part,size,reading,unit\nV48,hub,1,furlong\n", "'furlong' is not a unit");
    let many = "V48,hub,1\n".repeat(glidewright_project::LARGEST_FILE / 5);
    check(&format!("part,size,reading\n{many}"), "at most 2048 kB");
    let problems = read_readings(b"part,size,reading\nV48,hub,\xff\n").unwrap_err();
    assert!(problems[0].message.contains("UTF-8"));
}
