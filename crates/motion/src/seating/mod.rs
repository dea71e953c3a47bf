//! Where a wheel comes to rest in its track.
//!
//! The wheel's profile (tip, flanks, crown or groove, shoulders, all as wide as the tyre) is pushed square to the
//! track's face until it first meets the track's (mouth, flanks, channel, floor and the faces beside it): the general
//! search of the geometry crate, for every form of wheel on every form of track. A wheel is a solid of revolution and
//! a rail a prism, so that what they meet along the rail is no more than what their sections meet. Closed forms check
//! it in this crate's tests.

mod seats;
mod touching;
mod track_profile;
mod wheel_profile;

pub use seats::Seats;
pub(crate) use track_profile::along_face;
pub use track_profile::shows_track;
pub use wheel_profile::{Surface, WheelProfile};

use glam::DVec2;

use crate::phrase::{length, phrase};
use crate::{Phrase, Running, Section, Track, TrackProfile, Wheel};

/// A wheel at rest in its track.
#[derive(Clone, Debug, PartialEq)]
pub struct Seating {
    /// Distance of the axle from the track's face along its outward normal (mm).
    pub axle_height: f64,
    /// How deep the wheel's tip lies below the face (mm); negative when it stays outside.
    pub depth: f64,
    /// Where the two profiles meet, or nearly do: see [`SeatContact::gap`]. Never empty.
    pub contacts: Vec<SeatContact>,
    /// How it misses the groove's flanks, if it does.
    pub sunk: Option<Sunk>,
}

/// One place where wheel and track meet in the section through the axle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeatContact {
    /// How they meet.
    pub touch: Touch,
    /// Middle of the contact from the wheel's mid-plane (mm), along the face: the direction from which a left turn
    /// leads to the track's normal.
    pub across: f64,
    /// Radii on the wheel where the contact begins and ends (mm), smaller first; equal at a point.
    pub radii: [f64; 2],
    /// Length of contact in the section (mm); 0 at a point.
    pub length: f64,
    /// Unit normal from track to wheel: along the face, and along the track's normal.
    pub normal: DVec2,
    /// Relative curvature of the two profiles (1/mm): 0 along a line, infinite on a corner.
    pub curvature: f64,
    /// Smallest radius of curvature of either profile there (mm); infinite along a line.
    pub least_radius: f64,
    /// What is left open along the normal when the wheel rests on its other contacts (mm): the load may close it.
    pub gap: f64,
}

/// How a wheel and a track meet at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Touch {
    /// A flank lies on a flank.
    Flank,
    /// A corner of one rests on the other.
    Edge,
    /// A vee's tip lies flat on a floor or face.
    Tip,
    /// A rim lies flat on a face.
    Rim,
    /// The cylinder beside a vee lies flat on a face.
    Shoulder,
    /// Two curved profiles, or a curved and a straight one, touch at a point.
    Crest,
    /// A round groove lies round a rod.
    Groove {
        /// Radius of the groove (mm).
        groove: f64,
        /// Radius of the rod (mm), at most the groove's.
        rod: f64,
        /// How far round the rod the groove reaches to either side of its bottom (rad).
        reach: f64,
    },
}

/// How a wheel in a vee misses its flanks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sunk {
    /// The tyre is narrower than the channel below the flanks.
    FallsIn {
        /// Width of the tyre (mm).
        width: f64,
        /// Width of the groove where its flanks end (mm).
        throat: f64,
    },
    /// The tip meets the floor before the flanks meet.
    Bottoms {
        /// How deep the tip is (mm).
        depth: f64,
    },
}

/// Why a wheel cannot be seated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SeatingFault {
    /// A size is not a positive finite number.
    BadSize,
    /// The wheel's tip is as wide as the groove it should enter and rests on the face.
    TooWide {
        /// Width of the tip (mm).
        tip: f64,
        /// Width of the mouth (mm).
        mouth: f64,
    },
    /// The groove is so deep, or the wheel so small, that its axle would lie inside the rail.
    TooDeep,
    /// The tyre passes between the flanks and meets nothing that would hold its axle outside the rail.
    FallsIn {
        /// Width of the tyre (mm).
        width: f64,
        /// Width of the groove where its flanks end (mm).
        throat: f64,
    },
    /// Pushed towards the track it meets nothing.
    Misses,
}

impl SeatingFault {
    /// What is the matter, for a reader.
    pub fn phrase(&self) -> Phrase {
        match *self {
            Self::BadSize => "a size of the wheel or track is not a positive number".into(),
            Self::TooWide { tip, mouth } => phrase![
                "the wheel's tip (",
                length(tip, 2),
                ") is no narrower than the groove's mouth (",
                length(mouth, 2),
                "), so it cannot enter"
            ],
            Self::TooDeep => "the wheel sinks so deep that its axle would lie inside the rail".into(),
            Self::FallsIn { width, throat } => phrase![
                "the tyre (",
                length(width, 2),
                " wide) is narrower than the channel below the groove's flanks (",
                length(throat, 2),
                "), so it falls in until its axle would lie inside the rail; a wheel wider than ",
                length(throat, 2),
                " rests on the flanks"
            ],
            Self::Misses => "pushed towards the track, the wheel passes by and meets nothing".into(),
        }
    }
}

/// In millimetres.
impl std::fmt::Display for SeatingFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.phrase().fmt(f)
    }
}

impl std::error::Error for SeatingFault {}

/// Contacts that would close when those that bear give by more than this are left out (mm): more than a contact gives.
const NEAR: f64 = 0.05;

/// Profiles this near lie on one another (mm): less than any load presses them together.
pub(crate) const LYING: f64 = 1e-3;

