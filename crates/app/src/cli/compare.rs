//! `compare`: trials side by side in numbers, words and pictures.

use std::fmt::Write;
use std::path::PathBuf;
use std::sync::Arc;

use glidewright_sheet::number;
use glidewright_sheet::views::{
    Compared, Comparison, Dress, Other, ViewState, comparison, picture, view_named,
};
use serde_json::{Value, json};

use super::json as contract;
use super::load::{Loaded, load, name_of, refuse, report};
use super::output::{Console, Outcome, folded};
use super::pages::{plot_format, write};
use crate::today::today;

/// Arguments of `compare`.
#[derive(clap::Args)]
pub struct Arguments {
    /// The project; without it, the built-in demo
    file: Option<PathBuf>,
    /// The trial that the others are held against; without it the fixture as drawn
    #[arg(long, value_name = "NAME")]
    trial: Option<String>,
    /// A trial to compare with; "as drawn" is the fixture without a trial. May be given several times; without it all others
    #[arg(long = "with", value_name = "TRIAL")]
    with: Vec<String>,
    /// Write a picture too: PNG, SVG or PDF by the file's ending
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// What is pictured of each: gap, bench, stacks or space
    #[arg(long, value_name = "NAME", default_value = "gap", requires = "out")]
    show: String,
    /// Draw on dark paper
    #[arg(long, requires = "out")]
    dark: bool,
    /// Print JSON (described in assets/handbook/json.md)
    #[arg(long)]
    json: bool,
}

/// What the fixture without a trial is called.
const AS_DRAWN: &str = "as drawn";
/// Most trials beside the one they are held against.
const MOST: usize = 7;
/// Width of the picture (pixels).
const WIDTH_PX: u32 = 2000;

/// Runs `compare`.
pub fn run(arguments: &Arguments, console: &mut Console<'_>) -> Outcome {
    let (file, trial) = (arguments.file.as_deref(), arguments.trial.as_deref());
    let wrong = |console: &mut Console<'_>, message: &str| {
        console.error(message);
        Outcome::Unusable
    };
    let Some(compared) = Compared::named(&arguments.show) else {
        let names = Compared::ALL.map(Compared::name).join(", ");
        return wrong(
            console,
            &format!("there is no picture {:?} of a trial; there are {names}", arguments.show),
        );
    };
    let to = match arguments.out.as_deref().map(|out| plot_format(out, file).map(|format| (out, format))) {
        None => None,
        Some(Ok(to)) => Some(to),
        Some(Err(message)) => return wrong(console, &message),
    };
    let refused = |console: &mut Console<'_>, problems: &[glidewright_project::Problem]| {
        refuse(console, "compare", file, trial, arguments.json, problems)
    };
    let loaded = match load(file, trial) {
        Ok(loaded) => loaded,
        Err(problems) => return refused(console, &problems),
    };
    let names = others(arguments, &loaded);
    if names.is_empty() {
        return wrong(console, "there is nothing to compare with: the project has no other trial");
    }
    let left_out = names.len().saturating_sub(MOST);
    let mut state = ViewState {
        trial: loaded.trial.clone(),
        extras: Arc::new(loaded.extras()),
        compared,
        ..ViewState::default()
    };
    let nearest = loaded.results.interference.tightest().map(|pair| pair.at_travel);
    state.travel = nearest.unwrap_or(0.5 * (loaded.fixture.stroke.from + loaded.fixture.stroke.to));
    for name in names.iter().take(MOST) {
        let trial = (name != AS_DRAWN).then_some(name.as_str());
        let other = match load(file, trial) {
            Ok(other) => other,
            Err(problems) => return refused(console, &problems),
        };
        let extras = Arc::new(other.extras());
        state.others.push(Other {
            name: name.clone(),
            fixture: Arc::new(other.fixture),
            results: Arc::new(other.results),
            extras,
        });
    }
    let found = comparison(&loaded.fixture, &loaded.results, &state);
    report(console, &name_of(file), &loaded.warnings);
    if arguments.json {
        let mut map = contract::header("compare", &loaded.fixture, trial);
        map.insert("trials".into(), json!(found.names));
        map.insert(
            "figures".into(),
            found
                .figures
                .iter()
                .map(|figure| json!({ "name": figure.name, "unit": figure.unit, "values": figure.values }))
                .collect(),
        );
        map.insert("differences".into(), json!(found.differences));
        map.insert("left_out".into(), json!(left_out));
        console.print(&format!("{:#}\n", Value::Object(map)));
    } else {
        console.print(&text(&loaded.fixture.name, &found, left_out));
    }
    let Some((out, format)) = to else { return Outcome::Good };
    let Some(view) = view_named("compare") else { return Outcome::Unusable };
    let name = file.and_then(std::path::Path::file_name);
    let dress = Dress {
        date: today(),
        file: name.map_or_else(|| "built-in demo".to_owned(), |name| name.to_string_lossy().into_owned()),
        ..Dress::default()
    };
    let pages = picture(view, &loaded.fixture, &loaded.results, &state, &dress);
    match write(out, format, &pages, arguments.dark, WIDTH_PX) {
        Ok(()) => Outcome::Good,
        Err(message) => wrong(console, &message),
    }
}

