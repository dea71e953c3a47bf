//! Pairs of solids made ready for many evaluations, kept from sweep to sweep.

use glam::DVec3;

use super::item::{Classes, Item, Ready};
use super::sides::Sides;
use super::slots::Slots;
use super::window::Window;
use crate::convex::{self, Corner};
use crate::pair::general::{self, Warm};
use crate::pair::parallel::{self, Track};
use crate::pair::square::Square;
use crate::pair::travel::Travel;
use crate::{Separation, search};

/// The kernels of a channel.
#[derive(Clone, Debug, Default)]
pub(super) struct Kernels {
    slots: Slots,
    kernels: Vec<Kernel>,
    corners: Vec<Corner>,
    /// Number of corners that belong to no kernel any more.
    dead: usize,
    /// Where a search is needed, overlaps are told as a gap of 0.
    pub leaves_out_depths: bool,
    /// Work since the last [`Kernels::begin`].
    pub built: usize,
    pub gaps: usize,
}

#[derive(Clone, Debug)]
struct Kernel {
    /// Ids of the solids, their places in their groups, and their versions.
    solids: [u32; 2],
    places: (u32, u32),
    changed: [u64; 2],
    kind: Kind,
    /// The last range of shifts asked for, and the least gap in it.
    known: Option<((f64, f64), search::Least)>,
    /// All there is to say of that gap, if it was found by the way.
    separation: Option<Box<Separation>>,
    /// The last overlaps whose depths were found, by shift.
    overlaps: Vec<(f64, Separation)>,
    /// What is remembered of evaluations by travel; nothing before the first.
    memory: Option<Box<Memory>>,
}

/// What is remembered of a pair's evaluations.
#[derive(Clone, Debug)]
struct Memory {
    /// The last evaluations by travel, and the window they are for.
    window: Window,
    tangents: [Tangent; KEPT],
    next: usize,
    /// Where the gap faced when it was evaluated last, and lines below which it never is, from where it faced before the
    /// solids were turned or moved.
    normals: [Option<DVec3>; KEPT],
    lines: [Line; KEPT],
}

impl Memory {
    const NOTHING: Self = Self {
        window: Window::NONE,
        tangents: [Tangent::NONE; KEPT],
        next: 0,
        normals: [None; KEPT],
        lines: [Line::NONE; KEPT],
    };
}

/// Evaluations remembered.
const KEPT: usize = 4;

/// A gap at a travel and its slope: a line below which the gap never is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tangent {
    pub s: f64,
    pub gap: f64,
    pub slope: f64,
}

/// A line over the shift below which a gap never is.
#[derive(Clone, Copy, Debug)]
struct Line {
    /// At shift 0.
    gap: f64,
    slope: f64,
}

impl Line {
    const NONE: Self = Self { gap: f64::NEG_INFINITY, slope: 0.0 };

    /// Heights and slope over the travel in a window of one shift at a travel; none in others.
    fn over(&self, window: &Window) -> Tangent {
        if window.low == window.high {
            Tangent { s: 0.0, gap: self.gap + self.slope * window.low, slope: self.slope * window.slope }
        } else {
            Tangent::NONE
        }
    }
}

impl Tangent {
    const NONE: Self = Self { s: f64::NAN, gap: f64::NEG_INFINITY, slope: 0.0 };

    fn at(&self, s: f64) -> f64 {
        self.gap + self.slope * (s - self.s)
    }
}

#[derive(Clone, Debug)]
enum Kind {
    Closed {
        first: u32,
        count: u32,
        track: Track,
        /// Shifts known to have the least gap of all, and that gap: all between have it too.
        floor: Option<(f64, f64, f64)>,
    },
    /// Axes square to each other; where there is no closed form, as below.
    Square {
        first: u32,
        count: u32,
        square: Box<Square>,
        warm: Box<Warm>,
    },
    /// With what the last search ended with.
    General(Box<Warm>),
    Never,
}

