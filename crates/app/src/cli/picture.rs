//! `picture`: a view of the fixture as PNG, SVG or PDF.

use std::path::{Path, PathBuf};

use glidewright_geometry::DVec2;
use glidewright_sheet::views::{VIEWS, ViewState, view_named};
use glidewright_sheet::{Drawing, PngOptions, SvgOptions, Theme, pdf, png, svg};

use super::load::load;
use super::output::{Console, Outcome};

/// Arguments of `picture`.
#[derive(clap::Args)]
pub struct Arguments {
    /// The project; without it, the built-in demo
    file: Option<PathBuf>,
    /// Where to write; the ending (.png, .svg, .pdf) says what
    #[arg(long, value_name = "NAME.png|.svg|.pdf")]
    out: PathBuf,
    /// The trial to draw instead of the fixture as drawn
    #[arg(long, value_name = "NAME")]
    trial: Option<String>,
    /// Travel of the lead rider (mm); without it, where the tightest pair is closest
    #[arg(long, value_name = "MM", allow_negative_numbers = true)]
    at: Option<f64>,
    /// The view
    #[arg(long, value_name = "NAME", default_value = "bench")]
    view: String,
    /// Width of a PNG (pixels); SVG and PDF have no pixels
    #[arg(long, value_name = "PX", default_value_t = 1600)]
    width: u32,
    /// Draw on dark paper
    #[arg(long)]
    dark: bool,
}

/// Shape of a picture: height over width.
const ASPECT: f64 = 0.625;

/// Width the drawing is laid out for (pt), whatever the picture's width in pixels: it decides how large
/// letters are against the whole.
const LAYOUT_WIDTH: f64 = 1120.0;

/// Runs `picture`.
pub fn run(arguments: &Arguments, console: &mut Console<'_>) -> Outcome {
    let Some(format) = Format::of(&arguments.out) else {
        console.error(&format!("--out must end in .png, .svg or .pdf: {}", arguments.out.display()));
        return Outcome::Unusable;
    };
    let Some(view) = view_named(&arguments.view) else {
        let names: Vec<_> = VIEWS.iter().map(|view| view.name).collect();
        console.error(&format!("there is no view {:?}; there are {}", arguments.view, names.join(", ")));
        return Outcome::Unusable;
    };
    let Some(loaded) = load(console, arguments.file.as_deref(), arguments.trial.as_deref()) else {
        return Outcome::Unusable;
    };
    let stroke = loaded.fixture.stroke;
    let travel = arguments.at.unwrap_or_else(|| {
        loaded.results.interference.tightest().map_or(0.5 * (stroke.from + stroke.to), |pair| pair.at_travel)
    });
    if !(travel >= stroke.from && travel <= stroke.to) {
        console.error(&format!("--at {travel} lies outside the stroke, {} to {} mm", stroke.from, stroke.to));
        return Outcome::Unusable;
    }
    let state = ViewState {
        size_pt: DVec2::new(LAYOUT_WIDTH, ASPECT * LAYOUT_WIDTH),
        travel,
        trial: loaded.trial.clone(),
        ..ViewState::default()
    };
    let drawing = view.drawing(&loaded.fixture, &loaded.results, &state);
    match write(arguments, format, &drawing) {
        Ok(()) => {
            console.print(&format!("{} at travel {travel:.1} mm: {}\n", view.title, arguments.out.display()));
            Outcome::Good
        }
        Err(message) => {
            console.error(&message);
            Outcome::Unusable
        }
    }
}

/// What a picture is written as.
#[derive(Clone, Copy)]
enum Format {
    Png,
    Svg,
    Pdf,
}

impl Format {
    fn of(file: &Path) -> Option<Self> {
        match file.extension()?.to_str()?.to_ascii_lowercase().as_str() {
            "png" => Some(Self::Png),
            "svg" => Some(Self::Svg),
            "pdf" => Some(Self::Pdf),
            _ => None,
        }
    }
}

fn write(arguments: &Arguments, format: Format, drawing: &Drawing) -> Result<(), String> {
    let page = drawing.page();
    let theme = if arguments.dark { Theme::dark() } else { Theme::light() };
    let bytes = match format {
        Format::Png => png(&page, &theme, PngOptions { width_px: arguments.width }),
        Format::Svg => svg(&page, &theme, SvgOptions { embed_fonts: true }).map(String::into_bytes),
        Format::Pdf => pdf(&[page], &theme),
    }
    .map_err(|error| error.to_string())?;
    std::fs::write(&arguments.out, bytes)
        .map_err(|error| format!("can't write it: {error}: {}", arguments.out.display()))
}
