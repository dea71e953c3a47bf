//! From text to a document.

use ron::error::SpannedError;
use serde::Deserialize;

use crate::comments::scan;
use crate::document::{Document, FORMAT, PartsFile};
use crate::migrate::{read_older, upgrade_parts};
use crate::problem::{Place, Problem, Severity, quoted};
use crate::ron_options::{DEEPEST, options};
use crate::suggest::suggestion;

/// Largest file read (bytes). A fixture of a hundred wheels takes some tens of kilobytes.
pub const LARGEST_FILE: usize = 2 * 1024 * 1024;

/// A document as it was read.
#[derive(Clone, Debug)]
pub struct Read {
    /// The document.
    pub document: Document,
    /// What was carried over from an older format, and how.
    pub notes: Vec<Problem>,
}

/// Reads a document.
///
/// # Errors
/// As [`read`].
pub fn parse(text: &str) -> Result<Document, Vec<Problem>> {
    read(text).map(|read| read.document)
}

/// Reads a document from the bytes of a file.
///
/// # Errors
/// As [`read`], and when the bytes are not UTF-8 text.
pub fn read_bytes(bytes: &[u8]) -> Result<Read, Vec<Problem>> {
    check_size(bytes.len())?;
    read(utf8(bytes)?)
}

/// The text of a file's bytes.
///
/// # Errors
/// Where they are no UTF-8 text.
pub(crate) fn utf8(bytes: &[u8]) -> Result<&str, Vec<Problem>> {
    std::str::from_utf8(bytes).map_err(|error| {
        let valid = bytes.get(..error.valid_up_to()).unwrap_or_default();
        let text = std::str::from_utf8(valid).unwrap_or_default();
        let line = text.matches('\n').count() + 1;
        let column = text.rsplit('\n').next().unwrap_or_default().chars().count() + 1;
        let message = "the file is not UTF-8 text here";
        let problem = Problem::new(Severity::Error, Place::Text { line, column }, message);
        vec![problem.remedy("open a project file, or save it with UTF-8 encoding")]
    })
}

/// Reads a document of this or an older format.
///
/// # Errors
/// What is wrong with the text, with line and column. Only text is judged here; what the document means is
/// judged when it is resolved.
pub fn read(text: &str) -> Result<Read, Vec<Problem>> {
    check_size(text.len())?;
    let text = text.strip_prefix('\u{FEFF}').unwrap_or(text);
    if text.trim().is_empty() {
        return Err(vec![
            Problem::new(Severity::Error, Place::Text { line: 1, column: 1 }, "the file is empty")
                .remedy("open another file, or start from the built-in demo"),
        ]);
    }
    let present = options().from_str::<Document>(text);
    let stated = match &present {
        Ok(document) => Some(document.format),
        Err(_) => format_of(text),
    };
    if let Some(format) = stated.filter(|format| *format > FORMAT) {
        return Err(vec![
            Problem::error(
                "format",
                format!("the file has format {format}; this program reads up to {FORMAT}"),
            )
            .remedy("open it with a newer version of the program"),
        ]);
    }
    // The draft need not state its format.
    let format = stated.unwrap_or(0);
    let older = if format < FORMAT { read_older(text, format) } else { None };
    let (document, notes) = match (older, present) {
        // What has another name now takes its comments along.
        (Some(Ok((document, notes))), _) => return Ok(Read { document, notes }),
        // Without a format it is more likely a faulty file of today.
        (Some(Err(error)), Ok(_)) => return Err(vec![syntax_problem(&error)]),
        (Some(Err(old)), Err(new)) => {
            let error = if stated.is_some() { old } else { new };
            return Err(vec![syntax_problem(&error)]);
        }
        (None, present) => (present.map_err(|error| vec![syntax_problem(&error)])?, Vec::new()),
    };
    Ok(Read { document: Document { comments: scan(text), ..document }, notes })
}

/// Reads a file of parts.
///
/// # Errors
/// What is wrong with the text, with line and column.
pub fn read_parts(text: &str) -> Result<PartsFile, Vec<Problem>> {
    check_size(text.len())?;
    let text = text.strip_prefix('\u{FEFF}').unwrap_or(text);
    let parts = options().from_str::<PartsFile>(text).map_err(|error| vec![syntax_problem(&error)])?;
    let mut parts = PartsFile { comments: scan(text), ..parts };
    if !upgrade_parts(&mut parts) {
        return Err(vec![
            Problem::error(
                "format",
                format!("the file has format {}; this program reads up to {FORMAT}", parts.format),
            )
            .remedy("open it with a newer version of the program"),
        ]);
    }
    Ok(parts)
}

fn check_size(bytes: usize) -> Result<(), Vec<Problem>> {
    if bytes <= LARGEST_FILE {
        return Ok(());
    }
    Err(vec![
        Problem::error(
            "",
            format!("the file has {} kB; at most {} kB are read", bytes / 1024, LARGEST_FILE / 1024),
        )
        .remedy("open a project file"),
    ])
}

/// The format number that a text states, whatever else is in it.
fn format_of(text: &str) -> Option<u32> {
    #[derive(Deserialize)]
    struct Heading {
        format: u32,
    }
    options().from_str::<Heading>(text).ok().map(|heading| heading.format)
}

