//! The known name that somebody most likely meant.

/// Longer words are not compared, so that no file can make this slow.
const LONGEST: usize = 60;

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
    let most = (word.len() / 3).max(1);
    candidates
        .into_iter()
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

/// The number of slips between two words (optimal string alignment distance).
fn slips(a: &[char], b: &[char]) -> usize {
    let mut rows = vec![vec![0; b.len() + 1]; a.len() + 1];
    rows[0] = (0..=b.len()).collect();
    for i in 1..=a.len() {
        rows[i][0] = i;
        for j in 1..=b.len() {
            let changed = usize::from(a[i - 1] != b[j - 1]);
            let mut least = (rows[i - 1][j] + 1)
                .min(rows[i][j - 1] + 1)
                .min(rows[i - 1][j - 1] + changed);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(rows[i - 2][j - 2] + 1);
            }
            rows[i][j] = least;
        }
    }
    rows[a.len()][b.len()]
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
        ];
        for (word, wanted) in cases {
            assert_eq!(nearest(word, known).as_deref(), wanted, "{word}");
        }
    }
}
