//! One size over a range: against closed forms, against every value worked out by itself, and of bad input.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::Project;
use glidewright_choice::{Builds, Figure, Question, Share, Sweep, SweepQuestion, Swept};
use glidewright_motion::{PairResult, Severity, analyse};
use glidewright_project::{Document, demo, edit, numbers, parse, resolve};

fn swept(document: &Document, question: SweepQuestion) -> Swept {
    let mut sweep = Sweep::begin(document, None, question).unwrap_or_else(|problems| panic!("{problems:#?}"));
    while sweep.advance(usize::MAX, &|| false) {}
    sweep.swept()
}

/// A mast that grows towards a bar: the gap is 4 mm less what it grows, required are 0.5.
fn growing() -> Document {
    Project::passing("\"grows\": 1,", "grows", 4.0).document()
}

#[test]
fn ends_are_where_the_closed_form_has_them() {
    let sweep = swept(&growing(), SweepQuestion { count: 7, ..SweepQuestion::over("grows", -1.0, 6.0) });
    for point in &sweep.points {
        let gap = point.figure(Figure::Gap).unwrap();
        assert!((gap - (4.0 - point.value)).abs() < 1e-6, "{gap} at {}", point.value);
    }
    let of = |code: &str, begins: bool| {
        let has = |end: &&glidewright_choice::End| {
            let list = if begins { &end.begins } else { &end.ceases };
            list.iter().any(|trouble| trouble.code == code)
        };
        let found: Vec<f64> = sweep.ends.iter().filter(has).map(|end| end.value()).collect();
        assert_eq!(found.len(), 1, "{code}: {found:?}");
        found[0]
    };
    assert!((of("gap.marginal", true) - 3.5).abs() < 1e-4);
    assert!((of("gap.marginal", false) - 4.0).abs() < 1e-4);
    assert!((of("gap.fouls", true) - 4.0).abs() < 1e-4);
    let order: Vec<f64> = sweep.ends.iter().map(|end| end.value()).collect();
    assert!(order.is_sorted());
}

/// A shared name will do, and the other sizes are as they were.
#[test]
fn every_value_is_what_the_document_with_it_comes_to() {
    let demo = demo().unwrap();
    for path in ["sizes/spacer", "riders/front tray/at", "rail/length"] {
        let size = numbers(&resolve(&demo, None)).into_iter().find(|size| size.path == path).unwrap();
        let question = SweepQuestion { count: 3, ..SweepQuestion::about(&size) };
        let (from, to) = (question.from, question.to);
        assert!(from < size.now && size.now < to);
        let sweep = swept(&demo, question);
        for point in &sweep.points {
            let typed = format!("{}", point.value);
            let edited =
                edit::set_all(&demo, path, &glidewright_project::size::Formula::typed(&typed)).unwrap();
            let resolved = resolve(&edited.document, None);
            let Ok(figures) = &point.outcome else {
                assert!(resolved.has_errors() || resolved.fixture.is_none(), "{path} {typed}");
                continue;
            };
            let results = analyse(&resolved.fixture.unwrap());
            assert_eq!(figures.of_figure(Figure::Gap), results.interference.least(|pair| pair.gap));
            assert_eq!(figures.of_figure(Figure::LeftGap), results.interference.least(PairResult::left));
            let counted = |severity| results.findings.iter().filter(|f| f.severity == severity).count();
            assert_eq!(figures.counts(), (counted(Severity::Fails), counted(Severity::Marginal)), "{path}");
        }
    }
}

/// Whatever a size counts in, written as the sweep writes it, it comes to what was meant.
#[test]
fn every_size_of_generated_projects_can_be_written() {
    for seed in 0..20 {
        let document = parse(&glidewright_generated::project(seed)).unwrap();
        let resolved = resolve(&document, None);
        for size in numbers(&resolved) {
            let value = size.now + 0.125;
            let Ok(edited) = edit::set_all(&document, &size.path, &size.written(value)) else { continue };
            let after = glidewright_project::Values::of(&edited.document, None).0;
            let found = after.at(&size.path).unwrap().nominal;
            assert!(
                (found - value).abs() < 1e-9 * value.abs().max(1.0),
                "{seed} {}: {found} {value}",
                size.path
            );
        }
    }
}

