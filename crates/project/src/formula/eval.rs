//! From a tree to a value.

use super::function::Function;
use super::parse::Operator;
use super::{Expr, FormulaError, Value};
use crate::problem::quoted;
use crate::quantity::{Dimension, Quantity};

/// What a name stands for, or else what is the matter and what to do about it.
pub type Lookup<'a> = dyn Fn(&str) -> Result<Value, (String, String)> + 'a;

/// The value of a formula; `lookup` knows the shared sizes.
///
/// # Errors
/// Unknown names, mixed dimensions, division by zero and results that are not finite, each at its
/// character. `lookup` gives the message when a name has no value.
pub fn evaluate(expr: &Expr, lookup: &Lookup<'_>) -> Result<Value, FormulaError> {
    match expr {
        Expr::Number(number) => Ok(Value::plain(*number)),
        Expr::Unit(unit) => {
            Ok(Value { number: unit.numerator / unit.denominator, dimension: unit.dimension, plain: false })
        }
        Expr::Name(name, at) => {
            lookup(name).map_err(|(message, remedy)| FormulaError::new(*at, message).remedy(remedy))
        }
        Expr::Negative(inner) => {
            let value = evaluate(inner, lookup)?;
            Ok(Value { number: -value.number, ..value })
        }
        Expr::Binary(operator, left, right, at) => {
            let left = evaluate(left, lookup)?;
            // A number times a unit keeps the unit's factor as a fraction: 620 g is 620/1000 kg.
            if let (Operator::Times, Expr::Unit(unit)) = (operator, right.as_ref())
                && left.plain
            {
                let number = left.number * unit.numerator / unit.denominator;
                return finite(Value { number, dimension: unit.dimension, plain: false }, *at);
            }
            let right = evaluate(right, lookup)?;
            finite(binary(*operator, left, right, *at)?, *at)
        }
        Expr::Call(function, arguments, at) => {
            let mut values = Vec::with_capacity(arguments.len());
            for argument in arguments {
                values.push(evaluate(argument, lookup)?);
            }
            finite(call(*function, &values, *at)?, *at)
        }
    }
}

fn finite(value: Value, at: usize) -> Result<Value, FormulaError> {
    if value.number.is_finite() { Ok(value) } else { Err(FormulaError::too_large(at)) }
}

fn binary(operator: Operator, left: Value, right: Value, at: usize) -> Result<Value, FormulaError> {
    match operator {
        Operator::Plus | Operator::Minus => {
            let (left, right) =
                alike(left, right, at, if operator == Operator::Plus { "add" } else { "subtract" })?;
            let number = if operator == Operator::Plus {
                left.number + right.number
            } else {
                left.number - right.number
            };
            Ok(Value { number, ..left })
        }
        Operator::Times => Ok(Value {
            number: left.number * right.number,
            dimension: combine(left, right, at, i16::checked_add)?,
            plain: left.plain && right.plain,
        }),
        Operator::Over => {
            if right.number == 0.0 {
                return Err(FormulaError::new(at, "division by zero"));
            }
            Ok(Value {
                number: left.number / right.number,
                dimension: combine(left, right, at, i16::checked_sub)?,
                plain: left.plain && right.plain,
            })
        }
        Operator::Power => power(left, right, at),
    }
}

fn combine(
    left: Value,
    right: Value,
    at: usize,
    with: impl Fn(i16, i16) -> Option<i16>,
) -> Result<Dimension, FormulaError> {
    left.dimension
        .combine(right.dimension, with)
        .ok_or_else(|| FormulaError::new(at, "the power of the unit is out of reach"))
}

fn power(base: Value, exponent: Value, at: usize) -> Result<Value, FormulaError> {
    if exponent.dimension != Dimension::NONE {
        return Err(FormulaError::new(at, format!("an exponent cannot be {}", exponent.dimension)));
    }
    let number = base.number.powf(exponent.number);
    if base.number == 0.0 && exponent.number < 0.0 {
        return Err(FormulaError::new(at, "division by zero"));
    }
    if number.is_nan() {
        return Err(FormulaError::new(at, "a negative number has no such power"));
    }
    let dimension = base
        .dimension
        .power(exponent.number)
        .ok_or_else(|| FormulaError::new(at, "the power of the unit is out of reach"))?;
    Ok(Value { number, dimension, plain: base.plain && exponent.plain })
}

/// Both in one dimension; a plain number takes the unit of the other.
fn alike(left: Value, right: Value, at: usize, doing: &str) -> Result<(Value, Value), FormulaError> {
    let (left, right) = (left.meeting(right.dimension), right.meeting(left.dimension));
    if left.dimension == right.dimension {
        let plain = left.plain && right.plain;
        return Ok((Value { plain, ..left }, Value { plain, ..right }));
    }
    Err(FormulaError::new(at, format!("cannot {doing} {} and {}", left.dimension, right.dimension))
        .remedy("give both the same kind of unit"))
}

fn all_alike(values: &[Value], at: usize) -> Result<Vec<Value>, FormulaError> {
    let dimension =
        values.iter().map(|v| v.dimension).find(|d| *d != Dimension::NONE).unwrap_or(Dimension::NONE);
    let plain = values.iter().all(|v| v.plain);
    values
        .iter()
        .map(|value| {
            let value = value.meeting(dimension);
            if value.dimension == dimension {
                Ok(Value { plain, ..value })
            } else {
                Err(FormulaError::new(at, format!("cannot compare {} and {dimension}", value.dimension))
                    .remedy("give all values the same kind of unit"))
            }
        })
        .collect()
}

