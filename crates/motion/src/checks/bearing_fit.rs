//! How a wheel's bearings sit on their screw.

use super::Known;
use crate::phrase::{phrase, stretch};
use crate::{Finding, Phrase, PieceKind, Screw, Severity, Stack};

/// More play than this between bearing and screw lets the wheel stand off centre by more than clamping makes good
/// (mm; common practice, no source).
const SLOPPY: f64 = 0.5;

/// Limits of a bearing's bore below its nominal (mm): ISO 492, class Normal (from memory): up to 18 mm 0/−8 µm, up
/// to 30 mm 0/−10 µm, up to 50 mm 0/−12 µm.
fn bore_limits(bore: f64) -> (f64, f64) {
    let below = if bore <= 18.0 {
        0.008
    } else if bore <= 30.0 {
        0.010
    } else {
        0.012
    };
    (bore - below, bore)
}

/// Deviation and tolerance of a screw thread's major diameter, class 6g, by its pitch (mm; µm): ISO 965-1, which rounds
/// what its formulas give (from memory).
const ROUNDED_6G: [(f64, f64, f64); 8] = [
    (0.4, 19.0, 95.0),
    (0.45, 20.0, 100.0),
    (0.5, 20.0, 106.0),
    (0.7, 22.0, 140.0),
    (0.8, 24.0, 150.0),
    (1.0, 26.0, 180.0),
    (1.25, 28.0, 212.0),
    (1.5, 32.0, 236.0),
];

/// Limits of a screw thread's major diameter, class 6g (mm): ISO 965-1; of other pitches by its formulas, es =
/// −(15 + 11P), Td = 180 P^⅔ − 3.15 P^−½, in µm (from memory).
fn thread_limits(diameter: f64, pitch: f64) -> (f64, f64) {
    let listed = ROUNDED_6G.iter().find(|row| (row.0 - pitch).abs() < 1e-6);
    let (es, td) = listed.map_or_else(
        || (15.0 + 11.0 * pitch, 180.0 * pitch.powf(2.0 / 3.0) - 3.15 / pitch.sqrt()),
        |row| (row.1, row.2),
    );
    let upper = diameter - 1e-3 * es;
    (upper - 1e-3 * td, upper)
}

/// Limits of a screw's plain shank (mm): h13, as ISO 4762, ISO 4014 and their like ask; tolerances of ISO 286-1.
fn shank_limits(diameter: f64) -> (f64, f64) {
    let below = [(3.0, 0.14), (6.0, 0.18), (10.0, 0.22), (18.0, 0.27), (30.0, 0.33)]
        .iter()
        .find(|(to, _)| diameter <= *to)
        .map_or(0.39, |(_, below)| *below);
    (diameter - below, diameter)
}

/// What of its screw a wheel's bearings sit on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Seat {
    Shank,
    Thread,
    Both,
}

impl Seat {
    /// Of the wheel in a stack.
    fn of(stack: &Stack) -> Self {
        let mut height = 0.0;
        for piece in &stack.pieces {
            let end = height + piece.thickness.nominal;
            if matches!(piece.kind, PieceKind::Wheel(_)) {
                let shank = stack.screw.shank;
                return match (height < shank - SAME, end > shank + SAME) {
                    (true, true) => Self::Both,
                    (true, false) => Self::Shank,
                    (false, _) => Self::Thread,
                };
            }
            height = end;
        }
        Self::Thread
    }

    /// Least and greatest diameter there (mm).
    fn limits(self, screw: &Screw) -> (f64, f64) {
        let shank = screw.shoulder.map_or_else(
            || shank_limits(screw.diameter),
            |shoulder| (shoulder.nominal - shoulder.half_width(), shoulder.nominal + shoulder.half_width()),
        );
        let (shank, thread) = (shank, thread_limits(screw.diameter, screw.pitch));
        match self {
            Self::Shank => shank,
            Self::Thread => thread,
            Self::Both => (shank.0.min(thread.0), shank.1.max(thread.1)),
        }
    }

    /// Where on its screw it is; before and after its diameter, by which standard that is known.
    const fn words(self, has_shoulder: bool) -> [&'static str; 3] {
        match self {
            Self::Shank if has_shoulder => ["the shoulder of ", "shoulder ", ""],
            Self::Shank => ["the shank of ", "plain shank ", " (h13, ISO 286-1)"],
            Self::Thread => ["", "thread ", " over its crests (ISO 965-1, 6g)"],
            Self::Both => ["shank and thread of ", "shank (h13, ISO 286-1) and thread (ISO 965-1, 6g) ", ""],
        }
    }
}

