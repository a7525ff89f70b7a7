//! `start --from-paper`: takes in afterwards what was ticked on a printed form. Each answer gets
//! the time at which it was seen, as the paper gives it, and is shown as it stood at that time.

use crate::failure::Failure;
use crate::journal::By;
use crate::moment::Moment;
use crate::names::ListName;
use crate::screen::{Item, Menu, Picked, Reply, Screen, Stopped, TextQuestion, Tone};
use crate::walk::OnPaper;
use crate::walk::input::{Answer, Input};
use crate::walk::view::{Show, View};

use super::desk::{Desk, writer};
use super::failures::stopped;

/// Written before an answer that has no time on the paper.
const NO_TIME: &str = "The paper has no time for the next entry. It is kept under the time of the \
                       entry before it.";

/// The note at the head of a walk from paper.
#[must_use]
pub fn note(paper: &OnPaper, entered_by: &By) -> String {
    format!(
        "Entered from paper. Written on paper by {}; entered here by {entered_by}. Times seen are \
         those on the paper. The paper is kept.",
        paper.by
    )
}

/// Asks what is not yet known of the paper.
///
/// # Errors
/// A failure when no reply can be had, or the writer given on the command line cannot be read.
pub fn ask(desk: &Desk, screen: &mut dyn Screen, by: Option<&str>) -> Result<OnPaper, Failure> {
    let by = match by {
        Some(text) => writer(text)?,
        None => {
            let check = |text: &str| writer(text).map(drop).map_err(|why| why.message);
            let question = TextQuestion {
                question: "Who wrote the paper? Initials and role",
                hint: Some("like CD, RN"),
                may_be_open: false,
                check: &check,
            };
            writer(&calm_text(screen, &question).map_err(|why| stopped(&why))?)?
        }
    };
    let read = |text: &str| desk.read_moment(text);
    let check = |text: &str| read(text).map(drop);
    let question = TextQuestion {
        question: "The date on the paper, and the first time on it",
        hint: Some("like 2026-03-01 23:50, or 23:50"),
        may_be_open: false,
        check: &check,
    };
    let text = calm_text(screen, &question).map_err(|why| stopped(&why))?;
    let begun = read(&text).map_err(Failure::usage)?;
    screen.say(Tone::Quiet, &on_paper(begun));
    let by = by.to_string();
    Ok(OnPaper { by, begun })
}

/// The time with its day, for the transcriber to compare with the paper.
fn on_paper(seen: Moment) -> String {
    format!("On the paper: {}.", seen.format("%H:%M on %d %b %Y"))
}

/// Asks for text. An urgent key starts nothing unless a patient needs it now.
fn calm_text(screen: &mut dyn Screen, question: &TextQuestion<'_>) -> Result<String, Stopped> {
    loop {
        match screen.text(question) {
            Err(Stopped::Urgent(list)) => {
                screen.say(
                    Tone::Plain,
                    &format!("That key starts the urgent list {list}, for a patient now."),
                );
                if screen.confirm("Does a patient need it now?")? {
                    return Err(Stopped::Urgent(list));
                }
            }
            other => return other,
        }
    }
}

/// A screen on which a paper is entered.
pub struct FromPaper<'a> {
    inner: &'a mut dyn Screen,
    desk: &'a Desk,
    /// An answer without a time on the paper, once the note about that is written.
    waiting: Option<Input>,
}

/// A time as it stands on the paper.
enum Stands {
    At(Moment),
    /// The paper has none.
    Nowhere,
}

impl<'a> FromPaper<'a> {
    /// Enters a paper on that screen.
    pub fn new(inner: &'a mut dyn Screen, desk: &'a Desk) -> Self {
        Self {
            inner,
            desk,
            waiting: None,
        }
    }

    /// Asks for the time on the paper; `last` is the one of the entry before.
    fn time(&mut self, question: &str, hint: &str, last: Moment) -> Result<Stands, Stopped> {
        let desk = self.desk;
        let read = |text: &str| desk.read_beside(text, last);
        let check = |text: &str| read(text).map(drop);
        let asked = TextQuestion {
            question,
            hint: Some(hint),
            may_be_open: true,
            check: &check,
        };
        loop {
            let text = calm_text(self.inner, &asked)?;
            if text.is_empty() {
                return Ok(Stands::Nowhere);
            }
            // What was good a moment ago is asked again rather than guessed, should it be so no longer.
            if let Ok(seen) = read(&text) {
                self.inner.say(Tone::Quiet, &on_paper(seen));
                if seen < last {
                    self.inner.say(
                        Tone::Plain,
                        &format!(
                            "That is earlier than the entry before it ({}). It is kept as it stands.",
                            last.format("%H:%M")
                        ),
                    );
                }
                return Ok(Stands::At(seen));
            }
        }
    }

