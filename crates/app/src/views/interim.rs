//! Boxes of all bodies beside the clearance strip.

use glidewright_motion::{Owner, rider_x};
use glidewright_sheet::{
    DVec2, Drawing, Orientation, Panel, Part, Path, Pen, Rect, Series, Shape, StripData, StripLayout, Tone,
    strip_panel,
};

use super::registry::Asked;

/// Draws it.
pub fn draw(asked: &Asked<'_>) -> Drawing {
    let (fixture, results) = (&asked.bench.fixture, &asked.bench.results);
    let mut drawing = Drawing::new("Bench", asked.size_pt);
    let size = asked.size_pt;
    let frame = Rect::at(10.0, 20.0, size.x * 0.45, size.y - 40.0);
    let length = fixture.rail.length;
    let scale = frame.size().y / (length * 1.15);
    // x up, z to the right.
    let matrix2 = glidewright_sheet::DAffine2::from_cols(
        DVec2::new(0.0, -scale),
        DVec2::new(scale, 0.0),
        frame.middle() + DVec2::new(0.0, scale * 0.5 * length),
    );
    let mut panel = Panel::new("rail", frame, matrix2);
    for (number, body) in results.assembly.bodies.iter().enumerate() {
        let shift = match body.owner {
            Owner::Ground => 0.0,
            Owner::Rider(rider) => rider_x(fixture, rider, asked.travel),
        };
        let tone = match body.owner {
            Owner::Ground => Tone::Rail,
            Owner::Rider(0) => Tone::RiderA,
            Owner::Rider(_) => Tone::RiderB,
        };
        for solid in &body.solids {
            let bounds = solid.bounds();
            let rect = Rect::between(
                DVec2::new(bounds.low.x + shift, bounds.low.z),
                DVec2::new(bounds.high.x + shift, bounds.high.z),
            );
            let shape = Shape::new(Path::rect(rect)).filled(tone).stroked(Pen::narrow(Tone::Outline));
            panel.add(shape).part(Part(number as u32)).named(body.label.as_str());
        }
    }
    drawing.panels.push(panel);
    let at_zero = fixture.riders.first().map_or(0.0, |r| r.at_zero);
    let travel_of = |pt_y: f64| (frame.middle().y + scale * 0.5 * length - pt_y) / scale - at_zero;
    let points = results.interference.band.points.iter().map(|p| DVec2::new(p.travel, p.gap)).collect();
    let mut data = StripData { title: "Gap".into(), unit: "mm".into(), decimals: 2, ..StripData::default() };
    data.series.push(Series::new("gap", Tone::RiderALine, points));
    data.cursor = Some(asked.travel);
    data.range = Some((-2.0, 8.0));
    let plot = Rect::at(size.x * 0.5 + 40.0, 20.0, size.x * 0.5 - 60.0, size.y - 40.0);
    let layout = StripLayout {
        plot,
        orientation: Orientation::Upright,
        travel: (travel_of(plot.max.y), travel_of(plot.min.y)),
        travel_numbers: true,
    };
    drawing.panels.push(strip_panel(&data, &layout));
    drawing
}
