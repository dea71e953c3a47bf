//! Finding comments in a text that is known to be a readable project file.

use super::Comments;
use crate::path::join;

/// Most comments kept; a text with more is no one's handwriting.
const MOST_COMMENTS: usize = 5000;
/// Deepest nesting looked into.
const DEEPEST: usize = 64;

/// The comments of a text.
pub(crate) fn scan(text: &str) -> Comments {
    let mut scanner = Scanner { words: words(text), at: 0, comments: Comments::default() };
    if !scanner.words.iter().any(|word| matches!(word.kind, Kind::Comment)) {
        return Comments::default();
    }
    let before = scanner.take_comments();
    scanner.value("", 0);
    let after = scanner.take_comments();
    if !before.is_empty() || !after.is_empty() {
        let root = scanner.comments.entry("");
        root.before = before;
        // Behind the last bracket nothing can stand but before it.
        root.at_end.extend(after);
    }
    scanner.comments
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Kind {
    Comment,
    Text,
    Open,
    Close,
    Comma,
    Colon,
    /// A name, number or anything else.
    Other,
}

#[derive(Clone, Copy, Debug)]
struct Word<'t> {
    kind: Kind,
    text: &'t str,
    /// Whether it is the first on its line.
    starts_line: bool,
}

/// Splits a text into words.
fn words(text: &str) -> Vec<Word<'_>> {
    let mut words = Vec::new();
    let mut comments = 0;
    let mut at = 0;
    let mut starts_line = true;
    while let Some(c) = text.get(at..).and_then(|rest| rest.chars().next()) {
        let rest = text.get(at..).unwrap_or_default();
        if c.is_whitespace() {
            starts_line |= c == '\n';
            at += c.len_utf8();
            continue;
        }
        let (kind, length) = match c {
            '/' if rest.starts_with("//") => (Kind::Comment, rest.find('\n').unwrap_or(rest.len())),
            '/' if rest.starts_with("/*") => (Kind::Comment, block_length(rest)),
            '"' => (Kind::Text, string_length(rest)),
            'r' if rest.starts_with("r\"") || rest.starts_with("r#") => (Kind::Text, raw_length(rest)),
            '\'' => (Kind::Other, char_length(rest)),
            '(' | '[' | '{' => (Kind::Open, 1),
            ')' | ']' | '}' => (Kind::Close, 1),
            ',' => (Kind::Comma, 1),
            ':' => (Kind::Colon, 1),
            _ => (Kind::Other, other_length(rest)),
        };
        let length = length.max(c.len_utf8());
        let word = text.get(at..at + length).unwrap_or(rest).trim_end();
        if kind == Kind::Comment {
            comments += 1;
            if comments > MOST_COMMENTS {
                at += length;
                continue;
            }
        }
        words.push(Word { kind, text: word, starts_line });
        starts_line = false;
        at += length;
    }
    words
}

/// Length of a block comment; blocks nest.
fn block_length(text: &str) -> usize {
    let mut depth = 0_usize;
    let mut at = 0;
    while let Some(rest) = text.get(at..).filter(|rest| !rest.is_empty()) {
        if rest.starts_with("/*") {
            depth += 1;
            at += 2;
        } else if rest.starts_with("*/") {
            depth = depth.saturating_sub(1);
            at += 2;
            if depth == 0 {
                return at;
            }
        } else {
            at += rest.chars().next().map_or(1, char::len_utf8);
        }
    }
    text.len()
}

fn string_length(text: &str) -> usize {
    let mut escaped = false;
    for (at, c) in text.char_indices().skip(1) {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return at + 1,
            _ => {}
        }
    }
    text.len()
}

fn raw_length(text: &str) -> usize {
    let hashes = text.bytes().skip(1).take_while(|b| *b == b'#').count();
    let open = 1 + hashes;
    if text.as_bytes().get(open) != Some(&b'"') {
        return other_length(text);
    }
    let end = format!("\"{}", "#".repeat(hashes));
    match text.get(open + 1..).and_then(|rest| rest.find(&end)) {
        Some(found) => open + 1 + found + end.len(),
        None => text.len(),
    }
}

fn char_length(text: &str) -> usize {
    let mut chars = text.char_indices().skip(1);
    match chars.next() {
        Some((_, '\\')) => {
            chars.next();
            text.get(1..).and_then(|rest| rest.get(2..)?.find('\'')).map_or(1, |found| found + 4)
        }
        _ => chars.next().filter(|(_, c)| *c == '\'').map_or(1, |(at, _)| at + 1),
    }
}

