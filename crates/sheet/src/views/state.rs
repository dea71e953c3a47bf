//! What the reader looks at.

use std::sync::Arc;

use glam::DVec2;
use glidewright_motion::{BodyId, Fixture, Results, gap_against_reach};

use super::Projection;
use crate::look::ReaderUnits;

/// What the reader looks at, and how large.
#[derive(Clone, Debug, PartialEq)]
pub struct ViewState {
    /// Width and height of the drawing (pt).
    pub size_pt: DVec2,
    /// The unit lengths are written in.
    pub unit: ReaderUnits,
    /// Travel of the lead rider (mm).
    pub travel: f64,
    /// From where the rail is seen; `None` chooses what suits the riders.
    pub projection: Option<Projection>,
    /// The selected body.
    pub selected: Option<BodyId>,
    /// The body the pointer is over.
    pub hovered: Option<BodyId>,
    /// The strips beside the rail, in order; what has no room is left out from the end.
    pub strips: Vec<StripKind>,
    /// What the strips are plotted against.
    pub axis: StripAxis,
    /// The tightest gap against reach of the loads that slide, where somebody has worked it out.
    pub reach_gaps: Arc<Vec<ReachGaps>>,
    /// The stretch of travel that rail and strips show, lower end first (mm); `None` shows the whole rail
    /// beside the whole stroke.
    pub window: Option<(f64, f64)>,
    /// A place on the strips' axis at which values are read out besides the cursor (mm): where the pointer is.
    pub probe: Option<f64>,
    /// Other trials, to be compared with and to show faintly behind the curves.
    pub others: Vec<Other>,
    /// What else there is to compare the one shown by.
    pub extras: Arc<Vec<ExtraFigure>>,
    /// What is pictured of each in a comparison.
    pub compared: Compared,
    /// Whether the others' curves show behind the strips' own.
    pub ghosts: bool,
    /// In the picture in space: how far the reader has walked round the rail (rad), growing to the right; at 0
    /// a standing rail is seen square to its front face, a lying one from the side.
    pub turn: f64,
    /// In the picture in space: how far from above the reader looks (rad), −π/2 to π/2.
    pub lift: f64,
    /// Whether the riders are drawn as their load makes them stand, with that exaggerated.
    pub tilted: bool,
    /// Which two bodies the close-up of facing stacks shows.
    pub pair: PairChoice,
    /// At which travel the close-up of facing stacks shows them.
    pub moment: Moment,
    /// The trial in force, for titles.
    pub trial: Option<String>,
    /// A note for a picture.
    pub note: Option<String>,
    /// Whether it is drawn to be sent: in space with its shadow, a lens and names, as large as this turn allows.
    pub is_picture: bool,
}

/// From where a thing in space shows most of itself: a little from the right and from above (rad).
const USUAL_TURN: f64 = 0.61;
const USUAL_LIFT: f64 = 0.38;

/// Another trial of the same fixture.
#[derive(Clone, Debug)]
pub struct Other {
    /// What its maker calls it.
    pub name: String,
    /// The fixture in plain numbers.
    pub fixture: Arc<Fixture>,
    /// What the engine says about it.
    pub results: Arc<Results>,
    /// What else there is to compare it by.
    pub extras: Arc<Vec<ExtraFigure>>,
}

/// A figure that is none of the engine's: what a fixture costs, how it looks, how many builds foul.
#[derive(Clone, Debug, PartialEq)]
pub struct ExtraFigure {
    /// What it is.
    pub name: String,
    /// Its unit; empty for none.
    pub unit: String,
    /// Decimals it is told with.
    pub decimals: usize,
    /// How much.
    pub value: f64,
}

/// What is pictured of each trial in a comparison.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Compared {
    /// The tightest gap under a lens, each at the scale that suits it.
    #[default]
    Gap,
    /// The riders before the rail, all at one scale.
    Bench,
    /// The facing stacks, all at one scale.
    Stacks,
    /// The whole in space, all at one scale and from one side.
    Space,
}

impl Compared {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Gap, Self::Bench, Self::Stacks, Self::Space];

    /// What a reader calls it.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Gap => "lens on the gap",
            Self::Bench => "bench",
            Self::Stacks => "facing stacks",
            Self::Space => "in space",
        }
    }

    /// Stable name, for the command line.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Gap => "gap",
            Self::Bench => "bench",
            Self::Stacks => "stacks",
            Self::Space => "space",
        }
    }

    /// The one of a stable name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|known| known.name() == name)
    }
}

impl PartialEq for Other {
    /// Whether the name is equal and fixture and results are the very same: comparing them number by number
    /// would take longer than drawing them again.
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
            && Arc::ptr_eq(&self.fixture, &other.fixture)
            && Arc::ptr_eq(&self.results, &other.results)
            && self.extras == other.extras
    }
}

