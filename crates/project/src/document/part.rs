//! Parts and materials.

use serde::{Deserialize, Serialize};

use super::{PieceKind, Spot, is_default, named};
use crate::choice::choice;
use crate::size::{Angle, Density, Force, Inertia, Length, LinearDensity, Mass, Number, Pressure, Torque};

/// A part: something bought or made that the fixture is built of.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// Its name; unique among all parts.
    pub name: String,
    /// Other names it goes by.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<String>,
    /// What it is, with its sizes.
    pub form: PartForm,
    /// What it is made of.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub material: String,
    /// Its mass (a screw's: without its shank); left out, volume × density.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass: Option<Mass>,
    /// What one costs, in the user's currency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
    /// Where the values come from.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// What a part is, with its sizes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
#[expect(clippy::large_enum_variant, reason = "a document holds few of them")]
pub enum PartForm {
    /// A plain washer.
    Washer(WasherPart),
    /// A hexagon nut.
    Nut(NutPart),
    /// A screw.
    Screw(ScrewPart),
    /// A spacer tube.
    Spacer(RingPart),
    /// A thin ring.
    Shim(RingPart),
    /// An eccentric spacer.
    Eccentric(EccentricPart),
    /// A wheel.
    Wheel(WheelPart),
    /// A ball bearing.
    Bearing(BearingPart),
    /// A belt or cord.
    Belt(BeltPart),
    /// A pulley, idler or post.
    Pulley(PulleyPart),
    /// A rail.
    Rail(RailPart),
}

/// The kinds of part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum PartKind {
    /// A plain washer.
    Washer,
    /// A hexagon nut.
    Nut,
    /// A screw.
    Screw,
    /// A spacer tube.
    Spacer,
    /// A thin ring.
    Shim,
    /// An eccentric spacer.
    Eccentric,
    /// A wheel.
    Wheel,
    /// A ball bearing.
    Bearing,
    /// A belt or cord.
    Belt,
    /// A pulley, idler or post.
    Pulley,
    /// A rail.
    Rail,
}

impl PartKind {
    /// Its word in the file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Washer => "washer",
            Self::Nut => "nut",
            Self::Screw => "screw",
            Self::Spacer => "spacer",
            Self::Shim => "shim",
            Self::Eccentric => "eccentric",
            Self::Wheel => "wheel",
            Self::Bearing => "bearing",
            Self::Belt => "belt",
            Self::Pulley => "pulley",
            Self::Rail => "rail",
        }
    }

    /// The kind of part a piece of a stack is; `None` for a plate.
    pub const fn of_piece(kind: PieceKind) -> Option<Self> {
        match kind {
            PieceKind::Washer => Some(Self::Washer),
            PieceKind::Plate => None,
            PieceKind::Spacer => Some(Self::Spacer),
            PieceKind::Shim => Some(Self::Shim),
            PieceKind::Eccentric => Some(Self::Eccentric),
            PieceKind::Wheel => Some(Self::Wheel),
            PieceKind::Nut => Some(Self::Nut),
        }
    }
}

impl PartForm {
    /// Its kind.
    pub const fn kind(&self) -> PartKind {
        match self {
            Self::Washer(_) => PartKind::Washer,
            Self::Nut(_) => PartKind::Nut,
            Self::Screw(_) => PartKind::Screw,
            Self::Spacer(_) => PartKind::Spacer,
            Self::Shim(_) => PartKind::Shim,
            Self::Eccentric(_) => PartKind::Eccentric,
            Self::Wheel(_) => PartKind::Wheel,
            Self::Bearing(_) => PartKind::Bearing,
            Self::Belt(_) => PartKind::Belt,
            Self::Pulley(_) => PartKind::Pulley,
            Self::Rail(_) => PartKind::Rail,
        }
    }
}

/// Sizes of a plain washer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WasherPart {
    /// Diameter of the hole.
    pub hole: Length,
    /// Outer diameter.
    pub outer: Length,
    /// Thickness.
    pub thickness: Length,
}

/// Sizes of a hexagon nut.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NutPart {
    /// Thread diameter.
    pub diameter: Length,
    /// Pitch.
    pub pitch: Length,
    /// Width across flats.
    pub flats: Length,
    /// Height.
    pub height: Length,
    /// Whether it grips the screw.
    #[serde(default, skip_serializing_if = "is_default")]
    pub locking: bool,
}

