//! The shipped lists with the shipped safeguards.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::checklist::load::load;
use crate::checklist::proof::graph::Budget;
use crate::checklist::proof::read::gather;
use crate::checklist::proof::rule::Verdict;
use crate::checklist::proof::{STATES, prove};
use crate::checklist::shelf::Shelf;
use crate::commands::replay::replay;

/// Lists that are proved in moments even without optimisation. `local prove` proves every list.
const QUICK: &[&str] = &[
    "bleeding",
    "breathless",
    "bubbling",
    "handing-over",
    "no-swing",
    "pause-end",
    "prepare",
    "re-expansion",
    "removal-ready",
    "sample",
    "secure",
    "suction-start",
    "suction-test",
    "time-out",
    "tube-out",
    "unit-fill",
];

#[test]
fn quick_shipped_lists_keep_every_shipped_safeguard() {
    let shelf = Shelf::shipped();
    let library = Arc::new(load(&shelf).library.expect("the shipped lists load"));
    let safeguards = gather(&shelf, &library).expect("the shipped safeguards can be read");
    let mut bad = Vec::new();
    let mut bites = BTreeSet::new();
    for name in QUICK {
        let id = library.find(name).expect("the list is shipped");
        let budget = &mut Budget {
            states: STATES,
            progress: &mut |_| {},
        };
        for (rule, verdict) in prove(&library, id, &safeguards, &library, budget).verdicts {
            match verdict {
                Verdict::Kept { .. } => {
                    bites.insert(rule);
                }
                Verdict::NotHere => {}
                Verdict::Broken {
                    why,
                    run: Some(run),
                    ..
                } => {
                    let walked = replay(&library, &run).err();
                    bad.push(format!("{name} {rule}: {why}\n{}{walked:?}", run.script()));
                }
                other => bad.push(format!("{name} {rule}: {other:?}")),
            }
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
    assert!(bites.len() >= 8, "these alone bite: {bites:?}");
}
