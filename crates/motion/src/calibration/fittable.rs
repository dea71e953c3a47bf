//! The coefficients that measured pulls can tell.

use crate::resistance::Friction;
use crate::{Fixture, PieceKind};

/// A coefficient that pulls can tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fittable {
    /// Sliding friction of tyre on rail.
    Flank,
    /// No-load torque of a bearing (N·mm).
    NoLoadTorque,
    /// Loss factor of the tyre.
    Hysteresis,
    /// Sliding friction of a plain shoe.
    Shoe,
}

impl Fittable {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Flank, Self::NoLoadTorque, Self::Hysteresis, Self::Shoe];

    /// What it is, for a reader.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Flank => "sliding friction of tyre on rail",
            Self::NoLoadTorque => "no-load torque of a bearing",
            Self::Hysteresis => "loss factor of the tyre",
            Self::Shoe => "sliding friction of a shoe",
        }
    }

    /// Its unit; empty for a plain number.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::NoLoadTorque => "N·mm",
            Self::Flank | Self::Hysteresis | Self::Shoe => "",
        }
    }

    pub(super) const fn of(self, friction: &Friction) -> f64 {
        match self {
            Self::Flank => friction.flank,
            Self::NoLoadTorque => friction.no_load_torque,
            Self::Hysteresis => friction.hysteresis,
            Self::Shoe => friction.shoe,
        }
    }

    pub(super) const fn set(self, friction: &mut Friction, value: f64) {
        match self {
            Self::Flank => friction.flank = value,
            Self::NoLoadTorque => friction.no_load_torque = value,
            Self::Hysteresis => friction.hysteresis = value,
            Self::Shoe => friction.shoe = value,
        }
    }

    /// Whether anything in the fixture depends on it.
    pub(super) fn is_in(self, fixture: &Fixture) -> bool {
        let wheels = || {
            let mounts = fixture.riders.iter().flat_map(|rider| &rider.wheels);
            mounts.flat_map(|mount| &mount.stack.pieces).filter_map(|piece| match &piece.kind {
                PieceKind::Wheel(wheel) => Some(wheel),
                _ => None,
            })
        };
        match self {
            Self::Flank | Self::Hysteresis => wheels().next().is_some(),
            Self::NoLoadTorque => wheels().any(|wheel| wheel.bearing.no_load_torque.is_none()),
            Self::Shoe => fixture.riders.iter().flat_map(|r| &r.shoes).any(|shoe| shoe.friction.is_none()),
        }
    }
}
