//! A walk as a `QuestionnaireResponse`.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

use super::super::facts::{About, Marking, WalkStory};
use super::{ANSWERS, Exported, code_of, coding, name_of, string, ucum};
use crate::units::Amount;
use crate::walk::input::Answer;
use crate::walk::story::{Telling, Told};

/// A walk as a `QuestionnaireResponse` to the checklist it began with; `id` is its identifier in
/// the journal.
#[must_use]
pub fn response(id: &str, story: &WalkStory) -> Exported {
    let gone = in_error(story);
    let mut losses = Losses::new(story);
    let mut lists: Vec<(String, String, Vec<Value>)> = Vec::new();
    for told in &story.story {
        let Telling::Answered {
            list,
            step,
            asked,
            answer,
            words,
            ..
        } = &told.what
        else {
            losses.other(told);
            continue;
        };
        if told.taken_back || gone.contains(&told.event) {
            losses.taken_back += 1;
            continue;
        }
        if matches!(answer, Answer::Read | Answer::StillSo | Answer::NoLonger) {
            losses.count("closing texts read, and repeats after an interruption");
            continue;
        }
        let link = format!("{list}.{step}");
        let answered = answer_value(list.as_str(), &link, answer, words);
        let items = group(&mut lists, list.as_str(), &title(story, list.as_str()));
        add(items, &link, asked, answered);
        losses.answers += 1;
    }
    let items: Vec<Value> = lists
        .into_iter()
        .map(|(link, title, items)| json!({"linkId": link, "text": string(&title), "item": items}))
        .collect();
    let mut resource = head(id, story);
    if !items.is_empty() {
        resource.insert("item".to_owned(), Value::Array(items));
    }
    Exported {
        resource: Value::Object(resource),
        losses: losses.lines(),
    }
}

fn head(id: &str, story: &WalkStory) -> Map<String, Value> {
    let mut head = Map::new();
    head.insert("resourceType".to_owned(), json!("QuestionnaireResponse"));
    head.insert(
        "identifier".to_owned(),
        json!({"system": "urn:ietf:rfc:3986", "value": format!("urn:uuid:{id}")}),
    );
    if let Some(list) = story.lists.first() {
        let canonical = format!("{}|{}", name_of(&list.sha256), list.version);
        head.insert("questionnaire".to_owned(), json!(canonical));
    }
    head.insert("status".to_owned(), json!(status(story)));
    if !story.drain.is_empty() {
        head.insert(
            "subject".to_owned(),
            json!({"display": format!("drain {}", story.drain)}),
        );
    }
    if let Some(last) = story.story.last() {
        let at = last
            .written
            .to_rfc3339_opts(chrono::SecondsFormat::Millis, false);
        head.insert("authored".to_owned(), json!(at));
    }
    if let Some(mark) = story.marks.last() {
        head.insert("author".to_owned(), json!({"display": string(&mark.by)}));
    }
    head
}

/// Paused and going are in progress; ended is completed, stopped for good is stopped; corrected
/// afterwards is amended.
fn status(story: &WalkStory) -> &'static str {
    let amendments = &story.afterwards.amendments;
    let whole = |one: &crate::record::facts::Amendment| {
        one.mark == Marking::InError && one.about == About::Event(0)
    };
    if amendments.iter().any(whole) {
        return "entered-in-error";
    }
    let lasting = || story.story.iter().filter(|told| !told.taken_back);
    let stopped = lasting().any(|told| matches!(told.what, Telling::GaveUp { .. }));
    let first = story.story.iter().find_map(|told| match &told.what {
        Telling::ListBegun { list, .. } => Some(list),
        _ => None,
    });
    let ended = lasting()
        .any(|told| matches!(&told.what, Telling::ListEnded { list, .. } if Some(list) == first));
    match (stopped, ended) {
        (true, _) => "stopped",
        (false, true) if !amendments.is_empty() => "amended",
        (false, true) => "completed",
        (false, false) => "in-progress",
    }
}

/// The events entered in error.
fn in_error(story: &WalkStory) -> Vec<usize> {
    let amendments = story.afterwards.amendments.iter();
    let events = amendments.filter_map(|one| match (&one.about, one.mark) {
        (About::Event(event), Marking::InError) => Some(*event),
        _ => None,
    });
    let events: Vec<usize> = events.collect();
    if events.contains(&0) {
        return (0..story.marks.len()).collect();
    }
    events
}

fn title(story: &WalkStory, list: &str) -> String {
    let used = story.lists.iter().find(|used| used.name == list);
    used.map_or_else(|| list.to_owned(), |used| used.title.clone())
}

fn group<'l>(
    lists: &'l mut Vec<(String, String, Vec<Value>)>,
    list: &str,
    title: &str,
) -> &'l mut Vec<Value> {
    let at = lists.iter().position(|(name, _, _)| name == list);
    let at = at.unwrap_or_else(|| {
        lists.push((list.to_owned(), title.to_owned(), Vec::new()));
        lists.len() - 1
    });
    &mut lists[at].2
}

/// Adds an answer to its item. A step that was answered several times has one item with every
/// answer, in order.
fn add(items: &mut Vec<Value>, link: &str, asked: &str, answered: Answered) {
    let at = items.iter().position(|item| item["linkId"] == link);
    let at = at.unwrap_or_else(|| {
        items.push(json!({"linkId": link, "text": string(asked)}));
        items.len() - 1
    });
    let Some(item) = items[at].as_object_mut() else {
        return;
    };
    let field = match answered {
        Answered::Value(value) => ("answer", value),
        Answered::Nothing(reason) => ("answer", json!({"extension": [absent()], "item": [reason]})),
    };
    let list = item.entry(field.0).or_insert_with(|| json!([]));
    if let Some(list) = list.as_array_mut() {
        list.push(field.1);
    }
}

