//! The contacts of a rider's wheels and shoes with the rail.

use glam::DVec3;

use super::solve::SpringContact;
use crate::contact::{Elastic, contact_modulus, cylinder_approach, half_space_approach, line_contact};
use crate::{
    Assembly, Fixture, Material, PieceKind, PlacedStack, Rail, Rider, SeatContact, StackOf, Track, Wheel,
    WheelMount,
};

/// One place where a wheel touches the rail.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contact {
    /// Number of the wheel on its rider.
    pub wheel: usize,
    /// As a spring.
    pub spring: SpringContact,
    /// Unit direction from the track's face out, in the rider frame.
    pub radial: DVec3,
    /// Unit direction of the axle.
    pub axial: DVec3,
    /// Length of the contact line (mm); 0 for a contact at a point.
    pub length: f64,
    /// Relative radius of curvature along the rail, square to the contact's normal (mm).
    pub radius: f64,
    /// Radii on the wheel between which it touches (mm).
    pub radii: [f64; 2],
    /// E* of tyre and rail (MPa).
    pub modulus: f64,
}

/// What one wheel carries.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct WheelLoad {
    /// Push of the rail on the wheel square to the track's face (N).
    pub radial: f64,
    /// Push of the rail on the wheel along its axle, outwards positive (N).
    pub axial: f64,
    /// Sum of the normal forces on its flanks (N).
    pub normal: f64,
    /// Greatest contact pressure (MPa).
    pub pressure: f64,
    /// Resistance from slip on the flanks and from hysteresis, per unit friction and per unit loss: sums
    /// of force × geometry, ready to be multiplied (N).
    pub(crate) slip: f64,
    pub(crate) hysteresis: f64,
}

impl WheelLoad {
    pub(crate) fn add(&mut self, contact: &Contact, force: f64) {
        let push = contact.spring.normal * force;
        self.radial += push.dot(contact.radial);
        self.axial += push.dot(contact.axial);
        self.normal += force;
        self.slip += force * crate::contact::flank_slip_ratio(contact.radii);
        if contact.length > 0.0 {
            let line = line_contact(force / contact.length, contact.radius, contact.modulus);
            self.pressure = self.pressure.max(line.peak_pressure);
            self.hysteresis +=
                force * crate::contact::hysteresis_coefficient(1.0, line.half_width, contact.radius);
        }
    }

    /// Whether it touches the rail at all.
    pub fn is_loaded(&self) -> bool {
        self.normal > 0.0
    }
}

/// A load per wheel for which stiffnesses are taken as secants when no better is known (N).
const REFERENCE_LOAD: f64 = 10.0;

/// Depth below its surface at which a rail counts as still, for its share of the approach (mm): about the
/// wall of an extrusion.
const RAIL_DATUM: f64 = 10.0;

/// Where the closed form for an edge contact has no length, this much of the flank is taken to bear (mm).
const EDGE_LENGTH: f64 = 0.5;

pub(super) fn of_rider(fixture: &Fixture, assembly: &Assembly, number: usize) -> Vec<Contact> {
    let (Some(rider), Some(placed)) = (fixture.riders.get(number), assembly.riders.get(number)) else {
        return Vec::new();
    };
    let mut contacts = Vec::with_capacity(2 * rider.wheels.len() + rider.shoes.len());
    for stack in &placed.stacks {
        let StackOf::Wheel(wheel) = stack.of else { continue };
        let Some(mount) = rider.wheels.get(wheel) else { continue };
        let Some(track) = fixture.rail.tracks.get(mount.track) else { continue };
        wheel_contacts(&fixture.rail, rider, wheel, mount, track, stack, &mut contacts);
    }
    contacts
}

/// The wheel of a mount's stack.
pub(crate) fn wheel_of(mount: &WheelMount) -> Option<&Wheel> {
    mount.stack.pieces.iter().find_map(|piece| match &piece.kind {
        PieceKind::Wheel(wheel) => Some(&**wheel),
        _ => None,
    })
}

