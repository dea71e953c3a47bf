//! A page as a PDF file with real text in embedded, subset fonts.

use krilla::color::rgb;
use krilla::geom::{Path as PdfPath, PathBuilder, Point, Transform};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{
    Fill as PdfFill, FillRule, LineCap, LineJoin, LinearGradient, Paint, SpreadMethod, Stop, Stroke,
    StrokeDash,
};
use krilla::surface::Surface;
use krilla::text::{Font, TextDirection};

use super::checked_size;
use crate::drawing::{Path, Rect, Run};
use crate::error::SheetError;
use crate::look::{Colour, Fill, Theme, Tone, all_fonts};
use crate::page::{Ink, InkKind, Page, TextInk};

/// The pages as a PDF file, one sheet each at its true size: 1 pt of the drawing is 1 pt of paper.
///
/// # Errors
/// When a page has no usable size, there is no page, or the library refuses.
pub fn pdf(pages: &[Page], theme: &Theme) -> Result<Vec<u8>, SheetError> {
    let failed = |message: String| SheetError::Writer { format: "PDF", message };
    let Some(first) = pages.first() else { return Err(failed("there is no page to write".to_owned())) };
    let fonts: Vec<Font> = all_fonts().iter().filter_map(|f| Font::new(f.bytes.into(), 0)).collect();
    if fonts.len() != all_fonts().len() {
        return Err(failed("a font could not be read".to_owned()));
    }
    let mut document = krilla::Document::new();
    let title = first.title.chars().filter(|c| !c.is_control()).collect();
    document.set_metadata(Metadata::new().title(title).language("en".to_owned()));
    for page in pages {
        let (width, height) = checked_size(page)?;
        let settings = PageSettings::from_wh(width as f32, height as f32).ok_or(SheetError::Size {
            width_pt: width,
            height_pt: height,
            limit_pt: super::LARGEST_PT,
        })?;
        let mut sheet = document.start_page_with(settings);
        let mut surface = sheet.surface();
        let paper = Path::rect(Rect::at(0.0, 0.0, width, height));
        fill(&mut surface, &paper, &Fill::flat(Tone::Paper), theme);
        inks(&mut surface, page, theme, &fonts);
        surface.finish();
        sheet.finish();
    }
    document.finish().map_err(|e| failed(format!("{e:?}")))
}

fn inks(surface: &mut Surface, page: &Page, theme: &Theme, fonts: &[Font]) {
    let mut clip: Option<Rect> = None;
    let mut pushed = false;
    for ink in &page.inks {
        if ink.clip != clip {
            if pushed {
                surface.pop();
            }
            clip = ink.clip;
            pushed = false;
            if let Some(path) = clip.and_then(|c| path(&Path::rect(c))) {
                surface.push_clip_path(&path, &FillRule::NonZero);
                pushed = true;
            }
        }
        paint(surface, ink, theme, fonts);
    }
    if pushed {
        surface.pop();
    }
}

fn paint(surface: &mut Surface, ink: &Ink, theme: &Theme, fonts: &[Font]) {
    match &ink.kind {
        InkKind::Fill { path, fill: how } => fill(surface, path, how, theme),
        InkKind::Stroke { path: line, pen, dash_offset } => {
            let Some(line) = path(line) else { return };
            let pattern = pen.dash.pattern(pen.width_pt);
            surface.set_fill(None);
            surface.set_stroke(Some(Stroke {
                paint: colour(theme.shaded(pen.tone, pen.shade)).into(),
                width: pen.width_pt.max(0.0) as f32,
                miter_limit: 4.0,
                line_cap: LineCap::Butt,
                line_join: LineJoin::Round,
                opacity: share(pen.opacity),
                dash: (!pattern.is_empty()).then(|| StrokeDash {
                    array: pattern.iter().map(|v| *v as f32).collect(),
                    offset: *dash_offset as f32,
                }),
            }));
            surface.draw_path(&line);
            surface.set_stroke(None);
        }
        InkKind::Text(text) => set_text(surface, text, theme, fonts),
    }
}

fn fill(surface: &mut Surface, area: &Path, how: &Fill, theme: &Theme) {
    let Some(area) = path(area) else { return };
    let paint: Paint = match how.round {
        None => colour(theme.shaded(how.tone, how.shade)).into(),
        Some((lit, dark)) => {
            let stops = theme.round_stops(how);
            LinearGradient {
                x1: lit.x as f32,
                y1: lit.y as f32,
                x2: dark.x as f32,
                y2: dark.y as f32,
                transform: Transform::identity(),
                spread_method: SpreadMethod::Pad,
                stops: stops
                    .iter()
                    .map(|(offset, c)| Stop {
                        offset: share(*offset),
                        color: colour(*c).into(),
                        opacity: share(1.0),
                    })
                    .collect(),
                anti_alias: true,
            }
            .into()
        }
    };
    surface.set_stroke(None);
    surface.set_fill(Some(PdfFill { paint, opacity: share(how.opacity), rule: FillRule::EvenOdd }));
    surface.draw_path(&area);
}

fn set_text(surface: &mut Surface, text: &TextInk, theme: &Theme, fonts: &[Font]) {
    let Some(font) = all_fonts()
        .iter()
        .position(|f| f.face == text.face && f.weight == text.weight)
        .and_then(|i| fonts.get(i))
    else {
        return;
    };
    let start = text.start();
    surface.set_stroke(None);
    surface.set_fill(Some(PdfFill {
        paint: colour(theme.colour(text.tone)).into(),
        opacity: share(1.0),
        rule: FillRule::NonZero,
    }));
    surface.push_transform(&Transform::from_translate(start.x as f32, start.y as f32));
    surface.push_transform(&Transform::from_rotate(-text.turn.to_degrees() as f32));
    let origin = Point::from_xy(0.0, 0.0);
    surface.draw_text(
        origin,
        font.clone(),
        text.size_pt as f32,
        &text.text,
        false,
        TextDirection::LeftToRight,
    );
    surface.pop();
    surface.pop();
}

fn colour(c: Colour) -> rgb::Color {
    rgb::Color::new(c.r, c.g, c.b)
}

fn share(value: f64) -> NormalizedF32 {
    NormalizedF32::new((value as f32).clamp(0.0, 1.0)).unwrap_or(NormalizedF32::ONE)
}

/// The path for the library; `None` if it holds nothing that can be drawn.
fn path(path: &Path) -> Option<PdfPath> {
    let mut builder = PathBuilder::new();
    for run in path.runs() {
        match run {
            Run::Move(p) => builder.move_to(p.x as f32, p.y as f32),
            Run::Line(p) => builder.line_to(p.x as f32, p.y as f32),
            Run::Cubic(a, b, p) => {
                builder.cubic_to(a.x as f32, a.y as f32, b.x as f32, b.y as f32, p.x as f32, p.y as f32)
            }
            Run::Close => builder.close(),
        }
    }
    builder.finish()
}
