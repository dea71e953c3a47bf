//! Do a wheel's bearings bear what presses on them?

use super::Known;
use crate::loads::wheel_of;
use crate::phrase::{force, phrase};
use crate::{Finding, Remedy, Rider, Severity};

/// Static safety C₀/P₀ that a bearing which should run quietly keeps (ISO 76 practice, from memory: 1 ordinary, 2 quiet).
const QUIET: f64 = 2.0;

/// Equivalent static load of a radial ball bearing (N): the greater of 0.6 Fr + 0.5 Fa and Fr (ISO 76, from memory).
fn equivalent(radial: f64, axial: f64) -> f64 {
    (0.6 * radial + 0.5 * axial).max(radial)
}

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    known.fixture.riders.iter().enumerate().filter_map(|(n, rider)| overloaded(known, n, rider)).collect()
}

/// The hardest pressed of one rider's bearings.
fn overloaded(known: &Known<'_>, number: usize, rider: &Rider) -> Option<Finding> {
    let (place, load, rating, travel) = rider
        .wheels
        .iter()
        .enumerate()
        .filter_map(|(place, mount)| {
            let wheel = wheel_of(mount)?;
            let rating = wheel.bearing.static_rating.filter(|rating| *rating > 0.0)?;
            let sharing = f64::from(wheel.bearings.max(1));
            let (load, travel) = known
                .cases(number)
                .flat_map(|case| {
                    let of = |(loads, travel): (&crate::loads::RiderLoads, &f64)| {
                        let wheel = loads.wheels.get(place)?;
                        // The bearings share what presses square to the axle; one of them takes what runs along it.
                        Some((equivalent(wheel.radial.abs() / sharing, wheel.axial.abs()), *travel))
                    };
                    case.held(&known.curves.travel).filter_map(of).collect::<Vec<_>>()
                })
                .filter(|(load, _)| load.is_finite())
                .max_by(|a, b| a.0.total_cmp(&b.0))?;
            Some((place, load, rating, travel))
        })
        .max_by(|a, b| (a.1 / a.2).total_cmp(&(b.1 / b.2)))?;
    if load * QUIET <= rating {
        return None;
    }
    let mount = rider.wheels.get(place)?;
    let bearing = &wheel_of(mount)?.bearing;
    Some(Finding {
        code: "bearing.load",
        severity: if load > rating { Severity::Fails } else { Severity::Marginal },
        title: phrase![format!("{}: {} is pressed with ", rider.name, bearing.name), force(load, 0), " and is rated ", force(rating, 0)],
        reason: format!(
            "Its equivalent static load (0.6 of what is radial and half of what is axial, or the radial alone; ISO 76) in {}, shared by its bearings. Pressed beyond its static rating C₀ the balls leave dents and it runs rough; to run quietly a bearing keeps {QUIET} times its load.",
            mount.name
        )
        .into(),
        paths: vec![mount.path.clone()],
        value: Some(load),
        limit: Some(rating / QUIET),
        unit: "N",
        at_travel: Some(travel),
        remedies: vec![Remedy {
            text: "a wheel with larger bearings, or less preload".into(),
            path: Some(mount.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}

#[cfg(test)]
mod tests {
    use super::equivalent;

    /// By hand: 100 N radial and 40 axial come to 80 of the sum and so to the radial 100; 20 and 100 to 62.
    #[test]
    fn equivalent_loads() {
        assert!((equivalent(100.0, 40.0) - 100.0).abs() < 1e-12);
        assert!((equivalent(20.0, 100.0) - 62.0).abs() < 1e-12);
    }
}
