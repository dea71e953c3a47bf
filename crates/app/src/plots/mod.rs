//! What the bench knows as plots: the same for the window, which shows them to be looked into, and for pictures.

mod builds;
mod pulls;
mod remedies;
mod sweep;

pub use builds::builds_plot;
pub use pulls::pulls_plot;
pub use remedies::{place_of, remedies_plot};
pub use sweep::{sweep_plot, swept};

/// A plot's title: the fixture, its trial, and what is plotted.
pub fn titled(fixture: &str, trial: Option<&str>, what: &str) -> String {
    let trial = trial.map_or_else(|| "as drawn".to_owned(), |trial| format!("trial “{trial}”"));
    format!("{fixture}, {trial}: {what}")
}
