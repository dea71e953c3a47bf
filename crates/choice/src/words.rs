//! Shares and counts as a reader takes them in.

/// A share (0 to 1) in per cent, with as many decimals as tell it from none and all.
///
/// ```
/// use glidewright_choice::percent;
/// assert_eq!(["44 %", "0.004 %", "99.98 %"], [0.437, 0.000_036, 0.999_81].map(percent).each_ref().map(String::as_str));
/// ```
pub fn percent(share: f64) -> String {
    let percent = 100.0 * share;
    let decimals = match percent.min(100.0 - percent) {
        rest if rest <= 0.0 || rest >= 10.0 => 0,
        rest if rest >= 1.0 => 1,
        rest if rest >= 0.1 => 2,
        // One digit that is not 0.
        rest => (-rest.log10().floor()).clamp(2.0, 6.0) as usize,
    };
    format!("{percent:.decimals$} %")
}

/// A count in groups of three digits.
///
/// ```
/// assert_eq!(glidewright_choice::grouped(1_234_567), "1 234 567");
/// ```
pub fn grouped(count: u64) -> String {
    let digits = count.to_string();
    let mut out = String::new();
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            out.push(' ');
        }
        out.push(digit);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_and_shares_read_well() {
        assert_eq!([7, 1000, 1_234_567].map(grouped), ["7", "1 000", "1 234 567"]);
        let shares = [0.0, 1.0, 0.437_1, 0.083_24, 0.003_21, 0.000_036, 3.8e-7, 0.999_81].map(percent);
        let words = ["0 %", "100 %", "44 %", "8.3 %", "0.32 %", "0.004 %", "0.00004 %", "99.98 %"];
        assert_eq!(shares, words);
    }
}
