//! How deep two solids of revolution overlap whose axes lean only a little against each other.
//!
//! Where such solids stand in each other they are nearly as deep all round, and a polytope would need endless facets to
//! prove it. In the half plane at azimuth φ about A's axis the Minkowski difference holds the projections of its rims'
//! points, and those move only a little when φ turns: by the offset of the axes and by the lean. So the least depth in
//! each half plane, that of a few points in a plane, is followed over φ by branch and bound: between two azimuths a
//! function whose second derivative is at most M lies above the lesser of its two ends less MΔ²/8. Own derivation;
//! tested against the polytope.

use std::f64::consts::{FRAC_PI_2, TAU};

use glam::{DVec2, DVec3};

use super::penetration::Depth;
use super::simplex::{Simplex, Step, Vertex};
use super::support::{Body, Core};

/// Axes that lean more (sine) are left to the polytope, which then meets no ring.
const LEANS: f64 = 0.05;
/// Flanks steeper against the axis than this (sine of their normal's angle to it) are left to the polytope.
const STEEP: f64 = 0.4;
/// Azimuths to begin with, and the most that are tried.
const FIRST: usize = 8;
const MOST: usize = 300;
/// Points in a half plane: four pairs of rims, for each of up to three directions.
const POINTS: usize = 12;

/// Two discs on one axis: their places along it and radii.
struct Revolved {
    axis: DVec3,
    discs: [(DVec3, f64); 2],
}

impl Revolved {
    /// Discs relative to the body's centre; `None` for a body that is not one of revolution.
    fn new(body: &Body) -> Option<Self> {
        let round = match &body.core {
            Core::Cylinder(..) | Core::Frustum(..) => true,
            Core::Prism(outline, _) => outline.corners.len() == 1,
            _ => false,
        };
        round.then(|| Self { axis: body.turn.z_axis, discs: [body.disc(0), body.disc(1)] })
    }

    fn length(&self) -> f64 {
        (self.discs[1].0 - self.discs[0].0).length()
    }

    /// Cosine and sine of the angle between the axis and the flank's normal.
    fn flank(&self) -> DVec2 {
        DVec2::new(self.discs[0].1 - self.discs[1].1, self.length()).normalize_or(DVec2::Y)
    }
}

/// One pair of rims: the offset of their centres, and the radii.
#[derive(Clone, Copy)]
struct Rims {
    w: DVec3,
    ra: f64,
    rb: f64,
    /// Centre of A's rim.
    centre: DVec3,
}

/// The Minkowski difference in the frame of A's axis (z).
struct Difference {
    rims: [Rims; 4],
    /// B's axis.
    axis: DVec3,
    /// Cosine and sine of the polar angles for which the rims' points are taken.
    polar: [DVec2; 3],
    count: usize,
    /// Bounds of the second derivatives over φ of the points' distances from the axis, and of their heights.
    bend: [DVec2; POINTS],
    /// Directions about A's axis, and about its opposite.
    caps: [Cap; 2],
}

/// Directions about an end of A's axis for which the depth is known another way.
///
/// One pair of rims gives, for n = (m, 1)/√(1 + m²), the bound (w·(m, 1) + a|m| + b|m − t|)/√(1 + m²), where t tells how
/// B's axis leans and b is B's radius less its foreshortening. For any vector q no longer than b and no farther than
/// a − σ from −w its numerator is at least w·(0, 1) − q·t + σ|m|, and the last term outweighs the root as far as
/// |m| = 2σ/v, v the bound.
#[derive(Clone, Copy)]
struct Cap {
    bound: f64,
    /// Sine and cosine of the polar angle at which it ends.
    edge: DVec2,
}

impl Cap {
    /// Says nothing.
    const NONE: Self = Self { bound: f64::INFINITY, edge: DVec2::Y };

    /// About the unit direction `n` of a disc of radius `a`, the other disc's axis and radius, the centres `w` apart;
    /// as wide as it can be without giving away any depth, or at least `wide` if that is asked for. `lean` is taken off
    /// its width.
    fn about(
        n: DVec3,
        a: f64,
        (other, b): (DVec3, f64),
        w: DVec3,
        lean: f64,
        wide: Option<f64>,
    ) -> Option<Self> {
        let flat = |v: DVec3| v - v.dot(n) * n;
        let other = if other.dot(n) < 0.0 { -other } else { other };
        let (across, upright) = (flat(other), other.dot(n));
        let sine = across.length();
        let value = w.dot(n) + b * sine;
        let t = across.normalize_or_zero();
        let (b, w) = (b * upright, flat(w));
        let cap = |bound: f64, sigma: f64| {
            let angle = (2.0 * sigma / value).atan() - lean;
            let edge = DVec2::from_angle(FRAC_PI_2 - angle.min(1.0));
            (bound > 0.0 && angle > 0.0).then_some(Self { bound, edge })
        };
        let Some(wide) = wide else { return cap(value, a - (w - b * t).length()) };
        let sigma = 0.5 * wide * value;
        let a = a - sigma;
        let inside = |q: DVec3| q.length() <= b * (1.0 + 1e-15) && (q + w).length() <= a * (1.0 + 1e-15);
        // The q that reaches farthest against t: on one circle, or where both meet.
        let middle = (w.length_squared() + b * b - a * a) / (2.0 * w.length());
        let c = -w.normalize_or_zero();
        let off = (b * b - middle * middle).max(0.0).sqrt() * n.cross(c);
        let reach = [-b * t, -w - a * t, middle * c + off, middle * c - off]
            .into_iter()
            .filter(|q| a > 0.0 && inside(*q))
            .map(|q| -q.dot(t))
            .reduce(f64::max)?;
        cap(value - b * sine / upright + reach * sine / upright, sigma)
    }
}

