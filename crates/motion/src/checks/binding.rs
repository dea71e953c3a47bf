//! Does a rider jam when it is pushed beside its guides?

use super::Known;
use crate::phrase::{length, phrase, stretch};
use crate::{Binding, Finding, Phrase, Rider, Severity, Way};

/// A push that grows by half over its plain value (ratio 1/3) is worth a word: own choice, a third of the
/// way to jamming leaves room for friction twice what was assumed.
const NEAR: f64 = 1.0 / 3.0;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, rider) in known.fixture.riders.iter().enumerate() {
        let binding = known.binding.iter().find(|binding| binding.rider == number);
        match jams(known, number, rider, binding) {
            Some(finding) => findings.push(finding),
            None => findings.extend(binding.and_then(|binding| near(known, rider, binding))),
        }
    }
    findings
}

/// How it cants, in words.
fn canting(binding: &Binding) -> Phrase {
    phrase![
        "Pushed ",
        length(binding.offset, 1),
        " beside the middle of its friction it cants on guides ",
        length(binding.length, 1),
        format!(
            " long, and {:.2} of every newton of the push come back as friction (2μe/L; at 1 it jams).",
            binding.ratio
        )
    ]
}

fn jams_title(rider: &Rider, ways: &str) -> String {
    format!("{} jams: no push moves it {ways}", rider.name)
}

const CURE: &str = "Longer guides, a push nearer to the rail or less friction help.";

/// A rider whose friction, its own weight and what pulls on it included, outgrows every push somewhere.
fn jams(known: &Known<'_>, number: usize, rider: &Rider, binding: Option<&Binding>) -> Option<Finding> {
    let curves = known.curves;
    let mut ways: Vec<&str> = Vec::new();
    let (mut from, mut to) = (f64::INFINITY, f64::NEG_INFINITY);
    for way in Way::BOTH {
        let travels = curves.jams(number, way).filter_map(|station| curves.travel.get(station));
        let (low, high) =
            travels.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| (at.min(low), at.max(high)));
        if low <= high {
            ways.push(known.fixture.rail.stand.way(way));
            (from, to) = (from.min(low), to.max(high));
        }
    }
    if ways.is_empty() {
        return None;
    }
    let canted = binding.map_or_else(Phrase::default, |binding| phrase![" ", canting(binding)]);
    Some(Finding {
        code: "binding.jams",
        severity: Severity::Fails,
        title: jams_title(rider, &ways.join(" or ")).into(),
        reason: phrase![
            "At travel ",
            stretch(from, to, 1),
            " friction of its wheels and shoes grows with the push faster than the push itself, so that there is no effort to tell.",
            canted,
            format!(" {CURE}")
        ],
        paths: vec![rider.path.clone()],
        value: binding.map(|binding| binding.ratio).filter(|ratio| ratio.is_finite()),
        limit: Some(1.0),
        at_travel: Some(from),
        stretches: vec![(from, to)],
        ..Finding::blank()
    })
}

/// A rider that would jam, or nearly, without its weight and what else holds it down.
fn near(known: &Known<'_>, rider: &Rider, binding: &Binding) -> Option<Finding> {
    if !(binding.ratio >= NEAR) {
        return None;
    }
    let jams = binding.ratio >= 1.0;
    let title = if jams {
        jams_title(rider, known.fixture.rail.stand.way(binding.towards))
    } else {
        format!("{} is near jamming: a push grows {:.1}-fold", rider.name, binding.growth())
    };
    Some(Finding {
        code: if jams { "binding.jams" } else { "binding.near" },
        severity: if jams { Severity::Fails } else { Severity::Marginal },
        title: title.into(),
        reason: phrase![
            canting(binding),
            format!(" Friction may grow {:.1}-fold before it does. {CURE}", binding.margin())
        ],
        paths: vec![rider.path.clone()],
        value: Some(binding.ratio),
        limit: Some(if jams { 1.0 } else { NEAR }),
        ..Finding::blank()
    })
}
