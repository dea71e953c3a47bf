//! A rider just put where another stands: every piece in the place of its like, leaning a little.
#![allow(clippy::expect_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{Recipe, fixture};
use glam::DVec3;
use glidewright_geometry::Ending;
use glidewright_motion::*;

/// More gaps than this for one answer and something runs away: level it takes some 25 000.
const MOST_GAPS: usize = 60_000;

#[test]
fn riders_in_each_others_place_are_checked_soon_and_rightly() {
    let mut fixture = fixture(&Recipe::default());
    let mut third = fixture.riders[0].clone();
    third.name = "third".into();
    third.coupling = Coupling::Free { from: 0.0, to: 480.0, at: 0.0 };
    fixture.riders.push(third);
    let assembly = Assembly::new(&fixture);
    let Stroke { from, to } = fixture.stroke;
    let stations: Vec<f64> = (0..=200).map(|k| from + (to - from) * f64::from(k) / 200.0).collect();
    for lean in [1e-6, 1e-5, 1e-4, 0.002, 0.017] {
        let standing = |turn: DVec3| {
            let motion = loads::Motion { shift: DVec3::new(0.0, 0.01, -0.02), turn: turn * lean };
            let tilt = vec![motion.turn.length(); stations.len()];
            RiderResults { poses: vec![motion; stations.len()], tilt, ..RiderResults::default() }
        };
        let turns = [DVec3::new(0.6, 0.8, 0.0), DVec3::ZERO, DVec3::new(-0.3, 0.8, 0.2)];
        let riders = turns.map(standing);
        let mut cache = InterferenceCache::default();
        let found = cache.update(&fixture, &assembly, &stations, &riders);
        assert!(cache.effort().gaps < MOST_GAPS, "{lean}: {:?}", cache.effort());
        let deep: Vec<_> = found.passing.iter().filter(|pair| pair.gap < -1.0 && !pair.meets_stop).collect();
        assert!(deep.len() > 50, "{lean}: {}", deep.len());
        for pair in deep {
            // Proved: no search has stopped at its limit. Of bodies of several pieces two bounds are told.
            let loaded = pair.loaded.separation;
            let pieces = |id: BodyId| assembly.bodies[id.0 as usize].solids.len();
            if pieces(pair.bodies.0) == 1 && pieces(pair.bodies.1) == 1 {
                assert!(matches!(loaded.ending, Ending::Exact | Ending::Converged), "{lean}: {loaded:?}");
            }
            let bounds = pair.depth.expect("an overlap has bounds");
            assert!(0.0 < bounds.at_least && bounds.at_least <= -pair.gap && -pair.gap <= bounds.at_most);
            // Upright the depth has a closed form. A lean of both moves no point of the two by more than its arm.
            let arm = 250.0;
            assert!(
                (pair.loaded.gap - pair.gap).abs() < 2.0 * lean * arm + 0.05,
                "{lean}: {} {} and {}: {pair:?}",
                pair.loaded.gap,
                assembly.bodies[pair.bodies.0.0 as usize].label,
                assembly.bodies[pair.bodies.1.0 as usize].label,
            );
            assert!(matches!(pair.outcome, Outcome::Fouls { .. }));
        }
        assert!(found.band.points.iter().all(|point| point.loaded < -1.0));
    }
}
