//! `remedies`: what cures the findings, the best first.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::{Path, PathBuf};

use glidewright_choice::{Aim, Asked, Found, NoSearch, Range, Row, Search, grouped, percent};
use glidewright_motion::number;
use glidewright_project::document::PartsFile;
use glidewright_project::edit::fresh_name;
use glidewright_project::formula::plain_number;
use glidewright_project::store::{Store, StoreError};
use glidewright_project::{Document, Problem, apply, print};
use serde_json::{Map, Value, json};

use super::json as contract;
use super::load::{document, name_of, refuse, report};
use super::output::{Console, Outcome, folded};
use crate::state::own_library_file;

/// Arguments of `remedies`.
#[derive(clap::Args)]
pub struct Arguments {
    /// The project; without it, the built-in demo
    file: Option<PathBuf>,
    /// The trial to begin from instead of the fixture as drawn
    #[arg(long, value_name = "NAME")]
    trial: Option<String>,
    /// Keep this as it is: a rider, a part, a path of the document, or a kind of place: screw, nut, washer, shim, spacer,
    /// wheel, round (which way round screws are), size, remedy (may be given several times)
    #[arg(long, value_name = "WHAT")]
    lock: Vec<String>,
    /// Leave this open besides: a size, or the stack of a bolt, by its path (may be given several times)
    #[arg(long, value_name = "PATH")]
    open: Vec<String>,
    /// Try a size over a range, e.g. sizes/spacer=14..16 or sizes/spacer=14..16:0.25, in its own unit; without a step, every
    /// 0.5 (may be given several times)
    #[arg(long, value_name = "PATH=FROM..TO[:STEP]")]
    range: Vec<String>,
    /// Only parts that are there now or at hand by the library, no more of each than there are
    #[arg(long)]
    at_hand: bool,
    /// Wheels change everywhere alike or not at all
    #[arg(long)]
    one_wheel: bool,
    /// In which order you care, the foremost first, of: fails, marginal, changed, bought, cost, certainty, builds, looks,
    /// effort. What is left out follows in this order
    #[arg(long, value_name = "WORD,…", value_delimiter = ',')]
    order: Vec<String>,
    /// So many rows are wanted in their final order
    #[arg(long, value_name = "N", default_value_t = 8, value_parser = clap::value_parser!(u16).range(1..=200))]
    most: u16,
    /// So many combinations are analysed at most
    #[arg(long, value_name = "N", default_value_t = 1500, value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    analyses: u32,
    /// So many builds of each of the first rows; 0 for none
    #[arg(long, value_name = "N", default_value_t = 10_000, value_parser = clap::value_parser!(u32).range(0..=1_000_000))]
    builds: u32,
    /// The file of one's own library, for what is at hand and what it cost; without it, the one kept beside the preferences
    #[arg(long, value_name = "FILE")]
    library: Option<PathBuf>,
    /// Print JSON (described in assets/handbook/json.md)
    #[arg(long)]
    json: bool,
    /// Write the project with this row as a further trial to the file of --out
    #[arg(long, value_name = "ROW", requires = "out", value_parser = clap::value_parser!(u16).range(1..))]
    trial_of: Option<u16>,
    /// The file for --trial-of, which must not exist yet
    #[arg(long, value_name = "FILE", requires = "trial_of")]
    out: Option<PathBuf>,
}

/// Runs `remedies`.
pub fn run(arguments: &Arguments, console: &mut Console<'_>) -> Outcome {
    let (file, trial) = (arguments.file.as_deref(), arguments.trial.as_deref());
    let refused = |console: &mut Console<'_>, problems: &[Problem]| {
        refuse(console, "remedies", file, trial, arguments.json, problems)
    };
    let (document, warnings) = match document(file) {
        Ok(read) => read,
        Err(problems) => return refused(console, &problems),
    };
    let asked = match arguments.asked() {
        Ok(asked) => asked,
        Err(problems) => return refused(console, &problems),
    };
    if let Some(out) = arguments.out.as_deref().filter(|out| Store::disk().exists(out)) {
        let message = format!("{} exists already", out.display());
        return refused(console, &[Problem::error("", message).remedy("name another file, or move it away")]);
    }
    let mut search = match Search::begin(&document, trial, &asked) {
        Ok(search) => search,
        Err(NoSearch::Problems(problems)) => return refused(console, &problems),
        Err(NoSearch::NothingOpen { now, left_out }) => {
            if !arguments.json {
                console.print(&format!("{}{}", title(&document, trial), now_text(&now)));
            }
            let message = match left_out.is_empty() {
                true => "nothing is left open: nothing here could be otherwise".to_owned(),
                false => format!("nothing is left open; not searched: {}", left_out.join("; ")),
            };
            let problem = Problem::error("", message).remedy("lock less, or give a size a range");
            return refused(console, &[problem]);
        }
    };
    while !search.advance(256, &|| false).is_done {}
    let found = search.outcome();
    report(console, &name_of(file), &warnings);
    if arguments.json {
        let mut json = Map::new();
        json.insert(
            "contract".into(),
            json!(format!("glidewright.remedies/{}", contract::version("remedies"))),
        );
        json.insert("fixture".into(), json!(document.name));
        json.insert("trial".into(), json!(trial));
        contract::remedies::add(&mut json, &found, search.places());
        console.print(&format!("{:#}\n", Value::Object(json)));
    } else {
        let shown = found.rows.len().min(usize::from(arguments.most));
        console.print(&format!("{}{}", title(&document, trial), text(&found, shown)));
    }
    if let (Some(number), Some(out)) = (arguments.trial_of, arguments.out.as_deref()) {
        match write_trial(&document, trial, &found, usize::from(number), out) {
            Ok(said) if arguments.json => console.error(&said),
            Ok(said) => console.print(&format!("\n{said}\n")),
            Err(problem) => {
                report(console, &name_of(file), &[problem]);
                return Outcome::Unusable;
            }
        }
    }
    let best = found.rows.first().map_or(found.now.fails, |row| row.fails.min(found.now.fails));
    if best > 0 { Outcome::Fails } else { Outcome::Good }
}

