//! `waivers.yaml`: what the unit has decided to do without, who decided it, why, and until when.

use crate::checklist::adapt::misfit::Misfit;
use crate::checklist::model::{Waived, Waiver};
use crate::checklist::problem::Kind;
use crate::checklist::tree::{Data, Node};
use crate::names::{FactName, ListName, StepName};

use super::Reader;

/// Reads the waivers of a unit.
pub(in crate::checklist) fn waivers(reader: &mut Reader<'_>, root: &Node) -> Vec<Waiver> {
    let at = reader.at(root);
    let Some(fields) = reader.fields(root, at, "waivers.yaml", &["waivers"]) else {
        return Vec::new();
    };
    match fields.need(reader, "waivers") {
        Some(node) if !matches!(node.data, Data::Empty) => {
            let items = reader.items(node, "a list of waivers");
            items
                .iter()
                .filter_map(|item| reader.waiver(item))
                .collect()
        }
        _ => Vec::new(),
    }
}

impl Reader<'_> {
    fn waiver(&mut self, node: &Node) -> Option<Waiver> {
        let at = self.at(node);
        let known = ["safeguard", "words", "limit", "because", "who", "until"];
        let fields = self.fields(node, at, "a waiver", &known)?;
        let given: Vec<&'static str> = ["safeguard", "words", "limit"]
            .into_iter()
            .filter(|key| fields.get(key).is_some())
            .collect();
        let because = fields
            .need(self, "because")
            .and_then(|node| self.words(node));
        let who = fields.need(self, "who").and_then(|node| self.words(node));
        let until = fields.need(self, "until").and_then(|node| self.date(node));
        let what = match *given.as_slice() {
            [key] => self.waived(key, fields.get(key)?),
            [first, second, ..] => {
                self.wrong(node, Kind::NotTogether { first, second });
                None
            }
            [] => {
                self.wrong(node, Kind::adapt(Misfit::NotWaivable));
                None
            }
        };
        Some(Waiver {
            what: what?,
            because: because?,
            who: who?,
            until: until?,
        })
    }

    fn waived(&mut self, key: &str, node: &Node) -> Option<Waived> {
        let words = self.words(node)?;
        let read = match key {
            "safeguard" => Some(Waived::Safeguard(words)),
            "limit" => FactName::new(&words).ok().map(Waived::Limit),
            _ => words.split_once('/').and_then(|(list, step)| {
                Some(Waived::Words(
                    ListName::new(list).ok()?,
                    StepName::new(step).ok()?,
                ))
            }),
        };
        if read.is_none() {
            self.wrong(node, Kind::adapt(Misfit::NotWaivable));
        }
        read
    }
}
