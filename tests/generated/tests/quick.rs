//! What follows a hand says the same as what is worked out where it rests: gaps as drawn and curves exactly, under load to
//! first order, overlaps of several pieces as deep as parts them somewhere.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout, reason = "tests fail by panicking")]

use std::collections::HashMap;

use glidewright_generated::{Drag, usable};
use glidewright_motion::{InterferenceCache, PairResult, analyse, analyse_quickly};
use glidewright_project::resolve;

/// So many fixtures; `GLIDEWRIGHT_GENERATED` for another number.
fn count() -> usize {
    std::env::var("GLIDEWRIGHT_GENERATED").ok().and_then(|count| count.parse().ok()).unwrap_or(40)
}

fn near(a: f64, b: f64, by: f64) -> bool {
    a == b || (a - b).abs() <= by || (a.is_nan() && b.is_nan())
}

#[test]
fn a_quick_look_agrees_with_the_whole() {
    let mut off = Vec::new();
    let (mut pairs, mut verdicts, mut figures, mut alike) = (0, 0, 0, 0);
    for generated in usable(0).take(count()) {
        let seed = generated.seed;
        let fixture = resolve(&generated.document, None).fixture.unwrap();
        let quick = analyse_quickly(&fixture, &mut InterferenceCache::default(), None);
        let whole = analyse(&fixture);
        // Every fifth station is one of the few.
        for (station, travel) in quick.curves.travel.iter().enumerate() {
            assert!(near(*travel, whole.curves.travel[5 * station], 1e-9), "{seed}");
            for (few, many) in [
                (&quick.curves.imbalance, &whole.curves.imbalance),
                (&quick.curves.effort_up, &whole.curves.effort_up),
                (&quick.curves.effort_down, &whole.curves.effort_down),
            ] {
                let (few, many) = (few[station], many[5 * station]);
                // Friction that is sought from another place may end a little beside.
                assert!(near(few, many, 1e-2 * (1.0 + many.abs())), "{seed} at {travel}: {few} {many}");
                figures += 1;
                alike += usize::from(near(few, many, 1e-5 * (1.0 + many.abs())));
            }
            let (few, many) =
                (quick.interference.band.points[station], whole.interference.band.points[5 * station]);
            // Between stations where it was looked at, the gap to a moving stretch of line is known to this. Of overlaps
            // a quick look says that they are there.
            const LINE: f64 = 5e-4;
            let same = if many.gap > 0.0 { near(few.gap, many.gap, LINE) } else { few.gap <= LINE };
            assert!(same, "{seed} at {travel}: {} {}", few.gap, many.gap);
        }
        let by_bodies = |pairs: &[PairResult]| -> HashMap<_, _> {
            pairs.iter().map(|pair| (pair.bodies, pair.clone())).collect()
        };
        let lists = [
            (&quick.interference.passing, &whole.interference.passing),
            (&quick.interference.steady, &whole.interference.steady),
        ];
        for (few, many) in lists {
            let (few, many) = (by_bodies(few), by_bodies(many));
            assert_eq!(few.len(), many.len(), "{seed}");
            for (bodies, quick) in &few {
                let whole = &many[bodies];
                pairs += 1;
                match whole.depth {
                    Some(depth) => {
                        assert!(-quick.gap >= 0.5 * depth.at_least, "{seed}: {} {depth:?}", quick.gap);
                    }
                    None => assert!(near(quick.gap, whole.gap, 1e-6), "{seed}: {} {}", quick.gap, whole.gap),
                }
                // Where tilt is small against what lies near, first order is enough.
                let tilt = whole.tilt().abs();
                if whole.gap > 0.0 && whole.gap < 3.0 && tilt < 0.2 {
                    off.push(((quick.loaded.gap - whole.loaded.gap).abs(), tilt, seed));
                }
                verdicts += usize::from(
                    std::mem::discriminant(&quick.outcome) == std::mem::discriminant(&whole.outcome),
                );
            }
        }
    }
    println!("{alike} of {figures} figures alike");
    assert!(alike * 1000 >= figures * 995, "{alike} of {figures}");
    off.sort_by(|a, b| a.0.total_cmp(&b.0));
    let at = |share: f64| off[((off.len() - 1) as f64 * share) as usize];
    println!(
        "{pairs} pairs, {verdicts} with the same outcome; under load off by {:?} {:?} {:?}",
        at(0.5),
        at(0.99),
        at(1.0)
    );
    assert!(pairs > 500 && verdicts * 100 >= pairs * 99, "{verdicts} of {pairs}");
    assert!(at(0.5).0 <= 0.01 && at(0.9).0 <= 0.05, "{:?} {:?}", at(0.5), at(0.9));
}

/// Whoever is followed is shown what is nearest, as near as it is, whatever was seen before.
#[test]
fn a_hand_that_is_followed_misses_nothing_near() {
    let (mut steps, mut shorter) = (0, 0);
    for generated in usable(0).take(count()) {
        let mut kept = InterferenceCache::default();
        for drag in Drag::ALL {
            for step in 0..4 {
                // A slow hand and a fast one.
                let by = if generated.seed % 2 == 0 { 0.4 } else { 6.0 } * f64::from(step);
                let Some(document) = drag.moved(&generated.document, by) else { break };
                let Some(fixture) = resolve(&document, None).fixture else { break };
                let followed = analyse_quickly(&fixture, &mut kept, None).interference;
                let fresh = analyse_quickly(&fixture, &mut InterferenceCache::default(), None).interference;
                let what = format!("{} {drag:?} {by}", generated.seed);
                let gap = |pair: Option<&PairResult>| pair.map(|pair| pair.gap);
                // A depth is bounded by a search that ends within this.
                let same = |a: f64, b: f64| near(a, b, if b < 0.0 { 1e-3 } else { 1e-6 });
                let [ours, theirs] =
                    [&followed, &fresh].map(|found| gap(found.tightest()).unwrap_or(f64::NAN));
                assert!(same(ours, theirs), "{what}: {ours} {theirs}");
                let seen: HashMap<_, _> =
                    followed.passing.iter().map(|pair| (pair.bodies, pair.gap)).collect();
                for pair in &fresh.passing {
                    match seen.get(&pair.bodies) {
                        Some(gap) => assert!(same(*gap, pair.gap), "{what}: {gap} {}", pair.gap),
                        None => assert!(pair.gap > fixture.limits.gap, "{what}: {} is not seen", pair.gap),
                    }
                }
                steps += 1;
                shorter += usize::from(followed.passing.len() < fresh.passing.len());
            }
        }
    }
    assert!(steps > 4 * count() && shorter > count(), "{steps} {shorter}");
}
