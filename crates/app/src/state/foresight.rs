//! What would come of each part that could be chosen for a place: worked out beside the window while the list is open.

use std::collections::HashMap;
use std::sync::Arc;

use glidewright_project::Document;

use super::outlook::Outcome;
use super::reading::Scenes;
use super::{Edit, Reading, Session};
use crate::work::{Progress, Step, Task};

/// No list is foreseen farther than this.
const MOST: usize = 48;

/// What is asked: the place, and the names that could stand there.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// The place in the document.
    pub path: String,
    /// What could stand there, in the order of the list.
    pub names: Vec<String>,
}

enum Told {
    Outcome(String, Outcome),
    Broken,
}

/// Answers the question that is asked.
#[derive(Default)]
pub struct Foresight {
    /// Called when something is done; without it nothing is worked out.
    arrived: Option<Arc<dyn Fn() + Send + Sync>>,
    /// What is answered, and the state of the session it is about.
    about: Option<(u64, Question)>,
    work: Option<Task<Told>>,
    outcomes: HashMap<String, Outcome>,
}

impl Foresight {
    /// Lets it be worked out beside the window; `arrived` is called when something is done.
    pub fn work_beside(&mut self, arrived: impl Fn() + Send + Sync + 'static) {
        *self = Self { arrived: Some(Arc::new(arrived)), ..Self::default() };
    }

    /// Takes a question up; what was asked before is given up where it differs.
    pub fn ask(&mut self, session: &Session, mut question: Question) {
        question.names.truncate(MOST);
        let about = (session.shown(), question);
        if self.about.as_ref() == Some(&about) || session.is_changing() {
            return;
        }
        let Some(arrived) = self.arrived.clone() else { return };
        self.outcomes.clear();
        let (document, trial) = (session.document_shared(), session.trial().map(str::to_owned));
        let (reading, scenes) = (session.reading_shared(), session.scenes().clone());
        let asked = about.1.clone();
        let work = move |progress: &Progress, tell: &dyn Fn(Told)| {
            answer(&asked, &document, trial.as_deref(), &reading, &scenes, progress, tell);
        };
        // Where the system has no thread to give, nothing is foreseen.
        self.work = Task::start("foreseeing", work, |_| Told::Broken, move || arrived()).ok();
        self.about = Some(about);
    }

    /// Takes in what is done.
    pub fn take_in(&mut self) {
        while let Some(task) = &self.work {
            match task.step() {
                Step::Waiting => return,
                Step::Result(Told::Outcome(name, outcome)) => {
                    self.outcomes.insert(name, outcome);
                }
                Step::Result(Told::Broken) => {}
                Step::Ended => self.work = None,
            }
        }
    }

    /// What would come of a part at a place, once that is known.
    pub fn of(&self, session: &Session, path: &str, name: &str) -> Option<&Outcome> {
        let (shown, question) = self.about.as_ref()?;
        (*shown == session.shown() && question.path == path).then(|| self.outcomes.get(name))?
    }
}

fn answer(
    question: &Question,
    document: &Document,
    trial: Option<&str>,
    reading: &Arc<Reading>,
    scenes: &Scenes,
    progress: &Progress,
    tell: &dyn Fn(Told),
) {
    let scenes = scenes.apart();
    for (number, name) in question.names.iter().enumerate() {
        if progress.is_stopped() {
            return;
        }
        progress.note(number, question.names.len());
        if let Ok(edited) = Edit::set(&question.path, name).apply(document, trial) {
            let outcome = Outcome::of(&Reading::of(&edited.document, trial, Some(reading), &scenes));
            tell(Told::Outcome(name.clone(), outcome));
        }
    }
}
