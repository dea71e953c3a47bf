//! From bodies to lumps.

use glam::{DVec2, DVec3};
use glidewright_geometry::{Region, Shape, Solid};
use glidewright_motion::{
    Body, BodyId, Extruded, HeadForm, NutForm, Owner, PathElement, PieceKind, Role, Running, Wheel,
    inner_ring_radius, path_at,
};

use super::flat::{Corner, Extrusion, box_faces, corners, polyhedron_faces};
use super::lump::{Etched, Face, Form, Lump, Round, Turned, Whose};
use crate::look::Tone;
use crate::views::Pick;
use crate::views::figure::{AxisFrame, INNER_RING_SHARE, Sight, THREAD_DEPTH, hexagon_corner, tyre_profile};
use crate::views::projection::Projector;
use crate::views::scene::{Scene, body_tone};

/// A belt's wraps are drawn in flat pieces of this angle at most (rad).
const WRAP_STEP: f64 = 0.22;
/// Edges of the rail's pieces this near (mm) to the section's own edges are faces, chords of its roundings too;
/// the others are cuts between the pieces.
const ON_SECTION: f64 = 0.16;

/// Everything on the rail when the lead's travel is `travel` (mm), as lumps.
pub(super) fn lumps(scene: &Scene<'_>, view: &Projector, travel: f64) -> Vec<Lump> {
    let mut maker = Maker { scene, view, home: DVec3::ZERO, lumps: Vec::new() };
    for (id, body) in scene.bodies() {
        maker.home = DVec3::X * scene.home(body.owner, travel);
        if maker.home.is_finite() {
            maker.body(id, body);
        }
    }
    maker.line(travel);
    maker.lumps
}

struct Maker<'a, 'b> {
    scene: &'a Scene<'b>,
    view: &'a Projector,
    home: DVec3,
    lumps: Vec<Lump>,
}

impl Maker<'_, '_> {
    fn push(&mut self, whose: &Whose, tone: Tone, form: Form) {
        self.lumps.extend(Lump::new(self.view, whose.clone(), tone, form));
    }

    fn body(&mut self, id: BodyId, body: &Body) {
        let whose = (Some(Pick::Body(id).part()), Some(body.label.as_str().into()));
        match body.role {
            Role::Rail => self.rail(&whose, body),
            Role::Plate => {
                self.plate(&whose, body);
            }
            // Drawn as one with the pulleys' wraps.
            Role::Span => {}
            Role::Pulley => self.pulley(&whose, body),
            role if role.is_hardware() => {
                if self.hardware(&whose, body).is_none() {
                    self.solids(&whose, body, body_tone(body));
                }
            }
            _ => self.solids(&whose, body, body_tone(body)),
        }
    }

    fn solids(&mut self, whose: &Whose, body: &Body, tone: Tone) {
        for own in &body.extruded {
            let pieces = own.own(&body.solids);
            let whole = |contour: Vec<Corner>| vec![contour];
            self.joined(whose, tone, std::slice::from_ref(&*own.region), pieces, whole);
        }
        for solid in Extruded::others(&body.extruded, &body.solids) {
            if let Some(form) = self.form(solid) {
                self.push(whose, tone, form);
            }
        }
    }

    fn form(&self, solid: &Solid) -> Option<Form> {
        let (pose, toward) = (&solid.pose, self.view.toward);
        let turned = |half: f64, radii: [f64; 2]| {
            let rings = vec![DVec2::new(-half, radii[0]), DVec2::new(half, radii[1])];
            let (base, axis) = (pose.shift + self.home, pose.direction(DVec3::Z));
            Form::Turned(Turned { base, axis, rings, edged: true, caps: Default::default() })
        };
        Some(match &solid.shape {
            Shape::Cylinder { radius, half_height } => turned(*half_height, [*radius; 2]),
            Shape::Frustum { lower_radius, upper_radius, half_height } => {
                turned(*half_height, [*lower_radius, *upper_radius])
            }
            Shape::Sphere { radius } => {
                const BANDS: u32 = 12;
                let rings = (0..=BANDS)
                    .map(|i| {
                        let angle = std::f64::consts::PI * (f64::from(i) / f64::from(BANDS) - 0.5);
                        DVec2::new(angle.sin(), angle.cos().max(1e-3)) * *radius
                    })
                    .collect();
                let (base, axis) = (pose.shift + self.home, self.view.toward);
                Form::Turned(Turned { base, axis, rings, edged: false, caps: Default::default() })
            }
            Shape::Cuboid { half } => Form::Faced(box_faces(pose, *half, self.home, toward)),
            Shape::Prism { outline, half_height } => {
                let frame = Extrusion::of(pose, *half_height, self.home);
                Form::Faced(frame.faces(&[corners(outline)], toward, |_, _| true))
            }
            Shape::Polyhedron(body) => Form::Faced(polyhedron_faces(pose, body, self.home)),
        })
    }

