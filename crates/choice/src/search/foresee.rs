//! What can be said of a combination before it is analysed: which findings stay.

use std::collections::{HashMap, HashSet};

use glidewright_motion::{Role, Severity};

use super::foreseen::Foreseen;
use super::found::{Found, GapFigure, Side};
use super::place::PlaceKind;
use super::rules::{Alone, Cause, GapRule, Lever, MatterRule, Standing};
use super::space::{Reach, Space, StackState, at, offer};

/// Gaps as sums are as sure as this and a share of what is added up (mm; own choice, held by tests against analysis).
const SURE: f64 = 0.03;
const SURE_SHARE: f64 = 0.15;
/// A figure that is foreseen nearer to its limit than this share of how far it lies beyond now is left open (own choice).
const OPEN_SHARE: f64 = 0.3;

/// Gaps with more to spare than this are left open (mm; own choice): few changes use it up.
const NEAR: f64 = 5.0;

/// What is known of which changes do what.
#[derive(Clone, Debug)]
pub(super) struct Foresight {
    codes: Vec<&'static str>,
    gaps: Vec<GapRule>,
    matters: Vec<MatterRule>,
    causes: Vec<Cause>,
    /// Reach of each stack with one wheel changed, by offer.
    with_wheel: Vec<Vec<Option<Reach>>>,
    states: Vec<StackState>,
    shape: Vec<usize>,
}

impl Foresight {
    /// From what there is now.
    pub fn of(space: &Space, now: &Found, states: Vec<StackState>) -> Self {
        let shape: Vec<usize> = space.places.iter().map(|place| place.offers.len()).collect();
        let mut foresight = Self {
            codes: Vec::new(),
            gaps: Vec::new(),
            matters: Vec::new(),
            causes: Vec::new(),
            with_wheel: wheels_alone(space),
            states,
            shape,
        };
        let (fouls, marginal) = (foresight.code("gap.fouls"), foresight.code("gap.marginal"));
        for figure in now.gaps.values().filter(|figure| is_near(figure)) {
            let levers = figure.sides.map(|side| lever(space, side));
            // Of a rider with several kinds of stacks it is not known which of them comes near.
            let open = figure.sides.iter().zip(&levers).filter_map(|(side, lever)| {
                (is_on_screw(side.role) && (lever.is_none() || !figure.is_along)).then_some(side.rider?)
            });
            foresight.gaps.push(GapRule {
                now: *figure,
                levers,
                open: open.collect(),
                alone: foresight.blank(),
                fouls,
                marginal,
                is_off: false,
                touching: Vec::new(),
            });
        }
        for (key, severity, over) in keys(now) {
            if key.0.starts_with("gap.") {
                continue;
            }
            let code = foresight.code(key.0);
            let (alone, screws, seen) = (foresight.blank(), HashMap::new(), Vec::new());
            let touching = Vec::new();
            foresight.matters.push(MatterRule {
                code,
                key,
                severity,
                over,
                alone,
                screws,
                seen,
                is_off: false,
                touching,
            });
        }
        foresight
    }

    fn blank<T: Clone>(&self) -> Alone<T> {
        self.shape.iter().map(|offers| vec![None; *offers]).collect()
    }

    fn code(&mut self, code: &'static str) -> usize {
        match self.codes.iter().position(|known| *known == code) {
            Some(known) => known,
            None => {
                self.codes.push(code);
                self.codes.len() - 1
            }
        }
    }

