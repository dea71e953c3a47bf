//! A fixture from any answers: what is drawn passes its own checks, and what cannot be is refused with a way out.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_motion::{Severity, analyse};
use glidewright_project::Document;
use glidewright_project::document::{Moves, Stand};
use glidewright_project::edit::{Wish, fixture, rails};
use glidewright_project::size::AnySize;
use glidewright_project::{parse, print, resolve};

/// Every rail, one or two riders, on their own or tied, however the rail stands, with a load; upright also a short one
/// without.
fn wishes() -> Vec<Wish> {
    let stands =
        [Stand::Upright, Stand::Lying, Stand::Inclined { incline: 30.0.into(), roll: Default::default() }];
    let mut all = Vec::new();
    for rail in rails() {
        for (two, linked) in [(false, false), (true, false), (true, true)] {
            for stand in &stands {
                let short = (*stand == Stand::Upright).then_some((320.0, 0.0));
                for (length, load) in short.into_iter().chain([(1200.0, 800.0)]) {
                    let (name, section) = ("Own".to_owned(), rail.name.clone());
                    all.push(Wish { name, section, length, stand: stand.clone(), two, linked, load });
                }
            }
        }
    }
    all
}

#[test]
fn whatever_is_answered_nothing_fails() {
    let (mut drawn, mut pairs, mut refused) = (0, 0, 0);
    for wish in wishes() {
        let what = format!("{wish:?}");
        let document = match fixture(&wish) {
            Ok(document) => document,
            Err(problem) => {
                assert!(!problem.remedy.is_empty(), "{what}: {problem}");
                // One rider on a long rail is never too much.
                assert!(wish.two || wish.length < 1000.0, "{what}: {problem}");
                refused += 1;
                continue;
            }
        };
        let resolved = resolve(&document, None);
        let errors = resolved.problems.iter().filter(|p| p.severity == glidewright_project::Severity::Error);
        assert_eq!(errors.count(), 0, "{what}");
        let results = analyse(&resolved.fixture.expect(&what));
        for finding in &results.findings {
            let is_gap = finding.code == "gap.marginal";
            assert!(finding.severity < Severity::Fails && !is_gap, "{what}: {}", finding.title);
        }
        // It is what was asked for.
        assert_eq!(document.riders.len(), 1 + usize::from(wish.two), "{what}");
        assert_eq!(document.rail.section, wish.section);
        stays_sound_on_another_length(&document, wish.length, &what);
        if wish.two {
            let tied = matches!(document.riders[1].moves, Moves::Linked(_));
            assert_eq!((tied, document.line.is_some()), (wish.linked, wish.linked), "{what}");
            pairs += 1;
        }
        assert_eq!(parse(&print(&document)).expect(&what), document, "{what}");
        drawn += 1;
    }
    assert!(
        drawn > 130 && pairs > 40 && refused > 40,
        "{drawn} drawn, {pairs} of them pairs, {refused} refused"
    );
}

/// What is placed from the rail's ends stays a fixture when the rail is another.
fn stays_sound_on_another_length(document: &Document, length: f64, what: &str) {
    let mut longer = document.clone();
    let size = longer.sizes.entries.iter_mut().find(|(name, _)| name == "rail").unwrap();
    size.1 = AnySize::of(length + 137.5);
    let fixture = resolve(&longer, None).fixture.expect(what);
    let before = resolve(document, None).fixture.expect(what);
    assert!((fixture.stroke.to - before.stroke.to - 137.5).abs() < 1e-6, "{what}");
    let results = analyse(&fixture);
    let worst = results.findings.iter().find(|finding| finding.severity == Severity::Fails);
    assert!(worst.is_none(), "{what}, longer: {}", worst.unwrap().title);
}
