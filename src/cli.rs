//! The shape of the command line. What it means is decided in `commands`.

use std::path::PathBuf;

use clap::parser::ValueSource;
use clap::{
    ArgMatches, Args, CommandFactory as _, FromArgMatches as _, Parser, Subcommand, ValueEnum,
};

/// The caution that stands on the home screen, in help, in every record and printout.
pub const CAUTION: &str = "Supports and never replaces local policy, the device's instructions, \
training and the judgement of licensed staff. Call for help first.";

/// Checklists for setting up a chest drain, proving that it works, and finding what is wrong.
///
/// Without a command: the home screen, with what is open, what is due and what can be started.
#[derive(Debug, Parser)]
#[command(name = "tubeside", version, after_help = CAUTION, max_term_width = 100)]
pub struct Cli {
    /// What holds for every command.
    #[command(flatten)]
    pub common: Common,
    /// What to do.
    #[command(subcommand)]
    pub command: Option<Command>,
}

impl Cli {
    /// Reads the arguments the program was started with; on a mistake, says so and ends with 2.
    #[must_use]
    pub fn from_arguments() -> Self {
        let read = Self::command().get_matches();
        Self::of(&read).unwrap_or_else(|why| why.exit())
    }

    /// From what clap read, with what only its source tells.
    fn of(read: &ArgMatches) -> Result<Self, clap::Error> {
        let mut cli = Self::from_arg_matches(read)?;
        cli.common.by_typed = read.value_source("by") == Some(ValueSource::CommandLine);
        Ok(cli)
    }

    /// Reads a command line given as words, the program's name first.
    ///
    /// # Errors
    /// What is wrong, in words.
    pub fn from_words(words: &[String]) -> Result<Self, String> {
        let read = Self::command().try_get_matches_from(words);
        read.and_then(|read| Self::of(&read))
            .map_err(|why| why.to_string())
    }

    /// The help for every command, as text.
    #[must_use]
    pub fn help() -> String {
        Self::command().render_long_help().to_string()
    }
}

/// What holds for every command.
#[derive(Debug, Clone, Default, Args)]
pub struct Common {
    /// The unit's own folder: local.yaml, checklists/, reports/templates/.
    #[arg(
        long,
        value_name = "DIR",
        global = true,
        env = "TUBESIDE_LOCAL",
        hide_env_values = true
    )]
    pub local: Option<PathBuf>,
    /// Another journal than the one in your data folder.
    #[arg(
        long,
        value_name = "FILE",
        global = true,
        env = "TUBESIDE_JOURNAL",
        hide_env_values = true
    )]
    pub journal: Option<PathBuf>,
    /// Who writes: initials and role, like "AB, RN".
    #[arg(
        long,
        value_name = "WRITER",
        global = true,
        env = "TUBESIDE_BY",
        hide_env_values = true
    )]
    pub by: Option<String>,
    /// Plain lines instead of single keys, one question a line.
    #[arg(long, global = true)]
    pub plain: bool,
    /// Only ASCII characters.
    #[arg(long, global = true, env = "TUBESIDE_ASCII", hide_env_values = true, value_parser = clap::builder::FalseyValueParser::new())]
    pub ascii: bool,
    /// Rehearse: the clock starts at this moment, like 2026-03-29T00:30:00Z. Every record says so.
    #[arg(
        long,
        value_name = "MOMENT",
        global = true,
        env = "TUBESIDE_CLOCK",
        hide_env_values = true
    )]
    pub clock: Option<String>,
    /// Whether `by` was typed on this command line, rather than taken from the environment.
    #[arg(skip)]
    pub by_typed: bool,
    /// Scripted walks show nothing while they run, and a set clock stands still between answers.
    /// Set by the demonstration alone.
    #[arg(skip)]
    pub quiet: bool,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Start a checklist.
    Start(StartArgs),
    /// Go on with a walk that was paused or interrupted.
    Resume(ResumeArgs),
    /// Find a checklist by what you see.
    Find(FindArgs),
    /// Drains: one tube in one patient, named by place and side, never by a person.
    #[command(subcommand)]
    Drain(DrainCommand),
    /// The drain chart: what drained, how fast, whether somebody must be called, what is due.
    #[command(subcommand)]
    Chart(ChartCommand),
    /// Write a note on a drain.
    Note(NoteArgs),
    /// Put an entry right: the original stays readable, with who, when and why.
    Amend(AmendArgs),
    /// Hand a drain over: who accepts, and what was read back.
    Handover(HandoverArgs),
    /// Look back over many drains: lists, limits met, what was left undone, how long calls took.
    Review(ReviewArgs),
    /// Sign a walk or a drain; after that only addenda are taken for it.
    Sign(SignArgs),
    /// Write a record made from the journal.
    Record(RecordArgs),
    /// The unit's own checklists and facts.
    #[command(subcommand)]
    Local(LocalCommand),
    /// The journal: check it, copy it, write it out.
    #[command(subcommand)]
    Journal(JournalCommand),
    /// Turn one unit into another, like: convert 20 cmH2O kPa
    Convert(ConvertArgs),
    /// Play an invented shift in a fresh folder, as a rehearsal.
    Demo(DemoArgs),
}

