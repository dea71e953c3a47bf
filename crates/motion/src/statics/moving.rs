//! Everything moving one way.

use glam::DVec3;

use super::rest::Rest;
use super::rub::{self, NUMBERS, Rub};
use super::{LaidLine, Push, Statics};
use crate::loads::{RiderLoads, Trail, Wrench, force_at};
use crate::resistance::RiderResistance;
use crate::{LinePulls, PulleyLoss, Way};

/// Everything moving steadily one way.
#[derive(Clone)]
pub(crate) struct Moving {
    /// Resistance of every rider; that of one that jams is infinite.
    pub resistance: Vec<RiderResistance>,
    /// Pulls in the line and loads of every rider as it is driven: at steady speed by hand, with its
    /// acceleration by a motor. No pulls and no figures where a rider jams.
    pub driven: (LinePulls, Vec<RiderLoads>),
    /// What the line's pulleys take, at the lead (N).
    pub line_loss: f64,
    /// Running resistance of everything, at the lead (N).
    pub running: f64,
    /// What must be overcome to start from rest (N).
    pub breakaway: f64,
    /// Push along the motion (N).
    pub effort: f64,
}

/// Resistances this near (relative) count as settled.
const SAME: f64 = 3e-7;

/// Everything at steady speed, friction being given.
#[derive(Default)]
struct Steady {
    /// Forces along the rail on each rider beside the line's (N).
    others: Vec<f64>,
    pulls: LinePulls,
    loads: Vec<RiderLoads>,
    /// The friction these loads make.
    rubs: Vec<Rub>,
}

