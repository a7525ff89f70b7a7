//! Looking back over many walks: how often each list was used, what was left undone and why, and
//! how long calls took. For the unit's lead, to improve lists and equipment.
//!
//! No person is counted or compared: who wrote is not even read. Counts below [`SMALL`] are hidden,
//! because on a small unit few cases can be told apart by those who were there (common practice in
//! published statistics, no source for the number). Middle values and ranges stand with their counts,
//! and only from [`SMALL`] on.
//!
//! Walks are handed in one by one and not kept: what grows is one number for each interval.

use std::collections::BTreeMap;

use serde::Serialize;

use super::facts::{About, Marking, WalkStory, waits};
use crate::checklist::model::Outcome;
use crate::units::Span;
use crate::walk::input::Answer;
use crate::walk::story::{Entered, Telling};

/// Counts below this are not shown, unless nothing was counted.
pub const SMALL: u64 = 5;

/// How many different reasons are kept apart for one step; the rest count as others.
const REASONS: usize = 1_000;

/// What has been counted so far.
#[derive(Debug, Default)]
pub struct Review {
    walks: u64,
    in_error: u64,
    lists: BTreeMap<String, Tally>,
    left: BTreeMap<(String, String), Left>,
}

/// What is counted for one checklist.
#[derive(Debug, Default)]
struct Tally {
    title: String,
    begun: u64,
    used: u64,
    jumped: u64,
    outcomes: BTreeMap<Outcome, u64>,
    stopped: u64,
    paused: u64,
    taken_back: u64,
    put_right: u64,
    to_call: Vec<u32>,
    to_answer: Vec<u32>,
}

/// What was left undone at one step.
#[derive(Debug, Default)]
struct Left {
    asked: String,
    times: u64,
    reasons: BTreeMap<String, u64>,
}

impl Review {
    /// Counts a walk. One that was entered in error as a whole is counted as that alone.
    pub fn add(&mut self, story: &WalkStory) {
        let gone = |one: &super::facts::Amendment| {
            one.mark == Marking::InError && one.about == About::Event(0)
        };
        if story.afterwards.amendments.iter().any(gone) {
            self.in_error += 1;
            return;
        }
        self.walks += 1;
        let mut first = None;
        for told in &story.story {
            match &told.what {
                Telling::WentBack { .. } => self.of(first.as_ref()).taken_back += 1,
                Telling::Paused => self.of(first.as_ref()).paused += 1,
                Telling::GaveUp { .. } => self.of(first.as_ref()).stopped += 1,
                _ if told.taken_back => {}
                Telling::ListBegun {
                    list, title, how, ..
                } => {
                    first.get_or_insert_with(|| list.to_string());
                    self.begun(list.as_str(), title, *how);
                }
                Telling::ListEnded { list, outcome, .. } => {
                    let tally = self.lists.entry(list.to_string()).or_default();
                    *tally.outcomes.entry(*outcome).or_default() += 1;
                }
                Telling::Answered {
                    list,
                    step,
                    asked,
                    record,
                    answer,
                    ..
                } => {
                    let asked = record.as_ref().unwrap_or(asked);
                    self.answered(list.as_str(), step.as_str(), asked, answer);
                }
                _ => {}
            }
        }
        let waits = waits(story);
        let tally = self.of(first.as_ref());
        tally.put_right += story.afterwards.amendments.len() as u64;
        tally.to_call.extend(waits.to_call);
        tally.to_answer.extend(waits.to_answer);
    }

    /// The tally of the checklist that the walk began with.
    fn of(&mut self, first: Option<&String>) -> &mut Tally {
        let name = first.cloned().unwrap_or_else(|| "not known".to_owned());
        self.lists.entry(name).or_default()
    }

    fn begun(&mut self, list: &str, title: &str, how: Entered) {
        let tally = self.lists.entry(list.to_owned()).or_default();
        title.clone_into(&mut tally.title);
        match how {
            Entered::Start => tally.begun += 1,
            Entered::Used => tally.used += 1,
            Entered::Jumped => tally.jumped += 1,
        }
    }

