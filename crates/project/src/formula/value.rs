//! Values with a dimension.

use crate::quantity::{Dimension, Quantity};

/// A number with its dimension, in the base units mm, kg, s, rad.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Value {
    /// The number, in base units.
    pub number: f64,
    /// Its dimension.
    pub dimension: Dimension,
    /// Made of numbers without any unit only: it takes the unit of what it meets.
    pub plain: bool,
}

impl Value {
    /// A number without unit.
    pub const fn plain(number: f64) -> Self {
        Self { number, dimension: Dimension::NONE, plain: true }
    }

    /// A value in the unit that plain numbers of this kind count in.
    pub fn of(quantity: Quantity, in_its_unit: f64) -> Self {
        let (numerator, denominator) = quantity.unit_in_base();
        Self { number: in_its_unit * numerator / denominator, dimension: quantity.dimension(), plain: false }
    }

    /// The same, with a plain number taken in the unit of `dimension`; itself if it is not plain or
    /// there is no such unit.
    pub(super) fn meeting(self, dimension: Dimension) -> Self {
        if !self.plain || dimension == Dimension::NONE {
            return self;
        }
        Quantity::of_dimension(dimension).map_or(self, |q| Self::of(q, self.number))
    }

    /// The number in the unit that plain numbers of this kind count in.
    ///
    /// # Errors
    /// What it is instead, in words, when the dimension is another.
    pub fn in_unit_of(self, quantity: Quantity) -> Result<f64, String> {
        if self.plain || quantity == Quantity::Any {
            return Ok(self.number);
        }
        let wanted = quantity.dimension();
        let fits = self.dimension == wanted || self.dimension.without_angle() == wanted;
        if !fits {
            return Err(self.dimension.to_string());
        }
        let (numerator, denominator) = quantity.unit_in_base();
        Ok(self.number * denominator / numerator)
    }
}
