//! Things to add, complete from the start.

use glidewright_project::document::{
    Body, Bolt, ClampFeature, Facing, Feature, FlatFeature, Grip, Line, Load, Material, Named as _, Obstacle,
    Part, PartKind, Patch, Piece, PieceKind, Plate, PlateOutline, PocketFeature, Point, RibFeature, Rider,
    Roller, Shoe, Spot, Stack, Turn, Watched, WheelPlace,
};
use glidewright_project::edit::{fresh_name, stack_for, wheel_for};
use glidewright_project::size::{Formula, Length, Mass, Number};
use glidewright_project::tables::built_in;
use glidewright_project::{Document, Problem};

use crate::panels::Shared;

/// Features a plate can have, in the order they are offered.
pub const FEATURES: [&str; 7] = ["hole", "slot", "cut-out", "more plate", "rib", "pocket", "belt clamp"];

/// A feature of a form, near the plate's middle, under a name none of the others has.
pub fn feature(form: &str, others: &[Feature]) -> Feature {
    let name = fresh_name(form, others.iter().map(|feature| feature.name()));
    let rectangle = |half: f64| Patch::Rectangle {
        from: Spot::of(-half, -half),
        to: Spot::of(half, half),
        corner: Length::of(2.0),
    };
    match form {
        "hole" => Feature::Cut(FlatFeature {
            name,
            shape: Patch::Circle { at: Spot::of(0.0, 0.0), diameter: Length::of(5.5) },
        }),
        "slot" => Feature::Cut(FlatFeature {
            name,
            shape: Patch::Slot { from: Spot::of(-8.0, 0.0), to: Spot::of(8.0, 0.0), width: Length::of(5.5) },
        }),
        "cut-out" => Feature::Cut(FlatFeature { name, shape: rectangle(8.0) }),
        "rib" => Feature::Rib(RibFeature {
            name,
            shape: Patch::Rectangle {
                from: Spot::of(-20.0, -2.0),
                to: Spot::of(20.0, 2.0),
                corner: Length::of(1.0),
            },
            height: Length::of(6.0),
            side: Default::default(),
        }),
        "pocket" => Feature::Pocket(PocketFeature {
            name,
            shape: rectangle(12.0),
            depth: Length::of(3.0),
            side: Default::default(),
            fill: None,
        }),
        "belt clamp" => Feature::Clamp(ClampFeature {
            name,
            at: Spot::of(0.0, 0.0),
            length: Length::of(16.0),
            width: Length::of(14.0),
            height: Length::of(8.0),
            groove: Length::of(2.0),
            depth: Length::of(6.5),
            side: glidewright_project::document::PlateSide::Inside,
        }),
        _ => Feature::Tab(FlatFeature { name, shape: rectangle(10.0) }),
    }
}

/// The heaviest material of the tables one pours into a pocket.
pub fn ballast_material() -> String {
    let plain = |material: &&Material| match material.density.formula {
        Formula::Number(density) => density,
        Formula::Text(_) => 0.0,
    };
    let heaviest = built_in().materials().iter().max_by(|a, b| plain(a).total_cmp(&plain(b)));
    heaviest.map_or_else(String::new, |material| material.name.clone())
}

/// A pulley at the rail's far end.
pub fn roller(shared: &Shared<'_>, line: &Line) -> Roller {
    let length = shared.state.session.bench().map_or(500.0, |bench| bench.fixture.rail.length);
    let level = line.nodes.iter().rev().find_map(|node| node.roller()).map(|roller| roller.at.1.clone());
    let part = line.nodes.iter().find_map(|node| node.roller()).map(|roller| roller.part.clone());
    Roller {
        name: "idler".to_owned(),
        part: part.unwrap_or_else(|| "idler 16".to_owned()),
        rider: None,
        at: Spot(Length::of((length + 20.0).round()), level.unwrap_or_default()),
        turn: Turn::Right,
    }
}

/// A pair of wheels beside those a rider has.
pub fn wheel_pair(document: &Document, rider: &Rider) -> Result<WheelPlace, Problem> {
    let like = rider.wheels.first();
    let along = rider.wheels.iter().map(|wheel| plain(&wheel.along)).fold(f64::NEG_INFINITY, f64::max);
    let pair = like.and_then(|wheel| wheel.pair.clone()).or_else(|| {
        let rows = rows(document);
        Some(match (rows > 1.0, rider.faces) {
            (true, Facing::Rear) => "rear".to_owned(),
            (true, _) => "front".to_owned(),
            (false, _) => "middle".to_owned(),
        })
    });
    // Without a stack to share it brings its own.
    let stack = match (&rider.stack, rider.plates.first()) {
        (Some(_), _) => None,
        (None, Some(plate)) => Some(stack_for(
            wheel_for(&document.rail.section).unwrap_or("vee wheel 24, bore 6"),
            &plate.name,
            0.5 * module(document),
        )?),
        (None, None) => {
            return Err(Problem::error("", "a wheel needs a plate to stand on").remedy("add a plate first"));
        }
    };
    Ok(WheelPlace {
        name: fresh_name("wheels", rider.wheels.iter().map(|wheel| wheel.name.as_str())),
        track: None,
        pair,
        along: Length::of(if along.is_finite() { along + 30.0 } else { 0.0 }),
        press: Length::default(),
        stack,
        stiffness: None,
    })
}

