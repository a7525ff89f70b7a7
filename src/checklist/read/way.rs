//! Ways out of a step, and where the endings of a used list lead.

use crate::checklist::model::Outcome;
use crate::checklist::problem::Kind;
use crate::checklist::raw::{At, RawEndings, RawJump, RawWay};
use crate::checklist::tree::{Data, Node};
use crate::names::{ListName, StepName};

use super::Reader;
use super::fields::Fields;

/// A counted way is taken at most so often.
const MOST_TIMES: u32 = 99;

impl Reader<'_> {
    /// A way: the name of a step, or a map.
    pub(super) fn way(&mut self, node: &Node) -> Option<RawWay> {
        self.way_with(node, &["go", "at_most", "after_that", "use", "then"])
            .0
    }

    /// A way whose map may also say `unsure`; with it, whether it does.
    pub(super) fn answer_way(&mut self, node: &Node) -> (Option<RawWay>, bool) {
        let (way, fields) = self.way_with(
            node,
            &["go", "at_most", "after_that", "use", "then", "unsure"],
        );
        let unsure = fields
            .and_then(|fields| fields.get("unsure"))
            .and_then(|node| self.truth(node));
        (way, unsure.unwrap_or(false))
    }

    /// A way whose map also says `when`; with it, the conditions.
    pub(super) fn row_way<'n>(&mut self, node: &'n Node) -> (Option<RawWay>, Option<&'n Node>) {
        let (way, fields) = self.way_with(
            node,
            &["when", "go", "at_most", "after_that", "use", "then"],
        );
        let when = fields.and_then(|fields| fields.need(self, "when"));
        (way, when)
    }

    fn way_with<'n>(
        &mut self,
        node: &'n Node,
        known: &[&'static str],
    ) -> (Option<RawWay>, Option<Fields<'n>>) {
        match &node.data {
            Data::Text(_) => (self.plain_jump(node).map(RawWay::Jump), None),
            Data::Map(_) => {
                let at = self.at(node);
                match self.fields(node, at, "a way", known) {
                    Some(fields) => (self.way_of(&fields), Some(fields)),
                    None => (None, None),
                }
            }
            Data::Empty => {
                self.wrong(node, Kind::EmptyText);
                (None, None)
            }
            _ => {
                self.wrong_shape(node, "the name of a step, {go: …} or {use: …}");
                (None, None)
            }
        }
    }

    fn way_of(&mut self, fields: &Fields<'_>) -> Option<RawWay> {
        let Some(list) = fields.get("use") else {
            if let Some(then) = fields.key("then") {
                self.wrong(
                    then,
                    Kind::NeedsBeside {
                        key: "then",
                        other: "use",
                    },
                );
            }
            return self.jump_of(fields).map(RawWay::Jump);
        };
        if let Some(go) = fields.key("go") {
            self.wrong(
                go,
                Kind::NotTogether {
                    first: "use",
                    second: "go",
                },
            );
        }
        for key in ["at_most", "after_that"] {
            if let Some(node) = fields.key(key) {
                self.wrong(
                    node,
                    Kind::NotTogether {
                        first: "use",
                        second: key,
                    },
                );
            }
        }
        let list = self.name(list, ListName::new);
        let endings = fields
            .need(self, "then")
            .and_then(|then| self.endings(then));
        Some(RawWay::Use { list, endings })
    }

    fn plain_jump(&mut self, node: &Node) -> Option<RawJump> {
        let go = self.name(node, StepName::new)?;
        Some(RawJump {
            go: Some(go),
            counted: None,
        })
    }

    fn jump_of(&mut self, fields: &Fields<'_>) -> Option<RawJump> {
        let go = fields
            .need(self, "go")
            .and_then(|node| self.name(node, StepName::new));
        let counted = match (fields.get("at_most"), fields.get("after_that")) {
            (None, None) => None,
            (at_most, after_that) => {
                let at_most = self.beside(fields, at_most, "after_that", "at_most");
                let after_that = self.beside(fields, after_that, "at_most", "after_that");
                let count = at_most.and_then(|node| self.count(node, MOST_TIMES));
                Some((
                    count,
                    after_that.and_then(|node| self.name(node, StepName::new)),
                ))
            }
        };
        Some(RawJump { go, counted })
    }

    /// The value of `missing`, told at `key` when only that one is there.
    fn beside<'n>(
        &mut self,
        fields: &Fields<'n>,
        value: Option<&'n Node>,
        key: &'static str,
        missing: &'static str,
    ) -> Option<&'n Node> {
        if value.is_none()
            && let Some(node) = fields.key(key)
        {
            self.wrong(
                node,
                Kind::NeedsBeside {
                    key,
                    other: missing,
                },
            );
        }
        value
    }

    fn jump(&mut self, node: &Node) -> Option<RawJump> {
        match &node.data {
            Data::Text(_) => self.plain_jump(node),
            Data::Map(_) => {
                let at = self.at(node);
                let fields = self.fields(node, at, "a way", &["go", "at_most", "after_that"])?;
                self.jump_of(&fields)
            }
            Data::Empty => {
                self.wrong(node, Kind::EmptyText);
                None
            }
            _ => {
                self.wrong_shape(node, "the name of a step, or {go: …}");
                None
            }
        }
    }

    /// Where the endings of a used list lead.
    pub(super) fn endings(&mut self, node: &Node) -> Option<RawEndings> {
        let at = self.at(node);
        let mut endings = RawEndings {
            at,
            by_outcome: Vec::new(),
            any: None,
            whole: true,
        };
        if let Data::Text(_) = node.data {
            endings.any = Some((at, self.plain_jump(node)));
            return Some(endings);
        }
        let entries = self.entries(node, "the name of a step, or a way for each ending");
        if entries.is_empty() {
            return None;
        }
        for (key, value) in entries {
            let jump = self.jump(value);
            if matches!(&key.data, Data::Text(word) if word == "any") {
                endings.any = Some((self.at(key), jump));
                continue;
            }
            match self.outcome(key) {
                Some(outcome) => endings.by_outcome.push((outcome, jump)),
                None => endings.whole = false,
            }
        }
        Some(endings)
    }

    fn outcome(&mut self, key: &Node) -> Option<At<Outcome>> {
        self.word(key, "an ending", Outcome::ALL, Outcome::word)
    }
}
