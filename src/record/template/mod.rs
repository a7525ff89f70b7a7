//! Templates: the only user of the template engine.
//!
//! The shipped templates are inside the program. A unit may have its own, as text handed in by
//! the caller. Either is examined when it is loaded, so that nothing is missing at the bedside:
//!
//! - every name it uses must be one of the facts (the `scan` module); the engine itself would take a
//!   misspelt name in an `if` as false and say nothing;
//! - every filter must be known, and none may let a text past the escaping;
//! - it must print what every record has to carry ([`REQUIRED`]);
//! - it must render facts in which everything is filled, and facts in which nothing is.

mod problem;
mod scan;
mod token;

pub use problem::{TemplateProblem, TemplateProblemKind};

use serde_json::Value;
use tera::{Context, Kwargs, State, Tera};

use super::facts::{ChartFacts, HandoverFacts, IncidentFacts, Kind, RecordFacts, SetupFacts};
use super::specimen::Specimen;
use super::{escape, filters};

/// The name under which the engine knows the one template it holds. The ending turns escaping on.
const NAME: &str = "record.md";

/// What every record has to carry: the fact, and what it is for. See also [`REQUIRED_WALKS`],
/// [`REQUIRED_ENTRIES`], [`REQUIRED_HANDOVER`] and [`REQUIRED_CHART`].
pub const REQUIRED: &[(&str, &str)] = &[
    ("head.banner", "says that a rehearsal is one"),
    ("head.cautions", "the cautions"),
    ("head.journal_hash", "lets the journal confirm the record"),
    ("head.lists.title", "each checklist"),
    ("head.lists.version", "its version"),
    ("head.lists.fingerprint", "its fingerprint"),
    ("head.lists.approval", "whether it was approved"),
    ("head.waivers.safeguard", "each safeguard that was waived"),
    ("head.clock_notes", "what is odd about the clock"),
    ("afterwards.amendments.text", "what is right, or added"),
    ("afterwards.amendments.why", "why it was put right or added"),
    ("afterwards.amendments.by", "who put it right or added it"),
    ("afterwards.moves", "each walk moved from another drain"),
    ("afterwards.signatures.by", "who signed"),
    ("afterwards.signatures.hash", "what was signed"),
];

/// What a record of walks has to carry besides.
pub const REQUIRED_WALKS: &[(&str, &str)] = &[
    ("undone.what", "what was left undone"),
    ("undone.reason", "why it was left undone"),
    ("calls.who", "each call for help"),
    ("duties.open", "each duty that was opened"),
];

/// What a record of everything that happened has to carry besides.
pub const REQUIRED_ENTRIES: &[(&str, &str)] = &[
    ("days.day", "the day of each entry"),
    ("days.offset", "the offset of the clock"),
    ("days.entries.what", "each entry"),
    ("days.entries.found", "what was recorded"),
    ("days.entries.by", "who wrote it"),
    ("days.entries.seen", "when it was seen"),
    (
        "days.entries.written",
        "when it was written, where that differs",
    ),
    ("corrections.what", "what was taken back"),
    ("days.entries.remarks.text", "what was put right or added"),
];

/// What a handover has to carry besides.
pub const REQUIRED_HANDOVER: &[(&str, &str)] = &[
    ("walks.outcome", "how each walk came out"),
    ("patient.found", "what was last seen of the patient"),
    ("findings.found", "what was last seen of the drain"),
    ("unexpected.found", "what was not as expected"),
    ("orders.order", "each order"),
    ("due.what", "what falls due"),
    ("due.at", "when it falls due"),
    ("afterwards.notes.text", "each note on the drain"),
    ("accepted.by", "who accepted"),
    ("accepted.at", "when it was accepted"),
    ("accepted.read_back", "what was read back"),
];

/// What a chart has to carry besides.
pub const REQUIRED_CHART: &[(&str, &str)] = &[
    ("rows.level", "each level"),
    ("rows.output", "what came since the level before"),
    ("rows.total", "what came since the drain was connected"),
    ("rows.found", "what else was recorded"),
    ("totals.volume", "each total"),
    ("limits.what", "each limit that was met"),
    ("limits.source", "where the limit comes from"),
    ("corrections.was", "what was put right"),
    ("to_settle", "what a person must settle"),
];

