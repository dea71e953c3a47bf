//! What the sizes of a document come to.

use std::collections::{HashMap, HashSet};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use glidewright_motion::{Spread, Toleranced};

use crate::document::Document;
use crate::formula::{self, Expr, FormulaError, Value};
use crate::path::join;
use crate::problem::{Place, Problem, Severity, quoted};
use crate::quantity::Quantity;
use crate::size::{Formula, Kind, Size};
use crate::tolerance::Tolerance;
use crate::walk::{SizeSlot, Slot};

/// Most shared sizes a document may have.
pub(crate) const MOST_SHARED: usize = 2000;
/// Most problems told with a near name or the whole of a circle; a document with more is no one's handwriting.
const MOST_HELPED: usize = 100;

/// What every size of a document comes to, by path, in the units of the document.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Values {
    shared: HashMap<String, Shared>,
    by_path: HashMap<String, Toleranced>,
    /// Paths whose formula has no value and that keep an earlier one.
    kept: Vec<String>,
    /// Whether some size has no value at all.
    missing: bool,
    /// The one size that has been moved, if these are not the values of the document itself.
    moved: Option<Moved>,
    /// Paths of the sizes asked for as plain numbers, while that is being noted.
    asked: Option<Arc<Asked>>,
}

/// Paths of sizes; what has been asked makes no other values.
#[derive(Debug, Default)]
struct Asked(Mutex<HashSet<String>>);

impl Asked {
    fn paths(&self) -> MutexGuard<'_, HashSet<String>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl PartialEq for Asked {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

/// A size taken off what it comes to, and everything that follows it.
#[derive(Clone, Debug, PartialEq)]
struct Moved {
    path: String,
    /// In the document's unit for its kind.
    by: f64,
    /// Whether what the engine is given with its tolerance follows too.
    all: bool,
    /// What everything comes to otherwise.
    nominal: Arc<Values>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Shared {
    value: Value,
    /// Nominal and spread in base units.
    toleranced: Toleranced,
}

impl Shared {
    /// What a unit of the document is in base units, as a fraction: it follows from the dimension.
    fn unit_in_base(&self) -> (f64, f64) {
        self.quantity().unit_in_base()
    }

    fn quantity(&self) -> Quantity {
        Quantity::of_dimension(self.value.dimension).unwrap_or(Quantity::Any)
    }
}

impl Values {
    /// Evaluates every size. A size whose formula has no value keeps the one it had in `last`.
    pub fn of(document: &Document, last: Option<&Self>) -> (Self, Vec<Problem>) {
        Self::default().filled(document, last)
    }

    /// What everything comes to when the size at a path is off by `by`, in the document's unit for its kind. What has a
    /// tolerance of its own is made to its own size, and stays.
    pub(crate) fn moved(nominal: &Arc<Self>, document: &Document, path: &str, by: f64) -> Self {
        Self::moved_in(nominal, document, path, by, false)
    }

    /// The same, with what the engine is given with its tolerance following too: pieces, plates, wheels, mouths.
    pub(crate) fn moved_with_all(nominal: &Arc<Self>, document: &Document, path: &str, by: f64) -> Self {
        Self::moved_in(nominal, document, path, by, true)
    }

    fn moved_in(nominal: &Arc<Self>, document: &Document, path: &str, by: f64, all: bool) -> Self {
        let moved = Moved { path: path.to_owned(), by, all, nominal: Arc::clone(nominal) };
        let values = Self { moved: Some(moved), ..Self::default() };
        values.filled(document, Some(nominal)).0
    }

    /// The same, noting from now on which sizes are asked for as plain numbers.
    pub(crate) fn noting(&self) -> Self {
        Self { asked: Some(Arc::default()), ..self.clone() }
    }

    /// Whether the size at a path has been asked for as a plain number, as far as that was noted.
    pub(crate) fn was_asked(&self, path: &str) -> bool {
        self.asked.as_ref().is_some_and(|asked| asked.paths().contains(path))
    }

    fn note(&self, path: &str) {
        if let Some(asked) = &self.asked {
            asked.paths().insert(path.to_owned());
        }
    }

