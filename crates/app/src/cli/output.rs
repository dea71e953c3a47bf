//! Standard output and error, and exit statuses.

use std::io::{ErrorKind, Write};
use std::process::ExitCode;

/// How a verb ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Done, and nothing fails.
    Good,
    /// Done, and something about the fixture fails.
    Fails,
    /// The input can't be used, or the output can't be written.
    Unusable,
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        match outcome {
            Outcome::Good => Self::SUCCESS,
            Outcome::Fails => Self::from(1),
            Outcome::Unusable => Self::from(2),
        }
    }
}

/// Where a verb's words go.
pub struct Console<'a> {
    out: &'a mut dyn Write,
    error: &'a mut dyn Write,
    /// Why results could not be written.
    lost: Option<String>,
}

impl<'a> Console<'a> {
    /// Writes results to `out` and complaints to `error`.
    pub fn new(out: &'a mut dyn Write, error: &'a mut dyn Write) -> Self {
        Self { out, error, lost: None }
    }

    /// Prints a result. A reader that has closed its end (`| head`) is not an error; anything else that keeps
    /// a result from being written is, and [`Console::ended`] says so.
    pub fn print(&mut self, text: &str) {
        if self.lost.is_some() {
            return;
        }
        match self.out.write_all(text.as_bytes()).and_then(|()| self.out.flush()) {
            Err(error) if error.kind() == ErrorKind::StorageFull => {
                self.lost = Some("the disk is full; make room, or write to another disk".to_owned());
            }
            Err(error) if error.kind() != ErrorKind::BrokenPipe => {
                self.lost = Some(format!("{}; write to another place", error.kind()));
            }
            _ => {}
        }
    }

    /// How a verb ended that would have ended like this: what could not be written is a failure.
    pub fn ended(&mut self, outcome: Outcome) -> Outcome {
        match self.lost.take() {
            None => outcome,
            Some(why) => {
                self.error(&format!("the results could not be written: {why}"));
                Outcome::Unusable
            }
        }
    }

    /// Prints one line of complaint.
    pub fn error(&mut self, text: &str) {
        let _ = writeln!(self.error, "glidewright: {text}");
    }
}

/// Folds text to lines of at most `width` characters, each after `indent` spaces.
pub fn folded(text: &str, indent: usize, width: usize) -> String {
    let mut out = String::new();
    let mut column = usize::MAX;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if column == usize::MAX || column + 1 + length > width {
            if column != usize::MAX {
                out.push('\n');
            }
            out.extend(std::iter::repeat_n(' ', indent));
            column = indent;
        } else {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += length;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::folded;

    #[test]
    fn folds_at_the_width_and_keeps_long_words() {
        assert_eq!(folded("one two three", 2, 9), "  one two\n  three");
        assert_eq!(folded("incomprehensibilities a", 1, 5), " incomprehensibilities\n a");
        assert_eq!(folded("", 2, 9), "");
    }
}
