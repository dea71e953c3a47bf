//! Many variants of one scene: tolerance samples, trials of other sizes.
//!
//! A variant differs from its base in shifts and sizes of some solids. The gap of two solids changes by no more than
//! the farthest any of their points moves (the signed distance is the greatest width of a slab between them, and a
//! slab's sides move no faster than the points), so from the base's gaps, sorted, only the first few pairs can be
//! the nearest of a variant: these alone are computed anew, exactly. What bounds the rest is part of the answer.
//! Own derivation; tested against building every variant's scene from scratch.

mod change;
mod sampler;

use std::collections::HashMap;

use glam::DMat3;
use rayon::prelude::*;

use crate::scene::{Base, Classes, Filter};
use crate::{ChannelId, Scene, SolidId, search};

pub use change::Change;
use change::Piece;
pub use sampler::{Sampler, VariantLeast};

/// A scene made ready for many variants. It never changes and may be shared by threads; each works with a
/// [`Sampler`] of its own.
///
/// ```
/// use glidewright_geometry::{Batch, Change, DVec3, Motion, Scene, Solid};
/// let mut scene = Scene::new(DVec3::X).ok_or("no direction")?;
/// let rider = scene.add_group(Motion::Linked { offset: 0.0, ratio: 1.0 });
/// let weight = scene.add_group(Motion::Linked { offset: 400.0, ratio: -1.0 });
/// let at = |z: f64| DVec3::new(0.0, 0.0, z);
/// let nut = scene.add_solid(rider, 0, &Solid::cylinder_between(at(0.0), at(9.0), 4.0));
/// scene.add_solid(weight, 1, &Solid::cylinder_between(at(9.4), at(20.0), 4.0));
/// let channel = scene.watch(rider, weight);
/// let batch = Batch::new(&scene, (0.0, 600.0), 5.0);
/// // The nut stands higher by a tenth of a millimetre, sample by sample.
/// let gaps = batch.samples(4, |k, sampler| {
///     sampler.change(nut, &Change::shifted(at(0.1 * k as f64)));
///     sampler.least(channel).map(|least| least.gap)
/// });
/// for (k, gap) in gaps.iter().enumerate() {
///     assert!((gap.ok_or("no pair")? - (0.4 - 0.1 * k as f64)).abs() < 1e-12);
/// }
/// # Ok::<(), &str>(())
/// ```
#[derive(Clone)]
pub struct Batch {
    /// One for each solid of the scene.
    pieces: Vec<Piece>,
    classes: Classes,
    outer_from_travel: DMat3,
    channels: Vec<Watched>,
    /// Pairs that stay farther apart than this in the base are not listed (mm).
    reach: f64,
    deductions: Deductions,
    /// The most that is taken off any gap (mm).
    most_less: f64,
}

/// What is taken off the gaps of two bodies whatever the variant, by their numbers, the lesser first (mm).
pub type Deductions = HashMap<[u32; 2], f64>;

/// A channel of the base.
#[derive(Clone)]
struct Watched {
    /// The base's pairs within reach by growing gap.
    pairs: Vec<Entry>,
    /// Solids of both groups by number.
    members: [Vec<u32>; 2],
    /// Both groups are one.
    same: bool,
    wanted: Option<Filter>,
    /// Range of the relative shift (mm); `None` for a travel without meaning.
    shifts: Option<(f64, f64)>,
}

/// A pair of the base.
#[derive(Clone, Copy, Debug)]
struct Entry {
    solids: [u32; 2],
    least: search::Least,
    /// What is taken off (mm).
    less: f64,
}

impl Batch {
    /// Takes over a scene's solids, poses, motions and channels as they are; `travel` is the range of the travel (mm).
    /// `reach` (mm) says how far from each other pairs may be and still be listed: variants may bring solids nearer
    /// by about that much before what is listed proves too little (see [`VariantLeast::lower`]).
    pub fn new(scene: &Scene, travel: (f64, f64), reach: f64) -> Self {
        Self::with_deductions(scene, travel, reach, Deductions::default())
    }

    /// The same with something taken off the gaps of certain bodies in every variant alike (mm; less than nothing adds
    /// to them): what load takes of them, say. Deductions that are not finite count as none.
    pub fn with_deductions(
        scene: &Scene,
        travel: (f64, f64),
        reach: f64,
        mut deductions: Deductions,
    ) -> Self {
        deductions.retain(|_, less| less.is_finite());
        let reach = if reach.is_finite() { reach.max(0.0) } else { 0.0 };
        let Base { solids, classes, outer_from_travel, channels } = scene.base(travel, reach);
        let most_less = deductions.values().copied().fold(0.0, f64::max);
        let pieces: Vec<_> = solids.into_iter().map(|solid| Piece::new(solid, &classes)).collect();
        let less = |solids: [u32; 2]| deduction(&pieces, &deductions, solids);
        let channels = channels
            .into_iter()
            .map(|mut channel| {
                let entry = |(solids, least)| Entry { solids, least, less: less(solids) };
                let mut pairs: Vec<_> = channel.pairs.drain(..).map(entry).collect();
                pairs.sort_by(|p, q| p.left().total_cmp(&q.left()));
                Watched {
                    pairs,
                    members: channel.members,
                    same: channel.same,
                    wanted: channel.wanted,
                    shifts: channel.shifts,
                }
            })
            .collect();
        Self { pieces, classes, outer_from_travel, channels, reach, deductions, most_less }
    }

    /// The pairs of a channel that are listed with what is left of their gaps in the base (mm), the least first.
    pub fn pairs(&self, channel: ChannelId) -> impl Iterator<Item = (SolidId, SolidId, f64)> {
        let listed = self.channels.get(channel.0 as usize).into_iter().flat_map(|channel| &channel.pairs);
        listed.map(|entry| (SolidId(entry.solids[0]), SolidId(entry.solids[1]), entry.left()))
    }

    /// What is taken off the gap of two solids (mm).
    fn less(&self, solids: [u32; 2]) -> f64 {
        deduction(&self.pieces, &self.deductions, solids)
    }

    /// A place to make variants, standing at the base.
    pub fn sampler(&self) -> Sampler<'_> {
        Sampler::new(self)
    }

    /// Number of pairs of a channel that are listed.
    pub fn listed(&self, channel: ChannelId) -> usize {
        self.channels.get(channel.0 as usize).map_or(0, |c| c.pairs.len())
    }

    /// Evaluates `count` variants on all processors: `variant` gets its number and a sampler at the base, makes the
    /// changes and asks. The answers come in order and do not depend on the number of processors.
    pub fn samples<T: Send>(
        &self,
        count: usize,
        variant: impl Fn(usize, &mut Sampler<'_>) -> T + Sync,
    ) -> Vec<T> {
        let run = |sampler: &mut Sampler<'_>, k: usize| {
            sampler.reset();
            variant(k, sampler)
        };
        (0..count).into_par_iter().map_init(|| self.sampler(), run).collect()
    }
}

impl Entry {
    /// What is left of the base's gap (mm).
    fn left(&self) -> f64 {
        self.least.value - self.less
    }
}

/// What is taken off the gap of two solids (mm).
fn deduction(pieces: &[Piece], deductions: &Deductions, solids: [u32; 2]) -> f64 {
    if deductions.is_empty() {
        return 0.0;
    }
    let mut bodies = solids.map(|id| pieces.get(id as usize).map_or(u32::MAX, |piece| piece.body));
    bodies.sort_unstable();
    deductions.get(&bodies).copied().unwrap_or(0.0)
}
