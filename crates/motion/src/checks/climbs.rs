//! Can a wheel come out of its groove, by what its load and its play let it rise?

use super::Known;
use crate::loads::wheel_of;
use crate::phrase::{length, phrase};
use crate::{Finding, PlacedStack, Remedy, Rider, RiderResults, Running, Severity, StackOf, TrackProfile};

/// A vee wheel that rises by more than this share of what its tip is in the groove is hardly guided (own assumption).
const MUCH: f64 = 0.5;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let riders = known.fixture.riders.iter().zip(&known.assembly.riders).zip(known.riders);
    riders.filter_map(|((rider, placed), stands)| rising(known, rider, &placed.stacks, stands)).collect()
}

/// How far one wheel rises, and how deep its tip is in the groove (mm).
struct Rise<'a> {
    name: &'a str,
    path: &'a str,
    by: f64,
    depth: f64,
    /// Whether it does so under its load, not only where it can rattle to.
    loaded: bool,
}

/// How far a wheel rises square to its track (mm): under load, and where the rider's play lets it go.
fn rise<'a>(
    known: &Known<'a>,
    rider: &'a Rider,
    stack: &PlacedStack,
    stands: &RiderResults,
) -> Option<Rise<'a>> {
    let StackOf::Wheel(place) = stack.of else { return None };
    let mount = rider.wheels.get(place)?;
    let track = known.fixture.rail.tracks.get(mount.track)?;
    let seating = stack.seating.as_ref().filter(|seating| seating.sunk.is_none())?;
    let vee = matches!(wheel_of(mount)?.running, Running::Vee { .. });
    if !vee || !matches!(track.profile, TrackProfile::Vee { .. }) {
        return None;
    }
    let normal = glam::DVec3::new(0.0, track.normal.x, track.normal.y);
    let middle = stack.point(rider.facing, stack.datum);
    let still = stands.poses.iter().filter(|pose| pose.is_small());
    let loaded = still.map(|pose| pose.of_point(middle).dot(normal)).fold(0.0, f64::max) - mount.press;
    let play = stands.play.clone().range(middle, normal).map_or(0.0, |range| range.greatest);
    let (by, is_loaded) = if loaded >= play { (loaded, true) } else { (play, false) };
    Some(Rise { name: &mount.name, path: &mount.path, by, depth: seating.depth, loaded: is_loaded })
}

fn rising(
    known: &Known<'_>,
    rider: &Rider,
    stacks: &[PlacedStack],
    stands: &RiderResults,
) -> Option<Finding> {
    let all = stacks.iter().filter_map(|stack| rise(known, rider, stack, stands));
    let wrong: Vec<Rise<'_>> =
        all.filter(|rise| rise.depth > 0.0 && rise.by.is_finite() && rise.by > MUCH * rise.depth).collect();
    let worst = wrong.iter().max_by(|a, b| (a.by / a.depth).total_cmp(&(b.by / b.depth)))?;
    let out = worst.by >= worst.depth;
    let names: Vec<&str> = wrong.iter().map(|rise| rise.name).collect();
    Some(Finding {
        code: "wheel.climbs",
        severity: if out { Severity::Fails } else { Severity::Marginal },
        title: phrase![
            format!(
                "{}: {} rise",
                rider.name,
                if names.len() == 1 {
                    format!("the {} wheel can", worst.name)
                } else {
                    format!("{} can", names.join(", "))
                }
            ),
            if out { " out of its groove" } else { " half out of its groove" }
        ],
        reason: phrase![
            format!(
                "{} the {} wheel stands up to ",
                if worst.loaded { "Under its load" } else { "With the play there is" },
                worst.name
            ),
            length(worst.by, 2),
            " off its track; its tip is only ",
            length(worst.depth, 2),
            format!(
                " in the groove. Required: no more than {:.0} % of that, or nothing guides it across the rail (own assumption). Preload, a longer wheelbase or a wheel that sits deeper keeps it in.",
                100.0 * MUCH
            )
        ],
        paths: wrong.iter().map(|rise| rise.path.to_owned()).collect(),
        value: Some(worst.by),
        limit: Some(MUCH * worst.depth),
        unit: "mm",
        remedies: vec![Remedy {
            text: "more preload, or a wheel that sits deeper".into(),
            path: Some(worst.path.to_owned()),
            by: None,
        }],
        ..Finding::blank()
    })
}
