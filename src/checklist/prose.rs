//! What can be wrong with the words of a checklist, and the sentences that say so.
//!
//! The rules come from published work on procedures read under stress; each names its source in
//! `check::wording`.

use super::problem::Severity;

/// What is wrong with the words.
#[derive(Debug, Clone, PartialEq, Eq)]
#[expect(
    missing_docs,
    reason = "the fields are the words or counts at stake, named for what they are"
)]
pub enum Prose {
    /// An instruction that begins with no verb of the glossary.
    NotACommand {
        word: String,
        nearest: Option<String>,
    },
    /// A second action in one step.
    SecondAction { joint: String, word: String },
    /// A sentence with too many words.
    LongSentence { words: usize, most: usize },
    /// A sentence of an urgent list with many words.
    LongInUrgent { words: usize, most: usize },
    /// A word that cannot be measured.
    VagueWord { word: String },
    /// A condition inside an instruction.
    HiddenCondition { word: String },
    /// A question asked in the negative.
    Negative { word: String },
    /// A caution that holds an action.
    CautionActs { word: String },
    /// A text that leans on something shown before.
    LooksBack { words: String },
    /// Words in capitals.
    Capitals { words: String },
    /// A word that the glossary has another word for.
    OtherWord { found: String, word: String },
    /// An abbreviation that is not in the glossary.
    UnknownAbbreviation { found: String },
    /// A number without its unit.
    NoUnit { number: String },
    /// A closing text that says nothing of getting help.
    EndWithoutHelp,
    /// Answers that name no state.
    EmptyAnswers,
    /// An expectation that names no state.
    EmptyExpectation { found: String },
    /// A check that does not say where.
    NoPlace,
    /// Many answers to one question.
    ManyAnswers { count: usize, most: usize },
    /// A critical step without its reason.
    NoReason,
    /// A reason that is no longer one line.
    LongReason { words: usize, most: usize },
    /// Too many conditions joined in one row.
    ManyConditions { count: usize, most: usize },
    /// A branch in a list that only confirms.
    BranchInConfirm,
}

