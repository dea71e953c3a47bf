//! Sections of rails.

use serde::{Deserialize, Serialize};

use super::{Spot, is_default, named};
use crate::size::{Angle, Length, Number};

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
    /// Width of the hollow where two modules meet; 0 for none.
    #[serde(default, skip_serializing_if = "is_default")]
    pub chamber: Length,
}

named!(TrackPart);
