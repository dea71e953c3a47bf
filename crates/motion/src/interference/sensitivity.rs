//! How a gap answers to the sizes behind it.
//!
//! A gap between two bodies changes with a size p by n·(∂b/∂p − ∂a/∂p), a and b the points where they are
//! nearest, n the direction from a to b (the envelope theorem: the nearest points themselves need not be
//! followed). Each point moves with the faces between which it lies, those with the pieces of their stack, and
//! a wheel's stack with the wheel's radius and the groove's mouth. Own derivation; the tests change every size
//! and build everything anew.

use glam::DVec3;

use super::outcome::GAP_TOLERANCE;
use crate::assembly::Side;
use crate::{
    Assembly, Contributor, Fixture, Owner, PieceKind, PlacedStack, Role, Spread, Stack, StackOf, Term,
    Tolerance, Toleranced,
};

/// One physical size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Source {
    /// Thickness of a piece: rider, stack, piece.
    Piece(usize, usize, usize),
    /// Thickness of a plate that no stack carries: rider, plate.
    Plate(usize, usize),
    /// Length of a screw: rider, stack.
    Screw(usize, usize),
    /// Height of a screw's head: rider, stack.
    Head(usize, usize),
    /// Outer radius of a wheel: rider, stack.
    Radius(usize, usize),
    /// Width of a groove's mouth: track.
    Mouth(usize),
    /// A size that moves whole bodies: number in the movements.
    Moving(usize),
}

#[derive(Clone, Copy, Debug)]
struct Share {
    source: Source,
    half_width: f64,
    sensitivity: f64,
}

/// The sizes behind the gap of two bodies.
#[derive(Clone, Debug, Default)]
pub(super) struct Shares(Vec<Share>);

