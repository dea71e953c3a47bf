//! A person's own library: what goes out comes in again the same, and nothing in a file makes it fail.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_project::document::{Certainty, Material, Measured, Part, PartsFile, Stocked};
use glidewright_project::store::{Expected, Store, StoreError};
use glidewright_project::tables::built_in;
use glidewright_project::{edit, parse, print_parts, print_parts_table, read_parts, read_parts_table};
use glidewright_samples::COPY_STAND;

/// Numbers of a seed (splitmix64).
struct Seed(u64);

impl Seed {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }
    fn maybe<T>(&mut self, make: impl FnOnce(&mut Self) -> T) -> Option<T> {
        (self.below(2) == 0).then(|| make(self))
    }
    fn number(&mut self) -> f64 {
        (self.next() % 1_000_000) as f64 / [1.0, 7.0, 1e3, 1e9][self.below(4)]
    }
    /// Texts with all that a table or a text file stumbles over.
    fn text(&mut self) -> String {
        const BITS: [&str; 14] =
            ["nut", " ", ",", ";", "\"", "'", "\n", "\r\n", "ä", "−", "\\", "=1+1", "\t", "//"];
        (0..self.below(6)).map(|_| BITS[self.below(BITS.len())]).collect()
    }
    fn name(&mut self) -> String {
        format!("part {}{}", self.below(1000), self.text())
    }
    fn some<T>(&mut self, make: impl Fn(&mut Self) -> T) -> Vec<T> {
        (0..self.below(5)).map(|_| make(self)).collect()
    }
    fn part(&mut self) -> Part {
        let parts = built_in().parts();
        let like = parts[self.below(parts.len())].clone();
        Part {
            name: self.name(),
            also: self.some(Self::text),
            cost: self.maybe(Self::number),
            certainty: self.maybe(|s| Certainty::ALL[s.below(5)]),
            origin: self.text(),
            note: self.text(),
            ..like
        }
    }
    fn material(&mut self) -> Material {
        let materials = built_in().materials();
        Material { name: self.name(), note: self.text(), ..materials[self.below(materials.len())].clone() }
    }
    fn library(&mut self) -> PartsFile {
        PartsFile {
            parts: self.some(Self::part),
            materials: self.some(Self::material),
            measured: self.some(|s| Measured {
                part: s.name(),
                size: s.text(),
                readings: s.some(Self::number),
                resolution: s.number(),
                note: s.text(),
            }),
            stock: self.some(|s| Stocked {
                part: s.name(),
                own_name: s.text(),
                count: s.maybe(|s| s.below(500) as u32),
                price: s.maybe(Self::number),
                date: s.text(),
                note: s.text(),
            }),
            ..PartsFile::default()
        }
    }
}

#[test]
fn what_goes_out_comes_in_the_same() {
    for seed in 0..400 {
        let library = Seed(seed).library();
        let table = print_parts_table(&library);
        let again = read_parts_table(table.as_bytes()).unwrap_or_else(|p| panic!("{seed}: {p:?}\n{table}"));
        assert_eq!(again, library, "{seed}\n{table}");
        let text = print_parts(&library);
        let again = read_parts(&text).unwrap_or_else(|p| panic!("{seed}: {p:?}\n{text}"));
        assert_eq!(PartsFile { comments: library.comments.clone(), ..again }, library, "{seed}\n{text}");
    }
}

#[test]
fn broken_tables_are_told_with_their_line() {
    let good = print_parts_table(&Seed(3).library());
    for seed in 0..3000 {
        let mut seed = Seed(seed);
        let mut bytes = good.clone().into_bytes();
        for _ in 0..=seed.below(6) {
            let at = seed.below(bytes.len());
            match seed.below(3) {
                0 => bytes[at] = (seed.next() & 0xff) as u8,
                1 => bytes.truncate(at.max(1)),
                _ => bytes.insert(at, b"\",\n(x"[seed.below(5)]),
            }
        }
        if let Err(problems) = read_parts_table(&bytes) {
            assert!(!problems.is_empty() && problems.iter().all(|p| !p.message.is_empty()));
        }
    }
    let problem = |table: &str| read_parts_table(table.as_bytes()).unwrap_err().remove(0);
    for (table, says, place) in [
        ("kind,part\nstock,x\nstok,y", "no kind of line", "line 3, column 1"),
        ("kind,part,price\nstock,x,-1", "no price", "line 2, column 1"),
        ("kind,part,count\nstock,x,many", "no count", "line 2, column 1"),
        ("kind,part,readings\nreadings,x,5 inf", "no readings", "line 2, column 1"),
        ("kind,part,definition\npart,x,(name: 3)", "definition cannot be read", "line 2, column 1"),
        ("kind,prt", "no column", "line 1, column 1"),
        ("kind", "'part' is missing", "line 1, column 1"),
        ("kind,part\nstock,", "names no part", "line 2, column 1"),
    ] {
        let problem = problem(table);
        assert!(problem.message.contains(says), "{table}: {problem:?}");
        assert_eq!(problem.place.to_string(), place, "{table}");
        assert!(!problem.remedy.is_empty(), "{table}: {problem:?}");
    }
    assert!(read_parts_table(&[0xff, 0xfe, b'k']).unwrap_err()[0].message.contains("UTF-8"));
}

