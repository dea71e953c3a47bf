//! The command line: what it says, what it writes, how it ends.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

use glidewright::cli::Outcome;
use glidewright_samples::COPY_STAND;
use glidewright_tests::{program, scratch};
use serde_json::Value;

fn check_json(file: &str, trial: Option<&str>) -> (Value, Outcome) {
    let mut arguments = vec!["check", file, "--json"];
    if let Some(trial) = trial {
        arguments.extend(["--trial", trial]);
    }
    let said = program(&arguments);
    (serde_json::from_str(&said.out).unwrap(), said.outcome)
}

#[test]
fn the_demo_fouls_and_says_why() {
    let said = program(&["check"]);
    assert_eq!(said.outcome, Outcome::Fails, "{}", said.error);
    for words in [
        "rear tray and front tray foul wall tie",
        "screw end",
        "overlap by 0.50 mm",
        "At travel ",
        "remedy: ",
        "effort, up",
    ] {
        assert!(said.out.contains(words), "{words:?} is missing in\n{}", said.out);
    }
}

#[test]
fn trials_cure_it_each_in_its_way() {
    let stand = scratch("trials").join("stand.ron");
    std::fs::write(&stand, COPY_STAND).unwrap();
    for (trial, outcome, gap) in [
        (None, "fouls", Some(-0.42)),
        (Some("thin lock nuts"), "marginal", Some(0.20)),
        (Some("small wheels at the rear"), "clear side by side", None),
        (Some("spacers regrouped"), "clear end to end", Some(2.20)),
    ] {
        let (json, ended) = check_json(&stand.to_string_lossy(), trial);
        let figures = &json["key_figures"];
        assert_eq!(figures["tightest_outcome"], outcome, "{trial:?}");
        let got = figures["tightest_gap_mm"].as_f64().unwrap();
        assert!(gap.is_none_or(|gap: f64| (got - gap).abs() < 1e-6), "{trial:?}: {got}");
        assert_eq!(ended == Outcome::Fails, outcome == "fouls", "{trial:?}: {:#}", json["findings"]);
    }
}

#[test]
fn exit_statuses() {
    assert_eq!(program(&["check"]).outcome, Outcome::Fails);
    assert_eq!(program(&["check", "--trial", "trimmed trays"]).outcome, Outcome::Good);
    assert_eq!(program(&["check", "no such file.ron"]).outcome, Outcome::Unusable);
    assert_eq!(program(&["check", "--trial", "no such trial"]).outcome, Outcome::Unusable);
    assert_eq!(program(&["juggle", "--often"]).outcome, Outcome::Unusable);
    assert_eq!(program(&["--help"]).outcome, Outcome::Good);
}

#[test]
fn figures_carry_curves_with_units() {
    let said = program(&["figures", "--json"]);
    assert_eq!(said.outcome, Outcome::Good, "{}", said.error);
    let json: Value = serde_json::from_str(&said.out).unwrap();
    let stations = json["travel_mm"].as_array().unwrap().len();
    assert!(stations >= 200);
    for (group, curve) in [("clearance", "gap_mm"), ("effort", "effort_up_n"), ("effort", "imbalance_n")] {
        assert_eq!(json[group][curve].as_array().unwrap().len(), stations, "{group}/{curve}");
    }
    assert_eq!(json["contract"], "glidewright.figures/2");
}

