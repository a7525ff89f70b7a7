//! The two readers of YAML agree on every shipped, good and bad file: they find the same values in
//! the same order, or the file is refused.

use saphyr_parser::{Event, Parser, ScalarStyle};
use serde_yaml::Value;
use tubeside::checklist::shelf::Shelf;

use super::{folder, load_with, name, read, yaml_files};

/// A value as both readers can give it.
#[derive(Debug, PartialEq)]
enum Tree {
    Scalar(String),
    List(Vec<Tree>),
    Map(Vec<(Tree, Tree)>),
}

/// As the reader that gives the places reads it; `None` when it refuses.
fn by_places(text: &str) -> Option<Tree> {
    let mut events = Vec::new();
    for event in Parser::new_from_str(text) {
        events.push(event.ok()?.0);
    }
    let documents = events
        .iter()
        .filter(|event| matches!(event, Event::DocumentStart(_)))
        .count();
    let mut events = events.into_iter().filter(|event| {
        !matches!(
            event,
            Event::StreamStart | Event::StreamEnd | Event::DocumentStart(_) | Event::DocumentEnd
        )
    });
    let first = events.next()?;
    (documents == 1).then(|| tree(first, &mut events)).flatten()
}

fn tree<'e>(event: Event<'e>, rest: &mut impl Iterator<Item = Event<'e>>) -> Option<Tree> {
    match event {
        Event::Scalar(words, style, _, tag) => {
            let words = words.into_owned();
            let plain = style == ScalarStyle::Plain && tag.is_none();
            Some(Tree::Scalar(if plain { settled(&words) } else { words }))
        }
        Event::SequenceStart(..) => {
            let mut items = Vec::new();
            loop {
                match rest.next()? {
                    Event::SequenceEnd => return Some(Tree::List(items)),
                    event => items.push(tree(event, rest)?),
                }
            }
        }
        Event::MappingStart(..) => {
            let mut entries = Vec::new();
            loop {
                match rest.next()? {
                    Event::MappingEnd => return Some(Tree::Map(entries)),
                    event => {
                        let key = tree(event, rest)?;
                        let value = rest.next()?;
                        entries.push((key, tree(value, rest)?));
                    }
                }
            }
        }
        _ => None,
    }
}

/// Plain numbers and empty values in one way of writing.
fn settled(words: &str) -> String {
    match words {
        "" | "~" | "null" | "Null" | "NULL" => "null".to_owned(),
        words => match words.parse::<f64>() {
            Ok(number) if !words.starts_with('+') => number.to_string(),
            _ => words.to_owned(),
        },
    }
}

/// As the reader that gives the values reads it; `None` when it refuses.
fn by_values(text: &str) -> Option<Tree> {
    fn tree(value: Value) -> Tree {
        match value {
            Value::Null => Tree::Scalar("null".to_owned()),
            Value::Bool(truth) => Tree::Scalar(truth.to_string()),
            Value::Number(number) => Tree::Scalar(settled(&number.to_string())),
            Value::String(words) => Tree::Scalar(words),
            Value::Sequence(items) => Tree::List(items.into_iter().map(tree).collect()),
            Value::Mapping(entries) => Tree::Map(
                entries
                    .into_iter()
                    .map(|(key, value)| (tree(key), tree(value)))
                    .collect(),
            ),
            Value::Tagged(tagged) => tree(tagged.value),
        }
    }
    serde_yaml::from_str(text).ok().map(tree)
}

/// The text as the loader hands it to both.
fn text(bytes: &[u8]) -> String {
    let text = String::from_utf8(bytes.to_vec()).expect("UTF-8");
    text.trim_start_matches('\u{feff}').replace("\r\n", "\n")
}

fn agree(path: &str, bytes: &[u8]) -> bool {
    let text = text(bytes);
    match (by_places(&text), by_values(&text)) {
        (Some(places), Some(values)) => {
            assert_eq!(places, values, "{path}");
            true
        }
        // When one refuses, so must the loader.
        _ => {
            let path = format!("checklists/{path}");
            assert!(load_with(&path, bytes).library.is_none(), "{path}");
            false
        }
    }
}

#[test]
fn on_every_shipped_file() {
    for (path, bytes) in Shelf::shipped()
        .files()
        .filter(|(path, _)| path.ends_with(".yaml"))
    {
        assert!(agree(path, bytes), "{path}");
    }
}

#[test]
fn on_every_good_and_bad_file() {
    let mut both = 0;
    for inner in [
        "good",
        "shelf",
        "bad",
        "bad/limits",
        "bad/duties",
        "bad/local-facts",
        "bad/local",
    ] {
        for path in yaml_files(&folder().join(inner)) {
            let read_by_both = agree(&name(&path), &read(&path));
            assert!(read_by_both || inner == "bad", "{}", path.display());
            both += usize::from(read_by_both);
        }
    }
    assert!(both > 100, "{both}");
}
