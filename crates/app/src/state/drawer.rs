//! What the drawer below the drawing shows.

/// One page of the drawer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Drawer {
    /// The trials with what each comes to.
    Trials,
    /// What share of builds fouls.
    Builds,
    /// One size over a range.
    Sweep,
    /// What could be otherwise, the best first.
    Remedies,
    /// Shared sizes as a sheet.
    Sizes,
    /// Caliper readings of parts.
    Readings,
    /// Pulls measured with a spring scale.
    Pulls,
    /// What parts cost.
    Costs,
    /// A library of one's own.
    Library,
}

impl Drawer {
    /// All pages in the order of their tabs.
    pub const ALL: [Self; 9] = [
        Self::Trials,
        Self::Builds,
        Self::Sweep,
        Self::Remedies,
        Self::Sizes,
        Self::Readings,
        Self::Pulls,
        Self::Costs,
        Self::Library,
    ];

    /// The tab's words.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Trials => "Trials",
            Self::Builds => "Builds",
            Self::Sweep => "Sweep",
            Self::Remedies => "Remedies",
            Self::Sizes => "Shared sizes",
            Self::Readings => "Readings",
            Self::Pulls => "Pulls",
            Self::Costs => "Costs",
            Self::Library => "Own library",
        }
    }

    /// What is there.
    pub const fn about(self) -> &'static str {
        match self {
            Self::Trials => "Named sets of changes, with what each comes to",
            Self::Builds => {
                "What share of builds fouls as their sizes come out, and which size to measure first"
            }
            Self::Sweep => "What becomes of gaps, effort and findings as one size grows, and where it turns",
            Self::Remedies => "What of tables and sizes cures the findings, the best first",
            Self::Sizes => "Named sizes that formulas refer to",
            Self::Readings => "Caliper readings of parts, beside what their tables state",
            Self::Pulls => "Pulls measured with a spring scale, and the friction they tell",
            Self::Costs => "What one of each part costs",
            Self::Library => "Parts you measured, bought and have, for all projects",
        }
    }
}