/// `start`
#[derive(Debug, Args)]
pub struct StartArgs {
    /// The checklist, like no-swing.
    pub list: String,
    /// The drain, like d1 (see: drain list).
    #[arg(long, value_name = "ID")]
    pub drain: Option<String>,
    /// Take the answers from this file, one a line.
    #[arg(long, value_name = "FILE")]
    pub answers: Option<PathBuf>,
    /// Enter afterwards what was ticked on a printed form: each answer with its time on the paper.
    #[arg(long)]
    pub from_paper: bool,
    /// Who wrote the paper: initials and role, like "CD, RN".
    #[arg(long, value_name = "WRITER", requires = "from_paper")]
    pub paper_by: Option<String>,
}

/// `resume`
#[derive(Debug, Args)]
pub struct ResumeArgs {
    /// The walk, like w3; without it, the one that is open, or a choice.
    pub walk: Option<String>,
    /// Take the answers from this file, one a line.
    #[arg(long, value_name = "FILE")]
    pub answers: Option<PathBuf>,
    /// Take the walk over from another terminal that holds it.
    #[arg(long)]
    pub take_over: bool,
}

/// `find`
#[derive(Debug, Args)]
pub struct FindArgs {
    /// What you see, in any words of the trade.
    #[arg(required = true)]
    pub words: Vec<String>,
    /// Print as JSON.
    #[arg(long)]
    pub json: bool,
}

/// `drain …`
#[derive(Debug, Subcommand)]
pub enum DrainCommand {
    /// Open a drain: say what is known of it.
    New {
        /// A fact, like breathing=ventilator. Without any, each is asked.
        #[arg(value_name = "FACT=VALUE")]
        facts: Vec<String>,
    },
    /// List the drains.
    List {
        /// Closed ones too.
        #[arg(long)]
        all: bool,
        /// Print as JSON.
        #[arg(long)]
        json: bool,
    },
    /// Show what is known of a drain and what was done.
    Show {
        /// The drain, like d1.
        id: String,
    },
    /// Change what is known of a drain.
    Set {
        /// The drain, like d1.
        id: String,
        /// A fact, like suction=ordered; an empty value means not known.
        #[arg(value_name = "FACT=VALUE", required = true)]
        facts: Vec<String>,
        /// Why it changed.
        #[arg(long, default_value = "")]
        why: String,
    },
    /// Close a drain.
    Close {
        /// The drain, like d1.
        id: String,
        /// How, like "tube removed".
        #[arg(long, value_name = "TEXT")]
        how: String,
    },
}

