//! A line being typed on a terminal, key by key.

use console::{Key, measure_text_width};

use crate::walk::view::UrgentKey;

/// The longest text that is taken, in characters. Common practice, no source.
const LONGEST: usize = 500;

/// What a key press led to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Edit {
    /// The line goes on.
    Going,
    /// Enter: the line is complete.
    Sent,
    /// Escape: nothing was said.
    Left,
    /// An urgent key: at once when it is a sign and the line is empty. A letter begins too many
    /// words, so it counts when it stands alone and Enter follows.
    Urgent(usize),
}

/// The line.
#[derive(Debug, Clone, Default)]
pub(super) struct Editor {
    text: String,
}

impl Editor {
    /// A line that already holds some text.
    pub(super) fn with(text: &str) -> Self {
        Self {
            text: text.to_owned(),
        }
    }

    /// The text as it stands.
    pub(super) fn text(&self) -> &str {
        &self.text
    }

    /// Takes one key.
    pub(super) fn press(&mut self, key: &Key, urgent: &[UrgentKey]) -> Edit {
        match key {
            Key::Enter => match self.alone(urgent) {
                Some(index) => Edit::Urgent(index),
                None => Edit::Sent,
            },
            Key::Escape => Edit::Left,
            Key::Backspace => {
                self.text.pop();
                Edit::Going
            }
            Key::Char('\u{15}') => {
                self.text.clear();
                Edit::Going
            }
            Key::Char(c) => self.typed(*c, urgent),
            _ => Edit::Going,
        }
    }

    fn typed(&mut self, c: char, urgent: &[UrgentKey]) -> Edit {
        let at_once = self.text.is_empty() && !c.is_alphanumeric();
        if let Some(index) = urgent.iter().position(|urgent| at_once && urgent.key == c) {
            return Edit::Urgent(index);
        }
        if !c.is_control() && self.text.chars().count() < LONGEST {
            self.text.push(c);
        }
        Edit::Going
    }

    /// The urgent key that stands alone on the line.
    pub(super) fn alone(&self, urgent: &[UrgentKey]) -> Option<usize> {
        let mut chars = self.text.trim().chars();
        let only = chars.next().filter(|_| chars.next().is_none())?;
        urgent.iter().position(|urgent| urgent.key == only)
    }

    /// The end of the text that fits into so many columns; cut text is marked by "<".
    pub(super) fn tail(&self, columns: usize) -> String {
        if measure_text_width(&self.text) <= columns {
            return self.text.clone();
        }
        let mut kept = String::new();
        for c in self.text.chars().rev() {
            let longer = format!("{c}{kept}");
            if measure_text_width(&longer) + 1 > columns {
                break;
            }
            kept = longer;
        }
        format!("<{kept}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::names::ListName;

    fn urgent() -> Vec<UrgentKey> {
        [('!', "worse"), ('D', "apart")]
            .map(|(key, list)| UrgentKey {
                key,
                list: ListName::new(list).expect("a name"),
                title: list.to_owned(),
            })
            .to_vec()
    }

    fn press_all(editor: &mut Editor, keys: &str) -> Edit {
        let mut last = Edit::Going;
        for c in keys.chars() {
            let key = if c == '\n' { Key::Enter } else { Key::Char(c) };
            last = editor.press(&key, &urgent());
        }
        last
    }

    #[test]
    fn a_sign_is_urgent_at_once_on_an_empty_line_only() {
        assert_eq!(press_all(&mut Editor::default(), "!"), Edit::Urgent(0));
        let mut editor = Editor::default();
        assert_eq!(press_all(&mut editor, "wet!"), Edit::Going);
        assert_eq!(editor.text(), "wet!");
    }

    #[test]
    fn a_letter_is_urgent_alone_with_enter_and_else_begins_a_word() {
        assert_eq!(press_all(&mut Editor::default(), "D\n"), Edit::Urgent(1));
        let mut editor = Editor::default();
        assert_eq!(press_all(&mut editor, "Dr on call\n"), Edit::Sent);
        assert_eq!(editor.text(), "Dr on call");
    }

    #[test]
    fn escape_and_backspace_and_control_keys() {
        let mut editor = Editor::with("ab");
        editor.press(&Key::Backspace, &[]);
        editor.press(&Key::Char('\u{1}'), &[]);
        assert_eq!(editor.text(), "a");
        assert_eq!(editor.press(&Key::Escape, &[]), Edit::Left);
        editor.press(&Key::Char('\u{15}'), &[]);
        assert_eq!(editor.text(), "");
    }

    #[test]
    fn the_tail_fits() {
        let editor = Editor::with("0123456789");
        assert_eq!(editor.tail(10), "0123456789");
        assert_eq!(editor.tail(5), "<6789");
    }
}
