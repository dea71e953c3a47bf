//! The tightest gap against the reach of a load that slides on its rider.
//!
//! Only what the load itself passes changes with its reach. The gap of two convex solids is a convex function of where
//! one stands against the other, so its least over the travel is a convex function of the reach (Boyd & Vandenberghe,
//! Convex Optimization, §3.2.5): a pair's last gaps, carried straight on, bound the next from below, and most pairs
//! need not be asked. Stretches of line that change are no such solids ([`SlidPast`]). Checked against the whole interference
//! at every reach.

use glam::DVec3;
use glidewright_geometry::{Bounds, Pair, Solid};

use super::Interference;
use super::kinship::{Kinship, Relations};
use super::stretches::SlidPast;
use crate::{Assembly, Body, Coupling, Fixture, Owner, Role};

/// Tightest gap as drawn over the stroke at every one of `reaches` of a load (mm), all else standing as in
/// `assembly` and coming as near as `interference` says. `None` at a reach where nothing comes within
/// [`Interference::REACH`]. Where the load overlaps something its deepest piece tells: whole bodies are parted no sooner.
pub fn gap_against_reach(
    fixture: &Fixture,
    (assembly, interference): (&Assembly, &Interference),
    (rider, load): (usize, usize),
    reaches: &[f64],
) -> Vec<Option<f64>> {
    let sliding = fixture.riders.get(rider).and_then(|rider| rider.loads.get(load));
    let Some((sliding, reach)) = sliding.and_then(|load| Some((load, load.reach?))) else {
        return vec![interference.tightest().map(|pair| pair.gap); reaches.len()];
    };
    let is_it = |body: &Body| {
        body.owner == Owner::Rider(rider) && body.role == Role::Load && body.path == sliding.path
    };
    let own = assembly.bodies.iter().position(is_it);
    let others = interference.passing.iter().filter(|pair| {
        let of = |number: u32| Some(number as usize) == own;
        !pair.meets_stop && !of(pair.bodies.0.0) && !of(pair.bodies.1.0)
    });
    let rest = others.map(|pair| pair.gap).reduce(f64::min);
    let mut rivals =
        own.map_or_else(Vec::new, |own| passing(fixture, assembly, own, &sliding.solids, reach.direction));
    let slides = (sliding.solids.as_slice(), reach.direction);
    let mut spans = own.map_or_else(Vec::new, |own| SlidPast::all(fixture, assembly, own, slides));
    reaches
        .iter()
        .map(|&at| {
            let known = rest.unwrap_or(f64::INFINITY);
            // The nearest of the last reach first: it leaves out most of the others.
            rivals.sort_by(|a, b| a.last().total_cmp(&b.last()));
            let gap = rivals.iter_mut().fold(known, |least, rival| rival.below(at, least));
            let most = gap.min(Interference::REACH);
            let nearest = spans.iter_mut().fold(most, |least, span| span.below(at, least));
            let gap = if nearest < most { nearest } else { gap };
            (gap <= Interference::REACH).then_some(gap)
        })
        .collect()
}

/// A solid of the load and another that it passes.
struct Rival<'a> {
    fixed: &'a Solid,
    sliding: &'a Solid,
    /// Their boxes, the load's at reach 0.
    boxes: [Bounds; 2],
    /// Unit direction in which the load slides.
    direction: DVec3,
    /// Shifts of the load against the other that the stroke brings (mm).
    shifts: (f64, f64),
    /// Reach and least gap over the stroke of the last questions, the newest last.
    asked: [(f64, f64); 2],
}

/// Least gaps are known this well (mm): the depth of an overlap is searched no nearer.
const KNOWN: f64 = 2e-6;

