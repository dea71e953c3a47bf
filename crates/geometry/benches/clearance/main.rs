//! Times the clearance kernel against sampling with a general collision library, on the same output, in one run.
//!
//! `cargo bench -p glidewright-geometry` prints a table. One core, medians. Run it on a quiet machine: absolute times
//! move, ratios hold.
#![allow(clippy::print_stdout, reason = "the table is the output")]

mod fixture;
mod peer;

use std::hint::black_box;
use std::time::Instant;

use fixture::fixture;
use glidewright_geometry::Ask;

/// Positions at which the envelope is wanted.
const POSITIONS: usize = 601;

/// Median seconds of a call, over at least `rounds` runs and 0.2 s.
fn median<T>(rounds: usize, mut run: impl FnMut() -> T) -> f64 {
    let mut times = Vec::new();
    let begin = Instant::now();
    while times.len() < rounds || (begin.elapsed().as_secs_f64() < 0.2 && times.len() < 2000) {
        let start = Instant::now();
        black_box(run());
        times.push(start.elapsed().as_secs_f64());
    }
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn ask() -> Ask {
    Ask { from: 0.0, to: 600.0, positions: POSITIONS, below: 0.5, horizon: 1.0 }
}

fn whole_recheck() {
    println!(
        "Whole recheck: envelopes at {POSITIONS} positions and exact minima, scene built anew each time"
    );
    println!(
        "{:>26} {:>10} {:>12} {:>12} {:>8} {:>8}",
        "", "this, ms", "culled, ms", "brute, ms", "culled/", "brute/"
    );
    for (name, tilt) in [("level", 0.0), ("one rider tilted 0.1°", 0.1f64.to_radians())] {
        let fixture = fixture(40, 20, tilt);
        let Some(pieces) = peer::pieces(&fixture) else { continue };
        let own = median(20, || {
            let mut built = fixture.build()?;
            built.scene.sweep(&ask());
            Some(built.scene.effort())
        });
        let culled = median(5, || peer::culled(&fixture, &pieces, POSITIONS));
        let brute = median(1, || peer::brute(&fixture, &pieces, POSITIONS));
        println!(
            "{name:>26} {:>10.3} {:>12.2} {:>12.1} {:>8.1} {:>8.0}",
            1e3 * own,
            1e3 * culled,
            1e3 * brute,
            culled / own,
            brute / own
        );
        accuracy(&fixture, &pieces);
    }
}

fn accuracy(fixture: &fixture::Fixture, pieces: &peer::Pieces) {
    let Some(mut built) = fixture.build() else { return };
    built.scene.sweep(&ask());
    let effort = built.scene.effort();
    let (brute, culled) = (peer::brute(fixture, pieces, POSITIONS), peer::culled(fixture, pieces, POSITIONS));
    let mut worst: f64 = 0.0;
    let mut cull_worst: f64 = 0.0;
    for (c, channel) in built.channels.iter().enumerate() {
        let Some(result) = built.scene.result(*channel) else { continue };
        for (k, nearest) in result.envelope.iter().enumerate() {
            worst = worst.max((nearest.gap.max(0.0) - brute[c][k]).abs());
            cull_worst = cull_worst.max((culled[c][k] - brute[c][k]).abs());
        }
        let sampled = result.envelope.iter().map(|n| n.gap).fold(f64::INFINITY, f64::min);
        let exact = result.least.map_or(f64::NAN, |l| l.gap);
        println!(
            "{:>26} channel {c}: least gap {exact:.9} mm (sampling alone says {sampled:.9}), {} near body pairs",
            "",
            result.near.len()
        );
    }
    println!(
        "{:>26} {} pairs made ready, {} gaps evaluated; envelope against brute {worst:.1e} mm, culled against brute {cull_worst:.1e} mm",
        "", effort.pairs, effort.gaps
    );
}

fn growth() {
    println!("Growth with pieces per rider (20 fixed)");
    for tilt in [0.0, 0.1f64.to_radians()] {
        let mut first: Option<f64> = None;
        for pieces in [40, 80, 160, 320] {
            let fixture = fixture(pieces, 20, tilt);
            let own = median(10, || {
                let mut built = fixture.build()?;
                built.scene.sweep(&ask());
                Some(built.scene.effort())
            });
            let base = *first.get_or_insert(own);
            let exponent = (own / base).ln() / (pieces as f64 / 40.0).ln();
            println!(
                "{:>26} {pieces:>4} pieces {:>9.3} ms, exponent from 40: {exponent:.2}",
                if tilt > 0.0 { "tilted" } else { "level" },
                1e3 * own
            );
        }
    }
}

fn main() {
    // `cargo test` runs benches too, with this flag: one small round shows that they still work.
    if std::env::args().any(|a| a == "--test") {
        let fixture = fixture(10, 4, 0.001);
        if let Some(mut built) = fixture.build() {
            built.scene.sweep(&ask());
        }
        return;
    }
    whole_recheck();
    growth();
}