    fn answered(&mut self, list: &str, step: &str, asked: &str, answer: &Answer) {
        let (Answer::NotDone { reason }
        | Answer::CouldNotCheck { reason }
        | Answer::NotObtained { reason }
        | Answer::Missed { reason }) = answer
        else {
            return;
        };
        let left = self
            .left
            .entry((list.to_owned(), step.to_owned()))
            .or_default();
        asked.clone_into(&mut left.asked);
        left.times += 1;
        let reason = reason.trim().to_lowercase();
        if left.reasons.len() < REASONS || left.reasons.contains_key(&reason) {
            *left.reasons.entry(reason).or_default() += 1;
        }
    }

    /// What may be shown of it.
    #[must_use]
    pub fn facts(self) -> ReviewFacts {
        let lists = self.lists.into_iter().map(|(name, tally)| row(name, tally));
        let left = self
            .left
            .into_iter()
            .filter(|(_, left)| left.times >= SMALL)
            .map(|((list, step), left)| left_row(list, step, left));
        ReviewFacts {
            walks: count(self.walks),
            in_error: count(self.in_error),
            lists: lists.collect(),
            left: left.collect(),
            small: SMALL,
        }
    }
}

/// What may be shown of many walks.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ReviewFacts {
    /// How many walks were looked at.
    pub walks: String,
    /// How many were entered in error, and not looked at.
    pub in_error: String,
    /// A row for each checklist.
    pub lists: Vec<ListRow>,
    /// Steps that were left undone often enough to be shown.
    pub left: Vec<LeftRow>,
    /// Counts below this are hidden.
    pub small: u64,
}

/// What may be shown of one checklist. Counts below [`SMALL`] read "<5".
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ListRow {
    /// Its name.
    pub list: String,
    /// Its title.
    pub title: String,
    /// How often a walk began with it.
    pub begun: String,
    /// How often another checklist used it.
    pub used: String,
    /// How often it was jumped to as an urgent one.
    pub jumped: String,
    /// How it came out, each with its count.
    pub outcomes: String,
    /// How often a walk that began with it was stopped for good.
    pub stopped: String,
    /// How often one was paused.
    pub paused: String,
    /// How often an answer was taken back.
    pub taken_back: String,
    /// How many corrections and addenda came afterwards.
    pub put_right: String,
    /// From what was seen first to the first call for help.
    pub seen_to_call: Spread,
    /// From a call to its answer.
    pub call_to_answer: Spread,
}

/// Intervals: how many, the middle one, the shortest and the longest.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Spread {
    /// How many.
    pub count: String,
    /// The middle one; absent when there are few.
    pub median: Option<String>,
    /// The shortest; absent when there are few.
    pub least: Option<String>,
    /// The longest; absent when there are few.
    pub most: Option<String>,
}

impl std::fmt::Display for Spread {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match (&self.median, &self.least, &self.most) {
            (Some(median), Some(least), Some(most)) => {
                write!(f, "{median} ({least} to {most}, n={})", self.count)
            }
            _ => write!(f, "n={}", self.count),
        }
    }
}

/// A step that was left undone.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LeftRow {
    /// The checklist.
    pub list: String,
    /// The step.
    pub step: String,
    /// As it was asked, or as it reads in a record.
    pub asked: String,
    /// How often.
    pub times: String,
    /// Reasons given often enough to be shown, most often first.
    pub reasons: Vec<String>,
}

fn count(number: u64) -> String {
    if (1..SMALL).contains(&number) {
        format!("<{SMALL}")
    } else {
        number.to_string()
    }
}

