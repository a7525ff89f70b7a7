//! One question a line, one answer a line: on a pipe, for a screen reader, or from a file of
//! answers.

use std::io::{Read, Write};

use crate::moment::Moment;
use crate::units::Span;
use crate::walk::input::Input;
use crate::walk::view::View;

use super::line::{Dialogue, Heard, words_of};
use super::menu_page;
use super::page::Page;
use super::source::{Given, Pipe, Script, clock_step};
use super::step_page::{self, Typing, asked_in_short};
use super::stopped::{BadLine, Misread, Stopped};
use super::ways::Need;
use super::{Menu, Picked, Reply, Screen, Setup, TextQuestion, Tone, labels, messages, topic_page};

/// Moves the clock of a rehearsal on.
pub type MoveClock<'a> = dyn Fn(Span) + 'a;

enum Source {
    Pipe(Pipe),
    Script(Script),
}

/// What arrives at a prompt.
enum Arrived {
    Line(Given),
    /// The clock of a rehearsal was moved instead.
    ClockMoved,
}

/// The form with lines.
pub(super) struct Lines<'a, W> {
    setup: Setup<'a>,
    source: Source,
    output: W,
    /// Set once the reader of the output has gone.
    unheard: bool,
    move_clock: Option<&'a MoveClock<'a>>,
    dialogue: Dialogue,
    last: Option<Given>,
}

impl<'a, W: Write> Lines<'a, W> {
    /// Lines as they arrive.
    pub(super) fn on_pipe(
        setup: Setup<'a>,
        input: impl Read + Send + 'static,
        output: W,
        move_clock: Option<&'a MoveClock<'a>>,
    ) -> Self {
        Self::new(setup, Source::Pipe(Pipe::new(input)), output, move_clock)
    }

    /// Lines from a file of answers.
    pub(super) fn from_script(
        setup: Setup<'a>,
        script: Script,
        output: W,
        move_clock: Option<&'a MoveClock<'a>>,
    ) -> Self {
        Self::new(setup, Source::Script(script), output, move_clock)
    }

    fn new(
        setup: Setup<'a>,
        source: Source,
        output: W,
        move_clock: Option<&'a MoveClock<'a>>,
    ) -> Self {
        Self {
            setup,
            source,
            output,
            unheard: false,
            move_clock,
            dialogue: Dialogue::default(),
            last: None,
        }
    }

    fn put(&mut self, lines: &[String]) {
        let mut text = lines.join("\n");
        text.push('\n');
        let written = self
            .output
            .write_all(text.as_bytes())
            .and_then(|()| self.output.flush());
        self.unheard |= written.is_err();
    }

    fn print(&mut self, page: &Page) {
        self.put(&page.plain());
    }

    fn tell(&mut self, tone: Tone, text: &str) {
        let page = messages::said(self.setup.look, tone, text);
        self.print(&page);
    }

    /// The next line as it stands, or why there is none. `asked` is named when a file of answers
    /// has run out.
    fn given(&mut self, asked: &str) -> Result<Given, Stopped> {
        if self.unheard {
            return Err(Stopped::EndOfInput);
        }
        let given = match &mut self.source {
            Source::Pipe(pipe) => pipe.next()?.ok_or(Stopped::EndOfInput)?,
            Source::Script(script) => {
                let given = script.next().ok_or_else(|| Stopped::OutOfAnswers {
                    file: script.file.clone(),
                    lines: script.lines,
                    shown: asked.to_owned(),
                })?;
                let echo = format!("> {}", self.setup.look.text(&given.text));
                self.put(&[echo]);
                given
            }
        };
        self.last = Some(given.clone());
        Ok(given)
    }

    /// The next line, unless it moves the clock.
    fn next(&mut self, asked: &str) -> Result<Arrived, Stopped> {
        loop {
            let given = self.given(asked)?;
            match (clock_step(&given.text), self.move_clock) {
                (None, _) => return Ok(Arrived::Line(given)),
                (Some(step), Some(move_clock)) => {
                    move_clock(step);
                    return Ok(Arrived::ClockMoved);
                }
                (Some(_), None) => self.misread(&given, Misread::NoRehearsal)?,
            }
        }
    }

    /// The next line at a prompt where the time does not matter.
    fn next_line(&mut self, asked: &str) -> Result<Given, Stopped> {
        loop {
            if let Arrived::Line(given) = self.next(asked)? {
                return Ok(given);
            }
        }
    }

