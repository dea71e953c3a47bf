//! What can be moved, and which sizes that changes.

use glidewright_geometry::DVec3;
use glidewright_motion::{Body, BodyId, Facing, Fixture, LineNode, Owner, Role, StackOf, rider_x};
use glidewright_project::Document;
use glidewright_project::document::{
    Axis, Body as Form, Line, LinePlane, Load, Named, Obstacle, Patch, Point, Rider, WheelPlace,
};

use crate::state::Bench;

/// One size that moves something.
#[derive(Clone, Debug, PartialEq)]
pub struct Coordinate {
    /// Where the size stands in the document.
    pub path: String,
    /// How the thing moves when the size grows by 1: a unit vector of the rail frame.
    pub direction: DVec3,
    /// What the reader calls that way.
    pub way: &'static str,
    /// Least and greatest value (mm).
    pub limits: Option<(f64, f64)>,
}

/// Something that can be moved.
#[derive(Clone, Debug, PartialEq)]
pub struct Movable {
    /// What it is called.
    pub name: String,
    /// In whose frame it stands.
    pub owner: Owner,
    /// The sizes that move it; those of one way change together, the first of them is the one read out.
    pub coordinates: Vec<Coordinate>,
    /// Its bodies.
    pub bodies: Vec<BodyId>,
    /// Its middle in its owner's frame (mm).
    pub middle: DVec3,
    /// Its extent about the middle (mm).
    pub half: DVec3,
}

impl Movable {
    /// Where its owner's frame stands along the rail at a travel (mm).
    pub fn home(&self, fixture: &Fixture, travel: f64) -> f64 {
        match self.owner {
            Owner::Ground => 0.0,
            Owner::Rider(number) => rider_x(fixture, number, travel),
        }
    }

    /// The different ways it can move, each with its first coordinate.
    pub fn ways(&self) -> impl Iterator<Item = &Coordinate> {
        self.coordinates.iter().enumerate().filter_map(|(number, coordinate)| {
            let known = self.coordinates.iter().take(number).any(|c| c.direction == coordinate.direction);
            (!known).then_some(coordinate)
        })
    }
}

/// What can be moved of the thing at a path or, where many share a path, of a body.
pub fn movable(document: &Document, bench: &Bench, path: &str, body: Option<BodyId>) -> Option<Movable> {
    let steps: Vec<&str> = path.split('/').collect();
    let of_wheel = body.and_then(|id| bench.results.assembly.body(id).map(|b| (id, b)));
    let found = match steps.as_slice() {
        ["obstacles", name, ..] => obstacle(document.obstacles.iter().find(|o| o.name == *name)?, bench),
        ["line", "nodes", name, ..] => node(document.line.as_ref()?, name, bench),
        ["riders", rider, rest @ ..] => {
            let number = bench.fixture.riders.iter().position(|known| known.name == *rider)?;
            let rider = document.riders.iter().find(|known| known.name == *rider)?;
            match rest {
                ["loads", name, ..] => {
                    load(rider, number, rider.loads.iter().find(|load| load.name == *name)?, bench)
                }
                ["grip", ..] => grip(rider, number, bench),
                ["wheels", name, ..] => wheel(rider, number, place_of(rider, name)?, None, bench),
                ["stack", ..] => {
                    let (_, body) = of_wheel.filter(|(_, body)| is_wheel(body))?;
                    let placed = bench.results.assembly.riders.get(number)?.stacks.get(body.stack?)?;
                    let StackOf::Wheel(mount) = placed.of else { return None };
                    let mount = bench.fixture.riders.get(number)?.wheels.get(mount)?;
                    wheel(rider, number, place_of(rider, &mount.name)?, Some(&mount.name), bench)
                }
                _ => None,
            }
        }
        _ => None,
    }?;
    let sound = found.middle.is_finite() && found.half.is_finite() && !found.coordinates.is_empty();
    sound.then_some(found)
}

fn is_wheel(body: &Body) -> bool {
    matches!(body.role, Role::Tyre | Role::Hub)
}

/// The wheel place of a name, or of one wheel of a pair, which adds its side to it.
fn place_of<'a>(rider: &'a Rider, name: &str) -> Option<&'a WheelPlace> {
    let is_pair = |place: &&WheelPlace| {
        place.pair.is_some() && name.strip_prefix(&place.name).is_some_and(|side| side.starts_with(' '))
    };
    rider.wheels.iter().find(|place| place.name == name).or_else(|| rider.wheels.iter().find(is_pair))
}

