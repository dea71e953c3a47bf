//! The views on screen: what each keeps, how it is painted, how it answers the pointer. What they show is
//! drawn by the sheet crate, the same as in exported pictures.

mod canvas;
mod canvases;
mod grab;
mod handles;
mod heads;
mod look;
mod moving;
mod pointer;
mod zooming;

pub use canvas::{Camera, Shapes, Zoom};
pub use canvases::{CENTRE, Canvases, SPACE, on_screen};
pub use look::{Beside, COMPARE, PLOT_PT, ViewRequest, picture_pages};
pub use zooming::NOTCH;