#[test]
fn a_comparison_takes_all_trials_unless_some_are_named() {
    let folder = scratch("compared");
    let file = folder.join("compared.svg");
    let out = file.to_string_lossy();
    let drawn = |more: &[&str]| {
        let said = program(&[&["picture", "--view", "compare", "--out", &*out], more].concat());
        assert_eq!(said.outcome, Outcome::Good, "{}", said.error);
        std::fs::read_to_string(&file).unwrap()
    };
    let all = drawn(&[]);
    for trial in ["as drawn", "tie on edge", "shorter screws", "smaller wheels"] {
        assert!(all.contains(trial), "{trial}");
    }
    let one = drawn(&["--with", "tie on edge"]);
    assert!(one.contains("tie on edge") && !one.contains("shorter screws"));
    let bare = folder.join("bare.ron");
    let project = include_str!("../../demo-projects/sample-shuttle.ron");
    let trials = project.find("trials:");
    std::fs::write(&bare, trials.map_or(project.to_owned(), |at| format!("{})", &project[..at]))).unwrap();
    let said = program(&["picture", &bare.to_string_lossy(), "--view", "compare", "--out", &*out]);
    assert_eq!(said.outcome, Outcome::Unusable);
    assert!(said.error.contains("no trials"), "{}", said.error);
}

#[test]
fn pictures_are_what_their_ending_says() {
    let folder = scratch("pictures");
    for (ending, start) in [("png", &b"\x89PNG"[..]), ("svg", b"<"), ("pdf", b"%PDF")] {
        let file = folder.join(format!("bench.{ending}"));
        let said = program(&["picture", "--out", &file.to_string_lossy(), "--width", "800"]);
        assert_eq!(said.outcome, Outcome::Good, "{}", said.error);
        let bytes = std::fs::read(&file).unwrap();
        assert!(bytes.starts_with(start), "{ending}");
    }
    assert_eq!(program(&["picture", "--out", "bench.bmp"]).outcome, Outcome::Unusable);
    let out = folder.join("x.png");
    let said = program(&["picture", "--out", &out.to_string_lossy(), "--at", "1e9"]);
    assert_eq!(said.outcome, Outcome::Unusable);
    assert!(said.error.contains("outside the stroke"), "{}", said.error);
}

#[test]
fn solids_are_closed_and_as_large_as_the_index_says() {
    let folder = scratch("solids");
    let said = program(&["solids", "--at", "195", "--out", &folder.to_string_lossy()]);
    assert_eq!(said.outcome, Outcome::Good, "{}", said.error);
    let text = std::fs::read_to_string(folder.join("index.json")).unwrap();
    let index: Value = serde_json::from_str(&text).unwrap();
    let solids = index["solids"].as_array().unwrap();
    assert!(solids.len() > 60);
    for solid in solids {
        let file = solid["file"].as_str().unwrap();
        let (volume, open) = read_stl(&std::fs::read(folder.join(file)).unwrap());
        let expected = solid["volume_mm3"].as_f64().unwrap();
        assert!((volume - expected).abs() <= 1e-4 * expected, "{file}: {volume} {expected}");
        assert_eq!(open, 0, "{file} has edges that are not walked once each way");
    }
}

/// Volume by the divergence theorem, and the number of edges not walked exactly once each way.
fn read_stl(bytes: &[u8]) -> (f64, usize) {
    let number = |at: usize| f32::from_le_bytes(bytes[at..at + 4].try_into().unwrap());
    let count = u32::from_le_bytes(bytes[80..84].try_into().unwrap()) as usize;
    let mut edges = std::collections::HashMap::new();
    let mut volume = 0.0;
    for triangle in 0..count {
        let at = 84 + 50 * triangle + 12;
        let corners = [0, 1, 2].map(|i| [0, 4, 8].map(|offset| number(at + 12 * i + offset)));
        let v = corners.map(|p| glidewright_geometry::DVec3::from_array(p.map(f64::from)));
        volume += v[0].dot(v[1].cross(v[2])) / 6.0;
        let key = corners.map(|p| p.map(f32::to_bits));
        for (a, b) in [(0, 1), (1, 2), (2, 0)] {
            *edges.entry((key[a], key[b])).or_insert(0usize) += 1;
        }
    }
    let bad = edges.iter().filter(|((a, b), n)| **n != 1 || edges.get(&(*b, *a)) != Some(&1)).count();
    (volume, bad)
}

