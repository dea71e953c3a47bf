//! A tree of upright boxes over the solids of one group.

use glam::DVec3;

use crate::Bounds;

/// A node: a box, and either two children or one solid.
#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    pub low: DVec3,
    pub high: DVec3,
    /// Index of the first child (the second follows it), or the solid's place in the group.
    pub index: u32,
    /// Number of solids below; 1 marks a leaf.
    pub count: u32,
}

/// Boxes over boxes; the root comes first.
#[derive(Clone, Debug, Default)]
pub(super) struct Tree {
    pub nodes: Vec<Node>,
}

impl Tree {
    /// Over the boxes given; empty boxes are left out. Boxes are kept together by their places along the axes that
    /// count: for questions about one place all three, for questions about a long travel only those across it.
    pub(super) fn new(boxes: &[Bounds], counts: [bool; 3]) -> Self {
        let mut order: Vec<u32> =
            (0..boxes.len() as u32).filter(|&i| !boxes[i as usize].is_empty()).collect();
        let mut tree = Self { nodes: Vec::with_capacity(2 * order.len()) };
        if !order.is_empty() {
            tree.nodes.push(Node { low: DVec3::ZERO, high: DVec3::ZERO, index: 0, count: 0 });
            tree.fill(0, boxes, counts, &mut order);
        }
        tree
    }

    fn fill(&mut self, at: usize, boxes: &[Bounds], counts: [bool; 3], members: &mut [u32]) {
        let mut all = Bounds::EMPTY;
        let (mut least, mut most) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
        for &i in members.iter() {
            let b = &boxes[i as usize];
            all = all.joined(b);
            let centre = b.centre();
            least = least.min(centre);
            most = most.max(centre);
        }
        let count = members.len() as u32;
        if let [only] = *members {
            self.nodes[at] = Node { low: all.low, high: all.high, index: only, count };
            return;
        }
        let spread = most - least;
        let width = |axis: &usize| if counts[*axis] { spread[*axis] } else { f64::NEG_INFINITY };
        let axis = (0..3).max_by(|p, q| width(p).total_cmp(&width(q))).unwrap_or(0);
        let half = members.len() / 2;
        let key = |i: u32| boxes[i as usize].low[axis] + boxes[i as usize].high[axis];
        members.select_nth_unstable_by(half, |&a, &b| key(a).total_cmp(&key(b)));
        let index = self.nodes.len() as u32;
        let blank = Node { low: DVec3::ZERO, high: DVec3::ZERO, index: 0, count: 0 };
        self.nodes.extend([blank, blank]);
        self.nodes[at] = Node { low: all.low, high: all.high, index, count };
        let (first, second) = members.split_at_mut(half);
        self.fill(index as usize, boxes, counts, first);
        self.fill(index as usize + 1, boxes, counts, second);
    }
}

/// Square of the least distance of two boxes, the second shifted along x by anything from `from` to `to` (mm²).
pub(super) fn apart_squared(a: &Node, b: &Node, from: f64, to: f64) -> f64 {
    let x = (b.low.x + from - a.high.x).max(a.low.x - b.high.x - to).max(0.0);
    let y = (b.low.y - a.high.y).max(a.low.y - b.high.y).max(0.0);
    let z = (b.low.z - a.high.z).max(a.low.z - b.high.z).max(0.0);
    x * x + y * y + z * z
}
