//! Searches: the same as going through everything, whatever the order and the threads, and in words where there is none.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};

use glidewright_choice::{Aim, Asked, Found, NoSearch, PlaceKind, Range, Row, Search, Stage};
use glidewright_motion::{Role, Severity, analyse};
use glidewright_project::document::{Change, PartsFile, Stocked, Trial};
use glidewright_project::size::Formula;
use glidewright_project::{Document, apply, demo, parse, resolve};

fn stand() -> Document {
    parse(glidewright_samples::COPY_STAND).unwrap()
}

/// Nothing but these kinds of places, without builds.
fn only(kinds: &[PlaceKind]) -> Asked {
    let others = PlaceKind::ALL.into_iter().filter(|kind| !kinds.contains(kind));
    let locked = others.map(|kind| kind.word().to_owned()).collect();
    Asked { locked, builds: 0, analyses: 100_000, ..Asked::default() }
}

fn range(path: &str, from: f64, to: f64, step: f64) -> (String, Range) {
    (path.to_owned(), Range { from, to, step })
}

fn begin(document: &Document, asked: &Asked) -> Search {
    Search::begin(document, None, asked).unwrap_or_else(|why| panic!("{why:?}"))
}

fn searched(document: &Document, asked: &Asked) -> (Search, Found) {
    let mut search = begin(document, asked);
    while !search.advance(1000, &|| false).is_done {}
    let found = search.outcome();
    (search, found)
}

/// What a reader is told of a row but for the words of its notes.
fn told(row: &Row) -> String {
    let mut words = row.words.clone();
    words.sort();
    let mut alike: Vec<Vec<String>> = row.alike.clone();
    alike.iter_mut().for_each(|words| words.sort());
    alike.sort();
    format!(
        "{words:?} fails {} marginal {} cured {:?} brought {:?} gap {:.4?} changed {} bought {} for {:.2} {:?} effort {:.3?} alike {alike:?}",
        row.fails,
        row.marginal,
        row.cured.len(),
        row.brought.iter().map(|told| told.code).collect::<Vec<_>>(),
        row.least_gap,
        row.changed,
        row.pieces,
        row.cost,
        row.certainty,
        row.effort
    )
}

/// Spaces small enough to go through: the copy stand, the demo and generated fixtures.
fn spaces() -> Vec<(String, Document, Asked)> {
    use PlaceKind::{Nut, Remedy, Round, Screw, Shim, Size, Washer, Wheel};
    let (stand, demo) = (stand(), demo().unwrap());
    let with = |kinds: &[PlaceKind], ranges: &[(String, Range)], locked: &[&str]| {
        let mut asked = only(kinds);
        asked.ranges = ranges.iter().cloned().collect();
        asked.locked.extend(locked.iter().map(|lock| (*lock).to_owned()));
        asked
    };
    let spacer = |from, to| range("sizes/spacer", from, to, 0.5);
    let mut spaces = vec![
        ("stand: nuts and spacers", stand.clone(), with(&[Nut], &[spacer(15.0, 16.0)], &[])),
        (
            "stand: screws turned round",
            stand.clone(),
            with(&[Round, Nut], &[spacer(14.0, 14.5)], &["camera head"]),
        ),
        (
            "stand: screws and rings",
            stand.clone(),
            with(&[Screw, Shim], &[spacer(15.5, 15.5)], &["camera head"]),
        ),
        ("stand: wheels and nuts", stand, with(&[Wheel, Nut], &[], &["counterweight"])),
        (
            "demo: spacers and trays",
            demo.clone(),
            with(&[Remedy], &[spacer(12.0, 15.0), range("sizes/tray", 218.0, 219.0, 1.0)], &[]),
        ),
        (
            "demo: screws and nuts",
            demo.clone(),
            with(&[Screw, Nut], &[range("sizes/tray", 219.0, 219.0, 1.0)], &["rear tray"]),
        ),
        ("demo: wheels", demo, with(&[Wheel, Washer], &[spacer(15.0, 15.0)], &["front tray"])),
    ];
    let mut names: Vec<(String, Document, Asked)> =
        spaces.drain(..).map(|(name, document, asked)| (name.to_owned(), document, asked)).collect();
    // Ten always, more where that is asked for.
    let count =
        std::env::var("GLIDEWRIGHT_GENERATED").ok().and_then(|count| count.parse().ok()).unwrap_or(10);
    for generated in glidewright_generated::usable(1) {
        if names.len() >= count {
            break;
        }
        // What has something to cure, and few enough ways to do it.
        let kinds: [&[PlaceKind]; 3] =
            [&[Nut, Washer, Remedy, Size], &[Nut, Round, Shim, Remedy], &[Screw, Wheel, Remedy]];
        let asked = with(kinds[generated.seed as usize % kinds.len()], &[], &[]);
        let Ok(search) = Search::begin(&generated.document, None, &asked) else { continue };
        if (8..=120).contains(&search.size()) && !search.now().is_empty() {
            names.push((format!("generated {}", generated.seed), generated.document, asked));
        }
    }
    names
}