fn wheel_contacts(
    rail: &Rail,
    rider: &Rider,
    number: usize,
    mount: &WheelMount,
    track: &Track,
    stack: &PlacedStack,
    contacts: &mut Vec<Contact>,
) {
    let (Some(wheel), Some(seating)) = (wheel_of(mount), stack.seating) else { return };
    let radial = DVec3::new(0.0, track.normal.x, track.normal.y);
    let axial = rider.facing.outward();
    let face = DVec3::new(mount.along, track.middle.x, track.middle.y);
    let axle = face + radial * seating.axle_height;
    let modulus = contact_modulus(elastic(&wheel.tyre), elastic(&rail.material));
    let bending = axle_stiffness(mount, stack);
    let mut push = |normal: DVec3, point: DVec3, length: f64, radius: f64, radii: [f64; 2]| {
        let contact_stiffness = line_stiffness(&wheel.tyre, &rail.material, length, radius, modulus);
        // The screw bends only across its axis; the flank's force reaches it through its radial part.
        let lean = normal.dot(radial);
        let stiffness = 1.0 / (1.0 / contact_stiffness + lean * lean / bending);
        contacts.push(Contact {
            wheel: number,
            spring: SpringContact { point, normal, closure: mount.press * lean, stiffness },
            radial,
            axial,
            length,
            radius,
            radii,
            modulus,
        });
    };
    match seating.contact {
        SeatContact::Flanks { length, half_angle, radii } => {
            let middle = 0.5 * (radii[0] + radii[1]);
            let (sin, cos) = half_angle.sin_cos();
            let offset = flank_offset(wheel, middle, half_angle);
            for side in [-1.0, 1.0] {
                // The flank on one side pushes out and to the other side.
                let normal = radial * sin - axial * (side * cos);
                let point = axle - radial * middle + axial * (side * offset);
                push(normal, point, length, middle / sin, radii);
            }
        }
        SeatContact::Edges { half_angle, radius } => {
            let (sin, cos) = half_angle.sin_cos();
            let offset = flank_offset(wheel, radius, half_angle);
            for side in [-1.0, 1.0] {
                let normal = radial * sin - axial * (side * cos);
                let point = axle - radial * radius + axial * (side * offset);
                push(normal, point, EDGE_LENGTH, radius / sin, [radius, radius]);
            }
        }
        SeatContact::Rim { width } => {
            let radius = seating.axle_height;
            push(radial, face, width, radius, [radius, radius]);
        }
        SeatContact::Crest { .. } => {
            let radius = seating.axle_height;
            push(radial, face, EDGE_LENGTH, radius, [radius, radius]);
        }
    }
}

/// Distance of a vee wheel's flank from its mid-plane where its radius is `radius` (mm).
fn flank_offset(wheel: &Wheel, radius: f64, half_angle: f64) -> f64 {
    let tip = match wheel.running {
        crate::Running::Vee { tip, .. } => tip,
        _ => 0.0,
    };
    0.5 * tip + (wheel.outer_radius.nominal - radius) * half_angle.tan()
}

fn elastic(material: &Material) -> Elastic {
    Elastic { youngs: material.youngs, poisson: material.poisson }
}

/// Secant stiffness of a line contact at the reference load (N/mm): load over the approach of wheel and
/// rail (Johnson §5.6).
fn line_stiffness(tyre: &Material, rail: &Material, length: f64, radius: f64, modulus: f64) -> f64 {
    let load = REFERENCE_LOAD / length;
    let half_width = line_contact(load, radius, modulus).half_width;
    let approach = cylinder_approach(load, radius, half_width, elastic(tyre))
        + half_space_approach(load, RAIL_DATUM, half_width, elastic(rail));
    REFERENCE_LOAD / approach
}

/// Stiffness of the screw as a cantilever from the plate to the wheel's mid-plane, 3EI/L³ with I = πd⁴/64
/// (N/mm). The clamped tube round the screw is not counted.
fn axle_stiffness(mount: &WheelMount, stack: &PlacedStack) -> f64 {
    const STEEL: f64 = 205_000.0;
    let plate = mount
        .stack
        .pieces
        .iter()
        .zip(&stack.pieces)
        .find(|(piece, _)| matches!(piece.kind, PieceKind::Plate(_)))
        .map_or(stack.datum, |(_, place)| place.span().0);
    let length = (plate - stack.datum).abs();
    let diameter = mount.stack.screw.diameter;
    let second_moment = std::f64::consts::PI * diameter.powi(4) / 64.0;
    if length > 0.0 { 3.0 * STEEL * second_moment / length.powi(3) } else { f64::INFINITY }
}
