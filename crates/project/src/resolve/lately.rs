//! Outlines worked out lately, so that dragging one thing does not work out all the others again.
//!
//! What is kept is a function of numbers alone; an outline comes out the same whether it was kept or not.

use std::cell::RefCell;
use std::sync::Arc;

use glam::DVec2;
use glidewright_geometry::{Outline, PlanarError, Region};

use crate::document::Webs;

/// The axles, the way of the webs, and pad, web and fillet (mm).
type Pads = (Vec<DVec2>, Webs, [f64; 3]);
/// What came of it.
type Joined = Result<Vec<Region>, PlanarError>;
/// An outline and its convex pieces.
type Cut = (Arc<Region>, Result<Vec<Arc<Outline>>, PlanarError>);

/// So many are kept of each.
const MOST: usize = 64;

thread_local! {
    /// Those asked for last stand last.
    static PADS: RefCell<Vec<(Pads, Joined)>> = const { RefCell::new(Vec::new()) };
    static CUT: RefCell<Vec<Cut>> = const { RefCell::new(Vec::new()) };
}

/// What `is_it` picks out of what is kept, or `make` makes; it is kept as the latest.
fn latest<T: Clone>(kept: &mut Vec<T>, is_it: impl Fn(&T) -> bool, make: impl FnOnce() -> T) -> T {
    let entry = match kept.iter().position(is_it) {
        Some(place) => kept.remove(place),
        None => make(),
    };
    if kept.len() >= MOST {
        kept.drain(..1);
    }
    kept.push(entry.clone());
    entry
}

/// Pads about axles joined by webs, of `make` where they are not known.
pub(super) fn pads(axles: &[DVec2], webs: Webs, sizes: [f64; 3], make: impl FnOnce() -> Joined) -> Joined {
    let is_same = |((known, way, with), _): &(Pads, Joined)| known == axles && *way == webs && *with == sizes;
    let make = || ((axles.to_vec(), webs, sizes), make());
    PADS.with_borrow_mut(|kept| latest(kept, is_same, make)).1
}

/// A region with its convex pieces, of `cut` where they are not known.
pub(super) fn pieces(region: &Region, cut: impl FnOnce(&Region) -> Result<Vec<Outline>, PlanarError>) -> Cut {
    let make = || {
        let pieces = cut(region).map(|pieces| pieces.into_iter().map(Arc::new).collect());
        (Arc::new(region.clone()), pieces)
    };
    CUT.with_borrow_mut(|kept| latest(kept, |(known, _): &Cut| **known == *region, make))
}
