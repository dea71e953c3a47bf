//! The drive: speed and torque of a stroke each way against time, and what that asks of the motor.

mod figures;

use glam::DVec2;
use glidewright_motion::{Drive, DriveFigures, Fixture, Measure, Move, Results};

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
    about: "Speed and torque of a stroke, out and back in one plot against time, beside what the motor can give.",
    lacks,
    still: |_| false,
    draw,
};

const TITLE_PT: f64 = 10.0;
const TABLE_PT: f64 = 8.5;
const NOTE_PT: f64 = 8.0;
const BESIDE: table::Beside =
    table::Beside { from: 620.0, share: 0.32, least: 180.0, most: 270.0, gap: 16.0, below: 0.4 };
/// With more than this many times what is needed a motor has plenty.
const PLENTY: f64 = 4.0;
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

/// Speed above, torque below, both ways in one plot.
fn curves(scene: &Scene<'_>, figures: &DriveFigures, frame: Rect) -> Vec<Panel> {
    let room = frame.size().y - 10.0;
    // The torque matters most: where both would be too low it has all the room.
    let speed_room = if room >= LOW { 0.36 * room } else { 0.0 };
    let span = figures.up.duration().max(figures.down.duration()).max(1e-6);
    let rows = [
        (speed(scene, figures), frame.min.y, speed_room, false),
        (torque(scene, figures), frame.min.y + speed_room, room - speed_room, true),
    ];
    let shown = rows.into_iter().filter(|(_, _, room, _)| *room > 0.0);
    shown
        .map(|(data, top, room, numbers)| {
            let plot = Rect::between(
                DVec2::new(frame.min.x + STRIP_MARGIN.left, top + Orientation::Lying.head()),
                DVec2::new(frame.max.x - STRIP_MARGIN.right, top + room - STRIP_MARGIN.below),
            );
            let layout = StripLayout {
                plot,
                orientation: Orientation::Lying,
                travel: (0.0, span),
                travel_numbers: numbers,
            };
            strip_panel(&data, &layout)
        })
        .collect()
}

/// The two ways, each with its word, tone and dash.
fn ways<'a>(scene: &Scene<'_>, figures: &'a DriveFigures) -> [(&'a Move, &'static str, Tone, Dash); 2] {
    let [up, down] = senses(scene);
    [(&figures.up, up, Tone::RiderALine, Dash::Solid), (&figures.down, down, Tone::RiderBLine, Dash::Dashed)]
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

fn speed(scene: &Scene<'_>, figures: &DriveFigures) -> StripData {
    let ways = ways(scene, figures);
    let most = ways.iter().flat_map(|(way, ..)| way.speed.iter().copied()).fold(0.0, f64::max);
    StripData {
        title: "Speed".to_owned(),
        unit: "mm/s".into(),
        decimals: 0,
        series: ways.map(|(way, word, tone, dash)| over_time(way, word, tone, dash, &way.speed)).to_vec(),
        cursor: now(scene, &figures.up),
        range: (most > 0.0).then_some((0.0, 1.12 * most)),
        ..StripData::default()
    }
    .written_in(scene.unit())
}

/// What the motor must give each way, and what it can: the room between is what is to spare.
fn torque(scene: &Scene<'_>, figures: &DriveFigures) -> StripData {
    let ways = ways(scene, figures);
    let mut series: Vec<Series> =
        ways.map(|(way, word, tone, dash)| over_time(way, word, tone, dash, &way.torque)).to_vec();
    let way = &figures.up;
    // Where the motor has plenty, its curve would press what is needed flat: it is told in words.
    let far = figures.least_margin.is_some_and(|margin| margin > PLENTY);
    if way.available.len() == way.time.len() && !far {
        series.push(over_time(way, "the motor gives", Tone::Clear, Dash::Centre, &way.available));
    }
    let all = || {
        let plotted = series.iter().flat_map(|s| s.points.iter().map(|p| p.y));
        plotted.chain(ways.map(|(way, ..)| way.starting_torque)).filter(|v| v.is_finite())
    };
    let (low, high) = all().fold((0.0, 0.0), |(low, high): (f64, f64), v| (low.min(v), high.max(v)));
    let air = 0.1 * (high - low);
    let moment = |value, decimals| scene.unit().figure(Measure::NewtonMillimetre, value, decimals);
    let starting = ways.iter().map(|(way, ..)| way.starting_torque).fold(f64::NEG_INFINITY, f64::max);
    let markers = starting.is_finite().then(|| Marker {
        at: DVec2::new(0.0, starting),
        glyph: Glyph::Diamond,
        tone: Tone::RiderALine,
        text: format!("to break away {}", moment(starting, 1)),
        part: None,
    });
    let number = crate::look::number;
    let title = match figures.least_margin {
        Some(margin) if far => {
            let least = way.available.iter().copied().fold(f64::INFINITY, f64::min);
            format!(
                "Torque: the motor gives {} or more, {} times what is needed",
                moment(least, 0),
                number(margin, 1)
            )
        }
        Some(margin) => format!("Torque: the motor gives {} times what is needed", number(margin, 1)),
        None => "Torque".to_owned(),
    };
    StripData {
        title,
        unit: "N·mm".into(),
        decimals: 1,
        series,
        markers: markers.into_iter().collect(),
        cursor: now(scene, way),
        range: (air > 0.0).then_some((if low < 0.0 { low - air } else { 0.0 }, high + air)),
        broken: far,
        ..StripData::default()
    }
    .written_in(scene.unit())
}
