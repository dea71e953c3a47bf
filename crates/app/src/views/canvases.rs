//! The canvases: one for each view, painted anew only when what it depends on has changed.

use std::collections::HashMap;

use egui::{
    Align2, EventFilter, Frame, Id, Margin, Panel as Dock, Pos2, Rect, Response, Sense, Stroke, StrokeKind,
    Ui,
};
use glidewright_motion::BodyId;
use glidewright_sheet::views::{
    Compared, Pick, StripAxis, StripKind, VIEWS, View, ViewState, travel_from_pt, travel_to_pt, view_named,
};
use glidewright_sheet::{DVec2, Drawing, Page, Part, Tone};

use super::canvas::{Camera, Shapes, Zoom};
use super::grab::Grab;
use super::handles::Handle;
use super::look::{Beside, Look, SHEET, ViewRequest};
use super::pointer::{Shown, overlay_ui};
use super::zooming::{Ask, enlarged};
use super::{NOTCH, heads};
use crate::commands::{Action, Queue};
use crate::panels::{Shared, meant_part, part_menu_ui};
use crate::state::State;
use crate::theme::{FontRole, Surface, colour};
use crate::widgets::Region;

/// The view in the middle to begin with; its rail and strips share the travel axis.
pub const CENTRE: &str = "bench";
/// The view in space, which is turned by dragging.
pub const SPACE: &str = "space";

/// Screen points per point of a drawing at ordinary size: 96 to 72, as paper is shown everywhere.
const SCALE: f32 = 4.0 / 3.0;
/// Drawings are laid out for at least this size; smaller frames show them smaller (pt).
const LEAST_PT: DVec2 = DVec2::new(520.0, 380.0);
/// The same for the picture of a finding.
const LEAST_CLOSE_UP_PT: DVec2 = DVec2::new(300.0, 220.0);
/// How much of a canvas' growth beyond that type takes part in.
const GROWS: f32 = 0.25;
/// No smaller than this, lest type become too small to read (screen points per point).
const LEAST_SCALE: f32 = 0.95;

/// What a drawing depends on. As long as it is the same the shapes are painted again as they are.
#[derive(Clone, Debug, PartialEq)]
struct Key {
    shown: u64,
    view: ViewState,
    selected: String,
    dark: bool,
    frame: Rect,
    zoom: Zoom,
    pixels: u32,
}

/// A drawing as it lies on screen.
pub(super) struct Drawn {
    key: Key,
    pub(super) drawing: Drawing,
    pub(super) page: Page,
    pub(super) camera: Camera,
    shapes: Shapes,
    pub(super) handles: Vec<Handle>,
}

/// What one view keeps.
#[derive(Default)]
struct Canvas {
    zoom: Zoom,
    drawn: Option<Drawn>,
    grab: Option<Grab>,
}

/// All canvases.
#[derive(Default)]
pub struct Canvases {
    by_view: HashMap<&'static str, Canvas>,
    has_focus: bool,
    others_have_focus: bool,
    text_had_focus: bool,
    /// Frame and size (pt) of the middle view when it was last painted, and its scale.
    centre: Option<(Rect, DVec2, f32)>,
    /// How the views look at the fixture.
    look: Look,
}

/// The view of a name; the first if there is none.
fn view(name: &str) -> &'static View {
    view_named(name).unwrap_or(&VIEWS[0])
}

/// Views to look at; the composed page is for paper.
pub fn on_screen() -> impl Iterator<Item = &'static View> {
    VIEWS.iter().filter(|view| view.name != SHEET)
}

impl Canvases {
    /// Whether keys without Ctrl belong to the drawing: it has the keyboard, or nothing has.
    pub fn have_keys(&self, ctx: &egui::Context) -> bool {
        !egui::Popup::is_any_open(ctx) && !self.others_have_focus
    }

    /// Whether a field for text had the keyboard at the end of the last frame.
    pub const fn text_had_focus(&self) -> bool {
        self.text_had_focus
    }

