//! The four outcomes of two things that share a stroke.

use glidewright_geometry::CERTIFIED;

/// Gaps that differ by less are one (mm): a gap between solids that lean is certified no nearer, the rounding of places
/// some hundred millimetres out, summed over a stack, is a thousandth of it, and nobody makes or measures a part so true.
/// Every comparison of a gap with nothing or with what is asked allows for it: see [`touches`], [`overlaps`] and
/// [`falls_short`].
pub const GAP_TOLERANCE: f64 = CERTIFIED;

/// Whether a gap (mm) is none: the two touch or overlap.
///
/// ```
/// use glidewright_motion::touches;
/// assert!(touches(0.0) && touches(1e-15) && !touches(0.001));
/// ```
pub fn touches(gap: f64) -> bool {
    gap <= GAP_TOLERANCE
}

/// Whether a gap (mm) is less than none: the two overlap, by more than a touch.
///
/// ```
/// use glidewright_motion::overlaps;
/// assert!(overlaps(-0.001) && !overlaps(-1e-15));
/// ```
pub fn overlaps(gap: f64) -> bool {
    gap < -GAP_TOLERANCE
}

/// Whether a gap is less than what is asked for (both mm).
///
/// ```
/// use glidewright_motion::falls_short;
/// assert!(falls_short(0.49, 0.5) && !falls_short(0.5 - 1e-15, 0.5));
/// ```
pub fn falls_short(gap: f64, asked: f64) -> bool {
    gap < asked - GAP_TOLERANCE
}

/// What becomes of two things as they pass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outcome {
    /// The gap is zero or less somewhere.
    Fouls {
        /// How much would have to come off (mm).
        depth: f64,
    },
    /// Positive, but less than asked for, or within its tolerances of nothing.
    Marginal,
    /// They pass face to face with a gap that is large enough.
    ClearByGap,
    /// No growth of their stacks can make them touch: seen along parallel axes they never overlap; with axes that cross,
    /// they never overlap along the direction square to both.
    ClearByPassing {
        /// Sideways room that keeps it so (mm).
        room: f64,
    },
}

impl Outcome {
    /// Stable word.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Fouls { .. } => "fouls",
            Self::Marginal => "marginal",
            Self::ClearByGap => "clear end to end",
            Self::ClearByPassing { .. } => "clear side by side",
        }
    }
}

/// How two things stand to each other seen along the axes of their stacks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Passage {
    /// However far each is prolonged along its own axis, they never meet; the least sideways room (mm).
    Beside {
        /// Least distance of the two so prolonged over the stroke (mm).
        room: f64,
    },
    /// Prolonged far enough they would meet somewhere: only the gap between them keeps them apart.
    Facing,
}
