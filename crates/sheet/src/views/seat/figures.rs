//! The figures of a seated wheel.

use glidewright_motion::contact::{Form, flank_slip_ratio};
use glidewright_motion::loads::Contact;
use glidewright_motion::{Facing, Sunk, Touch};

use super::Seat;
use crate::look::{Tone, number};
use crate::views::scene::Scene;
use crate::views::table::Row;

pub(super) fn rows(scene: &Scene<'_>, seat: &Seat<'_>) -> Vec<Row> {
    let seating = &seat.seating;
    let mm = |value: f64| scene.text(value, 2);
    let newton = |value: f64| scene.unit().force(value, 2);
    let mut rows = vec![Row::new("wheel", seat.wheel.name.as_str())];
    rows.push(Row::new("travel", scene.text(scene.travel, 1)));
    if let Some(main) = seating.main() {
        let touching = seating.touching().count();
        rows.push(match main.touch {
            Touch::Flank if touching > 1 => Row::new("rests on both flanks over", mm(main.length)),
            Touch::Flank => Row::new("rests on one flank over", mm(main.length)).toned(Tone::Marginal),
            Touch::Rim => {
                Row::new("rests on its rim over", mm(seating.touching().map(|c| c.length).sum::<f64>()))
            }
            Touch::Tip => Row::new("rests on its tip over", mm(main.length)),
            Touch::Shoulder => Row::new("rests on its shoulders over", mm(main.length)),
            Touch::Edge => Row::new("rests on", "edges, not flanks").toned(Tone::Marginal),
            Touch::Crest => Row::new("rests on", "a crest: one point"),
            Touch::Groove { groove, rod, .. } => Row::new(
                "its groove lies round a rod",
                format!("radius {} on {}", scene.bare(groove, 2), mm(rod)),
            ),
        });
    }
    match seating.sunk {
        Some(Sunk::FallsIn { .. }) => {
            rows.push(Row::new("", "falls into the channel").toned(Tone::Clash));
        }
        Some(Sunk::Bottoms { .. }) => {
            rows.push(Row::new("", "stands on the floor").toned(Tone::Clash));
        }
        None => {}
    }
    let in_groove = |contact: &Contact| matches!(contact.pairing.form, Form::Strip { .. });
    let bears: Vec<f64> = seat
        .contacts
        .iter()
        .filter(|(contact, force)| in_groove(contact) && *force > 0.0)
        .map(|(_, force)| *force)
        .collect();
    if !bears.is_empty() {
        rows.push(Row::new("load round the groove", newton(bears.iter().sum())));
    }
    let single: Vec<_> = seat.contacts.iter().filter(|(contact, _)| !in_groove(contact)).collect();
    let names: &[&str] = match (single.len(), seating.main().map(|main| main.touch)) {
        (2, Some(Touch::Rim | Touch::Tip)) => &["inner end", "outer end"],
        (2, _) => &["inner flank", "outer flank"],
        _ => &["contact"],
    };
    for ((_, force), name) in single.into_iter().zip(names) {
        rows.push(if *force > 0.0 {
            Row::new(format!("load, {name}"), newton(*force))
        } else {
            Row::new(format!("load, {name}"), "lifted off").toned(Tone::Marginal)
        });
    }
    let preload = scene.results.riders.get(seat.owner).and_then(|rider| rider.preload.get(seat.number));
    if let Some(preload) = preload.filter(|preload| preload.unloaded > 0.0) {
        rows.push(Row::new("preload, without load", newton(preload.unloaded)));
        let left = Row::new("left of it at least", newton(preload.least));
        rows.push(if preload.least > 0.0 { left } else { left.toned(Tone::Marginal) });
    }
    let allowable = seat.wheel.tyre.allowable_pressure;
    let over = allowable.is_some_and(|most| seat.pressure > most);
    let pressure = match allowable {
        Some(most) => format!("{} of {} MPa", number(seat.pressure, 1), number(most, 1)),
        None => format!("{} MPa", number(seat.pressure, 1)),
    };
    rows.push(Row::new("contact pressure", pressure).toned(if over { Tone::Clash } else { Tone::Ink }));
    let radius = seating.rolling_radius();
    rows.push(Row::new("rolling radius", mm(radius)));
    if let Some(main) = seating.main().filter(|main| main.touch == Touch::Flank) {
        let radii = main.radii;
        rows.push(Row::new("contact radii", format!("{} to {}", scene.bare(radii[0], 2), mm(radii[1]))));
        // The mean of |r − r₀|/r₀ over the flank: how much of its way the contact slides.
        rows.push(Row::new(
            "slip on the flanks",
            format!("{} %", number(100.0 * flank_slip_ratio(radii), 2)),
        ));
    }
    if let Some(resistance) = seat.resistance {
        rows.push(Row::new("resistance", newton(resistance.total())));
        let parts = [
            ("  of it bearings", resistance.bearing),
            ("  of it grease and seals", resistance.no_load),
            ("  of it flank slip", resistance.slip),
            ("  of it rolling loss", resistance.hysteresis),
        ];
        rows.extend(parts.map(|(name, value)| Row::new(name, scene.unit().force(value, 3))));
    }
    rows.push(Row::new("axle above the face", mm(seating.axle_height)));
    rows.push(Row::new("tip below the face", mm(seating.depth)));
    if let Some(spacing) = axle_spacing(scene, seat) {
        rows.push(Row::new("axle spacing across the rail", mm(spacing)));
    }
    rows.push(Row::new("preloaded by", mm(seat.mount.press)));
    rows
}

/// The distance to the axle of the same rider on the other side of the rail (mm).
fn axle_spacing(scene: &Scene<'_>, seat: &Seat<'_>) -> Option<f64> {
    let placed = scene.results.assembly.riders.get(seat.owner)?;
    let lateral = match placed.facing {
        Facing::Front | Facing::Rear => seat.track.normal.x,
        Facing::Left | Facing::Right => seat.track.normal.y,
    };
    placed
        .stacks
        .iter()
        .filter(|other| other.seating.is_some() && (other.at.x - seat.placed.at.x).abs() < 1e-6)
        .map(|other| (other.at.y - seat.placed.at.y) * -lateral.signum())
        .filter(|apart| *apart > 1.0)
        .min_by(f64::total_cmp)
}
