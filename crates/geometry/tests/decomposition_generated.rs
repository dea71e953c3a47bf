//! Convex pieces of generated regions: nothing of a sound region is lost, nothing is covered twice.

mod common;

use std::sync::Arc;

use common::Random;
use common::sections::{KINDS, Made};
use glidewright_geometry::{Bounds2, DVec2, Edge, Outline, Pose, Region, Shape, Side, Solid, decompose};

/// Sections in an ordinary run; `GLIDEWRIGHT_SECTIONS=100000` runs more.
const SECTIONS: usize = 1_400;

/// The region with every arc that bites into the material as chords.
fn with_chords(region: &Region, tolerance: f64, side: Side) -> Region {
    let chords = |outline: &Outline| {
        let mut edges = Vec::new();
        let count = outline.edges.len();
        for (i, edge) in outline.edges.iter().enumerate() {
            match edge {
                Edge::Arc { sweep, .. } if *sweep < 0.0 => {
                    let mut points = Outline::from_edges(vec![*edge]).flattened(tolerance, side);
                    points.push(outline.edges[(i + 1) % count].from());
                    edges.extend(points.windows(2).map(|p| Edge::line(p[0], p[1])));
                }
                _ => edges.push(*edge),
            }
        }
        Outline::from_edges(edges)
    };
    let holes = region.holes.iter().map(|hole| chords(&hole.reversed()).reversed()).collect();
    Region::new(chords(&region.outer), holes)
}

fn area(pieces: &[Outline]) -> f64 {
    pieces.iter().map(Outline::area).sum()
}

/// What is wrong with the pieces of a region.
fn check(made: &Made, random: &mut Random) -> Result<(), String> {
    let region = &made.region;
    region.check().map_err(|e| format!("refused: {e:?}"))?;
    let exact = region.area();
    // Corners are where f64 can say: a few units in the last place of the coordinates, all along the boundary.
    let bounds = region.bounds();
    let rounding = 4.0
        * f64::EPSILON
        * bounds.low.abs().max(bounds.high.abs()).max_element()
        * region.outlines().map(Outline::perimeter).sum::<f64>();
    let size = region.bounds().size().max_element();
    for (tolerance, side) in [(2e-4 * size, Side::Outer), (1e-4 * size, Side::Inner)] {
        let pieces = decompose(region, tolerance, side).map_err(|e| format!("{side:?}: {e:?}"))?;
        let is_solid = |outline: &Outline| {
            let shape = Shape::Prism { outline: Arc::new(outline.clone()), half_height: 1.0 };
            !Solid { shape, pose: Pose::IDENTITY }.bounds().is_empty()
        };
        if let Some(bad) = pieces.iter().find(|p| !p.is_convex() || !(p.area() > 0.0) || !is_solid(p)) {
            return Err(format!("{side:?}: no convex solid: {bad:?}"));
        }
        let found = area(&pieces);
        let coarse = with_chords(region, tolerance, side);
        let aim = coarse.area();
        let near = 1e-9 * exact + rounding;
        // Chords are drawn finer than asked for only where coarse ones might run into something.
        let sense = if side == Side::Outer { found - exact } else { exact - found };
        if (found - exact).abs() > (aim - exact).abs() + near || sense < -near {
            return Err(format!("{side:?}: area {found} for {aim} (exact {exact})"));
        }
        if coarse != *region && coarse.check().is_ok() {
            let found =
                area(&decompose(&coarse, tolerance, side).map_err(|e| format!("with chords: {e:?}"))?);
            if (found - aim).abs() > 1e-9 * aim + rounding {
                return Err(format!("{side:?}, with chords: area {found} for {aim}"));
            }
        }
        let boxes: Vec<_> = pieces.iter().map(Outline::bounds).collect();
        let holds = |(outline, around): (&Outline, &Bounds2), p: DVec2| {
            p.cmpge(around.low).all() && p.cmple(around.high).all() && outline.contains(p)
        };
        for _ in 0..12 {
            let p = bounds.low + bounds.size() * DVec2::new(random.unit(), random.unit());
            let boundary = region.outlines().map(|o| o.distance_to_boundary(p)).fold(f64::INFINITY, f64::min);
            let held = pieces.iter().zip(&boxes).any(|piece| holds(piece, p));
            if boundary > tolerance && held != region.contains(p) {
                return Err(format!("{side:?}: {p} is held: {held}"));
            }
        }
    }
    Ok(())
}

#[test]
fn no_sound_region_is_lost() {
    let asked = std::env::var("GLIDEWRIGHT_SECTIONS").ok().and_then(|n| n.parse().ok());
    let mut random = Random(0x5ec7_1025_0bad_cafe);
    let mut faults: Vec<String> = Vec::new();
    for number in 0..asked.unwrap_or(SECTIONS) {
        let seed = random.0;
        let made = random.region(number % KINDS);
        if let Err(what) = check(&made, &mut random) {
            faults.push(format!("{} (state {seed:#x}): {what}", made.name));
        }
    }
    assert!(faults.is_empty(), "{} of them:\n{}", faults.len(), faults.join("\n"));
}
