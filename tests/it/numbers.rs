//! Every number that makes somebody act stands once, in `limits.yaml`. The shipped lists and what
//! stands beside them name it; none of them writes such a number out.
//!
//! Counts of things ("two clamps", "five breaths") say what to fetch or how long to look, and how
//! often a way may be taken is how a list is made; neither is a measured value at which somebody
//! acts, and neither has a unit. `plausible` says what is a slip of the pen. The glossary holds what
//! people say, and is not looked at.

use std::collections::BTreeSet;

use serde_yaml::Value;

use tubeside::checklist::shelf::Shelf;
use tubeside::units::Unit;

/// What may stand all the same, and why nobody acts on it.
const ALLOWED: &[(&str, &str)] = &[
    (
        "2 kPa is about 20 cmH2O; 20 mmHg is about 27 cmH2O.",
        "one pressure in two units, so that an order is read in its own",
    ),
    (
        "Each extra cm adds 1 cmH2O of resistance.",
        "what a centimetre of water is, as a reason",
    ),
    (
        "Tell the team the last hour's drainage, swing, bubbling.",
        "told to others; nothing is judged by it",
    ),
    (
        "Team told the last hour's drainage, the swing and the bubbling",
        "the record of the same",
    ),
];

/// Keys whose text is about the list, not for whoever walks it, or says what is no number at all.
const ABOUT: &[&str] = &[
    "sources",
    "source",
    "change",
    "version",
    "review_by",
    "plausible",
    "unit",
];

const TIMES: &[&str] = &[
    "second",
    "seconds",
    "minute",
    "minutes",
    "hour",
    "hours",
    "day",
    "days",
    "centimetre",
    "centimetres",
    "litre",
    "litres",
    "millilitres",
];
const COUNTS: &[&str] = &[
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "twelve",
    "fifteen", "twenty", "thirty", "forty", "sixty", "hundred",
];
/// Words that make one hour or day of the word after them.
const ONE: &[&str] = &["an", "each", "every", "last"];
const SHARES: &[&str] = &["half", "thirds", "quarter", "quarters", "fifths"];

/// The first number with a unit, or share, in a text; written out in words or in digits.
fn number(text: &str) -> Option<String> {
    let words: Vec<&str> = text
        .split_whitespace()
        .map(|word| word.trim_matches(|c: char| !(c.is_alphanumeric() || c == '%' || c == '{')))
        .filter(|word| !word.is_empty())
        .collect();
    // A name of a limit or step is no text.
    let spaced = words.len() > 1 && !text.contains('{');
    let digits = |word: &str| word.starts_with(|c: char| c.is_ascii_digit());
    let unit = |word: &str| {
        let word = word.strip_suffix("'s").unwrap_or(word);
        Unit::parse(word).is_some() || TIMES.contains(&word.to_lowercase().as_str())
    };
    words.iter().enumerate().find_map(|(at, word)| {
        let next = words.get(at + 1).copied().unwrap_or_default();
        let small = word.to_lowercase();
        let alone = word.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
        let share = SHARES.iter().any(|share| {
            let before = small.strip_suffix(share);
            before.is_some_and(|before| before.is_empty() || before.ends_with('-') && spaced)
        });
        let found = share
            || digits(word) && (unit(next) || !alone.is_empty() && unit(alone))
            || COUNTS.contains(&small.as_str()) && unit(next)
            || ONE.contains(&small.as_str())
                && matches!(next.strip_suffix("'s").unwrap_or(next), "hour" | "day")
            || matches!(*word, "INR" | "pH") && digits(next);
        found.then(|| format!("{word} {next}"))
    })
}

/// A number in a band or test that is neither 0 nor an end of what is plausible.
fn cut<'a>(band: &'a str, plausible: Option<&str>) -> Option<&'a str> {
    let ends: Vec<&str> = plausible.unwrap_or_default().split(" to ").collect();
    band.split_whitespace()
        .filter(|word| word.parse::<f64>().is_ok())
        .find(|word| *word != "0" && !ends.contains(word))
}

/// Every text under a node, with the keys that lead to it.
fn texts(node: &Value, path: &str, found: &mut Vec<(String, String)>) {
    match node {
        Value::String(text) => found.push((path.to_owned(), text.clone())),
        Value::Sequence(items) => items.iter().for_each(|item| texts(item, path, found)),
        Value::Mapping(map) => {
            for (key, value) in map {
                let key = key.as_str().unwrap_or_default();
                if !ABOUT.contains(&key) {
                    let path = format!("{path}/{key}");
                    // The words of an answer and of a band are keys.
                    found.push((path.clone(), key.to_owned()));
                    texts(value, &path, found);
                }
            }
        }
        _ => {}
    }
}

