//! Builds of a fixture: every size with a spread drawn anew, and what comes of its gaps.

mod contributors;
mod effect;
mod finding;
mod form;
mod law;
mod outcome;
mod scene;
mod size;

use std::collections::BTreeMap;

use glidewright_geometry::{Deductions, Sampler};
use glidewright_motion::{
    Assembly, BodyId, Fixture, Interference, Kinship, PairResult, Placer, analyse, touches,
};
use glidewright_project::{Document, Problem, Resolved, resolve, spread_sizes};
use rand::SeedableRng;
use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;

use crate::question::{Likeness, Question, Standing};
use effect::Effect;
use law::Draws;
use scene::BuildScene;
use size::Use;

pub use contributors::{Contributor, Halved};
pub use finding::LEAST_TOLD;
pub use law::{LIMIT_IN_DEVIATIONS, Law, MEASURED_LEVEL};
pub use outcome::{Deducted, Histogram, LeastPair, Outcome};
pub use scene::BuildGap;
pub use size::Varied;

/// Why there are no builds to look at.
#[derive(Clone, Debug, PartialEq)]
pub enum NoBuilds {
    /// The document comes to no fixture, or is asked about what it does not have.
    Problems(Vec<Problem>),
    /// Nothing that is looked at varies: every build is as drawn.
    NothingVaries {
        /// The least gap of every build (mm); infinite where nothing passes within reach.
        gap: f64,
        /// The gap that is required (mm).
        required: f64,
        /// What was not counted, in words.
        not_counted: Vec<String>,
    },
    /// The stroke is none that can be swept.
    NoStroke,
}

/// Builds of a fixture, made more and more of.
///
/// ```
/// use glidewright_choice::{Builds, Question};
/// let document = glidewright_project::demo().map_err(|_| "no demo")?;
/// let mut builds = Builds::begin(&document, None, &Question::default()).map_err(|_| "nothing to build")?;
/// builds.advance(200, &|| false);
/// let outcome = builds.outcome();
/// assert_eq!(outcome.samples, 200);
/// // As drawn the screw ends run into the tie by half a millimetre: so does every build.
/// assert_eq!(outcome.fouls.count, 200);
/// # Ok::<(), &str>(())
/// ```
pub struct Builds {
    question: Question,
    fixture: Fixture,
    assembly: Assembly,
    sizes: Vec<Varied>,
    scene: BuildScene,
    required: f64,
    /// The least gap as drawn, less what is taken off (mm).
    drawn: BuildGap,
    /// Root of the sum of squares of the pair that is nearest as drawn (mm).
    root_of_squares: f64,
    taken: BTreeMap<(BodyId, BodyId), Deducted>,
    not_counted: Vec<String>,
    /// The gap of each build, in order (mm).
    gaps: Vec<f64>,
    /// Builds whose gap may be less than told.
    unproved: u64,
    /// How often each pair is the least.
    pairs: BTreeMap<(BodyId, BodyId), u64>,
    /// What the first builds drew, factor by factor, one after the other.
    factors: Vec<f32>,
    halved: Vec<HalvedCount>,
    /// Of how many builds that is.
    halved_of: u64,
}

/// Of the first builds, how many foul and fall short with the spread of a size halved.
#[derive(Clone, Copy, Default)]
struct HalvedCount {
    fouls: u64,
    short: u64,
}

/// A build.
struct Made {
    gap: BuildGap,
    factors: Vec<f32>,
}

/// What a thread works with.
struct Bench<'a> {
    sampler: Sampler<'a>,
    draws: Vec<f64>,
    factors: Vec<f64>,
}

/// A build, told about.
#[derive(Clone, Debug, PartialEq)]
pub struct Build {
    /// Its least gap.
    pub gap: BuildGap,
    /// What its pieces differ by from what is drawn, size by size in the order of [`Builds::sizes`], in the size's unit: one
    /// for each piece, or one for all.
    pub off: Vec<Vec<f64>>,
}

/// So many builds are made at a time before it is asked whether to stop.
const AT_A_TIME: u64 = 4096;

/// Gaps that differ by less are proved alike (mm).
const PROVED: f64 = 1e-6;

