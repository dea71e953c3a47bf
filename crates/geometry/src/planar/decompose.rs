//! A region as a union of convex outlines.

use std::collections::{HashMap, HashSet};

use glam::DVec2;

use super::chords::{Joint, polygons};
use super::merge::{Ends, convex_polygons, turn};
use super::triangles::{Triangles, triangulate};
use super::{PlanarError, Region, check_tolerance};
use crate::{Edge, Outline, Side, convex};

/// Pieces whose area differs from the region's by more than this share are not published.
const LOST: f64 = 1e-6;

/// An arc that takes its chord's place may bend a corner inwards by as much (rad): rounding of tangents.
const STRAIGHT: f64 = 1e-9;

/// Convex outlines that together cover the region and overlap nowhere (but on their boundaries).
///
/// Bulging arcs stay arcs, exact. Arcs that bite into the material (holes, notches, fillets of inner corners)
/// become straight chords that differ from them by at most `tolerance` (mm): with [`Side::Outer`] the pieces cover
/// a little more than the region (gaps come out too small, never too large), with [`Side::Inner`] a little less.
/// `Middle` is taken as `Outer`.
///
/// ```
/// use glidewright_geometry::{DVec2, Outline, Region, Side, decompose};
/// let plate = Region::new(
///     Outline::rounded_rectangle(DVec2::ZERO, DVec2::new(60.0, 40.0), 5.0),
///     vec![Outline::circle(DVec2::new(20.0, 20.0), 2.75)],
/// );
/// let pieces = decompose(&plate, 0.01, Side::Outer)?;
/// let area: f64 = pieces.iter().map(Outline::area).sum();
/// assert!(pieces.iter().all(Outline::is_convex) && area >= plate.area() && area < plate.area() + 0.2);
/// # Ok::<(), glidewright_geometry::PlanarError>(())
/// ```
///
/// # Errors
/// A broken region (see [`Region::check`]) or tolerance.
pub fn decompose(region: &Region, tolerance: f64, side: Side) -> Result<Vec<Outline>, PlanarError> {
    check_tolerance(tolerance)?;
    region.check()?;
    if region.holes.is_empty() && region.outer.is_convex() {
        return Ok(vec![region.outer.clone()]);
    }
    let side = if side == Side::Inner { Side::Inner } else { Side::Outer };
    let polygons = polygons(region, tolerance, side);
    let contours: Vec<Vec<DVec2>> =
        polygons.iter().map(|joints| joints.iter().map(|joint| joint.at).collect()).collect();
    let triangles = triangulate(&contours);
    let chords = Chords::new(&polygons, &triangles);
    let whole = contours.iter().map(|c| Outline::polygon(c).area()).sum::<f64>() + chords.area();
    let pieces = [true, false]
        .into_iter()
        .map(|bent| {
            let ends = if bent { chords.ends() } else { Ends::default() };
            chords.pieces(&triangles, &convex_polygons(&triangles, &ends))
        })
        .min_by_key(Vec::len)
        .unwrap_or_default();
    let found: f64 = pieces.iter().map(Outline::area).sum();
    if (found - whole).abs() <= LOST * whole { Ok(pieces) } else { Err(PlanarError::NotDecomposed) }
}

/// The chords that stand for bulging arcs, by the numbers of their ends.
struct Chords {
    arcs: HashMap<[u32; 2], Edge>,
    /// Arcs whose chords are no side of any triangle.
    stray: Vec<Edge>,
}

impl Chords {
    fn new(polygons: &[Vec<Joint>], triangles: &Triangles) -> Self {
        let mut numbers: HashMap<[u64; 2], u32> = HashMap::new();
        let key = |p: DVec2| [(p.x + 0.0).to_bits(), (p.y + 0.0).to_bits()];
        for (number, corner) in (0..).zip(&triangles.corners) {
            numbers.insert(key(*corner), number);
        }
        let sides: HashSet<[u32; 2]> =
            triangles.triangles.iter().flat_map(|&[i, j, k]| [[i, j], [j, k], [k, i]]).collect();
        let mut chords = Self { arcs: HashMap::new(), stray: Vec::new() };
        for joints in polygons {
            for (joint, next) in joints.iter().zip(joints.iter().cycle().skip(1)) {
                let Some(arc) = joint.bulge else { continue };
                match (numbers.get(&key(joint.at)), numbers.get(&key(next.at))) {
                    (Some(&from), Some(&to)) if sides.contains(&[from, to]) => {
                        chords.arcs.insert([from, to], arc);
                    }
                    _ => chords.stray.push(arc),
                }
            }
        }
        chords
    }

