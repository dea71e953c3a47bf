//! What the engine gives back.

mod chain;
mod finding;
mod rider;
mod tolerance;

pub use chain::{Chain, Term};
pub use finding::{Finding, Remedy, Severity};
pub use rider::{PointSag, RiderResults, Unrestrained, WheelPreload};
pub use tolerance::{Contributor, Tolerance};

/// Number of a body in `Assembly::bodies`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BodyId(pub u32);
