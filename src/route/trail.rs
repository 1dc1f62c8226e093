//! A piece and the lines to walk twice → one trail through all of them.
//!
//! Method: at each node line ends are paired straightest-first; the trails that this makes are merged at shared nodes,
//! the merge with the least sharp turns first, until there is one (C. Hierholzer, "Über die Möglichkeit, einen Linienzug
//! ohne Wiederholung und ohne Unterbrechung zu umfahren", Math. Annalen 6, 1873) [219].
//! Limits: few sharp turns and few crossings, not always the fewest.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::turns::{Headings, Junction, LOOSE, MANY_ENDS, Pair, regrouped};
use super::union_find::UnionFind;
use crate::network::Network;

/// One edge of a trail.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Arc {
    /// Index into the network's edges.
    pub edge: usize,
    /// True if walked from the edge's `from` to its `to`.
    pub forward: bool,
}

impl Arc {
    /// The node it leaves and the node it reaches.
    pub fn ends(self, network: &Network) -> (usize, usize) {
        let edge = &network.edges[self.edge];
        if self.forward { (edge.from, edge.to) } else { (edge.to, edge.from) }
    }
}

/// The trail that goes along each of `edges` once for each time it is listed.
///
/// It begins at the first of `ends`; without ends it is closed. It covers everything if the edges hang together and
/// exactly the ends have an odd number of line ends.
pub fn lay(network: &Network, edges: &[usize], ends: Option<(usize, usize)>) -> Vec<Arc> {
    let headings = Headings::of(edges.iter().map(|e| &network.edges[*e]));
    let (nodes, mut junctions) = junctions(network, edges, &headings);
    let mut trails = UnionFind::new(edges.len());
    for (a, b) in junctions.iter().flat_map(|j| &j.pairs).filter(|p| p.1 != LOOSE) {
        trails.union(a / 2, b / 2);
    }
    merge(&mut junctions, &mut trails, &headings);
    let mut next = vec![LOOSE; 2 * edges.len()];
    let mut begin = None;
    for (node, pair) in nodes.iter().zip(&junctions).flat_map(|(n, j)| j.pairs.iter().map(move |p| (n, p))) {
        if pair.1 == LOOSE {
            begin = begin.filter(|_| ends.is_none_or(|e| e.0 != *node)).or(Some(pair.0));
        } else {
            next[pair.0] = pair.1;
            next[pair.1] = pair.0;
        }
    }
    follow(edges, &next, begin.unwrap_or(0))
}

/// The ends of all edges, paired at each node. End `2 * i` is the start of `edges[i]`, `2 * i + 1` its end.
fn junctions(network: &Network, edges: &[usize], headings: &Headings) -> (Vec<usize>, Vec<Junction>) {
    let mut ends: Vec<(usize, usize)> = Vec::with_capacity(2 * edges.len());
    for (i, &e) in edges.iter().enumerate() {
        ends.push((network.edges[e].from, 2 * i));
        ends.push((network.edges[e].to, 2 * i + 1));
    }
    ends.sort_unstable();
    let at_nodes = ends.chunk_by(|a, b| a.0 == b.0);
    at_nodes.map(|all| (all[0].0, Junction::new(all.iter().map(|e| e.1).collect(), headings))).unzip()
}

/// A change of two pairs at a junction that would merge two trails.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Merge {
    cost: i64,
    junction: usize,
    slots: [usize; 2],
    new: [Pair; 2],
    old: [Pair; 2],
}

/// Merges trails until each connected part is one, the cheapest merge first.
fn merge(junctions: &mut [Junction], trails: &mut UnionFind, headings: &Headings) {
    let mut heap = BinaryHeap::new();
    for (j, junction) in junctions.iter().enumerate() {
        for slot in 0..junction.pairs.len() {
            offer(&mut heap, junction, j, slot, true, trails, headings);
        }
    }
    while let Some(Reverse(merge)) = heap.pop() {
        let junction = &mut junctions[merge.junction];
        let [i, k] = merge.slots;
        let current = [junction.pairs[i], junction.pairs[k]] == merge.old;
        if !current || !trails.union(merge.old[0].0 / 2, merge.old[1].0 / 2) {
            continue;
        }
        [junction.pairs[i], junction.pairs[k]] = merge.new;
        for slot in merge.slots {
            offer(&mut heap, junction, merge.junction, slot, false, trails, headings);
        }
    }
}