    fn filled(mut self, document: &Document, last: Option<&Self>) -> (Self, Vec<Problem>) {
        let values = &mut self;
        let mut problems = Vec::new();
        values.evaluate_shared(document, last, &mut problems);
        document.visit(&mut |path, slot| {
            let Slot::Size(size) = slot else { return };
            let Some(formula) = size.formula() else { return };
            if path.starts_with("sizes/") {
                // Done above; only its plain number is left to keep.
                let name = path.strip_prefix("sizes/").unwrap_or(path);
                if let Some(shared) = values.shared.get(name) {
                    let (numerator, denominator) = shared.unit_in_base();
                    let toleranced = scaled_by(shared.toleranced, denominator, numerator);
                    values.by_path.insert(path.to_owned(), toleranced);
                }
                return;
            }
            if let Some(kept) = values.kept_in_place(path, size) {
                values.by_path.insert(path.to_owned(), kept);
                return;
            }
            match values.size_of(formula, size.tolerance(), size.quantity(), problems.len() < MOST_HELPED) {
                Ok(value) => {
                    values.by_path.insert(path.to_owned(), value);
                }
                Err(error) => {
                    let mut problem = problem_at(path, &error);
                    match last.and_then(|last| last.by_path.get(path)) {
                        Some(value) => {
                            keep_note(&mut problem, value.nominal, size.quantity());
                            values.by_path.insert(path.to_owned(), *value);
                            values.kept.push(path.to_owned());
                        }
                        None => values.missing = true,
                    }
                    problems.push(problem);
                }
            }
        });
        (self, problems)
    }

    /// What a size comes to that does not follow the one that has been moved, or is that one.
    fn kept_in_place(&self, path: &str, size: &dyn SizeSlot) -> Option<Toleranced> {
        let moved = self.moved.as_ref()?;
        let by = if moved.path == path { moved.by } else { 0.0 };
        (by != 0.0 || size.tolerance().is_some())
            .then(|| moved.nominal.at(path))
            .flatten()
            .map(|value| Toleranced { nominal: value.nominal + by, ..value })
    }

    /// What the size at a path comes to, in the document's unit for its kind (mm, deg, g …).
    pub fn at(&self, path: &str) -> Option<Toleranced> {
        self.by_path.get(path).copied()
    }

    /// What a shared size comes to.
    pub fn shared(&self, name: &str) -> Option<Value> {
        self.shared.get(name).map(|s| s.value)
    }

    /// Paths of sizes whose formula has no value and that keep the one they had.
    pub fn kept(&self) -> &[String] {
        &self.kept
    }

    /// Whether some size has no value, now or before.
    pub const fn is_missing_some(&self) -> bool {
        self.missing
    }

    /// What a formula typed for a size of this kind would come to, in the document's unit.
    ///
    /// # Errors
    /// Why it has no value.
    pub fn try_formula(&self, text: &str, quantity: Quantity) -> Result<f64, FormulaError> {
        self.size_of(&Formula::typed(text), None, quantity, true).map(|t| t.nominal)
    }

    /// What the size in a slot comes to, in the document's unit.
    pub fn of_slot(&self, slot: &dyn SizeSlot) -> Option<Toleranced> {
        self.size_of(slot.formula()?, slot.tolerance(), slot.quantity(), false).ok()
    }

    /// A size in the engine's units. A formula of the document has been worked out already and stands at its
    /// path, be it with an earlier value; one of a part from the tables has not.
    pub(crate) fn toleranced<K: Kind>(&self, size: &Size<K>, path: impl FnOnce() -> String) -> Toleranced {
        match &self.moved {
            Some(moved) if moved.all => {
                let path = path();
                let (numerator, denominator) = K::QUANTITY.engine_per_unit();
                if let Some(value) = self.at(&path) {
                    return scaled_by(value, numerator, denominator);
                }
                // A size of a part from the tables stands at no path of the document.
                let by = self.shift_of_part(&path) * numerator / denominator;
                let value = moved.nominal.evaluated(size, || path);
                Toleranced { nominal: value.nominal + by, ..value }
            }
            // The engine itself follows what it is given with a tolerance.
            Some(moved) => moved.nominal.evaluated(size, path),
            None => self.evaluated(size, path),
        }
    }

