//! How deep bodies of several pieces overlap, over the stroke.

use glam::DVec3;
use glidewright_geometry::{Deepest, Depth, DepthEffort, NearBodies, Overlap, SolidId};

use super::kinship::{Kinship, TOUCH};
use super::outcome::{GAP_TOLERANCE, overlaps};
use super::scan::{Scan, Watch};
use crate::assembly::Side;
use crate::{Assembly, BodyId, Detail, WholeBodies};

/// While the deepest place is sought.
const SOUGHT: DepthEffort = DepthEffort { tolerance: 1e-3, rays: 24, ways: 12, places: 8 };
/// At the place that is told.
const TOLD: DepthEffort = DepthEffort { tolerance: 1e-4, rays: 300, ways: 24, places: 1 };
/// So many pairs are looked at that closely: the deepest of those that pass each other. The others' depth is that of a
/// shift that parts them, where two of their pieces stand deepest in each other.
const CLOSELY: usize = 2;

/// Of so many pairs, the deepest, that of whole bodies is told at all; of others how deep two pieces overlap. Where there
/// are more, riders stand in each other's place.
const WHOLE: usize = 500;
/// The same while a hand is followed, which sees the deepest.
const WHOLE_QUICKLY: usize = 8;

/// The pairs that are looked at: gaps up to which that is done closely, and at all (mm).
pub(super) struct Chosen {
    closely: f64,
    whole: f64,
}

impl Chosen {
    pub(super) fn of(scan: &Scan, assembly: &Assembly, detail: Detail) -> Self {
        /// Among pairs alike all are, up to so many.
        const ALIKE: usize = 4;
        let mut gaps: Vec<f64> = scan
            .found()
            .filter(|(watch, _)| watch.passes())
            .flat_map(|(_, found)| &found.near)
            .filter(|near| has_pieces(assembly, near))
            .map(|near| near.least.gap)
            .collect();
        gaps.sort_by(f64::total_cmp);
        let alike = |gap: f64| gaps.iter().filter(|other| **other <= gap + GAP_TOLERANCE).count();
        let (closely, most) = match detail {
            Detail::Whole => (CLOSELY, WHOLE),
            Detail::Quick => (0, WHOLE_QUICKLY),
        };
        let last = gaps.iter().take(closely).rev().copied().find(|gap| alike(*gap) <= ALIKE);
        Self {
            closely: last.unwrap_or(f64::NEG_INFINITY),
            whole: gaps.get(most).copied().unwrap_or(f64::INFINITY),
        }
    }

    fn closely(&self, watch: Watch, near: &NearBodies) -> bool {
        watch.passes() && near.least.gap <= self.closely + GAP_TOLERANCE
    }
}

/// Whether two bodies overlap of which one at least is of several pieces.
fn has_pieces(assembly: &Assembly, near: &NearBodies) -> bool {
    let several = |body: u32| assembly.bodies.get(body as usize).is_some_and(|body| body.solids.len() > 1);
    overlaps(near.least.gap) && (several(near.body_a) || several(near.body_b))
}

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
    /// Of a pair that is looked at closely.
    search: Option<(Overlap, Deepest)>,
    /// The stretches of travel in which they touch.
    touching: Vec<(f64, f64)>,
    solids: (SolidId, SolidId),
    /// How many more depths may be worked out for the band.
    looks: usize,
    /// Stations of the band at which theirs is the tightest gap as drawn, and that gap (mm).
    pub(super) stations: Vec<(usize, f64)>,
}

/// So many depths of one pair are worked out for the band at most; then only what is known of it counts.
const MOST_LOOKS: usize = 8;

/// A depth that parts two bodies and the shift it is for: where their pieces stand deepest or, if that is deeper, where
/// their middles pass, for of round pieces the deepest place may be a long one.
fn bounded(overlap: &mut Overlap, least: f64, (from, to): (f64, f64)) -> (f64, Depth) {
    /// Places nearer to each other are one (mm).
    const SAME: f64 = 1e-6;
    let abreast = overlap.abreast(DVec3::X).map(|shift| shift.clamp(from, to));
    let mut there = |shift: f64| (shift, overlap.depth(shift * DVec3::X, &DepthEffort::BOUND));
    let found = there(least);
    let other = abreast.filter(|shift| (shift - least).abs() > SAME).map(there);
    other.filter(|(_, depth)| depth.depth > found.1.depth).unwrap_or(found)
}

