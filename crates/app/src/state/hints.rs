//! Hints for somebody who sees the program for the first time. Each goes away for good once it was followed.

use std::collections::BTreeSet;

/// A hint.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Hint {
    /// Riders can be dragged.
    Drag,
    /// The tightest place is one click away.
    Tightest,
    /// Trials are one click away.
    Try,
    /// Sizes can be changed.
    Change,
    /// There is a handbook.
    Handbook,
}

impl Hint {
    /// All of them, in the order in which they are given.
    pub const ALL: [Self; 5] = [Self::Drag, Self::Tightest, Self::Try, Self::Change, Self::Handbook];

    /// What it says.
    pub const fn text(self) -> &'static str {
        match self {
            Self::Drag => "Drag a rider, the violet line or a point on a curve: everything follows.",
            Self::Tightest => "Click the figure at the top right to go where it is tightest.",
            Self::Try => "A trial is one click: the row “Try” shows the same fixture with other parts.",
            Self::Change => "Click a part, here or in the drawing, and change a size. Ctrl+Z takes it back.",
            Self::Handbook => "F1 opens the handbook; F2 lists the keys.",
        }
    }
}

/// Which hints are done with.
#[derive(Clone, Debug, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(default)]
pub struct Hints {
    /// Followed ones.
    pub done: BTreeSet<Hint>,
    /// Whether none is wanted any more.
    pub off: bool,
}

impl Hints {
    /// The hint to give now.
    pub fn next(&self) -> Option<Hint> {
        if self.off { None } else { Hint::ALL.into_iter().find(|hint| !self.done.contains(hint)) }
    }

    /// Notes that somebody did what a hint says; whether that was news.
    pub fn follow(&mut self, hint: Hint) -> bool {
        !self.off && self.done.insert(hint)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_is_given_until_it_was_followed() {
        let mut hints = Hints::default();
        for hint in Hint::ALL {
            assert_eq!(hints.next(), Some(hint));
            assert!(hints.follow(hint));
            assert!(!hints.follow(hint));
        }
        assert_eq!(hints.next(), None);
        assert_eq!(Hints { off: true, ..Hints::default() }.next(), None);
    }
}
