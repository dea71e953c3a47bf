//! Writes the sample drawing of the tests as SVG, PNG and PDF into the folder named on the command
//! line, in both themes, to be looked at.

#[path = "../tests/common/mod.rs"]
#[allow(dead_code, reason = "the tests use more of it")]
mod common;

use std::error::Error;
use std::path::PathBuf;

use glidewright_sheet::{PngOptions, SvgOptions, Theme, Tone, pdf, png, svg};

fn main() -> Result<(), Box<dyn Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("name a folder")?);
    let page = common::sample().page_with(&[(common::NUT, Tone::Selection)]);
    for (name, theme) in [("light", Theme::light()), ("dark", Theme::dark())] {
        std::fs::write(folder.join(format!("{name}.svg")), svg(&page, &theme, SvgOptions::default())?)?;
        std::fs::write(
            folder.join(format!("{name}.png")),
            png(&page, &theme, PngOptions { width_px: 2400 })?,
        )?;
        std::fs::write(folder.join(format!("{name}.pdf")), pdf(std::slice::from_ref(&page), &theme)?)?;
    }
    Ok(())
}
