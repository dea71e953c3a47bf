//! A worker for jobs of which only the newest matters.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::thread::Builder;

/// What came of a job.
pub struct Done<Out> {
    /// The number the job was handed in under.
    pub revision: u64,
    /// What came out; a message if the work itself broke down.
    pub outcome: Result<Out, String>,
}

/// A thread that does the newest job handed in; jobs that wait when a newer one comes are dropped.
pub struct Worker<Job, Out> {
    jobs: Sender<(u64, Job)>,
    done: Receiver<Done<Out>>,
}

impl<Job: Send + 'static, Out: Send + 'static> Worker<Job, Out> {
    /// Starts a thread of this name; `arrived` is called after each result.
    ///
    /// # Errors
    /// When the system has no thread to give.
    pub fn start(
        name: &str,
        work: impl Fn(Job) -> Out + Send + 'static,
        arrived: impl Fn() + Send + 'static,
    ) -> std::io::Result<Self> {
        let (jobs, inbox) = channel::<(u64, Job)>();
        let (outbox, done) = channel();
        Builder::new().name(name.to_owned()).spawn(move || {
            while let Ok(mut newest) = inbox.recv() {
                loop {
                    match inbox.try_recv() {
                        Ok(newer) => newest = newer,
                        Err(TryRecvError::Empty) => break,
                        Err(TryRecvError::Disconnected) => return,
                    }
                }
                let (revision, job) = newest;
                let outcome = guarded(|| work(job));
                if outbox.send(Done { revision, outcome }).is_err() {
                    return;
                }
                arrived();
            }
        })?;
        Ok(Self { jobs, done })
    }

    /// Hands in a job; `false` if the thread is gone.
    pub fn hand_in(&self, revision: u64, job: Job) -> bool {
        self.jobs.send((revision, job)).is_ok()
    }

    /// The newest result that has arrived.
    pub fn newest(&self) -> Option<Done<Out>> {
        self.done.try_iter().last()
    }
}

/// Runs work that must not take the program with it when it breaks down.
pub fn guarded<Out>(work: impl FnOnce() -> Out) -> Result<Out, String> {
    catch_unwind(AssertUnwindSafe(work)).map_err(|cause| {
        let said = cause
            .downcast_ref::<&str>()
            .map(|text| (*text).to_owned())
            .or_else(|| cause.downcast_ref::<String>().cloned())
            .unwrap_or_else(|| "no reason given".to_owned());
        format!("the calculation broke down: {said}")
    })
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use super::*;

    fn wait<Out: Send + 'static, Job: Send + 'static>(worker: &Worker<Job, Out>) -> Done<Out> {
        let start = Instant::now();
        loop {
            if let Some(done) = worker.newest() {
                return done;
            }
            assert!(start.elapsed() < Duration::from_secs(10), "nothing arrived");
            std::thread::sleep(Duration::from_millis(1));
        }
    }

    #[test]
    fn the_newest_job_is_done() {
        let (gate, opened) = channel::<()>();
        let worker = Worker::start(
            "test worker",
            move |job: u32| {
                let _ = opened.recv();
                job * 10
            },
            || {},
        )
        .unwrap();
        for job in 1..=5 {
            worker.hand_in(u64::from(job), job);
        }
        gate.send(()).unwrap();
        let first = wait(&worker);
        gate.send(()).unwrap();
        // Either it began at once with some job and the newest came next, or it took the newest at once.
        let last = if first.revision == 5 { first } else { wait(&worker) };
        assert_eq!((last.revision, last.outcome), (5, Ok(50)));
    }

    #[test]
    fn a_breakdown_is_reported_and_survived() {
        let worker = Worker::start("test worker", |job: u32| 100 / job, || {}).unwrap();
        worker.hand_in(1, 0);
        assert!(wait(&worker).outcome.unwrap_err().contains("broke down"));
        worker.hand_in(2, 4);
        assert_eq!(wait(&worker).outcome, Ok(25));
    }
}
