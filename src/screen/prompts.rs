//! What is asked further at a step on a terminal: words, a number, which call, which duty.

use console::Key;

use crate::moment::Moment;
use crate::walk::input::{CallNews, Input};
use crate::walk::view::{UrgentKey, View};

use super::device::Device;
use super::editor::{Edit, Editor};
use super::line::Heard;
use super::look::Role;
use super::page::Page;
use super::step_page::Typing;
use super::stopped::Stopped;
use super::terminal::Terminal;
use super::ways::{CallWord, Need, Topic};
use super::{Reply, Tone, labels, topic_page};

/// What came of asking for words.
pub(super) enum Written {
    Words(String),
    Urgent(Input),
    Left,
}

impl<D: Device> Terminal<'_, D> {
    /// Asks for the words of an input.
    pub(super) fn needed(
        &mut self,
        view: &View,
        now: Moment,
        need: Need,
    ) -> Result<Option<Reply>, Stopped> {
        let mut begun = String::new();
        loop {
            let words = match self.write(&view.urgent, &begun, need.question())? {
                Written::Words(words) => words,
                Written::Urgent(jump) => return Ok(Some(Reply::Input(jump))),
                Written::Left => return Ok(Some(Reply::Again)),
            };
            if words.is_empty() && !need.may_be_empty() {
                self.tell(Tone::Quiet, labels::NOTHING_WRITTEN);
                return Ok(Some(Reply::Again));
            }
            if need != Need::When {
                match self.keeps(view, &words)? {
                    Ok(true) => {}
                    Ok(false) => {
                        begun = words;
                        continue;
                    }
                    Err(reply) => return Ok(Some(reply)),
                }
            }
            if need == Need::Stop {
                match self.sure(view, labels::STOP_SURE)? {
                    Ok(true) => {}
                    Ok(false) => return Ok(Some(Reply::Again)),
                    Err(reply) => return Ok(Some(reply)),
                }
            }
            match self
                .dialogue
                .complete(need.clone(), &words, self.setup.read_moment)
            {
                Ok(Heard::Input(input)) => return Ok(Some(Reply::Input(input))),
                Err(misread) => {
                    self.misread(view, &misread);
                    begun = words;
                }
                heard => return self.react(view, now, "", heard),
            }
        }
    }

    /// Points out text that may name somebody. True when it is kept as it is.
    fn keeps(&mut self, view: &View, words: &str) -> Result<Result<bool, Reply>, Stopped> {
        match (self.setup.doubt_text)(words) {
            Some(doubt) => {
                self.tell(Tone::Caution, &doubt);
                self.sure(view, labels::KEEP_TEXT)
            }
            None => Ok(Ok(true)),
        }
    }

    /// Asks for y or n with Enter, inside a walk. Escape is a no: nothing happens.
    fn sure(&mut self, view: &View, question: &str) -> Result<Result<bool, Reply>, Stopped> {
        let prompt = format!("{question} {}", labels::YES_OR_NO);
        loop {
            let words = match self.write(&view.urgent, "", &prompt)? {
                Written::Words(words) => words,
                Written::Urgent(jump) => return Ok(Err(Reply::Input(jump))),
                Written::Left => return Ok(Ok(false)),
            };
            match words.to_lowercase().as_str() {
                "y" | labels::YES => return Ok(Ok(true)),
                "n" | labels::NO => return Ok(Ok(false)),
                _ => self.tell(Tone::Quiet, labels::YES_OR_NO),
            }
        }
    }

    /// Lets a line be written, with the urgent keys at work.
    pub(super) fn write(
        &mut self,
        urgent: &[UrgentKey],
        begun: &str,
        question: &str,
    ) -> Result<Written, Stopped> {
        self.tell(
            Tone::Plain,
            &format!("{question} ({})", labels::ENTER_SENDS),
        );
        let mut editor = Editor::with(begun);
        loop {
            self.draw_line(&editor, urgent);
            let key = self.device.key()?.key;
            let edit = editor.press(&key, urgent);
            if edit != Edit::Going {
                self.device.put("\n");
            }
            match edit {
                Edit::Going => {}
                Edit::Sent => return Ok(Written::Words(editor.text().trim().to_owned())),
                Edit::Left => return Ok(Written::Left),
                Edit::Urgent(index) => {
                    return Ok(match urgent.get(index) {
                        Some(urgent) => Written::Urgent(Input::Jump(urgent.list.clone())),
                        None => Written::Left,
                    });
                }
            }
        }
    }

    fn draw_line(&mut self, editor: &Editor, urgent: &[UrgentKey]) {
        let look = self.look();
        let hint = editor
            .alone(urgent)
            .and_then(|index| urgent.get(index))
            .map(|urgent| look.text(&labels::enter_starts(&urgent.title)))
            .unwrap_or_default();
        let room = look.width.saturating_sub(3);
        let typed = if hint.is_empty() {
            look.typed(&editor.tail(room))
        } else {
            let hint: String = hint.chars().take(room.saturating_sub(4)).collect();
            format!("{}  {}", editor.text(), look.paint(Role::Alarm, &hint))
        };
        // Back to the first column, clear the line, write it anew.
        self.device.put(&format!("\r\u{1b}[2K> {typed}"));
    }

    pub(super) fn calls(&mut self, view: &View, now: Moment) -> Result<Option<Reply>, Stopped> {
        let page = topic_page::page(view, Topic::Calls, now, self.look(), Typing::Keys);
        self.print(&page);
        let numbers: Vec<usize> = view.calls.iter().map(|call| call.call).collect();
        let call = match numbers.as_slice() {
            [] => return Ok(None),
            [only] => *only,
            _ => {
                let names = view
                    .calls
                    .iter()
                    .map(|call| (call.call.to_string(), call.who.clone()));
                match self.pick(&view.urgent, "Which call?", names.collect())? {
                    Ok(index) => numbers[index],
                    Err(reply) => return Ok(Some(reply)),
                }
            }
        };
        self.call_news(view, now, call)
    }

    fn call_news(
        &mut self,
        view: &View,
        now: Moment,
        call: usize,
    ) -> Result<Option<Reply>, Stopped> {
        let news = labels::CALL_NEWS
            .iter()
            .map(|(key, words)| ((*key).to_owned(), (*words).to_owned()));
        let word = match self.pick(&view.urgent, "What happened?", news.collect())? {
            Ok(0) => CallWord::Answered,
            Ok(1) => CallWord::Arrived,
            Ok(2) => CallWord::Ordered,
            Ok(_) => {
                let news = CallNews::NextCalled;
                return Ok(Some(Reply::Input(Input::Call { call, news })));
            }
            Err(reply) => return Ok(Some(reply)),
        };
        self.needed(view, now, Need::Call(call, word))
    }

    pub(super) fn duties(&mut self, view: &View, now: Moment) -> Result<Option<Reply>, Stopped> {
        let page = topic_page::page(view, Topic::Duties, now, self.look(), Typing::Keys);
        self.print(&page);
        if view.duties.is_empty() {
            return Ok(None);
        }
        let names = view
            .duties
            .iter()
            .enumerate()
            .map(|(index, duty)| ((index + 1).to_string(), duty.close.clone()));
        match self.pick(
            &view.urgent,
            "Which is closed or handed over?",
            names.collect(),
        )? {
            Ok(index) => match view.duties.get(index) {
                Some(duty) => self.needed(view, now, Need::Duty(duty.duty.clone())),
                None => Ok(Some(Reply::Again)),
            },
            Err(reply) => Ok(Some(reply)),
        }
    }

    /// One key out of a few. Escape and Enter go back to the step.
    fn pick(
        &mut self,
        urgent: &[UrgentKey],
        question: &str,
        options: Vec<(String, String)>,
    ) -> Result<Result<usize, Reply>, Stopped> {
        let keys: Vec<String> = options.iter().map(|(key, _)| key.clone()).collect();
        let mut page = Page::new(self.look());
        page.words(
            Role::Plain,
            "",
            &format!("{question} ({})", labels::ESC_BACK),
        );
        page.answers(options);
        self.print(&page);
        loop {
            let pressed = self.device.key()?.key;
            let Key::Char(c) = pressed else {
                if matches!(pressed, Key::Enter | Key::Escape) {
                    return Ok(Err(Reply::Again));
                }
                continue;
            };
            if let Some(urgent) = urgent.iter().find(|urgent| urgent.key == c) {
                return Ok(Err(Reply::Input(Input::Jump(urgent.list.clone()))));
            }
            match keys.iter().position(|key| *key == c.to_string()) {
                Some(index) => return Ok(Ok(index)),
                None => self.tell(Tone::Quiet, &labels::keys_are(&keys)),
            }
        }
    }
}
