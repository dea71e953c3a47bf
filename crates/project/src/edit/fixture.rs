//! A complete fixture from a few answers.

use super::{Addition, EditResult, Edited, add, counterweight, new_document, rider};
use crate::document::{
    Anchor, AppliedForce, Body, Change, Document, Facing, ForceAction, ForcePoint, Grip, GroovedPart, Line,
    LinePlane, Load, Moves, Node, Obstacle, Part, PartForm, Point, RailPart, Rider, Roller, Spot, Stand,
    Trial, Turn, WheelPart,
};
use crate::problem::{Problem, quoted};
use crate::size::{AnySize, Force, Formula, Length, Mass, Number};
use crate::tables::built_in;

/// What is asked before a fixture is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Wish {
    /// What it is called.
    pub name: String,
    /// Name of a grooved rail of the tables.
    pub section: String,
    /// Length of the rail (mm).
    pub length: f64,
    /// How the rail stands.
    pub stand: Stand,
    /// Whether a second rider runs on it.
    pub two: bool,
    /// Whether the second rider is tied to the first by a belt; else it moves on its own.
    pub linked: bool,
    /// Mass the first rider carries (g); 0 for none.
    pub load: f64,
}

/// Room between a rider's end at the stroke's end and the rail's end, for the end stop (mm).
const END: f64 = 20.0;
/// Length of an end stop along the rail (mm).
const STOP: f64 = 12.0;
/// From the rail's face to the belt's middle, between rail and plate (mm).
const BELT_OFF: f64 = 4.0;
/// Least room between a tyre and what stands beside it on the screw (mm).
const FREE: f64 = 0.5;
/// The idler at the rail's end and its radius (mm).
const IDLER: &str = "idler 16";
const IDLER_RADIUS: f64 = 8.0;
/// The belt and half its thickness (mm).
const BELT: &str = "toothed belt, pitch 2, width 6";
const HALF_BELT: f64 = 0.7;
/// Densities that give loads without a drawing a likely bulk (g/mm³): a camera or a tool, a block of steel.
const LIGHT: f64 = 1.2e-3;
const HEAVY: f64 = 7.85e-3;

/// The wheel of the tables to start from on a rail: the greatest vee wheel that is at most as wide as the
/// rail's module needs.
///
/// # Errors
/// When the tables have no such rail, or no wheel for its grooves.
pub fn wheel_for(section: &str) -> Result<&'static str, Problem> {
    wheels_for(section)?.first().copied().ok_or_else(|| {
        Problem::error("rail/section", format!("no wheel of the tables runs in {}", quoted(section)))
            .remedy("choose another rail")
    })
}

/// The wheels that fit a rail, the greatest first.
fn wheels_for(section: &str) -> Result<Vec<&'static str>, Problem> {
    let grooved = grooved(section)?;
    let (mouth, channel) = (grooved.mouth.plainly(), grooved.channel.plainly());
    let vees = built_in().parts().iter().filter_map(|part| match &part.form {
        PartForm::Wheel(WheelPart {
            running: crate::document::Running::Vee { tip, .. },
            outer,
            width,
            hub,
            ..
        }) => {
            // It must enter the groove but not its channel, not be larger than the rail calls for, and turn free of its
            // shims.
            let fits = tip.plainly() < mouth
                && width.plainly() >= channel + 2.0 * glidewright_motion::LEAST_HELD
                && outer.plainly() <= 1.35 * grooved.module.plainly()
                && hub.plainly() >= width.plainly() + 2.0 * FREE;
            fits.then(|| (outer.plainly(), part.name.as_str()))
        }
        _ => None,
    });
    let mut vees: Vec<(f64, &'static str)> = vees.collect();
    vees.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.len().cmp(&b.1.len())));
    Ok(vees.into_iter().map(|(_, name)| name).collect())
}

fn grooved(section: &str) -> Result<&'static GroovedPart, Problem> {
    match built_in().part(section).map(|part| &part.form) {
        Some(PartForm::Rail(RailPart::Grooved(grooved))) => Ok(grooved),
        _ => Err(Problem::error(
            "rail/section",
            format!("there is no grooved rail called {}", quoted(section)),
        )
        .remedy("choose one of the tables; any other section can be put in its place afterwards")),
    }
}

