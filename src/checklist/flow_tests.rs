//! Tables of made graphs, for the comparison with networkx in `tests/reference/graph.py`.

use super::*;

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

fn made(dice: &mut Dice) -> Flow {
    let count = 2 + dice.below(11);
    let mut graph = DiGraph::new();
    let nodes: Vec<NodeIndex> = (0..count).map(|_| graph.add_node(())).collect();
    for _ in 0..dice.below(count * 2 + 1) {
        let (from, to) = (dice.below(count), dice.below(count));
        graph.add_edge(nodes[from], nodes[to], dice.below(4) == 0);
    }
    let ends = (0..count).map(|_| dice.below(4) == 0).collect();
    let mut flow = Flow {
        graph,
        unknown: Vec::new(),
        holes: vec![false; count],
        ends,
        reached: Vec::new(),
    };
    flow.reached = flow.steps_from(0);
    flow.reached[0] = true;
    flow
}

#[test]
fn writes_table_graphs() {
    let mut dice = Dice(20_260_302);
    let (mut edges, mut nodes) = (Vec::new(), Vec::new());
    for number in 0..400 {
        let flow = made(&mut dice);
        for edge in flow.graph.edge_indices() {
            let (from, to) = flow.graph.edge_endpoints(edge).unwrap();
            let counted = u8::from(flow.graph[edge]);
            edges.push(format!(
                "{number},{},{},{counted}",
                from.index(),
                to.index()
            ));
        }
        let can_end = flow.can_end();
        let uncounted = flow.circles(|counted| !counted);
        let any = flow.circles(|_| true);
        let within = |groups: &[Vec<usize>], node| {
            u8::from(groups.iter().any(|group| group.contains(&node)))
        };
        for (node, can_end) in can_end.iter().enumerate() {
            nodes.push(format!(
                "{number},{node},{},{},{},{},{}",
                u8::from(flow.ends[node]),
                u8::from(flow.reached[node]),
                u8::from(*can_end),
                within(&uncounted, node),
                within(&any, node),
            ));
        }
    }
    assert!(edges.len() > 1_000 && nodes.len() > 1_000);
    crate::tables::write("graph_edges", "graph,from,to,counted", &edges);
    crate::tables::write(
        "graph_nodes",
        "graph,node,end,reached,can_end,uncounted_circle,circle",
        &nodes,
    );
}