    /// A line that cannot stand: an error in a file of answers, else said and asked again.
    fn misread(&mut self, given: &Given, problem: Misread) -> Result<(), Stopped> {
        if let Source::Script(script) = &self.source {
            return Err(Stopped::BadLine(BadLine {
                file: script.file.clone(),
                line: given.number,
                text: given.text.clone(),
                problem,
            }));
        }
        self.tell(Tone::Problem, &labels::sentence(&problem.to_string()));
        Ok(())
    }

    fn react(
        &mut self,
        view: &View,
        now: Moment,
        given: &Given,
        heard: Result<Heard, Misread>,
    ) -> Result<Option<Reply>, Stopped> {
        match heard {
            Ok(Heard::Input(input)) => self.checked(given, input, now),
            Ok(Heard::Converted(input, typed, judged)) => {
                self.tell(Tone::Plain, &labels::converted(typed, judged));
                Ok(Some(Reply::Input(input)))
            }
            Ok(Heard::Need(need)) => self.needed(view, now, given, need),
            Ok(Heard::Tell(topic)) => {
                let page = topic_page::page(view, topic, now, self.setup.look, Typing::Lines);
                self.print(&page);
                Ok(None)
            }
            Ok(Heard::Late(seen)) => {
                self.tell(Tone::Plain, &labels::late(seen, now));
                Ok(None)
            }
            Ok(Heard::Doubt(doubt)) => {
                self.tell(Tone::Problem, &labels::doubt(doubt));
                Ok(None)
            }
            Ok(Heard::Nothing) => Ok(Some(Reply::Again)),
            Ok(Heard::Leave) => Ok(Some(Reply::Leave)),
            Err(misread) => {
                self.misread(given, misread)?;
                Ok(None)
            }
        }
    }

    /// Asks for the words of an input on the next line. A file of answers has them on the same.
    fn needed(
        &mut self,
        view: &View,
        now: Moment,
        given: &Given,
        need: Need,
    ) -> Result<Option<Reply>, Stopped> {
        if need.may_be_empty() {
            let heard = self.dialogue.complete(need, "", self.setup.read_moment);
            return self.react(view, now, given, heard);
        }
        if matches!(self.source, Source::Script(_)) {
            let example = match need {
                Need::When => "@04:10 y".to_owned(),
                _ => format!("{}: your words", given.text),
            };
            self.misread(given, Misread::NeedsWords { example })?;
        }
        self.tell(Tone::Plain, need.question());
        let words = self.next_line(need.question())?;
        let urgent = view
            .urgent
            .iter()
            .find(|urgent| urgent.key.to_string() == words.text);
        if let Some(urgent) = urgent {
            return Ok(Some(Reply::Input(Input::Jump(urgent.list.clone()))));
        }
        let heard = self
            .dialogue
            .complete(need, &words.text, self.setup.read_moment);
        if heard == Ok(Heard::Nothing) {
            self.tell(Tone::Quiet, labels::NOTHING_WRITTEN);
        }
        self.react(view, now, &words, heard)
    }

    /// Points out words that may name somebody, and asks before a walk is stopped for good. A
    /// file of answers was written with thought: it is told, not asked.
    fn checked(
        &mut self,
        given: &Given,
        input: Input,
        now: Moment,
    ) -> Result<Option<Reply>, Stopped> {
        if let Input::Answer {
            seen: Some(seen), ..
        }
        | Input::Note {
            seen: Some(seen), ..
        } = input
        {
            self.tell(Tone::Plain, &labels::counts_as_seen(seen, now));
        }
        let asks = matches!(self.source, Source::Pipe(_));
        if let Some(doubt) = words_of(&input).and_then(|words| (self.setup.doubt_text)(words)) {
            self.tell(Tone::Caution, &doubt);
            if asks && !self.yes(labels::KEEP_TEXT)? {
                return Ok(Some(Reply::Again));
            }
        }
        if matches!(input, Input::GiveUp { .. }) && asks && !self.yes(labels::STOP_SURE)? {
            return Ok(Some(Reply::Again));
        }
        self.last = Some(given.clone());
        Ok(Some(Reply::Input(input)))
    }