    /// Notes at a frame's end who has the keyboard: a key that makes a field give it up, such as Escape, still
    /// belongs to that field.
    pub fn note_focus(&mut self, ctx: &egui::Context) {
        self.text_had_focus = ctx.text_edit_focused();
        self.others_have_focus = !self.has_focus && ctx.memory(|memory| memory.focused().is_some());
    }

    /// Where a travel (mm) lies on a view's axis, on screen.
    pub fn place_of_travel(&self, name: &str, travel: f64) -> Option<Pos2> {
        let drawn = self.by_view.get(name)?.drawn.as_ref()?;
        Some(drawn.camera.pos(travel_to_pt(&drawn.drawing, travel)?))
    }

    /// Where the handles of what is selected lie in a view, on screen.
    pub fn handles(&self, name: &str) -> Vec<Pos2> {
        let drawn = self.by_view.get(name).and_then(|canvas| canvas.drawn.as_ref());
        drawn.map_or_else(Vec::new, |drawn| drawn.handles.iter().map(|handle| handle.pos).collect())
    }

    /// Whether something is held and moved.
    pub fn is_moving(&self) -> bool {
        self.by_view.values().any(|canvas| matches!(canvas.grab, Some(Grab::Built(_))))
    }

    /// Turns the view in space (rad).
    pub fn turn(&mut self, right: f64, up: f64) {
        self.look.turn_by(right, up);
    }

    /// Riders as built, or as they stand.
    pub const fn toggle_tilt(&mut self) {
        self.look.tilted = !self.look.tilted;
    }

    /// Whether the strips run over reach.
    pub fn shows_reach(&self) -> bool {
        self.look.axis == StripAxis::Reach
    }

    /// What is pictured of each trial in a comparison.
    pub const fn compare_by(&mut self, compared: Compared) {
        self.look.compared = compared;
    }

    /// Strips over travel or over reach.
    pub const fn toggle_axis(&mut self) {
        self.look.axis = match self.look.axis {
            StripAxis::Travel => StripAxis::Reach,
            StripAxis::Reach => StripAxis::Travel,
        };
    }

    /// Shows all of the middle view again.
    pub fn show_all(&mut self, state: &State) {
        if state.centre == CENTRE {
            self.look.window = None;
        }
        if let Some(canvas) = self.by_view.get_mut(state.centre) {
            canvas.zoom = Zoom::default();
        }
    }

    /// Enlarges the middle view by some notches about its middle, or about the cursor.
    pub fn enlarge(&mut self, state: &State, notches: i32) {
        let by = NOTCH.powi(notches);
        let Some(bench) = state.session.bench() else { return };
        if state.centre == CENTRE {
            let stroke = &bench.fixture.stroke;
            self.look.window = enlarged(self.look.window, stroke, f64::from(by), state.travel);
        } else if let (Some(canvas), Some((frame, size, scale))) =
            (self.by_view.get_mut(state.centre), self.centre)
        {
            canvas.zoom.zoom_at(by, frame.center(), frame, size, scale);
        }
    }

    /// A request for a picture of what is in the middle, as it is seen.
    pub fn request(&self, state: &State) -> ViewRequest {
        let seen = view(state.centre).name;
        ViewRequest {
            view: seen,
            seen,
            note: String::new(),
            beside: Beside::All,
            paper: None,
            portrait: false,
            look: self.look.clone(),
            plot: None,
        }
    }

    /// The view in the middle, the choice of others above it, play and travel below it.
    pub fn centre_ui(&mut self, ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
        let chosen = view(shared.state.centre);
        self.has_focus = false;
        let bar = Frame::new().fill(Surface::Panel.color32(shared.theme)).inner_margin(Margin {
            left: 8,
            right: 8,
            top: 3,
            bottom: 3,
        });
        Dock::top("views").frame(bar).show(ui, |ui| heads::choice_ui(ui, chosen, &self.look, shared, queue));
        Dock::bottom("stroke").frame(bar).show(ui, |ui| heads::stroke_ui(ui, shared, queue));
        let body = ui.available_rect_before_wrap();
        ui.take_available_space();
        let body = heads::hint_ui(ui, body, shared, queue);
        Region::Drawing.note(ui.ctx(), body);
        let size = self.view_ui(ui, body, chosen, LEAST_PT, shared, queue);
        self.centre = size.map(|(size, scale)| (body, size, scale)).or(self.centre);
    }

