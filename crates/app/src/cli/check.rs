//! `check`: findings and key figures.

use std::fmt::Write;
use std::path::PathBuf;

use glidewright_choice::{Share, grouped, percent};
use glidewright_motion::{Finding, PairResult, Severity, Way, number};
use serde_json::json;

use super::json as contract;
use super::load::{Loaded, load, name_of, refuse, report};
use super::output::{Console, Outcome, folded};

/// Arguments of `check`.
#[derive(clap::Args)]
pub struct Arguments {
    /// The project; without it, the built-in demo
    file: Option<PathBuf>,
    /// The trial to check instead of the fixture as drawn
    #[arg(long, value_name = "NAME")]
    trial: Option<String>,
    /// Print JSON (described in assets/handbook/json.md)
    #[arg(long)]
    json: bool,
}

/// Runs `check`.
pub fn run(arguments: &Arguments, console: &mut Console<'_>) -> Outcome {
    let (file, trial) = (arguments.file.as_deref(), arguments.trial.as_deref());
    let mut loaded = match load(file, trial) {
        Ok(loaded) => loaded,
        Err(problems) => return refuse(console, "check", file, trial, arguments.json, &problems),
    };
    let built = loaded.builds();
    let share = built.as_ref().map(|(share, _)| *share);
    if let Some((_, Some(finding))) = built {
        // Worst first, and behind what the engine found of its kind.
        let findings = &mut loaded.results.findings;
        let place = findings.partition_point(|known| known.severity >= finding.severity);
        findings.insert(place, finding);
    }
    let fails = loaded.results.worst() == Some(Severity::Fails);
    if arguments.json {
        let mut map = contract::header("check", &loaded.fixture, loaded.trial.as_deref());
        map.insert("status".into(), json!(if fails { "fails" } else { "nothing fails" }));
        map.insert("key_figures".into(), contract::key_figures(&loaded.results, share.as_ref()));
        map.insert(
            "findings".into(),
            loaded.results.findings.iter().map(|f| contract::finding(&loaded.results.assembly, f)).collect(),
        );
        map.insert("warnings".into(), contract::problems(&loaded.warnings));
        console.print(&format!("{:#}\n", serde_json::Value::Object(map)));
    } else {
        report(console, &name_of(file), &loaded.warnings);
        console.print(&text(&loaded, share.as_ref()));
    }
    if fails { Outcome::Fails } else { Outcome::Good }
}

/// Width of the text (characters), as wide as a terminal usually is.
const WIDTH: usize = 100;

fn text(loaded: &Loaded, share: Option<&Share>) -> String {
    let results = &loaded.results;
    let mut out = String::new();
    let trial =
        loaded.trial.as_deref().map_or_else(|| "as drawn".to_owned(), |trial| format!("trial “{trial}”"));
    let _ = writeln!(out, "{}, {trial}\n", loaded.fixture.name);
    for finding in &results.findings {
        out.push_str(&finding_text(finding));
    }
    let _ = writeln!(out, "Key figures");
    for (name, value) in key_figures(loaded, share) {
        let _ = writeln!(out, "  {name:<28} {value}");
    }
    let count = |severity| results.findings.iter().filter(|f| f.severity == severity).count();
    let _ = writeln!(
        out,
        "\n{} fail, {} marginal, {} notes",
        count(Severity::Fails),
        count(Severity::Marginal),
        count(Severity::Note)
    );
    out
}

fn finding_text(finding: &Finding) -> String {
    let word = match finding.severity {
        Severity::Fails => "FAILS",
        Severity::Marginal => "MARGINAL",
        Severity::Note => "note",
    };
    let mut out = format!("{word:<9} {} [{}]\n", finding.title, finding.code);
    if !finding.reason.is_empty() {
        let _ = writeln!(out, "{}", folded(&finding.reason.to_string(), 10, WIDTH));
    }
    for remedy in &finding.remedies {
        let _ = writeln!(out, "{}", folded(&format!("remedy: {}", remedy.text), 10, WIDTH));
    }
    out.push('\n');
    out
}

fn key_figures(loaded: &Loaded, share: Option<&Share>) -> Vec<(String, String)> {
    let results = &loaded.results;
    let mut lines = Vec::new();
    let curves = &results.curves;
    if let Some(pair) = results.interference.tightest() {
        lines.push((
            "tightest gap as drawn".to_owned(),
            format!(
                "{} mm at travel {:.1} mm ({})",
                number(pair.gap, 2),
                pair.at_travel,
                pair.outcome.word()
            ),
        ));
        for (name, of) in [
            ("… under load", (|pair| pair.loaded.gap) as fn(&PairResult) -> f64),
            ("… at its worst", PairResult::left),
        ] {
            if let Some(gap) = results.interference.least(of) {
                lines.push((name.to_owned(), format!("{} mm", number(gap, 2))));
            }
        }
    }
    if let Some(share) = share {
        let of = format!("{} (of {} builds)", percent(share.share), grouped(share.of));
        lines.push(("builds that foul".to_owned(), of));
    }
    for (name, way, curve, unit) in [
        ("effort", Way::Growing, &curves.effort_up, "N"),
        ("effort", Way::Falling, &curves.effort_down, "N"),
        ("torque", Way::Growing, &curves.torque_up, "N·mm"),
        ("torque", Way::Falling, &curves.torque_down, "N·mm"),
    ] {
        let name = format!("{name}, {}", loaded.fixture.rail.stand.way(way));
        if let Some((value, travel)) = curves.greatest(curve) {
            let text = if value.is_finite() {
                format!("up to {} {unit} (at travel {travel:.1} mm)", number(value, 2))
            } else {
                format!("none: it jams (at travel {travel:.1} mm)")
            };
            lines.push((name.to_owned(), text));
        }
    }
    if let (Some(imbalance), Some(breakaway)) = (
        curves.imbalance.iter().map(|u| u.abs()).reduce(f64::max),
        curves.breakaway_up.iter().chain(&curves.breakaway_down).copied().reduce(f64::min),
    ) {
        lines.push((
            "out of balance".to_owned(),
            format!("up to {} N, breakaway {} N", number(imbalance, 2), number(breakaway, 2)),
        ));
    }
    for (rider, placed) in loaded.fixture.riders.iter().zip(&results.assembly.riders) {
        lines
            .push((format!("mass of {}", rider.name), format!("{} g", number(placed.mass.total() * 1e3, 0))));
    }
    lines
}
