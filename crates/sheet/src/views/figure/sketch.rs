//! Items collected with their depth, so that what is nearer the reader covers what is behind.

use std::sync::Arc;

use glam::DAffine2;
use glidewright_motion::{Body, BodyId};

use crate::drawing::{Item, ItemKind, Panel, Part, Path, Rect, Shape};
use crate::look::{Dash, Fill, Pen, Tone};
use crate::views::Pick;

/// Items in the making.
pub(in crate::views) struct Sketch {
    /// Points per millimetre.
    pub(in crate::views) scale: f64,
    /// What stands fixed is cut off outside this (world), if it is given.
    pub(in crate::views) window: Option<Rect>,
    layers: Vec<(f64, usize, usize)>,
    items: Vec<Item>,
    depth: f64,
    part: Option<Part>,
    name: Option<Arc<str>>,
    /// Where what follows stands off its nominal place (world), if it does.
    off: Option<DAffine2>,
}

impl Sketch {
    pub(in crate::views) fn new(scale: f64) -> Self {
        let scale = if scale.is_finite() && scale > 0.0 { scale } else { 1.0 };
        Self {
            scale,
            window: None,
            layers: Vec::new(),
            items: Vec::new(),
            depth: 0.0,
            part: None,
            name: None,
            off: None,
        }
    }

    /// What follows stands off its nominal place by this (world).
    pub(in crate::views) const fn stand_off(&mut self, by: Option<DAffine2>) {
        self.off = by;
    }

    /// What follows is this body, so near the reader.
    pub(in crate::views) fn begin(&mut self, id: BodyId, body: &Body, depth: f64) {
        self.begin_part(Some(Pick::Body(id).part()), Some(body.label.as_str().into()), depth);
    }

    /// What follows is this part, so near the reader.
    pub(in crate::views) fn begin_part(&mut self, part: Option<Part>, name: Option<Arc<str>>, depth: f64) {
        self.part = part;
        self.name = name;
        self.depth = if depth.is_finite() { depth } else { 0.0 };
        let at = self.items.len();
        self.layers.push((self.depth, at, at));
    }

    /// Width of visible outlines (pt): thinner at small scales, where things would drown in their outlines.
    pub(in crate::views) fn wide(&self) -> f64 {
        (0.4 + 0.2 * self.scale).clamp(0.5, Pen::WIDE_PT)
    }

    /// Pen of visible outlines.
    pub(in crate::views) fn outline(&self) -> Pen {
        Pen::new(Tone::Outline, self.wide())
    }

    /// Pen of edges inside an outline.
    pub(in crate::views) fn edge(&self) -> Pen {
        Pen::new(Tone::Outline, (0.6 * self.wide()).max(0.35))
    }

    /// Pen of what is hidden.
    pub(in crate::views) fn hidden(&self) -> Pen {
        Pen::new(Tone::FaintInk, 0.5 * Pen::WIDE_PT).dashed(Dash::Dashed)
    }

    /// Distance of hatch lines (pt).
    pub(in crate::views) fn hatch_spacing(&self) -> f64 {
        (0.7 * self.scale).clamp(2.6, 5.0)
    }

    /// Whether something of this size (mm) takes at least so many points.
    pub(in crate::views) fn shows(&self, size: f64, pt: f64) -> bool {
        size * self.scale >= pt
    }

    fn push(&mut self, mut item: Item) {
        if let (Some(by), ItemKind::Shape(shape)) = (&self.off, &mut item.kind) {
            shape.path = shape.path.transformed(by);
        }
        self.items.push(item);
        if let Some(layer) = self.layers.last_mut() {
            layer.2 = self.items.len();
        }
    }

    /// A filled area with the usual outline.
    pub(in crate::views) fn area(&mut self, path: Path, fill: impl Into<Fill>) {
        let pen = self.outline();
        self.area_with(path, fill, pen);
    }

    /// A filled area with an outline of its own.
    pub(in crate::views) fn area_with(&mut self, path: Path, fill: impl Into<Fill>, pen: Pen) {
        self.shape(Shape::new(path).filled(fill).stroked(pen));
    }

    /// Any shape.
    pub(in crate::views) fn shape(&mut self, shape: Shape) {
        let mut item = Item::from(shape);
        item.part = self.part;
        item.name.clone_from(&self.name);
        self.push(item);
    }

    /// A line that belongs to the part but does not take hits from its area.
    pub(in crate::views) fn detail(&mut self, path: Path, pen: Pen) {
        if !path.is_empty() {
            self.push(Item::from(Shape::new(path).stroked(pen)));
        }
    }

    /// The outlines of the areas drawn so far.
    pub(in crate::views) fn outlines(self) -> impl Iterator<Item = Path> {
        self.items.into_iter().filter_map(|item| match item.kind {
            ItemKind::Shape(shape) if shape.fill.is_some() => Some(shape.path),
            _ => None,
        })
    }

    /// Puts everything on a panel, farthest first.
    pub(in crate::views) fn into_panel(mut self, panel: &mut Panel) {
        self.layers.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut items: Vec<Option<Item>> = self.items.into_iter().map(Some).collect();
        panel.items.reserve(items.len());
        for (_, from, to) in self.layers {
            panel.items.extend(items.get_mut(from..to).into_iter().flatten().filter_map(Option::take));
        }
    }
}
