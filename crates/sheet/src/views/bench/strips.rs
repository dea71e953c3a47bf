//! What the strips show.

use glam::DVec2;
use glidewright_motion::{BandPoint, Drive, WheelResistance, rider_ratio, touches};

use super::reach;
use super::strip_parts::{from_zero, limit_of_effort, senses, series, stretches, wheel_look};
use crate::drawing::Glyph;
use crate::look::{Dash, ReaderUnits, Tone};
use crate::strip::{Interval, Limit, Marker, Series, StripData};
use crate::views::scene::{Scene, joined, outcome_tone, touching};
use crate::views::{Other, Pick, StripKind, ViewState};

/// Whether a strip has something to show.
pub(super) fn has_data(scene: &Scene<'_>, kind: StripKind) -> bool {
    if let Some(curves) = reach::curves(scene) {
        return reach::has_data(scene, curves, kind);
    }
    let curves = &scene.results.curves;
    match kind {
        StripKind::Clearance | StripKind::Effort => true,
        StripKind::Torque => !curves.torque_up.is_empty(),
        StripKind::Resistance => !curves.running_up.is_empty(),
        StripKind::WheelLoads => scene
            .rider_in_focus()
            .and_then(|number| scene.fixture.riders.get(number))
            .is_some_and(|rider| !rider.wheels.is_empty()),
    }
}

/// The data of a strip.
pub(in crate::views) fn data(scene: &Scene<'_>, kind: StripKind) -> StripData {
    let over_reach = reach::curves(scene);
    let mut data = match (over_reach, kind) {
        (Some(curves), _) => reach::data(scene, curves, kind),
        (None, StripKind::Clearance) => clearance(scene),
        (None, StripKind::Effort) => effort(scene),
        (None, StripKind::Torque) => torque(scene),
        (None, StripKind::WheelLoads) => wheel_loads(scene),
        (None, StripKind::Resistance) => resistance(scene),
    }
    .written_in(scene.unit());
    // What is wrong is said in words too.
    let wrong = data.intervals.iter().any(|interval| interval.hatched);
    let over = if over_reach.is_some() { " / reach" } else { "" };
    let what = match kind {
        StripKind::Clearance if wrong => ": fouls",
        StripKind::Effort if wrong => ": drifts",
        _ => "",
    };
    data.title = format!("{}{over}{what}", kind.title());
    data.cursor = Some(over_reach.map_or(scene.travel, |curves| curves.now));
    data.probe = scene.state.probe;
    data.along = scene.unit().length;
    if scene.state.ghosts {
        data.ghosts = scene.state.others.iter().filter_map(|other| ghost(scene, kind, other)).collect();
    }
    for (number, series) in data.series.iter_mut().enumerate() {
        series.part = Some(Pick::Curve(kind, number as u16).part());
    }
    data
}

/// The main curve of a strip for another trial.
fn ghost(scene: &Scene<'_>, kind: StripKind, other: &Other) -> Option<(String, Vec<DVec2>)> {
    // Its bodies have other numbers.
    let state = ViewState { selected: None, hovered: None, ..scene.state.clone() };
    let state = ViewState { others: Vec::new(), ghosts: false, ..state };
    let scene = Scene::new(&other.fixture, &other.results, &state);
    if !has_data(&scene, kind) {
        return None;
    }
    let series = data(&scene, kind).series;
    // Of what is stacked the top.
    let main = if kind == StripKind::Resistance { series.last() } else { series.first() };
    Some((other.name.clone(), main?.points.clone()))
}

