//! A fixture for tests: two riders on opposite sides of an upright rail, hung on one belt.
#![allow(dead_code, reason = "each test file uses its own part of it")]

use glam::{DVec2, DVec3};
use glidewright_geometry::{Outline, Solid};
use glidewright_motion::*;

/// What a test varies.
#[derive(Clone)]
pub struct Recipe {
    pub spacing: f64,
    pub front_radius: f64,
    pub rear_radius: f64,
    pub hub: f64,
    pub shim: f64,
    pub nut: Toleranced,
    pub across_flats: f64,
    pub screw: f64,
    pub spacer: f64,
    pub head_mass: f64,
    pub counter_mass: f64,
    pub asked_gap: f64,
    pub half_base: f64,
}

impl Default for Recipe {
    fn default() -> Self {
        Self {
            spacing: 30.0,
            front_radius: 25.0,
            rear_radius: 25.0,
            hub: 13.0,
            shim: 1.0,
            nut: Toleranced::between(7.42, 8.0),
            across_flats: 10.0,
            screw: 45.0,
            spacer: 15.0,
            head_mass: 1.3,
            counter_mass: 1.3,
            asked_gap: 1.0,
            half_base: 45.0,
        }
    }
}

pub fn material(name: &str, density: f64, youngs: f64) -> Material {
    Material {
        name: name.into(),
        density,
        youngs,
        poisson: 0.35,
        allowable_pressure: None,
        strength: None,
        expansion: None,
        lasting: None,
    }
}

pub fn wheel(radius: f64, hub: f64) -> Wheel {
    Wheel {
        name: format!("V{:.0}", 2.0 * radius),
        running: Running::Vee { tip: 5.5, half_angle: std::f64::consts::FRAC_PI_4 },
        outer_radius: Toleranced::exact(radius),
        width: 11.0,
        hub_width: Toleranced::exact(hub),
        bearing: Bearing {
            name: "626".into(),
            bore: 6.0,
            outer: 19.0,
            width: 6.0,
            no_load_torque: None,
            inner_ring: None,
            shaft_shoulder: None,
            static_rating: None,
            speed: None,
        },
        bearings: 2,
        tyre: material("POM", 1410.0, 2900.0),
        mass: 0.03,
    }
}

fn piece(name: &str, kind: PieceKind, thickness: Toleranced, outer: f64) -> Piece {
    Piece {
        name: name.into(),
        path: format!("parts/{name}"),
        kind,
        thickness,
        outer,
        bore: 6.2,
        mass: 0.002,
        youngs: 0.0,
        expansion: 0.0,
    }
}

fn stack(recipe: &Recipe, radius: f64) -> Stack {
    Stack {
        screw: Screw {
            name: format!("M6 × {:.0}", recipe.screw),
            path: "parts/screw".into(),
            diameter: 6.0,
            pitch: 1.0,
            length: Toleranced::exact(recipe.screw),
            shank: 0.0,
            shoulder: None,
            beyond: 0.0,
            sold: Vec::new(),
            torque: None,
            usual_torque: None,
            yields: None,
            key: None,
            head_height: Toleranced::exact(6.0),
            head_size: 10.0,
            head_form: HeadForm::Socket,
            mass: 0.012,
        },
        head: HeadSide::Outside,
        pieces: vec![
            piece("washer", PieceKind::Washer, Toleranced::exact(1.6), 12.0),
            piece("plate", PieceKind::Plate(0), Toleranced::exact(6.0), 0.0),
            piece("spacer", PieceKind::Spacer, Toleranced::exact(recipe.spacer), 10.0),
            piece("shim", PieceKind::Shim, Toleranced::exact(recipe.shim), 9.0),
            piece(
                "wheel",
                PieceKind::Wheel(Box::new(wheel(radius, recipe.hub))),
                Toleranced::exact(recipe.hub),
                2.0 * radius,
            ),
            piece("shim", PieceKind::Shim, Toleranced::exact(recipe.shim), 9.0),
            piece(
                "nut",
                PieceKind::Nut { locking: true, form: NutForm::Hexagon, proof: None },
                recipe.nut,
                recipe.across_flats,
            ),
        ],
        end: StackEnd::Nut,
        insert: None,
    }
}

