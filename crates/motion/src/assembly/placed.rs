//! Riders, stacks and plates at their places.

use glam::{DVec2, DVec3};
use glidewright_geometry::{PlanarError, SolidFault};

use super::mass_summary::MassSummary;
use crate::{
    Chain, Facing, HeadForm, Phrase, Seating, SeatingFault, Spread, Stack, StackEnd, StackOf, Term,
    Toleranced,
};

/// A rider with everything on it at its place, in its own frame.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedRider {
    /// Which way its plate looks.
    pub facing: Facing,
    /// Its stacks: those with wheels first, in the fixture's order, then the bolts.
    pub stacks: Vec<PlacedStack>,
    /// Its plates, in the fixture's order.
    pub plates: Vec<PlacedPlate>,
    /// Its mass and where it is, reach as set.
    pub mass: MassSummary,
}

/// A stack at its place.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedStack {
    /// Whose it is.
    pub of: StackOf,
    /// Its axis in the plate's plane: rider x and lateral (mm).
    pub at: DVec2,
    /// Level of its datum: a wheel's mid-plane, or for a bolt the inner face of the plate it stands in (mm).
    pub datum: f64,
    /// Number of the piece its datum belongs to: the wheel, or the plate a bolt stands in.
    pub datum_piece: usize,
    /// How its wheel sits in its track.
    pub seating: Option<Seating>,
    /// The pieces, from head to nut, each between two levels.
    pub pieces: Vec<PlacedPiece>,
    /// Level of the face the head rests on (mm).
    pub seat_level: f64,
    /// Level of the head's outer face (mm).
    pub head_level: f64,
    /// Level of the screw's free end (mm).
    pub tip_level: f64,
    /// +1 when the screw points outwards (head inside), −1 when it points towards the rail.
    pub points: f64,
    /// What the thread does in the nut.
    pub thread: Thread,
}

/// One piece of a placed stack.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlacedPiece {
    /// Level of the face nearer the head (mm).
    pub head_side: f64,
    /// Level of the face nearer the free end (mm).
    pub tip_side: f64,
}

impl PlacedPiece {
    /// The lower and the upper level it fills (mm).
    pub fn span(&self) -> (f64, f64) {
        (self.head_side.min(self.tip_side), self.head_side.max(self.tip_side))
    }
}

impl PlacedRider {
    /// The stack that carries a plate, with its number; `None` for a plate at a level of its own.
    pub(crate) fn carrier(&self, plate: usize) -> Option<(usize, &PlacedStack)> {
        let carrier = self.plates.get(plate)?.carrier?;
        self.stacks.iter().enumerate().find(|(_, stack)| stack.of == carrier)
    }
}

/// What the thread does in the nut or in the tapped plate.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Thread {
    /// From the head's seat to the far face of the last piece (mm).
    pub grip: f64,
    /// How far the free end stands beyond the last piece; negative when it ends inside (mm).
    pub projection: f64,
    /// Projection asked for, for full engagement (mm): one pitch beyond a nut; of a tapped plate what its least
    /// engagement leaves, 0 or less.
    pub asked: f64,
    /// Length over which screw and nut, or screw and plate, are in mesh (mm).
    pub engaged: f64,
    /// Least engagement that holds (mm), see [`Stack::least_engagement`].
    pub least: f64,
    /// How far the screw's end would go beyond the bottom of a thread that does not go right through (mm); 0 where
    /// there is none.
    pub bottoms: f64,
}

impl Thread {
    /// What a screw's thread does at the end of its stack.
    pub(super) fn of(stack: &Stack, grip: f64) -> Self {
        let screw = &stack.screw;
        let (length, last) = (screw.length.nominal, stack.pieces.last().map_or(0.0, |p| p.thickness.nominal));
        let (near, depth, least) = (grip - last, stack.tapped_depth(), stack.least_engagement());
        let (asked, bottoms) = match stack.end {
            StackEnd::Nut => (screw.pitch, 0.0),
            StackEnd::Tapped { depth: of } => {
                let beyond = length - near - depth;
                ((least - last).min(0.0), if of.is_some() { beyond.max(0.0) } else { 0.0 })
            }
        };
        Self {
            grip,
            projection: length - grip,
            asked,
            // A thread begins where the plain shank ends.
            engaged: (length.min(near + depth) - screw.shank.max(near)).max(0.0),
            least,
            bottoms,
        }
    }
}

/// A plate at its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlacedPlate {
    /// Level of its face nearer the rail (mm).
    pub inner: f64,
    /// Level of its face away from the rail (mm).
    pub outer: f64,
    /// Greatest difference of the levels its stacks give it: 0 when they agree (mm).
    pub disagreement: f64,
    /// The first stack that carries it: a wheel's, or that of a bolt which stands in another plate; `None` for one at a
    /// level of its own.
    pub carrier: Option<StackOf>,
}

/// Something that could not be placed.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// What a reader calls it, e.g. "camera head: deck".
    pub name: String,
    /// Where the document defines it, as a path.
    pub path: String,
    /// What is the matter.
    pub what: FaultKind,
}