impl Statics<'_> {
    /// Everything moving one way from where it was at rest, driven with an acceleration (m/s²).
    pub(super) fn moving(
        &mut self,
        (travel, line): (f64, Option<&LaidLine<'_>>),
        rest: &Rest,
        way: Way,
        acceleration: f64,
    ) -> Moving {
        let sense = way.sign();
        let numbers =
            |rubs: &[Rub]| rubs.iter().flat_map(|rub| rub::numbers(&rub.wrench)).collect::<Vec<_>>();
        let acting = rest.along.iter().map(|force| force.abs()).sum::<f64>();
        let slot = usize::from(way == Way::Falling);
        // Friction at the last travel is nearly that here: where all stay held with it, nothing else need be asked.
        if let Some(mut before) = self.rubbed[slot].take() {
            let mut steady = Steady::default();
            let settled = rub::settle(&mut before, acting, SAME, |x| {
                steady = self.steady((travel, line), rest, sense, x);
                numbers(&steady.rubs)
            });
            if settled.is_ok() && steady.loads.iter().all(RiderLoads::is_held) {
                self.rubbed[slot] = Some(before);
                return self.driven((travel, line), rest, sense, acceleration, steady);
            }
        }
        let begun = numbers(&rest.rubs);
        let mut x = begun.clone();
        // What tips off its contacts is told as that, with friction as at rest: none is sought for it.
        let mut steady = self.steady((travel, line), rest, sense, &begun);
        let mut tips: Vec<bool> = steady.loads.iter().map(|loads| !loads.is_held()).collect();
        loop {
            let settled = rub::settle(&mut x, acting, SAME, |x| {
                steady = self.steady((travel, line), rest, sense, x);
                let each = steady.rubs.iter().zip(&tips).zip(x.chunks_exact(NUMBERS));
                each.flat_map(|((rub, tips), known)| {
                    if *tips { [0, 1, 2].map(|place| known[place]) } else { rub::numbers(&rub.wrench) }
                })
                .collect()
            });
            let Err(missed) = settled else { break };
            let mut more = false;
            for (tips, loads) in tips.iter_mut().zip(&steady.loads) {
                more |= !*tips && !loads.is_held();
                *tips |= !loads.is_held();
            }
            if !more {
                let each = missed.chunks_exact(NUMBERS).zip(x.chunks_exact(NUMBERS));
                let jams: Vec<bool> =
                    each.map(|(missed, x)| !(rub::largest(missed) <= SAME * rub::largest(x))).collect();
                return self.jammed(steady, rest, &jams);
            }
            x.copy_from_slice(&begun);
        }
        // What stands with friction as at rest but tips as its friction grows without end jams before it tips.
        let jams: Vec<bool> =
            tips.iter().zip(&steady.loads).map(|(tips, loads)| *tips && loads.is_held()).collect();
        if jams.contains(&true) {
            return self.jammed(steady, rest, &jams);
        }
        self.rubbed[slot] = (!tips.contains(&true)).then_some(x);
        self.driven((travel, line), rest, sense, acceleration, steady)
    }

    /// The motion at steady speed, and what it is driven with at an acceleration (m/s²).
    fn driven(
        &mut self,
        (travel, line): (f64, Option<&LaidLine<'_>>),
        rest: &Rest,
        sense: f64,
        acceleration: f64,
        steady: Steady,
    ) -> Moving {
        let Steady { mut others, pulls, loads, rubs } = steady;
        let line_loss = pulls.losses.iter().map(PulleyLoss::total).sum::<f64>();
        let felt = |of: fn(&RiderResistance) -> f64| {
            rubs.iter().zip(&self.ratios).map(|(rub, ratio)| of(&rub.resistance) * ratio.abs()).sum::<f64>()
        };
        let running = felt(RiderResistance::total) + line_loss;
        let breakaway = self.breakaway(&rubs, line_loss);
        let effort = self
            .at_a_slack_line(&pulls, &others, line)
            .map_or(running + sense * rest.imbalance, |push| sense * push);
        let driven = if acceleration > 0.0 {
            // The inertia of the riders and of their turning wheels is among the forces on them; that of the line and
            // its pulleys, a few hundredths of it, counts in the torque but not here.
            for (rider, other) in others.iter_mut().enumerate() {
                let turning: f64 = self.riders.get(rider).map_or(0.0, |known| known.rolling.iter().sum());
                *other -= (self.mass(rider) + turning) * (sense * self.ratios[rider] * acceleration);
            }
            let pulls = line.map_or_else(LinePulls::default, |line| line.pulls(sense, &others));
            let accelerated = (0..self.ratios.len())
                .map(|rider| {
                    let acceleration = sense * self.ratios[rider] * acceleration;
                    let push = Push { sense, own: self.own(rider, sense), acceleration, is_tied: false };
                    let turning = self.turning(rider, loads.get(rider)).scaled(-acceleration);
                    match (loads.get(rider), rubs.get(rider)) {
                        (Some(steady), _) if push.own == 0.0 => steady.clone(),
                        (_, Some(rub)) => {
                            self.pushed(rider, travel, push, line.map(|l| (l, &pulls)), rub.wrench, turning)
                        }
                        _ => self.absent(rider),
                    }
                })
                .collect();
            (pulls, accelerated)
        } else {
            (pulls, loads)
        };
        let resistance = rubs.into_iter().map(|rub| rub.resistance).collect();
        Moving { resistance, driven, line_loss, running, breakaway, effort }
    }

    /// Everything at steady speed, with friction of so much, [`NUMBERS`] for each rider.
    fn steady(
        &mut self,
        (travel, line): (f64, Option<&LaidLine<'_>>),
        rest: &Rest,
        sense: f64,
        friction: &[f64],
    ) -> Steady {
        let sums = friction.iter().step_by(NUMBERS);
        let others: Vec<f64> = (rest.along.iter().zip(&rest.drags).zip(sums).enumerate())
            .map(|(rider, ((along, drag), sum))| along - self.own(rider, sense) * (sum + drag))
            .collect();
        let pulls = line.map_or_else(LinePulls::default, |line| line.pulls(sense, &others));
        let (mut loads, mut rubs) = (Vec::with_capacity(others.len()), Vec::with_capacity(others.len()));
        for (rider, numbers) in friction.chunks_exact(NUMBERS).enumerate() {
            let push = Push { sense, own: self.own(rider, sense), acceleration: 0.0, is_tied: false };
            if push.own == 0.0 {
                // It does not move with the lead.
                loads.extend(rest.loads.get(rider).cloned());
                rubs.extend(rest.rubs.get(rider).cloned());
                continue;
            }
            let (wrench, none) = (rub::wrench(numbers), Wrench::default());
            let pushed = self.pushed(rider, travel, push, line.map(|l| (l, &pulls)), wrench, none);
            rubs.push(self.rub_under(rider, &pushed, rest.drags.get(rider).copied().unwrap_or(0.0)));
            loads.push(pushed);
        }
        Steady { others, pulls, loads, rubs }
    }

    /// Loads of a rider that is moved: `friction` is that of its wheels and shoes as it would be towards growing x, and
    /// `more` whatever else acts. What is missing along the rail acts at its grip, or where none is given at its
    /// centre of mass.
    fn pushed(
        &mut self,
        rider: usize,
        travel: f64,
        push: Push,
        line: Option<(&LaidLine<'_>, &LinePulls)>,
        friction: Wrench,
        more: Wrench,
    ) -> RiderLoads {
        let (base, size) = self.loaded(rider, travel, push, line);
        let sum = base + self.dragging(rider, travel, -push.own) + friction.scaled(-push.own) + more;
        let centre = self.centre(rider);
        let at = self.grip(rider).unwrap_or(centre);
        let wrench = (sum + force_at(DVec3::X * -sum.force.x, at))
            .without_rounding(size, size * (centre.length() + at.length()));
        self.loads(rider, &wrench, push)
    }

    /// The push along x that moves the lead where the line hangs slack and hands nothing on (N).
    fn at_a_slack_line(&self, pulls: &LinePulls, others: &[f64], line: Option<&LaidLine<'_>>) -> Option<f64> {
        let hand = pulls.hand.filter(|_| pulls.is_slack())?;
        let line = line?;
        // Riders that follow the lead without the line still do.
        let beside = others.iter().zip(&self.ratios).enumerate();
        let beside = beside.filter(|(rider, _)| !line.model.is_on_line(*rider));
        Some(hand - beside.map(|(_, (other, ratio))| other * ratio).sum::<f64>())
    }

    /// What the turning of a rider's wheels takes when it is accelerated by 1 m/s² towards growing x: a force at each
    /// wheel's contact (N).
    fn turning(&self, rider: usize, loads: Option<&RiderLoads>) -> Wrench {
        let (Some(known), Some(loads)) = (self.riders.get(rider), loads) else { return Wrench::default() };
        let each = known.wheels.iter().zip(&known.rolling).zip(&loads.wheels);
        each.filter_map(|((wheel, mass), load)| {
            let (_, _, track) = wheel.as_ref()?;
            Some(force_at(DVec3::X * *mass, if load.is_loaded() { load.at } else { *track }))
        })
        .fold(Wrench::default(), |sum, force| sum + force)
    }

    /// No motion at all: what a rider whose friction outgrows every push leaves of a move.
    fn jammed(&mut self, steady: Steady, rest: &Rest, jams: &[bool]) -> Moving {
        let count = self.ratios.len();
        let mut resistance: Vec<RiderResistance> =
            steady.rubs.into_iter().map(|rub| rub.resistance).collect();
        for (known, _) in resistance.iter_mut().zip(jams).filter(|(_, jams)| **jams) {
            known.jam();
        }
        let driven = (0..count)
            .map(|rider| match rest.loads.get(rider) {
                Some(loads) if self.ratios[rider] == 0.0 => loads.clone(),
                _ => self.absent(rider),
            })
            .collect();
        for rider in &mut self.riders {
            // Nothing of the search is a place to start from.
            rider.trails = std::array::from_fn(|_| Trail::default());
        }
        Moving {
            resistance,
            driven: (LinePulls::default(), driven),
            line_loss: f64::NAN,
            running: f64::INFINITY,
            breakaway: f64::INFINITY,
            effort: f64::INFINITY,
        }
    }
}