impl Arguments {
    fn asked(&self) -> Result<Asked, Vec<Problem>> {
        let mut problems = Vec::new();
        let mut ranges = BTreeMap::new();
        for text in &self.range {
            match range(text) {
                Some((path, range)) => {
                    ranges.insert(path, range);
                }
                None => problems.push(
                    Problem::error(text, "this is no range of a size")
                        .remedy("write it as sizes/spacer=14..16, with a step as sizes/spacer=14..16:0.25"),
                ),
            }
        }
        let mut order = Vec::new();
        for word in &self.order {
            match Aim::of_word(word.trim()) {
                Some(aim) => order.push(aim),
                None => {
                    let words: Vec<&str> = Aim::ALL.iter().map(|aim| aim.word()).collect();
                    let message = format!("there is nothing to care about called {word:?}");
                    problems
                        .push(Problem::error("", message).remedy(format!("take of {}", words.join(", "))));
                }
            }
        }
        let library = self.library().unwrap_or_else(|found| {
            problems.extend(found);
            PartsFile::default()
        });
        if !problems.is_empty() {
            return Err(problems);
        }
        Ok(Asked {
            locked: self.lock.clone(),
            open: self.open.clone(),
            ranges,
            at_hand_only: self.at_hand,
            one_wheel: self.one_wheel,
            order,
            library,
            most: usize::from(self.most),
            analyses: self.analyses as usize,
            builds: u64::from(self.builds),
            ..Asked::default()
        })
    }

    /// The library named, which must be there, or the one kept, which need not.
    fn library(&self) -> Result<PartsFile, Vec<Problem>> {
        let store = Store::disk();
        let named = self.library.clone();
        let Some(file) = named.clone().or_else(own_library_file) else { return Ok(PartsFile::default()) };
        if let Some(file) = named.filter(|file| !store.exists(file)) {
            let message = format!("there is no library {}", file.display());
            return Err(vec![Problem::error("", message).remedy("name a file of parts")]);
        }
        match store.open_parts(&file) {
            Ok((library, _)) => Ok(library),
            Err(StoreError::Unreadable { problems, .. }) => Err(problems),
            Err(error) => Err(vec![Problem::error("", error.to_string()).remedy(error.remedy())]),
        }
    }
}

/// `sizes/spacer=14..16:0.25`
fn range(text: &str) -> Option<(String, Range)> {
    let (path, values) = text.split_once('=')?;
    let (values, step) = match values.split_once(':') {
        Some((values, step)) => (values, plain_number(step)?),
        None => (values, Range::STEP),
    };
    let (from, to) = values.split_once("..")?;
    Some((path.trim().to_owned(), Range { from: plain_number(from)?, to: plain_number(to)?, step }))
}

/// Writes the project with a row as a further trial.
fn write_trial(
    document: &Document,
    over: Option<&str>,
    found: &Found,
    number: usize,
    out: &Path,
) -> Result<String, Problem> {
    let Some(row) = number.checked_sub(1).and_then(|at| found.rows.get(at)) else {
        let message = format!("there is no row {number}; {} were found", found.rows.len());
        return Err(Problem::error("", message).remedy("name one of those listed"));
    };
    let mut with = document.clone();
    let name = fresh_name("remedy", document.trials.iter().map(|trial| trial.name.as_str()));
    with.trials.push(row.trial(&name, over));
    let (_, problems) = apply(&with, &name);
    if let Some(problem) = problems.into_iter().next() {
        return Err(problem);
    }
    let written = Store::disk().write(out, print(&with).as_bytes());
    written.map_err(|error| Problem::error("", error.to_string()).remedy(error.remedy()))?;
    Ok(format!("The trial {name:?} is written to {}.", out.display()))
}

