//! What can be wrong with checklist files, as data. The words are in `wording`.

use std::sync::Arc;

use crate::names::NotAName;
use crate::units::{BadAmount, Number, Unit};

use super::adapt::misfit::Misfit;
use super::model::Outcome;
use super::prose::Prose;

/// Whether a problem keeps the checklists from being used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// The checklists cannot be used until it is put right.
    Error,
    /// The checklists can be used; somebody should look at it.
    Warning,
}

/// A place in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// The line, counted from 1.
    pub line: usize,
    /// The column, counted from 1, in characters.
    pub column: usize,
    /// How many characters of that line it covers; at least 1.
    pub length: usize,
}

impl Place {
    /// The first place of a file.
    pub const BEGIN: Self = Self {
        line: 1,
        column: 1,
        length: 1,
    };
}

/// One thing that is wrong with a file, and where.
#[derive(Debug, Clone)]
pub struct Problem {
    /// The file.
    pub file: String,
    /// Where in the file; the first place when it concerns the whole file.
    pub place: Place,
    /// What is wrong.
    pub kind: Kind,
    /// The text of the file, if it could be read at all.
    pub(in crate::checklist) text: Option<Arc<str>>,
}

impl Problem {
    /// Whether it keeps the checklists from being used.
    #[must_use]
    pub fn severity(&self) -> Severity {
        self.kind.severity()
    }
}

/// A part of YAML that checklist files do without.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Trick {
    /// `*name`
    Alias,
    /// `&name`
    Anchor,
    /// `!name`
    Tag,
    /// `<<:`
    MergeKey,
    /// `---` a second time.
    SecondDocument,
    /// A list or map where a key is meant.
    KeyOfParts,
}

/// A slip in the writing of YAML.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Slip {
    /// A tab in the indentation.
    Tab,
    /// A second `: ` in a line.
    SecondColon,
    /// A line that does not line up with its neighbours.
    Indent,
    /// A quote or bracket that is not closed.
    Unclosed,
    /// A key without its colon.
    NoColon,
    /// A character that cannot begin a text without quotes.
    BadStart,
    /// A backslash in double quotes with an unknown letter.
    BadEscape,
    /// Anything else.
    Other,
}

/// What a value is, when it is not what is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Shape {
    /// Nothing.
    Nothing,
    /// Words.
    Words,
    /// A list.
    List,
    /// Keys and values.
    Map,
    /// `true` or `false`.
    Truth,
    /// A number.
    Number,
}

/// An end of a gap or an overlap: the number, and whether it belongs to it.
pub type Edge = (Number, bool);

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
#[expect(
    missing_docs,
    reason = "the fields are the values at stake, named for what they are"
)]
pub enum Kind {
    // The file.
    /// There is nothing in the file.
    EmptyFile,
    /// The bytes are not UTF-8.
    NotUtf8,
    /// The file is larger than is read.
    TooBig { bytes: usize, most: usize },
    /// Lists and maps stand in one another too deeply.
    TooDeep { most: usize },
    /// The file's name does not end in `.yaml`.
    NotYamlName { file: String },
    /// More problems than are told for one file.
    TooMany { left: usize },
    /// A character that cannot be seen.
    HiddenCharacter { code: u32 },
    /// A part of YAML that is not used here.
    NotPlain(Trick),
    /// A key stands twice in one map.
    DuplicateKey { key: String },
    /// The YAML cannot be read.
    Syntax(Slip),

