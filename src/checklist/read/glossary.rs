//! `glossary.yaml`: the shipped one, and a unit's own, which adds to it.

use crate::checklist::glossary::{Glossary, Term};
use crate::checklist::raw::Spot;
use crate::checklist::tree::{Data, Node};

use super::Reader;

/// The keys of a term.
const TERM: &[&str] = &["use", "means", "uk", "au", "us", "also", "short", "lists"];

/// Reads a glossary into the one that is there.
pub(in crate::checklist) fn glossary(reader: &mut Reader<'_>, root: &Node, into: &mut Glossary) {
    let at = reader.at(root);
    let known = ["words", "verbs", "abbreviations"];
    let Some(fields) = reader.fields(root, at, "a glossary", &known) else {
        return;
    };
    if let Some(node) = fields.get("words") {
        for (key, value) in reader.entries(node, "terms by their names") {
            let Some(name) = reader.key_word(key) else {
                continue;
            };
            if let Some(term) = reader.term(key, value, &mut into.leads) {
                into.terms.insert(name.to_owned(), term);
            }
        }
    }
    if let Some(node) = fields.get("verbs") {
        let verbs = reader.phrases(node);
        into.verbs
            .extend(verbs.into_iter().map(|verb| verb.to_lowercase()));
    }
    if let Some(node) = fields.get("abbreviations") {
        for (key, value) in reader.entries(node, "abbreviations with what they stand for") {
            let short = reader.key_word(key);
            if let (Some(short), Some(long)) = (short, reader.words(value)) {
                into.abbreviations.insert(short.to_owned(), long);
            }
        }
    }
}

impl Reader<'_> {
    fn term(&mut self, key: &Node, node: &Node, leads: &mut Vec<(Spot, String)>) -> Option<Term> {
        let at = self.at(key);
        let fields = self.fields(node, at, "a term", TERM)?;
        let word = fields.need(self, "use").and_then(|node| self.words(node));
        let means = fields.need(self, "means").and_then(|node| self.words(node));
        let mut phrases = |key: &str| match fields.get(key) {
            Some(node) if !matches!(node.data, Data::Empty) => self.phrases(node),
            _ => Vec::new(),
        };
        let mut elsewhere = ["uk", "au", "us"].map(&mut phrases).concat();
        let (also, short) = (phrases("also"), phrases("short"));
        let own = phrases("lists");
        if let Some(node) = fields.get("lists") {
            let at = self.at(node);
            leads.extend(own.iter().map(|list| (at, list.clone())));
        }
        let word = word?;
        elsewhere.retain(|one| *one != word);
        elsewhere.sort();
        elsewhere.dedup();
        Some(Term {
            word,
            means: means.unwrap_or_default(),
            elsewhere,
            also,
            short,
            leads: own,
        })
    }
}
