//! Identifiers as types, so that a step can never stand where a list is meant.

use std::fmt;
use std::sync::Arc;

/// What is wrong with a text that was meant to be a name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "\"{text}\" is not a name: use small letters, digits and single hyphens, beginning with a letter"
)]
pub struct NotAName {
    /// The text as it was given.
    pub text: String,
}

/// True for small letters, digits and single hyphens, beginning with a letter, at most 60 long.
fn is_name(text: &str) -> bool {
    text.len() <= 60
        && text.starts_with(|first: char| first.is_ascii_lowercase())
        && !text.ends_with('-')
        && !text.contains("--")
        && text
            .chars()
            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
}

/// Closed sets of words: each value with the word that files, screens and records use for it.
macro_rules! words {
    ($($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal,)* })*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$vdoc])* $variant,)* }

        impl $name {
            /// Every value, in the order in which they are offered.
            pub const ALL: &[Self] = &[$(Self::$variant,)*];

            /// The words used on screen, in files and in records.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)* }
            }

            /// Reads those words. `None` when unknown.
            #[must_use]
            pub fn parse(word: &str) -> Option<Self> {
                match word.trim() { $($word => Some(Self::$variant),)* _ => None }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.word())
            }
        }
    )*};
}
pub(crate) use words;

macro_rules! name_types {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(Arc<str>);

        impl $name {
            /// Takes a text as a name.
            ///
            /// # Errors
            /// [`NotAName`] when it holds anything but small letters, digits and single hyphens.
            pub fn new(text: &str) -> Result<Self, NotAName> {
                if is_name(text) {
                    Ok(Self(text.into()))
                } else {
                    Err(NotAName { text: text.to_owned() })
                }
            }

            /// The name as text.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(&self.0)
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{}({})", stringify!($name), self.0)
            }
        }

        impl std::borrow::Borrow<str> for $name {
            fn borrow(&self) -> &str {
                &self.0
            }
        }
    )*};
}

name_types! {
    /// A checklist, named as its file.
    ListName;
    /// A step within one checklist.
    StepName;
    /// Anything that `{name}` or `when` may speak of: a local fact, a limit, a drain fact, a remembered answer.
    FactName;
    /// Something opened that must be closed or handed over, such as a clamp that is on.
    DutyName;
    /// A source in a checklist's head.
    SourceName;
    /// A tag on a step, by which safeguards find it.
    Tag;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_small_letters_digits_and_single_hyphens() {
        for good in ["no-swing", "a", "step-2", "x9"] {
            assert!(ListName::new(good).is_ok(), "{good}");
        }
        for bad in [
            "",
            "No-swing",
            "2-step",
            "a--b",
            "a-",
            "a b",
            "é",
            "a_b",
            &"a".repeat(61),
        ] {
            assert!(ListName::new(bad).is_err(), "{bad}");
        }
    }
}
