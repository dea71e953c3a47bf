//! Where a page lies on the screen, and how large.

use egui::{Pos2, Rect, Vec2, pos2};
use glidewright_sheet::DVec2;

/// Least and greatest enlargement a picture is zoomed to.
const ZOOM: std::ops::RangeInclusive<f32> = 1.0..=24.0;

/// Maps a page's points to the screen's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    /// Where the page's top left corner lies on screen.
    pub origin: Pos2,
    /// Screen points per page point.
    pub scale: f32,
}

impl Camera {
    /// The screen place of a page point.
    pub fn pos(&self, pt: DVec2) -> Pos2 {
        pos2(self.origin.x + pt.x as f32 * self.scale, self.origin.y + pt.y as f32 * self.scale)
    }

    /// The page point at a screen place.
    pub fn pt(&self, pos: Pos2) -> DVec2 {
        let at = (pos - self.origin) / self.scale;
        DVec2::new(f64::from(at.x), f64::from(at.y))
    }

    /// A page rectangle on screen.
    pub fn rect(&self, rect: &glidewright_sheet::Rect) -> Rect {
        Rect::from_min_max(self.pos(rect.min), self.pos(rect.max))
    }
}

/// How far a close-up is enlarged and which part of it is looked at; kept with the view, never saved
/// in the document.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Zoom {
    /// Enlargement over the fitted size.
    pub factor: f32,
    /// The page's point at the frame's middle, as a share of the page's size.
    pub middle: Vec2,
}

impl Default for Zoom {
    fn default() -> Self {
        Self { factor: 1.0, middle: Vec2::splat(0.5) }
    }
}

impl Zoom {
    /// The camera for a page of `size` (pt) drawn at `scale` and fitted to `frame`.
    pub fn camera(&self, frame: Rect, size: DVec2, scale: f32) -> Camera {
        let scale = scale * self.factor;
        let size = Vec2::new(size.x as f32, size.y as f32) * scale;
        let origin = frame.center() - self.middle * size;
        // Never so far that the frame shows less than it could.
        let held = |origin: f32, size: f32, low: f32, high: f32| {
            if size <= high - low { 0.5 * (low + high - size) } else { origin.clamp(high - size, low) }
        };
        Camera {
            origin: pos2(
                held(origin.x, size.x, frame.left(), frame.right()),
                held(origin.y, size.y, frame.top(), frame.bottom()),
            ),
            scale,
        }
    }

    /// Enlarges about a screen place that stays where it is.
    pub fn zoom_at(&mut self, by: f32, at: Pos2, frame: Rect, size: DVec2, scale: f32) {
        let before = self.camera(frame, size, scale);
        let held = before.pt(at);
        self.factor = (self.factor * by).clamp(*ZOOM.start(), *ZOOM.end());
        let size_on_screen = Vec2::new(size.x as f32, size.y as f32) * scale * self.factor;
        let origin = at - Vec2::new(held.x as f32, held.y as f32) * scale * self.factor;
        self.middle = (frame.center() - origin) / size_on_screen;
        self.settle(frame, size, scale);
    }

    /// Moves the picture by a distance on screen.
    pub fn pan(&mut self, by: Vec2, frame: Rect, size: DVec2, scale: f32) {
        let size_on_screen = Vec2::new(size.x as f32, size.y as f32) * scale * self.factor;
        if size_on_screen.x > 0.0 && size_on_screen.y > 0.0 {
            self.middle -= by / size_on_screen;
        }
        self.settle(frame, size, scale);
    }

    /// Takes the middle back to what the camera really shows.
    fn settle(&mut self, frame: Rect, size: DVec2, scale: f32) {
        let camera = self.camera(frame, size, scale);
        let shown = Vec2::new(size.x as f32, size.y as f32) * camera.scale;
        let middle = (frame.center() - camera.origin) / shown;
        self.middle = if middle.is_finite() { middle } else { Vec2::splat(0.5) };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: Rect = Rect { min: pos2(100.0, 50.0), max: pos2(500.0, 350.0) };

    #[test]
    fn there_and_back() {
        let camera = Zoom::default().camera(FRAME, DVec2::new(300.0, 225.0), 4.0 / 3.0);
        for pt in [DVec2::ZERO, DVec2::new(300.0, 225.0), DVec2::new(17.0, 93.0)] {
            assert!(camera.pt(camera.pos(pt)).distance(pt) < 1e-3);
        }
        assert!(camera.pos(DVec2::ZERO).distance(FRAME.min) < 1e-3);
    }

    #[test]
    fn what_is_under_the_pointer_stays_there() {
        let (size, scale) = (DVec2::new(300.0, 225.0), 4.0 / 3.0);
        let mut zoom = Zoom::default();
        let at = pos2(400.0, 120.0);
        let before = zoom.camera(FRAME, size, scale).pt(at);
        zoom.zoom_at(3.0, at, FRAME, size, scale);
        assert!(zoom.camera(FRAME, size, scale).pt(at).distance(before) < 1e-2);
        zoom.zoom_at(1e-9, at, FRAME, size, scale);
        assert_eq!(zoom.factor, 1.0);
    }

    #[test]
    fn the_picture_never_leaves_its_frame() {
        let (size, scale) = (DVec2::new(300.0, 225.0), 4.0 / 3.0);
        let mut zoom = Zoom::default();
        zoom.zoom_at(2.0, FRAME.center(), FRAME, size, scale);
        zoom.pan(Vec2::splat(1e9), FRAME, size, scale);
        let camera = zoom.camera(FRAME, size, scale);
        assert!(camera.origin.x <= FRAME.left() + 1e-3 && camera.origin.y <= FRAME.top() + 1e-3);
        zoom.pan(Vec2::splat(f32::NAN), FRAME, size, scale);
        assert!(zoom.middle.is_finite());
    }
}
