//! Every view the window can show.

use glidewright_motion::BodyId;
use glidewright_sheet::{DVec2, Drawing};

use super::interim;
use crate::state::Bench;

/// What a view is asked to draw.
pub struct Asked<'a> {
    /// The fixture and its results.
    pub bench: &'a Bench,
    /// Where the lead rider stands (mm).
    pub travel: f64,
    /// What is selected.
    pub selected: Option<BodyId>,
    /// How large (pt).
    pub size_pt: DVec2,
}

/// A view.
pub struct View {
    /// Its stable name.
    pub name: &'static str,
    /// What a reader calls it.
    pub title: &'static str,
    /// Draws it.
    pub draw: fn(&Asked<'_>) -> Drawing,
}

/// The view in the middle to begin with.
pub const CENTRE: &str = "bench";

/// All views, in the order they are offered.
pub static VIEWS: &[View] = &[View { name: CENTRE, title: "Bench", draw: interim::draw }];

/// The view of a name; the first if there is none.
pub fn view(name: &str) -> &'static View {
    VIEWS.iter().find(|view| view.name == name).unwrap_or(&VIEWS[0])
}
