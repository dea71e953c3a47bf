//! Kinds of quantity a size can be, and their dimensions.

use std::fmt;

/// Exponents of the base units mm, kg, s and rad, in twelfths so that roots stay exact.
///
/// The angle is carried as a dimension of its own so that 6° is not taken for a length; where a
/// result needs no angle it is dropped, since 1 rad = 1 (SI Brochure, 9th ed., table 4).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Dimension {
    pub(crate) length: i16,
    pub(crate) mass: i16,
    pub(crate) time: i16,
    pub(crate) angle: i16,
}

/// One whole power, in the twelfths that [`Dimension`] counts.
pub(crate) const WHOLE: i16 = 12;

impl Dimension {
    /// No dimension: a plain number.
    pub const NONE: Self = Self { length: 0, mass: 0, time: 0, angle: 0 };

    /// Whole powers of mm, kg, s and rad.
    pub(crate) const fn whole(length: i16, mass: i16, time: i16, angle: i16) -> Self {
        Self { length: length * WHOLE, mass: mass * WHOLE, time: time * WHOLE, angle: angle * WHOLE }
    }

    /// Combines exponents; `None` when one leaves its range.
    pub(crate) fn combine(self, other: Self, with: impl Fn(i16, i16) -> Option<i16>) -> Option<Self> {
        Some(Self {
            length: with(self.length, other.length)?,
            mass: with(self.mass, other.mass)?,
            time: with(self.time, other.time)?,
            angle: with(self.angle, other.angle)?,
        })
    }

    /// This dimension to a power; `None` when the exponents are not twelfths or leave their range.
    pub(crate) fn power(self, exponent: f64) -> Option<Self> {
        let raise = |from: i16| {
            let to = f64::from(from) * exponent;
            let rounded = to.round();
            // Exponents such as 1/3 are not exact in binary.
            ((to - rounded).abs() < 1e-9 && rounded.abs() < f64::from(i16::MAX)).then_some(rounded as i16)
        };
        Some(Self {
            length: raise(self.length)?,
            mass: raise(self.mass)?,
            time: raise(self.time)?,
            angle: raise(self.angle)?,
        })
    }

    /// The same without its angle.
    pub(crate) const fn without_angle(self) -> Self {
        Self { angle: 0, ..self }
    }
}

impl fmt::Display for Dimension {
    /// What a reader calls it: "a length", or the base units with their powers.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if *self == Self::NONE {
            return write!(f, "a number without unit");
        }
        if let Some(quantity) = Quantity::ALL.iter().find(|q| q.dimension() == *self) {
            return write!(f, "{}", quantity.with_article());
        }
        let mut separator = "a quantity in ";
        for (symbol, exponent) in
            [("mm", self.length), ("kg", self.mass), ("s", self.time), ("rad", self.angle)]
        {
            if exponent == 0 {
                continue;
            }
            write!(f, "{separator}{symbol}")?;
            if exponent != WHOLE {
                write!(f, "^{}", f64::from(exponent) / f64::from(WHOLE))?;
            }
            separator = "·";
        }
        Ok(())
    }
}

/// What kind of quantity a size is. A plain number counts in the kind's own unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// Length, in mm.
    Length,
    /// Angle, in degrees.
    Angle,
    /// Mass, in g.
    Mass,
    /// A count or a ratio: a number without unit.
    Number,
    /// Force, in N.
    Force,
    /// Torque, in N·mm.
    Torque,
    /// Pressure or modulus, in MPa.
    Pressure,
    /// Stiffness, in N/mm.
    Stiffness,
    /// Density, in kg/m³.
    Density,
    /// Mass per length, in g/m.
    LinearDensity,
    /// Moment of inertia, in g·cm².
    Inertia,
    /// Speed, in mm/s.
    Speed,
    /// Acceleration, in mm/s².
    Acceleration,
    /// Area, in mm².
    Area,
    /// Volume, in mm³.
    Volume,
    /// Time, in s.
    Time,
    /// Whatever its formula gives: a shared size is what it is used for.
    Any,
}

impl Quantity {
    /// Every kind with a dimension of its own.
    pub(crate) const ALL: [Self; 16] = [
        Self::Length,
        Self::Angle,
        Self::Mass,
        Self::Number,
        Self::Force,
        Self::Torque,
        Self::Pressure,
        Self::Stiffness,
        Self::Density,
        Self::LinearDensity,
        Self::Inertia,
        Self::Speed,
        Self::Acceleration,
        Self::Area,
        Self::Volume,
        Self::Time,
    ];

