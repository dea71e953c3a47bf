//! Every combination there is: places, what could stand at each, and what of it is allowed.

use std::collections::HashMap;

use glidewright_project::document::{Change, Document, HeadForm};
use glidewright_project::size::Formula;
use glidewright_project::{PITCHES_BEYOND, Severity};

use super::bill::Bill;
use super::numbers::{PieceNumbers, ScrewNumbers, WheelNumbers};
use super::place::{Place, PlaceKind};

/// What stands at each place: numbers of offers.
pub(super) type Pick = Box<[u8]>;

/// Lengths that differ by less are the same (mm): below what any screw is sold in.
const SAME: f64 = 1e-3;

/// A piece on the screws of a stack.
#[derive(Clone, Debug)]
pub(super) struct Slot {
    /// The place it is, if something else could stand there.
    pub place: Option<usize>,
    /// What each offer measures.
    pub numbers: Vec<Option<PieceNumbers>>,
    /// What each offer is on the bill.
    pub parts: Vec<Option<u32>>,
    pub is_nut: bool,
    pub is_ring: bool,
}

/// A screw that could be in a stack.
#[derive(Clone, Debug)]
pub(super) struct ScrewOffer {
    pub numbers: ScrewNumbers,
    /// Lengths it could have, with what it is on the bill (mm).
    pub parts: Vec<(f64, u32)>,
}

/// Stacks of one rider that are alike and stay so.
#[derive(Clone, Debug)]
pub(super) struct StackPlaces {
    /// Where they are written.
    pub paths: Vec<String>,
    /// Number of the rider.
    pub rider: usize,
    pub label: String,
    /// How many screws there are of it.
    pub screws: u32,
    /// From the head on.
    pub pieces: Vec<Slot>,
    /// Which of the pieces is the wheel.
    pub wheel: Option<usize>,
    /// Wheels by offer.
    pub wheels: Vec<Option<WheelNumbers>>,
    /// Place and offers of the screw; the first is the one there now.
    pub screw: Option<usize>,
    pub screws_offered: Vec<ScrewOffer>,
    /// Place where it is told that screws are turned round.
    pub round: Option<usize>,
    /// Length of the screw now (mm).
    pub length: f64,
    /// Whether that length is written, or else follows.
    pub length_is_written: bool,
    /// Whether it ends in a plate's thread: its length stays then.
    pub is_tapped: bool,
    /// Whether its rider has no other kind of stack on wheels.
    pub is_all_of_rider: bool,
    /// Places of sizes that what stands there now is as long as.
    pub hangs_on: Vec<usize>,
    /// How long each piece is that stands there now, by what stands at those places (mm); nothing where that is no fixture.
    pub own: HashMap<Vec<u8>, Option<Vec<f64>>>,
}

impl StackPlaces {
    /// Its places.
    pub fn places(&self) -> impl Iterator<Item = usize> + '_ {
        let pieces = self.pieces.iter().filter_map(|slot| slot.place);
        self.screw.into_iter().chain(pieces).chain(self.round)
    }
}

/// How a stack comes out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct StackState {
    /// Length of its screw (mm), and whether the screw is another.
    pub length: f64,
    pub screw_changed: bool,
    /// Whether its screw is of another kind or length, be it by itself.
    pub is_other_screw: bool,
    /// How far its nut, its screw's end and its head reach out from the wheel's middle, or of a bolt from its first piece
    /// (mm).
    pub reach: Reach,
    pub turned: bool,
    /// What the screw is on the bill.
    pub screw: Option<u32>,
}

/// How far things on a screw reach from the middle of its wheel, each its own way along the axis (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// The nut's far face.
    pub nut: f64,
    /// The screw's free end.
    pub end: f64,
    /// The top of its head.
    pub head: f64,
}

