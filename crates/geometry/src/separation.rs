//! The distance of two solids with its proof.

use glam::DVec3;

/// The end of a distance computation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// Closed form: exact to rounding.
    Exact,
    /// Iterated until the bounds met within the stated tolerance.
    Converged,
    /// Stopped at the iteration limit; `lower` and `gap` still bound the truth.
    LimitReached,
    /// The input has no answer (not finite, empty, negative size); the numbers are NaN.
    Invalid,
}

/// The signed distance of two convex solids A and B.
///
/// Apart: `gap` ≥ 0 is the distance between the witness points, an upper bound of the truth, and
/// `lower` is the width of the slab between A and B square to `normal`, a lower bound: together they
/// certify the result. Overlapping: `gap` < 0 is minus the least shift of B (along `normal`) that
/// separates them; the witness points are those that touch once B has been shifted so.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Separation {
    /// Signed gap (mm).
    pub gap: f64,
    /// Certified lower bound of the gap (mm).
    pub lower: f64,
    /// Witness point on A (mm, the common frame).
    pub on_a: DVec3,
    /// Witness point on B (mm, the common frame).
    pub on_b: DVec3,
    /// Unit direction from A to B: moving B along it widens the gap at rate 1.
    pub normal: DVec3,
    /// The end of the computation.
    pub ending: Ending,
}

/// A general pair whose bounds meet within this has [`Ending::Converged`] (mm).
pub const CERTIFIED: f64 = 1e-6;

impl Separation {
    /// The answer to input that has none.
    pub const INVALID: Self = Self {
        gap: f64::NAN,
        lower: f64::NAN,
        on_a: DVec3::NAN,
        on_b: DVec3::NAN,
        normal: DVec3::NAN,
        ending: Ending::Invalid,
    };

    /// True if the numbers mean something.
    pub fn is_valid(&self) -> bool {
        self.ending != Ending::Invalid
    }

    /// The same seen with A and B exchanged.
    pub fn swapped(&self) -> Self {
        Self { on_a: self.on_b, on_b: self.on_a, normal: -self.normal, ..*self }
    }
}
