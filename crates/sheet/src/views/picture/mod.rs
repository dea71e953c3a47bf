//! A view as a picture to be sent: cropped to what it shows, with a title that says what it comes to, scale bars, a key of
//! the signs that occur, and on pages their date and file. The window's canvas shows the views without all this.

mod block;
mod key;
mod scale;
mod title;
mod verdict;

use glam::{DAffine2, DVec2};
use glidewright_motion::{Fixture, Results};

use super::page::{self, Following};
use super::scene::Scene;
use super::{View, ViewState};
use crate::drawing::{Drawing, Label, Panel, Rect};
use crate::look::Tone;
use crate::page::{InkKind, Page};

use block::{Block, Layout};
use title::Title;
pub use verdict::Verdict;

/// How a view becomes a picture.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Dress {
    /// The size of the page (pt); `None` follows the content.
    pub size_pt: Option<DVec2>,
    /// Whether the size is that of real paper, on which a scale can be told as a ratio.
    pub on_paper: bool,
    /// Whether what has no room goes on on further pages, as in a PDF; else the one page grows.
    pub is_paged: bool,
    /// The date of the picture, as written on it.
    pub date: String,
    /// The name of the project's file, as written on it.
    pub file: String,
}

/// The size a view is laid out in where the page follows its content (pt): it decides how large letters are against the
/// whole. Close-ups say less and are laid out smaller.
const USUAL: DVec2 = DVec2::new(1120.0, 700.0);
const CLOSE: DVec2 = DVec2::new(840.0, 560.0);
/// Other widths that are tried for what leaves much of its own frame empty (pt), and heights as shares of the usual one.
const WIDTHS: [f64; 6] = [840.0, 760.0, 680.0, 600.0, 520.0, 440.0];
const HEIGHTS: [f64; 3] = [1.0, 0.8, 0.64];
/// A smaller layout is taken where it fills so much more of its frame.
const BETTER: f64 = 1.1;
/// Cells of the grid by which that is told, each way.
const CELLS: usize = 32;
/// Room round everything: on a picture, and on paper, where printers need it (pt).
const MARGIN: (f64, f64) = (12.0, 22.0);
/// Between content and block, and round a block in a free corner (pt).
const APART: f64 = 10.0;
/// A page made no wider for its title than this (pt).
const TITLE_ROOM: f64 = 560.0;
/// Height of the line of date and file (pt).
const FOOT: f64 = 14.0;
const FOOT_PT: f64 = 7.5;
/// Least width and height of content (pt).
const LEAST: f64 = 40.0;

/// The pages of a view's picture, one for all views but the sheet.
pub fn picture(
    view: &View,
    fixture: &Fixture,
    results: &Results,
    state: &ViewState,
    dress: &Dress,
) -> Vec<Page> {
    let maker = Maker { view, fixture, results, state, dress };
    match dress.size_pt.filter(|size| size.is_finite() && size.min_element() > 0.0) {
        Some(size) => maker.on_page(size),
        None => maker.around_content(),
    }
}

struct Maker<'a> {
    view: &'a View,
    fixture: &'a Fixture,
    results: &'a Results,
    state: &'a ViewState,
    dress: &'a Dress,
}

/// What a view shows, lowered.
struct Content {
    page: Page,
    /// What of it is seen (pt).
    crop: Rect,
    drawing: Drawing,
}

impl Content {
    fn of(drawing: Drawing) -> Self {
        let page = drawing.page();
        let sheet = Rect::between(DVec2::ZERO, drawing.size_pt);
        let seen = page.inks.iter().filter_map(crate::page::Ink::seen);
        let crop =
            seen.map(|r| r.common(&sheet)).filter(|r| r.min.cmple(r.max).all()).reduce(|a, b| a.union(&b));
        let least = |crop: Rect| Rect::about(crop.middle(), crop.size().max(DVec2::splat(LEAST)));
        Self { page, crop: crop.map_or(sheet, least), drawing }
    }

