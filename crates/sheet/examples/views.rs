//! Writes views of the demo projects as PNG files, to be looked at:
//! `views FOLDER [view=NAME] [demo=0|1] [trial=NAME] [at=MM] [size=WxH] [dark] [all]`.
//! Without `all` one picture; with it every trial of both demos in every view.

use std::error::Error;
use std::path::Path;
use std::time::Instant;

use glidewright_motion::{Fixture, Results, analyse};
use glidewright_project::{demo_text, parse, resolve, sample_shuttle_text};
use glidewright_sheet::views::{Projection, VIEWS, View, ViewState, emphasis};
use glidewright_sheet::{DVec2, PngOptions, Theme, png};

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let folder = Path::new(words.first().ok_or("name a folder")?);
    let value = |key: &str| words.iter().find_map(|word| word.strip_prefix(key)?.strip_prefix('='));
    let has = |word: &str| words.iter().any(|other| other == word);
    let size = value("size").and_then(|text| {
        let (w, h) = text.split_once('x')?;
        Some(DVec2::new(w.parse().ok()?, h.parse().ok()?))
    });
    let theme = if has("dark") { Theme::dark() } else { Theme::light() };
    let travel = value("at").and_then(|text| text.parse().ok());
    let projection =
        value("from").and_then(|text| Projection::ALL.into_iter().find(|p| p.title().contains(text)));
    for (number, text) in [demo_text(), sample_shuttle_text()].into_iter().enumerate() {
        if value("demo").is_some_and(|wanted| wanted != number.to_string()) {
            continue;
        }
        let document = parse(text).map_err(|problems| format!("{problems:?}"))?;
        let trials = std::iter::once(None).chain(document.trials.iter().map(|t| Some(t.name.as_str())));
        for (which, trial) in trials.enumerate() {
            let wanted = value("trial");
            if !has("all") && wanted != trial {
                continue;
            }
            let resolved = resolve(&document, trial);
            let Some(fixture) = &resolved.fixture else { continue };
            let results = analyse(fixture);
            for view in VIEWS.iter().filter(|v| value("view").is_none_or(|wanted| wanted == v.name)) {
                let state = ViewState {
                    size_pt: size.unwrap_or(DVec2::new(960.0, 640.0)),
                    travel: travel.unwrap_or(200.0),
                    projection,
                    trial: trial.map(str::to_owned),
                    ..ViewState::default()
                };
                let file = folder.join(format!("{}-{number}-{which}.png", view.name));
                write(&file, view, fixture, &results, &state, &theme)?;
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
    let mut times: Vec<f64> = (0..9)
        .map(|_| {
            let begun = Instant::now();
            std::hint::black_box(view.drawing(fixture, results, state));
            begun.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    times.sort_by(f64::total_cmp);
    let drawing = view.drawing(fixture, results, state);
    let begun = Instant::now();
    let page = drawing.page_with(&emphasis(state));
    let lowering = begun.elapsed().as_secs_f64() * 1e3;
    std::fs::write(file, png(&page, theme, PngOptions { width_px: (scale * state.size_pt.x) as u32 })?)?;
    #[allow(clippy::print_stdout, reason = "an example tells its reader what it did")]
    {
        println!(
            "{}: drawing {:.2} ms, lowering {lowering:.2} ms, {} inks, {} skipped",
            file.display(),
            times[times.len() / 2],
            page.inks.len(),
            page.skipped
        );
    }
    Ok(())
}
