//! Places worth meeting.

use glidewright_geometry::DVec3;
use glidewright_motion::{Owner, Role, rider_x};

use super::Movable;
use crate::state::Bench;

/// Places along one way that something moved may meet (mm).
#[derive(Clone, Debug, PartialEq, Default)]
pub struct SnapLines {
    places: Vec<(f64, String)>,
}

/// A place that was met.
#[derive(Clone, Debug, PartialEq)]
pub struct Met {
    /// Where it is, along the way moved (mm, rail frame).
    pub at: f64,
    /// What is there.
    pub what: String,
}

impl SnapLines {
    /// Edges and middles of everything else, the middle of the rail, its ends and each rider's origin, along a
    /// way of the rail frame at a travel.
    pub fn along(direction: DVec3, movable: &Movable, bench: &Bench, travel: f64) -> Self {
        let fixture = &bench.fixture;
        let home = |owner: Owner| match owner {
            Owner::Ground => 0.0,
            Owner::Rider(number) => rider_x(fixture, number, travel),
        };
        let mut places = vec![(
            0.0,
            if direction.x.abs() > 0.5 { "start of the rail" } else { "middle of the rail" }.to_owned(),
        )];
        if direction.x.abs() > 0.5 {
            places.push((direction.x * fixture.rail.length, "end of the rail".to_owned()));
            for (number, rider) in fixture.riders.iter().enumerate() {
                places.push((direction.x * home(Owner::Rider(number)), format!("middle of {}", rider.name)));
            }
        }
        for (number, body) in bench.results.assembly.bodies.iter().enumerate() {
            let own = movable.bodies.iter().any(|id| id.0 as usize == number);
            let counts = matches!(
                body.role,
                Role::Plate
                    | Role::Load
                    | Role::Obstacle
                    | Role::Stop
                    | Role::Tyre
                    | Role::Pulley
                    | Role::Shoe
            );
            if own || !counts {
                continue;
            }
            let shift = DVec3::X * home(body.owner);
            let along = |p: DVec3| (p + shift).dot(direction);
            let reach = body
                .solids
                .iter()
                .map(|solid| solid.bounds())
                .filter(|bounds| !bounds.is_empty())
                .map(|bounds| (bounds.low, bounds.high))
                .reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
            let Some((low, high)) = reach else { continue };
            let label = body.label.as_str();
            places.push((along(0.5 * (low + high)), format!("middle of {label}")));
            // A wheel's rim is nowhere one builds to; its axle is.
            if body.role != Role::Tyre {
                places.push((along(low), format!("edge of {label}")));
                places.push((along(high), format!("edge of {label}")));
            }
        }
        places.retain(|(place, _)| place.is_finite());
        Self { places }
    }

    /// The shift nearest to `shift` that brings one of `edges` (mm, where they are before) to one of the places,
    /// if one is within `reach` (mm).
    pub fn meet(&self, edges: &[f64], shift: f64, reach: f64) -> Option<(f64, Met)> {
        let mut best: Option<(f64, f64, &(f64, String))> = None;
        for place in &self.places {
            for edge in edges {
                let wanted = place.0 - edge;
                let off = (wanted - shift).abs();
                if off <= reach && best.is_none_or(|(least, ..)| off < least - 1e-9) {
                    best = Some((off, wanted, place));
                }
            }
        }
        best.map(|(_, wanted, (at, what))| (wanted, Met { at: *at, what: what.clone() }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_place_within_reach_is_met() {
        let lines = SnapLines { places: vec![(0.0, "a".to_owned()), (10.0, "b".to_owned())] };
        // A thing from −2 to 2 with its middle at 0, moved by 7.6: its edge 9.6 meets 10.
        let edges = [0.0, -2.0, 2.0];
        let (shift, met) = lines.meet(&edges, 7.6, 0.5).unwrap();
        assert_eq!((shift, met.what.as_str()), (8.0, "b"));
        assert!(lines.meet(&edges, 5.0, 0.5).is_none());
        assert!(lines.meet(&[], 0.0, 1.0).is_none());
        assert!(lines.meet(&edges, f64::NAN, 1.0).is_none());
    }
}