impl Shares {
    /// Looks at a gap afresh.
    pub(super) fn find<'s>(
        &mut self,
        fixture: &Fixture,
        assembly: &Assembly,
        sides: impl IntoIterator<Item = Side<'s>>,
    ) {
        self.0.clear();
        for side in sides {
            self.side(fixture, assembly, &side);
            for (size, outward) in assembly.movements.outward(assembly, &side) {
                let half_width = assembly.movements.size(size).map_or(0.0, |size| size.half_width);
                self.put(Source::Moving(size), half_width, -outward);
            }
        }
        // What takes less is the rounding of directions and places.
        self.0.retain(|share| share.sensitivity.abs() * share.half_width > GAP_TOLERANCE);
    }

    /// Worst case and root of the sum of squares (mm).
    pub(super) fn half_widths(&self) -> (f64, f64) {
        let (mut worst, mut squares) = (0.0, 0.0);
        for share in &self.0 {
            let own = share.sensitivity.abs() * share.half_width;
            worst += own;
            squares += own * own;
        }
        (worst, squares.sqrt())
    }

    /// The same with every contributor named.
    pub(super) fn tolerance(&self, fixture: &Fixture, assembly: &Assembly) -> Tolerance {
        let named = |share: &Share| {
            let (label, path) = name(fixture, assembly, share.source)?;
            let (half_width, sensitivity) = match share.source {
                // Of an angle or a count, what it does to the gap.
                Source::Moving(size) if !assembly.movements.size(size)?.is_length => {
                    ((share.half_width * share.sensitivity).abs(), share.sensitivity.signum())
                }
                _ => (share.half_width, share.sensitivity),
            };
            Some((label, path, half_width, sensitivity))
        };
        Tolerance::of(self.0.iter().filter_map(named).collect())
    }

    /// What sizes that move whole bodies do to the gap, as terms of its chain: they move faces between which its sizes lie,
    /// and are none of those.
    pub(super) fn moving_terms<'a>(&'a self, assembly: &'a Assembly) -> impl Iterator<Item = Term> + 'a {
        self.0.iter().filter_map(|share| {
            let Source::Moving(number) = share.source else { return None };
            let size = assembly.movements.size(number)?;
            let half_width = share.half_width * share.sensitivity.abs();
            Some(Term {
                label: size.label.clone(),
                path: size.path.clone(),
                size: Toleranced { nominal: 0.0, spread: Spread::Uniform { half_width } },
                sensitivity: share.sensitivity.signum(),
            })
        })
    }

    /// Adds what moves the gap by `sensitivity` per unit of `size`, together with what is known of it.
    fn add(&mut self, source: Source, size: &Toleranced, sensitivity: f64) {
        self.put(source, size.half_width(), sensitivity);
    }

    fn put(&mut self, source: Source, half_width: f64, sensitivity: f64) {
        if !(half_width > 0.0 && sensitivity.abs() > 0.0) {
            return;
        }
        match self.0.iter_mut().find(|share| share.source == source) {
            Some(share) => share.sensitivity += sensitivity,
            None => self.0.push(Share { source, half_width, sensitivity }),
        }
    }

    /// What moves the point of one side out towards the other: that much less gap.
    fn side(&mut self, fixture: &Fixture, assembly: &Assembly, side: &Side<'_>) {
        let Owner::Rider(number) = side.body.owner else { return };
        let (Some(rider), Some(placed)) = (fixture.riders.get(number), assembly.riders.get(number)) else {
            return;
        };
        let axial = side.towards.dot(placed.facing.outward());
        match side.body.role {
            Role::Plate | Role::Load => {
                let load = rider.loads.iter().find(|load| load.path == side.body.path);
                let plate = load.map_or(side.body.plate, |load| load.on);
                let Some(plate) = plate else { return };
                let Some(level) = placed.plates.get(plate) else { return };
                let height = side.point.dot(placed.facing.outward());
                // A load goes with the face it stands on, a plate and what stands out of it with where they are.
                let share = match load {
                    Some(_) => 1.0,
                    None => (height - level.inner) / (level.outer - level.inner),
                };
                self.plate(fixture, assembly, number, plate, share, axial);
            }
            role if role.is_hardware() => {
                let Some(stack_number) = side.body.stack else { return };
                let Some(stack) = placed.stacks.get(stack_number) else { return };
                let Some((_, _, pieces)) = rider.stack(stack.of) else { return };
                let reference = Reference { fixture, rider: number, stack_number, stack, pieces };
                self.hardware(assembly, &reference, side, axial);
            }
            _ => {}
        }
    }

    /// A point `share` of the way from a plate's inner to its outer face.
    fn plate(
        &mut self,
        fixture: &Fixture,
        assembly: &Assembly,
        number: usize,
        plate: usize,
        share: f64,
        axial: f64,
    ) {
        let (Some(rider), Some(placed)) = (fixture.riders.get(number), assembly.riders.get(number)) else {
            return;
        };
        // Its level is that of the stacks which carry it, of which any one tells; without any it stands where it is said
        // to by its inner face.
        let Some((stack_number, stack)) = placed.carrier(plate) else {
            if let Some(plate_itself) = rider.plates.get(plate) {
                let source = Source::Plate(number, plate);
                self.add(source, &plate_itself.thickness, -share.clamp(0.0, 1.0) * axial);
            }
            return;
        };
        let Some((_, _, pieces)) = rider.stack(stack.of) else { return };
        let Some(piece) = pieces.place_of(plate) else { return };
        let share = share.clamp(0.0, 1.0);
        let from_head = if stack.points < 0.0 { 1.0 - share } else { share };
        let reference = Reference { fixture, rider: number, stack_number, stack, pieces };
        self.along(&reference, piece as f64 + from_head, axial * stack.points);
        self.below_bolt(assembly, &reference, axial);
    }

    /// What moves the plate in which a bolt stands, and so the bolt.
    fn below_bolt(&mut self, assembly: &Assembly, at: &Reference<'_>, axial: f64) {
        let datum = at.pieces.pieces.get(at.stack.datum_piece).map(|piece| &piece.kind);
        if let (StackOf::Bolt(_), Some(PieceKind::Plate(plate))) = (at.stack.of, datum) {
            self.plate(at.fixture, assembly, at.rider, *plate, 0.0, axial);
        }
    }

    fn hardware(&mut self, assembly: &Assembly, at: &Reference<'_>, side: &Side<'_>, axial: f64) {
        let Reference { fixture, rider, stack_number, stack, pieces } = *at;
        let outward = fixture.riders.get(rider).map_or(DVec3::ZERO, |r| r.facing.outward());
        let along = axial * stack.points;
        let height = side.point.dot(outward);
        let share = |from: f64, to: f64| ((height - from) / (to - from)).clamp(0.0, 1.0);
        match (side.body.role, side.body.piece) {
            (Role::Head, _) => {
                self.along(at, 0.0, along);
                let up = share(stack.seat_level, stack.head_level);
                self.add(Source::Head(rider, stack_number), &pieces.screw.head_height, along * up);
            }
            (Role::ScrewEnd, _) => {
                let count = pieces.pieces.len();
                let last = stack.pieces.last().map_or(stack.seat_level, |piece| piece.tip_side);
                let out = share(last, stack.tip_level);
                self.along(at, count as f64, along * (1.0 - out));
                self.along(at, 0.0, along * out);
                self.add(Source::Screw(rider, stack_number), &pieces.screw.length, -along * out);
            }
            // The tyre stands on the datum, whatever the hub measures.
            (Role::Tyre, _) => {}
            (_, Some(piece)) => {
                let Some(place) = stack.pieces.get(piece) else { return };
                self.along(at, piece as f64 + share(place.head_side, place.tip_side), along);
            }
            _ => {}
        }
        match stack.of {
            StackOf::Wheel(number) => self.across(at, number, side),
            StackOf::Bolt(_) => self.below_bolt(assembly, at, axial),
        }
    }

    /// A place of a stack, counted in pieces from the head, that stands out towards the other side by `along`
    /// per mm towards the free end.
    fn along(&mut self, at: &Reference<'_>, place: f64, along: f64) {
        let datum = at.stack.datum_place();
        let (low, high, sign) = if datum <= place { (datum, place, 1.0) } else { (place, datum, -1.0) };
        for (number, piece) in at.pieces.pieces.iter().enumerate() {
            let covered = (high.min(number as f64 + 1.0) - low.max(number as f64)).max(0.0);
            let source = Source::Piece(at.rider, at.stack_number, number);
            // What stands out takes from the gap.
            self.add(source, &piece.thickness, -sign * covered * along);
        }
    }

    /// What moves a wheel's axle, and so its stack, across the rail; and its own rim.
    fn across(&mut self, at: &Reference<'_>, number: usize, side: &Side<'_>) {
        let mount = at.fixture.riders.get(at.rider).and_then(|rider| rider.wheels.get(number));
        let Some((mount, seating)) = mount.zip(at.stack.seating.as_ref()) else { return };
        let Some(wheel) = crate::loads::wheel_of(mount) else { return };
        let Some(track) = at.fixture.rail.tracks.get(mount.track) else { return };
        let radial = DVec3::new(0.0, track.normal.x, track.normal.y);
        let out = side.towards.dot(radial);
        // Every form's axle stands off by its radius less what the tip enters, and that is the same for all radii.
        let mut by_radius = out;
        if side.body.role == Role::Tyre {
            let Some(facing) = at.fixture.riders.get(at.rider).map(|rider| rider.facing) else { return };
            let outward = facing.outward();
            let axle = at.stack.point(facing, at.stack.datum);
            let off = side.point - axle;
            let off = (off - outward * off.dot(outward)).normalize_or_zero();
            by_radius += side.towards.dot(off);
        }
        self.add(Source::Radius(at.rider, at.stack_number), &wheel.outer_radius, -by_radius);
        if let crate::TrackProfile::Vee { mouth, .. } = &track.profile {
            self.add(Source::Mouth(mount.track), mouth, out * seating.sinks_per_mouth());
        }
    }
}

