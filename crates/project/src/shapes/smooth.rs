//! Finding the arcs again that a boolean operation has broken into chords.

use std::f64::consts::TAU;

use glam::DVec2;
use glidewright_geometry::{Edge, Outline};

/// Fewest chords that are taken for an arc.
const FEWEST_CHORDS: usize = 4;
/// Centres of one arc's chords agree to this share of its radius.
const SAME_CENTRE: f64 = 1e-4;
/// How far corners may lie off their arc (mm): about twice the error that arcs are broken with.
const OFF_ARC: f64 = 0.005;
/// Largest angle one chord may span (rad): a polygon with coarser steps was meant as one.
const LARGEST_STEP: f64 = 0.2;
/// Largest radius looked for (mm); beyond it chords are as good as straight.
const LARGEST_RADIUS: f64 = 1e4;
/// Largest share of the area that may change.
const SAME_AREA: f64 = 1e-3;

/// The outline with arcs where it has runs of chords of one circle; the outline itself where that would
/// break it. (Own method; checked by areas and radii in the tests.)
pub(crate) fn smoothed(outline: &Outline) -> Outline {
    let all_straight = outline.edges.iter().all(|edge| matches!(edge, Edge::Line { .. }));
    let corners = Corners { points: outline.edges.iter().map(Edge::from).collect() };
    if !all_straight || corners.points.len() <= FEWEST_CHORDS {
        return outline.clone();
    }
    let smooth = corners.with_arcs();
    let change = (smooth.area() - outline.area()).abs();
    let sound = smooth.faults().is_empty() && change <= SAME_AREA * outline.area().abs();
    if sound { smooth } else { outline.clone() }
}

/// A circle that a run of corners lies on.
struct Circle {
    centre: DVec2,
    /// Of the corners (mm).
    radius: f64,
    /// Angle of one chord, with its sense (rad).
    step: f64,
}

impl Circle {
    /// Radius of the arc that was broken so that chords lie inside as far as corners lie outside.
    fn arc_radius(&self) -> f64 {
        0.5 * self.radius * (1.0 + (0.5 * self.step).cos())
    }

    /// Whether the way from one corner to the next goes along the circle.
    fn holds(&self, from: DVec2, to: DVec2) -> bool {
        let on_it = |p: DVec2| (p.distance(self.centre) - self.radius).abs() <= OFF_ARC;
        let step = (from - self.centre).angle_to(to - self.centre);
        on_it(from) && on_it(to) && step * self.step > 0.0 && step.abs() <= LARGEST_STEP
    }
}

/// The corners of a polygon, counted round and round.
struct Corners {
    points: Vec<DVec2>,
}

impl Corners {
    fn at(&self, i: usize) -> DVec2 {
        self.points.get(i % self.points.len().max(1)).copied().unwrap_or_default()
    }

    /// The circle through a corner, the one before and the two behind, if they lie on one.
    fn circle(&self, i: usize) -> Option<Circle> {
        let count = self.points.len();
        let [a, b, c, d] = [self.at(i + count - 1), self.at(i), self.at(i + 1), self.at(i + 2)];
        let (first, second) = (centre(a, b, c)?, centre(b, c, d)?);
        let centre = 0.5 * (first + second);
        let radius = b.distance(centre);
        (first.distance(second) <= SAME_CENTRE * radius).then(|| Circle {
            centre,
            radius,
            step: (b - centre).angle_to(c - centre),
        })
    }

    /// The circle that the way on from a corner goes along, and the corner where it leaves it. The first and
    /// last chord may be shorter, so the circle shows one or two corners on.
    fn arc_from(&self, start: usize) -> Option<(Circle, usize)> {
        let count = self.points.len();
        (start + 1..=start + 2).find_map(|seed| {
            let circle = self.circle(seed)?;
            let mut last = start;
            while last < start + count && circle.holds(self.at(last), self.at(last + 1)) {
                last += 1;
            }
            (last >= start + FEWEST_CHORDS).then_some((circle, last))
        })
    }

    fn with_arcs(&self) -> Outline {
        let count = self.points.len();
        // Begin where an arc begins, so that none goes across the beginning.
        let begin = (0..count).find_map(|i| {
            let (circle, _) = self.arc_from(i)?;
            let back =
                (1..=count).find(|&k| !circle.holds(self.at(i + count - k), self.at(i + count - k + 1)));
            Some(back.map(|k| (i + count - k + 1) % count).ok_or(circle))
        });
        let begin = match begin {
            Some(Ok(begin)) => begin,
            Some(Err(circle)) => return Outline::circle(circle.centre, circle.arc_radius()),
            None => 0,
        };
        let mut edges = Vec::new();
        let mut at = begin;
        while at < begin + count {
            match self.arc_from(at).filter(|(_, last)| *last <= begin + count) {
                Some((circle, last)) => {
                    edges.push(self.arc(&circle, at, last));
                    at = last;
                }
                None => {
                    edges.push(Edge::Line { from: self.at(at), to: self.at(at + 1) });
                    at += 1;
                }
            }
        }
        meet(&mut edges);
        Outline::joined(&edges)
    }