    /// The rail as the convex pieces of its section.
    fn rail(&mut self, whose: &Whose, body: &Body) {
        let bars = &self.scene.fixture.rail.bars;
        self.joined(whose, Tone::Rail, bars, &body.solids, |contour| quarters(&contour));
    }

    /// The convex pieces of sections, each cut further as `cut` says, drawn without the cuts between them.
    fn joined(
        &mut self,
        whose: &Whose,
        tone: Tone,
        sections: &[Region],
        pieces: &[Solid],
        cut: impl Fn(Vec<Corner>) -> Vec<Vec<Corner>>,
    ) {
        let outlines = || sections.iter().flat_map(Region::outlines);
        let sharp: Vec<DVec2> =
            outlines().flat_map(corners).filter(|corner| corner.sharp).map(|corner| corner.at).collect();
        let on_section = |p: DVec2| outlines().any(|outline| outline.distance_to_boundary(p) < ON_SECTION);
        for solid in pieces {
            let Shape::Prism { outline, half_height } = &solid.shape else { continue };
            let frame = Extrusion::of(&solid.pose, *half_height, self.home);
            for mut contour in cut(corners(outline)) {
                for corner in &mut contour {
                    corner.sharp =
                        sharp.iter().any(|p| p.distance_squared(corner.at) < ON_SECTION * ON_SECTION);
                }
                let faces = frame.faces(&[contour], self.view.toward, |a, b| {
                    on_section(0.5 * (a + b)) && on_section(a.lerp(b, 0.2))
                });
                self.push(whose, tone, Form::Faced(faces));
            }
        }
    }

    fn plate(&mut self, whose: &Whose, body: &Body) -> Option<()> {
        let Owner::Rider(number) = body.owner else { return None };
        let rider = self.scene.fixture.riders.get(number)?;
        let plate_number = rider.plates.iter().position(|plate| plate.path == body.path)?;
        let plate = rider.plates.get(plate_number)?;
        let place = self.scene.results.assembly.riders.get(number)?.plates.get(plate_number)?;
        for layer in plate.sheet_layers() {
            let frame = Extrusion {
                origin: self.home,
                x: DVec3::X,
                y: rider.facing.lateral(),
                up: rider.facing.outward(),
                low: place.inner + layer.from,
                high: place.inner + layer.to,
            };
            for region in &layer.regions {
                let contours: Vec<Vec<Corner>> = region.outlines().map(corners).collect();
                let faces = frame.faces(&contours, self.view.toward, |_, _| true);
                self.push(whose, body_tone(body), Form::Faced(faces));
            }
        }
        Some(())
    }

    fn pulley(&mut self, whose: &Whose, body: &Body) {
        for solid in &body.solids {
            let Some(Form::Turned(mut turned)) = self.form(solid) else { continue };
            let rim = turned.rings.first().map_or(0.0, |ring| ring.y);
            turned.caps = [(); 2].map(|()| {
                vec![
                    Etched::Ring(0.84 * rim),
                    Etched::Disc(0.5 * rim, Tone::Bearing),
                    Etched::Disc(0.26 * rim, Tone::Hardware),
                ]
            });
            self.push(whose, Tone::Pulley, Form::Turned(turned));
        }
    }

