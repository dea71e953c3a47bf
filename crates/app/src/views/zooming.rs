//! Looking closer: at a picture by its camera, along a travel axis by the stretch of travel shown.

use egui::{PointerButton, Pos2, Rect, Response, Ui};
use glidewright_motion::Stroke;
use glidewright_sheet::views::travel_from_pt;
use glidewright_sheet::{DVec2, Drawing};

use super::canvas::{Camera, Zoom};

/// Shortest stretch of travel shown (mm).
const SHORTEST: f64 = 0.5;
/// How much one notch of the wheel or one press of a key enlarges.
pub const NOTCH: f32 = 1.25;

/// What the pointer asks of the enlargement in this frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ask {
    /// Enlargement about a place on screen.
    pub by: Option<(f32, Pos2)>,
    /// Shift on screen (points).
    pub pan: Option<egui::Vec2>,
    /// Show all again.
    pub all: bool,
}

impl Ask {
    /// Reads it from what happens over a view.
    pub fn read(ui: &Ui, response: &Response) -> Self {
        let by = response.hover_pos().and_then(|at| {
            let (wheel, pinch) = ui.input(|input| (input.smooth_scroll_delta().y, input.zoom_delta()));
            let by = pinch * (wheel * 0.004).exp();
            (by != 1.0 && by.is_finite()).then_some((by, at))
        });
        let moves =
            response.dragged_by(PointerButton::Middle) || response.dragged_by(PointerButton::Secondary);
        Self { by, pan: moves.then(|| response.drag_delta()), all: response.double_clicked() }
    }

    /// Whether anything is asked.
    pub const fn is_something(&self) -> bool {
        self.by.is_some() || self.pan.is_some() || self.all
    }

    /// Applies it to a picture's camera.
    pub fn to_camera(self, zoom: &mut Zoom, frame: Rect, size_pt: DVec2, scale: f32) {
        if let Some((by, at)) = self.by {
            zoom.zoom_at(by, at, frame, size_pt, scale);
        }
        if let Some(by) = self.pan {
            zoom.pan(by, frame, size_pt, scale);
        }
        if self.all {
            *zoom = Zoom::default();
        }
    }

    /// Applies it to the stretch of travel shown by a drawing with a travel axis.
    pub fn to_window(
        self,
        window: Option<(f64, f64)>,
        drawing: &Drawing,
        camera: &Camera,
        stroke: &Stroke,
    ) -> Option<(f64, f64)> {
        let mut next = window;
        if let Some((by, at)) = self.by
            && let Some(place) = travel_from_pt(drawing, camera.pt(at))
        {
            next = enlarged(next, stroke, f64::from(by), place);
        }
        if let (Some(by), Some(shown)) = (self.pan, next) {
            // A shift by a distance on screen, in travel along the axis.
            let origin = camera.pt(Pos2::ZERO);
            let moved = camera.pt(Pos2::ZERO + by);
            if let (Some(a), Some(b)) = (travel_from_pt(drawing, origin), travel_from_pt(drawing, moved)) {
                next = held((shown.0 - (b - a), shown.1 - (b - a)), stroke);
            }
        }
        if self.all { None } else { next }
    }
}

/// The stroke, low end first.
fn whole(stroke: &Stroke) -> (f64, f64) {
    (stroke.from.min(stroke.to), stroke.from.max(stroke.to))
}

/// A stretch of travel enlarged about a place that stays where it is; `None` when all is shown.
pub fn enlarged(window: Option<(f64, f64)>, stroke: &Stroke, by: f64, place: f64) -> Option<(f64, f64)> {
    let (low, high) = window.unwrap_or_else(|| whole(stroke));
    if !(by > 0.0 && place.is_finite() && high > low) {
        return window;
    }
    let place = place.clamp(low, high);
    let length = high - low;
    let wanted = (length / by).max(SHORTEST.min(length));
    let start = place - (place - low) * wanted / length;
    held((start, start + wanted), stroke)
}

/// A stretch within the stroke; `None` when it is all of it.
fn held(window: (f64, f64), stroke: &Stroke) -> Option<(f64, f64)> {
    let (low, high) = whole(stroke);
    let length = window.1 - window.0;
    if !length.is_finite() || length >= (high - low) * 0.999 {
        return None;
    }
    let start = window.0.clamp(low, high - length);
    Some((start, start + length))
}

#[cfg(test)]
mod tests {
    use super::*;

    const STROKE: Stroke = Stroke { from: 0.0, to: 100.0 };

    #[test]
    fn the_place_pointed_at_stays() {
        let (low, high) = enlarged(None, &STROKE, 2.0, 25.0).unwrap();
        assert_eq!((low, high), (12.5, 62.5));
        let (a, b) = enlarged(Some((low, high)), &STROKE, 5.0, 25.0).unwrap();
        assert!(((25.0 - low) / (high - low) - (25.0 - a) / (b - a)).abs() < 1e-12);
    }

    #[test]
    fn back_to_all_of_it_and_never_beyond() {
        let near = enlarged(None, &STROKE, 1e9, 99.0);
        let (low, high) = near.unwrap();
        assert!((high - low - SHORTEST).abs() < 1e-9 && high <= 100.0 && low >= 0.0);
        assert_eq!(enlarged(near, &STROKE, 1e-9, 99.0), None);
        assert_eq!(held((-500.0, -450.0), &STROKE), Some((0.0, 50.0)));
        assert_eq!(enlarged(Some((10.0, 20.0)), &STROKE, f64::NAN, 5.0), Some((10.0, 20.0)));
        assert_eq!(enlarged(None, &Stroke { from: 5.0, to: 5.0 }, 2.0, 5.0), None);
    }
}
