//! The persisted form of what an entry says: a kind and a JSON body.
//!
//! These types are the file format. The types of the core are turned into them and back, so that
//! a change there cannot change what is on disk. Rules for changing them: a field may be added
//! when old bodies still read (`#[serde(default)]`); a kind or a field is never renamed or given
//! another meaning.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::checklist::drain_fact::DrainFacts;
use crate::checklist::model::{Charts, Value};
use crate::names::{DutyName, FactName, ListName, StepName};
use crate::units::Span;
use crate::walk::event::Happening;
use crate::walk::input::{Answer, CallNews};

use super::charted;
use super::entry::{By, Mark, RecordAbout, Shelf, What};
use super::ids::{EntryId, SessionId, WalkId};
use super::moment_text;
use super::quantity::{AmountTwin, Unreadable};
use super::text_hash::TextHash;

/// The value of a drain fact. `word` is one of a fixed few, `words` are the nurse's own.
#[derive(Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum ValueTwin {
    Word(String),
    Amount(AmountTwin),
    /// Whole seconds.
    Seconds(u32),
    Words(String),
}

impl From<&Value> for ValueTwin {
    fn from(value: &Value) -> Self {
        match value {
            Value::Word(word) => Self::Word(word.clone()),
            Value::Amount(amount) => Self::Amount((*amount).into()),
            Value::Span(span) => Self::Seconds(span.0),
            Value::Words(words) => Self::Words(words.clone()),
        }
    }
}

impl TryFrom<ValueTwin> for Value {
    type Error = Unreadable;

    fn try_from(twin: ValueTwin) -> Result<Self, Unreadable> {
        Ok(match twin {
            ValueTwin::Word(word) => Self::Word(word),
            ValueTwin::Amount(amount) => Self::Amount(amount.try_into()?),
            ValueTwin::Seconds(seconds) => Self::Span(Span(seconds)),
            ValueTwin::Words(words) => Self::Words(words),
        })
    }
}

type FactsTwin = BTreeMap<String, ValueTwin>;

fn facts_twin(facts: &DrainFacts) -> FactsTwin {
    facts
        .iter()
        .map(|(name, value)| (name.to_string(), value.into()))
        .collect()
}

