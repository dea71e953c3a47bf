//! How items are laid out on paper: dimensions, picking, emphasis, strips, numbers that are no numbers.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may fail by panicking, its helpers too")]

mod common;

use glidewright_sheet::{
    DVec2, Dash, Dimension, DimensionKind, Drawing, Face, Fill, Glyph, Hatch, Hit, Ink, InkKind, Item, Label,
    Mark, Orientation, Page, Panel, Part, Path, Pen, PngOptions, Polyline, Rect, Series, Shape, StripData,
    StripLayout, SvgOptions, TextInk, Theme, Tone, Weight, fill_mesh, number, pdf, png, strip_panel, svg,
    text_width,
};

fn v(x: f64, y: f64) -> DVec2 {
    DVec2::new(x, y)
}

/// A page of 400 × 300 pt with one item in a world of 1 pt per unit, y up, origin in the middle.
fn page_of(items: impl IntoIterator<Item = Item>) -> Page {
    let mut drawing = Drawing::new("t", v(400.0, 300.0));
    let mut panel = Panel::centred("p", Rect::at(0.0, 0.0, 400.0, 300.0), DVec2::ZERO, 1.0);
    panel.items.extend(items);
    drawing.panels.push(panel);
    drawing.page()
}

fn text_of(page: &Page) -> &TextInk {
    page.inks.iter().find_map(|i| if let InkKind::Text(t) = &i.kind { Some(t) } else { None }).unwrap()
}

fn fills(page: &Page, tone: Tone) -> Vec<&Ink> {
    page.inks.iter().filter(|i| matches!(&i.kind, InkKind::Fill { fill, .. } if fill.tone == tone)).collect()
}

fn strokes(page: &Page) -> Vec<&Path> {
    page.inks
        .iter()
        .filter_map(|i| if let InkKind::Stroke { path, .. } = &i.kind { Some(path) } else { None })
        .collect()
}

/// Tips of the arrowheads: their first points.
fn tips(page: &Page) -> Vec<(DVec2, DVec2)> {
    fills(page, Tone::Dimension)
        .iter()
        .filter_map(|i| if let InkKind::Fill { path, .. } = &i.kind { Some(path.flatten(0.1)) } else { None })
        .map(|c| (c[0].points[0], (c[0].points[0] - 0.5 * (c[0].points[1] + c[0].points[2])).normalize()))
        .collect()
}

fn near(a: DVec2, b: DVec2) -> bool {
    a.distance(b) < 1e-6
}

#[test]
fn linear_dimensions_put_arrows_and_text_where_there_is_room() {
    // Length on paper, where the arrowheads should point, where the text should stand.
    for (length, arrows_inside, text_inside) in [
        (100.0, true, true),
        (40.0, true, true),
        (18.0, true, false),
        (10.0, false, false),
        (0.5, false, false),
    ] {
        let kind = DimensionKind::Horizontal { from: v(0.0, 0.0), to: v(length, 0.0), offset_pt: 20.0 };
        let page = page_of([Dimension::new(kind, "123.45").into()]);
        let [a, b] = tips(&page)[..] else { panic!("two arrowheads") };
        assert!(near(a.0, v(200.0, 170.0)) && near(b.0, v(200.0 + length, 170.0)), "{a:?} {b:?}");
        let outward = if arrows_inside { -1.0 } else { 1.0 };
        assert!(near(a.1, v(outward, 0.0)) && near(b.1, v(-outward, 0.0)), "length {length}: {a:?} {b:?}");
        let text = text_of(&page);
        assert!(text.at.y < 170.0, "above its line");
        let inside = text.start().x > 200.0 && text.start().x + text.width() < 200.0 + length;
        assert_eq!(inside, text_inside, "length {length}");
        // The line lies under all of the text.
        let under = strokes(&page).iter().any(|s| {
            s.bounds().is_some_and(|b| {
                b.size().y < 1e-9
                    && b.min.x <= text.start().x
                    && b.max.x >= text.start().x + text.width() - 1e-9
            })
        });
        assert!(under, "length {length}");
    }
}

