//! From words to a tree.

use super::function::{Function, function, function_names};
use super::lex::{self, Token, TokenKind};
use super::{FormulaError, Unit, units};

/// How deep brackets, signs and powers may nest.
const DEEPEST: usize = 50;
/// Most different shared sizes one formula may name; its tolerance takes a calculation for each.
const MOST_NAMES: usize = 40;

/// A formula read.
#[derive(Clone, Debug, PartialEq)]
pub enum Expr {
    /// A number.
    Number(f64),
    /// One of a unit.
    Unit(&'static Unit),
    /// A shared size, and where it is named (characters from 0).
    Name(String, usize),
    /// The negative of something.
    Negative(Box<Expr>),
    /// Two things joined; the character of the sign, from 0.
    Binary(Operator, Box<Expr>, Box<Expr>, usize),
    /// A function of arguments; the character of its name, from 0.
    Call(Function, Vec<Expr>, usize),
}

/// An arithmetic sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Operator {
    /// Sum.
    Plus,
    /// Difference.
    Minus,
    /// Product.
    Times,
    /// Quotient.
    Over,
    /// Power.
    Power,
}

/// Reads a formula.
///
/// # Errors
/// What is wrong with it and at which character.
pub fn parse(text: &str) -> Result<Expr, FormulaError> {
    let tokens = lex::lex(text)?;
    let mut parser = Parser { tokens: &tokens, at: 0, depth: 0 };
    if parser.peek() == &TokenKind::End {
        return Err(FormulaError::new(0, "the formula is empty").remedy("write a number or a formula"));
    }
    let expr = parser.sum()?;
    match parser.peek() {
        TokenKind::End => few_names(expr),
        TokenKind::Close => Err(FormulaError::new(parser.place(), "this bracket closes nothing")),
        TokenKind::Separator => {
            Err(FormulaError::new(parser.place(), "a comma stands here without a function")
                .remedy("a decimal comma needs a digit on both sides"))
        }
        _ => Err(FormulaError::new(parser.place(), "a sign is missing before this")
            .remedy("write * for a product")),
    }
}

fn few_names(expr: Expr) -> Result<Expr, FormulaError> {
    let mut names = std::collections::HashSet::new();
    let mut beyond = None;
    expr.names(&mut |name, at| {
        if names.insert(name) && names.len() > MOST_NAMES {
            beyond.get_or_insert(at);
        }
    });
    match beyond {
        Some(at) => {
            Err(FormulaError::new(at, format!("a formula may name at most {MOST_NAMES} shared sizes"))
                .remedy("split it with shared sizes"))
        }
        None => Ok(expr),
    }
}

impl Expr {
    /// Calls `found` with every shared size named in it and the character where it stands, from 0.
    pub fn names<'a>(&'a self, found: &mut dyn FnMut(&'a str, usize)) {
        match self {
            Self::Number(_) | Self::Unit(_) => {}
            Self::Name(name, at) => found(name, *at),
            Self::Negative(inner) => inner.names(found),
            Self::Binary(_, left, right, _) => {
                left.names(found);
                right.names(found);
            }
            Self::Call(_, arguments, _) => arguments.iter().for_each(|a| a.names(found)),
        }
    }
}

struct Parser<'a> {
    tokens: &'a [Token],
    at: usize,
    depth: usize,
}

