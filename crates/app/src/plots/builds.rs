//! The least gaps of builds as a histogram.

use glidewright_choice::{Histogram, Outcome, grouped, percent};
use glidewright_sheet::{Dash, PlotAxis, PlotBar, PlotBars, PlotData, PlotRule, ReaderUnits, Tone, number};

/// The least gaps of builds: how large a share of them has which, in the reader's unit.
pub fn builds_plot(title: &str, found: &Outcome, units: ReaderUnits) -> PlotData {
    let unit = units.length;
    let bars = [("foul", Tone::Clash), ("fall short", Tone::Marginal), ("clear", Tone::Clear)];
    let bars =
        bars.map(|(name, tone)| PlotBars { name: name.to_owned(), tone, bars: bars_of(found, units, tone) });
    let rule = |name: &str, tone: Tone, at: f64| PlotRule {
        name: name.to_owned(),
        tone,
        dash: if tone == Tone::Ink { Dash::Solid } else { Dash::Dashed },
        upright: true,
        at: unit.value_of_mm(at),
    };
    let mut rules = vec![rule("required", Tone::Marginal, found.required)];
    if found.drawn.is_finite() {
        rules.push(rule("sizes as drawn", Tone::Ink, found.drawn));
    }
    let mut notes = vec![format!(
        "{} of {} builds foul, {} fall short of the {} required.",
        percent(found.fouls.share),
        grouped(found.samples),
        percent(found.short.share),
        unit.text(found.required, 2)
    )];
    if let Some((least, greatest)) = found.likely {
        notes.push(format!("95 % of them have {} left.", unit.stretch(least, greatest, 2)));
    }
    PlotData {
        title: title.to_owned(),
        notes,
        across: PlotAxis::new("least gap over the stroke", unit.symbol()),
        up: PlotAxis::new("share of builds", "%"),
        bars: bars.to_vec(),
        rules,
        ..PlotData::default()
    }
}

/// The classes of one colour: those that foul, those with less than is required left, the rest.
fn bars_of(found: &Outcome, units: ReaderUnits, tone: Tone) -> Vec<PlotBar> {
    let histogram: &Histogram = &found.histogram;
    let of = found.samples.max(1) as f64;
    let at = |number: usize| histogram.from + histogram.width * number as f64;
    let class_tone = |class: usize| match 0.5 * (at(class) + at(class + 1)) {
        gap if gap <= 0.0 => Tone::Clash,
        gap if gap < found.required => Tone::Marginal,
        _ => Tone::Clear,
    };
    let decimals = units.length.decimals(3);
    let bar = |(class, count): (usize, &u64)| {
        let [from, to] = [at(class), at(class + 1)].map(|gap| units.length.value_of_mm(gap));
        let share = *count as f64 / of;
        let words = format!(
            "{} to {} {}\n{} of builds",
            number(from, decimals),
            number(to, decimals),
            units.length.symbol(),
            percent(share)
        );
        PlotBar { between: (from, to), height: 100.0 * share, words }
    };
    let all = histogram.counts.iter().enumerate().filter(|(class, _)| class_tone(*class) == tone);
    if histogram.width > 0.0 { all.map(bar).collect() } else { Vec::new() }
}
