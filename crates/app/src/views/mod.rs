//! The views on screen: what each keeps, how it is painted, how it answers the pointer. What they show is
//! drawn by the sheet crate, the same as in exported pictures.

mod canvas;
mod canvases;
mod grab;
mod pointer;

pub use canvases::{CENTRE, Canvases};
