//! Unit symbols.
//!
//! Factors are those of the SI Brochure (9th edition); inch, foot, pound and ounce by the international
//! yard and pound agreement of 1959 (1 in = 25.4 mm, 1 lb = 0.453 592 37 kg, exact).

use super::function::function;
use crate::quantity::{Dimension, Quantity};

/// A unit symbol and its size in the base units mm, kg, s, rad.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// The symbol.
    pub symbol: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// Its size in base units is `numerator / denominator`.
    pub numerator: f64,
    /// See `numerator`.
    pub denominator: f64,
}

const fn unit(symbol: &'static str, quantity: Quantity, numerator: f64, denominator: f64) -> Unit {
    Unit { symbol, dimension: quantity.dimension(), numerator, denominator }
}

/// Newtons in one pound-force: 0.453 592 37 kg × 9.806 65 m/s².
const POUND_FORCE: f64 = 4.448_221_615_260_5;
const PI: f64 = std::f64::consts::PI;

/// Every unit symbol formulas know.
pub const UNITS: &[Unit] = &[
    unit("um", Quantity::Length, 1.0, 1000.0),
    unit("µm", Quantity::Length, 1.0, 1000.0),
    unit("μm", Quantity::Length, 1.0, 1000.0),
    unit("mm", Quantity::Length, 1.0, 1.0),
    unit("cm", Quantity::Length, 10.0, 1.0),
    unit("dm", Quantity::Length, 100.0, 1.0),
    unit("m", Quantity::Length, 1000.0, 1.0),
    unit("km", Quantity::Length, 1e6, 1.0),
    unit("in", Quantity::Length, 127.0, 5.0),
    unit("ft", Quantity::Length, 1524.0, 5.0),
    unit("deg", Quantity::Angle, PI, 180.0),
    unit("°", Quantity::Angle, PI, 180.0),
    unit("rad", Quantity::Angle, 1.0, 1.0),
    unit("mrad", Quantity::Angle, 1.0, 1000.0),
    unit("rev", Quantity::Angle, 2.0 * PI, 1.0),
    unit("mg", Quantity::Mass, 1.0, 1e6),
    unit("g", Quantity::Mass, 1.0, 1000.0),
    unit("kg", Quantity::Mass, 1.0, 1.0),
    unit("t", Quantity::Mass, 1000.0, 1.0),
    unit("lb", Quantity::Mass, 45_359_237.0, 1e8),
    unit("oz", Quantity::Mass, 45_359_237.0, 16e8),
    unit("ms", Quantity::Time, 1.0, 1000.0),
    unit("s", Quantity::Time, 1.0, 1.0),
    unit("min", Quantity::Time, 60.0, 1.0),
    unit("h", Quantity::Time, 3600.0, 1.0),
    unit("mN", Quantity::Force, 1.0, 1.0),
    unit("N", Quantity::Force, 1000.0, 1.0),
    unit("kN", Quantity::Force, 1e6, 1.0),
    unit("lbf", Quantity::Force, POUND_FORCE * 1000.0, 1.0),
    unit("Nmm", Quantity::Torque, 1000.0, 1.0),
    unit("Ncm", Quantity::Torque, 1e4, 1.0),
    unit("Nm", Quantity::Torque, 1e6, 1.0),
    unit("Pa", Quantity::Pressure, 1.0, 1000.0),
    unit("kPa", Quantity::Pressure, 1.0, 1.0),
    unit("MPa", Quantity::Pressure, 1000.0, 1.0),
    unit("GPa", Quantity::Pressure, 1e6, 1.0),
    unit("bar", Quantity::Pressure, 100.0, 1.0),
    unit("%", Quantity::Number, 1.0, 100.0),
];

/// The unit with this symbol.
pub(super) fn find(symbol: &str) -> Option<&'static Unit> {
    UNITS.iter().find(|u| u.symbol == symbol)
}

/// Whether a name means something in formulas already and so cannot name a shared size.
pub fn is_reserved(name: &str) -> bool {
    find(name).is_some() || name == "pi" || name == "π" || function(name).is_some()
}
