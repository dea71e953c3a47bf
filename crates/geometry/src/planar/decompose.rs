//! A region as a union of convex outlines.

use std::f64::consts::FRAC_PI_3;

use glam::DVec2;
use i_triangle::float::triangulatable::Triangulatable;

use super::triangles::Originals;
use super::{PlanarError, Region, check_tolerance};
use crate::outline::SAME_POINT;
use crate::{Edge, Outline, Side, convex};

/// Arcs are cut into chords at most this often while they get in each other's way.
const MOST_CUTS: u32 = 12;

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
    let mut chords = Chords::default();
    let contours = polygons(region, tolerance, side, &mut chords);
    let shape: Vec<Vec<[f64; 2]>> =
        contours.iter().map(|c| c.iter().map(|p| p.to_array()).collect()).collect();
    let polygons = shape.triangulate_as::<i64>().into_delaunay().to_convex_polygons();
    let originals = Originals::new(&contours);
    let mut pieces = Vec::with_capacity(polygons.len());
    for polygon in &polygons {
        let mut corners: Vec<DVec2> = polygon.iter().map(|&p| originals.nearest(p.into())).collect();
        corners.dedup();
        if !Outline::polygon(&corners).is_convex() {
            // Putting corners back may bend a straight run inwards by rounding.
            corners = convex::hull_points(&mut corners);
        }
        if corners.len() >= 3 {
            pieces.push(chords.bulged(&corners));
        }
    }
    pieces.extend(chords.unused());
    if pieces.is_empty() { Err(PlanarError::Nothing) } else { Ok(pieces) }
}

/// The chords that stand for bulging arcs.
#[derive(Default)]
struct Chords {
    arcs: Vec<Edge>,
    used: Vec<bool>,
}

impl Chords {
    fn add(&mut self, arc: Edge) {
        self.arcs.push(arc);
        self.used.push(false);
    }

    fn find(&self, from: DVec2, to: DVec2) -> Option<usize> {
        let same = |p: DVec2, q: DVec2| p.distance(q) <= SAME_POINT;
        self.arcs.iter().position(|a| same(a.from(), from) && same(a.to(), to))
    }

    /// A convex polygon with its chords replaced by their arcs wherever it stays convex.
    fn bulged(&mut self, corners: &[DVec2]) -> Outline {
        let straight = Outline::polygon(corners);
        let mut outline = straight;
        let count = outline.edges.len();
        let found: Vec<Option<usize>> = outline.edges.iter().map(|e| self.find(e.from(), e.to())).collect();
        for (i, arc) in found.iter().enumerate() {
            if let Some(arc) = *arc {
                let line = outline.edges[i];
                outline.edges[i] = self.arcs[arc];
                // A neighbour that is a chord too may get its own arc next: judge with it in place.
                let mut trial = outline.clone();
                let next = (i + 1) % count;
                if let Some(other) = found[next] {
                    trial.edges[next] = self.arcs[other];
                }
                let turns = |o: &Outline, k: usize| {
                    let (e, f) = (o.edges[k].tangent(1.0), o.edges[(k + 1) % count].tangent(0.0));
                    e.perp_dot(f) >= -1e-9
                };
                if !turns(&outline, (i + count - 1) % count) || !turns(&trial, i) {
                    outline.edges[i] = line;
                }
            }
        }
        // The wish above may not have come true for the last neighbour; then fall back to chords.
        if !outline.is_convex() {
            outline = Outline::polygon(corners);
        }
        for (edge, arc) in outline.edges.iter().zip(&found) {
            if let (Edge::Arc { .. }, Some(arc)) = (edge, arc) {
                self.used[*arc] = true;
            }
        }
        outline
    }

    /// What lies between chord and arc for every arc that no piece took.
    fn unused(&self) -> impl Iterator<Item = Outline> + '_ {
        self.arcs
            .iter()
            .zip(&self.used)
            .filter(|(_, used)| !**used)
            .map(|(arc, _)| Outline::from_edges(vec![*arc, Edge::Line { from: arc.to(), to: arc.from() }]))
    }
}

/// The region's polygons, outer counter-clockwise and holes clockwise, bulging arcs as chords.
fn polygons(region: &Region, tolerance: f64, side: Side, chords: &mut Chords) -> Vec<Vec<DVec2>> {
    let reversed: Vec<Outline> = region.holes.iter().map(Outline::reversed).collect();
    let all: Vec<&Outline> = std::iter::once(&region.outer).chain(&reversed).collect();
    let every: Vec<Edge> = all.iter().flat_map(|o| o.edges.iter().copied()).collect();
    let mut contours = Vec::with_capacity(all.len());
    for outline in &all {
        let mut corners: Vec<DVec2> = Vec::new();
        for edge in &outline.edges {
            match *edge {
                Edge::Arc { centre, radius, start, sweep } if sweep > 0.0 => {
                    let mut parts = (sweep / FRAC_PI_3).ceil().max(1.0) as u32;
                    for _ in 0..MOST_CUTS {
                        if cut(edge, parts).iter().all(|piece| clear(piece, edge, &every)) {
                            break;
                        }
                        parts *= 2;
                    }
                    let step = sweep / f64::from(parts);
                    for k in 0..parts {
                        let piece =
                            Edge::Arc { centre, radius, start: start + f64::from(k) * step, sweep: step };
                        corners.push(piece.from());
                        chords.add(piece);
                    }
                }
                Edge::Line { from, .. } => corners.push(from),
                Edge::Arc { .. } => {
                    let only = Outline::from_edges(vec![*edge]);
                    corners.extend(only.flattened(tolerance, side));
                }
            }
        }
        contours.push(corners);
    }
    contours
}

fn cut(arc: &Edge, parts: u32) -> Vec<Edge> {
    let Edge::Arc { centre, radius, start, sweep } = *arc else { return Vec::new() };
    let step = sweep / f64::from(parts);
    (0..parts)
        .map(|k| Edge::Arc { centre, radius, start: start + f64::from(k) * step, sweep: step })
        .collect()
}

/// Whether nothing but material lies between the arc `piece` (cut from `whole`) and its chord.
fn clear(piece: &Edge, whole: &Edge, every: &[Edge]) -> bool {
    let chord = Edge::Line { from: piece.from(), to: piece.to() };
    let between = Outline::from_edges(vec![*piece, Edge::Line { from: piece.to(), to: piece.from() }]);
    every.iter().filter(|other| *other != whole).all(|other| {
        let at_end = |p: DVec2| {
            p.distance(chord.from()) <= 10.0 * SAME_POINT || p.distance(chord.to()) <= 10.0 * SAME_POINT
        };
        chord.intersections(other, SAME_POINT).into_iter().all(at_end)
            && [0.0, 0.5].into_iter().all(|t| at_end(other.at(t)) || !between.contains(other.at(t)))
    })
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
