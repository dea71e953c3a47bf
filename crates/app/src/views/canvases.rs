//! The canvases: what each view keeps, how it is painted, how it answers the pointer.

use std::collections::HashMap;

use egui::{
    Align2, CursorIcon, EventFilter, Id, PointerButton, Rect, Response, Sense, Stroke, StrokeKind, Ui, Vec2,
};
use glidewright_motion::BodyId;
use glidewright_sheet::{
    DVec2, Drawing, Hit, Page, Part, PngOptions, SvgOptions, Theme, Tone, pdf, png, svg,
};

use super::canvas::{Camera, Shapes, Zoom};
use super::grab::Grab;
use super::registry::{Asked, VIEWS, View, view};
use crate::commands::{Action, Queue};
use crate::panels::Shared;
use crate::state::State;
use crate::theme::{FontRole, Surface, colour};

/// Screen points per point of a drawing at ordinary size: 96 to 72, as paper is shown everywhere.
const SCALE: f32 = 4.0 / 3.0;
/// Drawings are laid out for at least this size; smaller frames show them smaller (pt).
const LEAST_PT: DVec2 = DVec2::new(560.0, 400.0);
/// How near to a line the pointer must be (pt).
const REACH_PT: f64 = 4.0;

/// What a drawing depends on. As long as it is the same the shapes are painted again as they are.
#[derive(Clone, Debug, PartialEq)]
struct Key {
    shown: u64,
    travel: u64,
    selected: String,
    hovered: Option<BodyId>,
    finding: Option<usize>,
    dark: bool,
    frame: Rect,
    zoom: Zoom,
    pixels: u32,
}

struct Drawn {
    key: Key,
    drawing: Drawing,
    page: Page,
    camera: Camera,
    shapes: Shapes,
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
    /// Size of the middle view when it was last painted (pt).
    centre_pt: Option<DVec2>,
}

impl Canvases {
    /// Whether keys without Ctrl belong to the drawing: it has the keyboard, or nothing has.
    pub fn have_keys(&self, ctx: &egui::Context) -> bool {
        !ctx.any_popup_open() && (self.has_focus || ctx.memory(|memory| memory.focused().is_none()))
    }

    /// The view in the middle, with the choice of others above it.
    pub fn centre_ui(&mut self, ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
        let chosen = view(shared.state.centre);
        self.has_focus = false;
        if VIEWS.len() > 1 {
            ui.add_space(4.0);
            ui.horizontal(|ui| {
                ui.add_space(8.0);
                for view in VIEWS {
                    let response = ui.add(egui::Button::selectable(view.name == chosen.name, view.title));
                    if response.accessible_name(format!("Show: {}", view.title)).clicked() {
                        queue.push(Action::Centre(view.name));
                    }
                }
            });
        }
        let rect = ui.available_rect_before_wrap();
        let size = self.view_ui(ui, rect, chosen, shared, queue);
        self.centre_pt = size.or(self.centre_pt);
    }

    /// The other views, one below the other.
    pub fn close_ups_ui(&mut self, ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
        let chosen = view(shared.state.centre);
        let others: Vec<&'static View> =
            VIEWS.iter().filter(|view| view.name != chosen.name).take(3).collect();
        let whole = ui.available_rect_before_wrap();
        let height = whole.height() / others.len().max(1) as f32;
        for (place, other) in others.into_iter().enumerate() {
            let top = whole.top() + place as f32 * height;
            let rect = Rect::from_min_size(egui::pos2(whole.left(), top), Vec2::new(whole.width(), height));
            let (head, body) = rect.split_top_bottom_at_y(rect.top() + 26.0);
            self.close_up_head_ui(ui, head, other, shared, queue);
            self.view_ui(ui, body, other, shared, queue);
        }
    }

