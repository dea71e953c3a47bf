//! Riders and where their axles stand.

use std::collections::HashMap;

use glam::{DVec2, DVec3};
use glidewright_motion as motion;
use motion::plain;

use super::bodies::{self, Written};
use super::facing::facing;
use super::passage::Passage;
use super::{Context, forces, given, loads, plates, stack};
use crate::document::{Moves, Rider, Shoe, WheelPlace};
use crate::path::join;
use crate::problem::{Problem, quoted};
use crate::suggest::suggestion;

/// The riders in plain numbers, and their numbers by name.
pub(super) struct Riders<'a> {
    pub resolved: Vec<motion::Rider>,
    pub numbers: HashMap<&'a str, usize>,
}

pub(super) fn resolve<'a>(context: &mut Context<'a>, rail: &motion::Rail) -> Riders<'a> {
    let document = context.document;
    if document.riders.is_empty() {
        context.report(
            Problem::error("riders", "the fixture has no riders")
                .remedy("add at least one rider to riders: […]"),
        );
        context.unusable = true;
    }
    let leads = document.riders.iter().filter(|rider| rider.moves == Moves::Lead).count();
    if leads != 1 && !document.riders.is_empty() {
        context.report(
            Problem::error("riders", format!("{leads} riders lead; one must"))
                .remedy("give the others moves: linked(-1) or moves: free(…)"),
        );
        context.unusable = true;
    }
    let mut riders = Riders { resolved: Vec::new(), numbers: HashMap::new() };
    for (number, rider) in document.riders.iter().enumerate() {
        riders.numbers.entry(rider.name.as_str()).or_insert(number);
        let resolved = one(context, rail, rider);
        riders.resolved.push(resolved);
    }
    riders
}

fn one(context: &mut Context<'_>, rail: &motion::Rail, rider: &Rider) -> motion::Rider {
    let path = join("riders", &rider.name);
    let facing = facing(rider.faces);
    let plates = plates::blanks(context, rider, &path);
    let mut passages = Vec::new();
    let mut wheels = Vec::new();
    context.lacks_wheels = false;
    let mut wrong_pairs = Vec::new();
    for place in &rider.wheels {
        let tracks = tracks_of(context, rail, rider, place, &path, &mut wrong_pairs);
        context.lacks_wheels |= tracks.is_empty();
        for (name, track) in tracks {
            let mount = mount(context, rail, rider, &plates, place, name, track, &path);
            context.lacks_wheels |= mount.is_none();
            let Some(mount) = mount else { continue };
            if let Some(axle) = axle_place(&mount, rail, facing, &mut context.seats) {
                passages.extend(Passage::all(&mount.stack, axle));
            }
            wheels.push(mount);
        }
    }
    let mut bolts = Vec::new();
    for bolt in &rider.bolts {
        let base = join(&join(&path, "bolts"), &bolt.name);
        let at = DVec2::new(
            context.number(&bolt.at.0, &join(&base, "at"), "along"),
            context.number(&bolt.at.1, &join(&base, "at"), "across"),
        );
        let resolved = stack::resolve(context, rider, &plates, &bolt.stack, &join(&base, "stack"), false);
        if let Some(stack) = resolved {
            passages.extend(Passage::all(&stack, at));
            bolts.push(motion::Bolt { name: bolt.name.clone(), path: base, at, stack });
        } else {
            context.unusable = true;
        }
    }
    check_orders(
        context,
        rider,
        wheels.iter().map(|wheel| &wheel.stack).chain(bolts.iter().map(|bolt| &bolt.stack)),
    );
    let coupling = match &rider.moves {
        Moves::Lead => motion::Coupling::Lead,
        Moves::Linked(ratio) => {
            motion::Coupling::Linked { ratio: context.number(ratio, &join(&path, "moves"), "ratio") }
        }
        Moves::Free { from, to, at } => {
            let base = join(&path, "moves");
            let (from, to, at) = (
                context.number(from, &base, "from"),
                context.number(to, &base, "to"),
                context.number(at, &base, "at"),
            );
            if !(from <= at && at <= to) {
                context.report(
                    Problem::error(
                        &base,
                        format!(
                            "the place {} does not lie between {} and {}",
                            plain(at),
                            plain(from),
                            plain(to)
                        ),
                    )
                    .remedy("let from ≤ at ≤ to"),
                );
            }
            motion::Coupling::Free { from, to, at }
        }
    };
    let mut resolved = motion::Rider {
        name: rider.name.clone(),
        at_zero: context.number(&rider.at, &path, "at"),
        path: path.clone(),
        facing,
        coupling,
        wheels,
        bolts,
        shoes: rider.shoes.iter().filter_map(|shoe| shoe_of(context, rail, shoe, &path)).collect(),
        plates,
        loads: Vec::new(),
        grip: None,
        forces: Vec::new(),
        points: Vec::new(),
    };
    // Stacks that disagree hold their plate skew; it stands at the mean of what they ask, and what is on it follows.
    let (_, placed) = motion::place_stacks(rail, &resolved, &mut context.seats, &mut Vec::new());
    let levels: Vec<Option<f64>> =
        placed.iter().map(|plate| Some(plate.inner).filter(|inner| inner.is_finite())).collect();
    let mut fillings = Vec::new();
    for (plate, (blank, level)) in resolved.plates.iter_mut().zip(&levels).enumerate() {
        fillings.extend(plates::make(context, rider, plate, blank, &passages, *level));
    }
    let floor: HashMap<&str, f64> = rider
        .plates
        .iter()
        .zip(&resolved.plates)
        .zip(&levels)
        .filter_map(|((plate, made), level)| Some((plate.name.as_str(), (*level)? + made.thickness.nominal)))
        .collect();
    let frame = loads::Frame { facing, floor: &floor };
    let mut loads: Vec<motion::Load> =
        rider.loads.iter().filter_map(|load| loads::load(context, rider, load, &frame)).collect();
    loads.extend(fillings.into_iter().flatten());
    let grip = rider.grip.as_ref().and_then(|grip| loads::grip(context, rider, grip, &frame));
    let forces = rider.forces.iter().map(|force| forces::applied(context, rider, force, &frame)).collect();
    let points = rider.points.iter().map(|point| loads::watched(context, rider, point, &frame)).collect();
    if resolved.wheels.is_empty() && rider.shoes.is_empty() && context.lacks_wheels {
        context.unusable = true;
    } else if resolved.wheels.is_empty() && rider.shoes.is_empty() {
        context.report(
            Problem::error(&path, format!("{} has neither wheels nor shoes to run on", quoted(&rider.name)))
                .remedy("add wheels: […] with their tracks"),
        );
        context.unusable = true;
    }
    resolved.loads = loads;
    resolved.grip = grip;
    resolved.forces = forces;
    resolved.points = points;
    resolved
}

