//! The one grammar for what is typed: a single key on a terminal, a line on a pipe, a line in a
//! file of answers.
//!
//! ```text
//! y                          a key, or the words beside it: "done", "no worse"
//! n: no sterile water here   words after a key
//! 2.5 cm                     a number with its unit
//! @04:10 y                   seen earlier than written
//! tubing = y                 meant for the step of that name
//! c1 answered: Dr on call    news of the first call; arrived, ordered, next
//! close clamp-on: how        a duty closed by other means
//! ```

use crate::moment::Moment;
use crate::names::{ListName, StepName};
use crate::units::{Amount, Number};
use crate::walk::input::{Answer, CallNews, Input};
use crate::walk::view::{Show, View};

use super::ReadMoment;
use super::amount;
use super::stopped::Misread;
use super::ways::{Act, CallWord, Need, Topic, Ways};

/// What was heard.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Heard {
    /// A complete input.
    Input(Input),
    /// A number in another unit than the step's: the input, and the number both ways.
    Converted(Input, Amount, Amount),
    /// Words are needed; hand them to [`Dialogue::complete`].
    Need(Need),
    /// Something is to be told; nothing was answered.
    Tell(Topic),
    /// The next answer or note counts as seen then.
    Late(Moment),
    /// A number outside what is plausible. Typed once more the same way, it stands.
    Doubt(Doubt),
    /// An empty line. It answers nothing.
    Nothing,
    /// The walk is left.
    Leave,
}

/// A number that is not plausible.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Doubt {
    /// As it was typed.
    pub typed: Amount,
    /// In the unit of the step.
    pub judged: Amount,
    /// What would be plausible, in the unit of the step.
    pub plausible: (Number, Number),
}

/// What has been said at the step that is shown and is not complete.
#[derive(Debug, Default)]
pub(super) struct Dialogue {
    place: Option<(ListName, StepName, usize)>,
    late: Option<Moment>,
    doubted: Option<Amount>,
}

impl Dialogue {
    /// When the next answer or note counts as seen, if it was said.
    pub(super) const fn late(&self) -> Option<Moment> {
        self.late
    }

    /// To be called with each view before it is shown: forgets what was said at another step.
    pub(super) fn stand_at(&mut self, view: &View) {
        let place = (view.list.clone(), view.step.clone(), view.number);
        if self.place.as_ref() != Some(&place) {
            *self = Self {
                place: Some(place),
                ..Self::default()
            };
        }
    }

    /// Reads one key or line.
    pub(super) fn hear(
        &mut self,
        view: &View,
        line: &str,
        read_moment: &ReadMoment<'_>,
    ) -> Result<Heard, Misread> {
        let line = line.trim();
        let ways = Ways::at(view);
        if line.is_empty() {
            return Ok(Heard::Nothing);
        }
        if let Some(way) = ways.by_key(line).or_else(|| ways.by_words(line)) {
            let act = way.act.clone();
            return Ok(self.act(act));
        }
        let line = without_step(view, line)?;
        match line.strip_prefix('@') {
            Some(rest) => self.hear_late(view, &ways, rest, read_moment),
            None => self.hear_spoken(view, &ways, line, read_moment),
        }
    }

    /// Completes an input with its words.
    pub(super) fn complete(
        &mut self,
        need: Need,
        words: &str,
        read_moment: &ReadMoment<'_>,
    ) -> Result<Heard, Misread> {
        let words = words.trim().to_owned();
        if words.is_empty() && !need.may_be_empty() {
            return Ok(Heard::Nothing);
        }
        let answer = match need {
            Need::NotDone => Answer::NotDone { reason: words },
            Need::Found => Answer::NotAsExpected { found: words },
            Need::CouldNotCheck => Answer::CouldNotCheck { reason: words },
            Need::NotObtained => Answer::NotObtained { reason: words },
            Need::Missed => Answer::Missed { reason: words },
            Need::When => {
                let seen = read_moment(&words).map_err(|why| Misread::Time { why })?;
                self.late = Some(seen);
                return Ok(Heard::Late(seen));
            }
            other => return Ok(Heard::Input(self.dated(without_answer(other, words)))),
        };
        let input = Input::Answer { answer, seen: None };
        Ok(Heard::Input(self.dated(input)))
    }