/// Where `wheel` comes to rest when pushed into `track` square to its face, its mid-plane on the track's middle.
///
/// With the sections of the rail's bars, their outline about the track is what the wheel meets, so that it can fall into
/// the channel below the flanks, meet the floor or ride on the faces; without any, or where the outline does not show
/// what the track is said to be ([`shows_track`]), it is the described profile, below whose flanks nothing is.
///
/// # Errors
/// [`SeatingFault`] when a size is no positive number, a vee's tip cannot enter, or nothing holds the axle outside the
/// rail.
pub fn seat(wheel: &Wheel, track: &Track, bars: &[Section]) -> Result<Seating, SeatingFault> {
    let profile = WheelProfile::new(wheel).ok_or(SeatingFault::BadSize)?;
    let throat = throat(&track.profile).ok_or(SeatingFault::BadSize)?;
    if let (Running::Vee { tip, .. }, TrackProfile::Vee { mouth, .. }) = (wheel.running, track.profile)
        && tip >= mouth.nominal
    {
        return Err(SeatingFault::TooWide { tip, mouth: mouth.nominal });
    }
    let fixed = track_profile::edges(track, bars, profile.half_width, profile.outer);
    let width = 2.0 * profile.half_width;
    let narrow = throat.map(|throat| throat.width).filter(|throat| width < *throat);
    let Some((axle_height, contacts)) = touching::contacts(&profile, &fixed) else {
        return Err(narrow.map_or(SeatingFault::Misses, |throat| SeatingFault::FallsIn { width, throat }));
    };
    let depth = profile.outer - axle_height;
    let sunk = throat.and_then(|throat| {
        let below = |contact: &SeatContact| {
            let level = axle_height - 0.5 * (contact.radii[0] + contact.radii[1]);
            contact.gap > LYING || level < -throat.depth - LYING
        };
        contacts.iter().all(below).then_some(match narrow {
            Some(throat) => Sunk::FallsIn { width, throat },
            None => Sunk::Bottoms { depth },
        })
    });
    match (axle_height > 0.0, sunk) {
        (true, _) => Ok(Seating { axle_height, depth, contacts, sunk }),
        (false, Some(Sunk::FallsIn { width, throat })) => Err(SeatingFault::FallsIn { width, throat }),
        (false, _) => Err(SeatingFault::TooDeep),
    }
}

/// The narrowest place of a vee.
#[derive(Clone, Copy, Debug)]
struct Throat {
    width: f64,
    depth: f64,
}

/// The lower end of a vee's flanks; the outer `None` for bad sizes, the inner for other tracks.
fn throat(profile: &TrackProfile) -> Option<Option<Throat>> {
    let positive = |size: f64| size > 0.0 && size.is_finite();
    match *profile {
        TrackProfile::Vee { mouth, half_angle, lip } => {
            let mouth = mouth.nominal;
            // A mouth with square lips has flanks of no angle.
            let angle_ok = (0.0..std::f64::consts::FRAC_PI_2).contains(&half_angle);
            (positive(mouth) && positive(lip) && angle_ok).then(|| {
                let depth = lip.min(0.5 * mouth / half_angle.tan());
                Some(Throat { width: (mouth - 2.0 * depth * half_angle.tan()).max(0.0), depth })
            })
        }
        TrackProfile::Flat { width } => positive(width).then_some(None),
        TrackProfile::Round { radius } => positive(radius).then_some(None),
    }
}

impl SeatContact {
    /// Angle between the touching surfaces and the wheel's mid-plane (rad): a flank's half-angle, a right angle for
    /// what lies flat.
    pub fn half_angle(&self) -> f64 {
        self.normal.y.atan2(self.normal.x.abs())
    }

    /// Middle of the radii (mm).
    pub fn radius(&self) -> f64 {
        0.5 * (self.radii[0] + self.radii[1])
    }

    /// Ends of the contact: from the wheel's mid-plane, and from the axle (mm).
    pub fn ends(&self) -> [DVec2; 2] {
        let middle = DVec2::new(self.across, self.radius());
        // Along the surfaces; the radius falls as the height above the track grows.
        let half = 0.5 * self.length * DVec2::new(self.normal.y, self.normal.x);
        [middle - half, middle + half]
    }
}

impl Touch {
    /// Its name in the plural of what bears, as in "rests on its flanks".
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Flank => "flanks",
            Self::Edge => "edges",
            Self::Tip => "tip",
            Self::Rim => "rim",
            Self::Shoulder => "shoulder",
            Self::Crest => "crest",
            Self::Groove { .. } => "groove",
        }
    }
}

impl Seating {
    /// The contacts that touch before any load.
    pub fn touching(&self) -> impl Iterator<Item = &SeatContact> {
        self.contacts.iter().filter(|contact| contact.gap <= LYING)
    }

    /// The contact that tells how it sits: the longest of those that touch.
    pub fn main(&self) -> Option<&SeatContact> {
        self.touching().reduce(|a, b| if b.length > a.length + LYING { b } else { a })
    }

    /// The radius on the wheel at which it rolls without slip: the middle of its contacts (mm).
    pub fn rolling_radius(&self) -> f64 {
        let (sum, count) =
            self.touching().fold((0.0, 0.0), |(sum, count), contact| (sum + contact.radius(), count + 1.0));
        if count > 0.0 { sum / count } else { self.axle_height }
    }

    /// How far the wheel sinks per millimetre by which a vee's mouth gets wider: half the cotangent of its contacts'
    /// angle, the mean of both sides; nothing where it does not rest on the groove.
    pub fn sinks_per_mouth(&self) -> f64 {
        let (sum, count) = self.touching().fold((0.0, 0.0), |(sum, count), contact| {
            (sum + 0.5 * contact.normal.x.abs() / contact.normal.y, count + 1.0)
        });
        if count > 0.0 { sum / count } else { 0.0 }
    }
}
