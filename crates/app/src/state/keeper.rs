//! Keeps unsaved work safe: every change goes into a journal on disk, written on a thread of its own so that a
//! drag never waits for the disk.
//!
//! A journal goes only when its work is saved or given up on purpose. However else a window ends, it stays.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::{Builder, JoinHandle};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use glidewright_project::store::{Beginning, Journal, Store, StoreError, journal_path};

/// The pause after a first failure, and the longest one: it doubles from failure to failure.
const PAUSES: (Duration, Duration) = (Duration::from_millis(250), Duration::from_secs(16));

/// A change to be noted: the document's text after it, and what was done.
#[derive(Clone, Debug)]
struct Note {
    text: String,
    description: String,
}

/// What the thread is told.
enum Order {
    /// Note a change.
    Note(Note),
    /// The work is saved or given up: remove the journal.
    Finish,
    /// Say when everything before is done.
    #[cfg(test)]
    Answer(Sender<()>),
}

/// The thread that writes one document's journal.
pub struct Keeper {
    orders: Option<Sender<Order>>,
    trouble: Arc<Mutex<Option<String>>>,
    thread: Option<JoinHandle<()>>,
}

impl Keeper {
    /// Begins a journal. Nothing is written before the first change; `told` is called when it turns out that work
    /// is not being kept, and when it is again.
    ///
    /// # Errors
    /// When the system has no thread to give.
    pub fn start(
        store: Store,
        beginning: Beginning,
        told: impl Fn() + Send + 'static,
    ) -> std::io::Result<Self> {
        let (orders, inbox) = channel::<Order>();
        let trouble = Arc::new(Mutex::new(None));
        let writer = Writer { store, beginning, journal: None, trouble: Arc::clone(&trouble), told };
        let thread = Builder::new().name("journal".to_owned()).spawn(move || writer.run(&inbox))?;
        Ok(Self { orders: Some(orders), trouble, thread: Some(thread) })
    }

    fn order(&self, order: Order) {
        if let Some(orders) = &self.orders {
            // The thread lives as long as this does.
            let _ = orders.send(order);
        }
    }

    /// Notes a change.
    pub fn note(&self, text: &str, description: &str) {
        self.order(Order::Note(Note { text: text.to_owned(), description: description.to_owned() }));
    }

    /// Why work is not being kept, as long as it is not.
    pub fn trouble(&self) -> Option<String> {
        self.trouble.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Removes the journal: the work is saved, or was given up on purpose. Waits until it is gone.
    pub fn finish(self) {
        self.order(Order::Finish);
        drop(self);
    }

    /// Waits until what was noted is written, or has failed to be.
    #[cfg(test)]
    pub fn settle(&self) {
        let (answer, done) = channel();
        self.order(Order::Answer(answer));
        let _ = done.recv();
    }
}

impl Drop for Keeper {
    /// The journal stays, with everything noted so far in it.
    fn drop(&mut self) {
        self.orders = None;
        if let Some(thread) = self.thread.take() {
            // One that broke down leaves the journal as it is.
            let _ = thread.join();
        }
    }
}

/// What runs on the thread.
struct Writer<F> {
    store: Store,
    beginning: Beginning,
    journal: Option<Journal>,
    trouble: Arc<Mutex<Option<String>>>,
    told: F,
}

impl<F: Fn()> Writer<F> {
    fn run(mut self, inbox: &Receiver<Order>) {
        let mut waiting: Option<Note> = None;
        let mut pause = Duration::ZERO;
        let mut next = Instant::now();
        loop {
            let order = match &waiting {
                None => inbox.recv().map_err(|_| RecvTimeoutError::Disconnected),
                Some(_) => inbox.recv_timeout(next.saturating_duration_since(Instant::now())),
            };
            let is_over = matches!(order, Err(RecvTimeoutError::Disconnected));
            // A drag makes notes faster than a disk writes them: only the newest state matters.
            for order in order.into_iter().chain(inbox.try_iter()) {
                match order {
                    Order::Note(note) => {
                        if waiting.replace(note).is_none() {
                            next = Instant::now() + pause;
                        }
                    }
                    Order::Finish => return self.remove(),
                    #[cfg(test)]
                    Order::Answer(answer) => {
                        if let Some(note) = waiting.take_if(|_| pause.is_zero())
                            && let Err(error) = self.keep(&note)
                        {
                            self.tell(Some(&error));
                            (pause, waiting) = (PAUSES.0, Some(note));
                        }
                        let _ = answer.send(());
                    }
                }
            }
            if let Some(note) = &waiting
                && (is_over || next <= Instant::now())
            {
                match self.keep(note) {
                    Ok(()) => {
                        self.tell(None);
                        (pause, waiting) = (Duration::ZERO, None);
                    }
                    Err(error) => {
                        self.tell(Some(&error));
                        pause = (2 * pause).clamp(PAUSES.0, PAUSES.1);
                        next = Instant::now() + pause;
                    }
                }
            }
            if is_over {
                return;
            }
        }
    }

    fn keep(&mut self, note: &Note) -> Result<(), StoreError> {
        if self.journal.is_none() {
            if let (None, Some(folder)) = (&self.beginning.project, self.beginning.path.parent()) {
                self.store.make_private_folder(folder)?;
            }
            self.journal = Some(self.store.begin_journal(self.beginning.clone())?);
        }
        match &mut self.journal {
            Some(journal) => journal.note(&note.text, &note.description),
            None => Ok(()),
        }
    }

