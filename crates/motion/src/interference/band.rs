//! The clearance band: the tightest gap against travel.

use glam::DVec3;
use glidewright_geometry::Solid;

use super::pairs::{Mover, PairResult, gap_at};
use crate::{Assembly, BodyId};

/// The tightest gap of all passing pairs at each station.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Band {
    /// One point per station.
    pub points: Vec<BandPoint>,
}

/// The tightest gap at one travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BandPoint {
    /// Travel of the lead (mm).
    pub travel: f64,
    /// Tightest gap there (mm); infinite when nothing passes anything.
    pub gap: f64,
    /// Worst-case half-width of that gap from its sizes' tolerances (mm).
    pub spread: f64,
    /// Whose gap it is.
    pub pair: Option<(BodyId, BodyId)>,
}

impl Band {
    pub(super) fn new(
        assembly: &Assembly,
        passing: &[PairResult],
        movers: &[Mover],
        stations: &[f64],
    ) -> Self {
        let spread_of = |bodies: (BodyId, BodyId)| {
            passing
                .iter()
                .find(|pair| pair.bodies == bodies)
                .and_then(|pair| pair.chain.as_ref())
                .map_or(0.0, crate::Chain::worst_case)
        };
        let candidates: Vec<_> = movers.iter().flat_map(|mover| Candidate::all(assembly, mover)).collect();
        let mut order: Vec<usize> = (0..candidates.len()).collect();
        let points = stations
            .iter()
            .map(|&travel| {
                let mut gap = f64::INFINITY;
                let mut pair = None;
                let bounds: Vec<f64> = candidates.iter().map(|c| c.bound(travel)).collect();
                order.sort_by(|a, b| bounds[*a].total_cmp(&bounds[*b]));
                for &index in &order {
                    if bounds[index] >= gap {
                        break;
                    }
                    let candidate = &candidates[index];
                    let own = gap_at(candidate.a, candidate.b, &candidate.mover.span, travel);
                    if own < gap {
                        gap = own;
                        pair = Some(candidate.mover.bodies);
                    }
                }
                BandPoint { travel, gap, spread: pair.map_or(0.0, spread_of), pair }
            })
            .collect();
        Self { points }
    }

    /// The gap at a travel, between stations by straight lines (mm).
    pub fn gap_at(&self, travel: f64) -> Option<f64> {
        let after = self.points.partition_point(|point| point.travel < travel);
        let (a, b) = match (after.checked_sub(1).and_then(|i| self.points.get(i)), self.points.get(after)) {
            (Some(a), Some(b)) => (a, b),
            (Some(a), None) | (None, Some(a)) => (a, a),
            (None, None) => return None,
        };
        let width = b.travel - a.travel;
        let share = if width > 0.0 { ((travel - a.travel) / width).clamp(0.0, 1.0) } else { 0.0 };
        Some(a.gap + share * (b.gap - a.gap))
    }
}

/// Two solids that pass, with boxes about them for a quick lower bound.
struct Candidate<'a> {
    a: &'a Solid,
    b: &'a Solid,
    box_a: (DVec3, DVec3),
    box_b: (DVec3, DVec3),
    mover: Mover,
}

impl<'a> Candidate<'a> {
    fn all(assembly: &'a Assembly, mover: &Mover) -> Vec<Self> {
        let solids = |id: BodyId| assembly.bodies.get(id.0 as usize).map_or(&[][..], |body| &body.solids);
        let boxed = |solid: &Solid| {
            let bounds = solid.bounds();
            (bounds.low, bounds.high)
        };
        solids(mover.bodies.0)
            .iter()
            .flat_map(|a| solids(mover.bodies.1).iter().map(move |b| (a, b)))
            .map(|(a, b)| Self { a, b, box_a: boxed(a), box_b: boxed(b), mover: *mover })
            .collect()
    }

    /// A lower bound of the gap at one travel: the distance of the boxes, or −∞ where they overlap.
    fn bound(&self, travel: f64) -> f64 {
        let (u0, u1) = self.mover.span.at(travel);
        let low = self.box_b.0 + DVec3::X * u0;
        let high = self.box_b.1 + DVec3::X * u1;
        let apart = (low - self.box_a.1).max(self.box_a.0 - high).max(DVec3::ZERO);
        let distance = apart.length();
        if distance > 0.0 { distance } else { f64::NEG_INFINITY }
    }
}