/// The fixture that was asked for: rail, riders with wheels, stacks and plates, loads, end stops, and the belt
/// that ties two riders. What would run down by itself hangs on a balancing spring.
///
/// # Errors
/// When the rail is not in the tables or too short, or a figure is no number; when two riders cannot pass on it, or
/// something else fails by its own checks on every wheel of the tables.
pub fn fixture(wish: &Wish) -> Result<Document, Problem> {
    let rail = grooved(&wish.section)?;
    if !(wish.load >= 0.0 && wish.load.is_finite()) {
        return Err(Problem::error("riders", "the load must be a mass from 0 g up")
            .remedy("write its mass in g, or 0"));
    }
    if !(wish.length > 0.0 && wish.length.is_finite()) {
        return Err(
            Problem::error("rail/length", "the rail must have a length").remedy("write its length in mm")
        );
    }
    if wish.two && !Frame::of(rail).passes {
        return Err(Problem::error("riders", format!("two riders cannot pass on {}", quoted(&wish.section)))
            .remedy(format!(
                "it has one row of grooves: take one rider, or a rail such as {}",
                passing(wish)
            )));
    }
    drawn(wish, rail).map_err(|problem| {
        if !problem.remedy.is_empty() {
            return problem;
        }
        let remedy = if wish.two {
            format!("take one rider, a longer rail, or a section such as {}", passing(wish))
        } else {
            "take another section, a longer rail or a lighter load".to_owned()
        };
        problem.remedy(remedy)
    })
}

/// The fixture on the greatest wheels with which nothing fails: smaller ones come with thinner screws and lower nuts.
///
/// # Errors
/// What fails on the greatest, where something does on all.
fn drawn(wish: &Wish, rail: &GroovedPart) -> Result<Document, Problem> {
    let mut tried = None;
    let wheels = wheels_for(&wish.section)?;
    // Heads face each other with less height than nuts and screw ends do.
    let ways = if wish.two { &[false, true][..] } else { &[false][..] };
    for (turned, wheel) in ways.iter().flat_map(|turned| wheels.iter().map(move |wheel| (*turned, *wheel))) {
        let document = fixture_on(wish, rail, wheel)
            .map(|document| if turned { heads_inside(document) } else { document })
            .map(balanced);
        let outcome = document.and_then(|document| match faults(&document) {
            None => Ok(document),
            Some(why) => {
                let what = if wish.two { "two riders cannot pass" } else { "nothing sound can be drawn" };
                Err(Problem::error("riders", format!("{what} on {}: {why}", quoted(&wish.section))))
            }
        });
        match outcome {
            Ok(document) => return Ok(document),
            Err(problem) => _ = tried.get_or_insert(problem),
        }
    }
    Err(tried.unwrap_or_else(|| {
        Problem::error("rail/section", format!("no wheel of the tables runs in {}", quoted(&wish.section)))
            .remedy("choose another rail")
    }))
}

/// The same with all screws turned round.
fn heads_inside(document: Document) -> Document {
    let name = "screws turned round";
    let turn = Trial {
        name: name.to_owned(),
        note: String::new(),
        over: Vec::new(),
        changes: vec![Change::Turn { within: String::new() }],
    };
    let mut with = document.clone();
    with.trials.push(turn);
    let (mut turned, problems) = crate::apply(&with, name);
    if !problems.is_empty() {
        return document;
    }
    turned.trials = document.trials;
    turned
}

/// Names of rails of the tables on which two riders can pass, for a remedy.
fn passing(wish: &Wish) -> String {
    let can = |part: &&Part| {
        let wish = Wish { section: part.name.clone(), length: wish.length.max(800.0), ..wish.clone() };
        matches!(&part.form, PartForm::Rail(RailPart::Grooved(rail))
            if Frame::of(rail).passes && drawn(&wish, rail).is_ok())
    };
    rails().filter(can).take(2).map(|part| part.name.as_str()).collect::<Vec<_>>().join(" or ")
}

