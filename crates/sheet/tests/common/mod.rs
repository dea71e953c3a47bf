//! A drawing that uses everything once: looked at by eye through the example, checked by the tests.

use std::f64::consts::{FRAC_PI_2, PI};

use glidewright_geometry::{Edge, Outline};
use glidewright_sheet::{
    CentreCross, DVec2, Dash, Dimension, DimensionKind, Drawing, End, Fill, Glyph, Hatch, Interval, Label,
    Limit, Mark, Marker, Orientation, Panel, Part, Path, Pen, Polyline, Rect, Series, Shape, StripData,
    StripLayout, Tone, strip_panel,
};

pub const PLATE: Part = Part(1);
pub const HOLE: Part = Part(2);
pub const NUT: Part = Part(3);
pub const CURVE: Part = Part(4);

fn v(x: f64, y: f64) -> DVec2 {
    DVec2::new(x, y)
}

/// A rectangle with rounded corners as an outline of lines and arcs.
pub fn rounded_outline(half: DVec2, r: f64) -> Outline {
    let mut edges = Vec::new();
    let corners = [v(1.0, -1.0), v(1.0, 1.0), v(-1.0, 1.0), v(-1.0, -1.0)];
    for (i, corner) in corners.iter().enumerate() {
        let centre = *corner * (half - DVec2::splat(r));
        let start = -FRAC_PI_2 + FRAC_PI_2 * i as f64;
        let arc = Edge::Arc { centre, radius: r, start, sweep: FRAC_PI_2 };
        let next = corners[(i + 1) % 4] * (half - DVec2::splat(r));
        let line = Edge::Line { from: arc.to(), to: next + r * DVec2::from_angle(start + FRAC_PI_2) };
        edges.extend([arc, line]);
    }
    Outline { edges }
}

pub fn circle_outline(centre: DVec2, radius: f64) -> Outline {
    Outline { edges: vec![Edge::Arc { centre, radius, start: 0.0, sweep: 2.0 * PI }] }
}

fn title(panel: &mut Panel, text: &str) {
    let at = panel.world_from_pt(panel.frame.min).unwrap_or_default();
    panel
        .add(
            Label::new(text, glidewright_sheet::Place::from(at).shifted(0.0, -6.0), 10.0)
                .bold()
                .anchored(0.0, 0.0),
        )
        .overflowing();
}

pub fn plate_panel(frame: Rect) -> Panel {
    let mut panel = Panel::fitted("plate", frame, Rect::at(-52.0, -50.0, 116.0, 90.0), 0.0);
    let outer = rounded_outline(v(40.0, 30.0), 6.0);
    let holes = [v(-28.0, 18.0), v(28.0, 18.0), v(-28.0, -18.0), v(28.0, -18.0)];
    let mut cuts: Vec<Outline> = holes.iter().map(|c| circle_outline(*c, 3.1)).collect();
    cuts.push(circle_outline(v(0.0, 0.0), 11.0));
    let path = Path::outline_with_holes(&outer, &cuts);
    panel
        .add(Shape::new(path).filled(Tone::RiderA).stroked(Pen::wide(Tone::Outline)))
        .part(PLATE)
        .named("plate of rider A");
    for (i, c) in holes.iter().enumerate() {
        let ring = Shape::new(Path::circle(*c, 3.1)).stroked(Pen::new(Tone::Outline, 0.7));
        panel.add(ring).part(HOLE).named(format!("hole {}", i + 1));
        panel.add(CentreCross { centre: *c, radius: 3.1 });
    }
    panel.add(CentreCross { centre: v(0.0, 0.0), radius: 11.0 });
    let dims = [
        (DimensionKind::Horizontal { from: v(-40.0, -30.0), to: v(40.0, -30.0), offset_pt: 36.0 }, "80.0"),
        (DimensionKind::Horizontal { from: holes[2], to: holes[3], offset_pt: 52.0 }, "56.0"),
        (DimensionKind::Vertical { from: v(-40.0, -30.0), to: v(-40.0, 30.0), offset_pt: -16.0 }, "60.0"),
        (DimensionKind::Vertical { from: holes[3], to: holes[1], offset_pt: 54.0 }, "36.0"),
        (DimensionKind::Radius { centre: v(34.0, 24.0), radius: 6.0, angle: PI / 4.0 }, "R6"),
        (DimensionKind::Diameter { centre: v(0.0, 0.0), radius: 11.0, angle: 0.5 }, "Ø22"),
        (DimensionKind::Diameter { centre: holes[0], radius: 3.1, angle: 1.0 }, "4 × Ø6.2"),
        (DimensionKind::Leader { tip: v(-24.0, -4.0), elbow_pt: v(10.0, 18.0), dot: true }, "PETG, 6 thick"),
    ];
    for (kind, text) in dims {
        panel.add(Dimension::new(kind, text));
    }
    panel
}

