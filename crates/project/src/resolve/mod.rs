//! From the document to plain numbers.

mod bodies;
mod catalogue;
mod facing;
mod forces;
mod label;
mod lately;
mod line;
mod loads;
mod numbers;
mod outlines;
mod passage;
mod plates;
mod rail;
mod rider;
mod screw;
mod signs;
mod sizes;
mod spreads;
mod stack;
mod suits;
mod validate;
mod varied;
mod wheel;

use glidewright_motion as motion;

use crate::document::{Document, Drive};
use crate::path::join;
use crate::problem::{Problem, Severity};
use crate::size::{Kind, Number, Size, Torque};
use crate::trial;
use crate::values::Values;

use catalogue::Catalogue;
pub use catalogue::{Cost, MeasuredSize, cost_of, measured_sizes, parts_of_kind, price_at, price_of};
pub use numbers::{NumberSize, numbers};
pub use screw::{PITCHES_BEYOND, plain_shank};
pub use spreads::{Origin, SpreadSize, spread_sizes};
pub use stack::mass_of_part;
pub use suits::Suiting;

/// What a document comes to.
#[derive(Clone, Debug)]
pub struct Resolved {
    /// The fixture in plain numbers; `None` when the document cannot be made into one. With errors among
    /// the problems it stands for what the document would be without what they are about.
    pub fixture: Option<motion::Fixture>,
    /// Everything that is wrong, worst first.
    pub problems: Vec<Problem>,
    /// What every size comes to.
    pub values: Values,
    /// The document with the trial's changes.
    pub document: Document,
}

impl Resolved {
    /// Whether some problem is an error.
    pub fn has_errors(&self) -> bool {
        self.problems.iter().any(|p| p.severity == Severity::Error)
    }
}

/// Resolves a document, with the changes of the trial named.
pub fn resolve(document: &Document, trial: Option<&str>) -> Resolved {
    resolve_keeping(document, trial, None)
}

/// Resolves a document; a size whose formula has no value keeps the one it had in `last`.
pub fn resolve_keeping(document: &Document, trial: Option<&str>, last: Option<&Values>) -> Resolved {
    resolved(document, trial, last, true)
}

/// The same, to follow a hand: without [`Fixture::variations`](motion::Fixture::variations).
pub fn resolve_quickly(document: &Document, trial: Option<&str>, last: Option<&Values>) -> Resolved {
    resolved(document, trial, last, false)
}

fn resolved(document: &Document, trial: Option<&str>, last: Option<&Values>, is_varied: bool) -> Resolved {
    let (document, mut problems) = match trial {
        Some(name) => trial::apply(document, name),
        None => (document.clone(), Vec::new()),
    };
    let sound = validate::document(&document, &mut problems);
    let (values, found) = Values::of(&document, last);
    problems.extend(found);
    let fixture = match sound {
        true if is_varied => varied::fixture(&document, &values, &mut problems)
            .map(|fixture| motion::Fixture { sizes: sizes::named(&document, &values), ..fixture }),
        true => made(&document, &values, &mut problems),
        false => None,
    };
    problems.sort_by_key(|problem| std::cmp::Reverse(problem.severity));
    problems.dedup();
    Resolved { fixture, problems, values, document }
}

/// What a document is resolved with.
fn context<'a>(document: &'a Document, values: &'a Values) -> Context<'a> {
    Context {
        document,
        values,
        catalogue: Catalogue::new(document, values),
        problems: Vec::new(),
        unusable: values.is_missing_some(),
        edges_left: MOST_DRAWN,
        lacks_wheels: false,
        seats: Default::default(),
    }
}

/// The rail of a document, if one can be made.
pub(crate) fn rail_of(document: &Document) -> Option<motion::Rail> {
    let (values, _) = Values::of(document, None);
    let mut context = context(document, &values);
    let rail = rail::resolve(&mut context);
    (!context.unusable).then_some(rail)
}

/// The fixture of a sound document with these values, if one can be made; adds what is wrong.
fn made(document: &Document, values: &Values, problems: &mut Vec<Problem>) -> Option<motion::Fixture> {
    let mut context = context(document, values);
    signs::check(&mut context);
    let fixture = fixture(&mut context);
    problems.append(&mut context.problems);
    (!context.unusable).then_some(fixture)
}

/// Most problems told with a near name; a document with more is no one's handwriting.
const MOST_HELPED: usize = 100;

/// Whether a count is whole; a formula may leave it off by rounding.
fn is_whole(count: f64) -> bool {
    (count - count.round()).abs() < 1e-6
}

