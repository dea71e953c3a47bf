//! Plates.

use serde::{Deserialize, Serialize};

use super::{Named, Spot, is_default, named};
use crate::choice::choice;
use crate::size::{Length, Number};

/// A flat plate square to the way its rider looks.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plate {
    /// What it is called.
    pub name: String,
    /// Its outline.
    pub outline: PlateOutline,
    /// Its thickness.
    pub thickness: Length,
    /// What it is made of.
    pub material: String,
    /// Share of its volume that is filled.
    #[serde(default = "full", skip_serializing_if = "is_full")]
    pub fill: Number,
    /// What is added to it and cut out of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub features: Vec<Feature>,
    /// Distance of its inner face from the rail's centre plane, for a plate that no stack carries.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level: Option<Length>,
}

fn full() -> Number {
    Number::of(1.0)
}

fn is_full(fill: &Number) -> bool {
    fill.is_plainly(1.0)
}

/// How a plate is outlined.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum PlateOutline {
    /// A rounded rectangle round the axles of every stack that passes through the plate.
    Around {
        /// From the outermost axles to the edge.
        margin: Length,
        /// Radius of the corners.
        #[serde(default, skip_serializing_if = "is_default")]
        corner: Length,
    },
    /// A rounded rectangle between two opposite corners.
    Rectangle {
        /// One corner.
        from: Spot,
        /// The other.
        to: Spot,
        /// Radius of the corners.
        #[serde(default, skip_serializing_if = "is_default")]
        corner: Length,
    },
    /// Round pads about the axles with webs between them.
    Pads {
        /// Diameter of the pads.
        pad: Length,
        /// Width of the webs.
        web: Length,
        /// Which pads are joined.
        #[serde(default, skip_serializing_if = "is_default")]
        webs: Webs,
        /// Radius that rounds the inner corners between pads and webs; 0 for none.
        #[serde(default, skip_serializing_if = "is_default")]
        fillet: Length,
    },
    /// The data of an SVG path, in mm, as the plate looks from outside with the rail running to the right.
    Path(String),
}

choice! {
    /// Which pads are joined by webs.
    #[derive(Default)]
    Webs {
        /// Each with its neighbours round the outside.
        #[default]
        Ring = "ring",
        /// Each with every other.
        All = "all",
        /// Each with the middle of them all.
        Star = "star",
    }
}

/// A patch of a plane.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Patch {
    /// A circle.
    Circle {
        /// Its middle.
        at: Spot,
        /// Its diameter.
        diameter: Length,
    },
    /// A rounded rectangle between two opposite corners.
    Rectangle {
        /// One corner.
        from: Spot,
        /// The other.
        to: Spot,
        /// Radius of the corners.
        #[serde(default, skip_serializing_if = "is_default")]
        corner: Length,
    },
    /// A slot: a band with round ends between two points.
    Slot {
        /// One end.
        from: Spot,
        /// The other.
        to: Spot,
        /// Its width.
        width: Length,
    },
    /// The data of an SVG path, in mm, as the plate looks from outside with the rail running to the right.
    Path {
        /// The data.
        d: String,
        /// Where its origin lies.
        #[serde(default, skip_serializing_if = "is_default")]
        at: Spot,
    },
}

choice! {
    /// A side of a plate.
    #[derive(Default)]
    PlateSide {
        /// Away from the rail.
        #[default]
        Outside = "outside",
        /// Towards the rail.
        Inside = "inside",
    }
}

/// Something added to a plate or cut out of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Feature {
    /// More plate, of the same thickness.
    Tab(FlatFeature),
    /// A hole, slot or cut-out right through.
    Cut(FlatFeature),
    /// A hollow that leaves a floor; filled, it carries ballast.
    Pocket(PocketFeature),
    /// Something raised: a rib, a boss.
    Rib(RibFeature),
    /// A block with a groove that takes a belt.
    Clamp(ClampFeature),
}

/// A patch with a name.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FlatFeature {
    /// What it is called.
    pub name: String,
    /// Its outline.
    pub shape: Patch,
}

