//! A library of one's own as a table in a text file (CSV), and back.
//!
//! One line for each thing, told apart by the column `kind`: `stock` (what is at hand, what it cost, what it is called),
//! `readings` (of one size of a part), `part` and `material` (all of it, as in a project file, in the column
//! `definition`). What is written is read back as the same library.

use std::str::FromStr;

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::comments::Comments;
use crate::document::{Material, Measured, Part, PartsFile, Stocked};
use crate::print::print_any;
use crate::problem::{Problem, quoted};
use crate::read::syntax_problem;
use crate::ron_options::options;
use crate::suggest::suggestion;
use crate::text_table::{MOST_PROBLEMS, at_line, broken, text_of, too_many_lines};

/// The headings, in the order they are written.
const HEADINGS: [&str; 11] = [
    "kind",
    "part",
    "own_name",
    "count",
    "price",
    "date",
    "size",
    "readings",
    "resolution",
    "note",
    "definition",
];
/// The kinds of line.
const KINDS: [&str; 4] = ["stock", "readings", "part", "material"];
/// Most lines read.
const MOST_LINES: usize = 10_000;

/// A library as a table.
pub fn print_parts_table(library: &PartsFile) -> String {
    let mut lines = vec![HEADINGS.map(str::to_owned)];
    let number = |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
    let line = |kind: &str, part: &str| {
        let mut cells = [const { String::new() }; HEADINGS.len()];
        kind.clone_into(&mut cells[0]);
        part.clone_into(&mut cells[1]);
        cells
    };
    for stock in &library.stock {
        let mut cells = line("stock", &stock.part);
        cells[2].clone_from(&stock.own_name);
        cells[3] = stock.count.map_or_else(String::new, |count| count.to_string());
        cells[4] = number(stock.price);
        cells[5].clone_from(&stock.date);
        cells[9].clone_from(&stock.note);
        lines.push(cells);
    }
    for measured in &library.measured {
        let mut cells = line("readings", &measured.part);
        cells[6].clone_from(&measured.size);
        cells[7] = measured.readings.iter().map(f64::to_string).collect::<Vec<_>>().join(" ");
        cells[8] = measured.resolution.to_string();
        cells[9].clone_from(&measured.note);
        lines.push(cells);
    }
    for part in &library.parts {
        let mut cells = line("part", &part.name);
        cells[10] = defined(part);
        lines.push(cells);
    }
    for material in &library.materials {
        let mut cells = line("material", &material.name);
        cells[10] = defined(material);
        lines.push(cells);
    }
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Writing to memory does not fail, and every line has as many cells.
    for cells in &lines {
        if writer.write_record(cells).is_err() {
            break;
        }
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8_lossy(&bytes).into_owned()
}

fn defined<T: Serialize>(thing: &T) -> String {
    print_any(thing, &Comments::default()).trim_end().to_owned()
}

/// Reads a library from a table.
///
/// # Errors
/// Everything that is wrong with it, each with its line; then nothing is taken from it.
pub fn read_parts_table(bytes: &[u8]) -> Result<PartsFile, Vec<Problem>> {
    let text = text_of(bytes, "split it")?;
    let mut reader =
        csv::ReaderBuilder::new().trim(csv::Trim::Headers).flexible(true).from_reader(text.as_bytes());
    let headings = reader.headers().map_err(|error| vec![broken(&error)])?.clone();
    let columns = columns(&headings)?;
    let (mut library, mut problems) = (PartsFile::default(), Vec::new());
    for (count, record) in reader.records().enumerate() {
        if count >= MOST_LINES {
            problems.push(too_many_lines(MOST_LINES));
            break;
        }
        match record {
            Ok(record) => {
                let line = record.position().map_or(1, csv::Position::line);
                let cell = |name: &str| {
                    let place = HEADINGS.iter().position(|known| *known == name)?;
                    columns.get(place).copied().flatten().and_then(|column| record.get(column))
                };
                let cells = Cells { line, cell: &|name| cell(name).unwrap_or_default() };
                if let Err(problem) = cells.read(&mut library) {
                    problems.push(problem);
                }
            }
            Err(error) => problems.push(broken(&error)),
        }
        if problems.len() >= MOST_PROBLEMS {
            break;
        }
    }
    if problems.is_empty() { Ok(library) } else { Err(problems) }
}

/// Where each heading stands.
fn columns(headings: &csv::StringRecord) -> Result<[Option<usize>; HEADINGS.len()], Vec<Problem>> {
    let mut found = [None; HEADINGS.len()];
    let mut problems = Vec::new();
    for (number, heading) in headings.iter().enumerate() {
        let word = heading.trim().to_lowercase().replace(' ', "_");
        match HEADINGS.iter().position(|known| *known == word).and_then(|known| found.get_mut(known)) {
            Some(place @ None) => *place = Some(number),
            Some(Some(_)) => problems.push(
                at_line(1, format!("the column {} stands there twice", quoted(heading)))
                    .remedy("remove one of them"),
            ),
            None if word.is_empty() => {}
            None => problems.push(
                at_line(1, format!("there is no column {} in tables of parts", quoted(heading)))
                    .remedy(suggestion(&word, HEADINGS)),
            ),
        }
        if problems.len() >= MOST_PROBLEMS {
            return Err(problems);
        }
    }
    for (name, place) in HEADINGS.iter().zip(&found).take(2) {
        if place.is_none() {
            problems.push(
                at_line(1, format!("the column '{name}' is missing"))
                    .remedy("let the first line name the columns: kind, part, count, price …"),
            );
        }
    }
    if problems.is_empty() { Ok(found) } else { Err(problems) }
}

/// One line by the names of its columns.
struct Cells<'a> {
    line: u64,
    cell: &'a dyn Fn(&str) -> &'a str,
}