    /// Area between all arcs and their chords (mm²).
    fn area(&self) -> f64 {
        self.arcs.values().chain(&self.stray).map(|arc| segment(arc).area()).sum()
    }

    /// The arcs' directions at their ends.
    fn ends(&self) -> Ends {
        self.arcs.iter().map(|(&key, arc)| (key, [arc.tangent(0.0), arc.tangent(1.0)])).collect()
    }

    /// Convex polygons with arcs in place of their chords wherever they stay convex, and what is left of the arcs.
    fn pieces(&self, triangles: &Triangles, polygons: &[Vec<u32>]) -> Vec<Outline> {
        let mut unused = self.arcs.clone();
        let mut pieces = Vec::with_capacity(polygons.len());
        for polygon in polygons {
            pieces.extend(self.bulged(&triangles.corners, polygon, &mut unused));
        }
        let mut unused: Vec<_> = unused.into_iter().collect();
        unused.sort_by_key(|(ends, _)| *ends);
        pieces.extend(unused.iter().map(|(_, arc)| arc).chain(&self.stray).map(segment));
        pieces
    }

    /// One polygon so; `None` for one too thin to have an inside.
    fn bulged(
        &self,
        corners: &[DVec2],
        polygon: &[u32],
        unused: &mut HashMap<[u32; 2], Edge>,
    ) -> Option<Outline> {
        let at = |k: usize| corners[polygon[k % polygon.len()] as usize];
        let count = polygon.len();
        let arc = |k: usize| self.arcs.get(&[polygon[k], polygon[(k + 1) % count]]).copied();
        let found: Vec<Option<Edge>> = (0..count).map(arc).collect();
        let lines: Vec<Edge> = (0..count).map(|k| Edge::line(at(k), at(k + 1))).collect();
        let turns = |edges: &[Edge], k: usize| {
            let (e, f) = (edges[k].tangent(1.0), edges[(k + 1) % count].tangent(0.0));
            e.perp_dot(f) >= -STRAIGHT
        };
        let mut edges = lines.clone();
        for (i, arc) in found.iter().enumerate() {
            let Some(arc) = *arc else { continue };
            edges[i] = arc;
            // A neighbour that is a chord too may get its own arc next: judge with it in place.
            let mut trial = edges.clone();
            let next = (i + 1) % count;
            trial[next] = found[next].unwrap_or(trial[next]);
            if !turns(&edges, (i + count - 1) % count) || !turns(&trial, i) {
                edges[i] = lines[i];
            }
        }
        // The wish above may not have come true for the last neighbour; then fall back to chords.
        let mut outline = Outline { edges };
        if !outline.is_convex() {
            outline = Outline { edges: lines };
        }
        if !outline.is_convex() {
            let hull = convex::hull_points(&mut (0..count).map(at).collect());
            outline = Outline::polygon(&hull);
            if !outline.is_convex() {
                return None;
            }
            return Some(outline);
        }
        for (k, edge) in outline.edges.iter().enumerate() {
            if matches!(edge, Edge::Arc { .. }) {
                unused.remove(&[polygon[k], polygon[(k + 1) % count]]);
            }
        }
        Some(without_straight_corners(&outline))
    }
}

/// The circular segment between an arc and its chord.
fn segment(arc: &Edge) -> Outline {
    Outline::from_edges(vec![*arc, Edge::Line { from: arc.to(), to: arc.from() }])
}

