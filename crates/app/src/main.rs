//! The Glidewright bench: window and command line.

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