/// What fails first by its own checks; `None` when nothing does.
fn faults(document: &Document) -> Option<String> {
    let Some(fixture) = crate::resolve(document, None).fixture else {
        return Some("it cannot be put together".to_owned());
    };
    let results = glidewright_motion::analyse(&fixture);
    let fails = |finding: &&glidewright_motion::Finding| {
        finding.severity == glidewright_motion::Severity::Fails || finding.code.starts_with("gap.marginal")
    };
    results.findings.iter().find(fails).map(|finding| finding.title.to_string())
}

/// What would run down by itself hangs on a spring of constant force.
fn balanced(document: Document) -> Document {
    let Some(fixture) = crate::resolve(&document, None).fixture else { return document };
    let slope = -fixture.rail.stand.down().x;
    if slope.abs() < 1e-9 {
        return document;
    }
    let assembly = glidewright_motion::Assembly::new(&fixture);
    let weight = |number: usize| {
        let mass = assembly.riders.get(number).map_or(0.0, |rider| rider.mass.total());
        mass * glidewright_motion::STANDARD_GRAVITY * slope
    };
    let mut changed = document;
    let is_pair = changed.line.is_some() && changed.riders.len() > 1;
    for (number, rider) in changed.riders.iter_mut().enumerate().filter(|_| !is_pair) {
        let force = (weight(number) * 100.0).round() / 100.0;
        rider.forces.push(AppliedForce {
            name: "balancing spring".to_owned(),
            acts: ForceAction::Push,
            on: None,
            at: None,
            table: vec![ForcePoint(Length::of(0.0), Force::of(force))],
        });
    }
    changed
}

/// The same on wheels of this name.
fn fixture_on(wish: &Wish, rail: &GroovedPart, wheel: &str) -> Result<Document, Problem> {
    let frame = Frame::of(rail);
    let mut document = new_document(&wish.name, &wish.section, wish.length, wish.stand.clone());
    let first = "carriage";
    let pair = if frame.passes { "front" } else { "middle" };
    document = rider(&document, first, Facing::Front, pair, wheel, 0.5 * frame.module)?.document;
    let Some(half) = document.riders.first().map(|rider| half_length(rider, radius_of(wheel))) else {
        return Ok(document);
    };
    let at = half + END;
    // A second rider on the same tracks stands behind the first.
    let train = if wish.two && !frame.passes { 2.0 * half + END } else { 0.0 };
    let stroke = ((wish.length - 2.0 * at - train) / 5.0).floor() * 5.0;
    if stroke < 5.0 {
        let least = (2.0 * at + train + 50.0).ceil();
        return Err(Problem::error(
            "rail/length",
            format!(
                "{} mm leaves no room to move; a rider takes {:.0} mm",
                glidewright_motion::plain(wish.length),
                2.0 * half
            ),
        )
        .remedy(format!("make the rail {} mm or longer", glidewright_motion::plain(least))));
    }
    document.stroke.to = Length::of(stroke);
    share_wheelbase(&mut document);
    if let Some(first) = document.riders.first_mut() {
        first.at = Length::of(at);
        first.grip = Some(Grip {
            name: "handle".to_owned(),
            on: first.plates.first().map(|plate| plate.name.clone()),
            at: Point::of(0.0, 0.0, 10.0),
        });
        if wish.load > 0.0 {
            let load = block("load", wish.load, LIGHT, first, false);
            first.loads.push(load);
        }
    }
    if wish.two {
        document = second(document, wish, &frame, Run { at, stroke, half, train })?;
    }
    stops(&mut document, &frame, Run { at, stroke, half, train });
    Ok(from_ends(document, wish.length, stroke))
}

/// The shared size that is the rail's length.
const RAIL: &str = "rail";

