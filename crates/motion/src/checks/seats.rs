//! Does every wheel rest where it should: on its groove's flanks, by enough, in a contact whose pressure is known?

use super::Known;
use crate::loads::{HERTZ_SHARE, wheel_of};
use crate::phrase::{length, phrase};
use crate::{Finding, PlacedStack, Severity, StackOf, Sunk, Touch, TrackProfile, WheelMount};

/// A tyre that stands out over the channel by less than this on each side is barely held (mm; own assumption: about
/// what an extrusion's channel and a turned tyre may be off together).
pub const LEAST_HELD: f64 = 0.25;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, (rider, placed)) in known.fixture.riders.iter().zip(&known.assembly.riders).enumerate() {
        for stack in &placed.stacks {
            let StackOf::Wheel(place) = stack.of else { continue };
            let Some(mount) = rider.wheels.get(place) else { continue };
            findings.extend(sunk(&rider.name, mount, stack));
            findings.extend(on_shoulders(known, &rider.name, mount, stack));
            findings.extend(barely_held(known, &rider.name, mount, stack));
        }
        findings.extend(beyond_hertz(known, number));
    }
    findings
}

/// A wheel that misses its groove's flanks.
fn sunk(rider: &str, mount: &WheelMount, stack: &PlacedStack) -> Option<Finding> {
    let seating = stack.seating.as_ref()?;
    let deep = length(seating.depth, 2);
    let finding = |code, title: String, reason, value, limit: Option<f64>| Finding {
        code,
        severity: Severity::Fails,
        title: title.into(),
        reason,
        paths: vec![mount.path.clone()],
        value: Some(value),
        limit,
        unit: "mm",
        ..Finding::blank()
    };
    Some(match seating.sunk? {
        Sunk::FallsIn { width, throat } => {
            let (wide, channel) = (length(width, 2), length(throat, 2));
            finding(
                "wheel.falls_in",
                format!("{rider}: the {} wheel falls into its groove", mount.name),
                phrase![
                    "Its tyre is ",
                    wide,
                    " wide and passes the channel of ",
                    &channel,
                    " below the groove's flanks; it comes to rest ",
                    deep,
                    " below the face. A wheel wider than ",
                    channel,
                    " rests on the flanks."
                ],
                width,
                Some(throat),
            )
        }
        Sunk::Bottoms { depth } => finding(
            "wheel.bottoms",
            format!("{rider}: the {} wheel stands on its groove's floor", mount.name),
            phrase![
                "Its tip meets the floor ",
                deep,
                " below the face before its flanks meet the groove's, so nothing guides it. A wheel with a wider tip or blunter flanks, or a deeper groove, rests on the flanks."
            ],
            depth,
            None,
        ),
    })
}

/// A wheel that rests on the faces beside its groove, so that its vee hangs free between the flanks.
fn on_shoulders(known: &Known<'_>, rider: &str, mount: &WheelMount, stack: &PlacedStack) -> Option<Finding> {
    let seating = stack.seating.as_ref().filter(|seating| seating.sunk.is_none())?;
    let track = known.fixture.rail.tracks.get(mount.track)?;
    let is_vee = matches!(track.profile, TrackProfile::Vee { .. });
    let mut touching = seating.touching().peekable();
    let stands = touching.peek().is_some() && touching.all(|contact| contact.touch == Touch::Shoulder);
    (is_vee && stands).then(|| {
        let deep = length(seating.depth, 2);
        Finding {
            code: "wheel.on_shoulders",
            severity: Severity::Fails,
            title: format!("{rider}: the {} wheel stands on its shoulders", mount.name).into(),
            reason: phrase![
                "The cylinders beside its vee meet the rail's face with the tip ",
                deep,
                " deep, before its flanks meet the groove's, so nothing guides it sideways. A wheel whose vee is wider at its shoulders, or a groove with a narrower mouth, rests on the flanks."
            ],
            paths: vec![mount.path.clone()],
            value: Some(seating.depth),
            unit: "mm",
            ..Finding::blank()
        }
    })
}

/// A wheel that rests on the last bit of its groove's flanks.
fn barely_held(known: &Known<'_>, rider: &str, mount: &WheelMount, stack: &PlacedStack) -> Option<Finding> {
    let seating = stack.seating.as_ref().filter(|seating| seating.sunk.is_none())?;
    let track = known.fixture.rail.tracks.get(mount.track)?;
    let TrackProfile::Vee { mouth, half_angle, lip } = track.profile else { return None };
    let on_flank = |touch: Touch| matches!(touch, Touch::Flank | Touch::Edge);
    if !seating.touching().any(|contact| on_flank(contact.touch)) {
        return None;
    }
    let throat = (mouth.nominal - 2.0 * lip * half_angle.tan()).max(0.0);
    let held = 0.5 * (wheel_of(mount)?.width - throat);
    (throat > 0.0 && held < LEAST_HELD).then(|| Finding {
        code: "wheel.barely_held",
        severity: Severity::Marginal,
        title: phrase![
            format!("{rider}: the {} wheel is kept out of the channel by ", mount.name),
            length(held, 2),
            " a side"
        ],
        reason: phrase![
            "Its tyre is hardly wider than the channel of ",
            length(throat, 2),
            " below the groove's flanks: a channel or tyre off by that lets it fall in, and its edges wear. A wider wheel rests safely."
        ],
        paths: vec![mount.path.clone()],
        value: Some(held),
        limit: Some(LEAST_HELD),
        unit: "mm",
        ..Finding::blank()
    })
}

/// Wheels whose contact is too wide for Hertz's theory.
fn beyond_hertz(known: &Known<'_>, number: usize) -> Option<Finding> {
    let rider = known.fixture.riders.get(number)?;
    let stations = known.curves.loads.get(number)?;
    let beyond = |place: usize| {
        stations
            .iter()
            .zip(&known.curves.travel)
            .find(|(loads, _)| loads.wheels.get(place).is_some_and(|load| load.beyond_hertz))
            .map(|(_, travel)| *travel)
    };
    let wheels: Vec<_> =
        rider.wheels.iter().enumerate().filter_map(|(place, mount)| Some((mount, beyond(place)?))).collect();
    let (first, travel) = wheels.first()?;
    let others = match wheels.len() - 1 {
        0 => String::new(),
        1 => " and another".to_owned(),
        more => format!(" and {more} others"),
    };
    Some(Finding {
        code: "wheel.beyond_hertz",
        severity: Severity::Note,
        title: format!("{}: the {} wheel{others} nearly fits what it runs on", rider.name, first.name).into(),
        reason: format!(
            "Half the width of contact is more than {HERTZ_SHARE} of the smallest radius there, so Hertz's theory does not hold. In a round groove the pressure is that of the strips round the rod, each a foundation of its own; take it as an estimate."
        ).into(),
        paths: wheels.iter().map(|(mount, _)| mount.path.clone()).collect(),
        at_travel: Some(*travel),
        ..Finding::blank()
    })
}