pub fn stack_panel(frame: Rect) -> Panel {
    let mut panel = Panel::fitted("facing stacks", frame, Rect::at(-30.0, -17.0, 60.0, 34.0), 0.0);
    let bar = |x0: f64, x1: f64, r: f64| Path::rect(Rect::between(v(x0, -r), v(x1, r)));
    let round = |tone: Tone, x: f64, r: f64| Fill::round(tone, v(x, r), v(x, -r));
    let mut piece = |x0: f64, x1: f64, r: f64, tone: Tone, part: u32, name: &str| {
        let shape =
            Shape::new(bar(x0, x1, r)).filled(round(tone, x0, r)).stroked(Pen::new(Tone::Outline, 0.8));
        panel.add(shape).part(Part(part)).named(name);
    };
    piece(-29.0, -3.0, 3.0, Tone::Hardware, 10, "screw A");
    piece(-25.0, -14.8, 12.0, Tone::Tyre, 11, "wheel A");
    piece(-14.8, -13.8, 5.0, Tone::Spacer, 12, "shim A");
    piece(-9.8, -3.9, 5.5, Tone::Hardware, NUT.0, "nut A");
    piece(-13.8, -9.8, 6.0, Tone::Bearing, 13, "washer A");
    piece(3.6, 29.0, 3.0, Tone::Hardware, 20, "screw B");
    piece(2.4, 8.4, 5.5, Tone::Hardware, 21, "nut B");
    piece(8.4, 12.4, 5.0, Tone::Spacer, 22, "spacer B");
    piece(12.4, 22.6, 12.0, Tone::Tyre, 23, "wheel B");
    let section = Shape::new(Path::rect(Rect::between(v(-30.0, -15.5), v(-25.0, 15.5))))
        .filled(Tone::RiderA)
        .hatched(Hatch::section(Tone::RiderALine))
        .stroked(Pen::wide(Tone::Outline));
    let facing = Shape::new(Path::rect(Rect::between(v(22.6, -15.5), v(28.6, 15.5)))).filled(Tone::RiderB);
    panel.add(facing.stroked(Pen::wide(Tone::Outline))).part(Part(24)).named("plate B");
    panel.add(section).part(Part(14)).named("plate A, cut");
    panel.add(Polyline::new(
        vec![v(-30.0, 0.0), v(30.0, 0.0)],
        Pen::narrow(Tone::Outline).dashed(Dash::Centre),
    ));
    let gap = DimensionKind::Horizontal { from: v(-3.0, 5.5), to: v(2.4, 5.5), offset_pt: -14.0 };
    panel.add(Dimension::new(gap, "5.40 gap").toned(Tone::Clear));
    let narrow = DimensionKind::Horizontal { from: v(-14.8, -12.0), to: v(-13.8, -5.0), offset_pt: 14.0 };
    panel.add(Dimension::new(narrow, "1.00"));
    let mid = DimensionKind::Horizontal { from: v(8.4, -5.5), to: v(12.4, -12.0), offset_pt: 14.0 };
    panel.add(Dimension::new(mid, "4.00"));
    let angle = DimensionKind::Angle { vertex: v(-3.0, -4.0), from: -2.4, to: -0.7, radius_pt: 24.0 };
    panel.add(Dimension::new(angle, "97°"));
    let aligned = DimensionKind::Aligned { from: v(15.0, 2.0), to: v(21.0, 8.0), offset_pt: -12.0 };
    panel.add(Dimension::new(aligned, "8.5"));
    panel
}

pub fn swatch_panel(frame: Rect) -> Panel {
    let mut panel = Panel::centred("swatches", frame, v(0.0, 0.0), 1.0);
    let (left, top) = (frame.size().x * -0.5, frame.size().y * 0.5);
    let fills = [
        Tone::Rail,
        Tone::RailShade,
        Tone::RiderA,
        Tone::RiderB,
        Tone::RiderC,
        Tone::Tyre,
        Tone::Bearing,
        Tone::Hardware,
        Tone::Spacer,
        Tone::Belt,
        Tone::Pulley,
        Tone::Load,
        Tone::Obstacle,
        Tone::ClashFill,
        Tone::MarginalFill,
        Tone::ClearFill,
    ];
    for (i, tone) in fills.into_iter().enumerate() {
        let (x, y) = (left + 1.0 + 33.0 * (i % 8) as f64, top - 16.0 - 34.0 * (i / 8) as f64);
        let path = Path::rounded_rect(Rect::at(x, y, 30.0, 15.0), 3.0);
        panel.add(Shape::new(path).filled(tone).stroked(Pen::new(Tone::Outline, 0.7)));
        panel.add(Label::new(tone.token(), v(x + 15.0, y - 4.0), 6.0).anchored(0.5, 1.0));
    }
    let lines = [
        (Tone::Clash, Glyph::Cross, "fouls"),
        (Tone::Marginal, Glyph::Touching, "marginal"),
        (Tone::Clear, Glyph::Apart, "clear"),
        (Tone::RiderALine, Glyph::Circle, "rider A"),
        (Tone::RiderBLine, Glyph::Square, "rider B"),
        (Tone::RiderCLine, Glyph::Diamond, "rider C"),
        (Tone::Cursor, Glyph::Plus, "cursor"),
        (Tone::Selection, Glyph::MassCentre, "selection"),
        (Tone::Highlight, Glyph::Ground, "highlight"),
    ];
    for (i, (tone, glyph, name)) in lines.into_iter().enumerate() {
        let (x, y) = (left + 6.0 + 88.0 * (i % 3) as f64, top - 84.0 - 15.0 * (i / 3) as f64);
        panel.add(Mark::new(glyph, v(x, y), 8.0, tone));
        panel.add(
            Polyline::new(vec![v(x + 8.0, y), v(x + 30.0, y)], Pen::new(tone, 1.3))
                .ends(End::Plain, End::Arrow),
        );
        panel.add(
            Label::new(name, v(x + 35.0, y), 8.0)
                .toned(if tone == Tone::Highlight { Tone::Ink } else { tone })
                .anchored(0.0, 0.5),
        );
    }
    panel
}

