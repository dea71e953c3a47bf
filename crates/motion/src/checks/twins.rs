//! Riders made alike have the same found of them: that is told once.

use super::one_title::add_new;
use crate::phrase::phrase;
use crate::{Finding, Phrase, listed};

/// Folds findings that say the same of several riders, worst first in and out. They read alike but for the rider's name:
/// "front tray and rear tray: all axles are fixed". `riders` are their names.
pub(super) fn folded(findings: Vec<Finding>, riders: &[&str]) -> Vec<Finding> {
    let mut kept: Vec<(Finding, Option<Twin>)> = Vec::new();
    for finding in findings {
        let twin = Twin::of(&finding, riders);
        let same = twin.as_ref().and_then(|twin| {
            kept.iter_mut().find_map(|(first, known)| {
                let known = known.as_mut()?;
                (first.code == finding.code && first.severity == finding.severity && known.reads_like(twin))
                    .then_some((first, known))
            })
        });
        match (same, twin) {
            (Some((first, known)), Some(twin)) => {
                known.riders.extend(twin.riders);
                join(first, finding);
            }
            (_, twin) => kept.push((finding, twin)),
        }
    }
    let named = kept.into_iter().map(|(mut finding, twin)| {
        if let Some(Twin { riders, title, .. }) = twin.filter(|twin| twin.riders.len() > 1) {
            finding.title = phrase![listed(&riders), ": ", title];
        }
        finding
    });
    named.collect()
}

/// What is found of one rider, without its name.
struct Twin {
    riders: Vec<String>,
    title: Phrase,
    reason: String,
}

impl Twin {
    fn of(finding: &Finding, riders: &[&str]) -> Option<Self> {
        let (rider, title) = riders.iter().find_map(|rider| {
            let title = finding.title.without_start(&format!("{rider}: "))?;
            Some((*rider, title))
        })?;
        // A name as short as a word of the sentence would be taken out of it too: then the sentences differ, and stay two.
        let reason = finding.reason.to_string().replace(rider, "\u{0}");
        Some(Self { riders: vec![rider.to_owned()], title, reason })
    }

    fn reads_like(&self, other: &Self) -> bool {
        self.title.reads_like(&other.title) && self.reason == other.reason
    }
}

/// Takes what a finding is of and what cures it into the one that says the same.
fn join(first: &mut Finding, other: Finding) {
    add_new(&mut first.paths, other.paths);
    add_new(&mut first.bodies, other.bodies);
    add_new(&mut first.remedies, other.remedies);
    add_new(&mut first.stretches, other.stretches);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Remedy, Severity};

    fn found(title: &str, reason: &str) -> Finding {
        let path = title.to_owned();
        let remedies = vec![Remedy { text: "another".into(), path: Some(path.clone()), by: None }];
        Finding {
            title: title.into(),
            reason: reason.into(),
            paths: vec![path],
            remedies,
            ..Finding::blank()
        }
    }

    #[test]
    fn what_reads_alike_is_told_once() {
        let riders = ["a tray", "b tray", "c"];
        let all = vec![
            found("a tray: loose", "a tray rattles."),
            found("It drifts", ""),
            found("b tray: loose", "b tray rattles."),
            found("c: loose", "c rattles twice as much."),
            found("c: tight", ""),
        ];
        let folded = folded(all, &riders);
        let titles: Vec<String> = folded.iter().map(|finding| finding.title.to_string()).collect();
        assert_eq!(titles, ["a tray and b tray: loose", "It drifts", "c: loose", "c: tight"]);
        assert_eq!(folded[0].paths, ["a tray: loose", "b tray: loose"]);
        assert_eq!(folded[0].remedies.len(), 2);
        assert_eq!(folded[0].severity, Severity::Note);
    }
}
