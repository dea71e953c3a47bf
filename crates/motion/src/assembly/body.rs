//! Bodies: everything that can touch something.

use glidewright_geometry::Solid;

use super::cover::Cover;
use crate::Extruded;

/// A thing that can touch another: one piece of hardware, a plate, the rail, an obstacle.
#[derive(Clone, Debug, PartialEq)]
pub struct Body {
    /// Whose frame it is in.
    pub owner: Owner,
    /// What it is.
    pub role: Role,
    /// Where the document defines it, as a path.
    pub path: String,
    /// What a reader calls it, e.g. "camera head, upper left: ISO 7040 M6".
    pub label: String,
    /// Its convex pieces in the owner's frame, a rider's as at travel 0 about its own origin (mm).
    pub solids: Vec<Solid>,
    /// What of a load, an obstacle, a shoe or a rib is of one thickness on an outline.
    pub extruded: Vec<Extruded>,
    /// What stands for a plate or the rail where it runs deep into another body of many pieces.
    pub cover: Option<Cover>,
    /// The stack it belongs to: number in `PlacedRider::stacks`.
    pub stack: Option<usize>,
    /// The piece of the stack it is.
    pub piece: Option<usize>,
    /// The plate it is or stands out of: number in `Rider::plates`.
    pub plate: Option<usize>,
}

impl Body {
    /// What it is called without whose it is.
    pub fn own_label(&self) -> &str {
        self.label.rsplit(": ").next().unwrap_or(&self.label)
    }
}

/// Whose frame a body is in, and so how it moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Owner {
    /// It stands still in the rail frame.
    Ground,
    /// It moves with the rider of this number.
    Rider(usize),
}

/// What a body is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Role {
    /// The rail.
    Rail,
    /// A rider's plate.
    Plate,
    /// A screw's head.
    Head,
    /// The free end of a screw beyond its last piece.
    ScrewEnd,
    /// A washer.
    Washer,
    /// A spacer, plain or eccentric.
    Spacer,
    /// A shim.
    Shim,
    /// A nut, as the cylinder over its corners: it may end at any angle.
    Nut,
    /// The turning part of a wheel: tyre and outer bearing rings.
    Tyre,
    /// The still part of a wheel: inner bearing rings.
    Hub,
    /// A plain shoe.
    Shoe,
    /// A load or ballast.
    Load,
    /// A fixed thing in the way.
    Obstacle,
    /// An end stop: meant to be met at the end of the stroke.
    Stop,
    /// A pulley, idler or post.
    Pulley,
    /// A free length of belt or cord.
    Span,
}

impl Role {
    /// Whether it belongs to a stack.
    pub const fn is_hardware(self) -> bool {
        matches!(
            self,
            Self::Head
                | Self::ScrewEnd
                | Self::Washer
                | Self::Spacer
                | Self::Shim
                | Self::Nut
                | Self::Tyre
                | Self::Hub
        )
    }

    /// Word for a reader.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Rail => "rail",
            Self::Plate => "plate",
            Self::Head => "screw head",
            Self::ScrewEnd => "screw end",
            Self::Washer => "washer",
            Self::Spacer => "spacer",
            Self::Shim => "shim",
            Self::Nut => "nut",
            Self::Tyre => "wheel",
            Self::Hub => "hub",
            Self::Shoe => "shoe",
            Self::Load => "load",
            Self::Obstacle => "obstacle",
            Self::Stop => "end stop",
            Self::Pulley => "pulley",
            Self::Span => "belt",
        }
    }
}
