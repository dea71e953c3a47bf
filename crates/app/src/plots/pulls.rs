//! Measured pulls against calculated ones.

use glidewright_motion::{Calibration, FittedPull};
use glidewright_sheet::{
    DVec2, Dash, Glyph, PlotAxis, PlotCurve, PlotData, PlotDots, ReaderUnits, Tone, number,
};

/// What was measured to the right, what is calculated upwards, before and after fitting, in the reader's unit; where both are
/// alike a line.
pub fn pulls_plot(title: &str, calibration: &Calibration, units: ReaderUnits) -> PlotData {
    let own = units.of_symbol("N");
    let (unit, size) = own.map_or(("N", 1.0), |unit| (unit.symbol, unit.size));
    let dots = |name: &str, tone: Tone, glyph: Glyph, of: fn(&FittedPull) -> Option<f64>| {
        let dot = |(place, pull): (usize, &FittedPull)| {
            let at = DVec2::new(pull.measured, of(pull)?) / size;
            let words = format!(
                "pull {}: measured {} {unit}\n{name} {} {unit}",
                place + 1,
                number(at.x, 2),
                number(at.y, 2)
            );
            at.is_finite().then_some((at, words))
        };
        let dots = calibration.pulls.iter().enumerate().filter_map(dot).collect();
        PlotDots { name: name.to_owned(), tone, glyph, dots }
    };
    let all = vec![
        dots("calculated as assumed", Tone::FaintInk, Glyph::Square, |pull| pull.before),
        dots("calculated as fitted", Tone::RiderALine, Glyph::Circle, |pull| pull.fitted),
    ];
    let ends = all.iter().flat_map(|dots| &dots.dots).flat_map(|(at, _)| [at.x, at.y]);
    let (low, high) = ends.fold((0.0_f64, 0.0_f64), |(low, high), end| (low.min(end), high.max(end)));
    PlotData {
        title: title.to_owned(),
        across: PlotAxis::new("measured", unit),
        up: PlotAxis::new("calculated", unit),
        curves: vec![PlotCurve {
            name: "alike".to_owned(),
            tone: Tone::Axis,
            dash: Dash::Dashed,
            points: vec![DVec2::splat(low), DVec2::splat(high)],
        }],
        dots: all,
        ..PlotData::default()
    }
}

#[cfg(test)]
mod tests {
    use glidewright_motion::analyse;
    use glidewright_project::{parse, resolve, sample_shuttle_text};

    use super::*;
    use crate::state::{LengthUnit, LoadUnit};

    #[test]
    fn every_pull_has_its_dot_in_the_readers_unit() {
        let document = parse(sample_shuttle_text()).unwrap();
        let calibration = analyse(&resolve(&document, None).fixture.unwrap()).calibration.unwrap();
        assert_eq!(calibration.pulls.len(), document.pulls.len());
        let pounds = ReaderUnits { length: LengthUnit::Inch, load: LoadUnit::Pound };
        // 1 lbf is 4.4482216 N.
        for (units, newtons) in [(ReaderUnits::default(), 1.0), (pounds, 4.448_221_615_260_5)] {
            let plot = pulls_plot("pulls", &calibration, units);
            for dots in &plot.dots {
                assert_eq!(dots.dots.len(), document.pulls.len(), "{}", dots.name);
            }
            for ((at, _), pull) in plot.dots[1].dots.iter().zip(&calibration.pulls) {
                assert!((at.x * newtons - pull.measured).abs() < 1e-9);
                assert!((at.y * newtons - pull.fitted.unwrap()).abs() < 1e-9);
            }
        }
    }
}