fn read_facts(twin: FactsTwin) -> Result<DrainFacts, Unreadable> {
    twin.into_iter()
        .map(|(name, value)| {
            let name = FactName::new(&name).map_err(|bad| bad.to_string())?;
            Ok((name, value.try_into()?))
        })
        .collect()
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum AnswerTwin {
    Done,
    NotDone { reason: String },
    AsExpected,
    NotAsExpected { found: String },
    CouldNotCheck { reason: String },
    Choice(String),
    Value(AmountTwin),
    NotObtained { reason: String },
    Elapsed,
    Missed { reason: String },
    Read,
    StillSo,
    NoLonger,
}

impl From<&Answer> for AnswerTwin {
    fn from(answer: &Answer) -> Self {
        match answer.clone() {
            Answer::Done => Self::Done,
            Answer::NotDone { reason } => Self::NotDone { reason },
            Answer::AsExpected => Self::AsExpected,
            Answer::NotAsExpected { found } => Self::NotAsExpected { found },
            Answer::CouldNotCheck { reason } => Self::CouldNotCheck { reason },
            Answer::Choice(words) => Self::Choice(words),
            Answer::Value(amount) => Self::Value(amount.into()),
            Answer::NotObtained { reason } => Self::NotObtained { reason },
            Answer::Elapsed => Self::Elapsed,
            Answer::Missed { reason } => Self::Missed { reason },
            Answer::Read => Self::Read,
            Answer::StillSo => Self::StillSo,
            Answer::NoLonger => Self::NoLonger,
        }
    }
}

impl TryFrom<AnswerTwin> for Answer {
    type Error = Unreadable;

    fn try_from(twin: AnswerTwin) -> Result<Self, Unreadable> {
        Ok(match twin {
            AnswerTwin::Done => Self::Done,
            AnswerTwin::NotDone { reason } => Self::NotDone { reason },
            AnswerTwin::AsExpected => Self::AsExpected,
            AnswerTwin::NotAsExpected { found } => Self::NotAsExpected { found },
            AnswerTwin::CouldNotCheck { reason } => Self::CouldNotCheck { reason },
            AnswerTwin::Choice(words) => Self::Choice(words),
            AnswerTwin::Value(amount) => Self::Value(amount.try_into()?),
            AnswerTwin::NotObtained { reason } => Self::NotObtained { reason },
            AnswerTwin::Elapsed => Self::Elapsed,
            AnswerTwin::Missed { reason } => Self::Missed { reason },
            AnswerTwin::Read => Self::Read,
            AnswerTwin::StillSo => Self::StillSo,
            AnswerTwin::NoLonger => Self::NoLonger,
        })
    }
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum NewsTwin {
    Answered { who: String },
    Arrived { who: String },
    Ordered { order: String },
    NextCalled,
}

impl From<&CallNews> for NewsTwin {
    fn from(news: &CallNews) -> Self {
        match news.clone() {
            CallNews::Answered { who } => Self::Answered { who },
            CallNews::Arrived { who } => Self::Arrived { who },
            CallNews::Ordered { order } => Self::Ordered { order },
            CallNews::NextCalled => Self::NextCalled,
        }
    }
}

impl From<NewsTwin> for CallNews {
    fn from(twin: NewsTwin) -> Self {
        match twin {
            NewsTwin::Answered { who } => Self::Answered { who },
            NewsTwin::Arrived { who } => Self::Arrived { who },
            NewsTwin::Ordered { order } => Self::Ordered { order },
            NewsTwin::NextCalled => Self::NextCalled,
        }
    }
}

macro_rules! bodies {
    ($($name:ident { $($field:ident: $type:ty,)* })*) => {$(
        #[derive(Debug, Serialize, Deserialize)]
        struct $name { $($field: $type,)* }
    )*};
}

bodies! {
    Empty {}
    At { list: String, step: String, }
    Text { text: String, }
    List { list: String, }
    Reason { reason: String, }
    Called { call: usize, news: NewsTwin, }
    DutyClosed { duty: String, how: String, }
    TakenOver { from: String, in_use: bool, }
    Facts { facts: FactsTwin, }
    Changed { facts: FactsTwin, why: String, }
    How { how: String, }
    Amended { entry: String, mark: String, text: String, why: String, }
    Jumped { from: String, to: String, }
    HandedOver { to_initials: String, to_role: String, read_back: String, }
    Signed { seq: i64, hash: String, }
}

/// An answer. Entries of the first version do not say what of the chart it is.
#[derive(Debug, Serialize, Deserialize)]
struct Answered {
    list: String,
    step: String,
    asked: String,
    answer: AnswerTwin,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    charts: Option<String>,
}

/// A walk that began. Entries of the first version have no paper.
#[derive(Debug, Serialize, Deserialize)]
struct Begun {
    list: String,
    facts: FactsTwin,
    shelf: BTreeMap<String, String>,
    approval: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    paper: Option<String>,
}

/// What says why a walk belongs to a drain. Entries of the first version have no reason.
#[derive(Debug, Serialize, Deserialize)]
struct Attached {
    #[serde(default, skip_serializing_if = "String::is_empty")]
    why: String,
}

/// A record that left the journal. Entries of the first version have only the path and the hash.
#[derive(Debug, Serialize, Deserialize)]
struct Record {
    path: String,
    sha256: String,
    #[serde(default)]
    record: String,
    #[serde(default)]
    form: String,
    #[serde(default)]
    how: String,
    #[serde(default)]
    walks: Vec<String>,
    #[serde(default)]
    upto: i64,
}

impl Record {
    fn new(path: &str, sha256: &TextHash, about: &RecordAbout) -> Self {
        Self {
            path: path.to_owned(),
            sha256: sha256.to_string(),
            record: about.kind.clone(),
            form: about.form.clone(),
            how: about.how.clone(),
            walks: about.walks.iter().map(ToString::to_string).collect(),
            upto: about.upto,
        }
    }

    fn read(self) -> Result<What, Unreadable> {
        let walks = self.walks.iter().map(|walk| WalkId::parse(walk));
        Ok(What::RecordWritten {
            sha256: read_hash(&self.sha256)?,
            path: self.path,
            about: RecordAbout {
                kind: self.record,
                form: self.form,
                how: self.how,
                walks: walks
                    .collect::<Result<_, _>>()
                    .map_err(|bad| bad.to_string())?,
                upto: self.upto,
            },
        })
    }
}

/// The kind of an entry and its body as one line of JSON.
///
/// # Errors
/// The words of the JSON writer; no value of [`What`] is known to cause one.
pub(super) fn write(what: &What) -> Result<(String, String), String> {
    let body = match what {
        What::Begun {
            list,
            facts,
            paper,
            shelf,
        } => begun(list, facts, paper.as_deref(), shelf),
        What::Walk(happening) => walk_body(happening),
        What::TakenOver { from, in_use } => json(&TakenOver {
            from: from.to_string(),
            in_use: *in_use,
        }),
        What::Attached { why } => json(&Attached { why: why.clone() }),
        What::DrainOpened { facts } => json(&Facts {
            facts: facts_twin(facts),
        }),
        What::DrainChanged { facts, why } => json(&Changed {
            facts: facts_twin(facts),
            why: why.clone(),
        }),
        What::DrainClosed { how } => json(&How { how: how.clone() }),
        What::DrainNote { text } => json(&Text { text: text.clone() }),
        What::Amended {
            entry,
            mark,
            text,
            why,
        } => json(&Amended {
            entry: entry.to_string(),
            mark: mark.word().to_owned(),
            text: text.clone(),
            why: why.clone(),
        }),
        What::ClockJumped { from, to } => json(&Jumped {
            from: moment_text::write(*from),
            to: moment_text::write(*to),
        }),
        What::Signed { seq, hash } => json(&Signed {
            seq: *seq,
            hash: hash.to_string(),
        }),
        What::Charted(what) => charted::body(what),
        What::HandedOver { to, read_back } => json(&HandedOver {
            to_initials: to.initials.clone(),
            to_role: to.role.clone(),
            read_back: read_back.clone(),
        }),
        What::RecordWritten {
            path,
            sha256,
            about,
        } => json(&Record::new(path, sha256, about)),
        What::Unread { kind, .. } => Err(format!("an entry of kind \"{kind}\" cannot be written")),
    }?;
    Ok((kind(what).to_owned(), body))
}

/// The kind, as it stands in the journal.
#[must_use]
pub fn kind(what: &What) -> &str {
    match what {
        What::Begun { .. } => "begun",
        What::Walk(happening) => walk_kind(happening),
        What::TakenOver { .. } => "taken-over",
        What::Attached { .. } => "attached",
        What::DrainOpened { .. } => "drain-opened",
        What::DrainChanged { .. } => "drain-changed",
        What::DrainClosed { .. } => "drain-closed",
        What::DrainNote { .. } => "drain-note",
        What::Amended { .. } => "amended",
        What::ClockJumped { .. } => "clock-jumped",
        What::Signed { .. } => "signed",
        What::HandedOver { .. } => "handed-over",
        What::RecordWritten { .. } => "record-written",
        What::Charted(what) => charted::kind(what),
        What::Unread { kind, .. } => kind,
    }
}

const fn walk_kind(happening: &Happening) -> &'static str {
    match happening {
        Happening::Begun { .. } => "begun",
        Happening::Answered { .. } => "answered",
        Happening::WentBack { .. } => "went-back",
        Happening::Noted { .. } => "noted",
        Happening::Paused => "paused",
        Happening::Resumed => "resumed",
        Happening::Jumped { .. } => "jumped",
        Happening::GaveUp { .. } => "gave-up",
        Happening::Called { .. } => "called",
        Happening::DutyClosed { .. } => "duty-closed",
    }
}

pub(super) fn json(body: &impl Serialize) -> Result<String, String> {
    serde_json::to_string(body).map_err(|error| error.to_string())
}

fn begun(
    list: &ListName,
    facts: &DrainFacts,
    paper: Option<&str>,
    shelf: &Shelf,
) -> Result<String, String> {
    json(&Begun {
        list: list.to_string(),
        facts: facts_twin(facts),
        shelf: shelf
            .files
            .iter()
            .map(|(path, hash)| (path.clone(), hash.to_string()))
            .collect(),
        approval: shelf.approval.clone(),
        paper: paper.map(ToOwned::to_owned),
    })
}

fn walk_body(happening: &Happening) -> Result<String, String> {
    match happening {
        Happening::Begun { list, facts, paper } => {
            begun(list, facts, paper.as_deref(), &Shelf::default())
        }
        Happening::Answered {
            list,
            step,
            asked,
            answer,
            charts,
        } => json(&Answered {
            list: list.to_string(),
            step: step.to_string(),
            asked: asked.clone(),
            answer: answer.into(),
            charts: charts.map(|charts| charts.word().to_owned()),
        }),
        Happening::WentBack { list, step } => json(&At {
            list: list.to_string(),
            step: step.to_string(),
        }),
        Happening::Noted { text } => json(&Text { text: text.clone() }),
        Happening::Paused | Happening::Resumed => json(&Empty {}),
        Happening::Jumped { list } => json(&List {
            list: list.to_string(),
        }),
        Happening::GaveUp { reason } => json(&Reason {
            reason: reason.clone(),
        }),
        Happening::Called { call, news } => json(&Called {
            call: *call,
            news: news.into(),
        }),
        Happening::DutyClosed { duty, how } => json(&DutyClosed {
            duty: duty.to_string(),
            how: how.clone(),
        }),
    }
}

/// Reads what [`write()`] writes. Never fails: what this version does not understand comes back as
/// [`What::Unread`] and stays in the journal as it is.
pub(super) fn read(kind: &str, body: &str) -> What {
    read_known(kind, body).unwrap_or_else(|why| What::Unread {
        kind: kind.to_owned(),
        why,
    })
}

fn read_known(kind: &str, body: &str) -> Result<What, Unreadable> {
    Ok(match kind {
        "begun" => read_begun(body)?,
        "taken-over" => {
            let twin: TakenOver = from_json(body)?;
            What::TakenOver {
                from: SessionId::parse(&twin.from).map_err(|bad| bad.to_string())?,
                in_use: twin.in_use,
            }
        }
        "attached" => What::Attached {
            why: from_json::<Attached>(body)?.why,
        },
        "drain-opened" => What::DrainOpened {
            facts: read_facts(from_json::<Facts>(body)?.facts)?,
        },
        "drain-changed" => {
            let twin: Changed = from_json(body)?;
            What::DrainChanged {
                facts: read_facts(twin.facts)?,
                why: twin.why,
            }
        }
        "drain-closed" => What::DrainClosed {
            how: from_json::<How>(body)?.how,
        },
        "drain-note" => What::DrainNote {
            text: from_json::<Text>(body)?.text,
        },
        "amended" => read_amended(body)?,
        "clock-jumped" => {
            let twin: Jumped = from_json(body)?;
            What::ClockJumped {
                from: moment_text::read(&twin.from)?,
                to: moment_text::read(&twin.to)?,
            }
        }
        "signed" => {
            let twin: Signed = from_json(body)?;
            What::Signed {
                seq: twin.seq,
                hash: read_hash(&twin.hash)?,
            }
        }
        "handed-over" => {
            let twin: HandedOver = from_json(body)?;
            What::HandedOver {
                to: By {
                    initials: twin.to_initials,
                    role: twin.to_role,
                },
                read_back: twin.read_back,
            }
        }
        "record-written" => from_json::<Record>(body)?.read()?,
        _ => match charted::read(kind, body)? {
            Some(what) => What::Charted(what),
            None => What::Walk(read_happening(kind, body)?),
        },
    })
}

pub(super) fn from_json<'a, T: Deserialize<'a>>(body: &'a str) -> Result<T, Unreadable> {
    serde_json::from_str(body).map_err(|error| error.to_string())
}

fn read_hash(text: &str) -> Result<TextHash, Unreadable> {
    TextHash::parse(text).ok_or_else(|| format!("\"{text}\" is not a SHA-256 hash"))
}

fn read_list(text: &str) -> Result<ListName, Unreadable> {
    ListName::new(text).map_err(|bad| bad.to_string())
}

fn read_charts(word: &str) -> Result<Charts, Unreadable> {
    Charts::parse(word).ok_or_else(|| format!("\"{word}\" is no part of the chart known here"))
}

fn read_step(text: &str) -> Result<StepName, Unreadable> {
    StepName::new(text).map_err(|bad| bad.to_string())
}

fn read_begun(body: &str) -> Result<What, Unreadable> {
    let twin: Begun = from_json(body)?;
    let files = twin
        .shelf
        .into_iter()
        .map(|(path, hash)| Ok((path, read_hash(&hash)?)))
        .collect::<Result<_, Unreadable>>()?;
    Ok(What::Begun {
        list: read_list(&twin.list)?,
        facts: read_facts(twin.facts)?,
        paper: twin.paper,
        shelf: Shelf {
            files,
            approval: twin.approval,
        },
    })
}

fn read_amended(body: &str) -> Result<What, Unreadable> {
    let twin: Amended = from_json(body)?;
    Ok(What::Amended {
        entry: EntryId::parse(&twin.entry).map_err(|bad| bad.to_string())?,
        mark: Mark::parse(&twin.mark)
            .ok_or_else(|| format!("mark \"{}\" is not known", twin.mark))?,
        text: twin.text,
        why: twin.why,
    })
}

fn read_happening(kind: &str, body: &str) -> Result<Happening, Unreadable> {
    Ok(match kind {
        "answered" => {
            let twin: Answered = from_json(body)?;
            Happening::Answered {
                list: read_list(&twin.list)?,
                step: read_step(&twin.step)?,
                asked: twin.asked,
                answer: twin.answer.try_into()?,
                charts: twin.charts.as_deref().map(read_charts).transpose()?,
            }
        }
        "went-back" => {
            let twin: At = from_json(body)?;
            Happening::WentBack {
                list: read_list(&twin.list)?,
                step: read_step(&twin.step)?,
            }
        }
        "noted" => Happening::Noted {
            text: from_json::<Text>(body)?.text,
        },
        "paused" => from_json::<Empty>(body).map(|_| Happening::Paused)?,
        "resumed" => from_json::<Empty>(body).map(|_| Happening::Resumed)?,
        "jumped" => Happening::Jumped {
            list: read_list(&from_json::<List>(body)?.list)?,
        },
        "gave-up" => Happening::GaveUp {
            reason: from_json::<Reason>(body)?.reason,
        },
        "called" => {
            let twin: Called = from_json(body)?;
            Happening::Called {
                call: twin.call,
                news: twin.news.into(),
            }
        }
        "duty-closed" => {
            let twin: DutyClosed = from_json(body)?;
            Happening::DutyClosed {
                duty: DutyName::new(&twin.duty).map_err(|bad| bad.to_string())?,
                how: twin.how,
            }
        }
        _ => return Err(format!("kind \"{kind}\" is not known to this version")),
    })
}

#[cfg(test)]
#[path = "event_tests.rs"]
pub(super) mod tests;
