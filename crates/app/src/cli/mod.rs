//! The command line: one file per verb. Without a verb the window opens.

mod builds;
mod check;
mod compare;
mod completions;
mod figures;
mod json;
mod load;
mod output;
mod pages;
mod parts;
mod picture;
mod remedies;
mod solids;
mod sweep;
mod table;
mod travel;

use std::ffi::OsString;
use std::path::PathBuf;

use clap::{CommandFactory, Parser, Subcommand};

pub use output::{Console, Outcome};

/// A bench for small linear-motion fixtures on aluminium extrusion: drag the riders, see whether they
/// clear, run smoothly and stay where they are left.
#[derive(Parser)]
#[command(name = "glidewright", version, args_conflicts_with_subcommands = true)]
struct Arguments {
    #[command(subcommand)]
    verb: Option<Verb>,
    /// The project to open in the window; without it, the built-in demo
    file: Option<PathBuf>,
}

#[derive(Subcommand)]
enum Verb {
    /// Print the findings and key figures. Exit status: 0 nothing fails, 1 something fails, 2 the input
    /// can't be used
    Check(check::Arguments),
    /// Write a picture of the fixture: PNG, SVG or PDF by the file's ending
    Picture(Box<picture::Arguments>),
    /// Write every body at its place as STL, with an index
    Solids(solids::Arguments),
    /// Print every computed result, curves too, with units
    Figures(figures::Arguments),
    /// Print what share of builds fouls as their sizes come out, and which size to measure first. Exit status: 0 no
    /// build fouls, 1 some foul, 2 the input can't be used
    Builds(builds::Arguments),
    /// Print what becomes of gaps, effort and findings as one size is swept over a range, and where exactly it turns; without a
    /// size, list those there are
    Sweep(sweep::Arguments),
    /// Set trials side by side: figures, cost, looks, what differs, and a picture of each at one scale
    Compare(compare::Arguments),
    /// Search for what cures the findings: other parts, other sizes, the best first. Exit status: 0 something offered, or the
    /// fixture as it is, has nothing that fails, 1 whatever was found fails, 2 the input can't be used
    Remedies(Box<remedies::Arguments>),
    /// List parts, and keep a library of one's own: what one has measured, bought and has at hand
    Parts(parts::Arguments),
    /// Print what lets a shell complete this program's arguments
    Completions(completions::Arguments),
    /// Print the manual page, for `man -l -`
    Man,
}

/// How alike a word must be to a verb to be taken for it mistyped (Jaro–Winkler similarity; ours).
const ALIKE: f64 = 0.8;

/// The verb that was meant, where the first argument is one mistyped and no file.
fn mistyped(arguments: &[OsString]) -> Option<(String, String)> {
    let first = arguments.get(1)?.to_str()?;
    let is_word = first.chars().all(|c| c.is_ascii_alphabetic());
    if !is_word || first.is_empty() || std::path::Path::new(first).exists() {
        return None;
    }
    let command = Arguments::command();
    let verbs = command.get_subcommands().map(|verb| verb.get_name().to_owned()).chain(["help".to_owned()]);
    let alike = |verb: String| (strsim::jaro_winkler(&first.to_lowercase(), &verb), verb);
    let (score, verb) = verbs.map(alike).max_by(|a, b| a.0.total_cmp(&b.0))?;
    (score >= ALIKE && first != verb).then(|| (first.to_owned(), verb))
}

/// Runs what the command line asks for; `arguments` begins with the program's name.
pub fn run(arguments: impl IntoIterator<Item = OsString>, console: &mut Console<'_>) -> Outcome {
    let outcome = run_verb(arguments.into_iter().collect(), console);
    console.ended(outcome)
}

fn run_verb(arguments: Vec<OsString>, console: &mut Console<'_>) -> Outcome {
    if let Some((typed, verb)) = mistyped(&arguments) {
        console.error(&format!(
            "there is no verb {typed}; did you mean {verb}? (To open a file of that name: ./{typed})"
        ));
        return Outcome::Unusable;
    }
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) if error.use_stderr() => {
            console.error(error.to_string().trim_end());
            return Outcome::Unusable;
        }
        Err(help) => {
            console.print(&help.to_string());
            return Outcome::Good;
        }
    };
    match arguments.verb {
        Some(Verb::Check(arguments)) => check::run(&arguments, console),
        Some(Verb::Picture(arguments)) => picture::run(&arguments, console),
        Some(Verb::Solids(arguments)) => solids::run(&arguments, console),
        Some(Verb::Figures(arguments)) => figures::run(&arguments, console),
        Some(Verb::Builds(arguments)) => builds::run(&arguments, console),
        Some(Verb::Sweep(arguments)) => sweep::run(&arguments, console),
        Some(Verb::Compare(arguments)) => compare::run(&arguments, console),
        Some(Verb::Remedies(arguments)) => remedies::run(&arguments, console),
        Some(Verb::Parts(arguments)) => parts::run(&arguments, console),
        Some(Verb::Completions(arguments)) => completions::run(&arguments, Arguments::command(), console),
        Some(Verb::Man) => completions::man(Arguments::command(), console),
        None => match crate::run(arguments.file) {
            Ok(()) => Outcome::Good,
            Err(error) => {
                console.error(&error.to_string());
                Outcome::Unusable
            }
        },
    }
}
