//! Riders: whatever runs on the rail.

use serde::{Deserialize, Serialize};

use super::{AppliedForce, Body, Plate, Point, Spot, Stack, is_default, named};
use crate::choice::choice;
use crate::size::{Length, Mass, Number, Stiffness};

/// A carriage, a counterweight, a tray.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rider {
    /// What it is called.
    pub name: String,
    /// Anything worth saying about it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// Which way its plate looks.
    pub faces: Facing,
    /// Where its origin stands along the rail at travel 0.
    pub at: Length,
    /// How it moves.
    #[serde(default, skip_serializing_if = "is_default")]
    pub moves: Moves,
    /// How stiff every wheel is on its axle, pressed square to its track, where it gives no stiffness of its own;
    /// left out, it is worked out from tyre, screw and plate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stiffness: Option<Stiffness>,
    /// The stack of every wheel that gives none of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stack: Option<Stack>,
    /// Its wheels.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub wheels: Vec<WheelPlace>,
    /// Stacks without a wheel.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bolts: Vec<Bolt>,
    /// Plain shoes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub shoes: Vec<Shoe>,
    /// Its plates.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub plates: Vec<Plate>,
    /// What it carries.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub loads: Vec<Load>,
    /// Where a hand or a drive takes hold.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grip: Option<Grip>,
    /// Forces on it that depend on travel.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub forces: Vec<AppliedForce>,
    /// Points whose sag under load is of interest.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<Watched>,
}

impl Rider {
    /// All its stacks, each with its path below the rider's own: the one its wheels share, those of single wheels,
    /// those of bolts.
    pub fn stacks(&self) -> impl Iterator<Item = (String, &Stack)> {
        let shared = self.stack.iter().map(|stack| ("stack".to_owned(), stack));
        let own = self
            .wheels
            .iter()
            .filter_map(|wheel| Some((format!("wheels/{}/stack", wheel.name), wheel.stack.as_ref()?)));
        let bolts = self.bolts.iter().map(|bolt| (format!("bolts/{}/stack", bolt.name), &bolt.stack));
        shared.chain(own).chain(bolts)
    }
}

choice! {
    /// Which way a rider's plate looks.
    Facing {
        /// Out of the rail's front face.
        Front = "front",
        /// Out of its rear face.
        Rear = "rear",
        /// Out of its left face.
        Left = "left",
        /// Out of its right face.
        Right = "right",
    }
}

/// How a rider's travel follows the lead rider's.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Moves {
    /// Its travel is the fixture's travel.
    #[default]
    Lead,
    /// It moves by this many times the lead's travel; −1 for a counterweight on a plain belt.
    Linked(Number),
    /// It moves on its own.
    Free {
        /// Least own travel.
        from: Length,
        /// Greatest own travel.
        to: Length,
        /// Where it stands now.
        at: Length,
    },
}

/// One wheel, or a pair of wheels on opposite sides of the rail.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WheelPlace {
    /// What it is called; the two wheels of a pair add their side to it.
    pub name: String,
    /// The track it runs in, for one wheel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub track: Option<String>,
    /// The pair of tracks, for two wheels: front, middle, rear …
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pair: Option<String>,
    /// Where its axle stands along the rider.
    pub along: Length,
    /// How much closer to the rail than just touching it is pressed; negative leaves play.
    #[serde(default, skip_serializing_if = "is_default")]
    pub press: Length,
    /// How stiff it is on its axle, pressed square to its track, where that is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stiffness: Option<Stiffness>,
    /// Its own stack, where it is not the rider's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stack: Option<Stack>,
}

/// A stack without a wheel: it holds something to a plate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bolt {
    /// What it is called.
    pub name: String,
    /// Where it stands: along the rider, across.
    pub at: Spot,
    /// What is on its screw.
    pub stack: Stack,
}

/// A plain shoe that slides in a track.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shoe {
    /// What it is called.
    pub name: String,
    /// The track it slides in.
    pub track: String,
    /// Middle of its contact along the rider.
    pub along: Length,
    /// Length of its contact.
    pub length: Length,
    /// How much closer to the rail than just touching it is pressed; negative leaves play.
    #[serde(default, skip_serializing_if = "is_default")]
    pub press: Length,
    /// What it is made of.
    pub material: String,
    /// Its own sliding friction on the rail; left out, that of the fixture's shoes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub friction: Option<Number>,
    /// Its mass; left out, that of its bodies.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass: Option<Mass>,
    /// Its form, in the rider's rail-parallel frame: x along the rider, y and z as the rail's section.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bodies: Vec<Body>,
}

/// A mass a rider carries.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Load {
    /// What it is called.
    pub name: String,
    /// Its mass.
    pub mass: Mass,
    /// The plate it stands on: places count out from that plate's outer face. Left out: from the rail's
    /// centre plane.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<String>,
    /// Its form; none for a mass at a point.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bodies: Vec<Body>,
    /// Its centre of mass; left out, that of its bodies.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub centre: Option<Point>,
    /// How it slides on the rider, if it does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach: Option<Reach>,
    /// Whether it is there to balance something.
    #[serde(default, skip_serializing_if = "is_default")]
    pub ballast: bool,
}

/// A load's own slide on its rider.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reach {
    /// Direction of growing reach, as a place seen from the origin; its length does not matter.
    pub direction: Point,
    /// Least reach.
    pub from: Length,
    /// Greatest reach.
    pub to: Length,
    /// Reach now.
    #[serde(default, skip_serializing_if = "is_default")]
    pub at: Length,
}

/// Where a hand or a drive takes hold.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Grip {
    /// What it is called.
    pub name: String,
    /// The plate its place counts from, as for a load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<String>,
    /// Where it is.
    pub at: Point,
}

/// A point whose sag under load is of interest: a tool's tip, a lens.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Watched {
    /// What it is called.
    pub name: String,
    /// The plate its place counts from, as for a load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<String>,
    /// Where it is.
    pub at: Point,
}

named!(Rider, WheelPlace, Bolt, Shoe, Load, Grip, Watched);
