//! The stroke run as a motion.

use std::time::Duration;

use glidewright_motion::Stroke;

/// Slowest and fastest speed it is played at (mm/s).
pub const SPEEDS: std::ops::RangeInclusive<f64> = 1.0..=2000.0;
/// How long it rests at the tightest place.
const REST: Duration = Duration::from_millis(1500);
/// A frame that took longer than this counts as this long: a window that was covered does not leap.
const LONGEST_FRAME: f64 = 0.1;

/// How the stroke is played.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(default)]
pub struct PlayChoices {
    /// Speed of the lead rider (mm/s).
    pub speed: f64,
    /// Whether it goes on when it has been there and back.
    pub again: bool,
    /// Whether it rests where it is tightest.
    pub rest: bool,
}

impl Default for PlayChoices {
    fn default() -> Self {
        Self { speed: 120.0, again: true, rest: false }
    }
}

impl PlayChoices {
    /// The same within what makes sense.
    #[must_use]
    pub fn sound(self) -> Self {
        let speed = if self.speed.is_finite() { self.speed } else { Self::default().speed };
        Self { speed: speed.clamp(*SPEEDS.start(), *SPEEDS.end()), ..self }
    }
}

/// The stroke being played.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Play {
    /// Whether travel grows.
    onwards: bool,
    /// Ends of the stroke met so far.
    ends: u32,
    /// Rest still to be taken.
    rest: Duration,
}

/// What a moment of play comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moved {
    /// The travel now (mm).
    pub travel: f64,
    /// How long nothing moves; zero while it does.
    pub rest: Duration,
    /// Whether it has ended.
    pub over: bool,
}

impl Play {
    /// Play from a travel: onwards, unless that is where the stroke ends.
    pub fn from(travel: f64, stroke: &Stroke) -> Self {
        Self { onwards: travel < stroke.to - 1e-9, ends: 0, rest: Duration::ZERO }
    }

    /// Whether it rests where it is tightest.
    pub fn is_resting(&self) -> bool {
        self.rest > Duration::ZERO
    }

    /// Goes on for `seconds` from `travel`; `tightest` is where it may rest (mm).
    pub fn go_on(
        &mut self,
        choices: &PlayChoices,
        travel: f64,
        stroke: &Stroke,
        tightest: Option<f64>,
        seconds: f64,
    ) -> Moved {
        let seconds = if seconds.is_finite() { seconds.clamp(0.0, LONGEST_FRAME) } else { 0.0 };
        if self.rest > Duration::ZERO {
            self.rest = self.rest.saturating_sub(Duration::from_secs_f64(seconds));
            return Moved { travel, rest: self.rest, over: false };
        }
        let (low, high) = (stroke.from.min(stroke.to), stroke.from.max(stroke.to));
        if !(travel.is_finite() && high - low > 1e-9 && (high - low).is_finite()) {
            return Moved { travel, rest: Duration::ZERO, over: true };
        }
        let step = choices.sound().speed * seconds;
        let mut next = if self.onwards { travel + step } else { travel - step };
        if let Some(place) = tightest.filter(|_| choices.rest) {
            let crosses = (travel < place && next >= place) || (travel > place && next <= place);
            if crosses {
                self.rest = REST;
                return Moved { travel: place, rest: REST, over: false };
            }
        }
        let mut over = false;
        if next >= high || next <= low {
            next = next.clamp(low, high);
            self.onwards = !self.onwards;
            self.ends += 1;
            over = !choices.again && self.ends >= 2;
        }
        Moved { travel: next, rest: Duration::ZERO, over }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STROKE: Stroke = Stroke { from: 0.0, to: 100.0 };

    fn run(choices: PlayChoices, tightest: Option<f64>, seconds: f64) -> (Vec<f64>, bool) {
        let mut play = Play::from(0.0, &STROKE);
        let mut travel = 0.0;
        let mut all = Vec::new();
        for _ in 0..(seconds / 0.01) as usize {
            let moved = play.go_on(&choices, travel, &STROKE, tightest, 0.01);
            travel = moved.travel;
            all.push(travel);
            if moved.over {
                return (all, true);
            }
        }
        (all, false)
    }

    #[test]
    fn there_and_back_at_the_speed_asked() {
        let choices = PlayChoices { speed: 100.0, again: false, rest: false };
        let (all, over) = run(choices, None, 10.0);
        assert!(over);
        // 100 mm at 100 mm/s in steps of 10 ms: 100 steps each way.
        assert!((all.len() as i64 - 200).abs() <= 2, "{}", all.len());
        assert_eq!(all.iter().copied().fold(f64::MIN, f64::max), 100.0);
        assert!(all.last().unwrap().abs() < 1e-6);
        assert!((all[50] - 51.0).abs() < 1e-6);
    }

    #[test]
    fn it_rests_exactly_where_it_is_tightest() {
        let choices = PlayChoices { speed: 100.0, again: true, rest: true };
        let (all, _) = run(choices, Some(33.3), 5.0);
        let rested = all.iter().filter(|travel| **travel == 33.3).count();
        assert!((rested as i64 - 300).abs() <= 8, "{rested} steps of 10 ms at rest, twice 1.5 s");
    }

    #[test]
    fn nothing_upsets_it() {
        let mut play = Play::from(f64::NAN, &STROKE);
        let odd = PlayChoices { speed: f64::NAN, again: true, rest: true };
        assert!(play.go_on(&odd, f64::NAN, &STROKE, Some(f64::NAN), 1.0).over);
        assert!(play.go_on(&odd, 5.0, &Stroke { from: 5.0, to: 5.0 }, None, 1.0).over);
        let moved = play.go_on(&odd, 50.0, &STROKE, None, f64::INFINITY);
        assert!(moved.travel.is_finite());
    }
}
