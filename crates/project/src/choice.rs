//! Fields that hold one of a few words.

/// A field that holds one of a few words.
pub trait Choice {
    /// The word it holds.
    fn word(&self) -> &'static str;
    /// All words it could hold.
    fn words(&self) -> &'static [&'static str];
    /// Takes another word; `false` if it is none of its words.
    fn choose(&mut self, word: &str) -> bool;
}

/// Declares an enum of words, each written as its name in small letters.
macro_rules! choice {
    ($(#[$meta:meta])* $name:ident { $($(#[$doc:meta])* $variant:ident = $word:literal,)* }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
        pub enum $name {
            $($(#[$doc])* #[serde(rename = $word)] $variant,)*
        }

        impl $crate::choice::Choice for $name {
            fn word(&self) -> &'static str {
                match self { $(Self::$variant => $word,)* }
            }
            fn words(&self) -> &'static [&'static str] {
                &[$($word,)*]
            }
            fn choose(&mut self, word: &str) -> bool {
                match word {
                    $($word => *self = Self::$variant,)*
                    _ => return false,
                }
                true
            }
        }
    };
}
pub(crate) use choice;