/// `chart …`
#[derive(Debug, Subcommand)]
pub enum ChartCommand {
    /// Enter a reading: as FIELD=VALUE, or question by question when none is given.
    Add(ChartAddArgs),
    /// Show the chart: the last readings, totals, limits, what is due.
    Show(ChartShowArgs),
    /// Say when each open drain is to be looked at next, and what is overdue.
    Due {
        /// Only this drain, like d1.
        #[arg(long, value_name = "ID")]
        drain: Option<String>,
        /// Print as JSON.
        #[arg(long)]
        json: bool,
    },
    /// Take readings from a CSV file: all of it, or nothing and every bad place.
    Import {
        /// The file. Its first line names the columns: seen-at, level (mL), swing ...
        file: PathBuf,
        /// The drain, like d1; without it, the one that is open.
        #[arg(long, value_name = "ID")]
        drain: Option<String>,
    },
    /// Draw the chart in the terminal, or as a picture file.
    Plot(ChartPlotArgs),
    /// Enter that another drainage unit was connected.
    NewDrainageUnit {
        /// The drain, like d1; without it, the one that is open.
        #[arg(long, value_name = "ID")]
        drain: Option<String>,
        /// When, if earlier, like 04:10.
        #[arg(long, value_name = "TIME")]
        seen: Option<String>,
        /// The last level on the old one, like "480 mL", or a single hyphen when nobody read it.
        #[arg(long, value_name = "AMOUNT", allow_hyphen_values = true)]
        last: String,
        /// What already stood in the new one, like "0 mL".
        #[arg(long, value_name = "AMOUNT")]
        start: String,
    },
    /// Enter that something happened to the drain, after which it is looked at more often.
    Event {
        /// What: disconnected, transfer, clamp on, clamp off, suction on, suction off.
        #[arg(required = true)]
        words: Vec<String>,
        /// The drain, like d1; without it, the one that is open.
        #[arg(long, value_name = "ID")]
        drain: Option<String>,
        /// When, if earlier, like 04:10.
        #[arg(long, value_name = "TIME")]
        seen: Option<String>,
    },
    /// Correct a reading; the wrong one stays in the journal.
    Correct {
        /// The number of the entry, as chart show gives it.
        entry: u64,
        /// What is right, like level="320 mL"; a single hyphen for not obtained.
        #[arg(value_name = "FIELD=VALUE")]
        fields: Vec<String>,
        /// The drain, like d1; without it, the one that is open.
        #[arg(long, value_name = "ID")]
        drain: Option<String>,
        /// The right time, like 04:10.
        #[arg(long, value_name = "TIME")]
        seen: Option<String>,
        /// Strike it out: it does not belong here at all.
        #[arg(long, conflicts_with_all = ["fields", "seen"])]
        strike: bool,
        /// An unlikely value is right: it was looked at twice.
        #[arg(long)]
        sure: bool,
        /// Why it is corrected.
        #[arg(long, value_name = "TEXT")]
        why: String,
    },
}

/// Why a level lies below the one before.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Lower {
    /// The drainage unit was tilted.
    Tilted,
    /// It was knocked over, or fluid moved or was lost.
    Spilled,
    /// This level or the one before was misread, and it cannot be said which.
    Misread,
    /// The drainage unit was changed and nobody wrote when.
    Changed,
}

/// `chart add`
#[derive(Debug, Args)]
pub struct ChartAddArgs {
    /// What was seen, like level="320 mL" swing=small; a single hyphen for not obtained.
    #[arg(value_name = "FIELD=VALUE")]
    pub fields: Vec<String>,
    /// The drain, like d1; without it, the one that is open.
    #[arg(long, value_name = "ID")]
    pub drain: Option<String>,
    /// When it was seen, if earlier, like 04:10.
    #[arg(long, value_name = "TIME")]
    pub seen: Option<String>,
    /// Why the level lies below the one before.
    #[arg(long, value_name = "WHY")]
    pub lower: Option<Lower>,
    /// An unlikely value is right: it was looked at twice.
    #[arg(long)]
    pub sure: bool,
    /// Take the answers from this file, one a line.
    #[arg(long, value_name = "FILE", conflicts_with = "fields")]
    pub answers: Option<PathBuf>,
}