    // Keys and values.
    /// A value has the wrong shape.
    WrongShape { wanted: &'static str, found: Shape },
    /// Words that YAML takes for something else.
    NeedsQuotes { words: String },
    /// A text is missing.
    EmptyText,
    /// A text of more than one line where one is meant.
    SeveralLines,
    /// A list or map without entries.
    NoEntries { what: &'static str },
    /// A name with other characters than names may have.
    BadName(NotAName),
    /// An unknown key.
    UnknownKey {
        key: String,
        owner: &'static str,
        nearest: Option<String>,
        known: Vec<&'static str>,
    },
    /// A key that another kind of step has.
    KeyOfOtherKind { key: String, kind: &'static str },
    /// A key on a step that cannot have it.
    KeyNotHere {
        key: &'static str,
        only: &'static str,
    },
    /// A required key is missing.
    MissingKey {
        key: &'static str,
        owner: &'static str,
    },
    /// A step without `do`, `check` and so on.
    NoKind,
    /// A step with two of `do`, `check` and so on.
    SeveralKinds {
        first: &'static str,
        second: &'static str,
    },
    /// A word that is not one of a few.
    UnknownWord {
        word: String,
        what: &'static str,
        known: Vec<String>,
        nearest: Option<String>,
    },
    /// Not `true` or `false`.
    NotTruth { found: String },
    /// Not a whole number in the range.
    NotACount { found: String, most: u32 },
    /// Not a version like 1.0.0.
    NotAVersion { found: String },
    /// Not a day like 2027-06-30.
    NotADate { found: String },
    /// Not a time zone.
    NotAZone { found: String },
    /// Not a single key for an urgent list.
    NotAKey { found: String },
    /// Not an amount, or not a length of time.
    NotAnAmount {
        wanted: &'static str,
        why: BadAmount,
    },
    /// An unknown unit of measurement.
    UnknownUnit { found: String },
    /// Not a range of numbers like 0 to 30.
    NotARange { found: String },
    /// Not a band like "below 2".
    NotABand { found: String },
    /// An entry that should have exactly one key.
    OneKeyEach { what: &'static str, found: usize },
    /// Two keys that exclude each other.
    NotTogether {
        first: &'static str,
        second: &'static str,
    },
    /// A key that needs another beside it.
    NeedsBeside {
        key: &'static str,
        other: &'static str,
    },
    /// A `{` or `}` that belongs to no place to be filled.
    LooseBrace { brace: char },
    /// What stands in braces is not a name.
    BadPlaceholder { found: String },

    // Rules of a list.
    /// The list has another name than its file.
    NameNotFile { name: String, stem: String },
    /// The file's name cannot be a list's name.
    FileNotAName { stem: String },
    /// A way to a step that is not there.
    UnknownStep {
        name: String,
        nearest: Option<String>,
    },
    /// A step that no way leads to.
    Unreachable { name: String, begin: String },
    /// A list without an `end`.
    NoEnd,
    /// From here no end can be reached.
    DeadEnd { chain: Vec<String> },
    /// A circle of steps that nothing counts.
    UncountedCircle { chain: Vec<String> },
    /// A question without a way to say "not sure".
    NoUnsure,
    /// A question with more than one way to say "not sure".
    SeveralUnsure { first: String },
    /// An answer that stands twice.
    SameAnswer { words: String },
    /// An answer that a test could not tell from `known` and `unknown`.
    ReservedAnswer { words: String },
    /// More answers than single digits.
    TooManyAnswers { count: usize, most: usize },
    /// Numbers that no band has.
    BandGap { from: Edge, to: Edge, unit: Unit },
    /// Numbers that two bands have.
    BandOverlap { from: Edge, to: Edge, unit: Unit },
    /// A band that no plausible number is in.
    BandOutside,
    /// A band or test that ends before it begins.
    BandBackwards,

    // Facts, lists, duties, sources.
    /// A name that nothing has.
    UnknownFact {
        name: String,
        nearest: Option<String>,
    },
    /// A remembered or local name that is taken.
    NameTaken { name: String, by: &'static str },
    /// A name that is remembered twice in a list.
    RememberedTwice { name: String, first: String },
    /// A name where only a limit may stand.
    NotALimit {
        name: String,
        nearest: Option<String>,
    },
    /// A local time that may be unset.
    PeriodMayBeUnset { name: String },
    /// A local value that is not set and has no safe way.
    NotASpanFact { name: String },
    /// A test for a word that the fact never is.
    NeverIs {
        name: String,
        word: String,
        choices: Vec<String>,
        nearest: Option<String>,
    },
    /// A test for numbers that the fact never is.
    NeverWithin {
        name: String,
        low: Number,
        high: Number,
        unit: Unit,
    },
    /// A test on a remembered answer that cannot have been given yet.
    NeverGiven { name: String, by: String },
    /// A row that an earlier row always takes first.
    RowNeverTaken,
    /// A test for words on a number, or for numbers on a word.
    WrongTest {
        name: String,
        is: &'static str,
        can: &'static str,
    },
    /// Words under `chart` that are none of the step's answers.
    ChartsNoAnswer {
        words: String,
        answers: Vec<String>,
        nearest: Option<String>,
    },
    /// An answer that says "not sure" and is to stand in the chart.
    ChartsUnsure { words: String },
    /// A quantity of another kind than is wanted.
    WrongQuantity {
        name: String,
        has: String,
        wanted: String,
    },
    /// A cut that is a word or a time.
    NotANumberFact { name: String, is: &'static str },
    /// A list that is not there.
    UnknownList {
        name: String,
        nearest: Option<String>,
    },
    /// Lists that use each other in a circle.
    UseCircle { chain: Vec<String> },
    /// An ending of a used list that leads nowhere.
    EndingMissing { list: String, missing: Vec<Outcome> },
    /// An ending that the used list does not have.
    EndingSuperfluous {
        list: String,
        outcome: Option<Outcome>,
    },
    /// A step without a source.
    MissingSource { key: &'static str },
    /// A source that the head does not name.
    UnknownSource {
        name: String,
        nearest: Option<String>,
    },
    /// A source that no step names.
    UnusedSource { name: String },
    /// A duty that is not in `duties.yaml`.
    UnknownDuty {
        name: String,
        nearest: Option<String>,
    },

    // Urgent lists.
    /// Two urgent lists with one key.
    SameKey { key: char, other: String },
    /// An urgent list that does not begin with what must be done.
    NoFirstScreen,
    /// More than three steps from memory.
    LongFirstScreen { steps: usize, most: usize },
    /// More lines than the first screen has.
    TallFirstScreen { lines: usize, most: usize },
    /// A step from memory that is not a `do`.
    FromMemoryNotDo,
    /// A step from memory that is not among the first.
    FromMemoryNotFirst,
    /// An urgent list that does not call for help at once.
    NoEarlyCall,

    // Words.
    /// Something is wrong with the words.
    Prose(Prose),

    // Adaptations.
    /// Something is wrong with an adaptation or a waiver.
    Adapt(Box<Misfit>),

    // Other files.
    /// A local value for a fact that is not defined.
    UnknownLocalFact {
        name: String,
        nearest: Option<String>,
    },
    /// A value outside what is plausible.
    NotPlausible {
        found: String,
        low: String,
        high: String,
    },
    /// A range that ends before it begins.
    RangeBackwards,
    /// A fault of this program.
    OurFault,
}

impl Kind {
    /// Something that is wrong with an adaptation or a waiver.
    pub(in crate::checklist) fn adapt(misfit: Misfit) -> Self {
        Self::Adapt(Box::new(misfit))
    }

    /// Whether it keeps the checklists from being used.
    #[must_use]
    pub fn severity(&self) -> Severity {
        match self {
            Self::UnusedSource { .. } | Self::EndingSuperfluous { .. } => Severity::Warning,
            Self::Prose(prose) => prose.severity(),
            Self::Adapt(misfit) => misfit.severity(),
            _ => Severity::Error,
        }
    }

    /// A short name that stays the same when the wording changes.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::EmptyFile => "empty-file",
            Self::NotUtf8 => "not-utf8",
            Self::TooBig { .. } => "too-big",
            Self::TooDeep { .. } => "too-deep",
            Self::NotYamlName { .. } => "not-yaml-name",
            Self::TooMany { .. } => "too-many",
            Self::HiddenCharacter { .. } => "hidden-character",
            Self::NotPlain(_) => "not-plain",
            Self::DuplicateKey { .. } => "duplicate-key",
            Self::Syntax(_) => "syntax",
            Self::WrongShape { .. } => "wrong-shape",
            Self::NeedsQuotes { .. } => "needs-quotes",
            Self::EmptyText => "empty-text",
            Self::SeveralLines => "several-lines",
            Self::NoEntries { .. } => "no-entries",
            Self::BadName(_) => "bad-name",
            Self::UnknownKey { .. } => "unknown-key",
            Self::KeyOfOtherKind { .. } => "key-of-other-kind",
            Self::KeyNotHere { .. } => "key-not-here",
            Self::MissingKey { .. } => "missing-key",
            Self::NoKind => "no-kind",
            Self::SeveralKinds { .. } => "several-kinds",
            Self::UnknownWord { .. } => "unknown-word",
            Self::NotTruth { .. } => "not-true-or-false",
            Self::NotACount { .. } => "not-a-count",
            Self::NotAVersion { .. } => "not-a-version",
            Self::NotADate { .. } => "not-a-date",
            Self::NotAZone { .. } => "not-a-zone",
            Self::NotAKey { .. } => "not-a-key",
            Self::NotAnAmount { .. } => "not-an-amount",
            Self::UnknownUnit { .. } => "unknown-unit",
            Self::NotARange { .. } => "not-a-range",
            Self::NotABand { .. } => "not-a-band",
            Self::OneKeyEach { .. } => "one-key-each",
            Self::NotTogether { .. } => "not-together",
            Self::NeedsBeside { .. } => "needs-beside",
            Self::LooseBrace { .. } => "loose-brace",
            Self::BadPlaceholder { .. } => "bad-placeholder",
            other => other.rule_code(),
        }
    }

    const fn rule_code(&self) -> &'static str {
        match self {
            Self::NameNotFile { .. } => "name-not-file",
            Self::FileNotAName { .. } => "file-not-a-name",
            Self::UnknownStep { .. } => "unknown-step",
            Self::Unreachable { .. } => "unreachable-step",
            Self::NoEnd => "no-end",
            Self::DeadEnd { .. } => "dead-end",
            Self::UncountedCircle { .. } => "uncounted-circle",
            Self::NoUnsure => "no-unsure",
            Self::SeveralUnsure { .. } => "several-unsure",
            Self::SameAnswer { .. } => "same-answer",
            Self::ReservedAnswer { .. } => "reserved-answer",
            Self::TooManyAnswers { .. } => "too-many-answers",
            Self::BandGap { .. } => "band-gap",
            Self::BandOverlap { .. } => "band-overlap",
            Self::BandOutside => "band-outside",
            Self::BandBackwards => "band-backwards",
            Self::UnknownFact { .. } => "unknown-fact",
            Self::NameTaken { .. } => "name-taken",
            Self::RememberedTwice { .. } => "remembered-twice",
            Self::NotALimit { .. } => "not-a-limit",
            Self::PeriodMayBeUnset { .. } => "period-may-be-unset",
            Self::NotASpanFact { .. } => "not-a-span-fact",
            Self::NeverIs { .. } => "never-is",
            Self::NeverWithin { .. } => "never-within",
            Self::NeverGiven { .. } => "never-given",
            Self::RowNeverTaken => "row-never-taken",
            Self::WrongTest { .. } => "wrong-test",
            Self::ChartsNoAnswer { .. } => "charts-no-answer",
            Self::ChartsUnsure { .. } => "charts-unsure",
            Self::WrongQuantity { .. } => "wrong-quantity",
            Self::NotANumberFact { .. } => "not-a-number-fact",
            Self::UnknownList { .. } => "unknown-list",
            Self::UseCircle { .. } => "use-circle",
            Self::EndingMissing { .. } => "ending-missing",
            Self::EndingSuperfluous { .. } => "ending-superfluous",
            Self::MissingSource { .. } => "missing-source",
            Self::UnknownSource { .. } => "unknown-source",
            Self::UnusedSource { .. } => "unused-source",
            Self::UnknownDuty { .. } => "unknown-duty",
            Self::SameKey { .. } => "same-key",
            Self::NoFirstScreen => "no-first-screen",
            Self::LongFirstScreen { .. } => "long-first-screen",
            Self::TallFirstScreen { .. } => "tall-first-screen",
            Self::FromMemoryNotDo => "from-memory-not-do",
            Self::FromMemoryNotFirst => "from-memory-not-first",
            Self::NoEarlyCall => "no-early-call",
            Self::Prose(prose) => prose.code(),
            Self::Adapt(misfit) => misfit.code(),
            Self::UnknownLocalFact { .. } => "unknown-local-fact",
            Self::NotPlausible { .. } => "not-plausible",
            Self::RangeBackwards => "range-backwards",
            _ => "our-fault",
        }
    }
}