    fn answered(
        &mut self,
        answer: Answer,
        seen: Option<Moment>,
        view: &View,
        last: Moment,
    ) -> Result<Reply, Stopped> {
        let stands = match (seen, &answer) {
            (Some(seen), _) => Stands::At(seen),
            (None, _) => self.time("When, on the paper?", "like 04:10", last)?,
        };
        let seen = match stands {
            Stands::At(seen) => seen,
            Stands::Nowhere => last,
        };
        if let (Show::Wait { due, .. }, Answer::Elapsed) = (&view.show, &answer)
            && seen < *due
        {
            self.inner.refused(&format!(
                "by the times on the paper this was watched until {}, and not until {}: enter it \
                 as broken off, or another time",
                seen.format("%H:%M"),
                due.format("%H:%M")
            ))?;
            return Ok(Reply::Again);
        }
        let answer = Input::Answer {
            answer,
            seen: Some(seen),
        };
        Ok(Reply::Input(match stands {
            Stands::At(_) => answer,
            Stands::Nowhere => {
                self.waiting = Some(answer);
                Input::Note {
                    text: NO_TIME.to_owned(),
                    seen: None,
                }
            }
        }))
    }

    /// A note on the paper has its time; one of the transcriber is written now.
    fn noted(&mut self, text: String, last: Moment) -> Result<Reply, Stopped> {
        let question = "When, on the paper?";
        let hint = "like 04:10; a note of your own has none";
        let seen = match self.time(question, hint, last)? {
            Stands::At(seen) => Some(seen),
            Stands::Nowhere => None,
        };
        Ok(Reply::Input(Input::Note { text, seen }))
    }

    /// Calls and duties: at their time on the paper, or that of the entry before.
    fn earlier(&mut self, input: Input, last: Moment) -> Result<Reply, Stopped> {
        let question = "When, on the paper?";
        let hint = "like 04:10";
        let seen = match self.time(question, hint, last)? {
            Stands::At(seen) => seen,
            Stands::Nowhere => last,
        };
        let input = Box::new(input);
        Ok(Reply::Input(Input::Earlier { seen, input }))
    }

    /// An urgent key: on the paper, for a patient now, or by mistake.
    fn urgent(&mut self, list: ListName, last: Moment) -> Result<Reply, Stopped> {
        let items = [
            "It is on the paper: that list was begun here.",
            "A patient needs it now: put the paper aside and start it.",
            "Neither: go on with the paper.",
        ];
        let menu = Menu {
            title: format!("You are entering a paper. What is meant by {list}?"),
            items: items.map(Item::numbered).into(),
            ..Menu::default()
        };
        match self.inner.choose(&menu)? {
            Picked::Item(0) => self.earlier(Input::Jump(list), last),
            Picked::Item(1) => Err(Stopped::Urgent(list)),
            _ => Ok(Reply::Again),
        }
    }
}

impl Screen for FromPaper<'_> {
    fn step(&mut self, view: &View, last: Moment) -> Result<Reply, Stopped> {
        if let Some(answer) = self.waiting.take() {
            return Ok(Reply::Input(answer));
        }
        let mut view = view.clone();
        view.title = format!("From paper: {}", view.title);
        match self.inner.step(&view, last)? {
            Reply::Input(Input::Answer { answer, seen }) => {
                self.answered(answer, seen, &view, last)
            }
            Reply::Input(Input::Note { text, seen: None }) => self.noted(text, last),
            Reply::Input(Input::Jump(list)) => self.urgent(list, last),
            Reply::Input(input @ (Input::Call { .. } | Input::CloseDuty { .. })) => {
                self.earlier(input, last)
            }
            other => Ok(other),
        }
    }

    fn choose(&mut self, menu: &Menu) -> Result<Picked, Stopped> {
        self.inner.choose(menu)
    }

    fn text(&mut self, question: &TextQuestion<'_>) -> Result<String, Stopped> {
        self.inner.text(question)
    }

    fn confirm(&mut self, question: &str) -> Result<bool, Stopped> {
        self.inner.confirm(question)
    }

    fn say(&mut self, tone: Tone, text: &str) {
        self.inner.say(tone, text);
    }

    fn saved(&mut self, text: &str) {
        self.inner.saved(text);
    }

    fn refused(&mut self, why: &str) -> Result<(), Stopped> {
        self.inner.refused(why)
    }

    fn excerpt(&mut self, rendered: &str) {
        self.inner.excerpt(rendered);
    }

    fn finish(&mut self) -> Result<(), Stopped> {
        self.inner.finish()
    }
}