    /// A piece on a screw; `None` when its stack is not known.
    fn hardware(&mut self, whose: &Whose, body: &Body) -> Option<()> {
        let Owner::Rider(number) = body.owner else { return None };
        let facing = self.scene.fixture.riders.get(number)?.facing;
        let mut at = (DVec3::ZERO, DVec3::Z);
        let frame = AxisFrame::seen(self.scene, body, |placed, base, grows| {
            let aside = match body.role {
                Role::Spacer => body.solids.first().map_or(DVec3::ZERO, |solid| {
                    let off = solid.pose.shift - placed.point(facing, 0.0);
                    off - facing.outward() * off.dot(facing.outward())
                }),
                _ => DVec3::ZERO,
            };
            at = (placed.point(facing, base) + aside, facing.outward() * grows);
            Some(Sight::End { centre: DVec2::ZERO, faces_reader: true })
        })?;
        let axle = Axle { base: at.0 + self.home, axis: at.1, toward: self.view.toward };
        let tone = body_tone(body);
        let (height, screw) = (frame.height, &frame.stack.screw);
        let thread = 0.5 * screw.diameter;
        match (body.role, frame.piece.map(|piece| (&piece.kind, piece))) {
            (Role::Tyre, Some((PieceKind::Wheel(wheel), _))) => self.tyre(whose, &axle, wheel, height),
            (Role::Hub, Some((PieceKind::Wheel(wheel), _))) => {
                let stub = 0.5 * (height - wheel.width);
                let radius = inner_ring_radius(&wheel.bearing);
                if stub > 0.0 {
                    for from in [0.0, height - stub] {
                        self.push(whose, tone, axle.bar(from, from + stub, radius));
                    }
                }
            }
            (Role::Nut, Some((PieceKind::Nut { form: NutForm::Square, .. }, piece))) => {
                let half = DVec2::splat(0.5 * piece.outer);
                self.push(whose, tone, axle.block(0.0, height, half));
            }
            (Role::Nut, Some((PieceKind::Nut { form: NutForm::Slot { length }, .. }, piece))) => {
                let half = 0.5 * DVec2::new(*length, piece.outer);
                self.push(whose, tone, axle.block(0.0, height, half));
            }
            (Role::Nut, Some((PieceKind::Nut { form: NutForm::Flanged { flange }, .. }, piece))) => {
                let (foot, rim) = (0.18 * height, 0.35 * height);
                let radius = hexagon_corner(piece.outer);
                let rings = [(0.0, 0.5 * flange), (foot, 0.5 * flange), (rim, radius)];
                self.push(whose, tone, axle.turned(&rings, false, Vec::new()));
                self.push(whose, tone, axle.hexagon(rim, height, piece.outer, thread));
            }
            (Role::Nut, Some((PieceKind::Nut { locking, .. }, piece))) => {
                let hexagon = if *locking { 0.68 * height } else { height };
                self.push(whose, tone, axle.hexagon(0.0, hexagon, piece.outer, thread));
                if *locking {
                    let radius = 0.46 * piece.outer;
                    let round = (0.5 * (height - hexagon)).min(0.3 * radius);
                    let rings = [(hexagon, radius), (height - round, radius), (height, radius - round)];
                    self.push(whose, tone, axle.turned(&rings, false, vec![Etched::Ring(thread)]));
                }
            }
            (Role::Head, _) => {
                let radius = 0.5 * screw.head_size;
                let form = match screw.head_form {
                    HeadForm::Hexagon => axle.hexagon(0.0, height, screw.head_size, 0.0),
                    HeadForm::Button => axle.turned(
                        &[
                            (0.0, radius),
                            (0.4 * height, 0.93 * radius),
                            (0.75 * height, 0.75 * radius),
                            (height, 0.5 * radius),
                        ],
                        false,
                        vec![Etched::Socket(hexagon_corner(1.34 * thread))],
                    ),
                    HeadForm::Flanged => axle.turned(
                        &[
                            (0.0, radius),
                            (0.36 * height, radius),
                            (0.36 * height, 0.74 * radius),
                            (0.8 * height, 0.55 * radius),
                            (height, 0.38 * radius),
                        ],
                        false,
                        vec![Etched::Socket(hexagon_corner(1.34 * thread))],
                    ),
                    HeadForm::Socket | HeadForm::Countersunk | HeadForm::None => {
                        let round = (0.12 * radius).min(0.3 * height);
                        axle.turned(
                            &[(0.0, radius), (height - round, radius), (height, radius - round)],
                            true,
                            vec![Etched::Socket(hexagon_corner(1.66 * thread))],
                        )
                    }
                };
                self.push(whose, tone, form);
            }
            (Role::ScrewEnd, _) => {
                let root = (thread - THREAD_DEPTH * screw.pitch).max(0.5 * thread);
                let chamfer = (thread - root).min(0.9 * height);
                let rings = [(0.0, thread), (height - chamfer, thread), (height, root)];
                self.push(whose, tone, axle.turned(&rings, true, Vec::new()));
            }
            _ => self.push(whose, tone, axle.bar(0.0, height, frame.radius)),
        }
        Some(())
    }

