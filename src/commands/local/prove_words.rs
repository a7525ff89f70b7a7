//! A proof in words for a nurse: each safeguard's sentence, and what came of it told as a story.

use std::collections::BTreeSet;

use crate::checklist::model::{Checklist, Library, Step, Text};
use crate::checklist::proof::Doubt;
use crate::checklist::proof::rule::Verdict;
use crate::checklist::proof::run::{How, Run, Said};
use crate::names::{ListName, StepName};
use crate::screen;

use super::prove::{Proved, Result, Subject};

/// Lays lines out to a width.
#[derive(Debug, Clone, Copy)]
pub struct Page {
    width: usize,
}

impl Page {
    /// A page of that many columns.
    #[must_use]
    pub fn of_width(columns: usize) -> Self {
        Self {
            width: columns.clamp(20, 100),
        }
    }

    /// Text at an indentation; `mark` stands before its first line.
    fn put(self, lines: &mut Vec<String>, indent: usize, mark: &str, text: &str) {
        let hang = indent + mark.chars().count();
        let room = self.width.saturating_sub(hang);
        for (number, line) in screen::wrapped(text, room).iter().enumerate() {
            let before = if number == 0 {
                format!("{}{mark}", " ".repeat(indent))
            } else {
                " ".repeat(hang)
            };
            lines.push(format!("{before}{line}"));
        }
    }
}

/// One word for a verdict, for `--json`.
#[must_use]
pub const fn came(verdict: &Verdict) -> &'static str {
    match verdict {
        Verdict::Kept { .. } => "kept",
        Verdict::Broken { .. } => "broken",
        Verdict::Vacuous { .. } => "vacuous",
        Verdict::NotDecided { .. } => "not-decided",
        Verdict::NotHere => "not-here",
    }
}

/// Everything that was proved. `whole` tells also each safeguard that is kept; otherwise they are
/// summed up at the end.
#[must_use]
pub fn told(subject: &Subject, proved: &[Proved], whole: bool, page: Page) -> String {
    let mut lines = Vec::new();
    for one in proved {
        let list = subject.library.list(one.list);
        let bad = one.results.iter().filter(|result| !result.is_fine());
        let kept = one
            .results
            .iter()
            .filter(|result| matches!(result.verdict, Verdict::Kept { .. }));
        let summary = format!(
            "{}: {} safeguards kept, {} not. {}",
            list.name,
            kept.count(),
            bad.clone().count(),
            ways(one.runs)
        );
        page.put(&mut lines, 0, "", &summary);
        // What is wrong comes last: on a terminal that is what stays in sight.
        let (kept, other): (Vec<_>, Vec<_>) = one
            .results
            .iter()
            .partition(|result| result.is_fine() && !result.waived);
        let shown = kept.into_iter().filter(|_| whole).chain(other);
        shown.for_each(|result| safeguard(&mut lines, subject, result, page));
    }
    if !whole {
        sums(&mut lines, proved, subject, page);
    }
    lines.join("\n")
}

fn ways(runs: Option<u128>) -> String {
    match runs {
        Some(u128::MAX) => "More ways through it than can be counted.".to_owned(),
        Some(runs) => format!("{runs} ways through it, without interruptions."),
        None => "The ways through it are too many to count.".to_owned(),
    }
}

fn safeguard(lines: &mut Vec<String>, subject: &Subject, result: &Result, page: Page) {
    let mark = match &result.verdict {
        _ if result.waived => "waived   ",
        Verdict::Kept { .. } => "kept     ",
        Verdict::NotHere => "not here ",
        Verdict::Broken { .. } => "BROKEN   ",
        Verdict::Vacuous { .. } => "NO BITE  ",
        Verdict::NotDecided { .. } => "UNDECIDED ",
    };
    lines.push(String::new());
    page.put(lines, 2, mark, &result.name);
    page.put(lines, 4, "", &result.says);
    let more = match &result.verdict {
        Verdict::Kept { states: 0 } => "Every way keeps it.".to_owned(),
        Verdict::Kept { states } => {
            format!("Every way keeps it; {states} situations were looked at.")
        }
        Verdict::NotHere => "Nothing in this list is of that kind.".to_owned(),
        Verdict::Vacuous { what } => format!(
            "It no longer bites: no way leads to {what} any more. Put back what was taken out, or \
             have the safeguard waived by name."
        ),
        Verdict::NotDecided { states } => format!(
            "This could not be decided; {states} situations were looked at. It counts as broken: \
             make the list simpler, or give it fewer remembered answers."
        ),
        Verdict::Broken { why, run, .. } => {
            if let Some(run) = run {
                story(lines, &subject.library, run, page);
            }
            format!("What is wrong: {} But here {why}.", result.says)
        }
    };
    page.put(lines, 4, "", &more);
}

