//! How bodies move and grow with sizes that move whole bodies.
//!
//! Of each such size the fixture is placed on either side of its nominal; by how much a body comes nearer between the two,
//! where it faces another, a gap is less. By the envelope theorem the nearest points themselves need not be followed: to
//! first order a gap changes by how the two bodies' surfaces move at those points along its direction.

use std::sync::Arc;

use glam::DVec3;
use glidewright_geometry::{Pose, Separation, Shape, Solid, separation};

use super::Assembly;
use super::body::{Body, Owner};
use super::convex_parts::ConvexParts;
use super::line_path::path_at;
use super::stretches::solids_of;
use crate::{BodyId, Fixture, Variation, rider_x};

/// What sizes that move whole bodies do to them.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Movements {
    sizes: Arc<[Variation]>,
    /// By size that moves anything.
    moves: Vec<Moves>,
    /// How many bodies there are; of another number nothing is known.
    bodies: usize,
}

/// What one size does.
#[derive(Clone, Debug, PartialEq)]
struct Moves {
    /// Number of the size.
    size: usize,
    /// By body, its solids on either side of the nominal, in its owner's frame; `None` of what is the same.
    solids: Vec<Option<[Vec<Solid>; 2]>>,
    /// It moves a rider along the rail, or the line.
    along: bool,
}

/// One side of a gap: a place on a body that faces another.
#[derive(Clone, Copy)]
pub(crate) struct Side<'a> {
    pub(crate) id: BodyId,
    pub(crate) body: &'a Body,
    /// In the owner's frame (mm).
    pub(crate) point: DVec3,
    /// Towards the other, as long as the place's share in the gap (1 where the gap has but one place).
    pub(crate) towards: DVec3,
    /// Travel of the lead there (mm).
    pub(crate) travel: f64,
}

impl<'a> Side<'a> {
    /// A place on a body with its direction; `None` for a body that is not there.
    pub(crate) fn of(
        assembly: &'a Assembly,
        id: BodyId,
        (point, towards): (DVec3, DVec3),
        travel: f64,
    ) -> Option<Self> {
        Some(Self { id, body: assembly.body(id)?, point, towards, travel })
    }
}

impl Movements {
    /// What the sizes of a fixture do to its bodies.
    pub(super) fn of(fixture: &Fixture, nominal: &Assembly, parts: &mut ConvexParts) -> Self {
        let moves = fixture.variations.iter().enumerate().filter_map(|(size, variation)| {
            let [less, more] = variation.ends.each_ref().map(|end| Assembly::placed(end, parts));
            if [&less, &more].iter().any(|end| end.bodies.len() != nominal.bodies.len()) {
                // What has come or gone with it tells nothing of how anything moves.
                return None;
            }
            let pairs = less.bodies.into_iter().zip(more.bodies);
            let solids: Vec<_> =
                pairs.map(|(a, b)| (a.solids != b.solids).then_some([a.solids, b.solids])).collect();
            let [a, b] = &variation.ends;
            let along = a.line != b.line
                || a.riders
                    .iter()
                    .zip(&b.riders)
                    .any(|(a, b)| (a.at_zero, a.coupling) != (b.at_zero, b.coupling));
            (along || solids.iter().any(Option::is_some)).then_some(Moves { size, solids, along })
        });
        Self { moves: moves.collect(), sizes: Arc::clone(&fixture.variations), bodies: nominal.bodies.len() }
    }

    /// The sizes, by number.
    pub(crate) fn size(&self, number: usize) -> Option<&Variation> {
        self.sizes.get(number)
    }

    /// How far a place stands out towards the other per unit of each size that moves it: the size's number with it.
    pub(crate) fn outward<'a>(
        &'a self,
        assembly: &'a Assembly,
        side: &'a Side<'a>,
    ) -> impl Iterator<Item = (usize, f64)> + 'a {
        let known = self.bodies == assembly.bodies.len();
        self.moves.iter().filter(move |_| known).filter_map(move |moves| {
            let variation = self.sizes.get(moves.size)?;
            let by = moves.outward(variation, assembly, side)?;
            Some((moves.size, by / variation.apart))
        })
    }
}

impl Moves {
    /// How much further a place stands out with the greater size than with the lesser (mm).
    fn outward(&self, variation: &Variation, assembly: &Assembly, side: &Side<'_>) -> Option<f64> {
        let stretch = assembly.stretches.iter().find(|stretch| stretch.changes && stretch.body == side.id);
        if let Some(stretch) = stretch {
            if !self.along {
                return None;
            }
            // A stretch of line that changes has no frame but the rail's.
            let [a, b] = variation.ends.each_ref().map(|end| {
                let line = end.line.as_ref()?;
                let path = path_at(end, line, side.travel).ok()?;
                reach(&solids_of(line, path.elements.get(stretch.element)?), side)
            });
            return Some(b? - a?);
        }
        let grown = match self.solids.get(side.id.0 as usize)? {
            Some([less, more]) => reach(more, side)? - reach(less, side)?,
            None => 0.0,
        };
        let moved = match side.body.owner {
            Owner::Rider(number) if self.along => {
                let [a, b] = variation.ends.each_ref().map(|end| rider_x(end, number, side.travel));
                (b - a) * side.towards.x
            }
            _ => 0.0,
        };
        Some(grown + moved)
    }
}

/// How far solids stand out where they face the other, less a constant (mm): how near they come to a ball that stands
/// before the place. Whether they face it with a corner, an edge or a plane that tilts, and whatever pieces they are taken
/// apart into, the ball feels what moves them along its direction.
fn reach(solids: &[Solid], side: &Side<'_>) -> Option<f64> {
    /// Radius of the ball and its distance from the place (mm): great beside what a tolerance moves, small beside parts.
    const RADIUS: f64 = 0.25;
    let direction = side.towards.try_normalize()?;
    let at = side.point + 2.0 * RADIUS * direction;
    let ball = Solid { shape: Shape::Sphere { radius: RADIUS }, pose: Pose::from_shift(at) };
    /// What is further from the ball's box than this is not what faces it (mm).
    const FAR: f64 = 2.0;
    let around = ball.bounds();
    let near = solids.iter().filter(|solid| solid.bounds().apart(&around) < FAR);
    let gaps = near.map(|solid| separation(solid, &ball));
    let least = gaps.filter(Separation::is_valid).map(|found| found.gap).min_by(f64::total_cmp)?;
    Some(-least * side.towards.length())
}