impl Parser<'_> {
    fn peek(&self) -> &TokenKind {
        self.tokens.get(self.at).map_or(&TokenKind::End, |t| &t.kind)
    }

    fn peek_after(&self) -> &TokenKind {
        self.tokens.get(self.at + 1).map_or(&TokenKind::End, |t| &t.kind)
    }

    /// Character of the next word, from 0.
    fn place(&self) -> usize {
        self.tokens.get(self.at).or(self.tokens.last()).map_or(0, |t| t.at)
    }

    fn deeper<T>(
        &mut self,
        read: impl FnOnce(&mut Self) -> Result<T, FormulaError>,
    ) -> Result<T, FormulaError> {
        if self.depth >= DEEPEST {
            return Err(FormulaError::new(self.place(), format!("nested deeper than {DEEPEST} levels"))
                .remedy("split it with shared sizes"));
        }
        self.depth += 1;
        let result = read(self);
        self.depth -= 1;
        result
    }

    fn sum(&mut self) -> Result<Expr, FormulaError> {
        let mut left = self.product()?;
        loop {
            let operator = match self.peek() {
                TokenKind::Plus => Operator::Plus,
                TokenKind::Minus => Operator::Minus,
                _ => return Ok(left),
            };
            let at = self.place();
            self.at += 1;
            let right = self.product()?;
            left = Expr::Binary(operator, Box::new(left), Box::new(right), at);
        }
    }

    fn product(&mut self) -> Result<Expr, FormulaError> {
        let mut left = self.signed()?;
        loop {
            let operator = match self.peek() {
                TokenKind::Times => Operator::Times,
                TokenKind::Over => Operator::Over,
                _ => return Ok(left),
            };
            let at = self.place();
            self.at += 1;
            let right = self.signed()?;
            left = Expr::Binary(operator, Box::new(left), Box::new(right), at);
        }
    }

    fn signed(&mut self) -> Result<Expr, FormulaError> {
        match self.peek() {
            TokenKind::Minus => {
                self.at += 1;
                let inner = self.deeper(Self::signed)?;
                Ok(Expr::Negative(Box::new(inner)))
            }
            TokenKind::Plus => {
                self.at += 1;
                self.deeper(Self::signed)
            }
            _ => self.power(),
        }
    }

    fn power(&mut self) -> Result<Expr, FormulaError> {
        let base = self.measure()?;
        let at = self.place();
        match *self.peek() {
            TokenKind::Power => {
                self.at += 1;
                // The exponent binds its own sign and further powers: 2^-3^2 = 2^(-(3^2)).
                let exponent = self.deeper(Self::signed)?;
                Ok(Expr::Binary(Operator::Power, Box::new(base), Box::new(exponent), at))
            }
            TokenKind::Raised(exponent) => {
                self.at += 1;
                Ok(Expr::Binary(Operator::Power, Box::new(base), Box::new(Expr::Number(exponent)), at))
            }
            _ => Ok(base),
        }
    }

    /// A thing with its unit: `6 mm`, `1/4 in`, `3 1/4 in`, `(a + b) mm`.
    fn measure(&mut self) -> Result<Expr, FormulaError> {
        let start = self.place();
        if let TokenKind::Number(first) = *self.peek() {
            self.at += 1;
            if let TokenKind::Number(top) = *self.peek() {
                // "3 1/4 in"
                if let Some(fraction) = self.fraction_of_unit(top) {
                    return Ok(self.with_unit(Expr::Number(first + fraction), start));
                }
                return Err(FormulaError::new(self.place(), "two numbers stand side by side")
                    .remedy("write a sign between them, or a fraction with a unit as in 3 1/4 in"));
            }
            self.at -= 1;
            if let Some(fraction) = self.fraction_of_unit(first) {
                return Ok(self.with_unit(Expr::Number(fraction), start));
            }
            self.at += 1;
            return Ok(self.with_unit(Expr::Number(first), start));
        }
        let bracketed = self.peek() == &TokenKind::Open;
        let atom = self.atom()?;
        Ok(if bracketed { self.with_unit(atom, start) } else { atom })
    }

    /// At the top of a fraction of numbers that a unit follows: steps over it and gives its value. The
    /// unit then belongs to the whole fraction, as people write it: 1/4 in is a quarter inch.
    fn fraction_of_unit(&mut self, top: f64) -> Option<f64> {
        let kind = |ahead: usize| self.tokens.get(self.at + ahead).map(|t| &t.kind);
        match (kind(1), kind(2), kind(3)) {
            (Some(TokenKind::Over), Some(&TokenKind::Number(bottom)), Some(TokenKind::Word(word)))
                if units::find(word).is_some() && bottom != 0.0 =>
            {
                self.at += 3;
                Some(top / bottom)
            }
            _ => None,
        }
    }

    /// `expr` times the unit that follows, if one does.
    fn with_unit(&mut self, expr: Expr, at: usize) -> Expr {
        let TokenKind::Word(word) = self.peek() else { return expr };
        // "min" is a unit of time and a function.
        if self.peek_after() == &TokenKind::Open {
            return expr;
        }
        let Some(unit) = units::find(word) else { return expr };
        self.at += 1;
        let mut unit = Expr::Unit(unit);
        // A power belongs to the unit: 3 mm² is 3 (mm²).
        let place = self.place();
        match (self.peek(), self.peek_after()) {
            (&TokenKind::Raised(exponent), _) => {
                self.at += 1;
                unit = Expr::Binary(Operator::Power, Box::new(unit), Box::new(Expr::Number(exponent)), place);
            }
            (TokenKind::Power, &TokenKind::Number(exponent)) => {
                self.at += 2;
                unit = Expr::Binary(Operator::Power, Box::new(unit), Box::new(Expr::Number(exponent)), place);
            }
            _ => {}
        }
        Expr::Binary(Operator::Times, Box::new(expr), Box::new(unit), at)
    }

    fn atom(&mut self) -> Result<Expr, FormulaError> {
        let at = self.place();
        match self.peek().clone() {
            TokenKind::Open => {
                self.at += 1;
                let inner = self.deeper(Self::sum)?;
                self.close(at)?;
                Ok(inner)
            }
            TokenKind::Word(word) => {
                self.at += 1;
                if self.peek() == &TokenKind::Open {
                    return self.call(&word, at);
                }
                Ok(units::find(&word).map_or(Expr::Name(word, at), Expr::Unit))
            }
            TokenKind::End => Err(FormulaError::new(at, "the formula ends where a value should follow")),
            _ => Err(FormulaError::new(at, "a number, a name or a bracket should stand here")),
        }
    }

    fn call(&mut self, name: &str, at: usize) -> Result<Expr, FormulaError> {
        let Some((function, least, most)) = function(name) else {
            return Err(FormulaError::new(
                at,
                format!("there is no function {}", crate::problem::quoted(name)),
            )
            .remedy(crate::suggest::suggestion(name, function_names())));
        };
        let open = self.place();
        self.at += 1;
        let mut arguments = Vec::new();
        if self.peek() != &TokenKind::Close {
            loop {
                arguments.push(self.deeper(Self::sum)?);
                if self.peek() != &TokenKind::Separator {
                    break;
                }
                self.at += 1;
            }
        }
        self.close(open)?;
        if arguments.len() < least || arguments.len() > most {
            let wanted = if least == most { format!("{least}") } else { format!("{least} to {most}") };
            return Err(FormulaError::new(
                at,
                format!("{name} takes {wanted} values, not {}", arguments.len()),
            ));
        }
        Ok(Expr::Call(function, arguments, at))
    }

    fn close(&mut self, open: usize) -> Result<(), FormulaError> {
        if self.peek() == &TokenKind::Close {
            self.at += 1;
            return Ok(());
        }
        Err(if self.peek() == &TokenKind::End {
            FormulaError::new(open, "this bracket is never closed")
        } else {
            FormulaError::new(self.place(), "a sign is missing before this").remedy("write * for a product")
        })
    }
}