    fn remove(self) {
        let removed = match self.journal {
            Some(journal) => journal.finish(),
            // Gone on from, and saved or given up before anything was changed.
            None if self.beginning.goes_on => self.store.discard(&self.beginning.path),
            None => Ok(()),
        };
        // One that stays is offered again, which does no harm.
        drop(removed);
    }

    fn tell(&self, error: Option<&StoreError>) {
        let words = error.map(|error| format!("{error}; {}", error.remedy()));
        let mut trouble = self.trouble.lock().unwrap_or_else(PoisonError::into_inner);
        if *trouble != words {
            *trouble = words;
            drop(trouble);
            (self.told)();
        }
    }
}

/// Where the journal of a document stands: beside its file, or among the unsaved ones.
pub fn journal_of(project: Option<&Path>, unsaved: Option<&Path>) -> Option<PathBuf> {
    match project {
        Some(project) => Some(journal_path(project)),
        None => {
            // A name that no earlier process or document of this one has had.
            static COUNT: AtomicU64 = AtomicU64::new(0);
            let since = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_millis());
            let count = COUNT.fetch_add(1, Ordering::Relaxed);
            Some(unsaved?.join(format!("{since}-{}-{count}.journal", std::process::id())))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::ram::Ram;
    use super::super::{Left, left_behind};
    use super::*;
    use glidewright_samples::COPY_STAND;

    fn text(stroke: u32) -> String {
        let demo = glidewright_project::parse(COPY_STAND).unwrap();
        let edited = glidewright_project::edit::set(&demo, "stroke/to", &stroke.to_string()).unwrap();
        glidewright_project::print(&edited.document)
    }

    fn ram() -> (Ram, Store) {
        let ram = Ram::with_folders(&["/unsaved"]);
        (ram.clone(), Store::on(Arc::new(ram)))
    }

    fn start(store: &Store) -> Keeper {
        let folder = Path::new("/unsaved");
        let beginning = Beginning {
            path: journal_of(None, Some(folder)).unwrap(),
            goes_on: false,
            project: None,
            saved: text(480),
            text: text(480),
        };
        Keeper::start(store.clone(), beginning, || {}).unwrap()
    }

    fn left(store: &Store) -> Vec<Left> {
        left_behind(store, None, Some(Path::new("/unsaved"))).offers
    }

    fn until(what: &str, mut holds: impl FnMut() -> bool) {
        let start = Instant::now();
        while !holds() {
            assert!(start.elapsed() < Duration::from_secs(20), "{what}");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    #[test]
    fn only_a_deliberate_end_removes_the_journal() {
        let (ram, store) = ram();
        let keeper = start(&store);
        for stroke in [470, 460, 450] {
            keeper.note(&text(stroke), &format!("stroke {stroke}"));
        }
        keeper.settle();
        assert!(left(&store).is_empty(), "it is still being written");
        // However a window ends: the sender goes, by a kill, by unwinding, by leaving.
        drop(keeper);
        let found = left(&store);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].recovery.text, text(450));
        assert!(!found[0].recovery.changes.is_empty());
        let keeper = start(&store);
        keeper.note(&text(440), "stroke");
        keeper.settle();
        keeper.finish();
        assert_eq!(left(&store).len(), 1, "what another left stays");
        assert_eq!(ram.names().len(), 1);
    }

    #[test]
    fn a_window_that_panics_leaves_its_work() {
        let (_, store) = ram();
        let keeper = start(&store);
        let thread = std::thread::spawn(move || {
            keeper.note(&text(433), "stroke");
            panic!("on purpose");
        });
        assert!(thread.join().is_err());
        assert_eq!(left(&store)[0].recovery.text, text(433));
    }

    #[test]
    fn a_full_disk_is_told_for_as_long_as_it_is_full() {
        let (ram, store) = ram();
        let keeper = start(&store);
        ram.fill(true);
        keeper.note(&text(470), "stroke");
        until("nothing is told", || keeper.trouble().is_some());
        assert!(keeper.trouble().unwrap().contains("disk is full"), "{:?}", keeper.trouble());
        keeper.note(&text(460), "stroke");
        std::thread::sleep(Duration::from_millis(400));
        assert!(keeper.trouble().is_some(), "it is still full");
        ram.fill(false);
        until("it is not tried again", || keeper.trouble().is_none());
        // And later failures too.
        ram.fill(true);
        keeper.note(&text(455), "stroke");
        until("nothing is told", || keeper.trouble().is_some());
        ram.fill(false);
        until("it is not tried again", || keeper.trouble().is_none());
        drop(keeper);
        assert_eq!(left(&store)[0].recovery.text, text(455));
    }

    #[test]
    fn what_waits_for_room_is_tried_once_more_at_the_end() {
        let (ram, store) = ram();
        let keeper = start(&store);
        ram.fill(true);
        keeper.note(&text(470), "stroke");
        until("nothing is told", || keeper.trouble().is_some());
        ram.fill(false);
        drop(keeper);
        assert_eq!(left(&store)[0].recovery.text, text(470));
    }
}
