//! The projects the program carries.

/// A project carried in the program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Demo {
    /// Two trays on one rail that pass a wall tie.
    SeedlingLift,
    /// A belt-driven sample shuttle.
    SampleShuttle,
}

impl Demo {
    /// All of them, the default first.
    pub const ALL: [Self; 2] = [Self::SeedlingLift, Self::SampleShuttle];

    /// What it is called in menus.
    pub const fn title(self) -> &'static str {
        match self {
            Self::SeedlingLift => "Seedling lift with two trays",
            Self::SampleShuttle => "Sample shuttle with motor",
        }
    }

    /// Its text.
    pub fn text(self) -> &'static str {
        match self {
            Self::SeedlingLift => glidewright_project::demo_text(),
            Self::SampleShuttle => glidewright_project::sample_shuttle_text(),
        }
    }
}
