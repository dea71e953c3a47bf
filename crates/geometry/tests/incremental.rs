//! A scene that is kept and changed must say what a scene built afresh says, at the cost of what has changed.
#![allow(clippy::unwrap_used, reason = "a broken fixture must fail the test")]

mod common;

use common::Random;
use glidewright_geometry::{
    Ask, ChannelId, DMat3, DVec3, Effort, GroupId, Motion, Pose, Scene, Solid, SolidId,
};

struct Kept {
    scene: Scene,
    groups: Vec<GroupId>,
    channels: Vec<ChannelId>,
    ids: Vec<Vec<SolidId>>,
    solids: Vec<Vec<Solid>>,
    motions: Vec<Motion>,
    poses: Vec<Pose>,
}

fn placed(random: &mut Random, side: usize) -> Solid {
    let kind = [0, 0, 1, 2, 3, 5][random.below(6)];
    let turn = if random.below(5) == 0 { random.axial_turn() } else { DMat3::IDENTITY };
    let mut solid = Solid { shape: random.shape(kind), pose: Pose { turn, shift: DVec3::ZERO } };
    let b = solid.bounds();
    let gap = random.between(0.05, 2.0);
    let z = [-b.high.z - gap, -b.low.z + gap, -b.low.z + 9.0][side];
    solid.pose.shift = DVec3::new(random.between(-40.0, 40.0), random.between(-15.0, 15.0), z);
    solid
}

impl Kept {
    fn new(solids: Vec<Vec<Solid>>, motions: Vec<Motion>, poses: Vec<Pose>) -> Self {
        let mut scene = Scene::new(DVec3::X).unwrap();
        let groups: Vec<GroupId> = motions.iter().map(|&m| scene.add_group(m)).collect();
        let mut ids = Vec::new();
        for ((list, &group), pose) in solids.iter().zip(&groups).zip(&poses) {
            scene.set_pose(group, pose);
            let add = |(k, s): (usize, &Solid)| scene.add_solid(group, (k / 2) as u32, s);
            ids.push(list.iter().enumerate().map(add).collect());
        }
        let channels = vec![
            scene.watch(groups[0], groups[1]),
            scene.watch_only(groups[0], groups[2], |a, b| (a + b) % 4 != 1),
            scene.watch(groups[1], groups[2]),
            scene.watch(groups[0], groups[0]),
        ];
        Self { scene, groups, channels, ids, solids, motions, poses }
    }

    fn random(random: &mut Random, count: usize) -> Self {
        let solids = (0..3).map(|side| (0..count).map(|_| placed(random, side)).collect()).collect();
        let motions = vec![
            Motion::Linked { offset: -20.0, ratio: 1.0 },
            Motion::Linked { offset: 170.0, ratio: -1.0 },
            Motion::FIXED,
        ];
        Self::new(solids, motions, vec![Pose::IDENTITY; 3])
    }

    fn afresh(&self) -> Self {
        Self::new(self.solids.clone(), self.motions.clone(), self.poses.clone())
    }
}

fn ask() -> Ask {
    Ask { from: 0.0, to: 190.0, positions: 201, below: 0.8, horizon: 3.0 }
}

/// Everything said, but for which of two equally near pairs is named.
fn compare(kept: &Kept, fresh: &Kept, what: &str) {
    for (c, (p, q)) in kept.channels.iter().zip(&fresh.channels).enumerate() {
        let (own, expected) = (kept.scene.result(*p).unwrap(), fresh.scene.result(*q).unwrap());
        assert_eq!(own.envelope.len(), expected.envelope.len());
        for (k, (a, b)) in own.envelope.iter().zip(&expected.envelope).enumerate() {
            assert!((a.gap - b.gap).abs() < 1e-7 || a.gap == b.gap, "{what} {c} at {k}: {a:?} {b:?}");
        }
        let (a, b) = (own.least.unwrap(), expected.least.unwrap());
        assert!((a.gap - b.gap).abs() < 1e-7, "{what} {c}: {a:?} {b:?}");
        assert_eq!(own.near.len(), expected.near.len(), "{what} {c}");
        for b in &expected.near {
            let same = |a: &&glidewright_geometry::NearBodies| (a.body_a, a.body_b) == (b.body_a, b.body_b);
            let a = own.near.iter().find(same).unwrap();
            assert!((a.least.gap - b.least.gap).abs() < 1e-7, "{what} {c}: {a:?} {b:?}");
            for (x, y) in [(&a.touching, &b.touching), (&a.below, &b.below)] {
                assert_eq!(x.len(), y.len(), "{what} {c}: {a:?} {b:?}");
                for (i, j) in x.iter().zip(y) {
                    assert!((i.0 - j.0).abs() < 1e-5 && (i.1 - j.1).abs() < 1e-5, "{what} {c}: {a:?} {b:?}");
                }
            }
        }
    }
}

