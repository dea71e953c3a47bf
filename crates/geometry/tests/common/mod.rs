//! Random solids, an independent checker of certificates, and the bridge to the reference library.
#![allow(dead_code, reason = "each test binary uses its own part")]

pub mod sections;

use std::f64::consts::{PI, TAU};
use std::sync::Arc;

use glidewright_geometry::{DMat3, DVec2, DVec3, Edge, Outline, Polyhedron, Pose, Separation, Shape, Solid};

/// Marsaglia's xorshift64*: repeatable, no dependency.
pub struct Random(pub u64);

impl Random {
    pub fn unit(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    pub fn below(&mut self, n: usize) -> usize {
        ((self.unit() * n as f64) as usize).min(n - 1)
    }

    pub fn direction(&mut self) -> DVec3 {
        loop {
            let v = DVec3::new(self.between(-1.0, 1.0), self.between(-1.0, 1.0), self.between(-1.0, 1.0));
            if v.length() > 0.1 && v.length() < 1.0 {
                return v.normalize();
            }
        }
    }

    /// Any turn.
    pub fn turn(&mut self) -> DMat3 {
        DMat3::from_axis_angle(self.direction(), self.between(0.0, TAU))
    }

    /// A turn that keeps axes along x, y or z, then about that axis by anything.
    pub fn axial_turn(&mut self) -> DMat3 {
        let axes = [
            DMat3::IDENTITY,
            DMat3::from_cols(DVec3::Y, DVec3::Z, DVec3::X),
            DMat3::from_cols(DVec3::Z, DVec3::X, DVec3::Y),
            DMat3::from_cols(DVec3::X, DVec3::NEG_Y, DVec3::NEG_Z),
        ];
        axes[self.below(4)] * DMat3::from_rotation_z(self.between(0.0, TAU))
    }

    pub fn outline(&mut self) -> Outline {
        let size = self.between(1.0, 10.0);
        let shift = DVec2::new(self.between(-3.0, 3.0), self.between(-3.0, 3.0));
        let outline = match self.below(6) {
            0 => Outline::regular_polygon(3 + self.below(6) as u32, size),
            1 => Outline::rectangle(DVec2::ZERO, DVec2::new(size, self.between(0.5, 12.0))),
            2 => {
                Outline::rounded_rectangle(DVec2::ZERO, DVec2::new(size, self.between(2.0, 12.0)), size * 0.3)
            }
            3 => {
                Outline::slot(DVec2::ZERO, DVec2::new(size, self.between(-5.0, 5.0)), self.between(0.3, 3.0))
            }
            4 => d_shape(size, self.between(0.2, 1.5) * PI),
            _ => Outline::circle(DVec2::ZERO, size),
        };
        outline.transformed(self.between(0.0, TAU), shift)
    }

    pub fn shape(&mut self, kind: usize) -> Shape {
        let half_height = self.between(0.2, 8.0);
        match kind {
            0 => Shape::Cylinder { radius: self.between(0.3, 12.0), half_height },
            1 => Shape::Cuboid {
                half: DVec3::new(self.between(0.3, 9.0), self.between(0.3, 9.0), half_height),
            },
            2 => Shape::Prism { outline: Arc::new(self.outline()), half_height },
            3 => {
                let lower_radius = if self.below(8) == 0 { 0.0 } else { self.between(0.3, 9.0) };
                Shape::Frustum { lower_radius, upper_radius: self.between(0.3, 9.0), half_height }
            }
            4 => Shape::Polyhedron(Arc::new(self.polyhedron())),
            _ => Shape::Sphere { radius: self.between(0.3, 9.0) },
        }
    }

    /// An octahedron with unequal, slanted arms.
    pub fn polyhedron(&mut self) -> Polyhedron {
        let arm = |r: &mut Self, d: DVec3| d * r.between(1.0, 9.0) + 0.3 * r.direction();
        let corners =
            [DVec3::X, DVec3::Y, DVec3::NEG_X, DVec3::NEG_Y, DVec3::Z, DVec3::NEG_Z].map(|d| arm(self, d));
        let mut faces = Vec::new();
        for k in 0..4u32 {
            faces.push(vec![k, (k + 1) % 4, 4]);
            faces.push(vec![(k + 1) % 4, k, 5]);
        }
        Polyhedron { corners: corners.to_vec(), faces }
    }

    pub fn solid(&mut self, turn: DMat3, spread: f64) -> Solid {
        let kind = self.below(6);
        let shift = self.direction() * self.between(0.0, spread);
        Solid { shape: self.shape(kind), pose: Pose { turn, shift } }
    }
}

/// A disc cut by a chord: an arc of the given sweep and the line that closes it.
pub fn d_shape(radius: f64, sweep: f64) -> Outline {
    let arc = Edge::arc(DVec2::ZERO, radius, -0.5 * sweep, sweep);
    Outline::from_edges(vec![arc, Edge::line(arc.to(), arc.from())])
}

/// Greatest coordinate of a solid along a unit direction, written anew from the definition of each shape: no
/// code of the crate under test but its data types.
pub fn farthest(solid: &Solid, n: DVec3) -> f64 {
    let local = DVec3::new(
        solid.pose.turn.x_axis.dot(n),
        solid.pose.turn.y_axis.dot(n),
        solid.pose.turn.z_axis.dot(n),
    );
    let across = local.x.hypot(local.y);
    let reach = match &solid.shape {
        Shape::Cylinder { radius, half_height } => radius * across + half_height * local.z.abs(),
        Shape::Frustum { lower_radius, upper_radius, half_height } => {
            (lower_radius * across - half_height * local.z).max(upper_radius * across + half_height * local.z)
        }
        Shape::Cuboid { half } => half.dot(local.abs()),
        Shape::Sphere { radius } => *radius,
        Shape::Polyhedron(p) => p.corners.iter().map(|c| c.dot(local)).fold(f64::NEG_INFINITY, f64::max),
        Shape::Prism { outline, half_height } => {
            let flat = local.truncate();
            let planar = outline.edges.iter().map(|e| match *e {
                Edge::Line { from, to } => from.dot(flat).max(to.dot(flat)),
                Edge::Arc { centre, radius, start, sweep } => {
                    let turned = (flat.y.atan2(flat.x) - start).rem_euclid(TAU);
                    let ends = e.from().dot(flat).max(e.to().dot(flat));
                    if turned <= sweep { ends.max(centre.dot(flat) + radius * across) } else { ends }
                }
            });
            planar.fold(f64::NEG_INFINITY, f64::max) + half_height * local.z.abs()
        }
    };
    reach + solid.pose.shift.dot(n)
}

/// How far a point lies outside a solid at most (0 inside): the greatest violation over the planes that bound it.
pub fn outside(solid: &Solid, p: DVec3) -> f64 {
    let d = p - solid.pose.shift;
    let local = DVec3::new(
        solid.pose.turn.x_axis.dot(d),
        solid.pose.turn.y_axis.dot(d),
        solid.pose.turn.z_axis.dot(d),
    );
    let across = local.x.hypot(local.y);
    let off = match &solid.shape {
        Shape::Cylinder { radius, half_height } => (across - radius).max(local.z.abs() - half_height),
        Shape::Frustum { lower_radius, upper_radius, half_height } => {
            let slope = (upper_radius - lower_radius) / (2.0 * half_height);
            let flank = across - (lower_radius + slope * (local.z + half_height));
            (flank / (1.0 + slope * slope).sqrt()).max(local.z.abs() - half_height)
        }
        Shape::Cuboid { half } => (local.abs() - *half).max_element(),
        Shape::Sphere { radius } => local.length() - radius,
        Shape::Polyhedron(body) => body
            .faces
            .iter()
            .map(|f| {
                let [a, b, c] = [f[0], f[1], f[2]].map(|i| body.corners[i as usize]);
                (b - a).cross(c - a).normalize().dot(local - a)
            })
            .fold(f64::NEG_INFINITY, f64::max),
        Shape::Prism { outline, half_height } => {
            let flat = local.truncate();
            let planar = if outline.contains(flat) { 0.0 } else { outline.distance_to_boundary(flat) };
            planar.max(local.z.abs() - half_height)
        }
    };
    off.max(0.0)
}

/// Checks a result by its own proof: witness points in the solids, slab between them.
pub fn check_certificate(a: &Solid, b: &Solid, s: &Separation, tolerance: f64, what: &str) {
    let slab = -farthest(b, -s.normal) - farthest(a, s.normal);
    let context = || format!("{what}: {s:?}\nA {a:?}\nB {b:?}\nslab {slab}");
    assert!((s.normal.length() - 1.0).abs() < 1e-9, "normal {}", context());
    assert!(s.gap - s.lower <= tolerance && s.lower <= s.gap + 1e-12, "bounds {}", context());
    assert!((slab - s.lower).abs() <= tolerance, "slab {}", context());
    assert!(outside(a, s.on_a) <= tolerance && outside(b, s.on_b) <= tolerance, "witness {}", context());
    let apart = s.on_b - s.on_a;
    if s.gap > 1e-9 {
        assert!((apart.length() - s.gap).abs() <= tolerance, "points {}", context());
    } else {
        assert!((apart.dot(s.normal) - s.gap).abs() <= tolerance, "depth {}", context());
    }
}

pub mod reference {
    //! The same question put to parry3d-f64.