    fn close_up_head_ui(&self, ui: &mut Ui, head: Rect, of: &View, shared: &Shared<'_>, queue: &mut Queue) {
        ui.painter().rect_filled(head, 0.0, Surface::Bar.color32(shared.theme));
        let layout = egui::Layout::left_to_right(egui::Align::Center);
        let mut ui =
            ui.new_child(egui::UiBuilder::new().max_rect(head.shrink2(Vec2::new(8.0, 0.0))).layout(layout));
        ui.label(egui::RichText::new(of.title).font(FontRole::Strong.id()));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let button = ui.small_button("To the middle").on_hover_text("Show it in the middle");
            if button.accessible_name(format!("To the middle: {}", of.title)).clicked() {
                queue.push(Action::Centre(of.name));
            }
        });
    }

    /// Paints a view and answers the pointer; its size in points of the drawing.
    fn view_ui(
        &mut self,
        ui: &mut Ui,
        rect: Rect,
        of: &'static View,
        shared: &Shared<'_>,
        queue: &mut Queue,
    ) -> Option<DVec2> {
        let id = ui.make_persistent_id(("view", of.name));
        let response = ui.interact(rect, id, Sense::click_and_drag());
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, of.title));
        keep_arrow_keys(ui, id, &response);
        self.has_focus |= response.has_focus();
        let paper = colour(shared.theme.colour(Tone::Paper));
        ui.painter().rect_filled(rect, 0.0, paper);
        let Some(bench) = shared.state.session.bench() else {
            let text = "No fixture to draw: mend what the findings list.";
            let color = colour(shared.theme.colour(Tone::FaintInk));
            ui.painter().text(rect.center(), Align2::CENTER_CENTER, text, FontRole::Body.id(), color);
            return None;
        };
        if rect.width() < 40.0 || rect.height() < 40.0 {
            return None;
        }
        let canvas = self.by_view.entry(of.name).or_default();
        let fit = (rect.width() / LEAST_PT.x as f32).min(rect.height() / LEAST_PT.y as f32);
        let scale = fit.clamp(0.8, SCALE);
        let size_pt = DVec2::new(f64::from(rect.width() / scale), f64::from(rect.height() / scale));
        zoom_ui(ui, &response, canvas, rect, size_pt, scale);
        let key = Key {
            shown: shared.state.session.shown(),
            travel: shared.state.travel.to_bits(),
            selected: shared.state.selected.clone(),
            hovered: shared.state.hovered,
            finding: shared.state.finding,
            dark: shared.theme.dark,
            frame: rect,
            zoom: canvas.zoom,
            pixels: ui.pixels_per_point().to_bits(),
        };
        let painter = ui.painter_at(rect);
        if canvas.drawn.as_ref().is_none_or(|drawn| drawn.key != key) {
            let drawing = draw(of, shared.state, size_pt)?;
            let page = drawing.page_with(&emphasis(shared.state));
            let camera = canvas.zoom.camera(rect, size_pt, scale);
            let shapes = Shapes::new(&page, shared.theme, &camera, &painter);
            canvas.drawn = Some(Drawn { key, drawing, page, camera, shapes });
        }
        if let Some(drawn) = &canvas.drawn {
            drawn.shapes.paint(&painter);
            let grab = canvas.grab;
            canvas.grab = pointer_ui(&response, drawn, grab, bench, shared, queue);
        }
        if response.has_focus() {
            let stroke = Stroke::new(1.5, colour(shared.theme.colour(Tone::Selection)));
            painter.rect_stroke(rect.shrink(1.0), 0.0, stroke, StrokeKind::Inside);
        }
        Some(size_pt)
    }

    /// The middle view as a file's bytes.
    ///
    /// # Errors
    /// Why there is none.
    pub fn picture(&self, state: &State, extension: &str, width: u32) -> Result<Vec<u8>, String> {
        let size = self.centre_pt.unwrap_or(DVec2::new(900.0, 600.0));
        let drawing = draw(view(state.centre), state, size).ok_or("There is no fixture to draw.")?;
        let page = drawing.page();
        let theme = self.picture_theme();
        let bytes = match extension {
            "svg" => svg(&page, &theme, SvgOptions { embed_fonts: true }).map(String::into_bytes),
            "pdf" => pdf(std::slice::from_ref(&page), &theme),
            _ => png(&page, &theme, PngOptions { width_px: width }),
        };
        bytes.map_err(|error| format!("Not written: {error}"))
    }

    fn picture_theme(&self) -> Theme {
        let dark =
            self.by_view.values().filter_map(|canvas| canvas.drawn.as_ref()).any(|drawn| drawn.key.dark);
        if dark { Theme::dark() } else { Theme::light() }
    }
}

fn draw(of: &View, state: &State, size_pt: DVec2) -> Option<Drawing> {
    let bench = state.session.bench()?;
    let asked = Asked { bench, travel: state.travel, selected: state.selected_body(), size_pt };
    Some((of.draw)(&asked))
}

