//! Tables of made lists, for the comparison with networkx in `tests/reference/proof.py`: what must
//! come before what, and how many runs there are.

use crate::checklist::proof::rule::Verdict;

use super::made;

/// Made lists, each with its ways: from which step to which.
const LISTS: usize = 150;

/// A small generator with a fixed start, so that the tables come out the same each time
/// (multiplier and increment of Knuth's MMIX, from memory; any would do).
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % most
    }
}

/// The ways out of each step of a list without circles; every step is reached, an end has none.
fn ways(dice: &mut Dice) -> Vec<Vec<usize>> {
    let count = 4 + dice.below(6);
    let mut ways: Vec<Vec<usize>> = (0..count - 2)
        .map(|step| {
            let out = 2 + dice.below(2);
            (0..out)
                .map(|_| step + 1 + dice.below(count - step - 1))
                .collect()
        })
        .collect();
    ways.extend([Vec::new(), Vec::new()]);
    let mut reached = vec![false; count];
    reached[0] = true;
    for step in 0..count {
        if reached[step] {
            ways[step].iter().for_each(|to| reached[*to] = true);
        }
    }
    let new: Vec<usize> = reached
        .iter()
        .scan(0, |next, reached| {
            *next += usize::from(*reached);
            Some(*next - usize::from(*reached))
        })
        .collect();
    let kept = ways
        .into_iter()
        .zip(&reached)
        .filter(|(_, reached)| **reached);
    kept.map(|(out, _)| out.into_iter().map(|to| new[to]).collect())
        .collect()
}

/// The list: two ways make a `do`, three an `ask`.
fn text(ways: &[Vec<usize>]) -> String {
    let steps: String = ways
        .iter()
        .enumerate()
        .map(|(step, out)| match out[..] {
            [done, not] => format!(
                "  s{step}: {{do: Do it., source: t, then: s{done}, if_not_done: s{not}}}\n"
            ),
            [one, two, unsure] => format!(
                "  s{step}:\n    ask: Which?\n    where: Bed\n    source: t\n    answers:\n      - one: s{one}\n      \
                 - two: s{two}\n      - not sure: {{unsure: true, go: s{unsure}}}\n"
            ),
            _ => format!("  s{step}: {{end: \"Worse, call.\", outcome: working}}\n"),
        })
        .collect();
    made::list("made", "task", "s0", &steps)
}

#[test]
fn writes_table_proofs() {
    let mut dice = Dice(20_260_302);
    let (mut edges, mut pairs, mut runs) = (Vec::new(), Vec::new(), Vec::new());
    for number in 0..LISTS {
        let ways = ways(&mut dice);
        let library = made::library(&[("made", &text(&ways))]);
        let rules: String = (0..ways.len())
            .flat_map(|a| (1..ways.len()).map(move |b| (a, b)))
            .filter(|(a, b)| a != b)
            .map(|(a, b)| {
                format!(
                    "  p{a}-{b}:\n    says: A test.\n    first: {{do: {{shown: step made/s{a}}}, before: step made/s{b}}}\n"
                )
            })
            .collect();
        let safeguards = made::safeguards(&format!("safeguards:\n{rules}"), &library);
        let proof = made::proof(&library, "made", &safeguards);
        for (from, out) in ways.iter().enumerate() {
            edges.extend(out.iter().map(|to| format!("{number},{from},{to}")));
        }
        for (name, verdict) in &proof.verdicts {
            let (before, after) = name[1..].split_once('-').expect("two steps");
            let kept = match verdict {
                Verdict::Kept { .. } => 1,
                Verdict::Broken { .. } => 0,
                other => panic!("{number} {name}: {other:?}"),
            };
            pairs.push(format!("{number},{before},{after},{kept}"));
        }
        let count = proof.runs.expect("few enough to count");
        runs.push(format!("{number},{count}"));
    }
    assert!(pairs.iter().any(|pair| pair.ends_with(",1")));
    assert!(pairs.len() > 2_000);
    crate::tables::write("proof_edges", "graph,from,to", &edges);
    crate::tables::write("proof_pairs", "graph,before,after,kept", &pairs);
    crate::tables::write("proof_runs", "graph,runs", &runs);
}