/// What the running resistance is made of, one cause upon the other.
fn resistance(scene: &Scene<'_>) -> StripData {
    let curves = &scene.results.curves;
    type Cause = fn(&WheelResistance) -> f64;
    let causes: [(&str, Tone, Dash, Option<Cause>); 5] = [
        ("bearings", Tone::RiderALine, Dash::Solid, Some(|wheel| wheel.bearing)),
        ("grease", Tone::RiderBLine, Dash::Dashed, Some(|wheel| wheel.no_load)),
        ("flank slip", Tone::RiderCLine, Dash::Solid, Some(|wheel| wheel.slip)),
        ("rolling", Tone::Axis, Dash::Centre, Some(|wheel| wheel.hysteresis)),
        ("belt", Tone::Belt, Dash::Solid, None),
    ];
    let ratios: Vec<f64> =
        (0..curves.resistance_up.len()).map(|rider| rider_ratio(scene.fixture, rider).abs()).collect();
    let mut below = vec![0.0; curves.travel.len()];
    let mut data = StripData { unit: "N".into(), decimals: 3, ..StripData::default() };
    for (name, tone, dash, cause) in causes {
        let share = |station: usize| match cause {
            None => curves.line_loss_up.get(station).copied().unwrap_or(0.0),
            Some(cause) => curves
                .resistance_up
                .iter()
                .zip(&ratios)
                .filter_map(|(stations, ratio)| Some((stations.get(station)?, ratio)))
                .map(|(rider, ratio)| ratio * rider.wheels.iter().map(cause).sum::<f64>())
                .sum(),
        };
        let shares: Vec<f64> = (0..below.len()).map(share).collect();
        // What is nowhere felt is not listed.
        if !shares.iter().any(|share| *share > 1e-4) {
            continue;
        }
        let top: Vec<f64> = below.iter().zip(&shares).map(|(low, share)| low + share).collect();
        let curve = series(name, tone, dash, &curves.travel, top.iter().copied());
        data.series.push(Series { low: below, high: top.clone(), stacked: true, ..curve });
        below = top;
    }
    data.range = from_zero(below.iter());
    data
}

/// The tightest gap at a travel (mm).
struct Gap {
    travel: f64,
    drawn: f64,
    /// With the riders standing as their load makes them stand.
    loaded: f64,
    /// What the riders' play can take of it.
    play: f64,
    /// What the sizes' tolerances can do to it, at worst and as the root of the sum of squares.
    worst: f64,
    rss: f64,
}

impl Gap {
    fn of(point: &BandPoint) -> Self {
        let BandPoint { travel, gap, loaded, play, spread, rss, .. } = *point;
        Self { travel, drawn: gap, loaded, play, worst: spread, rss }
    }

    fn is_finite(&self) -> bool {
        let all = [self.travel, self.drawn, self.loaded, self.play, self.worst, self.rss];
        all.iter().all(|v| v.is_finite())
    }

    fn least(&self) -> f64 {
        self.loaded - self.play - self.worst
    }
}

/// A load that moves a gap by less than this (mm) gets no curve of its own.
const TOLD_APART: f64 = 0.02;

/// The tightest gap with what tolerances can make of it: at worst the outer band, likely the inner one; and
/// the gap as drawn where the load moves it.
fn gap_series(points: &[Gap]) -> Vec<Series> {
    let curve = |of: fn(&Gap) -> f64| points.iter().map(|p| DVec2::new(p.travel, of(p))).collect::<Vec<_>>();
    let mut all = vec![Series {
        low: points.iter().map(Gap::least).collect(),
        high: points.iter().map(|p| p.loaded + p.worst).collect(),
        ..Series::new("under load", Tone::Clear, curve(|p| p.loaded))
    }];
    if points.iter().any(|p| p.rss > 0.01 && p.rss < 0.98 * p.worst) {
        all.push(Series {
            low: points.iter().map(|p| p.loaded - p.rss).collect(),
            high: points.iter().map(|p| p.loaded + p.rss).collect(),
            ..Series::new("", Tone::Clear, curve(|_| f64::NAN))
        });
    }
    if points.iter().any(|p| (p.loaded - p.drawn).abs() > TOLD_APART) {
        all.push(Series {
            dash: Dash::Dotted,
            ..Series::new("as drawn", Tone::FaintInk, curve(|p| p.drawn))
        });
    }
    all
}

