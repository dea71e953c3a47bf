//! The scene whose solids are changed from build to build.

use std::collections::{BTreeSet, HashSet};
use std::ops::Range;

use glam::DVec3;
use glidewright_geometry::{Batch, Change, ChannelId, Deductions, Sampler, Solid, SolidId};
use glidewright_motion::{Assembly, BodyId, Fixture, Kinship, PassingScene};

use super::effect::{Effect, Moved, is_line};
use super::form::{self, Growth};
use crate::question::Between;

/// The scene, its solids' answers to every draw, and the channels that are asked.
pub(super) struct BuildScene {
    batch: Batch,
    channels: Vec<ChannelId>,
    /// Body of each solid of the scene.
    bodies: Vec<u32>,
    /// Solids that a shift and growth of their sizes can say, those first that can have the least gap of a usual build.
    grown: Vec<Grown>,
    grown_near: usize,
    /// What draws do to them.
    terms: Vec<Term>,
    /// Solids that turn or change their outline, in the same order.
    reshaped: Vec<Reshaped>,
    reshaped_near: usize,
    /// How far each draw lies, as a rule (half-widths).
    usual: Vec<f64>,
    /// Farthest that a draw moves anything, at its limit (mm).
    pub most_moved: Vec<f64>,
    /// Draws that move what can have the least gap.
    pub near_draws: BTreeSet<usize>,
    /// How far what a draw does to solids that can have the least gap lies off a straight line at its limits (mm, rad).
    pub bend: Vec<f64>,
}

struct Grown {
    id: SolidId,
    terms: Range<usize>,
}

struct Term {
    draw: usize,
    by: Growth,
}

struct Reshaped {
    id: SolidId,
    base: Solid,
    numbers: Vec<f64>,
    /// Draw, and what is added at its upper limit.
    by: Vec<(usize, Vec<f64>)>,
}

/// The least gap of a build.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BuildGap {
    /// What is left of it (mm); infinite where nothing comes within reach.
    pub gap: f64,
    /// No less than this (mm): see [`glidewright_geometry::VariantLeast::lower`].
    pub lower: f64,
    /// Whose it is, by their numbers in the assembly.
    pub bodies: Option<(BodyId, BodyId)>,
}

/// How far beyond what moves is looked (mm).
const BEYOND: f64 = 0.5;

