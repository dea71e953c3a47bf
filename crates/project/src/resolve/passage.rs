//! Where stacks pass plates, and the holes they ask for.

use glam::DVec2;
use glidewright_motion as motion;

use crate::document::PlateSide;
use crate::tables::{clearance_hole, tap_drill};

/// Where a stack passes a plate.
#[derive(Clone, Copy, Debug)]
pub(super) struct Passage {
    /// Number of the plate.
    pub plate: usize,
    /// Where the screw's axis stands in the plate's plane: along the rider, lateral (mm).
    pub axle: DVec2,
    /// The middle of its hole there (mm): beside the axle for an eccentric, which turns about it.
    pub hole: DVec2,
    /// Diameter of the hole (mm).
    pub diameter: f64,
    /// How deep the thread goes in a plate that is not tapped right through, and the side the screw comes from (mm).
    pub blind: Option<(f64, PlateSide)>,
}

impl Passage {
    /// Those of a stack whose screw stands at `axle`.
    ///
    /// An eccentric belongs to the plate nearest to it on the screw. In a plate that has none the screw goes round with
    /// that of another plate, as it does beside an eccentric without a boss.
    pub fn all(stack: &motion::Stack, axle: DVec2) -> Vec<Self> {
        let nearest_plate =
            |cam: usize| stack.plates().map(|(place, _)| place).min_by_key(|place| place.abs_diff(cam));
        let cams: Vec<(usize, f64, f64, Option<f64>)> = (0..)
            .zip(&stack.pieces)
            .filter_map(|(cam, piece)| match piece.kind {
                motion::PieceKind::Eccentric { offset, turn, boss } => {
                    Some((nearest_plate(cam)?, offset, turn, boss))
                }
                _ => None,
            })
            .collect();
        let clearance = hole_for(stack.screw.diameter);
        let last = stack.pieces.len().saturating_sub(1);
        let one = |(place, plate): (usize, usize)| {
            let mut passage = Self { plate, axle, hole: axle, diameter: clearance, blind: None };
            if let (motion::StackEnd::Tapped { depth }, true) = (stack.end, place == last) {
                passage.diameter = stack
                    .insert
                    .map_or_else(|| tap_drill(stack.screw.diameter, stack.screw.pitch), |insert| insert.hole);
                let side = match stack.head {
                    motion::HeadSide::Outside => PlateSide::Outside,
                    motion::HeadSide::Inside => PlateSide::Inside,
                };
                passage.blind = depth.map(|depth| (depth, side));
                return passage;
            }
            if let Some(shoulder) = stack.screw.shoulder.filter(|_| place < stack.on_shoulder()) {
                passage.diameter = hole_for(shoulder.nominal);
            }
            let own = cams.iter().any(|(nearest, ..)| *nearest == place);
            for &(_, offset, turn, boss) in cams.iter().filter(|(nearest, ..)| !own || *nearest == place) {
                passage.hole -= offset * DVec2::from_angle(turn);
                // Without a boss the screw goes round in the hole as the eccentric is turned.
                let boss = boss.filter(|_| own);
                passage.diameter = boss.map_or(clearance + 2.0 * offset, |boss| boss + BOSS_PLAY);
            }
            passage
        };
        stack.plates().map(one).collect()
    }
}

/// How much wider than an eccentric's boss its hole is (mm; common practice for a turning fit in a printed plate, no
/// source).
const BOSS_PLAY: f64 = 0.2;

/// Diameter of the hole for a screw: the medium series of ISO 273, or a tenth above the screw beside it.
fn hole_for(screw: f64) -> f64 {
    clearance_hole(screw).map_or(1.1 * screw, |hole| hole.normal)
}
