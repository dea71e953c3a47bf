//! Where the riders stand.

use glidewright_motion::Fixture;

use super::State;

impl State {
    /// Moves the lead rider, within its stroke.
    pub fn go_to(&mut self, travel: f64) {
        let Some(bench) = self.session.bench() else { return };
        self.travel = held(&bench.fixture, travel, self.travel);
    }

    /// Keeps the rider on its stroke after the fixture changed.
    pub fn settle_travel(&mut self) {
        self.go_to(self.travel);
    }
}

/// A travel within the stroke; `last` if it is no number.
fn held(fixture: &Fixture, travel: f64, last: f64) -> f64 {
    let (from, to) = (fixture.stroke.from, fixture.stroke.to);
    let wanted = if travel.is_finite() { travel } else { last };
    if from.is_finite() && to.is_finite() && from <= to { wanted.clamp(from, to) } else { wanted }
}
