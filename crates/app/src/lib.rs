//! The program: the window on a project. The command line stands beside it.
//!
//! One direction: what the person does is queued as actions, done after the frame is drawn, and the
//! document they change is read anew by one pure function; the window then draws what came of it.

pub mod cli;
mod commands;
mod compared;
mod panels;
mod plots;
mod shell;
mod state;
mod theme;
mod today;
mod views;
mod widgets;
mod work;

pub use commands::{Action, Command};
pub use shell::{App, RunError, run};
pub use state::{Demo, Edit, Origin, Preferences, Session, State};
pub use theme::Paper;

/// A fifth of a frame went to finding and freeing small pieces of memory: this allocator takes less.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;
