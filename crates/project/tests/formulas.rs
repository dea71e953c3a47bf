//! Formulas: what they come to, and what they say when they have no value.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use std::f64::consts::PI;

use glidewright_project::Values;
use glidewright_project::formula::UNITS;
use glidewright_project::quantity::Quantity;

fn value(text: &str, quantity: Quantity) -> Result<f64, String> {
    Values::default().try_formula(text, quantity).map_err(|e| format!("{} [{}]", e.message, e.column))
}

fn check(text: &str, quantity: Quantity, expected: f64) {
    let got = value(text, quantity).unwrap_or_else(|error| panic!("{text}: {error}"));
    assert!((got - expected).abs() <= 1e-12 * expected.abs().max(1.0), "{text}: {got}, not {expected}");
}

fn check_length(text: &str, expected: f64) {
    check(text, Quantity::Length, expected);
}

fn check_error(text: &str, quantity: Quantity, says: &str) {
    let error = value(text, quantity).expect_err(text);
    assert!(error.contains(says), "{text}: {error}");
}

#[test]
fn arithmetic_as_written_by_hand() {
    check_length("6", 6.0);
    check_length(" 6.5 ", 6.5);
    check_length("1 + 2 * 3", 7.0);
    check_length("(1 + 2) * 3", 9.0);
    check_length("2^3^2", 512.0);
    check_length("-2^2", -4.0);
    check_length("2^-1", 0.5);
    check_length("10 - 4 - 3", 3.0);
    check_length("24 / 4 / 3", 2.0);
    check_length("24 / 4 * 3", 18.0);
    check_length("--3", 3.0);
    check_length("1e3 + 1.5e-1", 1000.15);
    check_length("2·3 × 4", 24.0);
    check_length("7 − 2", 5.0);
    check_length("pi", PI);
    check_length("3²", 9.0);
}

#[test]
fn units_are_those_of_the_si() {
    // SI Brochure, 9th edition; inch, foot, pound and ounce by the agreement of 1959.
    check_length("6 mm", 6.0);
    check_length("1 cm", 10.0);
    check_length("1 m", 1000.0);
    check_length("1 in", 25.4);
    check_length("1 ft", 304.8);
    check_length("25 µm", 0.025);
    check("1 kg", Quantity::Mass, 1000.0);
    check("1 lb", Quantity::Mass, 453.592_37);
    check("1 oz", Quantity::Mass, 28.349_523_125);
    check("pi rad", Quantity::Angle, 180.0);
    check("1 rev", Quantity::Angle, 360.0);
    check("45°", Quantity::Angle, 45.0);
    check("1 lbf", Quantity::Force, 4.448_221_615_260_5);
    check("1 Nm", Quantity::Torque, 1000.0);
    check("1 N * 1 m", Quantity::Torque, 1000.0);
    check("2 GPa", Quantity::Pressure, 2000.0);
    check("3 N/mm^2", Quantity::Pressure, 3.0);
    check("1.41 g/cm^3", Quantity::Density, 1410.0);
    check("2700 kg/m³", Quantity::Density, 2700.0);
    check("0.0085 kg/m", Quantity::LinearDensity, 8.5);
    check("54 g*cm^2", Quantity::Inertia, 54.0);
    check("0.2 m/s", Quantity::Speed, 200.0);
    check("9.80665 m/s²", Quantity::Acceleration, 9806.65);
    check("90 %", Quantity::Number, 0.9);
    check("1 kg * 9.80665 m/s^2", Quantity::Force, 9.80665);
    check("30 mm * 0.5 rad", Quantity::Length, 15.0);
}

#[test]
fn fractions_belong_to_their_unit() {
    check_length("1/4 in", 6.35);
    check_length("3 1/4 in", 82.55);
    check_length("1/2 * 3 mm", 1.5);
    check_length("6 mm / 4", 1.5);
    check_length("(1 + 2) mm", 3.0);
    check_length("1 ft + 1/2 in", 317.5);
}

#[test]
fn plain_numbers_take_the_unit_of_what_they_meet() {
    check_length("1 in + 2", 27.4);
    check_length("max(3, 1 in)", 25.4);
    check_length("2 * 3 mm", 6.0);
    check("45° + 5", Quantity::Angle, 50.0);
    check("1 kg + 5", Quantity::Mass, 1005.0);
}

#[test]
fn decimal_commas() {
    check_length("6,5 mm", 6.5);
    check_length("0,125", 0.125);
    check_length("6,5 + 1,25", 7.75);
    check_length("max(6, 5)", 6.0);
    check_length("max(6,5)", 6.0);
    check_length("max(6,5; 7,25)", 7.25);
    check_length("(6,5 + 1) * 2", 15.0);
    check_error("1,000", Quantity::Length, "two ways");
    check_error("6,5,5", Quantity::Length, "decimal sign");
    check_error("6, 5", Quantity::Length, "comma");
}

#[test]
fn functions() {
    check_length("min(3, 2, 5)", 2.0);
    check_length("clamp(7, 1, 5)", 5.0);
    check_length("round(7.26, 0.5)", 7.5);
    check_length("floor(7.26, 0.5)", 7.0);
    check_length("ceil(7.26, 0.5)", 7.5);
    check_length("ceil(2.4, 0.1)", 2.4);
    check_length("round(1 in)", 25.0);
    check_length("abs(-3)", 3.0);
    check_length("sqrt(9 mm^2)", 3.0);
    check_length("hypot(3, 4)", 5.0);
    check_length("10 mm * sin(30)", 5.0);
    check_length("10 mm * cos(60°)", 5.0);
    check_length("tan(pi/4 rad)", 1.0);
    check("asin(0.5)", Quantity::Angle, 30.0);
    check("atan2(1 mm, 1 mm)", Quantity::Angle, 45.0);
    check("exp(ln(5))", Quantity::Number, 5.0);
    check("5 min / 1 s", Quantity::Number, 300.0);
}

