//! Points, bounds, placements and meetings of one edge.

use std::f64::consts::TAU;

use glam::DVec2;

use super::{Bounds2, Edge};

impl Edge {
    /// A line between two points (mm).
    pub const fn line(from: DVec2, to: DVec2) -> Self {
        Self::Line { from, to }
    }

    /// An arc about `centre` (mm) from the angle `start` through `sweep` (rad).
    pub const fn arc(centre: DVec2, radius: f64, start: f64, sweep: f64) -> Self {
        Self::Arc { centre, radius, start, sweep }
    }

    /// First point (mm).
    pub fn from(&self) -> DVec2 {
        match *self {
            Self::Line { from, .. } => from,
            Self::Arc { centre, radius, start, .. } => centre + radius * DVec2::from_angle(start),
        }
    }

    /// Last point (mm).
    pub fn to(&self) -> DVec2 {
        match *self {
            Self::Line { to, .. } => to,
            Self::Arc { centre, radius, start, sweep } => centre + radius * DVec2::from_angle(start + sweep),
        }
    }

    /// The point at the share `t` (0 at the start, 1 at the end) of the way (mm).
    pub fn at(&self, t: f64) -> DVec2 {
        match *self {
            Self::Line { from, to } => from.lerp(to, t),
            Self::Arc { centre, radius, start, sweep } => {
                centre + radius * DVec2::from_angle(start + t * sweep)
            }
        }
    }

    /// Unit direction of walking at the share `t` of the way; zero on an edge without length.
    pub fn tangent(&self, t: f64) -> DVec2 {
        match *self {
            Self::Line { from, to } => (to - from).normalize_or_zero(),
            Self::Arc { start, sweep, .. } => DVec2::from_angle(start + t * sweep).perp() * sign(sweep),
        }
    }

    /// Length (mm).
    pub fn length(&self) -> f64 {
        match *self {
            Self::Line { from, to } => from.distance(to),
            Self::Arc { radius, sweep, .. } => (radius * sweep).abs(),
        }
    }

    /// True if every number is finite.
    pub fn is_finite(&self) -> bool {
        match *self {
            Self::Line { from, to } => from.is_finite() && to.is_finite(),
            Self::Arc { centre, radius, start, sweep } => {
                centre.is_finite() && radius.is_finite() && start.is_finite() && sweep.is_finite()
            }
        }
    }

    /// The smallest upright rectangle around the edge (mm).
    pub fn bounds(&self) -> Bounds2 {
        let mut bounds = Bounds2::around([self.from(), self.to()]);
        if let Self::Arc { centre, radius, start, sweep } = *self {
            for quarter in 0..4 {
                let angle = f64::from(quarter) * 0.25 * TAU;
                if within_sweep(angle, start, sweep) {
                    bounds.add(centre + radius * DVec2::from_angle(angle));
                }
            }
        }
        bounds
    }

