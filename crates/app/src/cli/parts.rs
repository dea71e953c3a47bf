//! `parts`: a library of one's own, beside what the tables hold.

use std::path::{Path, PathBuf};

use glidewright_project::document::{Certainty, Part, PartsFile, Stocked};
use glidewright_project::store::{Expected, Store, StoreError};
use glidewright_project::tables::{built_in, plain_name};
use glidewright_project::{
    Document, Problem, edit, print_parts, print_parts_table, read_parts, read_parts_table, read_readings,
};
use serde_json::{Value, json};

use super::load::report;
use super::output::{Console, Outcome};
use crate::state::{OwnLibrary, own_library_file};
use crate::today::today;
use crate::widgets::part_summary;

/// Arguments of `parts`.
#[derive(clap::Args)]
pub struct Arguments {
    #[command(subcommand)]
    what: What,
    /// The file of one's own library; without it, the one kept beside the preferences
    #[arg(long, value_name = "FILE", global = true)]
    library: Option<PathBuf>,
}

#[derive(clap::Subcommand)]
enum What {
    /// List parts with their sizes, price, and how sure their sizes are: one's own first, then the tables'
    List {
        /// Only those whose name, kind or plain name has these words
        words: Vec<String>,
        /// Print JSON
        #[arg(long)]
        json: bool,
    },
    /// Note what one has of a part, paid for it and calls it
    Note {
        /// The part, one's own or one of the tables
        part: String,
        /// How many are at hand
        #[arg(long, value_name = "NUMBER")]
        count: Option<u32>,
        /// What one cost, in one's currency
        #[arg(long, value_name = "AMOUNT")]
        price: Option<f64>,
        /// A name of one's own for it
        #[arg(long, value_name = "NAME")]
        called: Option<String>,
        /// Anything worth saying about it
        #[arg(long, value_name = "TEXT")]
        remark: Option<String>,
    },
    /// Keep a part of a project in the library, with its readings and price
    Keep {
        /// The part
        part: String,
        /// The project
        project: PathBuf,
    },
    /// Take a part from the library into a project, as a copy that says where it came from
    Take {
        /// The part, by its name or one's own name for it
        part: String,
        /// The project; the file before it is kept as its backup
        project: PathBuf,
    },
    /// Take caliper readings from a table (CSV) into a project, or into the library
    Readings {
        /// The table: columns part, size, reading, reading …
        table: PathBuf,
        /// The project; without it, the library
        project: Option<PathBuf>,
    },
    /// Write the library to a file: RON or CSV by its ending
    Export {
        /// The file, which must not exist yet
        file: PathBuf,
    },
    /// Take all of another library in: RON or CSV by its ending. What has the same names is replaced
    Import {
        /// The file
        file: PathBuf,
    },
}

/// Runs `parts`.
pub fn run(arguments: &Arguments, console: &mut Console<'_>) -> Outcome {
    let Some(file) = arguments.library.clone().or_else(own_library_file) else {
        console.error("there is no folder for one's own files here; name the library with --library FILE");
        return Outcome::Unusable;
    };
    let shelf = Shelf { store: Store::disk(), file };
    let done = match &arguments.what {
        What::List { words, json } => list(&shelf, words, *json, console),
        What::Note { part, count, price, called, remark } => {
            let news = Stocked {
                part: part.clone(),
                own_name: called.clone().unwrap_or_default(),
                count: *count,
                price: *price,
                date: today(),
                note: remark.clone().unwrap_or_default(),
            };
            note(&shelf, news)
        }
        What::Keep { part, project } => keep(&shelf, part, project),
        What::Take { part, project } => take(&shelf, part, project),
        What::Readings { table, project } => readings(&shelf, table, project.as_deref()),
        What::Export { file } => export(&shelf, file),
        What::Import { file } => import(&shelf, file),
    };
    match done {
        Ok(said) => {
            if !said.is_empty() {
                console.print(&format!("{said}\n"));
            }
            Outcome::Good
        }
        Err(Refused { file, problems }) => {
            report(console, &file.display().to_string(), &problems);
            Outcome::Unusable
        }
    }
}

/// Why nothing was done: what is wrong with which file.
struct Refused {
    file: PathBuf,
    problems: Vec<Problem>,
}

fn refused(file: &Path) -> impl Fn(StoreError) -> Refused {
    move |error| {
        let problems = match error {
            StoreError::Unreadable { problems, .. } => problems,
            error => vec![Problem::error("", error.to_string()).remedy(error.remedy())],
        };
        Refused { file: file.to_owned(), problems }
    }
}

/// Where the library is.
struct Shelf {
    store: Store,
    file: PathBuf,
}

impl Shelf {
    fn open(&self) -> Result<(PartsFile, Expected), Refused> {
        self.store.open_parts(&self.file).map_err(refused(&self.file))
    }