/// The run as a nurse would tell it.
fn story(lines: &mut Vec<String>, library: &Library, run: &Run, page: Page) {
    page.put(lines, 4, "", "The shortest way to it:");
    let facts = run
        .facts
        .iter()
        .map(|(name, value)| format!("{name} {value}"));
    let facts: Vec<String> = facts.collect();
    if !facts.is_empty() {
        page.put(lines, 6, "", &format!("A drain with {}.", facts.join(", ")));
    }
    for (name, value) in &run.local {
        let local = format!("The unit has filled in {name}: {value}.");
        page.put(lines, 6, "", &local);
    }
    if run.lines.is_empty() {
        page.put(lines, 6, "", "Nothing was answered yet.");
    }
    for (number, line) in run.lines.iter().enumerate() {
        match line.how {
            How::Asked => {}
            How::AskedAgain => page.put(lines, 6, "", "(asked again: the answer was too old)"),
            How::Repeated => page.put(lines, 6, "", "(interrupted; the last item is repeated)"),
        }
        let asked = asked(library, &line.list, &line.step);
        let mark = format!("{}. ", number + 1);
        page.put(lines, 6, &mark, &asked);
        page.put(lines, 6 + mark.len(), "-> ", &said(&line.said));
    }
    match &run.reaches {
        Some((list, step)) => {
            let asked = asked(library, list, step);
            page.put(lines, 6, "", &format!("Then comes {list}/{step}: {asked}"));
        }
        None => page.put(lines, 6, "", "Then the list is over."),
    }
}

fn said(said: &Said) -> String {
    match said {
        Said::NotDone => "I could not do this".to_owned(),
        Said::CouldNotCheck => "I could not check this".to_owned(),
        Said::NotObtained => "no reading could be taken".to_owned(),
        said => said.to_string(),
    }
}

/// What the step asks, in its own words; places to be filled in read as their names.
fn asked(library: &Library, list: &ListName, step: &StepName) -> String {
    let list: Option<&Checklist> = library.find(list.as_str()).map(|id| library.list(id));
    let step: Option<&Step> =
        list.and_then(|list| list.find(step.as_str()).map(|id| list.step(id)));
    let text: Option<&Text> = step.and_then(|step| step.kind.text());
    let name = |name: &crate::names::FactName| match library.facts().get(name.as_str()) {
        Some(fact) => match &fact.value {
            Some(value) => fact.about.shown(value),
            None => format!("[{}]", fact.meaning),
        },
        None => format!("[{name}]"),
    };
    text.map_or_else(String::new, |text| text.filled(name))
}

/// Each safeguard with how many lists keep it.
fn sums(lines: &mut Vec<String>, proved: &[Proved], subject: &Subject, page: Page) {
    for safeguard in &subject.safeguards {
        let results = proved.iter().flat_map(|one| &one.results);
        let own = results.filter(|result| result.name == safeguard.name);
        let (mut kept, mut bad) = (0, 0);
        for result in own {
            match result.verdict {
                Verdict::Kept { .. } => kept += 1,
                Verdict::NotHere => {}
                _ => bad += 1,
            }
        }
        lines.push(String::new());
        page.put(lines, 0, "", &safeguard.name);
        page.put(lines, 2, "", &safeguard.says);
        let lists = if kept == 1 { "list" } else { "lists" };
        let more = match bad {
            0 => format!("Kept in {kept} {lists}."),
            bad => format!("Kept in {kept} {lists}; NOT in {bad}."),
        };
        page.put(lines, 2, "", &more);
    }
}

/// How one safeguard stood up to it, in all the lists that were looked at.
fn stood_up(doubts: &[&Doubt]) -> String {
    let (found, steps) = doubts.iter().fold((0, 0), |(found, all), doubt| {
        let (more, of) = doubt.score();
        (found + more, all + of)
    });
    if steps == 0 {
        return "no step of a list fulfils it by itself".to_owned();
    }
    let at_once: Vec<bool> = doubts
        .iter()
        .filter_map(|doubt| doubt.all_left_out)
        .collect();
    let seen = at_once.iter().filter(|seen| **seen).count();
    let lists = at_once.len();
    let one_by_one = format!("noticed {found} of {steps} steps one by one");
    match lists {
        0 => one_by_one,
        _ => format!("{one_by_one}, and all at once in {seen} of {lists} lists"),
    }
}

/// How each safeguard stood up to being doubted.
#[must_use]
pub fn doubts(doubts: &[Doubt], page: Page) -> String {
    let mut lines = Vec::new();
    let intro = "What fulfils a safeguard was taken out of each list: step by step, where another \
                 step may do the same, and all of it at once, which the prover must notice.";
    page.put(&mut lines, 0, "", intro);
    let names: BTreeSet<&str> = doubts.iter().map(|doubt| doubt.name.as_str()).collect();
    for name in names {
        let of: Vec<&Doubt> = doubts.iter().filter(|doubt| doubt.name == name).collect();
        page.put(&mut lines, 0, "", &format!("{name}: {}", stood_up(&of)));
    }
    lines.join("\n")
}