/// Writes what stands beyond the middle of the rail from its far end, so that another length leaves a fixture.
fn from_ends(document: Document, length: f64, stroke: f64) -> Document {
    let far = super::lengthen::far_sizes(&document);
    let mut document = document;
    let from_end = |x: f64| {
        let less = ((length - x) * 1e6).round() / 1e6;
        let (sign, less) = if less < 0.0 { ('+', -less) } else { ('-', less) };
        format!("{RAIL} {sign} {}", glidewright_motion::plain(less))
    };
    document.visit_mut(&mut |path, slot| {
        if let crate::walk::SlotMut::Size(size) = slot
            && let Some(sign) = far.iter().find(|(known, _)| known == path).map(|(_, sign)| *sign)
            && let Some(Formula::Number(x)) = size.formula().cloned()
        {
            let text = if sign > 0.0 { from_end(x) } else { format!("-({})", from_end(-x)) };
            size.set_formula(Some(Formula::Text(text)));
        }
    });
    for rider in &mut document.riders {
        if let Moves::Free { at, .. } = &mut rider.moves
            && let Formula::Number(x) = at.formula
            && x.abs() > 0.0
        {
            let share = if x.abs() < 0.75 * stroke { "/2" } else { "" };
            let sign = if x < 0.0 { "-" } else { "" };
            at.formula = Formula::Text(format!("{sign}({}){share}", from_end(stroke)));
        }
    }
    document.rail.length = Length::typed(RAIL);
    document.sizes.entries.insert(0, (RAIL.to_owned(), AnySize::of(length)));
    document
}

/// What of the rail counts here (mm).
struct Frame {
    module: f64,
    /// From the middle to the front face.
    face: f64,
    /// From the middle to a side face.
    side: f64,
    /// Whether there are tracks in front and at the rear, so that two riders can pass.
    passes: bool,
}

impl Frame {
    fn of(rail: &GroovedPart) -> Self {
        let module = rail.module.plainly();
        let rows = rail.rows.plainly();
        Self {
            module,
            face: 0.5 * module * rows,
            side: 0.5 * module * rail.columns.plainly(),
            passes: rows >= 2.0,
        }
    }
}

/// Where riders run (mm).
#[derive(Clone, Copy)]
struct Run {
    at: f64,
    stroke: f64,
    half: f64,
    train: f64,
}

/// Outer radius of a wheel of the tables (mm).
fn radius_of(wheel: &str) -> f64 {
    match built_in().part(wheel).map(|part| &part.form) {
        Some(PartForm::Wheel(WheelPart { outer, .. })) => 0.5 * outer.plainly(),
        _ => 0.0,
    }
}

/// From a rider's origin to the end of its plate or of its wheels, of a radius (mm).
fn half_length(rider: &Rider, radius: f64) -> f64 {
    let margin = match rider.plates.first().map(|plate| &plate.outline) {
        Some(crate::document::PlateOutline::Around { margin, .. }) => margin.plainly(),
        _ => 0.0,
    };
    rider.wheels.iter().map(|wheel| wheel.along.plainly()).fold(0.0, f64::max) + margin.max(radius)
}

/// The wheels' distance along the rail as a shared size: it is what one changes first.
fn share_wheelbase(document: &mut Document) {
    let Some(rider) = document.riders.first_mut() else { return };
    let half = rider.wheels.iter().map(|wheel| wheel.along.plainly()).fold(0.0, f64::max);
    for wheel in &mut rider.wheels {
        let sign = if wheel.along.plainly() < 0.0 { "-" } else { "" };
        wheel.along = Length::typed(&format!("{sign}wheelbase/2"));
    }
    document.sizes.entries.push(("wheelbase".to_owned(), AnySize::of(2.0 * half)));
}

