//! The views on a whole fixture: everything inside its frame, words apart, nothing lost, no number fatal.

#[path = "../../motion/tests/common/mod.rs"]
mod common;

use glidewright_samples::COPY_STAND;
use std::sync::LazyLock;

use common::{Recipe, fixture};
use glidewright_motion::{BodyId, Fixture, Results, Role, analyse};
use glidewright_project::{parse, resolve, sample_shuttle_text};
use glidewright_sheet::views::{
    Pick, Projection, StripKind, VIEWS, ViewState, cursor_distance, travel_after_drag, travel_from_pt,
    travel_to_pt, view_named,
};
use glidewright_sheet::{DVec2, InkKind, Page, Rect, SvgOptions, Theme, curves_csv, svg};

const SIZES: [(f64, f64); 5] =
    [(640.0, 480.0), (960.0, 640.0), (1280.0, 700.0), (1900.0, 1000.0), (700.0, 1000.0)];

fn analysed(recipe: &Recipe) -> (Fixture, Results) {
    let fixture = fixture(recipe);
    let results = analyse(&fixture);
    (fixture, results)
}

fn words(page: &Page) -> impl Iterator<Item = (&str, Rect, f64)> {
    page.inks.iter().filter_map(|ink| match &ink.kind {
        InkKind::Text(text) => Some((text.text.as_str(), ink.bounds, text.size_pt)),
        _ => None,
    })
}

/// Both demo projects with all their trials, analysed.
static DEMOS: LazyLock<Vec<(String, Fixture, Results)>> = LazyLock::new(|| {
    let mut demos = Vec::new();
    for text in [COPY_STAND, sample_shuttle_text()] {
        let Ok(document) = parse(text) else { continue };
        let trials = std::iter::once(None).chain(document.trials.iter().map(|t| Some(t.name.as_str())));
        for trial in trials {
            let Some(fixture) = resolve(&document, trial).fixture else { continue };
            let results = analyse(&fixture);
            demos.push((format!("{}, {}", document.name, trial.unwrap_or("as drawn")), fixture, results));
        }
    }
    demos
});

/// What is asked of every picture: all of it there, every word on the paper, large enough, and clear of every
/// other word.
fn check_words(what: &str, page: &Page) {
    assert_eq!(page.skipped, 0, "{what}");
    let paper = Rect::between(DVec2::ZERO, page.size_pt).grown(0.5);
    let all: Vec<_> = words(page).collect();
    for (i, (text, bounds, size)) in all.iter().enumerate() {
        assert!(paper.holds(bounds), "{what}: {text} {bounds:?}");
        assert!(*size >= 8.0, "{what}: {text} {size}");
        // Boxes hold ascenders and descenders, which seldom meet: a fifth of the size may overlap.
        let own = bounds.grown(-0.1 * size);
        for (other, there, _) in &all[..i] {
            assert!(!own.overlaps(&there.grown(-0.1 * size)), "{what}: {text} over {other}, {own:?}");
        }
    }
}

#[test]
fn words_stay_on_the_paper_apart_and_can_be_read() {
    assert!(DEMOS.len() >= 8, "both demos and their trials");
    for (number, (name, fixture, results)) in DEMOS.iter().enumerate() {
        for view in VIEWS {
            for (which, (width, height)) in SIZES.into_iter().enumerate() {
                let (from, to) = (fixture.stroke.from, fixture.stroke.to);
                // Every demo in every size, each at another travel or two.
                let shares = [0.0, 0.41, 0.47, 0.5, 1.0];
                for share in [shares[(which + number) % 5], shares[(which + number + 2) % 5]] {
                    let travel = from + share * (to - from);
                    let state =
                        ViewState { size_pt: DVec2::new(width, height), travel, ..ViewState::default() };
                    let page = view.drawing(fixture, results, &state).page();
                    check_words(&format!("{name}: {} {width}×{height} at {travel}", view.name), &page);
                }
            }
        }
    }
}

#[test]
fn the_cursor_stands_where_the_lead_rider_does_and_moves_it() {
    let (fixture, results) = analysed(&Recipe::default());
    let bench = view_named("bench").unwrap();
    for travel in [0.0, 100.0, 480.0] {
        let state = ViewState { travel, ..ViewState::default() };
        let drawing = bench.drawing(&fixture, &results, &state);
        let at = travel_to_pt(&drawing, travel).unwrap();
        assert!((travel_from_pt(&drawing, at).unwrap() - travel).abs() < 1e-9);
        assert!(cursor_distance(&drawing, travel, at).unwrap() < 1e-9);
        // The rail's own scale: the lead stands at 110 mm at travel 0 in this fixture.
        let rail = drawing.panel_named("rail").unwrap();
        assert!((rail.pt(DVec2::new(0.0, 110.0 + travel)).y - at.y).abs() < 1e-9);
        // Every strip has the travel at the same height.
        for kind in StripKind::ALL {
            let Some(strip) = drawing.panel_named(kind.title()) else { continue };
            assert!((strip.pt(DVec2::new(travel, 0.0)).y - at.y).abs() < 1e-9, "{kind:?}");
        }
        // A drag of 30 mm upwards moves the lead up by 30 mm, and by the linked rider down by 30 mm.
        let up = travel_to_pt(&drawing, travel + 30.0).unwrap();
        let after = |rider| travel_after_drag(&fixture, &drawing, rider, 200.0, at, up).unwrap();
        assert!((after(0) - 230.0).abs() < 1e-9);
        assert!((after(1) - 170.0).abs() < 1e-9);
    }
}

