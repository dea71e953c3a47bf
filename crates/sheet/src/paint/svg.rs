//! A page as SVG 1.1 text with real text in it.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use base64::Engine as _;
use quick_xml::Writer;
use quick_xml::events::{BytesEnd, BytesStart, BytesText, Event};

use super::checked_size;
use super::subset::subset;
use crate::drawing::{Path, Rect, Run};
use crate::error::SheetError;
use crate::look::{Theme, Tone, all_fonts, font_file};
use crate::page::{Ink, InkKind, Page, TextInk};

/// How an SVG is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct SvgOptions {
    /// Carries the glyphs of its text inside the file, a few kB for each font, so that it looks the same on a
    /// machine without them. Otherwise the fonts are only named, with plain sans-serif to fall back on.
    pub embed_fonts: bool,
}

/// The page as an SVG file: its size in points, text as text, every named item a group with a title.
///
/// # Errors
/// When the page has no usable size.
pub fn svg(page: &Page, theme: &Theme, options: SvgOptions) -> Result<String, SheetError> {
    let (width, height) = checked_size(page)?;
    let mut out = Sheet { xml: Writer::new_with_indent(Vec::new(), b' ', 1), theme };
    let failed = |message: String| SheetError::Writer { format: "SVG", message };
    out.page(page, width, height, options).map_err(|e| failed(e.to_string()))?;
    String::from_utf8(out.xml.into_inner()).map_err(|e| failed(e.to_string()))
}

struct Sheet<'a> {
    xml: Writer<Vec<u8>>,
    theme: &'a Theme,
}

type Attributes<'a> = &'a [(&'a str, &'a str)];

