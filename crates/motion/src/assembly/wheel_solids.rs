//! A wheel as convex solids of revolution.

use glam::{DVec2, DVec3};
use glidewright_geometry::Solid;

use crate::{Bearing, Running, Wheel, WheelProfile};

/// How far an inner bearing ring reaches beyond the bore, as a share of the way to the outer ring.
/// Rings of small ball bearings share the section about so (common practice, no source).
pub(super) const INNER_RING_SHARE: f64 = 0.3;

/// Solids leave the wheel by at most this (mm), and never lie within it: a gap is never told too wide for that.
pub(super) const SAGITTA: f64 = 0.01;

/// The turning part of a wheel whose mid-plane is at `middle` and whose axle runs along the unit vector
/// `axis`: convex solids in the same frame (mm), made of its profile. Straight profiles are exact, arcs are frustums
/// that stand out by [`SAGITTA`] at most.
pub(super) fn tyre(wheel: &Wheel, middle: DVec3, axis: DVec3) -> Vec<Solid> {
    let Some(profile) = WheelProfile::new(wheel) else { return Vec::new() };
    let at = |height: f64| middle + axis * height;
    // A crown's chords lie within it and are moved out; a groove's lie in its hollow already.
    let out = if matches!(wheel.running, Running::Crowned { .. }) { SAGITTA } else { 0.0 };
    let frustum = |a: &DVec2, b: &DVec2| Solid::frustum_between(at(a.x), at(b.x), a.y + out, b.y + out);
    if let Running::Vee { .. } = wheel.running {
        let corners = profile.corners(SAGITTA);
        let flanks = corners.windows(2).filter(|pair| pair[0].y != pair[1].y);
        // Each from the tip outwards.
        let mut solids: Vec<Solid> = flanks
            .map(|pair| {
                let (tip, foot) = if pair[0].y > pair[1].y { (0, 1) } else { (1, 0) };
                frustum(&pair[tip], &pair[foot])
            })
            .collect();
        // Tip and shoulders: the shoulders in one piece through the wheel.
        let level = |y: f64| corners.iter().filter(move |p| p.y == y).map(|p| p.x.abs()).fold(0.0, f64::max);
        let foot = corners.first().map_or(profile.outer, |p| p.y);
        let tip = level(profile.outer);
        if tip > 0.0 {
            solids.insert(0, Solid::cylinder_between(at(-tip), at(tip), profile.outer));
        }
        let shoulder = corners.len() > 4 && foot < profile.outer;
        if shoulder {
            solids.push(Solid::cylinder_between(at(-profile.half_width), at(profile.half_width), foot));
        }
        return solids;
    }
    let corners = profile.corners(SAGITTA);
    corners.windows(2).filter(|pair| pair[1].x > pair[0].x).map(|pair| frustum(&pair[0], &pair[1])).collect()
}

/// Outer radius of a bearing's inner ring (mm): the table's, else about a third of the way to the outer ring's outside.
pub fn inner_ring_radius(bearing: &Bearing) -> f64 {
    if let Some(ring) = bearing.inner_ring.filter(|ring| *ring > bearing.bore && *ring < bearing.outer) {
        return 0.5 * ring;
    }
    0.5 * (bearing.bore + INNER_RING_SHARE * (bearing.outer - bearing.bore))
}

/// The still part of a wheel: its inner bearing rings, as long as the hub.
pub(super) fn hub(wheel: &Wheel, middle: DVec3, axis: DVec3) -> Solid {
    let radius = inner_ring_radius(&wheel.bearing);
    let half = 0.5 * wheel.hub_width.nominal;
    Solid::cylinder_between(middle - axis * half, middle + axis * half, radius)
}

/// Radius within which the end of a wheel stands still or is open, between the rings of its bearings (mm): what is
/// threaded beside the wheel may reach so far without touching what turns. The outer ring fills as much of the section
/// as the inner one (common practice, no source).
pub(crate) fn turning_radius(bearing: &Bearing) -> f64 {
    0.5 * widest_beside(bearing.bore, bearing.outer)
}

/// Diameter up to which what lies on a bearing of this bore and outer diameter touches its inner ring only (mm): the same as
/// twice the radius within which the end of a wheel stands still.
pub fn widest_beside(bore: f64, outer: f64) -> f64 {
    bore + (1.0 - INNER_RING_SHARE) * (outer - bore)
}
