//! How long a search takes beside what is asked, and how much of its space it analyses.
//!
//! `cargo bench -p glidewright-choice --bench search` prints the table. Output: rows in the order in which a person cares, each
//! from a full analysis; accuracy: on small spaces the same rows as going through everything (`tests/searching.rs`). The peer is
//! that: every combination analysed, at the same pace.
#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "the table is the output")]

use std::time::Instant;

use glidewright_choice::{Asked, Search};
use glidewright_project::{Document, demo, parse};

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Seconds to the first rows and to the final ranking that are asked for, and combinations there must be.
const FIRST: f64 = 0.5;
const FINAL: f64 = 5.0;
const SPACE: f64 = 1e8;

fn met(is_met: bool) -> &'static str {
    if is_met { "met" } else { "NOT MET" }
}

fn run(name: &str, document: &Document, asked: &Asked) {
    let begun = Instant::now();
    let Ok(mut search) = Search::begin(document, None, asked) else {
        println!("{name:<34} cannot be searched");
        return;
    };
    search.advance(16, &|| false);
    let (first, rows) = (begun.elapsed().as_secs_f64(), search.outcome().rows.len());
    let mut ranked = None;
    while !search.progress().is_done {
        if search.progress().stage == glidewright_choice::Stage::Builds {
            ranked.get_or_insert_with(|| begun.elapsed().as_secs_f64());
        }
        search.advance(16, &|| false);
    }
    let all = begun.elapsed().as_secs_f64();
    let ranked = ranked.unwrap_or(all);
    let found = search.outcome();
    let (space, analysed) = (found.space as f64, found.progress.analysed);
    println!("{name}");
    println!("  {:<32} {space:>12.2e} {SPACE:>10.0e} {:>9}", "combinations", met(space >= SPACE));
    println!(
        "  {:<32} {first:>12.3} {FIRST:>10} {:>9}   {rows} rows",
        "seconds to the first rows",
        met(first <= FIRST)
    );
    println!(
        "  {:<32} {ranked:>12.3} {FINAL:>10} {:>9}   {analysed} analysed, {} rows final",
        "seconds to the final ranking",
        met(ranked <= FINAL),
        found.progress.final_rows
    );
    println!("  {:<32} {all:>12.3}", "… with builds of the first rows");
    let each = ranked / analysed.max(1) as f64;
    println!("  {:<32} {:>12.2e}", "going through everything (years)", each * space / 31_557_600.0);
    if let Some(best) = found.rows.first() {
        println!("  best: {}; {} fail, {} marginal", best.words.join("; "), best.fails, best.marginal);
    }
}

fn main() {
    // `cargo test` runs benches too, with this flag: one small round shows that they still work.
    let is_test = std::env::args().any(|word| word == "--test");
    let (Ok(demo), Ok(stand)) = (demo(), parse(glidewright_samples::COPY_STAND)) else { return };
    println!("{:<34} {:>12} {:>10}", "", "found", "asked");
    if is_test {
        let asked = Asked { analyses: 20, builds: 100, finalists: 1, ..Asked::default() };
        return run("demo, a small round", &demo, &asked);
    }
    run("demo, its whole space", &demo, &Asked::default());
    run("copy stand, its whole space", &stand, &Asked::default());
}
