//! What the bench knows as plots: the same for the window, which shows them to be looked into, and for pictures.

mod builds;
mod sweep;

pub use builds::builds_plot;
pub use sweep::sweep_plot;
