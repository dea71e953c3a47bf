//! `figures`: every computed result, as a table or as JSON.

use std::path::PathBuf;

use super::load::{load, refuse};
use super::output::{Console, Outcome};

/// Arguments of `figures`.
#[derive(clap::Args)]
pub struct Arguments {
    /// The project; without it, the built-in demo
    file: Option<PathBuf>,
    /// The trial to work out instead of the fixture as drawn
    #[arg(long, value_name = "NAME")]
    trial: Option<String>,
    /// Print JSON with every value of every curve (described in assets/handbook/json.md)
    #[arg(long)]
    json: bool,
}

/// Runs `figures`.
pub fn run(arguments: &Arguments, console: &mut Console<'_>) -> Outcome {
    let (file, trial) = (arguments.file.as_deref(), arguments.trial.as_deref());
    let loaded = match load(file, trial) {
        Ok(loaded) => loaded,
        Err(problems) => return refuse(console, "figures", file, trial, arguments.json, &problems),
    };
    let share = loaded.builds().map(|(share, _)| share);
    let value = super::json::figures(&loaded.fixture, &loaded.results, trial, share.as_ref());
    if arguments.json {
        console.print(&format!("{value:#}\n"));
    } else {
        console.print(&super::table::table(&value));
    }
    Outcome::Good
}
