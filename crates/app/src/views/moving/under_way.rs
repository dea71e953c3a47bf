//! A drag of something built, from the press to the new sizes.

use glidewright_geometry::DVec3;
use glidewright_project::quantity::Quantity;
use glidewright_project::size::Formula;
use glidewright_project::{Document, Slot, Values};
use glidewright_sheet::{DVec2, Panel};

use super::{Coordinate, Met, Movable, SnapLines, shifted};
use crate::state::{Bench, Edit, ReaderUnits};

/// A way that is seen this little (its length on paper per mm, over the scale) cannot be dragged along.
const SEEN: f64 = 0.2;
/// How near a place must be on screen to be met (pt of the drawing).
const MEET_PT: f64 = 5.0;
/// Steps a free drag lands on (mm), the finest that is this many points apart is taken.
const STEPS: [f64; 5] = [0.1, 0.5, 1.0, 5.0, 10.0];
const STEP_PT: f64 = 0.8;

/// One way to move, with where it starts.
#[derive(Clone, Debug, PartialEq)]
struct Way {
    direction: DVec3,
    name: &'static str,
    limits: Option<(f64, f64)>,
    /// The sizes as they are at the press.
    sizes: Vec<Start>,
    /// A shared size that the one size of this way stands on: its path, its number, change of the size per
    /// change of it.
    through: Option<(String, f64, f64)>,
    /// What the first size came to at the press (mm).
    value: f64,
    /// This way on paper (pt per mm).
    on_paper: DVec2,
    /// Edges and middle before the move (mm, rail frame).
    edges: [f64; 3],
    lines: SnapLines,
}

/// A size as it is at the press.
#[derive(Clone, Debug, PartialEq)]
struct Start {
    path: String,
    formula: Formula,
    /// What has to stand behind a number added to it.
    unit: &'static str,
}

impl Start {
    fn of(document: &Document, values: &Values, path: &str) -> Option<Self> {
        let formula = formula_at(document, path)?;
        let plain = shifted(&formula, 1.0, "").to_string();
        let unit = if values.try_formula(&plain, Quantity::Length).is_ok() { "" } else { " mm" };
        Some(Self { path: path.to_owned(), formula, unit })
    }
}

/// Where something is taken hold of.
#[derive(Clone, Copy, Debug)]
pub struct Hold<'a> {
    /// The panel.
    pub panel: &'a Panel,
    /// The ways of the rail frame that run to the right and up in the panel's world.
    pub axes: (DVec3, DVec3),
    /// The travel shown (mm).
    pub travel: f64,
    /// The point (pt).
    pub pt: DVec2,
}

/// A drag under way.
#[derive(Clone, Debug, PartialEq)]
pub struct Moving {
    name: String,
    from_pt: DVec2,
    scale: f64,
    ways: Vec<Way>,
}

/// What to show while something is moved.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Readout {
    /// A line for each way moved.
    pub lines: Vec<String>,
    /// Places met: the way (rail frame), and what is there.
    pub met: Vec<(DVec3, Met)>,
}

impl Moving {
    /// Takes hold of something; `None` if it cannot be moved in the panel.
    pub fn start(
        movable: &Movable,
        document: &Document,
        values: &Values,
        bench: &Bench,
        hold: &Hold<'_>,
    ) -> Option<Self> {
        let Hold { panel, axes, travel, pt: from_pt } = *hold;
        let home = DVec3::X * movable.home(&bench.fixture, travel);
        let mut ways: Vec<Way> = Vec::new();
        for Coordinate { path, direction, way, limits } in &movable.coordinates {
            if let Some(known) = ways.iter_mut().find(|known| known.direction == *direction) {
                known.sizes.extend(Start::of(document, values, path));
                continue;
            }
            let world = DVec2::new(direction.dot(axes.0), direction.dot(axes.1));
            let on_paper = panel.pt_from_world.transform_vector2(world);
            if world.length() < SEEN || !on_paper.is_finite() {
                continue;
            }
            let (Some(start), Some(value)) = (Start::of(document, values, path), values.at(path)) else {
                continue;
            };
            let middle = (movable.middle + home).dot(*direction);
            let half = movable.half.dot(direction.abs());
            ways.push(Way {
                direction: *direction,
                name: way,
                limits: *limits,
                sizes: vec![start],
                through: None,
                value: value.nominal,
                on_paper,
                edges: [middle, middle - half, middle + half],
                lines: SnapLines::along(*direction, movable, bench, travel),
            });
        }
        for way in &mut ways {
            if let [only] = way.sizes.as_slice() {
                way.through = through_shared(document, only);
            }
        }
        let scale = panel.scale();
        (!ways.is_empty()).then(|| Self { name: movable.name.clone(), from_pt, scale, ways })
    }

