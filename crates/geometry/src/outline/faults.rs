//! Faults of an outline.

use std::f64::consts::TAU;
use std::fmt;

use super::{Edge, Outline, SAME_POINT};

/// One thing wrong with an outline. Edges are numbered from 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// There are no edges.
    Empty,
    /// An edge holds NaN or an infinity.
    NotFinite {
        /// The edge.
        edge: usize,
    },
    /// An edge has no length, an arc no radius or a negative one.
    ZeroSize {
        /// The edge.
        edge: usize,
    },
    /// An arc turns through more than a full turn.
    OverfullTurn {
        /// The edge.
        edge: usize,
    },
    /// An edge does not start where the one before it (the last, for edge 0) ends.
    Open {
        /// The edge.
        edge: usize,
        /// Distance between the two ends (mm).
        by: f64,
    },
    /// Two edges cross or touch away from their common corner.
    SelfCrossing {
        /// The edge.
        edge: usize,
        /// The other edge, numbered higher.
        other: usize,
    },
    /// The outline encloses no area.
    NoArea,
    /// The outline is walked clockwise.
    Clockwise,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "the outline has no edges"),
            Self::NotFinite { edge } => write!(f, "edge {edge} holds a number that is not finite"),
            Self::ZeroSize { edge } => write!(f, "edge {edge} has no size"),
            Self::OverfullTurn { edge } => write!(f, "arc {edge} turns through more than a full turn"),
            Self::Open { edge, by } => write!(f, "edge {edge} starts {by} mm from the end of the one before"),
            Self::SelfCrossing { edge, other } => write!(f, "edges {edge} and {other} cross or touch"),
            Self::NoArea => write!(f, "the outline encloses no area"),
            Self::Clockwise => write!(f, "the outline is walked clockwise"),
        }
    }
}

impl Outline {
    /// Everything wrong with the outline, in edge order; empty for a sound counter-clockwise outline.
    /// Crossings are looked for only when every edge is sound by itself.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Fault, Outline};
    /// let v = DVec2::new;
    /// let bow = Outline::polygon(&[v(0.0, 0.0), v(4.0, 4.0), v(4.0, 0.0), v(0.0, 4.0)]);
    /// assert_eq!(bow.faults(), [Fault::SelfCrossing { edge: 0, other: 2 }]);
    /// ```
    pub fn faults(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        if self.edges.is_empty() {
            return vec![Fault::Empty];
        }
        for (i, edge) in self.edges.iter().enumerate() {
            if !edge.is_finite() || !edge.length().is_finite() {
                faults.push(Fault::NotFinite { edge: i });
                continue;
            }
            let flat = match *edge {
                Edge::Line { .. } => edge.length() <= SAME_POINT,
                Edge::Arc { radius, .. } => radius <= SAME_POINT || edge.length() <= SAME_POINT,
            };
            if flat {
                faults.push(Fault::ZeroSize { edge: i });
            }
            // The slack forgives a full turn summed from degrees.
            if matches!(*edge, Edge::Arc { sweep, .. } if sweep.abs() > TAU * (1.0 + 1e-12)) {
                faults.push(Fault::OverfullTurn { edge: i });
            }
        }
        if !faults.is_empty() {
            return faults;
        }
        let count = self.edges.len();
        for (i, edge) in self.edges.iter().enumerate() {
            let by = match *edge {
                // An arc alone comes back by its sweep, whatever its angles round to.
                Edge::Arc { radius, sweep, .. } if count == 1 => {
                    2.0 * radius * (0.5 * (TAU - sweep.abs()).abs()).sin()
                }
                _ => self.edges[(i + count - 1) % count].to().distance(edge.from()),
            };
            if by > SAME_POINT {
                faults.push(Fault::Open { edge: i, by });
            }
        }
        self.crossings(&mut faults);
        if faults.is_empty() {
            let (area, length) = (self.area(), self.perimeter());
            if area.abs() <= SAME_POINT * length {
                faults.push(Fault::NoArea);
            } else if area < 0.0 {
                faults.push(Fault::Clockwise);
            }
        }
        faults
    }

    fn crossings(&self, faults: &mut Vec<Fault>) {
        let count = self.edges.len();
        let bounds: Vec<_> = self.edges.iter().map(Edge::bounds).collect();
        for i in 0..count {
            for j in i + 1..count {
                let (a, b) = (&bounds[i], &bounds[j]);
                let apart = (a.low - b.high).max(b.low - a.high).max_element();
                if apart > SAME_POINT {
                    continue;
                }
                let (e, f) = (&self.edges[i], &self.edges[j]);
                let follows = j == i + 1;
                let precedes = i == 0 && j == count - 1;
                // The corner two neighbours share is no crossing; rounding widens it where they meet at a
                // flat angle.
                let shared = |p| {
                    let near = 1e3 * SAME_POINT;
                    (follows && e.to().distance(p) <= near) || (precedes && f.to().distance(p) <= near)
                };
                if e.intersections(f, SAME_POINT).iter().any(|&p| !shared(p)) {
                    faults.push(Fault::SelfCrossing { edge: i, other: j });
                }
            }
        }
    }

