//! Writing pictures: what, how, where; shown beforehand, written beside the window.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use egui::{Color32, ColorImage, Context, Key, RichText, Sense, TextEdit, Ui, Vec2};
use glidewright_project::store::Store;
use glidewright_sheet::views::{Paper, VIEWS, View, view_named};
use glidewright_sheet::{Page, PlotData, PngOptions, SvgOptions, Theme, Tone, pdf, png, svg};

use super::App;
use super::dialogs::Purpose;
use crate::state::{Notice, State};
use crate::theme::{self, colour};
use crate::views::{Beside, Camera, Shapes, ViewRequest, Zoom, picture_pages};
use crate::widgets::{over, read_ui, text_scale};
use crate::work::{Step, Task};

/// How a picture is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PictureKind {
    /// Pixels.
    Png,
    /// Lines and text.
    Svg,
    /// A page to print.
    Pdf,
}

impl PictureKind {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Png, Self::Svg, Self::Pdf];

    /// Its name.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Png => "PNG",
            Self::Svg => "SVG",
            Self::Pdf => "PDF",
        }
    }

    /// What it is good for.
    pub const fn about(self) -> &'static str {
        match self {
            Self::Png => "Pixels, for messages and pages",
            Self::Svg => "Lines and text, for editing and for any size",
            Self::Pdf => "A page, for printing",
        }
    }

    /// The file name's end.
    pub const fn extension(self) -> &'static str {
        match self {
            Self::Png => "png",
            Self::Svg => "svg",
            Self::Pdf => "pdf",
        }
    }

    /// The kind a file's name asks for.
    pub fn of(path: &Path) -> Option<Self> {
        let end = path.extension()?.to_str()?.to_ascii_lowercase();
        Self::ALL.into_iter().find(|kind| kind.extension() == end)
    }

    /// The bytes of its pages, of the first where it has no others.
    fn bytes(self, pages: &[Page], theme: &Theme, width: u32) -> Result<Vec<u8>, String> {
        let [page, ..] = pages else { return Err("Not written: there is nothing to draw.".to_owned()) };
        match self {
            Self::Svg => svg(page, theme, SvgOptions { embed_fonts: true }).map(String::into_bytes),
            Self::Pdf => pdf(pages, theme),
            Self::Png => png(page, theme, PngOptions { width_px: width }),
        }
        .map_err(|error| format!("Not written: {error}"))
    }
}

/// Least and greatest width of a PNG (pixels).
const WIDTHS: std::ops::RangeInclusive<u32> = 200..=12_000;
/// Width of a picture on the clipboard (pixels).
const COPY_WIDTH: u32 = 2000;
/// What stands for every other trial.
const ALL_OTHERS: &str = "all others";
/// What stands for a page as large as its content.
const NO_PAPER: &str = "as it comes";
/// Room for showing the picture beforehand (points).
const PREVIEW: Vec2 = Vec2::new(520.0, 300.0);

/// What the page shown beforehand depends on.
#[derive(Clone, Debug, PartialEq)]
struct PreviewKey {
    request: ViewRequest,
    shown: u64,
    travel: u64,
    others: u64,
    is_paged: bool,
}

/// The dialog.
pub struct PictureDialog {
    request: ViewRequest,
    kind: PictureKind,
    width: u32,
    dark: bool,
    /// Where to.
    pub path: String,
    /// What was wrong.
    pub complaint: String,
    /// The file that may be replaced: it was asked about.
    replaces: Option<PathBuf>,
    preview: Option<(PreviewKey, Result<Vec<Page>, String>)>,
}

/// A picture being made.
pub struct Making {
    task: Task<Result<Made, String>>,
}

/// What came of making one.
enum Made {
    Written(PathBuf),
    Pixels(ColorImage),
}

impl PictureDialog {
    /// A dialog about the view in the middle.
    pub fn new(request: ViewRequest, path: PathBuf, dark: bool) -> Self {
        Self {
            request,
            kind: PictureKind::Png,
            width: 2000,
            dark,
            path: path.display().to_string(),
            complaint: String::new(),
            replaces: None,
            preview: None,
        }
    }

