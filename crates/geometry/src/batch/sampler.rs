//! One variant at a time, changed in place.

use glam::DVec3;

use super::change::{Change, Piece};
use super::{Batch, Entry, Watched};
use crate::convex::{self, Corner};
use crate::pair::general::{self, Warm};
use crate::pair::parallel::Track;
use crate::pair::section::Section;
use crate::pair::support::Body;
use crate::pair::travel::Travel;
use crate::scene::{BaseSolid, Ready};
use crate::{ChannelId, Solid, SolidId, search};

/// The least gap of a variant over the travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VariantLeast {
    /// Signed gap less what is taken off it (mm), an upper bound of the truth; infinite if no listed pair is left.
    pub gap: f64,
    /// Certified lower bound (mm): below `gap` by more than the solver's error only if the changes are so large
    /// that pairs beyond the batch's reach might have come nearer.
    pub lower: f64,
    /// The solid of the channel's first group.
    pub a: SolidId,
    /// The solid of the channel's second group.
    pub b: SolidId,
    /// The second group's shift less the first's where the gap is least (mm).
    pub shift: f64,
}

/// A variant of a [`Batch`], changed and asked again and again. It keeps its memory, so that after the first few
/// variants [`Sampler::change`] and [`Sampler::least`] take none anew.
#[derive(Clone)]
pub struct Sampler<'a> {
    batch: &'a Batch,
    now: Vec<Now>,
    /// The solids that differ from the base.
    touched: Vec<u32>,
    planar: Vec<Corner>,
}

/// The state of one solid.
#[derive(Clone)]
struct Now {
    /// Against the piece; the shift in the travel frame.
    change: Change,
    /// Greatest distance that its points have moved (mm); infinite for another solid in its place.
    moved: f64,
    touched: bool,
    low: DVec3,
    high: DVec3,
    /// True if they go with `change`.
    sections_fresh: bool,
    body_fresh: bool,
    sections: Vec<Section>,
    body: Option<Body>,
    /// Another solid in the base's place.
    other: Option<Box<Piece>>,
}

/// A solid that has moved farther than this share of the batch's reach is compared with every other: the sorted
/// list would rule out too little.
const LOOSE: f64 = 0.25;

impl<'a> Sampler<'a> {
    pub(super) fn new(batch: &'a Batch) -> Self {
        let now = batch.pieces.iter().map(Now::at_base).collect();
        Self { batch, now, touched: Vec::new(), planar: Vec::new() }
    }

    /// Back to the base.
    pub fn reset(&mut self) {
        let Self { batch, now, touched, .. } = self;
        for id in touched.drain(..) {
            let (Some(now), Some(piece)) = (now.get_mut(id as usize), batch.pieces.get(id as usize)) else {
                continue;
            };
            if now.other.is_some() {
                *now = Now::at_base(piece);
            } else {
                now.set(piece, Change::NONE);
            }
            (now.moved, now.touched) = (0.0, false);
        }
    }

    /// Changes a solid against the base (not against what it was before). False, and nothing done, for an unknown or
    /// unsound solid or a change without meaning.
    pub fn change(&mut self, id: SolidId, change: &Change) -> bool {
        let batch = self.batch;
        let (Some(now), Some(piece)) = (self.now.get_mut(id.0 as usize), batch.pieces.get(id.0 as usize))
        else {
            return false;
        };
        if !change.is_sound() || piece.ready.is_none() {
            return false;
        }
        if now.other.is_some() {
            *now = Now { touched: true, ..Now::at_base(piece) };
        }
        now.set(piece, Change { shift: batch.outer_from_travel.transpose() * change.shift, ..*change });
        now.moved = piece.extent.moved(change);
        if !now.touched {
            now.touched = true;
            self.touched.push(id.0);
        }
        true
    }