    /// Saves the library unless another hand has changed it since it was opened.
    fn save(&self, library: &PartsFile, expected: Expected) -> Result<(), Refused> {
        if let Some(folder) = self.file.parent().filter(|folder| !folder.as_os_str().is_empty()) {
            self.store.make_folder(folder).map_err(refused(&self.file))?;
        }
        self.store.save_parts(&self.file, library, expected).map(|_| ()).map_err(refused(&self.file))
    }

    fn problem(&self, problem: Problem) -> Refused {
        Refused { file: self.file.clone(), problems: vec![problem] }
    }
}

/// A part in the list.
struct Listed<'a> {
    part: &'a Part,
    from: &'static str,
    stock: Option<&'a Stocked>,
}

impl Listed<'_> {
    fn has(&self, words: &[String]) -> bool {
        let own = self.stock.map_or("", |stock| stock.own_name.as_str());
        let text =
            format!("{} {} {} {own}", self.part.name, self.part.form.kind().word(), plain_name(self.part));
        let text = text.to_lowercase();
        words.iter().flat_map(|word| word.split_whitespace()).all(|word| text.contains(&word.to_lowercase()))
    }

    fn price(&self) -> Option<f64> {
        self.stock.and_then(|stock| stock.price).or(self.part.cost)
    }

    fn line(&self) -> String {
        let part = self.part;
        let mut line = format!("{:<28} {}", part.name, part_summary(part));
        if let Some(sure) = part.certainty {
            line.push_str(&format!("; {}", sure.says()));
            // What is less sure than the rest.
            let mut lesser: Vec<&str> = part
                .certainty_of
                .iter()
                .filter(|(_, of)| **of > sure)
                .map(|(name, _)| name.as_str())
                .collect();
            if !lesser.is_empty() {
                lesser.sort_unstable();
                line.push_str(&format!(" (less so: {})", lesser.join(", ").replace('_', " ")));
            }
        }
        if let Some(price) = self.price() {
            line.push_str(&format!("; {price:.2}"));
            if let Some(per_mm) = part.cost_per_mm.filter(|_| self.stock.is_none_or(|s| s.price.is_none())) {
                line.push_str(&format!(" and {:.2} for each 10 mm", 10.0 * per_mm));
            }
        }
        if let Some(pack) = part.pack {
            line.push_str(&format!(", packs of {pack}"));
        }
        if let Some(stock) = self.stock {
            if let Some(count) = stock.count {
                line.push_str(&format!("; {count} at hand"));
            }
            for (before, text) in [("called ", &stock.own_name), ("", &stock.note), ("noted ", &stock.date)] {
                if !text.is_empty() {
                    line.push_str(&format!("; {before}{text}"));
                }
            }
        }
        line
    }

    fn json(&self) -> Value {
        let part = self.part;
        let certainty_of: serde_json::Map<String, Value> =
            part.certainty_of.iter().map(|(name, of)| (name.clone(), json!(of.says()))).collect();
        json!({
            "name": part.name,
            "kind": part.form.kind().word(),
            "plain_name": plain_name(part),
            "from": self.from,
            "sizes": part_summary(part),
            "certainty": part.certainty.map(Certainty::says),
            "certainty_of": certainty_of,
            "cost": self.price(),
            "cost_per_mm": part.cost_per_mm,
            "pack": part.pack,
            "own_name": self.stock.map(|stock| &stock.own_name).filter(|name| !name.is_empty()),
            "at_hand": self.stock.and_then(|stock| stock.count),
            "noted_on": self.stock.map(|stock| &stock.date).filter(|date| !date.is_empty()),
            "note": part.note,
        })
    }
}

fn list(
    shelf: &Shelf,
    words: &[String],
    as_json: bool,
    console: &mut Console<'_>,
) -> Result<String, Refused> {
    let (library, _) = shelf.open()?;
    let stock_of = |part: &Part| library.stock_of(part);
    let own = library.parts.iter().map(|part| Listed { part, from: "own library", stock: stock_of(part) });
    let tables = || {
        let is_new = |part: &&Part| !library.parts.iter().any(|own| own.name == part.name);
        built_in().parts().iter().filter(is_new)
    };
    let at_hand = tables().filter(|part| stock_of(part).is_some()).map(|part| Listed {
        part,
        from: "tables",
        stock: stock_of(part),
    });
    let others = tables().filter(|part| stock_of(part).is_none()).map(|part| Listed {
        part,
        from: "tables",
        stock: None,
    });
    let found: Vec<Listed<'_>> = own.chain(at_hand).chain(others).filter(|part| part.has(words)).collect();
    if as_json {
        let parts: Vec<Value> = found.iter().map(Listed::json).collect();
        console.print(&format!("{:#}\n", json!({ "contract": "glidewright/parts/1", "parts": parts })));
        return Ok(String::new());
    }
    if found.is_empty() {
        return Ok("no part by these words; fewer words find more".to_owned());
    }
    Ok(found.iter().map(Listed::line).collect::<Vec<_>>().join("\n"))
}