    fn evaluated<K: Kind>(&self, size: &Size<K>, path: impl FnOnce() -> String) -> Toleranced {
        let now = || self.size_of(&size.formula, size.tolerance.as_ref(), K::QUANTITY, false).ok();
        let value = match &size.formula {
            Formula::Number(_) => now().or_else(|| self.at(&path())),
            Formula::Text(_) => self.at(&path()).or_else(now),
        }
        .unwrap_or_default();
        let (numerator, denominator) = K::QUANTITY.engine_per_unit();
        scaled_by(value, numerator, denominator)
    }

    /// The nominal of a size in the engine's units; of a size that has been moved, where it is now.
    pub(crate) fn number<K: Kind>(&self, size: &Size<K>, path: impl FnOnce() -> String) -> f64 {
        if self.moved.is_none() && self.asked.is_none() {
            return self.evaluated(size, path).nominal;
        }
        let path = path();
        self.note(&path);
        let (numerator, denominator) = K::QUANTITY.engine_per_unit();
        match self.moved.as_ref().and_then(|_| self.at(&path)) {
            Some(value) => scaled_by(value, numerator, denominator).nominal,
            None => self.evaluated(size, || path).nominal,
        }
    }

    /// How far the size at a path has been moved (in the document's unit for its kind), which is asked for as a plain
    /// number.
    pub(crate) fn shift(&self, path: impl FnOnce() -> String) -> f64 {
        if self.moved.is_none() && self.asked.is_none() {
            return 0.0;
        }
        let path = path();
        self.note(&path);
        self.moved.as_ref().filter(|moved| moved.path == path).map_or(0.0, |moved| moved.by)
    }

    /// How far a size of a part that the engine is given with its tolerance has been moved (in the document's unit for its
    /// kind), where such sizes follow.
    pub(crate) fn shift_of_part(&self, path: &str) -> f64 {
        let moved = self.moved.as_ref().filter(|moved| moved.all && moved.path == path);
        moved.map_or(0.0, |moved| moved.by)
    }

    /// Whether some size asked for as a plain number is another than in `other`.
    pub(crate) fn differs(&self, other: &Self) -> bool {
        self.by_path.iter().any(|(path, value)| {
            other.was_asked(path) && other.at(path).is_none_or(|known| known.nominal != value.nominal)
        })
    }

    /// A formula with its tolerance, in the document's unit for the kind. With `help`, an unknown name comes
    /// with the nearest that is known.
    fn size_of(
        &self,
        formula: &Formula,
        tolerance: Option<&Tolerance>,
        quantity: Quantity,
        help: bool,
    ) -> Result<Toleranced, FormulaError> {
        let in_unit = |value: Value| {
            let number = value.in_unit_of(quantity).map_err(|found| FormulaError {
                column: 1,
                message: format!("{} is needed here, this is {found}", quantity.with_article()),
                remedy: if quantity.unit().is_empty() {
                    "write a number without unit".to_owned()
                } else {
                    format!("give it in a unit such as {}", quantity.unit())
                },
            })?;
            // What can just be calculated in one unit may be too many of a smaller one.
            if number.is_finite() { Ok(number) } else { Err(FormulaError::too_large(0)) }
        };
        let inherited = match formula {
            Formula::Number(number) if number.is_finite() => Toleranced::exact(*number),
            Formula::Number(_) => {
                return Err(FormulaError {
                    column: 1,
                    message: "a size must be a finite number".to_owned(),
                    remedy: "write a number, or a formula in quotes".to_owned(),
                });
            }
            Formula::Text(text) => {
                let expr = formula::parse(text)?;
                let value = formula::evaluate(&expr, &|name| self.lookup(name, help))?;
                let nominal = in_unit(value)?;
                let spread = if tolerance.is_some() {
                    Spread::Exact
                } else {
                    self.spread(&expr, &|value| in_unit(value).unwrap_or(f64::NAN))
                };
                Toleranced { nominal, spread }
            }
        };
        check_amount(inherited.nominal, quantity)?;
        let Some(tolerance) = tolerance else { return Ok(inherited) };
        let toleranced = tolerance.about(inherited.nominal).map_err(|message| FormulaError {
            column: 1,
            message,
            remedy: "correct the tolerance".to_owned(),
        })?;
        check_amount(toleranced.half_width(), quantity)?;
        Ok(toleranced)
    }

