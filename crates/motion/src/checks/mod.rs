//! The checks. Each is one function from what is known to findings; adding a check is one file here and
//! one line in [`CHECKS`].

mod bearing_fit;
mod clearance;
mod effort;
mod engagement;
mod falling;
mod hold;
mod holes;
mod places;
mod pressure;
mod standoff;
mod wheel_loads;

use crate::{Assembly, Finding, Fixture, HoldBand, Interference, RiderResults, TravelCurves};

/// What a check may look at.
pub(crate) struct Known<'a> {
    pub(crate) fixture: &'a Fixture,
    pub(crate) assembly: &'a Assembly,
    pub(crate) interference: &'a Interference,
    pub(crate) curves: &'a TravelCurves,
    pub(crate) riders: &'a [RiderResults],
    pub(crate) hold_bands: &'a [HoldBand],
}

/// Every check there is.
const CHECKS: &[fn(&Known<'_>) -> Vec<Finding>] = &[
    places::check,
    clearance::check,
    standoff::check,
    engagement::check,
    holes::check,
    bearing_fit::check,
    wheel_loads::check,
    pressure::check,
    hold::check,
    effort::check,
    falling::check,
];

/// All findings, worst first; among equals in the order of the checks.
pub(crate) fn run(known: &Known<'_>) -> Vec<Finding> {
    let mut findings: Vec<_> = CHECKS.iter().flat_map(|check| check(known)).collect();
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    findings
}