fn rider(recipe: &Recipe, name: &str, facing: Facing, tracks: [usize; 2], radius: f64, mass: f64) -> Rider {
    let wheels =
        [("lower left", -1.0, 0), ("lower right", -1.0, 1), ("upper left", 1.0, 0), ("upper right", 1.0, 1)]
            .map(|(wheel, end, side)| WheelMount {
                name: wheel.into(),
                path: format!("riders/{name}/wheels/{wheel}"),
                track: tracks[side],
                along: end * recipe.half_base,
                press: 0.02,
                stiffness: None,
                stack: stack(recipe, radius),
            });
    let half = 15.0 + radius + 12.0;
    Rider {
        name: name.into(),
        path: format!("riders/{name}"),
        facing,
        at_zero: 0.0,
        coupling: Coupling::Lead,
        wheels: wheels.to_vec(),
        bolts: Vec::new(),
        shoes: Vec::new(),
        plates: vec![Plate {
            name: "plate".into(),
            path: format!("riders/{name}/plates/plate"),
            outline: Outline::rounded_rectangle(DVec2::new(-60.0, -half), DVec2::new(60.0, half), 6.0),
            holes: Vec::new(),
            thickness: Toleranced::exact(6.0),
            features: Vec::new(),
            material: material("PETG", 1270.0, 2100.0),
            fill: 0.5,
            level: None,
        }],
        loads: vec![Load {
            name: "load".into(),
            path: format!("riders/{name}/loads/load"),
            mass,
            centre: facing.outward() * 80.0,
            solids: Vec::new(),
            extruded: Vec::new(),
            reach: None,
            on: None,
            is_ballast: false,
        }],
        grip: None,
        forces: Vec::new(),
        points: Vec::new(),
    }
}

/// A bar with a vee groove, 8.5 mm wide and 2 mm deep, at each of z = ±`level` in both its sides.
fn grooved(half_width: f64, half_depth: f64, level: f64) -> Outline {
    let mut right = vec![DVec2::new(half_width, -half_depth)];
    for middle in [-level, level] {
        right.extend(
            [(0.0, -4.25), (2.0, -2.25), (2.0, 2.25), (0.0, 4.25)]
                .map(|(deep, along)| DVec2::new(half_width - deep, middle + along)),
        );
    }
    right.push(DVec2::new(half_width, half_depth));
    let left: Vec<DVec2> = right.iter().rev().map(|corner| DVec2::new(-corner.x, corner.y)).collect();
    Outline::polygon(&[right, left].concat())
}

/// Two riders on an upright rail of width 30, four vee tracks, linked 1:1 over two idlers.
pub fn fixture(recipe: &Recipe) -> Fixture {
    let level = 0.5 * recipe.spacing;
    let track = |name: &str, y: f64, z: f64| Track {
        name: name.into(),
        middle: DVec2::new(y, z),
        normal: DVec2::new(y.signum(), 0.0),
        profile: TrackProfile::Vee {
            mouth: Toleranced::exact(8.5),
            half_angle: std::f64::consts::FRAC_PI_4,
            lip: 2.0,
        },
    };
    let idler = |name: &str, z: f64| {
        LineNode::Pulley(Pulley {
            name: name.into(),
            path: format!("line/{name}"),
            rider: None,
            centre: DVec2::new(720.0, z),
            radius: 10.0,
            turn: Turn::Right,
            kind: PulleyKind::Idler,
            width: 7.0,
            bore: 5.0,
            bearings: 2,
            inertia: 0.0,
            mass: 0.0,
            teeth: 0,
        })
    };
    let depth = recipe.spacing + 30.0;
    let mut front = rider(recipe, "front", Facing::Front, [0, 1], recipe.front_radius, recipe.head_mass);
    front.at_zero = 110.0;
    let mut rear = rider(recipe, "rear", Facing::Rear, [2, 3], recipe.rear_radius, recipe.counter_mass);
    rear.at_zero = 590.0;
    rear.coupling = Coupling::Linked { ratio: -1.0 };
    Fixture {
        name: "two riders".into(),
        rail: Rail {
            name: "rail".into(),
            path: "rail".into(),
            bars: vec![grooved(15.0, 0.5 * depth, level).into()],
            tracks: vec![
                track("left front", -15.0, level),
                track("right front", 15.0, level),
                track("left rear", -15.0, -level),
                track("right rear", 15.0, -level),
            ],
            length: 700.0,
            stand: Stand { incline: std::f64::consts::FRAC_PI_2, roll: 0.0 },
            material: material("aluminium", 2700.0, 68_900.0),
            supports: Vec::new(),
        },
        riders: vec![front, rear],
        line: Some(Line {
            name: "belt".into(),
            path: "line".into(),
            kind: LineKind::Toothed { pitch: 2.0 },
            width: 6.0,
            thickness: 1.4,
            mass_per_metre: 0.008,
            plane: LinePlane::Upright { y: 0.0 },
            nodes: vec![
                LineNode::Anchor {
                    name: "front clamp".into(),
                    path: "line/nodes/front clamp".into(),
                    rider: Some(0),
                    at: DVec3::new(60.0, 0.0, 50.0),
                    tail: 20.0,
                },
                idler("front idler", 40.0),
                idler("rear idler", -40.0),
                LineNode::Anchor {
                    name: "rear clamp".into(),
                    path: "line/nodes/rear clamp".into(),
                    rider: Some(1),
                    at: DVec3::new(60.0, 0.0, -50.0),
                    tail: 20.0,
                },
            ],
            bending_loss: Coefficient::assumed(0.01),
            post_friction: Coefficient::assumed(0.2),
            pretension: Coefficient::assumed(10.0),
            working_pull: None,
            least_teeth: None,
            part_path: "line/part".into(),
        }),
        obstacles: vec![Obstacle {
            name: "lower stop".into(),
            path: "obstacles/lower stop".into(),
            solids: vec![Solid::cuboid_between(DVec3::new(20.0, -8.0, 31.0), DVec3::new(40.0, 8.0, 45.0))],
            extruded: Vec::new(),
            is_stop: true,
            give: None,
            is_base: false,
            mass: None,
        }],
        stroke: Stroke { from: 0.0, to: 480.0 },
        limits: Limits {
            gap: recipe.asked_gap,
            effort: 10.0,
            tilt: 0.5f64.to_radians(),
            play: 0.3,
            temperature: None,
        },
        drive: Drive::Hand,
        resistance: Resistance {
            bearing: Coefficient::assumed(0.0015),
            no_load_torque: Coefficient::assumed(0.5),
            flank: Coefficient::assumed(0.2),
            hysteresis: Coefficient::assumed(0.1),
            shoe: Coefficient::assumed(0.2),
            start_factor: Coefficient::assumed(1.5),
        },
        pulls: Vec::new(),
        variations: Default::default(),
        sizes: Default::default(),
        paths: Paths { stroke: "stroke".into(), limits: "limits".into(), drive: "drive".into() },
    }
}

