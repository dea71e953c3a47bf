//! The least way out of a union of convex sets, by branch and bound over directions.

use std::cmp::Ordering;
use std::collections::{BinaryHeap, HashMap};

use glam::DVec3;

use super::cell::uncovered;
use super::set::{Chord, Set};

/// The least way out of a union, between two bounds.
#[derive(Clone, Copy, Debug)]
pub(super) struct WayOut {
    /// No way out is shorter than this (mm).
    pub(super) low: f64,
    /// The shortest that was found (mm).
    pub(super) high: f64,
    /// Its unit direction.
    pub(super) direction: DVec3,
}

/// A triangle of directions, by the numbers of its corners.
struct Triangle {
    bound: f64,
    lowest: DVec3,
    corners: [u32; 3],
}

impl PartialEq for Triangle {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Triangle {}

impl PartialOrd for Triangle {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Triangle {
    /// The least bound first, of a heap that gives the greatest; then by number, so that the search repeats itself.
    fn cmp(&self, other: &Self) -> Ordering {
        other.bound.total_cmp(&self.bound).then_with(|| other.corners.cmp(&self.corners))
    }
}

/// A search under way.
pub(super) struct Search<'a> {
    sets: &'a mut [Set],
    from: DVec3,
    tolerance: f64,
    best: (f64, DVec3),
    rays: usize,
}

impl<'a> Search<'a> {
    /// From a shift, to `tolerance` (mm); `best` is a way out that is known.
    pub(super) fn new(sets: &'a mut [Set], from: DVec3, tolerance: f64, best: (f64, DVec3)) -> Self {
        Self { sets, from, tolerance, best, rays: 0 }
    }

    /// The sets' chords along a direction; a shorter way out is kept.
    fn look(&mut self, direction: DVec3) -> Vec<Chord> {
        /// Looks closer so many times at most.
        const LOOKS: usize = 6;
        self.rays += 1;
        let (from, tolerance) = (self.from, 0.1 * self.tolerance);
        let mut about = self.best.0;
        let mut chords = Vec::new();
        for _ in 0..LOOKS {
            chords.clear();
            let longest = self.best.0;
            chords.extend(self.sets.iter_mut().map(|set| {
                if set.may_meet(from, direction, longest) {
                    set.chord(from, direction, about, tolerance)
                } else {
                    Chord::default()
                }
            }));
            let way = first_gap(chords.iter().filter_map(|chord| chord.outer));
            if way < self.best.0 {
                self.best = (way, direction);
            }
            // Where there may be a shorter way out yet, the sets are bounded closer there.
            let shortest = first_gap(chords.iter().filter_map(|chord| chord.inner));
            if shortest >= self.best.0 - tolerance || way - shortest <= self.tolerance || shortest == about {
                break;
            }
            about = shortest;
        }
        chords
    }

    /// Tries directions.
    pub(super) fn try_all(&mut self, directions: impl IntoIterator<Item = DVec3>) {
        for direction in directions {
            self.look(direction);
        }
    }

    /// The way out that was found so far.
    pub(super) fn best(&self) -> (f64, DVec3) {
        self.best
    }

    /// Proves the least way out; with at most so many rays.
    pub(super) fn prove(mut self, most_rays: usize) -> WayOut {
        let mut corners: Vec<(DVec3, Vec<Chord>)> = Vec::with_capacity(64);
        for direction in [DVec3::X, DVec3::NEG_X, DVec3::Y, DVec3::NEG_Y, DVec3::Z, DVec3::NEG_Z] {
            let chords = self.look(direction);
            corners.push((direction, chords));
        }
        let mut middles: HashMap<(u32, u32), u32> = HashMap::new();
        let mut open = BinaryHeap::new();
        for x in [0, 1] {
            for y in [2, 3] {
                for z in [4, 5] {
                    let turns_left = (x + y + z) % 2 == 0;
                    let own = if turns_left { [x, y, z] } else { [x, z, y] };
                    open.push(triangle(&corners, own, 0.0));
                }
            }
        }
        let mut low = self.best.0;
        while let Some(Triangle { bound, lowest, corners: own }) = open.pop() {
            if bound >= self.best.0 - self.tolerance {
                low = low.min(bound);
                break;
            }
            if self.rays >= most_rays {
                low = low.min(bound);
                break;
            }
            self.look(lowest);
            if bound >= self.best.0 - self.tolerance {
                open.push(Triangle { bound, lowest, corners: own });
                continue;
            }
            // Halved across its longest edge.
            let length = |k: usize| {
                let [p, q] = [own[k], own[(k + 1) % 3]].map(|i| corners[i as usize].0);
                p.distance_squared(q)
            };
            let k = if length(1) > length(0) { 1 } else { 0 };
            let k = if length(2) > length(k) { 2 } else { k };
            let (p, q, r) = (own[k], own[(k + 1) % 3], own[(k + 2) % 3]);
            let middle = *middles.entry((p.min(q), p.max(q))).or_insert_with(|| {
                let direction = (corners[p as usize].0 + corners[q as usize].0).normalize_or(DVec3::X);
                let chords = self.look(direction);
                corners.push((direction, chords));
                corners.len() as u32 - 1
            });
            for half in [[p, middle, r], [middle, q, r]] {
                open.push(triangle(&corners, half, bound));
            }
        }
        WayOut { low: low.min(self.best.0), high: self.best.0, direction: self.best.1 }
    }
}

/// Where on from 0 the first place is that lies in none of some open stretches.
fn first_gap(stretches: impl Iterator<Item = (f64, f64)>) -> f64 {
    let mut covered: Vec<(f64, f64)> = stretches.collect();
    covered.sort_by(|p, q| p.0.total_cmp(&q.0));
    let mut way = 0.0f64;
    for (entry, exit) in covered {
        if entry < way || (entry <= 0.0 && way == 0.0) {
            way = way.max(exit);
        } else if entry > way {
            break;
        }
    }
    way
}

fn triangle(corners: &[(DVec3, Vec<Chord>)], own: [u32; 3], least: f64) -> Triangle {
    let [p, q, r] = own.map(|i| &corners[i as usize]);
    let (bound, lowest) = uncovered([p.0, q.0, r.0], [&p.1, &q.1, &r.1]);
    Triangle { bound: bound.max(least), lowest, corners: own }
}