#[derive(Clone, Copy)]
struct Reference<'a> {
    fixture: &'a Fixture,
    rider: usize,
    stack_number: usize,
    stack: &'a PlacedStack,
    pieces: &'a Stack,
}

fn name(fixture: &Fixture, assembly: &Assembly, source: Source) -> Option<(String, String)> {
    let stack = |rider: usize, stack: usize| {
        let placed = assembly.riders.get(rider)?.stacks.get(stack)?;
        let owner = fixture.riders.get(rider)?;
        let (_, _, pieces) = owner.stack(placed.of)?;
        Some((owner, placed, pieces))
    };
    match source {
        Source::Piece(rider, number, piece) => {
            let (owner, _, pieces) = stack(rider, number)?;
            let piece = pieces.pieces.get(piece)?;
            Some((format!("{} of {}", piece.name, owner.name), piece.path.clone()))
        }
        Source::Plate(rider, plate) => {
            let owner = fixture.riders.get(rider)?;
            let plate = owner.plates.get(plate)?;
            Some((format!("{} of {}", plate.name, owner.name), plate.path.clone()))
        }
        Source::Screw(rider, number) => {
            let (owner, _, pieces) = stack(rider, number)?;
            Some((format!("length of {} of {}", pieces.screw.name, owner.name), pieces.screw.path.clone()))
        }
        Source::Head(rider, number) => {
            let (owner, _, pieces) = stack(rider, number)?;
            Some((format!("head of {} of {}", pieces.screw.name, owner.name), pieces.screw.path.clone()))
        }
        Source::Radius(rider, number) => {
            let (owner, placed, pieces) = stack(rider, number)?;
            let StackOf::Wheel(wheel) = placed.of else { return None };
            let mount = owner.wheels.get(wheel)?;
            let piece = pieces.pieces.iter().find(|piece| matches!(piece.kind, PieceKind::Wheel(_)))?;
            Some((format!("radius of the {} wheel of {}", mount.name, owner.name), piece.path.clone()))
        }
        Source::Moving(size) => {
            let size = assembly.movements.size(size)?;
            Some((size.label.clone(), size.path.clone()))
        }
        Source::Mouth(track) => {
            let track = fixture.rail.tracks.get(track)?;
            Some((format!("mouth of the {} track", track.name), fixture.rail.path.clone()))
        }
    }
}

impl Contributor {
    /// What it takes of the gap at its worst (mm).
    pub fn worst(&self) -> f64 {
        self.sensitivity.abs() * self.half_width
    }
}