impl Builds {
    /// So many builds at most: their gaps are all kept.
    pub const MOST: u64 = 4_000_000;
    /// So many builds are usual: they tell a share of 1 % to a fifth of it.
    pub const USUAL: u64 = 10_000;
    /// On so many builds it is worked out, as a rule, what halving a spread would do.
    pub const HALVED: u64 = 10_000;

    /// Makes a document, with the changes of the trial named, ready for builds.
    ///
    /// # Errors
    /// Why there are none to look at.
    pub fn begin(document: &Document, trial: Option<&str>, question: &Question) -> Result<Self, NoBuilds> {
        // On a thread of the pool, which stays: what one that goes leaves behind of its memory is long in coming back.
        rayon::scope(|_| Self::of(&resolve(document, trial), question))
    }

    /// Makes a resolved document ready for builds.
    ///
    /// # Errors
    /// Why there are none to look at.
    pub fn of(resolved: &Resolved, question: &Question) -> Result<Self, NoBuilds> {
        let fixture = resolved.fixture.as_ref().filter(|_| !resolved.has_errors());
        let Some(fixture) = fixture else { return Err(NoBuilds::Problems(resolved.problems.clone())) };
        let (spread, left_out) = spread_sizes(resolved);
        let unknown: Vec<_> = question
            .likeness
            .keys()
            .filter(|path| !spread.iter().any(|size| size.path == **path))
            .map(|path| {
                let message = "no size that varies and takes part stands here";
                Problem::error(path, message).remedy("name one of those that `builds` lists")
            })
            .collect();
        if !unknown.is_empty() {
            return Err(NoBuilds::Problems(unknown));
        }
        let results = analyse(fixture);
        let mut not_counted = Vec::new();
        not_counted.extend(
            results.assembly.faults.iter().map(|fault| format!("{}, which has no place", fault.name)),
        );
        not_counted.extend(scene::not_in_scene(&results.assembly));
        if left_out > 0 {
            not_counted.push(format!("{left_out} more sizes with a tolerance than are followed"));
        }
        let fixture = Fixture { variations: Default::default(), ..fixture.clone() };
        let mut placer = Placer::default();
        let assembly = placer.place(&fixture);
        let (mut sizes, mut uses) = (Vec::new(), Vec::<Use>::new());
        for size in &spread {
            let Some(law) = Law::of(&size.size) else { continue };
            if let Some(fault) = size.fault {
                not_counted.push(format!("{}: {fault}", size.label));
            }
            let likeness = question.likeness.get(&size.path).copied();
            let likeness = likeness.unwrap_or_else(|| Likeness::usual(size));
            let own = size::uses(sizes.len(), size, likeness);
            let draws = uses.len()..uses.len() + own.len();
            uses.extend(own);
            sizes.push(Varied {
                path: size.path.clone(),
                label: size.label.clone(),
                unit: size.unit,
                nominal: size.size.nominal,
                half_width: size.size.half_width(),
                law,
                likeness,
                pieces: size.followed.len() + usize::from(size.limits.is_some()),
                bend: size.bend,
                draws,
            });
        }
        let effects: Vec<Effect> = uses
            .par_iter()
            .map_init(|| placer.clone(), |placer, what| Effect::of(&fixture, &assembly, what, placer))
            .collect();
        let mut usual = vec![1.0; uses.len()];
        for ((what, effect), usual) in uses.iter().zip(&effects).zip(&mut usual) {
            let Some(size) = sizes.get_mut(what.size) else { continue };
            *usual = size.law.usual();
            let lost = effect.lost.iter().map(|what| format!("{}: {what}", size.label));
            not_counted.extend(lost);
        }
        let taken = match question.standing {
            Standing::Loaded => taken(&results.interference, &mut not_counted, &assembly),
            Standing::Drawn => BTreeMap::new(),
        };
        let deductions: Deductions = taken
            .iter()
            .map(|((a, b), taken)| ([a.0.min(b.0), a.0.max(b.0)], taken.tilt + taken.play))
            .collect();
        let scene = BuildScene::new(&fixture, &assembly, question.between, (&effects, &usual), deductions)
            .ok_or(NoBuilds::NoStroke)?;
        let required = fixture.limits.gap;
        let mut sampler = scene.sampler();
        let drawn = scene.least(&vec![0.0; uses.len()], &mut sampler);
        drop(sampler);
        // What moves nothing that can have the least gap takes no part.
        if scene.near_draws.is_empty() {
            return Err(NoBuilds::NothingVaries { gap: drawn.gap, required, not_counted });
        }
        not_counted.dedup();
        for size in &mut sizes {
            let of = |draw: usize| scene.bend.get(draw).copied().unwrap_or(0.0);
            let own = size.draws.clone().map(of).fold(0.0, f64::max);
            // A formula that is no straight line counts where what it makes can be the least.
            let moves = size.draws.clone().any(|draw| scene.near_draws.contains(&draw));
            size.bend = if moves { size.bend.max(own) } else { 0.0 };
        }
        let nearest = |pair: &&PairResult| {
            drawn.bodies.is_some_and(|(a, b)| pair.bodies == (a, b) || pair.bodies == (b, a))
        };
        let pairs = || results.interference.pairs();
        let root_of_squares = pairs().find(nearest).map_or(0.0, |pair| pair.tolerance.rss);
        let halved = vec![HalvedCount::default(); sizes.len()];
        Ok(Self {
            question: question.clone(),
            fixture,
            assembly,
            sizes,
            scene,
            required,
            drawn,
            root_of_squares,
            taken,
            not_counted,
            gaps: Vec::new(),
            unproved: 0,
            pairs: BTreeMap::new(),
            factors: Vec::new(),
            halved,
            halved_of: 0,
        })
    }

