//! Lumps as items of a panel, the farthest first.

use glam::{DVec2, DVec3};

use super::lump::{Etched, Face, Form, Lump, Round, Turned};
use crate::drawing::{Item, Panel, Path, Shape};
use crate::look::{Fill, Pen, Tone};
use crate::views::figure::{Sketch, hull_points, lit_first};
use crate::views::projection::Projector;

/// Where the light comes from: to the right, up, towards the reader.
const LIGHT: DVec3 = DVec3::new(-0.48, 0.66, 0.58);
/// Cosine of the angle to the light at which a face has its tone's own colour.
const PLAIN: f64 = 0.58;
/// How much faces nearer the light gain, and faces farther from it lose.
const CONTRAST: (f64, f64) = (0.95, 0.46);
/// Width of the line that closes the seam between two faces of one colour (pt).
const SEAM: f64 = 0.35;
/// Cosine below which a face is seen edge-on.
const EDGE_ON: f64 = 1e-6;

/// Paints lumps in the order given.
pub(super) fn paint(panel: &mut Panel, view: &Projector, lumps: &[Lump], order: &[usize]) {
    let brush = Brush::new(view, panel.scale());
    for lump in order.iter().filter_map(|number| lumps.get(*number)) {
        match &lump.form {
            Form::Turned(turned) => brush.turned(panel, lump, turned),
            Form::Faced(faces) => brush.faced(panel, lump, faces),
        }
    }
}

struct Brush<'a> {
    view: &'a Projector,
    scale: f64,
    wide: Pen,
    thin: Pen,
}

impl<'a> Brush<'a> {
    fn new(view: &'a Projector, scale: f64) -> Self {
        let sketch = Sketch::new(scale);
        let thin = Pen::new(Tone::Outline, (0.55 * sketch.wide()).max(0.3));
        Self { view, scale, wide: sketch.outline(), thin }
    }

    /// How far a face is lightened or darkened.
    fn shade(&self, normal: DVec3) -> f64 {
        let way =
            DVec3::new(normal.dot(self.view.right), normal.dot(self.view.up), normal.dot(self.view.toward));
        let lit = way.dot(LIGHT) / LIGHT.length() - PLAIN;
        lit * if lit > 0.0 { CONTRAST.0 } else { CONTRAST.1 }
    }

    fn flat(&self, points: impl IntoIterator<Item = DVec3>) -> Vec<DVec2> {
        points.into_iter().map(|p| self.view.flat(p)).collect()
    }

    /// Whether something so large (mm) shows.
    fn shows(&self, size: f64, pt: f64) -> bool {
        size * self.scale >= pt
    }

    /// What takes hits for the lump, and its outline.
    fn outline(&self, panel: &mut Panel, lump: &Lump, pen: Option<Pen>) {
        let path = Path::polyline(&lump.hull, true);
        let mut item =
            Item::from(Shape { fill: Some(Fill::faded(lump.tone, 0.0)), stroke: pen, ..Shape::new(path) });
        (item.part, item.name) = lump.whose.clone();
        panel.add(item);
    }

    fn faced(&self, panel: &mut Panel, lump: &Lump, faces: &[Face]) {
        let faces_reader = |normal: DVec3| normal.dot(self.view.toward) > EDGE_ON;
        for face in faces {
            let front = faces_reader(face.normal);
            if front {
                let mut path = Path::new();
                for corners in &face.loops {
                    path.append(&Path::polyline(&self.flat(corners.iter().copied()), true));
                }
                let shade = self.shade(face.normal);
                let seam = Pen::new(lump.tone, SEAM).shaded(shade);
                panel.add(Shape::new(path).filled(Fill::flat(lump.tone).shaded(shade)).stroked(seam));
            }
            let (mut wide, mut thin) = (Path::new(), Path::new());
            for line in &face.lines {
                let beyond = faces_reader(line.beyond);
                let path = if front != beyond {
                    &mut wide
                } else if front && line.sharp {
                    &mut thin
                } else {
                    continue;
                };
                path.append(&Path::line(self.view.flat(line.from), self.view.flat(line.to)));
            }
            if front {
                for corners in &face.etched {
                    thin.append(&Path::polyline(&self.flat(corners.iter().copied()), true));
                }
            }
            for (path, pen) in [(thin, self.thin), (wide, self.wide)] {
                if !path.is_empty() {
                    panel.add(Shape::new(path).stroked(pen));
                }
            }
        }
        self.outline(panel, lump, None);
    }

