//! Sizes of paper.

use glam::DVec2;

use crate::units::PT_PER_MM;

/// A size of paper: ISO 216 and the North American ones.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Paper {
    /// 148 × 210 mm.
    A5,
    /// 210 × 297 mm.
    A4,
    /// 297 × 420 mm.
    A3,
    /// 8.5 × 11 in.
    Letter,
    /// 11 × 17 in.
    Tabloid,
}

impl Paper {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::A5, Self::A4, Self::A3, Self::Letter, Self::Tabloid];

    /// What a reader calls it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::A5 => "A5",
            Self::A4 => "A4",
            Self::A3 => "A3",
            Self::Letter => "Letter",
            Self::Tabloid => "Tabloid",
        }
    }

    /// The size of a name, in capitals or not.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|paper| paper.name().eq_ignore_ascii_case(name))
    }

    /// Width and height (pt).
    pub fn size_pt(self, landscape: bool) -> DVec2 {
        let upright = match self {
            Self::A5 => DVec2::new(148.0, 210.0) * PT_PER_MM,
            Self::A4 => DVec2::new(210.0, 297.0) * PT_PER_MM,
            Self::A3 => DVec2::new(297.0, 420.0) * PT_PER_MM,
            Self::Letter => DVec2::new(612.0, 792.0),
            Self::Tabloid => DVec2::new(792.0, 1224.0),
        };
        if landscape { DVec2::new(upright.y, upright.x) } else { upright }
    }
}
