//! What the engine gives back.

mod chain;
mod finding;

pub(crate) use chain::signed;
pub use chain::{Chain, Term};
pub use finding::{Finding, Remedy, Severity};

/// Number of a body in `Assembly::bodies`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BodyId(pub u32);
