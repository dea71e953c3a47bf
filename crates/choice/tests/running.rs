//! Builds as they are asked for: the same whatever the threads, in steps, stopped, and of bad input.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use common::{Project, begin, question};
use glidewright_choice::{Between, Builds, Likeness, NoBuilds, Outcome, Question};
use glidewright_project::{demo, parse};

fn outcome(threads: usize, question: &Question, steps: &[u64]) -> Outcome {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    pool.install(|| {
        let mut builds =
            Builds::begin(&demo().unwrap(), Some("shorter screws"), question).unwrap_or_else(|_| panic!());
        for &step in steps {
            builds.advance(step, &|| false);
        }
        builds.halve(2_000, &|| false);
        builds.outcome()
    })
}

#[test]
fn threads_and_steps_do_not_matter() {
    let question = Question { seed: 11, ..Question::default() };
    let one = outcome(1, &question, &[10_000]);
    assert_eq!(one, outcome(2, &question, &[10_000]));
    assert_eq!(one, outcome(2, &question, &[1, 999, 4_000, 5_000]));
    // Another seed gives other builds, and the same share but for chance.
    let other = outcome(2, &Question { seed: 12, ..question }, &[10_000]);
    assert_ne!(one.mean, other.mean);
    assert!((one.mean.unwrap() - other.mean.unwrap()).abs() < 0.01);
}

#[test]
fn a_build_hangs_on_its_number_alone() {
    let document =
        Project::passing("\"a_off\": (value: 0, tolerance: plus_minus(0.1)),", "a_off", 0.05).document();
    let builds = begin(&document, &question(&[]));
    for number in [0, 1, 77, 123_456_789_012] {
        let build = builds.build(number);
        assert_eq!(build, builds.build(number));
        let place = builds.sizes().iter().position(|size| size.path == "sizes/a_off").unwrap();
        assert!((build.gap.gap - (0.05 - build.off[place][0])).abs() < 1e-9);
        assert_eq!(build.gap, builds.gap_of(&build.off));
    }
}

/// The same sums, by every build told one by one.
#[test]
fn counts_are_those_of_the_builds() {
    let document =
        Project::passing("\"a_off\": (value: 0, tolerance: plus_minus(0.1)),", "a_off", 0.05).document();
    let mut builds = begin(&document, &question(&[]));
    builds.advance(500, &|| false);
    let outcome = builds.outcome();
    let gaps: Vec<f64> = (0..500).map(|number| builds.build(number).gap.gap).collect();
    assert_eq!(outcome.fouls.count, gaps.iter().filter(|gap| **gap <= 1e-6).count() as u64);
    assert!((outcome.mean.unwrap() - gaps.iter().sum::<f64>() / 500.0).abs() < 1e-12);
    let counted: u64 = outcome.histogram.counts.iter().sum();
    assert_eq!(counted + outcome.histogram.below + outcome.histogram.above, 500);
    assert_eq!(outcome.pairs.iter().map(|pair| pair.least_of.count).sum::<u64>(), 500);
    assert!(outcome.pairs[0].labels.iter().any(|label| label.contains("mast")));
}

#[test]
fn it_can_be_stopped() {
    let mut builds = Builds::begin(&demo().unwrap(), None, &Question::default()).unwrap_or_else(|_| panic!());
    let stop = AtomicBool::new(true);
    assert_eq!(builds.advance(100_000, &|| stop.load(Ordering::Relaxed)), 0);
    // Asked a few times, then stopped.
    let asked = AtomicU64::new(0);
    let made = builds.advance(1_000_000, &|| asked.fetch_add(1, Ordering::Relaxed) >= 3);
    assert!(made > 0 && made < 100_000, "{made}");
    assert_eq!(builds.halve(10_000, &|| true), None);
    let outcome = builds.outcome();
    assert_eq!(outcome.samples, made);
    assert!(outcome.contributors.iter().all(|contributor| contributor.halved.is_none()));
    // Nothing made yet is told as nothing, without a number that is none.
    let fresh =
        Builds::begin(&demo().unwrap(), None, &Question::default()).unwrap_or_else(|_| panic!()).outcome();
    assert_eq!((fresh.samples, fresh.mean, fresh.likely), (0, None, None));
    assert_eq!((fresh.fouls.share, fresh.fouls.low, fresh.fouls.high), (0.0, 0.0, 1.0));
}

