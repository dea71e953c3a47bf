//! A font cut down to the glyphs of a text, for files that carry their fonts inside.
//!
//! `subsetter` takes the glyphs out and leaves away what a PDF has no use for; a reader of SVG also wants to know which
//! glyph a character is (`cmap`) and how the font stands on its line (`OS/2`), which are put back. Features of
//! substitution and kerning stay away: widths here are sums of advances.

use std::collections::BTreeSet;

use skrifa::{FontRef, MetadataProvider};
use subsetter::GlyphRemapper;
use write_fonts::FontBuilder;
use write_fonts::read::{FontRef as Tables, TableProvider};
use write_fonts::tables::cmap::Cmap;
use write_fonts::types::{GlyphId, Tag};

use crate::look::FontFile;

const OS_2: Tag = Tag::new(b"OS/2");

/// A TrueType file of a font with the glyphs of some characters alone; a character it lacks is left out.
///
/// # Errors
/// What a library says of a font it cannot read.
pub fn subset(file: &FontFile, characters: &BTreeSet<char>) -> Result<Vec<u8>, String> {
    let font = FontRef::new(file.bytes).map_err(|e| e.to_string())?;
    let mut glyphs = GlyphRemapper::new();
    let mut mapping = Vec::with_capacity(characters.len());
    for c in characters {
        let Some(glyph) = font.charmap().map(*c).and_then(|glyph| u16::try_from(glyph.to_u32()).ok()) else {
            continue;
        };
        mapping.push((*c, GlyphId::new(u32::from(glyphs.remap(glyph)))));
    }
    let bare = subsetter::subset(file.bytes, 0, &glyphs).map_err(|e| e.to_string())?;
    let cut = Tables::new(&bare).map_err(|e| e.to_string())?;
    let whole = Tables::new(file.bytes).map_err(|e| e.to_string())?;
    let mut made = FontBuilder::new();
    made.add_table(&Cmap::from_mappings(mapping).map_err(|e| e.to_string())?).map_err(|e| e.to_string())?;
    if let Some(metrics) = whole.data_for_tag(OS_2) {
        made.add_raw(OS_2, metrics);
    }
    made.copy_missing_tables(cut);
    Ok(made.build())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "tests fail by panicking")]

    use super::*;
    use crate::look::all_fonts;

    /// Another library reads the small font: the characters asked for have the same widths, others have no glyph.
    #[test]
    fn a_small_font_holds_what_was_asked_for_and_nothing_else() {
        let characters: BTreeSet<char> = "Ø22 −0.50 mm ± fouls".chars().collect();
        for file in all_fonts() {
            let small = subset(file, &characters).unwrap();
            assert!(small.len() < 12_000, "{} {:?}: {} bytes", file.family, file.weight, small.len());
            let [whole, cut] = [file.bytes, &small[..]].map(|bytes| FontRef::new(bytes).unwrap());
            let wide = |font: &FontRef<'_>, c: char| {
                let glyph = font.charmap().map(c)?;
                let size = skrifa::instance::Size::new(1000.0);
                font.glyph_metrics(size, skrifa::instance::LocationRef::default()).advance_width(glyph)
            };
            for c in &characters {
                assert!(wide(&cut, *c).is_some(), "{c:?}");
                assert_eq!(wide(&cut, *c), wide(&whole, *c), "{c:?}");
            }
            assert!(wide(&cut, 'Z').is_none() && wide(&cut, '9').is_none());
            let mut fonts = resvg::usvg::fontdb::Database::new();
            fonts.load_font_data(small);
            let face = fonts.faces().next().unwrap();
            assert!(face.families[0].0.starts_with("IBM Plex Sans"), "{}", face.families[0].0);
        }
    }
}
