//! Files: opening, atomic saving, one writer at a time, and a journal that survives a killed program.
//!
//! * [`open`] and [`save`] project files; [`Stamp`] notices that someone else has changed one
//! * [`Claim`] keeps two windows from writing one file
//! * [`Journal`] notes every edit at once; [`recover`] gives what a killed program had not saved
//! * [`changes_between`] tells what differs between two documents

mod changes;
mod claim;
mod error;
mod files;
mod journal;

pub use changes::changes_between;
pub(crate) use changes::things;
pub use claim::Claim;
pub use error::StoreError;
pub use files::{Expected, Opened, Stamp, backup_path, open, open_parts, save, save_parts};
pub use journal::{Journal, Recovery, journal_path, recover};