/// Why something could not be placed.
#[derive(Clone, Debug, PartialEq)]
pub enum FaultKind {
    /// The track it names does not exist.
    NoTrack,
    /// Its track does not face across the rail as seen on the plate.
    TrackTurnedAway,
    /// Its wheel does not sit.
    NotSeated(SeatingFault),
    /// Its stack must hold exactly one wheel and holds this many.
    Wheels(usize),
    /// Its stack names a plate the rider does not have.
    NoPlate,
    /// A plate that nothing holds and that has no level.
    LoosePlate,
    /// A size is not finite, or not positive where it must be.
    BadSize,
    /// Its outline cannot be taken apart into convex pieces.
    BadOutline(PlanarError),
    /// It has a piece that is no sound solid.
    BadSolid(SolidFault),
    /// The line's path cannot be laid: see the text.
    Line(&'static str),
}

impl FaultKind {
    /// What is the matter, for a reader.
    pub fn phrase(&self) -> Phrase {
        match self {
            Self::NoTrack => "the track it names does not exist on this rail".into(),
            Self::TrackTurnedAway => {
                "its track does not face sideways as seen on the rider's plate, so the wheel cannot roll on it".into()
            }
            Self::NotSeated(fault) => fault.phrase(),
            Self::Wheels(n) => format!("a wheel's stack must hold exactly one wheel, this one holds {n}").into(),
            Self::NoPlate => "its stack names a plate that the rider does not have".into(),
            Self::LoosePlate => "no stack holds this plate and it has no level of its own".into(),
            Self::BadSize => "a size is not finite, or not positive where it must be".into(),
            Self::BadOutline(error) => format!("its outline is not sound: {error}").into(),
            Self::BadSolid(fault) => format!("it is not a sound solid: {fault}").into(),
            Self::Line(what) => (*what).into(),
        }
    }
}

impl PlacedStack {
    /// The rider-frame point on its axis at a level (mm).
    pub fn point(&self, facing: Facing, level: f64) -> DVec3 {
        facing.point(self.at, level)
    }

    /// The sizes between the stack's datum and a face of one of its pieces, or of its screw, as signed
    /// terms whose sum is the face's height above the datum along `points` (mm): what makes its reach.
    pub fn terms_to(&self, stack: &Stack, face: Face) -> Vec<Term> {
        let datum = self.datum_place();
        let screw_term = |label: String, size: Toleranced, sensitivity: f64| Term {
            label,
            path: stack.screw.path.clone(),
            size,
            sensitivity,
        };
        let head = |sensitivity| screw_term("screw head".into(), stack.screw.head_height, sensitivity);
        match face {
            Face::HeadSide(index) => between(stack, datum, index as f64),
            Face::TipSide(index) => between(stack, datum, index as f64 + 1.0),
            Face::HeadTop => {
                let mut terms = between(stack, datum, 0.0);
                if !matches!(stack.screw.head_form, HeadForm::Countersunk | HeadForm::None) {
                    terms.push(head(-1.0));
                }
                terms
            }
            Face::ScrewTip => {
                let mut terms = vec![screw_term(stack.screw.name.clone(), stack.screw.length, 1.0)];
                terms.extend(between(stack, datum, 0.0));
                terms
            }
        }
    }

    /// Where the datum lies, counted in pieces from the head: n is the head side of piece n, n + ½ its
    /// middle.
    pub(crate) fn datum_place(&self) -> f64 {
        let piece = self.datum_piece as f64;
        match self.of {
            StackOf::Wheel(_) => piece + 0.5,
            StackOf::Bolt(_) if self.points < 0.0 => piece + 1.0,
            StackOf::Bolt(_) => piece,
        }
    }

    /// The chain from the datum to a face: its sum is the face's height above the datum along `points`.
    pub fn chain_to(&self, stack: &Stack, face: Face) -> Chain {
        Chain { terms: self.terms_to(stack, face) }
    }

    /// How far a face stands above the datum along `points`, with its spread taken as the worst case.
    pub fn reach(&self, stack: &Stack, face: Face) -> Toleranced {
        let chain = self.chain_to(stack, face);
        Toleranced { nominal: chain.nominal(), spread: Spread::Uniform { half_width: chain.worst_case() } }
    }
}

/// A face square to a stack's axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Face {
    /// Of the piece with this number, towards the head.
    HeadSide(usize),
    /// Of the piece with this number, towards the free end.
    TipSide(usize),
    /// The head's outer face.
    HeadTop,
    /// The screw's free end.
    ScrewTip,
}

/// The sizes of a stack's pieces between two places counted in pieces from the head.
fn between(stack: &Stack, from: f64, to: f64) -> Vec<Term> {
    let (low, high, sign) = if from <= to { (from, to, 1.0) } else { (to, from, -1.0) };
    let covered = |index: usize| (high.min(index as f64 + 1.0) - low.max(index as f64)).max(0.0);
    stack
        .pieces
        .iter()
        .enumerate()
        .filter(|(index, _)| covered(*index) > 0.0)
        .map(|(index, piece)| {
            let share = covered(index);
            let label = if share < 1.0 { format!("half {}", piece.name) } else { piece.name.clone() };
            Term { label, path: piece.path.clone(), size: piece.thickness.scaled(share), sensitivity: sign }
        })
        .collect()
}
