//! Identifiers that sort by the time at which they were made (UUID version 7, RFC 9562).

use std::fmt;

use uuid::{NoContext, Timestamp, Uuid};

use crate::moment::Moment;

/// A text that is not one of these identifiers.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("\"{text}\" is not an identifier: it has 32 hexadecimal digits in groups of 8-4-4-4-12")]
pub struct NotAnId {
    /// The text as it was given.
    pub text: String,
}

/// A new identifier made at that moment. Moments before 1970 count as 1970.
fn made_at(now: Moment) -> Uuid {
    let seconds = u64::try_from(now.timestamp()).unwrap_or(0);
    let nanos = now.timestamp_subsec_nanos().min(999_999_999);
    Uuid::new_v7(Timestamp::from_unix(NoContext, seconds, nanos))
}

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(Uuid);

        impl $name {
            /// Makes a new one; its first digits tell the moment, the rest is random.
            #[must_use]
            pub fn new(now: Moment) -> Self {
                Self(made_at(now))
            }

            /// Reads one as it is shown.
            ///
            /// # Errors
            /// [`NotAnId`] for anything else, other spellings of the same number included.
            pub fn parse(text: &str) -> Result<Self, NotAnId> {
                match Uuid::try_parse(text) {
                    Ok(id) if id.hyphenated().encode_lower(&mut Uuid::encode_buffer()) == text => Ok(Self(id)),
                    _ => Err(NotAnId { text: text.to_owned() }),
                }
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(&self.0.to_string())
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{}({})", stringify!($name), self.0)
            }
        }
    )*};
}

ids! {
    /// One entry of the journal.
    EntryId;
    /// One drain: one tube in one patient.
    DrainId;
    /// One walk.
    WalkId;
    /// One run of the program: what holds a walk.
    SessionId;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_identifier_begins_with_the_milliseconds_of_its_moment() {
        // 1645557742000 ms is 017F22E2-79B0: the example of RFC 9562, appendix A.6 (from memory).
        let now = Moment::parse_from_rfc3339("2022-02-22T14:22:22-05:00").unwrap();
        let id = EntryId::new(now).to_string();
        assert!(id.starts_with("017f22e2-79b0-7"), "{id}");
        assert_eq!(EntryId::parse(&id).unwrap().to_string(), id);
        assert_ne!(EntryId::new(now), EntryId::new(now));
    }

    #[test]
    fn other_spellings_are_refused() {
        let good = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f";
        assert!(WalkId::parse(good).is_ok());
        for bad in ["", "x", &good.to_uppercase(), &good.replace('-', "")] {
            assert!(WalkId::parse(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_moment_before_1970_makes_an_identifier_too() {
        let early = Moment::parse_from_rfc3339("1931-01-01T00:00:00Z").unwrap();
        assert!(
            DrainId::new(early)
                .to_string()
                .starts_with("00000000-0000-7")
        );
    }
}