#[test]
fn a_search_is_what_going_through_everything_is() {
    let mut cured = 0;
    for (name, document, asked) in spaces() {
        let (_, whole) = searched(&document, &Asked { whole_up_to: u128::MAX, ..asked.clone() });
        let (_, found) = searched(&document, &Asked { whole_up_to: 0, most: 10_000, ..asked.clone() });
        assert_eq!(whole.space, found.space, "{name}");
        assert_eq!(whole.checked.0, 0, "{name}: everything was looked at");
        let (whole_rows, found_rows): (Vec<_>, Vec<_>) =
            (whole.rows.iter().map(told).collect(), found.rows.iter().map(told).collect());
        assert_eq!(whole_rows, found_rows, "{name}");
        cured += usize::from(whole.rows.first().is_some_and(|row| !row.cured.is_empty()));
        // Of a search that ends sooner the rows said to be final are.
        let (_, short) = searched(&document, &Asked { whole_up_to: 0, most: 2, ..asked });
        let last = short.progress.final_rows.min(short.rows.len());
        for (short, whole) in short.rows.iter().take(last).zip(&whole.rows) {
            assert_eq!(short.words, whole.words, "{name}");
        }
        assert!(last >= whole.rows.len().min(2), "{name}: {last} of {}", whole.rows.len());
    }
    assert!(cured >= 6, "only {cured} of the spaces have anything to cure");
}

/// The worked example: of thin nuts on both riders with spacers of 15.5 the least gap is 1.20 mm, of thin nuts on the one and
/// screws of 50 mm turned round on the other 1.750, and neither leaves a gap too small (analysed when that example was written).
#[test]
fn the_copy_stand_is_cured_as_is_known() {
    use PlaceKind::{Nut, Round};
    let mut asked = only(&[Nut, Round]);
    asked.ranges = BTreeMap::from([range("sizes/spacer", 15.5, 15.5, 0.5)]);
    asked.whole_up_to = u128::MAX;
    let (_, found) = searched(&stand(), &asked);
    let row = |wanted: &[&str]| {
        found.rows.iter().find(|row| {
            let words: Vec<&str> = row.words.iter().map(String::as_str).collect();
            words == wanted || row.alike.iter().any(|words| words == wanted)
        })
    };
    let thin = row(&["camera head: nut DIN 985 M6", "counterweight: nut DIN 985 M6", "spacer 15.5"]).unwrap();
    assert!((thin.least_gap.unwrap() - 1.20).abs() < 1e-6, "{:?}", thin.least_gap);
    assert_eq!((thin.fails, thin.marginal), (0, 0));
    let turned = [
        Change::Swap {
            from: "ISO 7040 M6".to_owned(),
            to: "DIN 985 M6".to_owned(),
            within: "riders/camera head".to_owned(),
        },
        Change::Turn { within: "riders/counterweight".to_owned() },
        Change::Set { path: "riders/counterweight/stack/length".to_owned(), to: Formula::Number(50.0) },
    ];
    let mut tried = stand();
    tried.trials.push(Trial {
        name: "turned".to_owned(),
        note: String::new(),
        over: vec![],
        changes: turned.to_vec(),
    });
    let results = analyse(resolve(&tried, Some("turned")).fixture.as_ref().unwrap());
    assert!((results.interference.tightest().unwrap().gap - 1.75).abs() < 1e-6);
    // A screw that is turned follows to the length it needs there.
    let row =
        found.rows.iter().find(|row| row.words.iter().any(|words| words.ends_with("turned round"))).unwrap();
    assert!(row.words.iter().any(|words| words.ends_with("screws of 50 mm")), "{:?}", row.words);
}

