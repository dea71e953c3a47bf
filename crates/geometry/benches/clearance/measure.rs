//! Timing: medians, and ratios of two ways taken turn by turn so that a busy machine slows both alike.

use std::hint::black_box;
use std::time::Instant;

pub fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
}

/// Seconds this thread has had a processor, where the system tells (Linux), so that what else runs does not count.
fn processor_seconds() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    text.split_whitespace().next()?.parse::<f64>().ok().map(|nanoseconds| 1e-9 * nanoseconds)
}

/// A stopwatch for processor time, or for plain time where that is not told.
struct Watch {
    begin: Instant,
    processor: Option<f64>,
}

impl Watch {
    fn start() -> Self {
        Self { processor: processor_seconds(), begin: Instant::now() }
    }

    fn seconds(&self) -> f64 {
        match (self.processor, processor_seconds()) {
            (Some(from), Some(to)) => to - from,
            _ => self.begin.elapsed().as_secs_f64(),
        }
    }
}

/// Seconds of one call on one processor, over as many calls as fill about `least` seconds. The system counts a thread's
/// time every few milliseconds, so `least` should be well above that.
pub fn seconds<T>(least: f64, run: &mut dyn FnMut() -> T) -> f64 {
    black_box(run());
    let watch = Watch::start();
    let mut calls = 0u32;
    let mut batch = 1u32;
    loop {
        for _ in 0..batch {
            black_box(run());
        }
        calls += batch;
        let passed = watch.seconds();
        if passed >= least {
            return passed / f64::from(calls);
        }
        // Asking costs a few microseconds: not too often.
        batch = (2 * batch).min(1 << 20);
    }
}

/// Median seconds of a call.
pub fn timed<T>(rounds: usize, mut run: impl FnMut() -> T) -> f64 {
    median((0..rounds).map(|_| seconds(0.05, &mut run)).collect())
}

/// Median seconds of a call as the clock on the wall has it, for work on several threads.
pub fn by_the_clock<T>(rounds: usize, mut run: impl FnMut() -> T) -> f64 {
    let one = |_| {
        let begin = Instant::now();
        black_box(run());
        begin.elapsed().as_secs_f64()
    };
    median((0..rounds).map(one).collect())
}

/// Median seconds of two ways, and the median of their ratio, taken turn by turn.
pub struct Compared {
    pub own: f64,
    pub peer: f64,
    pub ratio: f64,
}

pub fn compared<T, U>(rounds: usize, mut own: impl FnMut() -> T, mut peer: impl FnMut() -> U) -> Compared {
    let (mut owns, mut peers, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..rounds {
        let a = seconds(0.05, &mut own);
        let b = seconds(0.05, &mut peer);
        let c = seconds(0.05, &mut own);
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
