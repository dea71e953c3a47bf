//! The clearance band: the tightest gap against travel.

use glam::DVec3;
use glidewright_geometry::{Nearest, SolidId, Trace};

use super::depth::DeepPair;
use super::scan::Scan;
use super::sensitivity::Shares;
use super::{Checked, Stance};
use crate::assembly::Side;
use crate::{Assembly, BodyId, Fixture};

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
    /// Tightest gap there as drawn (mm); infinite when nothing passes anything.
    pub gap: f64,
    /// Tightest gap there with the riders standing as their load makes them stand (mm); where nothing comes within
    /// [`Interference::REACH`](super::Interference::REACH) that of the pair nearest as drawn, to first order.
    pub loaded: f64,
    /// How much of that gap the riders' play can take (mm).
    pub play: f64,
    /// Worst-case half-width of that gap from its sizes' tolerances (mm).
    pub spread: f64,
    /// Half-width from the same tolerances as the root of the sum of squares (mm).
    pub rss: f64,
    /// Whose gap it is, under load.
    pub pair: Option<(BodyId, BodyId)>,
}

impl BandPoint {
    /// The least the gap can be when load, play and tolerances have taken their worst (mm).
    pub fn least(&self) -> f64 {
        self.loaded - self.play - self.spread
    }
}

/// The nearest pair of solids at each station, over all channels of things that pass.
fn tightest(scan: &Scan, count: usize) -> Vec<Option<Nearest>> {
    let mut tightest: Vec<Option<Nearest>> = vec![None; count];
    for (watch, found) in scan.found() {
        if !watch.passes() {
            continue;
        }
        for (slot, nearest) in tightest.iter_mut().zip(&found.envelope) {
            if slot.is_none_or(|known| nearest.gap < known.gap) && nearest.gap < f64::INFINITY {
                *slot = Some(*nearest);
            }
        }
    }
    tightest
}

/// Of solids that meet tilted alone, those that overlap deepest at a travel.
fn deepest(scan: &Scan, met: &[(SolidId, SolidId)], travel: f64, nearest: Nearest) -> Nearest {
    let pairs = std::iter::once((nearest.a, nearest.b)).chain(met.iter().copied());
    let depths = pairs.filter_map(|(a, b)| {
        let found = scan.separation(a, b, scan.shift_between(a, b, travel)?);
        found.is_valid().then_some(Nearest { gap: found.gap, a, b })
    });
    depths.min_by(|p, q| p.gap.total_cmp(&q.gap)).unwrap_or(nearest)
}

/// The gap of whole bodies at a travel where they overlap deeper than any of their pieces, and whose it is.
fn deepened(
    scan: &Scan,
    deep: &mut [DeepPair],
    (station, travel): (usize, f64),
    pieces: f64,
) -> Option<(f64, (BodyId, BodyId))> {
    let mut tightest = None;
    let mut known = pieces;
    if known < 0.0 {
        for pair in deep {
            if let Some(gap) = pair.gap_below(scan, travel, known) {
                pair.stations.push((station, gap));
                tightest = Some((gap, pair.bodies));
                known = gap;
            }
        }
    }
    tightest
}

impl Band {
    /// The band as drawn.
    pub(super) fn new(scan: &Scan, stations: &[f64], deep: &mut [DeepPair]) -> Self {
        let points = tightest(scan, stations.len())
            .into_iter()
            .zip(stations)
            .enumerate()
            .map(|(station, (nearest, &travel))| {
                let pieces = nearest.map_or(f64::INFINITY, |nearest| nearest.gap);
                let whole = deepened(scan, deep, (station, travel), pieces);
                let gap = whole.map_or(pieces, |(gap, _)| gap);
                let bodies = nearest.and_then(|n| scan.body(n.a).zip(scan.body(n.b)));
                let pair = whole.map(|(_, bodies)| bodies).or(bodies);
                BandPoint { travel, gap, loaded: gap, play: 0.0, spread: 0.0, rss: 0.0, pair }
            })
            .collect();
        Self { points }
    }

