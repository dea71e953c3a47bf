//! From findings to a choice: what could be otherwise, and how sure one can be of it.
//!
//! # What is where
//! * how many builds foul: [`Builds`], what it is asked ([`Question`]) and what comes of it ([`Outcome`])
//! * one size over a range, and where something begins to be wrong: [`Sweep`], what it is asked ([`SweepQuestion`])
//! * what has to be bought, and what it costs: [`Bill`]
//! * what could be otherwise, the best first: [`Search`], what it is asked ([`Asked`]) and what comes of it ([`Found`])
//! * shares with how sure they are: [`Share`], in words: [`percent`], [`grouped`]
//!
//! Lengths are mm, unless a size of the document tells its own unit. This crate applies changes to documents and asks the
//! engine; it draws nothing and knows no window.

mod bill;
mod builds;
mod question;
mod search;
mod share;
mod sweep;
mod words;

pub use bill::{Bill, BillLine};
pub use builds::{
    Build, BuildGap, Builds, Contributor, Deducted, Halved, Histogram, LEAST_TOLD, LIMIT_IN_DEVIATIONS, Law,
    LeastPair, MEASURED_LEVEL, NoBuilds, Outcome, Varied,
};
pub use question::{Between, Likeness, Question, Standing};
pub use search::{
    Aim, Asked, Bought, NoSearch, Offer, Outcome as Found, Place, PlaceKind, Progress, Range, Reach, Row,
    Search, Stage, Told,
};
pub use share::{SHARE_LEVEL, Share};
pub use sweep::{End, Figure, Figures, Point, Sweep, SweepQuestion, Swept, Trouble};
pub use words::{grouped, percent};
