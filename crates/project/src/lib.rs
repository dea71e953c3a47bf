//! The document a person writes, and its resolution to plain numbers.
//!
//! # What is where
//! * the document: [`Document`] and what it is made of, in [`document`]
//! * sizes and formulas: [`size`], [`formula`], [`quantity`], [`tolerance`]
//! * what they come to: [`Values`], and the whole: [`resolve`]
//! * reading and writing: [`parse`], [`print()`]
//! * changing: [`edit`], trials: [`apply`]
//! * parts: [`tables`], caliper readings from a table: [`read_readings`]
//! * files: [`store`]
//! * what is wrong and where: [`Problem`]
//!
//! This crate knows nothing of screens or drawing. It never panics, whatever text it is given.

pub mod document;
pub mod edit;
pub mod formula;
pub mod quantity;
pub mod size;
pub mod store;
pub mod tables;
pub mod tolerance;

mod certainty;
mod choice;
mod comments;
mod demo;
mod migrate;
mod parts_in_use;
mod parts_table;
mod path;
mod print;
mod problem;
mod read;
mod readings;
mod resolve;
mod ron_options;
mod shapes;
mod student;
mod suggest;
mod text_table;
mod trial;
mod values;
mod walk;

pub use comments::Comments;
pub use demo::{demo, demo_text, sample_shuttle_text};
pub use document::Document;
pub use parts_in_use::{PartInUse, parts_in_use};
pub use parts_table::{print_parts_table, read_parts_table};
pub use path::Path;
pub use print::{print, print_parts};
pub use problem::{Place, Problem, Severity, told};
pub use read::{LARGEST_FILE, Read, parse, read, read_bytes, read_parts};
pub use readings::read_readings;
pub use resolve::{
    Cost, MeasuredSize, NumberSize, Origin, PITCHES_BEYOND, Resolved, SpreadSize, Suiting, cost_of,
    mass_of_part, measured_sizes, numbers, parts_of_kind, plain_shank, price_at, price_of, resistance_path,
    resolve, resolve_keeping, resolve_quickly, spread_sizes,
};
pub use shapes::{ShapeError, region_from_path};
pub use suggest::nearest;
pub use trial::{apply, apply_all, check_all};
pub use values::Values;
pub use walk::{PartUse, SizeSlot, Slot, SlotMut, Visit, VisitMut};
