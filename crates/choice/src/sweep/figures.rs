//! What a fixture comes to at one value of a sweep.

use std::collections::BTreeSet;

use glidewright_motion::{Fixture, Owner, PairResult, Phrase, Results, Severity};

/// A figure that can be plotted against a size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Figure {
    /// The least gap as drawn.
    Gap,
    /// The least gap with riders as load and play make them stand.
    LoadedGap,
    /// What of the least gap is left at worst, with every tolerance against it.
    LeftGap,
    /// The greatest effort either way.
    Effort,
    /// By how much what holds exceeds what pulls, where that is least; less than none where it runs off.
    HoldMargin,
    /// The greatest pressure between a wheel and its track.
    Pressure,
    /// The greatest torque of the drive.
    Torque,
    /// What all riders weigh.
    Mass,
    /// The share of builds that foul.
    Share,
}

impl Figure {
    /// All of them, those of most use first.
    pub const ALL: [Self; 9] = [
        Self::Gap,
        Self::LoadedGap,
        Self::LeftGap,
        Self::Share,
        Self::Effort,
        Self::HoldMargin,
        Self::Pressure,
        Self::Torque,
        Self::Mass,
    ];

    /// What a reader calls it.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Gap => "least gap as drawn",
            Self::LoadedGap => "least gap under load",
            Self::LeftGap => "least gap at worst",
            Self::Effort => "greatest effort",
            Self::HoldMargin => "least hold margin",
            Self::Pressure => "greatest pressure",
            Self::Torque => "greatest drive torque",
            Self::Mass => "riders weigh",
            Self::Share => "builds that foul",
        }
    }

    /// Its unit.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Gap | Self::LoadedGap | Self::LeftGap => "mm",
            Self::Effort | Self::HoldMargin => "N",
            Self::Pressure => "MPa",
            Self::Torque => "N·mm",
            Self::Mass => "g",
            Self::Share => "%",
        }
    }

    /// Stable name, with its unit.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Gap => "least_gap_mm",
            Self::LoadedGap => "least_loaded_gap_mm",
            Self::LeftGap => "least_left_mm",
            Self::Effort => "greatest_effort_n",
            Self::HoldMargin => "least_hold_margin_n",
            Self::Pressure => "greatest_pressure_mpa",
            Self::Torque => "greatest_torque_nmm",
            Self::Mass => "riders_mass_g",
            Self::Share => "fouls_percent",
        }
    }

    /// Whether it is a gap: what is less than required falls short, and less than none fouls.
    pub const fn is_gap(self) -> bool {
        matches!(self, Self::Gap | Self::LoadedGap | Self::LeftGap)
    }
}

/// Something that is wrong at a value.
#[derive(Clone, Debug, PartialEq)]
pub struct Trouble {
    /// The finding's code.
    pub code: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// Whom it concerns, in order.
    pub who: BTreeSet<String>,
    /// What the finding says.
    pub title: Phrase,
}

impl Trouble {
    /// Whether it is the same trouble, whatever its numbers.
    pub fn is_same(&self, other: &Self) -> bool {
        (self.code, self.severity, &self.who) == (other.code, other.severity, &other.who)
    }
}

/// What a fixture comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// In the order of [`Figure::ALL`], the share apart.
    values: [Option<f64>; Figure::ALL.len()],
    /// What fails and what is marginal.
    pub troubles: Vec<Trouble>,
    /// The gap that is required (mm).
    pub required: f64,
}

impl Figures {
    /// Of what the engine says about a fixture.
    pub(super) fn of(fixture: &Fixture, results: &Results) -> Self {
        let troubles = results
            .findings
            .iter()
            .filter(|finding| finding.severity > Severity::Note)
            .map(|finding| {
                let bodies = finding.bodies.iter().filter_map(|id| results.assembly.body(*id));
                let who = bodies.map(|body| match body.owner {
                    Owner::Rider(number) => fixture.riders.get(number).map(|rider| rider.name.clone()),
                    Owner::Ground => Some(body.label.clone()),
                });
                Trouble {
                    code: finding.code,
                    severity: finding.severity,
                    who: who.flatten().collect(),
                    title: finding.title.clone(),
                }
            })
            .collect();
        let values = Figure::ALL.map(|figure| value(figure, results).filter(|value| value.is_finite()));
        Self { values, troubles, required: fixture.limits.gap }
    }

    /// One figure; `None` where there is none: nothing passes anything, or it has no bound.
    pub fn of_figure(&self, figure: Figure) -> Option<f64> {
        let at = Figure::ALL.iter().position(|known| *known == figure)?;
        self.values.get(at).copied().flatten()
    }

    /// How many fail and how many are marginal.
    pub fn counts(&self) -> (usize, usize) {
        let count = |severity| self.troubles.iter().filter(|trouble| trouble.severity == severity).count();
        (count(Severity::Fails), count(Severity::Marginal))
    }
}

fn value(figure: Figure, results: &Results) -> Option<f64> {
    let curves = &results.curves;
    let least = |of: fn(&PairResult) -> f64| results.interference.least(of);
    let greatest = |values: [&Vec<f64>; 2]| {
        values.into_iter().flatten().map(|v| v.abs()).filter(|v| !v.is_nan()).reduce(f64::max)
    };
    match figure {
        Figure::Gap => least(|pair| pair.gap),
        Figure::LoadedGap => least(|pair| pair.loaded.gap),
        Figure::LeftGap => least(PairResult::left),
        Figure::Effort => greatest([&curves.effort_up, &curves.effort_down]),
        Figure::HoldMargin => {
            (0..curves.travel.len()).filter_map(|station| curves.hold_margin(station)).reduce(f64::min)
        }
        Figure::Pressure => {
            let wheels = curves.loads.iter().flatten().flat_map(|loads| &loads.wheels);
            wheels.map(|wheel| wheel.pressure).filter(|v| v.is_finite()).reduce(f64::max)
        }
        Figure::Torque => {
            greatest([&curves.torque_up, &curves.torque_down]).filter(|_| results.drive.is_some())
        }
        Figure::Mass => {
            Some(1e3 * results.assembly.riders.iter().map(|rider| rider.mass.total()).sum::<f64>())
        }
        Figure::Share => None,
    }
}