    /// Takes a file chosen by the system's dialog, which has asked about replacing it.
    pub fn take_file(&mut self, file: &Path) {
        self.path = file.display().to_string();
        self.complaint.clear();
        self.replaces = Some(file.to_owned());
        if let Some(kind) = PictureKind::of(file) {
            self.kind = kind;
        }
    }

    /// The file to write and what it is written as: its ending decides, and one without gets that of the kind
    /// chosen.
    fn target(&self) -> Result<(PathBuf, PictureKind), String> {
        let path = Path::new(self.path.trim());
        if path.file_name().is_none() {
            return Err("Type the path of the file.".to_owned());
        }
        match (path.extension(), PictureKind::of(path)) {
            (_, Some(kind)) => Ok((path.to_owned(), kind)),
            (None, None) => Ok((path.with_extension(self.kind.extension()), self.kind)),
            (Some(end), None) => Err(format!(
                "The name of a picture ends in .png, .svg or .pdf, not in .{}.",
                end.to_string_lossy()
            )),
        }
    }

    /// Whether the file named was found to exist, and pressing the button again replaces it.
    fn is_replacing(&self) -> bool {
        self.replaces.is_some() && self.target().ok().map(|(file, _)| file) == self.replaces
    }

    fn pages(&mut self, state: &State) -> &Result<Vec<Page>, String> {
        let is_paged = self.target().map_or(self.kind, |(_, kind)| kind) == PictureKind::Pdf;
        let key = PreviewKey {
            request: self.request.clone(),
            shown: state.session.shown(),
            travel: state.travel.to_bits(),
            others: state.outlook.version(),
            is_paged,
        };
        if self.preview.as_ref().is_none_or(|(known, _)| *known != key) {
            let pages = picture_pages(state, &self.request, is_paged);
            self.preview = Some((key, pages));
        }
        match &self.preview {
            Some((_, pages)) => pages,
            None => &NO_PAGES,
        }
    }

    fn theme(&self) -> Theme {
        if self.dark { Theme::dark() } else { Theme::light() }
    }
}

static NO_PAGES: Result<Vec<Page>, String> = Err(String::new());

/// What was asked for.
enum Asked {
    Nothing,
    Close,
    Browse,
    Write,
    Copy,
}

impl App {
    /// Opens the dialog.
    pub(super) fn open_picture(&mut self, ctx: &Context) {
        let dark = ctx.theme() == egui::Theme::Dark;
        let path = self.suggested_file("png");
        self.picture = Some(PictureDialog::new(self.canvases.request(&self.state), path, dark));
    }

    /// Opens the dialog about a plot.
    pub(super) fn open_plot(&mut self, ctx: &Context, plot: PlotData) {
        self.open_picture(ctx);
        if let Some(dialog) = &mut self.picture {
            dialog.request.plot = Some(Arc::new(plot));
        }
    }

    /// Shows the dialog if it is open.
    pub(super) fn picture_ui(&mut self, ctx: &Context) {
        self.take_picture(ctx);
        let Some(mut dialog) = self.picture.take() else { return };
        let making = self.making.is_some();
        let shown = over(ctx, "picture").show(ctx, |ui| {
            ui.set_width(PREVIEW.x);
            dialog_ui(ui, &mut dialog, &self.state, making)
        });
        let asked = match shown.inner {
            Asked::Nothing if shown.should_close() => Asked::Close,
            asked => asked,
        };
        match asked {
            Asked::Close => return,
            Asked::Browse => {
                self.picture = Some(dialog);
                self.ask_file(ctx, Purpose::Picture);
                return;
            }
            Asked::Write | Asked::Copy => {
                dialog.complaint.clear();
                let (width, theme) = (dialog.width, dialog.theme());
                let target = dialog.target();
                match (dialog.pages(&self.state).clone(), target) {
                    (Err(message), _) => dialog.complaint = message,
                    (Ok(_), _) if matches!(asked, Asked::Copy) => {
                        match picture_pages(&self.state, &dialog.request, false) {
                            Ok(pages) => self.copy_pages(ctx, pages, theme),
                            Err(message) => dialog.complaint = message,
                        }
                    }
                    (Ok(_), Err(message)) => dialog.complaint = message,
                    (Ok(_), Ok((file, _))) if self.state.session.is_own_file(&file) => {
                        dialog.complaint = "That is the project itself: choose another name.".to_owned();
                    }
                    (Ok(_), Ok((file, _))) if Store::disk().exists(&file) && !dialog.is_replacing() => {
                        dialog.complaint = format!("{} exists already. Replace it?", file.display());
                        dialog.replaces = Some(file);
                    }
                    (Ok(pages), Ok((file, kind))) => {
                        dialog.kind = kind;
                        dialog.replaces = None;
                        self.write_pages(ctx, pages, theme, kind, width, file);
                    }
                }
            }
            Asked::Nothing => {}
        }
        self.picture = Some(dialog);
    }