choice! {
    /// The form of a screw's head.
    HeadForm {
        /// Cylinder with a socket.
        Socket = "socket",
        /// Low dome with a socket.
        Button = "button",
        /// Hexagon.
        Hexagon = "hexagon",
        /// Countersunk: the length counts from the top of the head.
        Countersunk = "countersunk",
    }
}

/// Sizes of a screw.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ScrewPart {
    /// Thread diameter.
    pub diameter: Length,
    /// Pitch.
    pub pitch: Length,
    /// Form of the head.
    pub head: HeadForm,
    /// Diameter of the head, or its width across flats.
    pub head_size: Length,
    /// Height of the head.
    pub head_height: Length,
    /// Length of its thread, from its end on; left out, it is threaded to the head.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thread_length: Option<Length>,
    /// Up to this length it is threaded to the head all the same.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub threaded_to_head: Option<Length>,
    /// Lengths it is sold in (mm), growing; empty for any length.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lengths: Vec<f64>,
}

/// Sizes of a spacer tube or a thin ring.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RingPart {
    /// Diameter of the hole.
    pub hole: Length,
    /// Outer diameter.
    pub outer: Length,
    /// Length along the screw.
    pub length: Length,
}

/// Sizes of an eccentric spacer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EccentricPart {
    /// Diameter of the hole for the screw.
    pub hole: Length,
    /// Outer diameter.
    pub outer: Length,
    /// Length along the screw.
    pub length: Length,
    /// Distance of the axle from the hole in the plate.
    pub offset: Length,
    /// Diameter of the boss by which it turns in the plate's hole; left out, it has none and lies on the plate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub boss: Option<Length>,
}

/// The form of a wheel where it meets the track.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Running {
    /// A vee that enters a groove.
    Vee {
        /// Width of the flat at the tip.
        tip: Length,
        /// Angle of each flank from the wheel's middle plane.
        half_angle: Angle,
    },
    /// A cylinder.
    Flat,
    /// A barrel.
    Crowned {
        /// Radius of the crown along the axle.
        radius: Length,
    },
    /// A round groove that runs on a rod.
    Grooved {
        /// Radius of the groove along the axle.
        radius: Length,
    },
}

impl Running {
    /// Whether another wheel is of the same form, whatever its sizes.
    pub fn is_like(&self, other: &Self) -> bool {
        std::mem::discriminant(self) == std::mem::discriminant(other)
    }
}

/// Sizes of a wheel.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WheelPart {
    /// The form that meets the track.
    pub running: Running,
    /// Outer diameter.
    pub outer: Length,
    /// Width of the tyre.
    pub width: Length,
    /// Width over the inner rings of its bearings.
    pub hub: Length,
    /// Name of its bearing.
    pub bearing: String,
    /// How many bearings it holds.
    pub bearings: Number,
}

/// Sizes of a ball bearing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BearingPart {
    /// Bore.
    pub bore: Length,
    /// Outer diameter.
    pub outer: Length,
    /// Width.
    pub width: Length,
    /// Torque it takes without load, from grease and seals; left out, that of the fixture's bearings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub no_load_torque: Option<Torque>,
}

/// What a line is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum BeltKind {
    /// A toothed belt.
    Toothed {
        /// Pitch of the teeth.
        pitch: Length,
    },
    /// A flat belt or strap.
    Flat,
    /// A round cord.
    Cord,
}

/// Sizes of a belt or cord.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BeltPart {
    /// Belt or cord.
    pub kind: BeltKind,
    /// Width; a cord's diameter.
    pub width: Length,
    /// Thickness; a cord's diameter.
    pub thickness: Length,
    /// Mass per length.
    pub mass_per_length: LinearDensity,
    /// Pull it may transmit with enough teeth in mesh, if its maker states one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub working_pull: Option<Force>,
}

/// What a line runs on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum PulleyRim {
    /// A plain rim of this diameter, under the line.
    Plain {
        /// Diameter under the line.
        diameter: Length,
    },
    /// Teeth.
    Toothed {
        /// How many.
        teeth: Number,
        /// Their pitch.
        pitch: Length,
    },
}

/// Sizes of a pulley, idler or post.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PulleyPart {
    /// What the line runs on.
    pub rim: PulleyRim,
    /// Width.
    pub width: Length,
    /// Bore of its bearings, or of the pulley.
    pub bore: Length,
    /// Bearings in it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub bearings: Number,
    /// Moment of inertia about its axis; left out, that of a solid disc.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inertia: Option<Inertia>,
}

