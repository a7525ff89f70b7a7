//! Who approved a unit's checklists, over what, and whether that still holds.
//!
//! An approval is an entry in `approvals.json` of the unit's folder: who, when, why, until when, and
//! the fingerprint of every file that went in. It holds for the folder as a whole, because limits,
//! local facts and safeguards are shared and lists follow one another: when any file differs, is
//! added or taken away, everything is a draft again. Each entry ends with a seal over itself and the
//! seal before it, so that a slip of an editor is seen; it is no protection against somebody who
//! means to forge one.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::model::{Library, Waiver};
use super::shelf::{Shelf, fingerprint};

/// The file in the unit's folder.
pub const FILE: &str = "approvals.json";

/// One approval.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Approval {
    /// Who approved: initials and role.
    pub by: String,
    /// When, as RFC 3339.
    pub at: String,
    /// Why, in one line.
    pub because: String,
    /// The day by which somebody must look at it again.
    #[serde(with = "day")]
    pub review_by: NaiveDate,
    /// Who wrote what was approved: initials and role.
    pub authors: Vec<String>,
    /// What was waived when it was approved.
    pub waivers: Vec<String>,
    /// What the checks came to, in one line each.
    pub checks: Vec<String>,
    /// The version of the program that checked.
    pub program: String,
    /// The fingerprint of every file that went in, by its path.
    pub files: BTreeMap<String, String>,
    /// SHA-256 over everything above and the seal of the entry before.
    pub seal: String,
}

/// A day in a file, like 2027-06-30.
mod day {
    use chrono::NaiveDate;
    use serde::{Deserialize as _, Deserializer, Serializer, de::Error as _};

    pub(super) fn serialize<S: Serializer>(day: &NaiveDate, out: S) -> Result<S::Ok, S::Error> {
        out.serialize_str(&day.to_string())
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<NaiveDate, D::Error> {
        let text = String::deserialize(from)?;
        text.parse().map_err(D::Error::custom)
    }
}

/// Every approval of a unit, oldest first.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Approvals(pub Vec<Approval>);

/// Why the file of approvals cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unreadable {
    /// It is not what the program writes.
    #[error("it is not what the program writes: {0}")]
    NotJson(String),
    /// An entry is not as it was written.
    #[error("entry {0} is not as it was written")]
    Broken(usize),
}

impl Approvals {
    /// Reads the file.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn read(text: &str) -> Result<Self, Unreadable> {
        let all: Vec<Approval> =
            serde_json::from_str(text).map_err(|why| Unreadable::NotJson(why.to_string()))?;
        let mut before = String::new();
        for (index, one) in all.iter().enumerate() {
            if one.seal != seal(one, &before) {
                return Err(Unreadable::Broken(index + 1));
            }
            before.clone_from(&one.seal);
        }
        Ok(Self(all))
    }

    /// Adds an approval, with its seal.
    pub fn add(&mut self, mut approval: Approval) {
        let before = self.0.last().map_or("", |last| last.seal.as_str());
        approval.seal = seal(&approval, before);
        self.0.push(approval);
    }

    /// The file.
    ///
    /// # Errors
    /// The words of the JSON writer.
    pub fn text(&self) -> Result<String, String> {
        let text = serde_json::to_string_pretty(&self.0).map_err(|why| why.to_string())?;
        Ok(format!("{text}\n"))
    }
}

/// The seal of an entry over the one before.
fn seal(approval: &Approval, before: &str) -> String {
    let bare = Approval {
        seal: before.to_owned(),
        ..approval.clone()
    };
    // Writing these plain fields cannot fail; if it did, no seal would fit.
    fingerprint(&serde_json::to_vec(&bare).unwrap_or_default())
}

/// The fingerprint of every file that goes into an approval, by its path.
#[must_use]
pub fn files(shelf: &Shelf) -> BTreeMap<String, String> {
    let library = shelf.library_files();
    let rules = shelf
        .files()
        .filter(|(path, _)| path.ends_with("/safeguards.yaml"));
    library
        .chain(rules)
        .map(|(path, bytes)| (path.to_owned(), fingerprint(bytes)))
        .collect()
}