    /// With another below it, all of one page.
    fn over(mut self, below: &Self) -> Self {
        let shift =
            DVec2::new(self.crop.min.x - below.crop.min.x, self.crop.max.y + APART - below.crop.min.y);
        let panels = self.drawing.panels.len();
        self.page.inks.extend(below.page.inks.iter().cloned().map(|ink| {
            let mut ink = ink.moved(1.0, shift);
            ink.panel += panels;
            ink
        }));
        self.page.skipped += below.page.skipped;
        self.drawing.panels.extend(below.drawing.panels.iter().cloned());
        self.crop = self.crop.union(&below.crop.shifted(shift));
        self
    }

    /// How much of it ink covers, by the boxes of the inks.
    fn fullness(&self) -> f64 {
        let size = self.crop.size().max(DVec2::splat(1.0));
        let mut covered = vec![false; CELLS * CELLS];
        let cell = |at: f64| ((at * CELLS as f64).floor().max(0.0) as usize).min(CELLS - 1);
        for seen in self.page.inks.iter().filter_map(crate::page::Ink::seen) {
            let (low, high) = ((seen.min - self.crop.min) / size, (seen.max - self.crop.min) / size);
            // What reaches from end to end, as a frame or a rule does, says nothing of what is inside.
            if high.x - low.x > 0.9 || high.y - low.y > 0.97 {
                continue;
            }
            for row in cell(low.y)..=cell(high.y) {
                for column in cell(low.x)..=cell(high.x) {
                    covered[row * CELLS + column] = true;
                }
            }
        }
        covered.iter().filter(|covered| **covered).count() as f64 / covered.len() as f64
    }

    /// How many texts there are, and how many of them are cut short.
    fn said(&self) -> (usize, usize) {
        let texts = self.page.inks.iter().filter_map(|ink| match &ink.kind {
            InkKind::Text(text) => Some(&text.text),
            _ => None,
        });
        (texts.clone().count(), texts.filter(|text| text.ends_with('…')).count())
    }

    /// Whether nothing is seen in a rectangle (pt).
    fn is_free(&self, rect: &Rect) -> bool {
        !self.page.inks.iter().filter_map(crate::page::Ink::seen).any(|seen| seen.overlaps(rect))
    }

    /// A corner of the content that a block fits with some air: the block's layout and where it begins.
    fn corner(&self, block: &Block, region: &Rect) -> Option<(Layout, DVec2)> {
        if block.is_empty() {
            return None;
        }
        let room = region.size();
        (1..=block.entries.len().max(1)).rev().find_map(|columns| {
            let layout = block.layout(room.x, columns)?;
            let size = layout.size;
            if size.cmpgt(room).any() {
                return None;
            }
            let corners = [
                DVec2::new(region.max.x - size.x, region.min.y),
                DVec2::new(region.max.x - size.x, region.max.y - size.y),
                DVec2::new(region.min.x, region.max.y - size.y),
                region.min,
            ];
            let at =
                corners.into_iter().find(|at| self.is_free(&Rect::between(*at, *at + size).grown(APART)))?;
            Some((layout, at))
        })
    }
}

/// Where the block of scale bars and key stands.
enum Stand {
    /// In a free corner of the content.
    Corner(Layout, DVec2),
    /// Below it.
    Below(Layout),
}