    /// The sizes that vary.
    pub fn sizes(&self) -> &[Varied] {
        &self.sizes
    }

    /// The fixture as drawn.
    pub const fn fixture(&self) -> &Fixture {
        &self.fixture
    }

    /// How many builds there are.
    pub fn samples(&self) -> u64 {
        self.gaps.len() as u64
    }

    /// Makes so many builds more, on all processors, unless it is told to stop; gives how many there are. A build hangs on
    /// the seed and its number alone.
    pub fn advance(&mut self, samples: u64, stop: &(dyn Fn() -> bool + Sync)) -> u64 {
        let end = self.samples().saturating_add(samples).min(Self::MOST);
        while self.samples() < end && !stop() {
            let from = self.samples();
            let to = (from + AT_A_TIME).min(end);
            let made: Vec<Made> = (from as usize..to as usize)
                .into_par_iter()
                .with_min_len(64)
                .map_init(|| self.bench(), |bench, number| self.make(number as u64, bench))
                .collect();
            for made in made {
                self.gaps.push(made.gap.gap);
                self.unproved += u64::from(made.gap.gap - made.gap.lower > PROVED);
                if let Some(bodies) = made.gap.bodies {
                    *self.pairs.entry(bodies).or_default() += 1;
                }
                self.factors.extend(made.factors);
            }
        }
        self.samples()
    }

    /// A build by its number, whether it has been made or not.
    pub fn build(&self, number: u64) -> Build {
        let mut bench = self.bench();
        self.draw(number, &mut bench);
        let gap = self.scene.least(&bench.draws, &mut bench.sampler);
        let off = |size: &Varied| {
            let draws = bench.draws.get(size.draws.clone()).unwrap_or_default();
            draws.iter().map(|draw| draw * size.half_width).collect()
        };
        Build { gap, off: self.sizes.iter().map(off).collect() }
    }

    /// The least gap of a build whose pieces differ by so much from what is drawn, as [`Build::off`] has it; sizes and
    /// pieces that are missing are as drawn.
    pub fn gap_of(&self, off: &[Vec<f64>]) -> BuildGap {
        let mut bench = self.bench();
        for (size, off) in self.sizes.iter().zip(off) {
            for (draw, off) in size.draws.clone().zip(off) {
                if let Some(slot) = bench.draws.get_mut(draw) {
                    *slot = off / size.half_width;
                }
            }
        }
        self.scene.least(&bench.draws, &mut bench.sampler)
    }

