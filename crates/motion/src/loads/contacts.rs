//! The contacts of a rider's wheels and shoes with the rail.

use glam::{DVec2, DVec3};
use nalgebra::Vector2;

use super::axle::{Axle, Joint, axle};
use super::bearing::Bearing;
use super::groove;
use super::springs::{Give, SpringContact, Support};
use crate::contact::{Elastic, EllipticShape, Form, Pairing, Patch, Softening};
use crate::seating::{LYING, along_face};
use crate::{
    Assembly, Fixture, Material, PieceKind, PlacedStack, SeatContact, Shoe, StackOf, Touch, Track,
    TrackProfile, Wheel, WheelMount,
};

/// What of a rider touches the rail at a contact.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Carrier {
    /// Its wheel with this number.
    Wheel(usize),
    /// Its shoe with this number.
    Shoe(usize),
}

/// One place where a wheel or shoe touches the rail: a flank, a rim, a crest, a stretch of a shoe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contact {
    /// What touches.
    pub carrier: Carrier,
    /// As a spring; its stiffness is the secant at the reference load, see [`Contact::softening`].
    pub spring: SpringContact,
    /// Unit direction from the track's face out, in the rider frame.
    pub radial: DVec3,
    /// Unit direction of the axle; for a shoe, across its track.
    pub axial: DVec3,
    /// Radii on the wheel between which it touches (mm); 0 for a shoe.
    pub radii: [f64; 2],
    /// Form and materials.
    pub pairing: Pairing,
    /// What is open when its carrier rests on its other contacts, before any load (mm).
    pub gap: f64,
    /// The stiffness was given, not worked out (N/mm).
    pub given: bool,
    /// The ellipse in which a groove presses on its rod as a whole, where this contact is a part of that.
    pub whole: Option<EllipticShape>,
    /// Half-extent across the rail beyond which Hertz's theory does not hold (mm): [`HERTZ_SHARE`] of the smallest
    /// radius of curvature in the section.
    pub hertz_limit: f64,
}

/// Hertz's bodies are half-spaces near the contact: that holds while its half-width stays below about this share of the
/// radius (Johnson, *Contact Mechanics*, §4.2 and §5.3, asks for a ≪ R; the share is common practice, no source).
pub const HERTZ_SHARE: f64 = 0.3;

impl Contact {
    /// The patch under a normal force (N).
    pub fn patch(&self, force: f64) -> Patch {
        self.pairing.under(force)
    }

    /// How stiff it is at the force it bears: as its form and materials say, or as given.
    pub fn softening(&self) -> Softening {
        if self.given { Softening::straight(self.spring.stiffness) } else { softening(&self.pairing) }
    }

    /// Length of the contact line (mm); 0 for a contact at a point or over a face.
    pub fn length(&self) -> f64 {
        match self.pairing.form {
            Form::Line { length, .. } => length,
            Form::Point(_) | Form::Face { .. } | Form::Strip { .. } => 0.0,
        }
    }
}

/// What one shoe carries.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct ShoeLoad {
    /// Push of the rail on the shoe square to the track's face (N).
    pub radial: f64,
    /// Push of the rail on the shoe across its track (N).
    pub axial: f64,
    /// Sum of the normal forces (N).
    pub normal: f64,
    /// Where along the rider the normal forces act together (mm, rider x); the shoe's middle without load.
    pub centre: f64,
    /// Where they act together (mm, rider frame): there its friction acts. The origin without load.
    pub at: DVec3,
    /// Greatest pressure (MPa).
    pub pressure: f64,
}

impl ShoeLoad {
    /// No figures at all.
    pub(super) const fn absent() -> Self {
        const NAN: f64 = f64::NAN;
        Self { radial: NAN, axial: NAN, normal: NAN, centre: NAN, at: DVec3::splat(NAN), pressure: NAN }
    }

    pub(super) fn add(&mut self, contact: &Contact, force: f64) {
        let push = contact.spring.normal * force;
        self.radial += push.dot(contact.radial);
        self.axial += push.dot(contact.axial);
        let sum = self.normal + force;
        if sum > 0.0 {
            self.at += (contact.spring.point - self.at) * (force / sum);
            self.centre = self.at.x;
        }
        self.normal = sum;
        self.pressure = self.pressure.max(contact.patch(force).peak_pressure);
    }

    /// Whether it touches the rail at all.
    pub fn is_loaded(&self) -> bool {
        self.normal > 0.0
    }
}

/// A load per contact for which stiffnesses are taken as secants before the first solution (N).
const REFERENCE_LOAD: f64 = 10.0;

/// No secant is taken below this load (N): a contact that only touches is taken to be this stiff.
const LEAST_LOAD: f64 = 1.0;

/// An edge on a flank has no length of contact; this much is taken to bear (mm; own assumption, since a
/// plastic edge gives way until something like it does).
const EDGE_LENGTH: f64 = 0.5;