    /// Learns from a combination that has been analysed.
    pub fn learn(
        &mut self,
        space: &Space,
        now: &Found,
        (pick, states): (&[u8], &[StackState]),
        found: &Found,
    ) {
        let chosen: Vec<(usize, u8)> =
            pick.iter().copied().enumerate().filter(|(_, offer)| *offer > 0).collect();
        let keys_found = keys(found);
        if let [(place, offer)] = chosen.as_slice() {
            let slot = (*place, usize::from(*offer));
            for (rule, name) in
                self.gaps.iter_mut().zip(now.gaps.iter().filter(|(_, figure)| is_near(figure)))
            {
                let figure = found.gaps.get(name.0).map_or((f64::INFINITY, f64::INFINITY), |f| {
                    let is_sum = f.is_along || !rule.now.is_along;
                    if is_sum { (f.gap, f.spare) } else { (f64::INFINITY, f64::INFINITY) }
                });
                put(&mut rule.alone, slot, figure);
            }
            for rule in &mut self.matters {
                let known = keys_found.iter().find(|(key, ..)| *key == rule.key);
                put(&mut rule.alone, slot, (known.is_some(), known.and_then(|(_, _, over)| *over)));
            }
            for (key, severity, over) in &keys_found {
                let is_new = !keys(now).iter().any(|(known, ..)| known == key);
                // Gaps add up: what alone does not widen one enough may do so with others.
                if is_new && !key.0.starts_with("gap.") {
                    let code = self.code(key.0);
                    let (stays, over) = (self.blank(), *over);
                    let (key, severity, place, offer) = (*key, *severity, *place, *offer);
                    self.causes.push(Cause {
                        key,
                        severity,
                        code,
                        place,
                        offer,
                        over,
                        screws: HashSet::new(),
                        stays,
                        is_off: false,
                    });
                }
            }
        }
        for rule in &mut self.matters {
            if let Some((_, _, over)) = keys_found.iter().find(|(key, ..)| *key == rule.key) {
                rule.seen.push((pick.into(), *over));
            }
        }
        // Screws in a length.
        for (number, (stack, state)) in space.stacks.iter().zip(states).enumerate() {
            if !state.is_other_screw {
                continue;
            }
            let key = (number, stack.screw.map_or(0, |place| at(pick, place)), microns(state.length));
            for rule in &mut self.matters {
                let is_there = keys_found.iter().any(|(key, ..)| *key == rule.key);
                if is_there {
                    rule.screws.insert(key, true);
                } else if chosen.len() == 1 {
                    rule.screws.insert(key, false);
                }
            }
        }
        for cause in &mut self.causes {
            let has = at(pick, cause.place) == cause.offer;
            let there = keys_found.iter().find(|(key, ..)| *key == cause.key);
            if let (true, Some((_, _, over))) = (has, there) {
                cause.learn(&chosen, *over);
                cause.screws.extend(screws(space, pick, states.iter().copied().map(Some)));
            }
        }
    }

    /// Takes stock of what has been learnt, before a walk.
    pub fn settle(&mut self, space: &Space) {
        let screws: Vec<bool> = (0..self.shape.len()).map(|place| is_screw(space, place)).collect();
        let is_screw = |place: usize| screws.get(place) == Some(&true);
        for rule in &mut self.gaps {
            let by_reach: Vec<usize> = rule
                .levers
                .iter()
                .flatten()
                .filter_map(|(number, _)| space.stacks.get(*number))
                .flat_map(|stack| stack.places().chain(stack.hangs_on.iter().copied()))
                .collect();
            let now = (rule.now.gap, rule.now.spare);
            let others = (0..self.shape.len()).filter(|place| !by_reach.contains(place));
            let touching = others.filter(|place| {
                let offers = rule.alone.get(*place).map(Vec::as_slice).unwrap_or_default();
                offers.iter().skip(1).any(|alone| match alone {
                    Some(alone) => *alone != now,
                    // A screw that is the same alone moves nothing but what is on it.
                    None => !is_screw(*place),
                })
            });
            let touching: Vec<usize> = touching.collect();
            rule.touching = touching
                .into_iter()
                .map(|place| {
                    let most = if is_screw(place) { Some(now) } else { best(&rule.alone, place, &rule.now) };
                    (place, most)
                })
                .collect();
        }
        let stay: Vec<Vec<bool>> = self
            .matters
            .iter()
            .map(|rule| {
                let places = 0..self.shape.len();
                places.map(|place| !is_screw(place) || self.screws_stay(space, rule, place)).collect()
            })
            .collect();
        for (rule, stay) in self.matters.iter_mut().zip(stay) {
            rule.touching.clear();
            for (place, offers) in rule.alone.iter().enumerate() {
                let others = offers.iter().skip(1).filter(|alone| alone.is_some() || !is_screw(place));
                let stays = stay.get(place) == Some(&true)
                    && others.clone().all(|alone| matches!(alone, Some((true, _))));
                let overs = || others.clone().copied().flatten().filter_map(|alone| alone.1);
                let is_idle = stays && !is_screw(place) && overs().all(|over| Some(over) == rule.over);
                if !is_idle {
                    let nearest = overs().chain(rule.over).min_by(|a, b| a.abs().total_cmp(&b.abs()));
                    rule.touching.push((place, stays.then_some(nearest)));
                }
            }
        }
    }