#[test]
fn builds_say_what_share_fouls() {
    let stand = scratch("builds").join("stand.ron");
    std::fs::write(&stand, COPY_STAND).unwrap();
    let stand = stand.to_string_lossy().into_owned();
    let trial = ["builds", &stand, "--trial", "thin lock nuts", "--samples", "4000"];
    let said = program(&trial);
    assert_eq!(said.outcome, Outcome::Fails, "{}", said.error);
    for words in
        ["4 000 builds (seed 0)", "foul ", "with 95 % confidence", "Measure this first", "shared size plate"]
    {
        assert!(said.out.contains(words), "{words:?} is missing in\n{}", said.out);
    }
    let json = |more: &[&str]| -> Value {
        serde_json::from_str(&program(&[&trial[..], &["--json"], more].concat()).out).unwrap()
    };
    let plain = json(&[]);
    assert_eq!(plain["contract"], "glidewright.builds/1");
    assert_eq!(
        (&plain["trial"], &plain["status"]),
        (&Value::from("thin lock nuts"), &Value::from("some foul"))
    );
    assert_eq!(plain["samples"], 4000);
    let share = |value: &Value| value["fouls"]["share"].as_f64().unwrap();
    let (low, high) = (&plain["fouls"]["interval_95"][0], &plain["fouls"]["interval_95"][1]);
    assert!(low.as_f64().unwrap() < share(&plain) && share(&plain) < high.as_f64().unwrap());
    // The same again; another seed differs by chance; load takes of some gaps and widens others.
    assert_eq!(plain, json(&[]));
    assert_ne!(plain["fouls"], json(&["--seed", "1"])["fouls"]);
    let drawn = json(&["--as-drawn"]);
    assert_eq!((&plain["standing"], &drawn["standing"]), (&Value::from("loaded"), &Value::from("drawn")));
    assert!((drawn["gap"]["drawn_mm"].as_f64().unwrap() - 0.20).abs() < 1e-6, "as the trial is drawn");
    assert_ne!(drawn["gap"]["drawn_mm"], plain["gap"]["drawn_mm"]);
    // Of one lot or each by itself.
    let each = json(&["--each", "sizes/plate"]);
    let plate = |value: &Value| {
        let all = value["contributors"].as_array().unwrap();
        all.iter().find(|size| size["path"] == "sizes/plate").unwrap()["likeness"].clone()
    };
    assert_eq!((plate(&plain), plate(&each)), ("alike".into(), "each".into()));
    // As drawn and every trial, each as if asked by itself.
    let all = program(&["builds", &stand, "--all", "--samples", "4000", "--json"]);
    let all: Value = serde_json::from_str(&all.out).unwrap();
    let list = all["trials"].as_array().unwrap();
    assert!(list.len() > 3 && list[0]["trial"].is_null());
    assert_eq!(list.iter().find(|one| one["trial"] == "thin lock nuts"), Some(&plain));
    // What can't be used.
    for (wrong, words) in [
        (vec!["builds", &stand, "--trial", "none"], "none"),
        (vec!["builds", "no such file.ron"], "no such file"),
        (vec!["builds", &stand, "--samples", "0"], "samples"),
        (vec!["builds", &stand, "--each", "sizes/none"], "sizes/none"),
        (vec!["builds", &stand, "--each", "sizes/plate", "--alike", "sizes/plate"], "alike"),
    ] {
        let said = program(&wrong);
        assert_eq!(said.outcome, Outcome::Unusable, "{wrong:?}");
        assert!(said.error.contains(words), "{wrong:?}: {}", said.error);
    }
    for (verb, words) in
        [(vec!["man"], "builds"), (vec!["completions", "bash"], "builds"), (vec!["--help"], "builds")]
    {
        assert!(program(&verb).out.contains(words), "{verb:?}");
    }
}

