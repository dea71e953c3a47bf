//! The views: one registry, one canvas for each.

mod canvas;
mod canvases;
mod grab;
mod interim;
mod registry;

pub use canvases::Canvases;
pub use registry::CENTRE;