    /// Adds what load, play and tolerances make of it, the riders standing tilted in `tilted`; without that, to first order
    /// in how they stand.
    pub(super) fn load(
        &mut self,
        fixture: &Fixture,
        assembly: &Assembly,
        (level, tilted): (&Scan, Option<&Scan>),
        (deep, met): (&[DeepPair], &[(SolidId, SolidId)]),
        stance: &mut Stance,
    ) {
        let mut shares = Shares::default();
        let (mut level_trace, mut tilted_trace) = (Trace::default(), Trace::default());
        let as_drawn = tightest(level, self.points.len());
        let as_loaded =
            tilted.map_or_else(|| vec![None; self.points.len()], |scan| tightest(scan, self.points.len()));
        let tilted = tilted.unwrap_or(level);
        let stations = self.points.iter_mut().zip(as_drawn.into_iter().zip(as_loaded));
        for (station, (point, nearest)) in stations.enumerate() {
            let (checked, scan, nearest, trace) = match nearest {
                // Where an overlap is there as drawn it shifts with its riders; tilted nothing is said of its depth.
                (Some(nearest), tilted)
                    if tilted.is_none_or(|tilted| tilted.gap <= 0.0 && nearest.gap < 0.0) =>
                {
                    (Checked::Level, level, nearest, &mut level_trace)
                }
                (_, Some(nearest)) => (Checked::Tilted, tilted, nearest, &mut tilted_trace),
                (_, None) => continue,
            };
            let nearest = if checked == Checked::Tilted && nearest.gap <= 0.0 {
                deepest(scan, met, point.travel, nearest)
            } else {
                nearest
            };
            point.loaded = nearest.gap;
            let Some(shift) = scan.shift_between(nearest.a, nearest.b, point.travel) else { continue };
            let Some(ids) = scan.body(nearest.a).zip(scan.body(nearest.b)) else { continue };
            let separation = scan.separation_after(nearest.a, nearest.b, shift, trace);
            let body = |id: BodyId| assembly.body(id);
            let Some((a, b)) = body(ids.0).zip(body(ids.1)) else { continue };
            point.pair = Some(ids);
            if !separation.is_valid() {
                continue;
            }
            let normal = separation.normal;
            let (on_a, on_b) = (separation.on_a, separation.on_b - DVec3::X * shift);
            point.loaded -= stance.change(checked, a.owner, station, on_a, normal)
                + stance.change(checked, b.owner, station, on_b, -normal);
            point.play = stance.rattle(a.owner, station, on_a, normal)
                + stance.rattle(b.owner, station, on_b, -normal);
            let travel = point.travel;
            let level = |id, body, point: DVec3, towards: DVec3| {
                let level_from_tilted = scan.pose(body).inverse();
                let (point, towards) = (level_from_tilted.point(point), level_from_tilted.direction(towards));
                Side { id, body, point, towards, travel }
            };
            let sides = [level(ids.0, a, on_a, normal), level(ids.1, b, on_b, -normal)];
            shares.find(fixture, assembly, sides);
            (point.spread, point.rss) = shares.half_widths();
        }
        // Whole bodies that overlap deeper than their pieces stay deeper, and shift with their riders.
        for pair in deep.iter().filter(|pair| !pair.stations.is_empty()) {
            let sides: Vec<_> = pair.sides(assembly).map(|s| (s.body.owner, s.point, s.towards)).collect();
            for &(station, gap) in &pair.stations {
                let Some(point) = self.points.get_mut(station) else { continue };
                let (change, play) = stance.shifts(&sides, station);
                if gap - change < point.loaded {
                    (point.loaded, point.play, point.pair) = (gap - change, play, Some(pair.bodies));
                    shares.find(fixture, assembly, pair.sides(assembly));
                    (point.spread, point.rss) = shares.half_widths();
                }
            }
        }
    }

    /// What is known at a travel, between stations by straight lines; whose gap it is comes from the station before.
    pub fn at(&self, travel: f64) -> Option<BandPoint> {
        let after = self.points.partition_point(|point| point.travel < travel);
        let (a, b) = match (after.checked_sub(1).and_then(|i| self.points.get(i)), self.points.get(after)) {
            (Some(a), Some(b)) => (a, b),
            (Some(a), None) | (None, Some(a)) => (a, a),
            (None, None) => return None,
        };
        let width = b.travel - a.travel;
        let share = if width > 0.0 { ((travel - a.travel) / width).clamp(0.0, 1.0) } else { 0.0 };
        let between = |of: fn(&BandPoint) -> f64| of(a) + share * (of(b) - of(a));
        Some(BandPoint {
            travel,
            gap: between(|point| point.gap),
            loaded: between(|point| point.loaded),
            play: between(|point| point.play),
            spread: between(|point| point.spread),
            rss: between(|point| point.rss),
            pair: a.pair,
        })
    }
}