#[test]
fn dimension_text_reads_from_below_or_from_the_right() {
    for degrees in (0..360).step_by(15) {
        let to = 80.0 * DVec2::from_angle(f64::from(degrees).to_radians());
        let kind = DimensionKind::Aligned { from: DVec2::ZERO, to, offset_pt: 15.0 };
        let text = text_of(&page_of([Dimension::new(kind, "80").into()])).clone();
        let turn = text.turn.to_degrees();
        assert!(turn > -90.0 + 1e-6 && turn <= 90.0 + 1e-6, "{degrees}°: text turned {turn}°");
    }
    let kind = DimensionKind::Vertical { from: DVec2::ZERO, to: v(0.0, 80.0), offset_pt: 15.0 };
    let text = text_of(&page_of([Dimension::new(kind, "80").into()])).clone();
    assert!((text.turn.to_degrees() - 90.0).abs() < 1e-9);
    assert!(text.at.x < 215.0, "left of its line, which is above when read from the right");
}

#[test]
fn offsets_say_on_which_side_the_line_stands() {
    let (a, b) = (v(-30.0, 10.0), v(30.0, -20.0));
    for (kind, line) in [
        (DimensionKind::Horizontal { from: a, to: b, offset_pt: 12.0 }, v(170.0, 182.0)),
        (DimensionKind::Horizontal { from: a, to: b, offset_pt: -12.0 }, v(170.0, 128.0)),
        (DimensionKind::Vertical { from: a, to: b, offset_pt: 12.0 }, v(242.0, 140.0)),
        (DimensionKind::Vertical { from: a, to: b, offset_pt: -12.0 }, v(158.0, 140.0)),
        // Walking to the right, the reader's right hand is below.
        (DimensionKind::Aligned { from: v(-30.0, 0.0), to: v(30.0, 0.0), offset_pt: 12.0 }, v(170.0, 162.0)),
        (DimensionKind::Aligned { from: v(30.0, 0.0), to: v(-30.0, 0.0), offset_pt: 12.0 }, v(170.0, 138.0)),
    ] {
        let page = page_of([Dimension::new(kind, "x").into()]);
        let found = tips(&page);
        assert!(found.iter().any(|t| near(t.0, line)), "{kind:?}: {found:?}");
    }
}

#[test]
fn round_dimensions_move_outside_small_circles() {
    for (radius, arrows) in [(60.0, 2), (20.0, 2), (5.0, 1)] {
        let kind = DimensionKind::Diameter { centre: DVec2::ZERO, radius, angle: 0.6 };
        let page = page_of([Dimension::new(kind, "Ø12").into()]);
        let on_paper = v(0.6_f64.cos(), -0.6_f64.sin());
        let found = tips(&page);
        assert_eq!(found.len(), arrows, "radius {radius}");
        assert!(near(found[0].0, v(200.0, 150.0) + on_paper * radius));
        let points_out = near(found[0].1, on_paper);
        assert_eq!(points_out, arrows == 2, "radius {radius}");
        let outside = text_of(&page).start().distance(v(200.0, 150.0)) > radius;
        assert_eq!(outside, arrows == 1, "radius {radius}");
    }
}

#[test]
fn an_angle_spans_its_legs_counter_clockwise_in_any_world() {
    // A world with y up and one with y down: the arc must hold the direction half way between the legs.
    for flip in [1.0, -1.0] {
        let mut panel = Panel::centred("p", Rect::at(0.0, 0.0, 400.0, 300.0), DVec2::ZERO, 1.0);
        panel.pt_from_world.matrix2.y_axis *= flip;
        for (from, to) in [(0.2, 1.4), (3.0, -2.5), (-0.5, 2.8)] {
            panel.items.clear();
            let kind = DimensionKind::Angle { vertex: DVec2::ZERO, from, to, radius_pt: 50.0 };
            panel.add(Dimension::new(kind, "°"));
            let mut drawing = Drawing::new("t", v(400.0, 300.0));
            drawing.panels.push(panel.clone());
            let page = drawing.page();
            let sweep = f64::rem_euclid(to - from, std::f64::consts::TAU);
            let middle = panel.pt(50.0 * DVec2::from_angle(from + 0.5 * sweep));
            let opposite = panel.pt(50.0 * DVec2::from_angle(from + 0.5 * sweep + std::f64::consts::PI));
            let arc = *strokes(&page).last().unwrap();
            assert!(arc.distance(middle) < 0.01, "{from} to {to}, flip {flip}");
            assert!(arc.distance(opposite) > 10.0, "{from} to {to}, flip {flip}");
        }
    }
}

