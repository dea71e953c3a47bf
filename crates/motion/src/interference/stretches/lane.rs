//! The gap between a stretch of line that changes and one solid, over the whole stroke.
//!
//! At each travel the two are convex, and a separating slab is known with their gap: all of the solid lies beyond a
//! plane square to the slab's normal, all of the stretch before another. Both planes' places at any other travel follow
//! from the support of the stretch there and the solid's shift, so one slab bounds the gap from below at every travel.
//! Where the stretch stays parallel to the rail that bound is a concave function of travel, on each interval no less
//! than its chord; where it turns, less than that by no more than an eighth of h² times the greatest curvature of its
//! outermost points' ways (h the interval; see `course`). So intervals that cannot
//! hold the least gap, or one below a level, are left out with proof, and the next travel looked at is where two
//! neighbouring bounds meet. Own derivation; the tests sample densely with a reference library.

use glam::DVec3;
use glidewright_geometry::{Separation, Solid};

/// Least gaps and levels are settled to this (mm).
pub(super) const SETTLED: f64 = 1e-4;
/// A dip below a level in less travel than this is not looked for (mm).
const SHORTEST: f64 = 1e-3;
/// Between travels nearer each other than this nothing is looked for (mm).
const NARROWEST: f64 = 1e-7;
/// Travels looked at before a search gives up; its bounds still hold.
const MOST: usize = 400;

/// What a lane asks of the two things it is about.
pub(super) trait Course {
    /// Their separation at a travel, the stretch first, in the rail frame.
    fn separation(&self, travel: f64) -> Separation;
    /// Support of the stretch along a unit direction at a travel (mm).
    fn support(&self, direction: DVec3, travel: f64) -> f64;
    /// How far the other begins along a direction at a travel, if it began at `begins` at the travel `at` (mm).
    fn begins(&self, direction: DVec3, begins: f64, at: f64, travel: f64) -> f64;
    /// How far what a slab square to `normal`, found at `travel`, says of the gap may lie below its chord on an interval
    /// of this width (mm); 0 where nothing turns.
    fn slack(&self, normal: DVec3, travel: f64, width: f64) -> f64;
}

/// The separation at one travel.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sample {
    pub(super) travel: f64,
    pub(super) separation: Separation,
    /// How far along the normal the other begins (mm).
    begins: f64,
}

/// Bounds between two neighbouring samples: values at both ends of what the first and the second sample's slab say.
#[derive(Clone, Copy, Debug)]
struct Link {
    first: (f64, f64),
    second: (f64, f64),
    /// The least both allow, and the share of the way where.
    bound: f64,
    share: f64,
}

/// Samples in order of travel and the bounds between them.
#[derive(Clone, Debug, Default)]
pub(super) struct Lane {
    samples: Vec<Sample>,
    links: Vec<Link>,
}

impl Lane {
    /// Looks at both ends of the stroke.
    pub(super) fn new(course: &impl Course, from: f64, to: f64) -> Self {
        let mut lane = Self { samples: vec![sample(course, from)], links: Vec::new() };
        if to > from {
            let last = sample(course, to);
            let first = lane.samples[0];
            lane.links.push(link(course, &first, &last));
            lane.samples.push(last);
        }
        lane
    }

    /// The sample with the least gap.
    pub(super) fn least(&self) -> Option<&Sample> {
        let sound = self.samples.iter().filter(|sample| sample.separation.is_valid());
        sound.min_by(|a, b| a.separation.gap.total_cmp(&b.separation.gap))
    }

    /// No gap over the stroke is less than this (mm).
    pub(super) fn lower(&self) -> f64 {
        let between = self.links.iter().map(|link| link.bound);
        self.samples.iter().map(|sample| sample.separation.lower).chain(between).fold(f64::INFINITY, f64::min)
    }

    /// Finds the least gap over the stroke, if it may be less than `ceiling` (mm).
    pub(super) fn search(&mut self, course: &impl Course, ceiling: f64) {
        while self.samples.len() < MOST && self.is_sound() {
            let best = self.least().map_or(f64::INFINITY, |sample| sample.separation.gap);
            let goal = (best - SETTLED).min(ceiling);
            let next = (0..self.links.len())
                .filter(|&i| self.links[i].bound < goal && self.width(i) > NARROWEST)
                .min_by(|&a, &b| self.links[a].bound.total_cmp(&self.links[b].bound));
            let Some(next) = next else { return };
            self.split(course, next);
        }
    }

    /// The travels at which the gap is at most `level` (mm): intervals in order.
    pub(super) fn within(&mut self, course: &impl Course, level: f64) -> Vec<(f64, f64)> {
        while self.samples.len() < MOST && self.is_sound() {
            let dips = |i: usize| {
                self.links[i].bound <= level
                    && !self.is_within(i, level)
                    && !self.is_within(i + 1, level)
                    && self.width(i) > SHORTEST
            };
            let Some(next) = (0..self.links.len()).find(|&i| dips(i)) else { break };
            self.split(course, next);
        }
        let mut found = Vec::new();
        let mut open: Option<f64> = None;
        for i in 0..self.samples.len() {
            let here = self.samples[i].travel;
            match (open, self.is_within(i, level)) {
                (None, true) => {
                    let before = i.checked_sub(1).map(|i| self.samples[i].travel);
                    open = Some(before.map_or(here, |outside| crossing(course, outside, here, level)));
                }
                (Some(start), false) => {
                    let inside = self.samples[i - 1].travel;
                    found.push((start, crossing(course, here, inside, level)));
                    open = None;
                }
                _ => {}
            }
        }
        if let (Some(start), Some(last)) = (open, self.samples.last()) {
            found.push((start, last.travel));
        }
        found
    }

