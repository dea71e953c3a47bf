//! A drawing and its panels.

use glam::{DAffine2, DMat2, DVec2};

use super::{Item, Rect};

/// Everything on one sheet of paper or one canvas. Panels are painted in order, the first at the bottom.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Width and height (pt).
    pub size_pt: DVec2,
    /// What it shows, for a file's title and for assistive technology.
    pub title: String,
    /// The panels, bottom first.
    pub panels: Vec<Panel>,
}

/// A part of the drawing with its own world and scale.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// Short name, for assistive technology and for finding the panel again.
    pub name: String,
    /// Where it stands on paper (pt, y down).
    pub frame: Rect,
    /// Paper (pt, y down) from world.
    pub pt_from_world: DAffine2,
    /// Whether items are cut off at the frame (an item may opt out).
    pub clip: bool,
    /// The items, bottom first.
    pub items: Vec<Item>,
}

impl Drawing {
    /// An empty drawing.
    pub fn new(title: impl Into<String>, size_pt: DVec2) -> Self {
        Self { size_pt, title: title.into(), panels: Vec::new() }
    }

    /// The topmost panel whose frame holds a point (pt), with its place in `panels`.
    pub fn panel_at(&self, pt: DVec2) -> Option<(usize, &Panel)> {
        self.panels.iter().enumerate().rev().find(|(_, p)| p.frame.contains(pt))
    }

    /// The first panel with a name.
    pub fn panel_named(&self, name: &str) -> Option<&Panel> {
        self.panels.iter().find(|p| p.name == name)
    }
}

impl Panel {
    /// A panel with a given mapping, clipped at its frame.
    pub fn new(name: impl Into<String>, frame: Rect, pt_from_world: DAffine2) -> Self {
        Self { name: name.into(), frame, pt_from_world, clip: true, items: Vec::new() }
    }

    /// A panel whose world has y upwards, at `scale` (pt per world unit), with a world point at the
    /// middle of the frame.
    pub fn centred(name: impl Into<String>, frame: Rect, world_middle: DVec2, scale: f64) -> Self {
        let matrix = DMat2::from_diagonal(DVec2::new(scale, -scale));
        let shift = frame.middle() - matrix * world_middle;
        Self::new(name, frame, DAffine2 { matrix2: matrix, translation: shift })
    }

    /// A panel whose world has y upwards, at the largest uniform scale at which the world rectangle
    /// fits the frame with a margin (pt) all round; 1 pt per unit if nothing fits.
    pub fn fitted(name: impl Into<String>, frame: Rect, world: Rect, margin_pt: f64) -> Self {
        let room = frame.grown(-margin_pt).size();
        let scale = (room / world.size()).min_element();
        let scale = if scale.is_finite() && scale > 0.0 { scale } else { 1.0 };
        Self::centred(name, frame, world.middle(), scale)
    }

    /// Puts an item on top of the others.
    pub fn add(&mut self, item: impl Into<Item>) -> &mut Item {
        let at = self.items.len();
        self.items.push(item.into());
        &mut self.items[at]
    }

    /// Where a world point stands on paper (pt).
    pub fn pt(&self, world: DVec2) -> DVec2 {
        self.pt_from_world.transform_point2(world)
    }

    /// The world point at a point on paper; `None` when the mapping cannot be turned round.
    pub fn world_from_pt(&self, pt: DVec2) -> Option<DVec2> {
        let det = self.pt_from_world.matrix2.determinant();
        if !(det.is_finite() && det.abs() > 1e-30) {
            return None;
        }
        let world = self.pt_from_world.inverse().transform_point2(pt);
        world.is_finite().then_some(world)
    }

    /// How many points one world unit takes: the geometric mean where the scale is not uniform.
    pub fn scale(&self) -> f64 {
        self.pt_from_world.matrix2.determinant().abs().sqrt()
    }

    /// The turn (rad, as the reader sees it) of a world direction, for a [`super::Mark`] or
    /// [`super::Label`] that follows it; 0 for no direction.
    pub fn turn_of(&self, world_direction: DVec2) -> f64 {
        let d = self.pt_from_world.transform_vector2(world_direction);
        let turn = (-d.y).atan2(d.x);
        if turn.is_finite() { turn } else { 0.0 }
    }
}
