//! Single pairs: how long a distance takes and how good it is, by kind of pair.

use std::sync::Arc;

use glidewright_geometry::{DMat3, DVec3, Outline, Pose, Shape, Solid, separation};
use parry3d_f64::query;

use crate::fixture::Random;
use crate::measure::compared;
use crate::peer::{Piece, piece};

fn shape(random: &mut Random, kind: usize) -> Shape {
    let half_height = random.between(0.3, 8.0);
    match kind {
        0 => Shape::Cylinder { radius: random.between(0.5, 12.0), half_height },
        1 => Shape::Cuboid {
            half: DVec3::new(random.between(0.5, 9.0), random.between(0.5, 9.0), half_height),
        },
        _ => {
            let outline = Arc::new(Outline::regular_polygon(6, random.between(3.0, 13.0)));
            Shape::Prism { outline, half_height }
        }
    }
}

/// Pairs some millimetres apart, turned as asked.
fn pairs(turn: impl Fn(&mut Random) -> DMat3) -> Vec<(Solid, Solid)> {
    let mut random = Random(0x5851_f42d_4c95_7f2d);
    let mut one = |at: f64, k: usize| {
        let side = DVec3::new(random.between(-4.0, 4.0), random.between(-4.0, 4.0), at);
        Solid { shape: shape(&mut random, k % 3), pose: Pose { turn: turn(&mut random), shift: side } }
    };
    (0..300).map(|k| (one(0.0, k), one(26.0, k / 3))).collect()
}

pub fn singles() {
    println!("\nSingle pairs (cylinders, boxes, hexagon prisms), made ready and asked once each");
    println!("    {:<28} {:>10} {:>10} {:>7}   proved to; peer off by", "", "this, us", "peer, us", "peer/");
    let level = |random: &mut Random| DMat3::from_rotation_z(random.between(0.0, 6.28));
    let lean = |random: &mut Random| {
        let axis = DVec3::new(random.between(-1.0, 1.0), random.between(-1.0, 1.0), 0.3).normalize();
        DMat3::from_axis_angle(axis, random.between(0.0005, 0.005))
            * DMat3::from_rotation_z(random.between(0.0, 6.28))
    };
    let any = |random: &mut Random| {
        let axis = DVec3::new(random.between(-1.0, 1.0), random.between(-1.0, 1.0), 0.3).normalize();
        DMat3::from_axis_angle(axis, random.between(0.0, 6.28))
    };
    let kinds: [(&str, Vec<(Solid, Solid)>); 3] =
        [("parallel axes", pairs(level)), ("leaning a little", pairs(lean)), ("any pose", pairs(any))];
    for (name, pairs) in kinds {
        let ready: Vec<(Piece, Piece)> =
            pairs.iter().filter_map(|(a, b)| Some((piece(a)?, piece(b)?))).collect();
        let own = || pairs.iter().map(|(a, b)| separation(a, b).gap).sum::<f64>();
        let peer_gap = |(a, b): &(Piece, Piece)| {
            query::distance(&a.pose, &*a.shape, &b.pose, &*b.shape).map_or(f64::NAN, |d| d.distance)
        };
        let found = compared(5, own, || ready.iter().map(peer_gap).sum::<f64>());
        let (mut proved, mut off): (f64, f64) = (0.0, 0.0);
        for ((a, b), peers) in pairs.iter().zip(&ready) {
            let s = separation(a, b);
            proved = proved.max(s.gap - s.lower);
            let peer = peer_gap(peers);
            off = off.max((peer - s.gap.max(0.0)).max(s.lower.max(0.0) - peer));
        }
        let each = 1e6 / pairs.len() as f64;
        println!(
            "    {name:<28} {:>10.2} {:>10.2} {:>7.1}   {proved:.1e} mm; {off:.1e} mm",
            each * found.own,
            each * found.peer,
            found.ratio
        );
    }
}