/// A view that says so looks the same wherever the riders stand, whatever the fixture; one that is about the travel
/// does not say so.
#[test]
fn what_stands_still_is_the_same_at_every_travel() {
    for (name, fixture, results) in DEMOS.iter() {
        for view in VIEWS {
            let at = |share: f64| {
                let stroke = &fixture.stroke;
                let travel = stroke.from + share * stroke.length();
                let state = ViewState { travel, ..ViewState::default() };
                let page = view.drawing(fixture, results, &state).page();
                (view.is_still(&state), svg(&page, &Theme::light(), SvgOptions::default()).ok())
            };
            let ((still, one), (_, other)) = (at(0.2), at(0.7));
            if still {
                assert!(one == other, "{name}: {}", view.name);
            }
            let moves = ["bench", "end", "space", "sheet"].contains(&view.name);
            assert!(!(moves && still), "{name}: {}", view.name);
        }
    }
}

#[test]
fn parts_say_what_they_are() {
    for pick in [
        Pick::Body(BodyId(0)),
        Pick::Body(BodyId(4711)),
        Pick::Cursor,
        Pick::Gap,
        Pick::Strip(StripKind::Torque),
        Pick::Curve(StripKind::WheelLoads, 3),
        Pick::Tightest,
        Pick::Load(2, 300),
        Pick::Grip(1),
        Pick::Line,
    ] {
        assert_eq!(Pick::of(pick.part()), Some(pick));
    }
}

#[test]
fn a_body_is_found_where_it_is_drawn() {
    let (fixture, results) = analysed(&Recipe::default());
    let state = ViewState { travel: 20.0, ..ViewState::default() };
    let drawing = view_named("bench").unwrap().drawing(&fixture, &results, &state);
    let page = drawing.page();
    let rail = drawing.panel_named("rail").unwrap();
    // The front plate stands 34.5 + 7.5 … mm in front of the rail's centre, about the lead's place.
    let plate = results.assembly.bodies.iter().position(|body| body.role == Role::Plate).unwrap();
    let level = results.assembly.riders[0].plates[0];
    let at = rail.pt(DVec2::new(0.5 * (level.inner + level.outer), 110.0 + 20.0 + 25.0));
    let hit = page.pick(at, 0.0).unwrap();
    assert_eq!(Pick::of(hit.part), Some(Pick::Body(BodyId(plate as u32))));
}

#[test]
fn no_number_brings_a_view_down() {
    let (good, results) = analysed(&Recipe::default());
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.0, -1.0, 1e300] {
        let mut broken = Vec::new();
        for (spoil, what) in [
            (|f: &mut Fixture, v: f64| f.rail.length = v) as fn(&mut Fixture, f64),
            |f, v| f.stroke.to = v,
            |f, v| f.riders[0].at_zero = v,
            |f, v| f.riders[0].plates[0].thickness.nominal = v,
            |f, v| f.riders[1].wheels[0].stack.screw.diameter = v,
            |f, v| f.limits.gap = v,
            |f, v| f.rail.stand.incline = v,
            |f, v| f.riders[0].loads[0].centre.x = v,
        ]
        .into_iter()
        .zip(0..)
        {
            let mut fixture = good.clone();
            spoil(&mut fixture, bad);
            broken.push((what, fixture));
        }
        for (what, fixture) in broken {
            // A stroke without ends is refused before it is analysed.
            let own = if what == 1 { Results::default() } else { analyse(&fixture) };
            for view in VIEWS {
                for results in [&own, &results, &Results::default()] {
                    for size in [DVec2::new(800.0, 600.0), DVec2::new(bad, 600.0)] {
                        let state = ViewState { size_pt: size, travel: bad, ..ViewState::default() };
                        let drawing = view.drawing(&fixture, results, &state);
                        assert!(drawing.size_pt.is_finite(), "{} {what} {bad}", view.name);
                        let _ = drawing.page().pick(DVec2::new(100.0, 100.0), 4.0);
                    }
                }
            }
        }
    }
}

#[test]
fn every_projection_draws_every_body_that_can_be_seen() {
    let (fixture, results) = analysed(&Recipe::default());
    for projection in Projection::ALL {
        let state = ViewState { projection: Some(projection), ..ViewState::default() };
        let drawing = view_named("bench").unwrap().drawing(&fixture, &results, &state);
        let parts: Vec<_> =
            drawing.panels.iter().flat_map(|panel| &panel.items).filter_map(|item| item.part).collect();
        for (number, body) in results.assembly.bodies.iter().enumerate() {
            // Inner rings are part of the wheel's face, and spans of the whole line.
            let apart = matches!(body.role, Role::Hub | Role::Span);
            let part = Pick::Body(BodyId(number as u32)).part();
            assert!(apart || parts.contains(&part), "{projection:?}: {}", body.label);
        }
    }
}

#[test]
fn the_table_of_curves_holds_every_station_in_full() {
    for (name, fixture, results) in DEMOS.iter().filter(|(name, ..)| name.ends_with("as drawn")) {
        let text = curves_csv(fixture, results).unwrap();
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let header = reader.headers().unwrap().clone();
        let column = |wanted: &str| header.iter().position(|h| h == wanted).unwrap();
        let wheels: usize = fixture.riders.iter().map(|rider| rider.wheels.len()).sum();
        assert_eq!(header.len(), 13 + 2 * wheels, "{name}");
        let records: Vec<_> = reader.records().map(Result::unwrap).collect();
        assert_eq!(records.len(), results.curves.travel.len());
        for (i, record) in records.iter().enumerate() {
            // Numbers come back to the bit.
            assert_eq!(record[column("travel_mm")].parse(), Ok(results.curves.travel[i]));
            assert_eq!(record[column("effort_up_n")].parse(), Ok(results.curves.effort_up[i]));
            let by_hand = results.curves.torque_up.is_empty();
            assert_eq!(record[column("torque_up_nmm")].is_empty(), by_hand);
        }
    }
}
