//! A problem with the lines of the file it is about, in plain characters.

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

use super::problem::{Problem, Severity};
use super::read::is_hidden;

/// Lines shown before the line of the problem.
const BEFORE: usize = 1;
/// Lines longer than this are cut, in characters.
const LONGEST: usize = 400;

impl Problem {
    /// The problem as it is shown: severity, code and message, the line with carets under the
    /// place, and what to do.
    #[must_use]
    pub fn drawn(&self) -> String {
        let message = self.message();
        let level = match self.severity() {
            Severity::Error => Level::ERROR,
            Severity::Warning => Level::WARNING,
        };
        let title = level.primary_title(message).id(self.kind.code());
        let excerpt = self.text.as_deref().map(|text| self.excerpt(text));
        let mut group: Group<'_> = match &excerpt {
            Some(excerpt) => title.element(
                Snippet::source(excerpt.lines.as_str())
                    .fold(false)
                    .line_start(excerpt.first)
                    .path(self.file.as_str())
                    .annotation(AnnotationKind::Primary.span(excerpt.span.clone())),
            ),
            None => title.element(annotate_snippets::Origin::path(self.file.as_str())),
        };
        if let Some(help) = self.help() {
            group = group.element(Level::HELP.message(help));
        }
        Renderer::plain()
            .decor_style(DecorStyle::Ascii)
            .render(&[group])
    }

    /// The problem on one line: where, severity, code, message.
    #[must_use]
    pub fn line(&self) -> String {
        let severity = match self.severity() {
            Severity::Error => "error",
            Severity::Warning => "warning",
        };
        let Self {
            file, place, kind, ..
        } = self;
        let (line, column, code) = (place.line, place.column, kind.code());
        format!(
            "{file}:{line}:{column}: {severity}[{code}]: {}",
            self.message()
        )
    }

    fn excerpt(&self, text: &str) -> Excerpt {
        let first = self.place.line.saturating_sub(BEFORE).max(1);
        let mut lines = String::new();
        let mut span = 0..0;
        let shown = text
            .split('\n')
            .enumerate()
            .skip(first - 1)
            .take(self.place.line + 1 - first);
        for (index, line) in shown {
            // On a very long line only the part around the place is shown.
            let skip = if index + 1 == self.place.line {
                self.skipped()
            } else {
                0
            };
            let begin = lines.len();
            lines.extend(line.chars().skip(skip).take(LONGEST).map(visible));
            if index + 1 == self.place.line {
                span = span_in(
                    &lines[begin..],
                    self.place.column - 1 - skip,
                    self.place.length,
                    begin,
                );
            }
            lines.push('\n');
        }
        Excerpt { lines, first, span }
    }

    /// How many characters at the beginning of a very long line are left out.
    const fn skipped(&self) -> usize {
        let column = self.place.column - 1;
        if column < LONGEST / 2 {
            0
        } else {
            column - LONGEST / 4
        }
    }
}

struct Excerpt {
    lines: String,
    /// The number of the first line.
    first: usize,
    /// The bytes under which carets stand.
    span: std::ops::Range<usize>,
}

/// The bytes of some characters of a line, after `begin` other bytes.
fn span_in(line: &str, column: usize, length: usize, begin: usize) -> std::ops::Range<usize> {
    let byte = |column| {
        line.char_indices()
            .nth(column)
            .map_or(line.len(), |(at, _)| at)
    };
    begin + byte(column)..begin + byte(column + length)
}

/// A character that could disturb a screen is shown as a question mark.
const fn visible(c: char) -> char {
    if c == '\t' {
        ' '
    } else if is_hidden(c) {
        '?'
    } else {
        c
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::problem::{Kind, Place, Problem};

    fn problem(text: Option<&str>, line: usize, column: usize, length: usize) -> Problem {
        Problem {
            file: "ward/checklists/a.yaml".to_owned(),
            place: Place {
                line,
                column,
                length,
            },
            kind: Kind::UnknownStep {
                name: "tubng".to_owned(),
                nearest: Some("tubing".to_owned()),
            },
            text: text.map(Into::into),
        }
    }

    #[test]
    fn carets_stand_under_the_place_even_after_wide_letters() {
        let text = "steps:\n  a: 20 cmH₂O\n  where: é tubng\n";
        let wanted = "\
error[unknown-step]: there is no step called \"tubng\"
 --> ward/checklists/a.yaml:3:12
  |
2 |   a: 20 cmH₂O
3 |   where: é tubng
  |            ^^^^^
  |
  = help: did you mean \"tubing\"?";
        assert_eq!(problem(Some(text), 3, 12, 5).drawn(), wanted);
    }

    #[test]
    fn a_file_without_text_is_named() {
        let drawn = problem(None, 1, 1, 1).drawn();
        assert!(drawn.contains("--> ward/checklists/a.yaml"), "{drawn}");
        assert!(drawn.contains("did you mean"), "{drawn}");
    }

    #[test]
    fn nothing_that_disturbs_a_screen_is_shown() {
        let drawn = problem(Some("a: \u{1b}[2J\u{202e}\u{9b}x\n"), 1, 4, 1).drawn();
        assert!(
            drawn.chars().all(|c| c == '\n' || !super::is_hidden(c)),
            "{drawn:?}"
        );
    }

    #[test]
    fn places_outside_the_text_do_no_harm() {
        for (line, column, length) in [(1, 1, 0), (9, 9, 9), (2, 400, 3), (1, 5_000, 1)] {
            let text = format!("{}\nb", "x".repeat(3_000));
            assert!(
                !problem(Some(&text), line, column, length)
                    .drawn()
                    .is_empty()
            );
        }
    }
}