    fn lookup(&self, name: &str, help: bool) -> Result<Value, (String, String)> {
        match self.shared.get(name) {
            Some(shared) => Ok(shared.value),
            None if !help => Err(formula::unknown_name(name, [])),
            None => Err(formula::unknown_name(name, self.shared.keys().map(String::as_str))),
        }
    }

    /// Spread a formula inherits from the shared sizes in it: each is moved to both its limits, and the
    /// effects add up, as each part of the fixture is made by itself. One size alone keeps its
    /// distribution; several together count as uniform.
    fn spread(&self, expr: &Expr, in_unit: &dyn Fn(Value) -> f64) -> Spread {
        let mut uncertain: Vec<(&str, Shared)> = Vec::new();
        expr.names(&mut |name, _| {
            if let Some(shared) = self.shared.get(name)
                && shared.toleranced.half_width() > 0.0
                && !uncertain.iter().any(|(known, _)| *known == name)
            {
                uncertain.push((name, *shared));
            }
        });
        let effect = |name: &str, shared: &Shared| {
            if matches!(expr, Expr::Name(..)) {
                return in_unit(Value { number: shared.toleranced.half_width(), ..shared.value });
            }
            let at = |sign: f64| {
                let moved = formula::evaluate(expr, &|other| {
                    let value = self.lookup(other, false)?;
                    let shift = if other == name { sign * shared.toleranced.half_width() } else { 0.0 };
                    Ok(Value { number: value.number + shift, ..value })
                });
                moved.map_or(f64::NAN, in_unit)
            };
            let half = 0.5 * (at(1.0) - at(-1.0)).abs();
            if half.is_finite() { half } else { 0.0 }
        };
        match uncertain.as_slice() {
            [] => Spread::Exact,
            [(name, shared)] => {
                let half = effect(name, shared);
                shared.toleranced.scaled(half / shared.toleranced.half_width()).spread
            }
            several => Spread::Uniform {
                half_width: several.iter().map(|(name, shared)| effect(name, shared)).sum(),
            },
        }
    }

