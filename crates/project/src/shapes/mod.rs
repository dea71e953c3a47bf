//! Outlines from what a person draws or imports.

mod smooth;
mod svg;

pub(crate) use smooth::smoothed;
pub use svg::{ShapeError, region_from_path};
