//! The canvases: one for each view, painted anew only when what it depends on has changed.

use std::collections::HashMap;

use egui::{
    Align, Align2, EventFilter, Id, Layout, PointerButton, Pos2, Rect, Response, RichText, Sense, Stroke,
};
use egui::{StrokeKind, Ui, UiBuilder, Vec2};
use glidewright_motion::BodyId;
use glidewright_sheet::views::{Pick, VIEWS, View, ViewState, travel_to_pt, view_named};
use glidewright_sheet::{DVec2, Drawing, Page, Part, PngOptions, SvgOptions, Theme, Tone, pdf, png, svg};

use super::canvas::{Camera, Shapes, Zoom};
use super::grab::Grab;
use super::pointer::Shown;
use crate::commands::{Action, Queue};
use crate::panels::Shared;
use crate::state::State;
use crate::theme::{FontRole, Surface, colour};

/// The view in the middle to begin with.
pub const CENTRE: &str = "bench";

/// Screen points per point of a drawing at ordinary size: 96 to 72, as paper is shown everywhere.
const SCALE: f32 = 4.0 / 3.0;
/// Drawings are laid out for at least this size; smaller frames show them smaller (pt).
const LEAST_PT: DVec2 = DVec2::new(520.0, 380.0);
/// The same for close-ups.
const LEAST_CLOSE_UP_PT: DVec2 = DVec2::new(300.0, 220.0);
/// No smaller than this, lest type become too small to read (screen points per point).
const LEAST_SCALE: f32 = 0.95;
/// How many close-ups stand beside the drawing.
const CLOSE_UPS: usize = 3;

/// What a drawing depends on. As long as it is the same the shapes are painted again as they are.
#[derive(Clone, Debug, PartialEq)]
struct Key {
    shown: u64,
    travel: u64,
    selected: String,
    hovered: Option<BodyId>,
    trial: Option<String>,
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
    others_have_focus: bool,
    /// Size of the middle view when it was last painted (pt).
    centre_pt: Option<DVec2>,
}

/// The view of a name; the first if there is none.
fn view(name: &str) -> &'static View {
    view_named(name).unwrap_or(&VIEWS[0])
}

/// Views to look at; the composed page is for paper.
fn on_screen() -> impl Iterator<Item = &'static View> {
    VIEWS.iter().filter(|view| view.name != "sheet")
}

impl Canvases {
    /// Whether keys without Ctrl belong to the drawing: it has the keyboard, or nothing has.
    pub fn have_keys(&self, ctx: &egui::Context) -> bool {
        !ctx.any_popup_open() && !self.others_have_focus
    }

    /// Notes at a frame's end who has the keyboard: a key that makes a field give it up, such as Escape, still
    /// belongs to that field.
    pub fn note_focus(&mut self, ctx: &egui::Context) {
        self.others_have_focus = !self.has_focus && ctx.memory(|memory| memory.focused().is_some());
    }

    /// Where a travel (mm) lies on a view's axis, on screen.
    pub fn place_of_travel(&self, name: &str, travel: f64) -> Option<Pos2> {
        let drawn = self.by_view.get(name)?.drawn.as_ref()?;
        Some(drawn.camera.pos(travel_to_pt(&drawn.drawing, travel)?))
    }

    /// The view in the middle, with the choice of others above it.
    pub fn centre_ui(&mut self, ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
        let chosen = view(shared.state.centre);
        self.has_focus = false;
        let whole = ui.available_rect_before_wrap();
        ui.take_available_space();
        let (head, body) = whole.split_top_bottom_at_y(whole.top() + 30.0);
        choice_ui(ui, head, chosen, shared, queue);
        let size = self.view_ui(ui, body, chosen, LEAST_PT, shared, queue);
        self.centre_pt = size.or(self.centre_pt);
    }

    /// The other views, one below the other.
    pub fn close_ups_ui(&mut self, ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
        let chosen = view(shared.state.centre);
        let others: Vec<&'static View> =
            on_screen().filter(|view| view.name != chosen.name).take(CLOSE_UPS).collect();
        let whole = ui.available_rect_before_wrap();
        ui.take_available_space();
        let height = whole.height() / others.len().max(1) as f32;
        for (place, other) in others.into_iter().enumerate() {
            let top = whole.top() + place as f32 * height;
            let rect = Rect::from_min_size(egui::pos2(whole.left(), top), Vec2::new(whole.width(), height));
            let (head, body) = rect.split_top_bottom_at_y(rect.top() + 28.0);
            head_ui(ui, head, other, shared, queue);
            self.view_ui(ui, body, other, LEAST_CLOSE_UP_PT, shared, queue);
        }
    }

