//! The sliding scenes and taken-apart outlines kept between analyses, so that a change re-does only what it touches.

use std::sync::Arc;

use glidewright_geometry::{Bounds, Effort, Pose};

use super::band::Band;
use super::pairs::Facings;
use super::scan::{Scan, Structure};
use super::stretches::Stretches;
use super::{Interference, Stance, pairs};
use crate::assembly::ConvexParts;
use crate::loads::Motion;
use crate::{Assembly, Body, Detail, Fixture, RiderResults};

/// Keeps the scenes of the last analysis. Asked the same again it answers at once; after a change of some
/// bodies only their pairs are computed anew; only another structure (more bodies, other relations) starts
/// afresh. Convex pieces of outlines that are still there are kept too. The answer does not depend on what is kept.
#[derive(Clone, Default)]
pub struct InterferenceCache {
    level: Option<Scan>,
    tilted: Option<Scan>,
    stretches: Stretches,
    last: Option<Box<Answer>>,
    effort: Effort,
    parts: ConvexParts,
    /// It is asked once: what answers the next question need not be kept.
    is_for_one: bool,
    /// How far it looked for what comes near, while a hand is followed (mm).
    horizon: Option<f64>,
    /// The last question had more pairs than an answer lists; the next is likely to have them too.
    is_crowd: bool,
}

/// Of how many passing pairs at most the scenes are copied for work beside: a pair takes some 20 kB.
const MOST_COPIED: usize = 3_000;

/// What a hand moves something by at most from one look to the next (mm), as a rule: beyond, it is looked at twice.
const STRIDE: f64 = 2.0;
/// How far is looked while a hand is followed and something is nearer (mm).
const HORIZONS: [f64; 2] = [3.5, 6.0];

/// The gap that is required (mm): what is nearer is to be told.
fn asked(fixture: &Fixture) -> f64 {
    fixture.limits.gap.max(0.0)
}

/// What was asked last, and the answer.
#[derive(Clone)]
struct Answer {
    fixture: Fixture,
    assembly: Assembly,
    stations: Vec<f64>,
    detail: Detail,
    riders: Vec<RiderResults>,
    interference: Interference,
}

impl InterferenceCache {
    /// For one question alone: nothing is kept for another.
    pub(crate) fn for_one() -> Self {
        Self { is_for_one: true, ..Self::default() }
    }

    /// A copy that goes its own way; of a crowd nothing is copied, and nothing kept for another question.
    pub fn apart(&self) -> Self {
        let pairs = self.last.as_ref().map_or(0, |last| last.interference.passing.len());
        if pairs > MOST_COPIED || self.is_crowd { Self::for_one() } else { self.clone() }
    }

    /// The convex pieces of the last assembly's outlines.
    pub(crate) const fn parts(&mut self) -> &mut ConvexParts {
        &mut self.parts
    }

    /// What [`Interference::new`] works out.
    pub fn update(
        &mut self,
        fixture: &Fixture,
        assembly: &Assembly,
        stations: &[f64],
        riders: &[RiderResults],
    ) -> Interference {
        self.update_in(fixture, assembly, stations, riders, Detail::Whole)
    }

    /// The same, as closely as `detail` says.
    pub(crate) fn update_in(
        &mut self,
        fixture: &Fixture,
        assembly: &Assembly,
        stations: &[f64],
        riders: &[RiderResults],
        detail: Detail,
    ) -> Interference {
        self.effort = Effort::default();
        if let Some(last) = &self.last
            && last.detail == detail
            && last.stations == stations
            && last.riders == riders
            && last.fixture == *fixture
            && last.assembly == *assembly
        {
            return last.interference.clone();
        }
        let interference = self.computed(fixture, assembly, (stations, detail), riders).unwrap_or_default();
        // A hand that is followed moves on: it hardly ever asks the same again.
        if self.is_for_one || detail == Detail::Quick {
            self.last = None;
            return interference;
        }
        self.last = Some(Box::new(Answer {
            fixture: fixture.clone(),
            assembly: assembly.clone(),
            stations: stations.to_vec(),
            detail,
            riders: riders.to_vec(),
            interference: interference.clone(),
        }));
        interference
    }

