//! Work beside the window for what somebody looks at: begun once what it is about has rested, one piece at a time, to be stopped
//! and gone on with.

use std::sync::Arc;
use std::time::{Duration, Instant};

use super::task::{Progress, Step, Task};

/// What it is about has rested so long before it is begun: while somebody types or drags, the processors are his.
const RESTS: Duration = Duration::from_millis(250);

enum Told<T> {
    Result(T),
    Broken(String),
}

/// Work about `A` that tells of `T` again and again.
pub struct Rested<A, T> {
    /// The thread's name.
    name: &'static str,
    /// Called when there is something new; without it nothing is worked out.
    arrived: Option<Arc<dyn Fn() + Send + Sync>>,
    work: Option<(A, Task<Told<T>>)>,
    /// Work that was stopped and has not ended: there is one at a time, as it takes all processors and some memory.
    ending: Option<Task<Told<T>>>,
    /// What it is to be about, and since when.
    wanted: Option<(A, Instant)>,
    /// For what there is nothing more to do.
    settled: Option<A>,
    /// Why the last work broke down.
    broken: Option<String>,
    is_cut_short: bool,
}

impl<A: Clone + PartialEq, T: Send + 'static> Rested<A, T> {
    /// Nothing yet; work that is begun gets this name.
    pub const fn new(name: &'static str) -> Self {
        Self {
            name,
            arrived: None,
            work: None,
            ending: None,
            wanted: None,
            settled: None,
            broken: None,
            is_cut_short: false,
        }
    }

    /// Lets work be done beside the window; `arrived` is called when there is something new.
    pub fn work_beside(&mut self, arrived: impl Fn() + Send + Sync + 'static) {
        *self = Self { arrived: Some(Arc::new(arrived)), ..Self::new(self.name) };
    }

    /// Gives what came since the last look.
    pub fn take_in(&mut self) -> Vec<T> {
        while let Some(task) = &self.ending {
            match task.step() {
                Step::Waiting => break,
                Step::Result(_) => {}
                Step::Ended => self.ending = None,
            }
        }
        let mut came = Vec::new();
        while let Some((asked, task)) = &self.work {
            match task.step() {
                Step::Waiting => break,
                Step::Result(Told::Result(result)) => came.push(result),
                Step::Result(Told::Broken(why)) => {
                    let asked = asked.clone();
                    self.give_up(asked, why);
                }
                Step::Ended => {
                    self.settled = Some(asked.clone());
                    self.work = None;
                }
            }
        }
        came
    }

    /// Sees to it that what is asked is worked on: nothing where that is `None`, which ends what is under way. `begin` makes the
    /// work, once it may begin.
    pub fn follow<W>(&mut self, asked: Option<A>, begin: impl FnOnce(&A) -> W)
    where
        W: FnOnce(&Progress, &dyn Fn(T)) + Send + 'static,
    {
        let Some(asked) = asked else {
            self.wanted = None;
            self.end();
            return;
        };
        if self.settled.as_ref() == Some(&asked) {
            self.wanted = None;
            return;
        }
        if self.work.as_ref().is_some_and(|(known, _)| *known == asked) {
            return;
        }
        let Some(arrived) = self.arrived.clone() else { return };
        self.end();
        let since = match &self.wanted {
            Some((wanted, since)) if *wanted == asked => *since,
            _ => Instant::now(),
        };
        self.wanted = Some((asked.clone(), since));
        if self.ending.is_some() || since.elapsed() < RESTS {
            return;
        }
        let work = begin(&asked);
        let work = move |progress: &Progress, tell: &dyn Fn(Told<T>)| {
            work(progress, &|result| tell(Told::Result(result)));
        };
        self.broken = None;
        self.is_cut_short = false;
        match Task::start(self.name, work, Told::Broken, move || arrived()) {
            Ok(task) => {
                self.wanted = None;
                self.work = Some((asked, task));
            }
            Err(error) => self.give_up(asked, error.to_string()),
        }
    }

    fn give_up(&mut self, asked: A, why: String) {
        self.broken = Some(why);
        self.wanted = None;
        self.settled = Some(asked);
        self.work = None;
    }

    /// When to look again at what is wanted; `None` where nothing waits for it to rest.
    pub fn wakes_after(&self) -> Option<Duration> {
        let (_, since) = self.wanted.as_ref().filter(|_| self.work.is_none() && self.ending.is_none())?;
        RESTS.checked_sub(since.elapsed()).filter(|left| !left.is_zero())
    }

    /// Stops the work, if there is some.
    fn end(&mut self) {
        if let Some((_, task)) = self.work.take() {
            task.stop();
            self.ending = Some(task);
        }
    }

    /// How far the work has come; `None` while there is none.
    pub fn progress(&self) -> Option<&Progress> {
        self.work.as_ref().map(|(_, task)| task.progress())
    }

    /// Whether something is being worked on or waits to be.
    pub const fn is_working(&self) -> bool {
        self.work.is_some() || self.ending.is_some() || self.wanted.is_some()
    }

    /// Why the last work broke down, if it did.
    pub fn broken(&self) -> Option<&str> {
        self.broken.as_deref()
    }

    /// Stops: what is known so far stays.
    pub fn stop(&mut self) {
        if let Some((asked, _)) = &self.work {
            self.settled = Some(asked.clone());
            self.is_cut_short = true;
            self.end();
        }
    }

    /// Whether it was stopped before it was done.
    pub const fn is_cut_short(&self) -> bool {
        self.is_cut_short
    }

    /// Goes on after a stop.
    pub fn go_on(&mut self) {
        self.settled = None;
    }
}
