//! `sweep`: what becomes of gaps, effort and findings as one size is swept.

use std::fmt::Write;
use std::path::PathBuf;

use glidewright_choice::{End, Figure, Point, Sweep, SweepQuestion, Swept, Trouble, percent};
use glidewright_motion::{Severity, number, plain};
use glidewright_project::{NumberSize, Problem, numbers, resolve};
use glidewright_sheet::ReaderUnits;
use serde_json::{Value, json};

use super::json as contract;
use super::load::{document, name_of, refuse, report};
use super::output::{Console, Outcome, folded};
use super::pages::{plot_format, write_plot};
use crate::plots::{sweep_plot, swept, titled};

/// Arguments of `sweep`.
#[derive(clap::Args)]
pub struct Arguments {
    /// The project; without it, the built-in demo
    file: Option<PathBuf>,
    /// The size to sweep: its path, or the name of a shared size. Without it the sizes there are, with their paths
    #[arg(long, value_name = "PATH")]
    size: Option<String>,
    /// Where to begin, in the size's unit; without it half of what it is
    #[arg(long, value_name = "VALUE", allow_negative_numbers = true, requires = "size")]
    from: Option<f64>,
    /// Where to end, in the size's unit; without it half as much again as it is
    #[arg(long, value_name = "VALUE", allow_negative_numbers = true, requires = "size")]
    to: Option<f64>,
    /// How many values, both ends among them
    #[arg(long, value_name = "N", default_value_t = SweepQuestion::USUAL, requires = "size")]
    values: usize,
    /// Make so many builds at each value, for the share that fouls
    #[arg(long, value_name = "N", default_value_t = 0, value_parser = clap::value_parser!(u64).range(0..=100_000), requires = "size")]
    builds: u64,
    /// Where the builds' random numbers begin; the same seed gives the same builds
    #[arg(long, value_name = "N", default_value_t = 0)]
    seed: u64,
    /// The trial to sweep instead of the fixture as drawn
    #[arg(long, value_name = "NAME")]
    trial: Option<String>,
    /// Draw a plot too: PNG, SVG or PDF by the file's ending
    #[arg(long, value_name = "FILE", requires = "size")]
    picture: Option<PathBuf>,
    /// What the plot shows: gap, effort, hold, pressure, torque, mass or share
    #[arg(long, value_name = "FIGURE", default_value = "gap", requires = "picture")]
    plot: String,
    /// Draw it on dark paper
    #[arg(long, requires = "picture")]
    dark: bool,
    /// Print JSON (described in assets/handbook/json.md)
    #[arg(long)]
    json: bool,
}

/// Names of what can be plotted.
const PLOTTED: [(&str, Figure); 7] = [
    ("gap", Figure::Gap),
    ("effort", Figure::Effort),
    ("hold", Figure::HoldMargin),
    ("pressure", Figure::Pressure),
    ("torque", Figure::Torque),
    ("mass", Figure::Mass),
    ("share", Figure::Share),
];

/// Runs `sweep`.
pub fn run(arguments: &Arguments, console: &mut Console<'_>) -> Outcome {
    let (file, trial) = (arguments.file.as_deref(), arguments.trial.as_deref());
    let refused = |console: &mut Console<'_>, problems: &[Problem]| {
        refuse(console, "sweep", file, trial, arguments.json, problems)
    };
    let (document, warnings) = match document(file) {
        Ok(read) => read,
        Err(problems) => return refused(console, &problems),
    };
    let picture = match arguments.picture.as_deref().map(|out| plot_format(out, file).map(|to| (out, to))) {
        None => None,
        Some(Ok(picture)) => Some(picture),
        Some(Err(message)) => {
            console.error(&message);
            return Outcome::Unusable;
        }
    };
    let Some((_, figure)) = PLOTTED.into_iter().find(|(name, _)| *name == arguments.plot) else {
        let names = PLOTTED.map(|(name, _)| name).join(", ");
        console.error(&format!("there is no figure {:?} to plot; there are {names}", arguments.plot));
        return Outcome::Unusable;
    };
    let resolved = resolve(&document, trial);
    let Some(fixture) = resolved.fixture.as_ref().filter(|_| !resolved.has_errors()) else {
        return refused(console, &resolved.problems);
    };
    let header = contract::header("sweep", fixture, trial);
    let sizes = numbers(&resolved);
    let Some(wanted) = &arguments.size else {
        report(console, &name_of(file), &[warnings, resolved.problems.clone()].concat());
        if arguments.json {
            let mut map = header;
            map.insert("sizes".into(), sizes.iter().map(contract::sweep::size).collect());
            console.print(&format!("{:#}\n", Value::Object(map)));
        } else {
            console.print(&listed(&sizes));
        }
        return Outcome::Good;
    };
    let shared = format!("sizes/{wanted}");
    let now = sizes.iter().find(|size| size.path == *wanted || size.path == shared);
    let usual = now.map_or_else(|| SweepQuestion::over(wanted.as_str(), 0.0, 1.0), SweepQuestion::about);
    let question = SweepQuestion {
        from: arguments.from.unwrap_or(usual.from),
        to: arguments.to.unwrap_or(usual.to),
        count: arguments.values,
        builds: arguments.builds,
        seed: arguments.seed,
        ..usual
    };
    let mut sweep = match Sweep::begin(&document, trial, question) {
        Ok(sweep) => sweep,
        Err(problems) => return refused(console, &problems),
    };
    while sweep.advance(usize::MAX, &|| false) {}
    let sweep = sweep.swept();
    report(console, &name_of(file), &[warnings, resolved.problems.clone()].concat());
    let title = titled(&document.name, trial, &swept(&sweep));
    if arguments.json {
        let mut map = header;
        map.insert("status".into(), json!("swept"));
        contract::sweep::add(&mut map, &sweep);
        console.print(&format!("{:#}\n", Value::Object(map)));
    } else {
        console.print(&text(&title, &sweep));
    }
    if let Some((out, format)) = picture {
        let plot = sweep_plot(&title, &sweep, figure, ReaderUnits::default());
        if let Err(message) = write_plot(out, format, &plot, arguments.dark) {
            console.error(&message);
            return Outcome::Unusable;
        }
    }
    Outcome::Good
}

