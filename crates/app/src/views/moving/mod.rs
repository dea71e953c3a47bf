//! Moving what is built in the drawing: loads, wheels, arms, obstacles, end stops, pulleys.
//!
//! * [`Movable`]: what of the selection can be moved, and which sizes of the document that changes
//! * [`Moving`]: a drag under way, from the first press to the new sizes
//! * [`SnapLines`]: places worth meeting
//! * [`shifted`]: a size's formula after a shift

mod formula;
mod movable;
mod snap;
mod under_way;

pub use formula::shifted;
pub use movable::{Coordinate, Movable, movable};
pub use snap::{Met, SnapLines};
pub use under_way::{Hold, Moving, Readout};
