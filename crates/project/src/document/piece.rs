//! One thing threaded on a screw.

use serde::{Deserialize, Serialize};

use super::is_default;
use crate::choice::choice;
use crate::size::{Angle, Length};

/// One thing threaded on a screw. On disk `(nut: "ISO 7040 M6")`, `(spacer: "tube M6", length: 15)`,
/// `(plate: "back", hole: tapped)`: one of the kinds with the name of a part (for a plate, of one of the rider's plates).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Written", into = "Written")]
pub struct Piece {
    /// What it is.
    pub kind: PieceKind,
    /// Name of the part, or of the rider's plate.
    pub part: String,
    /// Extent along the screw, where it is not the part's own.
    pub length: Option<Length>,
    /// For an eccentric spacer: direction of the axle from the hole, from along the rail towards across.
    pub turn: Angle,
    /// For a plate: how the screw passes it.
    pub hole: ScrewHole,
    /// For a tapped plate: how deep its thread goes from where the screw enters; left out, right through.
    pub depth: Option<Length>,
    /// For a plate with an insert: name of the insert's part; empty for the shortest of the screw's thread.
    pub insert: String,
    /// What it is called, where kind and number would not do.
    pub name: String,
}

choice! {
    /// How a screw passes a plate.
    #[derive(Default)]
    ScrewHole {
        /// With clearance.
        #[default]
        Clear = "clear",
        /// In a thread, which ends the stack in place of a nut.
        Tapped = "tapped",
        /// In a threaded insert set into it, which ends the stack in place of a nut.
        Insert = "insert",
    }
}

impl ScrewHole {
    /// Whether the screw ends there, held by a thread.
    pub const fn holds(self) -> bool {
        matches!(self, Self::Tapped | Self::Insert)
    }
}

/// What a piece is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum PieceKind {
    /// A plain washer.
    Washer,
    /// A plate of the rider.
    Plate,
    /// A tube that keeps wheel and plate apart.
    Spacer,
    /// A thin ring.
    Shim,
    /// An eccentric spacer.
    Eccentric,
    /// The wheel.
    Wheel,
    /// The nut.
    Nut,
}

impl PieceKind {
    /// All kinds.
    pub const ALL: [Self; 7] =
        [Self::Washer, Self::Plate, Self::Spacer, Self::Shim, Self::Eccentric, Self::Wheel, Self::Nut];

    /// Its word in the file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Washer => "washer",
            Self::Plate => "plate",
            Self::Spacer => "spacer",
            Self::Shim => "shim",
            Self::Eccentric => "eccentric",
            Self::Wheel => "wheel",
            Self::Nut => "nut",
        }
    }
}

impl Piece {
    /// A piece of a kind with a part of this name.
    pub fn new(kind: PieceKind, part: impl Into<String>) -> Self {
        Self {
            kind,
            part: part.into(),
            length: None,
            turn: Angle::default(),
            hole: ScrewHole::default(),
            depth: None,
            insert: String::new(),
            name: String::new(),
        }
    }

    /// The same with its own extent along the screw.
    #[must_use]
    pub fn with_length(mut self, length: impl Into<Length>) -> Self {
        self.length = Some(length.into());
        self
    }
}

/// What the pieces of one stack are called in paths: by their own name, else by their kind, with a
/// number from the head on where there are several of a kind.
pub fn piece_names(pieces: &[Piece]) -> Vec<String> {
    let mut of_kind = [0_usize; PieceKind::ALL.len()];
    for piece in pieces.iter().filter(|piece| piece.name.is_empty()) {
        of_kind[piece.kind as usize] += 1;
    }
    let mut counted = [0_usize; PieceKind::ALL.len()];
    pieces
        .iter()
        .map(|piece| {
            if !piece.name.is_empty() {
                return piece.name.clone();
            }
            let count = &mut counted[piece.kind as usize];
            *count += 1;
            if of_kind[piece.kind as usize] > 1 {
                format!("{} {count}", piece.kind.word())
            } else {
                piece.kind.word().to_owned()
            }
        })
        .collect()
}

/// A piece as it stands on disk.
#[derive(Clone, Serialize, Deserialize)]
#[serde(rename = "Piece", deny_unknown_fields)]
struct Written {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    washer: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    plate: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    spacer: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    shim: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    eccentric: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    wheel: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    nut: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    length: Option<Length>,
    #[serde(default, skip_serializing_if = "is_default")]
    turn: Angle,
    #[serde(default, skip_serializing_if = "is_default")]
    hole: ScrewHole,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    depth: Option<Length>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    insert: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    name: String,
}

impl TryFrom<Written> for Piece {
    type Error = &'static str;

    fn try_from(written: Written) -> Result<Self, Self::Error> {
        let parts = [
            (PieceKind::Washer, written.washer),
            (PieceKind::Plate, written.plate),
            (PieceKind::Spacer, written.spacer),
            (PieceKind::Shim, written.shim),
            (PieceKind::Eccentric, written.eccentric),
            (PieceKind::Wheel, written.wheel),
            (PieceKind::Nut, written.nut),
        ];
        let mut given = parts.into_iter().filter_map(|(kind, part)| Some((kind, part?)));
        match (given.next(), given.next()) {
            (Some((kind, part)), None) => Ok(Self {
                kind,
                part,
                length: written.length,
                turn: written.turn,
                hole: written.hole,
                depth: written.depth,
                insert: written.insert,
                name: written.name,
            }),
            _ => Err("a piece is exactly one of washer, plate, spacer, shim, eccentric, wheel or nut"),
        }
    }
}

impl From<Piece> for Written {
    fn from(piece: Piece) -> Self {
        let of = |kind| (piece.kind == kind).then(|| piece.part.clone());
        Self {
            washer: of(PieceKind::Washer),
            plate: of(PieceKind::Plate),
            spacer: of(PieceKind::Spacer),
            shim: of(PieceKind::Shim),
            eccentric: of(PieceKind::Eccentric),
            wheel: of(PieceKind::Wheel),
            nut: of(PieceKind::Nut),
            length: piece.length,
            turn: piece.turn,
            hole: piece.hole,
            depth: piece.depth,
            insert: piece.insert,
            name: piece.name,
        }
    }
}
