//! The three painters, read back by other programs' eyes: an XML parser, an SVG renderer, a PDF's own marks.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may fail by panicking, its helpers too")]

mod common;

use glidewright_sheet::{
    DVec2, Drawing, Face, Fill, InkKind, Label, Page, Panel, Path, PngOptions, Rect, Shape, SheetError,
    SvgOptions, Theme, Tone, Weight, all_fonts, missing_glyphs, pdf, png, svg, text_width,
};
use resvg::usvg;

fn themes() -> [Theme; 2] {
    [Theme::light(), Theme::dark()]
}

fn fonts() -> usvg::fontdb::Database {
    let mut fonts = usvg::fontdb::Database::new();
    for font in all_fonts() {
        fonts.load_font_data(font.bytes.to_vec());
    }
    fonts
}

fn decoded(bytes: &[u8]) -> (usize, usize, Vec<u8>) {
    let mut reader = ::png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut pixels).unwrap();
    assert_eq!(info.color_type, ::png::ColorType::Rgb);
    (info.width as usize, info.height as usize, pixels)
}

fn texts(page: &Page) -> Vec<&str> {
    page.inks
        .iter()
        .filter_map(|i| if let InkKind::Text(t) = &i.kind { Some(t.text.as_str()) } else { None })
        .collect()
}

#[test]
fn svg_holds_every_ink_once_and_every_word() {
    let page = common::sample().page();
    assert_eq!(page.skipped, 0);
    for theme in themes() {
        let text = svg(&page, &theme, SvgOptions::default()).unwrap();
        let xml = roxmltree::Document::parse(&text).unwrap();
        let count = |name: &str| xml.descendants().filter(|n| n.has_tag_name(name)).count();
        let words: Vec<&str> =
            xml.descendants().filter(|n| n.has_tag_name("text")).filter_map(|n| n.text()).collect();
        assert_eq!(words, texts(&page));
        assert_eq!(count("path"), page.inks.len() - words.len());
        assert_eq!(xml.root_element().attribute("width"), Some("842pt"));
        let title = xml.root_element().first_element_child().unwrap();
        assert_eq!(title.text(), Some("Sample sheet: plate, stacks, strips & <tones>"));
        let plate = xml.descendants().find(|n| n.attribute("data-part") == Some("1")).unwrap();
        assert_eq!(plate.first_element_child().unwrap().text(), Some("plate of rider A"));
        // Every reference leads somewhere.
        let ids: Vec<&str> = xml.descendants().filter_map(|n| n.attribute("id")).collect();
        for reference in text.match_indices("url(#").map(|(i, _)| &text[i + 5..]) {
            let id = &reference[..reference.find(')').unwrap()];
            assert!(ids.contains(&id), "{id}");
        }
    }
}

#[test]
fn embedded_fonts_hold_the_words_and_no_other_letter() {
    use base64::Engine as _;
    use skrifa::MetadataProvider as _;
    let page = common::sample().page();
    let text = svg(&page, &Theme::light(), SvgOptions { embed_fonts: true }).unwrap();
    let data: Vec<&str> = text.split("base64,").skip(1).map(|t| &t[..t.find(')').unwrap()]).collect();
    assert_eq!(data.len(), 2, "condensed regular and semi-bold are used");
    for d in &data {
        let bytes = base64::engine::general_purpose::STANDARD.decode(d).unwrap();
        let font = skrifa::FontRef::new(&bytes).unwrap();
        let all = texts(&page).concat();
        let held: Vec<char> =
            font.charmap().mappings().filter_map(|(code, _)| char::from_u32(code)).collect();
        assert!(!held.is_empty() && held.iter().all(|c| all.contains(*c)), "{held:?}");
    }
    assert!(data.iter().map(|d| d.len()).sum::<usize>() < 60_000, "far less than the files");
    let bare = svg(&page, &Theme::light(), SvgOptions::default()).unwrap();
    assert!(text.len() - bare.len() < 60_000);
}

