//! The one transition function: how an event moves a walk.

use crate::checklist::model::{
    Checklist, Condition, Endings, Jump, ListId, Outcome, StepId, StepKind, Value, Way,
};
use crate::moment::Moment;
use crate::names::{DutyName, FactName, ListName, StepName};
use crate::units::Span;

use super::Walk;
use super::answer::{Meaning, meaning};
use super::call;
use super::event::{Event, Happening};
use super::input::Answer;
use super::known::{Known, Verdict};
use super::refused::{Misfit, Refused};
use super::state::{Asking, Call, Completed, Entry, Frame, Memory, Opened, Status};
use super::story::{Entered, Telling};
use super::view::Undone;

/// More moves than this without asking anything would be a circle that the checks let through.
const MOST_SILENT_MOVES: usize = 100_000;

/// Where a `decide` leads, or the remembered answer that must be asked for again first.
enum Decided<'a> {
    Way(&'a Way),
    AskAgain(FactName),
}

impl Walk {
    /// Takes an event that follows from the events before it.
    pub(super) fn apply(&mut self, event: &Event) -> Result<(), Misfit> {
        self.event += 1;
        self.now = (event.seen, event.written);
        match &event.what {
            Happening::Begun { .. } => return Err(self.misfit("a walk begins only once")),
            Happening::Answered {
                list,
                step,
                asked,
                answer,
                charts: _,
            } => {
                self.apply_answer(list, step, asked, answer)?;
            }
            Happening::WentBack { list, step } => self.apply_back(list, step)?,
            Happening::Noted { text } => self.tell(Telling::Noted { text: text.clone() }),
            Happening::Paused => {
                self.state.status = Status::Paused(event.written);
                self.tell(Telling::Paused);
            }
            Happening::Resumed => self.apply_resume(event.written),
            Happening::Jumped { list } => self.apply_jump(list)?,
            Happening::GaveUp { reason } => {
                self.state.status = Status::Over(Outcome::Stopped, None);
                self.tell(Telling::GaveUp {
                    reason: reason.clone(),
                });
            }
            Happening::Called { call, news } => call::apply_news(self, *call, news)?,
            Happening::DutyClosed { duty, how } => {
                self.apply_closed(duty, how);
            }
        }
        self.note_paper_time(&event.what);
        self.last_written = event.written;
        Ok(())
    }

    /// In a walk from paper: the time on the paper goes on with what stands on the paper, not with
    /// what the transcriber does.
    fn note_paper_time(&mut self, what: &Happening) {
        if let (true, Some(at)) = (what.stands_on_paper(), self.state.on_paper.as_mut()) {
            *at = self.now.0;
        }
    }

    /// The moment at which the age of remembered answers is judged: when this is written, so that
    /// an answer entered late is as old as it was seen; in a walk from paper, the time on the paper.
    fn judged_at(&self) -> Moment {
        let (seen, written) = self.now;
        match self.state.on_paper {
            Some(_) => seen,
            None => written,
        }
    }

