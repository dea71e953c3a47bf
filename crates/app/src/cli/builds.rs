//! `builds`: what share of builds fouls, and which size to measure first.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::PathBuf;

use glidewright_choice::{
    Builds, Contributor, Likeness, NoBuilds, Outcome as Found, Question, Share, Standing, grouped, percent,
};
use glidewright_motion::{number, touches};
use glidewright_project::{Document, Problem, resolve};
use glidewright_sheet::{PlotData, ReaderUnits};
use serde_json::{Map, Value, json};

use super::json as contract;
use super::load::{document, name_of, refuse, report};
use super::output::{Console, Outcome, folded};
use super::pages::{plot_format, write_plot};
use crate::plots::builds_plot;

/// Arguments of `builds`.
#[derive(clap::Args)]
pub struct Arguments {
    /// The project; without it, the built-in demo
    file: Option<PathBuf>,
    /// The trial to build instead of the fixture as drawn
    #[arg(long, value_name = "NAME", conflicts_with = "all")]
    trial: Option<String>,
    /// The fixture as drawn and every trial, one after the other
    #[arg(long)]
    all: bool,
    /// How many builds
    #[arg(long, value_name = "N", default_value_t = 10_000, value_parser = clap::value_parser!(u64).range(1..=Builds::MOST))]
    samples: u64,
    /// Where the random numbers begin; the same seed gives the same builds
    #[arg(long, value_name = "N", default_value_t = 0)]
    seed: u64,
    /// Riders as drawn, without what load and play take of the gaps
    #[arg(long)]
    as_drawn: bool,
    /// Pieces of this size come out all alike, as of one lot or one print (the path of the size; may be given several times)
    #[arg(long, value_name = "PATH")]
    alike: Vec<String>,
    /// Pieces of this size come out each by itself (the path of the size; may be given several times)
    #[arg(long, value_name = "PATH")]
    each: Vec<String>,
    /// Draw the histogram too: PNG, SVG or PDF by the file's ending
    #[arg(long, value_name = "FILE", conflicts_with = "all")]
    picture: Option<PathBuf>,
    /// Draw it on dark paper
    #[arg(long, requires = "picture")]
    dark: bool,
    /// Print JSON (described in assets/handbook/json.md)
    #[arg(long)]
    json: bool,
}

/// Runs `builds`.
pub fn run(arguments: &Arguments, console: &mut Console<'_>) -> Outcome {
    let (file, trial) = (arguments.file.as_deref(), arguments.trial.as_deref());
    let (document, warnings) = match document(file) {
        Ok(read) => read,
        Err(problems) => return refuse(console, "builds", file, trial, arguments.json, &problems),
    };
    let question = match arguments.question() {
        Ok(question) => question,
        Err(problem) => return refuse(console, "builds", file, trial, arguments.json, &[problem]),
    };
    let picture = match arguments.picture.as_deref().map(|out| plot_format(out, file).map(|to| (out, to))) {
        None => None,
        Some(Ok(picture)) => Some(picture),
        Some(Err(message)) => {
            console.error(&message);
            return Outcome::Unusable;
        }
    };
    if !arguments.all {
        return match answer(&document, trial, &question, arguments.samples) {
            Ok(answer) => {
                report(console, &name_of(file), &[warnings, answer.warnings].concat());
                console.print(&if arguments.json {
                    format!("{:#}\n", Value::Object(answer.json))
                } else {
                    answer.text
                });
                let written = match (picture, &answer.plot) {
                    (Some((out, format)), Some(plot)) => write_plot(out, format, plot, arguments.dark),
                    (Some(_), None) => Err("nothing varies: there is no histogram to draw".to_owned()),
                    (None, _) => Ok(()),
                };
                if let Err(message) = written {
                    console.error(&message);
                    return Outcome::Unusable;
                }
                if answer.fouls { Outcome::Fails } else { Outcome::Good }
            }
            Err(problems) => refuse(console, "builds", file, trial, arguments.json, &problems),
        };
    }
    let names = document.trials.iter().map(|trial| Some(trial.name.as_str()));
    let (mut text, mut list) = (String::new(), Vec::new());
    let mut ended = Outcome::Good;
    for trial in std::iter::once(None).chain(names) {
        match answer(&document, trial, &question, arguments.samples) {
            Ok(answer) => {
                if answer.fouls && ended == Outcome::Good {
                    ended = Outcome::Fails;
                }
                text.push_str(&answer.text);
                text.push('\n');
                list.push(Value::Object(answer.json));
            }
            Err(problems) => {
                ended = Outcome::Unusable;
                report(console, &name_of(file), &problems);
                list.push(contract::unusable("builds", trial, &problems));
            }
        }
    }
    if arguments.json {
        let all = json!({
            "contract": format!("glidewright.builds/{}", contract::version("builds")),
            "fixture": document.name,
            "trials": list,
        });
        console.print(&format!("{all:#}\n"));
    } else {
        console.print(&text);
    }
    ended
}