/// That there is no value: the data-absent-reason of FHIR R4.
fn absent() -> Value {
    json!({
        "url": "http://hl7.org/fhir/StructureDefinition/data-absent-reason",
        "valueCode": "not-performed"
    })
}

enum Answered {
    Value(Value),
    Nothing(Value),
}

fn answer_value(list: &str, link: &str, answer: &Answer, words: &str) -> Answered {
    let why = |reason: &str| json!({"linkId": format!("{link}.why"), "text": "Why", "answer": [{"valueString": string(reason)}]});
    let plain = |value: Value| Answered::Value(value);
    match answer {
        Answer::Done | Answer::Elapsed | Answer::Read | Answer::StillSo => {
            plain(json!({"valueBoolean": true}))
        }
        Answer::NoLonger => plain(json!({"valueBoolean": false})),
        Answer::NotDone { reason } | Answer::Missed { reason } => {
            plain(json!({"valueBoolean": false, "item": [why(reason)]}))
        }
        Answer::AsExpected => {
            plain(json!({"valueCoding": coding(ANSWERS, "as-expected", "As expected")}))
        }
        Answer::NotAsExpected { found } => {
            let found = if found.trim().is_empty() {
                words
            } else {
                found
            };
            let found = json!({"linkId": format!("{link}.found"), "text": "Found",
                "answer": [{"valueString": string(found)}]});
            let coded = coding(ANSWERS, "not-as-expected", "Not as expected");
            plain(json!({"valueCoding": coded, "item": [found]}))
        }
        Answer::CouldNotCheck { reason } => {
            let coded = coding(ANSWERS, "could-not-check", "Could not be checked");
            plain(json!({"valueCoding": coded, "item": [why(reason)]}))
        }
        Answer::Choice(choice) => {
            let system = choices_of(list);
            plain(json!({"valueCoding": coding(&system, &code_of(choice), &string(choice))}))
        }
        Answer::Value(amount) => plain(json!({"valueQuantity": quantity(*amount)})),
        Answer::NotObtained { reason } => Answered::Nothing(why(reason)),
    }
}

/// The system of the answers of a checklist: named by the checklist, owned by nobody else.
pub(super) fn choices_of(list: &str) -> String {
    let digits: String = list
        .bytes()
        .flat_map(|byte| [byte >> 4, byte & 15])
        .filter_map(|digit| char::from_digit(u32::from(digit), 16))
        .collect();
    // The last digits tell lists with a long common beginning apart.
    let from = digits.len().saturating_sub(32);
    name_of(&digits[from..])
}

/// An amount as a `Quantity` with its UCUM code; at most three places, as everywhere here.
pub(super) fn quantity(amount: Amount) -> Value {
    #[expect(
        clippy::cast_precision_loss,
        reason = "thousandths below 2^53 are exact enough"
    )]
    let value = amount.number.milli() as f64 / 1000.0;
    let code = ucum(amount.unit);
    json!({
        "value": value,
        "unit": amount.unit.symbol(),
        "system": "http://unitsofmeasure.org",
        "code": code
    })
}

/// Counts what finds no place.
struct Losses<'a> {
    story: &'a WalkStory,
    answers: usize,
    taken_back: usize,
    others: BTreeMap<&'static str, usize>,
}

impl<'a> Losses<'a> {
    fn new(story: &'a WalkStory) -> Self {
        Self {
            story,
            answers: 0,
            taken_back: 0,
            others: BTreeMap::new(),
        }
    }

    fn other(&mut self, told: &Told) {
        let what = match &told.what {
            Telling::CallMade { .. }
            | Telling::CallAnswered { .. }
            | Telling::CallArrived { .. }
            | Telling::CallOrdered { .. } => "entries about calls for help",
            Telling::DutyOpened { .. } | Telling::DutyClosed { .. } => "duties opened and closed",
            Telling::Noted { .. } => "notes",
            Telling::Paused | Telling::Resumed { .. } => "pauses and interruptions",
            Telling::WentBack { .. } => "steps back",
            Telling::ListEnded { .. } | Telling::GaveUp { .. } => "endings and their words",
            Telling::ListBegun { .. } | Telling::Answered { .. } => return,
        };
        self.count(what);
    }

    fn count(&mut self, what: &'static str) {
        *self.others.entry(what).or_default() += 1;
    }

    fn lines(self) -> Vec<String> {
        let walk = &self.story.walk;
        let line = |what: String| format!("{walk}: {what}");
        let mut lines = vec![line(format!(
            "when each of {} answers was seen and written, by whom, and in which order across checklists",
            self.answers
        ))];
        if self.taken_back > 0 {
            lines.push(line(format!(
                "{} answers that were taken back or entered in error",
                self.taken_back
            )));
        }
        lines.extend(
            self.others
                .iter()
                .map(|(what, many)| line(format!("{many} {what}"))),
        );
        let after = &self.story.afterwards;
        for (what, many) in [
            ("corrections and addenda", after.amendments.len()),
            ("signatures", after.signatures.len()),
            ("moves to another drain", after.moves.len()),
        ] {
            if many > 0 {
                lines.push(line(format!("{many} {what}")));
            }
        }
        lines
    }
}
