//! Distances of solids in any pose against golden values with proved bounds, from a convex program solved outside
//! this project: see `reference/distances.py`, which names its tools and their versions beside the numbers.
#![allow(clippy::unwrap_used, reason = "a broken data file must fail the test")]

mod common;

use std::sync::Arc;

use common::check_certificate;
use glidewright_geometry::{
    DMat3, DVec2, DVec3, Edge, Ending, Outline, Polyhedron, Pose, Shape, Solid, separation,
};

struct Row {
    a: Solid,
    b: Solid,
    upper: f64,
    lower: f64,
}

fn rows() -> Vec<Row> {
    include_str!("reference/distances.txt")
        .lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| {
            let fields: Vec<&str> = line.split('|').collect();
            let bounds = numbers(fields[4]);
            Row {
                a: solid(fields[0], fields[1]),
                b: solid(fields[2], fields[3]),
                upper: bounds[0],
                lower: bounds[1],
            }
        })
        .collect()
}

fn numbers(text: &str) -> Vec<f64> {
    text.split_whitespace().map(|word| word.parse().unwrap()).collect()
}

fn solid(shape: &str, pose: &str) -> Solid {
    let (kind, sizes) = shape.trim().split_once(' ').unwrap();
    let p = numbers(pose);
    let column = |k: usize| DVec3::new(p[k], p[k + 1], p[k + 2]);
    let pose = Pose { turn: DMat3::from_cols(column(0), column(3), column(6)), shift: column(9) };
    Solid { shape: shape_of(kind, &numbers(sizes)), pose }
}

fn shape_of(kind: &str, s: &[f64]) -> Shape {
    let prism = |outline: Outline, half_height: f64| Shape::Prism { outline: Arc::new(outline), half_height };
    match kind {
        "cylinder" => Shape::Cylinder { radius: s[0], half_height: s[1] },
        "frustum" => Shape::Frustum { lower_radius: s[0], upper_radius: s[1], half_height: s[2] },
        "cuboid" => Shape::Cuboid { half: DVec3::new(s[0], s[1], s[2]) },
        "sphere" => Shape::Sphere { radius: s[0] },
        "hexagon" => prism(Outline::regular_polygon(6, s[0]), s[1]),
        "slot" => prism(Outline::slot(DVec2::new(-s[0], 0.0), DVec2::new(s[0], 0.0), s[1]), s[2]),
        "dee" => {
            let angle = (s[1] / s[0]).acos();
            let arc = Edge::arc(DVec2::ZERO, s[0], angle, std::f64::consts::TAU - 2.0 * angle);
            prism(Outline::from_edges(vec![arc, Edge::line(arc.to(), arc.from())]), s[2])
        }
        "tetrahedron" => {
            let corners: Vec<DVec3> = s.chunks(3).map(|c| DVec3::new(c[0], c[1], c[2])).collect();
            let inside = (corners[1] - corners[0]).cross(corners[2] - corners[0]);
            let faces = if inside.dot(corners[3] - corners[0]) < 0.0 {
                [[0, 1, 2], [0, 3, 1], [1, 3, 2], [2, 3, 0]]
            } else {
                [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]
            };
            Shape::Polyhedron(Arc::new(Polyhedron {
                corners,
                faces: faces.iter().map(|f| f.to_vec()).collect(),
            }))
        }
        other => unreachable!("kind {other}"),
    }
}

#[test]
fn distances_agree_with_proved_values() {
    let rows = rows();
    assert!(rows.len() >= 600);
    let (mut worst, mut widest): (f64, f64) = (0.0, 0.0);
    for (i, row) in rows.iter().enumerate() {
        let s = separation(&row.a, &row.b);
        assert!(matches!(s.ending, Ending::Exact | Ending::Converged), "{i}: {s:?}");
        // The truth lies between the golden bounds, and between ours: they must overlap, and both are narrow.
        let off = (s.lower - row.upper).max(row.lower - s.gap);
        assert!(off <= 1e-10, "{i}: {} to {} against {} to {}", s.lower, s.gap, row.lower, row.upper);
        worst = worst.max((s.gap - row.upper).abs());
        widest = widest.max(s.gap - s.lower);
        check_certificate(&row.a, &row.b, &s, 1e-8, &format!("row {i}"));
    }
    eprintln!("{} rows: largest difference {worst:.1e} mm, own widest bounds {widest:.1e} mm", rows.len());
    assert!(worst < 3e-9 && widest < 1e-9, "{worst:e} {widest:e}");
}