/// What the best offered on the demo cures is all there is to cure.
#[test]
fn the_demo_is_cured() {
    let mut asked = Asked { builds: 200, finalists: 1, most: 1, ..Asked::default() };
    asked.locked = ["wheel", "washer", "shim", "round"].map(str::to_owned).to_vec();
    let (search, found) = searched(&demo().unwrap(), &asked);
    assert!(found.space > 10_000, "{}", found.space);
    let best = found.rows.first().unwrap();
    assert_eq!((best.fails, best.marginal), (0, 0), "{best:#?}");
    assert_eq!(best.cured, (0..search.now().len()).collect::<Vec<_>>());
    assert_eq!(best.builds.unwrap().of, 200);
    assert_eq!(best.changed, 3, "{:?}", best.words);
}

/// Every row is what the document with its trial comes to.
#[test]
fn rows_are_trials() {
    use PlaceKind::{Nut, Round};
    let mut asked = only(&[Nut, Round]);
    asked.whole_up_to = u128::MAX;
    let document = stand();
    let (search, found) = searched(&document, &asked);
    for row in found.rows.iter().step_by(3) {
        let mut tried = document.clone();
        tried.trials.push(row.trial("found", None));
        let resolved = resolve(&tried, Some("found"));
        assert!(!resolved.has_errors(), "{:?}", resolved.problems);
        let results = analyse(resolved.fixture.as_ref().unwrap());
        let count = |severity| results.findings.iter().filter(|f| f.severity == severity).count() as u32;
        assert_eq!((count(Severity::Fails), count(Severity::Marginal)), (row.fails, row.marginal));
        assert_eq!(results.interference.tightest().map(|pair| pair.gap), row.least_gap);
        assert_eq!(
            search.document(row).unwrap(),
            Document { trials: Vec::new(), ..apply(&tried, "found").0 }
        );
    }
}

/// Gaps along facing screws are sums: what each reaches less is what they come apart, as the kernel finds it.
#[test]
fn sums_are_what_the_kernel_finds() {
    use PlaceKind::{Nut, Screw, Shim};
    let mut asked = only(&[Nut, Shim, Screw]);
    asked.ranges = BTreeMap::from([range("sizes/spacer", 14.5, 16.0, 0.5)]);
    asked.whole_up_to = 0;
    let document = stand();
    let mut search = begin(&document, &asked);
    search.advance(120, &|| false);
    let found = search.outcome();
    let least = |row: &Row, roles: [Role; 2]| {
        let mut tried = document.clone();
        tried.trials.push(row.trial("found", None));
        let results = analyse(resolve(&tried, Some("found")).fixture.as_ref().unwrap());
        let assembly = &results.assembly;
        let role = |id| assembly.body(id).map(|body| body.role);
        let gaps = results.interference.passing.iter().filter(|pair| {
            let own = [role(pair.bodies.0), role(pair.bodies.1)];
            own == roles.map(Some) && pair.kinship == glidewright_motion::Kinship::RiderAndRider
        });
        gaps.map(|pair| pair.gap).reduce(f64::min)
    };
    let now = search.reaches(&found.now);
    let mut compared = 0;
    for (roles, of) in [
        ([Role::Nut, Role::Nut], [(|r| r.nut) as fn(&glidewright_choice::Reach) -> f64; 2]),
        ([Role::ScrewEnd, Role::ScrewEnd], [|r| r.end; 2]),
    ] {
        let Some(gap_now) = least(&found.now, roles) else { continue };
        for row in found.rows.iter().take(12) {
            let then = search.reaches(row);
            let less: f64 = (0..2).map(|n| of[n](&now[n].1) - of[n](&then[n].1)).sum();
            let Some(gap) = least(row, roles).filter(|gap| *gap > 0.0) else { continue };
            let expected = gap_now + less;
            assert!((gap - expected).abs() < 1e-6, "{:?}: {gap} {expected}", row.words);
            compared += 1;
        }
    }
    assert!(compared >= 3, "{compared}");
}