impl DeepPair {
    /// `None` for bodies that stay apart, or of one piece each: their depth is that of the pieces.
    pub(super) fn find(
        scan: &Scan,
        assembly: &Assembly,
        watch: Watch,
        near: &NearBodies,
        chosen: &Chosen,
    ) -> Option<Self> {
        let a = assembly.bodies.get(near.body_a as usize)?;
        let b = assembly.bodies.get(near.body_b as usize)?;
        if !has_pieces(assembly, near) || (watch.passes() && near.least.gap > chosen.whole) {
            return None;
        }
        // Where they may touch it does not matter how deep the whole bodies stand in what is taken for that.
        // Seats are told by the wheel's outline seen along the rail.
        if watch.seats || (watch.kinship == Kinship::OneRider && near.least.gap >= -TOUCH) {
            return None;
        }
        let WholeBodies { mut overlap, is_exact } = a.whole_with(b);
        let least = &near.least;
        let shifts = scan.shifts(watch)?;
        let deepest = if chosen.closely(watch, near) {
            overlap.deepest(DVec3::X, shifts, &[least.shift], &SOUGHT)
        } else {
            None
        };
        let (shift, mut depth) = match &deepest {
            Some(deepest) => (deepest.at, overlap.depth(deepest.at * DVec3::X, &TOLD)),
            None => bounded(&mut overlap, least.shift, shifts),
        };
        if depth.contacts.is_empty() {
            return None;
        }
        if !is_exact {
            // Of what a cover fills, nothing is proved; two of the bodies' own pieces stand so deep in each other.
            let pieces = scan.separation(least.a, least.b, shift).gap;
            depth.at_least = (-pieces).max(0.0).min(depth.depth);
        }
        let moved = shift != least.shift;
        let travels = if moved { scan.travels(watch, shift) } else { None }.unwrap_or(least.span);
        let at_travel = 0.5 * (travels.0 + travels.1);
        let at_most = deepest.as_ref().map_or_else(|| overlap.beside(DVec3::X), |deepest| deepest.at_most);
        let at_most = at_most.max(depth.depth);
        Some(Self {
            bodies: (BodyId(near.body_a), BodyId(near.body_b)),
            shift,
            at_travel,
            depth,
            at_most,
            search: deepest.map(|deepest| (overlap, deepest)),
            touching: near.touching.clone(),
            solids: (least.a, least.b),
            looks: MOST_LOOKS,
            stations: Vec::new(),
        })
    }

    /// Where they touch once they have been drawn apart: each place in its owner's frame, towards the other by its share
    /// in the depth.
    pub(super) fn sides<'a>(&'a self, assembly: &'a Assembly) -> impl Iterator<Item = Side<'a>> {
        self.depth.contacts.iter().flat_map(move |contact| {
            let towards = contact.share * contact.normal;
            let on_b = contact.on_b - DVec3::X * self.shift;
            let side = |id, point, towards| Side::of(assembly, id, (point, towards), self.at_travel);
            let (a, b) = self.bodies;
            [side(a, contact.on_a, towards), side(b, on_b, -towards)].into_iter().flatten()
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
        let Some((overlap, deepest)) = &mut self.search else {
            // Known where its pieces stand deepest alone.
            const THERE: f64 = 1e-6;
            return ((shift - self.shift).abs() < THERE && -self.depth.depth < known)
                .then_some(-self.depth.depth);
        };
        let bound = deepest.bound_at(shift);
        if -bound >= known {
            return None;
        }
        // What is known is the gap of two of their pieces, or of others that are nearer yet.
        if known < 0.0 && known + bound <= ENOUGH {
            return Some(-bound);
        }
        self.looks = self.looks.checked_sub(1)?;
        let depth = overlap.depth(shift * DVec3::X, &DepthEffort::BOUND).depth;
        (-depth < known).then_some(-depth)
    }
}