/// Travels nearer to each other are one (mm).
const SAME_TRAVEL: f64 = 1e-6;

/// Gaps that are always shown (mm); the axis is broken off above.
const SHOWN: (f64, f64) = (-1.0, 3.0);
/// Shown above the least gap and above what is required, where these are larger (mm).
const SHOWN_ABOVE: f64 = 2.0;

fn clearance(scene: &Scene<'_>) -> StripData {
    let interference = &scene.results.interference;
    let asked = scene.fixture.limits.gap;
    let mut points: Vec<Gap> = interference.band.points.iter().map(Gap::of).filter(Gap::is_finite).collect();
    // The curve comes from stations; the exact least of the nearest pairs goes in between.
    for pair in interference.passing.iter().filter(|pair| !pair.meets_stop).take(12) {
        let least = Gap {
            travel: pair.at_travel,
            drawn: pair.gap,
            loaded: pair.loaded.gap,
            play: pair.play,
            worst: pair.tolerance.worst,
            rss: pair.tolerance.rss,
        };
        if !least.is_finite() {
            continue;
        }
        // Of several pairs at one travel the least counts.
        if let Some(known) = points.iter_mut().find(|p| (p.travel - least.travel).abs() < SAME_TRAVEL) {
            if least.loaded < known.loaded {
                *known = least;
            }
            continue;
        }
        let after = points.partition_point(|p| p.travel < least.travel);
        let beside = [after.checked_sub(1), Some(after)].into_iter().flatten();
        let lower = beside.filter_map(|i| points.get(i)).all(|p| p.drawn >= least.drawn);
        if lower && !points.is_empty() {
            points.insert(after, least);
        }
    }
    let tightest = interference.tightest();
    let lowest = points.iter().map(|p| p.least().min(p.drawn)).fold(f64::INFINITY, f64::min);
    let least = if lowest.is_finite() { lowest } else { 0.0 };
    let floor = (least - 0.2).clamp(-12.0, SHOWN.0).floor();
    let top = SHOWN.1.max((least.max(asked) + SHOWN_ABOVE).ceil());
    let broken = points.iter().any(|point| point.loaded.max(point.drawn) > top);
    let mut intervals = Vec::new();
    let mut shade = |stretches: Vec<(f64, f64)>, tone: Tone, hatched: bool, name: &str| {
        intervals.extend(stretches.into_iter().map(|(from, to)| Interval {
            from,
            to,
            tone,
            hatched,
            name: format!("{name} from {} to {}", scene.bare(from, 1), scene.text(to, 1)),
            part: None,
        }));
    };
    shade(joined(scene, |pair| &pair.below_asked), Tone::Marginal, false, "less than required");
    shade(touching(scene), Tone::Clash, true, "fouls");
    let markers = tightest.filter(|pair| pair.gap.is_finite()).map(|pair| Marker {
        at: DVec2::new(pair.at_travel, pair.gap.clamp(floor, top)),
        glyph: Glyph::Diamond,
        tone: outcome_tone(&pair.outcome),
        text: if touches(pair.gap) {
            format!("fouls {}", scene.bare((-pair.gap).max(0.0), 2))
        } else {
            format!("least {}", scene.bare(pair.gap, 2))
        },
        part: Some(Pick::Tightest.part()),
    });
    StripData {
        unit: "mm".into(),
        decimals: 2,
        series: gap_series(&points),
        limits: vec![Limit {
            value: asked,
            name: format!("required {}", scene.bare(asked, 2)),
            tone: Tone::Marginal,
        }],
        intervals,
        markers: markers.into_iter().collect(),
        range: Some((floor, top)),
        broken,
        ..StripData::default()
    }
}

