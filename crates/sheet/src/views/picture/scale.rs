//! Bars that say how long a length is in the parts of a picture that are drawn to scale.

use crate::drawing::Drawing;
use crate::look::{LengthUnit, number};
use crate::strip::round_down;
use crate::units::PT_PER_MM;

/// Panels drawn to scale, by name, with what is said beside their bar. A lens tells its own ratio.
const TO_SCALE: [(&str, &str); 8] = [
    (crate::views::pick::RAIL_PANEL, "rail"),
    (crate::views::gap::AROUND_PANEL, "round the gap"),
    (crate::views::stacks::PANEL, "stacks"),
    (crate::views::seat::PANEL, "wheel"),
    (crate::views::end::PANEL, "section"),
    (crate::views::space::PANEL, "square to the line of sight"),
    (crate::views::plate::PANEL, "plate"),
    (crate::views::belt::PANEL, "belt path"),
];

/// Greatest length of a bar (pt).
const LONGEST: f64 = 90.0;

/// A bar of round length.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Bar {
    /// Its length on paper (pt).
    pub(super) length_pt: f64,
    /// What stands beside it.
    pub(super) words: String,
}

/// The bars of a drawing that goes on paper `factor` times as large; the ratio too where it is true on paper.
pub(super) fn bars(drawing: &Drawing, factor: f64, unit: LengthUnit, on_paper: bool) -> Vec<Bar> {
    let known = TO_SCALE.iter().filter_map(|(name, what)| Some((drawing.panel_named(name)?, *what)));
    let shown: Vec<_> = known.filter(|(panel, _)| !panel.items.is_empty()).collect();
    let several = shown.len() > 1;
    let bars = shown.iter().filter_map(|(panel, what)| {
        let scale = factor * panel.scale();
        let (count, decimals) = round_down(unit.value_of_mm(LONGEST / scale))?;
        let mut words = format!("{} {}", number(count, decimals), unit.symbol());
        if on_paper {
            let ratio = PT_PER_MM / scale;
            let side = |of: f64| number(of, if of < 9.95 { 1 } else { 0 });
            words.push_str(&if ratio >= 1.0 {
                format!(", 1 : {}", side(ratio))
            } else {
                format!(", {} : 1", side(1.0 / ratio))
            });
        }
        if panel.name == crate::views::space::PANEL {
            words = format!("{words} {what}");
        } else if several {
            words = format!("{what}: {words}");
        }
        Some(Bar { length_pt: unit.to_mm(count) * scale, words })
    });
    bars.collect()
}
