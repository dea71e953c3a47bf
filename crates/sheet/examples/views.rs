//! Writes views of the demo projects as PNG files, to be looked at:
//! `views FOLDER [view=NAME] [demo=0|1] [trial=NAME] [at=MM] [size=WxH] [from=SIDE] [turn=DEG] [lift=DEG]
//! [window=FROM,TO] [strips=A,B] [with=all] [select=LABEL] [dark] [all]`.
//! Without `all` one picture; with it every trial of both demos in every view. `with=all` hands the other
//! trials over too.

use glidewright_samples::COPY_STAND;
use std::error::Error;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use glidewright_motion::{BodyId, Fixture, Results, analyse};
use glidewright_project::{parse, resolve, sample_shuttle_text};
use glidewright_sheet::views::{Other, Projection, StripKind, VIEWS, View, ViewState, emphasis};
use glidewright_sheet::{DVec2, PngOptions, Theme, png};

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let folder = Path::new(words.first().ok_or("name a folder")?);
    let value = |key: &str| words.iter().find_map(|word| word.strip_prefix(key)?.strip_prefix('='));
    let has = |word: &str| words.iter().any(|other| other == word);
    let pair = |text: &str, between: char| {
        let (a, b) = text.split_once(between)?;
        Some((a.parse().ok()?, b.parse().ok()?))
    };
    let degrees = |key: &str| value(key).and_then(|text| text.parse().ok()).map(f64::to_radians);
    let theme = if has("dark") { Theme::dark() } else { Theme::light() };
    for (number, text) in [COPY_STAND, sample_shuttle_text()].into_iter().enumerate() {
        if value("demo").is_some_and(|wanted| wanted != number.to_string()) {
            continue;
        }
        let document = parse(text).map_err(|problems| format!("{problems:?}"))?;
        let names = std::iter::once(None).chain(document.trials.iter().map(|t| Some(t.name.as_str())));
        let trials: Vec<(Option<&str>, Arc<Fixture>, Arc<Results>)> = names
            .filter_map(|name| {
                let fixture = resolve(&document, name).fixture?;
                let results = analyse(&fixture);
                Some((name, Arc::new(fixture), Arc::new(results)))
            })
            .collect();
        for (which, (trial, fixture, results)) in trials.iter().enumerate() {
            if !has("all") && value("trial") != *trial {
                continue;
            }
            let others =
                trials.iter().enumerate().filter(|(other, _)| *other != which).map(|(_, other)| Other {
                    name: other.0.unwrap_or("as drawn").to_owned(),
                    fixture: Arc::clone(&other.1),
                    results: Arc::clone(&other.2),
                    extras: Arc::default(),
                });
            let usual = ViewState::default();
            let selected = value("select").and_then(|wanted| {
                let place = results.assembly.bodies.iter().position(|body| body.label.contains(wanted))?;
                Some(BodyId(place as u32))
            });
            let strips = value("strips").map(|text| text.split(',').filter_map(StripKind::named).collect());
            let state = ViewState {
                size_pt: value("size")
                    .and_then(|text| pair(text, 'x'))
                    .map_or(usual.size_pt, |(w, h)| DVec2::new(w, h)),
                travel: value("at").and_then(|text| text.parse().ok()).unwrap_or(200.0),
                projection: value("from")
                    .and_then(|text| Projection::ALL.into_iter().find(|p| p.title().contains(text))),
                trial: trial.map(str::to_owned),
                turn: degrees("turn").unwrap_or(usual.turn),
                lift: degrees("lift").unwrap_or(usual.lift),
                window: value("window").and_then(|text| pair(text, ',')),
                probe: value("probe").and_then(|text| text.parse().ok()),
                strips: strips.unwrap_or(usual.strips),
                others: if has("with=all") { others.collect() } else { Vec::new() },
                ghosts: has("with=all"),
                selected,
                ..ViewState::default()
            };
            for view in VIEWS.iter().filter(|v| value("view").is_none_or(|wanted| wanted == v.name)) {
                let dark = if has("dark") { "-dark" } else { "" };
                let file = folder.join(format!("{}-{number}-{which}{dark}.png", view.name));
                write(&file, view, fixture, results, &state, &theme)?;
            }
        }
    }
    Ok(())
}

fn write(
    file: &Path,
    view: &View,
    fixture: &Fixture,
    results: &Results,
    state: &ViewState,
    theme: &Theme,
) -> Result<(), Box<dyn Error>> {
    let scale = if state.size_pt.x < 1000.0 { 2.0 } else { 1.4 };
    // The least of several: other programs only ever add to it.
    let timed = |work: &mut dyn FnMut()| {
        (0..40)
            .map(|_| {
                let begun = Instant::now();
                work();
                begun.elapsed().as_secs_f64() * 1e3
            })
            .fold(f64::INFINITY, f64::min)
    };
    let drawn = timed(&mut || {
        std::hint::black_box(view.drawing(fixture, results, state));
    });
    let drawing = view.drawing(fixture, results, state);
    let lowering = timed(&mut || {
        std::hint::black_box(drawing.page());
    });
    let page = drawing.page_with(&emphasis(state));
    std::fs::write(file, png(&page, theme, PngOptions { width_px: (scale * state.size_pt.x) as u32 })?)?;
    #[allow(clippy::print_stdout, reason = "an example tells its reader what it did")]
    {
        println!(
            "{}: drawing {drawn:.2} ms, lowering {lowering:.2} ms, {} inks, {} skipped",
            file.display(),
            page.inks.len(),
            page.skipped
        );
    }
    Ok(())
}