/// A problem from what the RON reader says.
pub(crate) fn syntax_problem(error: &SpannedError) -> Problem {
    use ron::Error as Code;
    let place = Place::Text { line: error.span.start.line.max(1), column: error.span.start.col.max(1) };
    let (message, remedy) = match &error.code {
        Code::NoSuchStructField { expected, found, .. } => {
            (format!("there is no field {} here", quoted(found)), suggestion(found, expected.iter().copied()))
        }
        Code::NoSuchEnumVariant { expected, found, .. } => {
            (format!("{} is not known here", quoted(found)), suggestion(found, expected.iter().copied()))
        }
        Code::MissingStructField { field, .. } => (
            format!("the field '{field}' is missing"),
            format!("add '{field}: …' before this bracket closes"),
        ),
        Code::DuplicateStructField { field, .. } => {
            (format!("the field '{field}' is given twice"), "remove one of them".to_owned())
        }
        Code::ExceededRecursionLimit => (
            format!("brackets nest deeper than {DEEPEST} levels"),
            "check for a bracket that is never closed".to_owned(),
        ),
        Code::Eof | Code::ExpectedStringEnd | Code::UnclosedBlockComment => (
            "the text ends in the middle of something".to_owned(),
            "the file may be cut off; close all brackets and quotes".to_owned(),
        ),
        Code::ExpectedComma => {
            ("a comma is missing before this".to_owned(), "separate fields and items with ,".to_owned())
        }
        Code::ExpectedMap => should_stand("a map { … }"),
        Code::ExpectedArray => should_stand("a list [ … ]"),
        Code::ExpectedStructLike | Code::ExpectedNamedStructLike(_) => should_stand("a structure ( … )"),
        Code::ExpectedString => should_stand("a text in \"quotes\""),
        Code::ExpectedBoolean => should_stand("true or false"),
        Code::ExpectedInteger => should_stand("a whole number"),
        Code::ExpectedFloat => should_stand("a number"),
        Code::ExpectedIdentifier => should_stand("a word"),
        Code::ExpectedMapColon => missing(":"),
        Code::ExpectedStructLikeEnd => missing("closing )"),
        Code::ExpectedArrayEnd => missing("closing ]"),
        Code::ExpectedMapEnd => missing("closing }"),
        Code::TrailingCharacters => {
            ("there is text after the end of the document".to_owned(), "remove it".to_owned())
        }
        Code::InvalidValueForType { expected, .. } => should_stand(&plain(expected)),
        Code::Message(said) if !is_of_the_reader(said) => (shortened(said), COMPARE.to_owned()),
        _ => ("this cannot be read".to_owned(), COMPARE.to_owned()),
    };
    Problem::new(Severity::Error, place, message).remedy(remedy)
}

/// The remedy where nothing better is known.
const COMPARE: &str = "compare with the handbook's chapter on the project file";

fn should_stand(what: &str) -> (String, String) {
    (format!("{what} should stand here"), COMPARE.to_owned())
}

fn missing(what: &str) -> (String, String) {
    (format!("a {what} is missing before this"), format!("put a {what} there"))
}

/// What the reader wanted, without the names the program has for it.
fn plain(expected: &str) -> String {
    let kind = expected.split_whitespace().next().unwrap_or_default();
    match kind {
        "struct" | "tuple" | "unit" | "newtype" => "a structure ( … )".to_owned(),
        "enum" | "variant" | "identifier" => "one of the words known here".to_owned(),
        "map" => "a map { … }".to_owned(),
        "sequence" | "array" => "a list [ … ]".to_owned(),
        "string" | "str" => "a text in \"quotes\"".to_owned(),
        "bool" | "boolean" => "true or false".to_owned(),
        "a" | "an" if !is_of_the_reader(expected) => shortened(expected),
        "a" if expected.starts_with("a sequence") => "a list [ … ]".to_owned(),
        "a" if expected.starts_with("a map") => "a map { … }".to_owned(),
        "a" if expected.starts_with("a string") => "a text in \"quotes\"".to_owned(),
        "a" if expected.starts_with("a boolean") => "true or false".to_owned(),
        _ if ["u8", "u16", "u32", "u64", "usize", "i8", "i16", "i32", "i64"].contains(&kind) => {
            "a whole number".to_owned()
        }
        "f32" | "f64" => "a number".to_owned(),
        _ => "something else".to_owned(),
    }
}

/// Whether a message speaks of how the program is made rather than of the file.
fn is_of_the_reader(message: &str) -> bool {
    [
        "struct",
        "enum",
        "tuple",
        "variant",
        "identifier",
        "sequence",
        "a string",
        "a map",
        "a boolean",
        "r#",
        "`",
    ]
    .iter()
    .any(|word| message.contains(word))
}

/// A message of the reader, which may repeat the user's text, at a bearable length.
fn shortened(message: &str) -> String {
    const LONGEST: usize = 200;
    if message.chars().nth(LONGEST).is_none() {
        return message.to_owned();
    }
    message.chars().take(LONGEST).chain(['…']).collect()
}
