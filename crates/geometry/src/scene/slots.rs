//! Which pair of places has which kernel.

use std::collections::HashMap;

/// A table of all pairs of places while it is small, else a list of those that are there. Nothing is reserved before
/// the first pair.
#[derive(Clone, Debug, Default)]
pub(super) struct Slots {
    sizes: (usize, usize),
    /// For each pair the number of its kernel plus one, 0 if there is none.
    table: Vec<u32>,
    few: HashMap<(u32, u32), u32>,
}

/// Pairs of a table at most.
const MOST: usize = 1 << 16;

impl Slots {
    /// None yet, for two groups of so many solids.
    pub(super) fn new(a: usize, b: usize) -> Self {
        Self { sizes: (a, b), ..Self::default() }
    }

    /// Whether it is for groups of so many solids.
    pub(super) fn is_for(&self, a: usize, b: usize) -> bool {
        self.sizes == (a, b)
    }

    /// The number of a pair's kernel.
    pub(super) fn get(&self, a: u32, b: u32) -> Option<usize> {
        let known = if self.is_table() {
            self.table.get(a as usize * self.sizes.1 + b as usize)
        } else {
            self.few.get(&(a, b))
        };
        known.and_then(|number| number.checked_sub(1)).map(|number| number as usize)
    }

    /// Gives a pair a kernel.
    pub(super) fn set(&mut self, a: u32, b: u32, kernel: usize) {
        let number = kernel as u32 + 1;
        if !self.is_table() {
            self.few.insert((a, b), number);
            return;
        }
        if self.table.is_empty() {
            self.table.resize(self.sizes.0 * self.sizes.1, 0);
        }
        if let Some(slot) = self.table.get_mut(a as usize * self.sizes.1 + b as usize) {
            *slot = number;
        }
    }

    fn is_table(&self) -> bool {
        self.sizes.0.saturating_mul(self.sizes.1) <= MOST
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_and_lists_hold_what_is_set() {
        for (a, b) in [(7, 9), (900, 900)] {
            let mut slots = Slots::new(a, b);
            assert!(slots.is_for(a, b) && !slots.is_for(a, b + 1));
            assert_eq!(slots.get(3, 4), None);
            slots.set(3, 4, 0);
            slots.set(6, 8, 5);
            assert_eq!([slots.get(3, 4), slots.get(6, 8), slots.get(4, 3)], [Some(0), Some(5), None]);
            slots.set(3, 4, 7);
            assert_eq!(slots.get(3, 4), Some(7));
        }
    }
}
