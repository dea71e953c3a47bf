//! The clearance band: the tightest gap against travel.

use super::kinship::Kinship;
use super::pairs::PairResult;
use super::scan::Scan;
use crate::BodyId;

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
    pub(super) fn new(scan: &Scan, passing: &[PairResult], stations: &[f64]) -> Self {
        let mut points: Vec<_> = stations
            .iter()
            .map(|&travel| BandPoint { travel, gap: f64::INFINITY, spread: 0.0, pair: None })
            .collect();
        for (watch, found) in scan.found() {
            let moves = matches!(watch.kinship, Kinship::RiderAndRider | Kinship::RiderAndFixed);
            if !moves || watch.stops {
                continue;
            }
            for (point, nearest) in points.iter_mut().zip(&found.envelope) {
                if nearest.gap < point.gap {
                    point.gap = nearest.gap;
                    point.pair = scan.body(nearest.a).zip(scan.body(nearest.b));
                }
            }
        }
        for point in &mut points {
            let known = passing.iter().find(|pair| Some(pair.bodies) == point.pair);
            point.spread = known.and_then(|pair| pair.chain.as_ref()).map_or(0.0, crate::Chain::worst_case);
        }
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
