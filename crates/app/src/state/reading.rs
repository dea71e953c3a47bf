//! What a document comes to: one direction, one pure function.

use std::sync::{Arc, Mutex, PoisonError};

use glidewright_motion::{
    Detail, Fixture, InterferenceCache, Results, Severity, analyse_quickly, analyse_with,
};
use glidewright_project::{Document, Problem, Values, resolve_keeping, resolve_quickly};

/// A fixture with its results.
#[derive(Clone, Debug)]
pub struct Bench {
    /// The fixture in plain numbers.
    pub fixture: Arc<Fixture>,
    /// Everything the engine says about it.
    pub results: Arc<Results>,
}

impl Bench {
    /// The worst there is to say of it.
    pub fn worst(&self) -> Option<Severity> {
        self.results.worst()
    }
}

/// The scenes of the last reading, shared by the window and the threads that work beside it, so that a change
/// re-does only what it touches.
#[derive(Clone, Default)]
pub struct Scenes {
    kept: Arc<Mutex<InterferenceCache>>,
    /// Of what follows a hand, so that neither waits for the other.
    quick: Arc<Mutex<InterferenceCache>>,
}

impl Scenes {
    /// Works with them; nobody else does meanwhile.
    fn with<Out>(&self, detail: Detail, work: impl FnOnce(&mut InterferenceCache) -> Out) -> Out {
        let kept = match detail {
            Detail::Whole => &self.kept,
            Detail::Quick => &self.quick,
        };
        // Work that broke down has left them without their scenes, not with wrong ones.
        let mut scenes = kept.lock().unwrap_or_else(PoisonError::into_inner);
        work(&mut scenes)
    }

    /// A copy that goes its own way, with less to go on from for a crowd of pieces.
    pub fn apart(&self) -> Self {
        let kept = self.with(Detail::Whole, |scenes| scenes.apart());
        Self { kept: Arc::new(Mutex::new(kept)), quick: Arc::default() }
    }
}

/// What came of reading a document.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The last fixture that could be made.
    pub bench: Option<Arc<Bench>>,
    /// Whether that fixture is of an earlier document, because this one makes none.
    pub is_old: bool,
    /// How closely that fixture was looked at.
    pub detail: Detail,
    /// What is wrong with the document, worst first.
    pub problems: Vec<Problem>,
    /// What its sizes come to.
    pub values: Values,
    /// The document with the trial's changes.
    pub document: Arc<Document>,
}

impl Reading {
    /// Works out a document with a trial, keeping of `last` what this one cannot give, and of the `scenes` what
    /// has not changed.
    pub fn of(document: &Document, trial: Option<&str>, last: Option<&Self>, scenes: &Scenes) -> Self {
        Self::in_detail(document, trial, last, scenes, Detail::Whole)
    }

    /// The same, as closely as `detail` says.
    pub fn in_detail(
        document: &Document,
        trial: Option<&str>,
        last: Option<&Self>,
        scenes: &Scenes,
        detail: Detail,
    ) -> Self {
        let values = last.map(|last| &last.values);
        let resolved = match detail {
            Detail::Whole => resolve_keeping(document, trial, values),
            Detail::Quick => resolve_quickly(document, trial, values),
        };
        let fresh = resolved.fixture.map(|fixture| {
            let results = scenes.with(detail, |scenes| match detail {
                Detail::Whole => analyse_with(&fixture, scenes),
                Detail::Quick => {
                    let before = last.and_then(|last| last.bench.as_ref());
                    analyse_quickly(&fixture, scenes, before.map(|bench| &*bench.results))
                }
            });
            Arc::new(Bench { fixture: Arc::new(fixture), results: Arc::new(results) })
        });
        let is_old = fresh.is_none();
        Self {
            bench: fresh.or_else(|| last.and_then(|last| last.bench.clone())),
            is_old,
            detail: if is_old { last.map_or(detail, |last| last.detail) } else { detail },
            problems: resolved.problems,
            values: resolved.values,
            document: Arc::new(resolved.document),
        }
    }

    /// What is wrong at a path or below it.
    pub fn problem_at(&self, path: &str) -> Option<&Problem> {
        self.problems.iter().find(|problem| problem.place.path() == Some(path))
    }
}
