//! Stretches of belt or cord whose length or direction changes along the stroke, against everything else.
//!
//! A span between something fixed and a rider, or between two riders, is at each travel the hull of its two ends: what
//! it covers over a stroke is not what it is at any travel, so it is not a solid that slides. See [`lane`] for how its
//! least gap and the ends of intervals are found.

mod against_load;
mod course;
mod lane;

use std::cell::OnceCell;

use glam::{DVec2, DVec3};
use glidewright_geometry::{Bounds, Ending, Separation, Solid};

pub(super) use self::against_load::SlidPast;
use self::course::{Course, Other, Turning, extent, place};
use self::lane::{Course as _, Lane};
use super::kinship::{Kinship, Relations};
use super::outcome::overlaps;
use super::pairs::{DepthBounds, judge, nearest, running_clearance};
use super::scan::Scan;
use super::sensitivity::Shares;
use super::{Band, Checked, Interference, LoadedGap, Outcome, PairResult, Passage, Stance};
use crate::assembly::{Side, carrier};
use crate::{Assembly, BodyId, Coupling, Fixture, Line, Owner, PathElement, Role, Stretch, Stroke, path_at};

/// What was found of stretches that change, kept for the next time it is asked.
#[derive(Clone, Default)]
pub(super) struct Stretches {
    asked: Option<Asked>,
    pairs: Vec<Pair>,
}

/// What all pairs hang on.
#[derive(Clone, PartialEq)]
struct Asked {
    line: Line,
    riders: Vec<(f64, Coupling)>,
    stroke: Stroke,
    gap: f64,
}

/// What a stretch is held against, as it was when it was.
#[derive(Clone, PartialEq)]
enum Against {
    Body { owner: Owner, role: Role, solids: Vec<Solid> },
    Stretch(usize),
}

/// A stretch and what it is held against.
#[derive(Clone)]
struct Pair {
    bodies: (BodyId, BodyId),
    element: usize,
    against: Against,
    asked: f64,
    /// It stands to the stretch much the same all along, as its own rider and the rail do: no matter for the band.
    follows: bool,
    /// How the stretch turns, and the other if it is one.
    turns: [Turning; 2],
    /// By solid of the other within reach: number, distance of the boxes (mm), and what was looked at.
    lanes: Vec<(usize, f64, Option<Lane>)>,
    least: Option<Nearest>,
    touching: Vec<(f64, f64)>,
    below: Vec<(f64, f64)>,
    /// The stations at which it is nearest of all: number and lane.
    leads: Vec<(usize, usize)>,
}

#[derive(Clone, Copy)]
struct Nearest {
    travel: f64,
    separation: Separation,
}

