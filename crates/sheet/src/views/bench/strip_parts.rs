//! What strips over travel and strips over reach are made of.

use glam::DVec2;
use glidewright_motion::{Drive, Measure, Way};

use crate::look::{Dash, Tone};
use crate::strip::{Limit, Series};
use crate::views::scene::{Scene, rider_tones};

/// What the two senses of travel are called.
pub(in crate::views) fn senses(scene: &Scene<'_>) -> [&'static str; 2] {
    Way::BOTH.map(|way| scene.fixture.rail.stand.way(way))
}

/// From zero, or the least if that is below, to the greatest value, with some air.
pub(super) fn from_zero<'v>(values: impl Iterator<Item = &'v f64>) -> Option<(f64, f64)> {
    let (low, high) = values
        .filter(|v| v.is_finite() && v.abs() < 1e150)
        .fold((0.0, 0.0), |(low, high): (f64, f64), v| (low.min(*v), high.max(*v)));
    let air = 0.12 * (high - low);
    (air > 0.0).then_some((if low < 0.0 { low - air } else { 0.0 }, high + air))
}

/// A curve over travel or reach.
pub(super) fn series(
    name: &str,
    tone: Tone,
    dash: Dash,
    along: &[f64],
    values: impl Iterator<Item = f64>,
) -> Series {
    let points = along.iter().zip(values).map(|(s, v)| DVec2::new(*s, v)).collect();
    Series { dash, ..Series::new(name, tone, points) }
}

/// What a hand gives in comfort, where that is near enough to the curve.
pub(super) fn limit_of_effort(scene: &Scene<'_>, effort: &[f64]) -> Vec<Limit> {
    let value = scene.fixture.limits.effort;
    if scene.fixture.drive != Drive::Hand || !near(effort, value) {
        return Vec::new();
    }
    vec![Limit {
        value,
        name: format!("comfort {}", scene.unit().figure(Measure::Newton, value, 0)),
        tone: Tone::Marginal,
    }]
}

/// Whether a limit is near enough to a curve to be shown with it.
fn near(values: &[f64], limit: f64) -> bool {
    values.iter().any(|v| v.abs() > 0.5 * limit)
}

/// Stretches of stations at which something is so, from the first such station to the next at which it is not.
pub(super) fn stretches(along: &[f64], is_so: impl Fn(usize) -> bool) -> Vec<(f64, f64)> {
    let mut all = Vec::new();
    let mut open: Option<f64> = None;
    for (index, at) in along.iter().enumerate() {
        match (is_so(index), open) {
            (true, None) => open = Some(*at),
            (false, Some(from)) => {
                all.push((from, *at));
                open = None;
            }
            _ => {}
        }
    }
    if let (Some(from), Some(to)) = (open, along.last()) {
        all.push((from, *to));
    }
    all
}

/// Colour and kind of line of a rider's wheel.
pub(super) const fn wheel_look(rider: usize, wheel: usize) -> (Tone, Dash) {
    let line = rider_tones(rider).1;
    match wheel % 4 {
        0 => (line, Dash::Solid),
        1 => (Tone::Ink, Dash::Solid),
        2 => (line, Dash::Dashed),
        _ => (Tone::Ink, Dash::Dashed),
    }
}
