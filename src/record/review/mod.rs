//! Looking back over many walks and drains: how often each list was used, what was left undone and
//! why, how long calls took, which limits were met. For the unit's lead, to improve lists and
//! equipment.
//!
//! No person is counted or compared: who wrote is not even read. Counts below [`SMALL`] are hidden,
//! because on a small unit few cases can be told apart by those who were there (common practice in
//! published statistics, no source for the number). Middle values and ranges stand with their counts,
//! and only from [`SMALL`] on.
//!
//! Walks and charts are handed in one by one and not kept: what grows is one number for each
//! interval.

mod csv;
mod facts;
mod month;
mod picture;
mod table;

use std::collections::{BTreeMap, BTreeSet};

pub use facts::{Count, LeftRow, LimitRow, ListRow, MonthRow, ReviewFacts, Spread};
pub use month::Month;
pub use picture::Picture;
pub use table::Report;

use super::facts::{About, Marking, WalkStory, waits};
use crate::chart::limit::{Change, Happening};
use crate::checklist::model::Outcome;
use crate::moment::Moment;
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
    drains: u64,
    months: BTreeMap<Month, InMonth>,
    lists: BTreeMap<String, Tally>,
    limits: BTreeMap<String, OfLimit>,
    left: BTreeMap<(String, String), Left>,
}

/// What is counted for one month. A walk counts in the month in which it began.
#[derive(Debug, Default)]
struct InMonth {
    walks: u64,
    stopped: u64,
    paused: u64,
    taken_back: u64,
    put_right: u64,
    met: u64,
    cleared: u64,
    corrected: u64,
    to_call: Vec<u32>,
    to_answer: Vec<u32>,
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

/// What is counted for one limit on the output.
#[derive(Debug, Default)]
struct OfLimit {
    means: String,
    value: String,
    drains: u64,
    met: u64,
    worse: u64,
    doubtful: u64,
    cleared: u64,
}

/// What was left undone at one step.
#[derive(Debug, Default)]
struct Left {
    asked: String,
    times: u64,
    reasons: BTreeMap<String, u64>,
}

/// What one walk adds to the list it began with and to its month.
#[derive(Debug, Default)]
struct OfWalk {
    stopped: u64,
    paused: u64,
    taken_back: u64,
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
        let (first, walk) = self.told(story);
        self.close(first, &walk, story);
    }