impl Stretches {
    /// Holds every stretch that changes against everything it may not touch; `scan` holds the boxes of all else.
    pub(super) fn update(&mut self, fixture: &Fixture, assembly: &Assembly, scan: &Scan) {
        let moving = assembly.stretches.iter().filter(|stretch| stretch.changes);
        let Some(line) = fixture.line.as_ref().filter(|_| moving.clone().next().is_some()) else {
            *self = Self::default();
            return;
        };
        let asked = Asked {
            line: line.clone(),
            riders: fixture.riders.iter().map(|rider| (rider.at_zero, rider.coupling)).collect(),
            stroke: fixture.stroke,
            gap: fixture.limits.gap,
        };
        let mut kept = std::mem::take(&mut self.pairs);
        if self.asked.as_ref() != Some(&asked) {
            kept.clear();
        }
        self.asked = Some(asked);
        let relations = Relations::new(fixture, assembly);
        let boxes = OnceCell::new();
        let boxes = || boxes.get_or_init(|| scan.boxes());
        let told: Vec<_> = moving.filter_map(|s| Some((s, extent(fixture, line, s)?))).collect();
        for (place, &(stretch, (turning, around))) in told.iter().enumerate() {
            let own = [stretch.nodes.0, stretch.nodes.1]
                .map(|node| line.nodes.get(node).and_then(carrier).map(Owner::Rider));
            for (number, body) in assembly.bodies.iter().enumerate() {
                let Some(around_body) = boxes().get(number).copied().flatten() else { continue };
                if !near(&around, &swept(fixture, body.owner, &around_body))
                    || !relations.line_keeps_clear(stretch, number)
                {
                    continue;
                }
                let against =
                    Against::Body { owner: body.owner, role: body.role, solids: body.solids.clone() };
                let bodies = (stretch.body, BodyId(number as u32));
                if let Some(place) =
                    kept.iter().position(|p| p.element == stretch.element && p.against == against)
                {
                    self.pairs.push(Pair { bodies, ..kept.swap_remove(place) });
                    continue;
                }
                let on_own = own.contains(&Some(body.owner));
                let each = scan.boxes_of(number).enumerate();
                let lanes = each.filter_map(|(solid, own)| {
                    let away = around.apart(&swept(fixture, body.owner, &own?));
                    (away <= Interference::REACH).then_some((solid, away, None))
                });
                self.pairs.push(Pair {
                    bodies,
                    element: stretch.element,
                    asked: if on_own { running_clearance(fixture) } else { fixture.limits.gap },
                    follows: on_own || body.role == Role::Rail,
                    lanes: lanes.collect(),
                    ..Pair::new(bodies, against, [turning, Turning::default()])
                });
                if let Some(pair) = self.pairs.last_mut() {
                    pair.look(fixture, assembly, line, stretch);
                }
            }
            for &(other, (other_turning, around_other)) in told.iter().skip(place + 1) {
                let number = other.body.0 as usize;
                if !near(&around, &around_other) || !relations.line_keeps_clear(stretch, number) {
                    continue;
                }
                let against = Against::Stretch(other.element);
                let bodies = (stretch.body, other.body);
                if let Some(place) =
                    kept.iter().position(|p| p.element == stretch.element && p.against == against)
                {
                    self.pairs.push(Pair { bodies, ..kept.swap_remove(place) });
                    continue;
                }
                self.pairs.push(Pair {
                    element: stretch.element,
                    asked: fixture.limits.gap,
                    lanes: vec![(0, around.apart(&around_other), None)],
                    ..Pair::new(bodies, against, [turning, other_turning])
                });
                if let Some(pair) = self.pairs.last_mut() {
                    pair.look(fixture, assembly, line, stretch);
                }
            }
        }
    }

    /// The pairs within reach.
    pub(super) fn results(&self, fixture: &Fixture, assembly: &Assembly) -> Vec<PairResult> {
        self.pairs.iter().filter_map(|pair| pair.result(fixture, assembly)).collect()
    }

    /// Looks at the pairs again with the riders as their load makes them stand, to first order.
    pub(super) fn load(
        &self,
        fixture: &Fixture,
        assembly: &Assembly,
        stance: &mut Stance,
        stations: &[f64],
        results: &mut [PairResult],
    ) {
        for pair in results.iter_mut().filter(|pair| pair.kinship == Kinship::MovingLine) {
            let station = nearest(stations, pair.at_travel);
            let shift = Shift { fixture, assembly, station, travel: pair.at_travel };
            let (change, play) = shift.of(stance, pair.bodies, &pair.separation);
            pair.loaded = LoadedGap { gap: pair.gap - change, ..pair.loaded };
            pair.play = play;
            pair.outcome = judge(pair);
        }
    }

    /// Puts what is nearer than anything else into the band as drawn.
    pub(super) fn tighten(&mut self, fixture: &Fixture, assembly: &Assembly, band: &mut Band) {
        let Some(line) = &fixture.line else { return };
        let mut leads: Vec<Option<(usize, usize)>> = vec![None; band.points.len()];
        for (number, pair) in self.pairs.iter_mut().enumerate().filter(|(_, pair)| !pair.follows) {
            pair.leads.clear();
            let Some(stretch) = assembly.stretches.iter().find(|s| s.body == pair.bodies.0) else { continue };
            for place in 0..pair.lanes.len() {
                let away = pair.lanes[place].1;
                let Some(course) = pair.course(fixture, assembly, line, stretch, place) else { continue };
                let mut lane = pair.lanes[place].2.take();
                for (lead, point) in leads.iter_mut().zip(&mut band.points) {
                    if away >= point.gap {
                        continue;
                    }
                    let lane = lane
                        .get_or_insert_with(|| Lane::new(&course, fixture.stroke.from, fixture.stroke.to));
                    if let Some(gap) = lane.gap_below(&course, point.travel, point.gap) {
                        (point.gap, point.loaded) = (gap, gap);
                        point.pair = Some(pair.bodies);
                        *lead = Some((number, place));
                    }
                }
                pair.lanes[place].2 = lane;
            }
        }
        for (station, lead) in leads.into_iter().enumerate() {
            if let Some((pair, place)) = lead
                && let Some(pair) = self.pairs.get_mut(pair)
            {
                pair.leads.push((station, place));
            }
        }
    }

