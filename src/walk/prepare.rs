//! Turns what a person did into an event, or says why not. Nothing is changed here.

use crate::checklist::model::{AS_EXPECTED, Charts, ForChart, ListKind, NOT_AS_EXPECTED, StepKind};
use crate::moment::Moment;
use crate::names::ListName;

use super::Walk;
use super::answer::meaning;
use super::event::{Event, Happening};
use super::input::{Answer, CallNews, Input};
use super::refused::Refused;
use super::state::{Asking, Status};

impl Walk {
    /// The event that an input is, to be made durable and then [taken](Walk::take).
    ///
    /// # Errors
    /// [`Refused`] when the input does not fit where the walk stands.
    pub fn prepare(&self, input: Input, now: Moment) -> Result<Event, Refused> {
        if let Input::Earlier { seen, input } = input {
            let event = self.prepare(*input, now)?;
            let seen = seen_by(Some(seen), now)?;
            return Ok(Event { seen, ..event });
        }
        self.fits_status(&input)?;
        let mut seen_at = now;
        let what = match input {
            // Taken apart above.
            Input::Earlier { input, .. } => return self.prepare(*input, now),
            Input::Answer { answer, seen } => {
                seen_at = seen_by(seen, now)?;
                self.prepare_answer(answer, seen_at)?
            }
            Input::Back => self.prepare_back()?,
            Input::Note { text, seen } => {
                seen_at = seen_by(seen, now)?;
                match text.trim() {
                    "" => return Err(Refused::EmptyNote),
                    text => Happening::Noted {
                        text: text.to_owned(),
                    },
                }
            }
            Input::Pause => Happening::Paused,
            Input::Resume => Happening::Resumed,
            Input::Jump(list) => self.prepare_jump(list)?,
            Input::GiveUp { reason } => Happening::GaveUp {
                reason: said(&reason)?,
            },
            Input::Call { call, news } => self.prepare_call(call, news)?,
            Input::CloseDuty { duty, how } => {
                if self.state.duties.iter().all(|open| open.duty != duty) {
                    return Err(Refused::NoSuchDuty { duty });
                }
                Happening::DutyClosed {
                    duty,
                    how: said(&how)?,
                }
            }
        };
        Ok(Event {
            seen: seen_at,
            written: now,
            what,
        })
    }

    /// A walk that is paused or over takes only what goes on at the bedside regardless.
    fn fits_status(&self, input: &Input) -> Result<(), Refused> {
        let regardless = matches!(
            input,
            Input::Call { .. } | Input::CloseDuty { .. } | Input::Note { .. }
        );
        match self.state.status {
            Status::Over(..) if !regardless => Err(Refused::Over),
            Status::Paused(_)
                if !regardless
                    && !matches!(input, Input::Resume | Input::Jump(_) | Input::GiveUp { .. }) =>
            {
                Err(Refused::Paused)
            }
            _ => Ok(()),
        }
    }

    fn prepare_answer(&self, answer: Answer, seen: Moment) -> Result<Happening, Refused> {
        let repeated = matches!(answer, Answer::StillSo | Answer::NoLonger);
        let (list, at) = match &self.state.asking {
            Asking::Repeat(item) => match self.state.frames.get(item.depth) {
                Some(frame) => (frame.list, item.step),
                None => (self.state.frame().list, self.asked_step()),
            },
            _ => (self.state.frame().list, self.asked_step()),
        };
        let checklist = self.library.list(list);
        let step = checklist.step(at);
        if repeated != matches!(self.state.asking, Asking::Repeat(_)) {
            let allowed = if repeated {
                "it is not repeated after an interruption"
            } else {
                "after an interruption, say first whether it is still so or no longer"
            };
            return Err(Refused::WrongKind {
                step: step.name.clone(),
                allowed,
            });
        }
        if !repeated {
            if let (StepKind::Wait { period, .. }, Answer::Elapsed) = (&step.kind, &answer) {
                let due = self.wait_due(period);
                if seen < due {
                    return Err(Refused::NotYet { due });
                }
            }
            meaning(step, &answer, &self.known(seen), self.is_late(seen))?;
        }
        Ok(Happening::Answered {
            list: checklist.name.clone(),
            step: step.name.clone(),
            asked: self.asked_text(seen),
            charts: charts(&step.charts, &answer),
            answer,
        })
    }

    fn prepare_back(&self) -> Result<Happening, Refused> {
        let Some(before) = self.past.last().map(|before| &before.state) else {
            return Err(Refused::NothingBefore);
        };
        let frame = before.frame();
        let checklist = self.library.list(frame.list);
        let step = match &before.asking {
            Asking::Again(step) => *step,
            Asking::Step | Asking::Repeat(_) => frame.step,
        };
        Ok(Happening::WentBack {
            list: checklist.name.clone(),
            step: checklist.step(step).name.clone(),
        })
    }

    fn prepare_jump(&self, list: ListName) -> Result<Happening, Refused> {
        let Some(id) = self.library.find(list.as_str()) else {
            return Err(Refused::NotUrgent { list });
        };
        if self.library.list(id).kind != ListKind::Urgent {
            return Err(Refused::NotUrgent { list });
        }
        if self.state.frames.iter().any(|frame| frame.list == id) {
            return Err(Refused::AlreadyThere { list });
        }
        Ok(Happening::Jumped { list })
    }

    fn prepare_call(&self, call: usize, news: CallNews) -> Result<Happening, Refused> {
        if call == 0 || call > self.calls.len() {
            return Err(Refused::NoSuchCall { call });
        }
        let news = match news {
            CallNews::Answered { who } => CallNews::Answered { who: said(&who)? },
            CallNews::Arrived { who } => CallNews::Arrived { who: said(&who)? },
            CallNews::Ordered { order } => CallNews::Ordered {
                order: said(&order)?,
            },
            CallNews::NextCalled => CallNews::NextCalled,
        };
        Ok(Happening::Called { call, news })
    }
}

/// What the answer is for the drain chart.
fn charts(step: &ForChart, answer: &Answer) -> Option<Charts> {
    match (answer, step) {
        (Answer::Value(_), ForChart::Number(charts)) => Some(*charts),
        (Answer::Choice(words), step) => step.of(words),
        (Answer::AsExpected, step) => step.of(AS_EXPECTED),
        (Answer::NotAsExpected { .. }, step) => step.of(NOT_AS_EXPECTED),
        _ => None,
    }
}

/// The time at which it was seen: now, or earlier if so given.
fn seen_by(seen: Option<Moment>, now: Moment) -> Result<Moment, Refused> {
    match seen {
        Some(seen) if seen > now => Err(Refused::NotSeenYet { seen }),
        Some(seen) => Ok(seen),
        None => Ok(now),
    }
}

/// Words that must not be empty.
fn said(words: &str) -> Result<String, Refused> {
    match words.trim() {
        "" => Err(Refused::NoReason),
        words => Ok(words.to_owned()),
    }
}