#[test]
fn picking_finds_the_topmost_and_looks_through_holes() {
    let part = |n: u32, shape: Shape| {
        let mut item = Item::from(shape);
        item.part(Part(n)).named(format!("part {n}"));
        item
    };
    let mut ring = Path::rect(Rect::at(-60.0, -60.0, 120.0, 120.0));
    ring.append(&Path::circle(DVec2::ZERO, 20.0));
    let pen = Pen::wide(Tone::Outline);
    let mut line = Item::from(Polyline::new(vec![v(-100.0, 80.0), v(100.0, 80.0)], pen));
    line.part(Part(4));
    let mut mark = Item::from(Mark::new(Glyph::Circle, v(40.0, 40.0), 5.0, Tone::Clash));
    mark.part(Part(5));
    let page = page_of([
        part(1, Shape::new(Path::rect(Rect::at(-100.0, -30.0, 200.0, 60.0))).filled(Tone::Rail).stroked(pen)),
        part(2, Shape::new(ring).filled(Tone::RiderA).stroked(pen)),
        part(
            3,
            Shape::new(Path::rect(Rect::at(50.0, -10.0, 30.0, 20.0))).filled(Tone::Hardware).stroked(pen),
        ),
        line,
        mark,
        Shape::new(Path::rect(Rect::at(-5.0, -5.0, 10.0, 10.0))).filled(Tone::Grid).into(),
    ]);
    for (x, y, expected, why) in [
        (-80.0, 0.0, Some(1), "alone"),
        (-40.0, 0.0, Some(2), "over part 1"),
        (10.0, 0.0, Some(1), "through the hole"),
        (0.0, 0.0, Some(1), "an item without a part hides nothing"),
        (55.0, 0.0, Some(3), "over part 2"),
        (48.0, 0.0, Some(2), "beside part 3, but on part 2: areas count only where they are"),
        (82.0, 0.0, Some(1), "beside part 3, on part 1"),
        (0.0, 83.0, Some(4), "near a line"),
        (0.0, 86.0, None, "too far from a line"),
        (44.0, 40.0, Some(5), "near a mark, although on part 2"),
        (102.0, 0.0, Some(1), "nothing here: the nearest area"),
        (0.0, -90.0, None, "nothing near"),
    ] {
        let got = page.pick(v(200.0 + x, 150.0 - y), 4.0);
        assert_eq!(got.as_ref().map(|h: &Hit| h.part.0), expected, "({x}, {y}): {why}");
    }
    assert_eq!(page.pick(v(120.0, 150.0), 0.0).and_then(|h| h.name).as_deref(), Some("part 1"));
    assert_eq!(page.pick(DVec2::NAN, 4.0), None);
}

#[test]
fn clipped_things_cannot_be_picked_outside_their_frame() {
    let mut drawing = Drawing::new("t", v(400.0, 300.0));
    let mut panel = Panel::centred("p", Rect::at(100.0, 100.0, 100.0, 100.0), DVec2::ZERO, 1.0);
    panel.add(Shape::new(Path::rect(Rect::at(-500.0, -10.0, 1000.0, 20.0))).filled(Tone::Rail)).part(Part(1));
    drawing.panels.push(panel);
    let page = drawing.page();
    assert!(page.pick(v(150.0, 150.0), 0.0).is_some());
    assert!(page.pick(v(50.0, 150.0), 0.0).is_none());
    assert_eq!(drawing.panel_at(v(150.0, 150.0)).map(|p| p.0), Some(0));
    assert!(drawing.panel_at(v(50.0, 150.0)).is_none());
    let world = drawing.panels[0].world_from_pt(v(160.0, 130.0)).unwrap();
    assert!(near(world, v(10.0, 20.0)), "{world}");
}

#[test]
fn emphasis_retraces_the_part_and_nothing_else() {
    let mut drawing = common::sample();
    let plain = drawing.page();
    let lit = drawing.page_with(&[(common::NUT, Tone::Selection), (Part(999), Tone::Highlight)]);
    let extra: Vec<&Ink> = lit.inks.iter().filter(|i| i.item.is_none()).collect();
    // A tint, an outline, and a tick at each of the four corners round it.
    assert_eq!((extra.len(), lit.inks.len()), (6, plain.inks.len() + 6));
    assert!(extra.iter().all(|ink| ink.part == Some(common::NUT)));
    drawing.panels.clear();
    assert!(drawing.page_with(&[(common::NUT, Tone::Selection)]).inks.is_empty());
}

