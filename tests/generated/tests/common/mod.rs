//! What the tests on generated fixtures share.
#![allow(dead_code, reason = "each test binary uses its own part")]

use glidewright_generated::{Generated, usable};

/// The generated fixtures a test looks at: `few`, or as many as `GLIDEWRIGHT_GENERATED` says.
pub fn fixtures(few: usize) -> impl Iterator<Item = Generated> {
    let asked = std::env::var("GLIDEWRIGHT_GENERATED").ok().and_then(|count| count.parse().ok());
    usable(0).take(asked.unwrap_or(few))
}

/// What is known to fail on generated fixtures, by name: a test that finds another failure fails, and so does one that
/// finds none of a name any more.
pub struct Ledger {
    known: &'static [(&'static str, &'static str)],
    found: Vec<(String, String)>,
}

impl Ledger {
    /// Known failures: what fails and why.
    pub const fn new(known: &'static [(&'static str, &'static str)]) -> Self {
        Self { known, found: Vec::new() }
    }

    /// A failure of this name, told in words.
    pub fn fails(&mut self, name: &str, words: String) {
        self.found.push((name.to_owned(), words));
    }

    /// Fails the test on a failure that is not known, and on a known one that did not show.
    pub fn close(self) {
        let unknown: Vec<_> = self
            .found
            .iter()
            .filter(|(name, _)| !self.known.iter().any(|(known, _)| known == name))
            .collect();
        assert!(
            unknown.is_empty(),
            "{} failures that are not known, the first of them:\n{}",
            unknown.len(),
            unknown
                .iter()
                .take(20)
                .map(|(name, words)| format!("{name}: {words}"))
                .collect::<Vec<_>>()
                .join("\n")
        );
        for (name, why) in self.known {
            assert!(
                self.found.iter().any(|(found, _)| found == name),
                "{name} ({why}) fails no more: take it off the list"
            );
        }
    }
}