    fn hear_late(
        &mut self,
        view: &View,
        ways: &Ways,
        rest: &str,
        read_moment: &ReadMoment<'_>,
    ) -> Result<Heard, Misread> {
        let (seen, spoken) = split_time(rest, read_moment)?;
        if spoken.is_empty() {
            self.late = Some(seen);
            return Ok(Heard::Late(seen));
        }
        let before = self.late.replace(seen);
        let heard = self.hear_spoken(view, ways, spoken, read_moment);
        let fits = match &heard {
            Ok(Heard::Input(Input::Answer { .. } | Input::Note { .. } | Input::Jump(_))) => true,
            Ok(Heard::Need(need)) => need.can_be_late(),
            Ok(Heard::Converted(..) | Heard::Doubt(_)) => true,
            _ => false,
        };
        if fits {
            return heard;
        }
        self.late = before;
        let why = "only an answer or a note can carry an earlier time".to_owned();
        heard.and(Err(Misread::Refused { why }))
    }

    fn hear_spoken(
        &mut self,
        view: &View,
        ways: &Ways,
        line: &str,
        read_moment: &ReadMoment<'_>,
    ) -> Result<Heard, Misread> {
        if let Some(way) = ways.by_key(line).or_else(|| ways.by_words(line)) {
            return Ok(self.act(way.act.clone()));
        }
        if let Some((head, words)) = line.split_once(':') {
            let (head, words) = (head.trim(), words.trim());
            if let Some(way) = ways.by_key(head).or_else(|| ways.by_words(head)) {
                return self.with_words(way.act.clone(), head, words, read_moment);
            }
        }
        if let Some(spoken) = call_news(view, line).or_else(|| duty_closed(view, line)) {
            let (act, words) = spoken?;
            return self.with_words(act, line, words, read_moment);
        }
        match &view.show {
            Show::Measure {
                unit, plausible, ..
            } if starts_number(line) => {
                let reading = amount::read(line, *unit)?;
                Ok(self.measured(reading, *plausible))
            }
            show => Err(Misread::Unknown {
                allowed: ways.allowed(matches!(show, Show::Measure { .. })),
            }),
        }
    }

    fn with_words(
        &mut self,
        act: Act,
        head: &str,
        words: &str,
        read_moment: &ReadMoment<'_>,
    ) -> Result<Heard, Misread> {
        match act {
            Act::Words(need) if !words.is_empty() => self.complete(need, words, read_moment),
            act if words.is_empty() => Ok(self.act(act)),
            _ => Err(Misread::TakesNoWords {
                answer: head.to_owned(),
            }),
        }
    }

    fn act(&mut self, act: Act) -> Heard {
        match act {
            Act::Input(input) => Heard::Input(self.dated(input)),
            Act::Words(need) => Heard::Need(need),
            Act::Tell(topic) => Heard::Tell(topic),
            Act::Leave => Heard::Leave,
        }
    }

    fn measured(&mut self, reading: amount::Reading, plausible: (Number, Number)) -> Heard {
        let amount::Reading { typed, judged } = reading;
        let inside = (plausible.0..=plausible.1).contains(&judged.number);
        if !inside && self.doubted != Some(typed) {
            self.doubted = Some(typed);
            return Heard::Doubt(Doubt {
                typed,
                judged,
                plausible,
            });
        }
        let input = self.dated(Input::Answer {
            answer: Answer::Value(typed),
            seen: None,
        });
        if typed.unit == judged.unit {
            Heard::Input(input)
        } else {
            Heard::Converted(input, typed, judged)
        }
    }

    /// Puts the earlier time on an answer or a note, once.
    fn dated(&mut self, mut input: Input) -> Input {
        self.doubted = None;
        if let Input::Answer { seen, .. } | Input::Note { seen, .. } = &mut input {
            *seen = self.late.take();
        }
        input
    }
}

fn without_answer(need: Need, words: String) -> Input {
    match need {
        Need::Call(call, word) => Input::Call {
            call,
            news: match word {
                CallWord::Answered => CallNews::Answered { who: words },
                CallWord::Arrived => CallNews::Arrived { who: words },
                CallWord::Ordered => CallNews::Ordered { order: words },
            },
        },
        Need::Duty(duty) => Input::CloseDuty { duty, how: words },
        Need::Stop => Input::GiveUp { reason: words },
        _ => Input::Note {
            text: words,
            seen: None,
        },
    }
}

/// The line without the name of the step that stands before an equals sign.
fn without_step<'a>(view: &View, line: &'a str) -> Result<&'a str, Misread> {
    let Some((named, rest)) = line.split_once('=') else {
        return Ok(line);
    };
    let named = named.trim();
    let fits = match named.split_once('/') {
        Some((list, step)) if ListName::new(list).is_ok() && StepName::new(step).is_ok() => {
            list == view.list.as_str() && step == view.step.as_str()
        }
        None if StepName::new(named).is_ok() => named == view.step.as_str(),
        _ => return Ok(line),
    };
    if fits {
        return Ok(rest.trim());
    }
    Err(Misread::OtherStep {
        named: named.to_owned(),
        shown: format!("{}/{}", view.list, view.step),
    })
}

