//! How long a sweep takes beside what is asked: `cargo bench -p glidewright-choice --bench sweep`.
//!
//! Output: every figure at 200 values of a size, first as closely as a hand is followed, then in full, and every end within the
//! range to 1e-4 of its unit. The peer works the same
//! values out one after the other on one processor, each from the document on, nothing kept.
#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "the table is the output")]

use std::hint::black_box;
use std::time::Instant;

use glidewright_choice::{Sweep, SweepQuestion};
use glidewright_motion::analyse;
use glidewright_project::{Document, demo, edit, numbers, parse, resolve};

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// What 200 values may take on two processors (s).
const GOAL: f64 = 1.0;

fn main() {
    // `cargo test` runs benches too, with this flag: a few values show that they still work.
    let is_test = std::env::args().any(|word| word == "--test");
    let count = if is_test { 5 } else { 200 };
    println!(
        "{:<44} {:>8} {:>8} {:>14} {:>10} {:>6}",
        format!("{count} values, s"),
        "seen",
        "asked",
        "full, its ends",
        "one by one",
        "ratio"
    );
    let stand = parse(glidewright_samples::COPY_STAND).unwrap();
    for (name, document, path) in [
        ("demo, spacer", demo().unwrap(), "sizes/spacer"),
        ("demo, watered", demo().unwrap(), "sizes/watered"),
        ("demo, tray", demo().unwrap(), "sizes/tray"),
        ("copy stand, rail's length", stand, "rail/length"),
    ] {
        let sizes = numbers(&resolve(&document, None));
        let Some(size) = sizes.iter().find(|size| size.path == path) else { continue };
        let question = SweepQuestion { count, in_passing: true, ..SweepQuestion::about(size) };
        let begin = Instant::now();
        let Ok(mut sweep) = Sweep::begin(&document, None, question) else { continue };
        sweep.advance(count, &|| false);
        let values = begin.elapsed().as_secs_f64();
        while sweep.advance(usize::MAX, &|| false) {}
        let all = begin.elapsed().as_secs_f64();
        let begin = Instant::now();
        let points: Vec<f64> = sweep.swept().points.iter().map(|point| point.value).collect();
        for value in points {
            black_box(one(&document, path, size, value));
        }
        let peer = begin.elapsed().as_secs_f64();
        let said = if values <= GOAL { "met" } else { "NOT MET" };
        println!(
            "{name:<44} {values:>8.2} {GOAL:>8.1} {:>14} {peer:>10.2} {:>6.1}  {said}",
            format!("{all:.2} ({})", sweep.swept().ends.len()),
            peer / values
        );
    }
}

fn one(document: &Document, path: &str, size: &glidewright_project::NumberSize, value: f64) -> usize {
    let edited = edit::set_all(document, path, &size.written(value));
    let fixture = edited.ok().and_then(|edited| resolve(&edited.document, None).fixture);
    fixture.map_or(0, |fixture| analyse(&fixture).findings.len())
}