    /// Puts any other solid (group's frame) in the place of one; one that is not sound takes part in nothing. Slower
    /// than [`Sampler::change`]. False, and nothing done, for an unknown solid.
    pub fn replace(&mut self, id: SolidId, solid: &Solid) -> bool {
        let batch = self.batch;
        let (Some(now), Some(piece)) = (self.now.get_mut(id.0 as usize), batch.pieces.get(id.0 as usize))
        else {
            return false;
        };
        let ready = Ready::new(solid.placed(&piece.pose), &batch.classes);
        let mut other = Piece::new(BaseSolid { ready, pose: piece.pose, body: piece.body }, &batch.classes);
        let known = now.touched;
        // Nothing is written over the sections of another solid: no need to keep them twice.
        let sections = std::mem::take(&mut other.sections);
        *now = Now { sections, ..Now::at_base(&other) };
        (now.other, now.moved, now.touched) = (Some(Box::new(other)), f64::INFINITY, true);
        if !known {
            self.touched.push(id.0);
        }
        true
    }

    /// The least gap of a channel over the travel; `None` for an unknown channel or a travel without meaning.
    pub fn least(&mut self, channel: ChannelId) -> Option<VariantLeast> {
        let batch = self.batch;
        let watched = batch.channels.get(channel.0 as usize)?;
        let shifts = watched.shifts?;
        let loose_from = LOOSE * batch.reach;
        // The most that any solid has moved, but for those that are looked at one by one.
        let (mut most, mut loose) = (0.0_f64, false);
        for &id in &self.touched {
            let moved = self.now[id as usize].moved;
            if moved > loose_from {
                loose = true;
            } else {
                most = most.max(moved);
            }
        }
        let mut best = VariantLeast {
            gap: f64::INFINITY,
            lower: f64::INFINITY,
            a: SolidId(u32::MAX),
            b: SolidId(u32::MAX),
            shift: 0.0,
        };
        for entry in &watched.pairs {
            if entry.left() - 2.0 * most >= best.gap {
                break;
            }
            let [a, b] = entry.solids.map(|id| self.now[id as usize].moved);
            if a > loose_from || b > loose_from {
                continue;
            }
            if a + b == 0.0 {
                if entry.left() < best.gap {
                    best = entry.described();
                }
            } else if entry.left() - a - b < best.gap {
                self.try_pair(entry.solids, entry.less, shifts, &mut best);
            }
        }
        if loose {
            self.try_loose(watched, shifts, loose_from, &mut best);
        }
        // Pairs that are not listed stand farther apart than the reach, less what they moved.
        best.lower = best.lower.min(best.gap).min(batch.reach - batch.most_less - 2.0 * most);
        Some(best)
    }

    /// Compares every loose solid with all of the other side.
    fn try_loose(&mut self, watched: &Watched, shifts: (f64, f64), loose_from: f64, best: &mut VariantLeast) {
        let [first, second] = &watched.members;
        let is_loose = |now: &[Now], id: u32| now[id as usize].moved > loose_from;
        for &a in first {
            let a_loose = is_loose(&self.now, a);
            for &b in second {
                let counts = (a_loose || is_loose(&self.now, b)) && !(watched.same && a >= b);
                if counts {
                    let less = self.batch.less([a, b]);
                    if self.boxes_within([a, b], shifts, best.gap + less) && self.wants(watched, [a, b]) {
                        self.compute([a, b], less, shifts, best);
                    }
                }
            }
        }
    }

    fn wants(&self, watched: &Watched, pair: [u32; 2]) -> bool {
        let [a, b] = pair.map(|id| self.batch.pieces[id as usize].body);
        watched.wanted.as_ref().is_none_or(|wanted| wanted(a, b))
    }

    fn try_pair(&mut self, pair: [u32; 2], less: f64, shifts: (f64, f64), best: &mut VariantLeast) {
        if self.boxes_within(pair, shifts, best.gap + less) {
            self.compute(pair, less, shifts, best);
        }
    }

