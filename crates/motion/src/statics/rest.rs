//! Everything standing still.

use glam::DVec3;

use super::rub::{self, Rub};
use super::{LaidLine, Push, Statics, Stood};
use crate::forces::{dragged, pushed_along};
use crate::loads::{HeldAlong, RiderLoads, Wrench, force_at};
use crate::{Coupling, Drive, LinePulls, PulleyLoss};

/// Everything standing still at one travel.
pub(super) struct Rest {
    /// Forces along the rail on each rider, without line and drag (N), and what drags on it (N).
    pub along: Vec<f64>,
    pub drags: Vec<f64>,
    /// Force that balances everything without friction (N).
    pub imbalance: f64,
    /// Pulls in the line, without friction.
    pub pulls: LinePulls,
    pub loads: Vec<RiderLoads>,
    /// Friction of each rider under these loads, as it moves.
    pub rubs: Vec<Rub>,
}

/// Friction at rest is found to within this share: loads add up to nothing as nearly.
const SAME: f64 = 1e-7;

/// What is missing along the rail counts as nothing below this share of the forces on a rider: rounding.
const ROUNDING: f64 = 1e-12;

/// A rider that stands.
struct Standing {
    loads: RiderLoads,
    rub: Rub,
}

impl Statics<'_> {
    /// Everything standing still at `travel` of the lead (mm).
    pub(super) fn at_rest(&mut self, travel: f64, line: Option<&LaidLine<'_>>) -> Rest {
        let fixture = self.fixture;
        let count = fixture.riders.len();
        let gravity = self.gravity.x;
        let along: Vec<f64> = (0..count)
            .map(|rider| self.mass(rider) * gravity + pushed_along(fixture, rider, travel))
            .collect();
        let drags: Vec<f64> = (0..count).map(|rider| dragged(fixture, rider, travel)).collect();
        let imbalance = along.iter().zip(&self.ratios).map(|(force, ratio)| -force * ratio).sum::<f64>()
            + line.map_or(0.0, |line| line.imbalance);
        let pulls = line.map_or_else(LinePulls::default, |line| line.pulls(0.0, &along));
        let (mut loads, mut rubs) = (Vec::with_capacity(count), Vec::with_capacity(count));
        for (rider, drag) in drags.iter().enumerate() {
            let Standing { loads: stands, rub } =
                self.stand(rider, travel, line.map(|l| (l, &pulls)), *drag, None);
            loads.push(stands);
            rubs.push(rub);
        }
        let mut rest = Rest { along, drags, imbalance, pulls, loads, rubs };
        self.tie(travel, line, &mut rest);
        rest
    }

    /// Where friction of everything the line ties together holds what the lead's own does not, it does so through the
    /// line.
    fn tie(&mut self, travel: f64, line: Option<&LaidLine<'_>>, rest: &mut Rest) {
        let lead = self.fixture.riders.iter().position(|rider| rider.coupling == Coupling::Lead);
        let (Some(lead), Some(line)) = (lead, line) else { return };
        let left = rest.loads.get(lead).map_or(0.0, |loads| loads.held.grip + loads.held.nothing);
        if left == 0.0 {
            return;
        }
        let places: Vec<DVec3> = line.model.on_rider(lead, &rest.pulls).map(|(_, at)| at).collect();
        // Left alone it would drift against the imbalance.
        let sense = if rest.imbalance > 0.0 { -1.0 } else { 1.0 };
        let losses = line.pulls(sense, &rest.along).losses.iter().map(PulleyLoss::total).sum::<f64>();
        if places.is_empty() || !(rest.imbalance.abs() <= self.breakaway(&rest.rubs, losses)) {
            return;
        }
        let middle = places.iter().copied().sum::<DVec3>() / places.len() as f64;
        let drags = rest.drags.get(lead).copied().unwrap_or(0.0);
        let Standing { loads, rub } =
            self.stand(lead, travel, Some((line, &rest.pulls)), drags, Some(middle));
        if let (Some(known), Some(rubs)) = (rest.loads.get_mut(lead), rest.rubs.get_mut(lead)) {
            (*known, *rubs) = (loads, rub);
        }
    }

    /// A rider standing still: friction at its contacts holds it along the rail as far as it can, see [`HeldAlong`].
    /// `tied` is where the line holds the rest, if it does (mm, rider frame).
    ///
    /// At rest friction may be anything up to what it takes to break away. Every wheel and shoe gives the same share of
    /// what it could give, at the place where its normal forces act together, which moves as it takes hold.
    fn stand(
        &mut self,
        rider: usize,
        travel: f64,
        line: Option<(&LaidLine<'_>, &LinePulls)>,
        dragged: f64,
        tied: Option<DVec3>,
    ) -> Standing {
        let (base, size) = self.loaded(rider, travel, Push::REST, line);
        let missing = -base.force.x;
        let need = missing.abs();
        let grip = self.grip(rider);
        let holder = tied.or(grip).unwrap_or_else(|| self.centre(rider));
        let touching = self.touching(rider);
        let reach = self.centre(rider).length() + holder.length() + touching.length();
        let acting = |wrench: Wrench| {
            Wrench { force: wrench.force.with_x(0.0), ..wrench }.without_rounding(size, size * reach)
        };
        if !(need > ROUNDING * size) {
            let loads = self.loads(rider, &acting(base), Push::REST);
            let rub = self.rub_under(rider, &loads, dragged);
            return Standing { loads, rub };
        }
        let sign = missing.signum();
        // What drags holds first: it does so wherever the rider's own friction is.
        let by_drag = need.min(dragged.abs());
        let share = if dragged == 0.0 { 0.0 } else { sign * by_drag / dragged };
        let base = base + self.dragging(rider, travel, share);
        let need = need - by_drag;
        let slot = usize::from(tied.is_some());
        let before = self.riders.get(rider).and_then(|known| *known.stood.get(slot)?);
        let before = before.filter(|before| before.need * sign > 0.0);
        let start = self.fixture.resistance.start_factor.value;
        let begun = rub::numbers(&force_at(DVec3::X * need, touching));
        let mut seek = |x: &mut [f64; rub::NUMBERS]| {
            let mut stood: Option<Standing> = None;
            let mut tips = false;
            let settled = rub::settle(x, need, SAME, |x| {
                let rest = need - x.first().copied().unwrap_or(0.0);
                let along = rub::wrench(x) + force_at(DVec3::X * rest, holder);
                let push = Push { is_tied: tied.is_some(), ..Push::REST };
                let loads = self.loads(rider, &acting(base + along.scaled(sign)), push);
                let rub = self.rub_under(rider, &loads, dragged);
                let most = start * rub.wrench.force.x;
                // Every contact alike, up to what it takes to break away.
                let given = if most > need { need / rub.wrench.force.x } else { start };
                let numbers = rub::numbers(&rub.wrench).map(|number| number * given);
                // What tips even where friction holds it is told as that; no other friction is sought for it.
                tips |= stood.is_none() && !loads.is_held();
                stood = Some(Standing { loads, rub });
                if tips {
                    return x.to_vec();
                }
                numbers.map(|number| if number.is_finite() { number } else { 0.0 }).to_vec()
            });
            (stood, settled.is_ok() && !tips, tips)
        };
        // What held it at the last travel is nearly what holds it here.
        let (mut x, mut stood, mut is_found, mut tips) = (begun, None, false, false);
        if let Some(before) = before {
            x = before.friction.map(|number| number * need / before.need.abs());
            (stood, is_found, tips) = seek(&mut x);
        }
        if !is_found {
            x = begun;
            (stood, is_found, tips) = seek(&mut x);
        }
        // Where friction finds no place the last loads are as good as any: they balance what they were given.
        if let Some(slot) = self.riders.get_mut(rider).and_then(|known| known.stood.get_mut(slot)) {
            *slot = is_found.then_some(Stood { need: sign * need, friction: x });
        }
        let friction = x.first().copied().unwrap_or(0.0).min(need);
        let left = if need - friction > LEFT * need { sign * (need - friction) } else { 0.0 };
        let mut stood = stood.unwrap_or_else(|| {
            let loads = self.loads(rider, &acting(base), Push::REST);
            let rub = self.rub_under(rider, &loads, dragged);
            Standing { loads, rub }
        });
        if tips {
            // It was looked at as if friction held it, which none need do: nothing is said of what does.
            return stood;
        }
        let mut held = HeldAlong { friction: sign * (by_drag + friction), ..HeldAlong::default() };
        match (tied, grip) {
            (Some(_), _) => held.line = left,
            (None, Some(_)) => held.grip = left,
            (None, None) => held.nothing = left,
        }
        stood.loads.held = held;
        stood
    }

    /// What holds everything the lead's travel moves, felt at the lead (N): the friction of all riders and `losses` of
    /// the line's pulleys before they break away.
    pub(super) fn breakaway(&self, rubs: &[Rub], losses: f64) -> f64 {
        let start = self.fixture.resistance.start_factor.value;
        let felt = |of: fn(&crate::RiderResistance) -> f64| {
            rubs.iter().zip(&self.ratios).map(|(rub, ratio)| of(&rub.resistance) * ratio.abs()).sum::<f64>()
        };
        start * (felt(crate::RiderResistance::running_gear) + losses) + felt(|resistance| resistance.dragged)
    }

    /// Where a hand holds a rider, if it has a grip and no motor moves it (mm, rider frame).
    pub(super) fn grip(&self, rider: usize) -> Option<DVec3> {
        let known = self.fixture.riders.get(rider)?;
        let by_hand = match known.coupling {
            Coupling::Lead => self.fixture.drive == Drive::Hand,
            Coupling::Linked { .. } | Coupling::Free { .. } => true,
        };
        known.grip.as_ref().filter(|_| by_hand).map(|grip| grip.at)
    }
}

/// What is left to hold counts as nothing below this share of what was to be held.
const LEFT: f64 = 1e-6;