#[test]
fn remedies_cure_the_copy_stand() {
    let folder = scratch("remedies");
    let path = |name: &str| folder.join(name).to_string_lossy().into_owned();
    let (stand, out, library) = (path("stand.ron"), path("tried.ron"), path("parts.ron"));
    for file in [&out, &library] {
        let _ = std::fs::remove_file(file);
    }
    std::fs::write(&stand, COPY_STAND).unwrap();
    let mut usual =
        vec!["remedies", &stand, "--range", "sizes/spacer=15..16", "--builds", "200", "--library", &library];
    for kind in ["wheel", "screw", "washer", "shim", "round"] {
        usual.extend(["--lock", kind]);
    }
    let run = |more: &[&str]| program(&[&usual[..], more].concat());
    // The library is named and is not there.
    let said = run(&[]);
    assert_eq!(said.outcome, Outcome::Unusable);
    assert!(said.error.contains("no library"), "{}", said.error);
    let noted =
        program(&["parts", "note", "DIN 985 M6", "--count", "8", "--price", "0.2", "--library", &library]);
    assert_eq!(noted.outcome, Outcome::Good, "{}", noted.error);
    let said = run(&[]);
    assert_eq!(said.outcome, Outcome::Good, "{}", said.error);
    for words in [
        "Copy stand, as drawn",
        "Now: 1 fail",
        "combinations, ",
        "camera head: nut DIN 985 M6; counterweight: nut DIN 985 M6; spacer 15.5",
        "cost EUR",
        "a thin nut bears",
    ] {
        assert!(said.out.contains(words), "{words:?} is missing in\n{}", said.out);
    }
    let longest = said.out.lines().map(|line| line.chars().count()).max().unwrap();
    assert!(longest <= 100, "{longest} columns:\n{}", said.out);
    let read =
        |more: &[&str]| -> Value { serde_json::from_str(&run(&[&["--json"], more].concat()).out).unwrap() };
    let found = read(&[]);
    assert_eq!((&found["contract"], &found["status"]), (&"glidewright.remedies/1".into(), &"cured".into()));
    let best = &found["rows"][0];
    assert_eq!(
        (&best["fails"], &best["marginal"], &best["pieces_to_buy"]),
        (&0.into(), &0.into(), &0.into())
    );
    assert_eq!(best["builds_that_foul"]["of"], 200);
    assert!((best["least_gap_mm"].as_f64().unwrap() - 1.2).abs() < 1e-6, "{best}");
    assert_eq!(found["combinations"], 4.0 * 4.0 * 3.0);
    // Nothing but what is at hand, and the nuts of one rider alone.
    let held = read(&["--at-hand"]);
    assert!(held["rows"].as_array().unwrap().iter().all(|row| row["pieces_to_buy"] == 0));
    let one = read(&["--lock", "camera head"]);
    assert!(!one.to_string().contains("camera head: nut"), "{one}");
    // Another order: none of these is better than what costs nothing and changes least.
    let cheap = read(&["--order", "cost,changed"]);
    let costs: Vec<f64> =
        cheap["rows"].as_array().unwrap().iter().map(|row| row["cost"].as_f64().unwrap()).collect();
    assert!(costs.is_sorted(), "{costs:?}");
    // A row becomes a trial of a new file, once.
    let written = run(&["--trial-of", "1", "--out", &out]);
    assert_eq!(written.outcome, Outcome::Good, "{}", written.error);
    let (checked, outcome) = check_json(&out, Some("remedy"));
    assert_eq!((outcome, &checked["status"]), (Outcome::Good, &"nothing fails".into()));
    let marginal = |finding: &&Value| finding["severity"] == "marginal";
    assert_eq!(checked["findings"].as_array().unwrap().iter().filter(marginal).count(), 0, "{checked}");
    let before = std::fs::read(&out).unwrap();
    let again = run(&["--trial-of", "1", "--out", &out]);
    assert_eq!((again.outcome, std::fs::read(&out).unwrap()), (Outcome::Unusable, before));
    // What can't be used.
    for (wrong, words) in [
        (vec!["--lock", "nobody"], "nothing here to keep"),
        (vec!["--range", "sizes/spacer=16..15"], "there is no value"),
        (vec!["--range", "sizes/spacer"], "no range of a size"),
        (vec!["--lock", "sizes/spacer"], "left open as well"),
        (vec!["--order", "beauty"], "beauty"),
        (vec!["--open", "riders/none"], "leave open"),
        (vec!["--trial", "none"], "none"),
        (vec!["--trial-of", "999", "--out", &path("never.ron")], "no row 999"),
    ] {
        let said = run(&wrong);
        assert_eq!(said.outcome, Outcome::Unusable, "{wrong:?}");
        assert!(said.error.contains(words), "{wrong:?}: {}", said.error);
    }
    // Nothing open: what there is now is told all the same.
    let mut all = vec!["remedies", &stand];
    for kind in ["wheel", "screw", "washer", "shim", "round", "nut", "spacer", "size", "remedy"] {
        all.extend(["--lock", kind]);
    }
    let said = program(&all);
    assert_eq!(said.outcome, Outcome::Unusable);
    assert!(
        said.error.contains("nothing is left open") && said.out.contains("Now: 1 fail"),
        "{}",
        said.error
    );
    for (verb, words) in
        [(vec!["man"], "remedies"), (vec!["completions", "bash"], "remedies"), (vec!["--help"], "remedies")]
    {
        assert!(program(&verb).out.contains(words), "{verb:?}");
    }
}