    /// Adds what load, play and tolerances make of the gaps in the band that are a stretch's.
    pub(super) fn load_band(
        &self,
        fixture: &Fixture,
        assembly: &Assembly,
        stance: &mut Stance,
        band: &mut Band,
    ) {
        let Some(line) = &fixture.line else { return };
        let mut shares = Shares::default();
        for pair in &self.pairs {
            let Some(stretch) = assembly.stretches.iter().find(|s| s.body == pair.bodies.0) else { continue };
            for &(station, place) in &pair.leads {
                let (Some(point), Some(course)) =
                    (band.points.get_mut(station), pair.course(fixture, assembly, line, stretch, place))
                else {
                    continue;
                };
                let separation = course.separation(point.travel);
                if !separation.is_valid() {
                    continue;
                }
                let shift = Shift { fixture, assembly, station, travel: point.travel };
                let (change, play) = shift.of(stance, pair.bodies, &separation);
                let loaded = point.gap - change;
                if point.pair != Some(pair.bodies) && loaded >= point.loaded {
                    continue;
                }
                (point.loaded, point.play, point.pair) = (loaded, play, Some(pair.bodies));
                shares.find(fixture, assembly, pair.sides(fixture, assembly, point.travel, &separation));
                (point.spread, point.rss) = shares.half_widths();
            }
        }
    }
}

impl Pair {
    fn new(bodies: (BodyId, BodyId), against: Against, turns: [Turning; 2]) -> Self {
        Self {
            bodies,
            element: 0,
            against,
            asked: 0.0,
            follows: false,
            turns,
            lanes: Vec::new(),
            least: None,
            touching: Vec::new(),
            below: Vec::new(),
            leads: Vec::new(),
        }
    }

    /// The question of one of its lanes.
    fn course<'a>(
        &self,
        fixture: &'a Fixture,
        assembly: &'a Assembly,
        line: &'a Line,
        stretch: &'a Stretch,
        place: usize,
    ) -> Option<Course<'a>> {
        let body = assembly.body(self.bodies.1)?;
        let other = match self.against {
            Against::Body { owner, .. } => Other::Solid(body.solids.get(self.lanes.get(place)?.0)?, owner),
            Against::Stretch(element) => {
                Other::Stretch(assembly.stretches.iter().find(|other| other.element == element)?)
            }
        };
        Some(Course { fixture, line, stretch, other, turns: self.turns })
    }

    /// Finds the least gap, and the travels where it is nothing or less than asked.
    fn look(&mut self, fixture: &Fixture, assembly: &Assembly, line: &Line, stretch: &Stretch) {
        let stroke = fixture.stroke;
        // The nearest boxes first: what they hold often settles the rest.
        self.lanes.sort_by(|a, b| a.1.total_cmp(&b.1));
        let mut best = Interference::REACH;
        let mut proved = f64::INFINITY;
        for place in 0..self.lanes.len() {
            let away = self.lanes[place].1;
            if away >= best && away > self.asked {
                proved = proved.min(away);
                break;
            }
            let Some(course) = self.course(fixture, assembly, line, stretch, place) else { continue };
            let mut lane = Lane::new(&course, stroke.from, stroke.to);
            lane.search(&course, best.max(self.asked));
            proved = proved.min(lane.lower());
            if let Some(sample) = lane.least() {
                let gap = sample.separation.gap;
                if gap < best {
                    best = gap;
                    self.least = Some(Nearest { travel: sample.travel, separation: sample.separation });
                }
                if gap <= self.asked {
                    self.below.extend(lane.within(&course, self.asked));
                }
                if gap <= 0.0 {
                    self.touching.extend(lane.within(&course, 0.0));
                }
            }
            self.lanes[place].2 = Some(lane);
        }
        if let Some(least) = &mut self.least {
            let found = &mut least.separation;
            found.lower = found.lower.min(proved);
            if found.gap - found.lower > 2.0 * lane::SETTLED {
                found.ending = Ending::LimitReached;
            }
        }
        for list in [&mut self.touching, &mut self.below] {
            list.sort_by(|a, b| a.0.total_cmp(&b.0));
            list.dedup_by(|next, kept| {
                let meets = next.0 <= kept.1;
                if meets {
                    kept.1 = kept.1.max(next.1);
                }
                meets
            });
        }
    }

    fn result(&self, fixture: &Fixture, assembly: &Assembly) -> Option<PairResult> {
        let least = self.least?;
        let mut shares = Shares::default();
        shares.find(fixture, assembly, self.sides(fixture, assembly, least.travel, &least.separation));
        let loaded =
            LoadedGap { gap: least.separation.gap, at_travel: least.travel, separation: least.separation };
        let mut result = PairResult {
            bodies: self.bodies,
            kinship: Kinship::MovingLine,
            gap: least.separation.gap,
            at_travel: least.travel,
            separation: least.separation,
            depth: overlaps(least.separation.gap)
                .then_some(DepthBounds { at_least: -least.separation.gap, at_most: -least.separation.lower }),
            loaded,
            play: 0.0,
            tolerance: shares.tolerance(fixture, assembly),
            touching: self.touching.clone(),
            below_asked: self.below.clone(),
            passage: Passage::Facing,
            chain: None,
            asked: self.asked,
            outcome: Outcome::ClearByGap,
            meets_stop: false,
            allowed: None,
        };
        result.outcome = judge(&result);
        Some(result)
    }

    /// Both sides of a gap at a travel, each point in its owner's frame.
    fn sides<'a>(
        &self,
        fixture: &Fixture,
        assembly: &'a Assembly,
        travel: f64,
        separation: &Separation,
    ) -> impl Iterator<Item = Side<'a>> {
        let (a, b) = self.bodies;
        let both = [(a, separation.on_a, separation.normal), (b, separation.on_b, -separation.normal)];
        let sides = both.map(|(id, point, towards)| {
            let side = Side::of(assembly, id, (point, towards), travel)?;
            let home = DVec3::X * place(fixture, side.body.owner, travel).0;
            Some(Side { point: point - home, ..side })
        });
        sides.into_iter().flatten()
    }
}