#[test]
fn the_order_of_riders_does_not_matter() {
    use PlaceKind::{Nut, Round, Screw};
    let mut asked = only(&[Nut, Round, Screw]);
    asked.ranges = BTreeMap::from([range("sizes/spacer", 14.5, 15.5, 0.5)]);
    asked.most = 4;
    let document = stand();
    let mut other = document.clone();
    other.riders.reverse();
    other.parts.reverse();
    other.obstacles.reverse();
    let ((_, one), (_, two)) = (searched(&document, &asked), searched(&other, &asked));
    let first = one.progress.final_rows.min(two.progress.final_rows).min(one.rows.len());
    assert!(first >= 4, "{first}");
    for (one, two) in one.rows.iter().zip(&two.rows).take(first) {
        assert_eq!(told(one), told(two));
    }
}

#[test]
fn threads_and_steps_do_not_matter() {
    use PlaceKind::{Nut, Round};
    let mut asked = only(&[Nut, Round]);
    asked.ranges = BTreeMap::from([range("sizes/spacer", 15.0, 15.5, 0.5)]);
    let asked = Asked { whole_up_to: 0, builds: 500, finalists: 2, most: 3, ..asked };
    let run = |threads: usize, step: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            let mut search = begin(&stand(), &asked);
            while !search.advance(step, &|| false).is_done {}
            search.outcome()
        })
    };
    let one = run(1, 10_000);
    assert_eq!(one, run(2, 10_000));
    assert_eq!(one, run(2, 7));
}

/// Stopped half-way it says how far it is, tells what is known, and goes on as if it had not been.
#[test]
fn a_stop_loses_nothing() {
    use PlaceKind::{Nut, Round};
    let asked = Asked { whole_up_to: 0, most: 3, ..only(&[Nut, Round]) };
    let mut search = begin(&stand(), &asked);
    let asked_about = AtomicUsize::new(0);
    let progress = search.advance(10_000, &|| asked_about.fetch_add(1, Ordering::Relaxed) >= 1);
    assert!(!progress.is_done && progress.stage == Stage::Alone, "{progress:?}");
    let early = search.outcome();
    assert_eq!((early.progress.final_rows, early.progress.analysed), (0, progress.analysed));
    assert!(!early.rows.is_empty());
    while !search.advance(16, &|| false).is_done {}
    assert_eq!(search.outcome(), searched(&stand(), &asked).1);
}

#[test]
fn another_order_puts_others_first() {
    use PlaceKind::Nut;
    let mut asked = Asked { whole_up_to: u128::MAX, ..only(&[Nut, PlaceKind::Wheel]) };
    asked.locked.push("counterweight".to_owned());
    let (_, usual) = searched(&stand(), &asked);
    let easiest = Asked { order: vec![Aim::Effort], ..asked };
    let (_, easy) = searched(&stand(), &easiest);
    let efforts: Vec<f64> = easy.rows.iter().map(|row| row.number(Aim::Effort)).collect();
    assert!(efforts.len() > 2 && efforts.is_sorted(), "{efforts:?}");
    let words = |found: &Found| found.rows.iter().map(|row| row.words.clone()).collect::<Vec<_>>();
    assert_ne!(words(&usual), words(&easy));
}