/// Offers the merges of one pair with others at its junction (only those before it, if `before`).
fn offer(
    heap: &mut BinaryHeap<Reverse<Merge>>,
    junction: &Junction,
    number: usize,
    slot: usize,
    before: bool,
    trails: &mut UnionFind,
    headings: &Headings,
) {
    let pairs = &junction.pairs;
    // Where very many lines meet, neighbours are enough to reach every pair.
    let many = 2 * pairs.len() > MANY_ENDS;
    let low = if many { slot.saturating_sub(1) } else { 0 };
    let high = if before { slot } else { pairs.len().min(if many { slot + 2 } else { usize::MAX }) };
    for other in low..high {
        let old = [pairs[slot], pairs[other]];
        if other == slot || trails.find(old[0].0 / 2) == trails.find(old[1].0 / 2) {
            continue;
        }
        for new in regrouped(old) {
            let cost = junction.change(old, new, headings);
            heap.push(Reverse(Merge { cost, junction: number, slots: [slot, other], new, old }));
        }
    }
}

/// Follows a trail from end `begin` of its first edge.
fn follow(edges: &[usize], next: &[usize], begin: usize) -> Vec<Arc> {
    let mut trail = Vec::with_capacity(edges.len());
    let mut end = begin;
    while trail.len() < edges.len() && end != LOOSE {
        trail.push(Arc { edge: edges[end / 2], forward: end.is_multiple_of(2) });
        end = next[end ^ 1];
        if end == begin {
            break;
        }
    }
    trail
}

/// Turns a closed trail so that it begins at `node`, where it would have turned most sharply.
pub fn begin_at(network: &Network, trail: &mut [Arc], node: usize) {
    let headings = Headings::of(trail.iter().map(|a| &network.edges[a.edge]));
    let count = trail.len();
    let leaving = |i: usize| 2 * i + usize::from(!trail[i].forward);
    let cost_before = |i: usize| headings.cost((leaving((i + count - 1) % count) ^ 1, leaving(i)));
    let starts = (0..count).filter(|i| trail[*i].ends(network).0 == node);
    if let Some(best) = starts.max_by_key(|i| (cost_before(*i), Reverse(*i))) {
        trail.rotate_left(best);
    }
}

/// The same trail from its end to its start.
pub fn turn_round(trail: &mut [Arc]) {
    trail.reverse();
    for arc in trail {
        arc.forward = !arc.forward;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::network::{Edge, EdgeKind};
    use kurbo::Point;

    /// Edges as lists of `x,y`; equal ends are one node.
    fn network(edges: &[&str]) -> Network {
        let mut network = Network::default();
        for text in edges {
            let point =
                |p: &str| p.split_once(',').map(|(x, y)| Point::new(x.parse().unwrap(), y.parse().unwrap()));
            let chain: Vec<Point> = text.split(' ').filter_map(point).collect();
            let mut node = |p: Point| {
                network.nodes.iter().position(|n| *n == p).unwrap_or_else(|| {
                    network.nodes.push(p);
                    network.nodes.len() - 1
                })
            };
            let (from, to) = (node(chain[0]), node(chain[chain.len() - 1]));
            let length_mm = crate::base::chain::length(&chain);
            network.edges.push(Edge { from, to, chain, corners: vec![], length_mm, kind: EdgeKind::Drawn });
        }
        network
    }

    fn text(trail: &[Arc]) -> String {
        let arcs = trail.iter().map(|a| format!("{}{}", if a.forward { '+' } else { '-' }, a.edge));
        arcs.collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn a_figure_of_eight_is_crossed_straight_on() {
        let eight = network(&["0,0 2,2 4,2 4,-2 2,-2 0,0", "0,0 -2,2 -4,2 -4,-2 -2,-2 0,0"]);
        assert_eq!(text(&lay(&eight, &[0, 1], None)), "+0 +1");
    }

    #[test]
    fn an_open_trail_begins_at_its_first_end_and_takes_loops_on_the_way() {
        let looped = network(&["0,0 5,0", "5,0 9,0", "5,0 6,2 4,2 5,0"]);
        assert_eq!(text(&lay(&looped, &[0, 1, 2], Some((0, 2)))), "+0 +2 +1");
        assert_eq!(text(&lay(&looped, &[0, 1, 2], Some((2, 0)))), "-1 -2 -0");
    }

    #[test]
    fn a_closed_trail_begins_where_it_turns_most_sharply() {
        let square = network(&["0,0 4,0", "4,0 4,4", "4,4 0,0"]);
        let mut trail = lay(&square, &[0, 1, 2], None);
        begin_at(&square, &mut trail, 2);
        assert_eq!(trail[0].ends(&square).0, 2);
        turn_round(&mut trail);
        assert_eq!(trail[2].ends(&square).1, 2);
    }
}