type Points = [DVec2; POINTS];

impl Difference {
    fn points(&self, phi: f64) -> Points {
        let (sin, cos) = phi.sin_cos();
        let e = DVec3::new(cos, sin, 0.0);
        let mut points = [DVec2::ZERO; POINTS];
        for (k, polar) in self.polar[..self.count].iter().enumerate() {
            let t = self.rim(e, *polar);
            let (out, up) = (t.dot(e), t.z);
            for (i, rims) in self.rims.iter().enumerate() {
                points[4 * k + i] = DVec2::new(
                    rims.w.x * cos + rims.w.y * sin + rims.ra + rims.rb * out,
                    rims.w.z + rims.rb * up,
                );
            }
        }
        points
    }

    /// The unit direction in which B's rims reach farthest towards a direction.
    fn rim(&self, e: DVec3, polar: DVec2) -> DVec3 {
        let n = polar.y * e + DVec3::Z * polar.x;
        (n - n.dot(self.axis) * self.axis).normalize_or(e)
    }

    /// The support function.
    fn support(&self, n: DVec3) -> f64 {
        let (sa, sb) = (n.x.hypot(n.y), n.cross(self.axis).length());
        self.rims.iter().map(|r| r.w.dot(n) + r.ra * sa + r.rb * sb).fold(f64::NEG_INFINITY, f64::max)
    }

    /// Least over the half plane at an azimuth: value and direction.
    fn least(&self, phi: f64, points: &Points) -> (f64, DVec3) {
        let count = 4 * self.count;
        let up = quarter(points[..count].iter().copied(), self.caps[0].edge);
        let down = quarter(points[..count].iter().map(|p| DVec2::new(p.x, -p.y)), self.caps[1].edge);
        let n = if up.0 <= down.0 { up.1 } else { DVec2::new(down.1.x, -down.1.y) };
        let (sin, cos) = phi.sin_cos();
        let n = DVec3::new(n.x * cos, n.x * sin, n.y);
        (self.support(n), n)
    }

    /// A bound from below of the support over all directions between two azimuths.
    fn bound(&self, p: &Points, q: &Points, width: f64) -> f64 {
        let sag = 0.125 * width * width;
        let count = 4 * self.count;
        let all = || p[..count].iter().zip(&q[..count]).zip(&self.bend[..count]);
        let up = quarter(all().map(|((p, q), bend)| p.min(*q) - sag * *bend), self.caps[0].edge);
        let turned = |((p, q), bend): ((&DVec2, &DVec2), &DVec2)| {
            DVec2::new(p.x.min(q.x) - sag * bend.x, -p.y.max(q.y) - sag * bend.y)
        };
        let down = quarter(all().map(turned), self.caps[1].edge);
        up.0.min(down.0)
    }
}

/// The least width of a set of points over the directions from x to `end` (towards y), and that direction: it lies
/// square to an edge of their hull, or at an end.
fn quarter(points: impl Iterator<Item = DVec2> + Clone, end: DVec2) -> (f64, DVec2) {
    let farther = |a: DVec2, b: DVec2| if b.x > a.x || (b.x == a.x && b.y > a.y) { b } else { a };
    let mut at = points.clone().reduce(farther).unwrap_or(DVec2::ZERO);
    let mut best = (at.x, DVec2::X);
    // Of points that are one but for rounding the slope says nothing; the way round the hull turns one way only.
    let mut turned = 0.0f64;
    for _ in 0..POINTS {
        let mut next = None;
        let mut flattest = f64::INFINITY;
        for q in points.clone() {
            let rise = q.y - at.y;
            if rise > 0.0 {
                let fall = (at.x - q.x) / rise;
                if fall < flattest {
                    (flattest, next) = (fall, Some(q));
                }
            }
        }
        let Some(q) = next else { break };
        let flattest = flattest.max(turned);
        turned = flattest;
        if flattest * end.x >= end.y {
            break;
        }
        let n = DVec2::new(1.0, flattest) / (1.0 + flattest * flattest).sqrt();
        let width = at.dot(n).max(q.dot(n));
        if width < best.0 {
            best = (width, n);
        }
        at = q;
    }
    let last = at.dot(end);
    if last < best.0 { (last, end) } else { best }
}

