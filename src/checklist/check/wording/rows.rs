//! A row of a `decide` joins at most four conditions.
//!
//! US Nuclear Regulatory Commission, 1982, NUREG-0899: no more than four conditions joined by AND
//! (second-hand); the language itself never mixes "and" with "or" in a row. Fewer than four are not pointed
//! out: the program weighs a row, not the nurse, and a row towards a clamp is safer for each one.

use crate::checklist::prose::Prose;
use crate::checklist::raw::{Findings, RawKind, RawList, RawStep};

use super::told;

const MOST: usize = 4;

pub(super) fn check(_: &RawList, step: &RawStep, out: &mut Findings) {
    let RawKind::Decide { rows, .. } = &step.kind else {
        return;
    };
    for row in rows {
        let count = row.when.len();
        if count > MOST {
            told(row.at, Prose::ManyConditions { count, most: MOST }, out);
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::with;

    #[test]
    fn a_row_joins_few_conditions() {
        let rows = [
            "breathing: own",
            "reason: air",
            "suction: none",
            "population: adult",
            "lung-removed: unknown",
        ];
        let of = |count: usize| with("when", &format!("{{{}}}", rows[..count].join(", ")));
        assert_eq!(of(2), [""; 0]);
        assert_eq!(of(4), [""; 0]);
        assert_eq!(of(5), ["many-conditions"]);
    }
}