impl Sheet<'_> {
    fn open(&mut self, name: &str, attributes: Attributes) -> std::io::Result<()> {
        let start = BytesStart::new(name).with_attributes(attributes.iter().copied());
        self.xml.write_event(Event::Start(start))
    }

    fn close(&mut self, name: &str) -> std::io::Result<()> {
        self.xml.write_event(Event::End(BytesEnd::new(name)))
    }

    fn empty(&mut self, name: &str, attributes: Attributes) -> std::io::Result<()> {
        let start = BytesStart::new(name).with_attributes(attributes.iter().copied());
        self.xml.write_event(Event::Empty(start))
    }

    fn with_text(&mut self, name: &str, attributes: Attributes, text: &str) -> std::io::Result<()> {
        self.open(name, attributes)?;
        self.xml.write_event(Event::Text(BytesText::new(&clean(text))))?;
        self.close(name)
    }

    fn page(&mut self, page: &Page, width: f64, height: f64, options: SvgOptions) -> std::io::Result<()> {
        let (w, h) = (figure(width), figure(height));
        self.open(
            "svg",
            &[
                ("xmlns", "http://www.w3.org/2000/svg"),
                ("width", &format!("{w}pt")),
                ("height", &format!("{h}pt")),
                ("viewBox", &format!("0 0 {w} {h}")),
                ("role", "img"),
                ("fill-rule", "evenodd"),
                ("stroke-linejoin", "round"),
            ],
        )?;
        self.with_text("title", &[], &page.title)?;
        let clips = self.definitions(page, options)?;
        let paper = self.theme.colour(Tone::Paper).css();
        self.empty("rect", &[("width", &w), ("height", &h), ("fill", &paper)])?;
        self.inks(page, &clips)?;
        self.close("svg")
    }

    /// Writes fonts, clips and gradients; returns the distinct clips in the order of their ids.
    fn definitions(&mut self, page: &Page, options: SvgOptions) -> std::io::Result<Vec<Rect>> {
        let mut clips: Vec<Rect> = Vec::new();
        for clip in page.inks.iter().filter_map(|i| i.clip) {
            if !clips.contains(&clip) {
                clips.push(clip);
            }
        }
        self.open("defs", &[])?;
        if options.embed_fonts {
            let rules = font_rules(page).map_err(std::io::Error::other)?;
            self.with_text("style", &[("type", "text/css")], &rules)?;
        }
        for (i, clip) in clips.iter().enumerate() {
            self.open("clipPath", &[("id", &format!("clip{i}"))])?;
            let (size, at) = (clip.size(), clip.min);
            let [x, y, w, h] = [at.x, at.y, size.x, size.y].map(figure);
            self.empty("rect", &[("x", &x), ("y", &y), ("width", &w), ("height", &h)])?;
            self.close("clipPath")?;
        }
        for (i, ink) in page.inks.iter().enumerate() {
            let InkKind::Fill { fill, .. } = &ink.kind else { continue };
            let Some((lit, dark)) = fill.round else { continue };
            let [x1, y1, x2, y2] = [lit.x, lit.y, dark.x, dark.y].map(figure);
            self.open(
                "linearGradient",
                &[
                    ("id", &format!("round{i}")),
                    ("gradientUnits", "userSpaceOnUse"),
                    ("x1", &x1),
                    ("y1", &y1),
                    ("x2", &x2),
                    ("y2", &y2),
                ],
            )?;
            for (offset, colour) in self.theme.round_stops(fill) {
                self.empty("stop", &[("offset", &figure(offset)), ("stop-color", &colour.css())])?;
            }
            self.close("linearGradient")?;
        }
        self.close("defs")?;
        Ok(clips)
    }

    fn inks(&mut self, page: &Page, clips: &[Rect]) -> std::io::Result<()> {
        let mut clip: Option<Rect> = None;
        let mut group: Option<(usize, usize)> = None;
        for (place, ink) in page.inks.iter().enumerate() {
            let grouped =
                ink.item.filter(|_| ink.part.is_some() || ink.name.is_some()).map(|i| (ink.panel, i));
            if group.is_some() && (grouped != group || ink.clip != clip) {
                self.close("g")?;
                group = None;
            }
            if ink.clip != clip {
                if clip.is_some() {
                    self.close("g")?;
                }
                clip = ink.clip;
                if let Some(i) = clip.and_then(|c| clips.iter().position(|k| *k == c)) {
                    self.open("g", &[("clip-path", &format!("url(#clip{i})"))])?;
                }
            }
            if grouped.is_some() && group.is_none() {
                let part = ink.part.map(|p| p.0.to_string());
                let attributes: Vec<(&str, &str)> = part.iter().map(|p| ("data-part", p.as_str())).collect();
                self.open("g", &attributes)?;
                if let Some(name) = &ink.name {
                    self.with_text("title", &[], name)?;
                }
                group = grouped;
            }
            self.ink(place, ink)?;
        }
        for _ in 0..usize::from(group.is_some()) + usize::from(clip.is_some()) {
            self.close("g")?;
        }
        Ok(())
    }

    fn ink(&mut self, place: usize, ink: &Ink) -> std::io::Result<()> {
        match &ink.kind {
            InkKind::Fill { path, fill } => {
                let paint = match fill.round {
                    Some(_) => format!("url(#round{place})"),
                    None => self.theme.shaded(fill.tone, fill.shade).css(),
                };
                let d = path_data(path);
                let opacity = figure(fill.opacity.clamp(0.0, 1.0));
                let mut attributes = vec![("d", d.as_str()), ("fill", paint.as_str())];
                if fill.opacity < 1.0 {
                    attributes.push(("fill-opacity", &opacity));
                }
                self.empty("path", &attributes)
            }
            InkKind::Stroke { path, pen, dash_offset } => {
                let (d, colour) = (path_data(path), self.theme.shaded(pen.tone, pen.shade).css());
                let (width, opacity) = (figure(pen.width_pt.max(0.0)), figure(pen.opacity.clamp(0.0, 1.0)));
                let pattern = pen.dash.pattern(pen.width_pt);
                let dashes = pattern.iter().map(|v| figure(*v)).collect::<Vec<_>>().join(" ");
                let offset = figure(*dash_offset);
                let mut attributes = vec![
                    ("d", d.as_str()),
                    ("fill", "none"),
                    ("stroke", colour.as_str()),
                    ("stroke-width", width.as_str()),
                ];
                if pen.opacity < 1.0 {
                    attributes.push(("stroke-opacity", &opacity));
                }
                if !pattern.is_empty() {
                    attributes.push(("stroke-dasharray", &dashes));
                    if *dash_offset != 0.0 {
                        attributes.push(("stroke-dashoffset", &offset));
                    }
                }
                self.empty("path", &attributes)
            }
            InkKind::Text(text) => self.text(text),
        }
    }

    fn text(&mut self, text: &TextInk) -> std::io::Result<()> {
        // The three anchors SVG knows survive another font; any other is worked out here.
        let (anchor, at) = match text.along {
            0.0 => ("start", text.at),
            0.5 => ("middle", text.at),
            1.0 => ("end", text.at),
            _ => ("start", text.start()),
        };
        let [x, y, size] = [at.x, at.y, text.size_pt].map(figure);
        let family = format!("'{}', sans-serif", font_file(text.face, text.weight).family);
        let (weight, colour) = (text.weight.css().to_string(), self.theme.colour(text.tone).css());
        let turn = format!("rotate({} {x} {y})", figure(-text.turn.to_degrees()));
        let mut attributes = vec![
            ("x", x.as_str()),
            ("y", y.as_str()),
            ("font-family", family.as_str()),
            ("font-size", size.as_str()),
            ("font-weight", weight.as_str()),
            ("fill", colour.as_str()),
        ];
        if anchor != "start" {
            attributes.push(("text-anchor", anchor));
        }
        if text.turn != 0.0 {
            attributes.push(("transform", &turn));
        }
        self.with_text("text", &attributes, &text.text)
    }
}

