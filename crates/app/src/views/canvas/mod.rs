//! A drawing on screen: painted, enlarged, pointed at.

mod camera;
mod shapes;

pub use camera::{Camera, Zoom};
pub use shapes::Shapes;