#[test]
fn dimensions_are_held_apart() {
    check_error("6 kg", Quantity::Length, "a length is needed here, this is a mass");
    check_error("6 mm", Quantity::Number, "this is a length");
    check_error("6 mm * 2 mm", Quantity::Length, "an area");
    check_error("1 mm + 1 mm^2", Quantity::Length, "cannot add a length and an area");
    check_error("5 % + 1 mm", Quantity::Length, "cannot add");
    check_error("min(1 mm, 1 g)", Quantity::Length, "cannot compare");
    check_error("sin(1 mm)", Quantity::Length, "an angle is needed");
    check_error("2^(1 mm)", Quantity::Length, "exponent");
    check_error("45°", Quantity::Length, "this is an angle");
}

#[test]
fn errors_name_their_place() {
    check_error("1/0", Quantity::Length, "division by zero [2]");
    check_error("0^-1", Quantity::Length, "division by zero");
    check_error("2 wall", Quantity::Length, "a sign is missing before this [3]");
    check_error("2 +", Quantity::Length, "ends where a value should follow [4]");
    check_error("(2", Quantity::Length, "never closed [1]");
    check_error("2)", Quantity::Length, "closes nothing [2]");
    check_error("foo(2)", Quantity::Length, "no function 'foo' [1]");
    check_error("min()", Quantity::Length, "takes 1 to 50 values");
    check_error("2 $ 3", Quantity::Length, "'$' has no meaning");
    check_error("sqrt(-1)", Quantity::Length, "no square root");
    check_error("(-8)^0.5", Quantity::Length, "no such power");
    check_error("ln(0)", Quantity::Number, "logarithm");
    check_error("asin(2)", Quantity::Angle, "no angle");
    check_error("1e400", Quantity::Length, "too large");
    check_error("10^300 * 10^300", Quantity::Length, "too large");
    // As kilograms it can just be written, as grams it cannot.
    check_error("1 kg * 1e308", Quantity::Mass, "too large");
    check_error("clamp(1, 5, 2)", Quantity::Length, "above the greatest");
    check_error("round(3, 0)", Quantity::Length, "must be positive");
    check_error("wall", Quantity::Length, "no shared size 'wall' [1]");
    check_error("2 3", Quantity::Length, "side by side");
    check_error(".", Quantity::Length, "without digits");
}

#[test]
fn every_unit_is_what_the_si_says() {
    // In metres, kilograms, seconds and radians. SI Brochure, 9th edition: prefixes, table 7; minute, hour, degree, tonne,
    // table 8; N = kg·m/s², Pa = N/m², table 4; bar = 1e5 Pa, 8th edition. Inch, foot, pound, ounce: international
    // yard and pound agreement of 1959. Pound-force: the pound times the standard acceleration 9.806 65 m/s².
    let (length, mass, time, angle) = ([1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]);
    let (force, torque, pressure, number) = ([1, 1, -2, 0], [2, 1, -2, 0], [-1, 1, -2, 0], [0, 0, 0, 0]);
    let pound = 0.453_592_37;
    let known: &[(&str, f64, [i16; 4])] = &[
        ("um", 1e-6, length),
        ("µm", 1e-6, length),
        ("μm", 1e-6, length),
        ("mm", 1e-3, length),
        ("cm", 1e-2, length),
        ("dm", 1e-1, length),
        ("m", 1.0, length),
        ("km", 1e3, length),
        ("in", 0.0254, length),
        ("ft", 0.3048, length),
        ("deg", PI / 180.0, angle),
        ("°", PI / 180.0, angle),
        ("rad", 1.0, angle),
        ("mrad", 1e-3, angle),
        ("rev", 2.0 * PI, angle),
        ("mg", 1e-6, mass),
        ("g", 1e-3, mass),
        ("kg", 1.0, mass),
        ("t", 1e3, mass),
        ("lb", pound, mass),
        ("oz", pound / 16.0, mass),
        ("ms", 1e-3, time),
        ("s", 1.0, time),
        ("min", 60.0, time),
        ("h", 3600.0, time),
        ("mN", 1e-3, force),
        ("N", 1.0, force),
        ("kN", 1e3, force),
        ("lbf", pound * 9.806_65, force),
        ("Nmm", 1e-3, torque),
        ("Ncm", 1e-2, torque),
        ("Nm", 1.0, torque),
        ("Pa", 1.0, pressure),
        ("kPa", 1e3, pressure),
        ("MPa", 1e6, pressure),
        ("GPa", 1e9, pressure),
        ("bar", 1e5, pressure),
        ("%", 0.01, number),
    ];
    assert_eq!(known.len(), UNITS.len(), "a unit is missing here or there");
    for (symbol, si, powers) in known {
        let unit = UNITS.iter().find(|unit| unit.symbol == *symbol).unwrap_or_else(|| panic!("{symbol}"));
        // The program counts in millimetres for metres.
        let expected = si * 1000_f64.powi(i32::from(powers[0]));
        let got = unit.numerator / unit.denominator;
        assert!((got - expected).abs() <= 1e-15 * expected, "{symbol}: {got}, not {expected}");
        // Divided by its own base units it is a number.
        let base =
            ["mm", "kg", "s", "rad"].iter().zip(powers).map(|(base, power)| format!("(1 {base})^{power}"));
        let ratio = format!("(1 {symbol}) / ({})", base.collect::<Vec<_>>().join(" * "));
        check(&ratio, Quantity::Number, expected);
    }
}