/// One rider of the usual fixture, without line, that weighs nothing.
pub fn weightless() -> Fixture {
    let mut fixture = fixture(&Recipe::default());
    fixture.line = None;
    fixture.riders.truncate(1);
    let rider = &mut fixture.riders[0];
    rider.loads.clear();
    rider.plates[0].fill = 0.0;
    for wheel in &mut rider.wheels {
        wheel.stack.screw.mass = 0.0;
        for piece in &mut wheel.stack.pieces {
            piece.mass = 0.0;
            if let PieceKind::Wheel(wheel) = &mut piece.kind {
                wheel.mass = 0.0;
            }
        }
    }
    fixture
}

/// A weight at a place in the rider's frame (mm).
pub fn weight(newtons: f64, centre: DVec3) -> Load {
    Load {
        name: "weight".into(),
        path: "weight".into(),
        mass: newtons / STANDARD_GRAVITY,
        centre,
        solids: Vec::new(),
        extruded: Vec::new(),
        reach: None,
        on: None,
        is_ballast: false,
    }
}

/// A shoe of POM that weighs nothing.
pub fn shoe(track: usize, along: f64, length: f64) -> Shoe {
    Shoe {
        name: format!("{track} {along}"),
        path: format!("{track} {along}"),
        track,
        along,
        length,
        press: 0.0,
        material: material("POM", 1410.0, 2900.0),
        friction: None,
        solids: Vec::new(),
        extruded: Vec::new(),
        mass: 0.0,
    }
}

/// A motor without losses or inertia, at most so fast (mm/s) and so quick to be there (mm/s²).
pub fn motor(speed: f64, acceleration: f64) -> Drive {
    Drive::Motor(Motor {
        name: "motor".into(),
        efficiency: 1.0,
        inertia: 0.0,
        torque_by_speed: Vec::new(),
        continuous: None,
        profile: SpeedProfile { speed, acceleration },
    })
}

/// Makes the usual line a loop driven at the lower end: both its clamps on the first rider at `clamps` across and out from
/// the rail's middle (mm), its pulleys at a level of its plane.
pub fn close(line: &mut Line, clamps: [f64; 2], level: f64) {
    for (node, x) in line.nodes.iter_mut().zip([-20.0, -40.0, 740.0, 60.0]) {
        match node {
            LineNode::Anchor { rider, at, .. } => {
                (*rider, *at) = (Some(0), DVec3::new(x, clamps[0], clamps[1]));
            }
            LineNode::Pulley(pulley) => {
                pulley.centre = DVec2::new(x, level);
                pulley.turn = Turn::Left;
                if x < 0.0 {
                    pulley.kind = PulleyKind::Driven;
                }
            }
        }
    }
}

/// A small generator of reproducible numbers (splitmix64; S. Vigna, public domain).
pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// Evenly between two numbers.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^= z >> 31;
        low + (high - low) * (z >> 11) as f64 / (1u64 << 53) as f64
    }
}
