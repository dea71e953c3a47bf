//! What the window knows: the session, what is selected, where the riders stand, what is preferred.

mod builds;
mod demo;
mod drawer;
mod edit;
mod finding;
mod foresight;
mod handbook;
mod hints;
mod keeper;
mod left;
#[cfg(test)]
mod life_tests;
mod meanings;
mod notice;
mod outlook;
mod own_library;
mod play;
mod preferences;
#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests fail by panicking")]
#[path = "../../../project/tests/common/ram.rs"]
mod ram;
mod reading;
mod remedies;
mod session;
mod sweeps;
mod travel;

pub use builds::{BuildShares, Found, Looks};
pub use demo::Demo;
pub use drawer::Drawer;
pub use edit::Edit;
pub use finding::FindingKey;
pub use foresight::{Foresight, Question};
pub use glidewright_sheet::{LengthUnit, LoadUnit, ReaderUnits};
pub use handbook::{Chapter, about_finding, about_strip, about_view, section_named, sections};
pub use hints::{Hint, Hints};
pub use left::{Left, LeftBehind, left_behind, unsaved_folder};
pub use meanings::meaning;
pub use notice::Notice;
pub use outlook::{Cure, Outcome, Outlook, Tried};
pub use own_library::OwnLibrary;
pub use play::{Play, PlayChoices, SPEEDS};
pub use preferences::{Preferences, TEXT_SCALES, WindowPlace, own_library_file, preferences_file};
pub use reading::{Bench, Reading};
pub use remedies::{Across, Remedies, foremost};
pub use session::{ByOthers, Keeping, Origin, Session};
pub use sweeps::Sweeps;

use glidewright_motion::BodyId;

/// Everything the panels and views draw from.
pub struct State {
    /// The document and what it comes to.
    pub session: Session,
    /// Where the lead rider stands on its stroke (mm).
    pub travel: f64,
    /// What is selected: a path in the document, empty for nothing.
    pub selected: String,
    /// What the pointer is over.
    pub hovered: Option<BodyId>,
    /// The finding that was opened last.
    pub finding: Option<FindingKey>,
    /// The view in the middle, by name.
    pub centre: &'static str,
    /// What the person prefers.
    pub preferences: Preferences,
    /// What there is to tell.
    pub notice: Option<Notice>,
    /// What the drawer below the drawing shows, if it is open.
    pub drawer: Option<Drawer>,
    /// What trials and remedies come to.
    pub outlook: Outlook,
    /// What share of builds fouls.
    pub builds: BuildShares,
    /// One size over a range.
    pub sweeps: Sweeps,
    /// What could be otherwise, the best first.
    pub remedies: Remedies,
    /// What would come of the parts that a list offers.
    pub foresight: Foresight,
    /// The stroke being played.
    pub play: Option<Play>,
    /// The person's own library of parts.
    pub own: OwnLibrary,
    /// Unsaved work that was left by windows that ended unexpectedly.
    pub left: Vec<Left>,
}

impl State {
    /// Begins anew what is worked out beside the window: each piece of it asks for a frame when there is something to show.
    pub fn look_ahead_beside(&mut self, ctx: &egui::Context) {
        let repaint = || {
            let ctx = ctx.clone();
            move || ctx.request_repaint()
        };
        self.outlook.work_beside(repaint());
        self.builds.work_beside(repaint());
        self.sweeps.work_beside(repaint());
        self.remedies.work_beside(repaint());
        self.foresight.work_beside(repaint());
    }

    /// Whether there are so many bodies that nothing is worked out of them unasked.
    pub fn is_crowd(&self) -> bool {
        /// A fixture of twenty riders.
        const MOST: usize = 1_000;
        self.session.bench().is_none_or(|bench| bench.results.assembly.bodies.len() > MOST)
    }

    /// The number of the finding that is shown: the one opened last; without it, the foremost that is no note.
    pub fn shown_finding(&self) -> Option<usize> {
        let results = &self.session.bench()?.results;
        let opened = self.finding.as_ref().and_then(|finding| finding.number(results));
        opened.or_else(|| finding::foremost(results))
    }

    /// The body selected, if what is selected is one.
    pub fn selected_body(&self) -> Option<BodyId> {
        let bench = self.session.bench()?;
        let place = bench.results.assembly.bodies.iter().position(|body| body.path == self.selected)?;
        Some(BodyId(u32::try_from(place).ok()?))
    }
}