#[test]
fn riders_alone() {
    let stand = parse(glidewright_samples::COPY_STAND).unwrap();
    let asked = |between| Question { between, ..Question::default() };
    let of = |between| {
        let mut builds =
            Builds::begin(&stand, Some("thin lock nuts"), &asked(between)).unwrap_or_else(|_| panic!());
        builds.advance(2_000, &|| false);
        builds.outcome()
    };
    let (all, riders) = (of(Between::All), of(Between::Riders));
    // There the riders are what comes nearest.
    assert_eq!(all.fouls, riders.fouls);
}

#[test]
fn nothing_to_build() {
    let problems = |document: &str, trial: Option<&str>, question: &Question| match Builds::begin(
        &parse(document).unwrap(),
        trial,
        question,
    ) {
        Err(NoBuilds::Problems(problems)) => problems,
        Err(other) => panic!("{other:?}"),
        Ok(_) => panic!("that can be built"),
    };
    let stand = glidewright_samples::COPY_STAND;
    assert!(!problems(stand, Some("no such trial"), &Question::default()).is_empty());
    let broken = stand.replace("ISO 4762 M6", "ISO 4762 M66");
    assert!(!problems(&broken, None, &Question::default()).is_empty());
    let likeness = [("sizes/nothing".to_owned(), Likeness::Each)].into();
    let asked = Question { likeness, ..Question::default() };
    let told = problems(stand, None, &asked);
    assert!(told[0].line().contains("sizes/nothing"), "{}", told[0].line());
    // A rider without anything to run on.
    let project =
        Project::passing("\"a_off\": (value: 0, tolerance: plus_minus(0.1)),", "a_off", 0.05).document();
    let mut loose = project.clone();
    loose.riders[0].wheels.clear();
    assert!(matches!(Builds::begin(&loose, None, &Question::default()), Err(NoBuilds::Problems(_))));
    // No rider passes another: nothing varies, and nothing comes within reach.
    let asked = Question { between: Between::Riders, ..Question::default() };
    match Builds::begin(&project, None, &asked) {
        Err(NoBuilds::NothingVaries { gap, required, .. }) => {
            assert!(gap == f64::INFINITY && required == 0.5)
        }
        _ => panic!("one rider alone passes no other"),
    }
    // A mast that is drawn exactly and stands nearer than anything that varies.
    let exact = Project::passing("", "0.2", 0.201).document();
    match Builds::begin(&exact, None, &question(&[])) {
        Err(NoBuilds::NothingVaries { gap, .. }) => assert!((gap - 0.001).abs() < 1e-9, "{gap}"),
        _ => panic!("the mast varies as little as the bar"),
    }
}

/// Limits as wide as the thing itself, and wider: no build has parts of less than nothing, and every figure is one.
#[test]
fn absurd_tolerances() {
    for half in ["1e-9", "9.9", "30", "1e3"] {
        let sizes = format!("\"a_off\": (value: 0, tolerance: plus_minus({half})),");
        let document = Project::passing(&sizes, "a_off", 0.05).document();
        let mut builds = match Builds::begin(&document, None, &question(&[])) {
            Ok(builds) => builds,
            Err(NoBuilds::NothingVaries { .. } | NoBuilds::Problems(_)) => continue,
            Err(why) => panic!("{why:?}"),
        };
        builds.advance(300, &|| false);
        let outcome = builds.outcome();
        assert_eq!(outcome.samples, 300);
        assert!(!outcome.drawn.is_nan() && outcome.mean.is_none_or(f64::is_finite), "{half}: {outcome:?}");
        assert!(outcome.contributors.iter().all(|c| c.share_of_variance.is_none_or(f64::is_finite)));
    }
}
