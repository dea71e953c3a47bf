//! A region's boundary as polygons that neither cross nor touch, its arcs as chords.
//!
//! Each part of an arc keeps to a convex set: the circular segment between arc and chord, or the triangle between arc
//! and end tangents. While no two such sets meet (but for the joints of neighbours), the polygons run as the boundary
//! does. Where two meet, the deeper is halved, which leaves a quarter of its depth: only the parts of an arc that pass
//! close to something become fine. Own derivation; tested on generated regions.

use std::f64::consts::{FRAC_PI_3, PI};

use glam::DVec2;

use super::Region;
use crate::convex::{self, Corner};
use crate::outline::{SAME_POINT, chord_count};
use crate::{Bounds2, Edge, Outline, Side};

/// Sets nearer than this (mm) count as meeting: well below the distance at which outlines count as touching.
const APART: f64 = 0.1 * SAME_POINT;

/// Parts less deep than this (mm) are not halved: nothing that is apart lies within their reach.
const SHALLOW: f64 = 0.2 * SAME_POINT;

/// Neighbours whose directions at their joint differ by less than this (rad) meet there too.
const ALONGSIDE: f64 = 1e-9;

/// A polygon's corner, with the arc that the side beginning there stands for if it bulges out of the polygon.
#[derive(Clone, Copy, Debug)]
pub(super) struct Joint {
    pub at: DVec2,
    pub bulge: Option<Edge>,
}

/// A part of the boundary.
#[derive(Clone, Debug)]
struct Part {
    edge: Edge,
    /// The number of the edge it is cut from.
    of: usize,
    /// Where it ends: where the next begins.
    to: DVec2,
    /// Where the end tangents meet, if these are what stands for it.
    apex: Option<DVec2>,
    bounds: Bounds2,
    /// Depth of that (mm); 0 for a line.
    depth: f64,
    /// Not yet held against the others.
    is_fresh: bool,
}

impl Part {
    fn new(edge: Edge, of: usize, to: DVec2, side: Side) -> Self {
        let from = edge.from();
        let (apex, depth) = match edge {
            Edge::Line { .. } => (None, 0.0),
            Edge::Arc { centre, radius, start, sweep } => {
                let half = (0.5 * sweep).cos();
                if sweep < 0.0 && side == Side::Inner {
                    let out = radius / half;
                    (Some(centre + out * DVec2::from_angle(start + 0.5 * sweep)), out - radius)
                } else {
                    // 1 − cos, without its loss of digits.
                    (None, 2.0 * radius * (0.25 * sweep).sin().powi(2))
                }
            }
        };
        let mut bounds = Bounds2::around([from, to]);
        match apex {
            Some(apex) => bounds.add(apex),
            None => bounds.join(&edge.bounds()),
        }
        Self { edge, of, to, apex, bounds, depth, is_fresh: true }
    }

    /// All that lies between it and its replacement.
    fn set(&self) -> Vec<Corner> {
        let (from, to) = (self.edge.from(), self.to);
        let sweep = match self.edge {
            Edge::Line { .. } => return convex::hull(&mut vec![from, to]),
            Edge::Arc { sweep, .. } => sweep,
        };
        if let Some(apex) = self.apex {
            return convex::hull(&mut vec![from, apex, to]);
        }
        let walked = if sweep < 0.0 { self.edge.reversed() } else { self.edge };
        let segment = Outline::from_edges(vec![walked, Edge::line(walked.to(), walked.from())]);
        convex::corners_of(&segment).unwrap_or_else(|| convex::hull(&mut vec![from, self.edge.at(0.5), to]))
    }

    /// The directions in which it and its replacement leave a joint, as a middle and a half width (rad).
    fn cone(&self, at_start: bool) -> (DVec2, f64) {
        let tangent = if at_start { self.edge.tangent(0.0) } else { -self.edge.tangent(1.0) };
        match self.edge {
            Edge::Line { .. } => (tangent, 0.0),
            // The chord makes half the arc's angle with its tangent; the end tangents go no farther.
            Edge::Arc { sweep, .. } => {
                let sense = if at_start { sweep } else { -sweep };
                (DVec2::from_angle(0.25 * sense).rotate(tangent), 0.25 * sweep.abs())
            }
        }
    }

    fn halves(&self, side: Side) -> [Self; 2] {
        let Edge::Arc { centre, radius, start, sweep } = self.edge else {
            return [self.clone(), self.clone()];
        };
        let first = Edge::Arc { centre, radius, start, sweep: 0.5 * sweep };
        let second = Edge::Arc { centre, radius, start: start + 0.5 * sweep, sweep: 0.5 * sweep };
        [Self::new(first, self.of, second.from(), side), Self::new(second, self.of, self.to, side)]
    }
}

/// The region's polygons, outer one counter-clockwise and holes clockwise. Arcs that bite into the material become
/// chords within `tolerance` (mm) on the stated side ([`Side::Inner`]: less material, else more), corners of their own;
/// arcs that bulge out of it become chords that remember them. Parts that come as near to others as [`SHALLOW`] are
/// left as they are.
pub(super) fn polygons(region: &Region, tolerance: f64, side: Side) -> Vec<Vec<Joint>> {
    let reversed: Vec<Outline> = region.holes.iter().map(Outline::reversed).collect();
    let mut number = 0;
    let mut contours: Vec<Vec<Part>> = std::iter::once(&region.outer)
        .chain(&reversed)
        .map(|outline| parts(outline, tolerance, side, &mut number))
        .collect();
    while let Some(halved) = meeting(&contours) {
        let mut halved = halved.into_iter();
        for contour in &mut contours {
            let mut next = Vec::with_capacity(contour.len() + 8);
            for mut part in contour.drain(..) {
                if halved.next() == Some(true) {
                    next.extend(part.halves(side));
                } else {
                    part.is_fresh = false;
                    next.push(part);
                }
            }
            *contour = next;
        }
    }
    contours.iter().map(|contour| joints(contour)).collect()
}