/// How a unit's checklists stand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Standing {
    /// As they are shipped. No unit has approved them.
    Shipped,
    /// A unit's own, and never approved.
    Draft,
    /// Changed since they were approved.
    Changed {
        /// Who had approved them.
        by: String,
        /// On what day.
        on: String,
        /// What is other now.
        files: Vec<String>,
    },
    /// A waiver with which they were approved has ended.
    WaiverEnded {
        /// What was waived.
        what: String,
        /// Its last day.
        until: NaiveDate,
    },
    /// The file of approvals cannot be used.
    Unreadable(Unreadable),
    /// Approved, and the day has passed by which they were to be looked at again.
    PastReview {
        /// Who approved them.
        by: String,
        /// On what day.
        on: String,
        /// The day that has passed.
        review_by: NaiveDate,
    },
    /// Approved.
    Approved {
        /// Who approved them.
        by: String,
        /// On what day.
        on: String,
        /// The day by which they are to be looked at again.
        review_by: NaiveDate,
    },
}

impl Standing {
    /// How the checklists of a shelf stand on a day. `program` is the version of the program.
    #[must_use]
    pub fn of(shelf: &Shelf, library: &Library, program: &str, day: NaiveDate) -> Self {
        let text = shelf.file(&format!("local/{FILE}"));
        let approvals = match text
            .map(String::from_utf8_lossy)
            .as_deref()
            .map(Approvals::read)
        {
            None => Approvals::default(),
            Some(Ok(approvals)) => approvals,
            Some(Err(why)) => return Self::Unreadable(why),
        };
        let Some(last) = approvals.0.last() else {
            return if is_units_own(shelf) {
                Self::Draft
            } else {
                Self::Shipped
            };
        };
        let (by, on) = (last.by.clone(), last.at.chars().take(10).collect());
        let mut changed = differences(&last.files, &files(shelf));
        if last.program != program {
            changed.push(format!("the program ({program}, was {})", last.program));
        }
        if !changed.is_empty() {
            return Self::Changed {
                by,
                on,
                files: changed,
            };
        }
        if let Some(ended) = library.waivers().iter().find(|waiver| !waiver.acts_on(day)) {
            return Self::WaiverEnded {
                what: ended.what.to_string(),
                until: ended.until,
            };
        }
        let review_by = last.review_by;
        if day > review_by {
            Self::PastReview { by, on, review_by }
        } else {
            Self::Approved { by, on, review_by }
        }
    }

    /// Whether it counts as approved; past its review it still does.
    #[must_use]
    pub const fn is_approved(&self) -> bool {
        matches!(self, Self::Approved { .. } | Self::PastReview { .. })
    }

    /// Whether it is approved and the day of its review has passed.
    #[must_use]
    pub const fn is_past_review(&self) -> bool {
        matches!(self, Self::PastReview { .. })
    }

    /// How it stands, for records and printouts. A draft begins with "draft", one past its review
    /// with "past review".
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Shipped => "shipped, not approved here".to_owned(),
            Self::Draft => "draft, not approved".to_owned(),
            Self::Changed { by, on, .. } => {
                format!("draft, changed since {by} approved it on {on}")
            }
            Self::WaiverEnded { what, until } => {
                format!("draft, the waiver for {what} ended on {until}")
            }
            Self::Unreadable(why) => format!("draft, its approval cannot be read: {why}"),
            Self::PastReview { by, on, review_by } => {
                format!("past review since {review_by}; approved by {by} on {on}")
            }
            Self::Approved { by, on, review_by } => {
                format!("approved by {by} on {on}, to be looked at again by {review_by}")
            }
        }
    }

    /// What every screen says of it, in few words; nothing when there is nothing to warn of.
    #[must_use]
    pub fn notice(&self) -> Option<String> {
        Some(match self {
            Self::Shipped | Self::Approved { .. } => return None,
            Self::Draft => "Draft, not approved".to_owned(),
            Self::Changed { .. } => "Draft, changed since it was approved".to_owned(),
            Self::WaiverEnded { .. } => "Draft, a waiver has ended".to_owned(),
            Self::Unreadable(_) => "Draft, its approval cannot be read".to_owned(),
            Self::PastReview { review_by, .. } => format!("Past review since {review_by}"),
        })
    }
}