impl BuildScene {
    /// The scene of a fixture with the effects of draws; `usual` says how far each draw lies, as a rule (half-widths).
    pub(super) fn new(
        fixture: &Fixture,
        assembly: &Assembly,
        between: Between,
        (effects, usual): (&[Effect], &[f64]),
        deductions: Deductions,
    ) -> Option<Self> {
        let PassingScene { scene, watched, solids } = PassingScene::new(fixture, assembly)?;
        let counts = |kinship: Kinship| between == Between::All || kinship == Kinship::RiderAndRider;
        let watched = watched.into_iter().filter(|watched| counts(watched.kinship));
        let channels: Vec<_> = watched.map(|watched| watched.channel).collect();
        let count = solids.iter().flatten().map(|id| id.0 as usize + 1).max().unwrap_or(0);
        let mut bodies = vec![u32::MAX; count];
        for (body, ids) in solids.iter().enumerate() {
            for id in ids {
                if let Some(slot) = bodies.get_mut(id.0 as usize) {
                    *slot = body as u32;
                }
            }
        }
        // By solid, what every draw does to it.
        let mut by_solid: Vec<Vec<(usize, &[f64])>> = vec![Vec::new(); count];
        let mut base: Vec<Option<&Solid>> = vec![None; count];
        let mut most_moved = vec![0.0_f64; effects.len()];
        for (draw, effect) in effects.iter().enumerate() {
            for Moved { body, place, by, .. } in &effect.solids {
                let Some(&id) = solids.get(*body).and_then(|ids| ids.get(*place)) else { continue };
                let Some(solid) = assembly.bodies.get(*body).and_then(|body| body.solids.get(*place)) else {
                    continue;
                };
                let at = id.0 as usize;
                if let (Some(list), Some(known)) = (by_solid.get_mut(at), base.get_mut(at)) {
                    list.push((draw, by));
                    *known = Some(solid);
                }
                if let Some(most) = most_moved.get_mut(draw) {
                    *most = most.max(form::moved(solid, by));
                }
            }
        }
        let (mut grown, mut terms, mut reshaped) = (Vec::new(), Vec::new(), Vec::new());
        let mut most = 0.0_f64;
        let mut moved = vec![0.0_f64; count];
        for (at, (list, solid)) in by_solid.iter().zip(&base).enumerate() {
            let Some(solid) = solid else { continue };
            let id = SolidId(at as u32);
            let far: f64 = list
                .iter()
                .map(|(draw, by)| form::moved(solid, by) * usual.get(*draw).copied().unwrap_or(1.0))
                .sum();
            most = most.max(far);
            if let Some(slot) = moved.get_mut(at) {
                *slot = far;
            }
            let growths: Option<Vec<Term>> =
                list.iter().map(|&(draw, by)| Some(Term { draw, by: form::growth(solid, by)? })).collect();
            match growths {
                Some(own) => {
                    let from = terms.len();
                    terms.extend(own);
                    grown.push(Grown { id, terms: from..terms.len() });
                }
                None => reshaped.push(Reshaped {
                    id,
                    base: (*solid).clone(),
                    numbers: form::numbers(solid, solid)?,
                    by: list.iter().map(|(draw, by)| (*draw, by.to_vec())).collect(),
                }),
            }
        }
        let travel = (fixture.stroke.from, fixture.stroke.to);
        // Pairs that may come nearest in some build: what is nearest as drawn, and what both sides may come nearer. A solid
        // that moves far beside the reach is compared with everything, which takes longer.
        let taken = deductions.values().copied().fold(0.0, f64::max);
        let look = |reach: f64| Batch::with_deductions(&scene, travel, reach, deductions.clone());
        let nearest = |batch: &Batch| {
            let mut sampler = batch.sampler();
            channels
                .iter()
                .filter_map(|&channel| sampler.least(channel))
                .map(|l| l.gap)
                .fold(f64::INFINITY, f64::min)
        };
        let mut batch = look(batch_reach(most, taken));
        let found = nearest(&batch);
        let farthest = glidewright_motion::Interference::REACH;
        let needed = if found.is_finite() { found.max(0.0) } else { farthest } + 2.0 * most + taken + BEYOND;
        if needed > batch_reach(most, taken) {
            batch = look(needed.max(4.5 * most));
            if nearest(&batch).is_infinite() && needed < 2.0 * farthest {
                batch = look(2.0 * farthest + 2.0 * most + taken);
            }
        }
        let near = near(&batch, &channels, &moved);
        let is_far = |id: SolidId| !near.contains(&id.0);
        grown.sort_by_key(|solid: &Grown| is_far(solid.id));
        reshaped.sort_by_key(|solid: &Reshaped| is_far(solid.id));
        let grown_near = grown.partition_point(|solid| !is_far(solid.id));
        let reshaped_near = reshaped.partition_point(|solid| !is_far(solid.id));
        let bend = effects.iter().map(|effect| {
            let id = |moved: &Moved| solids.get(moved.body).and_then(|ids| ids.get(moved.place)).copied();
            let near = effect.solids.iter().filter(|moved| id(moved).is_some_and(|id| !is_far(id)));
            near.map(|moved| moved.bend).fold(0.0, f64::max)
        });
        let bend = bend.collect();
        let is_near = |id: SolidId| !is_far(id);
        let of_grown = grown.iter().filter(|solid| is_near(solid.id));
        let of_grown =
            of_grown.flat_map(|solid| terms.get(solid.terms.clone()).unwrap_or_default()).map(|t| t.draw);
        let of_reshaped = reshaped.iter().filter(|solid| is_near(solid.id));
        let of_reshaped = of_reshaped.flat_map(|solid| solid.by.iter().map(|(draw, _)| *draw));
        let near_draws = of_grown.chain(of_reshaped).collect();
        Some(Self {
            near_draws,
            bend,
            batch,
            channels,
            bodies,
            grown,
            grown_near,
            terms,
            reshaped,
            reshaped_near,
            usual: usual.to_vec(),
            most_moved,
        })
    }

