//! Belts and cords of generated fixtures: what is said of their gaps against their solids placed at many travels.
#![allow(clippy::panic, reason = "a test that cannot go on may stop")]

use glidewright_generated::usable;
use glidewright_geometry::{DVec3, Solid, separation};
use glidewright_motion::*;

/// The solids of a body at a travel, in the rail frame.
fn placed(fixture: &Fixture, assembly: &Assembly, id: BodyId, travel: f64) -> Vec<Solid> {
    let x = match assembly.bodies[id.0 as usize].owner {
        Owner::Ground => 0.0,
        Owner::Rider(rider) => rider_x(fixture, rider, travel),
    };
    let solids = assembly.solids_at(fixture, id, travel);
    solids.iter().map(|solid| solid.shifted(DVec3::X * x)).collect()
}

/// Riders that move on their own are left out: their pairs are told for all their places.
#[test]
fn no_gap_of_a_line_is_less_than_what_is_said() {
    const TRAVELS: usize = 9;
    let (mut pairs, mut moving) = (0, 0);
    for generated in usable(0).take(40) {
        let fixture = &generated.fixture;
        if fixture.line.is_none()
            || fixture.riders.iter().any(|rider| matches!(rider.coupling, Coupling::Free { .. }))
        {
            continue;
        }
        let results = analyse(fixture);
        let (from, to) = (fixture.stroke.from, fixture.stroke.to);
        let all = results.interference.passing.iter().chain(&results.interference.steady);
        let is_line = |id: BodyId| results.assembly.bodies[id.0 as usize].role == Role::Span;
        for pair in all.filter(|pair| is_line(pair.bodies.0) || is_line(pair.bodies.1)) {
            pairs += 1;
            moving += usize::from(pair.kinship == Kinship::MovingLine);
            for k in 0..TRAVELS {
                let travel = from + (to - from) * k as f64 / (TRAVELS - 1) as f64;
                let [a, b] =
                    [pair.bodies.0, pair.bodies.1].map(|id| placed(fixture, &results.assembly, id, travel));
                let gaps = a.iter().flat_map(|a| b.iter().map(move |b| separation(a, b).gap));
                let gap = gaps.fold(f64::INFINITY, f64::min);
                let proved = pair.gap.min(pair.separation.lower);
                assert!(gap >= proved - 2e-4, "seed {}, travel {travel}: {gap} {pair:?}", generated.seed);
                let inside =
                    pair.touching.iter().any(|(from, to)| (*from - 1e-9..=*to + 1e-9).contains(&travel));
                if gap > 1e-3 {
                    assert!(!inside, "seed {}, travel {travel}: {gap} {pair:?}", generated.seed);
                } else if gap < -1e-3 && !pair.kinship.is_steady() {
                    assert!(inside, "seed {}, travel {travel}: {gap} {pair:?}", generated.seed);
                }
            }
        }
    }
    assert!(pairs > 5 && moving > 2, "{pairs} {moving}");
}
