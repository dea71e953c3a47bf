//! The whole program on generated fixtures.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that cannot go on may stop")]

use glidewright_generated::{Manner, of, project, written};
use glidewright_project::{parse, resolve};

#[test]
fn seeds_give_plausible_projects_in_every_manner() {
    let manners = [
        Manner::default(),
        Manner { mirrored: true, ..Manner::default() },
        Manner { reversed: true, ..Manner::default() },
        Manner { inches: true, ..Manner::default() },
        Manner { renamed: true, ..Manner::default() },
        Manner { counted_from: 50.0, ..Manner::default() },
    ];
    let seeds = 24;
    let (mut usable, mut told) = (0, Vec::new());
    for seed in 0..seeds {
        if of(seed).is_none() {
            // What is wrong with it is told, and it still reads.
            let document = parse(&project(seed)).unwrap();
            let problems = resolve(&document, None).problems;
            assert!(!problems.is_empty(), "seed {seed}");
            told.push(format!("{seed}: {}", problems[0].told()));
            continue;
        }
        usable += 1;
        for manner in manners {
            let document = parse(&written(seed, manner))
                .unwrap_or_else(|problems| panic!("seed {seed} {manner:?}: {problems:#?}"));
            let resolved = resolve(&document, None);
            assert!(
                resolved.fixture.is_some() && !resolved.has_errors(),
                "seed {seed} {manner:?}: {:#?}",
                resolved.problems
            );
        }
    }
    assert!(3 * usable > 2 * seeds, "{usable} of {seeds}: {told:#?}");
}
