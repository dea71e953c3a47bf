//! Builds a second beside what is asked, and how long a first answer takes.
//!
//! `cargo bench -p glidewright-choice` prints the table. Output of a build: its least gap over the whole stroke, all pairs, and
//! whose it is; accuracy: that of a rebuild, to rounding (`tests/rebuilt.rs`). The peer is that rebuild: the fixture placed and
//! analysed anew as fast as the engine follows a hand, with all else it works out then, on one processor. By the clock on the
//! wall, builds on all processors.
#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "the table is the output")]

use std::hint::black_box;
use std::time::Instant;

use glidewright_choice::{Between, Builds, Likeness, Question};
use glidewright_motion::{InterferenceCache, Placer, analyse_quickly};
use glidewright_project::{Document, apply, demo, parse, resolve, spread_sizes};

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn begin(document: &Document, question: &Question) -> Option<Builds> {
    Builds::begin(document, None, question).ok()
}

/// Median seconds of a call.
fn seconds(rounds: usize, mut run: impl FnMut()) -> f64 {
    let mut all: Vec<f64> = (0..rounds)
        .map(|_| {
            let begin = Instant::now();
            run();
            begin.elapsed().as_secs_f64()
        })
        .collect();
    all.sort_by(f64::total_cmp);
    all.get(rounds / 2).copied().unwrap_or(f64::NAN)
}

struct Case {
    name: &'static str,
    document: Document,
    question: Question,
    asked: f64,
}

fn cases() -> Vec<Case> {
    let of = |text: &Document, trial: &str| apply(text, trial).0;
    let (Ok(demo), Ok(stand)) = (demo(), parse(glidewright_samples::COPY_STAND)) else { return Vec::new() };
    let riders = Question { between: Between::Riders, ..Question::default() };
    let each = |document: &Document| {
        let sizes = spread_sizes(&resolve(document, None)).0;
        let likeness = sizes.into_iter().map(|size| (size.path, Likeness::Each)).collect();
        Question { likeness, ..Question::default() }
    };
    let case = |name, document: Document, question, asked| Case { name, document, question, asked };
    let thin = of(&stand, "thin lock nuts");
    let all = of(&demo, "shorter screws");
    vec![
        case("copy stand, its facing riders", thin.clone(), riders.clone(), 3e5),
        case(
            "the same, each piece by itself",
            thin.clone(),
            Question { between: Between::Riders, ..each(&thin) },
            3e5,
        ),
        case("demo, its facing riders", demo.clone(), riders, 3e5),
        case("demo, every size with a tolerance", demo.clone(), Question::default(), 1e5),
        case("the same, each piece by itself", demo.clone(), each(&demo), 1e5),
        case("demo with shorter screws, every size", all, Question::default(), 1e5),
    ]
}

fn main() {
    // `cargo test` runs benches too, with this flag: one small round shows that they still work.
    let is_test = std::env::args().any(|word| word == "--test");
    let (rounds, samples) = if is_test { (1, 200) } else { (5, 100_000) };
    println!(
        "{:<42} {:>12} {:>10} {:>9} {:>12} {:>9}",
        "builds a second", "found", "asked", "", "rebuilding", "ratio"
    );
    for case in cases() {
        let Some(mut builds) = begin(&case.document, &case.question) else {
            println!("{:<42} nothing varies", case.name);
            continue;
        };
        builds.advance(samples, &|| false);
        let found = samples as f64
            / seconds(rounds, || {
                let from = builds.samples();
                if from + samples > Builds::MOST {
                    return;
                }
                black_box(builds.advance(samples, &|| false));
            });
        let fixture = builds.fixture().clone();
        let mut placer = Placer::default();
        let which = fixture.followed();
        let rebuild = 1.0
            / seconds(if is_test { 1 } else { 31 }, || {
                let built =
                    placer.built(&fixture, &which.iter().map(|which| (*which, 0.01)).collect::<Vec<_>>());
                black_box(analyse_quickly(&built, &mut InterferenceCache::default(), None));
            });
        let met = if found >= case.asked { "met" } else { "NOT MET" };
        println!(
            "{:<42} {found:>12.0} {:>10.0} {met:>9} {rebuild:>12.0} {:>8.0}×",
            case.name,
            case.asked,
            found / rebuild
        );
    }
    println!("\n{:<42} {:>12} {:>10}", "seconds", "found", "asked");
    for case in cases() {
        let first = seconds(rounds, || {
            if let Some(mut builds) = begin(&case.document, &case.question) {
                builds.advance(1_000, &|| false);
                black_box(builds.outcome());
            }
        });
        let halved = seconds(1, || {
            if let Some(mut builds) = begin(&case.document, &case.question) {
                builds.advance(10_000.min(samples), &|| false);
                builds.halve(10_000, &|| false);
                black_box(builds.outcome());
            }
        });
        let met = if first <= 0.2 { "met" } else { "NOT MET" };
        println!("{:<42} {first:>12.3} {:>10} {met:>9}", case.name, 0.2);
        println!("{:<42} {halved:>12.3}", "  … 10 000 builds and what halving does");
    }
}