fn coordinate(path: String, direction: DVec3, way: &'static str) -> Coordinate {
    Coordinate { path, direction, way, limits: None }
}

/// The three coordinates of a place given along the rider, across and out from its plate.
fn on_rider(base: &str, facing: Facing) -> [Coordinate; 3] {
    [
        coordinate(format!("{base}/x"), DVec3::X, "along"),
        coordinate(format!("{base}/y"), facing.lateral(), "across"),
        coordinate(format!("{base}/z"), facing.outward(), "out"),
    ]
}

/// The three coordinates of a place in the rail frame.
fn on_rail(base: &str) -> [Coordinate; 3] {
    [
        coordinate(format!("{base}/x"), DVec3::X, "along"),
        coordinate(format!("{base}/y"), DVec3::Y, "across"),
        coordinate(format!("{base}/z"), DVec3::Z, "out"),
    ]
}

/// The places of a form, by name.
fn places(form: &Form) -> Vec<&'static str> {
    match form {
        Form::Box { turned: Some(turned), .. } if turned.at.is_some() => vec!["from", "to", "turned/at"],
        Form::Box { .. } | Form::Cylinder { .. } | Form::Cone { .. } => vec!["from", "to"],
        Form::Ball { .. } => vec!["at"],
        Form::Outline { turned: Some(turned), .. } if turned.at.is_some() => vec!["turned/at"],
        Form::Outline { .. } => Vec::new(),
    }
}

/// The places of an outline in its plane and the ends of its thickness, of the frame's coordinates `frame`.
fn on_outline(shape: &Patch, along: Axis, base: &str, frame: &[Coordinate; 3]) -> Vec<Coordinate> {
    let named = |path: String, axis: Axis| {
        let [x, y, z] = frame;
        let of = match axis {
            Axis::X => x,
            Axis::Y => y,
            Axis::Z => z,
        };
        Coordinate { path, ..of.clone() }
    };
    let spots: &[&str] = match shape {
        Patch::Circle { .. } | Patch::Path { .. } => &["at"],
        Patch::Rectangle { .. } | Patch::Slot { .. } => &["from", "to"],
    };
    let [right, up] = along.others();
    let mut all = Vec::new();
    for spot in spots {
        all.push(named(format!("{base}/shape/{spot}/along"), right));
        all.push(named(format!("{base}/shape/{spot}/across"), up));
    }
    all.extend(["from", "to"].map(|end| named(format!("{base}/{end}"), along)));
    all
}

fn of_forms(forms: &[Form], base: &str, point: impl Fn(&str) -> [Coordinate; 3]) -> Vec<Coordinate> {
    let mut all = Vec::new();
    for (number, form) in (1..).zip(forms) {
        let own = format!("{base}/bodies/{number}");
        if let Form::Outline { shape, along, .. } = form {
            all.extend(on_outline(shape, *along, &own, &point(&own)));
        }
        for place in places(form) {
            all.extend(point(&format!("{own}/{place}")));
        }
    }
    all
}

/// The bodies that a test holds for, and the middle and half extent of them all in their owner's frame.
fn extent(bench: &Bench, holds: impl Fn(&Body) -> bool) -> (Vec<BodyId>, Option<(DVec3, DVec3)>) {
    let mut ids = Vec::new();
    let mut whole: Option<(DVec3, DVec3)> = None;
    for (number, body) in bench.results.assembly.bodies.iter().enumerate().filter(|(_, body)| holds(body)) {
        ids.push(BodyId(u32::try_from(number).unwrap_or(u32::MAX)));
        for bounds in body.solids.iter().map(|solid| solid.bounds()).filter(|bounds| !bounds.is_empty()) {
            whole = Some(match whole {
                None => (bounds.low, bounds.high),
                Some((low, high)) => (low.min(bounds.low), high.max(bounds.high)),
            });
        }
    }
    (ids, whole.map(|(low, high)| (0.5 * (low + high), 0.5 * (high - low))))
}

fn obstacle(obstacle: &Obstacle, bench: &Bench) -> Option<Movable> {
    let base = format!("obstacles/{}", obstacle.name);
    let (bodies, extent) = extent(bench, |body| body.path == base);
    let (middle, half) = extent?;
    let coordinates = of_forms(&obstacle.bodies, &base, on_rail);
    Some(Movable { name: obstacle.name.clone(), owner: Owner::Ground, coordinates, bodies, middle, half })
}

