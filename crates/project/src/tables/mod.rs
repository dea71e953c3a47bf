//! The parts the program comes with, and the standards' tables, from `assets/tables`.
//!
//! A table's minimum and maximum become limits and the size calculated with is their middle; where it
//! gives a maximum only, that is the size and its note says so. Prices are invented guide prices, to have
//! something to add up until a person puts in what they pay.

mod bearings;
pub(crate) mod general_class;
mod library;
pub(crate) mod limits;
mod materials;
mod notes;
mod plain;
mod rows;
mod screws;
mod standards;
mod threads;
mod wares;

pub use library::{Library, built_in};
pub use plain::plain_name;
pub use standards::{ClearanceHole, clearance_hole, tap_drill};
pub use threads::{Thread, thread};