impl Cells<'_> {
    fn text(&self, name: &str) -> String {
        (self.cell)(name).to_owned()
    }

    fn fault(&self, message: String, remedy: &str) -> Problem {
        at_line(self.line, message).remedy(remedy)
    }

    /// A cell that is empty or a number.
    fn number<T: FromStr>(&self, name: &str, sound: impl Fn(&T) -> bool) -> Result<Option<T>, Problem> {
        let text = (self.cell)(name).trim();
        if text.is_empty() {
            return Ok(None);
        }
        text.parse().ok().filter(sound).map(Some).ok_or_else(|| {
            self.fault(format!("{} is no {name}", quoted(text)), "write a number that is not negative")
        })
    }

    fn definition<T: DeserializeOwned>(&self) -> Result<T, Problem> {
        options().from_str((self.cell)("definition")).map_err(|error| {
            let inner = syntax_problem(&error);
            self.fault(format!("the definition cannot be read: {}", inner.message), &inner.remedy)
        })
    }

    fn read(&self, library: &mut PartsFile) -> Result<(), Problem> {
        let kind = (self.cell)("kind").trim();
        let part = self.text("part");
        if part.trim().is_empty() {
            return Err(
                self.fault("the line names no part".to_owned(), "write its name in the column 'part'")
            );
        }
        let named = |name: &str| {
            if name == part {
                return Ok(());
            }
            let message = format!("the line is of {}, its definition of {}", quoted(&part), quoted(name));
            Err(self.fault(message, "write one name in both"))
        };
        let amount = |value: &f64| value.is_finite() && *value >= 0.0;
        match kind {
            "stock" => library.stock.push(Stocked {
                own_name: self.text("own_name"),
                count: self.number("count", |_| true)?,
                price: self.number("price", amount)?,
                date: self.text("date"),
                note: self.text("note"),
                part,
            }),
            "readings" => {
                let words = self.text("readings");
                let readings: Option<Vec<f64>> = words
                    .split_whitespace()
                    .map(|word| word.parse().ok().filter(|value: &f64| value.is_finite()))
                    .collect();
                let Some(readings) = readings else {
                    let message = format!("{} are no readings", quoted(&words));
                    return Err(self.fault(message, "write numbers with spaces between them"));
                };
                library.measured.push(Measured {
                    size: self.text("size"),
                    readings,
                    resolution: self.number("resolution", amount)?.unwrap_or(0.0),
                    note: self.text("note"),
                    part,
                });
            }
            "part" => {
                let defined: Part = self.definition()?;
                named(&defined.name)?;
                library.parts.push(defined);
            }
            "material" => {
                let defined: Material = self.definition()?;
                named(&defined.name)?;
                library.materials.push(defined);
            }
            other => {
                let message = format!("{} is no kind of line", quoted(other));
                let known = suggestion(other, KINDS);
                let remedy =
                    if known.is_empty() { "write stock, readings, part or material" } else { &known };
                return Err(self.fault(message, remedy));
            }
        }
        Ok(())
    }
}
