//! Timing: medians, and ratios of two ways taken turn by turn so that a busy machine slows both alike.

use std::hint::black_box;
use std::time::Instant;

pub fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
}

/// Seconds of one call, over as many calls as fill `least` seconds.
pub fn seconds<T>(least: f64, run: &mut dyn FnMut() -> T) -> f64 {
    let begin = Instant::now();
    let mut calls = 0u32;
    loop {
        black_box(run());
        calls += 1;
        let passed = begin.elapsed().as_secs_f64();
        if passed >= least {
            return passed / f64::from(calls);
        }
    }
}

/// Median seconds of a call.
pub fn timed<T>(rounds: usize, mut run: impl FnMut() -> T) -> f64 {
    median((0..rounds).map(|_| seconds(0.01, &mut run)).collect())
}

/// Median seconds of two ways, and the median of the second's share of the first, taken turn by turn.
pub struct Compared {
    pub own: f64,
    pub peer: f64,
    pub ratio: f64,
}

pub fn compared<T, U>(rounds: usize, mut own: impl FnMut() -> T, mut peer: impl FnMut() -> U) -> Compared {
    let (mut owns, mut peers, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..rounds {
        let a = seconds(0.02, &mut own);
        let b = seconds(0.02, &mut peer);
        let c = seconds(0.02, &mut own);
        let own = 0.5 * (a + c);
        owns.push(own);
        peers.push(b);
        ratios.push(b / own);
    }
    Compared { own: median(owns), peer: median(peers), ratio: median(ratios) }
}

/// One line of the table of goals.
pub fn goal(what: &str, found: &str, asked: &str, met: bool) {
    println!("{what:<62} {found:>16} {asked:>14}  {}", if met { "met" } else { "NOT MET" });
}