/// What resolving reads and where it reports.
struct Context<'a> {
    document: &'a Document,
    values: &'a Values,
    catalogue: Catalogue<'a>,
    problems: Vec<Problem>,
    /// Set when no fixture can be made.
    unusable: bool,
    /// Edges that drawn outlines may still have.
    edges_left: usize,
    /// A wheel of the rider at hand has no track or no stack: what follows from that alone is not told again.
    lacks_wheels: bool,
    /// Wheels already seated.
    seats: glidewright_motion::Seats,
}

/// Most edges all drawn outlines of a document may have together; what is done with them takes the square of
/// their number.
const MOST_DRAWN: usize = 20_000;

impl Context<'_> {
    fn report(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    /// Whether a problem found now is worth looking for near names; finding them takes time.
    fn may_help(&self) -> bool {
        self.problems.len() < MOST_HELPED
    }

    /// A size in the engine's units with its tolerance.
    fn toleranced<K: Kind>(&self, size: &Size<K>, base: &str, name: &str) -> motion::Toleranced {
        self.values.toleranced(size, || join(base, name))
    }

    /// A size in the engine's units.
    fn number<K: Kind>(&self, size: &Size<K>, base: &str, name: &str) -> f64 {
        self.values.number(size, || join(base, name))
    }
}

fn fixture(context: &mut Context<'_>) -> motion::Fixture {
    let document = context.document;
    let rail = rail::resolve(context);
    let riders = rider::resolve(context, &rail);
    let line = document.line.as_ref().map(|line| line::resolve(context, line, &riders.numbers));
    let stroke = motion::Stroke {
        from: context.number(&document.stroke.from, "stroke", "from"),
        to: context.number(&document.stroke.to, "stroke", "to"),
    };
    if stroke.from > stroke.to {
        context.report(
            Problem::error(
                "stroke",
                format!(
                    "the stroke ends at {} before it starts at {}",
                    motion::plain(stroke.to),
                    motion::plain(stroke.from)
                ),
            )
            .remedy("let 'to' be greater than 'from'"),
        );
        context.unusable = true;
    }
    rider::check_travel(context, &rail, &riders.resolved, stroke);
    let limits = motion::Limits {
        gap: context.number(&document.limits.gap, "limits", "gap"),
        effort: context.number(&document.limits.effort, "limits", "effort"),
        tilt: context.number(&document.limits.tilt, "limits", "tilt"),
        play: document.limits.play.as_ref().map_or(PLAY, |play| context.number(play, "limits", "play")),
        temperature: temperatures(context),
    };
    let drive = drive(context, line.as_ref());
    motion::Fixture {
        name: document.name.clone(),
        rail,
        riders: riders.resolved,
        line,
        obstacles: loads::obstacles(context),
        stroke,
        limits,
        drive,
        resistance: resistance(context),
        pulls: forces::pulls(context, &riders.numbers),
        variations: Default::default(),
        sizes: Default::default(),
        paths: motion::Paths { stroke: "stroke".into(), limits: "limits".into(), drive: "drive".into() },
    }
}

/// Play of a rider that is let pass where nothing is said (mm): what a hand feels as loose (own assumption).
const PLAY: f64 = 0.3;

/// The range of temperatures the document names; one end left out is that of the workshop.
fn temperatures(context: &mut Context<'_>) -> Option<(f64, f64)> {
    let limits = &context.document.limits;
    if limits.coldest.is_none() && limits.warmest.is_none() {
        return None;
    }
    let end = |size: &Option<Number>, name| {
        size.as_ref().map_or(motion::WORKSHOP, |size| context.number(size, "limits", name))
    };
    let (coldest, warmest) = (end(&limits.coldest, "coldest"), end(&limits.warmest, "warmest"));
    if coldest > warmest {
        let message = format!(
            "the coldest, {} °C, is above the warmest, {} °C",
            motion::plain(coldest),
            motion::plain(warmest)
        );
        context.report(Problem::error("limits/coldest", message).remedy("let it be the lower of the two"));
        return None;
    }
    Some((coldest, warmest))
}