#[test]
fn strips_share_the_travel_axis_with_the_rail() {
    let plot = Rect::at(50.0, 40.0, 120.0, 200.0);
    for (orientation, ends) in [
        (Orientation::Upright, [v(50.0, 240.0), v(50.0, 40.0)]),
        (Orientation::Lying, [v(50.0, 240.0), v(170.0, 240.0)]),
    ] {
        let layout = StripLayout { plot, orientation, travel: (100.0, 700.0), travel_numbers: true };
        let data = StripData { range: Some((0.0, 10.0)), ..common::effort() };
        let panel = strip_panel(&data, &layout);
        for (travel, expected) in [(100.0, ends[0]), (700.0, ends[1])] {
            let got = panel.pt(v(travel, 0.0));
            assert!(near(got, expected), "{orientation:?} {travel}: {got}");
        }
        let world = panel.world_from_pt(plot.middle()).unwrap();
        assert!(near(world, v(400.0, 5.0)), "{orientation:?}: {world}");
    }
}

#[test]
fn cursor_readings_stay_in_the_plot_and_apart() {
    let plot = Rect::at(60.0, 60.0, 150.0, 180.0);
    for orientation in [Orientation::Upright, Orientation::Lying] {
        for cursor in [0.0, 1.0, 350.0, 699.0, 700.0] {
            let mut data = StripData { cursor: Some(cursor), ..common::effort() };
            data.range = Some((0.0, 10.0));
            // Five curves hardly apart are the hardest to keep apart; nearer still they are read as one.
            let lifted = |by: f64| {
                let mut series = data.series[0].clone();
                series.points.iter_mut().for_each(|p| p.y += by);
                series
            };
            data.series = (0..5).map(|i| lifted(0.8 * f64::from(i))).collect();
            let layout = StripLayout { plot, orientation, travel: (0.0, 700.0), travel_numbers: true };
            let mut drawing = Drawing::new("t", v(300.0, 300.0));
            drawing.panels.push(strip_panel(&data, &layout));
            let page = drawing.page();
            let readings: Vec<Rect> = page
                .inks
                .iter()
                .filter(|i| matches!(&i.kind, InkKind::Text(t) if t.text.ends_with(" N")))
                .map(|i| i.bounds)
                .collect();
            assert_eq!(readings.len(), 5, "{orientation:?} {cursor}");
            for (i, a) in readings.iter().enumerate() {
                assert!(plot.holds(a), "{orientation:?} {cursor}: {a:?}");
                assert!(readings[..i].iter().all(|b| !a.overlaps(b)), "{orientation:?} {cursor}: {a:?}");
            }
        }
    }
}

#[test]
fn a_series_is_read_between_its_points_and_not_in_its_gaps() {
    let points =
        [(0.0, 1.0), (10.0, 3.0), (20.0, f64::NAN), (30.0, 5.0), (30.0, 7.0), (40.0, 7.0)].map(DVec2::from);
    let series = Series::new("s", Tone::RiderALine, points.to_vec());
    for (travel, expected) in [
        (-1.0, None),
        (0.0, Some(1.0)),
        (2.5, Some(1.5)),
        (10.0, Some(3.0)),
        (15.0, None),
        (25.0, None),
        (30.0, Some(5.0)),
        (35.0, Some(7.0)),
        (40.0, Some(7.0)),
        (41.0, None),
        (f64::NAN, None),
    ] {
        assert_eq!(series.value_at(travel), expected, "{travel}");
    }
}

#[test]
fn numbers_are_written_as_on_drawings() {
    for (value, decimals, expected) in [
        (-0.6, 2, "−0.60"),
        (-0.001, 2, "0.00"),
        (0.0, 0, "0"),
        (12.345, 1, "12.3"),
        (f64::NAN, 2, "–"),
        (f64::INFINITY, 2, "∞"),
        (f64::NEG_INFINITY, 2, "−∞"),
    ] {
        assert_eq!(number(value, decimals), expected);
    }
}

#[test]
fn labels_with_several_lines_are_centred_as_a_block() {
    let size = 10.0;
    let page = page_of([Label::new("one\ntwo\nthree", DVec2::ZERO, size).into()]);
    let mut baselines: Vec<f64> =
        page.inks.iter().map(|i| if let InkKind::Text(t) = &i.kind { t.at.y } else { 0.0 }).collect();
    baselines.sort_by(f64::total_cmp);
    assert_eq!(baselines.len(), 3);
    let top = baselines[0] - glidewright_sheet::CAP_HEIGHT * size;
    assert!((0.5 * (top + baselines[2]) - 150.0).abs() < 1e-9, "{baselines:?}");
    let width = text_width("three", size, Face::Condensed, Weight::Regular);
    assert!((page.inks.iter().map(|i| i.bounds.size().x).fold(0.0, f64::max) - width).abs() < 1e-9);
}

