//! Duties: what was opened, when it was closed, and what is still open.

use super::clock;
use super::shape::{DutyFacts, Interval};
use super::timeline::Timeline;
use crate::moment::Moment;
use crate::walk::story::Telling;

/// A duty with the moments that intervals are reckoned from.
#[derive(Debug)]
pub(super) struct OpenedDuty<'a> {
    /// The duty in words.
    pub(super) facts: DutyFacts,
    key: (&'a str, &'a str),
    from: Moment,
    to: Option<Moment>,
}

impl OpenedDuty<'_> {
    /// Whether it is the duty of that name and still open.
    pub(super) fn is_open(&self, name: &str) -> bool {
        self.key.1 == name && self.to.is_none()
    }
}

/// Every duty that was opened, in the order opened. One closed in another walk on the same drain
/// counts as closed.
pub(super) fn duties<'a>(timeline: &Timeline<'a>) -> Vec<OpenedDuty<'a>> {
    let mut duties: Vec<OpenedDuty<'a>> = Vec::new();
    for line in timeline.lines.iter().filter(|line| !line.told.taken_back) {
        let seen = line.told.seen;
        match &line.told.what {
            Telling::DutyOpened { duty, open } => duties.push(OpenedDuty {
                facts: DutyFacts {
                    open: open.clone(),
                    opened: timeline.seen_by(line),
                    closed: None,
                    how: None,
                    lasted: None,
                    still_open: true,
                },
                key: (line.drain, duty.as_str()),
                from: seen,
                to: None,
            }),
            Telling::DutyClosed { duty, how } => {
                let key = (line.drain, duty.as_str());
                let open = duties
                    .iter_mut()
                    .find(|open| open.key == key && open.to.is_none());
                if let Some(open) = open {
                    open.to = Some(seen);
                    open.facts.closed = Some(timeline.seen_by(line));
                    open.facts.how = Some(how.clone());
                    open.facts.lasted = Some(clock::length_words(open.from, seen));
                    open.facts.still_open = false;
                }
            }
            _ => {}
        }
    }
    duties
}

/// From the opening of each duty to its closing.
pub(super) fn intervals(timeline: &Timeline<'_>, duties: &[OpenedDuty<'_>]) -> Vec<Interval> {
    duties
        .iter()
        .map(|duty| Interval {
            what: format!("{}, from start to end", duty.facts.open),
            from: timeline.clock.short(duty.from),
            to: duty.to.map(|to| timeline.clock.short(to)),
            length: duty
                .facts
                .lasted
                .clone()
                .unwrap_or_else(|| "still open at the last entry".to_owned()),
        })
        .collect()
}
