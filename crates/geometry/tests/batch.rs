//! Variants changed in place against scenes built from scratch.
#![allow(clippy::unwrap_used, reason = "a broken fixture must fail the test")]

mod common;

use common::Random;
use glidewright_geometry::{
    Ask, Batch, Change, ChannelId, DMat3, DVec3, Deductions, Motion, Pose, Scene, Shape, Solid, SolidId,
};

struct Base {
    solids: [Vec<Solid>; 2],
    poses: [Pose; 2],
    motions: [Motion; 2],
}

const TRAVEL: (f64, f64) = (0.0, 150.0);

impl Base {
    fn random(random: &mut Random, count: usize, tilt: f64) -> Self {
        let mut solids = [Vec::new(), Vec::new()];
        for (side, list) in solids.iter_mut().enumerate() {
            for _ in 0..count {
                let kind = random.below(6);
                let turn = if random.below(3) == 0 { random.axial_turn() } else { DMat3::IDENTITY };
                let mut solid = Solid { shape: random.shape(kind), pose: Pose { turn, shift: DVec3::ZERO } };
                let b = solid.bounds();
                let gap = random.between(0.1, 1.5);
                let z = if side == 0 { -b.high.z - gap } else { -b.low.z + gap };
                solid.pose.shift = DVec3::new(random.between(-30.0, 30.0), random.between(-15.0, 15.0), z);
                list.push(solid);
            }
        }
        let lean = Pose::from_turn(random.direction(), tilt);
        Self {
            solids,
            poses: [if tilt > 0.0 { lean } else { Pose::IDENTITY }, Pose::IDENTITY],
            motions: [
                Motion::Linked { offset: -20.0, ratio: 1.0 },
                Motion::Linked { offset: 120.0, ratio: -random.between(0.5, 1.5) },
            ],
        }
    }

    fn scene(&self, solids: &[Vec<Solid>; 2]) -> (Scene, Vec<ChannelId>, Vec<SolidId>) {
        let mut scene = Scene::new(DVec3::X).unwrap();
        let groups = self.motions.map(|m| scene.add_group(m));
        let mut ids = Vec::new();
        for ((list, group), pose) in solids.iter().zip(groups).zip(self.poses) {
            scene.set_pose(group, &pose);
            ids.extend(list.iter().zip(0..).map(|(s, k)| scene.add_solid(group, k, s)));
        }
        let all = scene.watch(groups[0], groups[1]);
        let some = scene.watch_only(groups[0], groups[1], |a, b| (a + b) % 3 != 0);
        let own = scene.watch(groups[0], groups[0]);
        (scene, vec![all, some, own], ids)
    }
}

fn swept(scene: &mut Scene, channels: &[ChannelId]) -> Vec<f64> {
    scene.sweep(&Ask {
        from: TRAVEL.0,
        to: TRAVEL.1,
        positions: 2,
        below: 0.0,
        horizon: 0.0,
        ceiling: f64::INFINITY,
    });
    let least = |&c: &ChannelId| scene.result(c).unwrap().least.map_or(f64::INFINITY, |least| least.gap);
    channels.iter().map(least).collect()
}

fn change(random: &mut Random, size: f64) -> Change {
    Change {
        shift: random.direction() * random.between(0.0, size),
        along: 1.0 + 0.1 * size * random.between(-1.0, 1.0),
        across: 1.0 + 0.1 * size * random.between(-1.0, 1.0),
        wide: 1.0 + 0.1 * size * random.between(-1.0, 1.0),
        radial: 0.1 * size * random.between(-1.0, 1.0),
    }
}