fn plain(size: &Length) -> f64 {
    match size.formula {
        Formula::Number(number) => number,
        Formula::Text(_) => 0.0,
    }
}

fn grooved(document: &Document) -> Option<(f64, f64, f64)> {
    use glidewright_project::document::{PartForm, RailPart};
    let own = document.parts.iter().find(|part| part.name == document.rail.section);
    match own.or_else(|| built_in().part(&document.rail.section)).map(|part| &part.form) {
        Some(PartForm::Rail(RailPart::Grooved(grooved))) => {
            let number = |size: &Number| match size.formula {
                Formula::Number(number) => number,
                Formula::Text(_) => 1.0,
            };
            Some((plain(&grooved.module), number(&grooved.columns), number(&grooved.rows)))
        }
        _ => None,
    }
}

fn module(document: &Document) -> f64 {
    grooved(document).map_or(20.0, |(module, ..)| module)
}

fn rows(document: &Document) -> f64 {
    grooved(document).map_or(1.0, |(.., rows)| rows)
}

/// A complete rider on the side that is free.
pub fn rider(document: &Document) -> Result<glidewright_project::edit::Edited, Problem> {
    let taken = |facing: Facing| document.riders.iter().any(|rider| rider.faces == facing);
    let faces = if taken(Facing::Front) && !taken(Facing::Rear) { Facing::Rear } else { Facing::Front };
    let pair = match (rows(document) > 1.0, faces) {
        (false, _) => "middle",
        (true, Facing::Rear) => "rear",
        (true, _) => "front",
    };
    let name = fresh_name("carriage", document.riders.iter().map(|rider| rider.name.as_str()));
    let wheel = wheel_for(&document.rail.section).unwrap_or("vee wheel 24, bore 6");
    glidewright_project::edit::rider(document, &name, faces, pair, wheel, 0.5 * module(document))
}

/// A bolt through a rider's plate, of the hardware its wheels have.
pub fn bolt(rider: &Rider) -> Result<Bolt, Problem> {
    let Some(plate) = rider.plates.first() else {
        return Err(Problem::error("", "a bolt needs a plate to stand in").remedy("add a plate first"));
    };
    let like = rider.stack.as_ref().or_else(|| rider.wheels.iter().find_map(|wheel| wheel.stack.as_ref()));
    let pieces = like.map(|stack| {
        stack
            .pieces
            .iter()
            .filter(|piece| matches!(piece.kind, PieceKind::Washer | PieceKind::Plate | PieceKind::Nut))
            .cloned()
            .collect::<Vec<_>>()
    });
    // Where the wheels' screws are held otherwise, it begins with a nut of its own.
    let is_whole = |pieces: &Vec<Piece>| {
        let ends = pieces.last().is_some_and(|piece| piece.kind == PieceKind::Nut);
        ends && pieces.iter().filter(|piece| piece.kind == PieceKind::Plate).count() == 1
    };
    let pieces = pieces.filter(is_whole);
    let pieces = pieces.unwrap_or_else(|| {
        vec![
            Piece::new(PieceKind::Washer, "ISO 7089 M5"),
            Piece::new(PieceKind::Plate, &plate.name),
            Piece::new(PieceKind::Nut, "DIN 985 M5"),
        ]
    });
    Ok(Bolt {
        name: fresh_name("bolt", rider.bolts.iter().map(|bolt| bolt.name.as_str())),
        at: Spot::of(0.0, 0.0),
        stack: Stack {
            screw: like.map_or_else(|| "ISO 4762 M5".to_owned(), |stack| stack.screw.clone()),
            length: None,
            torque: None,
            head: Default::default(),
            pieces,
        },
    })
}

