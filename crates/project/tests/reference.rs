//! Formulas, Student's t and caliper readings against data made with Python, Pint and SciPy; the script
//! stands beside the data in `tests/reference`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_motion::Spread;
use glidewright_project::Values;
use glidewright_project::quantity::Quantity;
use glidewright_project::tolerance::{Tolerance, student_quantile};

fn rows(text: &str) -> Vec<Vec<String>> {
    csv::Reader::from_reader(text.as_bytes())
        .records()
        .map(|row| row.unwrap().iter().map(str::to_owned).collect())
        .collect()
}

#[test]
fn ten_thousand_formulas() {
    let rows = rows(include_str!("reference/formulas.csv"));
    assert!(rows.len() >= 10_000);
    let values = Values::default();
    let mut worst = 0.0_f64;
    // Sizes beyond what is calculated with are refused.
    let mut beyond = 0;
    for row in &rows {
        let quantity = match row[0].as_str() {
            "length" => Quantity::Length,
            "mass" => Quantity::Mass,
            "angle" => Quantity::Angle,
            _ => Quantity::Number,
        };
        let expected: f64 = row[2].parse().unwrap();
        let got = match values.try_formula(&row[1], quantity) {
            Ok(got) => got,
            Err(error) => {
                assert!(error.message.contains("beyond anything"), "{}: {error:?}", row[1]);
                beyond += 1;
                continue;
            }
        };
        let error = (got - expected).abs() / expected.abs().max(1e-9);
        // The trees were kept only where no more than four digits cancel.
        assert!(error < 1e-9, "{}: {got}, not {expected}", row[1]);
        worst = worst.max(error);
    }
    assert!(worst > 0.0, "rounding must show somewhere: are the values compared at all?");
    assert!(beyond * 20 < rows.len(), "{beyond} refused");
}

#[test]
fn quantiles_of_students_t() {
    for row in rows(include_str!("reference/student.csv")) {
        let expected: f64 = row[2].parse().unwrap();
        let got = student_quantile(row[0].parse().unwrap(), row[1].parse().unwrap());
        // The closed form subtracts nearly equal numbers for many degrees of freedom.
        assert!((got - expected).abs() < 1e-10 * expected, "{row:?}: {got}");
    }
}

#[test]
fn readings_of_a_caliper() {
    for row in rows(include_str!("reference/readings.csv")) {
        let number = |i: usize| row[i].parse::<f64>().unwrap();
        let readings: Vec<f64> = row[0].split(' ').map(|r| r.parse().unwrap()).collect();
        let count = readings.len();
        let measured = Tolerance::Measured { readings, resolution: number(1) }.about(0.0).unwrap();
        let Spread::Measured { deviation, count: counted, half_width, .. } = measured.spread else {
            panic!()
        };
        let near = |got: f64, expected: f64| {
            assert!(
                (got - expected).abs() < 1e-9 * expected.abs().max(1.0),
                "{row:?}: {got}, not {expected}"
            );
        };
        near(measured.nominal, number(2));
        near(deviation, number(3));
        near(half_width, number(4));
        assert_eq!(counted as usize, count);
    }
}
