//! Writes every view of a small fixture into the folder named on the command line, to be looked at.

#[path = "../../motion/tests/common/mod.rs"]
mod common;

use std::error::Error;
use std::path::PathBuf;
use std::time::Instant;

use glidewright_motion::analyse;
use glidewright_sheet::views::{VIEWS, ViewState, emphasis};
use glidewright_sheet::{DVec2, PngOptions, Theme, png};

fn main() -> Result<(), Box<dyn Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("name a folder")?);
    let fixture = common::fixture(&common::Recipe::default());
    let results = analyse(&fixture);
    for view in VIEWS {
        for (name, size) in [("small", DVec2::new(640.0, 480.0)), ("large", DVec2::new(1400.0, 800.0))] {
            let state = ViewState { size_pt: size, travel: 200.0, ..ViewState::default() };
            let begun = Instant::now();
            let drawing = view.drawing(&fixture, &results, &state);
            let took = begun.elapsed();
            let page = drawing.page_with(&emphasis(&state));
            let file = folder.join(format!("{}-{name}.png", view.name));
            std::fs::write(
                file,
                png(&page, &Theme::light(), PngOptions { width_px: (1.5 * size.x) as u32 })?,
            )?;
            #[allow(clippy::print_stdout, reason = "an example tells its reader what it did")]
            {
                println!(
                    "{} {name}: {took:?}, {} inks, {} skipped",
                    view.name,
                    page.inks.len(),
                    page.skipped
                );
            }
        }
    }
    Ok(())
}