#[test]
fn a_library_of_ones_own() {
    let folder = scratch("library");
    let path = |name: &str| folder.join(name).to_string_lossy().into_owned();
    let (library, stand, table) = (path("parts.ron"), path("stand.ron"), path("readings.csv"));
    for file in [&library, &stand, &table, &path("out.csv"), &path("out.ron"), &path("other.ron")] {
        let _ = std::fs::remove_file(file);
    }
    std::fs::write(&stand, COPY_STAND).unwrap();
    let run = |arguments: &[&str]| {
        let mut all = vec!["parts", "--library", &library];
        all.extend(arguments);
        program(&all)
    };
    let good = |arguments: &[&str]| {
        let said = run(arguments);
        assert_eq!(said.outcome, Outcome::Good, "{arguments:?}: {}", said.error);
        said.out
    };
    // How sure a size is stands beside it.
    let listed = good(&["list", "thin", "lock", "M5"]);
    assert!(listed.contains("DIN 985 M5") && listed.contains("read in two sources"), "{listed}");
    assert!(good(&["list", "ISO 7719 M6"]).contains("from memory"));
    let json: Value = serde_json::from_str(&good(&["list", "ISO 4762 M5", "--json"])).unwrap();
    assert_eq!(json["parts"][0]["certainty"], "read in two sources");
    assert_eq!(json["parts"][0]["certainty_of"]["usual_torque"], "from memory");
    // What is noted of a part comes first and by its own name.
    good(&["note", "DIN 985 M5", "--count", "40", "--price", "0.07", "--called", "short nut"]);
    let listed = good(&["list", "nut", "M5"]);
    let first = listed.lines().next().unwrap();
    assert!(first.starts_with("DIN 985 M5") && first.contains("40 at hand; called short nut"), "{first}");
    assert_eq!(run(&["note", "no such part"]).outcome, Outcome::Unusable);
    assert_eq!(run(&["note", "DIN 985 M5", "--price=-1"]).outcome, Outcome::Unusable);
    // Readings go into the library, and with the part into a project.
    std::fs::write(&table, "part,size,reading,reading\nDIN 985 M5,height,4.91,4.89\n").unwrap();
    good(&["readings", &table]);
    good(&["take", "short nut", &stand]);
    let text = std::fs::read_to_string(&stand).unwrap();
    assert!(text.contains("4.91") && text.contains("0.07"), "{text}");
    good(&["readings", &table, &stand]);
    // A table that cannot be read is told with its line, and changes nothing.
    std::fs::write(&table, "part,size,reading\nDIN 985 M5,height,tall\n").unwrap();
    let before = std::fs::read_to_string(&library).unwrap();
    let said = run(&["readings", &table]);
    assert_eq!(said.outcome, Outcome::Unusable);
    assert!(said.error.contains("line 2"), "{}", said.error);
    assert_eq!(std::fs::read_to_string(&library).unwrap(), before);
    // Out and in again, both ways.
    for name in ["out.csv", "out.ron"] {
        let out = path(name);
        good(&["export", &out]);
        assert_eq!(run(&["export", &out]).outcome, Outcome::Unusable, "nothing is overwritten");
        let other = path("other.ron");
        let said = program(&["parts", "--library", &other, "import", &out]);
        assert_eq!(said.outcome, Outcome::Good, "{}", said.error);
        assert_eq!(std::fs::read_to_string(&other).unwrap(), before, "{name}");
        std::fs::remove_file(&other).unwrap();
    }
    // From a project into the library.
    good(&["keep", "DIN 985 M5", &stand]);
    assert_eq!(run(&["keep", "ISO 4032 M5", &stand]).outcome, Outcome::Unusable);
    // A broken library is told, and left as it is.
    std::fs::write(&library, "(format: 2,\n parts: [(name: 3)])").unwrap();
    let said = run(&["note", "DIN 985 M5", "--count", "1"]);
    assert_eq!(said.outcome, Outcome::Unusable);
    assert!(said.error.contains("line 2"), "{}", said.error);
    assert!(std::fs::read_to_string(&library).unwrap().contains("name: 3"));
}