impl Rival<'_> {
    fn last(&self) -> f64 {
        self.asked[1].1
    }

    /// The least gap over the stroke at a reach if it is below another, else that.
    fn below(&mut self, reach: f64, least: f64) -> f64 {
        let most = least.min(Interference::REACH);
        if self.apart(reach) > most || self.ahead(reach) > most {
            return least;
        }
        let moved = self.sliding.shifted(self.direction * reach);
        let Some(pair) = Pair::new(self.fixed, &moved, DVec3::X) else { return least };
        let gap = pair.least_gap(self.shifts.0, self.shifts.1);
        self.asked = [self.asked[1], (reach, gap)];
        // What is not a number is no gap.
        least.min(gap)
    }

    /// A gap that they are never nearer than, by their boxes: boxes that overlap leave each other by the least of
    /// their overlaps along the axes.
    fn apart(&self, reach: f64) -> f64 {
        let [fixed, sliding] = &self.boxes;
        let shift = self.direction * reach;
        let (low, high) = (sliding.low + shift, sliding.high + shift);
        let low = DVec3::new(low.x + self.shifts.0, low.y, low.z);
        let high = DVec3::new(high.x + self.shifts.1, high.y, high.z);
        let aside = (low - fixed.high).max(fixed.low - high);
        if aside.max_element() > 0.0 { aside.max(DVec3::ZERO).length() } else { aside.max_element() }
    }

    /// The last two gaps carried straight on: no convex function is below that beyond them.
    fn ahead(&self, reach: f64) -> f64 {
        let [(from, first), (to, last)] = self.asked;
        let share = (reach - to) / (to - from);
        if share > 0.0 && share.is_finite() {
            last + (last - first) * share - KNOWN * (1.0 + 2.0 * share)
        } else {
            f64::NEG_INFINITY
        }
    }
}

/// Every pair of the load's solids with what it passes.
fn passing<'a>(
    fixture: &Fixture,
    assembly: &'a Assembly,
    own: usize,
    solids: &'a [Solid],
    direction: DVec3,
) -> Vec<Rival<'a>> {
    let mut rivals = Vec::new();
    let Some(load) = assembly.bodies.get(own) else { return rivals };
    let boxes: Vec<Bounds> = solids.iter().map(Solid::bounds).collect();
    let relations = Relations::new(fixture, assembly);
    for (number, body) in assembly.bodies.iter().enumerate() {
        let passes = number != own
            && body.role != Role::Stop
            && matches!(
                relations.between(own, number),
                Some((Kinship::RiderAndRider | Kinship::RiderAndFixed, _))
            );
        let Some(shifts) = passes.then(|| shifts(fixture, body.owner, load.owner)).flatten() else {
            continue;
        };
        for fixed in &body.solids {
            let around = fixed.bounds();
            rivals.extend(solids.iter().zip(&boxes).map(|(sliding, &own)| Rival {
                fixed,
                sliding,
                boxes: [around, own],
                direction,
                shifts,
                asked: [(f64::NAN, f64::INFINITY); 2],
            }));
        }
    }
    rivals
}

/// The shifts of the second owner against the first that the stroke brings (mm), least first; `None` where they are not
/// finite.
fn shifts(fixture: &Fixture, first: Owner, second: Owner) -> Option<(f64, f64)> {
    let (from, to) = (fixture.stroke.from, fixture.stroke.to);
    // Places at both ends of the stroke, and whether it takes any between them at any travel.
    let places = |owner: Owner| match owner {
        Owner::Ground => Some(((0.0, 0.0), false)),
        Owner::Rider(number) => {
            let rider = fixture.riders.get(number)?;
            let at = |ratio: f64, travel: f64| rider.at_zero + ratio * travel;
            Some(match rider.coupling {
                Coupling::Lead => ((at(1.0, from), at(1.0, to)), false),
                Coupling::Linked { ratio } => ((at(ratio, from), at(ratio, to)), false),
                Coupling::Free { from, to, .. } => ((at(1.0, from), at(1.0, to)), true),
            })
        }
    };
    let ((a, b), alone) = places(first)?;
    let ((c, d), also) = places(second)?;
    let (low, high) = if alone || also {
        (c.min(d) - a.max(b), c.max(d) - a.min(b))
    } else {
        ((c - a).min(d - b), (c - a).max(d - b))
    };
    (low.is_finite() && high.is_finite()).then_some((low, high))
}
