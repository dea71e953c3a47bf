//! One long piece of work beside the window, that says how far it is and can be stopped.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::thread::Builder;

use super::guarded;

/// Whether to go on, and how far it has come; shared by the work and by who waits for it.
#[derive(Clone, Debug, Default)]
pub struct Progress {
    stopped: Arc<AtomicBool>,
    done: Arc<AtomicU32>,
    of: Arc<AtomicU32>,
}

impl Progress {
    /// Whether somebody asked it to stop: the work should then end as it can.
    pub fn is_stopped(&self) -> bool {
        self.stopped.load(Ordering::Relaxed)
    }

    /// Says that `done` of `of` steps are done.
    pub fn note(&self, done: usize, of: usize) {
        let small = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
        self.of.store(small(of), Ordering::Relaxed);
        self.done.store(small(done), Ordering::Relaxed);
    }

    /// Steps done and steps in all; `(0, 0)` while nothing is known.
    pub fn steps(&self) -> (u32, u32) {
        (self.done.load(Ordering::Relaxed), self.of.load(Ordering::Relaxed))
    }
}

/// Work under way on a thread of its own. Dropping it stops the work; what it still sends is not heard.
pub struct Task<Out> {
    progress: Progress,
    results: Receiver<Out>,
}

/// What a look at a task gave.
#[derive(Debug, PartialEq, Eq)]
pub enum Step<Out> {
    /// A result.
    Result(Out),
    /// None now; more may come.
    Waiting,
    /// It has ended, and everything it had to say was heard.
    Ended,
}

impl<Out: Send + 'static> Task<Out> {
    /// Starts work on a thread named after it. It sends any number of results; `arrived` is called after each
    /// and at the end. If it breaks down, what `broken` makes of the message is its last result.
    ///
    /// # Errors
    /// When the system has no thread to give.
    pub fn start(
        what: &str,
        work: impl FnOnce(&Progress, &dyn Fn(Out)) + Send + 'static,
        broken: impl FnOnce(String) -> Out + Send + 'static,
        arrived: impl Fn() + Send + 'static,
    ) -> std::io::Result<Self> {
        let progress = Progress::default();
        let (send, results): (Sender<Out>, _) = channel();
        let theirs = progress.clone();
        Builder::new().name(what.to_owned()).spawn(move || {
            let tell = |out: Out| {
                if send.send(out).is_err() {
                    theirs.stopped.store(true, Ordering::Relaxed);
                }
                arrived();
            };
            if let Err(message) = guarded(|| work(&theirs, &tell)) {
                tell(broken(message));
            }
            drop(send);
            arrived();
        })?;
        Ok(Self { progress, results })
    }

    /// Asks it to stop; it ends as soon as it can.
    pub fn stop(&self) {
        self.progress.stopped.store(true, Ordering::Relaxed);
    }

    /// How far it is.
    pub const fn progress(&self) -> &Progress {
        &self.progress
    }

    /// Takes the next result.
    pub fn step(&self) -> Step<Out> {
        match self.results.try_recv() {
            Ok(out) => Step::Result(out),
            Err(TryRecvError::Empty) => Step::Waiting,
            Err(TryRecvError::Disconnected) => Step::Ended,
        }
    }
}

impl<Out> Drop for Task<Out> {
    fn drop(&mut self) {
        self.progress.stopped.store(true, Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use super::*;

    fn all<Out: Send + 'static>(task: &Task<Out>) -> Vec<Out> {
        let start = Instant::now();
        let mut got = Vec::new();
        loop {
            match task.step() {
                Step::Result(out) => got.push(out),
                Step::Ended => return got,
                Step::Waiting => std::thread::sleep(Duration::from_millis(1)),
            }
            assert!(start.elapsed() < Duration::from_secs(10), "it does not end");
        }
    }

    #[test]
    fn results_come_in_order_and_it_ends() {
        let work = |progress: &Progress, tell: &dyn Fn(u32)| {
            for number in 0..5 {
                tell(number);
                progress.note(number as usize + 1, 5);
            }
        };
        let task = Task::start("counting", work, |_| 99, || {}).unwrap();
        assert_eq!(all(&task), [0, 1, 2, 3, 4]);
        assert_eq!(task.progress().steps(), (5, 5));
    }

    #[test]
    fn it_stops_when_nobody_wants_it_any_more() {
        let (ended, heard) = channel();
        let work = move |progress: &Progress, _: &dyn Fn(u32)| {
            let start = Instant::now();
            while !progress.is_stopped() && start.elapsed() < Duration::from_secs(10) {
                std::thread::sleep(Duration::from_millis(1));
            }
            let _ = ended.send(progress.is_stopped());
        };
        drop(Task::start("waiting", work, |_| 99, || {}).unwrap());
        assert_eq!(heard.recv(), Ok(true));
    }

    #[test]
    fn a_breakdown_is_its_last_result() {
        let work = |_: &Progress, tell: &dyn Fn(Result<u32, String>)| {
            tell(Ok(1));
            let none: Vec<u32> = Vec::new();
            tell(Ok(none[0]));
        };
        let task = Task::start("failing", work, Err, || {}).unwrap();
        let got = all(&task);
        assert_eq!(got[0], Ok(1));
        assert!(got[1].as_ref().unwrap_err().contains("broke down"));
    }
}