/// How the gap of two things shifts at a station as their riders stand under load.
struct Shift<'a> {
    fixture: &'a Fixture,
    assembly: &'a Assembly,
    station: usize,
    travel: f64,
}

impl Shift<'_> {
    /// How much nearer they come by tilt and sag, and how much nearer by play (mm).
    fn of(&self, stance: &mut Stance, bodies: (BodyId, BodyId), separation: &Separation) -> (f64, f64) {
        let mut shift = (0.0, 0.0);
        for (id, point, towards) in
            [(bodies.0, separation.on_a, separation.normal), (bodies.1, separation.on_b, -separation.normal)]
        {
            for (owner, at, share) in self.carried(id, point) {
                let own = at - DVec3::X * place(self.fixture, owner, self.travel).0;
                shift.0 += share * stance.change(Checked::Level, owner, self.station, own, towards);
                shift.1 += share * stance.rattle(owner, self.station, own, towards);
            }
        }
        shift
    }

    /// By whom a point of a body is carried, where and to what share: a span's by its two ends.
    fn carried(&self, id: BodyId, point: DVec3) -> Vec<(Owner, DVec3, f64)> {
        let body = self.assembly.body(id);
        let stretch = self.assembly.stretches.iter().find(|stretch| stretch.changes && stretch.body == id);
        let (Some(stretch), Some(line)) = (stretch, &self.fixture.line) else {
            return body.map(|body| (body.owner, point, 1.0)).into_iter().collect();
        };
        let owner = |node: usize| line.nodes.get(node).and_then(carrier).map_or(Owner::Ground, Owner::Rider);
        let path = path_at(self.fixture, line, self.travel).ok();
        match path.and_then(|path| path.elements.get(stretch.element).copied()) {
            Some(PathElement::Span { from, to, nodes }) => {
                let along: DVec2 = to - from;
                let share =
                    ((line.plane.flat(point) - from).dot(along) / along.length_squared()).clamp(0.0, 1.0);
                let end = |at: DVec2| line.plane.point(at);
                vec![(owner(nodes.0), end(from), 1.0 - share), (owner(nodes.1), end(to), share)]
            }
            _ => vec![(owner(stretch.nodes.0), point, 1.0)],
        }
    }
}

/// A box of an owner's frame as it moves over the stroke, in the rail frame.
fn swept(fixture: &Fixture, owner: Owner, own: &Bounds) -> Bounds {
    let (first, last) =
        (place(fixture, owner, fixture.stroke.from), place(fixture, owner, fixture.stroke.to));
    let (low, high) = (first.0.min(last.0), first.1.max(last.1));
    Bounds { low: own.low + DVec3::X * low, high: own.high + DVec3::X * high }
}

fn near(a: &Bounds, b: &Bounds) -> bool {
    a.apart(b) <= Interference::REACH
}
