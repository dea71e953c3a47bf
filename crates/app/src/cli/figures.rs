//! `figures`: every computed result as JSON.

use std::path::PathBuf;

use super::load::load;
use super::output::{Console, Outcome};

/// Arguments of `figures`.
#[derive(clap::Args)]
pub struct Arguments {
    /// The project; without it, the built-in demo
    file: Option<PathBuf>,
    /// The trial to work out instead of the fixture as drawn
    #[arg(long, value_name = "NAME")]
    trial: Option<String>,
    /// Print JSON (the only form there is; described in assets/handbook/json.md)
    #[arg(long)]
    json: bool,
}

/// Runs `figures`.
pub fn run(arguments: &Arguments, console: &mut Console<'_>) -> Outcome {
    let _ = arguments.json;
    let Some(loaded) = load(console, arguments.file.as_deref(), arguments.trial.as_deref()) else {
        return Outcome::Unusable;
    };
    let value = super::json::figures(&loaded.fixture, &loaded.results, loaded.trial.as_deref());
    console.print(&format!("{value:#}\n"));
    Outcome::Good
}
