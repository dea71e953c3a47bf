//! Analyses a crowd of riders once and tells its time and peak memory: `cargo run --release --example crowd -- 20 20`;
//! or the project of a file.
#![allow(clippy::print_stdout, reason = "the figures are the output")]

use std::time::Instant;

use glidewright_generated::crowd;
use glidewright_motion::analyse;
use glidewright_project::{parse, resolve};

fn main() {
    let numbers: Vec<usize> = std::env::args().filter_map(|word| word.parse().ok()).collect();
    let (riders, wheels) = (numbers.first().copied().unwrap_or(20), numbers.get(1).copied().unwrap_or(20));
    let begun = Instant::now();
    let file = std::env::args().nth(1).and_then(|name| std::fs::read_to_string(name).ok());
    let Ok(document) = parse(&file.unwrap_or_else(|| crowd(riders, wheels))) else {
        return println!("it does not read");
    };
    let resolved = resolve(&document, None);
    let Some(fixture) = resolved.fixture else { return println!("{:?}", resolved.problems) };
    let results = analyse(&fixture);
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak =
        status.lines().find(|line| line.starts_with("VmHWM")).unwrap_or("peak memory is not told here");
    println!(
        "{riders} riders of {wheels} wheels: {} bodies, {} pairs pass, {} stand near; {:.1} s, {peak}",
        results.assembly.bodies.len(),
        results.interference.passing.len(),
        results.interference.steady.len(),
        begun.elapsed().as_secs_f64()
    );
}