#[test]
fn a_size_is_swept() {
    let said = program(&["sweep"]);
    assert!(said.outcome == Outcome::Good && said.out.contains("sizes/spacer"), "{}", said.out);
    let range = ["--size", "spacer", "--from", "13", "--to", "14", "--values", "5"];
    let said = program(&[&["sweep"][..], &range].concat());
    for words in
        ["shared size spacer from 13 to 14 mm, now 13", "Where it turns", "up to 13.5", "[gap.fouls]"]
    {
        assert!(said.out.contains(words), "{words:?} is missing in\n{}", said.out);
    }
    let folder = scratch("swept");
    for name in ["sweep.png", "sweep.svg", "sweep.pdf"] {
        let out = folder.join(name).to_string_lossy().into_owned();
        let said = program(&[&["sweep", "--json", "--picture", &out][..], &range].concat());
        assert_eq!(said.outcome, Outcome::Good, "{}", said.error);
        let json: Value = serde_json::from_str(&said.out).unwrap();
        assert_eq!(json["contract"], "glidewright.sweep/1");
        let values = json["values"].as_array().unwrap();
        assert_eq!(values.len(), 5);
        let gap = |value: &Value| value["least_gap_mm"].as_f64().unwrap();
        assert!((gap(&values[1]) - gap(&values[0]) - 0.25).abs() < 1e-9);
        assert!(std::fs::metadata(&out).unwrap().len() > 2_000);
    }
    for (arguments, words) in [
        (&["--size", "no such size"][..], "no size here"),
        (&["--size", "spacer", "--from", "5", "--to", "4"], "holds nothing"),
        (&["--size", "spacer", "--values", "1"], "none that can be swept"),
        (&["--size", "spacer", "--picture", "x.doc"], ".png, .svg or .pdf"),
        (&["--size", "spacer", "--picture", "x.png", "--plot", "beauty"], "no figure"),
        (&["--size", "spacer", "--trial", "no such trial"], "no trial"),
    ] {
        let said = program(&[&["sweep"][..], arguments].concat());
        assert_eq!(said.outcome, Outcome::Unusable);
        assert!(said.error.contains(words), "{words:?} is missing in {}", said.error);
    }
}

