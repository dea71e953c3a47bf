//! Sizes as a person writes them: a number, a formula, or either with a tolerance.

use std::fmt;
use std::marker::PhantomData;

use serde::de::{self, MapAccess, Visitor};
use serde::ser::SerializeStruct;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::quantity::Quantity;
use crate::tolerance::Tolerance;

/// What kind of quantity a [`Size`] is, as a type.
pub trait Kind: Clone + fmt::Debug + PartialEq + Default + 'static {
    /// The kind.
    const QUANTITY: Quantity;
}

macro_rules! kinds {
    ($($(#[$doc:meta])* $marker:ident $alias:ident = $quantity:ident;)*) => {
        /// Markers for the kinds of quantity a size can be.
        pub mod kind {
            use super::{Kind, Quantity};
            $(
                $(#[$doc])*
                #[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
                pub struct $marker;
                impl Kind for $marker {
                    const QUANTITY: Quantity = Quantity::$quantity;
                }
            )*
        }
        $(
            $(#[$doc])*
            pub type $alias = Size<kind::$marker>;
        )*
    };
}

kinds! {
    /// A length; plain numbers are mm.
    OfLength Length = Length;
    /// An angle; plain numbers are degrees.
    OfAngle Angle = Angle;
    /// A mass; plain numbers are g.
    OfMass Mass = Mass;
    /// A count or a ratio.
    OfNumber Number = Number;
    /// A force; plain numbers are N.
    OfForce Force = Force;
    /// A torque; plain numbers are N·mm.
    OfTorque Torque = Torque;
    /// A pressure or modulus; plain numbers are MPa.
    OfPressure Pressure = Pressure;
    /// A stiffness; plain numbers are N/mm.
    OfStiffness Stiffness = Stiffness;
    /// A density; plain numbers are kg/m³.
    OfDensity Density = Density;
    /// A mass per length; plain numbers are g/m.
    OfLinearDensity LinearDensity = LinearDensity;
    /// A moment of inertia; plain numbers are g·cm².
    OfInertia Inertia = Inertia;
    /// A speed; plain numbers are mm/s.
    OfSpeed Speed = Speed;
    /// An acceleration; plain numbers are mm/s².
    OfAcceleration Acceleration = Acceleration;
    /// A shared size: it is whatever it is used for.
    OfAny AnySize = Any;
}

/// A number or a formula.
#[derive(Clone, Debug, PartialEq)]
pub enum Formula {
    /// A number in the unit of the kind; finite.
    Number(f64),
    /// A formula.
    Text(String),
}

impl Formula {
    /// What a person typed: a number if it reads as one, else a formula.
    pub fn typed(text: &str) -> Self {
        match crate::formula::plain_number(text) {
            Some(number) => Self::Number(number),
            None => Self::Text(text.trim().to_owned()),
        }
    }

    /// The same, more by a plain number of its own unit; without the dust of sums.
    pub(crate) fn shifted(&self, by: f64) -> Self {
        let plain = glidewright_motion::plain;
        match self {
            Self::Number(number) => Self::Number(((number + by) * 1e9).round() / 1e9),
            Self::Text(text) if by < 0.0 => Self::Text(format!("({text}) - {}", plain(-by))),
            Self::Text(text) => Self::Text(format!("({text}) + {}", plain(by))),
        }
    }
}

impl fmt::Display for Formula {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Number(number) => write!(f, "{number}"),
            Self::Text(text) => f.write_str(text),
        }
    }
}

/// A size of one kind, as written: its formula and what is known of its tolerance.
///
/// On disk a number (`6`, in the unit of its kind), a formula (`"plate + 2*wall"`), or a structure
/// `(value: …, tolerance: …, note: …)`.
#[derive(Clone, Debug, PartialEq)]
pub struct Size<K> {
    /// The number or formula.
    pub formula: Formula,
    /// Its own tolerance; without one it has that of the shared sizes it is made of.
    pub tolerance: Option<Tolerance>,
    /// Where the value comes from, in the maker's words.
    pub note: String,
    kind: PhantomData<K>,
}

impl<K: Kind> Default for Size<K> {
    fn default() -> Self {
        Self::of(0.0)
    }
}

impl<K: Kind> Size<K> {
    /// A plain number in the unit of the kind.
    pub const fn of(number: f64) -> Self {
        Self { formula: Formula::Number(number), tolerance: None, note: String::new(), kind: PhantomData }
    }

    /// A formula, or a number if it reads as one.
    pub fn typed(text: &str) -> Self {
        Self::written(Formula::typed(text))
    }

    /// A number or formula.
    pub const fn written(formula: Formula) -> Self {
        Self { formula, tolerance: None, note: String::new(), kind: PhantomData }
    }

    /// The same with a tolerance.
    #[must_use]
    pub fn with_tolerance(mut self, tolerance: Tolerance) -> Self {
        self.tolerance = Some(tolerance);
        self
    }

    /// What kind it is.
    pub const fn quantity(&self) -> Quantity {
        K::QUANTITY
    }

    /// Its number where it is written as one; NaN for a formula.
    pub(crate) const fn plainly(&self) -> f64 {
        match self.formula {
            Formula::Number(number) => number,
            Formula::Text(_) => f64::NAN,
        }
    }

    /// Whether it is the plain number 0.
    pub fn is_zero(&self) -> bool {
        self.is_plainly(0.0)
    }

    /// Whether it is plainly this number, without tolerance or note.
    pub fn is_plainly(&self, number: f64) -> bool {
        self.formula == Formula::Number(number) && self.tolerance.is_none() && self.note.is_empty()
    }
}

impl<K: Kind> From<f64> for Size<K> {
    fn from(number: f64) -> Self {
        Self::of(number)
    }
}

impl<K: Kind> From<&str> for Size<K> {
    fn from(text: &str) -> Self {
        Self::typed(text)
    }
}

impl Serialize for Formula {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Number(number) => serializer.serialize_f64(*number),
            Self::Text(text) => serializer.serialize_str(text),
        }
    }
}

