//! Sweeps of whole scenes against brute force: every pair at every position by the single-pair query, refined
//! near minima, and interval ends by bisection on it.

#![allow(clippy::unwrap_used, reason = "a broken fixture must fail the test")]

mod common;

use common::Random;
use glidewright_geometry::{
    Ask, DMat3, DVec3, GroupId, Motion, Pair, Pose, Scene, Shape, Solid, SolidId, separation,
};

struct Made {
    scene: Scene,
    groups: Vec<GroupId>,
    /// Solids of each group as placed in the outer frame at shift 0, with their ids and bodies.
    solids: Vec<Vec<(SolidId, u32, Solid)>>,
    motions: Vec<Motion>,
}

/// Two riders facing each other across z = 0, moving opposite ways, and some fixed solids.
fn made(random: &mut Random, count: usize, tilt: f64) -> Made {
    let mut scene = Scene::new(DVec3::X).unwrap();
    let motions = vec![
        Motion::Linked { offset: -20.0, ratio: 1.0 },
        Motion::Linked { offset: 170.0, ratio: -random.between(0.5, 1.5) },
        Motion::FIXED,
    ];
    let groups: Vec<GroupId> = motions.iter().map(|&m| scene.add_group(m)).collect();
    let mut solids = vec![Vec::new(), Vec::new(), Vec::new()];
    for (g, list) in solids.iter_mut().enumerate() {
        let pose = if g == 0 && tilt > 0.0 {
            Pose { turn: DMat3::from_axis_angle(random.direction(), tilt), shift: DVec3::new(0.1, 0.0, 0.05) }
        } else {
            Pose::IDENTITY
        };
        scene.set_pose(groups[g], &pose);
        for k in 0..count {
            let kind = random.below(6);
            let mut shape = random.shape(kind);
            if let Shape::Polyhedron(_) = shape
                && k % 3 > 0
            {
                shape = random.shape(0);
            }
            let turn = if random.below(4) == 0 { random.axial_turn() } else { DMat3::IDENTITY };
            let mut solid = Solid { shape, pose: Pose { turn, shift: DVec3::ZERO } };
            let b = solid.bounds();
            let gap = random.between(0.1, 1.5);
            let z = [-b.high.z - gap, -b.low.z + gap, -b.low.z + 12.0][g];
            let at = DVec3::new(random.between(-30.0, 30.0), random.between(-15.0, 15.0), z);
            solid.pose.shift = at;
            let body = (k / 2) as u32;
            let id = scene.add_solid(groups[g], body, &solid);
            list.push((id, body, solid.placed(&pose)));
        }
    }
    Made { scene, groups, solids, motions }
}

fn shift(m: &Motion, s: f64) -> f64 {
    match *m {
        Motion::Linked { offset, ratio } => offset + ratio * s,
        Motion::Free { .. } => f64::NAN,
    }
}

#[test]
fn envelope_minima_and_intervals_agree_with_brute_force() {
    let mut random = Random(0xabcd_ef01_2345_6789);
    for round in 0..24 {
        let tilt = if round % 3 == 2 { 0.002 } else { 0.0 };
        let tolerance = 2e-6;
        let mut m = made(&mut random, 3 + round % 8, tilt);
        let watched = [(0, 1), (0, 2), (1, 2)].map(|(p, q)| (p, q, m.scene.watch(m.groups[p], m.groups[q])));
        let ask =
            Ask { from: 0.0, to: 190.0, positions: 96, below: 1.0, horizon: 4.0, ceiling: f64::INFINITY };
        m.scene.sweep(&ask);
        for (p, q, channel) in watched {
            let found = m.scene.result(channel).unwrap();
            let u = |s: f64| shift(&m.motions[q], s) - shift(&m.motions[p], s);
            let gap = |a: &Solid, b: &Solid, s: f64| separation(a, &b.shifted(DVec3::X * u(s))).gap;
            for (k, e) in found.envelope.iter().enumerate() {
                let s = 190.0 * k as f64 / 95.0;
                let mut least = f64::INFINITY;
                for (_, _, a) in &m.solids[p] {
                    for (_, _, b) in &m.solids[q] {
                        least = least.min(gap(a, b, s));
                    }
                }
                assert!((e.gap - least).abs() < tolerance, "{round} {p}{q} at {s}: {} {least}", e.gap);
                let own = |list: &[(SolidId, u32, Solid)], id: SolidId| {
                    list.iter().find(|x| x.0 == id).map(|x| x.2.clone()).unwrap()
                };
                let responsible = gap(&own(&m.solids[p], e.a), &own(&m.solids[q], e.b), s);
                assert!((responsible - least).abs() < tolerance);
            }
            let mut least = f64::INFINITY;
            let mut bodies = std::collections::BTreeMap::new();
            for (_, body_a, a) in &m.solids[p] {
                for (_, body_b, b) in &m.solids[q] {
                    let pair = Pair::new(a, b, DVec3::X).unwrap();
                    let closest = pair.closest_over(u(0.0), u(190.0));
                    least = least.min(closest.separation.gap);
                    let entry = bodies.entry((*body_a, *body_b)).or_insert(f64::INFINITY);
                    *entry = f64::min(*entry, closest.separation.gap);
                }
            }
            let own = found.least.unwrap();
            assert!((own.gap - least).abs() < tolerance, "{round} {p}{q}: {own:?} {least}");
            assert!(own.span.0 >= 0.0 && own.span.1 <= 190.0 && own.span.0 <= own.span.1);
            bodies.retain(|_, gap| *gap <= 4.0);
            assert_eq!(found.near.len(), bodies.len(), "{round} {p}{q}");
            for near in &found.near {
                let gap = bodies[&(near.body_a, near.body_b)];
                assert!((near.least.gap - gap).abs() < tolerance);
                check_intervals(&m, (p, q), near, &u, tolerance);
            }
        }
    }
}

