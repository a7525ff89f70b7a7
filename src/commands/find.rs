//! `find WORDS`: the list for what one sees, in any words of the trade.
//!
//! Words are compared with the signs, titles and names of the lists. What the glossary says
//! differently elsewhere counts as the same: "no tidaling" finds what "no swing" finds. A word of the
//! glossary that no list speaks of leads where the glossary says.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::checklist::glossary::Term;
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
    Index::of(library).matches(&words.join(" "))
}

/// Everything that can be found, taken apart once.
struct Index<'l> {
    sayings: Vec<Sayings<'l>>,
    lists: Vec<(&'l Checklist, Vec<(String, Said<'l>)>)>,
}

/// A thing of the glossary with every way to say it, word by word.
struct Sayings<'l> {
    name: &'l str,
    term: &'l Term,
    all: Vec<Vec<String>>,
}

impl<'l> Index<'l> {
    fn of(library: &'l Library) -> Self {
        let terms = library.glossary().terms.iter();
        let sayings: Vec<Sayings<'l>> = terms
            .map(|(name, term)| Sayings {
                name,
                term,
                all: term.sayings().map(tokens).collect(),
            })
            .collect();
        let lists = library.lists().map(|(_, list)| {
            let name = list.name.as_str().replace('-', " ");
            let texts = list.signs.iter().chain([&list.title, &name]);
            let texts = texts.map(|text| (text.clone(), Said::of(text, &sayings)));
            (list, texts.collect())
        });
        let lists = lists.collect();
        Self { sayings, lists }
    }

    fn matches(&self, words: &str) -> Vec<Match> {
        let wanted = Said::of(words, &self.sayings);
        let mut found: Vec<(bool, Match)> = self
            .lists
            .iter()
            .filter_map(|(list, texts)| {
                Some((list.kind == ListKind::Urgent, best(list, texts, &wanted)?))
            })
            .collect();
        found.sort_by(|(urgent_a, a), (urgent_b, b)| {
            b.score
                .cmp(&a.score)
                .then(urgent_b.cmp(urgent_a))
                .then(a.name.cmp(&b.name))
        });
        found.into_iter().map(|(_, one)| one).collect()
    }
}

/// Words that say nothing about what is seen.
const SILENT: &[&str] = &[
    "the", "a", "an", "is", "of", "in", "on", "it", "to", "and", "has", "drain", "my",
];

/// What was said, or what stands in a list: words, and the things of the glossary among them.
struct Said<'g> {
    words: Vec<String>,
    /// Each thing with the words that say it here.
    things: Vec<(&'g str, &'g Term, BTreeSet<String>)>,
    /// The things that are all that is said.
    whole: Vec<&'g Term>,
    /// Everything, silent words too.
    all: Vec<String>,
}

impl<'g> Said<'g> {
    fn of(text: &str, sayings: &[Sayings<'g>]) -> Self {
        let all = tokens(text);
        let (mut things, mut whole) = (Vec::new(), Vec::new());
        for thing in sayings {
            if thing.all.contains(&all) {
                whole.push(thing.term);
            }
            let within = thing.all.iter();
            let within = within.filter(|saying| is_within(saying, &all) && !is_silent(saying));
            let said: BTreeSet<String> = within.flatten().cloned().collect();
            if !said.is_empty() {
                things.push((thing.name, thing.term, said));
            }
        }
        let mut words = all.clone();
        words.retain(|word| !SILENT.contains(&word.as_str()));
        Self {
            words,
            things,
            whole,
            all,
        }
    }

    fn names(&self, thing: &str) -> bool {
        self.things.iter().any(|(name, _, _)| *name == thing)
    }
}

/// Whether the words follow each other in the text.
fn is_within(saying: &[String], text: &[String]) -> bool {
    !saying.is_empty() && text.windows(saying.len()).any(|window| window == saying)
}

fn is_silent(saying: &[String]) -> bool {
    saying.iter().all(|word| SILENT.contains(&word.as_str()))
}

/// The sign of the list that fits best, if any fits.
fn best(list: &Checklist, texts: &[(String, Said<'_>)], wanted: &Said<'_>) -> Option<Match> {
    let scored = texts
        .iter()
        .map(|(text, said)| (score(said, wanted), text.as_str()));
    let (own, sign) = scored.max_by_key(|(score, text)| (*score, std::cmp::Reverse(text.len())))?;
    let led = led_to(list, wanted);
    let sign = match &led {
        Some((_, means)) if own == 0 => means,
        _ => sign,
    };
    let score = own + led.map_or(0, |(worth, _)| worth);
    (score > 0).then(|| Match {
        name: list.name.to_string(),
        title: list.title.clone(),
        sign: sign.to_owned(),
        score,
    })
}

/// What a sign is worth in whose very words it was asked.
const SAME_WORDS: usize = 200;

/// What a thing is worth that is all that was said, where it leads first.
const ALL_THAT_IS_SAID: usize = 100;

/// What it is worth that the glossary leads here, and the thing. It decides when nothing else is
/// said; beside other words it is less than any of them.
fn led_to<'g>(list: &Checklist, wanted: &Said<'g>) -> Option<(usize, &'g str)> {
    let place = |term: &Term| {
        let mut leads = term.leads.iter();
        leads.position(|one| *one == list.name.as_str())
    };
    let whole = wanted.whole.iter().filter_map(|term| {
        let worth = ALL_THAT_IS_SAID.saturating_sub(10 * place(term)?);
        Some((worth, term.means.as_str()))
    });
    let among = wanted.things.iter().filter_map(|(_, term, _)| {
        let worth = 4_usize.saturating_sub(place(term)?).max(1);
        Some((worth, term.means.as_str()))
    });
    whole.chain(among).max_by_key(|(worth, _)| *worth)
}

/// Ten for each wanted word that is there or said in other words, six for one that begins alike,
/// less what is left over.
fn score(have: &Said<'_>, wanted: &Said<'_>) -> usize {
    if have.all == wanted.all {
        return SAME_WORDS;
    }
    let hits: usize = wanted
        .words
        .iter()
        .map(|word| {
            let other_words = |(name, _, said): &(&str, &Term, BTreeSet<String>)| {
                said.contains(word) && have.names(name)
            };
            if have.words.contains(word) || wanted.things.iter().any(other_words) {
                10
            } else if word.len() >= 4 && have.words.iter().any(|one| alike(one, word)) {
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
            .saturating_sub(have.words.len().saturating_sub(wanted.words.len()))
            .max(1)
    }
}

/// Whether two words share their beginning: bubble, bubbles, bubbling.
fn alike(a: &str, b: &str) -> bool {
    let shared = a.chars().zip(b.chars()).take_while(|(x, y)| x == y).count();
    shared >= 4 && shared + 3 >= a.chars().count().max(b.chars().count()).min(shared + 4)
}

fn tokens(text: &str) -> Vec<String> {
    text.to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

#[cfg(test)]
#[path = "find_tests.rs"]
mod tests;
