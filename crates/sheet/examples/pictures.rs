//! Writes pictures as they are sent, with title, scale and key, to be looked at:
//! `pictures FOLDER [file=NAME.ron | seed=N] [view=NAME] [trial=NAME] [trials=COUNT] [at=MM] [paper=NAME] [portrait] [pdf]
//! [svg] [inch] [pound] [dark]`. Without a view all of them; the built-in demo without file and seed.

use std::error::Error;
use std::path::Path;
use std::sync::Arc;

use glidewright_generated::project;
use glidewright_motion::{Fixture, Results, analyse};
use glidewright_project::{demo_text, parse, resolve};
use glidewright_sheet::views::{Dress, Other, Paper, VIEWS, ViewState, picture};
use glidewright_sheet::{LengthUnit, LoadUnit, PngOptions, ReaderUnits, SvgOptions, Theme, pdf, png, svg};

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let folder = Path::new(words.first().ok_or("name a folder")?);
    let value = |key: &str| words.iter().find_map(|word| word.strip_prefix(key)?.strip_prefix('='));
    let has = |word: &str| words.iter().any(|other| other == word);
    let (text, name) = match (value("file"), value("seed")) {
        (Some(file), _) => {
            let stem = Path::new(file).file_stem().map(|stem| stem.to_string_lossy().into_owned());
            (std::fs::read_to_string(file)?, stem.unwrap_or_default())
        }
        (None, Some(seed)) => (project(seed.parse()?), format!("seed-{seed}")),
        (None, None) => (demo_text().to_owned(), "demo".to_owned()),
    };
    let document = parse(&text).map_err(|problems| format!("{problems:?}"))?;
    let made = |trial: Option<&str>| -> Option<(Arc<Fixture>, Arc<Results>)> {
        let fixture = resolve(&document, trial).fixture?;
        let results = analyse(&fixture);
        Some((Arc::new(fixture), Arc::new(results)))
    };
    let trial = value("trial");
    let (fixture, results) = made(trial).ok_or("no fixture")?;
    let most: usize = value("trials").map_or(Ok(7), str::parse)?;
    let names = std::iter::once(None).chain(document.trials.iter().map(|t| Some(t.name.as_str())));
    let others = names.filter(|name| *name != trial).take(most).filter_map(|name| {
        let (fixture, results) = made(name)?;
        Some(Other { name: name.unwrap_or("as drawn").to_owned(), fixture, results, extras: Arc::default() })
    });
    let tightest = results.interference.tightest().map_or(100.0, |pair| pair.at_travel);
    let others: Vec<Other> = others.collect();
    let state = ViewState {
        unit: ReaderUnits {
            length: if has("inch") { LengthUnit::Inch } else { LengthUnit::Millimetre },
            load: if has("pound") { LoadUnit::Pound } else { LoadUnit::Newton },
        },
        travel: value("at").map_or(Ok(tightest), str::parse)?,
        trial: trial.map(str::to_owned),
        ..ViewState::default()
    };
    let paper = value("paper").and_then(Paper::named);
    let dress = Dress {
        size_pt: paper.map(|paper| paper.size_pt(!has("portrait"))),
        on_paper: paper.is_some(),
        is_paged: has("pdf"),
        date: "2026-01-31".to_owned(),
        file: format!("{name}.ron"),
    };
    let theme = if has("dark") { Theme::dark() } else { Theme::light() };
    for view in VIEWS.iter().filter(|v| value("view").is_none_or(|wanted| wanted == v.name)) {
        let mut own = state.clone();
        if view.name == "compare" {
            own.others.clone_from(&others);
        }
        let pages = picture(view, &fixture, &results, &own, &dress);
        let stem = format!("{name}-{}", view.name);
        if has("pdf") {
            std::fs::write(folder.join(format!("{stem}.pdf")), pdf(&pages, &theme)?)?;
        }
        for (number, page) in pages.iter().enumerate() {
            let number = if number > 0 { format!("-{}", number + 1) } else { String::new() };
            if has("svg") {
                let text = svg(page, &theme, SvgOptions { embed_fonts: true })?;
                std::fs::write(folder.join(format!("{stem}{number}.svg")), text)?;
            }
            let longest = page.size_pt.max_element();
            let width_px = (1500.0 * page.size_pt.x / longest).round().max(16.0) as u32;
            std::fs::write(
                folder.join(format!("{stem}{number}.png")),
                png(page, &theme, PngOptions { width_px })?,
            )?;
        }
    }
    Ok(())
}
