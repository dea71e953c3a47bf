//! Solids that move together.

use std::sync::OnceLock;

use super::cluster::Cluster;
use super::item::Item;
use super::question::Motion;
use super::tree::Tree;
use crate::{Bounds, Pose};

/// A group with the trees made of its boxes.
#[derive(Clone, Debug)]
pub(super) struct Group {
    pub(super) motion: Motion,
    pub(super) pose: Pose,
    pub(super) members: Vec<u32>,
    /// For questions about one place, and about a long travel; made when the first is asked.
    pub(super) tree: OnceLock<Tree>,
    pub(super) across: OnceLock<Tree>,
    /// Its solids by body.
    pub(super) clusters: OnceLock<Vec<Cluster>>,
    /// Rises with every change of a solid.
    pub(super) version: u64,
    pub(super) built: u64,
}

impl Group {
    /// An empty group.
    pub(super) fn new(motion: Motion) -> Self {
        Self {
            motion,
            pose: Pose::IDENTITY,
            members: Vec::new(),
            tree: OnceLock::new(),
            across: OnceLock::new(),
            clusters: OnceLock::new(),
            version: 1,
            built: 0,
        }
    }

    /// Forgets what was made of boxes that have changed.
    pub(super) fn refresh(&mut self) {
        if self.built != self.version {
            (self.tree, self.across, self.clusters) = (OnceLock::new(), OnceLock::new(), OnceLock::new());
            self.built = self.version;
        }
    }

    /// The tree for questions about one place.
    pub(super) fn tree(&self, items: &[Item]) -> &Tree {
        self.tree.get_or_init(|| Tree::new(&self.boxes(items), [true; 3]))
    }

    /// The tree for questions about a long travel.
    pub(super) fn across(&self, items: &[Item]) -> &Tree {
        self.across.get_or_init(|| Tree::new(&self.boxes(items), [false, true, true]))
    }

    /// Its sound solids by body.
    pub(super) fn clusters(&self, items: &[Item]) -> &[Cluster] {
        self.clusters.get_or_init(|| Cluster::all(items, &self.members))
    }

    /// The boxes of its solids; empty for one that is not sound.
    pub(super) fn boxes(&self, items: &[Item]) -> Vec<Bounds> {
        let ready = |id: &u32| items.get(*id as usize).and_then(|item| item.ready.as_ref());
        self.members.iter().map(|id| ready(id).map_or(Bounds::EMPTY, |ready| ready.bounds)).collect()
    }
}
