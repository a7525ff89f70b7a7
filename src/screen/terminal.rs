//! Single keys on a terminal.

use std::time::Duration;

use console::Key;

use crate::moment::Moment;
use crate::walk::input::{CallNews, Input};
use crate::walk::view::{Show, UrgentKey, View};

use super::device::{Console, Device};
use super::editor::{Edit, Editor};
use super::line::{Dialogue, Heard, starts_number};
use super::look::{Look, Role};
use super::menu_page::{self, Entry};
use super::page::Page;
use super::step_page::{self, Typing};
use super::stopped::{Misread, Stopped};
use super::ways::{CallWord, Need, Topic, Ways};
use super::{Menu, Picked, Reply, Screen, Setup, TextQuestion, Tone, labels, messages, topic_page};

/// An answer that comes sooner than this was typed before the step could be read: the key was
/// held down, or typed ahead. Nobody reads and presses in a tenth of a second (common practice,
/// no source).
const SOONEST: Duration = Duration::from_millis(100);

/// The form with single keys.
pub(super) struct Terminal<'a, D> {
    setup: Setup<'a>,
    device: D,
    dialogue: Dialogue,
    /// Told once while a key is held down.
    told_too_quick: bool,
}

/// What came of asking for words.
enum Written {
    Words(String),
    Urgent(Input),
    Left,
}

impl<'a> Terminal<'a, Console> {
    /// The terminal of the program.
    ///
    /// # Errors
    /// [`Stopped::Terminal`] when there is none.
    pub(super) fn open(setup: Setup<'a>) -> Result<Self, Stopped> {
        Ok(Self::on(Console::open()?, setup))
    }
}

impl<'a, D: Device> Terminal<'a, D> {
    /// The form on that device.
    pub(super) fn on(device: D, setup: Setup<'a>) -> Self {
        Self {
            setup,
            device,
            dialogue: Dialogue::default(),
            told_too_quick: false,
        }
    }

    fn look(&self) -> Look {
        self.setup.look.at_width(self.device.width())
    }

    fn print(&mut self, page: &Page) {
        let mut text = page.wrapped().join("\n");
        text.push('\n');
        self.device.put(&text);
    }

    fn tell(&mut self, tone: Tone, text: &str) {
        let page = messages::said(self.look(), tone, text);
        self.print(&page);
    }

    fn draw(&mut self, view: &View, now: Moment) {
        let late = self.dialogue.late();
        let page = step_page::page(view, now, late, self.look(), Typing::Keys);
        self.print(&page);
    }

    /// Takes one key at a step. `None` when nothing was answered yet.
    fn press(&mut self, view: &View, now: Moment) -> Result<Option<Reply>, Stopped> {
        let pressed = self.device.key()?;
        let c = match pressed.key {
            Key::Char(c) if !c.is_whitespace() => c,
            Key::Enter => return Ok(Some(Reply::Again)),
            _ => {
                self.tell(Tone::Quiet, &keys_that_work(view));
                return Ok(None);
            }
        };
        let by_line = begins_line(view, c);
        let line = if by_line {
            match self.write(&view.urgent, &c.to_string(), labels::NUMBER_PROMPT)? {
                Written::Words(line) => line,
                Written::Urgent(jump) => return Ok(Some(Reply::Input(jump))),
                Written::Left => return Ok(None),
            }
        } else {
            c.to_string()
        };
        let heard = self.dialogue.hear(view, &line, self.setup.read_moment);
        if pressed.after < SOONEST && !by_line && answers(&heard) {
            if !self.told_too_quick {
                self.tell(Tone::Quiet, labels::TOO_QUICK);
                self.told_too_quick = true;
            }
            return Ok(None);
        }
        self.told_too_quick = false;
        self.react(view, now, &line, heard)
    }

    fn react(
        &mut self,
        view: &View,
        now: Moment,
        line: &str,
        heard: Result<Heard, Misread>,
    ) -> Result<Option<Reply>, Stopped> {
        match heard {
            Ok(Heard::Input(input)) => {
                self.echo(view, line);
                Ok(Some(Reply::Input(input)))
            }
            Ok(Heard::Converted(input, typed, judged)) => {
                self.tell(Tone::Plain, &labels::converted(typed, judged));
                Ok(Some(Reply::Input(input)))
            }
            Ok(Heard::Need(need)) => {
                self.echo(view, line);
                self.needed(view, now, need)
            }
            Ok(Heard::Tell(Topic::Calls)) => self.calls(view, now),
            Ok(Heard::Tell(Topic::Duties)) => self.duties(view, now),
            Ok(Heard::Tell(topic)) => {
                let page = topic_page::page(view, topic, now, self.look(), Typing::Keys);
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
                self.misread(view, &misread);
                Ok(None)
            }
        }
    }

    /// Shows what a key was taken for. That it is saved is said later, by the caller.
    fn echo(&mut self, view: &View, line: &str) {
        let ways = Ways::at(view);
        let words = ways.by_key(line).map_or("", |way| way.words.as_str());
        let look = self.look();
        let text = look.text(&format!("{line} {words}"));
        self.device.put(&format!("> {}\n", text.trim_end()));
    }

    fn misread(&mut self, view: &View, misread: &Misread) {
        let text = match misread {
            Misread::Unknown { .. } => keys_that_work(view),
            other => labels::sentence(&other.to_string()),
        };
        self.tell(Tone::Quiet, &text);
    }