/// Whether the unit has lists, adaptations, safeguards, words or waivers of its own.
fn is_units_own(shelf: &Shelf) -> bool {
    let own = shelf
        .files()
        .filter_map(|(path, _)| path.strip_prefix("local/"));
    own.into_iter().any(|path| {
        let in_lists = path
            .strip_prefix("checklists/")
            .is_some_and(|rest| !rest.contains('/'));
        let adapts = path
            .strip_prefix("adaptations/")
            .is_some_and(|rest| !rest.contains('/'));
        in_lists || adapts || path == "safeguards.yaml"
    })
}

/// Paths of which one side has another fingerprint, or none.
fn differences(then: &BTreeMap<String, String>, now: &BTreeMap<String, String>) -> Vec<String> {
    let mut paths: Vec<String> = now
        .iter()
        .filter(|(path, hash)| then.get(*path) != Some(hash))
        .map(|(path, _)| match then.contains_key(path) {
            true => path.clone(),
            false => format!("{path} (new)"),
        })
        .collect();
    let gone = then.keys().filter(|path| !now.contains_key(*path));
    paths.extend(gone.map(|path| format!("{path} (gone)")));
    paths
}

/// The waivers that act on a day, in words for screens.
#[must_use]
pub fn waivers_on(library: &Library, day: NaiveDate) -> Vec<&Waiver> {
    let waivers = library.waivers().iter();
    waivers.filter(|waiver| waiver.acts_on(day)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn approval(by: &str) -> Approval {
        Approval {
            by: by.to_owned(),
            at: "2026-03-02T04:00:00+00:00".to_owned(),
            because: "first version".to_owned(),
            review_by: NaiveDate::from_ymd_opt(2027, 3, 1).unwrap(),
            authors: vec!["AB, educator".to_owned()],
            waivers: Vec::new(),
            checks: Vec::new(),
            program: "0.1.0".to_owned(),
            files: BTreeMap::new(),
            seal: String::new(),
        }
    }

    #[test]
    fn a_changed_entry_or_a_missing_one_breaks_the_seals() {
        let mut all = Approvals::default();
        all.add(approval("EF, manager"));
        all.add(approval("GH, manager"));
        let text = all.text().unwrap();
        assert_eq!(Approvals::read(&text).unwrap(), all);
        let changed = text.replacen("EF, manager", "IJ, manager", 1);
        assert_eq!(Approvals::read(&changed), Err(Unreadable::Broken(1)));
        let later = text.replacen("2027-03-01", "2037-03-01", 2);
        assert_eq!(Approvals::read(&later), Err(Unreadable::Broken(1)));
        let without_first = Approvals(all.0[1..].to_vec()).text().unwrap();
        assert_eq!(Approvals::read(&without_first), Err(Unreadable::Broken(1)));
        assert!(matches!(Approvals::read("{}"), Err(Unreadable::NotJson(_))));
        assert_eq!(Approvals::read("[]").unwrap(), Approvals::default());
    }

    #[test]
    fn what_is_other_new_or_gone_is_named() {
        let map = |pairs: &[(&str, &str)]| -> BTreeMap<String, String> {
            let pairs = pairs.iter();
            pairs
                .map(|(path, hash)| ((*path).to_owned(), (*hash).to_owned()))
                .collect()
        };
        let then = map(&[("a", "1"), ("b", "2"), ("c", "3")]);
        let now = map(&[("a", "1"), ("b", "9"), ("d", "4")]);
        assert_eq!(differences(&then, &now), ["b", "d (new)", "c (gone)"]);
        assert!(differences(&then, &then).is_empty());
    }
}
