//! The whole life of documents against a small model that knows nothing of how files are kept: it says what must
//! be on disk and what must be offered after every step, whatever was opened, edited, killed or deleted before.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use glidewright_project::document::Stand;
use glidewright_project::edit::{Edited, new_document};
use glidewright_project::store::{Store, StoreError};
use glidewright_project::{Document, print};

use super::ram::{Ram, Random};
use super::{ByOthers, Edit, Keeping, Left, Origin, Session, left_behind};

/// How many random lives; `LIVES` in the environment asks for another number.
const LIVES: u64 = 600;
/// Steps of each.
const STEPS: usize = 16;

const FILES: [&str; 2] = ["/here/a.ron", "/here/b.ron"];
/// Other spellings of both.
const SPELLINGS: [[&str; 4]; 2] = [
    ["/here/a.ron", "/here/./../here/a.ron", "/linked/a.ron", "/here/link-to-a.ron"],
    ["/here/b.ron", "/here/./../here/b.ron", "/linked/b.ron", "/linked/./b.ron"],
];
const UNSAVED: &str = "/unsaved";

fn numbered(number: u64) -> Document {
    let mut document = new_document("x", "grooved 20x40", 500.0, Stand::Upright);
    document.note = number.to_string();
    document
}

fn number_of(text: &str) -> u64 {
    let document = glidewright_project::parse(text).unwrap();
    let number = document.note.parse().unwrap();
    assert_eq!(document, numbered(number), "a document of two halves");
    number
}

/// What the model knows of one window.
#[derive(Clone, Debug)]
struct Window {
    file: Option<usize>,
    /// States, the newest last; the ones before can be gone back to.
    states: Vec<u64>,
    /// The state that counts as saved.
    saved: Option<u64>,
    /// What it believes its file to hold.
    believed: Option<u64>,
    /// What its journal takes for saved, once it has one.
    journal: Option<Option<u64>>,
    /// Whether it alone may write its file.
    claims: bool,
}

impl Window {
    fn now(&self) -> u64 {
        *self.states.last().unwrap()
    }

    fn is_changed(&self) -> bool {
        self.saved != Some(self.now())
    }

    /// A change that is not saved goes into the journal.
    fn note(&mut self, saved_text: Option<u64>) {
        if self.is_changed() && self.journal.is_none() {
            self.journal = Some(saved_text);
        }
    }
}

/// Unsaved work no window has open.
#[derive(Clone, Debug)]
struct Work {
    file: Option<usize>,
    text: u64,
    base: Option<u64>,
    /// Whether it was once the same as what is saved: then it need not be offered any more.
    was_safe: bool,
}

#[derive(Debug, Default)]
struct Model {
    disk: BTreeMap<usize, u64>,
    work: Vec<Work>,
    windows: [Option<Window>; 2],
}

impl Model {
    fn is_safe(&self, work: &Work) -> bool {
        let held = work.file.and_then(|file| self.disk.get(&file).copied());
        let is_missing = work.file.is_some() && held.is_none();
        held == Some(work.text) || (work.base == Some(work.text) && !is_missing)
    }

    fn is_claimed(&self, file: usize, but: usize) -> bool {
        let other = self.windows[1 - but].as_ref();
        other.is_some_and(|window| window.claims && window.file == Some(file))
    }
}

struct Life {
    ram: Ram,
    store: Store,
    model: Model,
    sessions: [Option<Session>; 2],
    next: u64,
    told: Vec<String>,
}

impl Life {
    fn new() -> Self {
        let ram = Ram::with_folders(&["/here", UNSAVED]);
        ram.link("/linked", "/here");
        ram.link("/here/link-to-a.ron", "/here/a.ron");
        let store = Store::on(Arc::new(ram.clone()));
        let mut life =
            Self { ram, store, model: Model::default(), sessions: [None, None], next: 10, told: Vec::new() };
        life.write_outside(0);
        life.write_outside(1);
        life
    }

