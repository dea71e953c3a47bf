//! Two bodies as a whole, for how deep they overlap.

use glidewright_geometry::{Overlap, Solid};

use super::body::{Body, Role};

/// Two bodies made ready for how deep they overlap.
#[derive(Clone, Debug)]
pub struct WholeBodies {
    /// B's shift and the depth are those of the bodies as they were given.
    pub overlap: Overlap,
    /// Whether they are taken as they are. Else a cover stands for one of them, and no depth is told too small, but
    /// [`glidewright_geometry::Depth::at_least`] is the covers'.
    pub is_exact: bool,
}

/// Up to so many pairs of pieces are taken as they are.
const PAIRS: usize = 128;

impl Body {
    /// This body and another, each in its owner's frame, made ready for how deep they overlap.
    pub fn whole_with(&self, other: &Self) -> WholeBodies {
        if self.solids.len() * other.solids.len() <= PAIRS || self.opens_to(other) || other.opens_to(self) {
            return WholeBodies { overlap: Overlap::new(&self.solids, &other.solids), is_exact: true };
        }
        let covered = [self, other].map(Self::covered);
        let [a, b] = if covered[0].len() * covered[1].len() <= PAIRS {
            covered
        } else {
            covered.map(|hulls| vec![hulls.concat()])
        };
        WholeBodies { overlap: Overlap::of_hulls(&a, &b), is_exact: false }
    }

    /// What covers it, as the convex hulls of some solids each: a wheel is covered by one.
    fn covered(&self) -> Vec<Vec<Solid>> {
        if self.role == Role::Tyre {
            return vec![self.solids.clone()];
        }
        let solids = self.cover.as_ref().map_or(&self.solids, |cover| &cover.solids);
        solids.iter().map(|solid| vec![solid.clone()]).collect()
    }

    /// Whether another body may stand in an opening of this one that its cover fills.
    fn opens_to(&self, other: &Self) -> bool {
        let Some(cover) = self.cover.as_ref().filter(|cover| !cover.openings.is_empty()) else {
            return false;
        };
        let around = other.solids.iter().map(Solid::bounds).reduce(|a, b| a.joined(&b));
        around.is_some_and(|around| cover.openings.iter().any(|opening| opening.takes(&around)))
    }
}
