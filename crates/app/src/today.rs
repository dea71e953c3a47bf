//! Today's date, for pictures that carry it.

use jiff::Zoned;

/// The date where the person is, as ISO 8601 writes it: "2026-01-31".
pub fn today() -> String {
    Zoned::now().date().to_string()
}

/// A date typed by a person, in the same form.
///
/// # Errors
/// When it is none.
pub fn dated(text: &str) -> Result<String, String> {
    let date: Result<jiff::civil::Date, _> = text.trim().parse();
    date.map(|date| date.to_string()).map_err(|_| format!("{text:?} is no date; write 2026-01-31"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_written_as_iso_8601_says() {
        assert_eq!(dated(" 2026-01-31 "), Ok("2026-01-31".to_owned()));
        assert!(["", "31.1.2026", "2026-02-30", "soon"].into_iter().all(|text| dated(text).is_err()));
        assert_eq!(dated(&today()), Ok(today()));
    }
}