    fn tyre(&mut self, whose: &Whose, axle: &Axle, wheel: &Wheel, height: f64) {
        let profile: Vec<(f64, f64)> =
            tyre_profile(wheel).iter().map(|p| (0.5 * height + p.x, p.y)).collect();
        let foot = profile.first().map_or(0.0, |p| p.1);
        let seat = 0.5 * wheel.bearing.outer;
        let face = if seat < 0.97 * foot {
            vec![
                Etched::Disc(seat, Tone::Bearing),
                Etched::Ring(ring_radius(wheel, 1.0 - INNER_RING_SHARE)),
                Etched::Ring(inner_ring_radius(&wheel.bearing)),
                Etched::Disc(0.5 * wheel.bearing.bore, Tone::Hardware),
            ]
        } else {
            Vec::new()
        };
        if matches!(wheel.running, Running::Grooved { .. }) {
            // Hollow: band by band.
            for band in profile.windows(2) {
                self.push(whose, Tone::Tyre, axle.turned_with(band, false, [face.clone(), face.clone()]));
            }
            return;
        }
        let edged = matches!(wheel.running, Running::Vee { .. } | Running::Flat);
        self.push(whose, Tone::Tyre, axle.turned_with(&profile, edged, [face.clone(), face]));
    }

    /// The belt or cord along its path.
    fn line(&mut self, travel: f64) {
        let Some(line) = &self.scene.fixture.line else { return };
        let Ok(path) = path_at(self.scene.fixture, line, travel) else { return };
        let whose: Whose = (Some(Pick::Line.part()), Some(line.name.as_str().into()));
        let half = (0.5 * line.thickness.max(0.4), 0.5 * line.width.max(0.4));
        let normal = line.plane.normal();
        let point = |p: DVec2, up: f64| line.plane.point(p) + normal * up;
        // A flat piece between two cross-sections, each given by an inner and an outer point.
        let piece = |from: [DVec2; 2], to: [DVec2; 2], ends: [bool; 2]| {
            let square = [from[0], to[0], to[1], from[1]];
            let contour = square.map(|at| Corner { at, sharp: true }).to_vec();
            let turns_left = (to[0] - from[0]).perp_dot(to[1] - to[0]) > 0.0;
            let contour = if turns_left { contour } else { contour.into_iter().rev().collect() };
            let origin = point(DVec2::ZERO, 0.0);
            let (x, y) = (point(DVec2::X, 0.0) - origin, point(DVec2::Y, 0.0) - origin);
            let frame = Extrusion { origin, x, y, up: normal, low: -half.1, high: half.1 };
            let is_end = |a: DVec2, b: DVec2, end: [DVec2; 2]| {
                let middle = 0.5 * (end[0] + end[1]);
                (0.5 * (a + b)).distance_squared(middle) < 1e-12
            };
            let wall =
                |a: DVec2, b: DVec2| (ends[0] || !is_end(a, b, from)) && (ends[1] || !is_end(a, b, to));
            Form::Faced(frame.faces(&[contour], self.view.toward, wall))
        };
        let last = path.elements.len().saturating_sub(1);
        let mut made = Vec::new();
        for (number, element) in path.elements.iter().enumerate() {
            match *element {
                PathElement::Span { from, to, .. } => {
                    let aside = (to - from).normalize_or_zero().perp() * half.0;
                    made.push(piece(
                        [from - aside, from + aside],
                        [to - aside, to + aside],
                        [number == 0, number == last],
                    ));
                }
                PathElement::Wrap { centre, radius, start, sweep, .. } => {
                    let count = (sweep.abs() / WRAP_STEP).ceil().clamp(1.0, 40.0);
                    let ends = |i: f64| {
                        let way = DVec2::from_angle(start + sweep * i / count);
                        [centre + way * (radius - half.0), centre + way * (radius + half.0)]
                    };
                    made.extend(
                        (0..count as u32)
                            .map(|i| piece(ends(f64::from(i)), ends(f64::from(i) + 1.0), [false, false])),
                    );
                }
            }
        }
        for form in made {
            self.push(&whose, Tone::Belt, form);
        }
    }
}