pub fn clearance() -> StripData {
    let points: Vec<DVec2> = (0..=140)
        .map(|i| {
            let t = 5.0 * f64::from(i);
            v(t, 2.2 - 2.5 * (-((t - 330.0) / 90.0).powi(2)).exp() + 0.15 * (t / 60.0).sin())
        })
        .collect();
    StripData {
        title: "Clearance".into(),
        unit: "mm".into(),
        decimals: 2,
        series: vec![Series {
            low: points.iter().map(|p| p.y - 0.35).collect(),
            high: points.iter().map(|p| p.y + 0.35).collect(),
            part: Some(CURVE),
            ..Series::new("tightest gap, with tolerance", Tone::RiderALine, points)
        }],
        limits: vec![Limit { value: 0.5, name: "asked 0.50".into(), tone: Tone::Marginal }],
        intervals: vec![Interval {
            from: 296.0,
            to: 362.0,
            tone: Tone::Clash,
            hatched: true,
            name: "fouls".into(),
            part: None,
        }],
        markers: vec![Marker {
            at: v(330.0, -0.3),
            glyph: Glyph::Diamond,
            tone: Tone::Clash,
            text: "fouls 0.30".into(),
            part: None,
        }],
        cursor: Some(250.0),
        ..StripData::default()
    }
}

pub fn effort() -> StripData {
    let curve = |base: f64, slope: f64| {
        (0..=70)
            .map(|i| {
                let t = 10.0 * f64::from(i);
                v(t, base + slope * t + 0.3 * (t / 40.0).sin())
            })
            .collect::<Vec<_>>()
    };
    StripData {
        title: "Effort".into(),
        unit: "N".into(),
        decimals: 1,
        series: vec![
            Series::new("up", Tone::RiderALine, curve(3.0, 0.004)),
            Series { dash: Dash::Dashed, ..Series::new("down", Tone::RiderBLine, curve(2.4, -0.004)) },
        ],
        limits: vec![Limit { value: 4.8, name: "hold".into(), tone: Tone::Marginal }],
        cursor: Some(250.0),
        ..StripData::default()
    }
}

/// Everything on one A4 page.
pub fn sample() -> Drawing {
    let mut drawing = Drawing::new("Sample sheet: plate, stacks, strips & <tones>", v(842.0, 595.0));
    let mut plate = plate_panel(Rect::at(30.0, 36.0, 300.0, 250.0));
    title(&mut plate, "Plate");
    let mut stacks = stack_panel(Rect::at(350.0, 36.0, 270.0, 160.0));
    title(&mut stacks, "Facing stacks");
    let mut swatches = swatch_panel(Rect::at(350.0, 226.0, 270.0, 130.0));
    title(&mut swatches, "Tones");
    let layout = |plot: Rect, orientation: Orientation, travel_numbers: bool| StripLayout {
        plot,
        orientation,
        travel: (0.0, 700.0),
        travel_numbers,
    };
    let upright =
        strip_panel(&clearance(), &layout(Rect::at(670.0, 50.0, 150.0, 500.0), Orientation::Upright, true));
    let top =
        strip_panel(&clearance(), &layout(Rect::at(64.0, 334.0, 250.0, 90.0), Orientation::Lying, false));
    let low = strip_panel(&effort(), &layout(Rect::at(64.0, 464.0, 250.0, 90.0), Orientation::Lying, true));
    let beside =
        strip_panel(&effort(), &layout(Rect::at(390.0, 400.0, 220.0, 150.0), Orientation::Upright, true));
    drawing.panels = vec![plate, stacks, swatches, upright, top, low, beside];
    drawing
}
