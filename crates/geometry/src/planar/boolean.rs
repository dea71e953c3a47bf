//! Union, difference, intersection, offset, hull.

use glam::DVec2;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};
use i_overlay::mesh::math::MathMode;

use super::{PlanarError, Region, check_tolerance};
use crate::outline::SAME_POINT;
use crate::{Outline, Side, convex};

/// Offsets below this (mm) are lost in the integer grid.
const LEAST_OFFSET: f64 = 1e-6;

/// Offsets of regions flattened finer than this share of their size are not worked out finer: every corner of a
/// flattened arc gets an arc of its own, and the work grows with the square of their number.
const FINEST: f64 = 5e-6;

type Contours = Vec<Vec<[f64; 2]>>;

/// Everything in A or in B, as polygons; arcs are flattened to within `tolerance` (mm) first.
///
/// ```
/// use glidewright_geometry::{DVec2, Outline, Region, union};
/// let square = |x: f64| vec![Outline::rectangle(DVec2::new(x, 0.0), DVec2::new(x + 10.0, 10.0)).into()];
/// let area: f64 = union(&square(0.0), &square(6.0), 0.01)?.iter().map(Region::area).sum();
/// assert!((area - 160.0).abs() < 1e-6);
/// # Ok::<(), glidewright_geometry::PlanarError>(())
/// ```
///
/// # Errors
/// A broken region (see [`Region::check`]) or tolerance.
pub fn union(a: &[Region], b: &[Region], tolerance: f64) -> Result<Vec<Region>, PlanarError> {
    overlay(a, b, OverlayRule::Union, tolerance)
}

/// Everything in A and not in B; see [`union`].
///
/// ```
/// use glidewright_geometry::{DVec2, Outline, Region, difference};
/// let square = |x: f64| vec![Outline::rectangle(DVec2::new(x, 0.0), DVec2::new(x + 10.0, 10.0)).into()];
/// let area: f64 = difference(&square(0.0), &square(6.0), 0.01)?.iter().map(Region::area).sum();
/// assert!((area - 60.0).abs() < 1e-6);
/// # Ok::<(), glidewright_geometry::PlanarError>(())
/// ```
///
/// # Errors
/// A broken region (see [`Region::check`]) or tolerance.
pub fn difference(a: &[Region], b: &[Region], tolerance: f64) -> Result<Vec<Region>, PlanarError> {
    overlay(a, b, OverlayRule::Difference, tolerance)
}

/// Everything in both A and B; see [`union`].
///
/// ```
/// use glidewright_geometry::{DVec2, Outline, Region, intersection};
/// let square = |x: f64| vec![Outline::rectangle(DVec2::new(x, 0.0), DVec2::new(x + 10.0, 10.0)).into()];
/// let area: f64 = intersection(&square(0.0), &square(6.0), 0.01)?.iter().map(Region::area).sum();
/// assert!((area - 40.0).abs() < 1e-6);
/// # Ok::<(), glidewright_geometry::PlanarError>(())
/// ```
///
/// # Errors
/// A broken region (see [`Region::check`]) or tolerance.
pub fn intersection(a: &[Region], b: &[Region], tolerance: f64) -> Result<Vec<Region>, PlanarError> {
    overlay(a, b, OverlayRule::Intersect, tolerance)
}

/// Everything within `by` (mm) of the region, corners rounded; for a negative `by` everything at least that far
/// inside. As polygons, arcs flattened to within about `tolerance` (mm), but no finer than 5e-6 of the size. An offset of
/// less than 1e-6 mm is none.
///
/// ```
/// use glidewright_geometry::{DVec2, Outline, Region, offset};
/// let square: Region = Outline::rectangle(DVec2::ZERO, DVec2::splat(10.0)).into();
/// let wider: f64 = offset(&[square], 2.0, 0.001)?.iter().map(Region::area).sum();
/// // Steiner's formula: A + P·r + π·r².
/// assert!((wider - (100.0 + 80.0 + 4.0 * std::f64::consts::PI)).abs() < 0.02);
/// # Ok::<(), glidewright_geometry::PlanarError>(())
/// ```
///
/// # Errors
/// A broken region (see [`Region::check`]), an offset that is not finite, or a bad tolerance.
pub fn offset(regions: &[Region], by: f64, tolerance: f64) -> Result<Vec<Region>, PlanarError> {
    check_tolerance(tolerance)?;
    if !(by.abs() <= super::MOST_MM) {
        return Err(PlanarError::TooLarge);
    }
    let size = regions.iter().map(|region| region.bounds().size().max_element()).fold(by.abs(), f64::max);
    let tolerance = tolerance.max(FINEST * size);
    let contours = merged(regions, tolerance)?;
    if contours.is_empty() || by.abs() < LEAST_OFFSET {
        return Ok(regions_of(contours));
    }
    // The join is given as chord length over radius: a chord sags r(1 − cos(angle/2)).
    let angle = 2.0 * (1.0 - tolerance / by.abs()).clamp(0.0, 1.0).acos();
    let style =
        OutlineStyle::new(by).line_join(LineJoin::Round(angle.clamp(0.01, 1.0))).math(MathMode::Float);
    Ok(regions_of(contours.outline_as::<i64>(&style)))
}