/// How thick a shoe is taken to be behind its face when it has no bodies (mm; own assumption).
const SHOE_DEPTH: f64 = 5.0;

/// A rider's contacts and what carries them.
#[derive(Clone, Debug, PartialEq, Default)]
pub(super) struct Contacts {
    pub(super) all: Vec<Contact>,
    pub(super) supports: Vec<Support>,
    /// What is clamped round each support's screw, and the wheel it carries.
    pub(super) joints: Vec<(usize, Option<Joint>)>,
}

pub(super) fn of_rider(fixture: &Fixture, assembly: &Assembly, number: usize) -> Contacts {
    let mut contacts = Contacts::default();
    let (Some(rider), Some(placed)) = (fixture.riders.get(number), assembly.riders.get(number)) else {
        return contacts;
    };
    for stack in &placed.stacks {
        let StackOf::Wheel(wheel) = stack.of else { continue };
        let Some(mount) = rider.wheels.get(wheel) else { continue };
        let Some(track) = fixture.rail.tracks.get(mount.track) else { continue };
        let axle = match mount.stiffness {
            Some(_) => None,
            None => axle(fixture, assembly, number, mount, stack),
        };
        let place = WheelPlace {
            number: wheel,
            mount,
            track,
            stack,
            axial: rider.facing.outward(),
            rail: &fixture.rail.material,
        };
        place.contacts(axle, &mut contacts);
    }
    for (shoe_number, shoe) in rider.shoes.iter().enumerate() {
        if let Some(track) = fixture.rail.tracks.get(shoe.track) {
            shoe_contacts(shoe_number, shoe, track, &fixture.rail.material, &mut contacts);
        }
    }
    contacts
}

/// The wheel of a mount's stack.
pub fn wheel_of(mount: &WheelMount) -> Option<&Wheel> {
    mount.stack.pieces.iter().find_map(|piece| match &piece.kind {
        PieceKind::Wheel(wheel) => Some(&**wheel),
        _ => None,
    })
}

/// A wheel where it runs.
struct WheelPlace<'a> {
    number: usize,
    mount: &'a WheelMount,
    track: &'a Track,
    stack: &'a PlacedStack,
    axial: DVec3,
    rail: &'a Material,
}

impl WheelPlace<'_> {
    fn contacts(&self, axle: Option<Axle>, contacts: &mut Contacts) {
        let (Some(wheel), Some(seating)) = (wheel_of(self.mount), &self.stack.seating) else { return };
        let (radial, axial) = (in_section(self.track.normal), self.axial);
        let face = DVec3::X * self.mount.along + in_section(self.track.middle);
        let middle = face + radial * seating.axle_height;
        let first = contacts.all.len();
        let support = axle.map(|axle| {
            contacts.supports.push(axle.support);
            contacts.joints.push((self.number, axle.joint));
            (contacts.supports.len() - 1, axial * axle.points)
        });
        let along = in_section(along_face(self.track.normal));
        let (tyre, rail) = (elastic(&wheel.tyre), elastic(self.rail));
        let mut push = |bearing: &Bearing| {
            let normal = radial * bearing.normal.y + along * bearing.normal.x;
            let point = middle - radial * bearing.at.y + along * bearing.at.x;
            let pairing = Pairing { form: bearing.form, runner: tyre, rail };
            let lean = bearing.normal.y;
            let give = support.map(|(support, towards)| {
                // A shift moves the wheel out of the track; a turn tips its free end outwards of it.
                let off = point - middle;
                let per_turn = off.dot(towards) * lean - off.dot(radial) * normal.dot(towards);
                Give { support, per: Vector2::new(lean, per_turn) }
            });
            contacts.all.push(Contact {
                carrier: Carrier::Wheel(self.number),
                spring: SpringContact {
                    point,
                    normal,
                    closure: self.mount.press * lean - bearing.gap,
                    stiffness: softening(&pairing).stiffness(REFERENCE_LOAD).0,
                    give,
                },
                radial,
                axial,
                radii: bearing.radii,
                pairing,
                gap: bearing.gap,
                given: false,
                whole: bearing.whole,
                hertz_limit: HERTZ_SHARE * bearing.least_radius,
            });
        };
        for contact in &seating.contacts {
            match contact.touch {
                Touch::Groove { groove, rod, reach } => {
                    let hollow = groove::Hollow { groove, rod, reach, bottom: contact.radius() };
                    groove::bearings(&hollow, contact.gap, tyre, rail).iter().for_each(&mut push);
                }
                _ => bearings(contact).iter().for_each(&mut push),
            }
        }
        if let Some(stiffness) = self.mount.stiffness {
            // Given for the whole wheel, pressed square to the track: shared among the contacts that touch.
            let fresh = contacts.all.get_mut(first..).unwrap_or_default();
            let touching = fresh.iter().filter(|c| c.gap <= 2.0 * LYING);
            let leans: f64 = touching.map(|c| c.spring.normal.dot(radial).powi(2)).sum();
            for contact in fresh {
                contact.spring.stiffness = stiffness / leans;
                contact.given = true;
            }
        }
    }
}

