//! What the engine gives back.

mod chain;
mod finding;

pub use chain::{Chain, Term, signed};
pub use finding::{Finding, Remedy, Severity};

/// Number of a body in `Assembly::bodies`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BodyId(pub u32);
