//! Paths in a document.

/// Where something stands in a document: field names and the names of things, joined by `/`, e.g.
/// `riders/camera head/stack/nut`.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Path(String);

impl Path {
    /// The path as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Runs `within` with the path one step deeper.
    pub(crate) fn inside<T>(&mut self, name: &str, within: impl FnOnce(&mut Self) -> T) -> T {
        let length = self.0.len();
        if length > 0 {
            self.0.push('/');
        }
        self.0.push_str(name);
        let result = within(self);
        self.0.truncate(length);
        result
    }
}

/// `base/name`, or `name` alone for an empty base.
pub(crate) fn join(base: &str, name: &str) -> String {
    if base.is_empty() { name.to_owned() } else { [base, "/", name].concat() }
}

/// Whether `path` is `base` or below it.
pub(crate) fn is_within(path: &str, base: &str) -> bool {
    base.is_empty() || path.strip_prefix(base).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}
