//! Tolerances by class: ISO 2768-1 and ISO 286-1.

use std::sync::OnceLock;

use glidewright_motion::plain;
use serde::Deserialize;

use super::general_class::GeneralClass;
use super::rows::{rows, text};
use crate::certainty::Certainty;
use crate::choice::Choice;
use crate::problem::quoted;

/// Upper ends of the size ranges of ISO 2768-1 (mm); the first range starts at 0.5.
const GENERAL_RANGES: [f64; 6] = [3.0, 6.0, 30.0, 120.0, 400.0, 1000.0];
/// Least size ISO 2768-1 speaks of (mm).
const LEAST_GENERAL: f64 = 0.5;
/// Tolerance grades in the table.
const GRADES: [u8; 10] = [5, 6, 7, 8, 9, 10, 11, 12, 13, 14];

fn general_table() -> &'static Vec<(String, Vec<Option<f64>>)> {
    static TABLE: OnceLock<Vec<(String, Vec<Option<f64>>)>> = OnceLock::new();
    TABLE.get_or_init(|| {
        type Row = (String, [Option<f64>; GENERAL_RANGES.len()], Certainty, String);
        rows::<Row>(text::GENERAL).into_iter().map(|(class, widths, ..)| (class, widths.to_vec())).collect()
    })
}

#[derive(Deserialize)]
struct Grades {
    over: f64,
    to: f64,
    micrometres: [f64; GRADES.len()],
}

fn grade_table() -> &'static Vec<Grades> {
    static TABLE: OnceLock<Vec<Grades>> = OnceLock::new();
    TABLE.get_or_init(|| {
        rows::<(f64, f64, [f64; GRADES.len()])>(text::GRADES)
            .into_iter()
            .map(|(over, to, micrometres)| Grades { over, to, micrometres })
            .collect()
    })
}

/// ± limit of a linear size by ISO 2768-1 (mm).
pub(crate) fn general(class: GeneralClass, nominal: f64) -> Result<f64, String> {
    let size = nominal.abs();
    let column = GENERAL_RANGES.iter().position(|&to| size <= to).filter(|_| size >= LEAST_GENERAL);
    let row = general_table().iter().find(|(name, _)| name == class.word());
    column.zip(row).and_then(|(column, (_, widths))| widths.get(column).copied().flatten()).ok_or_else(|| {
        format!("ISO 2768-1 class {} gives no tolerance for {} mm", class.word(), plain(nominal))
    })
}

/// Standard tolerance by ISO 286-1 (mm).
pub(crate) fn grade(grade: u8, nominal: f64) -> Result<f64, String> {
    let size = nominal.abs();
    let column = GRADES.iter().position(|&g| g == grade);
    let row = grade_table().iter().find(|row| size > row.over && size <= row.to);
    column
        .zip(row)
        .and_then(|(column, row)| row.micrometres.get(column))
        .map(|um| um / 1000.0)
        .ok_or_else(|| format!("the table of ISO 286-1 has no IT{grade} for {} mm", plain(nominal)))
}

/// Deviations (lower, upper) of a fit at the zero line or centred on it: H, h, JS or js with a grade (mm).
pub(crate) fn fit(text: &str, nominal: f64) -> Result<(f64, f64), String> {
    let text = text.trim();
    let split = text.find(|c: char| c.is_ascii_digit()).unwrap_or(text.len());
    let (letters, number) = text.split_at(split);
    let unknown = || {
        format!(
            "{} is not a fit known here: write H, h, JS or js with a grade from 5 to 14, as in H8",
            quoted(text)
        )
    };
    let width = grade(number.parse().map_err(|_| unknown())?, nominal)?;
    match letters {
        "H" => Ok((0.0, width)),
        "h" => Ok((-width, 0.0)),
        "JS" | "js" => Ok((-0.5 * width, 0.5 * width)),
        _ => Err(unknown()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_are_read_whole() {
        assert_eq!(general_table().len(), super::super::rows::count(text::GENERAL));
        assert_eq!(grade_table().len(), super::super::rows::count(text::GRADES));
    }

    #[test]
    fn general_tolerances() {
        // ISO 2768-1 table 1 (read in secondary tables).
        let check =
            |class, nominal, expected: Option<f64>| assert_eq!(general(class, nominal).ok(), expected);
        check(GeneralClass::F, 10.0, Some(0.1));
        check(GeneralClass::M, 3.0, Some(0.1));
        check(GeneralClass::M, 3.01, Some(0.1));
        check(GeneralClass::M, 6.0, Some(0.1));
        check(GeneralClass::M, 6.01, Some(0.2));
        check(GeneralClass::M, 30.0, Some(0.2));
        check(GeneralClass::M, 100.0, Some(0.3));
        check(GeneralClass::C, 1000.0, Some(2.0));
        check(GeneralClass::V, 1.0, None);
        check(GeneralClass::M, 0.4, None);
        check(GeneralClass::M, 1000.1, None);
        check(GeneralClass::M, f64::NAN, None);
    }

    #[test]
    fn fits() {
        // ISO 286-1 table 1: IT7 over 18 to 30 mm is 21 µm, IT9 over 10 to 18 mm 43 µm.
        let check =
            |text, nominal, expected: Option<(f64, f64)>| assert_eq!(fit(text, nominal).ok(), expected);
        check("H7", 25.0, Some((0.0, 0.021)));
        check("h9", 18.0, Some((-0.043, 0.0)));
        check("js9", 18.0, Some((-0.0215, 0.0215)));
        check("H7", 18.0, Some((0.0, 0.018)));
        check("g6", 25.0, None);
        check("H99", 25.0, None);
        check("", 25.0, None);
        check("H7", 0.0, None);
    }
}
