//! What a combination comes to when it is analysed.

use std::collections::BTreeMap;

use glidewright_motion::{
    Assembly, Body, BodyId, Finding, Outcome, Owner, PairResult, Results, Role, Severity, analyse,
};
use glidewright_project::document::{Change, Document, Trial};
use glidewright_project::{Problem, resolve};

use super::space::is_error;

/// What matters of an analysed combination.
#[derive(Clone, Debug, PartialEq, Default)]
pub(super) struct Found {
    /// Findings that fail or are marginal, as they come.
    pub matters: Vec<Matter>,
    /// How near groups of bodies come.
    pub gaps: BTreeMap<String, GapFigure>,
    /// The least gap over the stroke, and between what (mm).
    pub least: Option<(f64, [String; 2])>,
    /// The greatest effort (N).
    pub effort: Option<f64>,
    /// The greatest pressure under a wheel (MPa).
    pub pressure: Option<f64>,
    /// Wheels, each kind once.
    pub wheels: Vec<String>,
}

/// A finding that fails or is marginal.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Matter {
    pub code: &'static str,
    pub severity: Severity,
    pub title: String,
    /// Numbers of the riders it names.
    pub riders: Vec<usize>,
    /// What bodies it names.
    pub sides: Vec<String>,
    /// How far its figure lies beyond what it is held against.
    pub over: Option<f64>,
}

impl Matter {
    /// Whether it is the same matter as another, be it worse or better.
    pub fn is_like(&self, other: &Self) -> bool {
        let family = |code: &'static str| if code.starts_with("gap.") { "gap" } else { code };
        if family(self.code) != family(other.code) {
            return false;
        }
        let is_gap = self.code.starts_with("gap.");
        let shared = self.sides.iter().filter(|side| other.sides.contains(side)).count();
        if is_gap && !self.sides.is_empty() && !other.sides.is_empty() {
            return shared >= 2 || (shared == 1 && self.sides.len() == 1);
        }
        (self.riders.is_empty() && other.riders.is_empty())
            || self.riders.iter().any(|r| other.riders.contains(r))
    }
}

/// How near two groups of bodies come: things of one kind on one rider, or one thing that stands still.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct GapFigure {
    /// Least gap as drawn (mm); infinite where only growth sideways could make them touch.
    pub gap: f64,
    /// What it lies above what is asked, as drawn or under load, or above nothing after tolerances (mm).
    pub spare: f64,
    /// Whether it lies along the axis of a stack, so that it is a sum.
    pub is_along: bool,
    /// Whose bodies they are and what.
    pub sides: [Side; 2],
}

/// A side of a gap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Side {
    pub rider: Option<usize>,
    pub role: Role,
}

/// A combination as a document: the base with a trial of these changes.
pub(super) fn with_changes(base: &Document, changes: Vec<Change>) -> (Document, &'static str) {
    const NAME: &str = "found";
    let trial = Trial { name: NAME.to_owned(), note: String::new(), over: Vec::new(), changes };
    (Document { trials: vec![trial], ..base.clone() }, NAME)
}

/// Analyses a combination.
///
/// # Errors
/// Why it is no fixture.
pub(super) fn find(base: &Document, changes: Vec<Change>) -> Result<Found, Problem> {
    let (document, trial) = with_changes(base, changes);
    let resolved = resolve(&document, Some(trial));
    let problem = resolved.problems.iter().find(|problem| is_error(problem));
    match (&resolved.fixture, problem) {
        (Some(fixture), None) => Ok(Found::of(&analyse(fixture), fixture)),
        (_, Some(problem)) => Err(problem.clone()),
        (None, None) => Err(Problem::error("", "it comes to no fixture")),
    }
}

