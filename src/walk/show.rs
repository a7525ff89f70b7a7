//! What a walk shows: builds the [`View`] from where the walk stands.

use crate::checklist::model::{
    Band, Checklist, ListKind, Outcome, Period, Step, StepId, StepKind, Value,
};
use crate::moment::Moment;
use crate::units::{Amount, Span, Unit};

use super::Walk;
use super::call::{answer_due, call_to, open_calls};
use super::known::Known;
use super::state::{Asking, Completed, Entry, Frame, Status};
use super::view::{Action, Choice, Due, DueWhat, Held, OpenDuty, Show, UrgentKey, View};

impl Walk {
    /// What to show at that moment.
    #[must_use]
    pub fn view(&self, now: Moment) -> View {
        let frame = self.state.frame();
        let checklist = self.library.list(frame.list);
        let step = checklist.step(self.asked_step());
        let known = self.known(now);
        let fill = |text: &Option<_>| text.as_ref().map(|text| known.fill(text));
        View {
            list: checklist.name.clone(),
            title: checklist.title.clone(),
            version: checklist.version.clone(),
            kind: checklist.kind,
            step: step.name.clone(),
            number: frame.answers + 1,
            caution: fill(&step.caution),
            place: fill(&step.place),
            why: fill(&step.why),
            sources: step
                .source
                .iter()
                .filter_map(|name| checklist.sources.get(name))
                .cloned()
                .collect(),
            critical: step.critical,
            show: self.show(now),
            held: self.held(now),
            calls: open_calls(self),
            duties: self.open_duties(),
            urgent: UrgentKey::all(&self.library, |list| {
                self.state.frames.iter().any(|frame| frame.list == list)
            }),
            can_go_back: !self.past.is_empty(),
            notices: Vec::new(),
        }
    }

    /// Everything that falls due, earliest first.
    #[must_use]
    pub fn due(&self) -> Vec<Due> {
        let mut due = Vec::new();
        if let (Status::Going, Asking::Step) = (&self.state.status, &self.state.asking) {
            let checklist = self.library.list(self.state.frame().list);
            if let StepKind::Wait { period, .. } = &checklist.step(self.asked_step()).kind {
                due.push(Due {
                    at: self.wait_due(period),
                    what: DueWhat::WaitOver,
                });
            }
        }
        for (index, call) in self.calls.iter().enumerate() {
            if let Some(at) = answer_due(&self.library, call) {
                due.push(Due {
                    at,
                    what: DueWhat::NoAnswer { call: index + 1 },
                });
            }
        }
        for duty in self.open_duties() {
            if let Some(at) = duty.due {
                due.push(Due {
                    at,
                    what: DueWhat::DutyOpen { duty: duty.duty },
                });
            }
        }
        if let Status::Over(_, Some(at)) = self.state.status {
            due.push(Due {
                at,
                what: DueWhat::Recheck,
            });
        }
        due.sort_by_key(|due| due.at);
        due
    }

    /// The step that is asked, as it is shown at that moment.
    pub(super) fn asked_text(&self, now: Moment) -> String {
        if let Asking::Repeat(item) = &self.state.asking {
            return item.asked.clone();
        }
        let checklist = self.library.list(self.state.frame().list);
        step_text(checklist.step(self.asked_step()), &self.known(now))
    }

    /// When the wait that is shown is over.
    pub(super) fn wait_due(&self, period: &Period) -> Moment {
        let span = match period {
            Period::Fixed(span) => *span,
            Period::Fact { name, unset } => match self.library.facts().get(name.as_str()) {
                Some(fact) => match fact.value {
                    Some(Value::Span(span)) => span,
                    _ => *unset,
                },
                None => *unset,
            },
        };
        self.state.frame().arrived + span.to_delta()
    }

    fn show(&self, now: Moment) -> Show {
        match &self.state.status {
            Status::Paused(since) => {
                let title = &self.library.list(self.state.frame().list).title;
                let hold_at = format!("{title}: {}", self.asked_text(now));
                return Show::Paused {
                    since: *since,
                    hold_at,
                };
            }
            Status::Over(outcome, recheck) => {
                return Show::Over {
                    outcome: *outcome,
                    recheck: *recheck,
                };
            }
            Status::Going => {}
        }
        if let Asking::Repeat(item) = &self.state.asking {
            return repeat(item, now);
        }
        let checklist = self.library.list(self.state.frame().list);
        self.show_step(checklist, self.asked_step(), now)
    }