impl Kernels {
    /// Gets ready for groups of the given sizes; false if kernels of other sizes had to be dropped.
    pub(super) fn begin(&mut self, a: usize, b: usize) -> bool {
        // Corners of replaced solids are left behind; start afresh when they have piled up.
        let crowded = self.dead > self.corners.len() / 2 && self.dead > 1024;
        let kept = self.slots.is_for(a, b) && !crowded;
        if !kept {
            self.slots = Slots::new(a, b);
            self.kernels.clear();
            self.corners.clear();
            self.dead = 0;
        }
        self.built = 0;
        self.gaps = 0;
        kept
    }

    /// The number of the kernel for two places.
    pub(super) fn find(&mut self, sides: &Sides<'_>, place_a: u32, place_b: u32) -> usize {
        let (ia, ib) = (sides.a.members[place_a as usize], sides.b.members[place_b as usize]);
        let (a, b) = (&sides.items[ia as usize], &sides.items[ib as usize]);
        let known = self.slots.get(place_a, place_b);
        if let Some(known) = known
            && self.kernels[known].changed == [a.changed, b.changed]
        {
            return known;
        }
        self.built += 1;
        let kind = self.build(sides, a, b);
        let mut memory: Option<Box<Memory>> = None;
        if let (Kind::General(_) | Kind::Square { .. }, Some([a, b]), Some(before)) =
            (&kind, bodies(sides, [ia, ib]), known.and_then(|k| self.kernels.get(k)))
        {
            let normals = before.memory.iter().flat_map(|memory| memory.normals.iter().flatten());
            for (k, n) in normals.enumerate().take(KEPT) {
                let (gap, slope) = general::slab(&a.body, &b.body, DVec3::X, *n);
                memory.get_or_insert_with(|| Box::new(Memory::NOTHING)).lines[k] = Line { gap, slope };
            }
        }
        let kernel = Kernel {
            solids: [ia, ib],
            places: (place_a, place_b),
            changed: [a.changed, b.changed],
            kind,
            known: None,
            separation: None,
            overlaps: Vec::new(),
            memory,
        };
        if let Some(known) = known {
            let old = std::mem::replace(&mut self.kernels[known], kernel).kind;
            self.take_place(known, &old);
            return known;
        }
        let number = self.kernels.len();
        self.kernels.push(kernel);
        self.slots.set(place_a, place_b, number);
        number
    }

    /// Puts a kernel's corners, the last ones, in the place of those it had before, if they fit there.
    fn take_place(&mut self, kernel: usize, old: &Kind) {
        let (Kind::Closed { first: old, count: room, .. } | Kind::Square { first: old, count: room, .. }) =
            *old
        else {
            return;
        };
        match &mut self.kernels[kernel].kind {
            Kind::Closed { first, count, .. } | Kind::Square { first, count, .. } if *count <= room => {
                let (from, length) = (*first as usize, *count as usize);
                self.corners.copy_within(from..from + length, old as usize);
                self.corners.truncate(from);
                *first = old;
                self.dead += (room - *count) as usize;
            }
            _ => self.dead += room as usize,
        }
    }

    fn build(&mut self, sides: &Sides<'_>, a: &Item, b: &Item) -> Kind {
        let (Some(ra), Some(rb)) = (&a.ready, &b.ready) else { return Kind::Never };
        let mask = ra.mask & rb.mask;
        if mask == 0 {
            let first = self.corners.len();
            return match Square::new(
                (&ra.solid, &ra.body),
                (&rb.solid, &rb.body),
                DVec3::X,
                &mut self.corners,
            ) {
                Some(square) => Kind::Square {
                    first: first as u32,
                    count: (self.corners.len() - first) as u32,
                    square: Box::new(square),
                    warm: Box::default(),
                },
                None => Kind::General(Box::default()),
            };
        }
        let class = mask.trailing_zeros() as usize;
        let own = |ready| Ready::section(ready, sides.classes, class);
        let (Some(sa), Some(sb)) = (own(ra), own(rb)) else { return Kind::General(Box::default()) };
        let first = self.corners.len();
        convex::difference(&sa.outline, &sb.outline, &mut self.corners);
        Kind::Closed {
            first: first as u32,
            count: (self.corners.len() - first) as u32,
            track: Track::new(&sa, &sb, sides.classes.travel(class)),
            floor: None,
        }
    }