/// `chart show`
#[derive(Debug, Args)]
pub struct ChartShowArgs {
    /// The drain, like d1; without it, the one that is open.
    #[arg(long, value_name = "ID")]
    pub drain: Option<String>,
    /// Every entry, not only those of the last 24 h.
    #[arg(long)]
    pub all: bool,
    /// Also the output since this time, like 19:30.
    #[arg(long, value_name = "TIME")]
    pub since: Option<String>,
    /// Print everything as JSON.
    #[arg(long, conflicts_with = "csv")]
    pub json: bool,
    /// Print every entry as CSV, for a spreadsheet.
    #[arg(long)]
    pub csv: bool,
}

/// `chart plot`
#[derive(Debug, Args)]
pub struct ChartPlotArgs {
    /// The drain, like d1; without it, the one that is open.
    #[arg(long, value_name = "ID")]
    pub drain: Option<String>,
    /// Write a picture into this file instead; a single hyphen prints it.
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// Columns of the terminal, 40 to 200; for a picture, its width in pixels, 320 to 2000.
    #[arg(long, value_name = "N")]
    pub width: Option<u16>,
}

/// `note`
#[derive(Debug, Args)]
pub struct NoteArgs {
    /// The drain, like d1.
    #[arg(long, value_name = "ID")]
    pub drain: String,
    /// When it was seen, if earlier, like 04:10.
    #[arg(long, value_name = "TIME")]
    pub seen: Option<String>,
    /// The note.
    #[arg(required = true)]
    pub text: Vec<String>,
}

/// `amend`
#[derive(Debug, Args)]
#[command(group = clap::ArgGroup::new("how").required(true).args(["wrong", "in_error", "addendum", "drain"]))]
pub struct AmendArgs {
    /// The entry: w3.7 of a walk, d1.2 for a note on a drain, w3.a1 for an amendment; a walk
    /// alone (w3) means all of it.
    pub entry: String,
    /// It was wrong; say what is right.
    #[arg(long, value_name = "TEXT")]
    pub wrong: Option<String>,
    /// It does not belong here at all: another patient, or a trial.
    #[arg(long)]
    pub in_error: bool,
    /// It stands; say what is added.
    #[arg(long, value_name = "TEXT")]
    pub addendum: Option<String>,
    /// The walk belongs to this drain.
    #[arg(long, value_name = "ID")]
    pub drain: Option<String>,
    /// Why.
    #[arg(long, value_name = "TEXT")]
    pub why: String,
}

/// `review`
#[derive(Debug, Args)]
pub struct ReviewArgs {
    /// Only walks begun on this day or later, like 2026-01-01.
    #[arg(long, value_name = "DAY")]
    pub from: Option<String>,
    /// Only walks begun on this day or before, like 2026-03-31.
    #[arg(long, value_name = "DAY")]
    pub to: Option<String>,
    /// Rehearsals instead of care.
    #[arg(long)]
    pub rehearsals: bool,
    /// Print one table as CSV.
    #[arg(long, value_name = "TABLE", num_args = 0..=1, default_missing_value = "lists", conflicts_with = "json")]
    pub csv: Option<ReviewTable>,
    /// Print as JSON.
    #[arg(long)]
    pub json: bool,
    /// Write a report in Markdown to this file, with pictures beside it.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["csv", "json"])]
    pub out: Option<PathBuf>,
}

/// A table of the review.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ReviewTable {
    /// A row for each checklist.
    Lists,
    /// A row for each month.
    Months,
    /// A row for each limit on the output.
    Limits,
    /// A row for each step that was left undone.
    Left,
}

/// `sign`
#[derive(Debug, Args)]
pub struct SignArgs {
    /// The walk, like w3, or the drain, like d1. Who signs is typed again with --by.
    pub what: String,
}

