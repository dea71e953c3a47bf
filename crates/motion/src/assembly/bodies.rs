//! The bodies of a fixture, made of its placed pieces.

use std::sync::Arc;

use glam::{DVec2, DVec3};
use glidewright_geometry::{PlanarError, Pose, Solid};

use super::body::{Body, Owner, Role};
use super::convex_parts::ConvexParts;
use super::cover::Cover;
use super::placed::{Fault, FaultKind, PlacedRider, PlacedStack};
use super::stretches::{self, Stretch};
use super::wheel_solids;
use crate::{Extruded, Facing, Fixture, HeadForm, Line, LineNode, NutForm, PieceKind, Rail, Rider, Stack};

pub(super) fn all(
    fixture: &Fixture,
    riders: &[PlacedRider],
    parts: &mut ConvexParts,
    faults: &mut Vec<Fault>,
) -> (Vec<Body>, Vec<Stretch>) {
    let mut bodies = vec![rail_body(&fixture.rail, parts, faults)];
    for (number, (rider, placed)) in fixture.riders.iter().zip(riders).enumerate() {
        rider_bodies(number, rider, placed, parts, &mut bodies, faults);
    }
    bodies.extend(fixture.obstacles.iter().map(|obstacle| Body {
        owner: Owner::Ground,
        role: if obstacle.is_stop { Role::Stop } else { Role::Obstacle },
        path: obstacle.path.clone(),
        label: obstacle.name.clone(),
        solids: obstacle.solids.clone(),
        extruded: obstacle.extruded.clone(),
        cover: Cover::of_extruded(&obstacle.extruded, &obstacle.solids, parts),
        stack: None,
        piece: None,
        plate: None,
    }));
    let stretches = fixture.line.as_ref().map_or_else(Vec::new, |line| {
        pulley_bodies(line, &mut bodies);
        stretches::add(fixture, line, &mut bodies, faults)
    });
    faults.extend(bodies.iter().filter_map(unsound));
    (bodies, stretches)
}

/// What is the matter with a body of which a solid would take part in nothing. The pieces of rail and plates are
/// sound as they are made.
fn unsound(body: &Body) -> Option<Fault> {
    if matches!(body.role, Role::Rail | Role::Plate) {
        return None;
    }
    let bad = body.solids.iter().find(|solid| solid.bounds().is_empty())?;
    let what = bad.faults().first().map_or(FaultKind::BadSize, |&fault| FaultKind::BadSolid(fault));
    Some(Fault { name: body.label.clone(), path: body.path.clone(), what })
}

fn rail_body(rail: &Rail, parts: &mut ConvexParts, faults: &mut Vec<Fault>) -> Body {
    // The section's (y, z) become the prism's x and y, the rail's X its height.
    let frame = Pose::from_axes(DVec3::Y, DVec3::Z, DVec3::X, DVec3::X * (0.5 * rail.length));
    let half = 0.5 * rail.length;
    let mut solids = Vec::new();
    for bar in &rail.bars {
        match parts.prisms(bar, &frame, half) {
            Ok(pieces) => solids.extend(pieces),
            Err(what) => faults.push(Fault { name: "the rail".into(), path: rail.path.clone(), what }),
        }
    }
    let cover = Cover::prisms(rail.bars.iter().map(|bar| (bar, frame, half)), parts).ok();
    Body {
        owner: Owner::Ground,
        role: Role::Rail,
        path: rail.path.clone(),
        label: rail.name.clone(),
        solids,
        extruded: Vec::new(),
        cover,
        stack: None,
        piece: None,
        plate: None,
    }
}