    /// Puts the view in the middle on the clipboard.
    pub(super) fn copy_picture(&mut self, ctx: &Context) {
        match picture_pages(&self.state, &self.canvases.request(&self.state), false) {
            Ok(pages) => self.copy_pages(ctx, pages, theme::current(ctx)),
            Err(message) => self.state.notice = Some(Notice::trouble(message)),
        }
    }

    fn copy_pages(&mut self, ctx: &Context, pages: Vec<Page>, theme: Theme) {
        self.make(ctx, "picture for the clipboard", move || {
            let bytes = PictureKind::Png.bytes(&pages, &theme, COPY_WIDTH)?;
            pixels(&bytes).map(Made::Pixels)
        });
    }

    fn write_pages(
        &mut self,
        ctx: &Context,
        pages: Vec<Page>,
        theme: Theme,
        kind: PictureKind,
        width: u32,
        file: PathBuf,
    ) {
        self.make(ctx, "picture", move || {
            let bytes = kind.bytes(&pages, &theme, width)?;
            Store::disk()
                .write(&file, &bytes)
                .map_err(|error| format!("Not written: {error}; {}", error.remedy()))
                .map(|()| Made::Written(file))
        });
    }

    fn make(
        &mut self,
        ctx: &Context,
        what: &str,
        make: impl FnOnce() -> Result<Made, String> + Send + 'static,
    ) {
        let repaint = ctx.clone();
        let work = move |progress: &crate::work::Progress, tell: &dyn Fn(Result<Made, String>)| {
            progress.note(0, 1);
            tell(make());
        };
        match Task::start(what, work, Err, move || repaint.request_repaint()) {
            Ok(task) => self.making = Some(Making { task }),
            Err(error) => self.state.notice = Some(Notice::trouble(format!("Not written: {error}"))),
        }
    }

    /// Takes the picture that is ready.
    fn take_picture(&mut self, ctx: &Context) {
        let Some(making) = &self.making else { return };
        let result = match making.task.step() {
            Step::Waiting => return,
            Step::Ended => {
                self.making = None;
                return;
            }
            Step::Result(result) => result,
        };
        self.making = None;
        match (result, &mut self.picture) {
            (Ok(Made::Written(file)), _) => {
                self.picture = None;
                self.state.notice = Some(Notice::done(format!("Wrote {}", file.display())));
            }
            (Ok(Made::Pixels(image)), _) => {
                ctx.copy_image(image);
                self.state.notice = Some(Notice::done("The picture is on the clipboard"));
            }
            (Err(message), Some(dialog)) => dialog.complaint = message,
            (Err(message), None) => self.state.notice = Some(Notice::trouble(message)),
        }
    }
}

/// The pixels of a PNG.
fn pixels(bytes: &[u8]) -> Result<ColorImage, String> {
    let told = |error: ::png::DecodingError| format!("Not copied: {error}");
    let mut reader = ::png::Decoder::new(std::io::Cursor::new(bytes)).read_info().map_err(told)?;
    let size = reader.output_buffer_size().ok_or("Not copied: the picture is too large")?;
    let mut data = vec![0; size];
    let frame = reader.next_frame(&mut data).map_err(told)?;
    let side = |pixels: u32| usize::try_from(pixels).unwrap_or(0);
    let dimensions = [side(frame.width), side(frame.height)];
    let used = data.get(..frame.buffer_size()).unwrap_or(&data);
    Ok(match frame.color_type {
        ::png::ColorType::Rgb => ColorImage::from_rgb(dimensions, used),
        _ => ColorImage::from_rgba_unmultiplied(dimensions, used),
    })
}

