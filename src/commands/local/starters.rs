//! The files that `local new` makes: plain text with remarks, to be filled in without programming.

use std::fmt::Write as _;
use std::path::Path;

use chrono::NaiveDate;

use crate::checklist::shelf::Shelf;
use crate::failure::Failure;

/// The name of the unit as `local new` writes it; nothing is approved while it stands there.
pub const UNNAMED: &str = "Our ward (write its name here)";

/// The author as the starters name one, to be written over.
pub const NO_AUTHOR: &str = "XX, role";

/// What to do with the folder, in order.
pub fn read_me(folder: &Path, review_by: NaiveDate) -> String {
    READ_ME
        .replace("FOLDER", &folder.display().to_string())
        .replace("REVIEW", &review_by.to_string())
}

const READ_ME: &str = r#"# This folder fits the checklists to your unit

You need a text editor and nothing else. A line that begins with `#` is a remark and is not read.
Spaces at the beginning of a line count: keep them as they are. Never use the tab key.

1. **local.yaml**: fill in your unit, your drainage unit, and whom to call. Leave empty what you do not know.
   Look at it: `tubeside local check --local FOLDER`
2. **adaptations/no-swing.yaml**: change the shipped list where your unit does it otherwise. Take the `#`
   away from the lines that you want, keep the spaces behind it, and write your own words. The shipped list, to read
   beside it, is adaptations/base/no-swing.yaml. Another list: `tubeside local adapt LIST --local FOLDER`
3. See what you changed, in plain words, for the ward meeting: `tubeside local compare --local FOLDER`
4. Walk it through: `tubeside local try --local FOLDER`, and `tubeside start no-swing --local FOLDER`
5. See that no safeguard was lost: `tubeside local prove --local FOLDER`
6. Somebody else than the author approves it:
   `tubeside local approve --local FOLDER --by "EF, ward manager" --because "first version" --review-by REVIEW`

Any change after that makes it a draft again. `tubeside local state --local FOLDER` says how it stands.
Write initials and roles, never names of people.

Supports and never replaces local policy, the device's instructions, training and the judgement of licensed staff.
"#;

/// `local.yaml` with every local fact explained and nothing filled in.
///
/// # Errors
/// A failure when the shipped facts are not there, which a test shows that they are.
pub fn local_yaml(shelf: &Shelf) -> Result<String, Failure> {
    let facts = shelf
        .file("checklists/local-facts.yaml")
        .ok_or_else(|| Failure::unusable("the shipped local facts are not there"))?;
    let facts = String::from_utf8_lossy(facts);
    let mut text = LOCAL_HEAD.replace("UNNAMED", UNNAMED);
    let mut lines = facts
        .lines()
        .skip_while(|line| *line != "facts:")
        .skip(1)
        .peekable();
    while let Some(line) = lines.next() {
        if let Some(heading) = line.strip_prefix("  # ") {
            let _never = write!(text, "\n  # --- {heading} ---\n");
        } else if let Some(name) = line
            .strip_prefix("  ")
            .and_then(|line| line.strip_suffix(':'))
        {
            let mut keys = Keys::default();
            while let Some(line) = lines.next_if(|line| line.starts_with("    ")) {
                keys.take(line);
            }
            text.push_str(&keys.explained(name));
        }
    }
    text.push_str(LOCAL_CALLS);
    Ok(text)
}

/// What the shipped file says of one fact.
#[derive(Default)]
struct Keys {
    means: String,
    unit: String,
    plausible: String,
    choices: String,
    while_unset: String,
    is_span: bool,
}

impl Keys {
    fn take(&mut self, line: &str) {
        let Some((key, value)) = line.trim().split_once(": ") else {
            return;
        };
        let value = value.trim_matches('"').to_owned();
        match key {
            "means" => self.means = value,
            "kind" => self.is_span = value == "span",
            "unit" => self.unit = value,
            "plausible" => self.plausible = value,
            "choices" => self.choices = value.trim_matches(['[', ']']).replace('"', ""),
            "while_unset" => self.while_unset = value,
            _ => {}
        }
    }

    fn explained(&self, name: &str) -> String {
        let how = if self.choices.is_empty() {
            match (self.unit.as_str(), self.is_span) {
                ("", _) => "In words.".to_owned(),
                (unit, _) => format!("With its unit, {unit}; plausible: {}.", self.plausible),
            }
        } else {
            format!("One of: {}.", self.choices)
        };
        format!(
            "  # {}. {how}\n  # While it is empty: {}\n  {name}:\n\n",
            self.means, self.while_unset
        )
    }
}

const LOCAL_HEAD: &str = "\
# What the checklists need to know about your unit. Fill in what applies after the colon and a space;
# leave empty what you do not know. A line that begins with # is a remark and is not read.

# The name of the ward or department, for headings. Never the name of a person.
unit: UNNAMED
# The time zone, so that the times in records are right.
zone: Europe/London
# Who filled this in: initials and role, like: AB, practice educator
author:
# May a list be started that is not approved (drafts), or whose review date has passed (past_review)?
# allow: yes, and every screen and record says so. refuse: no. Urgent lists can always be started.
drafts: allow
past_review: allow

facts:
";

const LOCAL_CALLS: &str = r#"# Whom to call, for each level: who (a role), how (in quotes), and how long to wait for an answer before the
# next is called. Take the # and one space away from the lines that you fill in, and from "emergency:" and so on.
calls:
#  emergency:
#    - {who: emergency team, how: "pull the bedside alarm", wait: 1 min}
#  doctor-now:
#    - {who: doctor on duty, how: "ring 00", wait: 5 min}
#    - {who: chest registrar, how: "ring 01", wait: 5 min}
#  doctor-soon:
#    - {who: doctor on duty, how: "ring 00", wait: 30 min}
"#;

