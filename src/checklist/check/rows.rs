//! No row of a `decide` is hidden behind an earlier one.

use crate::checklist::problem::Kind;
use crate::checklist::raw::{Findings, RawCondition, RawKind, RawRow, RawTest};

use super::One;

/// With more rows than this only the others' rules are checked, so that no file can make this slow.
const MOST: usize = 200;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    for step in &one.list.steps {
        let RawKind::Decide { rows, .. } = &step.kind else {
            continue;
        };
        let rows: Vec<&RawRow> = rows.iter().filter(|row| row.whole).take(MOST).collect();
        for (index, row) in rows.iter().enumerate() {
            if rows.iter().take(index).any(|earlier| takes(earlier, row)) {
                out.add(row.at, Kind::RowNeverTaken);
            }
        }
    }
}

/// Whether the earlier row is taken whenever the later one would be.
fn takes(earlier: &RawRow, later: &RawRow) -> bool {
    earlier.when.iter().all(|wide| {
        later
            .when
            .iter()
            .any(|narrow| wide.name.is == narrow.name.is && implies(narrow, wide))
    })
}

fn implies(narrow: &RawCondition, wide: &RawCondition) -> bool {
    match (&narrow.test.is, &wide.test.is) {
        (RawTest::Words(narrow), RawTest::Words(wide)) => narrow
            .iter()
            .all(|word| wide.iter().any(|known| known.is == word.is)),
        (RawTest::Words(_) | RawTest::Known, RawTest::Known) => true,
        (narrow, wide) => narrow == wide,
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::with_rows;

    #[test]
    fn a_row_behind_a_wider_one_is_told() {
        for (first, second) in [
            ("side: left", "side: left"),
            ("side: [left, right]", "side: right"),
            ("side: known", "side: left"),
            ("side: left", "side: left, reason: air"),
        ] {
            assert_eq!(
                with_rows(first, second),
                ["row-never-taken 46:9"],
                "{first} / {second}"
            );
        }
    }

    #[test]
    fn a_narrower_row_first_is_fine() {
        for (first, second) in [
            ("side: left, reason: air", "side: left"),
            ("side: right", "side: [left, right]"),
            ("side: left", "side: unknown"),
        ] {
            assert_eq!(with_rows(first, second), [""; 0], "{first} / {second}");
        }
    }
}