fn drive(context: &mut Context<'_>, line: Option<&motion::Line>) -> motion::Drive {
    let Drive::Motor(motor) = &context.document.drive else { return motion::Drive::Hand };
    let driven = line.map_or(0, |line| {
        line.nodes
            .iter()
            .filter(
                |node| matches!(node, motion::LineNode::Pulley(p) if p.kind == motion::PulleyKind::Driven),
            )
            .count()
    });
    if driven != 1 {
        context.report(
            Problem::error(
                "drive",
                format!("a motor needs one driven pulley in the line; there are {driven}"),
            )
            .remedy("make one of the line's nodes driven(…)"),
        );
    }
    let efficiency = context.number(&motor.efficiency, "drive", "efficiency");
    if !(efficiency > 0.0 && efficiency <= 1.0) {
        context.report(
            Problem::error("drive/efficiency", "the efficiency must lie above 0 and up to 1")
                .remedy("write a share such as 0.9 or \"90 %\""),
        );
    }
    let torque_by_speed = motor
        .torque
        .iter()
        .zip(1..)
        .map(|(point, number)| {
            let base = format!("drive/torque/{number}");
            (context.number(&point.0, &base, "speed"), context.number(&point.1, &base, "torque"))
        })
        .collect::<Vec<(f64, f64)>>();
    if !torque_by_speed.is_sorted_by(|a, b| a.0 < b.0) {
        context.report(
            Problem::error("drive/torque", "the speeds of the torque curve do not grow")
                .remedy("list the points by growing speed, each speed once"),
        );
    }
    motion::Drive::Motor(motion::Motor {
        name: motor.name.clone(),
        efficiency,
        inertia: context.number(&motor.inertia, "drive", "inertia"),
        torque_by_speed,
        continuous: motor.continuous.as_ref().map(|torque| context.number(torque, "drive", "continuous")),
        profile: motion::SpeedProfile {
            speed: context.number(&motor.speed, "drive", "speed"),
            acceleration: context.number(&motor.acceleration, "drive", "acceleration"),
        },
    })
}

/// A coefficient of the document, or its default.
fn coefficient<K: Kind>(
    context: &Context<'_>,
    given: Option<&Size<K>>,
    path: &str,
    default: motion::Coefficient,
) -> motion::Coefficient {
    given.map_or(motion::Coefficient { path: path.to_owned(), ..default }, |size| {
        self::given(context, size, path)
    })
}

/// A coefficient of the document.
fn given<K: Kind>(context: &Context<'_>, size: &Size<K>, path: &str) -> motion::Coefficient {
    let value = context.values.toleranced(size, || path.to_owned());
    let basis = match value.spread {
        // ±3 standard deviations.
        motion::Spread::Normal { half_width } => motion::Basis::Fitted { standard_error: half_width / 3.0 },
        _ if size.note.is_empty() => motion::Basis::Given,
        _ => motion::Basis::Source(size.note.clone()),
    };
    motion::Coefficient { value: value.nominal, basis, path: path.to_owned() }
}

/// Where the document holds a coefficient that measured pulls can tell, as a path.
pub const fn resistance_path(which: motion::Fittable) -> &'static str {
    match which {
        motion::Fittable::Flank => "resistance/flank",
        motion::Fittable::NoLoadTorque => "resistance/no_load_torque",
        motion::Fittable::Hysteresis => "resistance/hysteresis",
        motion::Fittable::Shoe => "resistance/shoe",
    }
}

fn resistance(context: &Context<'_>) -> motion::Resistance {
    let given = &context.document.resistance;
    let sourced = |value, source: &str| motion::Coefficient {
        basis: motion::Basis::Source(source.to_owned()),
        ..motion::Coefficient::assumed(value)
    };
    let assumed = |which: motion::Fittable| motion::Coefficient::assumed(which.assumed());
    let number =
        |size: &Option<Number>, path: &str, default| coefficient(context, size.as_ref(), path, default);
    let torque =
        |size: &Option<Torque>, path: &str, default| coefficient(context, size.as_ref(), path, default);
    let fitted = |size: &Option<Number>, which| number(size, resistance_path(which), assumed(which));
    motion::Resistance {
        bearing: number(
            &given.bearing,
            "resistance/bearing",
            sourced(0.0015, "single-row ball bearing without seals, open tribology notes"),
        ),
        no_load_torque: torque(
            &given.no_load_torque,
            resistance_path(motion::Fittable::NoLoadTorque),
            assumed(motion::Fittable::NoLoadTorque),
        ),
        flank: fitted(&given.flank, motion::Fittable::Flank),
        hysteresis: fitted(&given.hysteresis, motion::Fittable::Hysteresis),
        shoe: fitted(&given.shoe, motion::Fittable::Shoe),
        start_factor: number(
            &given.start_factor,
            "resistance/start_factor",
            sourced(2.0, "start-up of ball bearings up to twice the running value, open tribology notes"),
        ),
    }
}