impl Arguments {
    fn question(&self) -> Result<Question, Problem> {
        let mut likeness = BTreeMap::new();
        for (paths, how) in [(&self.alike, Likeness::Alike), (&self.each, Likeness::Each)] {
            for path in paths {
                if likeness.insert(path.clone(), how).is_some_and(|known| known != how) {
                    let message = "its pieces can't be both alike and each by itself";
                    return Err(Problem::error(path, message).remedy("give one of --alike and --each"));
                }
            }
        }
        let standing = if self.as_drawn { Standing::Drawn } else { Standing::Loaded };
        Ok(Question { seed: self.seed, standing, likeness, ..Question::default() })
    }
}

struct Answer {
    text: String,
    json: Map<String, Value>,
    fouls: bool,
    /// Its histogram; none where nothing varies.
    plot: Option<PlotData>,
    warnings: Vec<Problem>,
}

fn answer(
    document: &Document,
    trial: Option<&str>,
    question: &Question,
    samples: u64,
) -> Result<Answer, Vec<Problem>> {
    let resolved = resolve(document, trial);
    let title = format!(
        "{}, {}\n",
        document.name,
        trial.map_or_else(|| "as drawn".to_owned(), |trial| format!("trial “{trial}”"))
    );
    let mut json = Map::new();
    if let Some(fixture) = &resolved.fixture {
        json = contract::header("builds", fixture, trial);
    }
    match Builds::of(&resolved, question) {
        Ok(mut builds) => {
            builds.advance(samples, &|| false);
            builds.halve(Builds::HALVED, &|| false);
            let found = builds.outcome();
            contract::builds::add(&mut json, &builds, &found);
            let fouls = found.fouls.count > 0;
            let plot = builds_plot(&format!("{}: builds", title.trim()), &found, ReaderUnits::default());
            let text = title + &text(&builds, &found);
            Ok(Answer { text, json, fouls, plot: Some(plot), warnings: resolved.problems })
        }
        Err(NoBuilds::NothingVaries { gap, required, not_counted }) => {
            contract::builds::add_nothing(&mut json, (gap, required), &not_counted);
            let gap_text = if gap.is_finite() {
                format!("the least gap is {} mm in every build", number(gap, 2))
            } else {
                "nothing passes anything within reach".to_owned()
            };
            let text = format!(
                "{title}\nNothing varies that can have the least gap: {gap_text}.\n\
                 Give sizes a tolerance, or measure parts, to see what builds make of it.\n"
            );
            Ok(Answer { text, json, fouls: touches(gap), plot: None, warnings: resolved.problems })
        }
        Err(NoBuilds::Problems(problems)) => Err(problems),
        Err(NoBuilds::NoStroke) => {
            let problem = Problem::error("stroke", "the stroke is none that anything can be moved along");
            Err(vec![problem.remedy("give it two ends in numbers")])
        }
    }
}

/// Width of the text (characters), as wide as a terminal usually is.
const WIDTH: usize = 100;