/// Width of the text (characters), as wide as a terminal usually is.
const WIDTH: usize = 100;

fn title(document: &Document, trial: Option<&str>) -> String {
    let which = trial.map_or_else(|| "as drawn".to_owned(), |trial| format!("trial “{trial}”"));
    format!("{}, {which}\n", document.name)
}

fn now_text(now: &Row) -> String {
    let mut out = format!("\nNow: {} fail, {} marginal\n", now.fails, now.marginal);
    for (number, told) in now.findings.iter().enumerate() {
        let _ = writeln!(out, "{}", folded(&format!("[{}] {}", number + 1, told.title), 2, WIDTH));
    }
    out
}

fn text(found: &Found, shown: usize) -> String {
    let mut out = now_text(&found.now);
    let combinations =
        u64::try_from(found.space).map_or_else(|_| format!("{:.1e}", found.space as f64), grouped);
    let _ = writeln!(
        out,
        "\n{combinations} combinations, {} analysed; the first {} rows are final\n",
        grouped(found.progress.analysed as u64),
        found.progress.final_rows.min(shown)
    );
    if found.rows.is_empty() {
        out.push_str("Nothing was found that has fewer findings.\n");
    } else {
        let _ = writeln!(
            out,
            "{:>3}  {:>5} {:>8} {:>7} {:>6} {:>10} {:>9} {:>9} {:>8}  least sure",
            "",
            "fails",
            "marginal",
            "changed",
            "to buy",
            format!("cost {}", found.currency.chars().take(5).collect::<String>()),
            "gap mm",
            "effort N",
            "foul"
        );
    }
    for (number, row) in found.rows.iter().take(shown).enumerate() {
        row_text(&mut out, number + 1, row, found);
    }
    let more = found.rows.len().saturating_sub(shown);
    if more > 0 {
        let _ = writeln!(out, "\n{more} more rows were found on the way; --most shows them.");
    }
    let mut section = |head: &str, lines: &[String]| {
        if !lines.is_empty() {
            let _ = writeln!(out, "\n{head}");
            for line in lines {
                let _ = writeln!(out, "{}", folded(line, 2, WIDTH));
            }
        }
    };
    let impossible: Vec<String> =
        found.impossible.iter().map(|(why, count)| format!("{count} combinations: {why}")).collect();
    section("No fixture", &impossible);
    section("Not searched", &found.left_out);
    section("How far this is sure", &found.remarks);
    out
}

fn row_text(out: &mut String, number: usize, row: &Row, found: &Found) {
    let known = |value: Option<f64>, decimals| {
        value.map_or_else(|| "–".to_owned(), |value| self::number(value, decimals))
    };
    let cost = match (row.pieces, row.unpriced) {
        (0, _) => "–".to_owned(),
        (pieces, unpriced) if pieces == unpriced => "?".to_owned(),
        (_, unpriced) => {
            let guide = if row.has_guide_price { "≈" } else { "" };
            let more = if unpriced > 0 { "+?" } else { "" };
            format!("{guide}{}{more}", self::number(row.cost, 2))
        }
    };
    let _ = writeln!(
        out,
        "{number:>3}  {:>5} {:>8} {:>7} {:>6} {cost:>10} {:>9} {:>9} {:>8}  {}",
        row.fails,
        row.marginal,
        row.changed,
        row.pieces,
        known(row.least_gap, 2),
        known(row.effort.filter(|effort| effort.is_finite()), 2),
        row.builds.map_or_else(|| "–".to_owned(), |share| percent(share.share)),
        row.certainty.map_or("–", |certainty| certainty.in_short()),
    );
    let mut line = |text: &str| {
        let _ = writeln!(out, "{}", folded(text, 5, WIDTH));
    };
    line(&row.words.join("; "));
    let cured: Vec<String> = row.cured.iter().map(|number| format!("[{}]", number + 1)).collect();
    if cured.len() < found.now.findings.len() {
        line(&format!("cures {}", if cured.is_empty() { "nothing".to_owned() } else { cured.join(" ") }));
    }
    for told in &row.brought {
        line(&format!("brings: {}", told.title));
    }
    for note in &row.notes {
        line(note);
    }
    match row.alike.as_slice() {
        [] => {}
        [one] => line(&format!("and one like it: {}", one.join("; "))),
        [first, others @ ..] => {
            line(&format!("and {} like it, e.g. {}", others.len() + 1, first.join("; ")));
        }
    }
}
