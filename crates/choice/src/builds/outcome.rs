//! What comes of builds.

use glidewright_motion::BodyId;

use super::contributors::Contributor;
use super::{Builds, Likeness};
use crate::question::Standing;
use crate::share::Share;

/// Share of the builds in the interval that is likely.
pub(super) const LIKELY: f64 = 0.95;
/// Share of the builds in the interval of nearly all: ±3 standard deviations of a normal spread.
pub(super) const NEARLY_ALL: f64 = 0.997;

/// What comes of builds.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// How many builds.
    pub samples: u64,
    /// Where their random numbers began.
    pub seed: u64,
    /// How their riders stand.
    pub standing: Standing,
    /// The gap that is required (mm).
    pub required: f64,
    /// The least gap with all sizes as drawn, less what is taken off (mm); infinite where nothing passes within reach.
    pub drawn: f64,
    /// How many foul: their least gap is zero or less.
    pub fouls: Share,
    /// How many fall short of the required gap, those that foul among them.
    pub short: Share,
    /// Mean of the least gap (mm); `None` without builds within reach.
    pub mean: Option<f64>,
    /// The interval that holds 95 % of the builds, as many beyond either end (mm).
    pub likely: Option<(f64, f64)>,
    /// The interval that holds 99.7 % of them (mm).
    pub nearly_all: Option<(f64, f64)>,
    /// Half-width that the root of the sum of squares gives the pair that is nearest as drawn (mm), every piece by itself.
    pub root_of_squares: f64,
    /// How many builds lie farther from the gap as drawn than that.
    pub beyond_root_of_squares: Share,
    /// How often the least gap is how large.
    pub histogram: Histogram,
    /// Whose gap is the least, the most frequent first.
    pub pairs: Vec<LeastPair>,
    /// What contributes, the greatest share first.
    pub contributors: Vec<Contributor>,
    /// Of how many builds something may come nearer than is told, for a size farther off than was reckoned with.
    pub unproved: u64,
    /// What was not counted, in words.
    pub not_counted: Vec<String>,
}

/// Two bodies whose gap is the least of some builds.
#[derive(Clone, Debug, PartialEq)]
pub struct LeastPair {
    /// The bodies, by their numbers in the assembly.
    pub bodies: (BodyId, BodyId),
    /// What a reader calls them.
    pub labels: [String; 2],
    /// Where the document defines them, as paths.
    pub paths: [String; 2],
    /// Of how many builds.
    pub least_of: Share,
    /// What was taken off its gap in every build alike.
    pub deducted: Deducted,
}

/// What load takes of a gap as drawn, in every build alike.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Deducted {
    /// By tilt and give under load (mm); negative where they widen it.
    pub tilt: f64,
    /// By play (mm).
    pub play: f64,
}

/// Counts of gaps in classes of one width.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Histogram {
    /// Where the first class begins (mm).
    pub from: f64,
    /// Width of a class (mm).
    pub width: f64,
    /// How many builds are in each.
    pub counts: Vec<u64>,
    /// How many lie below the first.
    pub below: u64,
    /// How many lie above the last; those with nothing within reach among them.
    pub above: u64,
}

impl Histogram {
    /// Classes of a round width over all but the farthest gaps; of sorted gaps (mm) and how many are infinite.
    fn of(sorted: &[f64], infinite: u64) -> Self {
        /// About so many classes.
        const CLASSES: f64 = 40.0;
        let Some((low, high)) = interval(sorted, NEARLY_ALL) else {
            return Self { above: infinite, ..Self::default() };
        };
        let Some(width) = round_width((high - low) / CLASSES) else {
            // All alike.
            return Self {
                from: low,
                width: 0.0,
                counts: vec![sorted.len() as u64],
                below: 0,
                above: infinite,
            };
        };
        let from = (low / width).floor() * width;
        let classes = (((high - from) / width).floor() as usize).saturating_add(1).min(1000);
        let mut histogram = Self { from, width, counts: vec![0; classes], below: 0, above: infinite };
        for gap in sorted {
            let place = (gap - from) / width;
            if place < 0.0 {
                histogram.below += 1;
            } else {
                match histogram.counts.get_mut(place as usize) {
                    Some(count) => *count += 1,
                    None => histogram.above += 1,
                }
            }
        }
        histogram
    }
}

/// The next width of 1, 2 or 5 times a power of ten; `None` of nothing.
fn round_width(width: f64) -> Option<f64> {
    if !(width > 1e-9 && width.is_finite()) {
        return None;
    }
    let power = 10f64.powf(width.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|step| step * power).find(|step| *step >= width * (1.0 - 1e-9))
}

/// The interval that holds a share of sorted values, as many beyond either end; `None` of no values.
pub(super) fn interval(sorted: &[f64], share: f64) -> Option<(f64, f64)> {
    let beyond = 0.5 * (1.0 - share);
    Some((quantile(sorted, beyond)?, quantile(sorted, 1.0 - beyond)?))
}