/// The section of a rail.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
#[expect(clippy::large_enum_variant, reason = "a document holds few of them")]
pub enum RailPart {
    /// Grooved, on a square module.
    Grooved(GroovedPart),
    /// A flat bar.
    FlatBar {
        /// Across the rail (left to right).
        width: Length,
        /// From rear to front.
        depth: Length,
        /// Radius of the edges.
        #[serde(default, skip_serializing_if = "is_default")]
        corner: Length,
    },
    /// A round rod.
    Rod {
        /// Its diameter.
        diameter: Length,
    },
    /// Two round rods side by side, alike, one at the left and one at the right of the rail's middle. Their tracks are
    /// `left outer`, `right outer`, `left inner` and `right inner` (which face each other), `front left`, `front right`,
    /// `rear left` and `rear right`.
    Rods {
        /// Diameter of each.
        diameter: Length,
        /// From the axis of one to that of the other.
        apart: Length,
    },
    /// Any section, with the tracks it has.
    Outline(OutlinePart),
}

/// A section given by its outline.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OutlinePart {
    /// The data of an SVG path, in mm, as the section looks on screen from the rail's lower or left end with its
    /// front face up, so that the rail's left is left; its origin becomes the rail's centre line. Holes are
    /// further subpaths.
    pub d: String,
    /// Its tracks.
    pub tracks: Vec<TrackPart>,
}

/// A track of a section given by its outline.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TrackPart {
    /// What it is called; two tracks that face away from each other make a pair when their names differ only in
    /// their first word, e.g. `left front` and `right front`.
    pub name: String,
    /// Middle of the groove's mouth, or of the face, on that drawing: to the right, then towards the front.
    pub at: Spot,
    /// The way it looks out: 0 to the right, 90° to the front.
    pub faces: Angle,
    /// What a wheel meets there.
    pub profile: TrackForm,
}

/// The cross-section of a track.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum TrackForm {
    /// A vee groove.
    Vee {
        /// Width of the mouth.
        mouth: Length,
        /// Angle of each flank from the groove's middle plane.
        half_angle: Angle,
        /// How deep the flanks reach.
        lip: Length,
    },
    /// A plain face.
    Flat {
        /// Its width.
        width: Length,
    },
    /// A round rod or edge.
    Round {
        /// Its radius.
        radius: Length,
    },
}

/// Sizes of a grooved rail on a square module: one groove in the middle of every module on every side.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GroovedPart {
    /// Side of the square module.
    pub module: Length,
    /// Modules across the rail (left to right).
    pub columns: Number,
    /// Modules from rear to front.
    pub rows: Number,
    /// Width of a groove's mouth at the face.
    pub mouth: Length,
    /// Angle of each flank from the groove's middle plane.
    pub half_angle: Angle,
    /// Width of the inner channel between the lips.
    pub channel: Length,
    /// Thickness of the lips.
    pub lip: Length,
    /// Width of the cavity behind the lips.
    pub cavity: Length,
    /// Width of the cavity at its bottom.
    pub bottom: Length,
    /// Depth of the cavity from the face.
    pub depth: Length,
    /// Radius of the outer corners.
    #[serde(default, skip_serializing_if = "is_default")]
    pub corner: Length,
    /// Diameter of the bore in the middle of each module; 0 for none.
    #[serde(default, skip_serializing_if = "is_default")]
    pub bore: Length,
}

/// A material.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// Its name.
    pub name: String,
    /// Density.
    pub density: Density,
    /// Young's modulus.
    pub youngs: Pressure,
    /// Poisson's ratio.
    pub poisson: Number,
    /// Greatest contact pressure to allow.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub allowable_pressure: Option<Pressure>,
    /// Stress at which it yields or breaks, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strength: Option<Pressure>,
    /// Thermal expansion in millionths per kelvin, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expansion: Option<Number>,
    /// Where the values come from.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// Caliper readings of one size of one part; they replace the table's value wherever the part is used.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Name of the part.
    pub part: String,
    /// Name of the size, e.g. `height`.
    pub size: String,
    /// The readings, in the unit of the size.
    pub readings: Vec<f64>,
    /// Smallest step the instrument shows.
    #[serde(default, skip_serializing_if = "is_default")]
    pub resolution: f64,
    /// Anything worth saying about them.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

named!(Part, Material, TrackPart);