/// Plates must follow each other in one order outwards on every screw that passes them.
fn check_orders<'s>(
    context: &mut Context<'_>,
    rider: &Rider,
    stacks: impl Iterator<Item = &'s motion::Stack>,
) {
    let mut known: HashMap<(usize, usize), &str> = HashMap::new();
    for stack in stacks {
        let mut outwards: Vec<(usize, &motion::Piece)> =
            stack.plates().filter_map(|(place, plate)| Some((plate, stack.pieces.get(place)?))).collect();
        if stack.head == motion::HeadSide::Outside {
            outwards.reverse();
        }
        for (place, &(lower, _)) in outwards.iter().enumerate() {
            for &(upper, piece) in outwards.get(place + 1..).unwrap_or_default() {
                known.entry((lower, upper)).or_insert(&piece.path);
                let Some(other) = known.get(&(upper, lower)).filter(|_| upper != lower) else { continue };
                let name = |plate: usize| rider.plates.get(plate).map_or("", |plate| plate.name.as_str());
                let message = format!(
                    "{} lies outside {} here, and the other way round at {}",
                    quoted(name(upper)),
                    quoted(name(lower)),
                    quoted(other)
                );
                context.report(Problem::error(&piece.path, message).remedy(
                    "list the plates in one order on every screw, from its head on; head says where that is",
                ));
            }
        }
    }
}