/// Which record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum RecordKind {
    /// Preparing, connecting and proving.
    Setup,
    /// What was seen and done when something was wrong.
    Incident,
    /// What the next person must know who takes the drain over.
    Handover,
    /// The drain chart: readings, totals, limits met, corrections.
    Chart,
}

impl RecordKind {
    /// The word on the command line, in the journal and in file names.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Setup => "setup",
            Self::Incident => "incident",
            Self::Handover => "handover",
            Self::Chart => "chart",
        }
    }

    /// Reads the word.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        Self::from_str(word, false).ok()
    }
}

/// In which format a record is written.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, ValueEnum)]
pub enum RecordFormat {
    /// Markdown, through the template.
    #[default]
    Markdown,
    /// A page that stands alone and prints well, made from the Markdown.
    Html,
    /// The facts, as JSON.
    Json,
    /// HL7 FHIR R4: the walks and their checklists; what finds no place there is told beside.
    Fhir,
}

impl RecordFormat {
    /// The word on the command line and in the journal.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Markdown => "markdown",
            Self::Json => "json",
            Self::Html => "html",
            Self::Fhir => "fhir",
        }
    }

    /// The ending of file names.
    #[must_use]
    pub const fn ending(self) -> &'static str {
        match self {
            Self::Markdown => "md",
            Self::Json => "json",
            Self::Html => "html",
            Self::Fhir => "fhir.json",
        }
    }

    /// Reads the word.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        Self::from_str(word, false).ok()
    }
}

/// `handover`
#[derive(Debug, Args)]
pub struct HandoverArgs {
    /// The drain, like d1. Who gives it is --by.
    pub drain: String,
    /// Who accepts: initials and role, like "CD, RN".
    #[arg(long, value_name = "WRITER")]
    pub to: String,
    /// What the one who accepts read back.
    #[arg(long, value_name = "TEXT")]
    pub read_back: Option<String>,
}

/// `record`
#[derive(Debug, Args)]
pub struct RecordArgs {
    /// Which record.
    pub kind: RecordKind,
    /// The drain, like d1; every walk of it that belongs in the record is taken.
    #[arg(long, value_name = "ID")]
    pub drain: Option<String>,
    /// Only these walks, like w3.
    #[arg(long, value_name = "WALK")]
    pub walk: Vec<String>,
    /// Write it here; a single hyphen prints it. Otherwise into reports/ of the unit's folder.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Print the facts it is made from, as JSON, instead of the record.
    #[arg(long)]
    pub facts: bool,
    /// Make the record from facts printed before, instead of the journal.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["drain", "walk", "facts"])]
    pub from_facts: Option<PathBuf>,
    /// In which format.
    #[arg(long, value_enum, default_value_t)]
    pub format: RecordFormat,
    /// Compare this file with the record; nothing is written.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["out", "facts"])]
    pub check: Option<PathBuf>,
}

/// `local …`
#[derive(Debug, Subcommand)]
pub enum LocalCommand {
    /// Make a folder for the unit with files to start from. Nothing that is there is overwritten.
    New {
        /// The folder.
        #[arg(value_name = "DIR")]
        folder: PathBuf,
        /// Print as JSON.
        #[arg(long)]
        json: bool,
    },
    /// Start an adaptation of a shipped list, or set it on the list as it is shipped now.
    Adapt {
        /// The checklist, like no-swing.
        list: String,
        /// Print as JSON.
        #[arg(long)]
        json: bool,
    },
    /// Tell what the unit does differently from what is shipped, in words for a meeting.
    Compare {
        /// Only this checklist, like no-swing.
        list: Option<String>,
        /// Print as JSON.
        #[arg(long)]
        json: bool,
    },
    /// Tell everything that is wrong with the checklists, the unit's and the shipped ones.
    Check {
        /// Print as JSON.
        #[arg(long)]
        json: bool,
    },
    /// Approve the unit's checklists as they are: checked, tried and proved first. Who approves is
    /// --by, and not one of the authors.
    Approve(ApproveArgs),
    /// Tell how the unit's checklists stand: approved, changed since, past their review, waived.
    State {
        /// Print as JSON.
        #[arg(long)]
        json: bool,
    },
    /// Prove that every possible way through the checklists keeps every safeguard.
    Prove(ProveArgs),
    /// Write a checklist as a form on paper, for a shift without computers.
    Print(PrintArgs),
    /// Draw a checklist as a map of its steps.
    Draw(DrawArgs),
    /// Print a checklist as an HL7 FHIR R4 Questionnaire; what finds no place there is told beside.
    Fhir {
        /// The checklist, like no-swing.
        list: String,
    },
    /// Play the trials, scripted walks with the ending they must reach, and tell untaken ways out.
    Try(TryArgs),
}