    /// The nearest point of the edge to `point` (mm).
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Edge};
    /// use std::f64::consts::FRAC_PI_2;
    /// let fillet = Edge::arc(DVec2::ZERO, 2.0, 0.0, FRAC_PI_2);
    /// assert_eq!(fillet.nearest(DVec2::new(5.0, -1.0)), DVec2::new(2.0, 0.0));
    /// ```
    pub fn nearest(&self, point: DVec2) -> DVec2 {
        match *self {
            Self::Line { from, to } => nearest_on_segment(from, to, point),
            Self::Arc { centre, radius, start, sweep } => {
                let out = point - centre;
                if out == DVec2::ZERO {
                    return self.from();
                }
                if within_sweep(out.to_angle(), start, sweep) {
                    return centre + radius * out.normalize();
                }
                let (a, b) = (self.from(), self.to());
                if a.distance_squared(point) <= b.distance_squared(point) { a } else { b }
            }
        }
    }

    /// The edge with all sizes multiplied by a positive factor, about the origin.
    pub fn scaled(&self, factor: f64) -> Self {
        match *self {
            Self::Line { from, to } => Self::Line { from: from * factor, to: to * factor },
            Self::Arc { centre, radius, start, sweep } => {
                Self::Arc { centre: centre * factor, radius: radius * factor, start, sweep }
            }
        }
    }

    /// The edge walked the other way.
    pub fn reversed(&self) -> Self {
        match *self {
            Self::Line { from, to } => Self::Line { from: to, to: from },
            Self::Arc { centre, radius, start, sweep } => {
                Self::Arc { centre, radius, start: start + sweep, sweep: -sweep }
            }
        }
    }

    /// The edge turned by `turn` (rad) about the origin, then shifted (mm).
    pub fn placed(&self, turn: f64, shift: DVec2) -> Self {
        let rotor = DVec2::from_angle(turn);
        let map = |p: DVec2| if turn == 0.0 { p + shift } else { rotor.rotate(p) + shift };
        match *self {
            Self::Line { from, to } => Self::Line { from: map(from), to: map(to) },
            Self::Arc { centre, radius, start, sweep } => {
                Self::Arc { centre: map(centre), radius, start: start + turn, sweep }
            }
        }
    }

    /// The edge mirrored in the y axis (x becomes −x), walked in the same order.
    pub fn mirrored(&self) -> Self {
        let map = |p: DVec2| DVec2::new(-p.x, p.y);
        match *self {
            Self::Line { from, to } => Self::Line { from: map(from), to: map(to) },
            Self::Arc { centre, radius, start, sweep } => {
                Self::Arc { centre: map(centre), radius, start: std::f64::consts::PI - start, sweep: -sweep }
            }
        }
    }

    /// The points two edges share (mm), at most two; for lines or arcs lying on one another, the ends of the
    /// common stretch. Points that miss by up to `tolerance` (mm) count.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Edge};
    /// let face = Edge::line(DVec2::new(-9.0, 3.0), DVec2::new(9.0, 3.0));
    /// let wheel = Edge::arc(DVec2::ZERO, 5.0, 0.0, std::f64::consts::TAU);
    /// let meet = face.intersections(&wheel, 1e-9);
    /// assert!(meet.len() == 2 && meet.iter().all(|p| (p.x.abs() - 4.0).abs() < 1e-12));
    /// ```
    pub fn intersections(&self, other: &Self, tolerance: f64) -> Vec<DVec2> {
        let mut found: Vec<DVec2> = Vec::new();
        let ([low, high], [from, to]) = (self.around(), other.around());
        if (from - high).max(low - to).max_element() > tolerance {
            return found;
        }
        let mut keep = |p: DVec2| {
            if p.is_finite()
                && self.nearest(p).distance(p) <= tolerance
                && other.nearest(p).distance(p) <= tolerance
                && !found.iter().any(|q| q.distance(p) <= tolerance)
            {
                found.push(p);
            }
        };
        for end in [self.from(), self.to(), other.from(), other.to()] {
            keep(end);
        }
        match (*self, *other) {
            (Self::Line { from: a, to: b }, Self::Line { from: c, to: d }) => {
                let cross = (b - a).perp_dot(d - c);
                if cross != 0.0 {
                    keep(a + (b - a) * ((c - a).perp_dot(d - c) / cross));
                }
            }
            (Self::Line { from, to }, Self::Arc { centre, radius, .. })
            | (Self::Arc { centre, radius, .. }, Self::Line { from, to }) => {
                for t in line_circle(from, to - from, centre, radius) {
                    keep(from + t * (to - from));
                }
            }
            (Self::Arc { centre: a, radius: r, .. }, Self::Arc { centre: b, radius: s, .. }) => {
                let apart = b - a;
                let d = apart.length();
                if d > 0.0 {
                    let along = (d * d + r * r - s * s) / (2.0 * d);
                    let height = (r * r - along * along).max(0.0).sqrt();
                    let unit = apart / d;
                    keep(a + along * unit + height * unit.perp());
                    keep(a + along * unit - height * unit.perp());
                }
            }
        }
        found
    }

    /// Two corners of an upright box around it; an arc's is that of its circle.
    fn around(&self) -> [DVec2; 2] {
        match *self {
            Self::Line { from, to } => [from.min(to), from.max(to)],
            Self::Arc { centre, radius, .. } => [centre - radius.abs(), centre + radius.abs()],
        }
    }
}

/// Shares of the way along `origin + t·direction` where it meets the circle; the tangent point (twice) when
/// it misses, so that a near miss can be judged by the caller.
pub(crate) fn line_circle(origin: DVec2, direction: DVec2, centre: DVec2, radius: f64) -> [f64; 2] {
    let a = direction.length_squared();
    let along = (centre - origin).dot(direction) / a;
    let off = origin + along * direction - centre;
    let half = ((radius * radius - off.length_squared()).max(0.0) / a).sqrt();
    [along - half, along + half]
}

/// +1 or −1 (also for −0 and 0: +1).
pub(crate) fn sign(x: f64) -> f64 {
    if x < 0.0 { -1.0 } else { 1.0 }
}

/// True if the direction `angle` lies on an arc.
pub(crate) fn within_sweep(angle: f64, start: f64, sweep: f64) -> bool {
    // A little slack so that the ends count in spite of rounding; it is an angle, far below any drawn one.
    const SLACK: f64 = 1e-14;
    let walked = ((angle - start) * sign(sweep)).rem_euclid(TAU);
    walked <= sweep.abs() + SLACK || walked >= TAU - SLACK
}

/// The nearest point of a segment (mm).
pub(crate) fn nearest_on_segment(from: DVec2, to: DVec2, point: DVec2) -> DVec2 {
    let along = to - from;
    let length_squared = along.length_squared();
    if length_squared == 0.0 {
        return from;
    }
    let t = (point - from).dot(along) / length_squared;
    if t <= 0.0 {
        from
    } else if t >= 1.0 {
        to
    } else {
        from + t * along
    }
}
