//! A plot to be looked into: hovered, zoomed, dragged along.

use egui::{Ui, Vec2};
use egui_plot::{
    Bar, BarChart, HLine, HoverPosition, Legend, Line, LineStyle, MarkerShape, Plot, PlotPoints, PlotUi,
    Points, Polygon, VLine,
};
use glidewright_motion::plain;
use glidewright_sheet::{DVec2, Dash, Glyph, PlotData, Theme, number};

use crate::theme::colour;

/// What was pointed at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlotPointed {
    /// Where the pointer is, in the plot's numbers.
    pub at: DVec2,
    /// Whether it was clicked there.
    pub clicked: bool,
}

/// Draws a plot in all the room there is; says where the pointer is within it.
pub fn plot_ui(ui: &mut Ui, name: &str, data: &PlotData, theme: &Theme) -> Option<PlotPointed> {
    let unit = |unit: &str| if unit == "%" { " %".to_owned() } else { String::new() };
    let (across, up) = (unit(&data.across.unit), unit(&data.up.unit));
    let units = [data.across.unit.clone(), data.up.unit.clone()];
    let told: Vec<(String, Vec<String>)> = data
        .dots
        .iter()
        .map(|dots| (dots.name.clone(), dots.dots.iter().map(|(_, words)| words.clone()).collect()))
        .collect();
    let mut plot = Plot::new(name)
        .legend(Legend::default())
        .set_margin_fraction(Vec2::new(0.0, 0.0))
        .x_axis_formatter(move |mark, _| format!("{}{across}", plain(mark.value)))
        .y_axis_formatter(move |mark, _| format!("{}{up}", plain(mark.value)))
        .y_axis_min_width(40.0)
        .label_formatter(move |hovered| match hovered {
            HoverPosition::NearDataPoint { plot_name, position, index } => {
                let words =
                    told.iter().find(|(name, _)| name == plot_name).and_then(|(_, all)| all.get(*index));
                let place =
                    || format!("{}: {}", in_unit(position.x, &units[0]), in_unit(position.y, &units[1]));
                Some(words.cloned().unwrap_or_else(|| format!("{plot_name}\n{}", place())))
            }
            HoverPosition::Elsewhere { .. } => None,
        });
    if let Some((low, high)) = data.bounds() {
        // What is told of a bar or a point stands above it.
        let room = if data.bars.is_empty() { 0.0 } else { 0.25 * (high.y - low.y) };
        plot = plot.include_x(low.x).include_x(high.x).include_y(low.y).include_y(high.y + room);
    }
    let shown = plot.show(ui, |plot| draw(plot, data, theme));
    let at = shown.response.hover_pos()?;
    let at = shown.transform.value_from_position(at);
    Some(PlotPointed { at: DVec2::new(at.x, at.y), clicked: shown.response.clicked() })
}

fn in_unit(value: f64, unit: &str) -> String {
    format!("{} {unit}", number(value, 3)).trim_end().to_owned()
}

fn draw(plot: &mut PlotUi<'_>, data: &PlotData, theme: &Theme) {
    let (below, above) = data.bounds().map_or((0.0, 1.0), |(low, high)| (low.y, high.y));
    for (number, stretch) in data.stretches.iter().enumerate() {
        let (from, to) = stretch.between;
        let corners = vec![[from, below], [to, below], [to, above], [from, above]];
        let fill = colour(theme.colour(stretch.tone)).gamma_multiply(0.16);
        let area = Polygon::new(stretch.name.as_str(), PlotPoints::from(corners))
            .id(("stretch", number))
            .fill_color(fill)
            .stroke(egui::Stroke::NONE)
            .allow_hover(false);
        plot.polygon(area);
    }
    for bars in &data.bars {
        let made = bars.bars.iter().map(|bar| {
            let (from, to) = bar.between;
            Bar::new(0.5 * (from + to), bar.height).width(to - from).name(&bar.words)
        });
        let chart = BarChart::new(bars.name.as_str(), made.collect())
            .color(colour(theme.colour(bars.tone)))
            .element_formatter(Box::new(|bar, _| bar.name.clone()));
        plot.bar_chart(chart);
    }
    for (number, rule) in data.rules.iter().enumerate() {
        let (tone, style) = (colour(theme.colour(rule.tone)), style(rule.dash));
        let id = ("rule", number);
        if rule.upright {
            plot.vline(VLine::new(rule.name.as_str(), rule.at).id(id).color(tone).style(style));
        } else {
            plot.hline(HLine::new(rule.name.as_str(), rule.at).id(id).color(tone).style(style));
        }
    }
    for (number, curve) in data.curves.iter().enumerate() {
        for (part, run) in curve.points.split(|point| !point.is_finite()).enumerate() {
            if run.is_empty() {
                continue;
            }
            let points: Vec<[f64; 2]> = run.iter().map(|point| point.to_array()).collect();
            let line = Line::new(curve.name.as_str(), points)
                .id(("curve", number, part))
                .color(colour(theme.colour(curve.tone)))
                .width(1.6)
                .style(style(curve.dash));
            plot.line(line);
        }
    }
    for (number, dots) in data.dots.iter().enumerate() {
        let points: Vec<[f64; 2]> = dots.dots.iter().map(|(at, _)| at.to_array()).collect();
        let dots = Points::new(dots.name.as_str(), points)
            .id(("dots", number))
            .color(colour(theme.colour(dots.tone)))
            .shape(shape(dots.glyph))
            .radius(4.0);
        plot.points(dots);
    }
}

const fn style(dash: Dash) -> LineStyle {
    match dash {
        Dash::Solid => LineStyle::Solid,
        Dash::Dotted => LineStyle::Dotted { spacing: 4.0 },
        Dash::Dashed => LineStyle::Dashed { length: 7.0 },
        _ => LineStyle::Dashed { length: 12.0 },
    }
}

const fn shape(glyph: Glyph) -> MarkerShape {
    match glyph {
        Glyph::Square => MarkerShape::Square,
        Glyph::Diamond => MarkerShape::Diamond,
        Glyph::Cross => MarkerShape::Cross,
        Glyph::Plus => MarkerShape::Plus,
        _ => MarkerShape::Circle,
    }
}