/// A block on a rider's first plate.
fn block(name: &str, mass: f64, density: f64, rider: &Rider, ballast: bool) -> Load {
    /// Half the width of the foot that carries the block over the screw heads, and its height (mm).
    const FOOT: (f64, f64) = (5.0, 10.0);
    let side = (mass / density).cbrt().round().max(6.0);
    let half = (0.5 * side).ceil();
    let cube = |half: f64, from: f64, to: f64| Body::Box {
        from: Point::of(-half, -half, from),
        to: Point::of(half, half, to),
        turned: None,
    };
    let (foot, level) = FOOT;
    let bodies = if half > foot {
        vec![cube(foot, 0.0, level), cube(half, level, level + side)]
    } else {
        vec![cube(half, 0.0, side)]
    };
    Load {
        name: name.to_owned(),
        mass: Mass::of(mass),
        on: rider.plates.first().map(|plate| plate.name.clone()),
        bodies,
        centre: None,
        reach: None,
        ballast,
    }
}

fn second(document: Document, wish: &Wish, frame: &Frame, run: Run) -> Result<Document, Problem> {
    let Some(first) = document.riders.first() else { return Ok(document) };
    let is_weight = wish.linked && frame.passes && wish.stand != Stand::Lying;
    let name = if is_weight { "counterweight" } else { "second carriage" };
    let mut document = if frame.passes {
        counterweight(&document, &first.name)?.document
    } else {
        let copy = Rider { name: name.to_owned(), loads: Vec::new(), grip: None, ..first.clone() };
        add(&document, Addition::Rider(copy))?.document
    };
    let Some(second) = document.riders.last_mut() else { return Ok(document) };
    second.name = name.to_owned();
    for plate in &mut second.plates {
        plate.name = "plate".to_owned();
    }
    second.at = Length::of(if frame.passes { run.at + run.stroke } else { run.at + run.train });
    second.moves = match (wish.linked, frame.passes) {
        (true, true) => Moves::Linked(Number::of(-1.0)),
        (true, false) => Moves::Linked(Number::of(1.0)),
        (false, true) => Moves::Free {
            from: Length::of(-run.stroke),
            to: Length::of(0.0),
            at: Length::of((-0.5 * run.stroke).round()),
        },
        (false, false) => {
            Moves::Free { from: Length::of(0.0), to: Length::of(run.stroke), at: Length::of(run.stroke) }
        }
    };
    if is_weight && wish.load > 0.0 {
        let ballast = block("ballast", wish.load, HEAVY, second, true);
        second.loads.push(ballast);
    }
    if wish.linked && frame.passes {
        belt(&mut document, frame, run);
    }
    Ok(document)
}

/// A belt from the first rider over two idlers at the rail's far end to the second.
fn belt(document: &mut Document, frame: &Frame, run: Run) {
    let names: Vec<String> = document.riders.iter().map(|rider| rider.name.clone()).collect();
    let [first, second, ..] = names.as_slice() else { return };
    let level = frame.face + BELT_OFF;
    let end = document.rail.length.plainly() + END;
    let clamp = |name: &str, rider: &str, side: f64| {
        let at = Spot::of((0.5 * run.half).round(), side * level);
        Node::Anchor(Anchor { name: name.to_owned(), rider: Some(rider.to_owned()), at, tail: None })
    };
    let idler = |name: &str, side: f64| {
        Node::Idler(Roller {
            name: name.to_owned(),
            part: IDLER.to_owned(),
            rider: None,
            at: Spot::of(end, side * (level - IDLER_RADIUS - HALF_BELT)),
            turn: Turn::Right,
        })
    };
    document.line = Some(Line {
        name: "belt".to_owned(),
        part: BELT.to_owned(),
        plane: LinePlane::Upright { y: Length::of(0.0) },
        nodes: vec![
            clamp("first clamp", first, 1.0),
            idler("front idler", 1.0),
            idler("rear idler", -1.0),
            clamp("second clamp", second, -1.0),
        ],
        bending_loss: None,
        post_friction: None,
        pretension: None,
    });
    let reach = (level + HALF_BELT).ceil();
    let cheek = |from: f64, to: f64| Body::Box {
        from: Point::of(end - END, from, -reach),
        to: Point::of(end + IDLER_RADIUS + 2.0, to, reach),
        turned: None,
    };
    let bodies = vec![cheek(-10.0, -6.0), cheek(6.0, 10.0)];
    document.obstacles.push(Obstacle::new("idler bracket".to_owned(), false, bodies));
}