#[test]
fn variants_agree_with_scenes_built_from_scratch() {
    let mut random = Random(0x0123_4567_89ab_cdef);
    let (mut worst, mut evaluated, mut unproved): (f64, usize, usize) = (0.0, 0, 0);
    for round in 0..30 {
        let tilt = if round % 5 == 4 { 0.003 } else { 0.0 };
        let base = Base::random(&mut random, 4 + round % 9, tilt);
        let (scene, channels, ids) = base.scene(&base.solids);
        let batch = Batch::new(&scene, TRAVEL, 4.0);
        let mut sampler = batch.sampler();
        for variant in 0..12 {
            // From hair-fine to changes that bring every pair into play.
            let size = [0.01, 0.1, 0.5, 3.0][variant % 4];
            let mut solids = base.solids.clone();
            if variant % 3 > 0 {
                sampler.reset();
            } else {
                sampler = batch.sampler();
            }
            let count = base.solids[0].len();
            for (number, &id) in ids.iter().enumerate() {
                if variant % 2 == 0 && random.below(3) > 0 {
                    continue;
                }
                let (side, place) = (number / count, number % count);
                if random.below(12) == 0 {
                    let kind = random.below(6);
                    let other = Solid { shape: random.shape(kind), ..base.solids[side][place].clone() };
                    assert!(sampler.replace(id, &other));
                    solids[side][place] = other;
                } else {
                    // A first change that the second must overrule.
                    sampler.change(id, &change(&mut random, 1.0));
                    let c = change(&mut random, size);
                    assert!(sampler.change(id, &c));
                    // The change's shift counts in the outer frame, the solid is given in the group's.
                    let pose = base.poses[side];
                    let turned = Change { shift: pose.inverse().direction(c.shift), ..c };
                    solids[side][place] = base.solids[side][place].changed(&turned);
                }
            }
            let (mut again, same_channels, _) = base.scene(&solids);
            let expected = swept(&mut again, &same_channels);
            for (channel, expected) in channels.iter().zip(expected) {
                let found = sampler.least(*channel).unwrap();
                // Depths of tilted solids come of a search, whose rounding is a few hundred-millionths.
                assert!(found.lower <= expected + 1e-7, "{round} {variant}: {found:?} {expected}");
                evaluated += 1;
                if found.gap - found.lower > 1e-6 {
                    unproved += 1;
                    assert!(found.gap >= expected - 1e-7);
                    continue;
                }
                let off = (found.gap - expected).abs();
                assert!(off < 1e-6, "{round} {variant}: {found:?} {expected}");
                worst = worst.max(off);
            }
        }
    }
    eprintln!("{evaluated} minima, largest difference {worst:.1e} mm, {unproved} beyond the reach");
    assert!(unproved * 4 < evaluated);
}

#[test]
fn samples_come_in_order_and_start_at_the_base() {
    let mut random = Random(0x7777_1234_5678_9abc);
    let base = Base::random(&mut random, 6, 0.0);
    let (mut scene, channels, ids) = base.scene(&base.solids);
    let batch = Batch::new(&scene, TRAVEL, 6.0);
    let at_base = swept(&mut scene, &channels)[0];
    let gaps = batch.samples(400, |k, sampler| {
        if k % 2 == 1 {
            sampler.change(ids[k % ids.len()], &Change::shifted(DVec3::Z * (0.01 * k as f64)));
        }
        sampler.least(channels[0]).unwrap().gap
    });
    for (k, gap) in gaps.iter().enumerate() {
        if k % 2 == 0 {
            assert!((gap - at_base).abs() < 1e-9);
            continue;
        }
        let mut sampler = batch.sampler();
        sampler.change(ids[k % ids.len()], &Change::shifted(DVec3::Z * (0.01 * k as f64)));
        assert_eq!(sampler.least(channels[0]).unwrap().gap, *gap);
    }
}