/// What is retraced: what is selected, and on top of it what the pointer is over.
fn emphasis(state: &State) -> Vec<(Part, Tone)> {
    let Some(bench) = state.session.bench() else { return Vec::new() };
    let mut all = Vec::new();
    if !state.selected.is_empty() {
        let bodies = bench.results.assembly.bodies.iter().enumerate();
        all.extend(
            bodies
                .filter(|(_, body)| is_within(&body.path, &state.selected))
                .filter_map(|(number, _)| Some((Part(u32::try_from(number).ok()?), Tone::Selection))),
        );
    }
    all.extend(state.hovered.map(|body| (Part(body.0), Tone::Highlight)));
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

/// The wheel enlarges, the middle or right button moves, a double click shows all again.
fn zoom_ui(ui: &Ui, response: &Response, canvas: &mut Canvas, rect: Rect, size_pt: DVec2, scale: f32) {
    if let Some(at) = response.hover_pos() {
        let (wheel, pinch) = ui.input(|input| (input.smooth_scroll_delta().y, input.zoom_delta()));
        let by = pinch * (wheel * 0.004).exp();
        if by != 1.0 {
            canvas.zoom.zoom_at(by, at, rect, size_pt, scale);
        }
    }
    if response.dragged_by(PointerButton::Middle) || response.dragged_by(PointerButton::Secondary) {
        canvas.zoom.pan(response.drag_delta(), rect, size_pt, scale);
    }
    if response.double_clicked() {
        canvas.zoom = Zoom::default();
    }
}

/// Hover, click and drag; what is held on to afterwards.
fn pointer_ui(
    response: &Response,
    drawn: &Drawn,
    grab: Option<Grab>,
    bench: &crate::state::Bench,
    shared: &Shared<'_>,
    queue: &mut Queue,
) -> Option<Grab> {
    let travel = shared.state.travel;
    let at = |pos: egui::Pos2| drawn.camera.pt(pos);
    let pick = |pt: DVec2| drawn.page.pick(pt, REACH_PT / f64::from(drawn.camera.scale).max(0.1));
    let body = |hit: &Hit| bench.results.assembly.bodies.get(hit.part.0 as usize).map(|_| BodyId(hit.part.0));
    if response.dragged_by(PointerButton::Primary) {
        let start = response.ctx.input(|input| input.pointer.press_origin());
        let grab = match (grab, start) {
            (Some(grab), _) => Some(grab),
            (None, Some(start)) if response.drag_started() => {
                let pt = at(start);
                Grab::at(&drawn.drawing, pick(pt).as_ref(), pt, bench, travel)
            }
            _ => None,
        };
        if let (Some(grab), Some(now)) = (&grab, response.interact_pointer_pos())
            && let Some(travel) = grab.travel(&drawn.drawing, at(now))
        {
            response.ctx.set_cursor_icon(CursorIcon::Grabbing);
            queue.push(Action::GoTo(travel));
        }
        return grab;
    }
    if response.clicked()
        && let Some(pos) = response.interact_pointer_pos()
    {
        let pt = at(pos);
        let hit = pick(pt);
        match hit.as_ref().and_then(body).and_then(|id| bench.results.assembly.bodies.get(id.0 as usize)) {
            Some(body) => queue.push(Action::Select(body.path.clone())),
            None => match Grab::at(&drawn.drawing, None, pt, bench, travel) {
                Some(grab) => queue.extend(grab.travel(&drawn.drawing, pt).map(Action::GoTo)),
                None => queue.push(Action::Select(String::new())),
            },
        }
    }
    if let Some(pos) = response.hover_pos() {
        let pt = at(pos);
        let hit = pick(pt);
        let over = hit.as_ref().and_then(body);
        if over != shared.state.hovered {
            queue.push(Action::Hover(over));
        }
        if Grab::at(&drawn.drawing, hit.as_ref(), pt, bench, travel).is_some() {
            response.ctx.set_cursor_icon(CursorIcon::Grab);
        }
        if let Some(name) = hit.as_ref().and_then(|hit| hit.name.clone()) {
            response.clone().on_hover_text_at_pointer(name.as_ref());
        }
    } else if response.ctx.input(|input| input.pointer.hover_pos()).is_none()
        && shared.state.hovered.is_some()
    {
        queue.push(Action::Hover(None));
    }
    None
}
