//! A project file from anywhere: reading, printing, resolving, trials, and one edit.
#![no_main]

use glidewright_project::{check_all, edit, print, read_bytes, resolve};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(read) = read_bytes(bytes) else { return };
    let text = print(&read.document);
    // The comments of what a file leaves to its default move to the nearest thing that is printed; after that
    // once more nothing may change.
    let again = glidewright_project::parse(&text).unwrap_or_else(|problems| panic!("{problems:?}\n{text}"));
    assert_eq!(print(&again), print(&glidewright_project::parse(&print(&again)).unwrap()));
    let without_comments = |mut document: glidewright_project::Document| {
        document.comments = Default::default();
        document
    };
    assert_eq!(without_comments(again), without_comments(read.document.clone()), "{text}");
    let _ = resolve(&read.document, None);
    let _ = check_all(&read.document);
    let Ok(edited) = edit::set(&read.document, "rail/length", "500") else { return };
    let mut history = edit::History::new(read.document.clone(), true);
    history.push(edited);
    history.undo().unwrap();
    assert_eq!(history.text(), text);
});