fn listed(sizes: &[NumberSize]) -> String {
    let mut out = String::new();
    let width = sizes.iter().map(|size| size.path.chars().count()).max().unwrap_or(0);
    for size in sizes {
        let value = format!("{} {}", plain(size.now), size.unit());
        let _ = writeln!(out, "{:<width$}  {:>14}  {}", size.path, value.trim_end(), size.label);
    }
    out
}

/// Width of the text (characters).
const WIDTH: usize = 100;
/// So many lines of values at most.
const LINES: usize = 26;

fn text(title: &str, sweep: &Swept) -> String {
    let mut out = format!("{title}\n\n");
    let points: Vec<&Point> = sweep.points.iter().collect();
    let columns: Vec<Figure> =
        Figure::ALL.into_iter().filter(|figure| points.iter().any(|p| p.figure(*figure).is_some())).collect();
    table(&mut out, &points, &columns);
    out.push_str("\nWhere it turns\n");
    if sweep.ends.is_empty() {
        let wrong = points.iter().filter_map(|p| p.outcome.as_ref().ok()).map(|figures| figures.counts());
        let all_well = wrong.clone().all(|counts| counts == (0, 0));
        let words = match (points.iter().all(|p| p.outcome.is_err()), all_well) {
            (true, _) => "nowhere: no fixture can be made at any of these values".to_owned(),
            (_, true) => "nowhere: nothing fails and nothing is marginal at any of these values".to_owned(),
            _ => "nowhere: the same fails and is marginal at all of these values".to_owned(),
        };
        let _ = writeln!(out, "{}", folded(&words, 2, WIDTH));
    }
    for end in &sweep.ends {
        end_text(&mut out, end, sweep.size.unit());
    }
    for point in &points {
        if let Err(why) = &point.outcome {
            let words = format!("At {} no fixture can be made: {why}", plain(point.value));
            let _ = writeln!(out, "\n{}", folded(&words, 0, WIDTH));
            break;
        }
    }
    out
}

/// A head of two words a column, and a line for every value that is told of.
fn table(out: &mut String, points: &[&Point], columns: &[Figure]) {
    let head = |figure: &Figure| match figure {
        Figure::Gap => ["gap", "drawn"],
        Figure::LoadedGap => ["gap", "loaded"],
        Figure::LeftGap => ["gap", "at worst"],
        Figure::Share => ["builds", "foul"],
        Figure::Effort => ["effort", ""],
        Figure::HoldMargin => ["hold", "margin"],
        Figure::Pressure => ["pressure", ""],
        Figure::Torque => ["torque", ""],
        Figure::Mass => ["riders", "weigh"],
    };
    for row in 0..2 {
        let _ = write!(out, "{:>10}", if row == 0 { "value" } else { "" });
        for figure in columns {
            let _ = write!(out, "{:>9}", head(figure)[row]);
        }
        let _ = writeln!(out, "{}", if row == 0 { "  fail, marginal" } else { "" });
    }
    let _ = write!(out, "{:>10}", "");
    for figure in columns {
        let _ = write!(out, "{:>9}", figure.unit());
    }
    out.push('\n');
    let step = points.len().saturating_sub(1).div_ceil(LINES - 1).max(1);
    let last = points.len().saturating_sub(1);
    for (number_of, point) in points.iter().enumerate() {
        if number_of % step != 0 && number_of != last {
            continue;
        }
        let _ = write!(out, "{:>10}", plain(point.value));
        for figure in columns {
            let told = point.figure(*figure).map(|value| match figure {
                Figure::Share => percent(0.01 * value).trim_end_matches(" %").to_owned(),
                Figure::Mass | Figure::Torque => number(value, 0),
                _ => number(value, 2),
            });
            let _ = write!(out, "{:>9}", told.as_deref().unwrap_or("–"));
        }
        let wrong = match &point.outcome {
            Err(_) => "impossible".to_owned(),
            Ok(figures) => match figures.counts() {
                (0, 0) => "none".to_owned(),
                (fails, marginal) => format!("{fails}, {marginal}"),
            },
        };
        let _ = writeln!(out, "  {wrong}");
    }
}

fn end_text(out: &mut String, end: &End, unit: &str) {
    let at = format!("{} {unit}", number(end.value(), 3));
    let at = at.trim_end();
    let mut line = |words: String| {
        let _ = writeln!(out, "{}", folded(&words, 2, WIDTH));
    };
    let severity = |trouble: &Trouble| match trouble.severity {
        Severity::Fails => "fails",
        _ => "marginal",
    };
    for trouble in &end.ceases {
        line(format!("up to {at} {}: {} [{}]", severity(trouble), trouble.title, trouble.code));
    }
    for trouble in &end.begins {
        line(format!("from {at} {}: {} [{}]", severity(trouble), trouble.title, trouble.code));
    }
    match &end.impossible {
        [Some(why), None] => line(format!("up to {at} no fixture can be made: {why}")),
        [None, Some(why)] => line(format!("from {at} no fixture can be made: {why}")),
        _ => {}
    }
}
