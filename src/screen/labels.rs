//! Every fixed word of the screen, in one place.

use crate::checklist::model::{CallLevel, Outcome};
use crate::moment::Moment;
use crate::units::Amount;

use super::clock_words;
use super::line::Doubt;

// Answers, as they are shown beside their keys and understood in words.
pub(super) const DONE: &str = "done";
pub(super) const NOT_DONE: &str = "not done";
pub(super) const AS_EXPECTED: &str = "as expected";
pub(super) const NOT_AS_EXPECTED: &str = "not as expected";
pub(super) const COULD_NOT_CHECK: &str = "could not check";
pub(super) const NOT_OBTAINED: &str = "not obtained";
pub(super) const WATCHED: &str = "watched to the end";
pub(super) const BROKEN_OFF: &str = "broken off";
pub(super) const READ: &str = "read";
pub(super) const STILL_SO: &str = "still so";
pub(super) const NO_LONGER: &str = "no longer so";
pub(super) const RESUME: &str = "resume";
pub(super) const LEAVE: &str = "leave";

// The other keys.
pub(super) const BACK: &str = "back";
pub(super) const NOTE: &str = "note";
pub(super) const WHY: &str = "why";
pub(super) const LATE: &str = "seen earlier";
pub(super) const CALLS: &str = "calls";
pub(super) const DUTIES: &str = "duties";
pub(super) const PAUSE: &str = "pause";
pub(super) const STOP: &str = "stop for good";
pub(super) const KEYS: &str = "help";

// What stands before a text.
pub(super) const CAUTION: &str = "Caution: ";
pub(super) const PROBLEM: &str = "Problem: ";
pub(super) const WHERE: &str = "Where: ";
pub(super) const EXPECT: &str = "Expect: ";
pub(super) const WHY_LEAD: &str = "Why: ";
pub(super) const SOURCE: &str = "Source: ";
pub(super) const OVERDUE: &str = "Overdue: ";
// Not "open": beside a clamp or tap that word says something else.
pub(super) const UNFINISHED: &str = "Unfinished: ";
pub(super) const HELD: &str = "Held: ";
pub(super) const RECOGNISE: &str = "Right list? ";
pub(super) const URGENT: &str = "Urgent: ";
pub(super) const URGENT_KEYS: &str = "Urgent keys: ";
pub(super) const KEYS_LEAD: &str = "Keys: ";
pub(super) const ANSWERS_LEAD: &str = "Answers: ";
pub(super) const SAVED: &str = "Saved: ";
pub(super) const UNDONE: &str = "Left undone: ";

pub(super) const CRITICAL: &str = "A slip here is dangerous.";
pub(super) const NO_WHY: &str = "The checklist gives no reason for this step.";
pub(super) const NO_SOURCE: &str = "The checklist names no source for this step.";
pub(super) const NO_CALLS: &str = "No call for help is open.";
pub(super) const NO_DUTIES: &str = "No duty is open.";
pub(super) const NOTHING_WRITTEN: &str = "Nothing was written, so nothing was answered.";
pub(super) const TOO_QUICK: &str =
    "That key came before the step could be read. Press it again if it stands.";
pub(super) const DOUBTFUL: &str = "the answer that opened it was taken back; look and see";
pub(super) const OWN_NUMBER: &str = "ring your emergency number (not set here)";
pub(super) const OWN_CONTACT: &str = "call as your unit does (not set here)";
pub(super) const KEEP_TEXT: &str = "Keep it as it is?";
pub(super) const YES: &str = "yes";
pub(super) const NO: &str = "no";
pub(super) const YES_OR_NO: &str = "y or n";
pub(super) const NUMBER_PROMPT: &str = "Write the number";
pub(super) const ESC_BACK: &str = "Esc goes back";
pub(super) const LEAVE_OPEN: &str = "- if not known";
pub(super) const ENTER_SENDS: &str = "Enter sends it, Esc goes back";
pub(super) const STOP_SURE: &str = "Stop this walk for good? It cannot be resumed.";

/// How a walk came out, as a sentence begins.
pub(super) const fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Ready => "Ready for use",
        Outcome::Working => "Working as it should",
        Outcome::Resolved => "Put right",
        Outcome::Watch => "Nothing to do now but look again",
        Outcome::Escalated => "Handed on to the one who was called",
        Outcome::Stopped => "Stopped before it was complete",
    }
}

/// Who to call when the unit has not filled it in.
pub(super) const fn level(level: CallLevel) -> &'static str {
    match level {
        CallLevel::Emergency => "emergency team",
        CallLevel::DoctorNow => "doctor, now",
        CallLevel::DoctorSoon => "doctor, soon",
    }
}

pub(super) const ENTER_MEANS: &str = "shows the step again with the time; it answers nothing";

/// What a key beside the answers does, in a sentence.
pub(super) fn explain(words: &str) -> &'static str {
    match words {
        BACK => "back: takes the last answer back; the record keeps both",
        NOTE => "note: writes a note into the record, without names",
        WHY => "why: shows the reason and the source of this step",
        LATE => "seen earlier: gives the time for the next answer or note",
        CALLS => "calls: shows the calls for help, and takes who answered, came or ordered",
        DUTIES => "duties: shows what must still be closed or handed over",
        PAUSE => "pause: stops here; the walk can be resumed",
        STOP => "stop for good: ends the walk with a reason; what is open goes into the record",
        LEAVE => "leave: back to the shell",
        _ => "help: shows this",
    }
}

/// What can be told of a call, with the keys.
pub(super) const CALL_NEWS: &[(&str, &str)] = &[
    ("a", "somebody answered"),
    ("h", "somebody is here"),
    ("o", "something was ordered, and read back"),
    ("n", "nobody answered, the next was called"),
];

/// The number both ways, when it was typed in another unit than the step's.
pub(super) fn converted(typed: Amount, judged: Amount) -> String {
    format!("{typed} is {judged}.")
}

/// That the next answer or note counts as seen earlier.
pub(super) fn late(seen: Moment, now: Moment) -> String {
    format!(
        "The next answer or note counts as seen at {}.",
        clock_words::at(seen, now)
    )
}

/// That what was just said counts as seen earlier.
pub(super) fn counts_as_seen(seen: Moment, now: Moment) -> String {
    format!("Counts as seen at {}.", clock_words::at(seen, now))
}

/// That a number is hard to believe.
pub(super) fn doubt(doubt: Doubt) -> String {
    let (low, high) = doubt.plausible;
    let unit = doubt.judged.unit;
    let converted = if doubt.typed.unit == unit {
        String::new()
    } else {
        format!(", which is {}", doubt.judged)
    };
    format!(
        "{typed}{converted}, is outside {low} to {high} {unit}. Look again. Write the right number, or {typed} once more if it stands.",
        typed = doubt.typed
    )
}

/// That Enter would start an urgent checklist.
pub(super) fn enter_starts(title: &str) -> String {
    format!("Enter starts: {title}")
}

/// Which keys work.
pub(super) fn keys_are(keys: &[String]) -> String {
    format!("Nothing was answered. Keys here: {}", keys.join(" "))
}

/// The text as a sentence: a capital at the start, a full stop at the end.
pub(super) fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    let first: String = chars
        .next()
        .map(|c| c.to_uppercase().collect())
        .unwrap_or_default();
    let stop = if text.ends_with(['.', '?', '!']) {
        ""
    } else {
        "."
    };
    format!("{first}{}{stop}", chars.as_str())
}
