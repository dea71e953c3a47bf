//! How long the last frames took.

use std::collections::VecDeque;
use std::time::Duration;

/// How many frames are kept.
const KEPT: usize = 240;

/// Time of the last frames by the clock, painting by the graphics system excluded.
#[derive(Default)]
pub struct FrameTimes {
    frames: VecDeque<Duration>,
    /// Whether they are shown.
    pub shown: bool,
}

impl FrameTimes {
    /// Notes one frame.
    pub fn note(&mut self, took: Duration) {
        if self.frames.len() == KEPT {
            self.frames.pop_front();
        }
        self.frames.push_back(took);
    }

    /// Forgets them.
    pub fn forget(&mut self) {
        self.frames.clear();
    }

    /// Median and 95th percentile (ms).
    pub fn figures(&self) -> Option<(f64, f64)> {
        let mut sorted: Vec<f64> = self.frames.iter().map(|took| took.as_secs_f64() * 1e3).collect();
        sorted.sort_by(f64::total_cmp);
        let at = |share: f64| {
            sorted.get(((sorted.len().saturating_sub(1)) as f64 * share).round() as usize).copied()
        };
        Some((at(0.5)?, at(0.95)?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn median_and_percentile() {
        let mut times = FrameTimes::default();
        assert!(times.figures().is_none());
        for ms in (1..=1000).rev() {
            times.note(Duration::from_millis(ms));
        }
        // The last 240 are 240 to 1: their median lies at 120 or 121, the 95th percentile at 228.
        let (median, high) = times.figures().unwrap();
        assert!((median - 121.0).abs() <= 1.0 && (high - 228.0).abs() <= 1.0, "{median} {high}");
    }
}
