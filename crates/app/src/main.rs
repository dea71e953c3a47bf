//! The Glidewright bench: window and command line.

use std::process::ExitCode;

use glidewright::cli::{Console, run};

fn main() -> ExitCode {
    let (mut out, mut error) = (std::io::stdout(), std::io::stderr());
    run(std::env::args_os(), &mut Console::new(&mut out, &mut error)).into()
}