/// The springs of a contact along a line or at a point.
fn bearings(contact: &SeatContact) -> Vec<Bearing> {
    let radius = contact.radius();
    // The section square to the contact sees the wheel with the radius r/cos γ, γ between its normal and the wheel's
    // radius (Meusnier).
    let along = radius / contact.normal.y;
    let line = |length: f64| Form::Line { length, radius: along };
    let whole = Bearing {
        at: DVec2::new(contact.across, radius),
        normal: contact.normal,
        radii: contact.radii,
        form: line(EDGE_LENGTH),
        gap: contact.gap,
        least_radius: contact.least_radius,
        whole: None,
    };
    if contact.length > 0.0 && contact.normal.x == 0.0 {
        // The ends of the line, so that it resists tipping; each bears half of it.
        let form = line(0.5 * contact.length);
        return contact.ends().map(|at| Bearing { at, form, ..whole }).to_vec();
    }
    let form = if contact.length > 0.0 {
        line(contact.length)
    } else {
        EllipticShape::new([along, 1.0 / contact.curvature]).map_or(line(EDGE_LENGTH), Form::Point)
    };
    vec![Bearing { form, ..whole }]
}

/// A (y, z) of the rail's section as a vector.
fn in_section(at: DVec2) -> DVec3 {
    DVec3::new(0.0, at.x, at.y)
}

fn softening(pairing: &Pairing) -> Softening {
    Softening::new(pairing, LEAST_LOAD)
}

fn elastic(material: &Material) -> Elastic {
    Elastic { youngs: material.youngs, poisson: material.poisson }
}

/// A shoe bears on each face it meets at three stretches along the rail, weighted by Simpson's rule: so it
/// resists being pressed and being tipped just as an evenly elastic face does, and tips over its very ends.
const STRETCHES: [(f64, f64); 3] = [(-0.5, 1.0 / 6.0), (0.0, 2.0 / 3.0), (0.5, 1.0 / 6.0)];

fn shoe_contacts(number: usize, shoe: &Shoe, track: &Track, rail: &Material, contacts: &mut Contacts) {
    let radial = in_section(track.normal);
    let axial = DVec3::X.cross(radial);
    let extent = |along: DVec3| {
        let ends = shoe.solids.iter().map(|solid| {
            let b = solid.bounds();
            let (low, high) = (b.low * along, b.high * along);
            let (p, q) = (low.element_sum(), high.element_sum());
            (p.min(q), p.max(q))
        });
        ends.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1))).map(|(low, high)| high - low).filter(|e| *e > 0.0)
    };
    let depth = extent(radial).unwrap_or(SHOE_DEPTH);
    let face = in_section(track.middle);
    // Normals and points of the faces it meets, and their widths.
    let faces: Vec<(DVec3, DVec3, f64)> = match track.profile {
        // On square lips a shoe lies on the face beside the mouth.
        TrackProfile::Vee { mouth, half_angle, .. } if half_angle <= 0.0 => {
            let off = 0.5 * mouth.nominal;
            let width = extent(axial).map_or(off, |own| (0.5 * own - off).max(0.1 * own));
            [-off, off].map(|off| (radial, face + axial * off, width)).to_vec()
        }
        TrackProfile::Vee { mouth, half_angle, lip } => {
            let (sin, cos) = half_angle.sin_cos();
            let offset = 0.5 * mouth.nominal - 0.5 * lip * half_angle.tan();
            [-1.0, 1.0]
                .map(|side: f64| {
                    let point = face - radial * (0.5 * lip) + axial * (side * offset);
                    (radial * sin - axial * (side * cos), point, lip / cos)
                })
                .to_vec()
        }
        TrackProfile::Flat { width } => {
            let width = extent(axial).map_or(width, |own| own.min(width));
            // Two strips at the points of Gauss's rule resist tipping sideways as the whole face does.
            let off = 0.5 * width / 3f64.sqrt();
            [-off, off].map(|off| (radial, face + axial * off, 0.5 * width)).to_vec()
        }
        TrackProfile::Round { radius } => vec![(radial, face, radius)],
    };
    for (normal, point, width) in faces {
        for (place, weight) in STRETCHES {
            let form = Form::Face { area: weight * width * shoe.length, depth };
            let pairing = Pairing { form, runner: elastic(&shoe.material), rail: elastic(rail) };
            contacts.all.push(Contact {
                carrier: Carrier::Shoe(number),
                spring: SpringContact {
                    point: point + DVec3::X * (shoe.along + place * shoe.length),
                    normal,
                    closure: shoe.press * normal.dot(radial),
                    stiffness: softening(&pairing).stiffness(REFERENCE_LOAD).0,
                    give: None,
                },
                radial,
                axial,
                radii: [0.0; 2],
                pairing,
                gap: 0.0,
                given: false,
                whole: None,
                hertz_limit: f64::INFINITY,
            });
        }
    }
}