/// All that a record of this kind has to carry.
fn required(kind: Kind) -> impl Iterator<Item = &'static (&'static str, &'static str)> {
    let own = match kind {
        Kind::Setup | Kind::Incident => REQUIRED_ENTRIES,
        Kind::Handover => REQUIRED_HANDOVER,
        Kind::Chart => REQUIRED_CHART,
    };
    let walks = match kind {
        Kind::Setup | Kind::Incident | Kind::Handover => REQUIRED_WALKS,
        Kind::Chart => &[],
    };
    REQUIRED.iter().chain(walks).chain(own)
}

/// A template that was found fit for one kind of record.
#[derive(Debug)]
pub struct Template {
    engine: Tera,
    kind: Kind,
    file: String,
}

/// Why facts could not be rendered.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RenderError {
    /// The template is for another record.
    #[error(
        "the template {file} is for a \"{template}\" record; these are the facts of a \"{facts}\" record"
    )]
    OtherRecord {
        /// The template's file.
        file: String,
        /// What the template is for.
        template: &'static str,
        /// What the facts are of.
        facts: &'static str,
    },
    /// The template failed on these facts.
    #[error("{0}")]
    Failed(Box<TemplateProblem>),
}

impl Template {
    /// The shipped text of a template, with its file name.
    #[must_use]
    pub const fn shipped_text(kind: Kind) -> (&'static str, &'static str) {
        match kind {
            Kind::Setup => (
                "reports/templates/setup.md",
                include_str!("../../../reports/templates/setup.md"),
            ),
            Kind::Incident => (
                "reports/templates/incident.md",
                include_str!("../../../reports/templates/incident.md"),
            ),
            Kind::Handover => (
                "reports/templates/handover.md",
                include_str!("../../../reports/templates/handover.md"),
            ),
            Kind::Chart => (
                "reports/templates/chart.md",
                include_str!("../../../reports/templates/chart.md"),
            ),
        }
    }

    /// The shipped template.
    ///
    /// # Errors
    /// Every problem of it. A test shows that there is none.
    pub fn shipped(kind: Kind) -> Result<Self, Vec<TemplateProblem>> {
        let (file, text) = Self::shipped_text(kind);
        Self::load(kind, file, text)
    }

    /// Takes a text as a template for one kind of record; `file` is for messages.
    ///
    /// # Errors
    /// Every problem found, in file order: never only the first, except that a text the engine
    /// cannot parse has one.
    pub fn load(kind: Kind, file: &str, text: &str) -> Result<Self, Vec<TemplateProblem>> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let (full, bare) = specimens(kind);
        let source = problem::Source { file, text };
        let mut engine = engine();
        let added = engine.add_raw_template(NAME, text);
        if let Err(error) = &added
            && let tera::ErrorKind::SyntaxError(report) = error.kind()
        {
            return Err(vec![source.reported(report)]);
        }
        let problems = scan::scan(&source, &full);
        if !problems.is_empty() {
            return Err(problems);
        }
        added.map_err(|error| vec![source.failed(&error)])?;
        let template = Self {
            engine,
            kind,
            file: file.to_owned(),
        };
        let problems = template.trial(&source, &full, &bare);
        if problems.is_empty() {
            Ok(template)
        } else {
            Err(problems)
        }
    }

    /// Renders facts into Markdown. The same facts give the same bytes.
    ///
    /// # Errors
    /// [`RenderError`] when the template is for another record or fails on these facts.
    pub fn render<F: RecordFacts>(&self, facts: &F) -> Result<String, RenderError> {
        if self.kind != F::KIND {
            return Err(RenderError::OtherRecord {
                file: self.file.clone(),
                template: self.kind.word(),
                facts: F::KIND.word(),
            });
        }
        let text = self.fill(facts).map_err(|error| {
            let source = problem::Source {
                file: &self.file,
                text: "",
            };
            RenderError::Failed(Box::new(source.failed(&error)))
        })?;
        Ok(tidy(&text, facts.head().rehearsal))
    }

    fn fill(&self, facts: &impl serde::Serialize) -> Result<String, tera::Error> {
        self.engine.render(NAME, &Context::from_serialize(facts)?)
    }

    /// Renders the specimens, and looks whether all that is required appears.
    fn trial(
        &self,
        source: &problem::Source<'_>,
        full: &Value,
        bare: &Value,
    ) -> Vec<TemplateProblem> {
        let mut problems: Vec<_> = [full, bare]
            .into_iter()
            .filter_map(|facts| self.fill(facts).err())
            .map(|error| source.failed(&error))
            .collect();
        if !problems.is_empty() {
            problems.dedup();
            return problems;
        }
        for (name, meaning) in required(self.kind) {
            let mut marked = full.clone();
            mark(&mut marked, name);
            let shown = self.fill(&marked).unwrap_or_default();
            if !shown.to_lowercase().contains(MARK) {
                problems.push(source.missing(name, meaning));
            }
        }
        problems
    }
}