#[test]
fn shared_sizes_of_every_kind_keep_their_unit() {
    let units =
        ["5 mm", "0.2 in", "12 deg", "300 g", "2 kg", "4 N", "30 N·mm", "7 MPa", "2 N/mm", "1.5 s", "3"];
    let sizes: String = units.iter().enumerate().map(|(i, unit)| format!("\"s{i}\": \"{unit}\",")).collect();
    let document = Project::passing(&sizes, "0", 4.0).document();
    for size in numbers(&resolve(&document, None)).iter().filter(|size| size.path.starts_with("sizes/")) {
        let edited = edit::set_all(&document, &size.path, &size.written(2.5 * size.now)).unwrap();
        let after = numbers(&resolve(&edited.document, None));
        let after = after.iter().find(|known| known.path == size.path).unwrap();
        assert_eq!(after.quantity, size.quantity);
        assert!((after.now - 2.5 * size.now).abs() < 1e-9 * size.now.abs(), "{after:?}");
    }
}

/// On either side of an end, just beyond it, the analysis says what the end says.
#[test]
fn ends_hold_on_generated_fixtures() {
    let mut ends = 0;
    for seed in [3, 8, 11, 19] {
        let document = parse(&glidewright_generated::project(seed)).unwrap();
        let sizes = numbers(&resolve(&document, None));
        for size in sizes.iter().filter(|size| size.now > 4.0 && size.unit() == "mm").step_by(9).take(3) {
            let sweep = swept(&document, SweepQuestion { count: 5, ..SweepQuestion::about(size) });
            for end in &sweep.ends {
                ends += 1;
                assert!(end.between.1 - end.between.0 <= 1e-4 + 1e-12);
                let codes = |value: f64| {
                    let edited = edit::set_all(&document, &size.path, &size.written(value)).ok()?;
                    let resolved = resolve(&edited.document, None);
                    let fixture = resolved.fixture.as_ref().filter(|_| !resolved.has_errors())?;
                    let worse = |f: &glidewright_motion::Finding| f.severity > Severity::Note;
                    let found = analyse(fixture).findings.into_iter().filter(worse);
                    Some(found.map(|finding| finding.code).collect::<Vec<_>>())
                };
                let (below, above) = (codes(end.between.0), codes(end.between.1));
                assert_eq!(
                    [below.is_none(), above.is_none()],
                    end.impossible.each_ref().map(Option::is_some)
                );
                let has = |codes: &Option<Vec<&str>>, code| codes.as_ref().is_some_and(|c| c.contains(&code));
                assert!(end.ceases.iter().all(|trouble| has(&below, trouble.code)), "{seed} {end:?}");
                assert!(end.begins.iter().all(|trouble| has(&above, trouble.code)), "{seed} {end:?}");
            }
        }
    }
    assert!(ends >= 5, "{ends} ends are too few to tell");
}

#[test]
fn threads_steps_and_stops_do_not_matter() {
    let question = |in_passing| SweepQuestion {
        count: 9,
        in_passing,
        builds: 200,
        ..SweepQuestion::over("grows", 3.0, 5.0)
    };
    let outcome = |threads: usize, steps: usize, in_passing: bool| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            let mut sweep = Sweep::begin(&growing(), None, question(in_passing)).unwrap_or_else(|_| panic!());
            let mut turns = 0;
            while sweep.advance(steps, &|| false) {
                turns += 1;
                assert!(turns < 1000 && !sweep.advance(steps, &|| true) || !sweep.is_done());
            }
            assert_eq!(sweep.progress().0, sweep.progress().1);
            sweep.swept()
        })
    };
    let one = outcome(1, 1, false);
    assert_eq!(one, outcome(2, 1, false));
    assert_eq!(one, outcome(2, usize::MAX, false));
    // What was seen in passing gives way to what is worked out.
    let passed = outcome(2, 3, true);
    assert_eq!((one.points, one.ends), (passed.points, passed.ends));
}

