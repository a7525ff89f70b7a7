//! Single keys on a terminal.

use std::time::Duration;

use console::Key;

use crate::moment::Moment;
use crate::walk::input::Input;
use crate::walk::view::{Show, View};

use super::device::{Console, Device, FOREVER};
use super::line::{Dialogue, Heard, starts_number};
use super::look::Look;
use super::menu_page::{self, Entry};
use super::page::{self, Page};
use super::prompts::Written;
use super::step_page::{self, Typing};
use super::stopped::{Misread, Stopped};
use super::ways::{Topic, Ways};
use super::{Menu, Picked, Reply, Screen, Setup, TextQuestion, Tone, labels, messages, topic_page};

/// An answer that comes sooner than this was typed before the step could be read: the key was
/// held down, or typed ahead. Nobody reads and presses in a tenth of a second (common practice,
/// no source).
const SOONEST: Duration = Duration::from_millis(100);

/// With something to fall due, the clock is read again this often: a computer that slept does not
/// count the time itself.
const LOOK_AGAIN: Duration = Duration::from_secs(20);

/// The form with single keys.
pub(super) struct Terminal<'a, D> {
    pub(super) setup: Setup<'a>,
    pub(super) device: D,
    pub(super) dialogue: Dialogue,
    /// Told once while a key is held down.
    told_too_quick: bool,
    /// The step at which no key came, and when it was drawn: it is only drawn again when
    /// something has fallen due since.
    waited_at: Option<(View, Moment)>,
    /// The menu at which no key came.
    waited_at_menu: Option<Menu>,
    /// The menu was drawn anew, under the hand of whoever was about to choose.
    menu_changed: bool,
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
            waited_at: None,
            waited_at_menu: None,
            menu_changed: false,
        }
    }

    pub(super) fn look(&self) -> Look {
        self.setup.look.at_width(self.device.width())
    }

    pub(super) fn print(&mut self, page: &Page) {
        let mut text = page.wrapped().join("\n");
        text.push('\n');
        self.device.put(&text);
    }

    pub(super) fn tell(&mut self, tone: Tone, text: &str) {
        let page = messages::said(self.look(), tone, text);
        self.print(&page);
    }

    /// The end of a question for a prompt on one line, with room for the answer behind it; what of a
    /// long one comes before is printed, broken between words.
    fn prompt(&mut self, question: &str) -> String {
        const ROOM: usize = 12;
        let width = self.look().width.saturating_sub(ROOM);
        let mut lines = page::wrap(question, width, 0);
        let last = lines.pop().unwrap_or_default();
        for line in lines {
            self.tell(Tone::Plain, &line);
        }
        self.look().text(&last)
    }

    fn draw(&mut self, view: &View, now: Moment) {
        let late = self.dialogue.late();
        let page = step_page::page(view, now, late, self.look(), Typing::Keys);
        self.print(&page);
    }

    /// Takes one key at a step. `None` when nothing was answered yet.
    fn press(&mut self, view: &View, now: Moment) -> Result<Option<Reply>, Stopped> {
        let Some(pressed) = self.device.key_within(until_it_changes(view, now))? else {
            self.waited_at = Some((view.clone(), now));
            return Ok(Some(Reply::Again));
        };
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

    pub(super) fn react(
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
        self.tell(Tone::Plain, format!("> {line} {words}").trim_end());
    }

    pub(super) fn misread(&mut self, view: &View, misread: &Misread) {
        let text = match misread {
            Misread::Unknown { .. } => keys_that_work(view),
            other => labels::sentence(&other.to_string()),
        };
        self.tell(Tone::Quiet, &text);
    }

    /// Takes one key at a menu. `None` when nothing was chosen.
    fn press_menu(&mut self, menu: &Menu) -> Result<Option<Picked>, Stopped> {
        let entries = menu_page::entries(menu);
        let Some(pressed) = self.device.key_within(menu.look_again.unwrap_or(FOREVER))? else {
            self.waited_at_menu = Some(menu.clone());
            return Ok(Some(Picked::Again));
        };
        let Key::Char(c) = pressed.key else {
            return Ok(None);
        };
        // A key on its way to the menu that stood here before may mean another item of this one.
        let urgent = self.urgent_of(&c.to_string());
        if std::mem::take(&mut self.menu_changed) && pressed.after < SOONEST && urgent.is_none() {
            self.tell(Tone::Quiet, labels::TOO_QUICK);
            return Ok(None);
        }
        let many = entries.iter().any(|entry| entry.key.len() > 1);
        let line = if many && c.is_ascii_digit() {
            let keys = self.setup.urgent.clone();
            match self.write(&keys, &c.to_string(), labels::NUMBER_PROMPT)? {
                Written::Words(line) => line,
                Written::Urgent(Input::Jump(list)) => {
                    return match menu.urgent.iter().any(|shown| shown.list == list) {
                        true => Ok(Some(Picked::Urgent(list))),
                        false => Err(Stopped::Urgent(list)),
                    };
                }
                Written::Urgent(_) | Written::Left => return Ok(None),
            }
        } else {
            c.to_string()
        };
        match (menu_page::find(&entries, &line), urgent) {
            (Some(picked), _) => Ok(Some(picked)),
            // The urgent keys act at every menu, also where it does not show them.
            (None, Some(urgent)) => Err(urgent),
            (None, None) => {
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

/// How long to wait for a key before the clock is read again: not at all while nothing falls due.
fn until_it_changes(view: &View, now: Moment) -> Duration {
    match view.next_due(now) {
        Some(due) => (due - now).to_std().unwrap_or_default().min(LOOK_AGAIN),
        None => FOREVER,
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
        let waited = self
            .waited_at
            .take()
            .filter(|(at, drawn)| at == view && view.next_due(*drawn) == view.next_due(now));
        match waited {
            Some(waited) => self.waited_at = Some(waited),
            None => self.draw(view, now),
        }
        loop {
            if let Some(reply) = self.press(view, now)? {
                return Ok(reply);
            }
        }
    }

    fn choose(&mut self, menu: &Menu) -> Result<Picked, Stopped> {
        let waited = self.waited_at_menu.take();
        if waited.as_ref() != Some(menu) {
            let page = menu_page::page(menu, self.look());
            self.print(&page);
        }
        self.menu_changed = waited.is_some_and(|waited| waited != *menu);
        loop {
            if let Some(picked) = self.press_menu(menu)? {
                return Ok(picked);
            }
        }
    }

    fn text(&mut self, question: &TextQuestion<'_>) -> Result<String, Stopped> {
        loop {
            let prompt = self.prompt(&menu_page::question(question));
            let text = self.device.text(&prompt)?;
            if let Some(stopped) = self.urgent_of(&text) {
                return Err(stopped);
            }
            if question.may_be_open && text == "-" {
                return Ok(String::new());
            }
            if let Err(why) = (question.check)(&text) {
                self.tell(Tone::Problem, &labels::sentence(&why));
                continue;
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
        let prompt = self.prompt(question);
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