fn load(rider: &Rider, number: usize, load: &Load, bench: &Bench) -> Option<Movable> {
    let base = format!("riders/{}/loads/{}", rider.name, load.name);
    let resolved = bench.fixture.riders.get(number)?;
    let own = resolved.loads.iter().find(|known| known.path == base)?;
    let (bodies, extent) = extent(bench, |body| body.path == base);
    let slid = own.reach.map_or(DVec3::ZERO, |reach| reach.direction * reach.at);
    let (middle, half) = extent.unwrap_or((own.centre + slid, DVec3::ZERO));
    let coordinates = match own.reach {
        // What slides on its rider is slid; its place is changed by its sizes.
        Some(reach) => vec![Coordinate {
            path: format!("{base}/reach/at"),
            direction: reach.direction,
            way: "reach",
            limits: Some((reach.from, reach.to)),
        }],
        None => {
            let point = |at: &str| on_rider(at, resolved.facing);
            let centre = load.centre.as_ref().map(|_: &Point| point(&format!("{base}/centre")));
            let mut all: Vec<_> = centre.into_iter().flatten().collect();
            all.extend(of_forms(&load.bodies, &base, point));
            all
        }
    };
    Some(Movable { name: load.name.clone(), owner: Owner::Rider(number), coordinates, bodies, middle, half })
}

fn grip(rider: &Rider, number: usize, bench: &Bench) -> Option<Movable> {
    let grip = rider.grip.as_ref()?;
    let resolved = bench.fixture.riders.get(number)?;
    Some(Movable {
        name: grip.name.clone(),
        owner: Owner::Rider(number),
        coordinates: on_rider(&format!("riders/{}/grip/at", rider.name), resolved.facing).into(),
        bodies: Vec::new(),
        middle: resolved.grip.as_ref()?.at,
        half: DVec3::ZERO,
    })
}

/// A wheel, or both wheels of a pair; `only` is the one taken hold of.
fn wheel(
    rider: &Rider,
    number: usize,
    place: &WheelPlace,
    only: Option<&str>,
    bench: &Bench,
) -> Option<Movable> {
    let resolved = bench.fixture.riders.get(number)?;
    let placed = bench.results.assembly.riders.get(number)?;
    let is_own = |name: &str| place_of(rider, name).is_some_and(|own| own.name == place.name);
    let (bodies, extent) = extent(bench, |body| {
        if !is_wheel(body) || body.owner != Owner::Rider(number) {
            return false;
        }
        let stack = body.stack.and_then(|stack| placed.stacks.get(stack));
        let Some(StackOf::Wheel(mount)) = stack.map(|stack| stack.of) else { return false };
        let Some(mount) = resolved.wheels.get(mount) else { return false };
        is_own(&mount.name) && only.is_none_or(|only| only == mount.name)
    });
    let (middle, half) = extent?;
    Some(Movable {
        name: place.name().to_owned(),
        owner: Owner::Rider(number),
        coordinates: vec![coordinate(
            format!("riders/{}/wheels/{}/along", rider.name, place.name),
            DVec3::X,
            "along",
        )],
        bodies,
        middle,
        half,
    })
}

fn node(line: &Line, name: &str, bench: &Bench) -> Option<Movable> {
    let node = line.nodes.iter().find(|node| node.name() == name)?;
    let base = format!("line/nodes/{name}");
    let across = match line.plane {
        LinePlane::Upright { .. } => DVec3::Z,
        LinePlane::Flat { .. } => DVec3::Y,
    };
    let resolved = bench.fixture.line.as_ref()?;
    let (rider, at) = resolved.nodes.iter().find_map(|known| match known {
        LineNode::Anchor { name: own, rider, at, .. } if own == name => Some((*rider, *at)),
        LineNode::Pulley(pulley) if pulley.name == name => {
            Some((pulley.rider, resolved.plane.point(pulley.centre)))
        }
        _ => None,
    })?;
    let (bodies, extent) = extent(bench, |body| body.path == base && body.role == Role::Pulley);
    let (middle, half) = extent.unwrap_or((at, DVec3::ZERO));
    Some(Movable {
        name: node.name().to_owned(),
        owner: rider.map_or(Owner::Ground, Owner::Rider),
        coordinates: vec![
            coordinate(format!("{base}/at/along"), DVec3::X, "along"),
            coordinate(format!("{base}/at/across"), across, "across"),
        ],
        bodies,
        middle,
        half,
    })
}
