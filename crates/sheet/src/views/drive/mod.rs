//! The drive: speed and torque of a stroke each way against time, and what that asks of the motor.

mod figures;

use glam::DVec2;
use glidewright_motion::{Drive, DriveFigures, Fixture, Move, Results};

use super::bench::senses;
use super::scene::Scene;
use super::words::{place, shortened};
use super::{View, table};
use crate::drawing::{Drawing, Glyph, Label, Panel, Rect};
use crate::look::{Dash, Tone, Weight};
use crate::strip::{Marker, Orientation, STRIP_MARGIN, Series, StripData, StripLayout, strip_panel};

/// The drive over time.
pub(super) const VIEW: View = View {
    name: "drive",
    title: "Drive",
    about: "Speed and torque of a stroke each way against time, beside what the motor can give.",
    lacks,
    still: |_| false,
    draw,
};

const TITLE_PT: f64 = 10.0;
const TABLE_PT: f64 = 8.5;
const NOTE_PT: f64 = 8.0;
const BESIDE: table::Beside =
    table::Beside { from: 620.0, share: 0.32, least: 180.0, most: 270.0, gap: 16.0, below: 0.4 };
/// Least height of the curves for which speed stands above torque (pt).
const LOW: f64 = 240.0;

fn lacks(fixture: &Fixture, results: &Results) -> Option<&'static str> {
    match (&fixture.drive, &results.drive) {
        (_, Some(_)) => None,
        (Drive::Hand, None) => Some("It is moved by hand: there is no motor to look at."),
        (Drive::Motor(_), None) => {
            Some("The motor moves nothing: it needs a driven pulley, a stroke, a speed and an acceleration.")
        }
    }
}

fn draw(scene: &Scene<'_>) -> Drawing {
    let mut drawing = Drawing::new(format!("{}: drive", scene.fixture.name), scene.size());
    drawing.panels = panels(scene, Rect::between(DVec2::ZERO, scene.size()));
    drawing
}

/// The view in a frame.
fn panels(scene: &Scene<'_>, frame: Rect) -> Vec<Panel> {
    let Some(figures) = &scene.results.drive else { return Vec::new() };
    let inner = frame.grown(-8.0);
    let mut words = Panel::centred("figures of the drive", frame, DVec2::ZERO, 1.0);
    let name = match &scene.fixture.drive {
        Drive::Motor(motor) => motor.name.as_str(),
        Drive::Hand => "",
    };
    let title = format!("{name}  ·  one stroke each way, at rest at both ends");
    let title = shortened(&title, TITLE_PT, Weight::SemiBold, inner.size().x);
    let at = place(&words, inner.min);
    words.add(Label::new(title, at, TITLE_PT).bold().anchored(0.0, 1.0));
    let rows = figures::rows(scene, figures);
    let body = Rect { min: inner.min + DVec2::new(0.0, 1.6 * TITLE_PT), max: inner.max };
    let (plots, listed) = BESIDE.split(&body, table::height(rows.len(), TABLE_PT), f64::INFINITY);
    let mut panels = curves(scene, figures, plots);
    let at = place(&words, DVec2::new(plots.max.x - STRIP_MARGIN.right, plots.max.y - 7.0));
    words.add(Label::new("time, s", at, NOTE_PT).toned(Tone::FaintInk).anchored(1.0, 0.0));
    table::draw(&mut words, &listed, "", &rows, TABLE_PT);
    panels.push(words);
    panels
}

/// Speed above, torque below; a column each way.
fn curves(scene: &Scene<'_>, figures: &DriveFigures, frame: Rect) -> Vec<Panel> {
    let column = 0.5 * frame.size().x;
    let room = frame.size().y - 10.0;
    // The torque matters most: where both would be too low it has all the room.
    let speed_room = if room >= LOW { 0.4 * room } else { 0.0 };
    let span = figures.up.duration().max(figures.down.duration()).max(1e-6);
    let torques = [&figures.up, &figures.down].map(|way| torque(scene, way));
    // Both ways on one scale.
    let range = torques.iter().filter_map(|data| data.range).reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
    let mut panels = Vec::new();
    for (number, (way, data)) in [&figures.up, &figures.down].into_iter().zip(torques).enumerate() {
        let word = senses(scene)[number];
        let left = frame.min.x + number as f64 * column;
        let data = StripData { title: format!("Torque, {word}"), range, ..data };
        let rows = [
            (speed(scene, way, word), frame.min.y, speed_room, false),
            (data, frame.min.y + speed_room, room - speed_room, true),
        ];
        for (data, top, room, numbers) in rows {
            if room <= 0.0 {
                continue;
            }
            let plot = Rect::between(
                DVec2::new(left + STRIP_MARGIN.left, top + Orientation::Lying.head()),
                DVec2::new(left + column - STRIP_MARGIN.right, top + room - STRIP_MARGIN.below),
            );
            let layout = StripLayout {
                plot,
                orientation: Orientation::Lying,
                travel: (0.0, span),
                travel_numbers: numbers,
            };
            panels.push(strip_panel(&data, &layout));
        }
    }
    panels
}

fn over_time(way: &Move, name: &str, tone: Tone, dash: Dash, values: &[f64]) -> Series {
    let points = way.time.iter().zip(values).map(|(time, value)| DVec2::new(*time, *value)).collect();
    Series { dash, ..Series::new(name, tone, points) }
}

/// When the lead passes where it stands now (s).
fn now(scene: &Scene<'_>, way: &Move) -> Option<f64> {
    let travel = scene.travel;
    way.travel.windows(2).zip(way.time.windows(2)).find_map(|(place, time)| {
        let ([a, b], [from, to]) = (place, time) else { return None };
        let within = (travel - a) * (travel - b) <= 0.0;
        let share = if (b - a).abs() > 1e-12 { (travel - a) / (b - a) } else { 0.0 };
        within.then_some(from + (to - from) * share)
    })
}

fn speed(scene: &Scene<'_>, way: &Move, word: &str) -> StripData {
    let most = way.speed.iter().copied().fold(0.0, f64::max);
    StripData {
        title: format!("Speed, {word}"),
        unit: "mm/s".into(),
        decimals: 0,
        series: vec![over_time(way, "", Tone::RiderALine, Dash::Solid, &way.speed)],
        cursor: now(scene, way),
        range: (most > 0.0).then_some((0.0, 1.12 * most)),
        ..StripData::default()
    }
}

fn torque(scene: &Scene<'_>, way: &Move) -> StripData {
    let mut series = vec![over_time(way, "needed", Tone::RiderALine, Dash::Solid, &way.torque)];
    if way.available.len() == way.time.len() {
        series.push(over_time(way, "the motor gives", Tone::RiderBLine, Dash::Dashed, &way.available));
    }
    let all = || {
        let plotted = series.iter().flat_map(|s| s.points.iter().map(|p| p.y));
        plotted.chain([way.starting_torque]).filter(|v| v.is_finite())
    };
    let (low, high) = all().fold((0.0, 0.0), |(low, high): (f64, f64), v| (low.min(v), high.max(v)));
    let air = 0.1 * (high - low);
    let starting = Marker {
        at: DVec2::new(0.0, way.starting_torque),
        glyph: Glyph::Diamond,
        tone: Tone::RiderALine,
        text: "to break away".to_owned(),
        part: None,
    };
    StripData {
        unit: "N·mm".into(),
        decimals: 1,
        series,
        markers: vec![starting],
        cursor: now(scene, way),
        range: (air > 0.0).then_some((if low < 0.0 { low - air } else { 0.0 }, high + air)),
        ..StripData::default()
    }
}