/// End stops on the rail's faces where riders end, clear of the belt in the middle.
fn stops(document: &mut Document, frame: &Frame, run: Run) {
    let outer = (0.8 * frame.side).max(9.0).round();
    let inner = (0.45 * outer).max(5.0).round();
    // As high as reaches the plate.
    let height = 16.0;
    let pair = |from: f64, to: f64, front: bool| {
        let (low, high) =
            if front { (frame.face, frame.face + height) } else { (-frame.face - height, -frame.face) };
        [(-outer, -inner), (inner, outer)]
            .map(|(left, right)| Body::Box {
                from: Point::of(from, left, low),
                to: Point::of(to, right, high),
                turned: None,
            })
            .to_vec()
    };
    let near = run.at - run.half;
    let far = run.at + run.stroke + run.train + run.half;
    let faces: &[(bool, &str)] = if document.riders.len() > 1 && frame.passes {
        &[(true, "front "), (false, "rear ")]
    } else {
        &[(true, "")]
    };
    for (front, side) in faces {
        for (name, from, to) in [("near", near - STOP, near), ("far", far, far + STOP)] {
            let bodies = pair(from, to, *front);
            document.obstacles.push(Obstacle::new(format!("{name} {side}stop"), true, bodies));
        }
    }
}

/// The grooved rails of the tables.
pub fn rails() -> impl Iterator<Item = &'static Part> {
    built_in().parts().iter().filter(|part| matches!(part.form, PartForm::Rail(RailPart::Grooved(_))))
}

/// Adds a belt: between the first two riders over idlers at the rail's far end; for one rider alone a loop over
/// a driven pulley and an idler.
///
/// # Errors
/// When there is a belt already, no rider, or a rail without grooves.
pub fn add_belt(document: &Document) -> EditResult {
    if document.line.is_some() {
        return Err(Problem::error("line", "there is a belt already").remedy("add to its path instead"));
    }
    let rail = grooved(&document.rail.section)?;
    let frame = Frame::of(rail);
    let Some(first) = document.riders.first() else {
        return Err(Problem::error("line", "there is nothing for a belt to move").remedy("add a rider first"));
    };
    let run = Run { at: 0.0, stroke: 0.0, half: half_length(first, 0.0).max(20.0), train: 0.0 };
    let mut changed = document.clone();
    if changed.riders.len() > 1 {
        belt(&mut changed, &frame, run);
    } else {
        changed.line = Some(loop_belt(&first.name, document.rail.length.plainly(), &frame, run));
    }
    Ok(Edited { document: changed, description: "Add a belt".to_owned() })
}

/// Pitch radius of a pulley with 20 teeth of 2 mm (mm): z·p/2π (ISO 5288).
const STRAND: f64 = 20.0 * 2.0 / (2.0 * std::f64::consts::PI);

fn loop_belt(rider: &str, length: f64, frame: &Frame, run: Run) -> Line {
    let clamp = |name: &str, along: f64| {
        let at = Spot::of(along, (STRAND * 1e3).round() / 1e3);
        Node::Anchor(Anchor { name: name.to_owned(), rider: Some(rider.to_owned()), at, tail: None })
    };
    let roller = |name: &str, part: &str, along: f64| Roller {
        name: name.to_owned(),
        part: part.to_owned(),
        rider: None,
        at: Spot::of(along, 0.0),
        turn: Turn::Right,
    };
    let reach = (0.5 * run.half).round();
    Line {
        name: "drive belt".to_owned(),
        part: BELT.to_owned(),
        plane: LinePlane::Flat { z: Length::of(frame.face + BELT_OFF) },
        nodes: vec![
            clamp("leading clamp", reach),
            Node::Idler(roller("idler", "toothed idler, 20 teeth, pitch 2, bore 5", length + END + 2.0)),
            Node::Driven(roller("motor pulley", "pulley, 20 teeth, pitch 2, bore 5", -END - 2.0)),
            clamp("trailing clamp", -reach),
        ],
        bending_loss: None,
        post_friction: None,
        pretension: None,
    }
}
