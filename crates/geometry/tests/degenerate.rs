//! Families on the edge of sense: touching, coplanar, coaxial, identical, flat, a few ulps apart, huge beside tiny.

mod common;

use std::sync::Arc;

use common::{Random, check_certificate};
use glidewright_geometry::{
    DMat3, DVec2, DVec3, Edge, Ending, Outline, Pair, Polyhedron, Pose, Shape, Solid, SolidFault, separation,
};

const KINDS: usize = 6;

fn at(shape: Shape, shift: DVec3) -> Solid {
    Solid { shape, pose: Pose::from_shift(shift) }
}

/// Checks a pair and its exchange against the expected gap, with the proof.
fn expect(a: &Solid, b: &Solid, gap: f64, tolerance: f64, what: &str) {
    for (p, q) in [(a, b), (b, a)] {
        let s = separation(p, q);
        assert!((s.gap - gap).abs() <= tolerance, "{what}: {s:?} expected {gap}\n{p:?}\n{q:?}");
        check_certificate(p, q, &s, 1e-6_f64.max(tolerance), what);
    }
}

#[test]
fn faces_on_faces() {
    // Stacked on a common face, at every height of the second: gap, touch, overlap.
    let mut random = Random(0xface_face_face_face);
    for round in 0..400 {
        let (ka, kb) = ([0, 1, 2, 3][round % 4], [0, 1, 2, 3][(round / 4) % 4]);
        let (a, b) = (random.shape(ka), random.shape(kb));
        let half = |s: &Shape| match s {
            Shape::Cylinder { half_height, .. }
            | Shape::Prism { half_height, .. }
            | Shape::Frustum { half_height, .. } => *half_height,
            Shape::Cuboid { half } => half.z,
            _ => 0.0,
        };
        let (ha, hb) = (half(&a), half(&b));
        for gap in [1.0, 1e-9, 0.0, -1e-9, -0.01 * ha.min(hb)] {
            // Concentric, so that some of both faces lies over the other.
            let (a, b) = (at(a.clone(), DVec3::ZERO), at(b.clone(), DVec3::Z * (ha + hb + gap)));
            let s = separation(&a, &b);
            // Outlines may lie beside their own origin; then sideways counts too.
            if s.normal.z.abs() > 1.0 - 1e-9 {
                expect(&a, &b, gap, 1e-11, "stacked");
            }
        }
    }
}

#[test]
fn a_solid_with_itself() {
    let mut random = Random(0x1de1_1de1_1de1_1de1);
    for round in 0..120 {
        let turn = if round % 2 == 0 { random.axial_turn() } else { random.turn() };
        let solid =
            Solid { shape: random.shape(round % KINDS), pose: Pose { turn, shift: random.direction() } };
        let s = separation(&solid, &solid);
        assert!(s.is_valid() && s.gap < 0.0, "{s:?}");
        // Its least width: no direction is narrower than the one reported.
        let width = |n: DVec3| common::farthest(&solid, n) + common::farthest(&solid, -n);
        assert!((width(s.normal) + s.lower).abs() < 1e-6, "{s:?} {solid:?}");
        for _ in 0..200 {
            assert!(width(random.direction()) >= -s.gap - 1e-6, "{s:?} {solid:?}");
        }
    }
}

#[test]
fn coaxial() {
    for lean in [0.0, 1e-12, 1e-8, 1e-3] {
        let turn = DMat3::from_axis_angle(DVec3::new(0.6, 0.8, 0.0), lean);
        let place = |shape: Shape, z: f64| Solid { shape, pose: Pose { turn, shift: DVec3::Z * z } };
        let bar = at(Shape::Cylinder { radius: 4.0, half_height: 10.0 }, DVec3::ZERO);
        let ring = place(Shape::Cylinder { radius: 5.0, half_height: 2.0 }, 13.0);
        let lower = 1.0 - 5.0 * lean.sin() - 2.0 * (1.0 - lean.cos());
        let s = separation(&bar, &ring);
        assert!(s.gap <= 1.0 + 1e-9 && s.gap >= lower - 1e-9, "{lean}: {s:?}");
        check_certificate(&bar, &ring, &s, 1e-6, "coaxial, apart");
        // One inside the other: the shortest way out is sideways or out of the end, whichever is less.
        let inner = place(Shape::Cylinder { radius: 1.0, half_height: 3.0 }, 0.0);
        let s = separation(&bar, &inner);
        assert!(s.is_valid() && (s.gap + 5.0).abs() < 0.02, "{lean}: {s:?}");
        assert!(s.gap - s.lower < 1e-3, "{lean}: {s:?}");
    }
}

