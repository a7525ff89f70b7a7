//! What may be shown, as tables in Markdown whose columns also stand under each other as they are
//! printed, and the report made of them.

use super::facts::{ReviewFacts, Spread};
use crate::record::escape::markdown as md;

/// What stands around the tables of a report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Report {
    /// The unit, when it has given its name.
    pub unit: Option<String>,
    /// The time looked at, in words.
    pub time: String,
    /// Whether it is of rehearsals.
    pub rehearsals: bool,
    /// The hash of the last entry of the journal it was made from; `None` when there is none.
    pub last_hash: Option<String>,
    /// Pictures: the name of the file beside the report as a link needs it, and what is to be seen.
    pub pictures: Vec<(String, String)>,
}

/// How its numbers are to be read.
const CAUTIONS: [&str; 5] = [
    "For improving lists, equipment and training. No persons are counted or compared.",
    "A list that is used often, or a limit that is met often, is not a fault: sicker patients need more.",
    "What nobody entered is not counted. A tick is not the deed.",
    "A walk counts in the month in which it began. Limits are judged anew from the readings, by the \
     values of this unit as they are now; they may have been others then.",
    "A hidden number can sometimes be worked out from the others: decide who may read this as for any \
     paper about patients.",
];

impl ReviewFacts {
    /// All tables, each under its heading.
    #[must_use]
    pub fn tables(&self) -> String {
        let parts = [
            self.counted(),
            self.by_month(&[]),
            self.by_list(),
            self.by_limit(),
            self.undone(),
        ];
        parts.join("\n")
    }

    /// The report.
    #[must_use]
    pub fn report(&self, report: &Report) -> String {
        let rehearsals = if report.rehearsals {
            " (rehearsals)"
        } else {
            ""
        };
        let unit = report.unit.as_deref().unwrap_or("a unit without a name");
        let cautions: String = CAUTIONS.iter().map(|one| format!("- {one}\n")).collect();
        let last = report.last_hash.as_deref().unwrap_or("none");
        [
            format!("# Looking back{rehearsals}: {}\n", md(unit)),
            format!("{} {}", report.time, self.counted()),
            format!("## How to read it\n\n{cautions}"),
            self.by_month(&report.pictures),
            self.by_list(),
            self.by_limit(),
            self.undone(),
            format!("## Made from\n\nThe journal up to the entry with the hash {last}.\n"),
        ]
        .join("\n")
    }

    fn counted(&self) -> String {
        format!(
            "Walks looked at: {}. Entered in error and left out: {}. Charts of drains looked at: {}. \
             Counts from 1 to {} read \"<{}\"; middle values and ranges stand from {} on. No persons \
             are counted or compared.\n",
            self.walks,
            self.in_error,
            self.drains,
            self.small - 1,
            self.small,
            self.small
        )
    }

    fn by_month(&self, pictures: &[(String, String)]) -> String {
        let walks = self.months.iter().map(|row| {
            let counts = [
                row.walks,
                row.stopped,
                row.paused,
                row.taken_back,
                row.put_right,
            ];
            cells(row.month.to_string(), &counts)
        });
        let charts = self.months.iter().map(|row| {
            let counts = [row.limits_met, row.limits_cleared, row.readings_corrected];
            cells(row.month.to_string(), &counts)
        });
        let waits = self.months.iter().map(|row| {
            let (call, answer) = (&row.seen_to_call, &row.call_to_answer);
            waits(row.month.to_string(), call, answer)
        });
        let mut out = String::from("## By month\n\n");
        out.push_str(&table(
            &[
                "Month",
                "Walks",
                "Stopped",
                "Paused",
                "Taken back",
                "Put right",
            ],
            walks,
        ));
        out.push_str("\nPaused: walks that were paused at least once. Taken back: answers. Put right: corrections and addenda that came afterwards.\n\n");
        out.push_str(&table(
            &["Month", "Limits met", "No longer met", "Readings corrected"],
            charts,
        ));
        out.push('\n');
        out.push_str(&table(&["Month", "Seen to call", "Call to answer"], waits));
        for (file, words) in pictures {
            out.push_str(&format!("\n![{}]({file})\n", md(words)));
        }
        out
    }