/// The smallest convex outline around regions: a polygon, arcs flattened outwards to within `tolerance` (mm).
///
/// ```
/// use glidewright_geometry::{DVec2, Outline, hull};
/// let pads = [0.0, 40.0].map(|x| Outline::circle(DVec2::new(x, 0.0), 5.0).into());
/// let belt = hull(&pads, 0.001)?;
/// assert!(belt.is_convex() && (belt.bounds().size().x - 50.0).abs() < 0.01);
/// # Ok::<(), glidewright_geometry::PlanarError>(())
/// ```
///
/// # Errors
/// No region, a broken outer boundary, or a bad tolerance.
pub fn hull(regions: &[Region], tolerance: f64) -> Result<Outline, PlanarError> {
    check_tolerance(tolerance)?;
    let mut points: Vec<DVec2> = Vec::new();
    for region in regions {
        region.check()?;
        points.extend(region.outer.flattened(tolerance, Side::Outer));
    }
    let corners = convex::hull_points(&mut points);
    if corners.len() < 3 { Err(PlanarError::Nothing) } else { Ok(Outline::polygon(&corners)) }
}

/// The corners of the smallest convex polygon round points (mm), counter-clockwise; what has fewer than three corners,
/// being empty, a point or a line, is given as it is. Points that are not finite are left out.
///
/// ```
/// use glidewright_geometry::{DVec2, hull_of_points};
/// let inside = DVec2::splat(1.0);
/// let corners = [DVec2::ZERO, DVec2::new(4.0, 0.0), DVec2::new(0.0, 3.0)];
/// assert_eq!(hull_of_points([&corners[..], &[inside]].concat()).len(), 3);
/// ```
pub fn hull_of_points(mut points: Vec<DVec2>) -> Vec<DVec2> {
    convex::hull_points(&mut points)
}

fn contours_of(regions: &[Region], tolerance: f64) -> Result<Vec<Contours>, PlanarError> {
    check_tolerance(tolerance)?;
    let mut shapes = Vec::with_capacity(regions.len());
    for region in regions {
        region.check()?;
        let contours = region.flattened(tolerance, Side::Middle);
        shapes.push(contours.into_iter().map(|c| c.into_iter().map(|p| p.to_array()).collect()).collect());
    }
    Ok(shapes)
}

/// The regions' union as contours.
fn merged(regions: &[Region], tolerance: f64) -> Result<Vec<Contours>, PlanarError> {
    let shapes = contours_of(regions, tolerance)?;
    let nothing: Vec<Contours> = Vec::new();
    Ok(shapes.overlay_as::<i64>(&nothing, OverlayRule::Subject, FillRule::NonZero))
}

fn overlay(
    a: &[Region],
    b: &[Region],
    rule: OverlayRule,
    tolerance: f64,
) -> Result<Vec<Region>, PlanarError> {
    let (a, b) = (contours_of(a, tolerance)?, contours_of(b, tolerance)?);
    if a.is_empty() && b.is_empty() {
        return Ok(Vec::new());
    }
    Ok(regions_of(a.overlay_as::<i64>(&b, rule, FillRule::NonZero)))
}