#[test]
fn a_few_ulps_apart() {
    let step = |x: f64, n: i32| f64::from_bits((x.to_bits() as i64 + i64::from(n)) as u64);
    for n in -8..=8 {
        let x = step(7.0, n);
        let a = at(Shape::Cylinder { radius: 3.0, half_height: 2.0 }, DVec3::ZERO);
        let b = at(Shape::Cylinder { radius: 4.0, half_height: 2.0 }, DVec3::new(x, 0.0, 0.0));
        expect(&a, &b, x - 7.0, 2e-15, "cylinders");
        let a = at(Shape::Cuboid { half: DVec3::splat(3.0) }, DVec3::ZERO);
        let b = at(Shape::Cuboid { half: DVec3::splat(4.0) }, DVec3::new(0.0, x, 0.5));
        expect(&a, &b, x - 7.0, 2e-15, "boxes");
        let a = at(Shape::Sphere { radius: 3.0 }, DVec3::ZERO);
        let b = at(Shape::Sphere { radius: 4.0 }, DVec3::new(0.0, 0.0, x));
        expect(&a, &b, x - 7.0, 2e-15, "spheres");
        // And poses that are parallel but for the last digits.
        let lean = DMat3::from_axis_angle(DVec3::Y, f64::from(n) * 1.1e-16);
        let b = Solid {
            shape: Shape::Cylinder { radius: 4.0, half_height: 2.0 },
            pose: Pose { turn: lean, shift: DVec3::X * 9.0 },
        };
        let a = at(Shape::Cylinder { radius: 3.0, half_height: 2.0 }, DVec3::ZERO);
        expect(&a, &b, 2.0, 1e-14, "almost parallel");
    }
}

#[test]
fn flat_and_thin_solids_have_answers() {
    let flat: Vec<Shape> = vec![
        Shape::Cylinder { radius: 3.0, half_height: 0.0 },
        Shape::Cylinder { radius: 0.0, half_height: 3.0 },
        Shape::Cylinder { radius: 0.0, half_height: 0.0 },
        Shape::Frustum { lower_radius: 0.0, upper_radius: 3.0, half_height: 0.0 },
        Shape::Frustum { lower_radius: 0.0, upper_radius: 0.0, half_height: 2.0 },
        Shape::Cuboid { half: DVec3::new(3.0, 2.0, 0.0) },
        Shape::Cuboid { half: DVec3::new(3.0, 0.0, 0.0) },
        Shape::Cuboid { half: DVec3::ZERO },
        Shape::Sphere { radius: 0.0 },
        Shape::Prism { outline: Arc::new(Outline::regular_polygon(6, 5.0)), half_height: 0.0 },
        Shape::Polyhedron(Arc::new(Polyhedron { corners: vec![DVec3::ZERO], faces: vec![] })),
        Shape::Polyhedron(Arc::new(Polyhedron { corners: vec![DVec3::ZERO, DVec3::X], faces: vec![] })),
    ];
    let mut random = Random(0xf1a7_f1a7_f1a7_f1a7);
    for a in &flat {
        for b in &flat {
            for turned in [false, true] {
                let turn = if turned { random.turn() } else { DMat3::IDENTITY };
                let a = at(a.clone(), DVec3::ZERO);
                let b = Solid { shape: b.clone(), pose: Pose { turn, shift: DVec3::new(1.0, 2.0, 9.0) } };
                let s = separation(&a, &b);
                assert!(s.is_valid() && s.gap > 0.5, "{s:?}");
                let slab = -common::farthest(&b, -s.normal) - common::farthest(&a, s.normal);
                assert!((s.gap - slab).abs() < 1e-6, "{s:?} {slab} {a:?} {b:?}");
                // On one another they touch or cross without depth.
                let here = Solid { pose: Pose { turn, shift: DVec3::ZERO }, ..b };
                let s = separation(&a, &here);
                assert!(s.is_valid() && s.gap <= 1e-9, "{s:?} {a:?} {here:?}");
            }
        }
    }
}

#[test]
fn huge_beside_tiny() {
    let rail = at(Shape::Cuboid { half: DVec3::new(1e5, 20.0, 20.0) }, DVec3::ZERO);
    for (k, size) in [1e-3, 1e-6, 1e-2, 1.0].into_iter().enumerate() {
        for gap in [1e-4, 1.0, 1e3] {
            let x = 9.9e4 - 1e4 * k as f64;
            let ball = at(Shape::Sphere { radius: size }, DVec3::new(x, 0.0, 20.0 + size + gap));
            expect(&rail, &ball, gap, 1e-9, "ball over a rail");
            let lean = DMat3::from_axis_angle(DVec3::new(0.3, 0.4, 0.5).normalize(), 0.7);
            let bit = Solid {
                shape: Shape::Cuboid { half: DVec3::splat(size) },
                pose: Pose { turn: lean, shift: DVec3::new(x, 1.0, 20.0 + gap) },
            };
            let down = common::farthest(&bit, DVec3::NEG_Z);
            expect(&rail, &bit, -down - 20.0, 1e-8, "turned bit over a rail");
        }
    }
}