/// Numbers that break careless arithmetic.
const HOSTILE: [f64; 12] =
    [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.0, -0.0, 1e300, -1e300, 1e-300, 5e-324, 1e9, -1e9, 1.0];

#[test]
fn no_number_brings_a_painter_down() {
    let theme = Theme::dark();
    for (i, &a) in HOSTILE.iter().enumerate() {
        for &b in &HOSTILE[..=i] {
            let p = v(a, b);
            let mut items: Vec<Item> = vec![
                Shape::new(Path::rect(Rect { min: DVec2::ZERO, max: p }))
                    .filled(Fill::round(Tone::Tyre, p, v(b, a)))
                    .hatched(Hatch { turn: a, spacing_pt: b, width_pt: a, ..Hatch::section(Tone::Ink) })
                    .stroked(Pen::new(Tone::Ink, b).dashed(Dash::Centre).faded(a))
                    .into(),
                Shape::new(Path::circle(p, b))
                    .filled(Fill::faded(Tone::Load, a))
                    .hatched(Hatch::section(Tone::Ink))
                    .into(),
                Shape::new(Path::rounded_rect(Rect::about(p, v(a, b)), a))
                    .filled(Tone::Rail)
                    .stroked(Pen::wide(Tone::Ink))
                    .into(),
                Polyline::new(
                    vec![DVec2::ZERO, p, v(b, a), v(5.0, 5.0)],
                    Pen::wide(Tone::Belt).dashed(Dash::Dotted),
                )
                .into(),
                Label { turn: a, along: b, ..Label::new("x\n\u{0}y", p, 8.0).on_plate() }.into(),
                Label::new("size", DVec2::ZERO, a).into(),
                Mark::new(Glyph::MassCentre, p, b, Tone::Load).turned(a).into(),
            ];
            for kind in [
                DimensionKind::Horizontal { from: DVec2::ZERO, to: p, offset_pt: b },
                DimensionKind::Aligned { from: DVec2::ZERO, to: p, offset_pt: b },
                DimensionKind::Radius { centre: DVec2::ZERO, radius: a, angle: b },
                DimensionKind::Diameter { centre: p, radius: 5.0, angle: b },
                DimensionKind::Angle { vertex: DVec2::ZERO, from: a, to: b, radius_pt: 20.0 },
                DimensionKind::Angle { vertex: DVec2::ZERO, from: 0.0, to: b, radius_pt: a },
                DimensionKind::Leader { tip: p, elbow_pt: v(b, a), dot: true },
            ] {
                items.push(Dimension::new(kind, "12").into());
            }
            let mut page = page_of(items);
            let series = Series {
                low: vec![a, b, 1.0],
                high: vec![b],
                ..Series::new("s", Tone::Clear, vec![p, v(b, a), v(1.0, 2.0)])
            };
            let data = StripData {
                series: vec![series],
                cursor: Some(a),
                range: Some((b, a)),
                ..common::clearance()
            };
            for range in [data.range, None] {
                let plot = Rect::at(20.0, 20.0, 100.0, 100.0);
                let layout = StripLayout {
                    plot,
                    orientation: Orientation::Lying,
                    travel: (a, b),
                    travel_numbers: true,
                };
                let mut drawing = Drawing::new("t", v(400.0, 300.0));
                drawing.panels.push(strip_panel(&StripData { range, ..data.clone() }, &layout));
                let flat = Panel::centred("flat", plot, DVec2::ZERO, a);
                assert!(flat.world_from_pt(p).is_none_or(|w| w.is_finite()));
                page.inks.extend(drawing.page().inks);
            }
            for ink in &page.inks {
                assert!(ink.bounds.is_finite(), "{ink:?}");
                if let InkKind::Fill { path, fill } = &ink.kind {
                    let _ = fill_mesh(path, fill, &theme, 0.2);
                }
                if let InkKind::Stroke { path, pen, dash_offset } = &ink.kind {
                    let _ = path.dashed(&pen.dash.pattern(pen.width_pt), *dash_offset);
                }
            }
            assert!(svg(&page, &theme, SvgOptions::default()).is_ok(), "{a} {b}");
            assert!(pdf(std::slice::from_ref(&page), &theme).is_ok(), "{a} {b}");
            assert!(png(&page, &theme, PngOptions { width_px: 40 }).is_ok(), "{a} {b}");
            let _ = page.pick(v(200.0, 150.0), a);
        }
    }
}