/// How many words a time may have: "20 min ago".
const WORDS_IN_A_TIME: usize = 3;

/// Splits "04:10 y" or "yesterday 23:50 y" into the moment and the rest: the fewest words that
/// are a time are taken for it.
fn split_time<'a>(
    rest: &'a str,
    read_moment: &ReadMoment<'_>,
) -> Result<(Moment, &'a str), Misread> {
    let rest = rest.trim();
    let ends = rest
        .char_indices()
        .filter(|(_, c)| c.is_whitespace())
        .map(|(at, _)| at)
        .filter(|at| !rest[..*at].ends_with(char::is_whitespace))
        .chain([rest.len()]);
    let mut first_why = None;
    for end in ends.take(WORDS_IN_A_TIME) {
        let (time, after) = rest.split_at(end);
        match read_moment(time) {
            Ok(seen) => return Ok((seen, after.trim())),
            Err(why) => first_why = first_why.or(Some(why)),
        }
    }
    Err(Misread::Time {
        why: first_why.unwrap_or_default(),
    })
}

/// True when the line begins as a number does.
pub(super) fn starts_number(line: &str) -> bool {
    line.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '\u{2212}'))
}

/// What is said of a call or a duty, and the words that came with it.
type Spoken<'a> = Result<(Act, &'a str), Misread>;

/// Reads "c1 answered: who". `None` when the line is something else.
fn call_news<'a>(view: &View, line: &'a str) -> Option<Spoken<'a>> {
    let (number, rest) = line.strip_prefix('c')?.split_once(char::is_whitespace)?;
    if number.is_empty() || !number.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let (verb, words) = split_word(rest);
    let open = view
        .calls
        .iter()
        .map(|open| open.call)
        .find(|open| number.parse() == Ok(*open));
    let Some(call) = open else {
        let number = number.to_owned();
        return Some(Err(Misread::NoSuchCall { number }));
    };
    let word = match verb {
        "answered" => CallWord::Answered,
        "arrived" => CallWord::Arrived,
        "ordered" => CallWord::Ordered,
        "next" => {
            let news = CallNews::NextCalled;
            return Some(Ok((Act::Input(Input::Call { call, news }), words)));
        }
        _ => {
            let known = ["answered: who", "arrived: who", "ordered: what", "next"];
            let allowed = known.map(|news| format!("c{call} {news}")).to_vec();
            return Some(Err(Misread::Unknown { allowed }));
        }
    };
    Some(Ok((Act::Words(Need::Call(call, word)), words)))
}

/// Reads "close clamp-on: how" or "close 1: how". `None` when the line is something else.
fn duty_closed<'a>(view: &View, line: &'a str) -> Option<Spoken<'a>> {
    let rest = line.strip_prefix("close ")?;
    let (named, words) = rest.split_once(':').unwrap_or((rest, ""));
    let (named, words) = (named.trim(), words.trim());
    let duty = view
        .duties
        .iter()
        .enumerate()
        .find(|(place, open)| open.duty.as_str() == named || named.parse() == Ok(place + 1));
    Some(match duty {
        Some((_, open)) => Ok((Act::Words(Need::Duty(open.duty.clone())), words)),
        None => Err(Misread::NoSuchDuty {
            duty: named.to_owned(),
            open: view
                .duties
                .iter()
                .map(|open| open.duty.to_string())
                .collect(),
        }),
    })
}

/// The first word and the rest, between which a colon may stand.
fn split_word(text: &str) -> (&str, &str) {
    let text = text.trim();
    let end = text
        .find(|c: char| c == ':' || c.is_whitespace())
        .unwrap_or(text.len());
    let (word, rest) = text.split_at(end);
    (word, rest.trim_start().trim_start_matches(':').trim())
}

/// The free words in an input.
pub(super) fn words_of(input: &Input) -> Option<&str> {
    match input {
        Input::Note { text, .. } => Some(text),
        Input::GiveUp { reason } => Some(reason),
        Input::CloseDuty { how, .. } => Some(how),
        Input::Call { news, .. } => match news {
            CallNews::Answered { who } | CallNews::Arrived { who } => Some(who),
            CallNews::Ordered { order } => Some(order),
            CallNews::NextCalled => None,
        },
        Input::Answer { answer, .. } => match answer {
            Answer::NotDone { reason }
            | Answer::CouldNotCheck { reason }
            | Answer::NotObtained { reason }
            | Answer::Missed { reason } => Some(reason),
            Answer::NotAsExpected { found } => Some(found),
            _ => None,
        },
        _ => None,
    }
}
