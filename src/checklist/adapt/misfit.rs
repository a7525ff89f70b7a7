//! What can be wrong with an adaptation, and the sentences that say so.

use crate::checklist::problem::{Kind, Severity};

/// Where something stands in another file than the one that is told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Elsewhere {
    /// The file.
    pub file: String,
    /// The line, counted from 1.
    pub line: usize,
}

impl std::fmt::Display for Elsewhere {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} line {}", self.file, self.line)
    }
}

/// What is wrong with an adaptation.
#[derive(Debug, Clone, PartialEq, Eq)]
#[expect(
    missing_docs,
    reason = "the fields are the names, words and places at stake, named for what they are"
)]
pub enum Misfit {
    /// The file is named after another list than the one it adapts.
    NameNotFile { name: String, stem: String },
    /// There is no shipped list of that name.
    NoSuchList {
        name: String,
        nearest: Option<String>,
    },
    /// The unit has a whole list of that name as well.
    TwoVersions { name: String },
    /// More changes than are read.
    TooManyChanges { most: usize },
    /// An entry that does not say what it does.
    NoAction,
    /// An entry that does two things.
    SeveralActions { first: String, second: String },
    /// A change that sets and drops nothing.
    ChangesNothing,
    /// A change of a step into another kind of step.
    OtherKind { step: String, is: String },
    /// A key to be dropped that the step does not have.
    NoSuchKey { step: String, key: String },
    /// A new step with the name of one that is there.
    StepTaken { step: String },
    /// Which way out of a step is meant has to be said.
    WhichWay { step: String, ways: Vec<String> },
    /// A way out that the step does not have.
    NoSuchWay {
        step: String,
        way: String,
        ways: Vec<String>,
    },
    /// A way out through another list, on which no step can be put.
    WayUses { step: String, way: String },
    /// The shipped list has moved on. Every change still fits unless it is told apart.
    BaseMoved {
        list: String,
        from: String,
        to: String,
        fits: usize,
        changes: usize,
        moved: Vec<String>,
    },
    /// The shipped list has moved on, and how it was then is not known.
    BaseNotKept {
        list: String,
        file: String,
        version: String,
        hash: String,
    },
    /// What a change was written over says something else now.
    MovedBelow {
        step: String,
        key: String,
        was: String,
        now: String,
        then_at: Elsewhere,
        now_at: Option<Elsewhere>,
    },
    /// A limit is not what the change says it was.
    LimitMoved {
        name: String,
        was: String,
        now: String,
    },
    /// A limit that would act later.
    ActsLater {
        name: String,
        shipped: String,
        own: String,
        direction: &'static str,
    },
    /// There is no limit of that name.
    NoSuchLimit {
        name: String,
        nearest: Option<String>,
    },
    /// A limit or a local fact that is set in two places.
    SetTwice { name: String, first: String },
    /// Words that stay as they were approved.
    LockedWords {
        list: String,
        step: String,
        tag: String,
        key: String,
        was: String,
        now: Option<String>,
    },
    /// Something is let through by a waiver.
    Waived {
        what: String,
        who: String,
        until: String,
    },
    /// What was let through by a waiver that has ended.
    WaiverEnded {
        what: String,
        ended: String,
        strict: bool,
    },
    /// A waiver of something that cannot be waived.
    NotWaivable,
    /// What an adaptation makes of the shipped list is wrong.
    InResult { inner: Box<Kind>, at: Elsewhere },
}

impl Misfit {
    /// Whether it keeps the checklists from being used.
    #[must_use]
    pub const fn severity(&self) -> Severity {
        match self {
            Self::BaseMoved { .. } | Self::Waived { .. } => Severity::Warning,
            Self::WaiverEnded { strict: false, .. } => Severity::Warning,
            _ => Severity::Error,
        }
    }

