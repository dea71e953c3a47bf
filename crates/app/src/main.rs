//! The Glidewright bench.

use std::process::ExitCode;

#[allow(clippy::print_stderr, reason = "where a program without a window tells what went wrong")]
fn main() -> ExitCode {
    let file = std::env::args_os().nth(1).map(Into::into);
    match glidewright::run(file) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::from(2)
        }
    }
}
