//! The command line: one file per verb. Without a verb the window opens.

mod check;
mod figures;
mod json;
mod load;
mod output;
mod picture;
mod solids;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

use output::Outcome;

/// A bench for small linear-motion fixtures on aluminium extrusion: drag the riders, see whether they
/// clear, run smoothly and stay where they are left.
#[derive(Parser)]
#[command(name = "glidewright", version, args_conflicts_with_subcommands = true)]
struct Arguments {
    #[command(subcommand)]
    verb: Option<Verb>,
    /// The project to open in the window; without it, the built-in demo
    file: Option<PathBuf>,
}

#[derive(Subcommand)]
enum Verb {
    /// Print the findings and key figures. Exit status: 0 nothing fails, 1 something fails, 2 the input
    /// can't be used
    Check(check::Arguments),
    /// Write a picture of the fixture: PNG, SVG or PDF by the file's ending
    Picture(picture::Arguments),
    /// Write every body at its place as STL, with an index
    Solids(solids::Arguments),
    /// Print every computed result, curves too, with units
    Figures(figures::Arguments),
}

/// Runs what the command line asks for.
pub fn run() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // clap words the message and knows where it goes; asking for help is no error.
            let _ = error.print();
            return if error.use_stderr() { Outcome::Unusable.into() } else { ExitCode::SUCCESS };
        }
    };
    let outcome = match arguments.verb {
        Some(Verb::Check(arguments)) => check::run(&arguments),
        Some(Verb::Picture(arguments)) => picture::run(&arguments),
        Some(Verb::Solids(arguments)) => solids::run(&arguments),
        Some(Verb::Figures(arguments)) => figures::run(&arguments),
        None => window(arguments.file),
    };
    outcome.into()
}

fn window(file: Option<PathBuf>) -> Outcome {
    match glidewright::run(file) {
        Ok(()) => Outcome::Good,
        Err(error) => {
            output::error(&error.to_string());
            Outcome::Unusable
        }
    }
}
