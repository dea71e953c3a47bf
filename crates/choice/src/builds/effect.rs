//! What a draw does to the solids of a fixture.

use glidewright_geometry::Solid;
use glidewright_motion::{Assembly, Body, Coupling, Fixture, Owner, Placer, Role};

use super::form;
use super::size::Use;

/// What one draw does: how the numbers of solids change from drawn to the upper limit, in proportion to the draw.
#[derive(Default)]
pub(super) struct Effect {
    /// The solids it changes.
    pub solids: Vec<Moved>,
    /// What could not be followed, in words.
    pub lost: Vec<String>,
}

/// A solid that a draw changes.
pub(super) struct Moved {
    /// Its body.
    pub body: usize,
    /// Its number in that.
    pub place: usize,
    /// What is added to its numbers at the upper limit.
    pub by: Vec<f64>,
    /// How far any of them lies off a straight line at a limit (mm, rad).
    pub bend: f64,
}

impl Effect {
    /// Places the fixture with a draw at its lower and its upper limit.
    pub(super) fn of(drawn: &Fixture, base: &Assembly, what: &Use, placer: &mut Placer) -> Self {
        let mut effect = Self::default();
        let at = |sign: usize, placer: &mut Placer| {
            let fixture = what.limits.as_ref().map_or(drawn, |limits| &limits[sign]);
            let by = if sign == 0 { -1.0 } else { 1.0 };
            let greater: Vec<_> = what.followed.iter().map(|(which, size)| (*which, by * size)).collect();
            let built = placer.built(fixture, &greater);
            let assembly = placer.place(&built);
            (built, assembly)
        };
        let [less, more] = [at(0, placer), at(1, placer)];
        effect.note_what_is_no_body(drawn, [&less.0, &more.0]);
        let same = [&less, &more].map(|(_, assembly)| has_same_bodies(base, assembly));
        for (number, body) in base.bodies.iter().enumerate() {
            let find = |assembly: &'_ Assembly, same: bool| -> Option<Body> {
                if same {
                    return assembly.bodies.get(number).cloned();
                }
                assembly.bodies.iter().find(|other| is_same(body, other)).cloned()
            };
            let ends = [find(&less.1, same[0]), find(&more.1, same[1])];
            let along = match body.owner {
                Owner::Rider(rider) => {
                    let at = |fixture: &Fixture| fixture.riders.get(rider).map_or(0.0, |r| r.at_zero);
                    [at(&less.0) - at(drawn), at(&more.0) - at(drawn)]
                }
                Owner::Ground => [0.0; 2],
            };
            effect.body(number, body, ends, along);
        }
        effect
    }

    /// What changes and is no solid of the scene.
    fn note_what_is_no_body(&mut self, drawn: &Fixture, ends: [&Fixture; 2]) {
        let mut note = |differs: bool, words: &str| {
            if differs {
                self.lost.push(words.to_owned());
            }
        };
        let stroke = ends.iter().any(|end| end.stroke != drawn.stroke);
        note(stroke, "the ends of the stroke");
        let ratio =
            |fixture: &Fixture| fixture.riders.iter().map(|rider| rider.coupling).collect::<Vec<Coupling>>();
        note(ends.iter().any(|end| ratio(end) != ratio(drawn)), "how riders are linked");
        note(
            ends.iter().any(|end| end.limits.gap != drawn.limits.gap),
            "the required gap itself, which is taken as it is",
        );
    }

    fn body(&mut self, number: usize, body: &Body, ends: [Option<Body>; 2], along: [f64; 2]) {
        if ends.iter().flatten().all(|end| end.solids == body.solids) && along == [0.0; 2] {
            if ends.iter().all(Option::is_none) {
                self.lost.push(format!("{}, which is not there at its limits", body.label));
            }
            return;
        }
        for (place, solid) in body.solids.iter().enumerate() {
            let drawn = form::numbers(solid, solid);
            let moved = |end: &Option<Body>, along: f64| -> Option<Vec<f64>> {
                let other: &Solid = end.as_ref()?.solids.get(place)?;
                let mut numbers = form::numbers(solid, other)?;
                if let Some(x) = numbers.first_mut() {
                    *x += along;
                }
                Some(numbers)
            };
            let alike = ends.iter().flatten().all(|end| end.solids.len() == body.solids.len());
            let [less, more] = [moved(&ends[0], along[0]), moved(&ends[1], along[1])];
            let Some(drawn) = drawn.filter(|_| alike) else {
                self.lost.push(format!("{}, which is made up otherwise at a limit", body.label));
                return;
            };
            let mut bend = 0.0_f64;
            let by: Vec<f64> = match (&less, &more) {
                (Some(less), Some(more)) => {
                    let both = less.iter().zip(more).zip(&drawn);
                    for ((a, b), at) in both {
                        bend = bend.max((0.5 * (a + b) - at).abs());
                    }
                    less.iter().zip(more).map(|(a, b)| 0.5 * (b - a)).collect()
                }
                // It goes where it is squeezed to nothing; up to there one side tells.
                (Some(less), None) => drawn.iter().zip(less).map(|(at, a)| at - a).collect(),
                (None, Some(more)) => more.iter().zip(&drawn).map(|(b, at)| b - at).collect(),
                (None, None) => {
                    self.lost.push(format!("{}, which is made up otherwise at a limit", body.label));
                    return;
                }
            };
            if less.is_none() || more.is_none() {
                self.lost.push(format!("{} beyond the place where it goes", body.label));
            }
            /// Numbers that differ by less differ by rounding (mm, rad).
            const NOTHING: f64 = 1e-11;
            let by: Vec<f64> = by.into_iter().map(|n| if n.abs() < NOTHING { 0.0 } else { n }).collect();
            if by.iter().any(|number| *number != 0.0) {
                self.solids.push(Moved { body: number, place, by, bend });
            }
        }
    }
}

fn has_same_bodies(base: &Assembly, other: &Assembly) -> bool {
    base.bodies.len() == other.bodies.len()
        && base.bodies.iter().zip(&other.bodies).all(|(a, b)| is_same(a, b))
}

fn is_same(a: &Body, b: &Body) -> bool {
    let key = |body: &Body| (body.owner, body.role, body.stack, body.piece, body.plate);
    key(a) == key(b) && a.path == b.path && a.label == b.label
}

/// Whether a body is a stretch of line, which other checks look at.
pub(super) fn is_line(body: &Body) -> bool {
    body.role == Role::Span
}