fn effort(scene: &Scene<'_>) -> StripData {
    let curves = &scene.results.curves;
    let travel = &curves.travel;
    let plain = |name: &str, tone: Tone, dash: Dash, values: &[f64]| {
        series(name, tone, dash, travel, values.iter().copied())
    };
    // As wide as what it takes to break away: within it the imbalance is held.
    let nothing = curves.breakaway_up.iter().map(|_| f64::NAN);
    let mut held = series("held", Tone::Clear, Dash::Dotted, travel, nothing);
    held.low = curves.breakaway_up.iter().map(|b| -b).collect();
    held.high.clone_from(&curves.breakaway_down);
    let [up, down] = senses(scene);
    StripData {
        unit: "N".into(),
        decimals: 2,
        series: vec![
            plain(up, Tone::RiderALine, Dash::Solid, &curves.effort_up),
            plain(down, Tone::RiderBLine, Dash::Dashed, &curves.effort_down),
            plain("imbalance", Tone::Clear, Dash::Centre, &curves.imbalance),
            held,
        ],
        limits: limit_of_effort(scene, &curves.effort_up),
        intervals: drifts(scene),
        ..StripData::default()
    }
}

/// Stretches where it does not stay where it is left.
fn drifts(scene: &Scene<'_>) -> Vec<Interval> {
    let curves = &scene.results.curves;
    if scene.fixture.drive != Drive::Hand {
        return Vec::new();
    }
    let drifting = stretches(&curves.travel, |index| !curves.holds(index));
    drifting.into_iter().map(|(from, to)| drift(scene.unit(), from, to)).collect()
}

fn drift(unit: ReaderUnits, from: f64, to: f64) -> Interval {
    Interval {
        from,
        to,
        tone: Tone::Marginal,
        hatched: true,
        name: format!("drifts from {} to {}", unit.bare(from, 0), unit.text(to, 0)),
        part: None,
    }
}

fn torque(scene: &Scene<'_>) -> StripData {
    let curves = &scene.results.curves;
    let plain = |name: &str, tone: Tone, dash: Dash, values: &[f64]| {
        series(name, tone, dash, &curves.travel, values.iter().copied())
    };
    let [up, down] = senses(scene);
    StripData {
        unit: "N·mm".into(),
        decimals: 1,
        series: vec![
            plain(up, Tone::RiderALine, Dash::Solid, &curves.torque_up),
            plain(down, Tone::RiderBLine, Dash::Dashed, &curves.torque_down),
        ],
        range: from_zero(curves.torque_up.iter().chain(&curves.torque_down)),
        ..StripData::default()
    }
}

fn wheel_loads(scene: &Scene<'_>) -> StripData {
    let curves = &scene.results.curves;
    let mut data = StripData { unit: "N".into(), decimals: 1, ..StripData::default() };
    let Some(number) = scene.rider_in_focus() else { return data };
    let (Some(rider), Some(loads)) = (scene.fixture.riders.get(number), curves.loads.get(number)) else {
        return data;
    };
    for (wheel, mount) in rider.wheels.iter().enumerate() {
        let (tone, dash) = wheel_look(number, wheel);
        let values = loads.iter().map(|l| l.wheels.get(wheel).map_or(f64::NAN, |w| w.normal));
        data.series.push(series(&mount.name, tone, dash, &curves.travel, values));
    }
    let values = || data.series.iter().flat_map(|s| s.points.iter().map(|p| &p.y));
    data.range = apart(values()).or_else(|| from_zero(values()));
    data
}

/// Loads that differ by less than this share of the greatest are shown without what is below them all.
const NEARLY_ALIKE: f64 = 0.6;

/// The range of values that lie near each other, so that their difference shows; `None` where they spread to near zero.
fn apart<'v>(values: impl Iterator<Item = &'v f64>) -> Option<(f64, f64)> {
    let finite = values.filter(|v| v.is_finite() && v.abs() < 1e150);
    let (low, high) =
        finite.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(*v), high.max(*v)));
    let near = low > 0.0 && high - low < NEARLY_ALIKE * high;
    let air = (0.15 * (high - low)).max(0.02 * high);
    near.then_some((low - air, high + air))
}
