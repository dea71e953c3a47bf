//! The path of a belt or cord round its pulleys, by exact tangents.

use glam::DVec2;

use crate::{Fixture, Line, LineNode, Turn, rider_x};

/// The path of a line at one travel, in its own plane.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct LinePath {
    /// Spans and wraps in order.
    pub elements: Vec<PathElement>,
}

/// One stretch of a line's path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PathElement {
    /// A straight span between the nodes with these numbers.
    Span {
        /// Start (mm, in the plane).
        from: DVec2,
        /// End (mm, in the plane).
        to: DVec2,
        /// Numbers of the nodes it joins.
        nodes: (usize, usize),
    },
    /// A wrap round the pulley that is node `node`.
    Wrap {
        /// Centre (mm, in the plane).
        centre: DVec2,
        /// Radius (mm).
        radius: f64,
        /// Angle of the first point (rad).
        start: f64,
        /// Angle walked (rad), positive counter-clockwise.
        sweep: f64,
        /// Number of the node.
        node: usize,
    },
}

/// Why a path cannot be laid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PathFault {
    /// A line needs two nodes at least.
    TooShort,
    /// The nodes with these numbers are so near each other that no tangent exists.
    NoTangent(usize, usize),
    /// A coordinate or radius is not a number the path can use.
    BadSize(usize),
    /// An anchor or pulley names a rider that does not exist.
    NoRider(usize),
}

impl PathFault {
    /// What is the matter, for a reader.
    pub const fn text(&self) -> &'static str {
        match self {
            Self::TooShort => "a belt or cord needs at least two places it passes or is clamped",
            Self::NoTangent(..) => "two neighbouring pulleys overlap, or an anchor lies inside a pulley",
            Self::BadSize(_) => "a pulley's place or radius is not a usable number",
            Self::NoRider(_) => "it is clamped to a rider that does not exist",
        }
    }
}

impl PathElement {
    /// Its length (mm).
    pub fn length(&self) -> f64 {
        match *self {
            Self::Span { from, to, .. } => from.distance(to),
            Self::Wrap { radius, sweep, .. } => radius * sweep.abs(),
        }
    }

    /// Its centre of mass, for an even line (mm, in the plane).
    pub fn middle(&self) -> DVec2 {
        match *self {
            Self::Span { from, to, .. } => 0.5 * (from + to),
            Self::Wrap { centre, radius, start, sweep, .. } => {
                let half = 0.5 * sweep;
                let sinc = if half.abs() < 1e-8 { 1.0 } else { half.sin() / half };
                centre + radius * sinc * DVec2::from_angle(start + half)
            }
        }
    }
}

impl LinePath {
    /// Whole length (mm).
    pub fn length(&self) -> f64 {
        self.elements.iter().map(PathElement::length).sum()
    }
}

/// A node as a circle; `side` is +1 when its centre lies left of the walked line, 0 for an anchor.
struct Circle {
    centre: DVec2,
    radius: f64,
    side: f64,
}

/// The path of `line` when the lead rider's travel is `travel` (mm).
///
/// Neighbouring nodes are joined by the common tangent of their circles that leaves each on the side the
/// line turns round it: with Δ the vector between the centres and k the difference of the signed radii,
/// the span is √(Δ² − k²) long and leans from Δ by the angle whose tangent is k over that.
///
/// # Errors
/// [`PathFault`] when a tangent does not exist or a node is unusable.
pub fn path_at(fixture: &Fixture, line: &Line, travel: f64) -> Result<LinePath, PathFault> {
    if line.nodes.len() < 2 {
        return Err(PathFault::TooShort);
    }
    let mut circles = Vec::with_capacity(line.nodes.len());
    for (number, node) in line.nodes.iter().enumerate() {
        let circle = circle_of(fixture, line, node, travel).ok_or(PathFault::NoRider(number))?;
        if !(circle.centre.is_finite() && circle.radius.is_finite() && circle.radius >= 0.0) {
            return Err(PathFault::BadSize(number));
        }
        circles.push(circle);
    }
    let mut elements = Vec::with_capacity(2 * circles.len());
    let mut arriving: Option<DVec2> = None;
    for (number, pair) in circles.windows(2).enumerate() {
        let [a, b] = pair else { continue };
        let apart = b.centre - a.centre;
        let lean = b.side * b.radius - a.side * a.radius;
        let squared = apart.length_squared() - lean * lean;
        if !(squared > 0.0) {
            return Err(PathFault::NoTangent(number, number + 1));
        }
        let length = squared.sqrt();
        let direction = DVec2::new(length, -lean).rotate(apart).normalize();
        let left = direction.perp();
        let from = a.centre - a.side * a.radius * left;
        if let Some(before) = arriving {
            elements.push(wrap(a, before, direction, number));
        }
        elements.push(PathElement::Span { from, to: from + direction * length, nodes: (number, number + 1) });
        arriving = Some(direction);
    }
    Ok(LinePath { elements })
}

fn circle_of(fixture: &Fixture, line: &Line, node: &LineNode, travel: f64) -> Option<Circle> {
    let shift = |rider: Option<usize>| match rider {
        None => Some(0.0),
        Some(rider) if rider < fixture.riders.len() => Some(rider_x(fixture, rider, travel)),
        Some(_) => None,
    };
    Some(match node {
        LineNode::Anchor { rider, at, .. } => {
            Circle { centre: line.plane.flat(*at) + DVec2::new(shift(*rider)?, 0.0), radius: 0.0, side: 0.0 }
        }
        LineNode::Pulley(pulley) => Circle {
            centre: pulley.centre + DVec2::new(shift(pulley.rider)?, 0.0),
            radius: pulley.radius,
            side: match pulley.turn {
                Turn::Left => 1.0,
                Turn::Right => -1.0,
            },
        },
    })
}

fn wrap(circle: &Circle, arriving: DVec2, leaving: DVec2, node: usize) -> PathElement {
    let turned = arriving.angle_to(leaving);
    let full = std::f64::consts::TAU;
    // A line that is turned the other way by rounding only is not a full turn.
    const ROUNDING: f64 = 1e-9;
    let sweep = if circle.side >= 0.0 {
        if turned < -ROUNDING { turned + full } else { turned.max(0.0) }
    } else if turned > ROUNDING {
        turned - full
    } else {
        turned.min(0.0)
    };
    let start = (-circle.side * arriving.perp()).to_angle();
    PathElement::Wrap { centre: circle.centre, radius: circle.radius, start, sweep, node }
}