    use super::*;
    use parry3d_f64::math::{Pose3, Rot3};
    use parry3d_f64::shape;

    pub type Parry = (Pose3, Box<dyn shape::Shape>);

    /// `None` for shapes the library has no exact form of.
    pub fn shape(solid: &Solid) -> Option<Parry> {
        let turn = solid.pose.turn;
        // The library's cylinders stand along y.
        let upright = DMat3::from_cols(turn.x_axis, turn.z_axis, -turn.y_axis);
        let (turn, shape): (DMat3, Box<dyn shape::Shape>) = match &solid.shape {
            Shape::Cylinder { radius, half_height } => {
                (upright, Box::new(shape::Cylinder::new(*half_height, *radius)))
            }
            Shape::Frustum { lower_radius, upper_radius, half_height } if *lower_radius == 0.0 => {
                let flipped = DMat3::from_cols(turn.x_axis, -turn.z_axis, turn.y_axis);
                (flipped, Box::new(shape::Cone::new(*half_height, *upper_radius)))
            }
            // The library's own box-box query is off by up to a millimetre in some poses (the certificate
            // shows which side is right); its hull of the eight corners is not.
            Shape::Cuboid { half } => {
                let corner = |i: u32| {
                    let pick = |bit: u32, h: f64| if i >> bit & 1 == 0 { -h } else { h };
                    DVec3::new(pick(0, half.x), pick(1, half.y), pick(2, half.z))
                };
                let points: Vec<DVec3> = (0..8).map(corner).collect();
                (turn, Box::new(shape::ConvexPolyhedron::from_convex_hull(&points)?))
            }
            Shape::Sphere { radius } => (turn, Box::new(shape::Ball::new(*radius))),
            Shape::Polyhedron(p) => {
                let points = p.corners.clone();
                (turn, Box::new(shape::ConvexPolyhedron::from_convex_hull(&points)?))
            }
            Shape::Prism { outline, half_height } => {
                let mut points = Vec::new();
                for e in &outline.edges {
                    let Edge::Line { from, .. } = *e else { return None };
                    for z in [-half_height, *half_height] {
                        points.push(from.extend(z));
                    }
                }
                (turn, Box::new(shape::ConvexPolyhedron::from_convex_hull(&points)?))
            }
            Shape::Frustum { .. } => return None,
        };
        Some((Pose3::from_parts(solid.pose.shift, Rot3::from_mat3(&turn)), shape))
    }

    /// Signed distance: apart by the distance query, overlapping by the contact query.
    pub fn gap(a: &Parry, b: &Parry) -> Option<f64> {
        gap_moved(a, (&b.0, &*b.1), DVec3::ZERO)
    }

    /// The same with the second shifted.
    pub fn gap_moved(a: &Parry, b: (&Pose3, &dyn shape::Shape), shift: DVec3) -> Option<f64> {
        let pose = Pose3::from_parts(b.0.translation + shift, b.0.rotation);
        let contact = parry3d_f64::query::contact(&a.0, &*a.1, &pose, b.1, 1e-3).ok()?;
        if let Some(c) = contact {
            return Some(c.dist);
        }
        Some(parry3d_f64::query::distance(&a.0, &*a.1, &pose, b.1).ok()?.distance)
    }
}
