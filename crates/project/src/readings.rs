//! Caliper readings from a table in a text file (CSV).
//!
//! One line of headings, then a line for each size of a part. Columns are found by their headings: `part`, `size`,
//! one or more that begin with `reading`, and if wanted `unit`, `resolution` and `note`. Columns are separated by
//! commas, semicolons or tabs, whichever the headings use most; with semicolons or tabs numbers may have a
//! decimal comma. The form is described for its users in the handbook page on the project file.

use crate::document::Measured;
use crate::formula;
use crate::problem::{Problem, quoted};
use crate::quantity::Quantity;
use crate::suggest::suggestion;
use crate::text_table::{MOST_PROBLEMS, at_line, broken, text_of, too_many_lines};
use crate::tolerance::MOST_READINGS;

/// Most lines of readings read.
const MOST_LINES: usize = 5000;
/// Longest note put together from several lines (bytes).
const LONGEST_NOTE: usize = 500;
/// Headings other than those of readings.
const HEADINGS: [&str; 6] = ["part", "size", "reading", "unit", "resolution", "note"];

/// Reads a table of caliper readings. Lines about the same size of the same part are put together, in the order
/// of the file; readings and resolution come in the document's unit of the size (mm, degrees, g …).
///
/// # Errors
/// Everything that is wrong with the table, each with its line; then nothing is taken from it.
pub fn read_readings(bytes: &[u8]) -> Result<Vec<Measured>, Vec<Problem>> {
    let text = text_of(bytes, "open a table of readings")?;
    let heading_line = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let separator = separator_of(heading_line);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .trim(csv::Trim::All)
        .flexible(true)
        .from_reader(text.as_bytes());
    let columns = match reader.headers() {
        Ok(headings) => Columns::find(headings)?,
        Err(error) => return Err(vec![broken(&error)]),
    };
    let mut table =
        Table { columns, decimal_comma: separator != b',', measured: Vec::new(), problems: Vec::new() };
    for (count, record) in reader.records().enumerate() {
        if count >= MOST_LINES {
            table.problems.push(too_many_lines(MOST_LINES));
            break;
        }
        match record {
            Ok(record) => table.line(&record),
            Err(error) => table.problems.push(broken(&error)),
        }
        if table.problems.len() >= MOST_PROBLEMS {
            break;
        }
    }
    if table.problems.is_empty() && table.measured.is_empty() {
        let remedy = "write one line for each size below the headings";
        table.problems.push(Problem::error("", "there are no readings in the table").remedy(remedy));
    }
    if table.problems.is_empty() { Ok(table.measured) } else { Err(table.problems) }
}

/// The separator that stands most often in the headings; a comma if none does.
fn separator_of(headings: &str) -> u8 {
    let count = |separator: u8| headings.bytes().filter(|b| *b == separator).count();
    [b',', b';', b'\t'].into_iter().rev().max_by_key(|separator| count(*separator)).unwrap_or(b',')
}

/// Where each column stands.
struct Columns {
    part: usize,
    size: usize,
    readings: Vec<usize>,
    unit: Option<usize>,
    resolution: Option<usize>,
    note: Option<usize>,
}

impl Columns {
    fn find(headings: &csv::StringRecord) -> Result<Self, Vec<Problem>> {
        let mut problems = Vec::new();
        let mut found: [Option<usize>; HEADINGS.len()] = [None; HEADINGS.len()];
        let mut readings = Vec::new();
        for (number, heading) in headings.iter().enumerate() {
            let word = heading.to_lowercase();
            if word.is_empty() {
                continue;
            }
            if word.starts_with("reading") {
                readings.push(number);
                continue;
            }
            match HEADINGS.iter().position(|known| *known == word).and_then(|known| found.get_mut(known)) {
                Some(place @ None) => *place = Some(number),
                Some(Some(_)) => problems.push(
                    at_line(1, format!("the column {} stands there twice", quoted(heading)))
                        .remedy("remove one of them"),
                ),
                None => problems.push(
                    at_line(1, format!("there is no column {} in tables of readings", quoted(heading)))
                        .remedy(suggestion(&word, HEADINGS)),
                ),
            }
            if problems.len() >= MOST_PROBLEMS {
                return Err(problems);
            }
        }
        let [part, size, _, unit, resolution, note] = found;
        for (missing, name) in
            [(part.is_none(), "part"), (size.is_none(), "size"), (readings.is_empty(), "reading")]
        {
            if missing {
                problems.push(
                    at_line(1, format!("the column '{name}' is missing"))
                        .remedy("let the first line name the columns: part, size, reading, reading …"),
                );
            }
        }
        match (part, size) {
            (Some(part), Some(size)) if problems.is_empty() => {
                Ok(Self { part, size, readings, unit, resolution, note })
            }
            _ => Err(problems),
        }
    }
}

