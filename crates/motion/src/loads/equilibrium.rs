//! A rider at rest on its contacts, and how sure that is.

use nalgebra::Vector2;

use super::wrench::Motion;

/// How a solution ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SolveEnding {
    /// At the exact minimum: a full step left the set of pressing contacts as it was.
    Exact,
    /// The contacts cannot carry the load: it drives the rider's free motion.
    Unrestrained,
    /// The iteration limit was reached; the residual says how good it is.
    LimitReached,
    /// The input is not finite.
    Invalid,
    /// Friction grows with the push faster than the push: no force moves the rider, and it has no loads while moving.
    Jammed,
}

/// A rider at rest on its contacts.
#[derive(Clone, Debug, PartialEq)]
pub struct Equilibrium {
    /// Small motion off the nominal place.
    pub motion: Motion,
    /// Give of each support: shift (mm) and turn (rad).
    pub gives: Vec<Vector2<f64>>,
    /// Force of each contact (N), in the order given.
    pub forces: Vec<f64>,
    /// What is left unbalanced: force (N), and moment (N·mm) over the reach of the contacts (mm).
    pub residual: f64,
    /// How the solution ended.
    pub ending: SolveEnding,
    /// A motion that nothing resists (largest part scaled to 1); the load drives it where the ending says so.
    pub free: Option<Box<Motion>>,
}

impl Equilibrium {
    /// Whether every motion but that along the rail is held.
    pub fn is_held(&self) -> bool {
        self.ending == SolveEnding::Exact && self.free.is_none()
    }
}
