//! Words of a formula.

use super::{FormulaError, LONGEST_FORMULA};

/// One word and where it stands (characters from 0).
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Token {
    pub at: usize,
    pub kind: TokenKind,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) enum TokenKind {
    Number(f64),
    /// A name, a unit symbol or a function.
    Word(String),
    Plus,
    Minus,
    Times,
    Over,
    Power,
    /// A superscript exponent.
    Raised(f64),
    Open,
    Close,
    /// Separates arguments.
    Separator,
    End,
}

/// Splits a formula into words, an [`TokenKind::End`] last.
pub(super) fn lex(text: &str) -> Result<Vec<Token>, FormulaError> {
    // Count no further than needed: a hostile text may be megabytes long.
    if text.chars().nth(LONGEST_FORMULA).is_some() {
        return Err(FormulaError::new(
            LONGEST_FORMULA,
            format!("a formula may have at most {LONGEST_FORMULA} characters"),
        )
        .remedy("split it with shared sizes"));
    }
    let chars: Vec<char> = text.chars().collect();
    let decimal_commas = decimal_commas(&chars);
    let mut tokens = Vec::new();
    let mut at = 0;
    while let Some(&c) = chars.get(at) {
        let start = at;
        at += 1;
        let kind = match c {
            c if c.is_whitespace() => continue,
            '+' => TokenKind::Plus,
            '-' | '−' | '–' => TokenKind::Minus,
            '*' if chars.get(at) == Some(&'*') => {
                at += 1;
                TokenKind::Power
            }
            '*' | '·' | '×' | '⋅' => TokenKind::Times,
            '/' | '÷' | ':' => TokenKind::Over,
            '^' => TokenKind::Power,
            '²' => TokenKind::Raised(2.0),
            '³' => TokenKind::Raised(3.0),
            '(' => TokenKind::Open,
            ')' => TokenKind::Close,
            ';' | ',' => TokenKind::Separator,
            '°' | '%' => TokenKind::Word(c.to_string()),
            c if c.is_ascii_digit() || c == '.' => {
                let (number, end) = number(&chars, start, &decimal_commas)?;
                at = end;
                TokenKind::Number(number)
            }
            c if is_word_start(c) => {
                while chars.get(at).copied().is_some_and(is_word_part) {
                    at += 1;
                }
                match chars.get(start..at).unwrap_or_default() {
                    ['p', 'i'] | ['π'] => TokenKind::Number(std::f64::consts::PI),
                    word => TokenKind::Word(word.iter().collect()),
                }
            }
            c => return Err(FormulaError::new(start, format!("'{c}' has no meaning in a formula"))),
        };
        tokens.push(Token { at: start, kind });
    }
    tokens.push(Token { at: chars.len(), kind: TokenKind::End });
    Ok(tokens)
}

/// The number that a text is and nothing more, with a decimal point or comma; `None` for a formula, a unit, or a comma
/// that can be read in two ways.
pub(super) fn plain_number(text: &str) -> Option<f64> {
    let text = text.trim();
    let (sign, digits) = match text.strip_prefix(['-', '−', '–']) {
        Some(rest) => (-1.0, rest),
        None => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    // A formula may be long; a number is of few kinds of characters.
    if !digits.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b',' | b'e' | b'E' | b'+' | b'-')) {
        return None;
    }
    let chars: Vec<char> = digits.chars().collect();
    let (value, end) = number(&chars, 0, &decimal_commas(&chars)).ok()?;
    (end == chars.len()).then_some(sign * value)
}

/// Whether a name may start with this character.
pub(crate) fn is_word_start(c: char) -> bool {
    c.is_alphabetic() || c == '_'
}

/// Whether a name may go on with this character. Digits are the plain ones: a raised digit is an exponent.
pub(crate) fn is_word_part(c: char) -> bool {
    is_word_start(c) || c.is_ascii_digit()
}