/// CSS rules that carry what a page uses of its fonts.
fn font_rules(page: &Page) -> Result<String, String> {
    let mut rules = String::new();
    for font in all_fonts() {
        let own = page.inks.iter().filter_map(|ink| match &ink.kind {
            InkKind::Text(text) if (text.face, text.weight) == (font.face, font.weight) => Some(text),
            _ => None,
        });
        let characters: BTreeSet<char> = own.flat_map(|text| text.text.chars()).collect();
        if characters.is_empty() {
            continue;
        }
        let data = base64::engine::general_purpose::STANDARD.encode(subset(font, &characters)?);
        rules.push_str(&format!(
            "@font-face{{font-family:'{}';font-weight:{};src:url(data:font/ttf;base64,{data}) format('truetype')}}\n",
            font.family,
            font.weight.css(),
        ));
    }
    Ok(rules)
}

/// A number with at most three decimals (a third of a micrometre on paper) and no idle zeros.
fn figure(value: f64) -> String {
    let mut text = format!("{value:.3}");
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".to_owned() } else { text }
}

fn path_data(path: &Path) -> String {
    let mut d = String::new();
    for run in path.runs() {
        let points: &[glam::DVec2] = match &run {
            Run::Move(p) => {
                d.push('M');
                std::slice::from_ref(p)
            }
            Run::Line(p) => {
                d.push('L');
                std::slice::from_ref(p)
            }
            Run::Cubic(a, b, p) => {
                d.push('C');
                &[*a, *b, *p]
            }
            Run::Close => {
                d.push('Z');
                &[]
            }
        };
        for (i, p) in points.iter().enumerate() {
            let gap = if i == 0 { "" } else { " " };
            // Writing to a string cannot fail.
            let _ = write!(d, "{gap}{} {}", figure(p.x), figure(p.y));
        }
    }
    d
}

/// Text without the characters XML cannot hold.
fn clean(text: &str) -> String {
    text.chars()
        .filter(|c| (*c >= ' ' || *c == '\n') && !matches!(*c, '\u{7f}' | '\u{fffe}' | '\u{ffff}'))
        .collect()
}
