//! Inks moved and made larger or smaller as one, to put a page on another.

use glam::{DAffine2, DVec2};

use super::{Ink, InkKind};
use crate::drawing::Rect;
use crate::look::Tone;

impl Ink {
    /// The ink enlarged about the paper's origin, then shifted (pt), with everything on it: lines, letters, dashes.
    #[must_use]
    pub(crate) fn moved(mut self, scale: f64, shift: DVec2) -> Self {
        let to = DAffine2::from_scale_angle_translation(DVec2::splat(scale), 0.0, shift);
        self.bounds = transformed(&self.bounds, &to);
        self.clip = self.clip.map(|clip| transformed(&clip, &to));
        match &mut self.kind {
            InkKind::Fill { path, fill } => {
                *path = path.transformed(&to);
                fill.round = fill.round.map(|(a, b)| (to.transform_point2(a), to.transform_point2(b)));
            }
            InkKind::Stroke { path, pen, dash_offset } => {
                *path = path.transformed(&to);
                pen.width_pt *= scale;
                *dash_offset *= scale;
            }
            InkKind::Text(text) => {
                text.at = to.transform_point2(text.at);
                text.size_pt *= scale;
            }
        }
        self
    }

    /// What is seen of it (pt): nothing of what is cut off, wholly transparent or of the paper's own colour.
    pub(crate) fn seen(&self) -> Option<Rect> {
        let (bounds, faint) = match &self.kind {
            InkKind::Fill { fill, .. } => (self.bounds, !(fill.opacity > 0.0) || fill.tone == Tone::Paper),
            InkKind::Stroke { pen, .. } => {
                let half = 0.5 * pen.width_pt;
                (self.bounds.grown(half), !(pen.opacity > 0.0 && half > 0.0) || pen.tone == Tone::Paper)
            }
            InkKind::Text(_) => (self.bounds, false),
        };
        let rect = match self.clip {
            Some(clip) => bounds.common(&clip),
            None => bounds,
        };
        (!faint && rect.is_finite() && rect.min.cmple(rect.max).all()).then_some(rect)
    }
}

fn transformed(rect: &Rect, by: &DAffine2) -> Rect {
    Rect { min: by.transform_point2(rect.min), max: by.transform_point2(rect.max) }
}