    fn fresh(&mut self) -> u64 {
        self.next += 1;
        self.next
    }

    fn keeping() -> Keeping {
        Keeping { folder: Some(UNSAVED.into()), ..Keeping::default() }
    }

    fn spelling(&self, file: usize, random: &mut Random) -> &'static str {
        // A link to what is not there names itself.
        let known = if self.model.disk.contains_key(&file) { 4 } else { 3 };
        SPELLINGS[file][random.below(known)]
    }

    fn write_outside(&mut self, file: usize) {
        let number = self.fresh();
        self.ram.put(FILES[file], print(&numbered(number)).as_bytes());
        self.model.disk.insert(file, number);
    }

    fn install(&mut self, at: usize, mut session: Session, mut window: Window) {
        session.keep_unsaved(Self::keeping());
        session.claim();
        window.claims = window.file.is_some_and(|file| !self.model.is_claimed(file, at));
        self.sessions[at] = Some(session);
        self.model.windows[at] = Some(window);
    }

    fn begin(&mut self, at: usize, random: &mut Random) {
        if random.below(4) == 0 {
            let number = self.fresh();
            let session = Session::new(numbered(number), Origin::New).in_store(self.store.clone());
            let window = Window {
                file: None,
                states: vec![number],
                saved: None,
                // Undone to what it began with there is no work in it.
                believed: Some(number),
                journal: None,
                claims: false,
            };
            return self.install(at, session, window);
        }
        let file = random.below(2);
        let path = self.spelling(file, random);
        self.told.push(format!("{at}: open {path}"));
        match (Session::open_in(self.store.clone(), Path::new(path)), self.model.disk.get(&file).copied()) {
            (Ok(session), Some(held)) => {
                assert_eq!(number_of(session.history().text()), held);
                assert!(session.is_own_file(Path::new(FILES[file])));
                let window = Window {
                    file: Some(file),
                    states: vec![held],
                    saved: Some(held),
                    believed: Some(held),
                    journal: None,
                    claims: false,
                };
                self.install(at, session, window);
            }
            (Err(StoreError::NoFile { .. }), None) => {}
            (opened, held) => panic!("{:?} for {held:?}", opened.err()),
        }
    }

    fn edit(&mut self, at: usize) {
        let number = self.fresh();
        let session = self.sessions[at].as_mut().unwrap();
        let edit = Edit::make(number.to_string(), move |_| {
            Ok(Edited { document: numbered(number), description: "count".to_owned() })
        });
        session.edit(&edit).unwrap();
        session.seal();
        let window = self.model.windows[at].as_mut().unwrap();
        let saved_text = window.believed;
        window.states.push(number);
        window.note(saved_text);
    }

    fn undo(&mut self, at: usize) {
        self.sessions[at].as_mut().unwrap().undo().unwrap();
        let window = self.model.windows[at].as_mut().unwrap();
        if window.states.len() > 1 {
            window.states.pop();
            let saved_text = window.believed;
            window.note(saved_text);
        }
    }

    /// Saves as `file`; the model says how that must end.
    fn save(&mut self, at: usize, file: usize, replaces: bool, random: &mut Random) {
        let path = self.spelling(file, random);
        self.told.push(format!("{at}: save {path}, {replaces}"));
        let saved = self.sessions[at].as_mut().unwrap().save(Path::new(path), replaces);
        let held = self.model.disk.get(&file).copied();
        let is_claimed = self.model.is_claimed(file, at);
        let window = self.model.windows[at].as_mut().unwrap();
        let is_own = window.file == Some(file);
        let expected = if is_claimed && !(is_own && window.claims) {
            "taken"
        } else if is_own && window.believed.is_some() {
            match held {
                None => "gone",
                Some(held) if window.believed != Some(held) => "changed",
                Some(_) => "saved",
            }
        } else if held.is_some() && (is_own || !replaces) {
            "exists"
        } else {
            "saved"
        };
        let got = match &saved {
            Ok(()) => "saved",
            Err(StoreError::Taken { .. }) => "taken",
            Err(StoreError::Gone { .. }) => "gone",
            Err(StoreError::ChangedOutside { .. }) => "changed",
            Err(StoreError::Exists { .. }) => "exists",
            Err(error) => panic!("{error}"),
        };
        assert_eq!(got, expected, "{:?}", self.told);
        match got {
            "saved" => {
                let now = window.now();
                self.model.disk.insert(file, now);
                window.file = Some(file);
                window.saved = Some(now);
                window.believed = Some(now);
                window.journal = None;
                window.claims = true;
            }
            "gone" => {
                window.saved = None;
                window.note(None);
            }
            _ => {}
        }
    }

    /// The window looks at its file, as it does every second.
    fn look(&mut self, at: usize, random: &mut Random) {
        let Some(session) = &mut self.sessions[at] else { return };
        let window = self.model.windows[at].as_mut().unwrap();
        let by_others = session.look_for_others();
        let Some(file) = window.file else {
            assert_eq!(by_others, None);
            return;
        };
        match self.model.disk.get(&file).copied() {
            None => {
                assert!(!matches!(by_others, Some(ByOthers::Changed(_))));
                window.saved = None;
                window.note(None);
            }
            Some(held) if window.believed == Some(held) => assert_eq!(by_others, None, "{:?}", self.told),
            Some(held) => {
                assert!(matches!(by_others, Some(ByOthers::Changed(_))), "{:?}", self.told);
                if random.chance() {
                    self.told.push(format!("{at}: keep mine"));
                    session.disregard_others();
                    window.believed = Some(held);
                    window.saved = None;
                    window.note(Some(held));
                }
            }
        }
    }

    /// How a window ends: by a kill, by unwinding, or by its user's wish.
    fn end(&mut self, at: usize, random: &mut Random) {
        let mut session = self.sessions[at].take().unwrap();
        let window = self.model.windows[at].take().unwrap();
        session.settle_journal();
        let how = random.below(3);
        self.told.push(format!("{at}: end {how}"));
        let mut stays = true;
        match how {
            0 => drop(session),
            1 => {
                session.close();
                stays = window.is_changed();
            }
            _ => {
                session.discard();
                stays = false;
            }
        }
        if let (Some(base), true) = (window.journal, stays) {
            self.model.work.push(Work { file: window.file, text: window.now(), base, was_safe: false });
        }
    }

    /// Everything offered now.
    fn offers(&self) -> Vec<Left> {
        let mut offers = Vec::new();
        for spellings in SPELLINGS {
            let found = left_behind(&self.store, Some(Path::new(spellings[2])), None);
            assert_eq!(found.damaged, Vec::<String>::new());
            offers.extend(found.offers);
        }
        let found = left_behind(&self.store, None, Some(Path::new(UNSAVED)));
        assert_eq!(found.damaged, Vec::<String>::new());
        offers.extend(found.offers);
        offers
    }

    fn work_of(&self, left: &Left) -> usize {
        let file = left
            .project
            .as_deref()
            .map(|project| FILES.iter().position(|file| Path::new(file) == project).unwrap());
        let number = number_of(&left.recovery.text);
        let known = self.model.work.iter().position(|work| work.file == file && work.text == number);
        known.unwrap_or_else(|| panic!("{number} of {file:?} is offered: {:#?}\n{:?}", self.model, self.told))
    }

    fn recover(&mut self, at: usize, random: &mut Random) {
        let mut offers = self.offers();
        if offers.is_empty() {
            return;
        }
        let left = offers.swap_remove(random.below(offers.len()));
        let work = self.work_of(&left);
        let again = left.again(&self.store).unwrap();
        if random.below(3) == 0 {
            self.told.push(format!("discard {}", left.journal.display()));
            self.store.discard(&left.journal).unwrap();
            self.model.work.remove(work);
            return;
        }
        self.told.push(format!("{at}: recover {}", left.journal.display()));
        let session = Session::recovered_in(self.store.clone(), again, Self::keeping());
        let work = self.model.work.remove(work);
        assert_eq!(number_of(session.history().text()), work.text);
        let held = work.file.and_then(|file| self.model.disk.get(&file).copied());
        let window = Window {
            file: work.file,
            states: vec![work.text],
            saved: None,
            believed: held,
            journal: Some(held),
            claims: false,
        };
        self.install(at, session, window);
    }

    /// What is on disk and what is offered is what the model says.
    fn check(&mut self) {
        for session in self.sessions.iter().flatten() {
            session.settle_journal();
        }
        for (file, path) in FILES.iter().enumerate() {
            let held = self.ram.bytes(path).map(|bytes| number_of(&String::from_utf8(bytes).unwrap()));
            assert_eq!(held, self.model.disk.get(&file).copied(), "{path}: {:?}", self.told);
        }
        for (session, window) in self.sessions.iter().flatten().zip(self.model.windows.iter().flatten()) {
            assert_eq!(session.is_changed(), window.is_changed(), "{window:?} {:?}", self.told);
            assert_eq!(number_of(session.history().text()), window.now());
        }
        let safe: Vec<bool> = self.model.work.iter().map(|work| self.model.is_safe(work)).collect();
        for (work, safe) in self.model.work.iter_mut().zip(safe) {
            work.was_safe |= safe;
        }
        let mut offered: Vec<usize> = Vec::new();
        for left in self.offers() {
            // Two windows may have left the same.
            let number = self.work_of(&left);
            let same = |other: &usize| {
                let (one, two) = (&self.model.work[number], &self.model.work[*other]);
                (one.file, one.text) == (two.file, two.text) && !offered.contains(other)
            };
            offered.extend((0..self.model.work.len()).find(|other| same(other)));
        }
        for (number, work) in self.model.work.iter().enumerate() {
            assert!(
                work.was_safe || offered.contains(&number),
                "{work:?} is not offered: {:#?}\n{:?}\n{:?}",
                self.model,
                self.ram.names(),
                self.told
            );
        }
    }

    fn step(&mut self, random: &mut Random) {
        let at = random.below(2);
        let file = random.below(2);
        let is_open = self.sessions[at].is_some();
        match random.below(12) {
            0..=1 if !is_open => self.recover(at, random),
            _ if !is_open => self.begin(at, random),
            0..=3 => self.edit(at),
            4 => self.undo(at),
            5 | 6 => {
                let own = self.model.windows[at].as_ref().and_then(|window| window.file);
                self.save(at, own.unwrap_or(file), false, random);
            }
            7 => {
                let replaces = random.chance();
                self.save(at, file, replaces, random);
            }
            8 => self.write_outside(file),
            9 => {
                self.told.push(format!("delete {file}"));
                self.ram.take_away(FILES[file]);
                self.model.disk.remove(&file);
            }
            10 => self.look(at, random),
            _ => self.end(at, random),
        }
        self.check();
    }
}

#[test]
fn whatever_is_done_nothing_is_lost_and_nothing_overwritten() {
    let lives = std::env::var("LIVES").ok().and_then(|lives| lives.parse().ok()).unwrap_or(LIVES);
    let (mut offers, mut saves) = (0, 0);
    for seed in 1..=lives {
        let mut random = Random::new(seed);
        let mut life = Life::new();
        for _ in 0..STEPS {
            life.step(&mut random);
        }
        offers += life.offers().len();
        saves += life.told.iter().filter(|told| told.contains("save")).count();
    }
    println!(
        "{lives} lives of {STEPS} steps; {saves} saves asked for, {offers} pieces of work left at their ends"
    );
    assert!(offers as u64 > lives / 10 && saves as u64 > lives / 2, "{offers} offers, {saves} saves");
}
