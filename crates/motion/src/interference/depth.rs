//! How deep bodies of several pieces overlap, over the stroke.

use glam::DVec3;
use glidewright_geometry::{Deepest, Depth, DepthEffort, NearBodies, Overlap, Solid, SolidId};

use super::kinship::{Kinship, TOUCH};
use super::outcome::overlaps;
use super::scan::{Scan, Watch};
use crate::{Assembly, Body, BodyId};

/// While the deepest place is sought.
const SOUGHT: DepthEffort = DepthEffort { tolerance: 1e-3, rays: 24 };
/// At the place that is told.
const TOLD: DepthEffort = DepthEffort { tolerance: 1e-4, rays: 300 };
/// Under load, and at the stations between: hundredths are read.
const GLANCE: DepthEffort = DepthEffort { tolerance: 2e-3, rays: 24 };

/// Two bodies of several pieces that overlap somewhere on the stroke.
pub(super) struct DeepPair {
    /// Which.
    pub(super) bodies: (BodyId, BodyId),
    /// The second's shift against the first where they overlap deepest (mm).
    pub(super) shift: f64,
    /// The travel at which they stand so (mm).
    pub(super) at_travel: f64,
    /// The depth there.
    pub(super) depth: Depth,
    /// No travel of the stroke brings them deeper than this (mm).
    pub(super) at_most: f64,
    overlap: Overlap,
    deepest: Deepest,
    /// The stretches of travel in which they touch.
    touching: Vec<(f64, f64)>,
    solids: (SolidId, SolidId),
    /// How many more depths may be worked out for the band.
    looks: usize,
}

/// So many depths of one pair are worked out for the band at most; then only what is known of it counts.
const MOST_LOOKS: usize = 8;

impl DeepPair {
    /// `None` for bodies that stay apart, or of one piece each: their depth is that of the pieces.
    pub(super) fn find(scan: &Scan, assembly: &Assembly, watch: Watch, near: &NearBodies) -> Option<Self> {
        let a = assembly.bodies.get(near.body_a as usize)?;
        let b = assembly.bodies.get(near.body_b as usize)?;
        if !overlaps(near.least.gap) || (a.solids.len() < 2 && b.solids.len() < 2) {
            return None;
        }
        // Where they may touch it does not matter how deep the whole bodies stand in what is taken for that.
        // Seats are told by the wheel's outline seen along the rail.
        if watch.seats || (watch.kinship == Kinship::OneRider && near.least.gap >= -TOUCH) {
            return None;
        }
        let standing = |body: &Body| -> Vec<Solid> {
            let pose = scan.pose(body);
            body.solids.iter().map(|solid| solid.placed(&pose)).collect()
        };
        let mut overlap = Overlap::new(&standing(a), &standing(b));
        let shifts = scan.shifts(watch)?;
        let least = &near.least;
        let sought = if scan.is_level() { SOUGHT } else { GLANCE };
        let deepest = overlap.deepest(DVec3::X, shifts, &[least.shift], &sought)?;
        let depth =
            if scan.is_level() { overlap.depth(deepest.at * DVec3::X, &TOLD) } else { deepest.found.clone() };
        let travels = scan.travels(watch, deepest.at).unwrap_or(least.span);
        let at_travel = 0.5 * (travels.0 + travels.1);
        let at_most = deepest.at_most.max(depth.depth);
        Some(Self {
            bodies: (BodyId(near.body_a), BodyId(near.body_b)),
            shift: deepest.at,
            at_travel,
            depth,
            at_most,
            overlap,
            deepest,
            touching: near.touching.clone(),
            solids: (least.a, least.b),
            looks: MOST_LOOKS,
        })
    }

    /// The gap at a travel, where it is less than one that is known (mm).
    pub(super) fn gap_below(&mut self, scan: &Scan, travel: f64, known: f64) -> Option<f64> {
        /// Bounds that leave less than this to be known are the answer (mm).
        const ENOUGH: f64 = 2e-3;
        if !self.touching.is_empty()
            && !self.touching.iter().any(|(from, to)| (*from..=*to).contains(&travel))
        {
            return None;
        }
        let shift = scan.shift_between(self.solids.0, self.solids.1, travel)?;
        let bound = self.deepest.bound_at(shift);
        if -bound >= known {
            return None;
        }
        // What is known is the gap of two of their pieces, or of others that are nearer yet.
        if known < 0.0 && known + bound <= ENOUGH {
            return Some(-bound);
        }
        self.looks = self.looks.checked_sub(1)?;
        let depth = self.overlap.depth(shift * DVec3::X, &GLANCE).depth;
        (-depth < known).then_some(-depth)
    }
}