impl Maker<'_> {
    fn is_sheet(&self) -> bool {
        self.view.name == page::VIEW.name
    }

    fn has_foot(&self) -> bool {
        self.dress.is_paged || self.is_sheet()
    }

    fn foot(&self) -> f64 {
        if self.has_foot() { FOOT } else { 0.0 }
    }

    fn margin(&self) -> f64 {
        if self.dress.on_paper { MARGIN.1 } else { MARGIN.0 }
    }

    fn title(&self) -> Title {
        let others = &self.state.others;
        let own = self.state.trial.as_deref().unwrap_or("as drawn");
        let trial = match others.len() {
            1 if self.view.name == super::compare::VIEW.name => format!("{own} beside {}", others[0].name),
            more if more > 1 && self.view.name == super::compare::VIEW.name => {
                format!("{own} beside {more} others")
            }
            _ => own.to_owned(),
        };
        let scene = Scene::new(self.fixture, self.results, self.state);
        let mut view = self.view.title.to_owned();
        if !self.view.is_still(self.state) && self.view.name != super::compare::VIEW.name {
            view.push_str(&format!(", drawn at travel {}", scene.text(scene.travel, 1)));
        }
        Title {
            name: self.fixture.name.clone(),
            trial,
            verdict: Verdict::of(self.results, self.state.unit),
            view,
            note: self.state.note.clone().unwrap_or_default(),
        }
    }

    /// The view in a size (pt), and what follows it on pages of another.
    fn drawn(&self, size: DVec2, following: Following) -> (Content, Vec<Content>) {
        let size = size * self.crowded(size);
        let state = ViewState { size_pt: size, is_picture: true, ..self.state.clone() };
        let lacks = (self.view.lacks)(self.fixture, self.results).is_some();
        if self.is_sheet() && !lacks {
            let scene = Scene::new(self.fixture, self.results, &state);
            let (first, rest) = page::whole(&scene, following);
            return (Content::of(first), rest.into_iter().map(Content::of).collect());
        }
        (Content::of(self.view.drawing(self.fixture, self.results, &state)), Vec::new())
    }

    fn block(&self, content: &Content, factor: f64) -> Block {
        Block {
            bars: scale::bars(&content.drawing, factor, self.state.unit.length, self.dress.on_paper),
            entries: key::entries(&content.drawing, &content.page),
        }
    }

    /// A page as large as its content wants.
    fn around_content(&self) -> Vec<Page> {
        let following = if self.dress.is_paged { Following::Pages(USUAL) } else { Following::Below(USUAL.x) };
        let (content, rest) = self.drawn(self.usual_size(), following);
        let content = if self.is_close() { self.fullest(content, following) } else { content };
        let (mut content, rest) = self.stacked(content, rest);
        let title = self.title();
        let block = self.block(&content, 1.0);
        let wide = content.crop.size().x.max(title.width().min(TITLE_ROOM));
        // In the middle of a page that its title makes wider.
        let spare = 0.5 * (wide - content.crop.size().x);
        content.crop.min.x -= spare;
        content.crop.max.x += spare;
        let stand = match content.corner(&block, &content.crop) {
            Some((layout, at)) => Stand::Corner(layout, at),
            None => Stand::Below(block.lowest(wide)),
        };
        let below = match &stand {
            Stand::Below(layout) if !block.is_empty() => APART + layout.size.y,
            _ => 0.0,
        };
        let margin = self.margin();
        let mut probe = dressing(DVec2::new(wide, 1.0));
        let head = title.draw(&mut probe, DVec2::ZERO, wide);
        let size = DVec2::new(wide, head + content.crop.size().y + below + self.foot()) + 2.0 * margin;
        let pages = 1 + rest.len();
        let mut made = vec![self.composed(&content, &title, &block, &stand, size, 1.0, (1, pages))];
        let none = Block::default();
        for (number, more) in rest.iter().enumerate() {
            let stand = Stand::Below(none.lowest(wide));
            made.push(self.composed(more, &title, &none, &stand, size, 1.0, (number + 2, pages)));
        }
        made
    }

    /// Whether the view shows one thing in any width, and none the less in a narrower one.
    fn is_close(&self) -> bool {
        let whole = [super::bench::VIEW.name, super::compare::VIEW.name, page::VIEW.name];
        !whole.contains(&self.view.name)
    }

    /// How many times as large a frame is that holds all of a comparison, whose words want their room; 1 for all else.
    fn crowded(&self, size: DVec2) -> f64 {
        if !self.is_comparison() {
            return 1.0;
        }
        let scene = Scene::new(self.fixture, self.results, self.state);
        let fits = |times: &f64| super::compare::height(&scene, times * size.x, false) <= times * size.y;
        (0..24).map(|step| 1.0 + 0.05 * f64::from(step)).find(fits).unwrap_or(2.2)
    }

    fn is_comparison(&self) -> bool {
        self.view.name == super::compare::VIEW.name && !self.state.others.is_empty()
    }

    fn usual_size(&self) -> DVec2 {
        if self.is_comparison() {
            let scene = Scene::new(self.fixture, self.results, self.state);
            return DVec2::new(USUAL.x, super::compare::height(&scene, USUAL.x, true));
        }
        if self.is_close() && self.view.name != super::space::VIEW.name { CLOSE } else { USUAL }
    }

    /// The same view in the width in which it fills its frame best, as long as nothing it says is lost.
    fn fullest(&self, wide: Content, following: Following) -> Content {
        let (said, cut) = wide.said();
        let mut best = (wide.fullness(), wide);
        let usual = self.usual_size();
        let sizes =
            HEIGHTS.into_iter().flat_map(|share| WIDTHS.map(|width| DVec2::new(width, share * usual.y)));
        // Names would fill a flatter frame in space better than the fixture itself.
        let least = if self.view.name == super::space::VIEW.name { usual.y } else { 0.0 };
        for size in sizes.filter(|size| size.x <= usual.x && size.y >= least) {
            let (narrow, _) = self.drawn(size, following);
            let (still, shortened) = narrow.said();
            let fullness = narrow.fullness();
            if still >= said && shortened <= cut && fullness > BETTER * best.0 {
                best = (fullness, narrow);
            }
        }
        best.1
    }

    /// Joins what follows below, where the one page grows.
    fn stacked(&self, content: Content, rest: Vec<Content>) -> (Content, Vec<Content>) {
        if self.dress.is_paged {
            return (content, rest);
        }
        (rest.iter().fold(content, |all, more| all.over(more)), Vec::new())
    }

    /// A page of a given size.
    fn on_page(&self, size: DVec2) -> Vec<Page> {
        let margin = self.margin();
        let inner = (size - 2.0 * margin).max(DVec2::splat(LEAST));
        let title = self.title();
        let mut probe = dressing(size);
        let head = title.draw(&mut probe, DVec2::ZERO, inner.x);
        let room = |taken: f64| DVec2::new(inner.x, (inner.y - head - self.foot() - taken).max(LEAST));
        let following =
            if self.dress.is_paged { Following::Pages(room(0.0)) } else { Following::Below(inner.x) };
        // First without the block: what it holds follows from what is drawn, and it may find a free corner.
        let (mut content, mut rest) = self.drawn(room(0.0), following);
        let mut factor = (room(0.0) / content.crop.size()).min_element().min(1.0);
        let mut block = self.block(&content, factor);
        let spare = 0.5 * (room(0.0) - content.crop.size()).max(DVec2::ZERO);
        let region = Rect { min: content.crop.min - spare, max: content.crop.max + spare };
        let corner = content.corner(&block, &region).filter(|_| factor >= 1.0 && rest.is_empty());
        let stand = if let Some((layout, at)) = corner {
            content.crop = region;
            Stand::Corner(layout, at)
        } else {
            let below = block.lowest(inner.x).size.y;
            let body = room(if block.is_empty() { 0.0 } else { below + APART });
            (content, rest) = self.drawn(body, following);
            (content, rest) = self.stacked(content, rest);
            // A sheet that may not go on on another page grows rather than shrink.
            let grows = self.is_sheet() && !self.dress.is_paged;
            let fitting = body / content.crop.size();
            factor = if grows { fitting.x } else { fitting.min_element() }.min(1.0);
            block = self.block(&content, factor);
            Stand::Below(block.lowest(inner.x))
        };
        let below = match &stand {
            Stand::Below(layout) if !block.is_empty() => APART + layout.size.y,
            _ => 0.0,
        };
        let needed = head + factor * content.crop.size().y + below + self.foot() + 2.0 * margin;
        let grown = DVec2::new(size.x, size.y.max(needed));
        let pages = 1 + rest.len();
        let mut made = vec![self.composed(&content, &title, &block, &stand, grown, factor, (1, pages))];
        let none = Block::default();
        for (number, more) in rest.iter().enumerate() {
            let stand = Stand::Below(none.lowest(inner.x));
            made.push(self.composed(more, &title, &none, &stand, size, 1.0, (number + 2, pages)));
        }
        made
    }

    /// A page put together.
    #[allow(clippy::too_many_arguments, reason = "the parts of one page")]
    fn composed(
        &self,
        content: &Content,
        title: &Title,
        block: &Block,
        stand: &Stand,
        size: DVec2,
        factor: f64,
        (number, of): (usize, usize),
    ) -> Page {
        let margin = self.margin();
        let inner = Rect::between(DVec2::ZERO, size).grown(-margin);
        let mut panel = dressing(size);
        let head = title.draw(&mut panel, inner.min, inner.size().x);
        let below = match stand {
            Stand::Below(layout) if !block.is_empty() => APART + layout.size.y,
            _ => 0.0,
        };
        let body = Rect {
            min: inner.min + DVec2::new(0.0, head),
            max: inner.max - DVec2::new(0.0, below + self.foot()),
        };
        // In the middle across; what goes on from a page before begins at the top.
        let spare = (body.size() - factor * content.crop.size()).max(DVec2::ZERO);
        let lift = if number > 1 { 0.0 } else { 0.5 };
        let shift = body.min + spare * DVec2::new(0.5, lift) - factor * content.crop.min;
        match stand {
            Stand::Below(layout) => {
                block.draw(
                    &mut panel,
                    layout,
                    DVec2::new(inner.min.x, inner.max.y - self.foot() - below + APART),
                );
            }
            // Only where the content is as large as it was laid out.
            Stand::Corner(layout, at) => block.draw(&mut panel, layout, *at + shift),
        }
        if self.has_foot() {
            self.write_foot(&mut panel, &inner, (number, of));
        }
        let mut inks: Vec<_> =
            content.page.inks.iter().cloned().map(|ink| ink.moved(factor, shift)).collect();
        let mut dressed = Drawing::new(content.page.title.clone(), size);
        dressed.panels.push(panel);
        let dressed = dressed.page();
        let panels = content.drawing.panels.len();
        inks.extend(dressed.inks.into_iter().map(|mut ink| {
            ink.panel += panels;
            ink
        }));
        Page {
            size_pt: size,
            title: content.page.title.clone(),
            inks,
            skipped: content.page.skipped + dressed.skipped,
        }
    }

    /// File and date, and which page of how many.
    fn write_foot(&self, panel: &mut Panel, inner: &Rect, (number, of): (usize, usize)) {
        let y = inner.max.y - 1.0;
        let mut write = |text: &str, x: f64, along: f64| {
            let label = Label::new(text, DVec2::new(x, y), FOOT_PT).toned(Tone::FaintInk);
            panel.add(label.anchored(along, 0.0));
        };
        write(&self.dress.file, inner.min.x, 0.0);
        write(&self.dress.date, inner.max.x, 1.0);
        if of > 1 {
            write(&format!("page {number} of {of}"), inner.middle().x, 0.5);
        }
    }
}

/// A panel whose world is the paper itself (pt, y down).
fn dressing(size: DVec2) -> Panel {
    let mut panel = Panel::new("title and key", Rect::between(DVec2::ZERO, size), DAffine2::IDENTITY);
    panel.clip = false;
    panel
}