impl<'de> Deserialize<'de> for Formula {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(FormulaVisitor)
    }
}

struct FormulaVisitor;

impl Visitor<'_> for FormulaVisitor {
    type Value = Formula;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a number or a formula in quotes")
    }

    fn visit_f64<E: de::Error>(self, number: f64) -> Result<Formula, E> {
        if number.is_finite() {
            Ok(Formula::Number(number))
        } else {
            Err(E::custom("a size must be a finite number"))
        }
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> Result<Formula, E> {
        self.visit_f64(number as f64)
    }

    fn visit_u64<E: de::Error>(self, number: u64) -> Result<Formula, E> {
        self.visit_f64(number as f64)
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Formula, E> {
        Ok(Formula::typed(text))
    }
}

const SIZE_FIELDS: &[&str] = &["value", "tolerance", "note"];

impl<K: Kind> Serialize for Size<K> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.tolerance.is_none() && self.note.is_empty() {
            return self.formula.serialize(serializer);
        }
        let fields = 1 + usize::from(self.tolerance.is_some()) + usize::from(!self.note.is_empty());
        let mut out = serializer.serialize_struct("Size", fields)?;
        out.serialize_field("value", &self.formula)?;
        if let Some(tolerance) = &self.tolerance {
            out.serialize_field("tolerance", tolerance)?;
        }
        if !self.note.is_empty() {
            out.serialize_field("note", &self.note)?;
        }
        out.end()
    }
}

impl<'de, K: Kind> Deserialize<'de> for Size<K> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(SizeVisitor(PhantomData))
    }
}

struct SizeVisitor<K>(PhantomData<K>);

impl<'de, K: Kind> Visitor<'de> for SizeVisitor<K> {
    type Value = Size<K>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}: a number, a formula in quotes, or (value: …, tolerance: …)",
            K::QUANTITY.with_article()
        )
    }

    fn visit_f64<E: de::Error>(self, number: f64) -> Result<Size<K>, E> {
        FormulaVisitor.visit_f64(number).map(|formula| Size { formula, ..Size::default() })
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> Result<Size<K>, E> {
        self.visit_f64(number as f64)
    }

    fn visit_u64<E: de::Error>(self, number: u64) -> Result<Size<K>, E> {
        self.visit_f64(number as f64)
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Size<K>, E> {
        Ok(Size { formula: Formula::typed(text), ..Size::default() })
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Size<K>, A::Error> {
        let mut formula = None;
        let mut tolerance = None;
        let mut note = None;
        while let Some(field) = map.next_key::<SizeField>()? {
            match field {
                SizeField::Value if formula.is_none() => formula = Some(map.next_value()?),
                SizeField::Tolerance if tolerance.is_none() => tolerance = Some(map.next_value()?),
                SizeField::Note if note.is_none() => note = Some(map.next_value()?),
                SizeField::Value => return Err(de::Error::duplicate_field("value")),
                SizeField::Tolerance => return Err(de::Error::duplicate_field("tolerance")),
                SizeField::Note => return Err(de::Error::duplicate_field("note")),
            }
        }
        Ok(Size {
            formula: formula.ok_or_else(|| de::Error::missing_field("value"))?,
            tolerance,
            note: note.unwrap_or_default(),
            kind: PhantomData,
        })
    }
}

enum SizeField {
    Value,
    Tolerance,
    Note,
}

impl<'de> Deserialize<'de> for SizeField {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Name;
        impl Visitor<'_> for Name {
            type Value = SizeField;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("value, tolerance or note")
            }
            fn visit_str<E: de::Error>(self, name: &str) -> Result<SizeField, E> {
                match name {
                    "value" => Ok(SizeField::Value),
                    "tolerance" => Ok(SizeField::Tolerance),
                    "note" => Ok(SizeField::Note),
                    _ => Err(E::unknown_field(name, SIZE_FIELDS)),
                }
            }
        }
        deserializer.deserialize_identifier(Name)
    }
}
