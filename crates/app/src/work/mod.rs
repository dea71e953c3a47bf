//! Work beside the window, each on a named thread: the newest of many jobs, one long piece of work, a file
//! being watched.

mod rested;
mod task;
mod watch;
mod worker;

pub use rested::Rested;
pub use task::{Progress, Step, Task};
pub use watch::Watch;
pub use worker::{Worker, guarded};