fn call(function: Function, values: &[Value], at: usize) -> Result<Value, FormulaError> {
    let first = values.first().copied().unwrap_or(Value::plain(0.0));
    let number_of = |value: Value, what: &str| {
        if value.dimension == Dimension::NONE {
            Ok(value.number)
        } else {
            Err(FormulaError::new(at, format!("{what} needs a number without unit, not {}", value.dimension)))
        }
    };
    match function {
        Function::Min | Function::Max => {
            let values = all_alike(values, at)?;
            let best = values.into_iter().reduce(|best, v| {
                let better =
                    if function == Function::Min { v.number < best.number } else { v.number > best.number };
                if better { v } else { best }
            });
            Ok(best.unwrap_or(first))
        }
        Function::Clamp => match *all_alike(values, at)? {
            [value, least, greatest] if least.number <= greatest.number => {
                Ok(Value { number: value.number.clamp(least.number, greatest.number), ..value })
            }
            _ => Err(FormulaError::new(at, "the least value of clamp is above the greatest")
                .remedy("write clamp(value, least, greatest)")),
        },
        Function::Round | Function::Floor | Function::Ceil => step(function, values, first, at),
        Function::Abs => Ok(Value { number: first.number.abs(), ..first }),
        Function::Sqrt => {
            if first.number < 0.0 {
                return Err(FormulaError::new(at, "a negative number has no square root"));
            }
            let dimension = first
                .dimension
                .power(0.5)
                .ok_or_else(|| FormulaError::new(at, "the power of the unit is out of reach"))?;
            Ok(Value { number: first.number.sqrt(), dimension, plain: first.plain })
        }
        Function::Hypot => {
            let values = all_alike(values, at)?;
            let number = values.iter().fold(0.0_f64, |sum, v| sum.hypot(v.number));
            Ok(Value { number, ..values.first().copied().unwrap_or(first) })
        }
        Function::Sin => Ok(Value::plain(angle(first, at)?.sin())),
        Function::Cos => Ok(Value::plain(angle(first, at)?.cos())),
        Function::Tan => Ok(Value::plain(angle(first, at)?.tan())),
        Function::Asin | Function::Acos => {
            let number = number_of(first, "this function")?;
            if !(-1.0..=1.0).contains(&number) {
                return Err(FormulaError::new(at, "no angle has this sine or cosine")
                    .remedy("the value must lie between -1 and 1"));
            }
            Ok(radians(if function == Function::Asin { number.asin() } else { number.acos() }))
        }
        Function::Atan => Ok(radians(number_of(first, "atan")?.atan())),
        Function::Atan2 => match *all_alike(values, at)? {
            [y, x] => Ok(radians(y.number.atan2(x.number))),
            _ => Err(FormulaError::new(at, "atan2 takes two values")),
        },
        Function::Exp => Ok(Value::plain(number_of(first, "exp")?.exp())),
        Function::Ln => {
            let number = number_of(first, "ln")?;
            if number <= 0.0 {
                return Err(FormulaError::new(at, "only a positive number has a logarithm"));
            }
            Ok(Value::plain(number.ln()))
        }
    }
}

/// Rounds to a step; without one, to a whole unit of its kind.
fn step(function: Function, values: &[Value], first: Value, at: usize) -> Result<Value, FormulaError> {
    let (value, step) = match values.get(1) {
        Some(step) => alike(first, *step, at, "compare")?,
        None => (first, Value::plain(1.0).meeting(first.dimension)),
    };
    if step.number <= 0.0 {
        return Err(FormulaError::new(at, "the step to round to must be positive"));
    }
    let steps = value.number / step.number;
    // 2.4/0.1 is a hair below 24 in binary; a step must not be lost to that.
    let nearest = steps.round();
    let steps = if (steps - nearest).abs() <= 1e-9 * nearest.abs().max(1.0) { nearest } else { steps };
    let whole = match function {
        Function::Floor => steps.floor(),
        Function::Ceil => steps.ceil(),
        _ => steps.round(),
    };
    Ok(Value { number: whole * step.number, ..value })
}

/// An angle in radians; a plain number counts in degrees.
fn angle(value: Value, at: usize) -> Result<f64, FormulaError> {
    let value = value.meeting(Quantity::Angle.dimension());
    if value.dimension == Quantity::Angle.dimension() || value.dimension == Dimension::NONE {
        Ok(value.number)
    } else {
        Err(FormulaError::new(at, format!("an angle is needed here, not {}", value.dimension)))
    }
}

const fn radians(number: f64) -> Value {
    Value { number, dimension: Quantity::Angle.dimension(), plain: false }
}

/// The message for a name no shared size has.
pub(crate) fn unknown_name<'a>(
    name: &str,
    known: impl IntoIterator<Item = &'a str> + Clone,
) -> (String, String) {
    let mut remedy = crate::suggest::suggestion(name, known);
    if remedy.is_empty() {
        remedy = "define it under sizes".to_owned();
    }
    (format!("there is no shared size {}", quoted(name)), remedy)
}
