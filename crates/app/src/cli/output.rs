//! Standard output and error, and exit statuses.

use std::io::Write;
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
}

impl<'a> Console<'a> {
    /// Writes results to `out` and complaints to `error`.
    pub fn new(out: &'a mut dyn Write, error: &'a mut dyn Write) -> Self {
        Self { out, error }
    }

    /// Prints a result. A reader that has closed its end (`| head`) is not an error.
    pub fn print(&mut self, text: &str) {
        let _ = self.out.write_all(text.as_bytes()).and_then(|()| self.out.flush());
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