/// The value below which a share of sorted values lies, by straight lines between them (Hyndman & Fan, Am. Stat. 50 (1996)
/// 361, definition 7).
fn quantile(sorted: &[f64], share: f64) -> Option<f64> {
    let place = share * (sorted.len().checked_sub(1)?) as f64;
    let (below, part) = (place.floor(), place.fract());
    let low = *sorted.get(below as usize)?;
    let high = sorted.get(below as usize + 1).copied().unwrap_or(low);
    Some(low + part * (high - low))
}

impl Builds {
    /// What comes of the builds that have been made.
    pub fn outcome(&self) -> Outcome {
        let samples = self.samples();
        let mut sorted: Vec<f64> = self.gaps.iter().copied().filter(|gap| gap.is_finite()).collect();
        sorted.sort_by(f64::total_cmp);
        let count = |of: &dyn Fn(f64) -> bool| self.gaps.iter().filter(|gap| of(**gap)).count() as u64;
        let share = |of: &dyn Fn(f64) -> bool| Share::of(count(of), samples);
        let (drawn, squares) = (self.drawn.gap, self.root_of_squares);
        let mean = (!sorted.is_empty()).then(|| sorted.iter().sum::<f64>() / sorted.len() as f64);
        let mut pairs: Vec<LeastPair> = self
            .pairs
            .iter()
            .map(|(&bodies, &count)| {
                let body = |id: BodyId| self.assembly.body(id);
                let of = |id: BodyId| {
                    body(id).map_or_else(Default::default, |b| (b.label.clone(), b.path.clone()))
                };
                let [(label_a, path_a), (label_b, path_b)] = [of(bodies.0), of(bodies.1)];
                let deducted = self.taken.get(&bodies).or_else(|| self.taken.get(&(bodies.1, bodies.0)));
                LeastPair {
                    bodies,
                    labels: [label_a, label_b],
                    paths: [path_a, path_b],
                    least_of: Share::of(count, samples),
                    deducted: deducted.copied().unwrap_or_default(),
                }
            })
            .collect();
        pairs.sort_by(|a, b| b.least_of.count.cmp(&a.least_of.count).then(a.bodies.cmp(&b.bodies)));
        Outcome {
            samples,
            seed: self.question.seed,
            standing: self.question.standing,
            required: self.required,
            drawn,
            fouls: share(&|gap| self.counts(gap).0),
            short: share(&|gap| self.counts(gap).1),
            mean,
            likely: interval(&sorted, LIKELY),
            nearly_all: interval(&sorted, NEARLY_ALL),
            root_of_squares: squares,
            beyond_root_of_squares: share(&|gap| (gap - drawn).abs() > squares),
            histogram: Histogram::of(&sorted, samples - sorted.len() as u64),
            pairs,
            contributors: self.contributors(),
            unproved: self.unproved,
            not_counted: self.notes(),
        }
    }

    /// What was not counted, in words.
    fn notes(&self) -> Vec<String> {
        let mut notes = self.not_counted.clone();
        let bent = self.sizes.iter().filter(|size| size.bend > BENT);
        notes.extend(bent.map(|size| {
            format!("{}: counted to first order, off by up to {:.3} mm at its limits", size.label, size.bend)
        }));
        if self.sizes.iter().any(|size| size.likeness == Likeness::Each && size.pieces > 1) {
            notes.push(
                "how far a plate leans whose stacks come out of different heights: it stands at their mean"
                    .to_owned(),
            );
        }
        notes.push("a rider's own pieces among each other".to_owned());
        notes
    }
}

/// Sizes whose effect lies off a straight line by more are told (mm).
const BENT: f64 = 1e-6;

#[cfg(test)]
mod tests {
    use super::*;

    /// Quantiles of 1 to 5 by definition 7: the median 3, the quarter 2.
    #[test]
    fn quantiles() {
        let values = [1.0, 2.0, 3.0, 4.0, 5.0];
        assert_eq!(quantile(&values, 0.5), Some(3.0));
        assert_eq!(quantile(&values, 0.25), Some(2.0));
        assert_eq!(quantile(&values, 0.3), Some(2.2));
        assert_eq!((quantile(&[], 0.5), quantile(&[7.0], 0.9)), (None, Some(7.0)));
    }

    #[test]
    fn a_histogram_holds_all() {
        let sorted: Vec<f64> = (0..1000).map(|k| 1e-3 * f64::from(k)).collect();
        let histogram = Histogram::of(&sorted, 3);
        let counted: u64 = histogram.counts.iter().sum();
        assert_eq!(counted + histogram.below + histogram.above, 1003);
        assert!(histogram.width == 0.05 || histogram.width == 0.02 || histogram.width == 0.025);
        let alike = Histogram::of(&[0.5; 20], 0);
        assert_eq!((alike.counts, alike.width), (vec![20], 0.0));
        assert_eq!(Histogram::of(&[], 5).above, 5);
    }
}