    /// Asks for the words of an input.
    fn needed(&mut self, view: &View, now: Moment, need: Need) -> Result<Option<Reply>, Stopped> {
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
    fn write(
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
            editor.tail(room)
        } else {
            let hint: String = hint.chars().take(room.saturating_sub(4)).collect();
            format!("{}  {}", editor.text(), look.paint(Role::Alarm, &hint))
        };
        // Back to the first column, clear the line, write it anew.
        self.device.put(&format!("\r\u{1b}[2K> {typed}"));
    }

    fn calls(&mut self, view: &View, now: Moment) -> Result<Option<Reply>, Stopped> {
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

    fn duties(&mut self, view: &View, now: Moment) -> Result<Option<Reply>, Stopped> {
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

    /// Takes one key at a menu. `None` when nothing was chosen.
    fn press_menu(&mut self, menu: &Menu) -> Result<Option<Picked>, Stopped> {
        let entries = menu_page::entries(menu);
        let key = self.device.key()?.key;
        let Key::Char(c) = key else {
            return Ok(None);
        };
        let many = entries.iter().any(|entry| entry.key.len() > 1);
        let line = if many && c.is_ascii_digit() {
            match self.write(&menu.urgent, &c.to_string(), labels::NUMBER_PROMPT)? {
                Written::Words(line) => line,
                Written::Urgent(Input::Jump(list)) => return Ok(Some(Picked::Urgent(list))),
                Written::Urgent(_) | Written::Left => return Ok(None),
            }
        } else {
            c.to_string()
        };
        match menu_page::find(&entries, &line) {
            Some(picked) => Ok(Some(picked)),
            None => {
                let keys: Vec<String> = entries.into_iter().map(|entry: Entry| entry.key).collect();
                self.tell(Tone::Quiet, &labels::keys_are(&keys));
                Ok(None)
            }
        }
    }

    fn urgent_of(&self, text: &str) -> Option<Stopped> {
        let found = self
            .setup
            .urgent
            .iter()
            .find(|urgent| urgent.key.to_string() == text)?;
        Some(Stopped::Urgent(found.list.clone()))
    }
}

/// True when the key begins a line: a number to be measured, or the number of one of many answers.
fn begins_line(view: &View, c: char) -> bool {
    match &view.show {
        Show::Measure { .. } => starts_number(&c.to_string()),
        Show::Ask { answers, .. } => answers.len() > 9 && c.is_ascii_digit(),
        _ => false,
    }
}

/// One line that says which keys work.
fn keys_that_work(view: &View) -> String {
    let ways = Ways::at(view);
    let keys = ways
        .answers
        .iter()
        .chain(&ways.others)
        .chain(&ways.urgent)
        .map(|way| way.key.clone());
    let number = matches!(view.show, Show::Measure { .. }).then(|| "a number".to_owned());
    labels::keys_are(&number.into_iter().chain(keys).collect::<Vec<_>>())
}

/// True when it would answer the step or begin to.
fn answers(heard: &Result<Heard, Misread>) -> bool {
    match heard {
        Ok(Heard::Input(input)) => matches!(input, Input::Answer { .. } | Input::Back),
        Ok(Heard::Need(_)) => true,
        _ => false,
    }
}

impl<D: Device> Screen for Terminal<'_, D> {
    fn step(&mut self, view: &View, now: Moment) -> Result<Reply, Stopped> {
        self.dialogue.stand_at(view);
        self.draw(view, now);
        loop {
            if let Some(reply) = self.press(view, now)? {
                return Ok(reply);
            }
        }
    }

    fn choose(&mut self, menu: &Menu) -> Result<Picked, Stopped> {
        let page = menu_page::page(menu, self.look());
        self.print(&page);
        loop {
            if let Some(picked) = self.press_menu(menu)? {
                return Ok(picked);
            }
        }
    }

    fn text(&mut self, question: &TextQuestion<'_>) -> Result<String, Stopped> {
        let urgent = self.setup.urgent.clone();
        let is_urgent = |text: &str| urgent.iter().any(|urgent| urgent.key.to_string() == text);
        let prompt = self.look().text(&menu_page::question(question));
        loop {
            let text = self.device.text(&prompt, &|text| {
                if is_urgent(text) || (question.may_be_open && text == "-") {
                    Ok(())
                } else {
                    (question.check)(text)
                }
            })?;
            if let Some(stopped) = self.urgent_of(&text) {
                return Err(stopped);
            }
            if question.may_be_open && text == "-" {
                return Ok(String::new());
            }
            match (self.setup.doubt_text)(&text) {
                Some(doubt) => {
                    self.tell(Tone::Caution, &doubt);
                    if self.device.confirm(labels::KEEP_TEXT)? {
                        return Ok(text);
                    }
                }
                None => return Ok(text),
            }
        }
    }

    fn confirm(&mut self, question: &str) -> Result<bool, Stopped> {
        let prompt = self.look().text(question);
        self.device.confirm(&prompt)
    }

    fn say(&mut self, tone: Tone, text: &str) {
        self.tell(tone, text);
    }

    fn saved(&mut self, text: &str) {
        self.tell(Tone::Quiet, &format!("{}{text}", labels::SAVED));
    }

    fn refused(&mut self, why: &str) -> Result<(), Stopped> {
        self.tell(Tone::Problem, &labels::sentence(why));
        Ok(())
    }

    fn excerpt(&mut self, rendered: &str) {
        let mut text = messages::laid_out(self.look(), rendered).join("\n");
        text.push('\n');
        self.device.put(&text);
    }

    fn finish(&mut self) -> Result<(), Stopped> {
        Ok(())
    }
}