fn rider_bodies(
    number: usize,
    rider: &Rider,
    placed: &PlacedRider,
    parts: &mut ConvexParts,
    bodies: &mut Vec<Body>,
    faults: &mut Vec<Fault>,
) {
    let owner = Owner::Rider(number);
    let named = |name: &str| format!("{}: {name}", rider.name);
    let plain = |role, path: &str, label: &str, solids| Body {
        owner,
        role,
        path: path.to_owned(),
        label: named(label),
        solids,
        extruded: Vec::new(),
        cover: None,
        stack: None,
        piece: None,
        plate: None,
    };
    for (number, (plate, place)) in rider.plates.iter().zip(&placed.plates).enumerate() {
        let own = Some(number);
        let frame = |from: f64, to: f64| {
            let middle = rider.facing.outward() * (place.inner + 0.5 * (from + to));
            (plate_frame(rider.facing, middle), 0.5 * (to - from))
        };
        let layers = plate.sheet_layers();
        let standing = || {
            layers.iter().flat_map(|layer| {
                let (pose, half) = frame(layer.from, layer.to);
                layer.regions.iter().map(move |region| (region, pose, half))
            })
        };
        let solids: Result<Vec<_>, _> =
            standing().map(|(region, pose, half)| parts.prisms(region, &pose, half)).collect();
        match solids.map(|pieces| pieces.concat()) {
            Ok(solids) if !solids.is_empty() => {
                let cover = Cover::prisms(standing(), parts).ok();
                bodies.push(Body {
                    cover,
                    plate: own,
                    ..plain(Role::Plate, &plate.path, &plate.name, solids)
                });
            }
            Ok(_) => {
                let what = FaultKind::BadOutline(PlanarError::Nothing);
                faults.push(Fault { name: named(&plate.name), path: plate.path.clone(), what });
            }
            Err(what) => faults.push(Fault { name: named(&plate.name), path: plate.path.clone(), what }),
        }
        // What stands out of a plate is named by itself where it comes near something.
        for slab in plate.features.iter().filter(|slab| !slab.is_cut) {
            let (pose, half) = frame(slab.from, slab.to);
            match parts.prisms(&slab.region, &pose, half) {
                Ok(solids) => {
                    let extruded = vec![Extruded {
                        region: Arc::new(slab.region.clone()),
                        frame: pose,
                        half_height: half,
                        pieces: 0..solids.len(),
                    }];
                    bodies.push(Body {
                        extruded,
                        plate: own,
                        ..plain(Role::Load, &slab.path, &slab.name, solids)
                    });
                }
                Err(what) => {
                    faults.push(Fault { name: named(&slab.name), path: slab.path.clone(), what });
                }
            }
        }
    }
    for (stack_number, stack) in placed.stacks.iter().enumerate() {
        let Some((name, _, pieces)) = rider.stack(stack.of) else { continue };
        let context = StackContext { owner, rider, name, placed: stack, number: stack_number };
        stack_bodies(&context, pieces, bodies);
    }
    for shoe in &rider.shoes {
        let extruded = shoe.extruded.clone();
        let cover = Cover::of_extruded(&extruded, &shoe.solids, parts);
        bodies.push(Body {
            extruded,
            cover,
            ..plain(Role::Shoe, &shoe.path, &shoe.name, shoe.solids.clone())
        });
    }
    for load in rider.loads.iter().filter(|load| !load.solids.is_empty()) {
        let slid = load.reach.map_or(DVec3::ZERO, |reach| reach.direction * reach.at);
        let solids: Vec<_> = load.solids.iter().map(|solid| solid.shifted(slid)).collect();
        let extruded: Vec<_> = load.extruded.iter().map(|body| body.shifted(slid)).collect();
        let cover = Cover::of_extruded(&extruded, &solids, parts);
        bodies.push(Body { extruded, cover, ..plain(Role::Load, &load.path, &load.name, solids) });
    }
}

/// The frame in which a plate's outline, given in (x, lateral), lies in xy. Its z is the plate's normal or
/// the opposite of it, which is the same to a prism about its middle.
fn plate_frame(facing: Facing, middle: DVec3) -> Pose {
    let lateral = facing.lateral();
    Pose::from_axes(DVec3::X, lateral, DVec3::X.cross(lateral), middle)
}

struct StackContext<'a> {
    owner: Owner,
    rider: &'a Rider,
    name: &'a str,
    placed: &'a PlacedStack,
    number: usize,
}

