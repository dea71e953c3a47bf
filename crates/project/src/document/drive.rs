//! Stroke, limits, drive and resistance.

use serde::{Deserialize, Serialize};

use super::is_default;
use crate::size::{Acceleration, Angle, Force, Inertia, Length, Number, Speed, Torque};

/// How far the lead rider moves.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stroke {
    /// Least travel.
    #[serde(default, skip_serializing_if = "is_default")]
    pub from: Length,
    /// Greatest travel.
    pub to: Length,
}

/// What is asked of the fixture.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Limits {
    /// Least gap between things that pass each other.
    pub gap: Length,
    /// Greatest comfortable push or pull by hand.
    pub effort: Force,
    /// Greatest tilt of a rider under its load.
    pub tilt: Angle,
    /// Greatest play of a rider between its tracks.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub play: Option<Length>,
    /// The coldest it gets where it stands (degrees Celsius).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub coldest: Option<Number>,
    /// The warmest it gets there (degrees Celsius).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub warmest: Option<Number>,
}

impl Default for Limits {
    /// 1 mm; 10 N, the limit for a control one hand moves often (university ergonomics notes); 0.5°.
    fn default() -> Self {
        Self {
            gap: Length::of(1.0),
            effort: Force::of(10.0),
            tilt: Angle::of(0.5),
            play: None,
            coldest: None,
            warmest: None,
        }
    }
}

/// How a fixture is moved.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
#[expect(clippy::large_enum_variant, reason = "a document holds few of them")]
pub enum Drive {
    /// By hand.
    #[default]
    Hand,
    /// By a motor on the line's driven pulley.
    Motor(Motor),
}

/// A motor, and the motion asked of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Motor {
    /// What it is called.
    pub name: String,
    /// Share of its work that reaches the line.
    pub efficiency: Number,
    /// Moment of inertia of its rotor.
    #[serde(default, skip_serializing_if = "is_default")]
    pub inertia: Inertia,
    /// Greatest speed asked for.
    pub speed: Speed,
    /// Acceleration and deceleration.
    pub acceleration: Acceleration,
    /// Torque it may give for as long as it likes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub continuous: Option<Torque>,
    /// Torque it can give at speeds, by growing speed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub torque: Vec<TorquePoint>,
}

/// One point of a motor's torque curve; on disk `(300, 120)`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TorquePoint(
    /// Speed in revolutions per minute, a plain number.
    pub Number,
    /// Torque there.
    pub Torque,
);

/// Friction and losses; what is left out has its default. A `note` names where a value comes from; a
/// tolerance makes it a fitted value.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Resistance {
    /// Friction coefficient of a ball bearing at its bore, M = μ·P·d/2.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bearing: Option<Number>,
    /// Torque one bearing takes without load.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_load_torque: Option<Torque>,
    /// Sliding friction of tyre on rail.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flank: Option<Number>,
    /// Loss factor of the tyre.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hysteresis: Option<Number>,
    /// Sliding friction of a plain shoe.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shoe: Option<Number>,
    /// Breakaway over running resistance.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start_factor: Option<Number>,
}
