//! Whole-program tests live in this package's `tests/` folder; here is what they share.

use std::ffi::OsString;
use std::path::PathBuf;

use glidewright::cli::{Console, Outcome, run};
use serde_json::Value;

/// What the program said and how it ended.
pub struct Said {
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub error: String,
    /// How it ended.
    pub outcome: Outcome,
}

/// Runs the program with these arguments, as a shell would.
pub fn program(arguments: &[&str]) -> Said {
    let (mut out, mut error) = (Vec::new(), Vec::new());
    let all = std::iter::once("glidewright").chain(arguments.iter().copied()).map(OsString::from);
    let outcome = run(all, &mut Console::new(&mut out, &mut error));
    let text = |bytes: Vec<u8>| String::from_utf8_lossy(&bytes).into_owned();
    Said { out: text(out), error: text(error), outcome }
}

/// Everything the program computes about a project, by way of its text in a file.
///
/// # Errors
/// What the program said, when it could not use the project or its answer is not JSON.
pub fn figures(name: &str, project: &str) -> Result<Value, String> {
    let file = scratch(name).join("project.ron");
    std::fs::write(&file, project).map_err(|error| error.to_string())?;
    let said = program(&["figures", &file.to_string_lossy(), "--json"]);
    match said.outcome {
        Outcome::Good => serde_json::from_str(&said.out).map_err(|error| error.to_string()),
        _ => Err(said.error),
    }
}

/// An empty folder of this test's own.
pub fn scratch(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("glidewright-{}-{name}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    let _ = std::fs::create_dir_all(&folder);
    folder
}
