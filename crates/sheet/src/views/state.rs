//! What the reader looks at.

use glam::DVec2;
use glidewright_motion::BodyId;

use super::Projection;

/// What the reader looks at, and how large.
#[derive(Clone, Debug, PartialEq)]
pub struct ViewState {
    /// Width and height of the drawing (pt).
    pub size_pt: DVec2,
    /// Travel of the lead rider (mm).
    pub travel: f64,
    /// From where the rail is seen; `None` chooses what suits the riders.
    pub projection: Option<Projection>,
    /// The selected body.
    pub selected: Option<BodyId>,
    /// The body the pointer is over.
    pub hovered: Option<BodyId>,
    /// The strips beside the rail, in order; what has no room is left out from the end.
    pub strips: Vec<StripKind>,
    /// Which two bodies the close-up of facing stacks shows.
    pub pair: PairChoice,
    /// At which travel the close-up of facing stacks shows them.
    pub moment: Moment,
    /// The trial in force, for titles.
    pub trial: Option<String>,
    /// A note for the composed sheet.
    pub note: Option<String>,
}

impl Default for ViewState {
    fn default() -> Self {
        Self {
            size_pt: DVec2::new(960.0, 640.0),
            travel: 0.0,
            projection: None,
            selected: None,
            hovered: None,
            strips: StripKind::ALL.to_vec(),
            pair: PairChoice::Tightest,
            moment: Moment::Closest,
            trial: None,
            note: None,
        }
    }
}

impl ViewState {
    /// The size to draw in: what is asked for, within what a drawing can have.
    pub(super) fn size(&self) -> DVec2 {
        let usable = |v: f64, else_: f64| if v.is_finite() { v.clamp(200.0, 10_000.0) } else { else_ };
        DVec2::new(usable(self.size_pt.x, 960.0), usable(self.size_pt.y, 640.0))
    }
}

/// A plot over travel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StripKind {
    /// The tightest gap.
    Clearance,
    /// The push it takes, up and down.
    Effort,
    /// The torque of the drive.
    Torque,
    /// What the wheels of the selected or lead rider carry.
    WheelLoads,
}

impl StripKind {
    /// All of them, the most important first.
    pub const ALL: [Self; 4] = [Self::Clearance, Self::Effort, Self::Torque, Self::WheelLoads];

    /// What a reader calls it; also the name of its panel.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Clearance => "Clearance",
            Self::Effort => "Effort",
            Self::Torque => "Drive torque",
            Self::WheelLoads => "Wheel loads",
        }
    }

    pub(super) fn number(self) -> u32 {
        Self::ALL.iter().position(|kind| *kind == self).unwrap_or(0) as u32
    }
}

/// Which two bodies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum PairChoice {
    /// The two that come nearest to each other while passing.
    #[default]
    Tightest,
    /// These two.
    Chosen(BodyId, BodyId),
}

/// At which travel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Moment {
    /// Where the two come closest.
    #[default]
    Closest,
    /// Where the riders are.
    Now,
}