    /// The two solids of a kernel.
    pub(super) fn solids(&self, kernel: usize) -> [u32; 2] {
        self.kernels[kernel].solids
    }

    /// The places of a kernel's solids in their groups; `None` for no kernel.
    pub(super) fn places(&self, kernel: usize) -> Option<(u32, u32)> {
        self.kernels.get(kernel).map(|k| k.places)
    }

    /// Signed gap at the shift `u` and its slope; 0 for an overlap where depths are left out.
    pub(super) fn gap(&mut self, sides: &Sides<'_>, kernel: usize, u: f64) -> (f64, f64) {
        self.evaluated(sides, kernel, u, !self.leaves_out_depths).unwrap_or((0.0, 0.0))
    }

    /// As [`Kernels::gap`]; without depths `None` for an overlap whose depth would take a search.
    fn evaluated(
        &mut self,
        sides: &Sides<'_>,
        kernel: usize,
        u: f64,
        with_depths: bool,
    ) -> Option<(f64, f64)> {
        self.gaps += 1;
        let Kernel { solids, kind, overlaps, .. } = &mut self.kernels[kernel];
        let warm = match kind {
            Kind::Closed { first, count, track, floor } => {
                if let Some((low, high, gap)) = *floor
                    && u >= low
                    && u <= high
                {
                    return Some((gap, 0.0));
                }
                let planar = &self.corners[*first as usize..(*first + *count) as usize];
                let (gap, slope) = track.gap(planar, u);
                if slope == 0.0 && track.is_square() {
                    let (low, high) = floor.map_or((u, u), |(low, high, _)| (low.min(u), high.max(u)));
                    *floor = Some((low, high, gap));
                }
                return Some((gap, slope));
            }
            Kind::Square { first, count, square, warm } => {
                let views = &self.corners[*first as usize..(*first + *count) as usize];
                if let Some(found) = square.gap(views, u) {
                    return Some(found);
                }
                warm
            }
            Kind::General(warm) => warm,
            Kind::Never => return Some((f64::INFINITY, 0.0)),
        };
        let Some([a, b]) = bodies(sides, *solids) else { return Some((f64::INFINITY, 0.0)) };
        let shift = u * DVec3::X;
        let found = if with_depths {
            let (gap, normal, overlap) = general::gap(&a.body, &b.body, shift, warm);
            if let Some(overlap) = overlap {
                if overlaps.len() == OVERLAPS {
                    overlaps.clear();
                }
                overlaps.push((u, overlap));
            }
            Some((gap, normal))
        } else {
            general::gap_apart(&a.body, &b.body, shift, warm).filter(|(gap, _)| *gap > 0.0)
        };
        warm.normal = found.map(|(_, normal)| normal).filter(|normal| normal.is_finite());
        found.map(|(gap, normal)| (gap, normal.x))
    }

    /// Heights and slopes at two travels of lines below which a pair's gap never is, from what has been evaluated.
    pub(super) fn at_least(&self, kernel: usize, window: &Window, ends: (f64, f64)) -> ([f64; 2], [f64; 2]) {
        let Some(known) = &self.kernels[kernel].memory else {
            return ([f64::NEG_INFINITY; 2], [0.0; 2]);
        };
        let tangents = if known.window == *window { &known.tangents[..] } else { &[] };
        let lines = known.lines.map(|line| line.over(window));
        let at = |s: f64| {
            let mut best = (f64::NEG_INFINITY, 0.0);
            for t in tangents.iter().chain(&lines) {
                // One that is not there compares with nothing.
                let height = t.at(s);
                if height > best.0 {
                    best = (height, t.slope);
                }
            }
            best
        };
        let ((f0, g0), (f1, g1)) = (at(ends.0), at(ends.1));
        ([f0, f1], [g0, g1])
    }

