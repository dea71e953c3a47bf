//! Does what bears on a wheel's bearings touch their inner rings only?

use super::Known;
use super::one_title::add;
use crate::assembly::turning_radius;
use crate::loads::wheel_of;
use crate::phrase::{length, phrase};
use crate::{Finding, Piece, PieceKind, Remedy, Severity, Stack};

/// Rounding of sizes (mm).
const HAIR: f64 = 1e-6;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for rider in &known.fixture.riders {
        for mount in &rider.wheels {
            let Some(wheel) = wheel_of(mount) else { continue };
            let may = 2.0 * turning_radius(&wheel.bearing);
            let Some(place) = wheel_place(&mount.stack) else { continue };
            let beside = [place.checked_sub(1), Some(place + 1)];
            let beside = beside.into_iter().flatten().filter_map(|at| mount.stack.pieces.get(at));
            for piece in beside.filter(|piece| width(piece) > may + HAIR) {
                add(&mut findings, rubs(&rider.name, piece, &mount.path, &wheel.bearing.name, may));
            }
            let least = wheel.bearing.shaft_shoulder.unwrap_or(0.0);
            let beside = [place.checked_sub(1), Some(place + 1)];
            let beside = beside.into_iter().flatten().filter_map(|at| mount.stack.pieces.get(at));
            for piece in beside.filter(|piece| width(piece) < least - HAIR) {
                add(&mut findings, narrow(&rider.name, piece, &mount.path, &wheel.bearing.name, least));
            }
            let stands = f64::from(wheel.bearings) * wheel.bearing.width;
            if wheel.hub_width.nominal < stands - 0.5 * wheel.hub_width.half_width() - HAIR && stands > 0.0 {
                add(&mut findings, short_hub(&rider.name, wheel, &mount.path, stands));
            }
        }
    }
    findings
}

fn wheel_place(stack: &Stack) -> Option<usize> {
    stack.pieces.iter().position(|piece| matches!(piece.kind, PieceKind::Wheel(_)))
}

/// How wide a piece is where it lies on a bearing (mm): a nut as the circle inside its flats, where its face bears; a
/// plate without end.
fn width(piece: &Piece) -> f64 {
    match piece.kind {
        PieceKind::Plate(_) => f64::INFINITY,
        _ => piece.outer,
    }
}

fn rubs(rider: &str, piece: &Piece, wheel: &str, bearing: &str, may: f64) -> Finding {
    let wide = width(piece);
    let how = if wide.is_finite() { phrase![length(wide, 2), " across"] } else { "a whole plate".into() };
    Finding {
        code: "bearing.abutment",
        severity: Severity::Fails,
        title: format!("{rider}: {} clamps the outer ring of {bearing}", piece.name).into(),
        reason: phrase![
            "It is ",
            how,
            format!(" and lies on the bearing {bearing}, whose ring gap ends at "),
            length(may, 2),
            " (bore + 0.7 × (outer diameter − bore); common practice, no source): tightened, it holds the outer ring or the shield and the wheel does not turn. What bears on a bearing must touch its inner ring only."
        ],
        paths: vec![piece.path.clone(), wheel.to_owned()],
        value: wide.is_finite().then_some(wide),
        limit: Some(may),
        unit: "mm",
        remedies: vec![Remedy {
            text: phrase!["a ring no wider than ", length(may, 1), " between it and the bearing"],
            path: Some(piece.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    }
}

fn narrow(rider: &str, piece: &Piece, wheel: &str, bearing: &str, least: f64) -> Finding {
    Finding {
        code: "bearing.shoulder",
        severity: Severity::Marginal,
        title: phrase![
            format!("{rider}: {} is too narrow a seat for {bearing}: ", piece.name),
            length(width(piece), 2)
        ],
        reason: phrase![
            format!("{bearing} wants what it stands against to be at least "),
            length(least, 2),
            " across: narrower, it bears on the rounded edge of the inner ring, which then stands askew and beds in."
        ],
        paths: vec![piece.path.clone(), wheel.to_owned()],
        value: Some(width(piece)),
        limit: Some(least),
        unit: "mm",
        remedies: vec![Remedy {
            text: phrase!["a ring at least ", length(least, 1), " across"],
            path: Some(piece.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    }
}

fn short_hub(rider: &str, wheel: &crate::Wheel, path: &str, stands: f64) -> Finding {
    Finding {
        code: "bearing.hub",
        severity: Severity::Fails,
        title: phrase![
            format!("{rider}: the bearings of {} are wider than its hub by ", wheel.name),
            length(stands - wheel.hub_width.nominal, 2)
        ],
        reason: phrase![
            format!("{} bearings {} stand side by side on ", wheel.bearings, wheel.bearing.name),
            length(stands, 2),
            ", and the wheel is said to be ",
            length(wheel.hub_width.nominal, 2),
            " over their inner rings. One of the two is wrong, and every stack with this wheel is off by the difference."
        ],
        paths: vec![path.to_owned()],
        value: Some(wheel.hub_width.nominal),
        limit: Some(stands),
        unit: "mm",
        remedies: vec![Remedy {
            text: "measure the wheel over its inner rings".into(),
            path: Some(path.to_owned()),
            by: None,
        }],
        ..Finding::blank()
    }
}
