//! Solids of one body that lie together.

use super::item::Item;
use crate::Bounds;

/// Some sound solids of a body that follow each other in a group: their places and boxes, and the box around all.
#[derive(Clone, Debug)]
pub(super) struct Cluster {
    pub(super) body: u32,
    pub(super) solids: Vec<(u32, Bounds)>,
    pub(super) around: Bounds,
}

/// So many solids make a cluster at most: a section cut up into many is not near with all of them.
const CLUSTER: usize = 12;

impl Cluster {
    pub(super) fn all(items: &[Item], members: &[u32]) -> Vec<Self> {
        let mut clusters: Vec<Self> = Vec::new();
        for (place, id) in (0..).zip(members) {
            let Some(item) = items.get(*id as usize) else { continue };
            let Some(own) = item.ready.as_ref().map(|r| r.bounds).filter(|b| !b.is_empty()) else {
                continue;
            };
            match clusters.last_mut() {
                Some(last) if last.body == item.body && last.solids.len() < CLUSTER => {
                    last.solids.push((place, own));
                    last.around = last.around.joined(&own);
                }
                _ => clusters.push(Self { body: item.body, solids: vec![(place, own)], around: own }),
            }
        }
        clusters
    }
}
