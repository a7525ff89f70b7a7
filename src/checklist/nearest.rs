//! The known name that somebody most likely meant.

/// Longer words are not compared, so that no file can make this slow.
const LONGEST: usize = 60;
/// So many candidates are compared, for the same reason.
const MOST: usize = 5_000;
/// Columns for a candidate a third longer than the longest word, and one before the first letter.
const WIDTH: usize = LONGEST + LONGEST / 3 + 1;

/// The candidate with the fewest slips from `word`: a letter added, left out, changed, or two
/// swapped. `None` when even the nearest is further than a third of the word.
pub(super) fn nearest<'c>(
    word: &str,
    candidates: impl IntoIterator<Item = &'c str>,
) -> Option<String> {
    let word: Vec<char> = word.to_lowercase().chars().take(LONGEST + 1).collect();
    if word.len() > LONGEST {
        return None;
    }
    // Of one or two letters, any other word would be near.
    let most = if word.len() < 3 {
        0
    } else {
        (word.len() / 3).max(1)
    };
    candidates
        .into_iter()
        .take(MOST)
        .filter(|candidate| candidate.len().abs_diff(word.len()) <= most)
        .map(|candidate| {
            (
                slips(&word, &candidate.chars().collect::<Vec<_>>()),
                candidate,
            )
        })
        .filter(|(slips, _)| *slips <= most)
        .min_by_key(|(slips, _)| *slips)
        .map(|(_, candidate)| candidate.to_owned())
}

/// The number of slips between two words (optimal string alignment distance), neither longer than
/// [`LONGEST`] and a third.
fn slips(a: &[char], b: &[char]) -> usize {
    // The row before the last, the last, and the one that is worked out.
    let mut rows = [[0_usize; WIDTH]; 3];
    for (column, cell) in rows[1].iter_mut().enumerate() {
        *cell = column;
    }
    for i in 1..=a.len() {
        rows[2][0] = i;
        for j in 1..=b.len() {
            let changed = usize::from(a[i - 1] != b[j - 1]);
            let mut least = (rows[1][j] + 1)
                .min(rows[2][j - 1] + 1)
                .min(rows[1][j - 1] + changed);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(rows[0][j - 2] + 1);
            }
            rows[2][j] = least;
        }
        rows.rotate_left(1);
    }
    rows[1][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_is_offered_and_a_far_one_is_not() {
        let known = ["then", "tubing", "if_not_done", "caution"];
        let cases = [
            ("tehn", Some("then")),
            ("tubng", Some("tubing")),
            ("Caution", Some("caution")),
            ("if-not-done", Some("if_not_done")),
            ("drainage", None),
            ("", None),
            ("B", None),
        ];
        for (word, wanted) in cases {
            assert_eq!(nearest(word, known).as_deref(), wanted, "{word}");
        }
    }
}
