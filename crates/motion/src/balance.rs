//! Whether the fixture stays where it is left, and by how much.

use crate::phrase::{figure, grams, phrase};
use crate::statics::Statics;
use crate::{Assembly, Fixture, Measure, Phrase, TravelCurves, Way, gravity, rider_ratio};

/// The masses for which a rider stays where it is left at every travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoldBand {
    /// Number of the rider whose mass is varied.
    pub rider: usize,
    /// Its mass as it is (kg).
    pub now: f64,
    /// Mass of its loads as they are (kg): payload and ballast.
    pub loads: f64,
    /// Least mass at which it holds (kg).
    pub least: f64,
    /// Greatest mass at which it holds (kg); less than `least` when none holds at every travel, infinite where
    /// friction grows faster with the mass than what pulls.
    pub greatest: f64,
}

impl HoldBand {
    /// Whether any mass holds at every travel.
    pub fn exists(&self) -> bool {
        self.least <= self.greatest
    }

    /// Mass to add (or to take off, negative) to stand in the middle of the band (kg); `None` for a band without
    /// an upper end.
    pub fn to_centre(&self) -> Option<f64> {
        self.greatest.is_finite().then_some(0.5 * (self.least + self.greatest) - self.now)
    }

    /// Mass to add so that it holds with room to spare (kg): to the middle of the band, or a tenth beyond its lower
    /// end where it has no upper one.
    pub fn advised_change(&self) -> f64 {
        self.to_centre().unwrap_or(1.1 * self.least - self.now)
    }

    /// Least and greatest mass of its loads at which it holds (kg); not below 0.
    pub fn payload(&self) -> (f64, f64) {
        let own = self.now - self.loads;
        ((self.least - own).max(0.0), (self.greatest - own).max(0.0))
    }

    /// The masses for which it holds, for a reader: "930 to 1330 g".
    pub fn masses(&self) -> Phrase {
        range(self.least, self.greatest)
    }

    /// The same of its loads.
    pub fn payloads(&self) -> Phrase {
        let (least, greatest) = self.payload();
        range(least, greatest)
    }

    /// What holds with both: the narrower of two bands of the same rider.
    #[must_use]
    pub fn and(self, other: &Self) -> Self {
        Self { least: self.least.max(other.least), greatest: self.greatest.min(other.greatest), ..self }
    }
}

/// Slopes along the rail below this (m/s²) are no slope: no mass matters on a level rail.
const LEVEL: f64 = 1e-6;

/// Masses (kg) in words.
fn range(least: f64, greatest: f64) -> Phrase {
    if greatest.is_finite() {
        phrase![figure(Measure::Gram, least, 0), " to ", grams(greatest, 0)]
    } else {
        phrase![grams(least, 0), " and more"]
    }
}

/// One end of a band as it stands with the resistance taken as it is now.
#[derive(Clone, Copy)]
struct End {
    /// Mass to add (kg).
    change: f64,
    /// Travel that sets it (mm).
    travel: f64,
    /// Sense of the breaking away that sets it: +1 upwards.
    sense: f64,
}

/// The hold band of each linked rider and of the lead. On a rail that lies level no mass matters.
///
/// Adding Δm to a rider, where its loads are, shifts the imbalance by −ρ·g_x·Δm at every travel. Friction
/// first taken as it is, the travel that sets each end of the band follows; there the balance is solved
/// again with the mass on, wheel loads and all, until imbalance and breakaway resistance meet (secant
/// steps). Where a mass adds more to friction than to what pulls, as on shoes on a slope less steep than their
/// friction holds, that end is none: more mass holds all the better. Static Atwood machine with friction; own
/// method, checked by solving with the masses changed.
pub fn hold_bands(fixture: &Fixture, assembly: &Assembly, curves: &TravelCurves) -> Vec<HoldBand> {
    let mut statics = Statics::new(fixture, assembly);
    bands(fixture, curves)
        .into_iter()
        .map(|(rider, _, ends)| {
            let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
            for end in ends {
                match refined(&mut statics, rider, end) {
                    Some((mass, true)) => low = low.max(mass),
                    Some((mass, false)) => high = high.min(mass),
                    None => {}
                }
            }
            band(fixture, assembly, rider, low, high)
        })
        .collect()
}

