//! Bodies, and things that stand still.

use serde::{Deserialize, Serialize};

use super::{Patch, Point, Spot, is_default, named};
use crate::choice::choice;
use crate::size::{Angle, Formula, Length, Mass};

/// A body.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Body {
    /// A box between two opposite corners.
    Box {
        /// One corner.
        from: Point,
        /// The other.
        to: Point,
        /// How it is turned from there, if it does not stand square.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        turned: Option<Turned>,
    },
    /// A cylinder between two points on its axis.
    Cylinder {
        /// One end.
        from: Point,
        /// The other.
        to: Point,
        /// Its diameter.
        diameter: Length,
    },
    /// A cone frustum between two points on its axis.
    Cone {
        /// One end.
        from: Point,
        /// The other.
        to: Point,
        /// Diameter at the first end.
        from_diameter: Length,
        /// Diameter at the other.
        to_diameter: Length,
    },
    /// A ball.
    Ball {
        /// Its middle.
        at: Point,
        /// Its diameter.
        diameter: Length,
    },
    /// A body of one thickness on an outline with holes.
    Outline {
        /// The outline. Its places are (x, y) where its thickness runs along z, (y, z) where along x, (x, z) where
        /// along y.
        shape: Patch,
        /// The axis its thickness runs along.
        #[serde(default, skip_serializing_if = "is_default")]
        along: Axis,
        /// Where on that axis it begins.
        #[serde(default, skip_serializing_if = "is_default")]
        from: Length,
        /// Where it ends.
        to: Length,
        /// How it is turned from there, if it does not stand square.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        turned: Option<Turned>,
    },
}

choice! {
    /// A direction of the frame a body's places are given in.
    #[derive(Default)]
    Axis {
        /// Along the rail.
        X = "x",
        /// Across.
        Y = "y",
        /// Out of the front face, or out of the rider's plate.
        #[default]
        Z = "z",
    }
}

/// A turn of a body in its place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Turned {
    /// Direction it is turned about, as a place seen from the origin; its length does not matter.
    pub about: Point,
    /// By how much: from x towards y about z, from y towards z about x, from z towards x about y.
    pub by: Angle,
    /// A place on the axis it is turned about; left out, the middle of the body's box.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Point>,
}

/// A mirror as the frame of a body sees it.
pub(crate) struct BodyMirror<'a> {
    /// Takes places into the mirror.
    pub place: &'a dyn Fn(Axis, &mut Length),
    /// Which coordinates change their sense.
    pub turns: [bool; 3],
    /// Whether what is drawn up on what lies across the third axis looks the other way afterwards without its places
    /// doing so: the frame itself is turned over.
    pub turns_over: bool,
}

impl Axis {
    /// The two other axes, in the order in which an outline's places name them.
    pub const fn others(self) -> [Self; 2] {
        match self {
            Self::X => [Self::Y, Self::Z],
            Self::Y => [Self::X, Self::Z],
            Self::Z => [Self::X, Self::Y],
        }
    }
}

impl BodyMirror<'_> {
    fn point(&self, point: &mut Point) {
        (self.place)(Axis::X, &mut point.0);
        (self.place)(Axis::Y, &mut point.1);
        (self.place)(Axis::Z, &mut point.2);
    }

    const fn turns(&self, axis: Axis) -> bool {
        let [x, y, z] = self.turns;
        match axis {
            Axis::X => x,
            Axis::Y => y,
            Axis::Z => z,
        }
    }

    /// A mirrored turn goes the other way about the mirrored axis.
    fn turned(&self, turned: &mut Turned, negate: &dyn Fn(&mut Formula)) {
        let Point(x, y, z) = &mut turned.about;
        for (size, turns) in [x, y, z].into_iter().zip(self.turns) {
            if turns {
                negate(&mut size.formula);
            }
        }
        if self.turns.iter().filter(|turns| **turns).count() % 2 == 1 {
            negate(&mut turned.by.formula);
        }
        if let Some(at) = &mut turned.at {
            self.point(at);
        }
    }
}

impl Body {
    /// How it is turned, if it does not stand square.
    pub const fn turned(&self) -> Option<&Turned> {
        match self {
            Self::Box { turned, .. } | Self::Outline { turned, .. } => turned.as_ref(),
            Self::Cylinder { .. } | Self::Cone { .. } | Self::Ball { .. } => None,
        }
    }

    /// Its turn, if it is of a kind that can be turned.
    pub const fn turned_mut(&mut self) -> Option<&mut Option<Turned>> {
        match self {
            Self::Box { turned, .. } | Self::Outline { turned, .. } => Some(turned),
            Self::Cylinder { .. } | Self::Cone { .. } | Self::Ball { .. } => None,
        }
    }

    /// Mirrors the body; `negate` turns a size round, `drawn` what a path draws: its right, its up.
    pub(crate) fn mirror(
        &mut self,
        mirror: &BodyMirror<'_>,
        negate: &dyn Fn(&mut Formula),
        drawn: &dyn Fn(&mut String, bool, bool),
    ) {
        match self {
            Self::Box { from, to, .. } | Self::Cylinder { from, to, .. } | Self::Cone { from, to, .. } => {
                mirror.point(from);
                mirror.point(to);
            }
            Self::Ball { at, .. } => mirror.point(at),
            Self::Outline { shape, along, from, to, .. } => {
                (mirror.place)(*along, from);
                (mirror.place)(*along, to);
                if mirror.turns(*along) {
                    std::mem::swap(from, to);
                }
                let [right, up] = along.others();
                let spot = |spot: &mut Spot| {
                    (mirror.place)(right, &mut spot.0);
                    (mirror.place)(up, &mut spot.1);
                };
                // A drawing along x has the frame's y at its left or right, one along z has it up or down,
                // as the frame is handed; a frame turned over hands it the other way.
                let (right, up) = (mirror.turns(right), mirror.turns(up));
                let (right, up) = match along {
                    Axis::X => (right != mirror.turns_over, up),
                    Axis::Y => (right, up),
                    Axis::Z => (right, up != mirror.turns_over),
                };
                shape.mirror(&spot, &|data| drawn(data, right, up));
            }
        }
        if let Some(Some(turned)) = self.turned_mut() {
            mirror.turned(turned, negate);
        }
    }
}

/// Something that stands still: an end stop, a bracket, a neighbour.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Obstacle {
    /// What it is called.
    pub name: String,
    /// An end stop is there to be met at the very end of the stroke.
    #[serde(default, skip_serializing_if = "is_default")]
    pub stop: bool,
    /// How far it gives when it is run against: a buffer's stroke.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub give: Option<Length>,
    /// Whether the fixture stands on it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub base: bool,
    /// Its mass; it counts where the fixture stands on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass: Option<Mass>,
    /// Its form, in the rail's frame.
    pub bodies: Vec<Body>,
}

impl Obstacle {
    /// One of a name with its bodies, of which nothing else is known.
    pub const fn new(name: String, stop: bool, bodies: Vec<Body>) -> Self {
        Self { name, stop, give: None, base: false, mass: None, bodies }
    }
}

named!(Obstacle);
