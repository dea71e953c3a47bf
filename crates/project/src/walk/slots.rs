//! What a walk finds.

use crate::choice::Choice;
use crate::document::{PartKind, PieceKind};
use crate::quantity::Quantity;
use crate::size::{Formula, Kind, Size};
use crate::tolerance::Tolerance;

/// A size that is or may be there.
pub trait SizeSlot {
    /// Its kind.
    fn quantity(&self) -> Quantity;
    /// Its formula; `None` if it is left to its default.
    fn formula(&self) -> Option<&Formula>;
    /// Its own tolerance.
    fn tolerance(&self) -> Option<&Tolerance>;
    /// Gives it another formula and keeps the tolerance; `None` leaves it to its default, where it can.
    fn set_formula(&mut self, formula: Option<Formula>);
    /// Gives it another tolerance.
    fn set_tolerance(&mut self, tolerance: Option<Tolerance>);
}

impl<K: Kind> SizeSlot for Size<K> {
    fn quantity(&self) -> Quantity {
        K::QUANTITY
    }
    fn formula(&self) -> Option<&Formula> {
        Some(&self.formula)
    }
    fn tolerance(&self) -> Option<&Tolerance> {
        self.tolerance.as_ref()
    }
    fn set_formula(&mut self, formula: Option<Formula>) {
        if let Some(formula) = formula {
            self.formula = formula;
        }
    }
    fn set_tolerance(&mut self, tolerance: Option<Tolerance>) {
        self.tolerance = tolerance;
    }
}

impl<K: Kind> SizeSlot for Option<Size<K>> {
    fn quantity(&self) -> Quantity {
        K::QUANTITY
    }
    fn formula(&self) -> Option<&Formula> {
        self.as_ref().map(|size| &size.formula)
    }
    fn tolerance(&self) -> Option<&Tolerance> {
        self.as_ref().and_then(|size| size.tolerance.as_ref())
    }
    fn set_formula(&mut self, formula: Option<Formula>) {
        match (self.as_mut(), formula) {
            (Some(size), Some(formula)) => size.formula = formula,
            (None, Some(formula)) => *self = Some(Size::written(formula)),
            (_, None) => *self = None,
        }
    }
    fn set_tolerance(&mut self, tolerance: Option<Tolerance>) {
        if let Some(size) = self {
            size.tolerance = tolerance;
        }
    }
}

/// What a name in a slot names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PartUse {
    /// A part of this kind.
    Kind(PartKind),
    /// A plate of the same rider.
    Plate,
    /// A material.
    Material,
}

impl PartUse {
    /// What the name in a piece names.
    pub const fn of_piece(kind: PieceKind) -> Self {
        match PartKind::of_piece(kind) {
            Some(kind) => Self::Kind(kind),
            None => Self::Plate,
        }
    }
}

/// A place in a document that holds a value.
pub enum Slot<'a> {
    /// A size.
    Size(&'a dyn SizeSlot),
    /// The name of a part, plate or material.
    Part(PartUse, &'a str),
    /// One of a few words.
    Choice(&'a dyn Choice),
}

/// A place in a document that holds a value, to change.
pub enum SlotMut<'a> {
    /// A size.
    Size(&'a mut dyn SizeSlot),
    /// The name of a part, plate or material.
    Part(PartUse, &'a mut String),
    /// One of a few words.
    Choice(&'a mut dyn Choice),
}
