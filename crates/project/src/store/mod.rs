//! Files: opening, atomic saving, one writer at a time, and a journal that survives a killed program.
//!
//! * [`Store`] opens and saves project files and writes everything else whole; [`Stamp`] notices that someone
//!   else has changed a file
//! * [`Files`] is what it stands on: the machine's [`Disk`], or another in its place
//! * [`Claim`] keeps two windows from writing one file
//! * [`Journal`] notes every edit at once; [`Store::recover`] gives what a killed program had not saved
//! * [`changes_between`] tells what differs between two documents

mod changes;
mod claim;
mod disk;
mod error;
mod files;
mod journal;
mod names;
mod stamp;
#[allow(clippy::module_inception, reason = "the file is named for the type in it")]
mod store;

pub use changes::changes_between;
pub(crate) use changes::things;
pub use claim::Claim;
pub use disk::Disk;
pub use error::StoreError;
pub use files::{About, Access, Files, Kind, Lock, Writing};
pub use journal::{Beginning, Found, Journal, Recovery};
pub use names::{backup_path, journal_path};
pub use stamp::{Expected, Stamp};
pub use store::{Opened, Store};