/// The body pair's gap is at most the level inside the intervals and above it outside; at their ends it is equal.
fn check_intervals(
    m: &Made,
    (p, q): (usize, usize),
    near: &glidewright_geometry::NearBodies,
    u: &dyn Fn(f64) -> f64,
    tolerance: f64,
) {
    let gap = |s: f64| {
        let mut least = f64::INFINITY;
        for (_, _, a) in m.solids[p].iter().filter(|x| x.1 == near.body_a) {
            for (_, _, b) in m.solids[q].iter().filter(|x| x.1 == near.body_b) {
                least = least.min(separation(a, &b.shifted(DVec3::X * u(s))).gap);
            }
        }
        least
    };
    for (level, list) in [(0.0, &near.touching), (1.0, &near.below)] {
        assert_eq!(near.least.gap <= level, !list.is_empty());
        for window in list.windows(2) {
            assert!(window[0].1 < window[1].0);
        }
        for &(from, to) in list {
            for (end, inner) in [(from, to), (to, from)] {
                if end > 0.0 && end < 190.0 {
                    assert!((gap(end) - level).abs() < 10.0 * tolerance, "{} at {end}", gap(end));
                }
                assert!(gap(0.9 * end + 0.1 * inner) <= level + tolerance);
            }
        }
        for k in 0..60 {
            let s = 190.0 * f64::from(k) / 59.0;
            let inside = list.iter().any(|&(from, to)| s >= from && s <= to);
            let g = gap(s);
            if (g - level).abs() > 10.0 * tolerance {
                assert_eq!(g <= level, inside, "{s} {g} {level}");
            }
        }
    }
}

#[test]
fn free_groups_give_the_worst_over_where_they_may_stand() {
    let mut random = Random(0x1357_9bdf_0246_8ace);
    for round in 0..10 {
        let mut m = made(&mut random, 4, 0.0);
        let (low, high) = (40.0, 70.0);
        m.scene.set_motion(m.groups[1], Motion::Free { from: low, to: high });
        let channel = m.scene.watch(m.groups[0], m.groups[1]);
        let ask =
            Ask { from: 0.0, to: 190.0, positions: 39, below: 1.0, horizon: 4.0, ceiling: f64::INFINITY };
        m.scene.sweep(&ask);
        let found = m.scene.result(channel).unwrap();
        for (k, e) in found.envelope.iter().enumerate() {
            let s = 190.0 * k as f64 / 38.0;
            let mut least = f64::INFINITY;
            for (_, _, a) in &m.solids[0] {
                for (_, _, b) in &m.solids[1] {
                    let pair = Pair::new(a, b, DVec3::X).unwrap();
                    let at = shift(&m.motions[0], s);
                    least = least.min(pair.closest_over(low - at, high - at).separation.gap);
                }
            }
            assert!((e.gap - least).abs() < 1e-6, "{round} at {s}: {} {least}", e.gap);
        }
        let least = found.envelope.iter().map(|e| e.gap).fold(f64::INFINITY, f64::min);
        assert!(found.least.unwrap().gap <= least + 1e-9);
    }
}

