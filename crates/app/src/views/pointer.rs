//! Hover, click and drag in a view.

use std::sync::Arc;

use egui::{Align2, CursorIcon, Key, Painter, PointerButton, Pos2, Rect, Response, Stroke, Vec2, vec2};
use glidewright_geometry::DVec3;
use glidewright_motion::BodyId;
use glidewright_sheet::views::{Pick, StripKind};
use glidewright_sheet::{DVec2, Panel, Theme, Tone};

use super::canvases::Drawn;
use super::grab::{Grab, Held};
use super::handles::Handle;
use super::moving::{Hold, Moving, Readout, movable};
use crate::commands::{Action, Command, Queue};
use crate::state::{Bench, Hint, State};
use crate::theme::{FontRole, Surface, colour};

/// How near to a line the pointer must be (screen points).
const REACH: f64 = 5.0;
/// How far the view in space turns when the pointer moves by a point (rad).
const TURN: f64 = 0.008;

/// A drawing as it lies on the screen, with what it shows.
pub struct Shown<'a> {
    /// The drawing.
    pub drawn: &'a Drawn,
    /// What it shows.
    pub bench: &'a Bench,
    /// What the window knows.
    pub state: &'a State,
    /// Whether it is the view in space.
    pub space: bool,
}

impl Shown<'_> {
    fn hit(&self, pt: DVec2) -> Option<(Pick, Option<Arc<str>>)> {
        let hit = self.drawn.page.pick(pt, REACH / f64::from(self.drawn.camera.scale).max(0.1))?;
        Some((Pick::of(hit.part)?, hit.name))
    }

    fn grab_at(&self, pick: Option<Pick>, pt: DVec2) -> Option<Grab> {
        Grab::at(&self.drawn.drawing, pick, pt, self.bench, self.state.travel)
    }

    fn handle_at(&self, pos: Pos2) -> Option<&Handle> {
        self.drawn.handles.iter().rev().find(|handle| handle.is_at(pos))
    }

    /// The path of what lies at a place on the screen.
    pub fn path_at(&self, pos: Pos2) -> Option<String> {
        let (pick, _) = self.hit(self.drawn.camera.pt(pos))?;
        self.body_path(pick)
    }

    fn body_path(&self, pick: Pick) -> Option<String> {
        let rider = |number: u8| self.bench.fixture.riders.get(usize::from(number));
        match pick {
            Pick::Body(id) => Some(self.bench.results.assembly.body(id)?.path.clone()),
            Pick::Load(number, load) | Pick::Reach(number, load) => {
                Some(rider(number)?.loads.get(usize::from(load))?.path.clone())
            }
            Pick::Grip(number) => Some(format!("{}/grip", rider(number)?.path)),
            Pick::Line => Some("line".to_owned()),
            _ => None,
        }
    }

    /// Answers the pointer; what is held on to afterwards.
    pub fn answer(&self, response: &Response, held: Option<Grab>, queue: &mut Queue) -> Option<Grab> {
        if response.dragged_by(PointerButton::Primary) {
            return self.drag(response, held, queue);
        }
        if matches!(held, Some(Grab::Built(_))) {
            // Escape ends any drag: what was moved is put back. Let go, it is one step.
            let gives_up = response.ctx.input(|input| input.key_pressed(Key::Escape));
            queue.push(if gives_up { Action::DropEdit } else { Action::EndEdit });
        }
        if response.clicked()
            && let Some(pos) = response.interact_pointer_pos()
        {
            self.click(pos, queue);
        }
        match response.hover_pos() {
            Some(pos) => self.hover(response, pos, queue),
            None => {
                let gone = response.ctx.input(|input| input.pointer.hover_pos()).is_none();
                if gone && self.state.hovered.is_some() {
                    queue.push(Action::Hover(None));
                }
            }
        }
        None
    }

    fn start(&self, start: Pos2) -> Option<Grab> {
        let pt = self.drawn.camera.pt(start);
        if let Some(moving) = self
            .handle_at(start)
            .and_then(|handle| handle.hold(self.state, self.bench, &self.drawn.drawing, pt))
        {
            return Some(Grab::Built(Box::new(Held { moving, readout: Readout::default(), at_pt: pt })));
        }
        let pick = self.hit(pt).map(|(pick, _)| pick);
        if let Some(reach) = pick.filter(|pick| matches!(pick, Pick::Reach(..))) {
            return self.slide(reach, pt);
        }
        match self.grab_at(pick, pt) {
            None if self.space => Some(Grab::Space),
            grab => grab,
        }
    }

    /// Takes hold of the reach that a strip runs over: its own axis is the way the load slides.
    fn slide(&self, pick: Pick, pt: DVec2) -> Option<Grab> {
        let path = self.body_path(pick)?;
        let reading = self.state.session.reading();
        let movable = movable(&reading.document, self.bench, &path, None)?;
        let along = movable.coordinates.first()?.direction;
        let is_strip = |panel: &&Panel| StripKind::ALL.iter().any(|kind| kind.title() == panel.name);
        let panel = self.drawn.drawing.panels.iter().filter(is_strip).find(|p| p.frame.contains(pt))?;
        let hold = Hold { panel, axes: (along, DVec3::ZERO), travel: self.state.travel, pt };
        let moving = Moving::start(&movable, &reading.document, &reading.values, self.bench, &hold)?;
        Some(Grab::Built(Box::new(Held { moving, readout: Readout::default(), at_pt: pt })))
    }

    fn drag(&self, response: &Response, held: Option<Grab>, queue: &mut Queue) -> Option<Grab> {
        let start = response.ctx.input(|input| input.pointer.press_origin());
        let mut grab = match (held, start) {
            (Some(grab), _) => grab,
            (None, Some(start)) if response.drag_started() => self.start(start)?,
            _ => return None,
        };
        response.ctx.set_cursor_icon(CursorIcon::Grabbing);
        let pt = response.interact_pointer_pos().map(|now| self.drawn.camera.pt(now));
        match &mut grab {
            Grab::Space => {
                let moved = response.drag_delta();
                if moved != Vec2::ZERO {
                    queue.push(Action::Turn(-f64::from(moved.x) * TURN, f64::from(moved.y) * TURN));
                }
            }
            Grab::Built(held) => {
                let gives_up =
                    response.ctx.input_mut(|input| input.consume_key(egui::Modifiers::NONE, Key::Escape));
                if gives_up {
                    queue.push(Action::DropEdit);
                    return Some(Grab::Nothing);
                }
                let keys = response.ctx.input(|input| input.modifiers);
                let unit = self.state.preferences.units();
                if let Some(pt) = pt
                    && let Some((edit, readout)) = held.moving.at(pt, keys.shift, keys.alt, unit)
                {
                    // A pointer that rests changes nothing.
                    if pt != held.at_pt {
                        queue.push(Action::Edit(edit));
                        queue.push(Action::Follow(Hint::Change));
                    }
                    held.readout = readout;
                    held.at_pt = pt;
                }
            }
            Grab::Nothing => {}
            Grab::Rider { .. } | Grab::Axis { .. } => {
                let travel = pt.and_then(|pt| grab.travel(&self.bench.fixture, &self.drawn.drawing, pt));
                if let Some(travel) = travel {
                    queue.push(Action::GoTo(travel));
                    queue.push(Action::Follow(Hint::Drag));
                }
            }
        }
        Some(grab)
    }

    fn click(&self, pos: Pos2, queue: &mut Queue) {
        if self.handle_at(pos).is_some() {
            return;
        }
        let pt = self.drawn.camera.pt(pos);
        let pick = self.hit(pt).map(|(pick, _)| pick);
        match pick {
            Some(Pick::Tightest | Pick::Gap) => queue.push(Action::Do(Command::GoTightest)),
            Some(pick) => match self.body_path(pick) {
                Some(path) => queue.push(Action::Select(path)),
                None => {
                    let travel = self
                        .grab_at(Some(pick), pt)
                        .and_then(|grab| grab.travel(&self.bench.fixture, &self.drawn.drawing, pt));
                    queue.extend(travel.map(Action::GoTo));
                }
            },
            None => queue.push(Action::Select(String::new())),
        }
    }

    fn hover(&self, response: &Response, pos: Pos2, queue: &mut Queue) {
        let pt = self.drawn.camera.pt(pos);
        let hit = self.hit(pt);
        let over: Option<BodyId> = match hit {
            Some((Pick::Body(id), _)) => Some(id),
            _ => None,
        };
        if over != self.state.hovered {
            queue.push(Action::Hover(over));
        }
        if let Some(handle) = self.handle_at(pos) {
            response.ctx.set_cursor_icon(CursorIcon::Move);
            let text = format!("Drag to move {}", handle.movable.name);
            response.clone().on_hover_text_at_pointer(text);
            return;
        }
        let pick = hit.as_ref().map(|(pick, _)| *pick);
        if matches!(pick, Some(Pick::Tightest | Pick::Gap)) {
            response.ctx.set_cursor_icon(CursorIcon::PointingHand);
        } else if self.grab_at(pick, pt).is_some()
            || matches!(pick, Some(Pick::Reach(..)))
            || (self.space && pick.is_none())
        {
            response.ctx.set_cursor_icon(CursorIcon::Grab);
        } else if pick.is_some() {
            response.ctx.set_cursor_icon(CursorIcon::PointingHand);
        }
        if let Some((Pick::Body(_) | Pick::Load(..) | Pick::Grip(_) | Pick::Line, Some(name))) = hit {
            response.clone().on_hover_text_at_pointer(name.as_ref());
        }
    }
}