fn dialog_ui(ui: &mut Ui, dialog: &mut PictureDialog, state: &State, making: bool) -> Asked {
    ui.heading("Write a picture");
    ui.add_space(6.0);
    what_ui(ui, dialog, state);
    ui.add_space(4.0);
    preview_ui(ui, dialog, state);
    ui.add_space(6.0);
    how_ui(ui, dialog);
    let sent = path_field(ui, &mut dialog.path);
    let mut asked = Asked::Nothing;
    if !dialog.complaint.is_empty() {
        let tone = colour(theme::current(ui.ctx()).colour(Tone::Clash));
        ui.add(egui::Label::new(RichText::new(&dialog.complaint).color(tone)).wrap());
    }
    ui.add_space(8.0);
    ui.horizontal(|ui| {
        ui.add_enabled_ui(!making, |ui| {
            let word = if dialog.is_replacing() { "Replace" } else { "Write" };
            if ui.button(word).clicked() || sent {
                asked = Asked::Write;
            }
            if ui.button("Copy picture").on_hover_text("Put it on the clipboard").clicked() {
                asked = Asked::Copy;
            }
        });
        if ui.button("Choose a place…").clicked() {
            asked = Asked::Browse;
        }
        if ui.button("Close").clicked() {
            asked = Asked::Close;
        }
        if making {
            ui.weak("being made …");
        }
    });
    asked
}

fn what_ui(ui: &mut Ui, dialog: &mut PictureDialog, state: &State) {
    if let Some(plot) = &dialog.request.plot {
        ui.add(egui::Label::new(plot.title.as_str()).wrap());
        return;
    }
    ui.horizontal(|ui| {
        let label = ui.label("Picture of");
        let now = view_named(dialog.request.view).unwrap_or(&VIEWS[0]);
        let combo = egui::ComboBox::from_id_salt("what").selected_text(now.title).width(200.0).height(420.0);
        let shown = combo.show_ui(ui, |ui| {
            for View { name, title, about, .. } in VIEWS {
                ui.selectable_value(&mut dialog.request.view, *name, *title).on_hover_text(*about);
            }
        });
        shown.response.labelled_by(label.id).on_hover_text("What is drawn");
        if dialog.request.is_as_seen() {
            ui.weak("as it is seen now");
        }
    });
    ui.horizontal(|ui| {
        let label = ui.label("Paper");
        let now = dialog.request.paper.map_or(NO_PAPER, Paper::name);
        let combo = egui::ComboBox::from_id_salt("paper").selected_text(now).width(110.0);
        let shown = combo.show_ui(ui, |ui| {
            ui.selectable_value(&mut dialog.request.paper, None, NO_PAPER);
            for paper in Paper::ALL {
                ui.selectable_value(&mut dialog.request.paper, Some(paper), paper.name());
            }
        });
        shown.response.labelled_by(label.id).on_hover_text("What it is laid out for");
        ui.add_enabled_ui(dialog.request.paper.is_some(), |ui| {
            ui.checkbox(&mut dialog.request.portrait, "Upright").on_hover_text("Stand the paper upright");
        });
        let label = ui.label("Note");
        let field = TextEdit::singleline(&mut dialog.request.note)
            .hint_text("a line of your own below the title")
            .char_limit(200)
            .desired_width(f32::INFINITY);
        ui.add(field).labelled_by(label.id);
    });
    if dialog.request.shows_others() && !state.session.document().trials.is_empty() {
        ui.horizontal(|ui| {
            let label = ui.label("Beside it");
            let now = match &dialog.request.beside {
                Beside::All => ALL_OTHERS.to_owned(),
                Beside::One(trial) => trial.clone().unwrap_or_else(|| "as drawn".to_owned()),
            };
            let combo = egui::ComboBox::from_id_salt("beside").selected_text(now).width(200.0);
            let shown = combo.show_ui(ui, |ui| {
                ui.selectable_value(&mut dialog.request.beside, Beside::All, ALL_OTHERS);
                ui.selectable_value(&mut dialog.request.beside, Beside::One(None), "as drawn");
                for trial in &state.session.document().trials {
                    let one = Beside::One(Some(trial.name.clone()));
                    ui.selectable_value(&mut dialog.request.beside, one, &trial.name);
                }
            });
            shown.response.labelled_by(label.id);
        });
    }
}