#[test]
fn a_channel_within_one_group_and_filters() {
    let mut scene = Scene::new(DVec3::X).unwrap();
    let group = scene.add_group(Motion::Linked { offset: 0.0, ratio: 1.0 });
    for k in 0..4 {
        let z = 5.0 * f64::from(k);
        let (from, to) = (DVec3::new(0.0, 0.0, z), DVec3::new(0.0, 0.0, z + 4.0 + 0.1 * f64::from(k)));
        scene.add_solid(group, k, &Solid::cylinder_between(from, to, 3.0));
    }
    let all = scene.watch(group, group);
    let some = scene.watch_only(group, group, |a, b| a + b != 5);
    scene.sweep(&Ask { from: 0.0, to: 10.0, positions: 5, below: 0.9, horizon: 1.0, ceiling: f64::INFINITY });
    let least = |c| scene.result(c).unwrap().least.unwrap().gap;
    assert!((least(all) - 0.8).abs() < 1e-12 && (least(some) - 0.9).abs() < 1e-12);
    assert_eq!(scene.result(all).unwrap().near.len(), 3);
    assert_eq!(scene.result(some).unwrap().near.len(), 2);
    assert_eq!(scene.result(all).unwrap().near[0].below, [(0.0, 10.0)]);
}

/// More axes than a scene keeps sections for: those beyond are left to the search, and say the same.
#[test]
fn every_solid_turned_its_own_way() {
    let mut random = Random(0x7074_7074_7074_7075);
    let mut scene = Scene::new(DVec3::X).unwrap();
    let groups = [
        scene.add_group(Motion::Linked { offset: -60.0, ratio: 1.0 }),
        scene.add_group(Motion::Linked { offset: 60.0, ratio: -1.0 }),
    ];
    let lists = [-1.0, 1.0].map(|side| -> Vec<Solid> {
        (0..24)
            .map(|k| {
                let kind = [0, 1, 2, 3][k % 4];
                let turn = random.turn();
                let shape = random.shape(kind);
                let mut solid = Solid { shape, pose: Pose { turn, shift: DVec3::ZERO } };
                let b = solid.bounds();
                let z = if side < 0.0 { -b.high.z - 0.2 } else { -b.low.z + 0.2 };
                solid.pose.shift = DVec3::new(random.between(-40.0, 40.0), random.between(-15.0, 15.0), z);
                solid
            })
            .collect()
    });
    let mut turned = lists;
    // Pairs of one axis: some have a section in common, and some would, were there room.
    let [lower, upper] = &mut turned;
    for (a, b) in lower.iter().zip(upper.iter_mut()) {
        b.pose.turn = a.pose.turn;
        let box_b = b.bounds();
        b.pose.shift.z += 0.2 - box_b.low.z;
    }
    for (list, group) in turned.iter().zip(groups) {
        for (body, solid) in (0..).zip(list) {
            scene.add_solid(group, body, solid);
        }
    }
    let channel = scene.watch(groups[0], groups[1]);
    scene.sweep(&Ask {
        from: 0.0,
        to: 120.0,
        positions: 61,
        below: 1.0,
        horizon: 2.0,
        ceiling: f64::INFINITY,
    });
    let found = scene.result(channel).unwrap();
    for (k, nearest) in found.envelope.iter().enumerate() {
        let u = 120.0 - 2.0 * (2.0 * k as f64);
        let pairs = turned[0].iter().flat_map(|a| turned[1].iter().map(move |b| (a, b)));
        let least =
            pairs.map(|(a, b)| separation(a, &b.shifted(DVec3::X * u)).gap).fold(f64::INFINITY, f64::min);
        assert!((nearest.gap - least).abs() < 2e-6, "at {k}: {nearest:?} {least}");
    }
}

#[test]
fn nonsense_is_survived() {
    let bad = [f64::NAN, f64::INFINITY, -1.0, 0.0, 1e300];
    for &x in &bad {
        let mut scene = Scene::new(DVec3::X).unwrap();
        let a = scene.add_group(Motion::Linked { offset: x, ratio: 1.0 });
        let b = scene.add_group(Motion::Free { from: x, to: -x });
        scene.add_solid(a, 0, &Solid::cylinder_between(DVec3::splat(x), DVec3::ZERO, 3.0));
        scene.add_solid(b, 0, &Solid::cuboid_between(DVec3::splat(x), DVec3::ONE));
        scene.add_solid(b, 0, &Solid { shape: Shape::Sphere { radius: x }, pose: Pose::IDENTITY });
        scene.watch(a, b);
        scene.watch(a, GroupId(99));
        for positions in [0, 1, 2, 50] {
            scene.sweep(&Ask {
                from: x,
                to: 10.0,
                positions,
                below: x,
                horizon: 1.0,
                ceiling: f64::INFINITY,
            });
            scene.sweep(&Ask {
                from: 0.0,
                to: 10.0,
                positions,
                below: 1.0,
                horizon: x,
                ceiling: f64::INFINITY,
            });
        }
    }
    assert!(Scene::new(DVec3::ZERO).is_none());
}
