//! A page as PNG pixels, by way of its SVG.

use std::sync::{Arc, LazyLock};

use resvg::{tiny_skia, usvg};

use super::checked_size;
use super::svg::{SvgOptions, svg};
use crate::error::SheetError;
use crate::look::{Face, Theme, Tone, Weight, all_fonts, font_file};
use crate::page::Page;

/// The most pixels a picture may hold: 400 MB of working memory.
const MOST_PIXELS: u64 = 100_000_000;

/// How a picture is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PngOptions {
    /// Width (px); the height follows from the page.
    pub width_px: u32,
}

/// The typefaces, read once.
static FONTS: LazyLock<Arc<usvg::fontdb::Database>> = LazyLock::new(|| {
    let mut fonts = usvg::fontdb::Database::new();
    for font in all_fonts() {
        fonts.load_font_source(usvg::fontdb::Source::Binary(Arc::new(font.bytes)));
    }
    fonts.set_sans_serif_family(font_file(Face::Condensed, Weight::Regular).family);
    Arc::new(fonts)
});

/// The page as an opaque PNG file, compressed fast rather than small.
///
/// # Errors
/// When the page has no usable size, the picture would be too large, or a library refuses.
pub fn png(page: &Page, theme: &Theme, options: PngOptions) -> Result<Vec<u8>, SheetError> {
    let (width_pt, height_pt) = checked_size(page)?;
    let width = u64::from(options.width_px.max(1));
    let height = ((width as f64) * height_pt / width_pt).round().max(1.0) as u64;
    let too_large = SheetError::Pixels { width_px: width, height_px: height, limit_px: MOST_PIXELS };
    if width.saturating_mul(height) > MOST_PIXELS {
        return Err(too_large);
    }
    let failed = |message: String| SheetError::Writer { format: "PNG", message };
    let text = svg(page, theme, SvgOptions::default())?;
    let settings = usvg::Options {
        fontdb: FONTS.clone(),
        font_family: font_file(Face::Condensed, Weight::Regular).family.to_owned(),
        ..usvg::Options::default()
    };
    let tree = usvg::Tree::from_str(&text, &settings).map_err(|e| failed(e.to_string()))?;
    let Some(mut pixels) = tiny_skia::Pixmap::new(width as u32, height as u32) else { return Err(too_large) };
    let paper = theme.colour(Tone::Paper);
    // The page's own paper may miss a fraction of the last row when the height is rounded.
    pixels.fill(tiny_skia::Color::from_rgba8(paper.r, paper.g, paper.b, 255));
    let scale = width as f32 / tree.size().width();
    resvg::render(&tree, tiny_skia::Transform::from_scale(scale, scale), &mut pixels.as_mut());
    // Opaque throughout, so the premultiplied colours are the colours.
    let rgb: Vec<u8> = pixels.data().chunks_exact(4).flat_map(|p| [p[0], p[1], p[2]]).collect();
    let mut bytes = Vec::new();
    let mut encoder = ::png::Encoder::new(&mut bytes, width as u32, height as u32);
    encoder.set_color(::png::ColorType::Rgb);
    encoder.set_depth(::png::BitDepth::Eight);
    encoder.set_compression(::png::Compression::Fast);
    let mut writer = encoder.write_header().map_err(|e| failed(e.to_string()))?;
    writer.write_image_data(&rgb).map_err(|e| failed(e.to_string()))?;
    writer.finish().map_err(|e| failed(e.to_string()))?;
    Ok(bytes)
}
