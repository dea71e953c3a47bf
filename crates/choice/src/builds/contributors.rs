//! Whose spread it is: shares of variance, and what halving a spread would do.

use glidewright_motion::touches;
use rayon::prelude::*;

use super::law::Part;
use super::{AT_A_TIME, Builds, HalvedCount, is_split};
use crate::share::Share;

/// What one size has to do with how the gap varies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contributor {
    /// The size, by its number in [`Builds::sizes`].
    pub size: usize,
    /// Its share in the variance of the least gap, first order index (0 to 1): by how much the variance would be less, on
    /// average, if the size were known, all its pieces together. Shares need not add up to 1, as which pair is the least hangs
    /// on sizes together. `None` of too few builds.
    pub share_of_variance: Option<f64>,
    /// The first builds again with its spread halved.
    pub halved: Option<Halved>,
}

/// What comes of builds with the spread of one size halved, everything else as it was drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Halved {
    /// How many of them foul.
    pub fouls: Share,
    /// How many fall short of the required gap.
    pub short: Share,
    /// How many of the same builds fouled before.
    pub fouled: u64,
    /// How many of them fell short before.
    pub fell_short: u64,
}

impl Contributor {
    /// Whether it is worth a line of its own: it has a share that is not to be taken for chance, or half its spread would
    /// change what fouls or falls short.
    pub fn tells(&self) -> bool {
        const LEAST: f64 = 0.005;
        let changes = self.halved.is_some_and(|halved| {
            halved.fouls.count != halved.fouled || halved.short.count != halved.fell_short
        });
        self.share_of_variance.is_none_or(|share| share >= LEAST) || changes
    }
}

/// Fewest builds whose variance is shared out.
const FEWEST: usize = 500;

/// Classes into which the draws of a piece are put, for the mean of the gap in each.
const CLASSES: usize = 20;

impl Builds {
    /// Works out what halving the spread of each size would do, on the builds that have been made and are no more than so
    /// many, unless it is told to stop. It starts over each time.
    pub fn halve(&mut self, most: u64, stop: &(dyn Fn() -> bool + Sync)) -> Option<u64> {
        let end = most.min(self.samples());
        let mut counts = vec![HalvedCount::default(); self.sizes.len()];
        let mut from = 0;
        while from < end {
            if stop() {
                return None;
            }
            let to = (from + AT_A_TIME / 4).min(end);
            let found: Vec<HalvedCount> = (from as usize..to as usize)
                .into_par_iter()
                .with_min_len(16)
                .map_init(|| self.bench(), |bench, number| self.halved_once(number as u64, bench))
                .reduce(Vec::new, |a, b| if a.is_empty() { b } else { added(a, &b) });
            counts = added(counts, &found);
            from = to;
        }
        (self.halved, self.halved_of) = (counts, end);
        Some(end)
    }

    /// What becomes of a build with each size in turn only half as far off.
    fn halved_once(&self, number: u64, bench: &mut super::Bench<'_>) -> Vec<HalvedCount> {
        self.draw(number, bench);
        let gap = self.gaps.get(number as usize).copied().unwrap_or(f64::INFINITY);
        let before = self.counts(gap);
        let mut all = Vec::with_capacity(self.sizes.len());
        for size in &self.sizes {
            // No gap changes by more than both its sides move.
            let draws = || size.draws.clone().filter_map(|draw| Some((draw, *bench.draws.get(draw)?)));
            let most = |draw: usize| self.scene.most_moved.get(draw).copied().unwrap_or(0.0);
            let moved: f64 = draws().map(|(draw, z)| most(draw) * z.abs()).sum();
            let is_near = |limit: f64| (gap - limit).abs() <= moved + super::PROVED;
            let after = if moved > 0.0 && (is_near(0.0) || is_near(self.required)) {
                let kept: Vec<_> = draws().collect();
                scaled(&mut bench.draws, &kept, 0.5);
                let gap = self.scene.least(&bench.draws, &mut bench.sampler).gap;
                scaled(&mut bench.draws, &kept, 1.0);
                self.counts(gap)
            } else {
                before
            };
            all.push(HalvedCount { fouls: u64::from(after.0), short: u64::from(after.1) });
        }
        all
    }