    /// Paints a view and answers the pointer; its size in points of the drawing.
    fn view_ui(
        &mut self,
        ui: &mut Ui,
        rect: Rect,
        of: &'static View,
        least_pt: DVec2,
        shared: &Shared<'_>,
        queue: &mut Queue,
    ) -> Option<DVec2> {
        let id = ui.make_persistent_id(("view", of.name));
        let response = ui.interact(rect, id, Sense::click_and_drag());
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, of.title));
        keep_arrow_keys(ui, id, &response);
        self.has_focus |= response.has_focus();
        ui.painter().rect_filled(rect, 0.0, colour(shared.theme.colour(Tone::Paper)));
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
        let fit = (rect.width() / least_pt.x as f32).min(rect.height() / least_pt.y as f32);
        let scale = fit.clamp(LEAST_SCALE, SCALE);
        let size_pt = DVec2::new(f64::from(rect.width() / scale), f64::from(rect.height() / scale));
        zoom_ui(ui, &response, canvas, rect, size_pt, scale);
        let state = shared.state;
        let key = Key {
            shown: state.session.shown(),
            travel: state.travel.to_bits(),
            selected: state.selected.clone(),
            hovered: state.hovered,
            trial: state.session.trial().map(str::to_owned),
            dark: shared.theme.dark,
            frame: rect,
            zoom: canvas.zoom,
            pixels: ui.pixels_per_point().to_bits(),
        };
        let painter = ui.painter_at(rect);
        if canvas.drawn.as_ref().is_none_or(|drawn| drawn.key != key) {
            let drawing = of.drawing(&bench.fixture, &bench.results, &view_state(state, size_pt));
            let page = drawing.page_with(&emphasis(state));
            let camera = canvas.zoom.camera(rect, size_pt, scale);
            let shapes = Shapes::new(&page, shared.theme, &camera, &painter);
            canvas.drawn = Some(Drawn { key, drawing, page, camera, shapes });
        }
        if let Some(Drawn { drawing, page, camera, shapes, .. }) = &canvas.drawn {
            shapes.paint(&painter);
            let shown = Shown { drawing, page, camera, bench, state };
            canvas.grab = shown.answer(&response, canvas.grab, queue);
        }
        if response.has_focus() {
            let stroke = Stroke::new(1.0, colour(shared.theme.colour(Tone::Selection)));
            painter.rect_stroke(rect.shrink(1.0), 0.0, stroke, StrokeKind::Inside);
        }
        Some(size_pt)
    }

    /// The middle view as a file's bytes, on the paper it is seen on.
    ///
    /// # Errors
    /// Why there is none.
    pub fn picture(&self, state: &State, dark: bool, extension: &str, width: u32) -> Result<Vec<u8>, String> {
        let bench = state.session.bench().ok_or("There is no fixture to draw.")?;
        let size = self.centre_pt.unwrap_or(DVec2::new(900.0, 600.0));
        let drawing = view(state.centre).drawing(&bench.fixture, &bench.results, &view_state(state, size));
        let page = drawing.page();
        let theme = if dark { Theme::dark() } else { Theme::light() };
        let bytes = match extension {
            "svg" => svg(&page, &theme, SvgOptions { embed_fonts: true }).map(String::into_bytes),
            "pdf" => pdf(std::slice::from_ref(&page), &theme),
            _ => png(&page, &theme, PngOptions { width_px: width }),
        };
        bytes.map_err(|error| format!("Not written: {error}"))
    }
}

/// What the views are asked for.
fn view_state(state: &State, size_pt: DVec2) -> ViewState {
    ViewState {
        size_pt,
        travel: state.travel,
        selected: state.selected_body(),
        hovered: state.hovered,
        trial: state.session.trial().map(str::to_owned),
        ..ViewState::default()
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

/// Which view stands in the middle.
fn choice_ui(ui: &mut Ui, head: Rect, chosen: &View, shared: &Shared<'_>, queue: &mut Queue) {
    ui.painter().rect_filled(head, 0.0, Surface::Panel.color32(shared.theme));
    let layout = Layout::left_to_right(Align::Center);
    let mut ui = ui.new_child(UiBuilder::new().max_rect(head.shrink2(Vec2::new(8.0, 0.0))).layout(layout));
    ui.spacing_mut().item_spacing.x = 2.0;
    for view in on_screen() {
        let button = egui::Button::selectable(view.name == chosen.name, view.title);
        let response = ui.add(button).on_hover_text(view.about);
        if response.accessible_name(format!("Show: {}", view.title)).clicked() {
            queue.push(Action::Centre(view.name));
        }
    }
}

/// The bar over a close-up.
fn head_ui(ui: &mut Ui, head: Rect, of: &View, shared: &Shared<'_>, queue: &mut Queue) {
    ui.painter().rect_filled(head, 0.0, Surface::Panel.color32(shared.theme));
    let layout = Layout::left_to_right(Align::Center);
    let mut ui = ui.new_child(UiBuilder::new().max_rect(head.shrink2(Vec2::new(8.0, 0.0))).layout(layout));
    ui.label(RichText::new(of.title).font(FontRole::Strong.id())).on_hover_text(of.about);
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        let button = ui.small_button("To the middle").on_hover_text("Show it in the middle");
        if button.accessible_name(format!("To the middle: {}", of.title)).clicked() {
            queue.push(Action::Centre(of.name));
        }
    });
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