fn stack_bodies(context: &StackContext<'_>, stack: &Stack, bodies: &mut Vec<Body>) {
    let placed = context.placed;
    let facing = context.rider.facing;
    let at = |level: f64| placed.point(facing, level);
    let mut push = |role: Role, path: &str, what: &str, piece: Option<usize>, solids: Vec<Solid>| {
        bodies.push(Body {
            owner: context.owner,
            role,
            path: path.to_owned(),
            label: format!("{}, {}: {what}", context.rider.name, context.name),
            solids,
            extruded: Vec::new(),
            cover: None,
            stack: Some(context.number),
            piece,
            plate: None,
        });
    };
    let screw = &stack.screw;
    if !matches!(screw.head_form, HeadForm::Countersunk | HeadForm::None) && screw.head_height.nominal > 0.0 {
        let radius = match screw.head_form {
            HeadForm::Hexagon => corner_radius(screw.head_size),
            _ => 0.5 * screw.head_size,
        };
        let solid = Solid::cylinder_between(at(placed.seat_level), at(placed.head_level), radius);
        push(Role::Head, &screw.path, "screw head", None, vec![solid]);
    }
    for (number, (piece, place)) in stack.pieces.iter().zip(&placed.pieces).enumerate() {
        let (low, high) = place.span();
        let cylinder = |radius: f64| vec![Solid::cylinder_between(at(low), at(high), radius)];
        let (role, solids) = match &piece.kind {
            PieceKind::Plate(_) => continue,
            PieceKind::Wheel(wheel) => {
                let middle = at(0.5 * (low + high));
                let axis = facing.outward();
                let tyre = wheel_solids::tyre(wheel, middle, axis);
                push(Role::Tyre, &piece.path, &piece.name, Some(number), tyre);
                (Role::Hub, vec![wheel_solids::hub(wheel, middle, axis)])
            }
            PieceKind::Nut { form, .. } => {
                (Role::Nut, nut(*form, piece.outer, at(place.head_side), at(place.tip_side)))
            }
            PieceKind::Washer => (Role::Washer, cylinder(0.5 * piece.outer)),
            PieceKind::Shim => (Role::Shim, cylinder(0.5 * piece.outer)),
            PieceKind::Spacer => (Role::Spacer, cylinder(0.5 * piece.outer)),
            PieceKind::Eccentric { offset, turn, .. } => {
                let hole = DVec2::from_angle(*turn) * -*offset;
                let shift = facing.point(hole, 0.0);
                let solids = cylinder(0.5 * piece.outer).iter().map(|solid| solid.shifted(shift)).collect();
                (Role::Spacer, solids)
            }
        };
        // A piece squeezed to nothing touches nothing.
        if high > low {
            push(role, &piece.path, &piece.name, Some(number), solids);
        }
    }
    if placed.thread.projection > 0.0 {
        let last = placed.pieces.last().map_or(placed.seat_level, |piece| piece.tip_side);
        let solid = Solid::cylinder_between(at(last), at(placed.tip_level), 0.5 * screw.diameter);
        push(Role::ScrewEnd, &screw.path, "screw end", None, vec![solid]);
    }
}

/// Share of a flange nut's height up to which its flange reaches as far as its rim (own choice: the flange rises to the
/// hexagon as a cone).
const FLANGE_SHARE: f64 = 0.35;

/// A nut from its bearing face to its other end, turned any way round.
fn nut(form: NutForm, flats: f64, foot: DVec3, top: DVec3) -> Vec<Solid> {
    let whole = |radius: f64| Solid::cylinder_between(foot, top, radius);
    match form {
        NutForm::Flanged { flange } => {
            let rim = foot.lerp(top, FLANGE_SHARE);
            vec![whole(corner_radius(flats)), Solid::cylinder_between(foot, rim, 0.5 * flange)]
        }
        _ => vec![whole(form.corner_radius(flats))],
    }
}

/// Radius over the corners of a hexagon of a width across flats.
fn corner_radius(across_flats: f64) -> f64 {
    0.5 * across_flats / (std::f64::consts::PI / 6.0).cos()
}

fn pulley_bodies(line: &Line, bodies: &mut Vec<Body>) {
    for node in &line.nodes {
        let LineNode::Pulley(pulley) = node else { continue };
        let middle = line.plane.point(pulley.centre);
        let half = line.plane.normal() * (0.5 * pulley.width);
        // The line's neutral axis lies half its thickness outside the pulley's rim.
        let radius = (pulley.radius - 0.5 * line.thickness).max(0.0);
        bodies.push(Body {
            owner: pulley.rider.map_or(Owner::Ground, Owner::Rider),
            role: Role::Pulley,
            path: pulley.path.clone(),
            label: pulley.name.clone(),
            solids: vec![Solid::cylinder_between(middle - half, middle + half, radius)],
            extruded: Vec::new(),
            cover: None,
            stack: None,
            piece: None,
            plate: None,
        });
    }
}