/// An outline's edges, arcs cut into parts.
fn parts(outline: &Outline, tolerance: f64, side: Side, number: &mut usize) -> Vec<Part> {
    let mut parts = Vec::with_capacity(outline.edges.len());
    let count = outline.edges.len();
    for (i, edge) in outline.edges.iter().enumerate() {
        *number += 1;
        let end = outline.edges[(i + 1) % count].from();
        let Edge::Arc { centre, radius, start, sweep } = *edge else {
            parts.push(Part::new(*edge, *number, end, side));
            continue;
        };
        let pieces = if sweep > 0.0 {
            (sweep / FRAC_PI_3).ceil().max(1.0)
        } else {
            chord_count(radius, sweep, tolerance, side)
        };
        let step = sweep / pieces;
        let piece = |k: f64| Edge::Arc { centre, radius, start: start + k * step, sweep: step };
        parts.extend((0..pieces as u32).map(|k| {
            let k = f64::from(k);
            let to = if k + 1.0 < pieces { piece(k + 1.0).from() } else { end };
            Part::new(piece(k), *number, to, side)
        }));
    }
    parts
}

/// The parts to be halved, in walking order, because their sets meet those of others; `None` if none do.
fn meeting(contours: &[Vec<Part>]) -> Option<Vec<bool>> {
    let mut all: Vec<(&Part, usize, usize, usize)> = Vec::new();
    for contour in contours {
        let (first, count) = (all.len(), contour.len());
        all.extend(contour.iter().enumerate().map(|(i, part)| (part, first, i, count)));
    }
    let mut order: Vec<usize> = (0..all.len()).collect();
    order.sort_by(|&i, &j| all[i].0.bounds.low.x.total_cmp(&all[j].0.bounds.low.x));
    let mut halved = vec![false; all.len()];
    let mut is_any = false;
    let mut difference = Vec::new();
    // Those whose boxes the sweep from left to right has entered and may not have left.
    let mut open: Vec<usize> = Vec::new();
    for &j in &order {
        let (q, first_q, place_q, count) = all[j];
        open.retain(|&i| all[i].0.bounds.high.x + APART >= q.bounds.low.x);
        for &i in &open {
            let (p, first_p, place_p, _) = all[i];
            if p.of == q.of || !(p.is_fresh || q.is_fresh) || p.depth.max(q.depth) <= SHALLOW {
                continue;
            }
            let aside = (q.bounds.low - p.bounds.high).max(p.bounds.low - q.bounds.high);
            if aside.y > APART {
                continue;
            }
            let same = first_p == first_q;
            let (p_then_q, q_then_p) =
                (same && (place_p + 1) % count == place_q, same && (place_q + 1) % count == place_p);
            let meets = if p_then_q || q_then_p {
                (p_then_q && overlap(p.cone(false), q.cone(true)))
                    || (q_then_p && overlap(q.cone(false), p.cone(true)))
            } else {
                difference.clear();
                convex::difference(&p.set(), &q.set(), &mut difference);
                !(convex::signed_distance(&difference, DVec2::ZERO).distance > APART)
            };
            if meets {
                is_any = true;
                let deepest = p.depth.max(q.depth);
                halved[i] |= p.depth > SHALLOW && 4.0 * p.depth >= deepest;
                halved[j] |= q.depth > SHALLOW && 4.0 * q.depth >= deepest;
            }
        }
        open.push(j);
    }
    is_any.then_some(halved)
}

/// Two cones of directions from one joint hold one in common.
fn overlap((a, half_a): (DVec2, f64), (b, half_b): (DVec2, f64)) -> bool {
    a.angle_to(b).abs().min(PI) <= half_a + half_b + ALONGSIDE
}

/// The polygon of a contour's parts.
fn joints(contour: &[Part]) -> Vec<Joint> {
    let count = contour.len();
    let mut joints = Vec::with_capacity(2 * count);
    for (i, part) in contour.iter().enumerate() {
        let before = &contour[(i + count - 1) % count];
        let bulge = matches!(part.edge, Edge::Arc { sweep, .. } if sweep > 0.0).then_some(part.edge);
        // Between two equal parts of one arc the tangents run straight on.
        let is_between = part.apex.is_some()
            && before.apex.is_some()
            && before.of == part.of
            && (count > 1)
            && same_size(&before.edge, &part.edge)
            && (i > 0 || is_whole(contour));
        if !is_between {
            joints.push(Joint { at: part.edge.from(), bulge });
        }
        joints.extend(part.apex.map(|at| Joint { at, bulge: None }));
    }
    joints
}

fn same_size(a: &Edge, b: &Edge) -> bool {
    match (a, b) {
        (Edge::Arc { sweep: s, .. }, Edge::Arc { sweep: t, .. }) => s == t,
        _ => false,
    }
}

/// The contour is one arc: a full circle.
fn is_whole(contour: &[Part]) -> bool {
    contour.iter().all(|part| part.of == contour[0].of)
}
