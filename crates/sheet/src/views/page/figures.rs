//! The key figures of a fixture.

use glidewright_motion::{Drive, Measure, PairResult, Way, touches};

use crate::look::{Tone, number};
use crate::views::scene::{Scene, gap_tones, outcome_tone};
use crate::views::table::Row;

pub(super) fn rows(scene: &Scene<'_>) -> Vec<Row> {
    let (fixture, results) = (scene.fixture, scene.results);
    let curves = &results.curves;
    let mut rows = Vec::new();
    if let Some(pair) = results.interference.tightest() {
        let value = if touches(pair.gap) {
            format!("fouls {}", scene.text((-pair.gap).max(0.0), 2))
        } else {
            format!("{}, {}", scene.text(pair.gap, 2), pair.outcome.word())
        };
        rows.push(Row::new("tightest gap as drawn", value).toned(outcome_tone(&pair.outcome)));
        let others = [
            ("… under load", (|pair| pair.loaded.gap) as fn(&PairResult) -> f64),
            ("… at its worst", PairResult::left),
        ];
        for (name, of) in others {
            if let Some(gap) = results.interference.least(of) {
                rows.push(Row::new(name, scene.text(gap, 2)).toned(gap_tones(gap, pair.asked).0));
            }
        }
        rows.push(Row::new("at travel", scene.text(pair.at_travel, 1)));
    }
    rows.push(Row::new("stroke", scene.text(fixture.stroke.length(), 0)));
    let units = scene.unit();
    let span = |values: &[f64], decimals: usize, of: Measure| {
        if values.contains(&f64::INFINITY) {
            return Some("none: it jams".to_owned());
        }
        let finite = values.iter().copied().filter(|v| v.is_finite());
        let (low, high) =
            finite.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
        (low <= high)
            .then(|| format!("{} to {}", units.figure(of, low, decimals), units.measured(of, high, decimals)))
    };
    for (way, values) in Way::BOTH.into_iter().zip([&curves.effort_up, &curves.effort_down]) {
        let name = format!("effort, {}", fixture.rail.stand.way(way));
        if let Some(text) = span(values, 2, Measure::Newton) {
            rows.push(Row::new(name, text));
        }
    }
    if matches!(fixture.drive, Drive::Motor(_))
        && let Some(text) = span(&curves.torque_up, 1, Measure::NewtonMillimetre)
    {
        rows.push(Row::new("drive torque", text));
    }
    if matches!(fixture.drive, Drive::Hand) && !curves.travel.is_empty() {
        let holds = (0..curves.travel.len()).filter(|i| curves.holds(*i)).count();
        let (text, tone) = if holds == curves.travel.len() {
            ("at every travel".to_owned(), Tone::Clear)
        } else {
            let share = 100.0 * holds as f64 / curves.travel.len() as f64;
            (format!("over {} % of the stroke", number(share, 0)), Tone::Marginal)
        };
        rows.push(Row::new("stays where it is left", text).toned(tone));
    }
    for (rider, placed) in fixture.riders.iter().zip(&results.assembly.riders) {
        rows.push(Row::new(format!("{} weighs", rider.name), units.mass(placed.mass.total(), 0)));
    }
    for (rider, stands) in fixture.riders.iter().zip(&results.riders) {
        for point in &stands.points {
            let text = scene.text(point.sag, 2);
            rows.push(Row::new(format!("{}: {} sags", rider.name, point.name), text));
        }
    }
    for band in &results.hold_bands {
        let Some(rider) = fixture.riders.get(band.rider) else { continue };
        rows.push(if band.exists() {
            Row::new(format!("{} holds with", rider.name), units.phrase(&band.masses()))
        } else {
            Row::new(format!("{} holds with", rider.name), "no mass at every travel").toned(Tone::Marginal)
        });
    }
    rows
}