/// A hollow in a plate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PocketFeature {
    /// What it is called.
    pub name: String,
    /// Its outline.
    pub shape: Patch,
    /// How deep it is.
    pub depth: Length,
    /// The side it opens to.
    #[serde(default, skip_serializing_if = "is_default")]
    pub side: PlateSide,
    /// What it is filled with to the rim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fill: Option<PocketFill>,
}

/// What a pocket is filled with.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PocketFill {
    /// Material.
    pub material: String,
    /// Share of the room it takes: 1 for a solid block, 0.64 for shot poured in.
    #[serde(default = "full", skip_serializing_if = "is_full")]
    pub packing: Number,
}

/// Something raised on a plate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RibFeature {
    /// What it is called.
    pub name: String,
    /// Its outline.
    pub shape: Patch,
    /// How far it stands out.
    pub height: Length,
    /// The side it stands on.
    #[serde(default, skip_serializing_if = "is_default")]
    pub side: PlateSide,
}

/// A block with a groove along the rail that takes a belt.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClampFeature {
    /// What it is called.
    pub name: String,
    /// Middle of the block.
    pub at: Spot,
    /// Its extent along the rail.
    pub length: Length,
    /// Its extent across.
    pub width: Length,
    /// How far it stands out.
    pub height: Length,
    /// Width of the groove.
    pub groove: Length,
    /// Depth of the groove.
    pub depth: Length,
    /// The side it stands on.
    #[serde(default, skip_serializing_if = "is_default")]
    pub side: PlateSide,
}

impl Named for Feature {
    fn name(&self) -> &str {
        match self {
            Self::Tab(flat) | Self::Cut(flat) => &flat.name,
            Self::Pocket(pocket) => &pocket.name,
            Self::Rib(rib) => &rib.name,
            Self::Clamp(clamp) => &clamp.name,
        }
    }

    fn name_mut(&mut self) -> &mut String {
        match self {
            Self::Tab(flat) | Self::Cut(flat) => &mut flat.name,
            Self::Pocket(pocket) => &mut pocket.name,
            Self::Rib(rib) => &mut rib.name,
            Self::Clamp(clamp) => &mut clamp.name,
        }
    }
}

impl Feature {
    /// Its outline, if it has one of its own.
    const fn shape_mut(&mut self) -> Option<&mut Patch> {
        match self {
            Self::Tab(flat) | Self::Cut(flat) => Some(&mut flat.shape),
            Self::Pocket(pocket) => Some(&mut pocket.shape),
            Self::Rib(rib) => Some(&mut rib.shape),
            Self::Clamp(_) => None,
        }
    }

    /// Mirrors the feature: every place, and what a path draws.
    pub(crate) fn mirror(&mut self, place: &dyn Fn(&mut Spot), drawn: &dyn Fn(&mut String)) {
        if let Self::Clamp(clamp) = self {
            place(&mut clamp.at);
        }
        if let Some(shape) = self.shape_mut() {
            shape.mirror(place, drawn);
        }
    }
}

impl Patch {
    /// Mirrors the patch: every place, and what a path draws.
    pub(crate) fn mirror(&mut self, place: &dyn Fn(&mut Spot), drawn: &dyn Fn(&mut String)) {
        match self {
            Self::Rectangle { from, to, .. } | Self::Slot { from, to, .. } => {
                place(from);
                place(to);
            }
            Self::Circle { at, .. } => place(at),
            Self::Path { d, at } => {
                drawn(d);
                place(at);
            }
        }
    }
}

impl PlateOutline {
    /// Mirrors the outline: every place, and what a path draws.
    pub(crate) fn mirror(&mut self, place: &dyn Fn(&mut Spot), drawn: &dyn Fn(&mut String)) {
        match self {
            Self::Around { .. } | Self::Pads { .. } => {}
            Self::Path(d) => drawn(d),
            Self::Rectangle { from, to, .. } => {
                place(from);
                place(to);
            }
        }
    }
}

named!(Plate);