/// Why a combination is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Refusal {
    /// A ring would clamp what turns.
    WideRing,
    /// No screw is sold that is long enough.
    NotSold,
    /// The nut would sit on plain shank.
    NoThread,
    /// It is the same as another one.
    Same,
    /// A size makes it no fixture.
    NoFixture,
    /// More of a part would be needed than there are.
    NotAtHand,
}

impl Refusal {
    pub const fn says(self) -> &'static str {
        match self {
            Self::WideRing => "a ring would be wider than the inner ring it bears on",
            Self::NotSold => "no screw is sold that is long enough",
            Self::NoThread => "the nut would sit on plain shank",
            Self::Same => "it says the same as another one",
            Self::NoFixture => "a size would leave no fixture",
            Self::NotAtHand => "more of a part would be needed than there are at hand",
        }
    }
}

/// All combinations.
#[derive(Debug)]
pub(super) struct Space {
    /// What is changed: the document with its trial's changes and without trials.
    pub base: Document,
    pub places: Vec<Place>,
    pub stacks: Vec<StackPlaces>,
    pub bill: Bill,
    pub at_hand_only: bool,
}

impl Space {
    /// How many combinations there are before rules take some away.
    pub fn size(&self) -> u128 {
        self.places.iter().fold(1_u128, |size, place| size.saturating_mul(place.offers.len() as u128))
    }

    /// What there is now.
    pub fn as_is(&self) -> Pick {
        vec![0; self.places.len()].into()
    }

