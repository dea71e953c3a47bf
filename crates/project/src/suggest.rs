//! Near names for misspelt ones.

use crate::problem::quoted;

/// Longest name worth comparing (characters); the comparison takes the product of two lengths.
const LONGEST_COMPARED: usize = 80;
/// Least similarity (0 to 1) for a name to be offered.
const LEAST_SIMILARITY: f64 = 0.6;
/// Most names compared; a document with more is no one's handwriting.
const MOST_COMPARED: usize = 5000;

/// The name most like `wanted`, if one is like it at all.
pub fn nearest<'a>(wanted: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if wanted.chars().nth(LONGEST_COMPARED).is_some() {
        return None;
    }
    let wanted = wanted.to_lowercase();
    let length = wanted.chars().count();
    // Each character more or less is a difference.
    let may_be_like = |name: &str| {
        let other = name.chars().count();
        other <= LONGEST_COMPARED
            && length.abs_diff(other) as f64 <= (1.0 - LEAST_SIMILARITY) * length.max(other) as f64
    };
    names
        .into_iter()
        .take(MOST_COMPARED)
        .filter(|name| name.len() <= 4 * LONGEST_COMPARED && may_be_like(name))
        .map(|name| (strsim::normalized_damerau_levenshtein(&wanted, &name.to_lowercase()), name))
        .filter(|(similarity, _)| *similarity >= LEAST_SIMILARITY)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, name)| name)
}

/// "did you mean 'x'?", or else the first few names there are, or nothing.
pub(crate) fn suggestion<'a>(wanted: &str, names: impl IntoIterator<Item = &'a str> + Clone) -> String {
    if let Some(name) = nearest(wanted, names.clone()) {
        return format!("did you mean {}?", quoted(name));
    }
    let mut names = names.into_iter();
    let shown: Vec<String> = names.by_ref().take(6).map(quoted).collect();
    if shown.is_empty() {
        return "check the name".to_owned();
    }
    let more = if names.next().is_some() { " …" } else { "" };
    format!("there are {}{more}", shown.join(", "))
}