    /// What each size contributes, the greatest first.
    pub(super) fn contributors(&self) -> Vec<Contributor> {
        let shares = self.shares_of_variance();
        let of = self.halved_of;
        let first = self.gaps.get(..of as usize).unwrap_or_default();
        let fouled = first.iter().filter(|gap| touches(**gap)).count() as u64;
        let fell_short = first.iter().filter(|gap| self.counts(**gap).1).count() as u64;
        let halved = |count: &HalvedCount| Halved {
            fouls: Share::of(count.fouls, of),
            short: Share::of(count.short, of),
            fouled,
            fell_short,
        };
        let mut all: Vec<Contributor> = (0..self.sizes.len())
            .map(|size| Contributor {
                size,
                share_of_variance: shares.as_ref().and_then(|shares| shares.get(size).copied()),
                halved: self.halved.get(size).filter(|_| of > 0).map(halved),
            })
            .collect();
        let key = |c: &Contributor| c.share_of_variance.unwrap_or(0.0);
        all.sort_by(|a, b| key(b).total_cmp(&key(a)).then(a.size.cmp(&b.size)));
        all
    }

    /// First order indices (Sobol), size by size: the variance of the mean gap in classes of a draw, for each draw by itself,
    /// as they are uncorrelated; what chance makes of classes is taken off (the ε² of an analysis of variance, Kelley 1935,
    /// from memory). Gaps beyond the 99.7 % interval count at its ends, as few readings leave tails without a variance.
    fn shares_of_variance(&self) -> Option<Vec<f64>> {
        let width = self.factor_count();
        let builds = (self.factors.len() / width.max(1)).min(self.gaps.len());
        if builds < FEWEST {
            return None;
        }
        let mut gaps: Vec<f64> = self.gaps.get(..builds)?.to_vec();
        let mut sorted: Vec<f64> = gaps.iter().copied().filter(|gap| gap.is_finite()).collect();
        sorted.sort_by(f64::total_cmp);
        let (low, high) = super::outcome::interval(&sorted, super::outcome::NEARLY_ALL)?;
        gaps.iter_mut().for_each(|gap| *gap = gap.clamp(low, high));
        let n = builds as f64;
        let mean = gaps.iter().sum::<f64>() / n;
        let total: f64 = gaps.iter().map(|gap| (gap - mean).powi(2)).sum();
        if !(total > 0.0) {
            return None;
        }
        // The size of each factor, and which part of it.
        let mut columns = Vec::with_capacity(width);
        for (number, size) in self.sizes.iter().enumerate() {
            if is_split(size) {
                columns.push((number, Part::Common, true));
            }
            let part = if is_split(size) { Part::Own } else { Part::Whole };
            columns
                .extend(size.draws.clone().map(|draw| (number, part, self.scene.near_draws.contains(&draw))));
        }
        let found: Vec<(usize, f64)> = columns
            .into_par_iter()
            .enumerate()
            .filter(|(_, (.., moves))| *moves)
            .map(|(column, (number, part, _))| {
                let law = self.sizes.get(number).map(|size| size.law);
                let ends: Vec<f64> = (1..CLASSES)
                    .filter_map(|k| Some(law?.quantile(k as f64 / CLASSES as f64, part)))
                    .collect();
                let mut classes = [(0.0_f64, 0.0_f64); CLASSES];
                for (row, gap) in self.factors.chunks_exact(width).zip(&gaps) {
                    let z = row.get(column).copied().map_or(0.0, f64::from);
                    let class = ends.partition_point(|end| *end < z);
                    if let Some((count, sum)) = classes.get_mut(class) {
                        (*count, *sum) = (*count + 1.0, *sum + (gap - mean));
                    }
                }
                let filled = || classes.iter().filter(|(count, _)| *count > 0.0);
                let between: f64 = filled().map(|(count, sum)| sum * sum / count).sum();
                let freedom = filled().count() as f64 - 1.0;
                let within = (total - between) / (n - freedom - 1.0);
                (number, ((between - freedom * within) / total).max(0.0))
            })
            .collect();
        let mut shares = vec![0.0_f64; self.sizes.len()];
        for (number, share) in found {
            if let Some(slot) = shares.get_mut(number) {
                *slot += share;
            }
        }
        Some(shares.into_iter().map(|share| share.min(1.0)).collect())
    }
}

/// Puts draws at so many times what they were.
fn scaled(draws: &mut [f64], kept: &[(usize, f64)], factor: f64) {
    for (draw, z) in kept {
        if let Some(slot) = draws.get_mut(*draw) {
            *slot = factor * z;
        }
    }
}

fn added(mut a: Vec<HalvedCount>, b: &[HalvedCount]) -> Vec<HalvedCount> {
    for (a, b) in a.iter_mut().zip(b) {
        (a.fouls, a.short) = (a.fouls + b.fouls, a.short + b.short);
    }
    a
}