/// `local try`
#[derive(Debug, Args)]
pub struct TryArgs {
    /// Only trials whose name or list holds this.
    pub name: Option<String>,
    /// Print as JSON.
    #[arg(long)]
    pub json: bool,
}

/// `local approve`
#[derive(Debug, Args)]
pub struct ApproveArgs {
    /// Why, in one line.
    #[arg(long, value_name = "TEXT")]
    pub because: String,
    /// The day by which somebody must look at it again, like 2027-06-30.
    #[arg(long, value_name = "DAY")]
    pub review_by: String,
    /// Print as JSON.
    #[arg(long)]
    pub json: bool,
}

/// `local prove`
#[derive(Debug, Args)]
pub struct ProveArgs {
    /// Only this checklist, like no-swing; each of its safeguards is told.
    pub list: Option<String>,
    /// Print as JSON.
    #[arg(long)]
    pub json: bool,
    /// Write the first way that breaks a safeguard as a trial, which `local try` plays.
    #[arg(long, value_name = "FILE", conflicts_with = "doubt")]
    pub trial: Option<PathBuf>,
    /// Doubt the prover: take out what keeps each safeguard, and see that it notices.
    #[arg(long)]
    pub doubt: bool,
}

/// `local print`
#[derive(Debug, Args)]
pub struct PrintArgs {
    /// The checklist, like no-swing.
    pub list: String,
    /// A page ready to print, instead of Markdown.
    #[arg(long)]
    pub html: bool,
    /// Only name the lists that it uses, which then are on forms of their own.
    #[arg(long)]
    pub alone: bool,
    /// Write it here instead of printing it.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// `local draw`
#[derive(Debug, Args)]
pub struct DrawArgs {
    /// The checklist, like no-swing.
    pub list: String,
    /// As Mermaid.
    #[arg(long)]
    pub mermaid: bool,
    /// As SVG, in this file.
    #[arg(long, value_name = "FILE", conflicts_with = "mermaid")]
    pub svg: Option<PathBuf>,
}

/// `journal …`
#[derive(Debug, Subcommand)]
pub enum JournalCommand {
    /// Check the chain of the journal; with files, also whether these records are what it says.
    Verify {
        /// Records written from this journal.
        records: Vec<PathBuf>,
    },
    /// Copy the journal to a new file while it is in use.
    Backup {
        /// The new file.
        file: PathBuf,
    },
    /// Put a backup in place of a journal that is not there any more.
    Restore {
        /// The backup.
        backup: PathBuf,
    },
    /// Write the journal out as JSON Lines, to a new file or, with a single hyphen, to the output.
    Export {
        /// The new file, or -.
        file: PathBuf,
    },
}

/// `convert`
#[derive(Debug, Args)]
pub struct ConvertArgs {
    /// The amount with its unit, and the unit wanted, like: 20 cmH2O kPa
    #[arg(required = true, allow_hyphen_values = true)]
    pub words: Vec<String>,
}

/// `demo`
#[derive(Debug, Args)]
pub struct DemoArgs {
    /// Keep what it makes in this new folder.
    #[arg(long, value_name = "DIR")]
    pub into: Option<PathBuf>,
}
