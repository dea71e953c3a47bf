//! What a person writes: the document, as it stands on disk.
//!
//! Every field, unit and default is described for its reader in the handbook page on the project file.

mod drive;
mod force;
mod line;
mod obstacle;
mod part;
mod parts_file;
mod piece;
mod plate;
mod pull;
mod rail;
mod rider;
mod section;
mod shared;
mod spot;
mod stack;
mod stocked;
mod trial;

pub use crate::certainty::Certainty;
pub use crate::choice::Choice;
pub use drive::{Drive, Limits, Motor, Resistance, Stroke, TorquePoint};
pub use force::{AppliedForce, ForceAction, ForcePoint};
pub use line::{Anchor, Line, LinePlane, Node, Roller, Turn};
pub(crate) use obstacle::BodyMirror;
pub use obstacle::{Axis, Body, Obstacle, Turned};
pub use part::{
    BearingPart, BeltKind, BeltPart, EccentricPart, HeadForm, InsertPart, Material, Measured, NutForm,
    NutPart, Part, PartForm, PartKind, PulleyPart, PulleyRim, RingPart, Running, ScrewPart, WasherPart,
    WheelPart,
};
pub use parts_file::PartsFile;
pub use piece::{Piece, PieceKind, ScrewHole, piece_names};
pub use plate::{
    ClampFeature, Feature, FlatFeature, Patch, Plate, PlateOutline, PlateSide, PocketFeature, PocketFill,
    RibFeature, Webs,
};
pub use pull::{MeasuredPull, Way};
pub use rail::{Rail, Stand};
pub use rider::{Bolt, Facing, Grip, Load, Moves, Reach, Rider, Shoe, Watched, WheelPlace};
pub use section::{GroovedPart, OutlinePart, RailPart, TrackForm, TrackPart};
pub use shared::SharedSizes;
pub use spot::{Point, Spot};
pub use stack::{HeadSide, Stack};
pub use stocked::Stocked;
pub use trial::{Change, Trial};

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::comments::Comments;

/// The version of the file format this program writes.
pub const FORMAT: u32 = 2;

/// A whole project: a fixture with its sizes, parts and trials.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Document {
    /// Version of the file format.
    pub format: u32,
    /// What the fixture is called.
    pub name: String,
    /// Anything worth saying about it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// Named sizes that others refer to.
    #[serde(default, skip_serializing_if = "SharedSizes::is_empty")]
    pub sizes: SharedSizes,
    /// The rail.
    pub rail: Rail,
    /// What runs on it.
    #[serde(default)]
    pub riders: Vec<Rider>,
    /// The belt or cord that links riders.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<Line>,
    /// Things that stand still.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub obstacles: Vec<Obstacle>,
    /// How far the lead rider moves.
    pub stroke: Stroke,
    /// What is asked of the fixture.
    #[serde(default, skip_serializing_if = "is_default")]
    pub limits: Limits,
    /// How it is moved.
    #[serde(default, skip_serializing_if = "is_default")]
    pub drive: Drive,
    /// Friction and losses, where they differ from the defaults.
    #[serde(default, skip_serializing_if = "is_default")]
    pub resistance: Resistance,
    /// The user's own parts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<Part>,
    /// The user's own materials.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub materials: Vec<Material>,
    /// Pulls measured with a spring scale, to fit the resistance to.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pulls: Vec<MeasuredPull>,
    /// Caliper readings of parts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub measured: Vec<Measured>,
    /// What parts cost, by name, in the user's currency; for the user's own parts it may stand with them.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub costs: BTreeMap<String, f64>,
    /// The currency prices are in; [`Document::currency`] if nothing is written.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub currency: String,
    /// Named sets of changes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub trials: Vec<Trial>,
    /// Comments in the text it was read from.
    #[serde(skip)]
    pub comments: Comments,
}

/// The currency of the tables' guide prices, and of a document that names none.
const CURRENCY: &str = "EUR";

impl Document {
    /// The currency prices are in, as it is written behind them.
    pub fn currency(&self) -> &str {
        if self.currency.is_empty() { CURRENCY } else { &self.currency }
    }

    /// The stack at a path: the one a rider's wheels share, or that of one of its wheels or bolts.
    pub fn stack_at(&self, path: &str) -> Option<&Stack> {
        let (rider, below) = path.strip_prefix("riders/")?.split_once('/')?;
        let rider = self.riders.iter().find(|known| known.name == rider)?;
        rider.stacks().find(|(known, _)| known == below).map(|(_, stack)| stack)
    }
}

/// Something a person has named.
pub trait Named {
    /// Its name.
    fn name(&self) -> &str;
    /// Its name, to change.
    fn name_mut(&mut self) -> &mut String;
}

macro_rules! named {
    ($($type:ty),*) => {
        $(impl $crate::document::Named for $type {
            fn name(&self) -> &str {
                &self.name
            }
            fn name_mut(&mut self) -> &mut String {
                &mut self.name
            }
        })*
    };
}
pub(crate) use named;

/// Whether a value is its type's default and so need not be written.
pub(crate) fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}
