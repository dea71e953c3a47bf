//! `picture`: a view of the fixture as PNG, SVG or PDF.

use std::path::PathBuf;

use super::load::load;
use super::output::{self, Outcome, print};

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
    /// Width of the picture (pixels; for SVG and PDF points)
    #[arg(long, value_name = "PX", default_value_t = 1600)]
    width: u32,
    /// Draw on dark paper
    #[arg(long)]
    dark: bool,
}

/// Runs `picture`.
pub fn run(arguments: &Arguments) -> Outcome {
    let _ = (arguments.width, arguments.dark, &arguments.view, arguments.at, &arguments.out);
    let Some(_loaded) = load(arguments.file.as_deref(), arguments.trial.as_deref()) else {
        return Outcome::Unusable;
    };
    output::error("pictures are not part of this build");
    print("");
    Outcome::Unusable
}