struct Table {
    columns: Columns,
    decimal_comma: bool,
    measured: Vec<Measured>,
    problems: Vec<Problem>,
}

impl Table {
    fn line(&mut self, record: &csv::StringRecord) {
        let line = record.position().map_or(1, csv::Position::line);
        if record.iter().all(str::is_empty) {
            return;
        }
        let cell = |column: usize| record.get(column).unwrap_or_default();
        let optional = |column: Option<usize>| column.map_or("", cell);
        let (part, size) = (cell(self.columns.part), cell(self.columns.size));
        if part.is_empty() || size.is_empty() {
            let message = "this line does not say which size of which part it is about";
            self.problems.push(at_line(line, message).remedy("fill in part and size"));
            return;
        }
        let unit = match unit_of(optional(self.columns.unit)) {
            Ok(unit) => unit,
            Err(message) => {
                let remedy = "write a unit such as mm, in, deg or g, or leave the cell empty";
                self.problems.push(at_line(line, message).remedy(remedy));
                return;
            }
        };
        let number = |text: &str| self.number(text).map(|number| number * unit.0 / unit.1);
        let mut readings = Vec::new();
        let mut refused = None;
        for text in self.columns.readings.iter().map(|column| cell(*column)).filter(|text| !text.is_empty()) {
            match number(text) {
                Some(reading) => readings.push(reading),
                None => refused = Some(text),
            }
        }
        let resolution = match optional(self.columns.resolution) {
            "" => Some(0.0),
            text => number(text).filter(|resolution| *resolution >= 0.0),
        };
        if let Some(text) =
            refused.or(if resolution.is_none() { Some(optional(self.columns.resolution)) } else { None })
        {
            let message = format!("{} is not a number that could be read off an instrument", quoted(text));
            self.problems.push(at_line(line, message).remedy("write a plain number such as 5.98"));
            return;
        }
        if readings.is_empty() {
            let message = "this line has no readings";
            self.problems
                .push(at_line(line, message).remedy("fill in at least one reading, or remove the line"));
            return;
        }
        let measured = Measured {
            part: part.to_owned(),
            size: size.to_owned(),
            readings,
            resolution: resolution.unwrap_or(0.0),
            note: optional(self.columns.note).to_owned(),
        };
        if join_readings(&mut self.measured, measured).is_err() {
            let message = format!("there are more than {MOST_READINGS} readings of this size");
            self.problems.push(at_line(line, message).remedy("keep the latest of them"));
        }
    }

    fn number(&self, text: &str) -> Option<f64> {
        let plain = text.replace('−', "-");
        let plain = if self.decimal_comma { plain.replace(',', ".") } else { plain };
        // `f64::from_str` also reads "inf" and "nan".
        let is_number =
            plain.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+' | b'e' | b'E'));
        plain.parse::<f64>().ok().filter(|number| is_number && number.is_finite())
    }
}

/// A unit by its symbol, in the document's unit of its kind, as a fraction; 1 for none.
fn unit_of(symbol: &str) -> Result<(f64, f64), String> {
    if symbol.is_empty() {
        return Ok((1.0, 1.0));
    }
    let unit = formula::UNITS.iter().find(|unit| unit.symbol == symbol);
    let quantity = unit.and_then(|unit| Quantity::of_dimension(unit.dimension));
    match (unit, quantity) {
        (Some(unit), Some(quantity)) => {
            let (numerator, denominator) = quantity.unit_in_base();
            Ok((unit.numerator * denominator, unit.denominator * numerator))
        }
        _ => Err(format!("{} is not a unit known here", quoted(symbol))),
    }
}

/// Adds readings to a list; they join those of the same size of the same part. The coarser resolution counts.
///
/// # Errors
/// Gives them back when there would be more than are worked with.
pub(crate) fn join_readings(list: &mut Vec<Measured>, measured: Measured) -> Result<(), Measured> {
    let known = list.iter_mut().find(|known| known.part == measured.part && known.size == measured.size);
    let before = known.as_ref().map_or(0, |known| known.readings.len());
    if before + measured.readings.len() > MOST_READINGS {
        return Err(measured);
    }
    match known {
        Some(known) => {
            known.readings.extend(measured.readings);
            known.resolution = known.resolution.max(measured.resolution);
            if known.note.is_empty() {
                known.note = measured.note;
            } else if !measured.note.is_empty()
                && known.note.len() + measured.note.len() < LONGEST_NOTE
                && !known.note.contains(&measured.note)
            {
                known.note.push_str("; ");
                known.note.push_str(&measured.note);
            }
        }
        None => list.push(measured),
    }
    Ok(())
}