    /// A view beside the one in the middle, with its name over it; where it is in the middle, that is said instead.
    pub fn beside_ui(
        &mut self,
        ui: &mut Ui,
        rect: Rect,
        name: &'static str,
        shared: &Shared<'_>,
        queue: &mut Queue,
    ) {
        let of = view(name);
        let (head, body) = rect.split_top_bottom_at_y(rect.top() + 26.0);
        heads::head_ui(ui, head, of, shared, queue);
        if of.name == view(shared.state.centre).name {
            ui.painter().rect_filled(body, 0.0, colour(shared.theme.colour(Tone::Paper)));
            let color = colour(shared.theme.colour(Tone::FaintInk));
            let text = "It is shown in the middle.";
            ui.painter().text(body.center(), Align2::CENTER_CENTER, text, FontRole::Body.id(), color);
        } else {
            self.view_ui(ui, body, of, LEAST_CLOSE_UP_PT, shared, queue);
        }
    }

    /// Paints a view and answers the pointer; its size in points of the drawing, and the scale.
    fn view_ui(
        &mut self,
        ui: &mut Ui,
        rect: Rect,
        of: &'static View,
        least_pt: DVec2,
        shared: &Shared<'_>,
        queue: &mut Queue,
    ) -> Option<(DVec2, f32)> {
        let id = ui.make_persistent_id(("view", of.name));
        let response = ui.interact(rect, id, Sense::click_and_drag());
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, of.title));
        if of.name == shared.state.centre {
            Region::Drawing.anchor(&response);
        }
        keep_arrow_keys(ui, id, &response);
        self.has_focus |= response.has_focus();
        ui.painter().rect_filled(rect, 0.0, colour(shared.theme.colour(Tone::Paper)));
        let Some(bench) = shared.state.session.bench() else {
            let text = "No fixture to draw: correct what the findings list.";
            let color = colour(shared.theme.colour(Tone::FaintInk));
            ui.painter().text(rect.center(), Align2::CENTER_CENTER, text, FontRole::Body.id(), color);
            return None;
        };
        if rect.width() < 40.0 || rect.height() < 40.0 {
            return None;
        }
        let canvas = self.by_view.entry(of.name).or_default();
        let fit = (rect.width() / least_pt.x as f32).min(rect.height() / least_pt.y as f32);
        // Type grows with the canvas, more slowly than what is drawn.
        let scale = if fit > SCALE { SCALE * (fit / SCALE).powf(GROWS) } else { fit.max(LEAST_SCALE) };
        let size_pt = DVec2::new(f64::from(rect.width() / scale), f64::from(rect.height() / scale));
        let state = shared.state;
        let ask = Ask::read(ui, &response);
        if ask.is_something() {
            match &canvas.drawn {
                Some(drawn) if of.name == CENTRE => {
                    let stroke = &bench.fixture.stroke;
                    self.look.window = ask.to_window(self.look.window, &drawn.drawing, &drawn.camera, stroke);
                }
                _ => ask.to_camera(&mut canvas.zoom, rect, size_pt, scale),
            }
        }
        let mut view_state = self.look.view_state(state, size_pt);
        view_state.probe = probe(canvas, &response);
        if let Some(drawn) = canvas.drawn.as_ref().filter(|_| of.is_still(&view_state)) {
            view_state.travel = drawn.key.view.travel;
        }
        let key = Key {
            shown: state.session.shown(),
            view: view_state,
            selected: state.selected.clone(),
            dark: shared.theme.dark,
            frame: rect,
            zoom: canvas.zoom,
            pixels: ui.pixels_per_point().to_bits(),
        };
        let painter = ui.painter_at(rect);
        if canvas.drawn.as_ref().is_none_or(|drawn| drawn.key != key) {
            let drawing = of.drawing(&bench.fixture, &bench.results, &key.view);
            let page = drawing.page_with(&emphasis(state));
            let camera = canvas.zoom.camera(rect, size_pt, scale);
            let shapes = Shapes::new(&page, shared.theme, &camera, &painter);
            let handles = Handle::all(state, bench, &drawing, &key.view, &camera);
            canvas.drawn = Some(Drawn { key, drawing, page, camera, shapes, handles });
        }
        if let Some(drawn) = &canvas.drawn {
            drawn.shapes.paint(&painter);
            let shown = Shown { drawn, bench, state, space: of.name == SPACE };
            canvas.grab = shown.answer(&response, canvas.grab.take(), queue);
            if response.secondary_clicked()
                && let Some(path) = response.interact_pointer_pos().and_then(|pos| shown.path_at(pos))
            {
                queue.push(Action::Select(path));
            }
            overlay_ui(&painter, &shown, &response, canvas.grab.as_ref(), shared.theme);
            response.context_menu(|ui| {
                let path = meant_part(shared, &state.selected);
                if path.is_empty() {
                    ui.weak("Right click on a part to copy, double, mirror or delete it.");
                } else {
                    ui.weak(path.rsplit('/').next().unwrap_or_default());
                    part_menu_ui(ui, shared, &path, queue);
                }
            });
        }
        if response.has_focus() {
            let stroke = Stroke::new(1.0, colour(shared.theme.colour(Tone::Selection)));
            painter.rect_stroke(rect.shrink(1.0), 0.0, stroke, StrokeKind::Inside);
        }
        Some((size_pt, scale))
    }
}

