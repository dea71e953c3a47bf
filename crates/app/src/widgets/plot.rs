//! A plot to be looked into: hovered, zoomed, dragged along.

use egui::{RichText, Sense, Shape, Stroke, Ui, Vec2};
use egui_plot::{
    Bar, BarChart, GridInput, GridMark, HLine, HoverPosition, Line, LineStyle, MarkerShape, Plot, PlotPoints,
    PlotUi, Points, Polygon, VLine,
};
use glidewright_motion::plain;
use glidewright_sheet::{DVec2, Dash, Glyph, PlotData, PlotKey, Theme, nice_ticks, number};

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
    legend_ui(ui, data, theme);
    let room = ui.available_size();
    let spacer = |room: f32, each: f32| {
        move |input: GridInput| {
            let (low, high) = input.bounds;
            let ticks = nice_ticks(low, high, ((room / each) as usize).clamp(2, 14));
            ticks.values.iter().map(|value| GridMark { value: *value, step_size: ticks.step }).collect()
        }
    };
    let mut plot = Plot::new(name)
        .x_grid_spacer(spacer(room.x, 64.0))
        .y_grid_spacer(spacer(room.y, 30.0))
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

/// What is what, in lines of small words above the plot.
fn legend_ui(ui: &mut Ui, data: &PlotData, theme: &Theme) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = Vec2::new(5.0, 0.0);
        for entry in data.legend() {
            let tone = colour(theme.colour(entry.tone()));
            let (rect, _) = ui.allocate_exact_size(Vec2::new(18.0, 10.0), Sense::hover());
            let painter = ui.painter();
            match entry {
                PlotKey::Line { dash, .. } => {
                    let ends = [rect.left_center(), rect.right_center()];
                    let stroke = Stroke::new(1.6, tone);
                    let shapes = match style(dash) {
                        LineStyle::Dotted { spacing } => Shape::dotted_line(&ends, tone, spacing, 1.0),
                        LineStyle::Dashed { length } => Shape::dashed_line(&ends, stroke, 0.5 * length, 3.0),
                        LineStyle::Solid => vec![Shape::line_segment(ends, stroke)],
                    };
                    painter.extend(shapes);
                }
                PlotKey::Area { faded, .. } => {
                    painter.rect_filled(rect, 2.0, tone.gamma_multiply(if faded { FADED } else { 1.0 }));
                }
                PlotKey::Dot { .. } => {
                    painter.circle_filled(rect.center(), 4.0, tone);
                }
            }
            ui.label(RichText::new(entry.name()).small());
            ui.add_space(8.0);
        }
    });
}

/// How much is seen of a shaded stretch.
const FADED: f32 = 0.3;

fn in_unit(value: f64, unit: &str) -> String {
    format!("{} {unit}", number(value, 3)).trim_end().to_owned()
}

fn draw(plot: &mut PlotUi<'_>, data: &PlotData, theme: &Theme) {
    let (below, above) = data.bounds().map_or((0.0, 1.0), |(low, high)| (low.y, high.y));
    for (number, stretch) in data.stretches.iter().enumerate() {
        let (from, to) = stretch.between;
        let corners = vec![[from, below], [to, below], [to, above], [from, above]];
        let fill = colour(theme.colour(stretch.tone)).gamma_multiply(FADED);
        let area = Polygon::new(stretch.name.as_str(), PlotPoints::from(corners))
            .id(("stretch", number))
            .fill_color(fill)
            .stroke(Stroke::NONE)
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
