//! The four outcomes of two things that share a stroke.

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
    /// Seen along the stack's axis they never overlap: no growth of the stacks can make them touch.
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
            Self::ClearByGap => "clear by gap",
            Self::ClearByPassing { .. } => "clear by passing",
        }
    }
}

/// How two things stand to each other seen along the axis of the stacks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Passage {
    /// Their outlines never overlap; the least sideways room (mm).
    Beside {
        /// Least distance of the outlines over the stroke (mm).
        room: f64,
    },
    /// Their outlines overlap somewhere: only the gap between them keeps them apart.
    Facing,
}