/// `waivers.yaml` with nothing waived.
pub fn waivers() -> String {
    WAIVERS.to_owned()
}

const WAIVERS: &str = r#"# What your unit has decided to do without, for a time. Best left empty: each is shown wherever it acts.
# safeguard: the name of a safeguard · words: LIST/STEP whose words are locked · limit: a limit that may act later
waivers:
#  - safeguard: name-of-a-safeguard
#    because: The reason, in one line.
#    who: EF, ward manager
#    until: 2026-12-31
"#;

/// An adaptation of that list with examples in remarks.
pub fn adaptation(base: &Base<'_>) -> String {
    format!("{}changes:\n{EXAMPLES}", adaptation_head(base))
}

/// The adaptation of the example list, with remarks that fit it.
pub fn example_adaptation(base: &Base<'_>) -> String {
    format!("{}changes:\n{EXAMPLES_OF_NO_SWING}", adaptation_head(base))
}

/// The shipped list over which an adaptation is written.
pub struct Base<'a> {
    /// Its name.
    pub list: &'a str,
    /// Its version.
    pub version: &'a str,
    /// The fingerprint of its text.
    pub hash: &'a str,
    /// The day by which somebody must look at the adaptation again.
    pub review_by: NaiveDate,
}

fn adaptation_head(base: &Base<'_>) -> String {
    let Base {
        list,
        version,
        hash,
        review_by,
    } = base;
    format!(
        "\
# Your unit's changes to the shipped list {list}. Only what is different stands here, each with its reason.
# The shipped list, to read beside it, is base/{list}.yaml: do not change that one.
# checklists/LANGUAGE.md explains every key.

adapts: {list}
# Over which version this was written. The program writes these two lines.
base: {version}
base_hash: \"{hash}\"
# Of your changes. Raise it with every change: 1.0.1, 1.1.0 ...
version: 1.0.0
# Who wrote this: initials and role, like: AB, practice educator
author: {NO_AUTHOR}
# The day by which somebody must look at it again.
review_by: {review_by}

# Below are the changes. Take the # away from the ones that you want, keep the spaces behind it, and write your words.
"
    )
}

const EXAMPLES: &str = r#"#  - change: NAME-OF-A-STEP
#    because: The reason, in one line.
#    set:
#      why: The new words.
#  - add: NAME-OF-A-NEW-STEP
#    because: The reason, in one line.
#    after: NAME-OF-A-STEP
#    step:
#      do: Do one thing.
#      tags: [house]
#      then: THE-STEP-THAT-CAME-NEXT
#      if_not_done: THE-STEP-FOR-HELP
#  - remove: NAME-OF-A-STEP
#    because: The reason, in one line.
#    instead: THE-STEP-THAT-COMES-NOW
#  - limit: NAME-OF-A-LIMIT
#    was: 2 cm
#    to: 2.5 cm
#    because: The reason, in one line.
"#;

const EXAMPLES_OF_NO_SWING: &str = r#"
# Other words for a step:
#  - change: straighten
#    because: The tubing is laid in a holder on every bed here.
#    set:
#      record: Tubing straightened and laid in its holder

# A new step, after the step "straighten" was done:
#  - add: holder
#    because: The tubing slipped off the bed again and again.
#    after: straighten
#    step:
#      do: Lay the tubing in the holder.
#      where: Edge of the bed
#      tags: [house]
#      then: watch
#      if_not_done: watch

# A step less. Whatever led to it leads to the step that is named by "instead":
#  - remove: known
#    because: Nobody writes it down where it could be looked up.
#    instead: call-now

# Another number. It may only act earlier, and it holds for every list:
#  - limit: seal-low
#    was: 2 cm
#    to: 2.5 cm
#    because: The scale of our drainage unit is hard to read.
"#;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checklist::load::load;
    use crate::checklist::model::Origin;

    #[test]
    fn every_local_fact_is_explained_once() {
        let shelf = Shelf::shipped();
        let text = local_yaml(&shelf).unwrap();
        let library = load(&shelf).library.unwrap();
        let facts = library.facts().iter();
        let local: Vec<_> = facts
            .filter(|(_, fact)| fact.origin == Origin::Local)
            .collect();
        assert!(local.len() > 15);
        for (name, fact) in local {
            assert_eq!(text.matches(&format!("\n  {name}:\n")).count(), 1, "{name}");
            assert!(text.contains(&fact.meaning), "{name}");
        }
    }

    #[test]
    fn the_files_load_as_they_are_and_with_the_remarks_taken_away() {
        let file = |path: &str, text: String| crate::checklist::shelf::SourceFile {
            path: path.to_owned(),
            bytes: text.into_bytes(),
        };
        let base = Shelf::shipped();
        let list = base.file("checklists/no-swing.yaml").unwrap();
        let hash = crate::checklist::shelf::fingerprint(list);
        let example = example_adaptation(&Base {
            list: "no-swing",
            version: "1.0.0",
            hash: &hash,
            review_by: NaiveDate::from_ymd_opt(2027, 6, 30).unwrap(),
        });
        let no_remarks: String = example
            .lines()
            .map(|line| match line.strip_prefix("#  ") {
                Some(rest) => format!("  {rest}\n"),
                None => format!("{line}\n"),
            })
            .collect();
        for text in [example, no_remarks] {
            let shelf = Shelf::shipped().with_unit(
                "unit",
                [
                    file("local.yaml", local_yaml(&base).unwrap()),
                    file("waivers.yaml", waivers()),
                    file("adaptations/no-swing.yaml", text),
                ],
            );
            let loaded = load(&shelf);
            let told: Vec<String> = loaded.errors().map(|problem| problem.drawn()).collect();
            assert!(told.is_empty(), "{}", told.join("\n"));
        }
    }
}