    /// Findings that are sure to be there, of a combination of which `known` places and stacks are decided; the others could
    /// be whatever cures most.
    pub fn foresee(
        &self,
        space: &Space,
        pick: &[u8],
        states: &[Option<StackState>],
        known: &[bool],
    ) -> Foreseen {
        let mut foreseen = Foreseen::default();
        for rule in self.gaps.iter().filter(|rule| !rule.is_off) {
            if foreseen.has(rule.fouls) {
                continue;
            }
            let Some((gap, spare, added)) = self.gap(space, rule, pick, states, known) else { continue };
            let doubt = SURE + SURE_SHARE * added;
            if gap < -doubt {
                foreseen.add(Severity::Fails, rule.fouls);
            } else if spare < -doubt {
                // Near to nothing it may be more than that: what is less is sure.
                foreseen.add(Severity::Marginal, rule.marginal);
            }
        }
        for rule in self.matters.iter().filter(|rule| !rule.is_off) {
            let is_decided = known.iter().all(|known| *known);
            if foreseen.has(rule.code) {
                continue;
            }
            if self.stays(space, rule, pick, states, known)
                || (is_decided && self.stays_beside(space, rule, pick, states))
            {
                foreseen.add(rule.severity, rule.code);
            }
        }
        for cause in self.causes.iter().filter(|cause| !cause.is_off) {
            if known.get(cause.place) != Some(&true) || at(pick, cause.place) != cause.offer {
                continue;
            }
            let mut screws = screws(space, pick, states.iter().copied());
            let is_decided = states.iter().all(Option::is_some);
            if is_decided
                && screws.all(|screw| cause.screws.contains(&screw))
                && cause.is_there(pick, known, OPEN_SHARE)
            {
                foreseen.add(cause.severity, cause.code);
            }
        }
        foreseen
    }

    /// Gap and spare as sums, and how much was added up; nothing where that is left open.
    fn gap(
        &self,
        space: &Space,
        rule: &GapRule,
        pick: &[u8],
        states: &[Option<StackState>],
        known: &[bool],
    ) -> Option<(f64, f64, f64)> {
        let (mut gap, mut spare, mut added) = (rule.now.gap, rule.now.spare, 0.0);
        for (number, lever) in rule.levers.iter().flatten() {
            let stack = space.stacks.get(*number)?;
            let state = states.get(*number).copied().flatten()?;
            let now = self.states.get(*number)?;
            if state.turned {
                return None;
            }
            let wheel = stack.wheel.and_then(|wheel| stack.pieces.get(wheel)?.place);
            let mut reach = lever.of(&now.reach);
            if let Some(wheel) = wheel.filter(|wheel| at(pick, *wheel) > 0) {
                let (g, s) = entry(&rule.alone, wheel, at(pick, wheel))?;
                if !(g.is_finite() && s.is_finite()) {
                    return None;
                }
                gap += g - rule.now.gap;
                spare += s - rule.now.spare;
                added += (g - rule.now.gap).abs();
                reach = lever.of(&(*self.with_wheel.get(*number)?.get(usize::from(at(pick, wheel)))?)?);
            }
            let less = reach - lever.of(&state.reach);
            gap += less;
            spare += less;
        }
        for rider in &rule.open {
            let here = |stack: &&super::space::StackPlaces| stack.rider == *rider;
            for (stack, state) in space.stacks.iter().zip(states).filter(|(stack, _)| here(stack)) {
                let state = (*state)?;
                let any = stack.places().any(|place| at(pick, place) > 0 || known.get(place) != Some(&true));
                if any || state.is_other_screw {
                    return None;
                }
            }
        }
        for (place, most) in &rule.touching {
            let (g, s) = match (known.get(*place), at(pick, *place)) {
                (Some(true), 0) => continue,
                (Some(true), offer) => match entry(&rule.alone, *place, offer) {
                    Some(alone) => alone,
                    None if is_screw(space, *place) => continue,
                    None => return None,
                },
                _ => (*most)?,
            };
            if !(g.is_finite() && s.is_finite()) {
                return None;
            }
            gap += g - rule.now.gap;
            spare += s - rule.now.spare;
            added += (g - rule.now.gap).abs();
        }
        Some((gap, spare, added))
    }