    /// Evaluates the shared sizes, each after those it refers to.
    fn evaluate_shared(&mut self, document: &Document, last: Option<&Self>, problems: &mut Vec<Problem>) {
        let entries = document.sizes.entries.get(..MOST_SHARED).unwrap_or(&document.sizes.entries);
        let index: HashMap<&str, usize> =
            entries.iter().enumerate().map(|(i, (name, _))| (name.as_str(), i)).collect();
        let parsed: Vec<Result<Option<Expr>, FormulaError>> = entries
            .iter()
            .map(|(_, size)| match &size.formula {
                Formula::Number(_) => Ok(None),
                Formula::Text(text) => formula::parse(text).map(Some),
            })
            .collect();
        let needs: Vec<Vec<usize>> = parsed
            .iter()
            .map(|expr| {
                let mut needs = Vec::new();
                if let Ok(Some(expr)) = expr {
                    expr.names(&mut |name, _| needs.extend(index.get(name)));
                }
                needs.sort_unstable();
                needs.dedup();
                needs
            })
            .collect();

        let mut waiting: Vec<usize> = needs.iter().map(Vec::len).collect();
        let mut users = vec![Vec::new(); entries.len()];
        for (user, needed) in needs.iter().enumerate() {
            for &need in needed {
                if let Some(list) = users.get_mut(need) {
                    list.push(user);
                }
            }
        }
        let mut ready: Vec<usize> =
            (0..entries.len()).rev().filter(|&i| waiting.get(i) == Some(&0)).collect();
        let mut done = vec![false; entries.len()];
        let mut order = Vec::with_capacity(entries.len());
        while let Some(next) = ready.pop() {
            order.push(next);
            if let Some(flag) = done.get_mut(next) {
                *flag = true;
            }
            for &user in users.get(next).into_iter().flatten() {
                if let Some(count) = waiting.get_mut(user) {
                    *count -= 1;
                    if *count == 0 {
                        ready.push(user);
                    }
                }
            }
        }
        // What is left is a cycle or hangs on one: members keep their last value so that the rest can go on.
        for i in 0..entries.len() {
            if done.get(i) == Some(&false) {
                let Some((name, _)) = entries.get(i) else { continue };
                let cycle = if problems.len() < MOST_HELPED { cycle_through(i, &needs) } else { None };
                let problem = match cycle {
                    Some(cycle) => {
                        let names: Vec<&str> =
                            cycle.iter().filter_map(|&i| entries.get(i)).map(|(n, _)| n.as_str()).collect();
                        let names = shortened(&names);
                        Problem::error(join("sizes", name), format!("the size refers to itself: {names}"))
                            .remedy("give one of them a number")
                    }
                    None => Problem::error(
                        join("sizes", name),
                        "the size depends on sizes that refer to themselves, or is one of them",
                    )
                    .remedy("give one of them a number"),
                };
                self.keep_shared(name, problem, last, problems);
            }
        }
        for i in order {
            let (Some((name, size)), Some(expr)) = (entries.get(i), parsed.get(i)) else { continue };
            if let Some(shared) = self.shared_in_place(name, size) {
                self.shared.insert(name.clone(), shared);
                continue;
            }
            match self.shared_value(size, expr, problems.len() < MOST_HELPED) {
                Ok(shared) => {
                    self.shared.insert(name.clone(), shared);
                }
                Err(error) => {
                    let problem = problem_at(&join("sizes", name), &error);
                    self.keep_shared(name, problem, last, problems);
                }
            }
        }
    }

    /// A shared size that does not follow the one that has been moved, or is that one.
    fn shared_in_place(&self, name: &str, size: &dyn SizeSlot) -> Option<Shared> {
        let moved = self.moved.as_ref()?;
        let is_moved = moved.path.strip_prefix("sizes/") == Some(name);
        if !is_moved && size.tolerance().is_none() {
            return None;
        }
        let mut shared = *moved.nominal.shared.get(name)?;
        if is_moved {
            let (numerator, denominator) = shared.unit_in_base();
            shared.value.number += moved.by * numerator / denominator;
            shared.toleranced.nominal = shared.value.number;
        }
        Some(shared)
    }

    fn shared_value(
        &self,
        size: &dyn SizeSlot,
        parsed: &Result<Option<Expr>, FormulaError>,
        help: bool,
    ) -> Result<Shared, FormulaError> {
        let (value, spread) = match (size.formula(), parsed) {
            (_, Err(error)) => return Err(error.clone()),
            (_, Ok(Some(expr))) => {
                let value = formula::evaluate(expr, &|name| self.lookup(name, help))?;
                (value, self.spread(expr, &|value| value.number))
            }
            (Some(Formula::Number(number)), Ok(None)) => (Value::plain(*number), Spread::Exact),
            _ => (Value::plain(0.0), Spread::Exact),
        };
        let Some(tolerance) = size.tolerance() else {
            return Ok(Shared { value, toleranced: Toleranced { nominal: value.number, spread } });
        };
        // A tolerance counts in the unit of the size, which follows from its dimension.
        let quantity = Quantity::of_dimension(value.dimension).unwrap_or(Quantity::Any);
        let (numerator, denominator) = quantity.unit_in_base();
        let in_unit = value.number * denominator / numerator;
        let toleranced = tolerance.about(in_unit).map_err(|message| FormulaError {
            column: 1,
            message,
            remedy: "correct the tolerance".to_owned(),
        })?;
        let toleranced = scaled_by(toleranced, numerator, denominator);
        Ok(Shared { value: Value { number: toleranced.nominal, ..value }, toleranced })
    }