    /// True if the outline turns the same way (left) all along: no faults are looked for. Corners may be
    /// straight.
    ///
    /// ```
    /// use glidewright_geometry::{DVec2, Outline};
    /// let v = DVec2::new;
    /// assert!(Outline::slot(v(0.0, 0.0), v(9.0, 0.0), 2.0).is_convex());
    /// assert!(!Outline::polygon(&[v(0.0, 0.0), v(9.0, 0.0), v(1.0, 1.0), v(0.0, 9.0)]).is_convex());
    /// ```
    pub fn is_convex(&self) -> bool {
        let count = self.edges.len();
        let mut turned = 0.0;
        for (i, edge) in self.edges.iter().enumerate() {
            if let Edge::Arc { sweep, .. } = *edge {
                if sweep <= 0.0 {
                    return false;
                }
                turned += sweep;
            }
            let (out, into) = (edge.tangent(1.0), self.edges[(i + 1) % count].tangent(0.0));
            let turn = out.perp_dot(into).atan2(out.dot(into));
            // Rounding of a corner meant to be straight.
            if !(turn >= -1e-9) {
                return false;
            }
            turned += turn;
        }
        count > 0 && (turned - TAU).abs() < 1e-6
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DVec2;
    use std::f64::consts::PI;

    fn v(x: f64, y: f64) -> DVec2 {
        DVec2::new(x, y)
    }

    #[test]
    fn sound_outlines_have_no_faults() {
        for outline in [
            Outline::circle(v(1.0, 2.0), 3.0),
            Outline::rectangle(v(0.0, 0.0), v(3.0, 4.0)),
            Outline::rounded_rectangle(v(0.0, 0.0), v(30.0, 40.0), 5.0),
            Outline::rounded_rectangle(v(0.0, 0.0), v(10.0, 40.0), 50.0),
            Outline::slot(v(0.0, 0.0), v(30.0, 17.0), 5.0),
            Outline::slot(v(0.0, 0.0), v(0.0, 0.0), 5.0),
            Outline::regular_polygon(6, 8.0),
        ] {
            assert_eq!(outline.faults(), [], "{outline:?}");
            assert!(outline.is_convex());
            let moved = outline.transformed(1.234, v(500.0, -300.0));
            assert_eq!(moved.faults(), []);
            assert!(moved.is_convex());
            let mirrored = outline.transformed(0.3, v(5.0, 1.0)).mirrored();
            assert_eq!(mirrored.faults(), []);
            assert!((mirrored.area() - outline.area()).abs() < 1e-9);
            assert_eq!(outline.reversed().faults(), [Fault::Clockwise]);
        }
    }

    #[test]
    fn faults_name_the_edge() {
        let bow = Outline::polygon(&[v(0.0, 0.0), v(4.0, 4.0), v(4.0, 0.0), v(0.0, 4.0)]);
        assert_eq!(bow.faults(), [Fault::SelfCrossing { edge: 0, other: 2 }]);
        let mut open = Outline::rectangle(v(0.0, 0.0), v(3.0, 4.0));
        open.edges.remove(3);
        assert_eq!(open.faults(), [Fault::Open { edge: 0, by: 4.0 }]);
        let nan = Outline::polygon(&[v(0.0, 0.0), v(4.0, 4.0), v(f64::NAN, 0.0)]);
        assert_eq!(nan.faults(), [Fault::NotFinite { edge: 1 }, Fault::NotFinite { edge: 2 }]);
        assert_eq!(Outline::circle(v(0.0, 0.0), f64::INFINITY).faults(), [Fault::NotFinite { edge: 0 }]);
        assert_eq!(Outline::circle(v(0.0, 0.0), 0.0).faults(), [Fault::ZeroSize { edge: 0 }]);
        assert_eq!(Outline::circle(v(0.0, 0.0), -1.0).faults(), [Fault::ZeroSize { edge: 0 }]);
        assert_eq!(Outline::default().faults(), [Fault::Empty]);
        let back = Outline::polygon(&[v(0.0, 0.0), v(4.0, 0.0)]);
        assert!(!back.faults().is_empty());
        let twice = Outline::from_edges(vec![Edge::arc(v(0.0, 0.0), 1.0, 0.0, 4.0 * PI)]);
        assert_eq!(twice.faults(), [Fault::OverfullTurn { edge: 0 }]);
        let bite_through = Outline::from_edges(vec![
            Edge::line(v(0.0, 0.0), v(10.0, 0.0)),
            Edge::arc(v(10.0, 5.0), 5.0, -0.5 * PI, -PI),
            Edge::line(v(10.0, 10.0), v(9.0, 10.0)),
            Edge::line(v(9.0, 10.0), v(0.0, 0.0)),
        ]);
        assert_eq!(bite_through.faults(), [Fault::SelfCrossing { edge: 1, other: 3 }]);
    }

    #[test]
    fn convexity() {
        let l =
            Outline::polygon(&[v(0.0, 0.0), v(4.0, 0.0), v(4.0, 1.0), v(1.0, 1.0), v(1.0, 4.0), v(0.0, 4.0)]);
        assert_eq!(l.faults(), []);
        assert!(!l.is_convex());
        let star: Vec<DVec2> = (0..5).map(|i| DVec2::from_angle(0.8 * PI * f64::from(i))).collect();
        assert!(!Outline::polygon(&star).is_convex());
        assert!(!Outline::default().is_convex());
    }
}
