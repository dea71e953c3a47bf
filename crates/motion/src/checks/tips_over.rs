//! Does what the fixture stands on keep it from tipping over?

use glam::{DVec2, DVec3};
use glidewright_geometry::Bounds;

use super::Known;
use crate::phrase::{force, length, phrase};
use crate::{Finding, Remedy, STANDARD_GRAVITY, Severity, rider_x};

/// Moment that rights over moment that tips, at the least (common practice for stands, no source).
const SAFE: f64 = 1.5;

/// A mass at a place (kg, mm).
type Mass = (f64, DVec3);

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let fixture = known.fixture;
    let base: Vec<_> = fixture.obstacles.iter().filter(|obstacle| obstacle.is_base).collect();
    let mut around: Option<Bounds> = None;
    let mut standing: Vec<Mass> = Vec::new();
    for obstacle in &base {
        let own = obstacle.solids.iter().map(glidewright_geometry::Solid::bounds).reduce(joined);
        let Some(own) = own else { continue };
        standing.push((obstacle.mass.unwrap_or(0.0), 0.5 * (own.low + own.high)));
        around = Some(around.map_or(own, |known| joined(known, own)));
    }
    let Some(around) = around else { return Vec::new() };
    let rail = &fixture.rail;
    let bar = rail.mass_per_length() * rail.length;
    standing.push((bar, DVec3::X * 0.5 * rail.length));
    let floor = Floor::under(fixture.rail.stand.down(), around);
    let mut worst: Option<(f64, f64)> = None;
    for travel in [fixture.stroke.from, fixture.stroke.to] {
        let mut masses = standing.clone();
        for (number, placed) in known.assembly.riders.iter().enumerate() {
            let at = DVec3::X * rider_x(fixture, number, travel);
            masses.push((placed.mass.total(), placed.mass.centre() + at));
        }
        let pushes = fixture.riders.iter().enumerate().map(|(number, rider)| {
            let at = rider.grip.as_ref().map_or(DVec3::ZERO, |grip| grip.at);
            at + DVec3::X * rider_x(fixture, number, travel)
        });
        let pushes: Vec<DVec3> = pushes.collect();
        let ratio = floor.safety(&masses, &pushes, fixture.limits.effort);
        if ratio.is_finite() && worst.is_none_or(|known| ratio < known.0) {
            worst = Some((ratio, travel));
        }
    }
    let Some((ratio, travel)) = worst.filter(|(ratio, _)| *ratio < SAFE) else { return Vec::new() };
    let foot = base.first().map_or("", |obstacle| obstacle.name.as_str());
    vec![Finding {
        code: "stand.tips",
        severity: if ratio < 1.0 { Severity::Fails } else { Severity::Marginal },
        title: if ratio < 0.0 {
            "It tips over by itself: its weight stands beyond its base".into()
        } else {
            format!("Its base rights it with {:.2} times what tips it", ratio).into()
        },
        reason: phrase![
            "At travel ",
            length(travel, 1),
            phrase![
                format!(": its weight about the nearest edge of {foot} against a hand that pushes with "),
                force(fixture.limits.effort, 0),
                format!(
                    " where it takes hold. Required: {SAFE} times (common practice for stands, no source). A wider or heavier base, or one bolted down, holds it. What tips falls on people: bolt it down before it is tried."
                )
            ]
        ],
        paths: base.iter().map(|obstacle| obstacle.path.clone()).collect(),
        value: Some(ratio),
        limit: Some(SAFE),
        at_travel: Some(travel),
        remedies: vec![Remedy {
            text: "a wider base, or one bolted down".into(),
            path: base.first().map(|obstacle| obstacle.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    }]
}

fn joined(a: Bounds, b: Bounds) -> Bounds {
    Bounds { low: a.low.min(b.low), high: a.high.max(b.high) }
}

/// The ground a base stands on, as the rectangle round it.
struct Floor {
    down: DVec3,
    across: [DVec3; 2],
    low: DVec2,
    high: DVec2,
    /// Level of the ground along `down` (mm).
    level: f64,
}

impl Floor {
    fn under(down: DVec3, around: Bounds) -> Self {
        // Along what of the rail's axes lies most level.
        let axes = [DVec3::X, DVec3::Y, DVec3::Z];
        let levellest = axes
            .into_iter()
            .min_by(|a, b| a.dot(down).abs().total_cmp(&b.dot(down).abs()))
            .unwrap_or(DVec3::Y);
        let first = (levellest - down * levellest.dot(down)).normalize_or(DVec3::Y);
        let across = [first, down.cross(first)];
        let corners = (0..8).map(|number| {
            let pick = |bit: u32, low: f64, high: f64| if number & (1 << bit) == 0 { low } else { high };
            DVec3::new(
                pick(0, around.low.x, around.high.x),
                pick(1, around.low.y, around.high.y),
                pick(2, around.low.z, around.high.z),
            )
        });
        let (mut low, mut high, mut level) = (DVec2::INFINITY, DVec2::NEG_INFINITY, f64::NEG_INFINITY);
        for corner in corners {
            let flat = DVec2::new(corner.dot(across[0]), corner.dot(across[1]));
            (low, high) = (low.min(flat), high.max(flat));
            level = level.max(corner.dot(down));
        }
        Self { down, across, low, high, level }
    }

    /// The least over its four edges of the moment that rights over the moment with which a push tips; negative where the
    /// weight stands beyond an edge.
    fn safety(&self, masses: &[Mass], pushes: &[DVec3], push: f64) -> f64 {
        let total: f64 = masses.iter().map(|mass| mass.0).sum();
        if !(total > 0.0) {
            return f64::INFINITY;
        }
        let centre = masses.iter().map(|mass| mass.1 * mass.0).sum::<DVec3>() / total;
        let at = DVec2::new(centre.dot(self.across[0]), centre.dot(self.across[1]));
        let room = (at - self.low).min(self.high - at).min_element();
        let height = pushes.iter().map(|place| self.level - place.dot(self.down)).fold(0.0, f64::max);
        total * STANDARD_GRAVITY * room / (push * height)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 4 kg in the middle of a base 200 mm wide, pushed with 10 N at 300 mm: 4 × 9.80665 × 100 / 3000 = 1.30755 (moments
    /// about the edge, by hand).
    #[test]
    fn moments_about_an_edge() {
        let base = Bounds { low: DVec3::new(-20.0, -100.0, -100.0), high: DVec3::new(0.0, 100.0, 100.0) };
        let floor = Floor::under(DVec3::NEG_X, base);
        let masses = [(4.0, DVec3::X * 150.0)];
        let ratio = floor.safety(&masses, &[DVec3::X * 280.0], 10.0);
        assert!((ratio - 1.307_553).abs() < 1e-5, "{ratio}");
        let beyond = floor.safety(&[(4.0, DVec3::new(150.0, 110.0, 0.0))], &[DVec3::X * 280.0], 10.0);
        assert!(beyond < 0.0);
    }
}
