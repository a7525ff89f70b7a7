//! What can be wrong with a template, and how it is said.

use std::fmt;

use super::super::filters;

/// A problem of a template with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TemplateProblem {
    /// The file, as it was named.
    pub file: String,
    /// The line, counted from 1; 0 when the problem is not in one place.
    pub line: usize,
    /// The column in letters, counted from 1; 0 when the problem is not in one place.
    pub column: usize,
    /// The line's text; empty when the problem is not in one place.
    pub excerpt: String,
    /// What is wrong.
    pub kind: TemplateProblemKind,
}

/// What is wrong with a template.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TemplateProblemKind {
    /// The engine cannot read it.
    #[error("the template cannot be read: {message}")]
    Syntax {
        /// The engine's words.
        message: String,
    },
    /// It uses a name that the facts do not have.
    #[error("there is no \"{name}\" in the facts of this record")]
    UnknownName {
        /// The name.
        name: String,
        /// The nearest name there is.
        nearest: Option<String>,
        /// The names there are at this place.
        known: Vec<String>,
    },
    /// It prints something that is not a text.
    #[error("\"{name}\" is a group of facts and cannot be printed")]
    Group {
        /// The name.
        name: String,
        /// The names inside it.
        known: Vec<String>,
    },
    /// It goes through something that is not a list.
    #[error("\"for\" needs the name of a list here")]
    NotAList,
    /// It uses a filter that lets a text past the escaping, or one that is not known.
    #[error("the filter \"{name}\" cannot be used in a record")]
    Filter {
        /// The filter.
        name: String,
        /// The nearest one that can.
        nearest: Option<&'static str>,
    },
    /// It uses a test that is not known.
    #[error("the test \"is {name}\" cannot be used in a record")]
    Test {
        /// The test.
        name: String,
    },
    /// It uses a function.
    #[error("\"{name}(…)\" cannot be used in a record")]
    Function {
        /// The function.
        name: String,
    },
    /// It uses a tag that could let a text past the escaping or hide names from examination.
    #[error("\"{{% {name} %}}\" cannot be used in a record")]
    Tag {
        /// The tag.
        name: String,
    },
    /// It has HTML of its own, in which values would not be inert.
    #[error("a record is Markdown: HTML cannot be used in it")]
    Html,
    /// It prints a value inside a code span or block, where escaping does not work.
    #[error(
        "code marks (a back quote) cannot be used in a record: a value inside them would not be inert"
    )]
    Code,
    /// It prints a value inside a link's address.
    #[error("a value cannot be part of a link's address")]
    LinkAddress,
    /// It does not print something that every record has to carry.
    #[error("every record must show \"{name}\" ({meaning}); this one does not")]
    Missing {
        /// The fact.
        name: String,
        /// What it is for.
        meaning: String,
    },
    /// It fails when it is filled.
    #[error("the template failed while being filled: {message}")]
    Failed {
        /// The engine's words.
        message: String,
    },
}

impl TemplateProblemKind {
    /// What to do about it, as far as can be said.
    #[must_use]
    pub fn help(&self) -> Option<String> {
        match self {
            Self::UnknownName {
                nearest: Some(nearest),
                ..
            } => Some(format!("did you mean \"{nearest}\"?")),
            Self::UnknownName { known, .. } => Some(format!("names here: {}", known.join(", "))),
            Self::Group { known, .. } => Some(format!("print one of: {}", known.join(", "))),
            Self::NotAList => Some("write it like: {% for entry in day.entries %}".to_owned()),
            Self::Filter { name, nearest } => Some(filter_help(name, *nearest)),
            Self::Test { .. } => Some(format!("tests there are: {}", TESTS.join(", "))),
            Self::Function { .. } => {
                Some("everything a record may show is already in its facts".to_owned())
            }
            Self::Tag { .. } => Some(format!("tags there are: {}", TAGS.join(", "))),
            Self::Html => Some("use Markdown's own marks, or take the \"<\" out".to_owned()),
            Self::Code => Some("take the back quotes out".to_owned()),
            Self::LinkAddress => Some(
                "print the value as text, or write the whole address in the template".to_owned(),
            ),
            Self::Missing { name, .. } => Some(format!(
                "print it as the shipped template does; look there for \"{}\"",
                name.rsplit('.').next().unwrap_or(name)
            )),
            Self::Syntax { .. } | Self::Failed { .. } => {
                Some("compare with the shipped template".to_owned())
            }
        }
    }
}

