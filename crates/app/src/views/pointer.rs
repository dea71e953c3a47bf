//! Hover, click and drag in a view.

use std::sync::Arc;

use egui::{CursorIcon, PointerButton, Pos2, Response};
use glidewright_motion::BodyId;
use glidewright_sheet::views::Pick;
use glidewright_sheet::{DVec2, Drawing, Page};

use super::canvas::Camera;
use super::grab::Grab;
use crate::commands::{Action, Command, Queue};
use crate::state::{Bench, State};

/// How near to a line the pointer must be (screen points).
const REACH: f64 = 5.0;

/// A drawing as it lies on the screen, with what it shows.
pub struct Shown<'a> {
    /// The drawing.
    pub drawing: &'a Drawing,
    /// Its inks, to be picked from.
    pub page: &'a Page,
    /// Where it lies.
    pub camera: &'a Camera,
    /// What it shows.
    pub bench: &'a Bench,
    /// What the window knows.
    pub state: &'a State,
}

impl Shown<'_> {
    fn hit(&self, pt: DVec2) -> Option<(Pick, Option<Arc<str>>)> {
        let hit = self.page.pick(pt, REACH / f64::from(self.camera.scale).max(0.1))?;
        Some((Pick::of(hit.part)?, hit.name))
    }

    fn grab_at(&self, pick: Option<Pick>, pt: DVec2) -> Option<Grab> {
        Grab::at(self.drawing, pick, pt, self.bench, self.state.travel)
    }

    fn body_path(&self, pick: Pick) -> Option<String> {
        let rider = |number: u8| self.bench.fixture.riders.get(usize::from(number));
        match pick {
            Pick::Body(id) => Some(self.bench.results.assembly.bodies.get(id.0 as usize)?.path.clone()),
            Pick::Load(number, load) => Some(rider(number)?.loads.get(usize::from(load))?.path.clone()),
            Pick::Grip(number) => Some(format!("{}/grip", rider(number)?.path)),
            Pick::Line => Some("line".to_owned()),
            Pick::Cursor | Pick::Gap | Pick::Strip(_) | Pick::Curve(..) | Pick::Tightest => None,
        }
    }

    /// Answers the pointer; what is held on to afterwards.
    pub fn answer(&self, response: &Response, held: Option<Grab>, queue: &mut Queue) -> Option<Grab> {
        if response.dragged_by(PointerButton::Primary) {
            return self.drag(response, held, queue);
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

    fn drag(&self, response: &Response, held: Option<Grab>, queue: &mut Queue) -> Option<Grab> {
        let start = response.ctx.input(|input| input.pointer.press_origin());
        let grab = match (held, start) {
            (Some(grab), _) => grab,
            (None, Some(start)) if response.drag_started() => {
                let pt = self.camera.pt(start);
                self.grab_at(self.hit(pt).map(|(pick, _)| pick), pt)?
            }
            _ => return None,
        };
        response.ctx.set_cursor_icon(CursorIcon::Grabbing);
        if let Some(now) = response.interact_pointer_pos() {
            let travel = grab.travel(&self.bench.fixture, self.drawing, self.camera.pt(now));
            queue.extend(travel.map(Action::GoTo));
        }
        Some(grab)
    }

    fn click(&self, pos: Pos2, queue: &mut Queue) {
        let pt = self.camera.pt(pos);
        let pick = self.hit(pt).map(|(pick, _)| pick);
        match pick {
            Some(Pick::Tightest | Pick::Gap) => queue.push(Action::Do(Command::GoTightest)),
            Some(pick) => match self.body_path(pick) {
                Some(path) => queue.push(Action::Select(path)),
                None => {
                    let travel = self
                        .grab_at(Some(pick), pt)
                        .and_then(|grab| grab.travel(&self.bench.fixture, self.drawing, pt));
                    queue.extend(travel.map(Action::GoTo));
                }
            },
            None => queue.push(Action::Select(String::new())),
        }
    }

    fn hover(&self, response: &Response, pos: Pos2, queue: &mut Queue) {
        let pt = self.camera.pt(pos);
        let hit = self.hit(pt);
        let over: Option<BodyId> = match hit {
            Some((Pick::Body(id), _)) => Some(id),
            _ => None,
        };
        if over != self.state.hovered {
            queue.push(Action::Hover(over));
        }
        let pick = hit.as_ref().map(|(pick, _)| *pick);
        if matches!(pick, Some(Pick::Tightest | Pick::Gap)) {
            response.ctx.set_cursor_icon(CursorIcon::PointingHand);
        } else if self.grab_at(pick, pt).is_some() {
            response.ctx.set_cursor_icon(CursorIcon::Grab);
        } else if pick.is_some() {
            response.ctx.set_cursor_icon(CursorIcon::PointingHand);
        }
        if let Some((Pick::Body(_) | Pick::Load(..) | Pick::Grip(_) | Pick::Line, Some(name))) = hit {
            response.clone().on_hover_text_at_pointer(name.as_ref());
        }
    }
}