    fn stays(
        &self,
        space: &Space,
        rule: &MatterRule,
        pick: &[u8],
        states: &[Option<StackState>],
        known: &[bool],
    ) -> bool {
        let mut over = rule.over;
        let mut beyond = |there: Option<f64>| {
            over = match (over, rule.over, there) {
                (Some(sum), Some(now), Some(there)) => Some(sum + (there - now)),
                _ => None,
            };
        };
        for (place, best) in &rule.touching {
            match (known.get(*place), at(pick, *place)) {
                (Some(true), 0) => {}
                (Some(true), offer) => match entry(&rule.alone, *place, offer) {
                    Some((true, there)) => beyond(there),
                    // A screw that is the same alone has not been looked at alone.
                    None if is_screw(space, *place) => {}
                    _ => return false,
                },
                _ => match best {
                    Some(nearest) => beyond(*nearest),
                    None => return false,
                },
            }
        }
        for (number, (stack, state)) in space.stacks.iter().zip(states).enumerate() {
            if let Some(state) = state.filter(|state| state.is_other_screw) {
                let key = (number, offer(stack.screw, pick) as u8, microns(state.length));
                if rule.screws.get(&key) != Some(&true) {
                    return false;
                }
            }
        }
        match (rule.over, over) {
            (Some(now), Some(then)) if now != 0.0 => then / now > OPEN_SHARE,
            _ => true,
        }
    }

    /// Whether a finding is there in a combination that differs little: in no more than two places, by what does not cure it
    /// alone and would have to do five times as much to bring its figure to its limit.
    fn stays_beside(
        &self,
        space: &Space,
        rule: &MatterRule,
        pick: &[u8],
        states: &[Option<StackState>],
    ) -> bool {
        const PLACES: usize = 2;
        const TIMES: f64 = 5.0;
        let alone = |place: usize, offer: u8| match offer {
            0 => Some((true, rule.over)),
            _ => entry(&rule.alone, place, offer),
        };
        rule.seen.iter().any(|(seen, over)| {
            let differ = seen.iter().zip(pick).enumerate().filter(|(_, (seen, own))| seen != own);
            if differ.clone().nth(PLACES).is_some() {
                return false;
            }
            let mut by = Some(0.0);
            for (place, (seen, own)) in differ {
                // What is left away may be what brought it.
                let is_size = space.places.get(place).is_some_and(|place| place.kind == PlaceKind::Size);
                if *own == 0 || (*seen > 0 && !is_size) {
                    return false;
                }
                let screw = space.stacks.iter().position(|stack| stack.screw == Some(place));
                if let Some(number) = screw {
                    let state = states.get(number).copied().flatten();
                    let stays = state.is_some_and(|state| {
                        !state.is_other_screw
                            || rule.screws.get(&(number, *own, microns(state.length))) == Some(&true)
                    });
                    if !stays {
                        return false;
                    }
                }
                let (Some((_, before)), Some((true, after))) = (alone(place, *seen), alone(place, *own))
                else {
                    return false;
                };
                by = match (by, before, after) {
                    (Some(by), Some(before), Some(after)) => Some(by + (after - before).abs()),
                    _ => None,
                };
            }
            match (*over, by) {
                (Some(over), Some(by)) => over.abs() > TIMES * by,
                (Some(_), None) => false,
                _ => true,
            }
        })
    }

    /// Whether a finding stays whatever screw in whatever length is at a place.
    fn screws_stay(&self, space: &Space, rule: &MatterRule, place: usize) -> bool {
        let stacks = space.stacks.iter().enumerate().filter(|(_, stack)| stack.screw == Some(place));
        stacks.into_iter().all(|(number, _)| {
            let mut seen = rule.screws.iter().filter(|((stack, ..), _)| *stack == number).peekable();
            seen.peek().is_some() && seen.all(|(_, stays)| *stays)
        })
    }

    /// Lets go of what was foreseen wrongly; gives how many findings were foreseen that are not there.
    pub fn correct(&mut self, foreseen: Foreseen, found: &Found) -> u32 {
        let there = |code: &str, severity: Severity| {
            found.matters.iter().any(|matter| matter.code == code && matter.severity >= severity)
        };
        let mut wrong = 0;
        for (number, code) in self.codes.iter().enumerate() {
            let bit = 1_u64.checked_shl(number as u32).unwrap_or(0);
            let fails = foreseen.fails & bit != 0 && !there(code, Severity::Fails);
            // A gap that was foreseen to be small may foul.
            let marginal = foreseen.marginal & bit != 0
                && !there(code, Severity::Marginal)
                && !(*code == "gap.marginal" && there("gap.fouls", Severity::Fails));
            if fails || marginal {
                wrong += 1;
                self.gaps
                    .iter_mut()
                    .filter(|rule| rule.fouls == number || rule.marginal == number)
                    .for_each(|rule| rule.is_off = true);
                self.matters
                    .iter_mut()
                    .filter(|rule| rule.code == number)
                    .for_each(|rule| rule.is_off = true);
                self.causes
                    .iter_mut()
                    .filter(|cause| cause.code == number)
                    .for_each(|cause| cause.is_off = true);
            }
        }
        wrong
    }
}

