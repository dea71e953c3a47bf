//! Colour tokens: what a colour is for, never what it looks like.

macro_rules! tones {
    ($($(#[$doc:meta])* $tone:ident),* $(,)?) => {
        /// What a colour is for. A [`super::Theme`] says what it looks like.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Tone {
            $($(#[$doc])* $tone),*
        }

        impl Tone {
            /// Every tone, in the order of their numbers.
            pub const ALL: [Self; [$(Self::$tone),*].len()] = [$(Self::$tone),*];

            /// The token's own name.
            pub const fn token(self) -> &'static str {
                match self {
                    $(Self::$tone => stringify!($tone)),*
                }
            }
        }
    };
}

tones! {
    /// What everything is drawn on.
    Paper,
    /// Most text.
    Ink,
    /// Visible outlines of bodies, centre lines.
    Outline,
    /// Less important text, hidden lines.
    FaintInk,
    /// Frames and axes of plots.
    Axis,
    /// Lines of a plot's grid.
    Grid,
    /// Dimension lines and their text.
    Dimension,
    /// The rail's body.
    Rail,
    /// The rail's grooves, bores and faces turned away.
    RailShade,
    /// Bodies of the first rider.
    RiderA,
    /// Lines and text of the first rider.
    RiderALine,
    /// Bodies of the second rider.
    RiderB,
    /// Lines and text of the second rider.
    RiderBLine,
    /// Bodies of the third rider.
    RiderC,
    /// Lines and text of the third rider.
    RiderCLine,
    /// Tyres of wheels, shoes.
    Tyre,
    /// Bearings.
    Bearing,
    /// Screws, nuts, washers: steel.
    Hardware,
    /// Spacers and shims: aluminium.
    Spacer,
    /// Belts and cords.
    Belt,
    /// Pulleys, idlers, posts.
    Pulley,
    /// Loads and ballast.
    Load,
    /// Obstacles and fixed parts.
    Obstacle,
    /// What fouls: lines and text.
    Clash,
    /// What fouls: areas.
    ClashFill,
    /// What is marginal: lines and text.
    Marginal,
    /// What is marginal: areas.
    MarginalFill,
    /// What is clear: lines and text.
    Clear,
    /// What is clear: areas.
    ClearFill,
    /// The travel cursor.
    Cursor,
    /// What the pointer is over.
    Highlight,
    /// What is selected.
    Selection,
}
