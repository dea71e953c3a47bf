//! The gap against a load's reach is what the whole interference says at every reach.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

mod common;

use glidewright_generated::usable;
use glidewright_motion::{Assembly, Fixture, Interference, analyse, gap_against_reach};

/// Fixtures with a load that slides, of the first seeds.
fn sliding(count: usize) -> impl Iterator<Item = (u64, Fixture, (usize, usize))> {
    let of = |fixture: &Fixture| {
        let riders = fixture.riders.iter().enumerate();
        let mut loads =
            riders.flat_map(|(r, rider)| rider.loads.iter().enumerate().map(move |(l, load)| (r, l, load)));
        loads
            .find(|(_, _, load)| {
                load.reach.is_some_and(|reach| reach.to > reach.from) && !load.solids.is_empty()
            })
            .map(|(r, l, _)| (r, l))
    };
    usable(0)
        .filter_map(move |g| Some((g.seed, of(&g.fixture)?, g.fixture)).map(|(s, p, f)| (s, f, p)))
        .take(count)
}

#[test]
fn gaps_against_reach_are_those_of_everything_placed_anew() {
    let mut told = 0;
    let asked = std::env::var("GLIDEWRIGHT_GENERATED").ok().and_then(|count| count.parse().ok());
    for (seed, fixture, of) in sliding(asked.unwrap_or(2)) {
        let results = analyse(&fixture);
        let slide = fixture.riders[of.0].loads[of.1].reach.unwrap();
        let reaches: Vec<f64> =
            (0..41).map(|i| slide.from + (slide.to - slide.from) * f64::from(i) / 40.0).collect();
        let gaps = gap_against_reach(&fixture, (&results.assembly, &results.interference), of, &reaches);
        let mut moved = fixture.clone();
        for place in [0, 7, 20, 33, 40] {
            moved.riders[of.0].loads[of.1].reach.as_mut().unwrap().at = reaches[place];
            let assembly = Assembly::new(&moved);
            let ends = [fixture.stroke.from, fixture.stroke.to];
            let all = Interference::new(&moved, &assembly, &ends, &[]);
            let whole = all.tightest().map(|pair| pair.gap);
            let deepest = all.tightest().and_then(|pair| pair.depth).map_or(0.0, |depth| -depth.at_most);
            let alike = match (gaps[place], whole) {
                // Where the load overlaps something, the depth of its deepest piece is told, which whole bodies exceed; how
                // deep those are is known between bounds.
                (Some(a), Some(b)) if b < 0.0 => a < 1e-5 && a >= b.min(deepest) - 1e-5,
                (Some(a), Some(b)) => (a - b).abs() <= 1e-5,
                (a, b) => a.is_none() && b.is_none(),
            };
            assert!(alike, "seed {seed}, reach {}: {:?} and {whole:?}", reaches[place], gaps[place]);
            told += usize::from(whole.is_some());
        }
    }
    assert!(told >= 3, "{told} gaps");
}