    /// A short name that stays the same when the wording changes.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NameNotFile { .. } => "adaptation-name",
            Self::NoSuchList { .. } => "adapts-no-list",
            Self::TwoVersions { .. } => "two-versions",
            Self::TooManyChanges { .. } => "too-many-changes",
            Self::NoAction => "no-action",
            Self::SeveralActions { .. } => "several-actions",
            Self::ChangesNothing => "changes-nothing",
            Self::OtherKind { .. } => "other-kind",
            Self::NoSuchKey { .. } => "no-such-key",
            Self::StepTaken { .. } => "step-taken",
            Self::WhichWay { .. } => "which-way",
            Self::NoSuchWay { .. } => "no-such-way",
            Self::WayUses { .. } => "way-uses",
            Self::BaseMoved { .. } => "base-moved",
            Self::BaseNotKept { .. } => "base-not-kept",
            Self::MovedBelow { .. } => "no-longer-fits",
            Self::LimitMoved { .. } => "limit-moved",
            Self::ActsLater { .. } => "acts-later",
            Self::NoSuchLimit { .. } => "no-such-limit",
            Self::SetTwice { .. } => "set-twice",
            Self::LockedWords { .. } => "locked-words",
            Self::Waived { .. } => "waived",
            Self::WaiverEnded { .. } => "waiver-ended",
            Self::NotWaivable => "not-waivable",
            Self::InResult { .. } => "in-result",
        }
    }

    /// What is wrong, in one sentence.
    #[must_use]
    pub fn message(&self) -> String {
        match self {
            Self::NameNotFile { name, stem } => {
                format!("this file is named {stem}, and adapts {name}")
            }
            Self::NoSuchList { name, .. } => format!("there is no shipped list \"{name}\""),
            Self::TwoVersions { name } => format!(
                "there is an adaptation of {name}, and a whole list {name} in checklists/ as well"
            ),
            Self::TooManyChanges { most } => format!("here are more than {most} changes"),
            Self::NoAction => "this entry does not say what it changes".to_owned(),
            Self::SeveralActions { first, second } => {
                format!("this entry is both \"{first}\" and \"{second}\"")
            }
            Self::ChangesNothing => "this change sets and drops nothing".to_owned(),
            Self::OtherKind { step, is } => {
                format!("{step} is a step of kind {is}; a change cannot make another kind of it")
            }
            Self::NoSuchKey { step, key } => format!("the step {step} has no key \"{key}\""),
            Self::StepTaken { step } => format!("there is a step {step} already"),
            Self::WhichWay { step, .. } => format!("{step} has several ways out"),
            Self::NoSuchWay { step, way, .. } => format!("{step} has no way out \"{way}\""),
            Self::WayUses { step, way } => {
                format!("the way \"{way}\" of {step} leads through another list")
            }
            Self::BaseMoved {
                list,
                from,
                to,
                fits,
                changes,
                moved,
            } => {
                let what = if moved.is_empty() {
                    String::new()
                } else {
                    format!("; other there now: {}", moved.join(", "))
                };
                format!(
                    "the shipped list {list} has moved on from {from} to {to}: {fits} of {changes} changes still fit{what}"
                )
            }
            Self::BaseNotKept { list, version, .. } => format!(
                "the shipped list {list} is {version} now, and how it was when this was written is not kept"
            ),
            Self::InResult { inner, at } => {
                format!("with this change, at {at}: {}", said(inner))
            }
            other => other.message_of_rules(),
        }
    }

    fn message_of_rules(&self) -> String {
        match self {
            Self::MovedBelow {
                step,
                key,
                was,
                now,
                then_at,
                now_at,
            } => {
                let now_at = now_at
                    .as_ref()
                    .map_or_else(String::new, |at| format!(" ({at})"));
                format!(
                    "this change no longer fits: {key} of {step} was \"{was}\" ({then_at}) and is \"{now}\" now{now_at}"
                )
            }
            Self::LimitMoved { name, was, now } => {
                format!("this change no longer fits: {name} is {now}, not {was}")
            }
            Self::ActsLater {
                name, shipped, own, ..
            } => format!("{name} would act later: {own}, and the shipped limit is {shipped}"),
            Self::NoSuchLimit { name, .. } => format!("there is no limit \"{name}\""),
            Self::SetTwice { name, .. } => format!("{name} is set a second time"),
            Self::LockedWords {
                list,
                step,
                tag,
                key,
                was,
                now,
            } => match now {
                Some(now) => format!(
                    "{key} of {list}/{step} stays as it was approved, because the step is tagged {tag}: \"{was}\", not \"{now}\""
                ),
                None => format!("{list}/{step} stays in the list, because it is tagged {tag}"),
            },
            Self::Waived { what, who, until } => {
                format!("let through by a waiver: {what}, by {who}, to the end of {until}")
            }
            Self::WaiverEnded { what, ended, .. } => {
                format!("the waiver for {what} ended on {ended} and acts no longer")
            }
            Self::NotWaivable => "this says nothing that can be waived".to_owned(),
            _ => String::new(),
        }
    }

    /// What to do about it, if there is something to say.
    #[must_use]
    pub fn help(&self) -> Option<String> {
        Some(match self {
            Self::NameNotFile { name, .. } => format!("name the file {name}.yaml"),
            Self::NoSuchList { nearest, .. } => match nearest {
                Some(near) => format!("perhaps: {near}"),
                None => "a list of your own is written whole, in checklists/".to_owned(),
            },
            Self::TwoVersions { name } => {
                format!("keep one: take away adaptations/{name}.yaml, or checklists/{name}.yaml")
            }
            Self::TooManyChanges { .. } => {
                "write a whole list of your own, in checklists/".to_owned()
            }
            Self::NoAction => "begin it with change, add, remove, limit or fact".to_owned(),
            Self::SeveralActions { .. } => "write an entry for each".to_owned(),
            Self::ChangesNothing => {
                "say below it what is new, as \"set: {why: …}\", or \"drop: [why]\"".to_owned()
            }
            Self::OtherKind { step, .. } => {
                format!("add a new step, and remove {step} with \"instead:\"")
            }
            Self::NoSuchKey { .. } => "take it out of \"drop\"".to_owned(),
            Self::StepTaken { .. } => "give the new step another name".to_owned(),
            Self::WhichWay { ways, .. } => {
                format!(
                    "say which, as \"way: {}\"; there are: {}",
                    example(ways),
                    ways.join(" · ")
                )
            }
            Self::NoSuchWay { ways, .. } => format!("there are: {}", ways.join(" · ")),
            Self::WayUses { .. } => {
                "write the new way with \"change\" and \"set\" instead".to_owned()
            }
            Self::BaseMoved {
                list,
                fits,
                changes,
                ..
            } if fits == changes => format!(
                "read the new list, then set the adaptation on it: tubeside local adapt {list}"
            ),
            Self::BaseMoved { list, .. } => format!(
                "correct the changes that are told below, then: tubeside local adapt {list}"
            ),
            Self::BaseNotKept {
                file,
                version,
                hash,
                ..
            } => format!(
                "put {file} back; or compare each change with the list as it is now, then write \"base: {version}\" and \"base_hash: {hash}\""
            ),
            Self::InResult { inner, .. } => return inner_help(inner),
            other => return other.help_of_rules(),
        })
    }

    fn help_of_rules(&self) -> Option<String> {
        Some(match self {
            Self::MovedBelow { .. } => {
                "decide again: write the change over what it says now, or take the change out"
                    .to_owned()
            }
            Self::LimitMoved { now, .. } => {
                format!("decide again; if the change stays, write \"was: {now}\"")
            }
            Self::ActsLater {
                direction, name, ..
            } => format!(
                "only a {direction} number acts earlier; another needs a waiver for the limit {name} in waivers.yaml"
            ),
            Self::NoSuchLimit { nearest, .. } => match nearest {
                Some(near) => format!("perhaps: {near}"),
                None => "limits stand in limits.yaml of the shipped lists".to_owned(),
            },
            Self::SetTwice { first, .. } => format!("keep one; the other is in {first}"),
            Self::LockedWords { list, step, .. } => format!(
                "leave it as it is; anything else needs a waiver for the words {list}/{step} in waivers.yaml"
            ),
            Self::WaiverEnded { .. } => {
                "put back what was shipped, or have it waived anew, with a new day".to_owned()
            }
            Self::NotWaivable => "begin it with safeguard, words (LIST/STEP) or limit".to_owned(),
            _ => return None,
        })
    }
}

/// One of the ways, to show how it is written.
fn example(ways: &[String]) -> String {
    ways.last().cloned().unwrap_or_default()
}

fn said(kind: &Kind) -> String {
    kind.message()
}

fn inner_help(kind: &Kind) -> Option<String> {
    match kind {
        Kind::UnknownStep { name, .. } => Some(format!(
            "say where its ways lead then, as \"instead: STEP\" below the entry; or change the steps that lead to {name}"
        )),
        Kind::Unreachable { name, .. } => Some(format!(
            "leave a way to {name}, or take it out with an entry \"remove: {name}\""
        )),
        other => other.help(),
    }
}
