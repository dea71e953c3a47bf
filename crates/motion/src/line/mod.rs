//! The belt or cord at work: how it moves, how hard each part of it pulls, what its pulleys take, how
//! long it must be.

mod figures;
mod model;
mod pulls;

pub(crate) use figures::FULL_MESH;
pub use figures::{LineFigures, SpanFigures, WholeTeeth, WrapFigures, teeth_factor};
pub use model::LineModel;
pub(crate) use model::path_energy;
pub(crate) use pulls::KnownBalance;
pub use pulls::{LinePulls, PullLaw, PulleyLoss};
