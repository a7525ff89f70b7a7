//! A page as parts in order, and its two layouts: wrapped for a terminal, one part a line for a
//! pipe or a screen reader. Both hold the same words.

use console::measure_text_width;

use crate::units::Unit;

use super::labels;
use super::look::{Look, Role};

/// One part of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Part {
    /// A line of air; left out on a pipe.
    Gap,
    /// A line across the page between steps; left out on a pipe.
    Rule,
    /// A paragraph: what stands before it, and its words.
    Words {
        /// What it is for.
        role: Role,
        /// The label, kept with the words.
        lead: String,
        /// The words.
        text: String,
    },
    /// Answers, each with its key.
    Answers(Vec<(String, String)>),
    /// Other keys, each with its words, after a label.
    Keys(&'static str, Vec<(String, String)>),
}

/// A page being put together; every text passes through the look, so nothing hostile gets by.
#[derive(Debug)]
pub(super) struct Page {
    look: Look,
    parts: Vec<Part>,
}

impl Page {
    /// An empty page.
    pub(super) const fn new(look: Look) -> Self {
        Self {
            look,
            parts: Vec::new(),
        }
    }

    /// Adds a line of air.
    pub(super) fn gap(&mut self) {
        self.parts.push(Part::Gap);
    }

    /// Adds a line across the page.
    pub(super) fn rule(&mut self) {
        self.parts.push(Part::Rule);
    }

    /// Adds a paragraph.
    pub(super) fn words(&mut self, role: Role, lead: &str, text: &str) {
        self.parts.push(Part::Words {
            role,
            lead: lead.to_owned(),
            text: self.look.text(text),
        });
    }

    /// Adds a paragraph if there is one.
    pub(super) fn maybe(&mut self, role: Role, lead: &str, text: Option<&str>) {
        if let Some(text) = text {
            self.words(role, lead, text);
        }
    }

    /// Adds answers with their keys.
    pub(super) fn answers(&mut self, answers: impl IntoIterator<Item = (String, String)>) {
        let answers = self.shown(answers);
        if !answers.is_empty() {
            self.parts.push(Part::Answers(answers));
        }
    }

    /// Adds other keys.
    pub(super) fn keys(
        &mut self,
        lead: &'static str,
        keys: impl IntoIterator<Item = (String, String)>,
    ) {
        let keys = self.shown(keys);
        if !keys.is_empty() {
            self.parts.push(Part::Keys(lead, keys));
        }
    }

    fn shown(&self, pairs: impl IntoIterator<Item = (String, String)>) -> Vec<(String, String)> {
        pairs
            .into_iter()
            .map(|(key, words)| (self.look.text(&key), self.look.text(&words)))
            .collect()
    }

    /// The page for a terminal.
    pub(super) fn wrapped(&self) -> Vec<String> {
        let mut lines = Vec::new();
        for part in &self.parts {
            match part {
                Part::Gap => lines.push(String::new()),
                Part::Rule => {
                    lines.push(self.look.paint(Role::Quiet, &"-".repeat(self.look.width)));
                }
                Part::Words { role, lead, text } => {
                    lines.extend(self.paragraph(*role, lead, text));
                }
                Part::Answers(answers) => {
                    for (key, words) in answers {
                        lines.extend(self.answer(key, words));
                    }
                }
                Part::Keys(lead, keys) => lines.extend(self.key_lines(lead, keys)),
            }
        }
        lines
    }

    /// The page for a pipe or a screen reader: one part a line, nothing wrapped.
    pub(super) fn plain(&self) -> Vec<String> {
        let pairs = |pairs: &[(String, String)]| {
            let pairs: Vec<String> = pairs
                .iter()
                .map(|(key, words)| format!("{key} {words}"))
                .collect();
            pairs.join("; ")
        };
        self.parts
            .iter()
            .filter_map(|part| match part {
                Part::Gap | Part::Rule => None,
                Part::Words { lead, text, .. } => Some(format!("{lead}{text}")),
                Part::Answers(answers) => {
                    Some(format!("{}{}.", labels::ANSWERS_LEAD, pairs(answers)))
                }
                Part::Keys(lead, keys) => Some(format!("{lead}{}.", pairs(keys))),
            })
            .map(|line| line.trim().to_owned())
            .collect()
    }

    fn paragraph(&self, role: Role, lead: &str, text: &str) -> Vec<String> {
        let hang = measure_text_width(lead);
        if hang > self.look.width / 3 {
            return wrap(&format!("{lead}{text}"), self.look.width, 2)
                .iter()
                .map(|line| self.look.paint(role, line))
                .collect();
        }
        let mut lines = wrap(text, self.look.width - hang, 0);
        if lines.is_empty() {
            lines.push(String::new());
        }
        lines
            .iter()
            .enumerate()
            .map(|(index, line)| match index {
                0 => self.look.paint(role, format!("{lead}{line}").trim_end()),
                _ => format!("{}{}", " ".repeat(hang), self.look.paint(role, line)),
            })
            .collect()
    }

