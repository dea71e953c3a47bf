//! Pulls measured with a spring scale, beside what is calculated, and the coefficients they tell.

use egui::{Align, Button, Label, Layout, RichText, ScrollArea, Ui, Vec2};
use glidewright_motion::{Calibration, FitOutcome, Fittable, FittedCoefficient, FittedPull};
use glidewright_project::document::{Choice as _, MeasuredPull, Resistance, Way};
use glidewright_project::quantity::Quantity;
use glidewright_project::size::{Force, Kind, Length, Mass, Size};
use glidewright_project::tolerance::Tolerance;
use glidewright_sheet::number;

use super::super::{Shared, editor};
use super::{Columns, cell_ui, plot_head_ui};
use crate::commands::{Action, Queue};
use crate::plots::pulls_plot;
use crate::state::{Edit, LoadUnit};
use crate::theme::FontRole;
use crate::widgets::{
    Mark, choice_ui, mark_ui, meant, plot_ui, quiet_button, round, section_ui, text_scale, text_ui, value_of,
};

const COLUMNS: Columns<'static> = Columns {
    heads: &[
        ("rider pulled", 130.0),
        ("towards", 130.0),
        ("put on", 70.0),
        ("at travel", 70.0),
        ("line off", 50.0),
        ("scale shows", 80.0),
        ("give or take", 80.0),
        ("calculated", 84.0),
        ("fitted", 74.0),
        ("note", 0.0),
        ("", 30.0),
    ],
};

/// Draws the table, and what it tells.
pub fn pulls_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let calibration = shared.state.session.bench().and_then(|bench| bench.results.calibration.as_ref());
    ScrollArea::both().auto_shrink([false, false]).show(ui, |ui| {
        ui.set_min_width(980.0 * text_scale(ui));
        ui.spacing_mut().item_spacing.y = 2.0;
        begin_ui(ui, shared, queue);
        if document.pulls.is_empty() {
            ui.weak(
                "Pull a rider along at a steady pace with a spring scale and note what it shows: friction \
                 that was assumed is then fitted to what was measured.",
            );
            return;
        }
        let widths = COLUMNS.widths(ui);
        COLUMNS.head_ui(ui, &widths);
        for (place, pull) in document.pulls.iter().enumerate() {
            let fitted = calibration.and_then(|calibration| calibration.pulls.get(place));
            ui.push_id(("pull", place), |ui| row_ui(ui, shared, place, pull, fitted, &widths, queue));
        }
        if let Some(calibration) = calibration {
            ui.horizontal_top(|ui| {
                let width = (ui.available_width() - PLOT.x * text_scale(ui) - 16.0).max(400.0);
                let down = Layout::top_down(Align::Min);
                ui.allocate_ui_with_layout(Vec2::new(width, 0.0), down, |ui| {
                    fit_ui(ui, shared, calibration, queue);
                });
                ui.allocate_ui_with_layout(PLOT * text_scale(ui), down, |ui| {
                    let units = shared.state.preferences.units();
                    let title = format!("{}: pulls", shared.state.session.document().name);
                    let plot = pulls_plot(&title, calibration, units);
                    plot_head_ui(ui, "Measured against calculated", &plot, queue);
                    plot_ui(ui, "pulls", &plot, shared.theme);
                });
            });
        }
    });
}

/// Room for the plot at ordinary text size (points).
const PLOT: Vec2 = Vec2::new(420.0, 260.0);

/// A pull being written down: nothing of it is in the document before the scale's figure is.
#[derive(Clone, Default)]
struct Noting {
    rider: usize,
    way: usize,
    force: String,
}