/// Every shape with a size that makes no sense, and broken outlines: a clear status, faults that say why, no panic.
#[test]
fn nonsense_has_a_clear_status() {
    let good = at(Shape::Cylinder { radius: 2.0, half_height: 2.0 }, DVec3::new(9.0, 0.0, 0.0));
    let mut bad: Vec<Solid> = Vec::new();
    let mut random = Random(0xbad0_bad0_bad0_bad1);
    for x in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0] {
        let prism = |half_height: f64| Shape::Prism {
            outline: Arc::new(Outline::regular_polygon(6, 5.0)),
            half_height,
        };
        let shapes = [
            Shape::Cylinder { radius: x, half_height: 1.0 },
            Shape::Cylinder { radius: 1.0, half_height: x },
            Shape::Frustum { lower_radius: x, upper_radius: 1.0, half_height: 1.0 },
            Shape::Frustum { lower_radius: 1.0, upper_radius: x, half_height: 1.0 },
            Shape::Cuboid { half: DVec3::new(1.0, x, 1.0) },
            Shape::Sphere { radius: x },
            prism(x),
        ];
        bad.extend(shapes.map(|s| at(s, DVec3::ZERO)));
    }
    for x in [f64::NAN, f64::INFINITY] {
        bad.push(at(Shape::Sphere { radius: 1.0 }, DVec3::new(x, 0.0, 0.0)));
        let corners = vec![DVec3::ZERO, DVec3::new(x, 0.0, 0.0)];
        bad.push(at(Shape::Polyhedron(Arc::new(Polyhedron { corners, faces: vec![] })), DVec3::ZERO));
        let turn = DMat3::from_cols(DVec3::X * x, DVec3::Y, DVec3::Z);
        bad.push(Solid { shape: Shape::Sphere { radius: 1.0 }, pose: Pose { turn, shift: DVec3::ZERO } });
    }
    bad.push(at(Shape::Polyhedron(Arc::new(Polyhedron::default())), DVec3::ZERO));
    let v = DVec2::new;
    for outline in [
        Outline::default(),
        Outline::polygon(&[v(0.0, 0.0)]),
        Outline::polygon(&[v(0.0, 0.0), v(4.0, 4.0), v(4.0, 0.0), v(0.0, 4.0)]),
        Outline::polygon(&[v(0.0, 0.0), v(4.0, 0.0), v(4.0, 4.0), v(2.0, 1.0), v(0.0, 4.0)]),
        Outline::polygon(&[v(0.0, 0.0), v(0.0, 4.0), v(4.0, 0.0)]),
        Outline::polygon(&[v(0.0, 0.0), v(f64::NAN, 0.0), v(4.0, 4.0)]),
        Outline::circle(v(0.0, 0.0), 0.0),
        Outline::circle(v(0.0, 0.0), -2.0),
        Outline::circle(v(0.0, 0.0), f64::INFINITY),
        Outline::from_edges(vec![Edge::line(v(0.0, 0.0), v(4.0, 0.0)), Edge::line(v(4.0, 0.0), v(4.0, 4.0))]),
    ] {
        bad.push(at(Shape::Prism { outline: Arc::new(outline), half_height: 1.0 }, DVec3::ZERO));
    }
    for solid in &bad {
        assert!(solid.faults().iter().any(|f| *f != SolidFault::Flat), "{solid:?}");
        for (a, b) in [(solid, &good), (&good, solid), (solid, solid)] {
            let s = separation(a, b);
            assert_eq!(s.ending, Ending::Invalid, "{solid:?} {s:?}");
            assert!(s.gap.is_nan() && !s.is_valid());
            assert!(Pair::new(a, b, DVec3::X).is_none());
        }
        assert!(solid.bounds().is_empty() && solid.support(DVec3::X).is_none());
        let _ = (solid.volume(), solid.contains(random.direction()));
    }
    // Sound solids, questions without meaning.
    let other = at(Shape::Sphere { radius: 1.0 }, DVec3::ZERO);
    for direction in [DVec3::ZERO, DVec3::NAN, DVec3::INFINITY] {
        assert!(Pair::new(&good, &other, direction).is_none());
    }
    let Some(pair) = Pair::new(&good, &other, DVec3::X) else { return };
    for x in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert_eq!(pair.at(x).ending, Ending::Invalid);
        assert!(!pair.closest_over(0.0, x).separation.is_valid());
        assert_eq!(pair.touching(x, 0.0, 1.0), None);
        assert_eq!(pair.touching(0.0, 1.0, f64::NAN), None);
    }
}