/// For each character, whether a comma there is a decimal comma: among a function's arguments only when
/// semicolons separate them, elsewhere always.
fn decimal_commas(chars: &[char]) -> Vec<bool> {
    let mut decimal = vec![true; chars.len()];
    let mut open: Vec<(bool, Vec<usize>)> = Vec::new();
    let mut after_word = false;
    for (at, c) in chars.iter().enumerate() {
        match c {
            '(' => open.push((!after_word, Vec::new())),
            ')' => {
                if let Some((semicolons, commas)) = open.pop() {
                    for comma in commas {
                        if let Some(slot) = decimal.get_mut(comma) {
                            *slot = semicolons;
                        }
                    }
                }
            }
            ';' => {
                if let Some(level) = open.last_mut() {
                    level.0 = true;
                }
            }
            ',' => {
                if let Some(level) = open.last_mut() {
                    level.1.push(at);
                }
            }
            _ => {}
        }
        after_word = is_word_part(*c) || (after_word && c.is_whitespace());
    }
    decimal
}

/// Reads a number from `start`; gives it and the place after it.
fn number(chars: &[char], start: usize, decimal_commas: &[bool]) -> Result<(f64, usize), FormulaError> {
    let digit = |at: usize| chars.get(at).is_some_and(char::is_ascii_digit);
    let mut at = start;
    while digit(at) {
        at += 1;
    }
    let whole_digits = at - start;
    let is_comma = chars.get(at) == Some(&',')
        && decimal_commas.get(at).copied().unwrap_or(false)
        && whole_digits > 0
        && digit(at + 1);
    let point = at;
    if is_comma || chars.get(at) == Some(&'.') {
        at += 1;
        while digit(at) {
            at += 1;
        }
        let decimals = at - point - 1;
        let leading_zero = chars.get(start) == Some(&'0');
        if is_comma && decimals == 3 && whole_digits <= 3 && !leading_zero {
            let text: String = chars.get(start..at).unwrap_or_default().iter().collect();
            return Err(FormulaError::new(start, format!("'{text}' can be read in two ways"))
                .remedy(format!("write {} or {}", text.replace(',', ""), text.replace(',', "."))));
        }
        if whole_digits + decimals == 0 {
            return Err(FormulaError::new(start, "a '.' without digits"));
        }
    }
    if matches!(chars.get(at), Some('e' | 'E')) {
        let sign = usize::from(matches!(chars.get(at + 1), Some('+' | '-')));
        if digit(at + 1 + sign) {
            at += 1 + sign;
            while digit(at) {
                at += 1;
            }
        }
    }
    let text: String =
        chars.get(start..at).unwrap_or_default().iter().map(|&c| if c == ',' { '.' } else { c }).collect();
    if matches!(chars.get(at), Some('.')) || (matches!(chars.get(at), Some(',')) && is_comma) {
        return Err(FormulaError::new(at, "a second decimal sign in one number"));
    }
    match text.parse::<f64>() {
        Ok(number) if number.is_finite() => Ok((number, at)),
        Ok(_) => Err(FormulaError::new(start, "this number is too large")),
        Err(_) => Err(FormulaError::new(start, "this is not a number")),
    }
}

/// The formula with one name replaced wherever it stands; `None` if it does not stand there or the text is
/// no formula.
pub(crate) fn with_name(text: &str, old: &str, new: &str) -> Option<String> {
    let tokens = lex(text).ok()?;
    let mut places: Vec<usize> = Vec::new();
    for pair in tokens.windows(2) {
        // A word before a bracket is a function.
        if let [Token { at, kind: TokenKind::Word(word) }, next] = pair
            && word == old
            && next.kind != TokenKind::Open
        {
            places.push(*at);
        }
    }
    if places.is_empty() {
        return None;
    }
    let length = old.chars().count();
    let mut out = String::with_capacity(text.len());
    let mut skip = 0;
    for (at, c) in text.chars().enumerate() {
        if places.contains(&at) {
            out.push_str(new);
            skip = length;
        }
        if skip > 0 {
            skip -= 1;
        } else {
            out.push(c);
        }
    }
    Some(out)
}
