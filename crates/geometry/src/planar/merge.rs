//! Triangles joined into few convex polygons.
//!
//! Hertel & Mehlhorn (Fast triangulation of simple polygons, Foundations of Computation Theory, LNCS 158 (1983) 207):
//! every diagonal whose removal leaves both its ends convex goes; at most four times as many pieces remain as
//! the fewest possible.

use std::collections::HashMap;

use glam::DVec2;
use robust::{Coord, orient2d};

use super::triangles::Triangles;

/// Corners that bend inwards by less than this (rad) pass as straight: over 100 mm that is 1e-10 mm.
const STRAIGHT: f64 = 1e-12;

/// Directions in which a side leaves its first corner and enters its last, where these are not its own.
pub(super) type Ends = HashMap<[u32; 2], [DVec2; 2]>;

/// The triangles' sides, each belonging to one face.
struct Sides<'a> {
    corners: &'a [DVec2],
    ends: &'a Ends,
    from: Vec<u32>,
    next: Vec<usize>,
    before: Vec<usize>,
    twin: Vec<Option<usize>>,
}

/// Convex polygons, counter-clockwise, as numbers of corners. Sides named in `ends` count as leaving and entering their
/// corners that way.
pub(super) fn convex_polygons(triangles: &Triangles, ends: &Ends) -> Vec<Vec<u32>> {
    let mut sides = Sides::new(triangles, ends);
    let mut diagonals: Vec<(f64, usize)> = (0..sides.from.len())
        .filter_map(|side| {
            let twin = sides.twin[side]?;
            let length = sides.at(side).distance_squared(sides.at(twin));
            (side < twin).then_some((length, side))
        })
        .collect();
    // The longest first: short ones left over part less.
    diagonals.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut is_gone = vec![false; sides.from.len()];
    for (_, side) in diagonals {
        let Some(twin) = sides.twin[side] else { continue };
        let (before_side, after_side) = (sides.before[side], sides.next[side]);
        let (before_twin, after_twin) = (sides.before[twin], sides.next[twin]);
        if sides.is_convex(before_side, after_twin) && sides.is_convex(before_twin, after_side) {
            (sides.next[before_side], sides.before[after_twin]) = (after_twin, before_side);
            (sides.next[before_twin], sides.before[after_side]) = (after_side, before_twin);
            (is_gone[side], is_gone[twin]) = (true, true);
        }
    }
    let mut polygons = Vec::new();
    for start in 0..sides.from.len() {
        if is_gone[start] {
            continue;
        }
        let mut polygon = Vec::new();
        let mut side = start;
        while !is_gone[side] {
            is_gone[side] = true;
            polygon.push(sides.from[side]);
            side = sides.next[side];
        }
        polygons.push(polygon);
    }
    polygons
}

impl<'a> Sides<'a> {
    fn new(triangles: &'a Triangles, ends: &'a Ends) -> Self {
        let count = 3 * triangles.triangles.len();
        let from: Vec<u32> = triangles.triangles.iter().flatten().copied().collect();
        let next: Vec<usize> = (0..count).map(|i| if i % 3 == 2 { i - 2 } else { i + 1 }).collect();
        let before: Vec<usize> = (0..count).map(|i| if i % 3 == 0 { i + 2 } else { i - 1 }).collect();
        let by_ends: HashMap<[u32; 2], usize> = (0..count).map(|i| ([from[i], from[next[i]]], i)).collect();
        let twin = (0..count).map(|i| by_ends.get(&[from[next[i]], from[i]]).copied()).collect();
        Self { corners: &triangles.corners, ends, from, next, before, twin }
    }

    fn at(&self, side: usize) -> DVec2 {
        self.corners[self.from[side] as usize]
    }

    /// A polygon that went along one side and then along another, which begins where the first ends, would not bend
    /// inwards.
    fn is_convex(&self, into: usize, out: usize) -> bool {
        let key = |side: usize| [self.from[side], self.end(side)];
        let (bent_in, bent_out) = (self.ends.get(&key(into)), self.ends.get(&key(out)));
        let corner = |number: u32| self.corners[number as usize];
        let (a, b, c) = (self.at(into), self.at(out), corner(self.end(out)));
        if bent_in.is_none() && bent_out.is_none() && turn(a, b, c) > 0.0 {
            return true;
        }
        let into = bent_in.map_or((b - a).normalize_or_zero(), |ends| ends[1]);
        let out = bent_out.map_or((c - b).normalize_or_zero(), |ends| ends[0]);
        let across = into.perp_dot(out);
        across > STRAIGHT || (across >= -STRAIGHT && into.dot(out) > 0.0)
    }

    /// The corner at which a side ends: its triangle's next, which stays when diagonals go.
    fn end(&self, side: usize) -> u32 {
        self.from[if side % 3 == 2 { side - 2 } else { side + 1 }]
    }
}

/// Positive if three points turn left, negative if right, 0 only if they lie on a line: the sign is exact (Shewchuk,
/// Discrete & Computational Geometry 18 (1997) 305).
pub(super) fn turn(a: DVec2, b: DVec2, c: DVec2) -> f64 {
    let coord = |p: DVec2| Coord { x: p.x, y: p.y };
    orient2d(coord(a), coord(b), coord(c))
}
