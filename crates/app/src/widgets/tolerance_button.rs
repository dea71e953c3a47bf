//! The button beside a size that opens what is known of its tolerance.

use egui::{Button, Label, Popup, PopupCloseBehavior, RichText, Ui};
use glidewright_motion::{Spread, Toleranced};
use glidewright_project::formula::plain_number;
use glidewright_project::tolerance::{GeneralClass, Tolerance, student_quantile};
use glidewright_sheet::{Tone, number};

use super::rows::{hanging_ui, read_ui, text_scale, text_ui};
use super::size_field::{SizeField, plain_text, round};
use crate::commands::{Action, Queue};
use crate::state::Edit;
use crate::theme::{FontRole, colour};

/// The kinds of tolerance, in the order they are offered.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Form {
    Inherited,
    Exact,
    PlusMinus,
    Normal,
    Between,
    General,
    Fit,
    Measured,
}

impl Form {
    const ALL: [Self; 8] = [
        Self::Inherited,
        Self::Exact,
        Self::PlusMinus,
        Self::Normal,
        Self::Between,
        Self::General,
        Self::Fit,
        Self::Measured,
    ];

    const fn of(tolerance: Option<&Tolerance>) -> Self {
        match tolerance {
            None => Self::Inherited,
            Some(Tolerance::Exact) => Self::Exact,
            Some(Tolerance::PlusMinus(_)) => Self::PlusMinus,
            Some(Tolerance::Normal(_)) => Self::Normal,
            Some(Tolerance::Between(..)) => Self::Between,
            Some(Tolerance::General(_)) => Self::General,
            Some(Tolerance::Fit(_)) => Self::Fit,
            Some(Tolerance::Measured { .. }) => Self::Measured,
        }
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Inherited => "as its parts",
            Self::Exact => "exact",
            Self::PlusMinus => "± even",
            Self::Normal => "± normal",
            Self::Between => "limits",
            Self::General => "ISO 2768-1",
            Self::Fit => "ISO 286",
            Self::Measured => "readings",
        }
    }

    const fn about(self) -> &'static str {
        match self {
            Self::Inherited => "It has the tolerance of the shared sizes in its formula, or none",
            Self::Exact => "Taken as exact, whatever it is made of",
            Self::PlusMinus => "Anywhere within ± this, all values alike",
            Self::Normal => "Normally distributed: ± this stands for three standard deviations",
            Self::Between => "Between two limits; their middle is calculated with",
            Self::General => "The general tolerance of a class",
            Self::Fit => "A tolerance class for a hole or a shaft, such as H8, h9 or js10",
            Self::Measured => "Caliper readings: their mean is calculated with",
        }
    }

    /// A tolerance of this form to start from, about a nominal.
    fn start(self, about: Toleranced) -> Option<Tolerance> {
        let half = about.half_width();
        let half = if half > 0.0 { round(half, 3) } else { 0.1 };
        let nominal = round(about.nominal, 3);
        match self {
            Self::Inherited => None,
            Self::Exact => Some(Tolerance::Exact),
            Self::PlusMinus => Some(Tolerance::PlusMinus(half)),
            Self::Normal => Some(Tolerance::Normal(half)),
            Self::Between => Some(Tolerance::Between(round(nominal - half, 3), round(nominal + half, 3))),
            Self::General => Some(Tolerance::General(GeneralClass::M)),
            Self::Fit => Some(Tolerance::Fit(if nominal > 0.0 { "js12" } else { "H8" }.to_owned())),
            Self::Measured => Some(Tolerance::Measured { readings: vec![nominal], resolution: 0.01 }),
        }
    }
}

