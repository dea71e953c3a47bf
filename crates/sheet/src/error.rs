//! What can go wrong when a drawing is written.

use thiserror::Error;

/// Why a drawing could not be written.
#[derive(Debug, Error, Clone, PartialEq)]
pub enum SheetError {
    /// The drawing has no usable size.
    #[error(
        "the drawing is {width_pt} by {height_pt} pt: it needs a finite size above 0 and at most {limit_pt} pt"
    )]
    Size {
        /// Width asked for (pt).
        width_pt: f64,
        /// Height asked for (pt).
        height_pt: f64,
        /// The largest side allowed (pt).
        limit_pt: f64,
    },
    /// The picture would hold more pixels than allowed.
    #[error("a picture of {width_px} by {height_px} pixels is too large: at most {limit_px} pixels in all")]
    Pixels {
        /// Width asked for (px).
        width_px: u64,
        /// Height that follows (px).
        height_px: u64,
        /// The largest number of pixels allowed.
        limit_px: u64,
    },
    /// A library used for writing refused; its own words follow.
    #[error("writing the {format} failed: {message}")]
    Writer {
        /// "SVG", "PNG", "PDF" or "CSV".
        format: &'static str,
        /// The library's message.
        message: String,
    },
}