#[test]
fn another_hand_in_the_library_is_noticed() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("parts.ron");
    let store = Store::disk();
    let (library, expected) = store.open_parts(&file).unwrap();
    // Another window keeps something meanwhile.
    let theirs = edit::note_stock(
        &library,
        Stocked { part: "ISO 4032 M5".into(), count: Some(3), ..Stocked::default() },
    );
    store.save_parts(&file, &theirs, expected).unwrap();
    let ours = edit::note_stock(
        &library,
        Stocked { part: "ISO 4032 M6".into(), count: Some(9), ..Stocked::default() },
    );
    assert!(matches!(store.save_parts(&file, &ours, expected), Err(StoreError::Exists { .. })));
    let (_, seen) = store.open_parts(&file).unwrap();
    store.save_parts(&file, &ours, seen).unwrap();
    assert!(matches!(store.save_parts(&file, &theirs, seen), Err(StoreError::ChangedOutside { .. })));
    assert_eq!(store.open_parts(&file).unwrap().0.stock, ours.stock);
    // What is no text is not read as if it were, and so never written over.
    std::fs::write(&file, b"(format: 2, parts: [(name: \"\xff\")])").unwrap();
    assert!(matches!(store.open_parts(&file), Err(StoreError::Unreadable { .. })));
    assert!(matches!(store.save_parts(&file, &ours, Expected::Nothing), Err(StoreError::Exists { .. })));
}

#[test]
fn a_part_is_taken_with_its_readings_price_and_origin() {
    let mut library = PartsFile::default();
    library.measured.push(Measured {
        part: "DIN 985 M6".into(),
        size: "height".into(),
        readings: vec![5.91, 5.88, 5.93],
        resolution: 0.01,
        note: String::new(),
    });
    let stocked = Stocked {
        part: "DIN 985 M6".into(),
        own_name: "short nut".into(),
        count: Some(40),
        price: Some(0.08),
        ..Stocked::default()
    };
    library = edit::note_stock(&library, stocked);
    let stand = parse(COPY_STAND).unwrap();
    // By one's own name; a part of the tables stays theirs.
    let taken = edit::take_part(&stand, &library, "short nut", "own library, 2026-01-31").unwrap().document;
    assert_eq!(taken.parts, stand.parts);
    assert_eq!(taken.measured[0].readings.len(), 3);
    assert_eq!(taken.costs.get("DIN 985 M6"), Some(&0.08));
    // Twice is as once.
    let twice = edit::take_part(&taken, &library, "short nut", "own library, 2026-01-31").unwrap().document;
    assert_eq!(twice, taken);
    assert!(edit::take_part(&stand, &library, "ISO 4032 M6", "").is_err());
    // One's own part comes as a copy that says where it is from.
    let own = Part { name: "my nut".into(), ..built_in().part("ISO 4032 M6").unwrap().clone() };
    library.parts.push(own);
    let taken = edit::take_part(&stand, &library, "my nut", "own library, 2026-01-31").unwrap().document;
    assert_eq!(taken.parts.last().unwrap().origin, "own library, 2026-01-31");
    // Back into another library it keeps readings and price; news of one thing leave the others as they were.
    let kept = edit::keep_part(&twice, &PartsFile::default(), "DIN 985 M6", "2026-02-01").unwrap();
    assert_eq!((kept.measured.len(), kept.stock[0].price), (1, Some(0.08)));
    assert!(kept.parts.is_empty());
    let noted = edit::note_stock(
        &library,
        Stocked { part: "DIN 985 M6".into(), count: Some(39), ..Stocked::default() },
    );
    assert_eq!((noted.stock[0].count, noted.stock[0].price), (Some(39), Some(0.08)));
    assert!(edit::keep_part(&stand, &kept, "ISO 4032 M6", "").is_err());
    // All of one library in another: what has the same names is replaced.
    let joined = edit::join_libraries(&library, kept);
    assert_eq!((joined.stock.len(), joined.stock[0].count), (1, None));
}