/// A small button; it opens the tolerances of the sizes that share a row.
pub fn tolerance_button_ui(ui: &mut Ui, fields: &[&SizeField<'_>], queue: &mut Queue) {
    let Some(first) = fields.first() else { return };
    let has = fields.iter().any(|field| field.tolerance.is_some());
    let text = RichText::new("±");
    let text = if has { text.font(FontRole::Strong.id()) } else { text.weak() };
    let button = Button::new(text).frame_when_inactive(false).small();
    let says = if has { "Its tolerance" } else { "It has no tolerance of its own" };
    let name =
        first.name.rsplit_once(" · ").filter(|_| fields.len() > 1).map_or(first.name, |(name, _)| name);
    let response = ui.add(button).on_hover_text(says).accessible_name(format!("Tolerance: {name}"));
    Popup::from_toggle_button_response(&response)
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .width(300.0 * text_scale(ui))
        .show(|ui| {
            hanging_ui(ui, |ui| {
                for field in fields {
                    ui.push_id(field.path, |ui| tolerance_ui(ui, field, queue));
                }
            });
        });
}

/// The kind of tolerance, its figures, and what it comes to.
fn tolerance_ui(ui: &mut Ui, field: &SizeField<'_>, queue: &mut Queue) {
    ui.label(RichText::new(format!("Tolerance of {}", field.name)).font(FontRole::Strong.id()));
    let about = field.values.at(field.path).unwrap_or_default();
    let set = |tolerance: Option<Tolerance>, queue: &mut Queue| {
        queue.push(Action::Edit(Edit::Tolerance { path: field.path.to_owned(), tolerance }));
    };
    let form = Form::of(field.tolerance);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        for choice in Form::ALL {
            let button = Button::selectable(choice == form, choice.word()).frame_when_inactive(true);
            if ui.add(button).on_hover_text(choice.about()).clicked() && choice != form {
                set(choice.start(about), queue);
                queue.push(Action::EndEdit);
            }
        }
    });
    if let Some(tolerance) = field.tolerance
        && let Some(changed) = figures_ui(ui, field, tolerance, about.nominal)
    {
        set(Some(changed), queue);
        queue.push(Action::EndEdit);
    }
    ui.add(Label::new(RichText::new(come_to(about, field.quantity.unit())).weak()).wrap());
}

fn figures_ui(ui: &mut Ui, field: &SizeField<'_>, now: &Tolerance, nominal: f64) -> Option<Tolerance> {
    let unit = field.quantity.unit();
    match now {
        Tolerance::Exact => None,
        Tolerance::PlusMinus(half) => number_ui(ui, "Half width", *half, unit, 0.0).map(Tolerance::PlusMinus),
        Tolerance::Normal(half) => number_ui(ui, "Half width", *half, unit, 0.0).map(Tolerance::Normal),
        Tolerance::Between(least, greatest) => {
            let low = number_ui(ui, "Least", *least, unit, f64::MIN);
            let high = number_ui(ui, "Greatest", *greatest, unit, f64::MIN);
            match (low, high) {
                (Some(least), _) => Some(Tolerance::Between(least, greatest.max(least))),
                (_, Some(greatest)) => Some(Tolerance::Between(least.min(greatest), greatest)),
                _ => None,
            }
        }
        Tolerance::General(class) => {
            let mut taken = None;
            ui.horizontal(|ui| {
                for (choice, word) in [
                    (GeneralClass::F, "f fine"),
                    (GeneralClass::M, "m medium"),
                    (GeneralClass::C, "c coarse"),
                    (GeneralClass::V, "v very coarse"),
                ] {
                    if ui.selectable_label(choice == *class, word).clicked() && choice != *class {
                        taken = Some(choice);
                    }
                }
            });
            taken.map(Tolerance::General)
        }
        Tolerance::Fit(fit) => {
            let mut taken = None;
            ui.horizontal(|ui| {
                ui.label("Class");
                let width = 70.0 * text_scale(ui);
                taken = text_ui(ui, (field.path, "fit"), "Tolerance class", fit, width, "H8");
                if let Err(message) = now.about(nominal) {
                    ui.add(
                        Label::new(
                            RichText::new(message).small().color(colour(field.theme.colour(Tone::Clash))),
                        )
                        .wrap(),
                    );
                }
            });
            taken.map(|fit| Tolerance::Fit(fit.trim().to_owned()))
        }
        Tolerance::Measured { readings, resolution } => {
            let read = readings_ui(ui, (field.path, "readings"), "Readings", readings);
            let step = number_ui(ui, "Smallest step shown", *resolution, unit, 0.0);
            match (read, step) {
                (Some(readings), _) => Some(Tolerance::Measured { readings, resolution: *resolution }),
                (_, Some(resolution)) => Some(Tolerance::Measured { readings: readings.clone(), resolution }),
                _ => None,
            }
        }
    }
}