/// A plate beyond those a rider has.
pub fn plate(shared: &Shared<'_>, rider: &Rider) -> Plate {
    let placed = shared.state.session.bench().and_then(|bench| {
        let place = bench.fixture.riders.iter().position(|known| known.name == rider.name)?;
        let plates = &bench.results.assembly.riders.get(place)?.plates;
        plates.iter().map(|plate| plate.outer).filter(|outer| outer.is_finite()).max_by(f64::total_cmp)
    });
    Plate {
        name: fresh_name("plate", rider.plates.iter().map(|plate| plate.name.as_str())),
        outline: PlateOutline::Rectangle {
            from: Spot::of(-30.0, -25.0),
            to: Spot::of(30.0, 25.0),
            corner: Length::of(4.0),
        },
        thickness: Length::of(5.0),
        material: rider.plates.first().map_or_else(|| "PETG".to_owned(), |plate| plate.material.clone()),
        fill: Number::of(1.0),
        features: Vec::new(),
        level: Some(Length::of(placed.map_or(40.0, |outer| (outer + 30.0).round()))),
    }
}

/// Something to carry, on the rider's first plate.
pub fn load(rider: &Rider, ballast: bool) -> Load {
    let name = if ballast { "ballast" } else { "load" };
    Load {
        name: fresh_name(name, rider.loads.iter().map(|load| load.name.as_str())),
        mass: Mass::of(if ballast { 500.0 } else { 200.0 }),
        on: rider.plates.first().map(|plate| plate.name.clone()),
        bodies: vec![Body::Box {
            from: Point::of(-20.0, -20.0, 0.0),
            to: Point::of(20.0, 20.0, 30.0),
            turned: None,
        }],
        centre: None,
        reach: None,
        ballast,
    }
}

/// A plain shoe in the rail's first track on the rider's side.
pub fn shoe(shared: &Shared<'_>, rider: &Rider) -> Shoe {
    let track = shared.state.session.bench().and_then(|bench| {
        let tracks = &bench.fixture.rail.tracks;
        tracks.iter().find(|track| track.name.starts_with("left")).or(tracks.first())
    });
    Shoe {
        name: fresh_name("shoe", rider.shoes.iter().map(|shoe| shoe.name.as_str())),
        track: track.map_or_else(|| "left".to_owned(), |track| track.name.clone()),
        along: Length::of(0.0),
        length: Length::of(40.0),
        press: Length::default(),
        material: "POM".to_owned(),
        friction: None,
        mass: Some(Mass::of(10.0)),
        bodies: Vec::new(),
    }
}

/// Where a hand takes hold, on the rider's first plate.
pub fn grip(rider: &Rider) -> Grip {
    Grip {
        name: "handle".to_owned(),
        on: rider.plates.first().map(|plate| plate.name.clone()),
        at: Point::of(0.0, 0.0, 10.0),
    }
}

/// A point whose sag is of interest, out from the rider's first plate.
pub fn point(rider: &Rider) -> Watched {
    Watched {
        name: fresh_name("point", rider.points.iter().map(|point| point.name.as_str())),
        on: rider.plates.first().map(|plate| plate.name.clone()),
        at: Point::of(0.0, 0.0, 50.0),
    }
}

/// Something that stands still beside the rail, or an end stop at its far end.
pub fn obstacle(document: &Document, stop: bool) -> Obstacle {
    let (module, columns, rows) = grooved(document).unwrap_or((20.0, 1.0, 1.0));
    let (side, face) = (0.5 * module * columns, 0.5 * module * rows);
    let length = match document.rail.length.formula {
        Formula::Number(length) => length,
        Formula::Text(_) => 500.0,
    };
    let body = if stop {
        Body::Box {
            from: Point::of(length - 14.0, -side, face),
            to: Point::of(length - 2.0, side, face + 16.0),
            turned: None,
        }
    } else {
        let middle = (0.5 * length).round();
        Body::Box {
            from: Point::of(middle - 15.0, side + 60.0, -20.0),
            to: Point::of(middle + 15.0, side + 90.0, 20.0),
            turned: None,
        }
    };
    let name = if stop { "end stop" } else { "obstacle" };
    let taken = document.obstacles.iter().map(|obstacle| obstacle.name.as_str());
    Obstacle::new(fresh_name(name, taken), stop, vec![body])
}

/// A part of the project's own, made after the first of its kind in the tables.
pub fn part(document: &Document, kind: PartKind) -> Option<Part> {
    let like = built_in().of_kind(kind).next()?;
    let name =
        fresh_name(&format!("own {}", kind.word()), document.parts.iter().map(|part| part.name.as_str()));
    Some(Part { name, also: Vec::new(), note: format!("made after {}", like.name), ..like.clone() })
}

/// A material of the project's own.
pub fn material(document: &Document) -> Option<Material> {
    let like = built_in().material("PETG").or_else(|| built_in().materials().first())?;
    let taken = document.materials.iter().map(|material| material.name.as_str());
    let note = format!("made after {}", like.name);
    Some(Material { name: fresh_name("own material", taken), note, ..like.clone() })
}
