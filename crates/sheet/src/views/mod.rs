//! The views: from a fixture, its results and what the reader looks at, to a drawing.
//!
//! Every view is a pure function, the same for the window and for exported pictures. Adding a view is one
//! folder here and one line in [`VIEWS`].
//!
//! Items carry a [`crate::Part`] that [`Pick`] makes and reads: bodies by their number, and whatever else can
//! be taken hold of.

mod belt;
mod bench;
mod compare;
mod drive;
mod end;
mod figure;
mod gap;
mod page;
mod paper;
mod pick;
mod picture;
mod plate;
mod projection;
mod scene;
mod seat;
mod space;
mod stacks;
mod state;
mod table;
mod words;

use glidewright_motion::{Fixture, Results};

use crate::drawing::{Drawing, Label, Panel, Rect};
use crate::look::Tone;
use glam::DVec2;

pub use compare::{ComparedFigure, Comparison, comparison};
pub use paper::Paper;
pub use pick::{
    Pick, cursor_distance, emphasis, paper_axes, rider_of, travel_after_drag, travel_from_pt, travel_to_pt,
};
pub use picture::{Dress, Verdict, picture};
pub use projection::Projection;
pub use stacks::{OneStack, one_stack};
pub use state::{
    Compared, ExtraFigure, Moment, Other, PairChoice, ReachGaps, StripAxis, StripKind, ViewState,
};

use scene::Scene;
pub(crate) use words::{broken, place};

/// A way of looking at a fixture.
pub struct View {
    /// Stable name, for the command line and for stored preferences.
    pub name: &'static str,
    /// What a reader calls it.
    pub title: &'static str,
    /// What it shows, in one sentence.
    pub about: &'static str,
    /// What the fixture lacks for this view, in words for the reader; `None` when it can be drawn.
    pub lacks: fn(&Fixture, &Results) -> Option<&'static str>,
    /// Whether the drawing is the same at every travel: it need not be made again as riders move.
    still: fn(&ViewState) -> bool,
    draw: fn(&Scene<'_>) -> Drawing,
}

/// Every view there is, the main one first.
pub static VIEWS: &[View] = &[
    bench::VIEW,
    gap::VIEW,
    stacks::VIEW,
    seat::VIEW,
    end::VIEW,
    space::VIEW,
    plate::VIEW,
    belt::VIEW,
    drive::VIEW,
    compare::VIEW,
    page::VIEW,
];

/// The view with a name.
pub fn view_named(name: &str) -> Option<&'static View> {
    VIEWS.iter().find(|view| view.name == name)
}

impl View {
    /// Whether the drawing is the same at every travel.
    pub fn is_still(&self, state: &ViewState) -> bool {
        (self.still)(state)
    }

    /// The drawing of a fixture, of the size the state asks for. Where something is lacking it says what.
    pub fn drawing(&self, fixture: &Fixture, results: &Results, state: &ViewState) -> Drawing {
        match (self.lacks)(fixture, results) {
            None => (self.draw)(&Scene::new(fixture, results, state)),
            Some(lack) => notice(self.title, lack, state.size()),
        }
    }
}

/// A drawing that says in words why there is nothing to see.
fn notice(title: &str, words: &str, size_pt: DVec2) -> Drawing {
    let mut drawing = Drawing::new(title, size_pt);
    let mut panel = Panel::centred(title, Rect::between(DVec2::ZERO, size_pt), DVec2::ZERO, 1.0);
    panel.add(Label::new(words, DVec2::ZERO, 10.0).toned(Tone::FaintInk)).named(words);
    drawing.panels.push(panel);
    drawing
}