/// The library walks outer boundaries counter-clockwise and holes clockwise. Corners it tells apart by rounding alone,
/// as where one boundary just reaches another, are one corner.
fn regions_of(shapes: Vec<Contours>) -> Vec<Region> {
    let outline = |contour: &Vec<[f64; 2]>| {
        let mut corners: Vec<DVec2> = contour.iter().map(|&p| p.into()).collect();
        corners.dedup_by(|b, a| a.distance(*b) <= SAME_POINT);
        while let [first, .., last] = corners.as_slice()
            && first.distance(*last) <= SAME_POINT
        {
            corners.pop();
        }
        let outline = Outline::polygon(&corners);
        let outline = if outline.area() < 0.0 { outline.reversed() } else { outline };
        (corners.len() > 2).then_some(outline)
    };
    shapes
        .iter()
        .filter_map(|contours| {
            let (outer, holes) = contours.split_first()?;
            Some(Region { outer: outline(outer)?, holes: holes.iter().filter_map(outline).collect() })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn square(x: f64, size: f64) -> Vec<Region> {
        vec![Outline::rectangle(DVec2::new(x, 0.0), DVec2::new(x + size, size)).into()]
    }

    fn area(regions: &[Region]) -> f64 {
        regions.iter().map(Region::area).sum()
    }

    #[test]
    fn areas_add_up() {
        let (a, b) = (square(0.0, 10.0), square(6.0, 10.0));
        let plus = area(&union(&a, &b, 0.01).unwrap());
        let minus = area(&difference(&a, &b, 0.01).unwrap());
        let both = area(&intersection(&a, &b, 0.01).unwrap());
        for (found, expected) in [(plus, 160.0), (minus, 60.0), (both, 40.0)] {
            assert!((found - expected).abs() < 1e-6, "{found} {expected}");
        }
        let disc: Vec<Region> = vec![Outline::circle(DVec2::new(5.0, 5.0), 2.0).into()];
        let holed = difference(&a, &disc, 0.001).unwrap();
        assert_eq!(holed[0].holes.len(), 1);
        assert!((area(&holed) - (100.0 - 4.0 * PI)).abs() < 0.01);
        assert_eq!(holed[0].check(), Ok(()));
        assert_eq!(union(&[], &[], 0.1), Ok(vec![]));
    }

    #[test]
    fn a_slot_whose_end_just_reaches_the_edge_leaves_a_sound_outline() {
        // Its round end begins on the square's edge, to rounding.
        for inch in [0.295_275_590_551_181_13 * 25.4, 7.5, 7.500_000_000_000_001] {
            for x in [10.0, 2.578_740_157_480_315_3 * 25.4, 65.5_f64.next_up()] {
                let ground = vec![Outline::rectangle(DVec2::new(-x, -12.0), DVec2::new(x, 20.0)).into()];
                let slot = Outline::slot(DVec2::new(0.0, inch), DVec2::new(x, inch), 6.0);
                let joined = union(&ground, &[slot.into()], 0.01).unwrap();
                assert_eq!(joined.len(), 1);
                assert_eq!(joined[0].check(), Ok(()), "{inch} {x}");
            }
        }
    }

    #[test]
    fn offsets_grow_as_steiner_says() {
        // Area of a convex set grown by r: A + P r + π r² (Steiner's formula).
        let grown = area(&offset(&square(0.0, 10.0), 2.0, 0.001).unwrap());
        assert!((grown - (100.0 + 80.0 + 4.0 * PI)).abs() < 0.02, "{grown}");
        let shrunk = area(&offset(&square(0.0, 10.0), -2.0, 0.001).unwrap());
        assert!((shrunk - 36.0).abs() < 1e-6, "{shrunk}");
        assert_eq!(offset(&square(0.0, 10.0), -6.0, 0.001), Ok(vec![]));
        assert_eq!(offset(&square(0.0, 10.0), f64::NAN, 0.001), Err(PlanarError::TooLarge));
        assert_eq!(offset(&square(0.0, 10.0), 1.0, 0.0), Err(PlanarError::BadTolerance));
    }

    #[test]
    fn broken_regions_are_named() {
        let outer = Outline::rectangle(DVec2::ZERO, DVec2::splat(10.0));
        let hole = |x: f64| Outline::circle(DVec2::new(x, 5.0), 2.0);
        let bad = Region::new(outer.clone(), vec![hole(5.0), hole(9.0)]);
        assert_eq!(bad.check(), Err(PlanarError::HoleOutside { hole: 1 }));
        let twice = Region::new(outer.clone(), vec![hole(5.0), Outline::circle(DVec2::splat(5.0), 1.0)]);
        assert_eq!(twice.check(), Err(PlanarError::HoleOutside { hole: 1 }));
        let nan = Region::new(outer, vec![Outline::circle(DVec2::NAN, 1.0)]);
        assert_eq!(
            union(&[nan], &[], 0.1),
            Err(PlanarError::Outline { hole: Some(0), fault: Fault::NotFinite { edge: 0 } })
        );
    }

    use crate::Fault;

    #[test]
    fn hull_holds_everything() {
        let regions: Vec<Region> = vec![
            Outline::circle(DVec2::ZERO, 3.0).into(),
            Outline::circle(DVec2::new(10.0, 0.0), 3.0).into(),
        ];
        let hull = hull(&regions, 0.001).unwrap();
        assert!(hull.is_convex());
        assert!((hull.area() - (60.0 + 9.0 * PI)).abs() < 0.05);
    }
}