/// The place on the strips' axis that the pointer reads values at.
fn probe(canvas: &Canvas, response: &Response) -> Option<f64> {
    let drawn = canvas.drawn.as_ref()?;
    let pos = response.hover_pos().filter(|_| canvas.grab.is_none())?;
    let pt = drawn.camera.pt(pos);
    let is_strip = |name: &str| StripKind::ALL.iter().any(|kind| kind.title() == name);
    let (_, panel) = drawn
        .drawing
        .panels
        .iter()
        .enumerate()
        .rev()
        .find(|(_, panel)| is_strip(&panel.name) && panel.frame.contains(pt))?;
    match drawn.key.view.axis {
        StripAxis::Travel => travel_from_pt(&drawn.drawing, pt),
        // A strip's own world runs over its axis.
        StripAxis::Reach => panel.world_from_pt(pt).map(|world| world.x),
    }
}

/// What is retraced: everything below what is selected, and on top of it what the pointer is over.
fn emphasis(state: &State) -> Vec<(Part, Tone)> {
    let Some(bench) = state.session.bench() else { return Vec::new() };
    let mut all = Vec::new();
    if !state.selected.is_empty() {
        let bodies = bench.results.assembly.bodies.iter().enumerate();
        let selected = bodies.filter(|(_, body)| is_within(&body.path, &state.selected));
        all.extend(selected.map(|(number, _)| (Pick::Body(BodyId(number as u32)).part(), Tone::Selection)));
    }
    all.extend(state.hovered.map(|body| (Pick::Body(body).part(), Tone::Highlight)));
    all
}

fn is_within(path: &str, base: &str) -> bool {
    path.strip_prefix(base).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}

/// Arrow keys move the riders while the drawing has the keyboard; Tab still leaves it.
fn keep_arrow_keys(ui: &Ui, id: Id, response: &Response) {
    if response.clicked() || response.drag_started() {
        response.request_focus();
    }
    if response.has_focus() {
        let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, escape: true, tab: false };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(id, filter));
    }
}
