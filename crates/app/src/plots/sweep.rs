//! What becomes of figures as one size is swept.

use glidewright_choice::{Figure, Point, Swept};
use glidewright_motion::{Severity, plain};
use glidewright_project::NumberSize;
use glidewright_sheet::{
    DVec2, Dash, PlotAxis, PlotCurve, PlotData, PlotRule, PlotStretch, ReaderUnits, Tone,
};

/// One figure, or all three gaps, against the size that is swept, in the reader's units.
pub fn sweep_plot(title: &str, sweep: &Swept, figure: Figure, units: ReaderUnits) -> PlotData {
    let points: Vec<&Point> = sweep.points.iter().collect();
    let size = &sweep.size;
    let across = Across::of(size, units);
    let shown: Vec<Figure> =
        if figure.is_gap() { vec![Figure::Gap, Figure::LoadedGap, Figure::LeftGap] } else { vec![figure] };
    let own = units.of_symbol(figure.unit());
    let up = |value: f64| own.map_or(value, |unit| value / unit.size);
    let curve = |figure: &Figure| {
        let points = points.iter().map(|point| {
            DVec2::new(across.of_value(point.value), point.figure(*figure).map_or(f64::NAN, up))
        });
        let (tone, dash) = look(*figure);
        PlotCurve { name: figure.title().to_owned(), tone, dash, points: points.collect() }
    };
    let curves: Vec<PlotCurve> =
        shown.iter().map(curve).filter(|curve| curve.points.iter().any(|p| p.y.is_finite())).collect();
    let mut rules = vec![PlotRule {
        name: "now".to_owned(),
        tone: Tone::Ink,
        dash: Dash::Centre,
        upright: true,
        at: across.of_value(size.now),
    }];
    let required = points.iter().find_map(|point| point.outcome.as_ref().ok()).map(|known| known.required);
    if let Some(required) = required.filter(|_| figure.is_gap()) {
        rules.push(PlotRule {
            name: "required".to_owned(),
            tone: Tone::Marginal,
            dash: Dash::Dashed,
            upright: false,
            at: up(required),
        });
    }
    let in_range = |at: f64| sweep.question.from <= at && at <= sweep.question.to;
    rules.retain(|rule| !rule.upright || in_range(size.now));
    rules.extend(sweep.ends.iter().map(|end| PlotRule {
        name: "something begins or ceases".to_owned(),
        tone: Tone::Dimension,
        dash: Dash::Dotted,
        upright: true,
        at: across.of_value(end.value()),
    }));
    let unit = own.map_or(figure.unit(), |unit| unit.symbol);
    let name = if figure.is_gap() { "least gap" } else { figure.title() };
    PlotData {
        title: title.to_owned(),
        notes: Vec::new(),
        across: PlotAxis {
            holds: Some((across.of_value(sweep.question.from), across.of_value(sweep.question.to))),
            ..PlotAxis::new(size.label.as_str(), across.unit.as_str())
        },
        up: PlotAxis::new(name, unit),
        curves,
        rules,
        stretches: stretches(sweep, &points, &across),
        ..PlotData::default()
    }
}

/// "shared size tie from 14 to 18 mm, now 16"
pub fn swept(sweep: &Swept) -> String {
    let (size, question) = (&sweep.size, &sweep.question);
    let ends = format!("{} to {} {}", plain(question.from), plain(question.to), size.unit());
    format!("{} from {}, now {}", size.label, ends.trim_end(), plain(size.now))
}

/// The axis to the right: the size in the reader's unit.
struct Across {
    unit: String,
    size: f64,
}

impl Across {
    fn of(size: &NumberSize, units: ReaderUnits) -> Self {
        match units.of_symbol(size.unit()) {
            Some(unit) => Self { unit: unit.symbol.to_owned(), size: unit.size },
            None => Self { unit: size.unit().to_owned(), size: 1.0 },
        }
    }

    fn of_value(&self, value: f64) -> f64 {
        value / self.size
    }
}

const fn look(figure: Figure) -> (Tone, Dash) {
    match figure {
        Figure::LoadedGap => (Tone::RiderALine, Dash::Dashed),
        Figure::LeftGap => (Tone::RiderBLine, Dash::Phantom),
        _ => (Tone::Ink, Dash::Solid),
    }
}

/// Where something fails, where something is marginal, where nothing can be made: between the exact ends as far as they are
/// known, else between values.
fn stretches(sweep: &Swept, points: &[&Point], across: &Across) -> Vec<PlotStretch> {
    let tone = |point: &Point| match &point.outcome {
        Err(_) => Some(("no fixture can be made", Tone::Axis)),
        Ok(figures) => match figures.troubles.iter().map(|trouble| trouble.severity).max() {
            Some(Severity::Fails) => Some(("something fails", Tone::Clash)),
            Some(Severity::Marginal) => Some(("something is marginal", Tone::Marginal)),
            _ => Some(("nothing fails, nothing is marginal", Tone::Clear)),
        },
    };
    let border = |a: &Point, b: &Point| {
        let within = |value: f64| a.value <= value && value <= b.value;
        let known = sweep.ends.iter().map(|end| end.value()).find(|value| within(*value));
        known.unwrap_or(0.5 * (a.value + b.value))
    };
    let mut all: Vec<PlotStretch> = Vec::new();
    let mut from = points.first().map_or(f64::NAN, |point| point.value);
    for (number, point) in points.iter().enumerate() {
        let next = points.get(number + 1);
        if next.is_some_and(|next| tone(next) == tone(point)) {
            continue;
        }
        let to = next.map_or(point.value, |next| border(point, next));
        if let Some((name, tone)) = tone(point) {
            let between = (across.of_value(from), across.of_value(to));
            all.push(PlotStretch { name: name.to_owned(), tone, between });
        }
        from = to;
    }
    all
}