/// A number to type; what it became.
fn number_ui(ui: &mut Ui, name: &str, now: f64, unit: &str, least: f64) -> Option<f64> {
    ui.horizontal(|ui| {
        ui.label(name);
        let changed = bare_number_ui(ui, name, now, least);
        ui.weak(unit);
        changed
    })
    .inner
}

/// The same without a label of its own. What is no number, or less than the least, stays in the field with the reason.
pub fn bare_number_ui(ui: &mut Ui, name: &str, now: f64, least: f64) -> Option<f64> {
    let written = plain_text(round(now, 6));
    let width = (70.0 * text_scale(ui)).min(ui.available_width());
    let read = |text: &str| match plain_number(text.trim()) {
        Some(value) if value >= least => Ok(round(value, 6)),
        Some(_) => Err(format!("at least {}", plain_text(least))),
        None => Err(format!("“{}” is no number", text.trim())),
    };
    read_ui(ui, (name, "number"), name, &written, width, "", read)
}

/// Readings as a line of numbers; what they became.
pub fn readings_ui(ui: &mut Ui, id: impl egui::AsIdSalt, name: &str, now: &[f64]) -> Option<Vec<f64>> {
    let written = now.iter().map(|reading| plain_text(*reading)).collect::<Vec<_>>().join("  ");
    let width = ui.available_width();
    let hint = "such as 5,02 4.98 5.01";
    read_ui(ui, id, name, &written, width, hint, readings_of)
}

/// The numbers in a line: parted by spaces or semicolons, with a decimal point or comma.
fn readings_of(text: &str) -> Result<Vec<f64>, String> {
    let words = text.split(|c: char| c.is_whitespace() || c == ';').filter(|word| !word.is_empty());
    words
        .map(|word| {
            let number = plain_number(word.trim_end_matches(','));
            number.ok_or_else(|| format!("“{word}” is no number: write them with spaces between"))
        })
        .collect()
}

/// What a size comes to, in words: for readings with how the interval is made.
pub fn come_to(about: Toleranced, unit: &str) -> String {
    let nominal = plain_text(round(about.nominal, 4));
    match about.spread {
        Spread::Exact => format!("{nominal} {unit}, taken as exact"),
        Spread::Uniform { half_width } => {
            let (low, high) = (about.nominal - half_width, about.nominal + half_width);
            format!("{nominal} ± {} {unit}: {} to {}", number(half_width, 3), number(low, 3), number(high, 3))
        }
        Spread::Normal { half_width } => {
            format!("{nominal} ± {} {unit} as three standard deviations", number(half_width, 3))
        }
        Spread::Measured { deviation, count, half_width, is_stated } => {
            let t = if is_stated {
                match count {
                    1 => ", one reading: what is stated of its spread stays".to_owned(),
                    _ => format!(
                        ", {count} readings: too few, or too much alike, to narrow what is stated further"
                    ),
                }
            } else if count > 1 {
                format!(", t = {} for {count} readings", number(student_quantile(0.95, count - 1), 3))
            } else {
                ", one reading: only the instrument's step counts".to_owned()
            };
            format!(
                "mean {nominal} {unit}, s = {}, 95 % of parts within ± {}{t}",
                number(deviation, 4),
                number(half_width, 3)
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_are_read_as_people_write_them() {
        for (text, expected) in [
            ("5.02 4.98", Some(vec![5.02, 4.98])),
            ("5.02 1,250", None),
            ("5,02; 4,98;5", Some(vec![5.02, 4.98, 5.0])),
            ("5.02, 4.98", Some(vec![5.02, 4.98])),
            ("", Some(vec![])),
            ("5.02 x", None),
            ("inf", None),
        ] {
            assert_eq!(readings_of(text).ok(), expected, "{text}");
        }
    }
}
