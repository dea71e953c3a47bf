//! Undo and redo: the documents before and after.

use std::sync::Arc;

/// One step back or forth.
#[derive(Clone, Debug, PartialEq)]
pub struct Step<T> {
    /// What was done, e.g. "Set riders/camera head/at to 120".
    pub description: String,
    /// What was there before (when undoing) or after (when redoing).
    pub state: Arc<T>,
}

/// Everything that was, as far as it can be returned to.
#[derive(Clone, Debug)]
pub struct History<T> {
    past: Vec<Step<T>>,
    future: Vec<Step<T>>,
    /// What the interaction now going on is about; further changes of it add no step of their own.
    open: Option<String>,
}

impl<T> Default for History<T> {
    fn default() -> Self {
        Self { past: Vec::new(), future: Vec::new(), open: None }
    }
}

impl<T> History<T> {
    /// Notes that `before` was changed. Changes with the same `interaction` as the last one, with no
    /// [`History::seal`] in between, count as one step.
    pub fn note(&mut self, description: String, before: Arc<T>, interaction: Option<&str>) {
        self.future.clear();
        if interaction.is_some() && self.open.as_deref() == interaction {
            if let Some(last) = self.past.last_mut() {
                last.description = description;
            }
            return;
        }
        self.open = interaction.map(str::to_owned);
        self.past.push(Step { description, state: before });
    }

    /// Ends the interaction going on: the next change is a step of its own.
    pub fn seal(&mut self) {
        self.open = None;
    }

    /// Gives up the interaction going on: what was there before it, if it changed anything.
    pub fn drop_open(&mut self) -> Option<Step<T>> {
        self.open.take()?;
        self.past.pop()
    }

    /// One step back from `now`.
    pub fn undo(&mut self, now: Arc<T>) -> Option<Step<T>> {
        self.seal();
        let step = self.past.pop()?;
        self.future.push(Step { description: step.description.clone(), state: now });
        Some(step)
    }

    /// One step forth from `now`.
    pub fn redo(&mut self, now: Arc<T>) -> Option<Step<T>> {
        self.seal();
        let step = self.future.pop()?;
        self.past.push(Step { description: step.description.clone(), state: now });
        Some(step)
    }

    /// What undo would take back.
    pub fn undoable(&self) -> Option<&str> {
        self.past.last().map(|step| step.description.as_str())
    }

    /// What redo would do again.
    pub fn redoable(&self) -> Option<&str> {
        self.future.last().map(|step| step.description.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn back_and_forth() {
        let mut history = History::default();
        history.note("one".into(), Arc::new(0), None);
        history.note("two".into(), Arc::new(1), None);
        assert_eq!(history.undoable(), Some("two"));
        let step = history.undo(Arc::new(2)).unwrap();
        assert_eq!((*step.state, history.undoable(), history.redoable()), (1, Some("one"), Some("two")));
        assert_eq!(*history.redo(step.state).unwrap().state, 2);
        assert!(history.redo(Arc::new(2)).is_none());
        history.note("three".into(), Arc::new(2), None);
        assert_eq!(*history.undo(Arc::new(3)).unwrap().state, 2);
    }

    #[test]
    fn a_drag_is_one_step() {
        let mut history = History::default();
        for before in 0..50 {
            history.note(format!("drag to {before}"), Arc::new(before), Some("drag of a"));
        }
        history.seal();
        history.note("again".into(), Arc::new(50), Some("drag of a"));
        assert_eq!(*history.undo(Arc::new(51)).unwrap().state, 50);
        let step = history.undo(Arc::new(50)).unwrap();
        assert_eq!((step.description.as_str(), *step.state), ("drag to 49", 0));
        assert!(history.undoable().is_none());
    }
}
