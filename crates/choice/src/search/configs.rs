//! Every way one stack can be, worked out once in plain numbers.

use glidewright_project::document::Certainty;

use super::space::{Space, StackPlaces, StackState, at, offer};

/// A way a stack can be: what stands at its own places.
#[derive(Clone, Debug)]
pub(super) struct Config {
    /// Offers at the stack's own places, in the order of [`Block::own`].
    pub offers: Box<[u8]>,
    pub state: StackState,
    pub changed: u32,
    pub certainty: Option<Certainty>,
}

/// A stack's own places, and those others share with it.
#[derive(Clone, Debug, Default)]
pub(super) struct Block {
    /// Places of this stack alone.
    pub own: Vec<usize>,
    /// Places on which it hangs and others may too.
    pub shared: Vec<usize>,
}

/// More ways one stack could be are not gone through: of those with the most changes some are left out.
const MOST: usize = 60_000;

impl Block {
    pub fn of(space: &Space, number: usize) -> Self {
        let Some(stack) = space.stacks.get(number) else { return Self::default() };
        let is_shared = |place: &usize| {
            let mut others = space.stacks.iter().enumerate().filter(|(other, _)| *other != number);
            others.any(|(_, stack)| stack.places().any(|other| other == *place))
        };
        let (mut shared, mut own): (Vec<usize>, Vec<usize>) = stack.places().partition(is_shared);
        own.sort_unstable();
        own.dedup();
        shared.extend(&stack.hangs_on);
        shared.sort_unstable();
        shared.dedup();
        Self { own, shared }
    }

    /// Every way the stack can be with what stands at other places, those with the fewest changes first; whether that is all.
    pub fn configs(&self, space: &Space, number: usize, pick: &[u8]) -> (Vec<Config>, bool) {
        let Some(stack) = space.stacks.get(number) else { return (Vec::new(), true) };
        let counts: Vec<usize> = self
            .own
            .iter()
            .map(|place| space.places.get(*place).map_or(1, |place| place.offers.len()))
            .collect();
        let mut most = self.own.len();
        while most > 1 && ways(&counts, most) > MOST {
            most -= 1;
        }
        let mut making = Making { space, stack, own: &self.own, counts: &counts, found: Vec::new() };
        let mut whole: Vec<u8> = pick.to_vec();
        for place in &self.own {
            if let Some(slot) = whole.get_mut(*place) {
                *slot = 0;
            }
        }
        making.go(0, most, &mut whole);
        let mut found = making.found;
        found.sort_by(|a, b| (a.changed, &a.offers).cmp(&(b.changed, &b.offers)));
        (found, most == self.own.len())
    }
}

/// Ways of one stack in the making.
struct Making<'a> {
    space: &'a Space,
    stack: &'a StackPlaces,
    own: &'a [usize],
    counts: &'a [usize],
    found: Vec<Config>,
}

impl Making<'_> {
    /// Goes through the places from `depth` on, of which so many may be other than now.
    fn go(&mut self, depth: usize, left: usize, whole: &mut Vec<u8>) {
        let (Some(&place), Some(&count)) = (self.own.get(depth), self.counts.get(depth)) else {
            return self.arrive(whole);
        };
        let most = if left > 0 { count } else { 1 };
        for offer in 0..most {
            if let Some(slot) = whole.get_mut(place) {
                *slot = offer as u8;
            }
            self.go(depth + 1, left - usize::from(offer > 0), whole);
        }
        if let Some(slot) = whole.get_mut(place) {
            *slot = 0;
        }
    }

    fn arrive(&mut self, whole: &[u8]) {
        let Ok(state) = self.space.state(self.stack, whole) else { return };
        let offers: Box<[u8]> = self.own.iter().map(|place| at(whole, *place)).collect();
        let put_in = self.own.iter().zip(&offers).filter(|(_, offer)| **offer > 0);
        let certainties = put_in.filter_map(|(place, offer)| {
            self.space.places.get(*place)?.offers.get(usize::from(*offer))?.certainty
        });
        let certainty = certainties.max();
        let follows = state.screw_changed && offer(self.stack.screw, whole) == 0;
        let changed = offers.iter().filter(|offer| **offer > 0).count() as u32 + u32::from(follows);
        self.found.push(Config { offers, state, changed, certainty });
    }
}

/// In how many ways no more than so many of these places can be other than now.
fn ways(counts: &[usize], most: usize) -> usize {
    let mut by_changed = vec![0_usize; most + 1];
    if let Some(first) = by_changed.first_mut() {
        *first = 1;
    }
    for count in counts {
        for changed in (1..=most).rev() {
            let before = by_changed.get(changed - 1).copied().unwrap_or(0);
            if let Some(slot) = by_changed.get_mut(changed) {
                *slot = slot.saturating_add(before.saturating_mul(count.saturating_sub(1)));
            }
        }
    }
    by_changed.into_iter().fold(0, usize::saturating_add)
}