/// A bearing that reaches over the thread's beginning by less than this sits on the one of them (mm).
const SAME: f64 = 0.05;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    let wheels = known.fixture.riders.iter().flat_map(|rider| rider.wheels.iter().map(move |w| (rider, w)));
    for (rider, mount) in wheels {
        let Some(wheel) = crate::loads::wheel_of(mount) else { continue };
        let (screw, bearing) = (&mount.stack.screw, &wheel.bearing);
        if !(bearing.bore > 0.0 && screw.diameter > 0.0 && screw.pitch > 0.0) {
            continue;
        }
        let seat = Seat::of(&mount.stack);
        let [place, before, after] = seat.words(screw.shoulder.is_some());
        let ((bore_least, bore_most), (least, most)) = (bore_limits(bearing.bore), seat.limits(screw));
        let (tight, loose) = (bore_least - most, bore_most - least);
        // ISO 286-1 names a fit by its least and greatest clearance.
        let (class, severity) = if loose <= 0.0 {
            ("an interference fit: it does not slide on", Severity::Fails)
        } else if tight < 0.0 {
            ("a transition fit: some slide on, some do not", Severity::Marginal)
        } else if tight > SLOPPY {
            ("a clearance fit, and a sloppy one: it needs a sleeve", Severity::Marginal)
        } else {
            // As it should be: it slides on and is held by clamping alone.
            continue;
        };
        let title = Phrase::from(format!("{} on {place}{}: {class}", bearing.name, screw.name));
        if let Some(same) = findings.iter_mut().find(|finding| finding.title == title) {
            same.paths.push(mount.path.clone());
            continue;
        }
        findings.push(Finding {
            code: "bearing.fit",
            severity,
            title,
            reason: phrase![
                format!("First met on {}. Bore ", rider.name),
                stretch(bore_least, bore_most, 3),
                " (ISO 492, class Normal), ",
                before,
                stretch(least, most, 3),
                after,
                ": clearance ",
                stretch(tight, loose, 3),
                ". The inner ring stands as far off centre as half of that, and the wheel runs as true as it is clamped."
            ],
            paths: vec![mount.path.clone()],
            value: Some(loose),
            limit: Some(SLOPPY),
            unit: "mm",
            ..Finding::blank()
        });
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::{shank_limits, thread_limits};

    /// h13 for shanks of 5, 6 and 8 mm: 4.82, 5.82 and 7.78 mm at least (ISO 286-1, IT13: 180 and 220 µm, read; the
    /// same d_s as tables of ISO 4762 print, from memory).
    #[test]
    fn limits_of_h13_shanks() {
        for (d, least) in [(3.0, 2.86), (4.0, 3.82), (5.0, 4.82), (6.0, 5.82), (8.0, 7.78)] {
            let got = shank_limits(d);
            assert!((got.0 - least).abs() < 1e-9 && got.1 == d, "{got:?}");
        }
    }

    /// Major diameters 6g of M3 to M8: deviations 20 22 24 26 28 and tolerances 106 140 150 180 212 µm (ISO 965-1, from
    /// memory), so 4.826 to 4.976 for M5 (ISO 965-2 tables, from memory); and what the standard rounds is near its formula.
    #[test]
    fn limits_of_6g_threads() {
        for (d, p, es, td) in [
            (3.0, 0.5, 20.0, 106.0),
            (4.0, 0.7, 22.0, 140.0),
            (5.0, 0.8, 24.0, 150.0),
            (6.0, 1.0, 26.0, 180.0),
            (8.0, 1.25, 28.0, 212.0),
        ] {
            let got = thread_limits(d, p);
            assert!(
                (got.1 - (d - 1e-3 * es)).abs() < 1e-9 && (got.1 - got.0 - 1e-3 * td).abs() < 1e-9,
                "{got:?}"
            );
            // A hair beside the listed pitch the formulas hold.
            let formula = thread_limits(d, p + 1e-5);
            assert!(
                (formula.1 - got.1).abs() < 1e-3 && (formula.0 - got.0).abs() < 6e-3,
                "{formula:?} {got:?}"
            );
        }
        assert!((thread_limits(5.0, 0.8).0 - 4.826).abs() < 1e-9);
    }
}
