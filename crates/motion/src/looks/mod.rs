//! What a viewer sees of the riders: how far they stand out past the rail, and which of their parts show.

mod shadow;

use std::collections::BTreeSet;

use glam::{DVec2, DVec3};
use glidewright_geometry::{Bounds2, Region, difference, union};

use crate::{Assembly, Body, BodyId, Fixture, Owner, Role};
use shadow::Shadow;

/// What is seen of the riders from the front and from the sides. What they carry counts only as what hides the rest, and
/// line, obstacles and stops not at all: those are what the fixture is for.
///
/// Areas are those of silhouettes, each rider's by itself: two that pass each other are counted twice. A nut and a head
/// count with the cylinder over their corners.
#[derive(Clone, Debug, PartialEq)]
pub struct Looks {
    /// Seen square to the rail's front face. Points of the paper are (along the rail, to the left).
    pub front: Seen,
    /// Seen square to the rail's left and right faces: what shows from either. Points of the paper are (along the rail,
    /// out of the front face).
    pub side: Seen,
}

/// What is seen from one direction.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Seen {
    /// How far the farthest part stands out past the rail's outline (mm), and which it is; none where nothing does.
    pub farthest: Option<(f64, BodyId)>,
    /// Area of what stands out past the rail's outline (mm²).
    pub area: f64,
    /// That area: of each rider, at travel 0 about its own origin.
    pub beyond: Vec<Vec<Region>>,
    /// The wheels of which something shows.
    pub wheels: Vec<BodyId>,
    /// The screws' heads of which something shows.
    pub heads: Vec<BodyId>,
    /// The screws' ends, or the nuts on them, of which something shows, one of each stack.
    pub ends: Vec<BodyId>,
    /// Names of the kinds of wheels that show.
    pub wheel_kinds: Vec<String>,
    /// Names of the kinds of heads that show: screws of one standard and thread, whatever their length.
    pub head_kinds: Vec<String>,
}

/// A part shows if at least so much of its silhouette is hidden by nothing.
const SHOWS: f64 = 0.1;

/// Silhouettes lie within the solids by this at most (mm).
const CHORD: f64 = 0.05;

/// A direction to look in: the paper's two axes and the way towards the viewer.
#[derive(Clone, Copy)]
struct Sight {
    across: DVec3,
    toward: DVec3,
}

impl Sight {
    const FRONT: Self = Self { across: DVec3::Y, toward: DVec3::Z };
    const LEFT: Self = Self { across: DVec3::Z, toward: DVec3::Y };
    const RIGHT: Self = Self { across: DVec3::Z, toward: DVec3::NEG_Y };

    fn flat(self, point: DVec3) -> DVec2 {
        DVec2::new(point.x, point.dot(self.across))
    }
}

impl Looks {
    /// What a viewer sees of a fixture's riders.
    pub fn of(fixture: &Fixture, assembly: &Assembly) -> Self {
        let mut looks = Self::past(&fixture.rail.bounds(), fixture.riders.len(), assembly);
        for seen in [&mut looks.front, &mut looks.side] {
            seen.wheel_kinds = kinds(&seen.wheels, |id| Some(assembly.body(id)?.own_label()));
            seen.head_kinds = kinds(&seen.heads, |id| screw_name(fixture, assembly, id));
        }
        looks
    }

    /// The same, past a section's bounds in (y, z).
    fn past(section: &Bounds2, riders: usize, assembly: &Assembly) -> Self {
        let (low, high) = (section.low, section.high);
        let front = Seen::from(assembly, riders, (low.x, high.x), &[(Sight::FRONT, high.y)]);
        let sides = [(Sight::LEFT, high.x), (Sight::RIGHT, -low.x)];
        Self { front, side: Seen::from(assembly, riders, (low.y, high.y), &sides) }
    }

    /// Names of the kinds of wheels that show from the front or a side.
    pub fn wheel_kinds(&self) -> BTreeSet<&str> {
        self.both().flat_map(|seen| &seen.wheel_kinds).map(String::as_str).collect()
    }

    /// Names of the kinds of heads that show from the front or a side.
    pub fn head_kinds(&self) -> BTreeSet<&str> {
        self.both().flat_map(|seen| &seen.head_kinds).map(String::as_str).collect()
    }

    /// What stands out past the rail's outline, from the front and from the side together (mm²).
    pub fn area(&self) -> f64 {
        self.both().map(|seen| seen.area).sum()
    }

    fn both(&self) -> impl Iterator<Item = &Seen> {
        [&self.front, &self.side].into_iter()
    }
}

