//! A wheel as convex solids of revolution.

use glam::DVec3;
use glidewright_geometry::Solid;

use crate::{Bearing, Running, Wheel};

/// How far an inner bearing ring reaches beyond the bore, as a share of the way to the outer ring.
/// Rings of small ball bearings share the section about so (common practice, no source).
const INNER_RING_SHARE: f64 = 0.3;

/// The turning part of a wheel whose mid-plane is at `middle` and whose axle runs along the unit vector
/// `axis`: convex solids in the same frame (mm).
pub(super) fn tyre(wheel: &Wheel, middle: DVec3, axis: DVec3) -> Vec<Solid> {
    let outer = wheel.outer_radius.nominal;
    let half = 0.5 * wheel.width;
    let at = |height: f64| middle + axis * height;
    let disc = |from: f64, to: f64, radius: f64| Solid::cylinder_between(at(from), at(to), radius);
    match wheel.running {
        Running::Flat => vec![disc(-half, half, outer)],
        Running::Vee { tip, half_angle } => {
            let half_tip = (0.5 * tip).min(half);
            // The flanks run to the tyre's sides, but no deeper than the bearing they hold.
            let deepest = (outer - 0.5 * wheel.bearing.outer).max(0.0);
            let flank = (deepest * half_angle.tan()).min(half - half_tip);
            let mut solids = vec![disc(-half_tip, half_tip, outer)];
            if flank > 0.0 {
                let foot = outer - flank / half_angle.tan();
                let cone = |sign: f64| {
                    Solid::frustum_between(at(sign * half_tip), at(sign * (half_tip + flank)), outer, foot)
                };
                solids.extend([cone(-1.0), cone(1.0)]);
                if half_tip + flank < half {
                    solids.push(disc(-half, half, foot));
                }
            }
            solids
        }
        Running::Crowned { radius } => {
            // Bands whose chord stays within this of the crown, on the outside.
            const SAGITTA: f64 = 0.01;
            barrel(half, outer, radius, SAGITTA)
                .windows(2)
                .map(|ends| {
                    let [(from, r0), (to, r1)] = [ends[0], ends[1]];
                    Solid::frustum_between(at(from), at(to), r0 + SAGITTA, r1 + SAGITTA)
                })
                .collect()
        }
        Running::Grooved { radius } => grooved(half, outer, radius)
            .windows(2)
            .map(|ends| {
                let [(from, r0), (to, r1)] = [ends[0], ends[1]];
                Solid::frustum_between(at(from), at(to), r0, r1)
            })
            .collect(),
    }
}

/// Outer radius of a bearing's inner ring (mm).
pub(crate) fn inner_ring_radius(bearing: &Bearing) -> f64 {
    0.5 * (bearing.bore + INNER_RING_SHARE * (bearing.outer - bearing.bore))
}

/// The still part of a wheel: its inner bearing rings, as long as the hub.
pub(super) fn hub(wheel: &Wheel, middle: DVec3, axis: DVec3) -> Solid {
    let radius = inner_ring_radius(&wheel.bearing);
    let half = 0.5 * wheel.hub_width.nominal;
    Solid::cylinder_between(middle - axis * half, middle + axis * half, radius)
}

/// Heights and radii along a barrel, chords within `sagitta` of its crown.
fn barrel(half: f64, outer: f64, crown: f64, sagitta: f64) -> Vec<(f64, f64)> {
    let crown = crown.max(half);
    let reach = (half / crown).clamp(0.0, 1.0).asin();
    let step = 2.0 * (1.0 - sagitta / crown).clamp(-1.0, 1.0).acos();
    let bands = (2.0 * reach / step).ceil().clamp(1.0, 64.0) as usize;
    (0..=bands)
        .map(|i| {
            let angle = -reach + 2.0 * reach * i as f64 / bands as f64;
            (crown * angle.sin(), outer - crown * (1.0 - angle.cos()))
        })
        .collect()
}

/// Heights and radii along a round groove; the chords lie outside the arc's hollow, so the solids are
/// never larger than the wheel.
fn grooved(half: f64, outer: f64, groove: f64) -> Vec<(f64, f64)> {
    const BANDS: usize = 24;
    let depth = if half < groove { groove - (groove * groove - half * half).sqrt() } else { groove };
    (0..=BANDS)
        .map(|i| {
            let height = half * (2.0 * i as f64 / BANDS as f64 - 1.0);
            let inside = groove * groove - height * height;
            let hollow = if inside > 0.0 { inside.sqrt() - (groove - depth) } else { 0.0 };
            (height, outer - hollow)
        })
        .collect()
}