fn row(list: String, tally: Tally) -> ListRow {
    let outcomes = tally.outcomes.iter();
    let outcomes: Vec<String> = outcomes
        .map(|(outcome, times)| format!("{outcome} {}", count(*times)))
        .collect();
    ListRow {
        list,
        title: tally.title,
        begun: count(tally.begun),
        used: count(tally.used),
        jumped: count(tally.jumped),
        outcomes: outcomes.join(", "),
        stopped: count(tally.stopped),
        paused: count(tally.paused),
        taken_back: count(tally.taken_back),
        put_right: count(tally.put_right),
        seen_to_call: spread(tally.to_call),
        call_to_answer: spread(tally.to_answer),
    }
}

fn left_row(list: String, step: String, left: Left) -> LeftRow {
    let mut reasons: Vec<(String, u64)> = left.reasons.into_iter().collect();
    reasons.retain(|(_, times)| *times >= SMALL);
    reasons.sort_by_key(|(_, times)| std::cmp::Reverse(*times));
    LeftRow {
        list,
        step,
        asked: left.asked,
        times: count(left.times),
        reasons: reasons
            .into_iter()
            .map(|(reason, times)| format!("{reason} ({times})"))
            .collect(),
    }
}

/// The lower of the two in the middle counts as the middle one, so that it is one that happened.
fn spread(mut seconds: Vec<u32>) -> Spread {
    seconds.sort_unstable();
    let number = seconds.len() as u64;
    let words = |at: usize| {
        let shown = number >= SMALL;
        seconds
            .get(at)
            .filter(|_| shown)
            .map(|seconds| Span(*seconds).to_string())
    };
    Spread {
        count: count(number),
        median: words(seconds.len().saturating_sub(1) / 2),
        least: words(0),
        most: words(seconds.len().saturating_sub(1)),
    }
}

impl ReviewFacts {
    /// As two tables in Markdown.
    #[must_use]
    pub fn table(&self) -> String {
        let md = super::escape::markdown;
        let mut out = format!(
            "Walks looked at: {}. Entered in error and left out: {}. Counts from 1 to {} read \"<{}\"; middle values stand from {} on. No persons are counted or compared.\n\n",
            self.walks,
            self.in_error,
            self.small - 1,
            self.small,
            self.small
        );
        out.push_str("| List | Begun | Used | Jumped to | Came out | Stopped for good | Paused | Taken back | Put right | Seen to call | Call to answer |\n|---|---|---|---|---|---|---|---|---|---|---|\n");
        for row in &self.lists {
            let cells = [
                md(&row.list),
                row.begun.clone(),
                row.used.clone(),
                row.jumped.clone(),
                row.outcomes.clone(),
                row.stopped.clone(),
                row.paused.clone(),
                row.taken_back.clone(),
                row.put_right.clone(),
                row.seen_to_call.to_string(),
                row.call_to_answer.to_string(),
            ];
            out.push_str(&format!("| {} |\n", cells.join(" | ")));
        }
        out.push_str("\n| List | Step left undone | Times | Reasons given |\n|---|---|---|---|\n");
        for row in &self.left {
            let reasons = md(&row.reasons.join("; "));
            let (list, asked) = (md(&row.list), md(&row.asked));
            out.push_str(&format!(
                "| {list} | {asked} | {} | {reasons} |\n",
                row.times
            ));
        }
        out
    }

    /// The rows of checklists as CSV (RFC 4180), with a head.
    #[must_use]
    pub fn csv(&self) -> String {
        let mut out = String::from(
            "list,title,begun,used,jumped,outcomes,stopped,paused,taken_back,put_right,\
             seen_to_call_n,seen_to_call_median,seen_to_call_least,seen_to_call_most,\
             call_to_answer_n,call_to_answer_median,call_to_answer_least,call_to_answer_most\r\n",
        );
        for row in &self.lists {
            let mut cells = vec![
                &row.list,
                &row.title,
                &row.begun,
                &row.used,
                &row.jumped,
                &row.outcomes,
                &row.stopped,
                &row.paused,
                &row.taken_back,
                &row.put_right,
            ];
            let none = String::new();
            for spread in [&row.seen_to_call, &row.call_to_answer] {
                cells.push(&spread.count);
                cells.extend(
                    [&spread.median, &spread.least, &spread.most]
                        .map(|one| one.as_ref().unwrap_or(&none)),
                );
            }
            let cells: Vec<String> = cells.into_iter().map(|cell| csv_cell(cell)).collect();
            out.push_str(&cells.join(","));
            out.push_str("\r\n");
        }
        out
    }
}

