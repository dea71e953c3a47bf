//! Pages written as PNG, SVG or PDF.

use std::path::Path;

use glidewright_project::store::Store;
use glidewright_sheet::{Page, PlotData, PngOptions, SvgOptions, Theme, pdf, png, svg};

use crate::views::PLOT_PT;

/// What a picture is written as.
#[derive(Clone, Copy)]
pub enum Format {
    /// Pixels.
    Png,
    /// Lines and text.
    Svg,
    /// Pages to print.
    Pdf,
}

impl Format {
    /// What a file's ending asks for.
    pub fn of(file: &Path) -> Option<Self> {
        match file.extension()?.to_str()?.to_ascii_lowercase().as_str() {
            "png" => Some(Self::Png),
            "svg" => Some(Self::Svg),
            "pdf" => Some(Self::Pdf),
            _ => None,
        }
    }
}

/// Writes pages; of what has no further ones the first. A PNG becomes `width` pixels wide.
///
/// # Errors
/// Why not, in words.
pub fn write(out: &Path, format: Format, pages: &[Page], dark: bool, width: u32) -> Result<(), String> {
    let [page, ..] = pages else { return Err("there is nothing to draw".to_owned()) };
    let theme = if dark { Theme::dark() } else { Theme::light() };
    let bytes = match format {
        Format::Png => png(page, &theme, PngOptions { width_px: width }),
        Format::Svg => svg(page, &theme, SvgOptions { embed_fonts: true }).map(String::into_bytes),
        Format::Pdf => pdf(pages, &theme),
    }
    .map_err(|error| error.to_string())?;
    Store::disk().write(out, &bytes).map_err(|error| format!("{error}; {}", error.remedy()))
}

/// Width of a plot's picture (pixels).
const PLOT_PX: u32 = 1600;

/// A file that a plot can be written to, which is not the project itself.
///
/// # Errors
/// Why it is none, in words.
pub fn plot_format(out: &Path, project: Option<&Path>) -> Result<Format, String> {
    if project.is_some_and(|file| Store::disk().is_same_file(file, out)) {
        return Err(format!("that would replace the project itself; name another file: {}", out.display()));
    }
    Format::of(out)
        .ok_or_else(|| format!("the picture's name must end in .png, .svg or .pdf: {}", out.display()))
}

/// Writes a plot.
///
/// # Errors
/// Why not, in words.
pub fn write_plot(out: &Path, format: Format, plot: &PlotData, dark: bool) -> Result<(), String> {
    write(out, format, &[plot.drawing(PLOT_PT).page()], dark, PLOT_PX)
}