/// The button that begins another, and the line it is written in.
fn begin_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    let reading = shared.state.session.reading();
    let document = &reading.document;
    let id = egui::Id::unique("pull being noted");
    let names: Vec<&str> = document.riders.iter().map(|rider| rider.name.as_str()).collect();
    let noting = ui.data(|data| data.get_temp::<Noting>(id));
    let Some(mut noting) = noting else {
        let button = ui.add_enabled(!names.is_empty(), Button::new("Note a pull"));
        if button.on_disabled_hover_text("There is no rider to pull").clicked() {
            // The one that was pulled last is pulled again.
            let last =
                document.pulls.last().and_then(|pull| names.iter().position(|name| *name == pull.rider));
            ui.data_mut(|data| {
                data.insert_temp(id, Noting { rider: last.unwrap_or(0), ..Noting::default() })
            });
        }
        return;
    };
    let mut ended = false;
    ui.horizontal(|ui| {
        ui.label("The scale shows");
        let field = egui::TextEdit::singleline(&mut noting.force)
            .hint_text(match shared.state.preferences.loads {
                LoadUnit::Newton => "such as 3.4 N",
                LoadUnit::Pound => "such as 0.8 lbf",
            })
            .desired_width(90.0 * text_scale(ui))
            .char_limit(200);
        let field = ui.add(field).accessible_name("The scale shows");
        let fresh = id.with("fresh");
        if ui.data(|data| data.get_temp::<bool>(fresh)).is_none() {
            field.request_focus();
            ui.data_mut(|data| data.insert_temp(fresh, true));
        }
        ui.label("pulling");
        let width = 130.0 * text_scale(ui);
        noting.rider = choice_ui(ui, "Rider pulled", noting.rider, &names, width).unwrap_or(noting.rider);
        noting.way = choice_ui(ui, "Way pulled", noting.way, &WAYS, width).unwrap_or(noting.way);
        let text = noting.force.trim().to_owned();
        let text = text.as_str();
        let units = shared.state.preferences.units();
        let read = value_of(text, Quantity::Force, &reading.values, units);
        let enter = field.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
        let add = ui.add_enabled(read.is_ok() && !text.is_empty(), Button::new("Note it"));
        if (add.clicked() || (enter && read.is_ok() && !text.is_empty()))
            && let Some(rider) = names.get(noting.rider)
        {
            note(rider, noting.way, &meant(text, Quantity::Force, &reading.values, units), queue);
            noting.force.clear();
            field.request_focus();
        }
        if ui.button("Close").clicked() {
            ended = true;
        }
        if let (false, Err(error)) = (text.is_empty(), &read) {
            ui.colored_label(ui.visuals().error_fg_color, error);
        }
    });
    ui.data_mut(|data| {
        if ended {
            data.remove::<Noting>(id);
            data.remove::<bool>(id.with("fresh"));
        } else {
            data.insert_temp(id, noting);
        }
    });
}

/// The ways a rider is pulled, as the file lists them.
const WAYS: [&str; 2] = ["up, or out", "down, or back"];

fn note(rider: &str, way: usize, force: &str, queue: &mut Queue) {
    let pull = MeasuredPull {
        rider: rider.to_owned(),
        towards: if way == 0 { Way::Growing } else { Way::Falling },
        payload: Mass::default(),
        at: Length::default(),
        line_off: false,
        force: Force::typed(force),
        deviation: None,
        note: String::new(),
    };
    editor::alter(
        "pulls",
        "Note a pull",
        move |document| {
            document.pulls.push(pull.clone());
            Some(())
        },
        queue,
    );
}

