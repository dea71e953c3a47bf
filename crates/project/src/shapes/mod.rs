//! Outlines from what a person draws or imports.

mod mirrored;
mod smooth;
mod svg;

pub(crate) use mirrored::mirrored;
pub(crate) use smooth::smoothed;
pub(crate) use svg::regions_seen;
pub use svg::{ShapeError, region_from_path};