/// Stands for a fact while looking whether a template prints it.
const MARK: &str = "7markedfacttolookfor";

/// Puts [`MARK`] at every text under a path; lists are gone through.
fn mark(value: &mut Value, path: &str) {
    match value {
        Value::Array(items) => items.iter_mut().for_each(|item| mark(item, path)),
        Value::Object(fields) => {
            let (first, rest) = path.split_once('.').unwrap_or((path, ""));
            if let Some(field) = fields.get_mut(first) {
                mark(field, rest);
            }
        }
        leaf if path.is_empty() => *leaf = Value::String(MARK.to_owned()),
        _ => {}
    }
}

/// Facts in which everything is filled, and facts in which nothing is.
fn specimens(kind: Kind) -> (Value, Value) {
    fn both<F: RecordFacts + Specimen>() -> (Value, Value) {
        let json = |facts: F| serde_json::to_value(facts).unwrap_or(Value::Null);
        (json(F::full("")), json(F::bare()))
    }
    match kind {
        Kind::Setup => both::<SetupFacts>(),
        Kind::Incident => both::<IncidentFacts>(),
        Kind::Handover => both::<HandoverFacts>(),
        Kind::Chart => both::<ChartFacts>(),
    }
}

/// The engine with our escaping and filters.
fn engine() -> Tera {
    let mut engine = Tera::new();
    engine.autoescape_on([".md"]);
    engine.set_escape_fn(escape::escape);
    engine.register_filter("counted", |number: u64, words: Kwargs, _: &State| {
        let (one, many) = (words.must_get("one")?, words.must_get("many")?);
        Ok::<_, tera::Error>(filters::counted(number, one, many))
    });
    engine.register_filter(
        "else_say",
        |text: &tera::Value, words: Kwargs, _: &State| {
            let otherwise = words.must_get("words")?;
            Ok::<_, tera::Error>(filters::else_say(text.as_str(), otherwise))
        },
    );
    engine.register_filter("sentence", |text: &str, _: Kwargs, _: &State| {
        filters::sentence(text)
    });
    engine.register_filter("shortened", |text: &str, _: Kwargs, _: &State| {
        filters::shortened(text)
    });
    engine
}

/// One blank line at most, no blanks at line ends, one line end at the end. In a rehearsal every
/// heading says so: no printed value can begin a line with a heading's mark, so headings are the
/// template's own.
fn tidy(text: &str, rehearsal: bool) -> String {
    let mut out = String::with_capacity(text.len());
    let mut blank = true;
    for line in text.lines().map(str::trim_end) {
        if line.is_empty() {
            if !blank {
                out.push('\n');
            }
            blank = true;
            continue;
        }
        blank = false;
        if line.starts_with('|') {
            out.push_str(&single_blanks(line));
        } else {
            out.push_str(line);
        }
        if rehearsal && line.starts_with('#') {
            out.push_str(" (rehearsal)");
        }
        out.push('\n');
    }
    let end = out.trim_end().len();
    out.truncate(end);
    out.push('\n');
    out
}

/// A table row with one blank where the template left several.
fn single_blanks(row: &str) -> String {
    row.split(' ')
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

#[cfg(test)]
mod tests;
