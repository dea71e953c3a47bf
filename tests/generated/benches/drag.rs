//! Times what a drag must refresh, over hundreds of generated fixtures: `cargo bench -p glidewright-generated`.
//!
//! A refresh is resolving the document and the analysis, quickly as it follows a hand and in full, with what the last
//! refresh left to go on from. Processor time of one thread, so a busy machine moves it less. `-- 500` takes so many fixtures, `-- 500 1000` from seed 1000 on,
//! `-- quick` only what follows a drag.
//! Under `cargo test` three fixtures are run.
#![allow(clippy::print_stdout, reason = "the table is the output")]

use std::hint::black_box;
use std::time::{Duration, Instant};

use glidewright_generated::{Drag, Generated, usable};
use glidewright_motion::{
    Detail, InterferenceCache, Results, analyse, analyse_quickly, analyse_with, gap_against_reach,
};
use glidewright_project::{Document, resolve, resolve_quickly};

/// As in the program itself.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Steps of one drag, and how long each is (mm).
const STEPS: u32 = 5;
const STEP: f64 = 0.3;

/// What a refresh may take: median, nine in ten, the worst (ms).
const GOALS: [f64; 3] = [4.0, 12.0, 40.0];

/// What every figure may take, against what the findings alone take.
const FIGURES: f64 = 3.0;

/// Processor time of this thread; plain time where the system does not tell.
fn now() -> Duration {
    #[cfg(unix)]
    {
        let time = rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime);
        Duration::new(time.tv_sec.unsigned_abs(), u32::try_from(time.tv_nsec).unwrap_or(0))
    }
    #[cfg(not(unix))]
    {
        static START: std::sync::OnceLock<Instant> = std::sync::OnceLock::new();
        START.get_or_init(Instant::now).elapsed()
    }
}

/// Milliseconds of a call, and what it gave.
fn timed<T>(run: impl FnOnce() -> T) -> (f64, T) {
    let start = now();
    let result = black_box(run());
    (1e3 * (now() - start).as_secs_f64(), result)
}

fn refresh(document: &Document, kept: &mut InterferenceCache, detail: Detail) -> Option<Results> {
    match detail {
        Detail::Whole => Some(analyse_with(&resolve(document, None).fixture?, kept)),
        Detail::Quick => Some(analyse_quickly(&resolve_quickly(document, None, None).fixture?, kept, None)),
    }
}

/// One figure of one fixture.
struct Sample {
    seed: u64,
    what: &'static str,
    value: f64,
}

/// Refreshes of every drag of a fixture: the middle one of its steps each (ms).
fn drags(generated: &Generated, detail: Detail) -> Vec<Sample> {
    let mut samples = Vec::new();
    for drag in Drag::ALL {
        let mut kept = InterferenceCache::default();
        let mut times = Vec::new();
        for step in 0..=STEPS {
            let Some(document) = drag.moved(&generated.document, STEP * f64::from(step)) else { break };
            let (time, results) = timed(|| refresh(&document, &mut kept, detail));
            // The first makes what the others go on from.
            if step > 0 && results.is_some() {
                times.push(time);
            }
        }
        times.sort_by(f64::total_cmp);
        if let Some(&value) = times.get(times.len() / 2) {
            let what = match drag {
                Drag::Rider => "rider",
                Drag::Load => "load",
                Drag::Wheel => "wheel",
                Drag::Obstacle => "obstacle",
            };
            samples.push(Sample { seed: generated.seed, what, value });
        }
    }
    samples
}

/// Findings from nothing (ms), and how many times that everything with curves against reach takes.
fn from_nothing(generated: &Generated) -> (f64, f64) {
    let seed = |document: &Document| resolve(document, None).fixture.map(|f| (analyse(&f), f));
    let (check, found) = timed(|| seed(&generated.document));
    let Some((results, fixture)) = found else { return (check, 1.0) };
    let (reach, _) = timed(|| {
        let known = (&results.assembly, &results.interference);
        results
            .reach
            .iter()
            .map(|c| gap_against_reach(&fixture, known, (c.rider, c.load), &c.reach))
            .collect::<Vec<_>>()
    });
    (check, (check + reach) / check)
}

fn report(title: &str, unit: &str, mut samples: Vec<Sample>, goals: [Option<f64>; 3]) {
    samples.sort_by(|a, b| a.value.total_cmp(&b.value));
    let Some(last) = samples.len().checked_sub(1) else { return };
    println!("\n{title}: {} samples", samples.len());
    let places = [("median", last / 2), ("90 %", last * 9 / 10), ("worst", last)];
    for ((name, place), goal) in places.into_iter().zip(goals) {
        let Sample { seed, what, value } = &samples[place];
        let goal = goal.map_or_else(String::new, |goal| {
            format!("<= {goal} {unit}  {}", if *value <= goal { "met" } else { "NOT MET" })
        });
        println!("  {name:<8} {value:>9.2} {unit:<3} {goal:<20} (seed {seed}, {what})");
    }
    let slow: Vec<String> =
        samples.iter().rev().take(8).map(|s| format!("{} {} {:.1}", s.seed, s.what, s.value)).collect();
    println!("  the slowest: {}", slow.join(", "));
}

fn main() {
    let numbers: Vec<u64> = std::env::args().filter_map(|word| word.parse().ok()).collect();
    let only_quick = std::env::args().any(|word| word == "quick");
    let test = std::env::args().any(|word| word == "--test");
    let count = numbers.first().copied().unwrap_or(if test { 3 } else { 200 }) as usize;
    let first = numbers.get(1).copied().unwrap_or(0);
    let begun = Instant::now();
    let [mut quick, mut whole, mut checks, mut ratios] = [const { Vec::new() }; 4];
    let mut fouling = 0;
    for generated in usable(first).take(count) {
        let seed = generated.seed;
        let fouls = |results: &Results| results.interference.tightest().is_some_and(|pair| pair.gap < 0.0);
        fouling += usize::from(
            refresh(&generated.document, &mut InterferenceCache::default(), Detail::Quick)
                .is_some_and(|r| fouls(&r)),
        );
        quick.extend(drags(&generated, Detail::Quick));
        if only_quick {
            continue;
        }
        whole.extend(drags(&generated, Detail::Whole));
        let (check, ratio) = from_nothing(&generated);
        checks.push(Sample { seed, what: "check", value: check });
        ratios.push(Sample { seed, what: "figures / check", value: ratio });
    }
    println!("{count} generated fixtures from seed {first} on, in {fouling} of them something overlaps");
    let [median, most, worst] = GOALS.map(Some);
    report("what follows a drag, resolved and analysed, one core", "ms", quick, [median, most, worst]);
    report("the same in full, where the hand rests", "ms", whole, [None; 3]);
    report("findings from nothing", "ms", checks, [None; 3]);
    report("all figures against findings", "×", ratios, [None, None, Some(FIGURES)]);
    println!("\n{:.0} s in all", begun.elapsed().as_secs_f64());
}