    /// True if the boxes of a pair leave room for a gap below the limit.
    fn boxes_within(&self, pair: [u32; 2], (u0, u1): (f64, f64), limit: f64) -> bool {
        let [a, b] = pair.map(|id| &self.now[id as usize]);
        let ahead = b.low + DVec3::X * u0 - a.high;
        let behind = a.low - b.high - DVec3::X * u1;
        let off = ahead.max(behind);
        // The width of a slab is a lower bound of the signed distance.
        if !(off.max_element() < limit) {
            return false;
        }
        limit <= 0.0 || off.max(DVec3::ZERO).length_squared() < limit * limit
    }

    /// Computes a pair anew and keeps it if it is nearer than the best.
    fn compute(&mut self, pair: [u32; 2], less: f64, shifts: (f64, f64), best: &mut VariantLeast) {
        if let Some(least) = self.pair(pair, shifts)
            && least.value - less < best.gap
        {
            *best = Entry { solids: pair, least, less }.described();
        }
    }

    fn pair(&mut self, pair: [u32; 2], (u0, u1): (f64, f64)) -> Option<search::Least> {
        let Self { batch, now, planar, .. } = self;
        let piece = |now: &[Now], id: u32| -> Option<u32> {
            let now = &now[id as usize];
            now.other.as_deref().unwrap_or(&batch.pieces[id as usize]).ready.as_ref().map(|r| r.mask)
        };
        let mask = piece(now, pair[0])? & piece(now, pair[1])?;
        if mask != 0 {
            let class = mask.trailing_zeros() as usize;
            let mut slots = [0; 2];
            for (slot, id) in slots.iter_mut().zip(pair) {
                *slot = now[id as usize].freshen_sections(&batch.pieces[id as usize], batch, class);
            }
            let section = |side: usize| now[pair[side] as usize].sections.get(slots[side]);
            if let (Some(a), Some(b)) = (section(0), section(1)) {
                planar.clear();
                convex::difference(&a.outline, &b.outline, planar);
                let track = Track::new(a, b, batch.classes.travel(class));
                return Some(track.least_somewhere(planar, u0, u1));
            }
        }
        for id in pair {
            now[id as usize].freshen_body(&batch.pieces[id as usize]);
        }
        let [a, b] = pair.map(|id| now[id as usize].body.as_ref());
        let travel = Travel { direction: DVec3::X, from: u0, to: u1 };
        Some(general::least(a?, b?, travel, Some(f64::INFINITY), &mut Warm::default()).0)
    }
}

impl Now {
    fn at_base(piece: &Piece) -> Self {
        let mut now = Self {
            change: Change::NONE,
            moved: 0.0,
            touched: false,
            low: DVec3::INFINITY,
            high: DVec3::NEG_INFINITY,
            sections_fresh: true,
            body_fresh: true,
            sections: piece.sections.clone(),
            body: piece.ready.as_ref().map(|ready| ready.body.clone()),
            other: None,
        };
        (now.low, now.high) = piece.extent.bounds(&Change::NONE);
        now
    }

    /// The change's shift is in the travel frame.
    fn set(&mut self, piece: &Piece, change: Change) {
        self.change = change;
        (self.low, self.high) = piece.extent.bounds(&change);
        (self.sections_fresh, self.body_fresh) = (false, false);
    }

    /// Brings the sections up to date; returns the number of the one in a class.
    fn freshen_sections(&mut self, base: &Piece, batch: &Batch, class: usize) -> usize {
        if let Some(other) = &self.other {
            return other.slot(class);
        }
        if !self.sections_fresh {
            base.write_sections(&self.change, &batch.classes, &mut self.sections);
            self.sections_fresh = true;
        }
        base.slot(class)
    }

    fn freshen_body(&mut self, base: &Piece) {
        if !self.body_fresh {
            if let Some(body) = &mut self.body {
                base.write_body(&self.change, body);
            }
            self.body_fresh = true;
        }
    }
}

impl Entry {
    fn described(&self) -> VariantLeast {
        let (search::Least { from, to, lower, .. }, [a, b]) = (self.least, self.solids);
        let (gap, lower) = (self.left(), lower - self.less);
        VariantLeast { gap, lower, a: SolidId(a), b: SolidId(b), shift: 0.5 * (from + to) }
    }
}
