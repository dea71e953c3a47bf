//! One thing to tell the person, until they have seen it.

/// A short message.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// What there is to say.
    pub text: String,
    /// Whether something did not work.
    pub is_trouble: bool,
}

impl Notice {
    /// Something done.
    pub fn done(text: impl Into<String>) -> Self {
        Self { text: text.into(), is_trouble: false }
    }

    /// Something that did not work.
    pub fn trouble(text: impl Into<String>) -> Self {
        Self { text: text.into(), is_trouble: true }
    }
}
