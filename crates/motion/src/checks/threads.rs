//! Do heads, washers and nuts suit their screw?

use super::one_title::add;
use super::{Known, StackHere};
use crate::phrase::{force, length, phrase};
use crate::{
    Finding, HeadForm, Piece, PieceKind, Remedy, Severity, Stack, StackEnd, StackOf, nut_proof_stress,
    stress_area,
};

/// The class that a thin nut is taken to be of when nothing is said of it.
const THIN: &str = "04";

/// A nut lower than this share of its thread is thin (ISO 898-2 calls m ≥ 0.8 d regular; from memory).
const REGULAR: f64 = 0.8;

/// Room between a screw and a hole on it that is still a fit (mm): the coarse series of ISO 273 (read), straight
/// between its sizes.
fn coarse_room(diameter: f64) -> f64 {
    const COARSE: [(f64, f64); 8] =
        [(2.0, 0.6), (2.5, 0.6), (3.0, 0.6), (4.0, 0.8), (5.0, 0.8), (6.0, 1.0), (8.0, 2.0), (10.0, 2.0)];
    crate::interpolated(&COARSE, diameter).unwrap_or(0.0)
}

/// Rounding of sizes (mm).
const HAIR: f64 = 1e-6;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for StackHere { rider, placed, stack, path, .. } in known.stacks() {
        let on_axle = matches!(placed.of, StackOf::Wheel(_));
        let found = [
            countersunk(&rider.name, stack, path),
            thin(&rider.name, stack, path),
            if on_axle { plain(&rider.name, stack, path) } else { None },
        ];
        let loose = stack.pieces.iter().filter_map(|piece| loose(&rider.name, stack, piece));
        found.into_iter().flatten().chain(loose).for_each(|finding| add(&mut findings, finding));
    }
    findings
}

/// A countersunk head in something thinner than the head, or in what has no countersink.
fn countersunk(rider: &str, stack: &Stack, path: &str) -> Option<Finding> {
    let (screw, first) = (&stack.screw, stack.pieces.first()?);
    if screw.head_form != HeadForm::Countersunk {
        return None;
    }
    let (head, there) = (screw.head_height.nominal, first.thickness.nominal);
    let finding = |severity, title, reason, remedy: &str| Finding {
        code: "screw.countersink",
        severity,
        title,
        reason,
        paths: vec![path.to_owned(), first.path.clone()],
        value: Some(there),
        limit: Some(head),
        unit: "mm",
        remedies: vec![Remedy { text: remedy.into(), path: Some(screw.path.clone()), by: None }],
        ..Finding::blank()
    };
    if !matches!(first.kind, PieceKind::Plate(_)) {
        return Some(finding(
            Severity::Fails,
            format!("{rider}: the countersunk head of {} stands on {}", screw.name, first.name).into(),
            phrase![
                "A countersunk head bears on its cone: it wants a plate with a countersink under it. On a flat piece it touches the edge of the hole only, stands off centre and works loose."
            ],
            "a screw with a flat seat under its head",
        ));
    }
    (there < head - HAIR).then(|| {
        finding(
            Severity::Marginal,
            phrase![
                format!("{rider}: the countersunk head of {} is deeper than ", screw.name),
                format!("{}: ", first.name),
                length(head, 2),
                " in ",
                length(there, 2)
            ],
            phrase![
                "The head reaches through the plate, so the plate hangs on the edge of a hole that opens at the far face, and what lies behind is in the head's way. Required: a plate no thinner than the head is high, ",
                length(head, 2),
                "; ",
                length(head - there, 2),
                " are missing."
            ],
            "a thicker plate, or a screw with a flat seat under its head",
        )
    })
}

