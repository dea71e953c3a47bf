//! Solids and profiles of any numbers at all: nothing panics or hangs, and what is said of sound ones holds together.

mod common;

use std::sync::Arc;

use common::{Random, farthest};
use glidewright_geometry::{
    DMat3, DVec2, DVec3, Edge, Ending, Outline, Pair, PlanarError, Pose, Region, Separation, Shape, Side,
    Solid, SolidFault, decompose, difference, faces_along, first_contact, hull, intersection, offset,
    separation, union,
};

/// Small, large, tiny, huge, none.
const NUMBERS: [f64; 20] = [
    0.0,
    -0.0,
    1.0,
    -1.0,
    3.5,
    1e-3,
    1e-9,
    1e-16,
    1e-150,
    1e-308,
    5e-324,
    1e3,
    1e6,
    1e9,
    1e16,
    1e150,
    1e300,
    f64::MAX,
    f64::INFINITY,
    f64::NAN,
];

struct Hostile(Random);

impl Hostile {
    /// Mostly a number without harm, now and then one of those above.
    fn number(&mut self) -> f64 {
        if self.0.below(3) > 0 { self.0.between(0.1, 9.0) } else { NUMBERS[self.0.below(NUMBERS.len())] }
    }

    fn plane(&mut self) -> DVec2 {
        DVec2::new(self.number(), self.number())
    }

    fn space(&mut self) -> DVec3 {
        self.plane().extend(self.number())
    }

    fn edge(&mut self) -> Edge {
        if self.0.below(2) == 0 {
            Edge::line(self.plane(), self.plane())
        } else {
            Edge::arc(self.plane(), self.number(), self.number(), self.number())
        }
    }

    fn outline(&mut self) -> Outline {
        match self.0.below(5) {
            0 => Outline::from_edges((0..self.0.below(5)).map(|_| self.edge()).collect()),
            1 => Outline::polygon(&(0..self.0.below(7)).map(|_| self.plane()).collect::<Vec<_>>()),
            2 => Outline::circle(self.plane(), self.number()),
            3 => Outline::rounded_rectangle(self.plane(), self.plane(), self.number()),
            _ => Outline::regular_polygon(self.0.below(9) as u32, self.number()),
        }
    }

    /// Mostly sound: a third of hostile numbers leaves few outlines whole.
    fn region(&mut self) -> Region {
        let outer = match self.0.below(3) {
            0 => self.outline(),
            1 => {
                let (low, size) = (self.near(), self.near());
                Outline::rounded_rectangle(low, low + size.abs() + 0.5, self.number())
            }
            _ => Outline::circle(self.near(), self.0.between(0.5, 9.0)),
        };
        let mut holes: Vec<Outline> = Vec::new();
        for _ in 0..self.0.below(3) {
            let hole = match self.0.below(3) {
                0 => self.outline(),
                _ => Outline::circle(self.near(), self.0.between(0.05, 2.0)),
            };
            holes.push(hole);
        }
        Region::new(outer, holes)
    }

    fn near(&mut self) -> DVec2 {
        DVec2::new(self.0.between(-5.0, 5.0), self.0.between(-5.0, 5.0))
    }

    fn solid(&mut self) -> Solid {
        let shape = match self.0.below(6) {
            0 => Shape::Cylinder { radius: self.number(), half_height: self.number() },
            1 => Shape::Frustum {
                lower_radius: self.number(),
                upper_radius: self.number(),
                half_height: self.number(),
            },
            2 => Shape::Cuboid { half: self.space() },
            3 => Shape::Sphere { radius: self.number() },
            4 => {
                let mut body = self.0.polyhedron();
                let k = self.0.below(body.corners.len());
                body.corners[k] = if self.0.below(2) == 0 { self.space() } else { body.corners[k] };
                Shape::Polyhedron(Arc::new(body))
            }
            _ => Shape::Prism { outline: Arc::new(self.outline()), half_height: self.number() },
        };
        let turn = match self.0.below(8) {
            0 => DMat3::from_cols(self.space(), self.space(), self.space()),
            1 => DMat3::from_axis_angle(DVec3::Y, self.number()),
            2 | 3 => self.0.turn(),
            _ => DMat3::IDENTITY,
        };
        Solid { shape, pose: Pose { turn, shift: self.space() } }
    }
}

/// Bounds in order, a unit direction, finite witnesses; and what claims to be proved is.
fn holds_together(a: &Solid, b: &Solid, s: &Separation) {
    let context = || format!("{s:?}\n{a:?}\n{b:?}");
    if !s.is_valid() {
        assert_eq!(s.ending, Ending::Invalid, "{}", context());
        return;
    }
    assert!(s.gap.is_finite() && s.lower.is_finite(), "{}", context());
    assert!((s.normal.length() - 1.0).abs() < 1e-9, "{}", context());
    assert!(s.on_a.is_finite() && s.on_b.is_finite(), "{}", context());
    // What rounding alone may do where coordinates are large.
    let axes = [DVec3::X, DVec3::Y, DVec3::Z, DVec3::NEG_X, DVec3::NEG_Y, DVec3::NEG_Z];
    let size = [a, b].map(|x| axes.map(|n| farthest(x, n).abs()).into_iter().fold(0.0, f64::max));
    let rounding = 1e-12 * (size[0] + size[1]);
    assert!(s.lower <= s.gap + rounding, "{}", context());
    if s.ending != Ending::LimitReached {
        let slab = -farthest(b, -s.normal) - farthest(a, s.normal);
        assert!((slab - s.lower).abs() <= 1e-6 + rounding, "slab {slab} {}", context());
        assert!(s.gap - s.lower <= 1e-6 + rounding, "{}", context());
    }
}

