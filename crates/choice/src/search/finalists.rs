//! What is worked out of the rows at the head of the list alone: how many builds foul, and how they look.

use glidewright_motion::{Assembly, Looks, touches};
use glidewright_project::resolve;

use super::found::with_changes;
use super::{Search, Stage};
use crate::{Builds, NoBuilds, Question, Share};

impl Search {
    /// Works out the next of them, unless it is told to stop.
    pub(super) fn build_next(&mut self, stop: &(dyn Fn() -> bool + Sync)) {
        let Some(pick) = self.finalists.last().cloned() else {
            self.stage = Stage::Done;
            return;
        };
        let Some(row) = self.rows.iter_mut().find(|row| row.pick == pick) else {
            self.finalists.pop();
            return;
        };
        let (document, trial) = with_changes(&self.space.base, row.changes.clone());
        let resolved = resolve(&document, Some(trial));
        let question = Question { seed: self.asked.seed, ..Question::default() };
        let share = match Builds::of(&resolved, &question) {
            Ok(mut builds) => {
                builds.advance(self.asked.builds, stop);
                if builds.samples() < self.asked.builds {
                    // Told to stop: these are made anew.
                    return;
                }
                Some(builds.outcome().fouls)
            }
            Err(NoBuilds::NothingVaries { gap, .. }) => {
                Some(Share::of(u64::from(touches(gap)) * self.asked.builds, self.asked.builds))
            }
            Err(NoBuilds::Problems(_) | NoBuilds::NoStroke) => None,
        };
        row.builds = share;
        row.looks = resolved.fixture.map(|fixture| {
            let looks = Looks::of(&fixture, &Assembly::new(&fixture));
            // In square centimetres.
            0.01 * looks.area()
        });
        self.finalists.pop();
        if self.finalists.is_empty() {
            self.stage = Stage::Done;
        }
    }
}