/// Every band of a list that cuts at a number of its own.
fn cuts(root: &Value, found: &mut Vec<String>) {
    let Some(steps) = root["steps"].as_mapping() else {
        return;
    };
    for (name, step) in steps {
        let plausible = step["plausible"].as_str();
        for band in step["bands"].as_sequence().into_iter().flatten() {
            let keys = band.as_mapping().into_iter().flat_map(|map| map.keys());
            for words in keys.filter_map(Value::as_str) {
                if let Some(number) = cut(words, plausible) {
                    found.push(format!(
                        "{}: \"{words}\" cuts at {number}",
                        name.as_str().expect("a name")
                    ));
                }
            }
        }
        for row in step["decide"].as_sequence().into_iter().flatten() {
            for test in row["when"]
                .as_mapping()
                .into_iter()
                .flat_map(|map| map.values())
            {
                if let Some(number) = test.as_str().and_then(|test| cut(test, None)) {
                    found.push(format!(
                        "{}: tested at {number}",
                        name.as_str().expect("a name")
                    ));
                }
            }
        }
    }
}

#[test]
fn no_list_writes_out_a_number_at_which_somebody_acts() {
    let mut bad = Vec::new();
    let mut used = BTreeSet::new();
    let mut looked_at = 0;
    for (path, bytes) in Shelf::shipped().library_files() {
        if path.ends_with("/limits.yaml") || path.ends_with("/glossary.yaml") {
            continue;
        }
        let root: Value = serde_yaml::from_slice(bytes).expect("YAML");
        let mut found = Vec::new();
        texts(&root, "", &mut found);
        looked_at += found.len();
        for (key, text) in found {
            if let Some(allowed) = ALLOWED.iter().find(|(words, _)| *words == text) {
                used.insert(allowed.0);
            } else if let Some(number) = number(&text) {
                bad.push(format!("{path}{key}: \"{number}\" in \"{text}\""));
            }
        }
        let mut here = Vec::new();
        cuts(&root, &mut here);
        bad.extend(here.into_iter().map(|one| format!("{path}: {one}")));
    }
    assert!(looked_at > 5000, "{looked_at}");
    assert!(
        bad.is_empty(),
        "put the number into limits.yaml and name it here:\n{}",
        bad.join("\n")
    );
    let unused: Vec<_> = ALLOWED
        .iter()
        .filter(|(words, _)| !used.contains(words))
        .collect();
    assert!(unused.is_empty(), "no longer there: {unused:?}");
}

#[test]
fn a_number_written_out_is_found() {
    for text in [
        "Read the blood of the last 2 hours.",
        "Wait 5 min.",
        "Wait 5min.",
        "Watch for ten minutes.",
        "Observe for an hour.",
        "the last hour's output",
        "below two thirds",
        "Change at three-quarters.",
        "INR 1.5 or below",
        "above 20 cmH2O",
        "At 90% call.",
    ] {
        assert!(number(text).is_some(), "{text}");
    }
    for text in [
        "Watch five breaths and a cough.",
        "Two clamps for each drain",
        "Call the doctor within the hour.",
        "{blood-adult-call} in {blood-look-back}",
        "falling off over many hours",
        "The drain chart, hour by hour",
    ] {
        assert_eq!(number(text), None, "{text}");
    }
    assert_eq!(cut("below 2", Some("0 to 30")), Some("2"));
    assert_eq!(cut("0 to 30", Some("0 to 30")), None);
    assert_eq!(cut("above 0 to below seal-low", Some("0 to 30")), None);
}

/// A limit is written once: no other limit says the same thing, and what it means repeats no number.
#[test]
fn what_a_limit_means_repeats_no_number() {
    let shelf = Shelf::shipped();
    let (_, bytes) = shelf
        .library_files()
        .find(|(path, _)| path.ends_with("/limits.yaml"))
        .expect("the file");
    let root: Value = serde_yaml::from_slice(bytes).expect("YAML");
    let limits = root["limits"].as_mapping().expect("limits");
    assert!(limits.len() > 60);
    for (name, limit) in limits {
        let means = limit["means"].as_str().expect("means");
        assert_eq!(
            number(means),
            None,
            "{}: {means}",
            name.as_str().expect("a name")
        );
    }
}