    /// True if a pair's gap at a travel is known not to be below a limit.
    pub(super) fn is_above(&self, kernel: usize, window: &Window, s: f64, limit: f64) -> bool {
        self.at_least(kernel, window, (s, s)).0[0] >= limit
    }

    /// As [`Kernels::gap_at`], remembered for the next.
    pub(super) fn gap_kept(
        &mut self,
        sides: &Sides<'_>,
        kernel: usize,
        window: &Window,
        whole: (f64, f64),
        s: f64,
    ) -> Tangent {
        let known = self.kernels[kernel].memory.get_or_insert_with(|| Box::new(Memory::NOTHING));
        if known.window != *window {
            (known.window, known.tangents) = (*window, [Tangent::NONE; KEPT]);
        }
        if let Some(t) = known.tangents.iter().find(|t| t.s == s) {
            return *t;
        }
        let (gap, slope) = self.gap_at(sides, kernel, window, whole, s);
        let tangent = Tangent { s, gap, slope };
        let known = &mut self.kernels[kernel];
        let normal = match &known.kind {
            Kind::General(warm) | Kind::Square { warm, .. } => warm.normal,
            Kind::Closed { .. } | Kind::Never => None,
        };
        if let Some(memory) = &mut known.memory {
            memory.tangents[memory.next] = tangent;
            memory.normals[memory.next] = normal;
            memory.next = (memory.next + 1) % KEPT;
        }
        tangent
    }

    /// The least gap at the travel `s`, and its slope over the travel; `whole` is all the shifts of the sweep.
    pub(super) fn gap_at(
        &mut self,
        sides: &Sides<'_>,
        kernel: usize,
        window: &Window,
        whole: (f64, f64),
        s: f64,
    ) -> (f64, f64) {
        let (low, high) = window.at(s);
        if low == high {
            let (f, g) = self.gap(sides, kernel, low);
            return (f, g * window.slope);
        }
        // A free group follows to where the gap is least of all, if it can; otherwise it stops at its end.
        let least = self.least(sides, kernel, whole, f64::INFINITY);
        if least.from > high || least.to < low {
            let (f, g) = self.gap(sides, kernel, if least.from > high { high } else { low });
            return (f, g * window.slope);
        }
        (least.value, 0.0)
    }

    /// The least gap for shifts between two, with one shift at which it is met (all of them: [`Kernels::span`]).
    /// One that is proved to be no less than `enough` may be sought no further.
    pub(super) fn least(
        &mut self,
        sides: &Sides<'_>,
        kernel: usize,
        (u0, u1): (f64, f64),
        enough: f64,
    ) -> search::Least {
        let Kernel { solids, kind, known, separation, .. } = &mut self.kernels[kernel];
        if let Some((range, least)) = known {
            // What is least within one range, the gap being convex, is least in any that holds the place.
            let is_within = range.0 < least.from && least.to < range.1 && u0 <= least.from && least.to <= u1;
            if *range == (u0, u1) || is_within {
                *range = (u0, u1);
                return *least;
            }
        }
        self.gaps += 1;
        *separation = None;
        let least = match kind {
            Kind::Closed { first, count, track, .. } => {
                let planar = &self.corners[*first as usize..(*first + *count) as usize];
                track.least_somewhere(planar, u0, u1)
            }
            Kind::Square { warm, .. } | Kind::General(warm) => match bodies(sides, *solids) {
                Some([a, b]) => {
                    let travel = Travel { direction: DVec3::X, from: u0, to: u1 };
                    let sought = if self.leaves_out_depths { None } else { Some(enough) };
                    let (least, found) = general::least(&a.body, &b.body, travel, sought, warm);
                    *separation = found.map(Box::new);
                    least
                }
                None => NEVER,
            },
            Kind::Never => NEVER,
        };
        // What was sought no further is not remembered.
        if !(least.lower >= enough && least.value > least.lower) {
            *known = Some(((u0, u1), least));
        }
        least
    }