fn row_ui(
    ui: &mut Ui,
    shared: &Shared<'_>,
    place: usize,
    pull: &MeasuredPull,
    fitted: Option<&FittedPull>,
    widths: &[f32],
    queue: &mut Queue,
) {
    let [rider, towards, payload, at, off, force, deviation, before, after, note, more] = widths else {
        return;
    };
    let row = place + 1;
    let base = format!("pulls/{row}");
    let change = |about: &str, write: Box<dyn Fn(&mut MeasuredPull) + Send + Sync>, queue: &mut Queue| {
        editor::alter(
            &format!("pulls/{place}"),
            about,
            move |document| {
                write(document.pulls.get_mut(place)?);
                Some(())
            },
            queue,
        );
    };
    ui.horizontal(|ui| {
        cell_ui(ui, *rider, |ui| {
            let riders = &shared.state.session.reading().document.riders;
            let words: Vec<&str> = riders.iter().map(|rider| rider.name.as_str()).collect();
            let now = words.iter().position(|word| *word == pull.rider).unwrap_or(usize::MAX);
            let width = ui.available_width() - 4.0;
            let chosen = choice_ui(ui, &format!("Rider of pull {row}"), now, &words, width);
            if let Some(name) = chosen.and_then(|at| words.get(at)).map(|name| (*name).to_owned()) {
                change("Note which rider was pulled", Box::new(move |p| p.rider.clone_from(&name)), queue);
            }
        });
        cell_ui(ui, *towards, |ui| {
            let words = pull.towards.words();
            let now = words.iter().position(|word| *word == pull.towards.word()).unwrap_or(usize::MAX);
            let width = ui.available_width() - 4.0;
            let chosen = choice_ui(ui, &format!("Way of pull {row}"), now, &WAYS, width);
            if let Some(word) = chosen.and_then(|at| words.get(at)) {
                queue.push(Action::Edit(Edit::set(&format!("{base}/towards"), word)));
                queue.push(Action::EndEdit);
            }
        });
        size_ui(ui, shared, *payload, &format!("{base}/payload"), &format!("Put on for pull {row}"), queue);
        size_ui(ui, shared, *at, &format!("{base}/at"), &format!("Travel of pull {row}"), queue);
        cell_ui(ui, *off, |ui| {
            let mut line_off = pull.line_off;
            let tip = "The belt was off, so that only this rider moved";
            let response = ui.checkbox(&mut line_off, "").on_hover_text(tip);
            if response.accessible_name(format!("Line off at pull {row}")).changed() {
                change("Note whether the line was off", Box::new(move |p| p.line_off = line_off), queue);
            }
        });
        size_ui(ui, shared, *force, &format!("{base}/force"), &format!("Force of pull {row}"), queue);
        size_ui(
            ui,
            shared,
            *deviation,
            &format!("{base}/deviation"),
            &format!("Scatter of pull {row}"),
            queue,
        );
        for (width, value) in
            [(*before, fitted.and_then(|p| p.before)), (*after, fitted.and_then(|p| p.fitted))]
        {
            let units = shared.state.preferences.units();
            let text = value.map_or_else(String::new, |value| units.force(value, 2));
            cell_ui(ui, width, |ui| ui.add(Label::new(text).truncate()));
        }
        cell_ui(ui, *note, |ui| {
            let width = ui.available_width() - 4.0;
            let says = format!("Note of pull {row}");
            if let Some(new) = text_ui(ui, (place, "pull note"), &says, &pull.note, width, "how it was done")
            {
                change("Write the note of a pull", Box::new(move |p| p.note.clone_from(&new)), queue);
            }
        });
        cell_ui(ui, *more, |ui| {
            if quiet_button(ui, "×", &format!("Delete pull {row}"), "Take this pull away").clicked() {
                editor::alter(
                    "pulls",
                    "Take a pull away",
                    move |document| {
                        (place < document.pulls.len()).then(|| drop(document.pulls.remove(place)))
                    },
                    queue,
                );
            }
        });
    });
}

/// A cell with the field of a size.
fn size_ui(ui: &mut Ui, shared: &Shared<'_>, width: f32, path: &str, name: &str, queue: &mut Queue) {
    cell_ui(ui, width, |ui| {
        let room = ui.available_width() - 4.0;
        if let Some(field) = editor::field_at(shared, path, name) {
            field.as_field(shared).show_short(ui, "", room, queue);
        }
    });
}