/// The wheels a wheel place stands for: name and track. A pair that is not there is told about once for a rider.
fn tracks_of<'a>(
    context: &mut Context<'_>,
    rail: &motion::Rail,
    rider: &Rider,
    place: &'a WheelPlace,
    path: &str,
    wrong_pairs: &mut Vec<&'a str>,
) -> Vec<(String, usize)> {
    let base = join(&join(path, "wheels"), &place.name);
    let lateral = facing(rider.faces).lateral();
    let across = DVec2::new(lateral.y, lateral.z);
    let usable = |track: &motion::Track| track.runs_beside(across);
    match (&place.track, &place.pair) {
        (Some(name), None) => {
            let Some(number) = track_number(context, rail, name, &join(&base, "track")) else {
                return Vec::new();
            };
            if rail.tracks.get(number).is_some_and(|track| !usable(track)) {
                let fitting = rail.tracks.iter().filter(|t| usable(t)).map(|t| t.name.as_str());
                let message = format!(
                    "the track {} lies under the plate; wheels of this rider run at its sides",
                    quoted(name)
                );
                let remedy = suggestion("", fitting);
                context.report(Problem::error(join(&base, "track"), message).remedy(remedy));
                return Vec::new();
            }
            vec![(place.name.clone(), number)]
        }
        (None, Some(pair)) => match rail.pair_named(across, pair) {
            Some(pair) => {
                let wheel = |(side, number)| (format!("{} {side}", place.name), number);
                pair.tracks.into_iter().map(wheel).collect()
            }
            None if wrong_pairs.contains(&pair.as_str()) => Vec::new(),
            None => {
                wrong_pairs.push(pair);
                let pairs = rail.pairs(across);
                let remedy = suggestion(pair, pairs.iter().map(|pair| pair.name.as_str()));
                context.report(
                    Problem::error(
                        join(&base, "pair"),
                        format!("the rail has no pair of tracks {} for this rider", quoted(pair)),
                    )
                    .remedy(remedy),
                );
                Vec::new()
            }
        },
        _ => {
            context.report(
                Problem::error(&base, "a wheel needs either a track or a pair")
                    .remedy("write track: \"left front\" for one wheel, pair: \"front\" for two"),
            );
            Vec::new()
        }
    }
}

fn track_number(context: &mut Context<'_>, rail: &motion::Rail, name: &str, path: &str) -> Option<usize> {
    let number = rail.track_named(name);
    if number.is_none() {
        let names = rail.tracks.iter().map(|track| track.name.as_str());
        let remedy = suggestion(name, names);
        context
            .report(Problem::error(path, format!("the rail has no track {}", quoted(name))).remedy(remedy));
    }
    number
}

#[expect(clippy::too_many_arguments, reason = "each is a separate fact about one wheel")]
fn mount(
    context: &mut Context<'_>,
    rail: &motion::Rail,
    rider: &Rider,
    plates: &[motion::Plate],
    place: &WheelPlace,
    name: String,
    track: usize,
    path: &str,
) -> Option<motion::WheelMount> {
    let base = join(&join(path, "wheels"), &place.name);
    let (stack, stack_path) = match (&place.stack, &rider.stack) {
        (Some(stack), _) => (stack, join(&base, "stack")),
        (None, Some(stack)) => (stack, join(path, "stack")),
        (None, None) => {
            context.report(
                Problem::error(&base, "the wheel has no stack, and its rider has none for all wheels")
                    .remedy("give the rider a stack: (screw: …, pieces: […])"),
            );
            context.unusable = true;
            return None;
        }
    };
    let Some(stack) = stack::resolve(context, rider, plates, stack, &stack_path, true) else {
        context.unusable = true;
        return None;
    };
    let stiffness = match (&place.stiffness, &rider.stiffness) {
        (Some(own), _) => Some(context.number(own, &base, "stiffness")),
        (None, Some(all)) => Some(context.number(all, path, "stiffness")),
        (None, None) => None,
    };
    let mount = motion::WheelMount {
        path: join(&join(path, "wheels"), &name),
        name,
        track,
        along: context.number(&place.along, &base, "along"),
        press: context.number(&place.press, &base, "press"),
        stiffness,
        stack,
    };
    if let (Some(wheel), Some(track)) = (wheel_of(&mount), rail.tracks.get(track))
        && let Err(fault) = context.seats.seat(wheel, track, &rail.bars)
    {
        let message =
            format!("{} does not run in the track {}: {fault}", quoted(&wheel.name), quoted(&track.name));
        context.report(Problem::error(&base, message).remedy("choose another wheel or rail"));
        context.unusable = true;
        return None;
    }
    Some(mount)
}