    fn arc(&self, circle: &Circle, from: usize, to: usize) -> Edge {
        let steps = (from..to).map(|i| (self.at(i) - circle.centre).angle_to(self.at(i + 1) - circle.centre));
        let sweep = steps.sum::<f64>().clamp(-TAU, TAU);
        let start = (self.at(from) - circle.centre).to_angle();
        Edge::Arc { centre: circle.centre, radius: circle.arc_radius(), start, sweep }
    }
}

/// Lets lines end where the arcs beside them begin.
fn meet(edges: &mut [Edge]) {
    let count = edges.len();
    for i in 0..count {
        let before = edges.get((i + count - 1) % count).copied();
        let behind = edges.get((i + 1) % count).copied();
        if let Some(Edge::Line { from, to }) = edges.get_mut(i) {
            if let Some(arc @ Edge::Arc { .. }) = before {
                *from = arc.to();
            }
            if let Some(arc @ Edge::Arc { .. }) = behind {
                *to = arc.from();
            }
        }
    }
}

/// Centre of the circle through three corners, if its chords are short.
fn centre(a: DVec2, b: DVec2, c: DVec2) -> Option<DVec2> {
    let (u, v) = (b - a, c - a);
    let twice = 2.0 * u.perp_dot(v);
    let to_centre = DVec2::new(
        v.y * u.length_squared() - u.y * v.length_squared(),
        u.x * v.length_squared() - v.x * u.length_squared(),
    ) / twice;
    let radius = to_centre.length();
    let is_fine = a.distance(b).max(b.distance(c)) <= LARGEST_STEP * radius;
    (is_fine && radius <= LARGEST_RADIUS).then_some(a + to_centre)
}

#[cfg(test)]
mod tests {
    use glidewright_geometry::{Region, Side, difference, union};

    use super::*;

    fn arcs(outline: &Outline) -> Vec<f64> {
        outline
            .edges
            .iter()
            .filter_map(|edge| match edge {
                Edge::Arc { radius, .. } => Some(*radius),
                Edge::Line { .. } => None,
            })
            .collect()
    }

    #[test]
    fn a_union_of_circles_and_slots_has_its_arcs_back() {
        let pads: Vec<Region> = [(-40.0, -30.0), (40.0, -30.0), (40.0, 30.0), (-40.0, 30.0)]
            .iter()
            .map(|&(x, y)| Outline::circle(DVec2::new(x, y), 12.0).into())
            .collect();
        let web = Outline::slot(DVec2::new(-40.0, -30.0), DVec2::new(40.0, 30.0), 5.0).into();
        let other = Outline::slot(DVec2::new(-40.0, 30.0), DVec2::new(40.0, -30.0), 5.0).into();
        let all = union(&pads, &[web, other], 0.002).unwrap();
        assert_eq!(all.len(), 1);
        let smooth = smoothed(&all[0].outer);
        let radii = arcs(&smooth);
        assert_eq!(radii.len(), 4, "{smooth:?}");
        assert!(radii.iter().all(|r| (r - 12.0).abs() < 0.003));
        assert!(smooth.edges.len() < 40, "{}", smooth.edges.len());
        assert!((smooth.area() - all[0].outer.area()).abs() < 0.3);
    }

    #[test]
    fn polygons_stay_and_circles_come_back_whole() {
        let square = Outline::rectangle(DVec2::ZERO, DVec2::splat(10.0));
        assert_eq!(smoothed(&square), square);
        let hexagon = Outline::regular_polygon(6, 10.0);
        assert_eq!(smoothed(&hexagon), hexagon);
        let circle = Outline::circle(DVec2::new(3.0, 4.0), 7.0);
        let polygon = Outline::polygon(&circle.flattened(0.001, Side::Middle));
        let again = smoothed(&polygon);
        assert_eq!(again.edges.len(), 1);
        assert!((again.area() - circle.area()).abs() < 0.1);
    }

    #[test]
    fn a_bite_is_an_arc_too() {
        let plate = Outline::rounded_rectangle(DVec2::ZERO, DVec2::new(60.0, 40.0), 6.0);
        let bite = Outline::circle(DVec2::new(30.0, 0.0), 10.0);
        let left = difference(&[plate.into()], &[bite.into()], 0.002).unwrap();
        let smooth = smoothed(&left[0].outer);
        let mut radii = arcs(&smooth);
        radii.sort_by(f64::total_cmp);
        assert_eq!(radii.len(), 5, "{smooth:?}");
        assert!((radii[4] - 10.0).abs() < 0.003 && (radii[0] - 6.0).abs() < 0.003);
    }
}