#[test]
fn any_two_solids() {
    let mut hostile = Hostile(Random(0x7057_11e0_7057_11e1));
    let mut answered = 0;
    for _ in 0..60_000 {
        let (a, b) = (hostile.solid(), hostile.solid());
        let s = separation(&a, &b);
        answered += usize::from(s.is_valid());
        // A solid with faults may be refused or not; one without is answered, and the answer proves itself.
        let sound = |x: &Solid| x.faults().iter().all(|fault| *fault == SolidFault::Flat);
        if sound(&a) && sound(&b) {
            assert!(s.is_valid(), "{a:?} {b:?}");
            holds_together(&a, &b, &s);
        }
        let direction = hostile.space();
        if let Some(pair) = Pair::new(&a, &b, direction) {
            let (from, to, level) = (hostile.number(), hostile.number(), hostile.number());
            let closest = pair.closest_over(from, to);
            if closest.separation.is_valid() {
                assert!(closest.u >= from.min(to) && closest.u <= from.max(to), "{closest:?} {a:?} {b:?}");
            }
            if let Some((p, q)) = pair.touching(from, to, level) {
                assert!(p <= q && p >= from.min(to) && q <= from.max(to), "{p} {q} {a:?} {b:?}");
            }
        }
        let _ = faces_along(&a, &b, hostile.space(), direction, hostile.number(), hostile.number());
        let _ = (a.faults(), a.volume(), a.bounds(), a.contains(hostile.space()));
    }
    assert!(answered > 3_000, "{answered}");
}

#[test]
fn any_profiles_and_outlines() {
    let mut hostile = Hostile(Random(0x0071_15e0_0071_15e1));
    for _ in 0..4_000 {
        let moving: Vec<Edge> = (0..hostile.0.below(4)).map(|_| hostile.edge()).collect();
        let fixed: Vec<Edge> = (0..hostile.0.below(4)).map(|_| hostile.edge()).collect();
        if let Some(seat) = first_contact(&moving, &fixed, hostile.plane()) {
            assert!(seat.shift.is_finite() && !seat.contacts.is_empty(), "{moving:?} {fixed:?} {seat:?}");
        }
        let outline = hostile.outline();
        let _ = (outline.faults(), outline.area(), outline.centroid());
    }
}

/// Whatever regions are given: an answer or a named refusal; and where both are sound, areas add up.
#[test]
fn any_regions() {
    let mut hostile = Hostile(Random(0x0a4e_a51e_0a4e_a51f));
    let mut answered = 0;
    let area = |all: &[Region]| all.iter().map(Region::area).sum::<f64>();
    for _ in 0..4_000 {
        let (a, b) = ([hostile.region()], [hostile.region()]);
        let tolerance = if hostile.0.below(3) == 0 { hostile.number() } else { hostile.0.between(1e-3, 0.1) };
        let by = if hostile.0.below(2) == 0 { hostile.number() } else { hostile.0.between(-2.0, 2.0) };
        let plus = union(&a, &b, tolerance);
        let both = intersection(&a, &b, tolerance);
        let minus = difference(&a, &b, tolerance);
        let (own, other) = (union(&a, &[], tolerance), union(&b, &[], tolerance));
        let _ = hull(&a, tolerance);
        match offset(&a, by, tolerance) {
            Ok(moved) => {
                let size = a[0].bounds().size().max_element() + by.abs();
                let (before, after) = (area(own.as_deref().unwrap_or(&[])), area(&moved));
                // Offsets flatten no finer than a share of the size.
                let rounding = 1e-4 * size * size + tolerance * size + 1e-9;
                assert!(
                    if by >= 0.0 { after >= before - rounding } else { after <= before + rounding },
                    "{a:?} {by} {tolerance}: {before} {after}"
                );
            }
            Err(PlanarError::Nothing) => panic!("nothing is an empty list: {a:?}"),
            Err(_) => {}
        }
        if let Ok(pieces) = decompose(&a[0], tolerance, Side::Outer) {
            assert!(pieces.iter().all(Outline::is_convex), "{a:?} {tolerance}");
        }
        if let (Ok(plus), Ok(both), Ok(minus), Ok(own), Ok(other)) = (plus, both, minus, own, other) {
            answered += 1;
            let size = (a[0].bounds().size() + b[0].bounds().size()).max_element();
            let rounding = 1e-5 * size * size;
            let (plus, both, minus) = (area(&plus), area(&both), area(&minus));
            let context = || format!("{a:?}\n{b:?}\n{tolerance}: {plus} {both} {minus}");
            assert!((plus + both - area(&own) - area(&other)).abs() <= rounding, "{}", context());
            assert!((minus + both - area(&own)).abs() <= rounding, "{}", context());
        }
    }
    assert!(answered > 250, "{answered}");
}