/// Lines that run on exactly straight become one.
fn without_straight_corners(outline: &Outline) -> Outline {
    let mut edges: Vec<Edge> = Vec::with_capacity(outline.edges.len());
    for &edge in &outline.edges {
        if let (Some(Edge::Line { from, to }), Edge::Line { to: end, .. }) = (edges.last().copied(), edge)
            && turn(from, to, end) == 0.0
        {
            edges.pop();
            edges.push(Edge::Line { from, to: end });
        } else {
            edges.push(edge);
        }
    }
    Outline { edges }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn v(x: f64, y: f64) -> DVec2 {
        DVec2::new(x, y)
    }

    fn regions() -> Vec<Region> {
        let plate = Region::new(
            Outline::rounded_rectangle(v(-30.0, -20.0), v(30.0, 20.0), 6.0),
            vec![
                Outline::circle(v(10.0, 5.0), 4.0),
                Outline::slot(v(-20.0, -5.0), v(-5.0, -8.0), 2.0),
                Outline::regular_polygon(6, 8.0).transformed(0.2, v(-12.0, 10.0)),
            ],
        );
        let tube = Region::new(Outline::circle(v(3.0, 3.0), 10.0), vec![Outline::circle(v(3.0, 3.0), 9.9)]);
        let off_tube =
            Region::new(Outline::circle(v(0.0, 0.0), 10.0), vec![Outline::circle(v(2.9, 0.0), 7.0)]);
        let bitten: Region = Outline::from_edges(vec![
            Edge::line(v(0.0, 0.0), v(10.0, 0.0)),
            Edge::arc(v(10.0, 5.0), 5.0, -0.5 * PI, -PI),
            Edge::line(v(10.0, 10.0), v(0.0, 10.0)),
            Edge::line(v(0.0, 10.0), v(0.0, 0.0)),
        ])
        .into();
        let ell: Region =
            Outline::polygon(&[v(0.0, 0.0), v(4.0, 0.0), v(4.0, 1.0), v(1.0, 1.0), v(1.0, 4.0), v(0.0, 4.0)])
                .into();
        // A thin crescent, both of whose arcs share their ends.
        let (r, half) = (10.0_f64, 1.0_f64);
        let moon: Region = Outline::from_edges(vec![Edge::arc(v(0.0, 0.0), r, -half, 2.0 * half), {
            let (tip_x, tip_y) = (r * half.cos(), r * half.sin());
            let centre = v(tip_x - 14.0, 0.0);
            let angle = tip_y.atan2(14.0);
            Edge::arc(centre, 14.0_f64.hypot(tip_y), angle, -2.0 * angle)
        }])
        .into();
        vec![plate, tube, off_tube, bitten, ell, moon, Outline::regular_polygon(6, 3.0).into()]
    }

    /// A small repeatable generator (Marsaglia's xorshift).
    fn random(state: &mut u64) -> f64 {
        *state ^= *state << 13;
        *state ^= *state >> 7;
        *state ^= *state << 17;
        (*state >> 11) as f64 / (1u64 << 53) as f64
    }

    #[test]
    fn pieces_cover_the_region_and_nothing_else() {
        let mut state = 0x9e37_79b9_7f4a_7c15;
        for (index, region) in regions().iter().enumerate() {
            assert_eq!(region.check(), Ok(()), "{index}");
            for (tolerance, side) in [(0.01, Side::Outer), (0.01, Side::Inner), (0.3, Side::Outer)] {
                let pieces = decompose(region, tolerance, side).unwrap();
                for piece in &pieces {
                    assert!(piece.is_convex() && convex::corners_of(piece).is_some(), "{index} {piece:?}");
                }
                let area: f64 = pieces.iter().map(Outline::area).sum();
                let concave: f64 = std::iter::once(&region.outer)
                    .flat_map(|o| &o.edges)
                    .filter(|e| matches!(e, Edge::Arc { sweep, .. } if *sweep < 0.0))
                    .map(Edge::length)
                    .sum::<f64>()
                    + region.holes.iter().map(Outline::perimeter).sum::<f64>();
                let (least, most) = if side == Side::Outer {
                    (0.0, tolerance * concave)
                } else {
                    (-tolerance * concave, 0.0)
                };
                let off = area - region.area();
                assert!(
                    off >= least - 1e-6 && off <= most + 1e-6,
                    "{index} {side:?}: {off}, {} pieces",
                    pieces.len()
                );
                let b = region.bounds();
                for _ in 0..1500 {
                    let p = b.low + b.size() * v(random(&mut state), random(&mut state));
                    let boundary = region
                        .holes
                        .iter()
                        .map(|h| h.distance_to_boundary(p))
                        .fold(region.outer.distance_to_boundary(p), f64::min);
                    let held = pieces.iter().any(|o| o.contains(p));
                    if boundary > tolerance {
                        assert_eq!(held, region.contains(p), "{index} {p} {boundary}");
                    } else if side == Side::Outer && region.contains(p) {
                        assert!(held, "{index} {p}");
                    }
                }
            }
        }
    }
}