#[test]
fn what_is_locked_stays() {
    let document = stand();
    let places = |locked: &[&str]| {
        let asked =
            Asked { locked: locked.iter().map(|lock| (*lock).to_owned()).collect(), ..Asked::default() };
        let search = begin(&document, &asked);
        search.places().iter().map(|place| place.path.clone()).collect::<Vec<_>>()
    };
    let all = places(&[]);
    assert!(all.contains(&"riders/camera head/stack/nut".to_owned()), "{all:?}");
    assert!(places(&["camera head"]).iter().all(|path| !path.contains("camera head")));
    assert!(places(&["ISO 7040 M6"]).iter().all(|path| !path.ends_with("/nut")));
    assert!(places(&["sizes/spacer"]).iter().all(|path| path != "sizes/spacer"));
    assert!(places(&["wheel"]).iter().all(|path| !path.ends_with("/wheel")));
    let one = places(&["riders/counterweight/stack/nut"]);
    assert!(one.iter().any(|path| path == "riders/camera head/stack/nut"));
    assert!(one.iter().all(|path| path != "riders/counterweight/stack/nut"));
    // One kind of wheel everywhere is one place.
    let asked = Asked { one_wheel: true, ..only(&[PlaceKind::Wheel]) };
    let (search, found) = searched(&document, &asked);
    assert_eq!(search.places().len(), 1);
    assert!(found.rows.iter().all(|row| row.wheels.len() == 1), "{:?}", found.rows);
}

#[test]
fn only_what_is_at_hand_is_taken() {
    let stocked = |count| Stocked { part: "DIN 985 M6".to_owned(), count: Some(count), ..Stocked::default() };
    let asked = |count| Asked {
        at_hand_only: true,
        library: PartsFile { stock: vec![stocked(count)], ..PartsFile::default() },
        whole_up_to: u128::MAX,
        ..only(&[PlaceKind::Nut])
    };
    let words = |count| {
        let (_, found) = searched(&stand(), &asked(count));
        let rows = found.rows.into_iter();
        rows.inspect(|row| assert_eq!((row.pieces, row.cost), (0, 0.0)))
            .flat_map(|row| [vec![row.words.clone()], row.alike].concat())
            .collect::<Vec<_>>()
    };
    // Four nuts are enough for one rider.
    assert!(words(4).iter().all(|words| words.len() == 1), "{:?}", words(4));
    let both = ["camera head: nut DIN 985 M6", "counterweight: nut DIN 985 M6"].map(str::to_owned).to_vec();
    assert!(words(8).contains(&both) && !words(4).contains(&both));
    // What is at hand need not be bought where anything may be.
    let bought = Asked { at_hand_only: false, ..asked(8) };
    let (_, found) = searched(&stand(), &bought);
    let row = found.rows.iter().find(|row| row.words == both).unwrap();
    assert_eq!(row.pieces, 0);
    let priced = Stocked { price: Some(0.5), ..stocked(0) };
    let library = PartsFile { stock: vec![priced], ..PartsFile::default() };
    let (_, found) = searched(&stand(), &Asked { library, ..bought });
    let row = found.rows.iter().find(|row| row.words == both).unwrap();
    assert_eq!((row.pieces, row.cost, row.has_guide_price), (8, 4.0, false));
}

/// Rules of the trade hold in every row: locking nuts stay such, a thin nut is told about, rings are no wider than the inner ring.
#[test]
fn rules_hold() {
    let search = begin(&stand(), &Asked::default());
    let nuts = search.places().iter().find(|place| place.kind == PlaceKind::Nut).unwrap();
    let names: Vec<&str> = nuts.offers.iter().filter_map(|offer| offer.part.as_deref()).collect();
    assert!(
        names.contains(&"DIN 985 M6") && !names.iter().any(|name| name.starts_with("ISO 4032")),
        "{names:?}"
    );
    let thin = nuts.offers.iter().find(|offer| offer.part.as_deref() == Some("ISO 10511 M6")).unwrap();
    assert!(thin.note.is_some());
    for place in search.places().iter().filter(|place| place.kind == PlaceKind::Screw) {
        let countersunk = |name: &str| name.starts_with("ISO 10642") || name.starts_with("DIN 7991");
        assert!(place.offers.iter().all(|offer| !countersunk(offer.part.as_deref().unwrap())));
    }
    // DIN 988 rings for M6 are 12 mm across, the inner ring of a 626 about 9.
    for place in search.places().iter().filter(|place| place.kind == PlaceKind::Shim) {
        assert!(place.offers.iter().all(|offer| !offer.part.as_deref().unwrap().starts_with("DIN 988")));
    }
}

