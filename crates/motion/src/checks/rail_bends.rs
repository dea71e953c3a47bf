//! How far does the rail bend under what runs on it, how hard, and how slowly does it swing?

use std::f64::consts::TAU;

use super::Known;
use super::beam::{Beam, Bent};
use super::wobble::SWINGS;
use crate::phrase::{length, phrase};
use crate::{Finding, Remedy, STANDARD_GRAVITY, SectionBending, Severity, rider_x};

/// Share of the distance of its supports by which a rail may sag under its riders (common practice for guides, no
/// source).
const SAG: f64 = 1e-3;

/// Places along the stroke looked at.
const PLACES: u32 = 12;

/// The rail in one of the two directions across it.
#[derive(Clone, Copy)]
struct Way {
    bending: SectionBending,
    /// Gravity across, that way (m/s²), without sign.
    gravity: f64,
}

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let rail = &known.fixture.rail;
    if !(rail.material.youngs > 0.0 && rail.length > 0.0) {
        return Vec::new();
    }
    let given = !rail.supports.is_empty();
    let lies = rail.stand.down().x.abs() < 0.5;
    let supports = match (given, lies) {
        (true, _) => rail.supports.clone(),
        (false, true) => vec![0.0, rail.length],
        (false, false) => vec![0.0],
    };
    let gravity = rail.stand.down() * STANDARD_GRAVITY;
    let [sideways, frontwards] = rail.bending();
    let ways = [
        Way { bending: sideways, gravity: gravity.y.abs() },
        Way { bending: frontwards, gravity: gravity.z.abs() },
    ];
    let held = Held { known, ways, supports: &supports, given };
    let mut findings = Vec::new();
    findings.extend(sags(&held));
    findings.extend(swings(&held));
    findings
}

/// The rail as it is held.
struct Held<'a> {
    known: &'a Known<'a>,
    ways: [Way; 2],
    /// Places of its supports (mm).
    supports: &'a [f64],
    /// Whether they are given, not assumed.
    given: bool,
}

impl Held<'_> {
    /// What riders and rail do to it at a travel, weighing `gravity` (m/s²) that way, with the loads: place (mm), force (N).
    fn bent(&self, way: &Way, gravity: f64, travel: f64) -> Option<(Bent, Vec<(f64, f64)>)> {
        let rail = &self.known.fixture.rail;
        let loads: Vec<(f64, f64)> =
            masses(self.known, travel).into_iter().map(|(x, mass)| (x, mass * gravity)).collect();
        let beam = Beam {
            length: rail.length,
            bending: rail.material.youngs * way.bending.second_moment,
            supports: self.supports,
            weight: rail.mass_per_length() * gravity,
            loads: &loads,
        };
        beam.bent().map(|bent| (bent, loads))
    }
}

/// Where riders stand at a travel, and their masses (mm, kg).
fn masses(known: &Known<'_>, travel: f64) -> Vec<(f64, f64)> {
    let placed = known.assembly.riders.iter().enumerate();
    let at = |(number, placed): (usize, &crate::PlacedRider)| {
        let mass = placed.mass.total();
        let x = rider_x(known.fixture, number, travel) + placed.mass.centre().x;
        (x.clamp(0.0, known.fixture.rail.length), mass)
    };
    placed.map(at).filter(|(x, mass)| x.is_finite() && mass.is_finite()).collect()
}

fn travels(known: &Known<'_>) -> impl Iterator<Item = f64> {
    let stroke = known.fixture.stroke;
    (0..=PLACES).map(move |step| stroke.from + stroke.length() * f64::from(step) / f64::from(PLACES))
}

/// The distance of supports that a place lies between; of an overhang twice its length (mm).
fn span_at(supports: &[f64], rail: f64, x: f64) -> f64 {
    let below = supports.iter().copied().filter(|a| *a <= x).reduce(f64::max);
    let above = supports.iter().copied().filter(|a| *a > x).reduce(f64::min);
    match (below, above) {
        (Some(a), Some(b)) => b - a,
        (Some(a), None) => 2.0 * (rail - a),
        (None, Some(b)) => 2.0 * b,
        (None, None) => rail,
    }
}