    /// What is known at that moment in the checklist being followed.
    pub(super) fn known(&self, now: Moment) -> Known<'_> {
        Known {
            frame: self.state.frame(),
            drain: &self.facts,
            book: self.library.facts(),
            now,
        }
    }

    /// The step that is asked now.
    pub(super) fn asked_step(&self) -> StepId {
        match &self.state.asking {
            Asking::Again(step) => *step,
            Asking::Step | Asking::Repeat(_) => self.state.frame().step,
        }
    }

    /// Whether a wait is looked at too late to count.
    pub(super) fn is_late(&self, seen: Moment) -> bool {
        let checklist = self.library.list(self.state.frame().list);
        match &checklist.step(self.asked_step()).kind {
            StepKind::Wait {
                period, late_after, ..
            } => seen > self.wait_due(period) + late_after.to_delta(),
            _ => false,
        }
    }

    fn apply_answer(
        &mut self,
        list: &ListName,
        step: &StepName,
        asked: &str,
        answer: &Answer,
    ) -> Result<(), Misfit> {
        match answer {
            Answer::StillSo | Answer::NoLonger => {
                return self.apply_repeat(matches!(answer, Answer::StillSo));
            }
            _ => {}
        }
        let library = self.library.clone();
        let checklist = library.list(self.state.frame().list);
        let at = self.asked_step();
        let shown = checklist.step(at);
        if checklist.name != *list || shown.name != *step {
            return Err(self.misfit(format!(
                "it answers {list}/{step}, but the walk stands at {}/{}",
                checklist.name, shown.name
            )));
        }
        let (seen, written) = self.now;
        let found = meaning(shown, answer, &self.known(seen), self.is_late(seen));
        let found = found.map_err(|refused| self.misfit(refused.to_string()))?;

        self.remember_place();
        let quick = (written - self.last_written) < chrono::TimeDelta::seconds(1)
            && self.event > 1
            && self.state.on_paper.is_none();
        self.tell(Telling::Answered {
            list: list.clone(),
            step: step.clone(),
            asked: asked.to_owned(),
            record: shown
                .record
                .as_ref()
                .map(|text| self.known(seen).fill(text)),
            answer: answer.clone(),
            words: found.words.clone(),
            tags: shown.tags.iter().cloned().collect(),
            critical: shown.critical,
            quick,
        });
        self.take_effects(checklist, at, asked, &found);
        match found.way {
            Some(way) => self.leave(checklist, at, way, &found),
            None => self.leave_end(checklist, at),
        }
    }

    /// Duties, calls, memory and what is left undone.
    fn take_effects(
        &mut self,
        checklist: &Checklist,
        at: StepId,
        asked: &str,
        found: &Meaning<'_>,
    ) {
        let step = checklist.step(at);
        let (seen, _) = self.now;
        let depth = self.state.frames.len() - 1;
        if let Some(reason) = &found.undone {
            self.undone.push(Undone {
                asked: asked.to_owned(),
                reason: reason.clone(),
            });
        }
        if found.way.is_some() {
            let frame = self.state.frame_mut();
            frame.answers += 1;
            frame.last = Some(Completed {
                depth,
                step: at,
                asked: asked.to_owned(),
                answered: found.words.clone(),
                seen,
            });
            if step.from_memory && found.done {
                frame.done.insert(at);
            }
        }
        if found.done {
            self.open_and_close(checklist, at);
            if let Some(level) = step.call {
                self.calls.push(Call {
                    level,
                    rung: 0,
                    called: seen,
                    answered: None,
                    arrived: None,
                    ordered: false,
                });
                call::tell_made(self, self.calls.len());
            }
        }
    }

    fn open_and_close(&mut self, checklist: &Checklist, at: StepId) {
        let step = checklist.step(at);
        let (seen, _) = self.now;
        for duty in &step.closes {
            if self.state.duties.iter().any(|open| open.duty == *duty) {
                self.state.duties.retain(|open| open.duty != *duty);
                let how = self
                    .library
                    .duty(duty)
                    .map_or_else(String::new, |one| one.close.clone());
                self.tell(Telling::DutyClosed {
                    duty: duty.clone(),
                    how,
                });
            }
        }
        for duty in &step.opens {
            if self.state.duties.iter().all(|open| open.duty != *duty) {
                self.state.duties.push(Opened {
                    duty: duty.clone(),
                    since: seen,
                    doubtful: false,
                });
                let open = self
                    .library
                    .duty(duty)
                    .map_or_else(String::new, |one| one.open.clone());
                self.tell(Telling::DutyOpened {
                    duty: duty.clone(),
                    open,
                });
            }
        }
    }

    /// Remembers the answer and goes where it leads.
    fn leave(
        &mut self,
        checklist: &Checklist,
        at: StepId,
        way: &Way,
        found: &Meaning<'_>,
    ) -> Result<(), Misfit> {
        let unchanged = self.is_same_as_remembered(checklist, at, way, found);
        let asked_again = matches!(self.state.asking, Asking::Again(_));
        self.remember(checklist, at, found);
        self.state.asking = Asking::Step;
        if asked_again && unchanged {
            return self.ask_stale_or_settle();
        }
        self.pass(at, way, found.value.as_ref());
        self.follow(way)?;
        self.settle()
    }

    /// Whether a repeated question got an answer that leads the same way as before.
    fn is_same_as_remembered(
        &self,
        checklist: &Checklist,
        at: StepId,
        way: &Way,
        found: &Meaning<'_>,
    ) -> bool {
        let step = checklist.step(at);
        let Some(remember) = &step.remember else {
            return false;
        };
        let Some(memory) = self.state.frame().memory.get(&remember.name) else {
            return false;
        };
        match (&memory.value, &found.value) {
            (Value::Amount(before), Some(Value::Amount(_))) => {
                let known = self.known(self.now.0);
                meaning(step, &Answer::Value(*before), &known, false)
                    .is_ok_and(|before| before.way == Some(way))
            }
            (before, Some(after)) => before == after,
            (_, None) => false,
        }
    }

    fn remember(&mut self, checklist: &Checklist, at: StepId, found: &Meaning<'_>) {
        let Some(remember) = &checklist.step(at).remember else {
            return;
        };
        let (seen, _) = self.now;
        let frame = self.state.frame_mut();
        match &found.value {
            Some(value) => {
                let until = remember.good_for.map(|span| seen + span.to_delta());
                let memory = Memory {
                    value: value.clone(),
                    step: at,
                    seen,
                    until,
                };
                frame.memory.insert(remember.name.clone(), memory);
            }
            None => {
                frame.memory.remove(&remember.name);
            }
        }
    }

    /// Goes where a way leads; the step there may still be one that asks nothing.
    fn follow(&mut self, way: &Way) -> Result<(), Misfit> {
        match way {
            Way::Jump(jump) => self.follow_jump(jump),
            Way::Use { list, endings } => self.enter(*list, Entry::Used(endings.clone())),
        }
        Ok(())
    }

    fn follow_jump(&mut self, jump: &Jump) {
        let (seen, _) = self.now;
        let frame = self.state.frame_mut();
        frame.step = match jump {
            Jump::To(step) => *step,
            Jump::Counted {
                go,
                at_most,
                after_that,
                counter,
            } => {
                let taken = frame.counts.entry(*counter).or_insert(0);
                if *taken < *at_most {
                    *taken += 1;
                    *go
                } else {
                    *after_that
                }
            }
        };
        frame.arrived = seen;
    }

    /// Begins another checklist on top.
    pub(super) fn enter(&mut self, list: ListId, entry: Entry) {
        let library = self.library.clone();
        let checklist = library.list(list);
        let how = match entry {
            Entry::Start => Entered::Start,
            Entry::Used(_) => Entered::Used,
            Entry::Jumped => Entered::Jumped,
        };
        self.state
            .frames
            .push(Frame::new(list, checklist.begin, entry, self.now.0));
        self.tell(Telling::ListBegun {
            list: checklist.name.clone(),
            title: checklist.title.clone(),
            version: checklist.version.clone(),
            kind: checklist.kind,
            how,
        });
    }

    /// Moves on over steps that ask nothing.
    pub(super) fn settle(&mut self) -> Result<(), Misfit> {
        let library = self.library.clone();
        for _ in 0..MOST_SILENT_MOVES {
            let frame = self.state.frame();
            match &library.list(frame.list).step(frame.step).kind {
                StepKind::Decide { rows, otherwise } => {
                    let rows = rows.iter().map(|row| (row.when.as_slice(), &row.way));
                    match self.decide(rows, otherwise) {
                        Decided::Way(way) => {
                            let at = self.state.frame().step;
                            self.pass(at, way, None);
                            self.follow(way)?;
                        }
                        Decided::AskAgain(name) => {
                            let step = self.state.frame().memory.get(&name).map(|one| one.step);
                            let step = step.ok_or_else(|| self.misfit("nothing to ask again"))?;
                            self.state.asking = Asking::Again(step);
                            return Ok(());
                        }
                    }
                }
                StepKind::Use { list, endings } => {
                    self.pass_use();
                    self.enter(*list, Entry::Used(endings.clone()));
                }
                _ => return Ok(()),
            }
        }
        Err(self.misfit("the checklist runs in a circle without asking anything"))
    }

    fn decide<'a>(
        &self,
        rows: impl Iterator<Item = (&'a [Condition], &'a Way)>,
        otherwise: &'a Way,
    ) -> Decided<'a> {
        let known = self.known(self.judged_at());
        for (when, way) in rows {
            let mut all = true;
            for condition in when {
                match known.verdict(condition) {
                    Verdict::Is(holds) => all &= holds,
                    Verdict::Stale(name) => return Decided::AskAgain(name),
                }
            }
            if all {
                return Decided::Way(way);
            }
        }
        Decided::Way(otherwise)
    }

    /// The closing text was read: the walk is over, or the checklist below goes on.
    fn leave_end(&mut self, checklist: &Checklist, at: StepId) -> Result<(), Misfit> {
        let StepKind::End {
            text,
            outcome,
            recheck,
        } = &checklist.step(at).kind
        else {
            return Err(self.misfit("the step is no end"));
        };
        let (seen, _) = self.now;
        self.tell(Telling::ListEnded {
            list: checklist.name.clone(),
            title: checklist.title.clone(),
            outcome: *outcome,
            text: self.known(seen).fill(text),
        });
        self.pass_end(at);
        let ended = self.state.frames.len();
        match self.state.frame().entry.clone() {
            Entry::Start => {
                let recheck = recheck.map(|span: Span| seen + span.to_delta());
                self.state.status = Status::Over(*outcome, recheck);
                Ok(())
            }
            Entry::Used(endings) => {
                self.state.frames.truncate(ended - 1);
                let jump = self.ending(&endings, *outcome)?;
                self.pass_back(&endings, *outcome, &jump);
                self.follow_jump(&jump);
                self.settle()
            }
            Entry::Jumped => {
                self.state.frames.truncate(ended - 1);
                self.offer_again()
            }
        }
    }

    fn ending(&self, endings: &Endings, outcome: Outcome) -> Result<Jump, Misfit> {
        let named = endings.by_outcome.iter().find(|(one, _)| *one == outcome);
        named
            .map(|(_, jump)| jump)
            .or(endings.any.as_ref())
            .cloned()
            .ok_or_else(|| self.misfit(format!("nothing follows the ending \"{outcome}\"")))
    }

    /// After an interruption: first the last completed item, then answers that have become too old.
    fn offer_again(&mut self) -> Result<(), Misfit> {
        match self.last_completed() {
            Some(item) if self.state.on_paper.is_none() => {
                self.state.asking = Asking::Repeat(item);
                Ok(())
            }
            _ => self.ask_stale_or_settle(),
        }
    }

    /// The last completed item of the checklist, or of the one that uses it.
    fn last_completed(&self) -> Option<Completed> {
        for frame in self.state.frames.iter().rev() {
            if frame.last.is_some() {
                return frame.last.clone();
            }
            if !matches!(frame.entry, Entry::Used(_)) {
                return None;
            }
        }
        None
    }

    /// Asks for the first remembered answer that is too old, or goes on.
    fn ask_stale_or_settle(&mut self) -> Result<(), Misfit> {
        let at = self.judged_at();
        let frame = self.state.frame();
        let stale = frame.memory.values().filter(|memory| memory.is_stale(at));
        let step = stale
            .map(|memory| memory.step)
            .filter(|step| *step != frame.step)
            .min();
        self.state.asking = step.map_or(Asking::Step, Asking::Again);
        match step {
            Some(_) => Ok(()),
            None => self.settle(),
        }
    }

    fn apply_repeat(&mut self, still: bool) -> Result<(), Misfit> {
        let Asking::Repeat(item) = self.state.asking.clone() else {
            return Err(self.misfit("nothing was repeated"));
        };
        let library = self.library.clone();
        let (seen, written) = self.now;
        let list = self.state.frames.get(item.depth).map(|frame| frame.list);
        let list = list.ok_or_else(|| self.misfit("the repeated item is gone"))?;
        let step = library.list(list).step(item.step);
        self.tell(Telling::Answered {
            list: library.list(list).name.clone(),
            step: step.name.clone(),
            asked: item.asked.clone(),
            record: step.record.as_ref().map(|text| self.known(seen).fill(text)),
            answer: if still {
                Answer::StillSo
            } else {
                Answer::NoLonger
            },
            words: if still {
                format!("still so: {}", item.answered)
            } else {
                format!("no longer so: {}", item.answered)
            },
            tags: step.tags.iter().cloned().collect(),
            critical: step.critical,
            quick: (written - self.last_written) < chrono::TimeDelta::seconds(1),
        });
        if still {
            self.refresh(&item, seen);
            return self.ask_stale_or_settle();
        }
        // The world has changed since; the answer was right when it was given. So the item is
        // asked again from where the walk stands, and nothing is taken back.
        self.state.frames.truncate(item.depth + 1);
        let frame = self.state.frame_mut();
        frame.step = item.step;
        frame.arrived = seen;
        self.state.asking = Asking::Step;
        Ok(())
    }

    /// A repeated item that still holds is as fresh as if it were answered now.
    fn refresh(&mut self, item: &Completed, seen: Moment) {
        let library = self.library.clone();
        let Some(frame) = self.state.frames.get_mut(item.depth) else {
            return;
        };
        let Some(remember) = &library.list(frame.list).step(item.step).remember else {
            return;
        };
        if let Some(memory) = frame.memory.get_mut(&remember.name) {
            memory.seen = seen;
            memory.until = remember.good_for.map(|span| seen + span.to_delta());
        }
    }

    fn apply_back(&mut self, list: &ListName, step: &StepName) -> Result<(), Misfit> {
        let Some(before) = self.past.pop() else {
            return Err(self.misfit(Refused::NothingBefore.to_string()));
        };
        let (seen, _) = self.now;
        let now_open = std::mem::take(&mut self.state.duties);
        self.state = before.state;
        self.undone.truncate(before.undone);
        self.state.status = Status::Going;
        for mut open in now_open {
            if self.state.duties.iter().all(|one| one.duty != open.duty) {
                // What may be open at the bedside stays open here until somebody says otherwise.
                open.doubtful = true;
                self.state.duties.push(open);
            }
        }
        self.strike_from(before.told);
        let at = self.asked_step();
        let checklist = self.library.list(self.state.frame().list);
        let shown = checklist.step(at);
        if checklist.name != *list || shown.name != *step {
            return Err(self.misfit(format!(
                "it goes back to {list}/{step}, which is not before"
            )));
        }
        let asked = self.asked_text(seen);
        self.tell(Telling::WentBack { asked });
        Ok(())
    }

    /// Marks what the answer told and brought about as taken back.
    fn strike_from(&mut self, told: usize) {
        let mut answered = None;
        for line in &mut self.story[told..] {
            if matches!(
                line.what,
                Telling::Answered { .. } | Telling::ListBegun { .. }
            ) {
                answered = Some(line.event);
            }
            // A duty closed by hand was closed at the bedside, whatever was answered.
            if line.what.can_be_taken_back() && answered == Some(line.event) {
                line.taken_back = true;
            }
        }
    }

    /// A duty closed by hand stays closed, also after a step back.
    fn apply_closed(&mut self, duty: &DutyName, how: &str) {
        self.state.duties.retain(|open| open.duty != *duty);
        for before in &mut self.past {
            before.state.duties.retain(|open| open.duty != *duty);
        }
        self.tell(Telling::DutyClosed {
            duty: duty.clone(),
            how: how.to_owned(),
        });
    }

    fn apply_resume(&mut self, written: Moment) {
        let was_paused = matches!(self.state.status, Status::Paused(_));
        let gap = (written - self.last_written)
            .num_seconds()
            .clamp(0, i64::from(u32::MAX));
        let gap = u32::try_from(gap).unwrap_or(u32::MAX);
        if was_paused {
            self.state.status = Status::Going;
        }
        self.tell(Telling::Resumed { gap, was_paused });
        // What stands on a paper is as it was, however long its entering was put aside.
        if let (None, Some(item)) = (self.state.on_paper, self.last_completed()) {
            self.state.asking = Asking::Repeat(item);
        }
    }

    fn apply_jump(&mut self, list: &ListName) -> Result<(), Misfit> {
        let Some(id) = self.library.find(list.as_str()) else {
            return Err(self.misfit(format!("there is no list \"{list}\"")));
        };
        self.remember_place();
        if matches!(self.state.status, Status::Paused(_)) {
            self.state.status = Status::Going;
        }
        self.state.asking = Asking::Step;
        self.enter(id, Entry::Jumped);
        self.settle()
    }

    /// An event that does not fit.
    pub(super) fn misfit(&self, what: impl Into<String>) -> Misfit {
        Misfit {
            event: self.event - 1,
            what: what.into(),
        }
    }
}

#[cfg(test)]
mod reach_tests;
