//! A size that varies, with the pieces that are made to it.

use glidewright_motion::{Fixture, Followed, plain};
use glidewright_project::SpreadSize;

use super::law::Law;
use crate::question::Likeness;

/// A size that varies.
#[derive(Clone, Debug, PartialEq)]
pub struct Varied {
    /// Where it is written, as a path.
    pub path: String,
    /// What a reader calls it.
    pub label: String,
    /// Its unit; empty for a number.
    pub unit: &'static str,
    /// What it comes to, in its unit.
    pub nominal: f64,
    /// Half the width between its limits, in its unit.
    pub half_width: f64,
    /// How it is spread between them.
    pub law: Law,
    /// Whether its pieces come out alike.
    pub likeness: Likeness,
    /// How many pieces are made to it.
    pub pieces: usize,
    /// How far what it does lies off a straight line at its limits, at most (mm).
    pub bend: f64,
    /// Where its draws stand: from the first on, as many as it has (one, if its pieces are alike).
    pub(super) draws: std::ops::Range<usize>,
}

impl Varied {
    /// Half its width without its unit, as a person would write it.
    pub fn half_width_told(&self) -> String {
        plain((self.half_width * 1e6).round() / 1e6)
    }
}

/// What one draw makes greater or less.
pub(super) struct Use {
    /// The size, by number.
    pub size: usize,
    /// What the engine is given with its tolerance, with what it comes to at the upper limit less what is drawn (mm, rad).
    pub followed: Vec<(Followed, f64)>,
    /// The fixture with the size at either limit, where more goes with it.
    pub limits: Option<[Fixture; 2]>,
}

/// The draws of a size: one for each piece, or one for all.
pub(super) fn uses(number: usize, size: &SpreadSize, likeness: Likeness) -> Vec<Use> {
    let half = size.size.half_width();
    let whole = |&(which, per_unit): &(Followed, f64)| (which, per_unit * half);
    let limits = || size.limits.clone();
    match likeness {
        Likeness::Alike => {
            vec![Use { size: number, followed: size.followed.iter().map(whole).collect(), limits: limits() }]
        }
        Likeness::Each => {
            let pieces = size.followed.iter();
            let mut all: Vec<Use> = pieces
                .map(|piece| Use { size: number, followed: vec![whole(piece)], limits: None })
                .collect();
            // What is drawn as one is of one piece.
            all.extend(limits().map(|limits| Use {
                size: number,
                followed: Vec::new(),
                limits: Some(limits),
            }));
            all
        }
    }
}