#[test]
fn shares_are_those_of_builds() {
    let document = Project::passing(
        "\"grows\": 1, \"off\": (value: 0, tolerance: plus_minus(0.4)),",
        "grows + off",
        4.0,
    )
    .document();
    let question =
        SweepQuestion { count: 5, builds: 2_000, seed: 3, ..SweepQuestion::over("grows", 3.0, 5.0) };
    let sweep = swept(&document, question);
    for point in &sweep.points {
        let edited = edit::set(&document, "sizes/grows", &format!("{}", point.value)).unwrap();
        let asked = Question { seed: 3, ..Question::default() };
        let mut builds = Builds::begin(&edited.document, None, &asked).unwrap_or_else(|_| panic!());
        builds.advance(2_000, &|| false);
        let alone = builds.outcome().fouls;
        assert_eq!(point.share, Some(alone));
        // A uniform spread of 0.4 either way about the end at 4.
        let truth = ((point.value - 3.6) / 0.8).clamp(0.0, 1.0);
        assert!((alone.share - truth).abs() < 0.05, "{} {truth}", alone.share);
    }
    // Where nothing varies all builds are alike.
    let plain =
        swept(&growing(), SweepQuestion { count: 2, builds: 10, ..SweepQuestion::over("grows", 3.0, 5.0) });
    let shares: Vec<_> = plain.points.iter().map(|point| point.share).collect();
    assert_eq!(shares, [Some(Share::of(0, 10)), Some(Share::of(10, 10))]);
}

/// What is seen in passing has the same gaps as drawn, and efforts that differ by what lies between few stations.
#[test]
fn in_passing_most_is_right() {
    let demo = demo().unwrap();
    let question = SweepQuestion { count: 9, in_passing: true, ..SweepQuestion::over("spacer", 11.0, 17.0) };
    let mut sweep = Sweep::begin(&demo, None, question).unwrap_or_else(|_| panic!());
    sweep.advance(9, &|| false);
    assert_eq!(sweep.progress().0, 9);
    let seen = sweep.swept().points;
    while sweep.advance(usize::MAX, &|| false) {}
    for (seen, whole) in seen.iter().zip(&sweep.swept().points) {
        for (figure, within) in [
            (Figure::Gap, 1e-6),
            (Figure::LoadedGap, 0.01),
            (Figure::LeftGap, 0.01),
            (Figure::Effort, 0.02),
            (Figure::HoldMargin, 0.02),
            (Figure::Pressure, 0.1),
        ] {
            let (seen, whole) = (seen.figure(figure).unwrap(), whole.figure(figure).unwrap());
            assert!((seen - whole).abs() < within, "{}: {seen} {whole}", figure.title());
        }
    }
}

/// Each in words, and nothing panics.
#[test]
fn bad_input_is_refused_in_words() {
    let document = growing();
    let refused = |question: SweepQuestion| match Sweep::begin(&document, None, question) {
        Err(problems) => problems[0].told(),
        Ok(_) => panic!("taken"),
    };
    let over = |path: &str| SweepQuestion::over(path, 1.0, 2.0);
    assert!(refused(over("sizes/grow")).contains("did you mean “sizes/grows”"));
    assert!(refused(over("")).contains("no size here"));
    for (from, to, words) in [
        (2.0, 1.0, "holds nothing"),
        (1.0, 1.0, "holds nothing"),
        (f64::NAN, 1.0, "does not end in numbers"),
        (0.0, f64::INFINITY, "does not end in numbers"),
        (0.0, 1e30, "no size of this kind"),
    ] {
        let told = refused(SweepQuestion::over("grows", from, to));
        assert!(told.contains(words), "{told}");
    }
    for count in [0, 1, 1_000_000] {
        assert!(refused(SweepQuestion { count, ..over("grows") }).contains("none that can be swept"));
    }
    assert!(Sweep::begin(&document, Some("no such trial"), over("grows")).is_err());
}

/// A rail of no length makes no fixture: the range is swept all the same, and where it can be made is an end.
#[test]
fn what_cannot_be_made_is_told() {
    let demo = demo().unwrap();
    let sweep = swept(&demo, SweepQuestion { count: 5, ..SweepQuestion::over("sizes/deck", -4.0, 4.0) });
    let why: Vec<bool> = sweep.points.iter().map(|point| point.outcome.is_err()).collect();
    assert_eq!(why, [true, true, true, false, false]);
    assert!(sweep.points.iter().filter_map(|point| point.outcome.as_ref().err()).all(|why| !why.is_empty()));
    let end = sweep.ends.iter().find(|end| end.impossible[0].is_some()).unwrap();
    assert!((end.value() - 0.0).abs() < 1e-3 && end.impossible[1].is_none(), "{end:?}");
}
