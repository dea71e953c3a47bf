//! Work beside the window: one named thread that does the newest job and drops those before it.

mod worker;

pub use worker::{Worker, guarded};
