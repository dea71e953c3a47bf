//! Which finding is open: told by what it is, so that it stays open as others come and go.

use glidewright_motion::{Finding, Results, Severity};

/// What a finding is, whatever its row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FindingKey {
    code: &'static str,
    paths: Vec<String>,
    /// Its number among those of the same code and paths.
    which: usize,
}

impl FindingKey {
    /// That of a finding by its number; `None` without such a finding.
    pub fn of(results: &Results, number: usize) -> Option<Self> {
        let finding = results.findings.get(number)?;
        let alike = |other: &&Finding| other.code == finding.code && other.paths == finding.paths;
        let which = results.findings.iter().take(number).filter(alike).count();
        Some(Self { code: finding.code, paths: finding.paths.clone(), which })
    }

    /// The number the finding has in these results, if they have it.
    pub fn number(&self, results: &Results) -> Option<usize> {
        let alike = |(_, other): &(usize, &Finding)| other.code == self.code && other.paths == self.paths;
        results.findings.iter().enumerate().filter(alike).nth(self.which).map(|(number, _)| number)
    }
}

/// The finding to show where none was opened: the first that fails or is marginal.
pub fn foremost(results: &Results) -> Option<usize> {
    results.findings.iter().position(|finding| finding.severity > Severity::Note)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn results(codes: &[(&'static str, &str)]) -> Results {
        let session = crate::state::Session::demo(crate::state::Demo::ALL[0]).unwrap();
        let mut results = (*session.bench().unwrap().results).clone();
        let pattern = results.findings[0].clone();
        results.findings = codes
            .iter()
            .map(|(code, path)| Finding { code, paths: vec![(*path).to_owned()], ..pattern.clone() })
            .collect();
        results
    }

    #[test]
    fn a_finding_is_known_again_in_another_row() {
        let before = results(&[("a", "x"), ("a", "x"), ("a", "y"), ("b", "x")]);
        let after = results(&[("b", "x"), ("a", "y"), ("a", "x"), ("a", "x")]);
        for (number, then) in [(0, 2), (1, 3), (2, 1), (3, 0)] {
            assert_eq!(FindingKey::of(&before, number).unwrap().number(&after), Some(then));
        }
        let cured = results(&[("a", "y")]);
        assert_eq!(FindingKey::of(&before, 3).unwrap().number(&cured), None);
        assert!(FindingKey::of(&before, 4).is_none());
    }
}
