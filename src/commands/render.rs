//! From what was gathered to a document: facts, template, format.

use crate::clean;
use crate::cli::RecordKind;
use crate::failure::{Failure, Kind};
use crate::journal::Journal;
use crate::record::facts::{
    self, BadFacts, ChartFacts, HandoverFacts, IncidentFacts, RecordFacts, SetupFacts, from_json,
};
use crate::record::template::Template;

use super::chart;
use super::desk::Desk;
use super::gather::Gathered;
use super::handover;
use super::local_folder;

/// The facts of any record.
pub enum Facts {
    /// Of a setup record.
    Setup(Box<SetupFacts>),
    /// Of an incident record.
    Incident(Box<IncidentFacts>),
    /// Of a handover record.
    Handover(Box<HandoverFacts>),
    /// Of a chart record.
    Chart(Box<ChartFacts>),
}

impl Facts {
    /// The facts of what was gathered.
    ///
    /// # Errors
    /// A failure when the journal cannot be read.
    pub fn of(
        desk: &Desk,
        kind: RecordKind,
        journal: &Journal,
        gathered: &Gathered,
    ) -> Result<Self, Failure> {
        let (stories, header) = (&gathered.stories, &gathered.header);
        Ok(match kind {
            RecordKind::Setup => Self::Setup(Box::new(SetupFacts::new(stories, header))),
            RecordKind::Incident => Self::Incident(Box::new(IncidentFacts::new(stories, header))),
            RecordKind::Handover => {
                Self::Handover(Box::new(handover::facts(desk, journal, gathered)?))
            }
            RecordKind::Chart => Self::Chart(Box::new(chart::facts(desk, journal, gathered)?)),
        })
    }

    /// Reads facts that were printed as JSON.
    ///
    /// # Errors
    /// What is wrong with them, and where.
    pub fn read(kind: RecordKind, text: &str) -> Result<Self, BadFacts> {
        Ok(match kind {
            RecordKind::Setup => Self::Setup(Box::new(from_json(text)?)),
            RecordKind::Incident => Self::Incident(Box::new(from_json(text)?)),
            RecordKind::Handover => Self::Handover(Box::new(from_json(text)?)),
            RecordKind::Chart => Self::Chart(Box::new(from_json(text)?)),
        })
    }

    /// As Markdown, through the unit's template or the shipped one.
    ///
    /// # Errors
    /// A failure when the template is unfit.
    pub fn markdown(&self, desk: &Desk) -> Result<String, Failure> {
        match self {
            Self::Setup(facts) => rendered(desk, facts.as_ref()),
            Self::Incident(facts) => rendered(desk, facts.as_ref()),
            Self::Handover(facts) => rendered(desk, facts.as_ref()),
            Self::Chart(facts) => rendered(desk, facts.as_ref()),
        }
    }

    /// As JSON.
    ///
    /// # Errors
    /// The words of the JSON writer.
    pub fn json(&self) -> Result<String, Failure> {
        let text = match self {
            Self::Setup(facts) => serde_json::to_string_pretty(facts),
            Self::Incident(facts) => serde_json::to_string_pretty(facts),
            Self::Handover(facts) => serde_json::to_string_pretty(facts),
            Self::Chart(facts) => serde_json::to_string_pretty(facts),
        };
        text.map(|text| format!("{}\n", clean::json(&text)))
            .map_err(|why| Failure::unusable(format!("the facts cannot be written as JSON: {why}")))
    }
}

fn rendered<F: RecordFacts>(desk: &Desk, facts: &F) -> Result<String, Failure> {
    template(desk, F::KIND)?
        .render(facts)
        .map_err(|why| Failure::unusable(why.to_string()))
}

fn template(desk: &Desk, kind: facts::Kind) -> Result<Template, Failure> {
    let name = format!("{}.md", kind.word());
    let own = local_folder::template(desk.common.local.as_deref(), &name)?;
    let loaded = match &own {
        Some((path, text)) => Template::load(kind, &path.display().to_string(), text),
        None => Template::shipped(kind),
    };
    loaded.map_err(|problems| {
        let told: Vec<String> = problems.iter().map(ToString::to_string).collect();
        Failure::new(
            Kind::Problems,
            format!("the template cannot be used\n{}", told.join("\n")),
        )
        .hint("correct it, or move it away to use the shipped one")
    })
}
