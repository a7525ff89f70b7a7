//! The facts of a setup record.

use super::super::tags;
use super::entries::Entries;
use super::input::{Header, WalkStory};
use super::shape::SetupFacts;
use super::timeline::Timeline;
use super::{Kind, afterwards, calls, duties, findings, head};

impl SetupFacts {
    /// Gathers the facts of the walks by which a drain was made ready, joined and proved.
    #[must_use]
    pub fn new(walks: &[WalkStory], header: &Header) -> Self {
        let timeline = Timeline::new(walks, header.late_after);
        let entries = Entries::new(&timeline);
        let calls: Vec<_> = calls::calls(&timeline)
            .into_iter()
            .map(|call| call.facts)
            .collect();
        let duties: Vec<_> = duties::duties(&timeline)
            .into_iter()
            .map(|duty| duty.facts)
            .collect();
        Self {
            head: head::head(Kind::Setup, walks, header, &timeline),
            walks: head::walks(walks, &timeline),
            equipment: findings::last_of_each(&timeline, |line| line.is_tagged(tags::EQUIPMENT)),
            findings: tags::SETUP_FINDINGS
                .iter()
                .flat_map(|wanted| findings::headed(&timeline, wanted))
                .collect(),
            unexpected: findings::unexpected(&timeline),
            undone: findings::undone(&timeline),
            still_open: super::still_open(&calls, &duties),
            calls,
            duties,
            days: entries.days(),
            late: entries.late(),
            corrections: entries.taken_back(),
            afterwards: afterwards::facts(walks, header, &timeline),
        }
    }
}