    fn show_step(&self, checklist: &Checklist, at: StepId, now: Moment) -> Show {
        let step = checklist.step(at);
        let known = self.known(now);
        match &step.kind {
            StepKind::Do { .. } if checklist.kind == ListKind::Urgent && step.from_memory => {
                self.first_screen(checklist, at, &known)
            }
            StepKind::Do { .. } => Show::Do {
                action: self.action(step, &known, false),
            },
            StepKind::Check { text, expect, .. } => Show::Check {
                text: known.fill(text),
                expect: known.fill(expect),
            },
            StepKind::Ask { text, answers } => Show::Ask {
                text: known.fill(text),
                answers: answers
                    .iter()
                    .map(|one| Choice {
                        words: one.words.clone(),
                        unsure: one.unsure,
                    })
                    .collect(),
            },
            StepKind::Measure {
                text,
                unit,
                plausible,
                bands,
                ..
            } => Show::Measure {
                text: known.fill(text),
                unit: *unit,
                plausible: *plausible,
                bands: bands
                    .iter()
                    .map(|band| band_words(band, *unit, &known))
                    .collect(),
            },
            StepKind::Wait { text, period, .. } => Show::Wait {
                text: known.fill(text),
                started: self.state.frame().arrived,
                due: self.wait_due(period),
            },
            StepKind::End {
                text,
                outcome,
                recheck,
            } => self.show_end(known.fill(text), *outcome, *recheck),
            // A settled walk never stands at these; say so rather than fail at the bedside.
            StepKind::Decide { .. } | StepKind::Use { .. } => Show::Do {
                action: Action {
                    text: step.name.to_string(),
                    call: None,
                    done: false,
                },
            },
        }
    }

    fn show_end(&self, text: String, outcome: Outcome, recheck: Option<Span>) -> Show {
        Show::End {
            text,
            outcome,
            recheck,
            undone: self.undone.clone(),
            last: matches!(self.state.frame().entry, Entry::Start),
        }
    }

    fn first_screen(&self, checklist: &Checklist, at: StepId, known: &Known<'_>) -> Show {
        let first: Vec<(StepId, &Step)> = checklist
            .steps()
            .filter(|(_, step)| step.from_memory)
            .collect();
        let frame = self.state.frame();
        Show::Urgent {
            recognise: checklist.recognise.as_ref().map(|text| known.fill(text)),
            current: first.iter().position(|(id, _)| *id == at).unwrap_or(0),
            actions: first
                .iter()
                .map(|(id, step)| self.action(step, known, frame.done.contains(id)))
                .collect(),
        }
    }

    fn action(&self, step: &Step, known: &Known<'_>, done: bool) -> Action {
        Action {
            text: step_text(step, known),
            call: step.call.map(|level| call_to(&self.library, level, 0)),
            done,
        }
    }

    fn held(&self, now: Moment) -> Vec<Held> {
        let frames = &self.state.frames;
        frames
            .windows(2)
            .map(|pair| self.held_frame(&pair[0], &pair[1], now))
            .collect()
    }

    fn held_frame(&self, below: &Frame, above: &Frame, now: Moment) -> Held {
        let checklist = self.library.list(below.list);
        let known = Known {
            frame: below,
            ..self.known(now)
        };
        Held {
            title: checklist.title.clone(),
            at: match &checklist.step(below.step).kind {
                StepKind::Use { list, .. } => self.library.list(*list).title.clone(),
                _ => step_text(checklist.step(below.step), &known),
            },
            interrupted: matches!(above.entry, Entry::Jumped),
        }
    }

    fn open_duties(&self) -> Vec<OpenDuty> {
        let duties = self.state.duties.iter();
        duties
            .map(|open| {
                let duty = self.library.duty(&open.duty);
                OpenDuty {
                    duty: open.duty.clone(),
                    open: duty.map_or_else(|| open.duty.to_string(), |duty| duty.open.clone()),
                    close: duty.map_or_else(String::new, |duty| duty.close.clone()),
                    since: open.since,
                    due: duty
                        .and_then(|duty| duty.within)
                        .map(|span| open.since + span.to_delta()),
                    doubtful: open.doubtful,
                }
            })
            .collect()
    }
}

/// The text of a step as it is shown.
fn step_text(step: &Step, known: &Known<'_>) -> String {
    match step.kind.text() {
        Some(text) => known.fill(text),
        None => step.name.to_string(),
    }
}

fn repeat(item: &Completed, now: Moment) -> Show {
    let ago = (now - item.seen).num_seconds().max(0);
    Show::Repeat {
        asked: item.asked.clone(),
        answered: item.answered.clone(),
        seen: item.seen,
        ago: Span(u32::try_from(ago).unwrap_or(u32::MAX)),
    }
}

/// The band in words, with the numbers it is cut at.
fn band_words(band: &Band, unit: Unit, known: &Known<'_>) -> String {
    band.range.in_words(|cut| match known.cut(cut) {
        Some(number) => Amount::new(number, unit).to_string(),
        None => "[not known here]".to_owned(),
    })
}
