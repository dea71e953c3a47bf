//! What a press of the pointer takes hold of, and where that takes the riders.

use glidewright_motion::Owner;
use glidewright_sheet::{DVec2, Drawing, Hit};

use crate::state::{Bench, lead_per_rider};

/// Something taken hold of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Grab {
    /// A rider: it follows the pointer along the rail.
    Rider {
        /// Panel of the drawing it is in.
        panel: usize,
        /// Place along the rail under the pointer when it was taken (mm).
        from_x: f64,
        /// Travel of the lead when it was taken (mm).
        from_travel: f64,
        /// How far the lead moves per millimetre of it.
        ratio: f64,
    },
    /// The cursor or a curve: travel is what the axis says under the pointer, less where it was taken.
    Axis {
        /// Panel of the drawing.
        panel: usize,
        /// Travel under the pointer less that of the cursor when it was taken (mm).
        offset: f64,
    },
}

/// How near to the cursor's line a press takes hold of it (pt).
const CURSOR_REACH: f64 = 7.0;

impl Grab {
    /// What is taken hold of at a point of a drawing.
    pub fn at(drawing: &Drawing, hit: Option<&Hit>, pt: DVec2, bench: &Bench, travel: f64) -> Option<Self> {
        if let Some(hit) = hit
            && let Some(body) = bench.results.assembly.bodies.get(hit.part.0 as usize)
            && let Owner::Rider(rider) = body.owner
            && drawing.panels.get(hit.panel).is_some_and(|panel| panel.name == "rail")
        {
            return Some(Self::Rider {
                panel: hit.panel,
                from_x: along(drawing, hit.panel, pt)?,
                from_travel: travel,
                ratio: lead_per_rider(&bench.fixture, rider)?,
            });
        }
        let (panel, found) = drawing.panel_at(pt)?;
        if found.name == "rail" {
            return None;
        }
        let under = along(drawing, panel, pt)?;
        let cursor = found.pt(DVec2::new(travel, found.world_from_pt(pt)?.y));
        let offset = if cursor.distance(pt) < CURSOR_REACH { under - travel } else { 0.0 };
        Some(Self::Axis { panel, offset })
    }

    /// The lead's travel with the pointer at a point.
    pub fn travel(&self, drawing: &Drawing, pt: DVec2) -> Option<f64> {
        match *self {
            Self::Rider { panel, from_x, from_travel, ratio } => {
                Some(from_travel + (along(drawing, panel, pt)? - from_x) * ratio)
            }
            Self::Axis { panel, offset } => Some(along(drawing, panel, pt)? - offset),
        }
    }
}

fn along(drawing: &Drawing, panel: usize, pt: DVec2) -> Option<f64> {
    Some(drawing.panels.get(panel)?.world_from_pt(pt)?.x)
}