/// The trials to set beside the one asked for: those named, or all others.
fn others(arguments: &Arguments, loaded: &Loaded) -> Vec<String> {
    let drawn = loaded.trial.as_deref().unwrap_or(AS_DRAWN);
    if !arguments.with.is_empty() {
        return arguments.with.iter().filter(|name| *name != drawn).cloned().collect();
    }
    let all = std::iter::once(AS_DRAWN).chain(loaded.trials.iter().map(String::as_str));
    all.filter(|name| *name != drawn).map(str::to_owned).collect()
}

/// Width of the text (characters), and of the column of names.
const WIDTH: usize = 100;
const NAMES: usize = 36;

/// As many trials to a table as a line holds; what all are alike in stands below, once.
fn text(fixture: &str, found: &Comparison, left_out: usize) -> String {
    let mut out = format!("{fixture}: {} and {} more\n", found.names[0], found.names.len() - 1);
    let told = |value: Option<f64>, decimals| value.map_or_else(|| "–".to_owned(), |v| number(v, decimals));
    let numbered = |place: usize| format!("({})", place + 1);
    for (place, name) in found.names.iter().enumerate() {
        let _ = writeln!(out, "  {:<4} {name}", numbered(place));
    }
    let alike = |figure: &&glidewright_sheet::views::ComparedFigure| {
        let all: Vec<String> = figure.values.iter().map(|value| told(*value, figure.decimals)).collect();
        all.windows(2).all(|pair| pair[0] == pair[1])
    };
    let (same, differing): (Vec<_>, Vec<_>) = found.figures.iter().partition(alike);
    let column = ((WIDTH - NAMES) / found.names.len().max(1)).clamp(8, 12);
    let _ = write!(out, "\n{:<NAMES$}", "");
    for place in 0..found.names.len() {
        let _ = write!(out, "{:>column$}", numbered(place));
    }
    out.push('\n');
    for figure in differing {
        let name = if figure.unit.is_empty() {
            figure.name.clone()
        } else {
            format!("{}, {}", figure.name, figure.unit)
        };
        let _ = write!(out, "{name:<NAMES$}");
        for value in &figure.values {
            let _ = write!(out, "{:>column$}", told(*value, figure.decimals));
        }
        out.push('\n');
    }
    if !same.is_empty() {
        let words = same.iter().map(|figure| {
            let value = told(figure.values.first().copied().flatten(), figure.decimals);
            format!("{} {value} {}", figure.name, figure.unit).trim_end().to_owned()
        });
        let words = format!("Alike in all: {}", words.collect::<Vec<_>>().join("; "));
        let _ = writeln!(out, "\n{}", folded(&words, 0, WIDTH));
    }
    out.push_str("\nWhat differs from (1)\n");
    for (place, told) in found.differences.iter().enumerate() {
        let words = if told.is_empty() { "no other part or size".to_owned() } else { told.join("; ") };
        let _ = writeln!(out, "  {:<4} {}", numbered(place + 1), folded(&words, 7, WIDTH).trim_start());
    }
    if left_out > 0 {
        let _ = writeln!(out, "\n{left_out} more trials were left out; name those to compare with --with");
    }
    out
}