/// Handles, and while something is moved what it meets and what its sizes are.
pub fn overlay_ui(
    painter: &Painter,
    shown: &Shown<'_>,
    response: &Response,
    grab: Option<&Grab>,
    theme: &Theme,
) {
    let held = match grab {
        Some(Grab::Built(held)) => Some(held),
        _ => None,
    };
    let over = response.hover_pos().filter(|_| held.is_none());
    for handle in &shown.drawn.handles {
        handle.paint(painter, held.is_some() || over.is_some_and(|pos| handle.is_at(pos)), theme);
    }
    let Some(held) = held else { return };
    guides(painter, shown, held, theme);
    if let Some(pos) = response.interact_pointer_pos() {
        tag(painter, pos, &held.readout.lines, &met_words(held), theme);
    }
}

fn met_words(held: &Held) -> Vec<String> {
    held.readout.met.iter().map(|(_, met)| met.what.clone()).collect()
}

/// A thin line through each place met, right across the panel.
fn guides(painter: &Painter, shown: &Shown<'_>, held: &Held, theme: &Theme) {
    let Some(handle) = shown.drawn.handles.first() else { return };
    let Some(panel) = shown.drawn.drawing.panels.get(handle.panel) else { return };
    let frame = shown.drawn.camera.rect(&panel.frame);
    let stroke = Stroke::new(1.0, colour(theme.colour(Tone::Highlight)));
    for (way, met) in &held.readout.met {
        let flat = DVec2::new(way.dot(handle.axes.0), way.dot(handle.axes.1));
        // Only ways that lie in the paper have a line in it.
        if (flat.length() - 1.0).abs() > 1e-6 {
            continue;
        }
        let at = shown.drawn.camera.pos(panel.pt(flat * met.at));
        let on_screen = panel.pt_from_world.transform_vector2(flat);
        if on_screen.x.abs() > on_screen.y.abs() {
            painter.vline(at.x, frame.y_range(), stroke);
        } else {
            painter.hline(frame.x_range(), at.y, stroke);
        }
    }
}

