//! The work of a whole sweep grows little faster than the number of pieces: counted, not timed, on the scene that the
//! bench times.
#![allow(clippy::unwrap_used, reason = "a broken fixture must fail the test")]
#![allow(dead_code, reason = "the bench uses more of its fixture")]

#[path = "../benches/clearance/fixture.rs"]
mod fixture;

use glidewright_geometry::Ask;

#[test]
fn work_grows_near_linear_with_the_pieces() {
    for tilt in [0.0, 0.0017] {
        let effort = [40, 80, 160, 320].map(|pieces| {
            let mut built = fixture::fixture(pieces, 20, tilt).build().unwrap();
            built.scene.sweep(&Ask {
                from: 0.0,
                to: 600.0,
                positions: 601,
                below: 0.5,
                horizon: 1.0,
                ceiling: f64::INFINITY,
            });
            built.scene.effort()
        });
        let exponent = |first: usize, last: usize| (last as f64 / first as f64).ln() / 8f64.ln();
        let pairs = exponent(effort[0].pairs, effort[3].pairs);
        let gaps = exponent(effort[0].gaps, effort[3].gaps);
        // Every pair of pieces would be 2; one pair a piece 1.
        assert!(pairs < 1.15 && gaps < 1.15, "{pairs} {gaps} {effort:?}");
        // Of 102 400 pairs of riders' pieces all but a few hundred are never made ready.
        assert!(effort[3].pairs < 3_000 && effort[3].gaps < 20_000, "{effort:?}");
    }
}