/// The hold bands with the resistance taken as it is: quick, and off by what the mass itself adds to
/// friction.
pub(crate) fn rough_hold_bands(
    fixture: &Fixture,
    assembly: &Assembly,
    curves: &TravelCurves,
) -> Vec<HoldBand> {
    bands(fixture, curves)
        .into_iter()
        .map(|(rider, _, [low, high])| band(fixture, assembly, rider, low.change, high.change))
        .collect()
}

fn band(fixture: &Fixture, assembly: &Assembly, rider: usize, low: f64, high: f64) -> HoldBand {
    let mass = assembly.riders.get(rider).map(|placed| &placed.mass);
    let now = mass.map_or(0.0, |mass| mass.total());
    let loads = fixture.riders.get(rider).map_or(0.0, |known| known.loads.iter().map(|l| l.mass).sum());
    HoldBand { rider, now, loads, least: (now + low).max(0.0), greatest: now + high }
}

fn bands(fixture: &Fixture, curves: &TravelCurves) -> Vec<(usize, f64, [End; 2])> {
    let gravity = gravity(fixture).x;
    (0..fixture.riders.len())
        .filter_map(|rider| {
            let per_kilogram = -gravity * rider_ratio(fixture, rider);
            if per_kilogram.abs() < LEVEL {
                return None;
            }
            let none = End { change: f64::NAN, travel: f64::NAN, sense: 0.0 };
            let mut low = End { change: f64::NEG_INFINITY, ..none };
            let mut high = End { change: f64::INFINITY, ..none };
            for (index, travel) in curves.travel.iter().enumerate() {
                let imbalance = curves.imbalance.get(index)?;
                // Up to −breakaway it does not rise, up to +breakaway it does not sink.
                let rising = (-curves.breakaway_up.get(index)? - imbalance) / per_kilogram;
                let sinking = (curves.breakaway_down.get(index)? - imbalance) / per_kilogram;
                let ends = [
                    End { change: rising, travel: *travel, sense: 1.0 },
                    End { change: sinking, travel: *travel, sense: -1.0 },
                ];
                let [a, b] = if rising <= sinking { ends } else { [ends[1], ends[0]] };
                if a.change > low.change {
                    low = a;
                }
                if b.change < high.change {
                    high = b;
                }
            }
            (low.change.is_finite() && high.change.is_finite()).then_some((rider, per_kilogram, [low, high]))
        })
        .collect()
}

/// The mass to add at one end of a band (kg), friction following the mass, and whether it holds with more; `None`
/// where the mass makes no difference. `statics` is left as it was.
fn refined(statics: &mut Statics<'_>, rider: usize, end: End) -> Option<(f64, bool)> {
    const STEPS: usize = 12;
    /// A milligram.
    const SAME: f64 = 1e-6;
    let now = statics.mass(rider);
    let line = statics.line_at(end.travel);
    let way = if end.sense > 0.0 { Way::Growing } else { Way::Falling };
    let mut on = 0.0;
    // What holds less what pulls.
    let mut left = |mass: f64| {
        statics.add_mass(rider, mass - on);
        on = mass;
        let (imbalance, moving) = statics.steady_towards(end.travel, line.as_ref(), way);
        moving.breakaway + way.sign() * imbalance
    };
    // No rider weighs less than nothing.
    let (mut before, mut mass) = (0.0, end.change.max(-0.5 * now));
    if (mass - before).abs() < SAME {
        mass = 1e-3 * now.max(SAME);
    }
    let mut value_before = left(before);
    let mut slope = f64::NAN;
    for _ in 0..STEPS {
        let value = left(mass);
        slope = (value - value_before) / (mass - before);
        let step = -value / slope;
        if !step.is_finite() {
            break;
        }
        (before, value_before) = (mass, value);
        mass += step;
        if step.abs() < SAME || mass < -now {
            break;
        }
    }
    statics.add_mass(rider, -on);
    (mass.is_finite() && slope != 0.0 && slope.is_finite()).then_some((mass, slope > 0.0))
}