impl Found {
    pub fn of(results: &Results, fixture: &glidewright_motion::Fixture) -> Self {
        let assembly = &results.assembly;
        let mut gaps: BTreeMap<String, GapFigure> = BTreeMap::new();
        for pair in results.interference.pairs().filter(|pair| !pair.meets_stop && pair.allowed.is_none()) {
            let Some((name, figure)) = figure(assembly, pair) else { continue };
            gaps.entry(name)
                .and_modify(|known| {
                    known.is_along &= figure.is_along || figure.spare > known.spare + 1.0;
                    known.gap = known.gap.min(figure.gap);
                    known.spare = known.spare.min(figure.spare);
                })
                .or_insert(figure);
        }
        let label = |id: BodyId| assembly.body(id).map_or_else(String::new, |body| body.label.clone());
        let least = results
            .interference
            .tightest()
            .map(|pair| (pair.gap, [label(pair.bodies.0), label(pair.bodies.1)]));
        let curves = &results.curves;
        let efforts = curves.effort_up.iter().chain(&curves.effort_down);
        let pressures =
            curves.loads.iter().flatten().flat_map(|loads| &loads.wheels).map(|wheel| wheel.pressure);
        let mut wheels: Vec<String> = Vec::new();
        for wheel in fixture.riders.iter().flat_map(|rider| &rider.wheels) {
            let is_wheel = |piece: &&glidewright_motion::Piece| {
                matches!(piece.kind, glidewright_motion::PieceKind::Wheel(_))
            };
            let name = wheel.stack.pieces.iter().find(is_wheel).map(|piece| piece.name.clone());
            wheels.extend(name.filter(|name| !wheels.contains(name)));
        }
        let is_matter = |finding: &&Finding| finding.severity >= Severity::Marginal;
        Self {
            matters: results.findings.iter().filter(is_matter).map(|f| matter(results, fixture, f)).collect(),
            gaps,
            least,
            effort: efforts.map(|effort| effort.abs()).filter(|effort| !effort.is_nan()).reduce(f64::max),
            pressure: pressures.filter(|pressure| !pressure.is_nan()).reduce(f64::max),
            wheels,
        }
    }

    /// How many findings there are of a severity.
    pub fn count(&self, severity: Severity) -> u32 {
        self.matters.iter().filter(|matter| matter.severity == severity).count() as u32
    }
}

fn matter(results: &Results, fixture: &glidewright_motion::Fixture, finding: &Finding) -> Matter {
    let mut riders: Vec<usize> = Vec::new();
    for path in &finding.paths {
        let name = path.strip_prefix("riders/").and_then(|rest| rest.split('/').next());
        let number = name.and_then(|name| fixture.riders.iter().position(|rider| rider.name == name));
        riders.extend(number.filter(|number| !riders.contains(number)));
    }
    riders.sort_unstable();
    let mut sides: Vec<String> = Vec::new();
    for body in finding.bodies.iter().filter_map(|id| results.assembly.body(*id)) {
        let side = side_name(body);
        if !sides.contains(&side) {
            sides.push(side);
        }
    }
    Matter {
        code: finding.code,
        severity: finding.severity,
        title: finding.title.to_string(),
        riders,
        sides,
        over: finding
            .value
            .zip(finding.limit)
            .map(|(value, limit)| value - limit)
            .filter(|over| over.is_finite()),
    }
}

fn side_name(body: &Body) -> String {
    let owner = match body.owner {
        Owner::Ground => String::new(),
        Owner::Rider(number) => number.to_string(),
    };
    // What is put on a screw may be called otherwise tomorrow.
    let of_stack = body.role.is_hardware() || matches!(body.role, Role::Tyre | Role::Hub | Role::Plate);
    let name = if of_stack { "" } else { body.own_label() };
    format!("{owner} {:?} {name}", body.role)
}

fn figure(assembly: &Assembly, pair: &PairResult) -> Option<(String, GapFigure)> {
    let (a, b) = (assembly.body(pair.bodies.0)?, assembly.body(pair.bodies.1)?);
    let side = |body: &Body| Side {
        rider: match body.owner {
            Owner::Ground => None,
            Owner::Rider(number) => Some(number),
        },
        role: body.role,
    };
    let (mut names, mut sides) = ([side_name(a), side_name(b)], [side(a), side(b)]);
    if names[1] < names[0] {
        names.swap(0, 1);
        sides.swap(0, 1);
    }
    let nearest = pair.gap.min(pair.loaded.gap);
    let (gap, spare) = match pair.outcome {
        Outcome::ClearByPassing { .. } => (f64::INFINITY, f64::INFINITY),
        Outcome::Fouls { .. } => (nearest, nearest - pair.asked),
        _ => (nearest, (nearest - pair.asked).min(pair.left())),
    };
    Some((names.join(" | "), GapFigure { gap, spare, is_along: pair.chain.is_some(), sides }))
}
