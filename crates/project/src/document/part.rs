//! Parts and materials.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{PieceKind, RailPart, is_default, named};
use crate::certainty::Certainty;
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
    /// What each millimetre of its length costs besides: of a screw.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost_per_mm: Option<f64>,
    /// How many are sold together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pack: Option<u32>,
    /// How sure its sizes are; left out, nothing is said of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub certainty: Option<Certainty>,
    /// Sizes that are surer or less sure than the rest, by their names, e.g. `height`.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub certainty_of: BTreeMap<String, Certainty>,
    /// What it was copied from, e.g. a library of one's own with the day.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub origin: String,
    /// Where the values come from.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

impl Part {
    /// A part with a name and form, of which nothing else is known.
    pub fn new(name: impl Into<String>, form: PartForm) -> Self {
        Self {
            name: name.into(),
            also: Vec::new(),
            form,
            material: String::new(),
            mass: None,
            cost: None,
            cost_per_mm: None,
            pack: None,
            certainty: None,
            certainty_of: BTreeMap::new(),
            origin: String::new(),
            note: String::new(),
        }
    }

    /// What one costs, of a length (mm) where it is sold by lengths; `None` where its price is not known.
    pub fn cost_at(&self, length: Option<f64>) -> Option<f64> {
        let by_length = self.cost_per_mm.zip(length).map_or(0.0, |(per_mm, length)| per_mm * length);
        self.cost.map(|cost| cost + by_length)
    }

    /// How sure one of its sizes is; `None` where nothing is said of that.
    pub fn certainty_of(&self, size: &str) -> Option<Certainty> {
        self.certainty_of.get(size).copied().or(self.certainty)
    }
}

/// What a part is, with its sizes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum PartForm {
    /// A plain washer.
    Washer(WasherPart),
    /// A nut.
    Nut(NutPart),
    /// A screw.
    Screw(ScrewPart),
    /// A threaded insert that is set into a plate.
    Insert(InsertPart),
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
    /// A nut.
    Nut,
    /// A screw.
    Screw,
    /// A threaded insert that is set into a plate.
    Insert,
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
            Self::Insert => "insert",
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
            Self::Insert(_) => PartKind::Insert,
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

choice! {
    /// The form of a nut.
    #[derive(Default)]
    NutForm {
        /// A hexagon.
        #[default]
        Hexagon = "hexagon",
        /// A hexagon with a flange at its foot.
        Flanged = "flanged",
        /// A square.
        Square = "square",
        /// A block that slides in a slot.
        Slot = "slot",
    }
}

/// Sizes of a nut.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NutPart {
    /// Thread diameter.
    pub diameter: Length,
    /// Pitch.
    pub pitch: Length,
    /// Width across flats; of a nut for slots its width across the slot.
    pub flats: Length,
    /// Height.
    pub height: Length,
    /// Its form.
    #[serde(default, skip_serializing_if = "is_default")]
    pub form: NutForm,
    /// Diameter of its flange, where it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flange: Option<Length>,
    /// Length along the slot of a nut for slots.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<Length>,
    /// Property class by ISO 898-2, e.g. `8`, or `04` of thin nuts.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub class: String,
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
        /// Low dome with a socket on a collar.
        Flanged = "flanged",
        /// None: a set screw, threaded throughout.
        None = "none",
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
    /// Diameter of its shoulder, where it has one: thicker than the thread, and its length is that of the shoulder.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shoulder: Option<Length>,
    /// Width across flats of the key for its socket.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub key: Option<Length>,
    /// How deep its socket takes the key.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub key_depth: Option<Length>,
    /// Property class by ISO 898-1, e.g. `8.8`.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub class: String,
    /// Usual tightening torque: of its class, dry steel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub usual_torque: Option<Torque>,
    /// Lengths it is sold in (mm), growing; empty for any length.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lengths: Vec<f64>,
}

/// Sizes of a threaded insert that is set into a plate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InsertPart {
    /// Thread diameter.
    pub diameter: Length,
    /// Pitch.
    pub pitch: Length,
    /// Outer diameter over its knurls.
    pub outer: Length,
    /// Length along the screw.
    pub length: Length,
    /// Diameter of the hole it is set into.
    pub hole: Length,
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
    /// Diameter of the flange at one side of its outer ring, where it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flange: Option<Length>,
    /// Width of that flange.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flange_width: Option<Length>,
    /// Outer diameter of its inner ring.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inner_ring: Option<Length>,
    /// Least diameter of what its inner ring stands against.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shaft_shoulder: Option<Length>,
    /// Greatest diameter of the hole behind its outer ring, where that stands against something.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub housing_shoulder: Option<Length>,
    /// Dynamic load rating C (ISO 281).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dynamic_rating: Option<Force>,
    /// Static load rating C₀ (ISO 76).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub static_rating: Option<Force>,
    /// Speed limit (revolutions per minute).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub speed: Option<Number>,
    /// Radial internal clearance before it is fitted: how far its rings move against each other.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clearance: Option<Length>,
    /// Radial runout of its inner ring, from peak to peak.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub runout: Option<Length>,
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
    /// Of a toothed belt: from the pulley's tips out to the line along which it bends.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pitch_line: Option<Length>,
    /// Of a toothed belt: fewest teeth of a pulley it should bend round.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_teeth: Option<Number>,
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
    /// Share of its strength it bears for years, where it creeps.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lasting: Option<Number>,
    /// How sure its values are; left out, nothing is said of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub certainty: Option<Certainty>,
    /// Values that are surer or less sure than the rest, by their names, e.g. `youngs`.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub certainty_of: BTreeMap<String, Certainty>,
    /// Where the values come from.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

impl Material {
    /// How sure one of its values is; `None` where nothing is said of that.
    pub fn certainty_of(&self, value: &str) -> Option<Certainty> {
        self.certainty_of.get(value).copied().or(self.certainty)
    }
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

named!(Part, Material);
