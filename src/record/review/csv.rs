//! What may be shown, as CSV (RFC 4180): a table for each subject, with a head. Intervals are whole
//! seconds.

use super::facts::{ReviewFacts, Spread};
use crate::clean;

/// The heads of the two columns of intervals.
const WAITS: [&str; 8] = [
    "seen_to_call_n",
    "seen_to_call_median_s",
    "seen_to_call_least_s",
    "seen_to_call_most_s",
    "call_to_answer_n",
    "call_to_answer_median_s",
    "call_to_answer_least_s",
    "call_to_answer_most_s",
];

impl ReviewFacts {
    /// The checklists.
    #[must_use]
    pub fn lists_csv(&self) -> String {
        let head = [
            "list",
            "title",
            "begun",
            "used",
            "jumped",
            "outcomes",
            "stopped",
            "paused",
            "taken_back",
            "put_right",
        ];
        let rows = self.lists.iter().map(|row| {
            let counts = [row.begun, row.used, row.jumped].map(|count| count.to_string());
            let after = [row.stopped, row.paused, row.taken_back, row.put_right];
            let mut cells = vec![row.list.clone(), row.title.clone()];
            cells.extend(counts);
            cells.push(row.outcomes.clone());
            cells.extend(after.map(|count| count.to_string()));
            cells.extend(waits(&row.seen_to_call, &row.call_to_answer));
            cells
        });
        written(&[&head[..], &WAITS].concat(), rows)
    }

    /// The months.
    #[must_use]
    pub fn months_csv(&self) -> String {
        let head = [
            "month",
            "walks",
            "stopped",
            "walks_paused",
            "taken_back",
            "put_right",
            "limits_met",
            "limits_cleared",
            "readings_corrected",
        ];
        let rows = self.months.iter().map(|row| {
            let counts = [
                row.walks,
                row.stopped,
                row.paused,
                row.taken_back,
                row.put_right,
                row.limits_met,
                row.limits_cleared,
                row.readings_corrected,
            ];
            let mut cells = vec![row.month.to_string()];
            cells.extend(counts.map(|count| count.to_string()));
            cells.extend(waits(&row.seen_to_call, &row.call_to_answer));
            cells
        });
        written(&[&head[..], &WAITS].concat(), rows)
    }

    /// The limits on the output.
    #[must_use]
    pub fn limits_csv(&self) -> String {
        let head = [
            "limit",
            "value",
            "means",
            "drains",
            "met",
            "worse",
            "perhaps_met",
            "cleared",
        ];
        let rows = self.limits.iter().map(|row| {
            let counts = [row.drains, row.met, row.worse, row.doubtful, row.cleared];
            let mut cells = vec![row.limit.clone(), row.value.clone(), row.means.clone()];
            cells.extend(counts.map(|count| count.to_string()));
            cells
        });
        written(&head, rows)
    }

    /// The steps left undone, with the reasons given.
    #[must_use]
    pub fn left_csv(&self) -> String {
        let head = ["list", "step", "asked", "times", "reasons"];
        let rows = self.left.iter().map(|row| {
            vec![
                row.list.clone(),
                row.step.clone(),
                row.asked.clone(),
                row.times.to_string(),
                row.reasons.join("; "),
            ]
        });
        written(&head, rows)
    }
}

fn waits(to_call: &Spread, to_answer: &Spread) -> Vec<String> {
    let cells = |spread: &Spread| {
        let seconds = [spread.median_s, spread.least_s, spread.most_s];
        let seconds = seconds.map(|one| one.map_or_else(String::new, |one| one.to_string()));
        [vec![spread.count.to_string()], seconds.to_vec()].concat()
    };
    [cells(to_call), cells(to_answer)].concat()
}

fn written(head: &[&str], rows: impl Iterator<Item = Vec<String>>) -> String {
    let mut out = format!("{}\r\n", head.join(","));
    for cells in rows {
        let cells: Vec<String> = cells.iter().map(|text| clean::cell(text)).collect();
        out.push_str(&cells.join(","));
        out.push_str("\r\n");
    }
    out
}