    /// The sizes with the pointer at a point (pt), and what to show. `fine` takes the finest steps, `free` none.
    pub fn at(&self, pt: DVec2, fine: bool, free: bool, unit: ReaderUnits) -> Option<(Edit, Readout)> {
        let moved = pt - self.from_pt;
        if !moved.is_finite() {
            return None;
        }
        let mut readout = Readout::default();
        let mut sets: Vec<(String, Formula)> = Vec::new();
        for way in &self.ways {
            let wanted = moved.dot(way.on_paper) / way.on_paper.length_squared();
            let (by, met) = way.snapped(wanted, self.scale, fine, free);
            if let Some(met) = met {
                readout.met.push((way.direction, met));
            }
            let value = way.value + by;
            let text = |mm: f64| unit.text(mm, 2);
            let sign = if by < 0.0 { "−" } else { "+" };
            readout.lines.push(format!("{} {} ({sign}{})", way.name, text(value), text(by.abs())));
            match &way.through {
                Some((path, number, per)) => {
                    let shared = ((number + by / per) * 1e6).round() / 1e6;
                    let name = path.strip_prefix("sizes/").unwrap_or(path);
                    readout.lines.push(format!("{name} {}", text(shared)));
                    sets.push((path.clone(), Formula::Number(shared)));
                }
                None => {
                    let all = way.sizes.iter();
                    sets.extend(all.map(|s| (s.path.clone(), shifted(&s.formula, by, s.unit))));
                }
            }
        }
        Some((Edit::Sizes { what: format!("Move {}", self.name), sets }, readout))
    }
}

impl Way {
    /// How far it really moves (mm) when `wanted` is asked for, and what it meets.
    fn snapped(&self, wanted: f64, scale: f64, fine: bool, free: bool) -> (f64, Option<Met>) {
        let limited = |by: f64| match self.limits {
            Some((from, to)) => (self.value + by).clamp(from.min(to), from.max(to)) - self.value,
            None => by,
        };
        if free {
            return (limited(wanted), None);
        }
        let reach = MEET_PT / self.on_paper.length().max(1e-9);
        if !fine && let Some((by, met)) = self.lines.meet(&self.edges, wanted, reach) {
            let by = limited(by);
            // Held back by a limit, it does not meet it after all.
            let meets = self.edges.iter().any(|edge| (edge + by - met.at).abs() < 1e-6);
            return (by, meets.then_some(met));
        }
        let seen = |step: &f64| step * scale >= STEP_PT;
        let usual = STEPS.iter().copied().find(seen).unwrap_or(1.0).max(0.5);
        let step = if fine { 0.1 } else { usual };
        let value = ((self.value + wanted) / step).round() * step;
        (limited(((value - self.value) * 1e9).round() / 1e9), None)
    }
}

fn formula_at(document: &Document, path: &str) -> Option<Formula> {
    let mut found = None;
    document.visit(&mut |at, slot| {
        if at == path
            && let Slot::Size(size) = slot
        {
            found = size.formula().cloned();
        }
    });
    found
}

/// The one shared size, a plain number, that a formula is proportional to or a shift of: changing it keeps the
/// formula. Its path, its number, change of the size per change of it.
fn through_shared(document: &Document, size: &Start) -> Option<(String, f64, f64)> {
    let names = glidewright_project::edit::names_in(&size.formula);
    let [name] = names.as_slice() else { return None };
    let shared = format!("sizes/{name}");
    let Some(Formula::Number(number)) = formula_at(document, &shared) else { return None };
    let value_with = |number: f64| {
        let edited = glidewright_project::edit::set(document, &shared, &number.to_string()).ok()?;
        let (values, _) = Values::of(&edited.document, None);
        values.at(&size.path).map(|value| value.nominal)
    };
    let [at, on, farther] = [number, number + 1.0, number + 2.0].map(value_with);
    let (first, second) = (on? - at?, farther? - on?);
    let is_straight = (first - second).abs() < 1e-9;
    (is_straight && first.abs() > 1e-6).then_some((shared, number, first))
}