    /// The box around each body of the last assembly, in its owner's frame; `None` for a body without sound solids.
    pub(crate) fn boxes(&self, assembly: &Assembly) -> Vec<Option<Bounds>> {
        match &self.level {
            Some(scan) => scan.boxes(),
            None => {
                let around = |body: &Body| {
                    let sound = body.solids.iter().map(|solid| solid.bounds()).filter(|b| !b.is_empty());
                    sound.reduce(|a, b| a.joined(&b))
                };
                assembly.bodies.iter().map(around).collect()
            }
        }
    }

    /// How many pairs were made ready and how many gaps evaluated by the last update; nothing for an answer
    /// that was known.
    pub const fn effort(&self) -> Effort {
        self.effort
    }

    /// `None` for a stroke that is not finite.
    fn computed(
        &mut self,
        fixture: &Fixture,
        assembly: &Assembly,
        (stations, detail): (&[f64], Detail),
        riders: &[RiderResults],
    ) -> Option<Interference> {
        let count = stations.len();
        let structure = Arc::new(Structure::new(fixture, assembly));
        let keeps_nothing = self.is_for_one || self.is_crowd;
        let horizon = match (detail, self.horizon) {
            (Detail::Quick, Some(known)) if known > asked(fixture) => known,
            _ => Interference::REACH,
        };
        let look = |kept, horizon| {
            let asked = (count, horizon);
            Scan::updated(kept, &structure, (fixture, assembly), asked, &[], keeps_nothing)
        };
        let mut level = look(self.level.take(), horizon)?;
        if horizon < Interference::REACH && level.tightest().is_none() {
            level = look(Some(level), Interference::REACH)?;
        }
        // Far enough for what comes nearest to be seen again at the next step of the hand; in few sizes, as another one is
        // another question.
        let next = level.tightest().map_or(Interference::REACH, |gap| gap.max(asked(fixture)) + STRIDE);
        self.horizon = HORIZONS.into_iter().find(|horizon| next <= *horizon);
        let (mut deep, mut facing) = (Vec::new(), Facings::default());
        let (mut passing, mut steady, left_out) =
            pairs::all(fixture, assembly, (&level, detail), (&mut deep, &mut facing));
        // What a crowd leaves to go on from takes more memory than it is worth.
        self.is_crowd = left_out > 0;
        let keeps_nothing = self.is_for_one || self.is_crowd;
        if keeps_nothing {
            level.let_go();
            self.tilted = None;
        }
        let mut stance = Stance::new(riders);
        let mut band = Band::new(&level, stations, &mut deep);
        self.stretches.update(fixture, assembly, &level);
        self.stretches.tighten(fixture, assembly, &mut band);
        passing.extend(self.stretches.results(fixture, assembly));
        let tilted = match detail {
            Detail::Whole => {
                let poses: Vec<Pose> = stance.references.iter().map(Motion::pose).collect();
                let kept = self.tilted.take().or_else(|| Some(level.afresh()));
                let asked = (count, Interference::REACH);
                Some(Scan::updated(kept, &structure, (fixture, assembly), asked, &poses, keeps_nothing)?)
            }
            Detail::Quick => None,
        };
        let mut met = Vec::new();
        for list in [&mut passing, &mut steady] {
            met.extend(pairs::load(fixture, assembly, tilted.as_ref(), &mut stance, stations, list, &facing));
            self.stretches.load(fixture, assembly, &mut stance, stations, list);
            pairs::sort(list);
        }
        band.load(fixture, assembly, (&level, tilted.as_ref()), (&deep, &met), &mut stance);
        self.stretches.load_band(fixture, assembly, &mut stance, &mut band);
        for scan in std::iter::once(&level).chain(&tilted) {
            self.effort.pairs += scan.effort().pairs;
            self.effort.gaps += scan.effort().gaps;
        }
        if !keeps_nothing {
            (self.level, self.tilted) = (Some(level), tilted);
        }
        Some(Interference { passing, steady, band, left_out })
    }
}