fn preview_ui(ui: &mut Ui, dialog: &mut PictureDialog, state: &State) {
    let (rect, response) = ui.allocate_exact_size(PREVIEW, Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, "The picture beforehand"));
    let theme = dialog.theme();
    let painter = ui.painter_at(rect);
    match dialog.pages(state).as_ref().map(Vec::as_slice) {
        Ok([]) => {}
        Ok([page, further @ ..]) => {
            if !further.is_empty() {
                let text = format!("page 1 of {}", 1 + further.len());
                let font = theme::FontRole::Body.id();
                let color = ui.visuals().weak_text_color();
                painter.text(rect.right_bottom(), egui::Align2::RIGHT_BOTTOM, text, font, color);
            }
            let size = Vec2::new(page.size_pt.x as f32, page.size_pt.y as f32);
            let scale = (rect.width() / size.x).min(rect.height() / size.y);
            let frame = egui::Rect::from_center_size(rect.center(), size * scale);
            let inside = ui.painter_at(frame);
            inside.rect_filled(frame, 0.0, colour(theme.colour(Tone::Paper)));
            let camera: Camera = Zoom::default().camera(frame, page.size_pt, scale);
            Shapes::new(page, &theme, &camera, &inside).paint(&inside);
            let edge = egui::Stroke::new(1.0, theme::Surface::Edge.color32(&theme::current(ui.ctx())));
            painter.rect_stroke(frame, 0.0, edge, egui::StrokeKind::Inside);
        }
        Err(message) => {
            let font = theme::FontRole::Body.id();
            let color: Color32 = ui.visuals().weak_text_color();
            painter.text(rect.center(), egui::Align2::CENTER_CENTER, message, font, color);
        }
    }
}

fn how_ui(ui: &mut Ui, dialog: &mut PictureDialog) {
    let before = dialog.kind;
    ui.horizontal(|ui| {
        for choice in PictureKind::ALL {
            ui.radio_value(&mut dialog.kind, choice, choice.word()).on_hover_text(choice.about());
        }
        ui.separator();
        ui.add_enabled_ui(dialog.kind == PictureKind::Png, |ui| {
            ui.label("Width in pixels");
            let now = dialog.width.to_string();
            let width = 60.0 * text_scale(ui);
            if let Some(width) = read_ui(ui, "picture width", "Width in pixels", &now, width, "", width_of) {
                dialog.width = width;
            }
        });
        ui.separator();
        ui.checkbox(&mut dialog.dark, "Dark paper");
    });
    if dialog.kind != before {
        let path = Path::new(&dialog.path).with_extension(dialog.kind.extension());
        dialog.path = path.display().to_string();
    }
}

/// The width of a picture (pixels) that somebody typed.
fn width_of(text: &str) -> Result<u32, String> {
    let wrong = || format!("a whole number from {} to {}", WIDTHS.start(), WIDTHS.end());
    text.trim().parse().ok().filter(|width| WIDTHS.contains(width)).ok_or_else(wrong)
}

/// A field for a path; whether Enter was pressed in it.
pub(super) fn path_field(ui: &mut Ui, text: &mut String) -> bool {
    let first = ui.memory(|memory| memory.focused().is_none());
    let field = ui.add(TextEdit::singleline(text).desired_width(f32::INFINITY).hint_text("folder/file"));
    let field = field.accessible_name("Path of the file");
    if first {
        field.request_focus();
    }
    field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter))
}