impl Seen {
    /// `band` is the rail's outline across the paper (mm); each direction comes with how far the rail reaches towards the viewer.
    fn from(assembly: &Assembly, riders: usize, band: (f64, f64), sights: &[(Sight, f64)]) -> Self {
        let mut seen = Self::default();
        for rider in 0..riders {
            let own = |body: &Body| body.owner == Owner::Rider(rider);
            let bodies: Vec<(BodyId, &Body)> = assembly.numbered().filter(|(_, body)| own(body)).collect();
            for (number, (sight, rail)) in sights.iter().enumerate() {
                let shadows: Vec<(BodyId, &Body, Vec<Shadow>)> = bodies
                    .iter()
                    .map(|(id, body)| {
                        (*id, *body, body.solids.iter().filter_map(|s| Shadow::of(s, *sight)).collect())
                    })
                    .collect();
                // From the other side the silhouette is the same.
                if number == 0 {
                    seen.stands_out(&shadows, band);
                }
                seen.shows(&shadows, band, *rail);
            }
        }
        seen
    }

    /// Adds what of a rider stands out past the rail.
    fn stands_out(&mut self, shadows: &[(BodyId, &Body, Vec<Shadow>)], (low, high): (f64, f64)) {
        let mut all: Vec<Region> = Vec::new();
        for (id, body, own) in shadows {
            if body.role == Role::Load {
                continue;
            }
            for shadow in own {
                let out = (shadow.across.1 - high).max(low - shadow.across.0);
                if out <= 0.0 {
                    continue;
                }
                if self.farthest.is_none_or(|(farthest, _)| out > farthest) {
                    self.farthest = Some((out, *id));
                }
                all.push(shadow.region.clone());
            }
        }
        let whole = shadow::strip((low, high), &all);
        let beyond = union(&all, &[], CHORD).and_then(|all| difference(&all, &whole, CHORD));
        let beyond = beyond.unwrap_or_default();
        self.area += beyond.iter().map(Region::area).sum::<f64>();
        self.beyond.push(beyond);
    }

    /// Adds the parts of a rider that show.
    fn shows(&mut self, shadows: &[(BodyId, &Body, Vec<Shadow>)], band: (f64, f64), rail: f64) {
        let before: Vec<&Shadow> = shadows.iter().flat_map(|(_, _, own)| own).collect();
        for (id, body, own) in shadows {
            let list = match body.role {
                Role::Tyre => &mut self.wheels,
                Role::Head => &mut self.heads,
                Role::ScrewEnd | Role::Nut => &mut self.ends,
                _ => continue,
            };
            let is_told = list.contains(id) || {
                let same_stack = |other: &BodyId| {
                    shadows.iter().any(|(known, of, _)| known == other && of.stack == body.stack)
                };
                !matches!(body.role, Role::Tyre | Role::Head) && list.iter().any(same_stack)
            };
            if !is_told && visible_share(own, &before, band, rail) >= SHOWS {
                list.push(*id);
            }
        }
    }
}

/// Which share of a body's silhouette nothing hides: neither what of the same rider is nearer to the viewer nor the rail.
fn visible_share(own: &[Shadow], all: &[&Shadow], band: (f64, f64), rail: f64) -> f64 {
    let regions: Vec<Region> = own.iter().map(|shadow| shadow.region.clone()).collect();
    let Ok(whole) = union(&regions, &[], CHORD) else { return 0.0 };
    let area = |regions: &[Region]| regions.iter().map(Region::area).sum::<f64>();
    let Some(near) = own.iter().map(|shadow| shadow.near).reduce(f64::max) else { return 0.0 };
    let covers = |shadow: &Shadow| {
        shadow.near > near + CHORD && own.iter().any(|piece| overlap(&piece.bounds, &shadow.bounds))
    };
    let mut hiding: Vec<Region> =
        all.iter().filter(|shadow| covers(shadow)).map(|shadow| shadow.region.clone()).collect();
    if near < rail - CHORD {
        hiding.extend(shadow::strip(band, &regions));
    }
    let Ok(left) = difference(&whole, &hiding, CHORD) else { return 0.0 };
    area(&left) / area(&whole).max(f64::MIN_POSITIVE)
}

fn overlap(a: &Bounds2, b: &Bounds2) -> bool {
    a.low.cmplt(b.high).all() && b.low.cmplt(a.high).all()
}

/// Names of kinds, each once, in order.
fn kinds<'a>(bodies: &[BodyId], name: impl Fn(BodyId) -> Option<&'a str>) -> Vec<String> {
    let names: BTreeSet<&str> = bodies.iter().filter_map(|id| name(*id)).map(kind).collect();
    names.into_iter().map(str::to_owned).collect()
}

/// A screw's name without its length; any other name as it is.
fn kind(name: &str) -> &str {
    name.split(" × ").next().unwrap_or(name)
}

/// The name of the screw that a body is the head of.
fn screw_name<'a>(fixture: &'a Fixture, assembly: &Assembly, id: BodyId) -> Option<&'a str> {
    let body = assembly.body(id)?;
    let Owner::Rider(rider) = body.owner else { return None };
    let stack = assembly.riders.get(rider)?.stacks.get(body.stack?)?;
    let (.., stack) = fixture.riders.get(rider)?.stack(stack.of)?;
    Some(&stack.screw.name)
}

#[cfg(test)]
mod tests;
