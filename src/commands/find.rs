//! `find WORDS`: the list for what one sees.

use serde::Serialize;

use crate::checklist::model::{Checklist, Library, ListKind};
use crate::cli::FindArgs;
use crate::failure::{Failure, Kind};

use super::out;

/// A checklist that fits the words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Match {
    /// Its name, for `start`.
    pub name: String,
    /// Its title.
    pub title: String,
    /// The sign that fits best.
    pub sign: String,
    /// How well it fits; more is better.
    pub score: usize,
}

/// Prints the lists that fit the words, best first.
///
/// # Errors
/// A failure when none fits; it lists every checklist.
pub fn run(library: &Library, args: &FindArgs) -> Result<(), Failure> {
    let found = matches(library, &args.words);
    if args.json {
        return out::json(&found);
    }
    if found.is_empty() {
        let all: Vec<String> = library
            .lists()
            .map(|(_, list)| format!("{}: {}", list.name, list.title))
            .collect();
        return Err(Failure::new(
            Kind::Problems,
            format!("no checklist speaks of \"{}\"", args.words.join(" ")),
        )
        .hint("if the patient is worse: tubeside start breathless")
        .hint(format!("every checklist:\n      {}", all.join("\n      "))));
    }
    for one in found.iter().take(5) {
        out::line(&format!(
            "{}\n    sign: {}\n    tubeside start {}",
            one.title, one.sign, one.name
        ))?;
    }
    Ok(())
}

/// The lists that fit the words, best first; urgent ones before others that fit as well.
#[must_use]
pub fn matches(library: &Library, words: &[String]) -> Vec<Match> {
    let wanted = tokens(&words.join(" "));
    let mut found: Vec<(bool, Match)> = library
        .lists()
        .filter_map(|(_, list)| Some((list.kind == ListKind::Urgent, best(list, &wanted)?)))
        .collect();
    found.sort_by(|(urgent_a, a), (urgent_b, b)| {
        b.score
            .cmp(&a.score)
            .then(urgent_b.cmp(urgent_a))
            .then(a.name.cmp(&b.name))
    });
    found.into_iter().map(|(_, one)| one).collect()
}

/// The sign of the list that fits best, if any fits.
fn best(list: &Checklist, wanted: &[String]) -> Option<Match> {
    let name = list.name.as_str().replace('-', " ");
    let texts = list
        .signs
        .iter()
        .map(String::as_str)
        .chain([list.title.as_str(), name.as_str()]);
    let scored = texts.map(|text| (score(&tokens(text), wanted), text));
    let (score, sign) =
        scored.max_by_key(|(score, text)| (*score, std::cmp::Reverse(text.len())))?;
    (score > 0).then(|| Match {
        name: list.name.to_string(),
        title: list.title.clone(),
        sign: sign.to_owned(),
        score,
    })
}

/// Ten for each wanted word that is there, five for one that begins alike, less what is left over.
fn score(have: &[String], wanted: &[String]) -> usize {
    let hits: usize = wanted
        .iter()
        .map(|word| {
            if have.contains(word) {
                10
            } else if word.len() >= 4 && have.iter().any(|one| alike(one, word)) {
                6
            } else {
                0
            }
        })
        .sum();
    if hits == 0 {
        0
    } else {
        (hits + 1)
            .saturating_sub(have.len().saturating_sub(wanted.len()))
            .max(1)
    }
}

/// Whether two words share their beginning: bubble, bubbles, bubbling.
fn alike(a: &str, b: &str) -> bool {
    let shared = a.chars().zip(b.chars()).take_while(|(x, y)| x == y).count();
    shared >= 4 && shared + 3 >= a.chars().count().max(b.chars().count()).min(shared + 4)
}

/// Words that say nothing about what is seen.
const SILENT: &[&str] = &[
    "the", "a", "an", "is", "of", "in", "on", "it", "to", "and", "has", "drain", "my",
];

fn tokens(text: &str) -> Vec<String> {
    text.to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty() && !SILENT.contains(word))
        .map(str::to_owned)
        .collect()
}