    fn answer(&self, key: &str, words: &str) -> Vec<String> {
        let indent = 4 + measure_text_width(key).max(1);
        let mut lines = wrap(words, self.look.width.saturating_sub(indent), 0);
        if lines.is_empty() {
            lines.push(String::new());
        }
        lines
            .into_iter()
            .enumerate()
            .map(|(index, line)| match index {
                0 => format!("  {}  {line}", self.look.paint(Role::Key, key)),
                _ => format!("{}{line}", " ".repeat(indent)),
            })
            .collect()
    }

    /// Keys side by side, a key never parted from its words unless they fill a line.
    fn key_lines(&self, lead: &str, keys: &[(String, String)]) -> Vec<String> {
        let joined: Vec<String> = keys
            .iter()
            .map(|(key, words)| {
                let fits = measure_text_width(key) + measure_text_width(words) + 3;
                let painted = self.look.paint(Role::Key, key);
                let item = format!("{painted} {words}");
                if fits <= self.look.width {
                    item.replace(' ', GLUE)
                } else {
                    // A key at the end of a line would seem to belong to the words before it.
                    item.replacen(' ', GLUE, 1)
                }
            })
            .collect();
        let all = format!("{lead}{}", joined.join(&format!("{GLUE} ")));
        wrap(&all, self.look.width, 2)
            .into_iter()
            .map(|line| line.replace(GLUE, " ").trim_end().to_owned())
            .collect()
    }
}

/// Stands for a space at which a line is not broken; from the private use area.
const GLUE: &str = "\u{e000}";

/// The pieces of a text between which a line may be broken: words, and numbers with their units.
/// A "3" at the end of a line and a "cm" on the next are two things to a tired eye.
fn unbroken(text: &str) -> Vec<&str> {
    let mut pieces: Vec<&str> = Vec::new();
    let mut from = 0;
    for word in text.split(' ') {
        let (at, end) = (from, from + word.len());
        from = end + 1;
        if word.is_empty() {
            continue;
        }
        let unit = word.trim_end_matches(|c: char| c.is_ascii_punctuation() && c != '%');
        if let Some(last) = pieces.last_mut()
            && text[..at].ends_with(&format!("{last} "))
            && last.ends_with(|c: char| c.is_ascii_digit())
            && last.starts_with(|c: char| c.is_ascii_digit() || c == '(' || c == '-')
            && Unit::parse(unit).is_some()
        {
            *last = &text[at - 1 - last.len()..end];
        } else {
            pieces.push(&text[at..end]);
        }
    }
    pieces
}

/// A line broken between words to fit so many columns, if it may be.
pub(super) fn fold(line: &str, columns: usize) -> String {
    let words = line.trim_start_matches(' ');
    let numbered = words.trim_start_matches(|at: char| at.is_ascii_digit() || at == ' ');
    let stays = numbered.starts_with('|')
        || words.starts_with("-->")
        || words.starts_with("tubeside ")
        || measure_text_width(line) <= columns;
    if stays {
        return line.to_owned();
    }
    let indent = line.len() - words.len();
    let mut lines = vec![" ".repeat(indent)];
    let mut empty = true;
    for word in words.split_whitespace() {
        let current = lines.last().map_or(0, |line| measure_text_width(line));
        if !empty && current + 1 + measure_text_width(word) > columns {
            lines.push(" ".repeat(indent + 2));
            empty = true;
        }
        if let Some(line) = lines.last_mut() {
            if !empty {
                line.push(' ');
            }
            line.push_str(word);
        }
        empty = false;
    }
    lines.join("\n")
}

/// Breaks text into lines of at most `width` columns; lines after the first hang by `hang`.
/// A word longer than a line is cut.
pub(super) fn wrap(text: &str, width: usize, hang: usize) -> Vec<String> {
    let width = width.max(8);
    let hang = hang.min(width / 2);
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut used = 0;
    for word in unbroken(text) {
        let mut word = word;
        let needs = measure_text_width(word);
        let begun = !line.trim().is_empty();
        if begun && used + 1 + needs > width {
            lines.push(std::mem::take(&mut line));
            line.push_str(&" ".repeat(hang));
            used = hang;
        } else if begun {
            line.push(' ');
            used += 1;
        }
        while used + measure_text_width(word) > width {
            let cut = fitting(word, width - used);
            line.push_str(&word[..cut]);
            lines.push(std::mem::take(&mut line));
            line.push_str(&" ".repeat(hang));
            used = hang;
            word = &word[cut..];
        }
        line.push_str(word);
        used += measure_text_width(word);
    }
    if !line.trim().is_empty() {
        lines.push(line);
    }
    lines
}

/// How many bytes of the word fit into so many columns; at least one character.
fn fitting(word: &str, columns: usize) -> usize {
    let mut used = 0;
    for (at, c) in word.char_indices() {
        used += measure_text_width(c.encode_utf8(&mut [0; 4]));
        if used > columns && at > 0 {
            return at;
        }
    }
    word.len()
}