    /// A place to make builds.
    pub(super) fn sampler(&self) -> Sampler<'_> {
        self.batch.sampler()
    }

    /// The least gap of the build of these draws (half-widths). The sampler may stand at any other build of this scene.
    pub(super) fn least(&self, draws: &[f64], sampler: &mut Sampler<'_>) -> BuildGap {
        /// No factor falls below this: nothing is built so thin, and the kernel takes none of 0.
        const THINNEST: f64 = 1e-3;
        // In a usual build what is far cannot have the least gap: it need not be moved.
        let is_usual = draws.iter().zip(&self.usual).all(|(z, usual)| z.abs() <= *usual);
        let (grown, reshaped) = if is_usual {
            (self.grown.get(..self.grown_near), self.reshaped.get(..self.reshaped_near))
        } else {
            (Some(self.grown.as_slice()), Some(self.reshaped.as_slice()))
        };
        sampler.reset();
        for solid in grown.unwrap_or_default() {
            let (mut shift, mut factors, mut radial) = (DVec3::ZERO, DVec3::ONE, 0.0);
            for Term { draw, by } in self.terms.get(solid.terms.clone()).unwrap_or_default() {
                let z = draws.get(*draw).copied().unwrap_or(0.0);
                shift += by.shift * z;
                factors += by.factors * z;
                radial += by.radial * z;
            }
            let factors = factors.max(DVec3::splat(THINNEST));
            let change =
                Change { shift, along: factors.z, across: factors.y, wide: factors.x / factors.y, radial };
            sampler.change(solid.id, &change);
        }
        let mut numbers = Vec::new();
        for solid in reshaped.unwrap_or_default() {
            numbers.clone_from(&solid.numbers);
            for (draw, by) in &solid.by {
                let z = draws.get(*draw).copied().unwrap_or(0.0);
                for (number, by) in numbers.iter_mut().zip(by) {
                    *number += z * by;
                }
            }
            sampler.replace(solid.id, &form::solid(&solid.base, &numbers));
        }
        let mut least = BuildGap { gap: f64::INFINITY, lower: f64::INFINITY, bodies: None };
        for &channel in &self.channels {
            let Some(found) = sampler.least(channel) else { continue };
            least.lower = least.lower.min(found.lower);
            if found.gap < least.gap {
                let body = |id: SolidId| self.bodies.get(id.0 as usize).map(|body| BodyId(*body));
                least.gap = found.gap;
                least.bodies = body(found.a).zip(body(found.b));
            }
        }
        least
    }
}

/// The solids that can have the least gap of a build in which each moves by no more than so much (mm): those of pairs that
/// may come nearer than the pair that surely is near.
fn near(batch: &Batch, channels: &[ChannelId], moved: &[f64]) -> HashSet<u32> {
    let by = |id: SolidId| moved.get(id.0 as usize).copied().unwrap_or(0.0);
    let pairs = || channels.iter().flat_map(|&channel| batch.pairs(channel));
    let surely = pairs().map(|(a, b, left)| left + by(a) + by(b)).fold(f64::INFINITY, f64::min);
    let may = pairs().filter(|&(a, b, left)| left - by(a) - by(b) <= surely);
    may.flat_map(|(a, b, _)| [a.0, b.0]).collect()
}

/// How far pairs are looked for at first (mm), where the solids move so far and load takes so much.
fn batch_reach(most: f64, taken: f64) -> f64 {
    (4.5 * most).max(2.0 * most + taken + BEYOND)
}

/// What of an assembly the scene does not hold, in words.
pub(super) fn not_in_scene(assembly: &Assembly) -> Vec<String> {
    let spans = assembly.stretches.iter().filter(|stretch| stretch.changes);
    spans
        .filter_map(|stretch| assembly.body(stretch.body))
        .filter(|body| is_line(body))
        .map(|body| format!("{}, whose length or direction changes along the stroke", body.label))
        .collect()
}