/// What is set beside each other is what each by itself comes to.
#[test]
fn trials_are_compared() {
    let said = program(&["compare", "--json"]);
    assert_eq!(said.outcome, Outcome::Good, "{}", said.error);
    let json: Value = serde_json::from_str(&said.out).unwrap();
    let trials = json["trials"].as_array().unwrap();
    let figure = |name: &str| {
        let all = json["figures"].as_array().unwrap();
        all.iter().find(|figure| figure["name"] == name).unwrap_or_else(|| panic!("{name}"))["values"].clone()
    };
    for (place, trial) in trials.iter().enumerate() {
        let trial = trial.as_str().unwrap();
        let own = check_json("../demo-projects/seedling-lift.ron", (trial != "as drawn").then_some(trial)).0;
        let gap = own["key_figures"]["tightest_gap_mm"].as_f64().unwrap();
        assert!((figure("tightest gap as drawn")[place].as_f64().unwrap() - gap).abs() < 1e-9, "{trial}");
        let fouls = own["key_figures"]["builds_that_foul"]["share"].as_f64().unwrap();
        assert!(
            (figure("builds that foul")[place].as_f64().unwrap() - 100.0 * fouls).abs() < 1e-9,
            "{trial}"
        );
    }
    // Smaller wheels stand out less, and shorter screws cost less.
    let at = |name: &str| trials.iter().position(|trial| trial == name).unwrap();
    let beside = figure("stands out beside the rail");
    assert!(beside[at("smaller wheels")].as_f64().unwrap() + 5.9 < beside[0].as_f64().unwrap());
    let cost = figure("parts cost, guide prices");
    assert!(cost[at("shorter screws")].as_f64().unwrap() < cost[0].as_f64().unwrap());
    let text = program(&["compare", "--with", "shorter screws"]).out;
    for words in ["(2)  shorter screws", "Alike in all", "4 × ISO 4762 M5 × 40 instead of"] {
        assert!(text.contains(words), "{words:?} is missing in\n{text}");
    }
    let folder = scratch("compared-by");
    for show in ["gap", "bench", "stacks", "space"] {
        let out = folder.join(format!("{show}.svg")).to_string_lossy().into_owned();
        let said = program(&["compare", "--with", "tie on edge", "--show", show, "--out", &out]);
        assert_eq!(said.outcome, Outcome::Good, "{}", said.error);
        assert!(std::fs::read_to_string(&out).unwrap().contains("tie on edge"));
    }
    for (arguments, words) in [
        (&["--with", "no such trial"][..], "no trial"),
        (&["--show", "beauty", "--out", "x.png"], "no picture"),
        (&["--out", "x.doc"], ".png, .svg or .pdf"),
        (&["--with", "as drawn"], "nothing to compare"),
    ] {
        let said = program(&[&["compare"][..], arguments].concat());
        assert_eq!(said.outcome, Outcome::Unusable);
        assert!(said.error.contains(words), "{words:?} is missing in {}", said.error);
    }
}

/// Where sizes as drawn leave a gap and builds foul all the same, that is a finding, and the same share as `builds` prints.
#[test]
fn builds_that_foul_are_found() {
    let stand = scratch("fouling").join("stand.ron");
    std::fs::write(&stand, COPY_STAND).unwrap();
    let file = stand.to_string_lossy().into_owned();
    let (json, _) = check_json(&file, Some("thin lock nuts"));
    let finding = json["findings"].as_array().unwrap().iter().find(|f| f["code"] == "builds.foul").unwrap();
    assert_eq!(finding["severity"], "marginal");
    let said = program(&["builds", &file, "--trial", "thin lock nuts", "--json"]);
    let builds: Value = serde_json::from_str(&said.out).unwrap();
    assert_eq!(json["key_figures"]["builds_that_foul"], builds["fouls"]);
    assert_eq!(finding["value"].as_f64().unwrap(), 100.0 * builds["fouls"]["share"].as_f64().unwrap());
    // As drawn it fouls anyway, which is said already.
    let (drawn, _) = check_json(&file, None);
    assert!(drawn["findings"].as_array().unwrap().iter().all(|f| f["code"] != "builds.foul"));
}