/// A stretch of azimuths.
#[derive(Clone, Copy)]
struct Stretch {
    bound: f64,
    from: usize,
    to: usize,
}

/// The depth of the origin in A − B (B's centre `apart` from A's), if both are solids of revolution about axes that lean
/// little. Not proved where that would take more than a few hundred azimuths.
pub(crate) fn depth(a: &Body, b: &Body, apart: DVec3) -> Option<Depth> {
    let (ra, rb) = (Revolved::new(a)?, Revolved::new(b)?);
    // Seen along the longer solid's axis the depth turns least.
    if ra.length() < rb.length() {
        let found = about(b, [&rb, &ra], -apart)?;
        let Vertex { w, a, b, u, discs } = found.at;
        let at = Vertex { w: -w, a: b, b: a, u, discs };
        return Some(Depth { normal: -found.normal, at, ..found });
    }
    about(a, [&ra, &rb], apart)
}

fn about(body: &Body, [a, b]: [&Revolved; 2], apart: DVec3) -> Option<Depth> {
    let turn = body.turn;
    let back = turn.transpose();
    let axis = back * b.axis;
    let lean = axis.x.hypot(axis.y);
    if !(lean <= LEANS) {
        return None;
    }
    let rims = [(0, 0), (0, 1), (1, 0), (1, 1)].map(|(p, q)| {
        let ((ca, ra), (cb, rb)) = (a.discs[p], b.discs[q]);
        Rims { w: back * (ca - cb - apart), ra, rb, centre: back * ca }
    });
    let (fa, fb) = (a.flank(), b.flank());
    // B's flank's normal seen from the other side, B's axis pointing either way.
    let fb = DVec2::new(-fb.x * axis.z.signum(), fb.y);
    let mut polar = [DVec2::Y; 3];
    let mut count = 1;
    for flank in [fa, fb] {
        if polar[..count].iter().all(|known| (*known - flank).length() > 1e-6) {
            polar[count] = flank;
            count += 1;
        }
    }
    if polar[..count].iter().any(|p| p.y < STEEP) {
        return None;
    }
    let mut bend = [DVec2::ZERO; POINTS];
    for (k, polar) in polar[..count].iter().enumerate() {
        for (i, rims) in rims.iter().enumerate() {
            // Of t·e and t·z, t the unit direction of B's rim's farthest point: see `rim`.
            let out = lean * lean * (2.0 + 60.0 * polar.x * polar.x);
            bend[4 * k + i] = DVec2::new(rims.w.x.hypot(rims.w.y) + rims.rb * out, 3.0 * rims.rb * lean);
        }
    }
    let caps = [1.0, -1.0].map(|way| {
        let n = DVec3::Z * way;
        let outermost = rims.iter().max_by(|p, q| (p.w.dot(n)).total_cmp(&q.w.dot(n)));
        let Some(r) = outermost else { return Cap::NONE };
        let along = axis * (way * axis.z.signum());
        let wide = 4.0 * lean;
        let caps = [
            Cap::about(n, r.ra, (axis, r.rb), r.w, 0.0, None),
            Cap::about(along, r.rb, (DVec3::Z, r.ra), r.w, 1.01 * lean, None),
        ];
        let widest = caps.into_iter().flatten().max_by(|p, q| p.edge.x.total_cmp(&q.edge.x));
        widest
            .filter(|cap| cap.edge.x >= 0.7 * wide)
            .or_else(|| Cap::about(n, r.ra, (axis, r.rb), r.w, 0.0, Some(wide)))
            .unwrap_or(Cap::NONE)
    });
    let set = Difference { rims, axis, polar, count, bend, caps };
    set.search().map(|mut found| {
        found.normal = turn * found.normal;
        let Vertex { w, a, b, .. } = &mut found.at;
        (*w, *a) = (turn * *w, turn * *a);
        *b = *a - *w - apart;
        found
    })
}

