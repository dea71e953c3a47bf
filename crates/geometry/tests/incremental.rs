//! A scene that is kept and changed must say what a scene built afresh says, at the cost of what has changed.
#![allow(clippy::unwrap_used, reason = "a broken fixture must fail the test")]

mod common;

use common::Random;
use glidewright_geometry::{
    Ask, ChannelId, DMat3, DVec3, Effort, GroupId, Motion, Pose, Scene, Solid, SolidId, Trace,
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
    Ask { from: 0.0, to: 190.0, positions: 201, below: 0.8, horizon: 3.0, ceiling: f64::INFINITY }
}

fn without_intervals() -> Ask {
    Ask { below: f64::NEG_INFINITY, ..ask() }
}

/// How far two gaps that are one may differ.
const SAME: f64 = 1e-7;
/// The same for overlaps some millimetres deep: their depth is proved to a millionth of itself.
const SAME_DEPTH: f64 = 1e-6;

/// Whether two gaps are one, overlaps within a tolerance of their own.
fn near(a: f64, b: f64, depth: f64) -> bool {
    (a - b).abs() < if a < 0.0 { depth } else { SAME }
}

/// Everything said, but for which of two equally near pairs is named.
fn compare(kept: &Kept, fresh: &Kept, what: &str, depth: f64) {
    for (c, (p, q)) in kept.channels.iter().zip(&fresh.channels).enumerate() {
        let (own, expected) = (kept.scene.result(*p).unwrap(), fresh.scene.result(*q).unwrap());
        assert_eq!(own.envelope.len(), expected.envelope.len());
        for (k, (a, b)) in own.envelope.iter().zip(&expected.envelope).enumerate() {
            assert!(near(a.gap, b.gap, depth) || a.gap == b.gap, "{what} {c} at {k}: {a:?} {b:?}");
        }
        let (a, b) = (own.least.unwrap(), expected.least.unwrap());
        assert!(near(a.gap, b.gap, depth), "{what} {c}: {a:?} {b:?}");
        assert_eq!(own.near.len(), expected.near.len(), "{what} {c}");
        for b in &expected.near {
            let same = |a: &&glidewright_geometry::NearBodies| (a.body_a, a.body_b) == (b.body_a, b.body_b);
            let a = own.near.iter().find(same).unwrap();
            assert!(near(a.least.gap, b.least.gap, depth), "{what} {c}: {a:?} {b:?}");
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
    changes(0xfeed_0000_1111_2222, &ask(), SAME);
}

/// Where no intervals are asked for, solids that are not the nearest of their bodies are not looked at: one of them may
/// become it.
#[test]
fn changes_give_what_a_fresh_scene_gives_without_intervals() {
    changes(0x0bad_cafe_3333_4444, &without_intervals(), SAME_DEPTH);
}

#[test]
fn changes_give_what_a_fresh_scene_gives_below_a_ceiling() {
    changes(0x0123_4567_89ab_cdef, &Ask { ceiling: 1.2, ..ask() }, SAME);
    changes(0xfedc_ba98_7654_3210, &Ask { ceiling: 0.4, ..without_intervals() }, SAME_DEPTH);
}

fn changes(seed: u64, ask: &Ask, depth: f64) {
    let mut random = Random(seed);
    for round in 0..12 {
        let mut kept = Kept::random(&mut random, 8 + round);
        kept.scene.sweep(ask);
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
            kept.scene.sweep(ask);
            let mut fresh = kept.afresh();
            fresh.scene.sweep(ask);
            compare(&kept, &fresh, &format!("{round} {step}"), depth);
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
    compare(&kept, &fresh, "after the drag", SAME);
}

/// What is left out changes nothing of the rest.
#[test]
fn what_is_left_out_changes_nothing_else() {
    let mut random = Random(0x5555_6666_7777_8888);
    for round in 0..10 {
        let mut whole = Kept::random(&mut random, 8 + round);
        whole.poses[0] = Pose::from_turn(random.direction(), random.between(0.0, 0.01));
        whole = whole.afresh();
        let mut spared = whole.afresh();
        whole.scene.sweep(&ask());
        spared.scene.leave_out_envelope(spared.channels[0]);
        spared.scene.sweep(&without_intervals());
        for (p, q) in spared.channels.iter().zip(&whole.channels) {
            let (own, expected) = (spared.scene.result(*p).unwrap(), whole.scene.result(*q).unwrap());
            assert_eq!(own.envelope.is_empty(), p == &spared.channels[0]);
            assert!(near(own.least.unwrap().gap, expected.least.unwrap().gap, SAME_DEPTH));
            assert_eq!(own.near.len(), expected.near.len());
            for b in &expected.near {
                let same =
                    |a: &&glidewright_geometry::NearBodies| (a.body_a, a.body_b) == (b.body_a, b.body_b);
                let a = own.near.iter().find(same).unwrap();
                assert!(near(a.least.gap, b.least.gap, SAME_DEPTH), "{a:?} {b:?}");
                assert!(a.touching.is_empty() && a.below.is_empty());
            }
        }
        spared.scene.stop_watching(spared.channels[1]);
        spared.scene.sweep(&without_intervals());
        let ended = spared.scene.result(spared.channels[1]).unwrap();
        assert!(ended.envelope.is_empty() && ended.least.is_none() && ended.near.is_empty());
        assert!(spared.scene.result(spared.channels[2]).unwrap().least.is_some());
    }
}

/// Below the ceiling the envelope is what it is without one; above it says nothing.
#[test]
fn a_ceiling_hides_what_is_above_it() {
    let mut random = Random(0x7777_1234_8888_4321);
    let (mut shown, mut hidden) = (0, 0);
    for round in 0..24 {
        let mut whole = Kept::random(&mut random, 4 + round);
        if round % 2 == 0 {
            whole.poses[0] = Pose::from_turn(random.direction(), random.between(0.0, 0.01));
        }
        whole = whole.afresh();
        let mut below = whole.afresh();
        let ceiling = random.between(-0.5, 3.0);
        whole.scene.sweep(&without_intervals());
        below.scene.sweep(&Ask { ceiling, ..without_intervals() });
        for (p, q) in below.channels.iter().zip(&whole.channels) {
            let (own, expected) = (below.scene.result(*p).unwrap(), whole.scene.result(*q).unwrap());
            for (a, b) in own.envelope.iter().zip(&expected.envelope) {
                if a.gap == f64::INFINITY {
                    assert!(b.gap > ceiling - SAME_DEPTH, "{b:?} above {ceiling}");
                    hidden += 1;
                } else {
                    assert!(a.gap < ceiling && near(a.gap, b.gap, SAME_DEPTH), "{a:?} {b:?} below {ceiling}");
                    shown += 1;
                }
            }
            assert!(near(own.least.unwrap().gap, expected.least.unwrap().gap, SAME_DEPTH));
            assert_eq!(own.near.len(), expected.near.len());
        }
    }
    assert!(shown > 1000 && hidden > 1000, "{shown} {hidden}");
}

/// Where only the tightest of all envelopes counts, that is what it is of whole ones, after changes too.
#[test]
fn the_tightest_of_all_stays_the_tightest() {
    let mut random = Random(0x2468_ace0_1357_9bdf);
    let tightest = |kept: &Kept, k: usize| {
        let gap = |channel: &ChannelId| kept.scene.result(*channel).unwrap().envelope.get(k).map(|n| n.gap);
        kept.channels.iter().filter_map(gap).fold(f64::INFINITY, f64::min)
    };
    let mut hidden = 0;
    for round in 0..16 {
        let mut spared = Kept::random(&mut random, 4 + round);
        // The first two go together, near each other all the way, past the third.
        spared.motions[1] = Motion::Linked { offset: random.between(-20.0, 20.0), ratio: 1.0 };
        spared = spared.afresh();
        // Within a group nothing passes.
        spared.scene.leave_out_envelope(spared.channels[3]);
        spared.scene.leave_out_least(spared.channels[2]);
        spared.scene.tell_tightest_only();
        for step in 0..12 {
            let (side, place) = (random.below(3), random.below(spared.solids[0].len()));
            let lift = DVec3::Z * random.between(0.0, 20.0 * f64::from(step % 3));
            let solid = placed(&mut random, side).shifted(lift);
            spared.solids[side][place] = solid.clone();
            spared.scene.replace(spared.ids[side][place], &solid);
            spared.scene.sweep(&ask());
            let mut whole = spared.afresh();
            whole.scene.leave_out_envelope(whole.channels[3]);
            whole.scene.sweep(&ask());
            for k in 0..ask().positions {
                let (own, expected) = (tightest(&spared, k), tightest(&whole, k));
                assert!(near(own, expected, SAME_DEPTH), "{round} {step} at {k}: {own} {expected}");
            }
            for (p, q) in spared.channels.iter().zip(&whole.channels) {
                let (own, expected) = (spared.scene.result(*p).unwrap(), whole.scene.result(*q).unwrap());
                assert_eq!(own.near.len(), expected.near.len());
                assert!(
                    own.least.is_none() || near(own.least.unwrap().gap, expected.least.unwrap().gap, SAME)
                );
                let open = |n: &&glidewright_geometry::Nearest| n.gap == f64::INFINITY;
                hidden += own.envelope.iter().filter(open).count();
            }
        }
    }
    assert!(hidden > 1000, "{hidden}");
}

/// A separation that the sweep has come by, or that follows on another, is that of the two solids where they stand.
#[test]
fn separations_are_those_of_the_solids_where_they_stand() {
    let mut random = Random(0x9999_aaaa_bbbb_cccc);
    let (mut found, mut followed) = (0, 0);
    for round in 0..10 {
        let mut kept = Kept::random(&mut random, 8 + round);
        kept.poses[0] = Pose::from_turn(random.direction(), random.between(0.0, 0.01));
        kept = kept.afresh();
        kept.scene.sweep(&without_intervals());
        let solid = |id: SolidId| {
            let group = kept.ids.iter().position(|ids| ids.contains(&id)).unwrap();
            let place = kept.ids[group].iter().position(|own| *own == id).unwrap();
            kept.solids[group][place].placed(&kept.poses[group])
        };
        let check = |a: SolidId, b: SolidId, shifts: (f64, f64), got: glidewright_geometry::Separation| {
            let (a, b) = (solid(a).shifted(DVec3::X * shifts.0), solid(b).shifted(DVec3::X * shifts.1));
            let expected = glidewright_geometry::separation(&a, &b);
            // Of an overlap the depth is proved to a millionth of itself.
            assert!((got.gap - expected.gap).abs() < 2e-6, "{got:?} {expected:?}");
            assert!(got.lower <= expected.gap + 1e-9 && got.gap >= expected.lower - 1e-9);
            // Its points are that far apart, along its direction.
            let across = got.on_b - got.on_a;
            assert!((across.dot(got.normal) - got.gap).abs() < 2e-6, "{got:?}");
            let moved = glidewright_geometry::separation(&a, &b.shifted(got.normal * 1e-3));
            assert!((moved.gap - got.gap - 1e-3).abs() < 1e-5, "{got:?} {moved:?}");
        };
        for channel in &kept.channels[..3] {
            for near in &kept.scene.result(*channel).unwrap().near {
                let least = &near.least;
                let shift = random.between(-30.0, 30.0);
                let got = kept.scene.separation(least.a, least.b, shift, shift + least.shift);
                check(least.a, least.b, (shift, shift + least.shift), got);
                found += 1;
                let mut trace = Trace::default();
                for step in 0..6 {
                    let shifts = (shift, shift + least.shift + 0.7 * f64::from(step));
                    let got = kept.scene.separation_after(least.a, least.b, shifts, &mut trace);
                    check(least.a, least.b, shifts, got);
                    followed += 1;
                }
            }
        }
    }
    assert!(found > 100 && followed > 600, "{found} {followed}");
}
