//! What the person looks at, beyond where the riders stand: strips, stretch of travel, turn of the view in space.
//! Kept with the window, never in the document.

use std::sync::Arc;

use glidewright_motion::PairResult;
use glidewright_sheet::views::{
    Compared, Dress, ExtraFigure, Other, PairChoice, Paper, StripAxis, StripKind, View, ViewState, picture,
    view_named,
};
use glidewright_sheet::{DVec2, Page, PlotData};

use crate::compared::{extras, share_figure};
use crate::state::{Bench, BuildShares, Origin, Outlook, Preferences, Session, State, Tried};
use crate::today::today;

/// How the views look at the fixture.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    /// What the strips run over.
    pub axis: StripAxis,
    /// The stretch of travel shown (mm); `None` for all of it.
    pub window: Option<(f64, f64)>,
    /// How far the reader has walked round the view in space (rad).
    pub turn: f64,
    /// How far from above it is seen (rad).
    pub lift: f64,
    /// Whether the riders are drawn tilted as they stand, exaggerated.
    pub tilted: bool,
    /// What is pictured of each trial in a comparison.
    pub compared: Compared,
}

impl Default for Look {
    fn default() -> Self {
        let usual = ViewState::default();
        Self {
            axis: StripAxis::default(),
            window: None,
            turn: usual.turn,
            lift: usual.lift,
            tilted: usual.tilted,
            compared: usual.compared,
        }
    }
}

impl Look {
    /// Turns the view in space by so much to the right and upwards (rad).
    pub fn turn_by(&mut self, right: f64, up: f64) {
        use std::f64::consts::{FRAC_PI_2, TAU};
        if right.is_finite() && up.is_finite() {
            self.turn = (self.turn + right).rem_euclid(TAU);
            self.lift = (self.lift + up).clamp(-FRAC_PI_2, FRAC_PI_2);
        }
    }

    /// What the views are asked for.
    pub fn view_state(&self, state: &State, size_pt: DVec2) -> ViewState {
        let preferences = &state.preferences;
        ViewState {
            size_pt,
            unit: preferences.units(),
            travel: state.travel,
            selected: state.selected_body(),
            hovered: state.hovered,
            strips: strips(preferences),
            axis: self.axis,
            window: self.window,
            turn: self.turn,
            lift: self.lift,
            tilted: self.tilted,
            others: Compares::of(state).others(),
            extras: Compares::of(state).extras(state.session.trial()),
            compared: self.compared,
            ghosts: preferences.ghosts,
            reach_gaps: match self.axis {
                StripAxis::Travel => Arc::default(),
                StripAxis::Reach => state.outlook.gaps(&state.session),
            },
            trial: state.session.trial().map(str::to_owned),
            pair: pair(state),
            ..ViewState::default()
        }
    }
}

/// The two bodies that stand nearest of those the shown finding is about, where it is about a gap.
fn pair(state: &State) -> PairChoice {
    let worst = || {
        let results = &state.session.bench()?.results;
        let finding = results.findings.get(state.shown_finding()?)?;
        let about = |pair: &&PairResult| {
            finding.code.starts_with("gap.")
                && finding.bodies.contains(&pair.bodies.0)
                && finding.bodies.contains(&pair.bodies.1)
        };
        let pairs = results.interference.pairs().filter(about);
        pairs.min_by(|a, b| a.left().total_cmp(&b.left()))
    };
    worst().map_or(PairChoice::Tightest, |pair| PairChoice::Chosen(pair.bodies.0, pair.bodies.1))
}

/// The strips the person has chosen, in order.
pub fn strips(preferences: &Preferences) -> Vec<StripKind> {
    match &preferences.strips {
        None => StripKind::USUAL.to_vec(),
        Some(names) => names.iter().filter_map(|name| StripKind::named(name)).collect(),
    }
}

/// What trials are compared from.
#[derive(Clone, Copy)]
struct Compares<'a> {
    session: &'a Session,
    outlook: &'a Outlook,
    builds: &'a BuildShares,
}

impl<'a> Compares<'a> {
    const fn of(state: &'a State) -> Self {
        Self { session: &state.session, outlook: &state.outlook, builds: &state.builds }
    }

    /// All trials but the one shown, as far as they are known.
    fn others(self) -> Vec<Other> {
        let shown = self.session.trial();
        let others = self.outlook.tried().iter().filter(|tried| tried.trial.as_deref() != shown);
        let other = |tried: &Tried| {
            let trial = tried.trial.as_deref();
            Some(named(trial, tried.bench.as_ref()?, self.extras(trial)))
        };
        others.filter_map(other).collect()
    }

    /// What a trial is compared by besides the engine's figures, as far as it is known.
    fn extras(self, trial: Option<&str>) -> Arc<Vec<ExtraFigure>> {
        let known = self.outlook.of_trial(trial).map(|tried| Arc::clone(&tried.extras)).unwrap_or_default();
        let counted = self.builds.of_trial(self.session, trial);
        match counted.and_then(|counted| counted.found.as_ref().ok()) {
            Some(found) => Arc::new([vec![share_figure(&found.outcome.fouls)], known.to_vec()].concat()),
            None => known,
        }
    }

    /// A trial to set beside the one shown, worked out where its fixture and results are not kept: none where no fixture can
    /// be made of it, or while trials are still being worked out.
    fn beside(self, trial: Option<&str>) -> Option<Other> {
        let tried = self.outlook.of_trial(trial)?;
        if let Some(bench) = &tried.bench {
            return Some(named(trial, bench, self.extras(trial)));
        }
        let reading = self.session.reading_of(trial);
        let bench = reading.bench.as_ref().filter(|_| !reading.is_old)?;
        let extras = extras(&reading.document, &bench.fixture, &bench.results);
        Some(named(trial, bench, Arc::new(extras)))
    }
}