impl Difference {
    fn search(&self) -> Option<Depth> {
        let mut best = (f64::INFINITY, DVec3::Z);
        for n in [DVec3::Z, DVec3::NEG_Z, self.axis, -self.axis] {
            let value = self.support(n);
            if value < best.0 {
                best = (value, n);
            }
        }
        let caps = self.caps[0].bound.min(self.caps[1].bound);
        let mut azimuths: Vec<(f64, Points)> = Vec::with_capacity(MOST + 1);
        let look = |phi: f64, best: &mut (f64, DVec3)| {
            let points = self.points(phi);
            let (value, n) = self.least(phi, &points);
            if value < best.0 {
                *best = (value, n);
            }
            (phi, points)
        };
        // From the best known azimuth on, so that it lies at an end.
        let start = if best.1.x == 0.0 && best.1.y == 0.0 { 0.0 } else { best.1.y.atan2(best.1.x) };
        for k in 0..=FIRST {
            azimuths.push(look(start + TAU * k as f64 / FIRST as f64, &mut best));
        }
        let stretch = |azimuths: &[(f64, Points)], from: usize, to: usize| {
            let ((p, pp), (q, qq)) = (&azimuths[from], &azimuths[to]);
            Stretch { bound: self.bound(pp, qq, q - p), from, to }
        };
        let mut open: Vec<Stretch> = Vec::with_capacity(64);
        open.extend((0..FIRST).map(|k| stretch(&azimuths, k, k + 1)));
        let mut low = loop {
            let least = (0..open.len()).min_by(|&i, &j| open[i].bound.total_cmp(&open[j].bound))?;
            let Stretch { bound, from, to } = open[least];
            let bound = bound.min(caps);
            if bound >= best.0 - Depth::tolerance(best.0)
                || azimuths.len() >= MOST
                || bound <= 0.0 && azimuths.len() > 60
            {
                break bound;
            }
            let middle = 0.5 * (azimuths[from].0 + azimuths[to].0);
            azimuths.push(look(middle, &mut best));
            let new = azimuths.len() - 1;
            open[least] = stretch(&azimuths, from, new);
            let second = stretch(&azimuths, new, to);
            if second.bound < best.0 {
                open.push(second);
            }
        };
        if best.0 < caps {
            self.descend(&mut best);
        }
        low = low.min(best.0);
        Some(Depth { low, high: best.0, normal: best.1, at: self.foot(best.0, best.1) })
    }

    /// Brings a direction to the bottom of its own hollow.
    fn descend(&self, best: &mut (f64, DVec3)) {
        let mut step = 0.05;
        let at = |phi: f64| {
            let points = self.points(phi);
            self.least(phi, &points)
        };
        let mut phi = best.1.y.atan2(best.1.x);
        for _ in 0..24 {
            let (l, r) = (at(phi - step), at(phi + step));
            // The bottom of the parabola through three values.
            let sharp = l.0 + r.0 - 2.0 * best.0;
            let off = 0.5 * step * (l.0 - r.0) / sharp;
            let mut moved = 0.0f64;
            if sharp > 0.0 && off.abs() <= step {
                let found = at(phi + off);
                if found.0 < best.0 {
                    (*best, moved) = (found, off);
                }
            }
            for (value, way) in [(l, -step), (r, step)] {
                if value.0 < best.0 {
                    (*best, moved) = (value, way);
                }
            }
            phi += moved;
            step =
                if moved.abs() >= step { step } else { (0.25 * step).max(4.0 * moved.abs()).min(0.5 * step) };
            if step < 1e-9 {
                break;
            }
        }
    }

    /// The point nearest to `depth`·n of the edge or face of the difference that is farthest towards `n`.
    fn foot(&self, depth: f64, n: DVec3) -> Vertex {
        let at = depth * n;
        // Along its axis a disc supports with its whole face: then with what is nearest.
        let rim = |axis: DVec3, radius: f64, off: DVec3| {
            let (across, off) = (n - n.dot(axis) * axis, off - off.dot(axis) * axis);
            let length = across.length();
            if length > 1e-12 { radius / length * across } else { off.clamp_length_max(radius) }
        };
        // Away from `at`: the simplex looks for the point nearest to the origin.
        let corners = self.rims.map(|r| {
            let first = rim(DVec3::Z, r.ra, at - r.w);
            let second = rim(self.axis, r.rb, at - r.w - first);
            let first = rim(DVec3::Z, r.ra, at - r.w - second);
            Vertex { w: r.w + first + second - at, a: r.centre + first, ..Vertex::default() }
        });
        let level = 1e-7 * (1.0 + depth);
        let facing = || corners.iter().filter(|v| v.w.dot(n).abs() <= level);
        let farthest = |v: &&Vertex, u: &&Vertex| v.w.dot(n).total_cmp(&u.w.dot(n));
        let mut simplex = Simplex::new(*corners.iter().max_by(farthest).unwrap_or(&corners[0]));
        let mut v = simplex.point();
        for _ in 0..8 {
            let Some(next) = facing().min_by(|p, q| p.w.dot(v).total_cmp(&q.w.dot(v))) else { break };
            if simplex.has(next.w) {
                break;
            }
            match simplex.advance(*next, v.length_squared()) {
                Step::Nearer(nearer) => v = nearer,
                Step::Stuck | Step::Inside => break,
            }
        }
        let mut foot = simplex.nearest();
        foot.w += at;
        foot
    }
}
