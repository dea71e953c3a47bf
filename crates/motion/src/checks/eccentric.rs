//! Do eccentrics have the range and the room they need, and which way do they tighten?

use super::Known;
use super::one_title::add;
use crate::loads::wheel_of;
use crate::phrase::{length, phrase, size};
use crate::{
    Finding, HeadSide, PieceKind, PlacedStack, Plate, Remedy, Rider, Severity, StackOf, TrackProfile,
    WheelMount,
};

/// How far an eccentric is turned to either side of the place where it moves its wheel straight to and from the rail:
/// beyond 60° it hardly moves it (common practice, no source).
const SWING: f64 = std::f64::consts::FRAC_PI_3;

/// How far the places of a plate's holes are off together, where nothing is said (mm; ISO 2768-1, class m, 30 to 120 mm:
/// 0.3 for a sawn and drilled plate, of which printed and milled ones take a third: own assumption).
const HOLES_OFF: f64 = 0.1;

/// What lies on a plate over a hole reaches beyond its rim by this much all round (mm; own assumption).
const RIM: f64 = 0.4;

/// Rounding of sizes (mm).
const HAIR: f64 = 1e-6;

/// An eccentric on a wheel's screw.
struct Cam<'a> {
    mount: &'a WheelMount,
    path: &'a str,
    name: &'a str,
    /// Distance of axle and hole (mm).
    offset: f64,
    /// Direction of the axle from the hole's centre, from rider x towards the lateral axis (rad).
    turn: f64,
    /// Diameter of what must turn in the plate's hole (mm).
    needs: f64,
    has_boss: bool,
}

fn cam(mount: &WheelMount) -> Option<Cam<'_>> {
    mount.stack.pieces.iter().find_map(|piece| match piece.kind {
        PieceKind::Eccentric { offset, turn, boss } => Some(Cam {
            mount,
            path: &piece.path,
            name: &piece.name,
            offset: offset.abs(),
            turn,
            needs: boss.unwrap_or(mount.stack.screw.diameter + 2.0 * offset.abs()),
            has_boss: boss.is_some(),
        }),
        _ => None,
    })
}

/// Whether a wheel can be set nearer to its track.
pub(super) fn is_adjustable(mount: &WheelMount) -> bool {
    cam(mount).is_some_and(|cam| cam.offset > 0.0)
}

/// How far an eccentric of an offset moves its wheel from 60° on one side to 60° on the other (mm): 2 ε sin 60°.
fn range(offset: f64) -> f64 {
    2.0 * offset * SWING.sin()
}

/// How far it moves it per degree where it moves it straight (mm): ε π/180.
fn per_degree(offset: f64) -> f64 {
    offset * 1f64.to_radians()
}

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (rider, placed) in known.fixture.riders.iter().zip(&known.assembly.riders) {
        // Those that tighten when turned to the left, and to the right.
        let mut ways: [Vec<Cam<'_>>; 2] = Default::default();
        for stack in &placed.stacks {
            let StackOf::Wheel(place) = stack.of else { continue };
            let Some(cam) = rider.wheels.get(place).and_then(cam) else { continue };
            let toward = lateral_to_rail(known, rider, &cam, stack);
            let found =
                [hole(rider, &cam, stack), rim(rider, &cam, stack), reach(known, rider, &cam, toward)];
            found.into_iter().flatten().for_each(|finding| add(&mut findings, finding));
            ways[usize::from(!tightens_left(rider, &cam, toward))].push(cam);
        }
        let [left, right] = ways;
        findings.extend(way(rider, &left, "to the left"));
        findings.extend(way(rider, &right, "to the right"));
    }
    findings
}

/// The sense along the lateral axis in which the wheel comes nearer to its track.
fn lateral_to_rail(known: &Known<'_>, rider: &Rider, cam: &Cam<'_>, stack: &PlacedStack) -> f64 {
    let lateral = rider.facing.lateral();
    let out = known
        .fixture
        .rail
        .tracks
        .get(cam.mount.track)
        .map_or(stack.at.y, |track| glam::DVec3::new(0.0, track.normal.x, track.normal.y).dot(lateral));
    if out > 0.0 { -1.0 } else { 1.0 }
}

/// The hole of a plate that a point lies in, as its middle and its width; `None` where it is none or not round.
fn hole_at(plate: &Plate, at: glam::DVec2) -> Option<(glam::DVec2, f64)> {
    let hole = plate.holes.iter().find(|hole| hole.contains(at))?;
    let bounds = hole.bounds();
    let across = bounds.high - bounds.low;
    let is_round = (hole.area().abs() / (across.x * across.y) - std::f64::consts::FRAC_PI_4).abs() < 1e-3;
    is_round.then_some((0.5 * (bounds.low + bounds.high), across.x))
}

