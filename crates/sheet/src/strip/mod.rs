//! Plots over travel that stand beside or below the rail and share its axis.

mod data;
mod paint;
mod ticks;

pub use data::{
    Interval, Limit, Marker, Orientation, STRIP_MARGIN, Series, StripData, StripLayout, StripMargin,
};
pub(crate) use paint::CURVE;
pub use paint::strip_panel;
pub(crate) use ticks::round_down;
pub use ticks::{Ticks, nice_ticks};