    fn by_list(&self) -> String {
        let used = self.lists.iter().map(|row| {
            let counts = [
                row.begun,
                row.used,
                row.jumped,
                row.stopped,
                row.paused,
                row.taken_back,
                row.put_right,
            ];
            cells(md(&row.list), &counts)
        });
        let came_out = self
            .lists
            .iter()
            .map(|row| vec![md(&row.list), md(&row.title), row.outcomes.clone()]);
        let waits = self
            .lists
            .iter()
            .map(|row| waits(md(&row.list), &row.seen_to_call, &row.call_to_answer));
        let head = [
            "List",
            "Begun",
            "Used",
            "Jumped to",
            "Stopped",
            "Paused",
            "Taken back",
            "Put right",
        ];
        format!(
            "## By list\n\n{}\nUsed: by another list. Jumped to: as an urgent one out of another list. \
             Stopped: for good, before its end.\n\n{}\n{}\nSeen to call: from what was seen \
             first; of an urgent list within another, from its own beginning.\n",
            table(&head, used),
            table(&["List", "Title", "Came out"], came_out),
            table(&["List", "Seen to call", "Call to answer"], waits)
        )
    }

    fn by_limit(&self) -> String {
        let rows = self.limits.iter().map(|row| {
            let counts = [row.drains, row.met, row.worse, row.doubtful, row.cleared];
            let mut cells = cells(md(&row.limit), &counts);
            cells.extend([md(&row.value), md(&row.means)]);
            cells
        });
        let head = [
            "Limit",
            "Drains",
            "Met",
            "Met by more",
            "Perhaps met",
            "No longer met",
            "Value",
            "Meaning",
        ];
        format!("## Limits on the output\n\n{}", table(&head, rows))
    }

    fn undone(&self) -> String {
        let rows = self.left.iter().map(|row| {
            let reasons = md(&row.reasons.join("; "));
            vec![
                md(&row.list),
                row.times.to_string(),
                md(&row.asked),
                reasons,
            ]
        });
        format!(
            "## Steps left undone\n\n{}",
            table(&["List", "Times", "Step", "Reasons given"], rows)
        )
    }
}

fn cells(name: String, counts: &[super::Count]) -> Vec<String> {
    let counts = counts.iter().map(ToString::to_string);
    std::iter::once(name).chain(counts).collect()
}

fn waits(name: String, to_call: &Spread, to_answer: &Spread) -> Vec<String> {
    vec![name, to_call.to_string(), to_answer.to_string()]
}

/// A table whose columns are as wide as what stands in them, all but the last.
fn table(head: &[&str], rows: impl Iterator<Item = Vec<String>>) -> String {
    let rows: Vec<Vec<String>> = rows.collect();
    if rows.is_empty() {
        return "None.\n".to_owned();
    }
    let head: Vec<String> = head.iter().map(|word| (*word).to_owned()).collect();
    let wide = |column: usize| {
        let cells = rows.iter().chain([&head]).filter_map(|row| row.get(column));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let last = head.len().saturating_sub(1);
    let widths: Vec<usize> = (0..head.len())
        .map(|column| if column == last { 0 } else { wide(column) })
        .collect();
    let line = |cells: &[String]| {
        let cells = cells.iter().zip(&widths);
        let cells: Vec<String> = cells
            .map(|(cell, width)| format!("{cell:<width$}"))
            .collect();
        format!("| {} |\n", cells.join(" | "))
    };
    let rule: Vec<String> = widths
        .iter()
        .map(|width| "-".repeat((*width).max(3)))
        .collect();
    let body: String = rows.iter().map(|row| line(row)).collect();
    format!("{}{}{body}", line(&head), line(&rule))
}