/// Findings that are counted, each rider's by itself, the worst of each.
fn keys(found: &Found) -> Vec<Standing> {
    let mut keys: Vec<Standing> = Vec::new();
    for matter in &found.matters {
        let riders = matter.riders.iter().map(|rider| Some(*rider));
        let whole = matter.riders.is_empty().then_some(None);
        for rider in riders.chain(whole) {
            let key = (matter.code, rider);
            match keys.iter_mut().find(|(known, ..)| *known == key) {
                Some(known) => known.1 = known.1.max(matter.severity),
                None => keys.push((key, matter.severity, matter.over)),
            }
        }
    }
    keys
}

/// The screws of a combination: stack, offer and length in µm.
fn screws<'a>(
    space: &'a Space,
    pick: &'a [u8],
    states: impl Iterator<Item = Option<StackState>> + 'a,
) -> impl Iterator<Item = (usize, u8, i64)> + 'a {
    let stacks = space.stacks.iter().zip(states).enumerate();
    stacks.filter_map(|(number, (stack, state))| {
        Some((number, offer(stack.screw, pick) as u8, microns(state?.length)))
    })
}

fn is_screw(space: &Space, place: usize) -> bool {
    space.stacks.iter().any(|stack| stack.screw == Some(place))
}

fn is_near(figure: &GapFigure) -> bool {
    figure.spare < NEAR
}

const fn is_on_screw(role: Role) -> bool {
    matches!(role, Role::Nut | Role::ScrewEnd | Role::Head)
}

/// The stack whose reach makes a side of a gap, where a rider has but one kind of stack.
fn lever(space: &Space, side: Side) -> Option<(usize, Lever)> {
    let rider = side.rider?;
    let lever = match side.role {
        Role::Nut => Lever::Nut,
        Role::ScrewEnd => Lever::End,
        Role::Head => Lever::Head,
        _ => return None,
    };
    let mut here = space.stacks.iter().enumerate().filter(|(_, stack)| stack.rider == rider);
    let (number, stack) = here.next()?;
    (here.next().is_none() && stack.is_all_of_rider).then_some((number, lever))
}

fn wheels_alone(space: &Space) -> Vec<Vec<Option<Reach>>> {
    let alone = |stack: &super::space::StackPlaces| -> Vec<Option<Reach>> {
        let place = stack.wheel.and_then(|wheel| stack.pieces.get(wheel)?.place);
        let Some(place) = place else { return Vec::new() };
        let offers = space.places.get(place).map_or(0, |place| place.offers.len());
        (0..offers)
            .map(|offer| {
                let mut pick = space.as_is();
                if let Some(slot) = pick.get_mut(place) {
                    *slot = offer as u8;
                }
                space.state(stack, &pick).ok().map(|state| state.reach)
            })
            .collect()
    };
    space.stacks.iter().map(alone).collect()
}

fn put<T>(table: &mut [Vec<Option<T>>], (place, offer): (usize, usize), value: T) {
    if let Some(slot) = table.get_mut(place).and_then(|offers| offers.get_mut(offer)) {
        *slot = Some(value);
    }
}

fn entry<T: Copy>(table: &[Vec<Option<T>>], place: usize, offer: u8) -> Option<T> {
    table.get(place)?.get(usize::from(offer)).copied().flatten()
}

/// The most a place can do for a gap; nothing where one of its offers is not known.
fn best(table: &[Vec<Option<(f64, f64)>>], place: usize, now: &GapFigure) -> Option<(f64, f64)> {
    let mut best = (now.gap, now.spare);
    for alone in table.get(place)?.iter().skip(1) {
        let (gap, spare) = (*alone)?;
        best = (best.0.max(gap), best.1.max(spare));
    }
    Some(best)
}

fn microns(length: f64) -> i64 {
    (length * 1e3).round() as i64
}