/// Tags that are allowed.
pub(super) const TAGS: &[&str] = &["if", "elif", "else", "endif", "for", "endfor", "set"];

/// Tests that are allowed.
pub(super) const TESTS: &[&str] = &[
    "defined",
    "undefined",
    "none",
    "containing",
    "starting_with",
];

fn filter_help(name: &str, nearest: Option<&str>) -> String {
    if matches!(
        name,
        "safe" | "escape_html" | "escape_xml" | "newlines_to_br"
    ) {
        return "it would let text into the record as it was typed; take it out".to_owned();
    }
    let own = filters::FILTERS.iter().map(|(name, _)| *name);
    let all: Vec<_> = own.chain(filters::ENGINE_FILTERS.iter().copied()).collect();
    match nearest {
        Some(nearest) => format!("did you mean \"{nearest}\"?"),
        None => format!("filters there are: {}", all.join(", ")),
    }
}

impl fmt::Display for TemplateProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.line == 0 {
            write!(f, "{}: {}", self.file, self.kind)?;
        } else {
            let (line, column) = (self.line, self.column);
            let place = line.to_string();
            let gutter = " ".repeat(place.len());
            let before = " ".repeat(column.saturating_sub(1));
            writeln!(f, "{}:{line}:{column}: {}", self.file, self.kind)?;
            writeln!(f, "{place} | {}", self.excerpt.replace('\t', " "))?;
            write!(f, "{gutter} | {before}^")?;
        }
        match self.kind.help() {
            Some(help) => write!(f, "\nhelp: {help}"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for TemplateProblem {}

/// The text that is examined.
pub(super) struct Source<'a> {
    pub(super) file: &'a str,
    pub(super) text: &'a str,
}

impl Source<'_> {
    /// A problem at a byte of the text.
    pub(super) fn at(&self, byte: usize, kind: TemplateProblemKind) -> TemplateProblem {
        let before = self.text.get(..byte).unwrap_or(self.text);
        let start = before.rfind('\n').map_or(0, |end| end + 1);
        let line = before.matches('\n').count() + 1;
        TemplateProblem {
            file: self.file.to_owned(),
            line,
            column: before[start..].chars().count() + 1,
            excerpt: self.line(line),
            kind,
        }
    }

    fn line(&self, number: usize) -> String {
        let line = number.checked_sub(1).and_then(|n| self.text.lines().nth(n));
        line.unwrap_or_default().trim_end().to_owned()
    }

    fn nowhere(&self, kind: TemplateProblemKind) -> TemplateProblem {
        TemplateProblem {
            file: self.file.to_owned(),
            line: 0,
            column: 0,
            excerpt: String::new(),
            kind,
        }
    }

    /// Something that every record has to carry is not printed.
    pub(super) fn missing(&self, name: &str, meaning: &str) -> TemplateProblem {
        self.nowhere(TemplateProblemKind::Missing {
            name: name.to_owned(),
            meaning: meaning.to_owned(),
        })
    }

    /// What the engine reported while reading.
    pub(super) fn reported(&self, report: &tera::ReportError) -> TemplateProblem {
        let message = report.message().to_owned();
        self.placed(report, TemplateProblemKind::Syntax { message })
    }

    /// What the engine reported while filling.
    pub(super) fn failed(&self, error: &tera::Error) -> TemplateProblem {
        if let tera::ErrorKind::RenderingError(report) = error.kind() {
            let message = report.message().to_owned();
            return self.placed(report, TemplateProblemKind::Failed { message });
        }
        let message = error.to_string();
        self.nowhere(TemplateProblemKind::Failed { message })
    }

    fn placed(&self, report: &tera::ReportError, kind: TemplateProblemKind) -> TemplateProblem {
        let span = report.span();
        TemplateProblem {
            file: self.file.to_owned(),
            line: span.start_line,
            column: span.start_col + 1,
            excerpt: self.line(span.start_line),
            kind,
        }
    }
}
