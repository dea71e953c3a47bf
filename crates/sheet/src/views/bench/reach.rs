//! What the strips show over the reach of a load that slides on its rider.

use glidewright_motion::{Drive, Owner, ReachCurves, touches};

use super::strip_parts::{from_zero, limit_of_effort, senses, series, stretches, wheel_look};
use crate::look::{Dash, ReaderUnits, Tone};
use crate::strip::{Interval, Limit, StripData};
use crate::views::scene::Scene;
use crate::views::{ReachGaps, StripAxis, StripKind};

/// The curves over reach that are asked for: those of the load that is selected, of the rider in focus, or the
/// first there are; `None` where the strips run over travel.
pub(super) fn curves<'a>(scene: &Scene<'a>) -> Option<&'a ReachCurves> {
    if scene.state.axis == StripAxis::Travel {
        return None;
    }
    let all = || scene.results.reach.iter().filter(|curves| curves.reach.len() > 1);
    let selected = scene.state.selected.and_then(|id| scene.body(id));
    let path = |curves: &ReachCurves| {
        Some(scene.fixture.riders.get(curves.rider)?.loads.get(curves.load)?.path.as_str())
    };
    let own = selected.and_then(|body| all().find(|curves| path(curves) == Some(body.path.as_str())));
    let beside = || {
        let Owner::Rider(number) = selected?.owner else { return None };
        all().find(|curves| curves.rider == number)
    };
    own.or_else(beside).or_else(|| all().next())
}

/// The reaches shown (mm), least first.
pub(super) fn range(curves: &ReachCurves) -> (f64, f64) {
    let ends = (curves.reach.first(), curves.reach.last());
    match ends {
        (Some(low), Some(high)) => (*low, *high),
        _ => (0.0, 1.0),
    }
}

/// Name of the load that slides.
pub(super) fn load_name<'a>(scene: &Scene<'a>, curves: &ReachCurves) -> &'a str {
    let load = scene.fixture.riders.get(curves.rider).and_then(|rider| rider.loads.get(curves.load));
    load.map_or("load", |load| load.name.as_str())
}

fn gaps<'a>(scene: &Scene<'a>, curves: &ReachCurves) -> Option<&'a ReachGaps> {
    scene.state.reach_gaps.iter().find(|gaps| gaps.of == (curves.rider, curves.load))
}

/// Whether a strip has something to show over reach.
pub(super) fn has_data(scene: &Scene<'_>, curves: &ReachCurves, kind: StripKind) -> bool {
    match kind {
        StripKind::Clearance => gaps(scene, curves).is_some(),
        StripKind::Effort => true,
        StripKind::WheelLoads => !curves.wheel_loads.is_empty(),
        StripKind::Torque | StripKind::Resistance => false,
    }
}

/// The data of a strip over reach.
pub(super) fn data(scene: &Scene<'_>, curves: &ReachCurves, kind: StripKind) -> StripData {
    match kind {
        StripKind::Clearance => clearance(scene, curves),
        StripKind::Effort => effort(scene, curves),
        StripKind::WheelLoads => wheel_loads(scene, curves),
        StripKind::Torque | StripKind::Resistance => StripData::default(),
    }
}

fn clearance(scene: &Scene<'_>, curves: &ReachCurves) -> StripData {
    let asked = scene.fixture.limits.gap;
    let points = gaps(scene, curves).map_or_else(Vec::new, |gaps| gaps.points.clone());
    let (reach, gap): (Vec<f64>, Vec<f64>) = points.iter().map(|p| (p.x, p.y)).unzip();
    let fouls = stretches(&reach, |index| gap.get(index).is_some_and(|gap| touches(*gap)));
    StripData {
        unit: "mm".into(),
        decimals: 2,
        series: vec![series("tightest gap", Tone::Clear, Dash::Solid, &reach, gap.iter().copied())],
        limits: vec![Limit {
            value: asked,
            name: format!("required {}", scene.bare(asked, 2)),
            tone: Tone::Marginal,
        }],
        intervals: fouls
            .into_iter()
            .map(|(from, to)| interval(scene.unit(), "fouls", Tone::Clash, from, to))
            .collect(),
        ..StripData::default()
    }
}

fn effort(scene: &Scene<'_>, curves: &ReachCurves) -> StripData {
    let plain = |name: String, tone: Tone, dash: Dash, values: &[f64]| {
        series(&name, tone, dash, &curves.reach, values.iter().copied())
    };
    let [up, down] = senses(scene);
    let drifts = if scene.fixture.drive == Drive::Hand {
        stretches(&curves.reach, |index| !curves.holds(index))
    } else {
        Vec::new()
    };
    StripData {
        unit: "N".into(),
        decimals: 2,
        series: vec![
            plain(format!("most {up}"), Tone::RiderALine, Dash::Solid, &curves.effort_up),
            plain(format!("most {down}"), Tone::RiderBLine, Dash::Dashed, &curves.effort_down),
            plain("imbalance".to_owned(), Tone::Clear, Dash::Centre, &curves.imbalance),
        ],
        limits: limit_of_effort(scene, &curves.effort_up),
        intervals: drifts
            .into_iter()
            .map(|(from, to)| interval(scene.unit(), "drifts", Tone::Marginal, from, to))
            .collect(),
        ..StripData::default()
    }
}

fn wheel_loads(scene: &Scene<'_>, curves: &ReachCurves) -> StripData {
    let mut data = StripData { unit: "N".into(), decimals: 1, ..StripData::default() };
    let Some(rider) = scene.fixture.riders.get(curves.rider) else { return data };
    for (wheel, (mount, values)) in rider.wheels.iter().zip(&curves.wheel_loads).enumerate() {
        let (tone, dash) = wheel_look(curves.rider, wheel);
        data.series.push(series(&mount.name, tone, dash, &curves.reach, values.iter().copied()));
    }
    data.range = from_zero(data.series.iter().flat_map(|s| s.points.iter().map(|p| &p.y)));
    data
}

fn interval(unit: ReaderUnits, what: &str, tone: Tone, from: f64, to: f64) -> Interval {
    Interval {
        from,
        to,
        tone,
        hatched: true,
        name: format!("{what} at a reach from {} to {}", unit.bare(from, 0), unit.text(to, 0)),
        part: None,
    }
}
