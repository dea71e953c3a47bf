//! Painters that write a page down. They return bytes or text; files are the caller's business.

mod pdf;
mod png;
mod subset;
mod svg;

pub use pdf::pdf;
pub use png::{PngOptions, png};
pub use svg::{SvgOptions, svg};

use crate::error::SheetError;
use crate::page::Page;

/// The largest side of a drawing (pt): the limit of PDF pages.
const LARGEST_PT: f64 = 14400.0;

fn checked_size(page: &Page) -> Result<(f64, f64), SheetError> {
    let (width_pt, height_pt) = (page.size_pt.x, page.size_pt.y);
    let fits = |v: f64| v.is_finite() && v > 0.0 && v <= LARGEST_PT;
    if fits(width_pt) && fits(height_pt) {
        Ok((width_pt, height_pt))
    } else {
        Err(SheetError::Size { width_pt, height_pt, limit_pt: LARGEST_PT })
    }
}