fn named(trial: Option<&str>, bench: &Bench, extras: Arc<Vec<ExtraFigure>>) -> Other {
    Other {
        name: trial.unwrap_or("as drawn").to_owned(),
        fixture: Arc::clone(&bench.fixture),
        results: Arc::clone(&bench.results),
        extras,
    }
}

/// Name of the view that sets trials side by side.
pub const COMPARE: &str = "compare";
/// Name of the composed sheet.
pub const SHEET: &str = "sheet";

/// What a comparison shows beside the trial in force.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub enum Beside {
    /// Every other trial, and the fixture as drawn.
    #[default]
    All,
    /// The fixture as drawn, or one trial.
    One(Option<String>),
}

/// What a picture is of.
#[derive(Clone, Debug, PartialEq)]
pub struct ViewRequest {
    /// The view, by name.
    pub view: &'static str,
    /// The view that is on screen as it is asked for.
    pub seen: &'static str,
    /// A line of the maker's own.
    pub note: String,
    /// What to set beside the trial shown: all others, the fixture as drawn, or a trial.
    pub beside: Beside,
    /// The paper it is laid out for; `None` follows the content.
    pub paper: Option<Paper>,
    /// Whether the paper stands upright.
    pub portrait: bool,
    /// How it is looked at.
    pub look: Look,
    /// A plot that is drawn instead of a view.
    pub plot: Option<Arc<PlotData>>,
}

/// The size a plot is laid out in (pt).
pub const PLOT_PT: DVec2 = DVec2::new(760.0, 460.0);

impl ViewRequest {
    /// Whether what is drawn is what is seen in the middle now.
    pub fn is_as_seen(&self) -> bool {
        self.view == self.seen
    }

    /// Whether it shows other trials.
    pub fn shows_others(&self) -> bool {
        self.view == COMPARE
    }
}

/// The pages of a picture, further ones where it may have them.
///
/// # Errors
/// Why there is none.
pub fn picture_pages(state: &State, request: &ViewRequest, is_paged: bool) -> Result<Vec<Page>, String> {
    if let Some(plot) = &request.plot {
        return Ok(vec![plot.drawing(PLOT_PT).page()]);
    }
    let bench = state.session.bench().ok_or("There is no fixture to draw.")?;
    let view: &View = view_named(request.view).ok_or("There is no such view.")?;
    let mut view_state = request.look.view_state(state, ViewState::default().size_pt);
    // What the pointer is over and what is selected is no matter of the picture.
    view_state.hovered = None;
    view_state.note = Some(request.note.trim().to_owned()).filter(|note| !note.is_empty());
    if let Beside::One(trial) = &request.beside
        && request.shows_others()
    {
        view_state.others = Compares::of(state).beside(trial.as_deref()).into_iter().collect();
    }
    let file = match state.session.origin() {
        Origin::File(file) => file.file_name().map(|name| name.to_string_lossy().into_owned()),
        Origin::Demo(_) => Some("built-in demo".to_owned()),
        Origin::New => Some("not saved yet".to_owned()),
    };
    let dress = Dress {
        size_pt: request.paper.map(|paper| paper.size_pt(!request.portrait)),
        on_paper: request.paper.is_some(),
        is_paged,
        date: today(),
        file: file.unwrap_or_default(),
    };
    Ok(picture(view, &bench.fixture, &bench.results, &view_state, &dress))
}

#[cfg(test)]
mod tests {
    use glidewright_project::document::Trial;

    use super::*;
    use glidewright_samples::COPY_STAND;

    #[test]
    fn turning_goes_round_and_not_over_the_top() {
        let mut look = Look::default();
        for _ in 0..1000 {
            look.turn_by(0.1, 0.1);
        }
        assert!((0.0..std::f64::consts::TAU).contains(&look.turn));
        assert_eq!(look.lift, std::f64::consts::FRAC_PI_2);
        let before = look.clone();
        look.turn_by(f64::NAN, 0.0);
        assert_eq!(look, before);
    }

    #[test]
    fn a_trial_whose_results_are_not_kept_is_worked_out_when_it_is_set_beside() {
        let mut document = glidewright_project::parse(COPY_STAND).unwrap();
        let first = document.trials.first().unwrap().clone();
        document.trials = (1..=30).map(|n| Trial { name: format!("trial {n}"), ..first.clone() }).collect();
        let session = Session::new(document, Origin::New);
        let outlook = Outlook::worked_out(&session);
        assert!(outlook.of_trial(Some("trial 30")).unwrap().bench.is_none());
        let builds = BuildShares::default();
        let compares = Compares { session: &session, outlook: &outlook, builds: &builds };
        let [kept, fresh] = ["trial 1", "trial 30"].map(|name| compares.beside(Some(name)).unwrap());
        assert_eq!(fresh.name, "trial 30");
        assert_eq!(fresh.results.interference.tightest(), kept.results.interference.tightest());
        assert_eq!(fresh.extras, kept.extras);
        assert!(compares.beside(Some("no such trial")).is_none());
    }

    #[test]
    fn unknown_strips_are_left_out() {
        let names = ["effort", "no such strip", "clearance"].map(str::to_owned).to_vec();
        let preferences = Preferences { strips: Some(names), ..Preferences::default() };
        assert_eq!(strips(&preferences), [StripKind::Effort, StripKind::Clearance]);
    }
}