fn other_length(text: &str) -> usize {
    let ends =
        |c: char| c.is_whitespace() || matches!(c, '(' | '[' | '{' | ')' | ']' | '}' | ',' | ':' | '"' | '/');
    text.char_indices().skip(1).find(|(_, c)| ends(*c)).map_or(text.len(), |(at, _)| at)
}

struct Scanner<'t> {
    words: Vec<Word<'t>>,
    at: usize,
    comments: Comments,
}

/// What an item of a list or structure turned out to be called, with the comments met in it, still below a
/// path of its own to be put in place.
struct Item {
    name: Option<String>,
}

impl<'t> Scanner<'t> {
    fn peek(&self) -> Option<Word<'t>> {
        self.words.get(self.at).copied()
    }

    fn take_comments(&mut self) -> Vec<String> {
        let mut taken = Vec::new();
        while let Some(word) = self.peek().filter(|word| word.kind == Kind::Comment) {
            taken.push(word.text.to_owned());
            self.at += 1;
        }
        taken
    }

    /// A comment behind the word before it, on the same line.
    fn take_behind(&mut self) -> Option<String> {
        let word = self.peek().filter(|word| word.kind == Kind::Comment && !word.starts_line)?;
        self.at += 1;
        Some(word.text.to_owned())
    }

    /// Reads one value that stands at `path`: a name before a bracket, brackets with all inside, or one word.
    fn value(&mut self, path: &str, depth: usize) -> Item {
        let mut item = Item { name: None };
        let mut met = Vec::new();
        if self.peek().is_some_and(|word| matches!(word.kind, Kind::Other | Kind::Text)) {
            self.at += 1;
            met = self.take_inner_comments();
        }
        if self.peek().is_some_and(|word| word.kind == Kind::Open) && depth < DEEPEST {
            self.at += 1;
            item.name = self.inside(path, depth);
        }
        // A comment in the middle of a value stands before it afterwards.
        if !met.is_empty() {
            self.comments.entry(path).before.extend(met);
        }
        item
    }

    /// Comments between a name and its bracket.
    fn take_inner_comments(&mut self) -> Vec<String> {
        let from = self.at;
        let taken = self.take_comments();
        if self.peek().is_some_and(|word| word.kind == Kind::Open) {
            taken
        } else {
            self.at = from;
            Vec::new()
        }
    }

    /// Reads up to the closing bracket; gives the value of the field `name`, if there is one.
    fn inside(&mut self, path: &str, depth: usize) -> Option<String> {
        let mut name = None;
        let mut number = 0_usize;
        // Behind an opening bracket means at the first thing inside.
        let mut before = self.take_comments();
        while let Some(word) = self.peek() {
            match word.kind {
                Kind::Close => {
                    self.at += 1;
                    break;
                }
                Kind::Comma | Kind::Colon => {
                    self.at += 1;
                    continue;
                }
                _ => {}
            }
            number += 1;
            let is_field = self.words.get(self.at + 1).is_some_and(|next| next.kind == Kind::Colon);
            let start = self.at;
            let place;
            if is_field && matches!(word.kind, Kind::Other | Kind::Text) {
                let key = word.text.trim_matches('"');
                self.at += 2;
                before.extend(self.take_comments());
                if key == "name" {
                    name = self
                        .peek()
                        .filter(|w| w.kind == Kind::Text)
                        .map(|w| w.text.trim_matches('"').to_owned());
                }
                place = join(path, key);
                self.value(&place, depth + 1);
            } else {
                // What an item is called shows only inside it; until then it stands under its number.
                let provisional = join(path, &format!("#{number}"));
                let known = self.comments.count();
                let item = self.value(&provisional, depth + 1);
                let has_comments = self.comments.count() > known;
                place = match item.name {
                    Some(name) => {
                        let named = join(path, &name);
                        if has_comments {
                            self.comments.follow(&provisional, &named);
                        }
                        named
                    }
                    None => provisional,
                };
            }
            if self.at == start {
                // Nothing readable here: go on rather than stand still.
                self.at += 1;
            }
            let mut behind = self.take_behind();
            if self.peek().is_some_and(|word| word.kind == Kind::Comma) {
                self.at += 1;
                behind = behind.or_else(|| self.take_behind());
            }
            let following = self.take_comments();
            if !before.is_empty() || behind.is_some() {
                let around = self.comments.entry(&place);
                around.before.splice(0..0, std::mem::take(&mut before));
                around.behind = behind;
            }
            before = following;
        }
        if !before.is_empty() {
            self.comments.entry(path).at_end.extend(before);
        }
        name
    }
}