    /// The gap at a travel, if it is less than `ceiling` (mm).
    pub(super) fn gap_below(&mut self, course: &impl Course, travel: f64, ceiling: f64) -> Option<f64> {
        /// Bounds that agree to this are the gap (mm).
        const AGREE: f64 = 2e-4;
        let after = self.samples.partition_point(|sample| sample.travel < travel);
        if let Some(sample) = self.samples.get(after)
            && sample.travel == travel
        {
            return (sample.separation.gap < ceiling).then_some(sample.separation.gap);
        }
        let before = after.checked_sub(1)?;
        let (a, b) = (self.samples.get(before)?, self.samples.get(after)?);
        let link = self.links.get(before)?;
        let share = (travel - a.travel) / (b.travel - a.travel);
        let on = |(from, to): (f64, f64)| from + share * (to - from);
        let lower = on(link.first).max(on(link.second));
        if lower >= ceiling {
            return None;
        }
        let upper = on((a.separation.gap, b.separation.gap));
        if upper - lower <= AGREE {
            return (upper < ceiling).then_some(upper);
        }
        self.insert(course, before, travel);
        let gap = self.samples.get(after)?.separation.gap;
        (gap < ceiling).then_some(gap)
    }

    /// Every gap found is a number.
    fn is_sound(&self) -> bool {
        self.samples.iter().all(|sample| sample.separation.is_valid())
    }

    fn is_within(&self, number: usize, level: f64) -> bool {
        self.samples[number].separation.gap <= level
    }

    fn width(&self, number: usize) -> f64 {
        self.samples[number + 1].travel - self.samples[number].travel
    }

    /// Looks between two samples, where their bounds meet.
    fn split(&mut self, course: &impl Course, number: usize) {
        /// Nearer to an end than this share the middle is the better place.
        const NEAR: f64 = 1e-3;
        let share = self.links[number].share;
        let share = if share > NEAR && share < 1.0 - NEAR { share } else { 0.5 };
        let travel = self.samples[number].travel + share * self.width(number);
        self.insert(course, number, travel);
    }

    fn insert(&mut self, course: &impl Course, after: usize, travel: f64) {
        let new = sample(course, travel);
        let (a, b) = (self.samples[after], self.samples[after + 1]);
        self.links[after] = link(course, &a, &new);
        self.links.insert(after + 1, link(course, &new, &b));
        self.samples.insert(after + 1, new);
    }
}

fn sample(course: &impl Course, travel: f64) -> Sample {
    let separation = course.separation(travel);
    let begins = course.support(separation.normal, travel) + separation.lower;
    Sample { travel, separation, begins }
}

/// What the slab of a sample says of the gap at another travel (mm).
fn slab(course: &impl Course, sample: &Sample, travel: f64) -> f64 {
    let normal = sample.separation.normal;
    course.begins(normal, sample.begins, sample.travel, travel) - course.support(normal, travel)
}

fn link(course: &impl Course, a: &Sample, b: &Sample) -> Link {
    let width = b.travel - a.travel;
    let slack = |sample: &Sample| course.slack(sample.separation.normal, sample.travel, width);
    let (less_a, less_b) = (slack(a), slack(b));
    let first = (a.separation.lower - less_a, slab(course, a, b.travel) - less_a);
    let second = (slab(course, b, a.travel) - less_b, b.separation.lower - less_b);
    let (start, end) = (first.0.max(second.0), first.1.max(second.1));
    let (mut bound, mut share) = if start <= end { (start, 0.0) } else { (end, 1.0) };
    let (lead, trail) = (first.0 - second.0, first.1 - second.1);
    if lead > 0.0 && trail < 0.0 {
        let meet = lead / (lead - trail);
        let value = first.0 + meet * (first.1 - first.0);
        if value < bound {
            (bound, share) = (value, meet);
        }
    }
    // Nothing is known of what cannot be said.
    if !bound.is_finite() {
        bound = f64::NEG_INFINITY;
    }
    Link { first, second, bound, share }
}

/// The travel nearest `outside` at which the gap is at most `level` (mm), which it is at `inside`: regula falsi with
/// halved weights (the Illinois variant; M. Dowell, P. Jarratt, BIT 11, 1971), the middle where that is slow.
fn crossing(course: &impl Course, outside: f64, inside: f64, level: f64) -> f64 {
    /// Ends of intervals are found to this (mm of travel).
    const EXACT: f64 = 1e-9;
    const ROUNDS: usize = 80;
    let value = |travel: f64| course.separation(travel).gap - level;
    let (mut out, mut inn) = ((outside, value(outside)), (inside, value(inside)));
    let mut weight = 0.0;
    for round in 0..ROUNDS {
        if (out.0 - inn.0).abs() <= EXACT {
            break;
        }
        let share = if round % 4 == 3 { 0.5 } else { out.1 / (out.1 - inn.1) };
        let share = if share > 0.0 && share < 1.0 { share } else { 0.5 };
        let at = out.0 + share * (inn.0 - out.0);
        let found = value(at);
        if found <= 0.0 {
            inn = (at, found);
            if found == 0.0 {
                break;
            }
            if weight < 0.0 {
                out.1 *= 0.5;
            }
            weight = -1.0;
        } else {
            out = (at, found);
            if weight > 0.0 {
                inn.1 *= 0.5;
            }
            weight = 1.0;
        }
    }
    inn.0
}

/// Support of solids taken together along a unit direction (mm).
pub(super) fn support(solids: &[Solid], direction: DVec3) -> f64 {
    let each = solids.iter().filter_map(|solid| Some(solid.support(direction)?.dot(direction)));
    each.fold(f64::NEG_INFINITY, f64::max)
}
