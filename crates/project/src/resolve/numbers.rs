//! Every number of a document that could be another.

use super::Resolved;
use super::label::label;
use crate::quantity::Quantity;
use crate::size::Formula;
use crate::values::Values;
use crate::walk::Slot;

/// A size of a document with what it comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct NumberSize {
    /// Where it stands, as a path.
    pub path: String,
    /// What a reader calls it.
    pub label: String,
    /// What kind it is; of a shared size what its formula gives.
    pub quantity: Quantity,
    /// What it comes to, in the document's unit for its kind (mm, deg, g …).
    pub now: f64,
    /// Whether it is a number, and no formula that would be given up for one.
    pub is_plain: bool,
}

impl NumberSize {
    /// The unit it counts in; of a shared number without unit, that of the lengths made of it.
    pub fn unit(&self) -> &'static str {
        match self.quantity.unit() {
            "" if self.is_shared() => Quantity::Length.unit(),
            unit => unit,
        }
    }

    /// What to write for another value, in its unit. A shared size is what its formula says and so needs its unit there.
    pub fn written(&self, value: f64) -> Formula {
        match self.quantity {
            Quantity::Number | Quantity::Any => Formula::Number(value),
            _ if self.is_shared() => Formula::Text(format!("{value} {}", self.quantity.unit())),
            _ => Formula::Number(value),
        }
    }

    fn is_shared(&self) -> bool {
        self.path.starts_with("sizes/")
    }
}

/// Every size of a resolved document that makes the fixture what it is and has a value, in the order of the file.
pub fn numbers(resolved: &Resolved) -> Vec<NumberSize> {
    let values = &resolved.values;
    let mut all = Vec::new();
    resolved.document.visit(&mut |path, slot| {
        let Slot::Size(size) = slot else { return };
        if path.starts_with("trials/") || path.starts_with("pulls/") {
            return;
        }
        let (Some(formula), Some(value)) = (size.formula(), values.at(path)) else { return };
        all.push(NumberSize {
            path: path.to_owned(),
            label: label(path),
            quantity: quantity_at(values, path, size.quantity()),
            now: value.nominal,
            is_plain: matches!(formula, Formula::Number(_)),
        });
    });
    all
}

/// A shared size is what its formula gives.
pub(super) fn quantity_at(values: &Values, path: &str, quantity: Quantity) -> Quantity {
    let shared = || Quantity::of_dimension(values.shared(path.strip_prefix("sizes/")?)?.dimension);
    if quantity == Quantity::Any { shared().unwrap_or(Quantity::Any) } else { quantity }
}
