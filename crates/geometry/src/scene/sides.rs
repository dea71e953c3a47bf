//! The two groups of a channel, ready to be looked at.

use super::group::Group;
use super::item::{Classes, Item};
use super::sieve::Sieve;

/// The two groups of a channel with all that is needed to look at their pairs.
pub(super) struct Sides<'a> {
    pub(super) a: &'a Group,
    pub(super) b: &'a Group,
    pub(super) items: &'a [Item],
    pub(super) classes: &'a Classes,
    /// The channel watches a group against itself.
    pub(super) same: bool,
    /// The pairs that pass near, once they are known.
    pub(super) sieve: Option<&'a Sieve>,
}