#[test]
fn named_fonts_exist_and_text_sets_as_wide_as_measured() {
    let fonts = std::sync::Arc::new(fonts());
    for (face, weight) in [
        (Face::Sans, Weight::Regular),
        (Face::Sans, Weight::SemiBold),
        (Face::Condensed, Weight::Regular),
        (Face::Condensed, Weight::SemiBold),
    ] {
        for words in ["0123456789", "30.00 − 2 × 5.10", "Tightest gap, Wheel A to Van Tyre", "Ø22 ±0.05 °"]
        {
            let mut drawing = Drawing::new("t", DVec2::new(900.0, 100.0));
            let mut panel = Panel::centred("p", Rect::at(0.0, 0.0, 900.0, 100.0), DVec2::ZERO, 1.0);
            let mut label = Label::new(words, DVec2::ZERO, 40.0);
            (label.face, label.weight) = (face, weight);
            panel.add(label);
            drawing.panels.push(panel);
            let text = svg(&drawing.page(), &Theme::light(), SvgOptions::default()).unwrap();
            let settings = usvg::Options { fontdb: fonts.clone(), ..usvg::Options::default() };
            let tree = usvg::Tree::from_str(&text, &settings).unwrap();
            let width_px = tree.root().children().iter().map(find_text).fold(0.0, f64::max);
            let measured = text_width(words, 40.0, face, weight);
            // usvg works in pixels of 1/96 inch within the view box's points, so its figure is in points;
            // its box goes from the first advance to the last, kerning applied.
            assert!(
                (width_px / measured - 1.0).abs() < 0.02,
                "{face:?} {weight:?} {words}: {width_px} {measured}"
            );
        }
    }
}

fn find_text(node: &usvg::Node) -> f64 {
    match node {
        usvg::Node::Text(t) => f64::from(t.bounding_box().width()),
        usvg::Node::Group(g) => g.children().iter().map(find_text).fold(0.0, f64::max),
        _ => 0.0,
    }
}

#[test]
fn digits_are_tabular() {
    for face in [Face::Sans, Face::Condensed] {
        for weight in [Weight::Regular, Weight::SemiBold] {
            let one = text_width("1", 10.0, face, weight);
            for digit in "0123456789".chars() {
                assert_eq!(
                    text_width(&digit.to_string(), 10.0, face, weight),
                    one,
                    "{face:?} {weight:?} {digit}"
                );
            }
        }
    }
}

#[test]
fn the_fonts_hold_what_drawings_write_and_say_what_they_lack() {
    assert_eq!(missing_glyphs("Ø ± × · ° − – … ² ³ µ σ Σ φ α θ ρ δ √ ≈ ≤ ≥ ½ ′ ″ → ← ↑ ↓ ∞ AZaz09"), []);
    assert_eq!(missing_glyphs("a⌀▲b"), ['⌀', '▲']);
}

#[test]
fn png_paints_every_text_where_it_should_be() {
    let page = common::sample().page();
    let scale = 3.0;
    for theme in themes() {
        let only_text = Page {
            inks: page.inks.iter().filter(|i| matches!(i.kind, InkKind::Text(_))).cloned().collect(),
            ..page.clone()
        };
        let width = (page.size_pt.x * scale) as u32;
        let (w, h, pixels) = decoded(&png(&only_text, &theme, PngOptions { width_px: width }).unwrap());
        assert_eq!((w, h), (2526, 1785));
        let paper = theme.colour(Tone::Paper);
        let inked = |x: usize, y: usize| {
            let p = &pixels[3 * (y * w + x)..][..3];
            p.iter().zip([paper.r, paper.g, paper.b]).any(|(a, b)| a.abs_diff(b) > 40)
        };
        let mut total = 0;
        for ink in &only_text.inks {
            let InkKind::Text(text) = &ink.kind else { continue };
            let b = ink.bounds;
            let mut count = 0;
            for y in (b.min.y * scale) as usize..((b.max.y * scale) as usize).min(h) {
                for x in (b.min.x * scale) as usize..((b.max.x * scale) as usize).min(w) {
                    count += usize::from(inked(x, y));
                }
            }
            // Letters cover roughly a sixth of their box; a fortieth of the text's own area is plenty of proof.
            let expected = text.width() * text.size_pt * scale * scale / 40.0;
            assert!(count as f64 > expected, "{:?}: {count} pixels, expected over {expected:.0}", text.text);
            total += count;
        }
        let all = (0..h).flat_map(|y| (0..w).map(move |x| (x, y))).filter(|(x, y)| inked(*x, *y)).count();
        // A row of soft pixels may fall to the far side of a box's edge.
        assert!(all <= total + total / 100, "no text outside its box: {all} pixels in all, {total} in boxes");
    }
}