/// A cell: quoted where needed, and with a quote mark before what a spreadsheet would reckon with.
fn csv_cell(text: &str) -> String {
    let text: String = text
        .chars()
        .map(|letter| if letter.is_control() { ' ' } else { letter })
        .collect();
    let text = match text.chars().next() {
        Some('=' | '+' | '-' | '@') => format!("'{text}"),
        _ => text,
    };
    if text.contains([',', '"']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::super::made;
    use super::*;

    #[test]
    fn small_counts_are_hidden_and_none_is_not() {
        for (number, shown) in [(0, "0"), (1, "<5"), (4, "<5"), (5, "5"), (1234, "1234")] {
            assert_eq!(count(number), shown);
        }
        let few = spread(vec![10, 20, 30, 40]);
        assert_eq!(few.to_string(), "n=<5");
        // By hand: the third of five is the middle one; of six, the lower of the two.
        let five = spread(vec![50, 10, 40, 20, 30]);
        assert_eq!(five.to_string(), "30 s (10 s to 50 s, n=5)");
        let six = spread(vec![60, 50, 10, 40, 20, 30]);
        assert_eq!(six.median.as_deref(), Some("30 s"));
    }

    #[test]
    fn a_review_counts_what_the_records_tell() {
        let mut review = Review::default();
        for _ in 0..5 {
            for story in made::incident().iter().chain(&made::setup()) {
                review.add(story);
            }
        }
        let facts = review.facts();
        assert_eq!(facts.walks, "20");
        let fault = facts
            .lists
            .iter()
            .find(|row| row.list == "no-swing")
            .expect("there");
        assert_eq!((fault.begun.as_str(), fault.stopped.as_str()), ("5", "5"));
        // The record of the same walk says 4 min 20 s and 2 min 40 s.
        assert_eq!(fault.seen_to_call.median.as_deref(), Some("4 min 20 s"));
        assert_eq!(fault.call_to_answer.median.as_deref(), Some("2 min 40 s"));
        let urgent = facts
            .lists
            .iter()
            .find(|row| row.list == "disconnected")
            .expect("there");
        assert_eq!((urgent.begun.as_str(), urgent.jumped.as_str()), ("0", "5"));
        let left = facts
            .left
            .iter()
            .find(|row| row.asked.contains("spare"))
            .expect("there");
        assert_eq!(left.reasons, ["store room locked, asked for the key (5)"]);
        let prepare = facts
            .lists
            .iter()
            .find(|row| row.list == "prepare-unit")
            .expect("there");
        assert_eq!(prepare.taken_back, "5");
    }

    #[test]
    fn nobody_is_named() {
        let mut review = Review::default();
        for _ in 0..9 {
            for story in made::incident().iter().chain(&made::setup()) {
                review.add(story);
            }
        }
        let facts = review.facts();
        let shown = format!(
            "{}{}{}",
            facts.table(),
            facts.csv(),
            serde_json::to_string(&facts).expect("JSON")
        );
        for writer in ["KL", "MT"] {
            assert!(!shown.contains(writer), "{writer}");
        }
    }

    #[test]
    fn cells_cannot_reckon_or_break_a_row() {
        for (text, cell) in [
            ("=1+1", "'=1+1"),
            ("a,b", "\"a,b\""),
            ("a\"b\nc", "\"a\"\"b c\""),
            ("@x", "'@x"),
            ("plain", "plain"),
        ] {
            assert_eq!(csv_cell(text), cell);
        }
    }
}
