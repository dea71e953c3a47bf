//! The functions formulas know.

/// A function formulas know.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Function {
    /// Least of its arguments.
    Min,
    /// Greatest of its arguments.
    Max,
    /// `clamp(x, least, greatest)`.
    Clamp,
    /// `round(x)` or `round(x, step)`: nearest whole unit or step; halves away from zero.
    Round,
    /// `floor(x)` or `floor(x, step)`: the step at or below.
    Floor,
    /// `ceil(x)` or `ceil(x, step)`: the step at or above.
    Ceil,
    /// Absolute value.
    Abs,
    /// Square root.
    Sqrt,
    /// √(a² + b² + …).
    Hypot,
    /// Sine of an angle.
    Sin,
    /// Cosine of an angle.
    Cos,
    /// Tangent of an angle.
    Tan,
    /// Angle with this sine.
    Asin,
    /// Angle with this cosine.
    Acos,
    /// Angle with this tangent.
    Atan,
    /// `atan2(y, x)`: angle of the direction (x, y).
    Atan2,
    /// Natural exponential.
    Exp,
    /// Natural logarithm.
    Ln,
}

/// Name, function, least and greatest number of arguments.
const FUNCTIONS: &[(&str, Function, usize, usize)] = &[
    ("min", Function::Min, 1, 50),
    ("max", Function::Max, 1, 50),
    ("clamp", Function::Clamp, 3, 3),
    ("round", Function::Round, 1, 2),
    ("floor", Function::Floor, 1, 2),
    ("ceil", Function::Ceil, 1, 2),
    ("abs", Function::Abs, 1, 1),
    ("sqrt", Function::Sqrt, 1, 1),
    ("hypot", Function::Hypot, 1, 50),
    ("sin", Function::Sin, 1, 1),
    ("cos", Function::Cos, 1, 1),
    ("tan", Function::Tan, 1, 1),
    ("asin", Function::Asin, 1, 1),
    ("acos", Function::Acos, 1, 1),
    ("atan", Function::Atan, 1, 1),
    ("atan2", Function::Atan2, 2, 2),
    ("exp", Function::Exp, 1, 1),
    ("ln", Function::Ln, 1, 1),
];

/// The function with this name and its least and greatest number of arguments.
pub(super) fn function(name: &str) -> Option<(Function, usize, usize)> {
    FUNCTIONS.iter().find(|f| f.0 == name).map(|f| (f.1, f.2, f.3))
}

/// Names of all functions.
pub fn function_names() -> impl Iterator<Item = &'static str> + Clone {
    FUNCTIONS.iter().map(|f| f.0)
}
