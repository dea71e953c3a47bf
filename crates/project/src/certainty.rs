//! How sure the values of the tables are.

use crate::choice::choice;

choice! {
    /// How a value was come by, the surest first.
    ///
    /// ```
    /// use glidewright_project::document::Certainty;
    ///
    /// assert!(Certainty::TwoSources < Certainty::Memory);
    /// assert_eq!(Certainty::TwoSources.says(), "read in two sources");
    /// ```
    #[derive(PartialOrd, Ord)]
    Certainty {
        /// Read in two sources that agree.
        TwoSources = "two_sources",
        /// Read in one source.
        OneSource = "one_source",
        /// From memory: nobody looked it up.
        Memory = "memory",
        /// Worked out from other values.
        Computed = "computed",
        /// Assumed: a typical value that a measurement should replace.
        Assumed = "assumed",
    }
}

impl Certainty {
    /// All, the surest first.
    pub const ALL: [Self; 5] =
        [Self::TwoSources, Self::OneSource, Self::Memory, Self::Computed, Self::Assumed];

    /// It in a word or two, for a column.
    pub const fn in_short(self) -> &'static str {
        match self {
            Self::TwoSources => "2 sources",
            Self::OneSource => "1 source",
            Self::Memory => "memory",
            Self::Computed => "computed",
            Self::Assumed => "assumed",
        }
    }

    /// It in words for a reader.
    pub const fn says(self) -> &'static str {
        match self {
            Self::TwoSources => "read in two sources",
            Self::OneSource => "read in one source",
            Self::Memory => "from memory",
            Self::Computed => "computed",
            Self::Assumed => "assumed",
        }
    }
}