/// What the pulls say about the coefficients.
fn fit_ui(ui: &mut Ui, shared: &Shared<'_>, calibration: &Calibration, queue: &mut Queue) {
    section_ui(ui, "What the pulls tell");
    for coefficient in &calibration.coefficients {
        ui.horizontal(|ui| coefficient_ui(ui, shared, coefficient, calibration.pulls.len(), queue));
    }
    if let Some(next) = &calibration.next {
        let of: Vec<&str> = next.apart_from.iter().map(|which| which.name()).collect();
        ui.weak(format!(
            "What to measure next to tell the {} from the {} stands among the findings.",
            next.tells.name(),
            of.join(" and the ")
        ));
    }
    if let Some(deviation) = calibration.deviation {
        ui.weak(format!(
            "The pulls scatter about the fit by {} (standard deviation).",
            shared.state.preferences.units().force(deviation, 3)
        ));
    }
}

fn coefficient_ui(
    ui: &mut Ui,
    shared: &Shared<'_>,
    coefficient: &FittedCoefficient,
    pulls: usize,
    queue: &mut Queue,
) {
    let FittedCoefficient { which, before, value, standard_error, least, greatest, outcome } = coefficient;
    let unit = if which.unit().is_empty() { String::new() } else { format!(" {}", which.unit()) };
    let (mark, words) = match outcome {
        FitOutcome::Fitted => {
            (Mark::Clear, format!("{}{unit} instead of {}{unit}", number(*value, 4), number(*before, 4)))
        }
        FitOutcome::AtBound => (
            Mark::Marginal,
            format!(
                "{}{unit} at best: the pulls by themselves ask for what is not possible",
                number(*value, 4)
            ),
        ),
        FitOutcome::NoInfluence => {
            (Mark::Note, "hardly changes any of the pulls, or by less than they scatter".to_owned())
        }
        FitOutcome::Entangled(with) => {
            let with: Vec<&str> = with.iter().map(|which| which.name()).collect();
            (Mark::Note, format!("cannot be told from {} by these pulls", with.join(" and ")))
        }
        FitOutcome::TooFewPulls => (Mark::Note, "takes more than one pull".to_owned()),
    };
    mark_ui(ui, mark, shared.theme);
    let name = which.name();
    ui.label(RichText::new(name).font(FontRole::Strong.id()));
    ui.label(words);
    ui.weak(format!("95 %: {} to {}{unit}", number(*least, 4), number(*greatest, 4)));
    if *outcome != FitOutcome::Fitted || value == before {
        return;
    }
    let tip = "Calculate with the fitted value from now on";
    let button = ui.add(Button::new("Use this value").small()).on_hover_text(tip);
    if button.accessible_name(format!("Use this value: {name}")).clicked() {
        let (which, value, error) = (*which, *value, *standard_error);
        editor::alter(
            glidewright_project::resistance_path(which),
            format!("Use the fitted {name}"),
            move |document| take_over(&mut document.resistance, which, (value, error), pulls),
            queue,
        );
    }
}

/// Writes a fitted coefficient with its standard error: a normal tolerance is three of them.
fn take_over(
    resistance: &mut Resistance,
    which: Fittable,
    (value, error): (f64, f64),
    pulls: usize,
) -> Option<()> {
    fn size<K: Kind>(value: f64, error: f64, pulls: usize) -> Size<K> {
        let mut size = Size::of(round(value, 5)).with_tolerance(Tolerance::Normal(round(3.0 * error, 6)));
        size.note = format!("fitted to {pulls} pulls");
        size
    }
    match which {
        Fittable::Flank => resistance.flank = Some(size(value, error, pulls)),
        Fittable::NoLoadTorque => resistance.no_load_torque = Some(size(value, error, pulls)),
        Fittable::Hysteresis => resistance.hysteresis = Some(size(value, error, pulls)),
        Fittable::Shoe => resistance.shoe = Some(size(value, error, pulls)),
    }
    Some(())
}