/// Radius within a wheel's bearing, by its share of the way from bore to outer ring (mm).
fn ring_radius(wheel: &Wheel, share: f64) -> f64 {
    let bearing = &wheel.bearing;
    0.5 * (bearing.bore + share * (bearing.outer - bearing.bore))
}

/// The axis of a piece on a screw.
struct Axle {
    base: DVec3,
    axis: DVec3,
    toward: DVec3,
}

impl Axle {
    fn bar(&self, from: f64, to: f64, radius: f64) -> Form {
        self.turned(&[(from, radius), (to, radius)], true, Vec::new())
    }

    /// A body of revolution with something on its upper face.
    fn turned(&self, rings: &[(f64, f64)], edged: bool, upper: Vec<Etched>) -> Form {
        self.turned_with(rings, edged, [Vec::new(), upper])
    }

    fn turned_with(&self, rings: &[(f64, f64)], edged: bool, caps: [Vec<Etched>; 2]) -> Form {
        let rings = rings.iter().map(|(height, radius)| DVec2::new(*height, *radius)).collect();
        Form::Turned(Turned { base: self.base, axis: self.axis, rings, edged, caps })
    }

    /// A block of half-sizes across, turned as the hexagons are.
    fn block(&self, from: f64, to: f64, half: DVec2) -> Form {
        let round = Round::about(self.axis);
        let signs = [DVec2::ONE, DVec2::new(-1.0, 1.0), DVec2::NEG_ONE, DVec2::new(1.0, -1.0)];
        let contour = signs.map(|sign| Corner { at: sign * half, sharp: true }).to_vec();
        let frame =
            Extrusion { origin: self.base, x: round.u, y: round.v, up: self.axis, low: from, high: to };
        Form::Faced(frame.faces(&[contour], self.toward, |_, _| true))
    }

    /// A hexagon prism, the circle of its chamfer and of its thread on the face away from the base.
    fn hexagon(&self, from: f64, to: f64, across_flats: f64, thread: f64) -> Form {
        let round = Round::about(self.axis);
        let corner = hexagon_corner(across_flats);
        let contour = (0..6)
            .map(|i| {
                let at = DVec2::from_angle(std::f64::consts::FRAC_PI_3 * f64::from(i)) * corner;
                Corner { at, sharp: true }
            })
            .collect();
        let frame =
            Extrusion { origin: self.base, x: round.u, y: round.v, up: self.axis, low: from, high: to };
        let mut faces = frame.faces(&[contour], self.toward, |_, _| true);
        let circle = |radius: f64| -> Vec<DVec3> {
            let middle = self.base + self.axis * to;
            round.ways(32).map(|way| middle + way * radius).collect()
        };
        let upper = faces.iter_mut().find(|face: &&mut Face| face.normal.dot(self.axis) > 0.99);
        if let Some(face) = upper {
            face.etched =
                [0.48 * across_flats, thread].into_iter().filter(|r| *r > 0.0).map(circle).collect();
        }
        Form::Faced(faces)
    }
}

/// A convex contour cut along both centre lines of the section: what reaches round a corner of the rail lies before
/// some things and behind others, and no order of painting is right for it.
fn quarters(contour: &[Corner]) -> Vec<Vec<Corner>> {
    let mut parts = vec![contour.to_vec()];
    for across in [DVec2::X, DVec2::Y] {
        let halves = |part: &Vec<Corner>| [1.0, -1.0].map(|side| half_of(part, side * across));
        parts = parts.iter().flat_map(halves).filter(|part| part.len() >= 3).collect();
    }
    parts
}

/// What of a convex contour lies on the positive side of a line through the origin (Sutherland and Hodgman's clipping).
fn half_of(contour: &[Corner], normal: DVec2) -> Vec<Corner> {
    /// Corners this near the line are on it (mm).
    const ON_LINE: f64 = 1e-9;
    let mut kept = Vec::with_capacity(contour.len() + 2);
    let mut inside = false;
    for (corner, next) in contour.iter().zip(contour.iter().cycle().skip(1)) {
        let (from, to) = (corner.at.dot(normal), next.at.dot(normal));
        inside |= from > ON_LINE;
        if from >= -ON_LINE {
            kept.push(*corner);
        }
        if from.abs() > ON_LINE && to.abs() > ON_LINE && (from > 0.0) != (to > 0.0) {
            kept.push(Corner { at: corner.at.lerp(next.at, from / (from - to)), sharp: false });
        }
    }
    if inside { kept } else { Vec::new() }
}