impl Prose {
    /// A short name that stays the same when the wording changes.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NotACommand { .. } => "not-a-command",
            Self::SecondAction { .. } => "second-action",
            Self::LongSentence { .. } => "long-sentence",
            Self::LongInUrgent { .. } => "long-in-urgent",
            Self::VagueWord { .. } => "vague-word",
            Self::HiddenCondition { .. } => "hidden-condition",
            Self::Negative { .. } => "negative-question",
            Self::CautionActs { .. } => "caution-acts",
            Self::LooksBack { .. } => "looks-back",
            Self::Capitals { .. } => "capitals",
            Self::OtherWord { .. } => "other-word",
            Self::UnknownAbbreviation { .. } => "unknown-abbreviation",
            Self::NoUnit { .. } => "number-without-unit",
            Self::EndWithoutHelp => "end-without-help",
            Self::EmptyAnswers => "empty-answers",
            Self::EmptyExpectation { .. } => "empty-expectation",
            Self::NoPlace => "no-place",
            Self::ManyAnswers { .. } => "many-answers",
            Self::NoReason => "no-reason",
            Self::LongReason { .. } => "long-reason",
            Self::ManyConditions { .. } => "many-conditions",
            Self::BranchInConfirm => "branch-in-confirm",
        }
    }

    /// Whether it keeps the checklists from being used.
    #[must_use]
    pub const fn severity(&self) -> Severity {
        match self {
            Self::LongInUrgent { .. }
            | Self::NoPlace
            | Self::ManyAnswers { .. }
            | Self::NoReason => Severity::Warning,
            _ => Severity::Error,
        }
    }

    /// What is wrong, in one sentence.
    #[must_use]
    pub fn message(&self) -> String {
        match self {
            Self::NotACommand { word, .. } => {
                format!(
                    "an instruction begins with a verb, and \"{word}\" is not in the glossary's list"
                )
            }
            Self::SecondAction { joint, word } => {
                format!("\"{joint} {word}\" is a second action in one step")
            }
            Self::LongSentence { words, most } => {
                format!("this sentence has {words} words; at most {most} are read under stress")
            }
            Self::LongInUrgent { words, most } => {
                format!("this sentence of an urgent list has {words} words, which is over {most}")
            }
            Self::VagueWord { word } => format!("\"{word}\" cannot be measured"),
            Self::HiddenCondition { word } => {
                format!("\"{word}\" hides a condition inside an instruction")
            }
            Self::Negative { word } => format!("this question asks with \"{word}\""),
            Self::CautionActs { word } => {
                format!(
                    "a caution names the hazard, and this one begins with the action \"{word}\""
                )
            }
            Self::LooksBack { words } => {
                format!("\"{words}\" makes the nurse remember another screen")
            }
            Self::Capitals { words } => format!("\"{words}\" is in capitals"),
            Self::OtherWord { found, word } => {
                format!("the glossary's word for \"{found}\" is \"{word}\"")
            }
            Self::UnknownAbbreviation { found } => {
                format!("the abbreviation \"{found}\" is not in the glossary")
            }
            Self::NoUnit { number } => format!("the number {number} has no unit"),
            Self::EndWithoutHelp => {
                "this closing text does not say when to call for help".to_owned()
            }
            Self::EmptyAnswers => "these answers name no state that was seen".to_owned(),
            Self::EmptyExpectation { found } => {
                format!("\"{found}\" names no state that can be seen")
            }
            Self::NoPlace => "this check does not say where to look or touch".to_owned(),
            Self::ManyAnswers { count, most } => {
                format!("this question has {count} answers, which is over {most}")
            }
            Self::NoReason => "this critical step gives no reason".to_owned(),
            Self::LongReason { words, most } => {
                format!("this reason has {words} words; at most {most} are one line")
            }
            Self::ManyConditions { count, most } => {
                format!("this row joins {count} conditions; at most {most} can be followed")
            }
            Self::BranchInConfirm => {
                "a list of mode confirm only confirms, and this step asks or measures".to_owned()
            }
        }
    }

    /// What to do about it.
    #[must_use]
    pub fn help(&self) -> String {
        match self {
            Self::NotACommand {
                nearest: Some(word),
                ..
            } => return format!("begin with \"{word}\", or add the verb to glossary.yaml"),
            Self::NotACommand { .. } => "begin with a verb of glossary.yaml, or add one there",
            Self::SecondAction { .. } => "make it a step of its own",
            Self::LongSentence { .. } | Self::LongInUrgent { .. } => {
                "say it in two sentences, or shorter"
            }
            Self::VagueWord { .. } => "say how much, how often or how fast",
            Self::HiddenCondition { .. } => "ask first, and let the answer lead to this step",
            Self::Negative { .. } => "ask for what is there, not for what is missing",
            Self::CautionActs { .. } => "say what can happen; make the action a step",
            Self::LooksBack { .. } => "remember the answer and show it with its name in braces",
            Self::Capitals { .. } => "write it in small letters",
            Self::OtherWord { .. } => {
                "use the one word; other people's words belong to the signs and the glossary"
            }
            Self::UnknownAbbreviation { .. } => "write it out, or add it to glossary.yaml",
            Self::NoUnit { .. } => "write the unit after the number, or the number as a word",
            Self::EndWithoutHelp => "say: Worse or unsure, call the doctor.",
            Self::EmptyAnswers => "name the states, like \"bubbles\" and \"quiet\"",
            Self::EmptyExpectation { .. } => "say what should be seen",
            Self::NoPlace => "add where:",
            Self::ManyAnswers { .. } => "ask two questions",
            Self::NoReason => "add why: with one line",
            Self::LongReason { .. } => "leave the reason that matters most",
            Self::ManyConditions { .. } => "make two steps of it",
            Self::BranchInConfirm => "use mode read-do, or a check",
        }
        .to_owned()
    }
}
