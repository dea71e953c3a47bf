//! What has to be bought for a combination, and what it costs.

use super::space::{Space, StackState, offer};

/// A part that could be bought.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Ware {
    pub name: String,
    /// How many there are: in the fixture now and at hand.
    pub have: u32,
    /// What one costs.
    pub price: Option<f64>,
    /// Whether that is but a guide.
    pub is_guide: bool,
}

/// All parts that could be bought, by number.
#[derive(Debug, Default)]
pub(super) struct Bill {
    pub wares: Vec<Ware>,
}

/// What one combination takes.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub(super) struct Total {
    /// Pieces to buy.
    pub bought: u32,
    /// What those cost of which a price is known.
    pub cost: f64,
    /// Pieces of which none is known.
    pub unpriced: u32,
    /// Whether a guide price is among them.
    pub has_guide: bool,
}

/// So much to buy of one part.
#[derive(Clone, Debug, PartialEq)]
pub struct Bought {
    /// The part; of a screw with its length.
    pub part: String,
    /// How many.
    pub count: u32,
    /// What one costs, where that is known.
    pub price: Option<f64>,
    /// Whether that price is a guide of the tables rather than one a person has put in.
    pub is_guide: bool,
}

impl Bill {
    /// The number of a part, which is put on the list if it is not there yet.
    pub fn ware(&mut self, name: String, make: impl FnOnce() -> (u32, Option<(f64, bool)>)) -> u32 {
        if let Some(known) = self.wares.iter().position(|ware| ware.name == name) {
            return known as u32;
        }
        let (have, price) = make();
        let is_guide = price.is_some_and(|price| price.1);
        self.wares.push(Ware { name, have, price: price.map(|price| price.0), is_guide });
        (self.wares.len() - 1) as u32
    }

    /// How many of each part a combination takes.
    fn needs(&self, space: &Space, pick: &[u8], states: &[StackState]) -> Vec<u32> {
        let mut needs = vec![0_u32; self.wares.len()];
        let mut take = |ware: Option<u32>, count: u32| {
            if let Some(slot) = ware.and_then(|ware| needs.get_mut(ware as usize)) {
                *slot += count;
            }
        };
        for (stack, state) in space.stacks.iter().zip(states) {
            take(state.screw, stack.screws);
            for slot in &stack.pieces {
                take(slot.parts.get(offer(slot.place, pick)).copied().flatten(), stack.screws);
            }
        }
        needs
    }

    /// What one stack takes by itself at least, were all that is there now and at hand for it alone: pieces, and what those
    /// cost of which a price is known. The sum over the stacks is no more than what the combination takes, as what is there
    /// is counted for each of them.
    pub fn of_stack(&self, space: &Space, number: usize, pick: &[u8], state: &StackState) -> (u32, f64) {
        let Some(stack) = space.stacks.get(number) else { return (0, 0.0) };
        let mut needs: Vec<(u32, u32)> = Vec::new();
        let pieces =
            stack.pieces.iter().map(|slot| slot.parts.get(offer(slot.place, pick)).copied().flatten());
        for ware in pieces.chain([state.screw]).flatten() {
            match needs.iter_mut().find(|(known, _)| *known == ware) {
                Some(known) => known.1 += stack.screws,
                None => needs.push((ware, stack.screws)),
            }
        }
        let (mut bought, mut cost) = (0, 0.0);
        for (ware, need) in needs {
            let Some(ware) = self.wares.get(ware as usize) else { continue };
            let buy = need.saturating_sub(ware.have);
            bought += buy;
            cost += f64::from(buy) * ware.price.unwrap_or(0.0);
        }
        (bought, (cost * 1e4).floor() / 1e4)
    }

    /// What a combination takes.
    pub fn of(&self, space: &Space, pick: &[u8], states: &[StackState]) -> Total {
        let mut total = Total::default();
        for (ware, need) in self.wares.iter().zip(self.needs(space, pick, states)) {
            let buy = need.saturating_sub(ware.have);
            if buy == 0 {
                continue;
            }
            total.bought += buy;
            match ware.price {
                Some(price) => {
                    total.cost += price * f64::from(buy);
                    total.has_guide |= ware.is_guide;
                }
                None => total.unpriced += buy,
            }
        }
        total.cost = (total.cost * 1e4).round() / 1e4;
        total
    }

    /// The same part by part.
    pub fn list(&self, space: &Space, pick: &[u8], states: &[StackState]) -> Vec<Bought> {
        let needs = self.needs(space, pick, states);
        let wares = self.wares.iter().zip(needs).filter(|(ware, need)| *need > ware.have);
        wares
            .map(|(ware, need)| Bought {
                part: ware.name.clone(),
                count: need - ware.have,
                price: ware.price,
                is_guide: ware.is_guide,
            })
            .collect()
    }
}
