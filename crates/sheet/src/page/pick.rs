//! What is under a point.

use std::sync::Arc;

use glam::DVec2;

use super::{Ink, InkKind, Page};
use crate::drawing::{Part, Rect};

/// What was hit.
#[derive(Clone, Debug, PartialEq)]
pub struct Hit {
    /// The panel, by its place in the drawing.
    pub panel: usize,
    /// The part.
    pub part: Part,
    /// The item's name.
    pub name: Option<Arc<str>>,
    /// How far from the point what was hit is painted (pt), 0 on it.
    pub distance_pt: f64,
}

impl Page {
    /// The part under a point (pt). Lines, marks and text count from `tolerance_pt` away, areas only
    /// where they are; the topmost wins, so a hole in an area lets through what is below. If nothing
    /// is there, the nearest area within the tolerance.
    pub fn pick(&self, pt: DVec2, tolerance_pt: f64) -> Option<Hit> {
        if !pt.is_finite() {
            return None;
        }
        let tolerance = if tolerance_pt > 0.0 { tolerance_pt } else { 0.0 };
        let mut near: Option<Hit> = None;
        for (place, ink) in self.inks.iter().enumerate().rev() {
            let Some(part) = ink.part else { continue };
            if ink.clip.is_some_and(|c| !c.contains(pt)) || ink.item.is_none() {
                continue;
            }
            let Some((distance_pt, line_like)) = reach(ink, pt, tolerance) else { continue };
            let counts = distance_pt == 0.0 || (line_like && !self.is_rim(place));
            let hit = || Hit { panel: ink.panel, part, name: ink.name.clone(), distance_pt };
            if counts {
                return Some(hit());
            }
            if near.as_ref().is_none_or(|n| distance_pt < n.distance_pt) {
                near = Some(hit());
            }
        }
        near
    }

    /// Whether an ink is the outline or hatching of an area: the area then decides.
    fn is_rim(&self, place: usize) -> bool {
        let whose = |ink: &Ink| (ink.panel, ink.item);
        let this = &self.inks[place];
        matches!(this.kind, InkKind::Stroke { .. })
            && self.inks[..place]
                .iter()
                .rev()
                .take_while(|i| whose(i) == whose(this))
                .any(|i| matches!(i.kind, InkKind::Fill { .. }) && i.bounds.holds(&this.bounds))
    }
}

/// Areas smaller than this are marks, hard to hit exactly (pt).
const MARK_PT: f64 = 16.0;

/// The distance to an ink if it is within the tolerance, and whether it is hit from that far: lines,
/// text and marks are, areas are not.
fn reach(ink: &Ink, pt: DVec2, tolerance: f64) -> Option<(f64, bool)> {
    let slack =
        tolerance + if let InkKind::Stroke { pen, .. } = &ink.kind { 0.5 * pen.width_pt } else { 0.0 };
    if !ink.bounds.grown(slack).contains(pt) {
        return None;
    }
    match &ink.kind {
        InkKind::Fill { path, .. } => {
            if path.contains(pt) {
                return Some((0.0, true));
            }
            let distance = path.distance(pt);
            let mark = ink.bounds.size().max_element() < MARK_PT;
            (distance <= tolerance).then_some((distance, mark))
        }
        InkKind::Stroke { path, pen, .. } => {
            let distance = (path.distance(pt) - 0.5 * pen.width_pt).max(0.0);
            (distance <= tolerance).then_some((distance, true))
        }
        InkKind::Text(text) => {
            let [top_left, top_right, _, bottom_left] = text.corners();
            let along = (top_right - top_left).try_normalize().unwrap_or(DVec2::X);
            let down = (bottom_left - top_left).try_normalize().unwrap_or(DVec2::Y);
            let local = |p: DVec2| DVec2::new((p - top_left).dot(along), (p - top_left).dot(down));
            let size = DVec2::new(top_left.distance(top_right), top_left.distance(bottom_left));
            let distance = Rect { min: DVec2::ZERO, max: size }.distance(local(pt));
            (distance <= tolerance).then_some((distance, true))
        }
    }
}