/// The plate nearest to the eccentric on its screw.
fn own_plate<'a>(rider: &'a Rider, cam: &Cam<'_>) -> Option<&'a Plate> {
    let pieces = &cam.mount.stack.pieces;
    let place = pieces.iter().position(|piece| piece.path == cam.path)?;
    let nearest = cam.mount.stack.plates().min_by_key(|(at, _)| at.abs_diff(place))?;
    rider.plates.get(nearest.1)
}

/// A hole in which it cannot turn.
fn hole(rider: &Rider, cam: &Cam<'_>, stack: &PlacedStack) -> Option<Finding> {
    let plate = own_plate(rider, cam)?;
    let (_, width) = hole_at(plate, stack.at)?;
    (width < cam.needs - HAIR).then(|| Finding {
        code: "eccentric.hole",
        severity: Severity::Fails,
        title: phrase![
            format!("{}: {} cannot turn in {}: its hole is ", rider.name, cam.name, plate.name),
            length(cam.needs - width, 2),
            " too narrow"
        ],
        reason: phrase![
            "As it is turned the screw goes round in the plate's hole; it wants a hole of ",
            length(cam.needs, 2),
            if cam.has_boss { ", its boss," } else { ", d + 2ε," },
            " and has ",
            length(width, 2),
            "."
        ],
        paths: vec![cam.path.to_owned(), plate.path.clone()],
        value: Some(width),
        limit: Some(cam.needs),
        unit: "mm",
        remedies: vec![Remedy { text: "a wider hole".into(), path: Some(plate.path.clone()), by: None }],
        ..Finding::blank()
    })
}

/// A washer or head too small for the hole that the eccentric asks for.
fn rim(rider: &Rider, cam: &Cam<'_>, stack: &PlacedStack) -> Option<Finding> {
    let plate = own_plate(rider, cam)?;
    let pieces = &cam.mount.stack.pieces;
    let at = pieces.iter().position(|piece| matches!(piece.kind, PieceKind::Plate(_)))?;
    let screw = &cam.mount.stack.screw;
    let (name, path, wide) = match at.checked_sub(1).and_then(|before| pieces.get(before)) {
        Some(piece) => (piece.name.as_str(), piece.path.as_str(), piece.outer),
        None => (screw.name.as_str(), screw.path.as_str(), screw.head_size),
    };
    // With a boss the hole is filled.
    if cam.has_boss || !(wide > 0.0) {
        return None;
    }
    let (_, hole) = hole_at(plate, stack.at)?;
    let over = 0.5 * (wide - hole) - cam.offset;
    (over < RIM).then(|| Finding {
        code: "eccentric.rim",
        severity: if over < 0.0 { Severity::Fails } else { Severity::Marginal },
        title: phrase![
            format!("{}: {name} covers the rim of the eccentric's hole by ", rider.name),
            length(over, 2)
        ],
        reason: phrase![
            "The hole in ",
            format!("{} is ", plate.name),
            length(hole, 2),
            " wide so that the screw can go round in it, and the screw stands ",
            length(cam.offset, 2),
            " off its middle; what is ",
            length(wide, 2),
            " across pulls into it on one side. Required: ",
            length(RIM, 1),
            " all round (own assumption)."
        ],
        paths: vec![path.to_owned(), plate.path.clone()],
        value: Some(over),
        limit: Some(RIM),
        unit: "mm",
        remedies: vec![Remedy {
            text: "a large washer (ISO 7093-1) under the head".into(),
            path: Some(path.to_owned()),
            by: None,
        }],
        ..Finding::blank()
    })
}

/// How far the parts may be off together where a wheel meets its track (mm): its own radius, that of a wheel across from
/// it, both mouths, the holes.
pub(super) fn misfit(known: &Known<'_>, rider: &Rider, mount: &WheelMount) -> f64 {
    let off = |mount: &WheelMount| {
        let tyre = wheel_of(mount).map_or(0.0, |wheel| wheel.outer_radius.half_width());
        let mouth = match known.fixture.rail.tracks.get(mount.track).map(|track| track.profile) {
            Some(TrackProfile::Vee { mouth, half_angle, .. }) if half_angle > 0.0 => {
                mouth_sinks(mouth.half_width(), half_angle)
            }
            _ => 0.0,
        };
        tyre + mouth
    };
    let across = rider
        .wheels
        .iter()
        .filter(|other| other.track != mount.track)
        .map(|other| (off(other), (other.along - mount.along).abs()))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map_or(0.0, |(off, _)| off);
    off(mount) + across + HOLES_OFF
}

