//! Every key of a list and of its steps.

/// The keys of a list's head.
pub(in crate::checklist) const HEAD: &[&str] = &[
    "checklist",
    "title",
    "version",
    "kind",
    "mode",
    "key",
    "signs",
    "recognise",
    "about",
    "owner",
    "author",
    "review_by",
    "change",
    "sources",
    "begin",
    "steps",
    "safeguards",
];

/// The keys that any step may have.
pub(in crate::checklist) const ANY_STEP: &[&str] = &[
    "why",
    "caution",
    "where",
    "source",
    "tags",
    "critical",
    "from_memory",
    "record",
];

/// What one kind of step may have.
#[derive(Debug)]
pub(in crate::checklist) struct KindKeys {
    /// The key that makes the kind.
    pub(in crate::checklist) kind: &'static str,
    /// Keys that must be there.
    pub(in crate::checklist) needed: &'static [&'static str],
    /// Keys that may be there.
    pub(in crate::checklist) allowed: &'static [&'static str],
}

impl KindKeys {
    /// Whether the kind has that key, apart from those of any step.
    pub(in crate::checklist) fn has(&self, key: &str) -> bool {
        self.kind == key || self.needed.contains(&key) || self.allowed.contains(&key)
    }
}

/// Every kind of step.
pub(in crate::checklist) const KINDS: &[KindKeys] = &[
    KindKeys {
        kind: "do",
        needed: &["then", "if_not_done"],
        allowed: &["remember", "good_for", "opens", "closes", "call"],
    },
    KindKeys {
        kind: "check",
        needed: &[
            "expect",
            "as_expected",
            "not_as_expected",
            "could_not_check",
        ],
        allowed: &["remember", "good_for", "opens", "closes", "chart"],
    },
    KindKeys {
        kind: "ask",
        needed: &["answers"],
        allowed: &["remember", "good_for", "chart"],
    },
    KindKeys {
        kind: "measure",
        needed: &["unit", "plausible", "bands", "not_obtained"],
        allowed: &["remember", "good_for", "chart"],
    },
    KindKeys {
        kind: "wait",
        needed: &["for", "elapsed", "if_missed"],
        allowed: &["while_unset", "late_after"],
    },
    KindKeys {
        kind: "decide",
        needed: &["otherwise"],
        allowed: &[],
    },
    KindKeys {
        kind: "use",
        needed: &["then"],
        allowed: &[],
    },
    KindKeys {
        kind: "end",
        needed: &["outcome"],
        allowed: &["recheck"],
    },
];

/// The kinds of step that have a key, in words: "do or check".
pub(in crate::checklist) fn kinds_with(key: &str) -> String {
    let kinds: Vec<_> = KINDS
        .iter()
        .filter(|kind| kind.has(key))
        .map(|kind| kind.kind)
        .collect();
    match kinds.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, first)) => format!("{} or {last}", first.join(", ")),
        None => String::new(),
    }
}
