//! The scene that is timed: two riders of screw stacks that pass each other on a rail, and fixed parts beside them.

use std::sync::Arc;

use glidewright_geometry::{ChannelId, DMat3, DVec3, Motion, Outline, Pose, Scene, Shape, Solid, SolidId};

/// Repeatable random numbers (xorshift64*).
pub struct Random(pub u64);

impl Random {
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let unit = (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11) as f64 / (1u64 << 53) as f64;
        low + (high - low) * unit
    }
}

/// Solids of the two riders and of the frame, at shift 0, and how they move.
pub struct Fixture {
    pub solids: [Vec<Solid>; 3],
    pub motions: [Motion; 3],
    /// Half of the stroke's relative travel: rider A goes from −300 to +300 mm, rider B the other way.
    pub travel: (f64, f64),
}

/// `pieces` convex pieces a rider (a multiple of 5), `fixed` in the frame; rider A leans by `tilt` (rad).
pub fn fixture(pieces: usize, fixed: usize, tilt: f64) -> Fixture {
    let mut random = Random(0x9e37_79b9_97f4_a7c1);
    let hex = |across: f64| Arc::new(Outline::regular_polygon(6, across));
    let cylinder = |radius: f64, low: f64, high: f64| {
        Solid::cylinder_between(DVec3::new(0.0, 0.0, low), DVec3::new(0.0, 0.0, high), radius)
    };
    let nut = |across: f64, turn: f64, low: f64, high: f64| Solid {
        shape: Shape::Prism { outline: hex(across), half_height: 0.5 * (high - low) },
        pose: Pose { turn: DMat3::from_rotation_z(turn), shift: DVec3::new(0.0, 0.0, 0.5 * (low + high)) },
    };
    // Rider A stands below z = 0 and points up, rider B hangs above it and points down.
    let mut riders = [Vec::new(), Vec::new()];
    for (side, rider) in riders.iter_mut().enumerate() {
        let stacks = pieces / 5;
        let columns = stacks.div_ceil(2);
        for stack in 0..stacks {
            let (column, row) = (stack / 2, stack % 2);
            let x = 26.0 * (column as f64 - 0.5 * (columns as f64 - 1.0)) + random.between(-3.0, 3.0);
            let y = if row == 0 { -17.0 } else { 17.0 } + random.between(-2.0, 2.0);
            // How far the tip stays from z = 0: the gaps are the sums of two, 0.2 to 3 mm.
            let tip = -random.between(0.1, 1.5);
            let turn = random.between(0.0, 1.0);
            let nut_high = tip - random.between(0.3, 1.5);
            let parts = [
                cylinder(2.5, nut_high - 4.7, tip),
                nut(8.0, turn, nut_high - 4.7, nut_high),
                cylinder(5.0, nut_high - 5.7, nut_high - 4.7),
                cylinder(11.95, nut_high - 16.7, nut_high - 6.2),
                Solid::cuboid_between(
                    DVec3::new(-12.0, -9.0, nut_high - 24.7),
                    DVec3::new(12.0, 9.0, nut_high - 18.7),
                ),
            ];
            let flip = DMat3::from_rotation_x(std::f64::consts::PI);
            for part in parts {
                let at = DVec3::new(x, y, 0.0);
                let pose = if side == 0 {
                    Pose::from_shift(at)
                } else {
                    Pose { turn: flip, shift: DVec3::new(x, y, 0.0) }
                };
                rider.push(part.placed(&pose));
            }
        }
    }
    let [mut a, b] = riders;
    let lean = Pose::from_turn(DVec3::new(0.6, 0.8, 0.0), tilt);
    if tilt > 0.0 {
        a = a.iter().map(|s| s.placed(&lean)).collect();
    }
    let mut frame = Vec::new();
    for k in 0..fixed {
        let x = -380.0 + 760.0 * k as f64 / (fixed.max(2) - 1) as f64;
        let side = if k % 2 == 0 { -1.0 } else { 1.0 };
        match k % 4 {
            0 => frame.push(Solid::cuboid_between(
                DVec3::new(x - 15.0, side * 34.5, -40.0),
                DVec3::new(x + 15.0, side * 42.0, 40.0),
            )),
            1 => frame.push(Solid::cylinder_between(
                DVec3::new(x, side * 36.0, -20.0),
                DVec3::new(x, side * 36.0, 20.0),
                4.0,
            )),
            2 => frame.push(Solid::cylinder_between(
                DVec3::new(x, side * 33.5, 6.0),
                DVec3::new(x, side * 48.0, 6.0),
                5.0,
            )),
            _ => frame.push(nut(13.0, 0.3, -9.0, -1.0).shifted(DVec3::new(x, side * 39.0, 0.0))),
        }
    }
    Fixture {
        solids: [a, b, frame],
        motions: [
            Motion::Linked { offset: -300.0, ratio: 1.0 },
            Motion::Linked { offset: 300.0, ratio: -1.0 },
            Motion::FIXED,
        ],
        travel: (0.0, 600.0),
    }
}

/// The fixture as a scene with the channels A–B, A–frame, B–frame.
pub struct Built {
    pub scene: Scene,
    pub channels: [ChannelId; 3],
    /// The solids of both riders.
    pub riders: Vec<SolidId>,
}

pub const WATCHED: [(usize, usize); 3] = [(0, 1), (0, 2), (1, 2)];

impl Fixture {
    pub fn build(&self) -> Option<Built> {
        let mut scene = Scene::new(DVec3::X)?;
        let groups = self.motions.map(|m| scene.add_group(m));
        let (mut body, mut riders) = (0, Vec::new());
        for (g, list) in self.solids.iter().enumerate() {
            for solid in list {
                let id = scene.add_solid(groups[g], body, solid);
                if g < 2 {
                    riders.push(id);
                }
                body += 1;
            }
        }
        let channels = WATCHED.map(|(p, q)| scene.watch(groups[p], groups[q]));
        Some(Built { scene, channels, riders })
    }

    /// The group of a solid counted through all groups, and its place there.
    pub fn place(&self, mut number: usize) -> Option<(usize, usize)> {
        for (group, list) in self.solids.iter().enumerate() {
            if number < list.len() {
                return Some((group, number));
            }
            number -= list.len();
        }
        None
    }

    /// Shift of a group at a travel.
    pub fn shift(&self, group: usize, s: f64) -> f64 {
        match self.motions[group] {
            Motion::Linked { offset, ratio } => offset + ratio * s,
            Motion::Free { from, .. } => from,
        }
    }
}