/// A rail that sags too far, or is bent too hard.
fn sags(held: &Held<'_>) -> Option<Finding> {
    let (known, given) = (held.known, held.given);
    let rail = &known.fixture.rail;
    let mut worst: Option<(f64, f64, f64, f64)> = None;
    let mut stress: f64 = 0.0;
    for way in held.ways.iter().filter(|way| way.gravity > 1e-6) {
        for travel in travels(known) {
            let Some((bent, loads)) = held.bent(way, way.gravity, travel) else { continue };
            stress =
                stress.max(bent.greatest_moment(rail.length) * way.bending.edge / way.bending.second_moment);
            for (x, _) in &loads {
                let (sag, limit) = (bent.sag(*x).abs(), SAG * span_at(held.supports, rail.length, *x));
                if worst.is_none_or(|seen| sag / limit > seen.0 / seen.1) {
                    worst = Some((sag, limit, *x, travel));
                }
            }
        }
    }
    let (sag, limit, x, travel) = worst?;
    let strength = rail.material.strength.unwrap_or(f64::INFINITY);
    let (bends, breaks) = (sag > limit, stress > strength);
    (bends || breaks).then(|| Finding {
        code: "rail.sag",
        severity: match (given, breaks) {
            (true, true) => Severity::Fails,
            (true, false) => Severity::Marginal,
            (false, _) => Severity::Note,
        },
        title: phrase!["The rail sags by ", length(sag, 2), format!(" under what runs on it")],
        reason: phrase![
            "At travel ",
            length(travel, 1),
            ", ",
            length(x, 0),
            " from its end, its own weight included. Required: a thousandth of the distance of its supports there, ",
            length(limit, 2),
            format!(
                ". It is bent with {stress:.0} MPa{}. ",
                if strength.is_finite() { format!(", and yields at {strength:.0} MPa") } else { String::new() }
            ),
            if given {
                "A support nearer to the load, a deeper section or a shorter rail helps: the sag goes with the third power of the distance."
            } else {
                "That is as if it were held at its ends alone (at its foot alone, where it stands up): say where it is held in supports, or hold it where it sags."
            }
        ],
        paths: vec![rail.path.clone()],
        value: Some(sag),
        limit: Some(limit),
        unit: "mm",
        at_travel: Some(travel),
        remedies: vec![Remedy {
            text: "a support where it sags most".into(),
            path: Some(rail.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}

/// Lowest frequency (Hz) of a mass on a beam that its weight, turned across, bends by `sag` (mm): √(g/δ)/2π (Rayleigh's
/// quotient with the shape the load makes).
fn frequency(sag: f64) -> f64 {
    (STANDARD_GRAVITY / (1e-3 * sag)).sqrt() / TAU
}

/// A rail that swings slowly.
fn swings(held: &Held<'_>) -> Option<Finding> {
    let (known, given) = (held.known, held.given);
    let rail = &known.fixture.rail;
    let mut slowest: Option<(f64, f64)> = None;
    for way in &held.ways {
        for travel in travels(known) {
            let Some((bent, loads)) = held.bent(way, STANDARD_GRAVITY, travel) else { continue };
            // Rayleigh: g Σ m y / Σ m y², over the riders.
            let (mut first, mut second) = (0.0, 0.0);
            for (x, force) in &loads {
                let sag = bent.sag(*x);
                first += force * sag;
                second += force * sag * sag;
            }
            let hertz = if first > 0.0 { frequency(second / first) } else { f64::INFINITY };
            if slowest.is_none_or(|known| hertz < known.0) {
                slowest = Some((hertz, travel));
            }
        }
    }
    let (hertz, travel) = slowest?;
    (hertz < SWINGS).then(|| Finding {
        code: "rail.swings",
        severity: Severity::Note,
        title: format!("The rail with its riders swings at {hertz:.1} Hz").into(),
        reason: phrase![
            "At travel ",
            length(travel, 1),
            format!(
                ", by Rayleigh's quotient √(g/δ)/2π with δ what the weights turned across would bend it by. Below {SWINGS:.0} Hz it swings visibly when it is touched and takes long to come to rest (own assumption). {}",
                if given {
                    "A support further along or a deeper section stiffens it."
                } else {
                    "That is as if it were held at its ends alone (at its foot alone, where it stands up); a tie at its free end stiffens it."
                }
            )
        ],
        paths: vec![rail.path.clone()],
        value: Some(hertz),
        limit: Some(SWINGS),
        unit: "Hz",
        at_travel: Some(travel),
        remedies: vec![Remedy {
            text: "a tie or support where it swings most".into(),
            path: Some(rail.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}

#[cfg(test)]
mod tests {
    /// A weight that bends its support by 9.80665 mm swings as √(1000)/2π Hz: 5.0329 (textbook: ω² = g/δ; computed).
    #[test]
    fn frequency_of_a_sag() {
        assert!((super::frequency(9.806_65) - 1000f64.sqrt() / std::f64::consts::TAU).abs() < 1e-9);
        assert!((super::frequency(9.806_65) - 5.0329).abs() < 1e-4);
    }
}
