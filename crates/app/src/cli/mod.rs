//! The command line: one file per verb. Without a verb the window opens.

mod check;
mod figures;
mod json;
mod load;
mod output;
mod picture;
mod solids;

use std::ffi::OsString;
use std::path::PathBuf;

use clap::{Parser, Subcommand};

pub use output::{Console, Outcome};

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

/// Runs what the command line asks for; `arguments` begins with the program's name.
pub fn run(arguments: impl IntoIterator<Item = OsString>, console: &mut Console<'_>) -> Outcome {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) if error.use_stderr() => {
            console.error(error.to_string().trim_end());
            return Outcome::Unusable;
        }
        Err(help) => {
            console.print(&help.to_string());
            return Outcome::Good;
        }
    };
    match arguments.verb {
        Some(Verb::Check(arguments)) => check::run(&arguments, console),
        Some(Verb::Picture(arguments)) => picture::run(&arguments, console),
        Some(Verb::Solids(arguments)) => solids::run(&arguments, console),
        Some(Verb::Figures(arguments)) => figures::run(&arguments, console),
        None => match crate::run(arguments.file) {
            Ok(()) => Outcome::Good,
            Err(error) => {
                console.error(&error.to_string());
                Outcome::Unusable
            }
        },
    }
}
