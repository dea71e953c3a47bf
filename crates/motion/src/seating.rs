//! Where a wheel comes to rest in its track.
//!
//! Closed forms, own derivation from the planar first contact of the two profiles; the general planar
//! search of the geometry crate agrees with them (see this crate's tests).

use crate::{Running, Track, TrackProfile, Wheel};

/// A wheel at rest in its track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seating {
    /// Distance of the axle from the track's face along its outward normal (mm).
    pub axle_height: f64,
    /// How deep the wheel's tip lies below the face (mm); negative when it stays outside.
    pub depth: f64,
    /// How the two profiles meet.
    pub contact: SeatContact,
}

/// How wheel and track meet in the section through the axle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SeatContact {
    /// Both flanks lie on the groove's flanks.
    Flanks {
        /// Length of contact on each flank (mm).
        length: f64,
        /// Angle of the flanks from the wheel's mid-plane (rad).
        half_angle: f64,
        /// Radii on the wheel where the contact begins and ends (mm), smaller first.
        radii: [f64; 2],
    },
    /// An edge of one rests on a flank of the other, on both sides.
    Edges {
        /// Angle of the flank that the edge rests on, from the wheel's mid-plane (rad).
        half_angle: f64,
        /// Radius on the wheel where it touches (mm).
        radius: f64,
    },
    /// The rim lies flat on the face.
    Rim {
        /// Width of contact (mm).
        width: f64,
    },
    /// Two curved profiles touch at their crests.
    Crest {
        /// Relative curvature of the profiles in the section through the axle (1/mm).
        curvature: f64,
    },
}

/// Why a wheel cannot be seated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SeatingFault {
    /// A size is not a positive finite number.
    BadSize,
    /// The wheel's form does not fit the track's: for instance a vee on a plain rod.
    WrongForm,
    /// The wheel is wider than the groove it should enter and rests on the face.
    TooWide,
    /// The groove is so deep, or the wheel so small, that its axle would lie inside the rail.
    TooDeep,
}

impl std::fmt::Display for SeatingFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::BadSize => "a size of the wheel or track is not a positive number",
            Self::WrongForm => "this form of wheel does not run in this form of track",
            Self::TooWide => "the wheel's tip is wider than the groove's mouth, so it cannot enter",
            Self::TooDeep => "the wheel sinks so deep that its axle would lie inside the rail",
        })
    }
}

impl std::error::Error for SeatingFault {}

/// Where `wheel` comes to rest when pushed into `track` square to its face.
///
/// For a vee wheel (tip flat wt, flank half-angle φw) in a vee groove (mouth wm, half-angle φt) the tip
/// lies at depth d = (wm − wt)/(2 tan φ) below the face, φ the larger of the two angles: with equal
/// angles flank lies on flank; a blunter wheel rests on the mouth's edges; a sharper one with its tip's
/// edges on the groove's flanks. The axle stands Ro − d above the face.
///
/// # Errors
/// [`SeatingFault`] when the forms do not go together or a size is no positive number.
pub fn seat(wheel: &Wheel, track: &Track) -> Result<Seating, SeatingFault> {
    let outer = wheel.outer_radius.nominal;
    if !(outer > 0.0 && outer.is_finite() && wheel.width > 0.0 && wheel.width.is_finite()) {
        return Err(SeatingFault::BadSize);
    }
    match (wheel.running, track.profile) {
        (Running::Vee { tip, half_angle }, TrackProfile::Vee { mouth, half_angle: groove, lip }) => {
            let groove = Groove { mouth: mouth.nominal, half_angle: groove, lip };
            vee_in_vee(outer, tip, half_angle, &groove)
        }
        (Running::Flat, TrackProfile::Flat { width }) => Ok(Seating {
            axle_height: outer,
            depth: 0.0,
            contact: SeatContact::Rim { width: wheel.width.min(width) },
        }),
        (Running::Crowned { radius }, TrackProfile::Flat { .. }) => crest(outer, 1.0 / radius, outer),
        (Running::Flat, TrackProfile::Round { radius }) => crest(outer, 1.0 / radius, outer),
        (Running::Grooved { radius: groove }, TrackProfile::Round { radius: rod }) => {
            if groove < rod {
                return Err(SeatingFault::WrongForm);
            }
            // The groove is as deep as half its width allows, at most to its own radius.
            let half = 0.5 * wheel.width;
            let depth = if half < groove { groove - (groove * groove - half * half).sqrt() } else { groove };
            let running = outer - depth;
            crest(outer, 1.0 / rod - 1.0 / groove, running)
        }
        _ => Err(SeatingFault::WrongForm),
    }
}

struct Groove {
    mouth: f64,
    half_angle: f64,
    lip: f64,
}

/// Two flank angles closer than this (rad, about 0.006°) count as equal: over a flank of 10 mm they part
/// by a micrometre.
const EQUAL_ANGLE: f64 = 1e-4;

fn vee_in_vee(outer: f64, tip: f64, half_angle: f64, groove: &Groove) -> Result<Seating, SeatingFault> {
    let right_angle = std::f64::consts::FRAC_PI_2;
    let angle_ok = |a: f64| a > 0.0 && a < right_angle;
    let sizes_ok = tip >= 0.0 && groove.mouth > 0.0 && groove.lip > 0.0;
    if !(sizes_ok && angle_ok(half_angle) && angle_ok(groove.half_angle)) {
        return Err(SeatingFault::BadSize);
    }
    if tip >= groove.mouth {
        return Err(SeatingFault::TooWide);
    }
    let (wheel_tan, groove_tan) = (half_angle.tan(), groove.half_angle.tan());
    let half_room = 0.5 * (groove.mouth - tip);
    let (depth, contact);
    if (half_angle - groove.half_angle).abs() <= EQUAL_ANGLE {
        depth = half_room / groove_tan;
        let overlap = depth.min(groove.lip);
        let radii = [outer - depth, outer - depth + overlap];
        contact = SeatContact::Flanks { length: overlap / groove.half_angle.cos(), half_angle, radii };
    } else if half_angle > groove.half_angle {
        depth = half_room / wheel_tan;
        contact = SeatContact::Edges { half_angle, radius: outer - depth };
    } else {
        let on_flank = half_room / groove_tan;
        if on_flank <= groove.lip {
            depth = on_flank;
            contact = SeatContact::Edges { half_angle: groove.half_angle, radius: outer };
        } else {
            // The tip passes the flank's lower edge: that edge then rests on the wheel's flank.
            depth = groove.lip + (half_room - groove.lip * groove_tan) / wheel_tan;
            contact = SeatContact::Edges { half_angle, radius: outer - depth + groove.lip };
        }
    }
    if depth >= outer {
        return Err(SeatingFault::TooDeep);
    }
    Ok(Seating { axle_height: outer - depth, depth, contact })
}

fn crest(outer: f64, curvature: f64, running_radius: f64) -> Result<Seating, SeatingFault> {
    if !(curvature.is_finite() && running_radius > 0.0) {
        return Err(SeatingFault::BadSize);
    }
    Ok(Seating {
        axle_height: running_radius,
        depth: outer - running_radius,
        contact: SeatContact::Crest { curvature },
    })
}

impl Seating {
    /// The radius on the wheel at which it rolls without slip: the middle of the contact (mm).
    pub fn rolling_radius(&self) -> f64 {
        match self.contact {
            SeatContact::Flanks { radii: [inner, outer], .. } => 0.5 * (inner + outer),
            SeatContact::Edges { radius, .. } => radius,
            SeatContact::Rim { .. } | SeatContact::Crest { .. } => self.axle_height,
        }
    }
}