#[test]
fn bad_input_is_told_in_words() {
    let document = stand();
    let problem = |asked: Asked| match Search::begin(&document, None, &asked) {
        Err(NoSearch::Problems(problems)) => problems.iter().map(|p| p.line()).collect::<Vec<_>>().join("\n"),
        Err(NoSearch::NothingOpen { .. }) => panic!("nothing open"),
        Ok(_) => panic!("a search"),
    };
    let lock = |lock: &str| Asked { locked: vec![lock.to_owned()], ..Asked::default() };
    assert!(problem(lock("nobody")).contains("nothing here to keep"));
    let mut both = lock("sizes/spacer");
    both.ranges = BTreeMap::from([range("sizes/spacer", 14.0, 16.0, 0.5)]);
    assert!(problem(both).contains("left open as well"));
    for (from, to, step) in [(16.0, 14.0, 0.5), (14.0, 16.0, 0.0), (0.0, 1e9, 0.5), (f64::NAN, 1.0, 1.0)] {
        let ranges = BTreeMap::from([range("sizes/spacer", from, to, step)]);
        assert!(problem(Asked { ranges, ..Asked::default() }).contains("there is no value"));
    }
    let ranges = BTreeMap::from([range("sizes/none", 1.0, 2.0, 1.0)]);
    assert!(problem(Asked { ranges, ..Asked::default() }).contains("no size here"));
    assert!(
        problem(Asked { open: vec!["riders/none".to_owned()], ..Asked::default() }).contains("leave open")
    );
    // A trial there is not, and one that no longer applies.
    assert!(matches!(Search::begin(&document, Some("none"), &Asked::default()), Err(NoSearch::Problems(_))));
    let mut stale = document.clone();
    let change = Change::Remove { path: "obstacles/gone".to_owned() };
    stale.trials[0].changes.push(change);
    let name = stale.trials[0].name.clone();
    let Err(NoSearch::Problems(problems)) = Search::begin(&stale, Some(&name), &Asked::default()) else {
        panic!("a search")
    };
    assert!(problems.iter().any(|problem| problem.message.contains("no longer applies")), "{problems:?}");
    // Nothing left open.
    match Search::begin(&document, None, &only(&[])) {
        Err(NoSearch::NothingOpen { now, .. }) => assert!(now.fails > 0 && now.words.is_empty()),
        other => panic!("{:?}", other.err()),
    }
    // A range that makes it no fixture is said; what is known besides is told.
    let mut asked = only(&[PlaceKind::Nut]);
    asked.ranges = BTreeMap::from([range("stroke/to", -200.0, 400.0, 300.0)]);
    let (_, found) = searched(&document, &asked);
    assert!(!found.impossible.is_empty() && !found.rows.is_empty(), "{:?}", found.impossible);
}

/// Many riders with many screws: it begins, goes on for as long as is asked and says that it was cut short.
#[test]
fn a_crowd_is_cut_short_and_says_so() {
    let document = parse(&glidewright_generated::crowd(5, 4)).unwrap();
    let asked = Asked { analyses: 6, builds: 0, ..Asked::default() };
    match Search::begin(&document, None, &asked) {
        Ok(mut search) => {
            while !search.advance(16, &|| false).is_done {}
            let found = search.outcome();
            assert!(found.progress.analysed <= 64, "{:?}", found.progress);
            assert!(
                found.remarks.iter().any(|remark| remark.contains("not looked further")),
                "{:?}",
                found.remarks
            );
        }
        Err(NoSearch::NothingOpen { .. }) => panic!("nothing open"),
        Err(NoSearch::Problems(problems)) => panic!("{problems:?}"),
    }
}
