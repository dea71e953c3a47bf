//! Stretches that change, against a load that slides on its rider.
//!
//! A load shifted by some way changes no gap by more than that: what is known of a stretch and the load at one reach
//! bounds their gap at another, and most need not be looked at again.

use glam::DVec3;
use glidewright_geometry::{Bounds, Solid};

use super::course::{Course, Other, Turning, extent};
use super::lane::Lane;
use super::swept;
use crate::interference::kinship::Relations;
use crate::{Assembly, Body, Fixture, Line, Stretch};

/// A stretch that changes and a load that may not touch it.
pub(in crate::interference) struct SlidPast<'a> {
    fixture: &'a Fixture,
    line: &'a Line,
    stretch: &'a Stretch,
    turning: Turning,
    /// What the stretch takes up over the stroke.
    around: Bounds,
    load: &'a Body,
    /// The load's solids at reach 0, in its rider's frame, and the unit direction in which it slides.
    slides: (&'a [Solid], DVec3),
    /// A reach (mm), and a gap that they are never nearer than at it.
    known: Option<(f64, f64)>,
}

impl<'a> SlidPast<'a> {
    /// Every stretch that changes and that body number `load` may not touch, whose solids at reach 0 slide along a unit
    /// direction.
    pub(in crate::interference) fn all(
        fixture: &'a Fixture,
        assembly: &'a Assembly,
        load: usize,
        slides: (&'a [Solid], DVec3),
    ) -> Vec<Self> {
        let (Some(line), Some(body)) = (&fixture.line, assembly.bodies.get(load)) else { return Vec::new() };
        let relations = Relations::new(fixture, assembly);
        let stretches = assembly.stretches.iter().filter(|stretch| stretch.changes);
        stretches
            .filter(|stretch| relations.line_keeps_clear(stretch, load))
            .filter_map(|stretch| {
                let (turning, around) = extent(fixture, line, stretch)?;
                Some(Self { fixture, line, stretch, turning, around, load: body, slides, known: None })
            })
            .collect()
    }

    /// The least gap over the stroke to the load at a reach, if that is below `least`, else that (mm).
    pub(in crate::interference) fn below(&mut self, reach: f64, least: f64) -> f64 {
        if self.known.is_some_and(|(at, gap)| gap - (reach - at).abs() > least) {
            return least;
        }
        let stroke = self.fixture.stroke;
        let (mut best, mut proved) = (least, f64::INFINITY);
        let (solids, direction) = self.slides;
        for solid in solids {
            let solid = &solid.shifted(direction * reach);
            let away = self.around.apart(&swept(self.fixture, self.load.owner, &solid.bounds()));
            if away >= best {
                proved = proved.min(away);
                continue;
            }
            let course = Course {
                fixture: self.fixture,
                line: self.line,
                stretch: self.stretch,
                other: Other::Solid(solid, self.load.owner),
                turns: [self.turning, Turning::default()],
            };
            let mut lane = Lane::new(&course, stroke.from, stroke.to);
            lane.search(&course, best);
            proved = proved.min(lane.lower());
            best = lane.least().map_or(best, |sample| best.min(sample.separation.gap));
        }
        self.known = Some((reach, proved));
        best
    }
}