/// A tag beside the pointer.
fn tag(painter: &Painter, pos: Pos2, lines: &[String], notes: &[String], theme: &Theme) {
    let ink = colour(theme.colour(Tone::Ink));
    let faint = colour(theme.colour(Tone::FaintInk));
    let strong = lines.iter().map(|line| (line, FontRole::Strong, ink));
    let small = notes.iter().map(|note| (note, FontRole::Small, faint));
    let galleys: Vec<_> = strong
        .chain(small)
        .map(|(text, font, color)| painter.layout_no_wrap(text.clone(), font.id(), color))
        .collect();
    if galleys.is_empty() {
        return;
    }
    let width = galleys.iter().map(|galley| galley.size().x).fold(0.0, f32::max);
    let height: f32 = galleys.iter().map(|galley| galley.size().y).sum();
    let size = vec2(width + 16.0, height + 10.0);
    let window = painter.clip_rect();
    let beside = pos + vec2(18.0, 16.0);
    // Beside the pointer, but inside the view.
    let most = window.max - size;
    let at = Pos2::new(beside.x.min(most.x), beside.y.min(most.y)).max(window.min);
    let rect = Rect::from_min_size(at, size);
    painter.rect_filled(rect, 4.0, Surface::Bar.color32(theme));
    let edge = Stroke::new(1.0, Surface::FieldEdge.color32(theme));
    painter.rect_stroke(rect, 4.0, edge, egui::StrokeKind::Inside);
    let mut y = rect.top() + 5.0;
    for galley in galleys {
        let step = galley.size().y;
        painter.galley(
            Align2::LEFT_TOP.anchor_size(Pos2::new(rect.left() + 8.0, y), galley.size()).min,
            galley,
            ink,
        );
        y += step;
    }
}