fn wheel_of(mount: &motion::WheelMount) -> Option<&motion::Wheel> {
    mount.stack.pieces.iter().find_map(|piece| match &piece.kind {
        motion::PieceKind::Wheel(wheel) => Some(wheel.as_ref()),
        _ => None,
    })
}

/// Where a wheel's screw stands in its plates' planes: along the rider, lateral (mm).
fn axle_place(
    mount: &motion::WheelMount,
    rail: &motion::Rail,
    facing: motion::Facing,
    seats: &mut motion::Seats,
) -> Option<DVec2> {
    let wheel = wheel_of(mount)?;
    let track = rail.tracks.get(mount.track)?;
    let seating = seats.seat(wheel, track, &rail.bars).ok()?;
    let axle = track.middle + track.normal * (seating.axle_height - mount.press);
    let in_rail = DVec3::new(0.0, axle.x, axle.y);
    Some(DVec2::new(mount.along, in_rail.dot(facing.lateral())))
}

fn shoe_of(context: &mut Context<'_>, rail: &motion::Rail, shoe: &Shoe, path: &str) -> Option<motion::Shoe> {
    let base = join(&join(path, "shoes"), &shoe.name);
    let track = track_number(context, rail, &shoe.track, &join(&base, "track"))?;
    let material = context.material(&shoe.material, &join(&base, "material"));
    // A shoe's bodies stand in the rider's frame, parallel to the rail's.
    let made = bodies::of(context, &shoe.bodies, &join(&base, "bodies"), &Written::RAIL);
    let mass = match &shoe.mass {
        Some(mass) => context.number(mass, &base, "mass"),
        None => made.volume() * material.density * 1e-9,
    };
    Some(motion::Shoe {
        name: shoe.name.clone(),
        track,
        along: context.number(&shoe.along, &base, "along"),
        length: context.number(&shoe.length, &base, "length"),
        press: context.number(&shoe.press, &base, "press"),
        material,
        friction: shoe.friction.as_ref().map(|friction| given(context, friction, &join(&base, "friction"))),
        solids: made.solids,
        extruded: made.extruded,
        mass,
        path: base,
    })
}

/// Reports riders whose wheels or shoes leave the rail within the stroke.
pub(super) fn check_travel(
    context: &mut Context<'_>,
    rail: &motion::Rail,
    riders: &[motion::Rider],
    stroke: motion::Stroke,
) {
    for rider in riders {
        let ends = rider.wheels.iter().map(|wheel| (wheel.along, wheel.along)).chain(
            rider.shoes.iter().map(|shoe| (shoe.along - 0.5 * shoe.length, shoe.along + 0.5 * shoe.length)),
        );
        let Some((low, high)) = ends.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1))) else { continue };
        let length = high - low;
        if length > rail.length {
            context.report(
                Problem::error(
                    &rider.path,
                    format!(
                        "{} is {} mm long, longer than the rail with {} mm",
                        quoted(&rider.name),
                        plain(length),
                        plain(rail.length)
                    ),
                )
                .remedy("move its wheels together, or take a longer rail"),
            );
            continue;
        }
        let travels = match rider.coupling {
            motion::Coupling::Lead => (stroke.from, stroke.to),
            motion::Coupling::Linked { ratio } => (ratio * stroke.from, ratio * stroke.to),
            motion::Coupling::Free { from, to, .. } => (from, to),
        };
        let least = rider.at_zero + travels.0.min(travels.1) + low;
        let greatest = rider.at_zero + travels.0.max(travels.1) + high;
        let mut off = |by: f64, end: &str| {
            if by > 0.0 {
                context.report(
                    Problem::error(
                        &rider.path,
                        format!(
                            "{} runs off the {end} of the rail by {by:.2} mm within the stroke",
                            quoted(&rider.name)
                        ),
                    )
                    .remedy("shorten the stroke, move the rider's place, or take a longer rail"),
                );
            }
        };
        off(-least, "start");
        off(greatest - rail.length, "end");
        let own = (travels.1 - travels.0).abs();
        if length > own && matches!(rider.coupling, motion::Coupling::Lead | motion::Coupling::Linked { .. })
        {
            context.report(
                Problem::warning(
                    &rider.path,
                    format!(
                        "{} is {} mm long, longer than its stroke of {} mm",
                        quoted(&rider.name),
                        plain(length),
                        plain(own)
                    ),
                )
                .remedy("check the stroke"),
            );
        }
    }
}