    fn bench(&self) -> Bench<'_> {
        let draws = self.sizes.last().map_or(0, |size| size.draws.end);
        Bench { sampler: self.scene.sampler(), draws: vec![0.0; draws], factors: Vec::new() }
    }

    fn make(&self, number: u64, bench: &mut Bench<'_>) -> Made {
        self.draw(number, bench);
        let gap = self.scene.least(&bench.draws, &mut bench.sampler);
        let is_weighed = number < self.most_weighed();
        let factors = if is_weighed { bench.factors.iter().map(|f| *f as f32).collect() } else { Vec::new() };
        Made { gap, factors }
    }

    /// Draws every piece of a build.
    fn draw(&self, number: u64, bench: &mut Bench<'_>) {
        let mut random = generator(self.question.seed, number);
        bench.factors.clear();
        for size in &self.sizes {
            let drawn = Draws::begin(size.law, &mut random);
            if is_split(size) {
                bench.factors.push(drawn.common);
            }
            for slot in bench.draws.get_mut(size.draws.clone()).into_iter().flatten() {
                *slot = drawn.piece(&mut random);
                bench.factors.push(if is_split(size) { *slot - drawn.common } else { *slot });
            }
        }
    }

    /// Of how many builds what was drawn is kept.
    fn most_weighed(&self) -> u64 {
        /// So many at most, and so many numbers.
        const BUILDS: u64 = 20_000;
        const NUMBERS: u64 = 4_000_000;
        BUILDS.min(NUMBERS / (self.factor_count().max(1) as u64)).max(1000)
    }

    /// How many numbers are kept of each build.
    fn factor_count(&self) -> usize {
        self.sizes.iter().map(|size| size.draws.len() + usize::from(is_split(size))).sum()
    }

    /// Whether a gap counts as none, and as less than required.
    fn counts(&self, gap: f64) -> (bool, bool) {
        (touches(gap), glidewright_motion::falls_short(gap, self.required))
    }
}

/// Whether what the pieces of a size have in common is kept apart from what each has by itself.
fn is_split(size: &Varied) -> bool {
    matches!(size.law, Law::Measured { .. }) && size.likeness == Likeness::Each
}

/// The random numbers of a build: PCG of 128 bits (O'Neill, PCG, HMC-CS-2014-0905), begun by the seed and the build's
/// number, each stirred as SplitMix64 does (Steele, Lea & Flood, OOPSLA 2014), so that neighbours have nothing in common.
fn generator(seed: u64, number: u64) -> Pcg64Mcg {
    let stir = |mut z: u64| {
        z = z.wrapping_add(0x9e37_79b9_7f4a_7c15);
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    };
    let [a, b] = [stir(stir(seed) ^ number), stir(stir(number).wrapping_add(seed))];
    let mut bytes = [0; 16];
    let (low, high) = bytes.split_at_mut(8);
    low.copy_from_slice(&a.to_le_bytes());
    high.copy_from_slice(&b.to_le_bytes());
    Pcg64Mcg::from_seed(bytes)
}

/// What load and play take of the gap of each pair as drawn.
fn taken(
    interference: &Interference,
    not_counted: &mut Vec<String>,
    assembly: &Assembly,
) -> BTreeMap<(BodyId, BodyId), Deducted> {
    let near_rail = |pair: &&PairResult| pair.kinship == Kinship::RiderAndRail && pair.allowed.is_none();
    let passing = interference.passing.iter().filter(|pair| !pair.meets_stop);
    let mut taken = BTreeMap::new();
    for pair in passing.chain(interference.steady.iter().filter(near_rail)) {
        let deducted = Deducted { tilt: pair.tilt(), play: pair.play };
        if (deducted.tilt + deducted.play).is_finite() {
            taken.insert(pair.bodies, deducted);
        } else {
            let label = |id: BodyId| assembly.body(id).map_or("", |body| &body.label);
            let words = format!(
                "what load and play take between {} and {}",
                label(pair.bodies.0),
                label(pair.bodies.1)
            );
            if !not_counted.contains(&words) {
                not_counted.push(words);
            }
        }
    }
    taken
}