#[test]
fn png_has_the_theme_s_colours_and_the_asked_width() {
    let mut drawing = Drawing::new("t", DVec2::new(100.0, 50.0));
    let mut panel = Panel::centred("p", Rect::at(0.0, 0.0, 100.0, 50.0), DVec2::ZERO, 1.0);
    let mut frame = Path::rect(Rect::at(-40.0, -20.0, 80.0, 40.0));
    frame.append(&Path::rect(Rect::at(-10.0, -10.0, 20.0, 20.0)));
    panel.add(Shape::new(frame).filled(Fill::flat(Tone::RiderA)));
    drawing.panels.push(panel);
    for theme in themes() {
        let (w, h, pixels) = decoded(&png(&drawing.page(), &theme, PngOptions { width_px: 401 }).unwrap());
        assert_eq!((w, h), (401, 201));
        let at = |x: usize, y: usize| [0, 1, 2].map(|c| pixels[3 * (y * w + x) + c]);
        let colour = |t: Tone| {
            let c = theme.colour(t);
            [c.r, c.g, c.b]
        };
        assert_eq!(at(5, 5), colour(Tone::Paper));
        assert_eq!(at(60, 100), colour(Tone::RiderA));
        assert_eq!(at(200, 100), colour(Tone::Paper), "the hole shows the paper");
        assert_eq!(at(400, 200), colour(Tone::Paper), "the last, partly covered pixel is paper too");
    }
}

#[test]
fn pdf_is_a_pdf_at_true_size_with_fonts() {
    let page = common::sample().page();
    for theme in themes() {
        let bytes = pdf(&[page.clone(), page.clone()], &theme).unwrap();
        assert!(bytes.starts_with(b"%PDF-"));
        let text = String::from_utf8_lossy(&bytes);
        assert!(text.trim_end().ends_with("%%EOF"));
        assert_eq!(text.matches("/MediaBox").count(), 2);
        assert!(text.contains("[0 0 842 595]"), "true size in points");
        assert!(text.contains("IBMPlexSansCond") && text.contains("/FontFile2"), "fonts are embedded");
        assert!(text.contains("/ToUnicode"), "text can be found and copied");
    }
}

#[test]
fn writing_twice_gives_the_same_bytes() {
    let page = common::sample().page();
    let theme = Theme::light();
    assert_eq!(pdf(std::slice::from_ref(&page), &theme), pdf(std::slice::from_ref(&page), &theme));
    let small = PngOptions { width_px: 300 };
    assert_eq!(png(&page, &theme, small), png(&page, &theme, small));
}

#[test]
fn sizes_that_cannot_be_written_are_refused() {
    let theme = Theme::light();
    for size in [(0.0, 10.0), (-1.0, 10.0), (f64::NAN, 10.0), (10.0, f64::INFINITY), (10.0, 1e6)] {
        let page = Drawing::new("t", DVec2::from(size)).page();
        let refused = |e: Result<(), SheetError>| matches!(e, Err(SheetError::Size { .. }));
        assert!(refused(svg(&page, &theme, SvgOptions::default()).map(drop)), "{size:?}");
        assert!(refused(png(&page, &theme, PngOptions { width_px: 10 }).map(drop)), "{size:?}");
        assert!(refused(pdf(&[page], &theme).map(drop)), "{size:?}");
    }
    let page = Drawing::new("t", DVec2::new(100.0, 100.0)).page();
    assert!(matches!(png(&page, &theme, PngOptions { width_px: u32::MAX }), Err(SheetError::Pixels { .. })));
    assert!(pdf(&[], &theme).is_err());
}
