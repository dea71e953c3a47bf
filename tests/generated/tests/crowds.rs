//! Many riders of many wheels.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

use glidewright_generated::crowd;
use glidewright_motion::{InterferenceCache, Results, analyse_with};
use glidewright_project::{parse, resolve};

/// Whether the same is said of the same pairs. Where faces lie face to face, the points between which a gap is told may
/// be others.
fn assert_same(one: &Results, other: &Results) {
    assert_eq!(one.findings.len(), other.findings.len());
    for (p, q) in one.findings.iter().zip(&other.findings) {
        assert_eq!((p.code, &p.title, p.severity), (q.code, &q.title, q.severity));
    }
    let gaps = |results: &Results| {
        let all = results.interference.passing.iter();
        let mut all: Vec<_> = all.map(|pair| (pair.bodies, pair.gap, pair.loaded.gap)).collect();
        all.sort_by_key(|(bodies, ..)| *bodies);
        all
    };
    let (p, q) = (gaps(one), gaps(other));
    assert_eq!(p.len(), q.len());
    for ((p, gap, loaded), (q, other_gap, other_loaded)) in p.iter().zip(&q) {
        assert_eq!(p, q);
        assert!((gap - other_gap).abs() < 1e-6 && (loaded - other_loaded).abs() < 1e-6, "{p:?}");
    }
}

#[test]
fn work_beside_a_crowd_copies_no_scenes_and_comes_to_the_same() {
    let fixture = resolve(&parse(&crowd(8, 8)).unwrap(), None).fixture.unwrap();
    let mut kept = InterferenceCache::default();
    let results = analyse_with(&fixture, &mut kept);
    assert!(results.interference.passing.len() > 5_000);
    let mut beside = kept.apart();
    assert_same(&analyse_with(&fixture, &mut beside), &results);
    // It was worked out again, and is so each time.
    assert!(beside.effort().pairs > 0);
    assert_same(&analyse_with(&fixture, &mut beside), &results);
    assert!(beside.effort().pairs > 0);
    // The answer itself is still known.
    assert_same(&analyse_with(&fixture, &mut kept), &results);
    assert_eq!(kept.effort().pairs, 0);

    // A few riders' scenes are copied.
    let fixture = resolve(&parse(&crowd(2, 4)).unwrap(), None).fixture.unwrap();
    let results = analyse_with(&fixture, &mut kept);
    let mut beside = kept.apart();
    assert_same(&analyse_with(&fixture, &mut beside), &results);
    assert_eq!(beside.effort().pairs, 0);
}