/// How much deeper a vee sits in a mouth wider by `wider` (mm): half of that over the tangent of its flanks' angle.
fn mouth_sinks(wider: f64, half_angle: f64) -> f64 {
    0.5 * wider / half_angle.tan()
}

/// An eccentric that cannot be turned far enough towards the rail.
fn reach(known: &Known<'_>, rider: &Rider, cam: &Cam<'_>, toward: f64) -> Option<Finding> {
    let left = cam.offset * (SWING.sin() - toward * cam.turn.sin());
    let misfit = misfit(known, rider, cam.mount);
    (cam.offset > 0.0 && left < misfit).then(|| Finding {
        code: "eccentric.range",
        severity: Severity::Marginal,
        title: phrase![
            format!("{}: the eccentric of {} has only ", rider.name, cam.mount.name),
            length(left.max(0.0), 2),
            " left towards the rail"
        ],
        reason: phrase![
            "From where it is drawn it moves its wheel nearer by that much before it stands 60° to the side and hardly moves it any more (ε sin 60° in all). Wheels, mouths and holes may be off by ",
            length(misfit, 2),
            " together, so some of these riders cannot be set free of play. Draw it turned to the middle of its range, where it moves its wheel straight to and from the rail."
        ],
        paths: vec![cam.path.to_owned(), cam.mount.path.clone()],
        value: Some(left.max(0.0)),
        limit: Some(misfit),
        unit: "mm",
        remedies: vec![Remedy {
            text: phrase!["an eccentric of ", size(round_up(misfit / SWING.sin())), " or more, turned to the middle"],
            path: Some(cam.path.to_owned()),
            by: None,
        }],
        ..Finding::blank()
    })
}

/// Up to the next tenth (mm).
fn round_up(offset: f64) -> f64 {
    (10.0 * offset - HAIR).ceil() / 10.0
}

/// Whether it tightens when it is turned to the left, seen from outside.
fn tightens_left(rider: &Rider, cam: &Cam<'_>, toward: f64) -> bool {
    // Turned by a little from x towards the lateral axis the axle goes by ε cos along that axis.
    let grows = toward * cam.turn.cos() >= 0.0;
    // That is to the left where the lateral axis is the drawing's up.
    grows == (rider.facing.lateral().dot(rider.facing.drawn_up()) > 0.0)
}

/// Which eccentrics tighten that way, and how fast.
fn way(rider: &Rider, cams: &[Cam<'_>], way: &str) -> Option<Finding> {
    let first = cams.first()?;
    let names = cams.iter().map(|cam| cam.mount.name.as_str()).collect::<Vec<_>>().join(", ");
    let (eccentric, tighten) =
        if cams.len() > 1 { ("the eccentrics", "tighten") } else { ("the eccentric", "tightens") };
    // A key turns at the head, wherever that is; ways are told from outside.
    let inside = if first.mount.stack.head == HeadSide::Inside { ", though the head is inside" } else { "" };
    Some(Finding {
        code: "eccentric.turn",
        severity: Severity::Note,
        title: format!("{}: turned {way}, {eccentric} of {names} {tighten}", rider.name).into(),
        reason: phrase![
            format!("Seen from outside{inside}. It moves its wheel by up to "),
            length(range(first.offset), 2),
            " in all (2 ε sin 60°) and by ",
            length(per_degree(first.offset), 3),
            " per degree in the middle. Turn it until the wheel just drags when it is held and the rider moved, then tighten the nut and try again: the nut takes the eccentric along."
        ],
        paths: cams.iter().flat_map(|cam| [cam.path.to_owned(), cam.mount.path.clone()]).collect(),
        value: Some(range(first.offset)),
        unit: "mm",
        ..Finding::blank()
    })
}

#[cfg(test)]
mod tests {
    use super::{mouth_sinks, per_degree, range};

    /// ε 0.8 over ±60°: 1.385641 mm; per degree in the middle 0.01396 mm (geometry, computed).
    #[test]
    fn range_of_an_eccentric() {
        assert!((range(0.8) - 1.385_641).abs() < 1e-6);
        assert!((per_degree(0.8) - 0.013_96).abs() < 5e-6);
    }

    /// A mouth wider by 0.1 with flanks at 45°: 0.05 mm deeper (own, computed).
    #[test]
    fn a_wider_mouth() {
        assert!((mouth_sinks(0.1, std::f64::consts::FRAC_PI_4) - 0.05).abs() < 1e-12);
    }
}
