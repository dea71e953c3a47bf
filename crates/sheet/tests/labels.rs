//! Words of drawings keep apart: in every view, of the demos and of random fixtures, in a small and in a usual size.

#![allow(clippy::unwrap_used, reason = "tests fail by panicking")]

use glidewright_generated::usable;
use glidewright_motion::{Fixture, analyse};
use glidewright_project::{demo_text, parse, resolve, sample_shuttle_text};
use glidewright_samples::COPY_STAND;
use glidewright_sheet::views::{Dress, VIEWS, ViewState, picture};
use glidewright_sheet::{DVec2, InkKind, Rect, TextInk};

/// The box of a text with a little of its ascenders and descenders taken off: these seldom meet.
fn box_of(text: &TextInk) -> Rect {
    let corners = text.corners();
    let own = Rect::between(corners[0], corners[2]).union(&Rect::between(corners[1], corners[3]));
    own.grown(-0.16 * text.size_pt)
}

#[test]
fn no_word_lies_over_another() {
    let mut fixtures: Vec<(String, Fixture)> = [demo_text(), sample_shuttle_text(), COPY_STAND]
        .into_iter()
        .map(|text| resolve(&parse(text).unwrap(), None).fixture.unwrap())
        .map(|fixture| (fixture.name.clone(), fixture))
        .collect();
    for from in [1, 1000] {
        fixtures.extend(usable(from).take(5).map(|found| (format!("seed {}", found.seed), found.fixture)));
    }
    let (mut wrong, mut texts) = (Vec::new(), 0);
    for (name, fixture) in &fixtures {
        let results = analyse(fixture);
        for (size, share) in [(DVec2::new(620.0, 560.0), 0.15), (DVec2::new(1150.0, 800.0), 0.6)] {
            let travel = fixture.stroke.from + share * fixture.stroke.length();
            let state = ViewState { travel, ..ViewState::default() };
            let dress = Dress { size_pt: Some(size), ..Dress::default() };
            for view in VIEWS.iter().filter(|view| (view.lacks)(fixture, &results).is_none()) {
                for page in picture(view, fixture, &results, &state, &dress) {
                    let all: Vec<&TextInk> = page
                        .inks
                        .iter()
                        .filter_map(|ink| match &ink.kind {
                            InkKind::Text(text) => Some(text),
                            _ => None,
                        })
                        .collect();
                    texts += all.len();
                    for (number, text) in all.iter().enumerate() {
                        let over = all[..number].iter().filter(|other| box_of(text).overlaps(&box_of(other)));
                        let told = over.map(|other| {
                            format!("{name}, {}: {:?} over {:?}", view.name, text.text, other.text)
                        });
                        wrong.extend(told);
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(texts > 3000, "{texts}");
}
