//! The drawing model: panels of items in world units.

mod dimension;
mod item;
mod panel;
mod path;
mod rect;

pub use dimension::{CentreCross, Dimension, DimensionKind};
pub use item::{End, Glyph, Item, ItemKind, Label, Mark, Part, Place, Polyline, Shape, Units};
pub use panel::{Drawing, Panel};
pub use path::{Contour, Path, Run};
pub use rect::Rect;