    /// Keeps the last good value of a shared size and reports why.
    fn keep_shared(
        &mut self,
        name: &str,
        mut problem: Problem,
        last: Option<&Self>,
        problems: &mut Vec<Problem>,
    ) {
        match last.and_then(|last| last.shared.get(name)) {
            Some(shared) => {
                let (numerator, denominator) = shared.unit_in_base();
                let number = shared.value.number * denominator / numerator;
                keep_note(&mut problem, number, shared.quantity());
                self.shared.insert(name.to_owned(), *shared);
                self.kept.push(join("sizes", name));
            }
            None => self.missing = true,
        }
        problems.push(problem);
    }
}

/// Whether an amount means something; see [`Quantity::most`].
fn check_amount(amount: f64, quantity: Quantity) -> Result<(), FormulaError> {
    let (most, unit) = (quantity.most(), quantity.unit());
    if amount.abs() <= most {
        return Ok(());
    }
    let with_unit = |number: String| format!("{number} {unit}").trim_end().to_owned();
    Err(FormulaError {
        column: 1,
        message: format!(
            "{} of {} is beyond anything calculated here, at most {}",
            quantity.with_article(),
            with_unit(format!("{amount:.3e}")),
            with_unit(format!("{most:e}"))
        ),
        remedy: "check the number and its unit".to_owned(),
    })
}

/// `value · numerator / denominator`, exactly `value` when both are 1.
fn scaled_by(value: Toleranced, numerator: f64, denominator: f64) -> Toleranced {
    if numerator == denominator {
        return value;
    }
    Toleranced { nominal: value.nominal * numerator / denominator, ..value.scaled(numerator / denominator) }
}

fn keep_note(problem: &mut Problem, value: f64, quantity: Quantity) {
    problem.message.push_str(&format!("; it keeps {} {}", glidewright_motion::plain(value), quantity.unit()));
    problem.message.truncate(problem.message.trim_end().len());
}

fn problem_at(path: &str, error: &FormulaError) -> Problem {
    let place = Place::Formula { path: path.to_owned(), column: error.column };
    let remedy = if error.remedy.is_empty() { "correct the formula" } else { &error.remedy };
    Problem::new(Severity::Error, place, error.message.clone()).remedy(remedy)
}

/// A way through names, the middle of a long one left out.
fn shortened(names: &[&str]) -> String {
    /// How many names of a long way are shown at each of its ends.
    const ENDS: usize = 3;
    match (names.get(..ENDS), names.len().checked_sub(ENDS).and_then(|from| names.get(from..))) {
        (Some(first), Some(last)) if names.len() > 2 * ENDS + 2 => {
            let between = names.len() - 2 * ENDS;
            format!("{} → ({between} more) → {}", first.join(" → "), last.join(" → "))
        }
        _ => names.join(" → "),
    }
}

/// A way from `start` through what it needs back to itself, if there is one.
fn cycle_through(start: usize, needs: &[Vec<usize>]) -> Option<Vec<usize>> {
    let mut came_from: HashMap<usize, usize> = HashMap::new();
    let mut queue = std::collections::VecDeque::from([start]);
    while let Some(at) = queue.pop_front() {
        for &next in needs.get(at).into_iter().flatten() {
            if next == start {
                let mut way = vec![start];
                let mut back = at;
                while back != start {
                    way.push(back);
                    back = came_from.get(&back).copied().unwrap_or(start);
                }
                way.push(start);
                way.reverse();
                return Some(way);
            }
            if let std::collections::hash_map::Entry::Vacant(entry) = came_from.entry(next) {
                entry.insert(at);
                queue.push_back(next);
            }
        }
    }
    None
}

/// Whether a text can name a shared size; the message says why not.
pub(crate) fn check_shared_name(name: &str) -> Result<(), String> {
    let mut chars = name.chars();
    let starts_well = chars.next().is_some_and(formula::is_word_start);
    if !starts_well || !chars.all(formula::is_word_part) {
        return Err(format!(
            "{} cannot stand in a formula: use letters, digits and _, a letter first",
            quoted(name)
        ));
    }
    if formula::is_reserved(name) {
        return Err(format!("{} is a unit or function already", quoted(name)));
    }
    Ok(())
}