fn note(shelf: &Shelf, mut news: Stocked) -> Result<String, Refused> {
    let (library, expected) = shelf.open()?;
    if news.price.is_some_and(|price| !(price.is_finite() && price >= 0.0)) {
        let problem = Problem::error("", "the price is no amount").remedy("give 0 or more");
        return Err(shelf.problem(problem));
    }
    let own = library.parts.iter().find(|part| part.name == news.part);
    let Some(part) = own.or_else(|| built_in().part(&news.part)) else {
        let message = format!("there is no part called {:?}", news.part);
        let remedy = "see glidewright parts list, or keep it from a project first";
        return Err(shelf.problem(Problem::error("", message).remedy(remedy)));
    };
    news.part.clone_from(&part.name);
    let name = news.part.clone();
    shelf.save(&edit::note_stock(&library, news), expected)?;
    Ok(format!("{name} is noted in {}", shelf.file.display()))
}

fn keep(shelf: &Shelf, part: &str, project: &Path) -> Result<String, Refused> {
    let opened = shelf.store.open(project).map_err(refused(project))?;
    let (library, expected) = shelf.open()?;
    let kept = edit::keep_part(&opened.document, &library, part, &today())
        .map_err(|problem| Refused { file: project.to_owned(), problems: vec![problem] })?;
    shelf.save(&kept, expected)?;
    Ok(format!("{part} is kept in {}", shelf.file.display()))
}

fn take(shelf: &Shelf, part: &str, project: &Path) -> Result<String, Refused> {
    let (library, _) = shelf.open()?;
    change(shelf, project, |document| edit::take_part(document, &library, part, &OwnLibrary::origin()))
}

fn readings(shelf: &Shelf, table: &Path, project: Option<&Path>) -> Result<String, Refused> {
    let bytes = shelf.store.read(table).map_err(refused(table))?;
    let read = read_readings(&bytes).map_err(|problems| Refused { file: table.to_owned(), problems })?;
    if let Some(project) = project {
        return change(shelf, project, |document| edit::take_readings(document, read.clone()));
    }
    let (library, expected) = shelf.open()?;
    let sizes = read.len();
    let joined = edit::keep_readings(&library, read).map_err(|problem| shelf.problem(problem))?;
    shelf.save(&joined, expected)?;
    Ok(format!("readings of {sizes} sizes are kept in {}", shelf.file.display()))
}

/// Changes a project's file, unless another hand has since it was read.
fn change(
    shelf: &Shelf,
    project: &Path,
    edit: impl Fn(&Document) -> edit::EditResult,
) -> Result<String, Refused> {
    let opened = shelf.store.open(project).map_err(refused(project))?;
    let edited = edit(&opened.document)
        .map_err(|problem| Refused { file: project.to_owned(), problems: vec![problem] })?;
    shelf
        .store
        .save(project, &edited.document, Expected::Unchanged(opened.stamp))
        .map_err(refused(project))?;
    Ok(format!("{}: {}", edited.description, project.display()))
}

/// The forms a library is written in, by a file's ending.
enum FileForm {
    Ron,
    Csv,
}

fn form_of(file: &Path) -> Result<FileForm, Refused> {
    match file.extension().and_then(|ending| ending.to_str()).map(str::to_lowercase).as_deref() {
        Some("ron") => Ok(FileForm::Ron),
        Some("csv") => Ok(FileForm::Csv),
        _ => {
            let problem = Problem::error("", "a library is a file that ends in .ron or .csv");
            Err(Refused {
                file: file.to_owned(),
                problems: vec![problem.remedy("give it one of these endings")],
            })
        }
    }
}

fn export(shelf: &Shelf, file: &Path) -> Result<String, Refused> {
    let form = form_of(file)?;
    let (library, _) = shelf.open()?;
    if shelf.store.exists(file) {
        let problem = Problem::error("", "the file exists already").remedy("name another, or move it away");
        return Err(Refused { file: file.to_owned(), problems: vec![problem] });
    }
    let text = match form {
        FileForm::Ron => print_parts(&library),
        FileForm::Csv => print_parts_table(&library),
    };
    shelf.store.write(file, text.as_bytes()).map_err(refused(file))?;
    Ok(format!("written to {}", file.display()))
}

fn import(shelf: &Shelf, file: &Path) -> Result<String, Refused> {
    let bytes = shelf.store.read(file).map_err(refused(file))?;
    let other = match form_of(file)? {
        FileForm::Csv => read_parts_table(&bytes),
        FileForm::Ron => match std::str::from_utf8(&bytes) {
            Ok(text) => read_parts(text),
            Err(_) => Err(vec![
                Problem::error("", "the file is not UTF-8 text").remedy("save it with UTF-8 encoding"),
            ]),
        },
    };
    let other = other.map_err(|problems| Refused { file: file.to_owned(), problems })?;
    let (library, expected) = shelf.open()?;
    let count = other.parts.len() + other.materials.len() + other.measured.len() + other.stock.len();
    shelf.save(&edit::join_libraries(&library, other), expected)?;
    Ok(format!("{count} entries are taken in to {}", shelf.file.display()))
}