    /// Asks until there is a yes or a no.
    fn yes(&mut self, question: &str) -> Result<bool, Stopped> {
        let asked = format!("{question} ({})", labels::YES_OR_NO);
        loop {
            self.tell(Tone::Plain, &asked);
            let given = self.next_line(question)?;
            match given.text.to_lowercase().as_str() {
                "y" | labels::YES => return Ok(true),
                "n" | labels::NO => return Ok(false),
                "" => {}
                _ => {
                    self.urgent(&given)?;
                    let allowed = vec!["y".to_owned(), "n".to_owned()];
                    self.misread(&given, Misread::Unknown { allowed })?;
                }
            }
        }
    }

    /// Stops for an urgent key outside a walk.
    fn urgent(&self, given: &Given) -> Result<(), Stopped> {
        let found = self
            .setup
            .urgent
            .iter()
            .find(|urgent| urgent.key.to_string() == given.text);
        match found {
            Some(urgent) => Err(Stopped::Urgent(urgent.list.clone())),
            None => Ok(()),
        }
    }
}

impl<W: Write> Screen for Lines<'_, W> {
    fn step(&mut self, view: &View, now: Moment) -> Result<Reply, Stopped> {
        self.dialogue.stand_at(view);
        let late = self.dialogue.late();
        let page = step_page::page(view, now, late, self.setup.look, Typing::Lines);
        self.print(&page);
        let shown = format!("{}/{}: {}", view.list, view.step, asked_in_short(view));
        loop {
            let given = match self.next(&shown)? {
                Arrived::Line(given) => given,
                Arrived::ClockMoved => return Ok(Reply::Again),
            };
            let heard = self
                .dialogue
                .hear(view, &given.text, self.setup.read_moment);
            if let Some(reply) = self.react(view, now, &given, heard)? {
                return Ok(reply);
            }
        }
    }

    fn choose(&mut self, menu: &Menu) -> Result<Picked, Stopped> {
        let page = menu_page::page(menu, self.setup.look);
        self.print(&page);
        let entries = menu_page::entries(menu);
        loop {
            let given = self.next_line(&menu.title)?;
            if let Some(picked) = menu_page::find(&entries, &given.text) {
                return Ok(picked);
            }
            self.urgent(&given)?;
            let allowed = entries.iter().map(|entry| entry.key.clone()).collect();
            self.misread(&given, Misread::Unknown { allowed })?;
        }
    }

    fn text(&mut self, question: &TextQuestion<'_>) -> Result<String, Stopped> {
        let asked = menu_page::question(question);
        loop {
            self.tell(Tone::Plain, &asked);
            let given = self.next_line(question.question)?;
            self.urgent(&given)?;
            if question.may_be_open && given.text == "-" {
                return Ok(String::new());
            }
            if given.text.is_empty() {
                self.tell(Tone::Quiet, labels::NOTHING_WRITTEN);
                continue;
            }
            if let Err(why) = (question.check)(&given.text) {
                self.misread(&given, Misread::Refused { why })?;
                continue;
            }
            let Some(doubt) = (self.setup.doubt_text)(&given.text) else {
                return Ok(given.text);
            };
            self.tell(Tone::Caution, &doubt);
            if matches!(self.source, Source::Script(_)) || self.yes(labels::KEEP_TEXT)? {
                return Ok(given.text);
            }
        }
    }

    fn confirm(&mut self, question: &str) -> Result<bool, Stopped> {
        self.yes(question)
    }

    fn say(&mut self, tone: Tone, text: &str) {
        self.tell(tone, text);
    }

    fn saved(&mut self, text: &str) {
        self.tell(Tone::Quiet, &format!("{}{text}", labels::SAVED));
    }

    fn refused(&mut self, why: &str) -> Result<(), Stopped> {
        let why = why.to_owned();
        match self.last.clone() {
            Some(given) => self.misread(&given, Misread::Refused { why }),
            None => {
                self.tell(Tone::Problem, &labels::sentence(&why));
                Ok(())
            }
        }
    }

    fn excerpt(&mut self, rendered: &str) {
        let lines = messages::laid_out(self.setup.look, rendered);
        self.put(&lines);
    }

    fn finish(&mut self) -> Result<(), Stopped> {
        let Source::Script(script) = &mut self.source else {
            return Ok(());
        };
        match script.next() {
            Some(given) => self.misread(&given, Misread::Surplus),
            None => Ok(()),
        }
    }
}