impl Default for ViewState {
    fn default() -> Self {
        Self {
            size_pt: DVec2::new(960.0, 640.0),
            unit: ReaderUnits::default(),
            travel: 0.0,
            projection: None,
            selected: None,
            hovered: None,
            strips: StripKind::USUAL.to_vec(),
            axis: StripAxis::Travel,
            reach_gaps: Arc::default(),
            window: None,
            probe: None,
            others: Vec::new(),
            extras: Arc::default(),
            compared: Compared::default(),
            ghosts: false,
            turn: USUAL_TURN,
            lift: USUAL_LIFT,
            tilted: false,
            pair: PairChoice::Tightest,
            moment: Moment::Closest,
            trial: None,
            note: None,
            is_picture: false,
        }
    }
}

impl ViewState {
    /// The size to draw in: what is asked for, within what a drawing can have.
    pub(super) fn size(&self) -> DVec2 {
        let usable = |v: f64, else_: f64| if v.is_finite() { v.clamp(200.0, 10_000.0) } else { else_ };
        DVec2::new(usable(self.size_pt.x, 960.0), usable(self.size_pt.y, 640.0))
    }
}

/// What strips are plotted against.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum StripAxis {
    /// The lead rider's travel, shared with the rail.
    #[default]
    Travel,
    /// The reach of the load that slides on its rider, at the travel shown.
    Reach,
}

/// The tightest gap over the stroke against the reach of a load that slides on its rider.
#[derive(Clone, Debug, PartialEq)]
pub struct ReachGaps {
    /// Numbers of the rider and of the load on it.
    pub of: (usize, usize),
    /// Reach and gap (mm); not finite where nothing passes anything.
    pub points: Vec<DVec2>,
}

impl ReachGaps {
    /// Those of every load that slides, at `count` reaches each: work for beside a window.
    pub fn all(fixture: &Fixture, results: &Results, count: usize) -> Vec<Self> {
        let nominal = (&results.assembly, &results.interference);
        let mut all = Vec::new();
        for (rider, known) in fixture.riders.iter().enumerate() {
            for (load, sliding) in known.loads.iter().enumerate() {
                let Some(reach) = sliding.reach.filter(|reach| reach.to > reach.from) else { continue };
                let last = count.saturating_sub(1).max(1) as f64;
                let reaches: Vec<f64> = (0..count)
                    .map(|number| reach.from + (reach.to - reach.from) * (number as f64 / last))
                    .collect();
                let gaps = gap_against_reach(fixture, nominal, (rider, load), &reaches);
                let points = reaches.iter().zip(gaps);
                let points = points.map(|(reach, gap)| DVec2::new(*reach, gap.unwrap_or(f64::NAN))).collect();
                all.push(Self { of: (rider, load), points });
            }
        }
        all
    }
}

/// A plot over travel or reach.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StripKind {
    /// The tightest gap.
    Clearance,
    /// The push it takes, up and down.
    Effort,
    /// The torque of the drive.
    Torque,
    /// What the wheels of the selected or lead rider carry.
    WheelLoads,
    /// What the running resistance is made of, cause upon cause.
    Resistance,
}

impl StripKind {
    /// All of them, the most important first.
    pub const ALL: [Self; 5] =
        [Self::Clearance, Self::Effort, Self::Torque, Self::WheelLoads, Self::Resistance];

    /// Those shown until somebody chooses.
    pub const USUAL: [Self; 4] = [Self::Clearance, Self::Effort, Self::Torque, Self::WheelLoads];

    /// What a reader calls it; also the name of its panel.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Clearance => "Clearance",
            Self::Effort => "Effort",
            Self::Torque => "Drive torque",
            Self::WheelLoads => "Wheel loads",
            Self::Resistance => "Resistance",
        }
    }

    /// Stable name, for stored preferences and the command line.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Clearance => "clearance",
            Self::Effort => "effort",
            Self::Torque => "torque",
            Self::WheelLoads => "wheel-loads",
            Self::Resistance => "resistance",
        }
    }

    /// The kind of a stable name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.name() == name)
    }

    pub(super) fn number(self) -> u32 {
        Self::ALL.iter().position(|kind| *kind == self).unwrap_or(0) as u32
    }
}

/// Which two bodies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum PairChoice {
    /// The two that come nearest to each other while passing.
    #[default]
    Tightest,
    /// These two.
    Chosen(BodyId, BodyId),
}

/// At which travel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Moment {
    /// Where the two come closest.
    #[default]
    Closest,
    /// Where the riders are.
    Now,
}