    /// Its dimension; a plain number for [`Quantity::Any`].
    pub const fn dimension(self) -> Dimension {
        match self {
            Self::Length => Dimension::whole(1, 0, 0, 0),
            Self::Angle => Dimension::whole(0, 0, 0, 1),
            Self::Mass => Dimension::whole(0, 1, 0, 0),
            Self::Number | Self::Any => Dimension::NONE,
            Self::Force => Dimension::whole(1, 1, -2, 0),
            Self::Torque => Dimension::whole(2, 1, -2, 0),
            Self::Pressure => Dimension::whole(-1, 1, -2, 0),
            Self::Stiffness => Dimension::whole(0, 1, -2, 0),
            Self::Density => Dimension::whole(-3, 1, 0, 0),
            Self::LinearDensity => Dimension::whole(-1, 1, 0, 0),
            Self::Inertia => Dimension::whole(2, 1, 0, 0),
            Self::Speed => Dimension::whole(1, 0, -1, 0),
            Self::Acceleration => Dimension::whole(1, 0, -2, 0),
            Self::Area => Dimension::whole(2, 0, 0, 0),
            Self::Volume => Dimension::whole(3, 0, 0, 0),
            Self::Time => Dimension::whole(0, 0, 1, 0),
        }
    }

    /// The unit in which a plain number counts, as a symbol; empty for a number.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Length => "mm",
            Self::Angle => "deg",
            Self::Mass => "g",
            Self::Number | Self::Any => "",
            Self::Force => "N",
            Self::Torque => "N·mm",
            Self::Pressure => "MPa",
            Self::Stiffness => "N/mm",
            Self::Density => "kg/m³",
            Self::LinearDensity => "g/m",
            Self::Inertia => "g·cm²",
            Self::Speed => "mm/s",
            Self::Acceleration => "mm/s²",
            Self::Area => "mm²",
            Self::Volume => "mm³",
            Self::Time => "s",
        }
    }

    /// That unit in base units (mm, kg, s, rad), as a fraction so that decimal factors stay exact.
    pub(crate) const fn unit_in_base(self) -> (f64, f64) {
        match self {
            Self::Angle => (std::f64::consts::PI, 180.0),
            Self::Mass => (1.0, 1000.0),
            // 1 N = 1 kg·m/s² = 1000 kg·mm/s²; N·mm, N/mm and N/mm² follow.
            Self::Force | Self::Torque | Self::Pressure | Self::Stiffness => (1000.0, 1.0),
            Self::Density => (1.0, 1e9),
            Self::LinearDensity => (1.0, 1e6),
            Self::Inertia => (1.0, 10.0),
            _ => (1.0, 1.0),
        }
    }

    /// The greatest amount that means something, in the document's unit: beyond, a fixture on a bench has no such
    /// size, and differences and products lose what they should say. Bounds of ours, each far beyond the trade's:
    /// a rail of a kilometre, a tonne on it, a stiffness and a pressure beyond diamond's.
    pub const fn most(self) -> f64 {
        match self {
            Self::Angle => 1e5,
            Self::Length | Self::Mass | Self::Force | Self::LinearDensity | Self::Speed | Self::Time => 1e6,
            Self::Pressure | Self::Acceleration => 1e7,
            Self::Density => 1e5,
            Self::Number | Self::Torque | Self::Stiffness | Self::Inertia => 1e9,
            Self::Area => 1e12,
            Self::Volume | Self::Any => 1e18,
        }
    }

    /// What the engine counts in for one of the document's unit: kilograms for grams, radians for
    /// degrees, kg/m for g/m, kg·mm² for g·cm²; 1 where both are the same. A fraction.
    pub(crate) const fn engine_per_unit(self) -> (f64, f64) {
        match self {
            Self::Angle => (std::f64::consts::PI, 180.0),
            Self::Mass | Self::LinearDensity => (1.0, 1000.0),
            Self::Inertia => (1.0, 10.0),
            _ => (1.0, 1.0),
        }
    }

    /// What a reader calls it, with its article.
    pub const fn with_article(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Angle => "an angle",
            Self::Mass => "a mass",
            Self::Number => "a number without unit",
            Self::Force => "a force",
            Self::Torque => "a torque",
            Self::Pressure => "a pressure",
            Self::Stiffness => "a stiffness",
            Self::Density => "a density",
            Self::LinearDensity => "a mass per length",
            Self::Inertia => "a moment of inertia",
            Self::Speed => "a speed",
            Self::Acceleration => "an acceleration",
            Self::Area => "an area",
            Self::Volume => "a volume",
            Self::Time => "a time",
            Self::Any => "a size",
        }
    }

    /// The kind whose plain numbers count in this dimension, if there is one.
    pub(crate) fn of_dimension(dimension: Dimension) -> Option<Self> {
        Self::ALL.into_iter().find(|q| q.dimension() == dimension)
    }
}