    /// What of a stack each piece is as long as now.
    fn own<'a>(stack: &'a StackPlaces, pick: &[u8]) -> Option<&'a [f64]> {
        let key: Vec<u8> = stack.hangs_on.iter().map(|place| at(pick, *place)).collect();
        stack.own.get(&key)?.as_deref()
    }

    /// How a stack comes out, or why it is none.
    pub fn state(&self, stack: &StackPlaces, pick: &[u8]) -> Result<StackState, Refusal> {
        let own = Self::own(stack, pick).ok_or(Refusal::NoFixture)?;
        let thickness = |number: usize, slot: &Slot| -> Result<f64, Refusal> {
            match offer(slot.place, pick) {
                0 => own.get(number).copied().ok_or(Refusal::NoFixture),
                offer => {
                    let numbers = slot.numbers.get(offer).copied().flatten();
                    numbers.map(|numbers| numbers.thickness).ok_or(Refusal::NoFixture)
                }
            }
        };
        let turned = offer(stack.round, pick) > 0;
        let nuts = stack.pieces.iter().rev().take_while(|slot| slot.is_nut).count();
        let body = stack.pieces.len().saturating_sub(nuts);
        let (mut all, mut below_nuts, mut before, mut after) = (0.0, 0.0, 0.0, 0.0);
        let wheel = stack.wheel;
        for (number, slot) in stack.pieces.iter().enumerate() {
            let thick = thickness(number, slot)?;
            all += thick;
            if number < body {
                below_nuts += thick;
            }
            match wheel {
                Some(wheel) if number == wheel => {
                    before += 0.5 * thick;
                    after += 0.5 * thick;
                }
                // Turned round, what was before the wheel is behind it, but for the nuts.
                Some(wheel) if (number < wheel) != (turned && number < body) => before += thick,
                Some(_) => after += thick,
                None => before += thick,
            }
        }
        self.rings_are_narrow(stack, pick)?;
        let chosen = offer(stack.screw, pick);
        let screw = stack.screws_offered.get(chosen).ok_or(Refusal::NoFixture)?;
        let is_as_now = chosen == 0
            && !turned
            && stack.pieces.iter().all(|slot| offer(slot.place, pick) == 0)
            && Self::own(stack, &self.as_is()).is_some_and(|now| now == own);
        let needed = all + PITCHES_BEYOND * screw.numbers.pitch;
        let (length, screw_changed) = if stack.is_tapped || is_as_now {
            (stack.length, chosen > 0)
        } else {
            let keeps = chosen == 0 && stack.length_is_written && stack.length >= needed - SAME;
            let length = if keeps {
                stack.length
            } else {
                let sold = screw.numbers.lengths.iter().copied().find(|length| *length >= needed - SAME);
                sold.ok_or(Refusal::NotSold)?
            };
            if screw.numbers.shank(length) > below_nuts + SAME {
                return Err(Refusal::NoThread);
            }
            // The same screw in its shortest length, where that is the one it has.
            let is_same_part = chosen > 0 && self.is_part_now(stack, chosen);
            if is_same_part && (length - stack.length).abs() < SAME {
                return Err(Refusal::Same);
            }
            let follows = chosen == 0 && stack.length_is_written && (length - stack.length).abs() > SAME;
            if is_same_part && stack.length < needed - SAME {
                // It would follow to this length anyway.
                return Err(Refusal::Same);
            }
            (length, chosen > 0 || follows)
        };
        let head = if screw.numbers.head == HeadForm::Countersunk { 0.0 } else { screw.numbers.head_height };
        let part = screw.parts.iter().find(|(known, _)| (known - length).abs() < SAME).map(|(_, id)| *id);
        Ok(StackState {
            length,
            screw_changed,
            is_other_screw: screw_changed || (length - stack.length).abs() > SAME,
            reach: Reach { nut: after, end: length - before, head: before + head },
            turned,
            screw: part,
        })
    }

    fn is_part_now(&self, stack: &StackPlaces, chosen: usize) -> bool {
        let place = stack.screw.and_then(|place| self.places.get(place));
        place.is_some_and(|place| match (place.offers.first(), place.offers.get(chosen)) {
            (Some(now), Some(other)) => now.part == other.part,
            _ => false,
        })
    }

    /// No ring that is put beside a wheel is wider than its bearing's inner ring; none that stays clamps what turns.
    fn rings_are_narrow(&self, stack: &StackPlaces, pick: &[u8]) -> Result<(), Refusal> {
        let Some(wheel) = stack.wheel else { return Ok(()) };
        let chosen = stack.pieces.get(wheel).map_or(0, |slot| offer(slot.place, pick));
        let Some(numbers) = stack.wheels.get(chosen).copied().flatten() else { return Ok(()) };
        for beside in [wheel.checked_sub(1), Some(wheel + 1)].into_iter().flatten() {
            let Some(slot) = stack.pieces.get(beside).filter(|slot| slot.is_ring) else { continue };
            let ring = offer(slot.place, pick);
            let Some(outer) = slot.numbers.get(ring).copied().flatten().map(|ring| ring.outer) else {
                continue;
            };
            let most = match (ring, chosen) {
                (0, 0) => f64::INFINITY,
                (0, _) => numbers.widest,
                _ => numbers.inner_ring,
            };
            if outer > most + SAME {
                return Err(Refusal::WideRing);
            }
        }
        Ok(())
    }

    /// How every stack comes out, or why it is no combination.
    pub fn states(&self, pick: &[u8]) -> Result<Vec<StackState>, Refusal> {
        let states =
            self.stacks.iter().map(|stack| self.state(stack, pick)).collect::<Result<Vec<_>, _>>()?;
        if self.at_hand_only && self.bill.of(self, pick, &states).bought > 0 {
            return Err(Refusal::NotAtHand);
        }
        Ok(states)
    }

    /// How many things are other than now: places, and screws whose length follows.
    pub fn changed(&self, pick: &[u8], states: &[StackState]) -> u32 {
        let places = pick.iter().filter(|offer| **offer > 0).count();
        let follow = self.stacks.iter().zip(states);
        let follow =
            follow.filter(|(stack, state)| state.screw_changed && offer(stack.screw, pick) == 0).count();
        (places + follow) as u32
    }

    /// The changes that make a combination, in an order in which each applies.
    pub fn changes(&self, pick: &[u8], states: &[StackState]) -> Vec<Change> {
        let chosen = |wanted: fn(PlaceKind) -> bool| {
            let places = self.places.iter().zip(pick).filter(move |(place, _)| wanted(place.kind));
            places
                .filter_map(|(place, offer)| place.offers.get(usize::from(*offer)))
                .flat_map(|o| o.changes.clone())
        };
        let mut changes: Vec<Change> = chosen(|kind| kind != PlaceKind::Round).collect();
        for (stack, state) in self.stacks.iter().zip(states) {
            let is_other = (state.length - stack.length).abs() > SAME;
            if state.screw_changed && stack.length_is_written && is_other {
                changes.extend(stack.paths.iter().map(|path| Change::Set {
                    path: format!("{path}/length"),
                    to: Formula::Number(state.length),
                }));
            }
        }
        changes.extend(chosen(|kind| kind == PlaceKind::Round));
        changes
    }

    /// What a combination does, one thing each.
    pub fn words(&self, pick: &[u8], states: &[StackState]) -> Vec<String> {
        let mut words = Vec::new();
        for (number, (place, chosen)) in self.places.iter().zip(pick).enumerate() {
            let stack = self.stacks.iter().zip(states).find(|(stack, _)| stack.screw == Some(number));
            let Some(offer) = place.offers.get(usize::from(*chosen)) else { continue };
            match (place.kind, stack) {
                (PlaceKind::Screw, Some((_, state))) if state.screw_changed => {
                    let part = offer.part.as_deref().unwrap_or_default();
                    let length = glidewright_motion::plain(state.length);
                    words.push(format!("{} {part} × {length}", place.label));
                }
                (PlaceKind::Screw, _) => {}
                _ if *chosen > 0 && place.kind == PlaceKind::Round => words.push(place.label.clone()),
                _ if *chosen > 0 && place.kind == PlaceKind::Remedy => words.push(offer.words.clone()),
                _ if *chosen > 0 => words.push(format!("{} {}", place.label, offer.words)),
                _ => {}
            }
        }
        for (stack, state) in self.stacks.iter().zip(states).filter(|(stack, _)| stack.screw.is_none()) {
            if state.screw_changed {
                words.push(format!(
                    "{}: screws of {} mm",
                    stack.label,
                    glidewright_motion::plain(state.length)
                ));
            }
        }
        words
    }

    /// Whether what stands at a place in one combination is what stands there in another, or a size that is farther off the
    /// same way.
    pub fn is_as_far(&self, place: usize, own: u8, other: u8) -> bool {
        if own == other {
            return true;
        }
        let off = |offer: u8| self.places.get(place)?.offers.get(usize::from(offer))?.off;
        match (off(own), off(other)) {
            (Some(own), Some(other)) => own * other > 0.0 && other.abs() >= own.abs(),
            _ => false,
        }
    }

    /// How far sizes are off what they are now, in values of their ranges.
    pub fn off(&self, pick: &[u8]) -> u32 {
        let sizes = self.places.iter().zip(pick).filter(|(place, _)| place.kind == PlaceKind::Size);
        sizes.map(|(_, offer)| u32::from(*offer)).sum()
    }

    /// What a person should know of what is put in.
    pub fn notes(&self, pick: &[u8]) -> Vec<String> {
        let chosen = self.places.iter().zip(pick).filter_map(|(place, chosen)| {
            let offer = place.offers.get(usize::from(*chosen)).filter(|_| *chosen > 0)?;
            Some(format!("{}: {}", offer.words, offer.note?))
        });
        let mut notes: Vec<String> = chosen.collect();
        notes.dedup();
        notes
    }
}

/// The offer taken at a place.
pub(super) fn at(pick: &[u8], place: usize) -> u8 {
    pick.get(place).copied().unwrap_or(0)
}

/// The same as a number of offers; the first where there is no place.
pub(super) fn offer(place: Option<usize>, pick: &[u8]) -> usize {
    place.map_or(0, |place| usize::from(at(pick, place)))
}

/// Whether problems leave nothing to calculate with.
pub(super) fn is_error(problem: &glidewright_project::Problem) -> bool {
    problem.severity == Severity::Error
}