/// An axle held by a nut that does not lock.
fn plain(rider: &str, stack: &Stack, path: &str) -> Option<Finding> {
    let nut = stack.pieces.iter().rev().find(|piece| matches!(piece.kind, PieceKind::Nut { .. }))?;
    let nuts = stack.pieces.iter().filter(|piece| matches!(piece.kind, PieceKind::Nut { .. })).count();
    let locks = matches!(nut.kind, PieceKind::Nut { locking: true, .. });
    // Two nuts against each other lock; a screw without a head has one at its other end.
    let spare = if stack.screw.head_form == HeadForm::None { 2 } else { 1 };
    if locks || nuts > spare || stack.end != StackEnd::Nut {
        return None;
    }
    Some(Finding {
        code: "nut.plain",
        severity: Severity::Marginal,
        title: format!("{rider}: {} on an axle does not lock", nut.name).into(),
        reason: "A wheel's axle is shaken and bent to and fro as it rolls, and its nut may be tightened only so far that the wheel turns freely: a nut without a locking insert works loose there (common practice, no source).".into(),
        paths: vec![path.to_owned(), nut.path.clone()],
        remedies: vec![Remedy {
            text: "a nut with a locking insert (ISO 7040, DIN 985), or a second nut against it".into(),
            path: Some(nut.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}

/// A nut that is tightened beyond its proof load.
fn thin(rider: &str, stack: &Stack, path: &str) -> Option<Finding> {
    let nut = stack.pieces.iter().rev().find(|piece| matches!(piece.kind, PieceKind::Nut { .. }))?;
    let screw = &stack.screw;
    let is_thin = nut.thickness.nominal < REGULAR * screw.diameter;
    let stated = match nut.kind {
        PieceKind::Nut { proof, .. } => proof,
        _ => None,
    };
    let proof = stated.or(if is_thin { thin_proof(screw.diameter, screw.pitch) } else { None })?;
    let pulls = screw.clamping();
    let why = match (stated, is_thin) {
        (Some(_), false) => "the nut bears",
        (Some(_), true) => "a thin nut of its class bears",
        (None, _) => "a nut lower than 0.8 of its thread, of class 04 unless something else is said, bears",
    };
    (screw.torque.is_some() && pulls > proof).then(|| Finding {
        code: "nut.thin",
        severity: Severity::Fails,
        title: format!("{rider}: {} strips at the torque given", nut.name).into(),
        reason: phrase![
            "The torque given pulls with ",
            force(pulls, 0),
            format!(" (F = T/(0.2 d)); {why} "),
            force(proof, 0),
            " at the most (proof stress of its class in the stress area, ISO 898-2)."
        ],
        paths: vec![path.to_owned(), nut.path.clone()],
        value: Some(pulls),
        limit: Some(proof),
        unit: "N",
        remedies: vec![Remedy {
            text: if is_thin {
                "a nut of regular height, or less torque"
            } else {
                "less torque, or a thicker screw"
            }
            .into(),
            path: Some(nut.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}

/// Proof load of a thin nut of unknown class (N): its proof stress in the screw's stress area.
fn thin_proof(diameter: f64, pitch: f64) -> Option<f64> {
    Some(nut_proof_stress(THIN, diameter)? * stress_area(diameter, pitch))
}

/// Something for a thicker screw.
fn loose(rider: &str, stack: &Stack, piece: &Piece) -> Option<Finding> {
    let screw = &stack.screw;
    let threaded_on = matches!(
        piece.kind,
        PieceKind::Washer | PieceKind::Spacer | PieceKind::Shim | PieceKind::Eccentric { .. }
    );
    // What sits on a shoulder is for the shoulder.
    let place = stack.pieces.iter().position(|other| std::ptr::eq(other, piece)).unwrap_or(usize::MAX);
    let shoulder = screw.shoulder.filter(|_| place < stack.on_shoulder());
    let diameter = shoulder.map_or(screw.diameter, |shoulder| shoulder.nominal);
    let (room, most) = (piece.bore - diameter, coarse_room(diameter));
    (threaded_on && screw.diameter > 0.0 && most > 0.0 && room > most + HAIR).then(|| Finding {
        code: "stack.loose",
        severity: Severity::Marginal,
        title: phrase![
            format!("{rider}: {} is for a thicker screw than {}: ", piece.name, screw.name),
            length(room, 2),
            " too wide"
        ],
        reason: phrase![
            "Its hole is ",
            length(piece.bore, 2),
            format!(" on a screw of "),
            length(diameter, 2),
            ". It hangs to one side, bears on a crescent and lets what is clamped shift. Required: no more than the coarse series of ISO 273, ",
            length(most, 2),
            " of room."
        ],
        paths: vec![piece.path.clone(), screw.path.clone()],
        value: Some(room),
        limit: Some(most),
        unit: "mm",
        remedies: vec![Remedy {
            text: format!("the same for a thread of {}", crate::plain(screw.diameter)).into(),
            path: Some(piece.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}

#[cfg(test)]
mod tests {
    use super::{coarse_room, thin_proof};

    /// Proof loads of thin nuts of class 04, M5 and M6: 5389 and 7647 N (380 MPa × the stress areas 14.1825 and
    /// 20.1234 mm²; ISO 898-2, read for fine threads, else from memory).
    #[test]
    fn proof_load_of_thin_nuts() {
        for (diameter, pitch, proof) in [(5.0, 0.8, 5389.0), (6.0, 1.0, 7647.0)] {
            assert!((thin_proof(diameter, pitch).unwrap() - proof).abs() < 1.0);
        }
    }

    /// ISO 273, coarse series (read): 5.8 for M5, 10 for M8.
    #[test]
    fn coarse_holes() {
        assert!((coarse_room(5.0) - 0.8).abs() < 1e-12 && (coarse_room(8.0) - 2.0).abs() < 1e-12);
    }
}