    /// Counts what is told line by line; gives the list the walk began with.
    fn told(&mut self, story: &WalkStory) -> (Option<String>, OfWalk) {
        let (mut first, mut walk) = (None, OfWalk::default());
        for told in &story.story {
            match &told.what {
                Telling::WentBack { .. } => walk.taken_back += 1,
                Telling::Paused => walk.paused += 1,
                Telling::GaveUp { .. } => walk.stopped += 1,
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
        (first, walk)
    }

    /// Adds a walk to the list that it began with and to its month.
    fn close(&mut self, first: Option<String>, walk: &OfWalk, story: &WalkStory) {
        let waits = waits(story);
        let put_right = story.afterwards.amendments.len() as u64;
        let name = first.unwrap_or_else(|| "not known".to_owned());
        let tally = self.lists.entry(name).or_default();
        tally.stopped += walk.stopped;
        tally.paused += walk.paused;
        tally.taken_back += walk.taken_back;
        tally.put_right += put_right;
        tally.to_call.extend(waits.to_call);
        tally.to_answer.extend(&waits.to_answer);
        for (list, wait) in waits.urgent_to_call {
            let tally = self.lists.entry(list.to_string()).or_default();
            tally.to_call.push(wait);
        }
        let Some(begun) = story.story.first().map(|told| told.seen) else {
            return;
        };
        let month = self.months.entry(Month::of(begun)).or_default();
        month.walks += 1;
        month.stopped += walk.stopped;
        month.paused += u64::from(walk.paused > 0);
        month.taken_back += walk.taken_back;
        month.put_right += put_right;
        month.to_call.extend(waits.to_call);
        month.to_answer.extend(waits.to_answer);
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

    /// Counts the chart of one drain: what became of its limits, and when readings were corrected.
    /// Moments count in the month that they themselves show.
    pub fn add_chart<'a>(
        &mut self,
        happened: impl IntoIterator<Item = &'a Happening>,
        corrected: impl IntoIterator<Item = Moment>,
    ) {
        self.drains += 1;
        let mut met_here = BTreeSet::new();
        for Happening {
            change,
            at,
            finding,
        } in happened
        {
            let value = &finding.limit.value;
            let limit = self.limits.entry(value.name.to_string()).or_default();
            value.means.clone_into(&mut limit.means);
            limit.value = value.value.to_string();
            match change {
                Change::Met => limit.met += 1,
                Change::Worse => limit.worse += 1,
                Change::Doubtful => limit.doubtful += 1,
                Change::Cleared => limit.cleared += 1,
            }
            if *change == Change::Met && met_here.insert(value.name.to_string()) {
                limit.drains += 1;
            }
            let month = self.months.entry(Month::of(*at)).or_default();
            month.met += u64::from(*change == Change::Met);
            month.cleared += u64::from(*change == Change::Cleared);
        }
        for at in corrected {
            self.months.entry(Month::of(at)).or_default().corrected += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use chrono::TimeDelta;

    use super::super::made;
    use super::*;
    use crate::chart::limit::{Judgement, Limit, LimitValue, Patient};
    use crate::chart::reading::Reading;
    use crate::chart::{DrainStart, Entry, EntryId, Series, What};
    use crate::checklist::model::ListKind;
    use crate::names::FactName;
    use crate::units::{Amount, Number, Unit};

    #[test]
    fn small_counts_are_hidden_and_none_is_not() {
        for (number, shown) in [(0, "0"), (1, "<5"), (4, "<5"), (5, "5"), (1234, "1234")] {
            assert_eq!(Count::of(number).to_string(), shown);
        }
        let few = Spread::of(vec![10, 20, 30, 40]);
        assert_eq!(few.to_string(), "n=<5");
        // By hand: the third of five is the middle one; of six, the lower of the two.
        let five = Spread::of(vec![50, 10, 40, 20, 30]);
        assert_eq!(five.to_string(), "30 s (10 s to 50 s, n=5)");
        let six = Spread::of(vec![60, 50, 10, 40, 20, 30]);
        assert_eq!(six.median_s, Some(30));
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
        assert_eq!(facts.walks, Count::Of(20));
        let fault = facts
            .lists
            .iter()
            .find(|row| row.list == "no-swing")
            .expect("there");
        assert_eq!((fault.begun, fault.stopped), (Count::Of(5), Count::Of(5)));
        // The record of the same walk says 4 min 20 s and 2 min 40 s.
        assert_eq!(fault.seen_to_call.median_s, Some(260));
        assert_eq!(fault.call_to_answer.median_s, Some(160));
        let urgent = facts
            .lists
            .iter()
            .find(|row| row.list == "disconnected")
            .expect("there");
        assert_eq!((urgent.begun, urgent.jumped), (Count::Of(0), Count::Of(5)));
        // And from the beginning of this one to the next call 44 s.
        assert_eq!(urgent.seen_to_call.median_s, Some(44));
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
        assert_eq!(prepare.taken_back, Count::Of(5));
    }

    /// What becomes of one limit where so much came by the hour, mL.
    fn judged(levels: &[i32]) -> Vec<Happening> {
        let begun = Moment::parse_from_rfc3339("2026-01-31T22:30:00Z").expect("a moment");
        let start = DrainStart {
            at: begun,
            level: Number::whole(0),
            graduation: None,
        };
        let entries = levels.iter().zip(1..).map(|(level, hour)| Entry {
            id: EntryId(hour),
            at: begun + TimeDelta::hours(i64::try_from(hour).expect("an hour")),
            written_at: begun,
            what: What::Reading(std::sync::Arc::new(Reading {
                level: Some(Number::whole(*level)),
                ..Reading::default()
            })),
        });
        let limit = Limit::watched(LimitValue {
            name: FactName::new("effusion-adult-stop").expect("a name"),
            value: Amount::new(Number::whole(1_500), Unit::Ml),
            population: None,
            means: "stop | it".to_owned(),
            source: "made".to_owned(),
            window: None,
            hours: None,
        });
        let series = Series::new(start, entries);
        let limits = [limit.expect("it is watched")];
        Judgement::of(&series, &limits, &Patient::default()).happened
    }

    #[test]
    fn limits_are_counted_in_the_month_of_the_reading() {
        let corrected = Moment::parse_from_rfc3339("2026-04-01T00:00:00Z").expect("a moment");
        let mut review = Review::default();
        for _ in 0..6 {
            review.add_chart(&judged(&[700, 1_400, 1_600, 1_700]), [corrected]);
        }
        for _ in 0..3 {
            review.add_chart(&judged(&[700, 1_400]), []);
        }
        let facts = review.facts();
        assert_eq!(facts.drains, Count::Of(9));
        let [limit] = facts.limits.as_slice() else {
            panic!("one limit: {:?}", facts.limits);
        };
        assert_eq!((limit.met, limit.drains), (Count::Of(6), Count::Of(6)));
        assert_eq!(limit.value, "1500 mL");
        // 22:30 on the last of January and three hours; nothing in March.
        let months: Vec<_> = facts
            .months
            .iter()
            .map(|row| {
                (
                    row.month.to_string(),
                    row.limits_met,
                    row.readings_corrected,
                )
            })
            .collect();
        let none = Count::Of(0);
        assert_eq!(
            months,
            [
                ("2026-02".to_owned(), Count::Of(6), none),
                ("2026-03".to_owned(), none, none),
                ("2026-04".to_owned(), none, Count::Of(6)),
            ]
        );
        let csv = facts.limits_csv();
        assert!(
            csv.ends_with("effusion-adult-stop,1500 mL,stop | it,6,6,6,0,0\r\n"),
            "{csv}"
        );
        assert!(
            facts.tables().contains(r"stop \| it |"),
            "{}",
            facts.tables()
        );
    }

    /// For the readers of other libraries: `tests/reference/hostile.py`.
    #[test]
    fn writes_table_of_hostile_reasons() {
        let all = include_str!("../../../tests/reference/hostile.json");
        let all: Vec<serde_json::Value> = serde_json::from_str(all).expect("JSON");
        let mut review = Review::default();
        for (index, one) in all.iter().enumerate() {
            let text = one["text"].as_str().expect("a text");
            for _ in 0..SMALL {
                let mut made = made::Made::new("w1", 1);
                let begun = made.begin("no-swing", text, ListKind::Fault, Entered::Start);
                let reason = text.to_owned();
                let answer = Answer::NotDone { reason };
                let told = made.step(&format!("s{index}"), text, &[], answer, "not done");
                made.now("2026-03-03T04:00:00Z", vec![begun, told]);
                review.add(&made.story());
            }
        }
        let facts = review.facts();
        let csv = facts.left_csv();
        assert_eq!(csv.matches("\r\n").count(), all.len() + 1);
        crate::tables::write_file("hostile", "left.csv", &csv);
        let no_control = |text: &str| !text.chars().any(|c| c.is_control() && c != '\n');
        assert!(no_control(&facts.tables()), "{}", facts.tables());
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
            facts.tables(),
            [facts.lists_csv(), facts.months_csv(), facts.left_csv()].concat(),
            serde_json::to_string(&facts).expect("JSON")
        );
        for writer in ["KL", "MT"] {
            assert!(!shown.contains(writer), "{writer}");
        }
    }
}