/// What is taken off some pairs of bodies: against every pair of a variant by itself, in a scene of these two alone.
#[test]
fn deductions_are_taken_off_their_pairs() {
    let mut random = Random(0x00dd_b0b0_5ca1_ab1e);
    let mut other_pair = 0;
    for round in 0..20 {
        let base = Base::random(&mut random, 5 + round % 4, 0.0);
        let (scene, channels, ids) = base.scene(&base.solids);
        let count = base.solids[0].len();
        let mut deductions = Deductions::new();
        for a in 0..count as u32 {
            for b in a..count as u32 {
                if random.below(2) == 0 {
                    deductions.insert([a, b], random.between(-0.2, 0.8));
                }
            }
        }
        let batch = Batch::with_deductions(&scene, TRAVEL, 6.0, deductions.clone());
        let plain = Batch::new(&scene, TRAVEL, 6.0);
        let (mut sampler, mut without) = (batch.sampler(), plain.sampler());
        for variant in 0..6 {
            let mut solids = base.solids.clone();
            let (mut loose, mut changes) = (variant == 5, Vec::new());
            for (number, &id) in ids.iter().enumerate() {
                let c = change(&mut random, if std::mem::take(&mut loose) { 3.0 } else { 0.1 });
                changes.push((id, c));
                sampler.change(id, &c);
                without.change(id, &c);
                let (side, place) = (number / count, number % count);
                solids[side][place] = base.solids[side][place].changed(&c);
            }
            let mut expected = f64::INFINITY;
            for (a, solid) in solids[0].iter().enumerate() {
                for (b, other) in solids[1].iter().enumerate() {
                    let (mut alone, watched, _) = base.scene(&[vec![solid.clone()], vec![other.clone()]]);
                    let pair = [a.min(b) as u32, a.max(b) as u32];
                    let less = deductions.get(&pair).copied().unwrap_or(0.0);
                    expected = expected.min(swept(&mut alone, &watched)[0] - less);
                }
            }
            let found = sampler.least(channels[0]).unwrap();
            assert!((found.gap - expected).abs() < 1e-6, "{round} {variant}: {found:?} {expected}");
            assert!(found.lower <= expected + 1e-9);
            let nearest = without.least(channels[0]).unwrap();
            other_pair += usize::from((nearest.a, nearest.b) != (found.a, found.b));
        }
    }
    assert!(other_pair > 20, "{other_pair}");
}

#[test]
fn nonsense_is_refused() {
    let mut random = Random(0x4242_4242_4242_4242);
    let base = Base::random(&mut random, 3, 0.0);
    let (scene, channels, ids) = base.scene(&base.solids);
    let batch = Batch::new(&scene, TRAVEL, 6.0);
    let mut sampler = batch.sampler();
    let before = sampler.least(channels[0]).unwrap();
    for bad in [f64::NAN, f64::INFINITY, -1.0, 0.0] {
        assert!(!sampler.change(ids[0], &Change { along: bad, ..Change::NONE }));
        assert!(!sampler.change(ids[0], &Change { across: bad, ..Change::NONE }));
        assert!(!sampler.change(ids[0], &Change { wide: bad, ..Change::NONE }));
        let bad = if bad.is_finite() { f64::NAN } else { bad };
        assert!(!sampler.change(ids[0], &Change { radial: bad, ..Change::NONE }));
    }
    assert!(!sampler.change(ids[0], &Change::shifted(DVec3::NAN)));
    assert!(!sampler.change(SolidId(999), &Change::NONE));
    assert!(!sampler.replace(SolidId(999), &base.solids[0][0]));
    assert_eq!(sampler.least(channels[0]), Some(before));
    assert_eq!(sampler.least(ChannelId(77)), None);
    for id in &ids {
        let nothing = Solid { shape: Shape::Sphere { radius: f64::NAN }, pose: Pose::IDENTITY };
        assert!(sampler.replace(*id, &nothing));
    }
    assert_eq!(sampler.least(channels[0]).unwrap().gap, f64::INFINITY);
    for travel in [(f64::NAN, 1.0), (0.0, f64::INFINITY)] {
        assert_eq!(Batch::new(&scene, travel, 6.0).sampler().least(channels[0]), None);
    }
    for reach in [f64::NAN, f64::INFINITY, -1.0] {
        let batch = Batch::new(&scene, TRAVEL, reach);
        let least = batch.sampler().least(channels[0]).unwrap();
        assert!(least.lower <= before.gap + 1e-9);
    }
}