    /// The separation of two solids at the shift `u`, in the travel frame: in closed form, or what a search there ended
    /// with; `None` where neither is there.
    pub(super) fn separation(&self, a: &Item, b: &Item, u: f64, classes: &Classes) -> Option<Separation> {
        let known = self.kernels.get(self.slots.get(a.place, b.place)?)?;
        if known.changed != [a.changed, b.changed] {
            return None;
        }
        if let Kind::Closed { first, count, track, .. } = &known.kind {
            let (ra, rb) = (a.ready.as_ref()?, b.ready.as_ref()?);
            let class = (ra.mask & rb.mask).trailing_zeros() as usize;
            let (sa, sb) = (ra.section(classes, class)?, rb.section(classes, class)?);
            let planar = &self.corners[*first as usize..(*first + *count) as usize];
            let found = track.separation(planar, &sa, &sb, u);
            return Some(parallel::mapped(found, (classes.frame(class), DVec3::ZERO)));
        }
        let at_least = known.known.is_some_and(|(_, least)| least.from == u && least.to == u);
        known
            .separation
            .as_deref()
            .copied()
            .filter(|_| at_least)
            .or_else(|| known.overlaps.iter().find(|(at, _)| (at - u).abs() < SAME).map(|(_, found)| *found))
    }

    /// The shifts between two at which a pair has its least gap, `found` for it.
    pub(super) fn span(&self, kernel: usize, (u0, u1): (f64, f64), found: &search::Least) -> (f64, f64) {
        match self.kernels.get(kernel).map(|k| &k.kind) {
            Some(Kind::Closed { first, count, track, .. }) => {
                let planar = &self.corners[*first as usize..(*first + *count) as usize];
                track.span(planar, u0, u1, 0.5 * (found.from + found.to))
            }
            _ => (found.from, found.to),
        }
    }

    /// The shifts between `u0` and `u1` at which the gap is at most `level`, given a shift `inside` at which it is.
    pub(super) fn within(
        &mut self,
        sides: &Sides<'_>,
        kernel: usize,
        (u0, u1): (f64, f64),
        inside: f64,
        level: f64,
    ) -> (f64, f64) {
        if u0 == u1 {
            return (u0, u1);
        }
        let is_searched = matches!(self.kernels[kernel].kind, Kind::Square { .. } | Kind::General(_));
        let reached = if is_searched { NEAR_ENOUGH } else { search::ROUNDING } * (1.0 + level.abs());
        let mut end = |outside: f64| {
            // No depth is less than a level that is none.
            let eval = |u: f64| match self.evaluated(sides, kernel, u, level < 0.0) {
                Some((gap, slope)) => search::Side::Known(gap, slope),
                None => search::Side::Below,
            };
            search::crossing(eval, (outside, inside), level, reached)
        };
        (end(u0), end(u1))
    }
}

/// Where a gap that takes a search crosses a level is told as near as this (mm, and as a share of the level).
const NEAR_ENOUGH: f64 = 1e-8;

/// The least gap of a solid that is not sound.
const NEVER: search::Least = search::Least { from: 0.0, to: 0.0, value: f64::INFINITY, lower: f64::INFINITY };

/// Shifts that differ by less are one but for rounding (mm).
const SAME: f64 = 1e-10;

/// So many overlaps of a pair are remembered at most.
const OVERLAPS: usize = 32;

fn bodies<'a>(sides: &Sides<'a>, [a, b]: [u32; 2]) -> Option<[&'a Ready; 2]> {
    Some([sides.items[a as usize].ready.as_ref()?, sides.items[b as usize].ready.as_ref()?])
}
