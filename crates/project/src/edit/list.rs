//! Lists of things that have names in paths.

use crate::document::{Named, Piece, piece_names};
use crate::size::AnySize;

/// A list of things that have names in paths.
pub(super) trait List {
    /// Their names, in order.
    fn names(&self) -> Vec<String>;
    /// Takes the thing at one place out and puts it in at another, counted without it.
    fn shift(&mut self, from: usize, to: usize);
}

/// Takes the thing at one place of a list out and puts it in at another, counted without it.
pub(super) fn shift<T>(things: &mut Vec<T>, from: usize, to: usize) {
    if from < things.len() {
        let thing = things.remove(from);
        things.insert(to.min(things.len()), thing);
    }
}

impl<T: Named> List for Vec<T> {
    fn names(&self) -> Vec<String> {
        self.iter().map(|thing| thing.name().to_owned()).collect()
    }
    fn shift(&mut self, from: usize, to: usize) {
        shift(self, from, to);
    }
}

impl List for Vec<Piece> {
    fn names(&self) -> Vec<String> {
        piece_names(self)
    }
    fn shift(&mut self, from: usize, to: usize) {
        shift(self, from, to);
    }
}

impl List for Vec<(String, AnySize)> {
    fn names(&self) -> Vec<String> {
        self.iter().map(|(name, _)| name.clone()).collect()
    }
    fn shift(&mut self, from: usize, to: usize) {
        shift(self, from, to);
    }
}