    fn turned(&self, panel: &mut Panel, lump: &Lump, turned: &Turned) {
        let lean = turned.axis.dot(self.view.toward);
        let along = self.view.flat(turned.axis);
        let rims: Vec<(DVec2, Vec<DVec2>)> =
            turned.rings.iter().map(|ring| (*ring, self.flat(turned.rim(ring.x, ring.y)))).collect();
        let bands: Vec<&[(DVec2, Vec<DVec2>)]> = rims.windows(2).collect();
        // Farthest first.
        let ordered: Box<dyn Iterator<Item = &&[(DVec2, Vec<DVec2>)]>> =
            if lean >= 0.0 { Box::new(bands.iter()) } else { Box::new(bands.iter().rev()) };
        if let Some(across) = along.try_normalize().map(DVec2::perp).filter(|_| lean.abs() < 1.0 - 1e-9) {
            for band in ordered {
                let widest = band[0].0.y.max(band[1].0.y);
                let foot = self.view.flat(turned.base);
                let (lit, dark) = lit_first(foot - across * widest, foot + across * widest);
                let hull = hull_points(band[0].1.iter().chain(&band[1].1).copied().collect());
                let shape = Shape::new(Path::polyline(&hull, true)).filled(Fill::round(lump.tone, lit, dark));
                let edged = turned.edged && self.shows((band[1].0.x - band[0].0.x).abs(), 1.2);
                panel.add(if edged { shape.stroked(self.thin) } else { shape });
            }
        }
        let near = if lean > EDGE_ON {
            rims.last().map(|rim| (rim, turned.axis, &turned.caps[1]))
        } else if lean < -EDGE_ON {
            rims.first().map(|rim| (rim, -turned.axis, &turned.caps[0]))
        } else {
            None
        };
        if let Some(((ring, rim), normal, etched)) = near {
            self.cap(panel, lump, turned, *ring, rim, normal, etched);
        }
        let small = !self.shows(lump.frame.size().max_element(), 4.0);
        self.outline(panel, lump, Some(if small { self.thin } else { self.wide }));
    }

    #[allow(clippy::too_many_arguments, reason = "one face of one piece")]
    fn cap(
        &self,
        panel: &mut Panel,
        lump: &Lump,
        turned: &Turned,
        ring: DVec2,
        rim: &[DVec2],
        normal: DVec3,
        etched: &[Etched],
    ) {
        let shade = self.shade(normal);
        let face = Shape::new(Path::polyline(rim, true)).filled(Fill::flat(lump.tone).shaded(shade));
        panel.add(face.stroked(self.thin));
        for mark in etched {
            match *mark {
                Etched::Disc(radius, tone) if self.shows(radius, 0.8) => {
                    let path = Path::polyline(&self.flat(turned.rim(ring.x, radius)), true);
                    panel.add(Shape::new(path).filled(Fill::flat(tone).shaded(shade)).stroked(self.thin));
                }
                Etched::Ring(radius) if self.shows(radius, 2.0) => {
                    let path = Path::polyline(&self.flat(turned.rim(ring.x, radius)), true);
                    panel.add(Shape::new(path).stroked(self.thin));
                }
                Etched::Socket(radius) if self.shows(radius, 1.2) => {
                    let middle = turned.base + turned.axis * ring.x;
                    let corners = Round::about(turned.axis).ways(6).map(|way| middle + way * radius);
                    let path = Path::polyline(&self.flat(corners), true);
                    let sunk = Fill::flat(lump.tone).shaded(-0.45);
                    panel.add(Shape::new(path).filled(sunk).stroked(self.thin));
                }
                _ => {}
            }
        }
    }
}
