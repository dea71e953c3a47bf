//! Handles on what is selected and can be moved in a view.

use egui::{Color32, Painter, Pos2, Shape, Stroke, Vec2, vec2};
use glidewright_geometry::DVec3;
use glidewright_motion::BodyId;
use glidewright_sheet::views::{ViewState, paper_axes};
use glidewright_sheet::{DVec2, Drawing, Theme, Tone};

use super::canvas::Camera;
use super::moving::{Hold, Movable, Moving, movable};
use crate::state::{Bench, State};
use crate::theme::colour;

/// Radius of a handle (screen points).
const RADIUS: f32 = 10.0;

/// A handle.
pub struct Handle {
    /// Where it is, on screen.
    pub pos: Pos2,
    /// What it moves.
    pub movable: Movable,
    /// Number of the panel it is in.
    pub panel: usize,
    /// The ways of the rail frame that run to the right and up there.
    pub axes: (DVec3, DVec3),
    /// The ways it can be moved, on screen (unit vectors).
    ways: Vec<Vec2>,
}

impl Handle {
    /// The handles of what is selected, in a drawing as the camera shows it.
    pub fn all(
        state: &State,
        bench: &Bench,
        drawing: &Drawing,
        view: &ViewState,
        camera: &Camera,
    ) -> Vec<Self> {
        if state.selected.is_empty() || state.session.reading().is_old {
            return Vec::new();
        }
        let document = &state.session.reading().document;
        let bodies = bench.results.assembly.bodies.iter().enumerate();
        let of_wheels = bodies.filter(|(_, body)| body.path == state.selected && body.stack.is_some());
        // Where many bodies share the path, each wheel has a handle of its own.
        let mut found: Vec<Movable> = of_wheels
            .filter_map(|(number, _)| {
                let id = BodyId(u32::try_from(number).ok()?);
                movable(document, bench, &state.selected, Some(id))
            })
            .collect();
        if found.is_empty() {
            found.extend(movable(document, bench, &state.selected, None));
        }
        found.dedup();
        let mut handles: Vec<Self> = Vec::new();
        for (number, panel) in drawing.panels.iter().enumerate() {
            let Some(axes) = paper_axes(panel, &bench.fixture, view) else { continue };
            for movable in &found {
                let home = movable.home(&bench.fixture, view.travel);
                let point = movable.middle + DVec3::X * home;
                let flat = |p: DVec3| DVec2::new(p.dot(axes.0), p.dot(axes.1));
                let pt = panel.pt(flat(point));
                let inside = pt.is_finite() && panel.frame.contains(pt);
                let ways: Vec<Vec2> = movable
                    .ways()
                    .filter_map(|way| {
                        let on_paper = panel.pt_from_world.transform_vector2(flat(way.direction));
                        let long = flat(way.direction).length() > 0.2;
                        long.then(|| vec2(on_paper.x as f32, on_paper.y as f32).normalized())
                    })
                    .collect();
                let pos = camera.pos(pt);
                let crowded = handles.iter().any(|known| known.pos.distance(pos) < RADIUS);
                if inside && !ways.is_empty() && !crowded {
                    handles.push(Self { pos, movable: movable.clone(), panel: number, axes, ways });
                }
            }
        }
        handles
    }

    /// Whether it is under the pointer.
    pub fn is_at(&self, pos: Pos2) -> bool {
        self.pos.distance(pos) <= RADIUS + 2.0
    }

    /// Takes hold of it.
    pub fn hold(&self, state: &State, bench: &Bench, drawing: &Drawing, pt: DVec2) -> Option<Moving> {
        let panel = drawing.panels.get(self.panel)?;
        let reading = state.session.reading();
        let hold = Hold { panel, axes: self.axes, travel: state.travel, pt };
        Moving::start(&self.movable, &reading.document, &reading.values, bench, &hold)
    }

    /// Paints it.
    pub fn paint(&self, painter: &Painter, lit: bool, theme: &Theme) {
        let line = colour(theme.colour(if lit { Tone::Highlight } else { Tone::Selection }));
        let paper: Color32 = colour(theme.colour(Tone::Paper));
        painter.circle(self.pos, RADIUS, paper, Stroke::new(1.5, line));
        for way in &self.ways {
            for sign in [-1.0, 1.0] {
                let along = *way * sign;
                let tip = self.pos + along * (RADIUS - 2.0);
                let foot = self.pos + along * (RADIUS - 6.0);
                let across = along.rot90() * 3.0;
                painter.line_segment([self.pos, foot], Stroke::new(1.5, line));
                painter.add(Shape::convex_polygon(
                    vec![tip, foot + across, foot - across],
                    line,
                    Stroke::NONE,
                ));
            }
        }
    }
}