fn text(builds: &Builds, found: &Found) -> String {
    let mut out = String::new();
    let stand = match found.standing {
        Standing::Loaded => "riders as load and play make them stand",
        Standing::Drawn => "riders as drawn, without load",
    };
    let _ = writeln!(out, "{} builds (seed {}), {stand}\n", grouped(found.samples), found.seed);
    let mut line = |name: &str, value: String| {
        let _ = writeln!(out, "  {name:<28} {value}");
    };
    line("foul", share(&found.fouls));
    line(&format!("below {} mm required", number(found.required, 2)), share(&found.short));
    if found.drawn.is_finite() {
        line("least gap, sizes as drawn", format!("{} mm", number(found.drawn, 2)));
    }
    for (name, interval) in [("95 % of builds", found.likely), ("99.7 % of builds", found.nearly_all)] {
        if let Some((least, greatest)) = interval {
            line(name, format!("{} to {} mm", number(least, 2), number(greatest, 2)));
        }
    }
    if found.root_of_squares > 0.0 {
        line(
            "root of squares",
            format!(
                "±{} mm; {} of builds lie beyond it",
                number(found.root_of_squares, 2),
                percent(found.beyond_root_of_squares.share)
            ),
        );
    }
    out.push_str(&histogram(found));
    if !found.pairs.is_empty() {
        let _ = writeln!(out, "\nLeast between");
        for pair in found.pairs.iter().take(MOST_PAIRS) {
            let mut words = format!("{} and {}", pair.labels[0], pair.labels[1]);
            let taken = pair.deducted.tilt + pair.deducted.play;
            if taken.abs() >= 0.005 {
                let _ = write!(
                    words,
                    " (in every build alike tilt and give under load take {} mm, play {} mm)",
                    number(pair.deducted.tilt, 2),
                    number(pair.deducted.play, 2)
                );
            }
            let _ = writeln!(
                out,
                "  {:>6}  {}",
                percent(pair.least_of.share),
                folded(&words, 10, WIDTH).trim_start()
            );
        }
        let more = found.pairs.len().saturating_sub(MOST_PAIRS);
        if more > 0 {
            let _ = writeln!(out, "          {more} more pairs, each of fewer builds");
        }
    }
    let _ = writeln!(out, "\nMeasure this first (share of the variance of the gap)");
    let (told, others): (Vec<_>, Vec<_>) = found.contributors.iter().partition(|c| c.tells());
    for contributor in told {
        out.push_str(&contributor_text(builds, found, contributor));
    }
    let others: Vec<_> = others
        .iter()
        .filter_map(|contributor| builds.sizes().get(contributor.size))
        .map(|size| size.label.as_str())
        .collect();
    if !others.is_empty() {
        let words = format!("each less than 0.5 %, or nothing: {}", others.join("; "));
        let _ = writeln!(out, "{}", folded(&words, 10, WIDTH));
    }
    if found.unproved > 0 {
        let count = grouped(found.unproved);
        let _ = writeln!(out, "\nOf {count} builds the gap may be less than told: sizes lie very far off.");
    }
    if !found.not_counted.is_empty() {
        let _ = writeln!(out, "\nNot counted");
        for what in &found.not_counted {
            let _ = writeln!(out, "{}", folded(what, 2, WIDTH));
        }
    }
    out
}

/// So many pairs are listed; the JSON has all.
const MOST_PAIRS: usize = 8;

fn contributor_text(builds: &Builds, found: &Found, contributor: &Contributor) -> String {
    let Some(size) = builds.sizes().get(contributor.size) else { return String::new() };
    let own = contributor.share_of_variance.map_or_else(|| "–".to_owned(), percent);
    let mut words = format!("{}, ±{} {}, {}", size.label, size.half_width_told(), size.unit, size.law.says());
    if size.pieces > 1 {
        let _ = write!(words, ", {} pieces, {}", size.pieces, size.likeness.says());
    }
    if let Some(halved) = contributor.halved {
        let of = halved.fouls.of.max(1) as f64;
        let mut changes = |name: &str, before: u64, after: &Share| {
            if before != after.count {
                let _ = write!(
                    words,
                    "; half of it: {} {name} instead of {}",
                    percent(after.share),
                    percent(before as f64 / of)
                );
            }
        };
        changes("foul", halved.fouled, &halved.fouls);
        if found.fouls.count != found.short.count {
            changes("below what is required", halved.fell_short, &halved.short);
        }
    }
    format!("  {own:>6}  {}\n", folded(&words, 10, WIDTH).trim_start())
}

/// Bars of the histogram, a class a line, those put together of which there would be more than a screen holds.
fn histogram(found: &Found) -> String {
    const LINES: usize = 20;
    const BAR: f64 = 40.0;
    let histogram = &found.histogram;
    if histogram.width == 0.0 || histogram.counts.len() < 2 {
        return String::new();
    }
    let together = histogram.counts.len().div_ceil(LINES);
    let classes: Vec<u64> = histogram.counts.chunks(together).map(|counts| counts.iter().sum()).collect();
    let most = classes.iter().copied().max().unwrap_or(1).max(1) as f64;
    let width = histogram.width * together as f64;
    let mut out = String::from("\nLeast gap (mm, share of builds)\n");
    for (class, count) in classes.iter().enumerate() {
        let from = histogram.from + width * class as f64;
        let bar = "█".repeat((BAR * *count as f64 / most).round() as usize);
        let share = percent(*count as f64 / found.samples.max(1) as f64);
        let _ =
            writeln!(out, "  {:>6} to {:>6}  {share:>6}  {bar}", number(from, 2), number(from + width, 2));
    }
    out
}

fn share(share: &Share) -> String {
    format!(
        "{} of builds, {} to {} with 95 % confidence ({} of {})",
        percent(share.share),
        percent(share.low),
        percent(share.high),
        grouped(share.count),
        grouped(share.of)
    )
}