#[test]
fn changes_give_what_a_fresh_scene_gives() {
    let mut random = Random(0xfeed_0000_1111_2222);
    for round in 0..12 {
        let mut kept = Kept::random(&mut random, 8 + round);
        kept.scene.sweep(&ask());
        for step in 0..25 {
            match random.below(12) {
                0 => {
                    let group = random.below(2);
                    kept.motions[group] = Motion::Linked { offset: random.between(-40.0, 150.0), ratio: 1.0 };
                    kept.scene.set_motion(kept.groups[group], kept.motions[group]);
                }
                1 => {
                    let pose = Pose::from_turn(random.direction(), random.between(0.0, 0.01));
                    kept.poses[1] = if step % 2 == 0 { pose } else { Pose::IDENTITY };
                    let pose = kept.poses[1];
                    kept.scene.set_pose(kept.groups[1], &pose);
                }
                n => {
                    // One or two pieces; now and then one that is not sound, or comes back.
                    for _ in 0..1 + n % 2 {
                        let (side, place) = (random.below(3), random.below(kept.solids[0].len()));
                        let mut solid = placed(&mut random, side);
                        if random.below(8) == 0 {
                            solid.pose.shift.x = f64::NAN;
                        }
                        kept.solids[side][place] = solid.clone();
                        kept.scene.replace(kept.ids[side][place], &solid);
                    }
                }
            }
            kept.scene.sweep(&ask());
            let mut fresh = kept.afresh();
            fresh.scene.sweep(&ask());
            compare(&kept, &fresh, &format!("{round} {step}"));
        }
    }
}

#[test]
fn a_change_costs_its_own_pairs_only() {
    let mut random = Random(0x0a0b_0c0d_0e0f_1011);
    let mut kept = Kept::random(&mut random, 24);
    kept.scene.sweep(&ask());
    let whole = kept.scene.effort();
    assert!(whole.pairs > 100);
    kept.scene.sweep(&ask());
    assert_eq!(kept.scene.effort(), Effort::default(), "asked the same again");
    let moved = kept.solids[0][5].shifted(DVec3::Z * -0.2);
    kept.scene.replace(kept.ids[0][5], &moved);
    kept.scene.sweep(&ask());
    let after = kept.scene.effort();
    // Rider against rider, against the ground, against its own: at most one pair with each other solid.
    assert!(after.pairs > 0 && after.pairs <= 3 * 24, "{after:?}");
    assert!(after.gaps * 3 < whole.gaps, "{after:?} of {whole:?}");
    kept.scene.replace(kept.ids[0][5], &moved);
    kept.scene.sweep(&ask());
    assert_eq!(kept.scene.effort(), Effort::default(), "an equal solid changes nothing");
}

#[test]
fn a_long_drag_does_not_pile_up() {
    let mut random = Random(0x1111_2222_3333_4444);
    let mut kept = Kept::random(&mut random, 6);
    for step in 0..3000 {
        let moved = kept.solids[0][2].shifted(DVec3::Z * -1e-3 * f64::from(step));
        kept.scene.replace(kept.ids[0][2], &moved);
        kept.scene.sweep(&ask());
        kept.solids[0][2] = kept.solids[0][2].clone();
    }
    kept.solids[0][2] = kept.solids[0][2].shifted(DVec3::Z * -2.999);
    let mut fresh = kept.afresh();
    fresh.scene.sweep(&ask());
    compare(&kept, &fresh, "after the drag");
}
