//! Edges and their lengths → shortest paths between nodes, over drawn and travel edges alike.
//!
//! Method: E. W. Dijkstra, "A note on two problems in connexion with graphs", Numerische Mathematik 1, 1959
//! [215], stopped as soon as the caller has seen enough.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::network::{Edge, Network};

/// Micrometres in a millimetre: routes are compared in whole micrometres, so that sums are exact.
pub const UM_PER_MM: f64 = 1000.0;

/// The length of an edge in whole micrometres; at least one, so that no detour is free.
#[must_use]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths are checked to be in range"
)]
pub fn micrometres(edge: &Edge) -> u64 {
    ((edge.length_mm * UM_PER_MM).round() as u64).max(1)
}

/// The adjacency list of each node.
#[derive(Debug)]
pub struct Adjacency {
    // Invariant: the half-edges that leave node `n` are `half_edges[first[n]..first[n + 1]]`.
    first: Vec<usize>,
    half_edges: Vec<HalfEdge>,
}

/// An edge as seen from one of its nodes.
#[derive(Debug, Clone, Copy)]
struct HalfEdge {
    to: usize,
    edge: usize,
    length: u64,
}

impl Adjacency {
    /// The lists of the edges that `open` lets through; loops are left out.
    pub fn new(network: &Network, open: impl Fn(&Edge) -> bool) -> Self {
        let mut all = Vec::with_capacity(2 * network.edges.len());
        for (i, edge) in network.edges.iter().enumerate() {
            if edge.from != edge.to && open(edge) {
                let length = micrometres(edge);
                all.push((edge.from, HalfEdge { to: edge.to, edge: i, length }));
                all.push((edge.to, HalfEdge { to: edge.from, edge: i, length }));
            }
        }
        let mut first = vec![0; network.nodes.len() + 1];
        for (node, _) in &all {
            first[node + 1] += 1;
        }
        for n in 0..network.nodes.len() {
            first[n + 1] += first[n];
        }
        all.sort_by_key(|(node, half)| (*node, half.edge));
        Self { first, half_edges: all.into_iter().map(|(_, half)| half).collect() }
    }

    /// All nodes that can be reached, in depth-first order.
    pub fn depth_first(&self, source: usize) -> Vec<usize> {
        let mut seen = vec![false; self.first.len() - 1];
        let (mut order, mut open) = (Vec::new(), vec![source]);
        while let Some(node) = open.pop() {
            if !std::mem::replace(&mut seen[node], true) {
                order.push(node);
                open.extend(self.leaving(node).iter().rev().map(|half| half.to));
            }
        }
        order
    }

    fn leaving(&self, node: usize) -> &[HalfEdge] {
        &self.half_edges[self.first[node]..self.first[node + 1]]
    }
}

/// Room for one search at a time, kept between searches so that a short search costs little.
#[derive(Debug)]
pub struct Dijkstra {
    distance: Vec<u64>,
    previous: Vec<(usize, usize)>,
    source: Vec<usize>,
    labelled: Vec<usize>,
    heap: BinaryHeap<Reverse<(u64, usize)>>,
}

impl Dijkstra {
    /// Room for searches among `nodes` nodes.
    pub fn new(nodes: usize) -> Self {
        Self {
            distance: vec![u64::MAX; nodes],
            previous: vec![(usize::MAX, usize::MAX); nodes],
            source: vec![usize::MAX; nodes],
            labelled: Vec::new(),
            heap: BinaryHeap::new(),
        }
    }

    /// Visits nodes in order of their distance from the nearest of `sources`, until `visit` returns false.
    ///
    /// `visit` is given the node and its distance, µm; nodes further than `limit` are left out.
    pub fn search(
        &mut self,
        adjacency: &Adjacency,
        sources: &[usize],
        limit: u64,
        mut visit: impl FnMut(usize, u64) -> bool,
    ) {
        self.reset();
        for &s in sources {
            self.relax(s, 0, (usize::MAX, usize::MAX), s);
        }
        while let Some(Reverse((distance, node))) = self.heap.pop() {
            if distance > self.distance[node] {
                continue;
            }
            if !visit(node, distance) {
                return;
            }
            for half in adjacency.leaving(node) {
                let there = distance + half.length;
                if there <= limit && there < self.distance[half.to] {
                    self.relax(half.to, there, (node, half.edge), self.source[node]);
                }
            }
        }
    }

    /// The distance found for a node, µm, and the source it was reached from; `None` if it was not reached.
    pub fn reached(&self, node: usize) -> Option<(u64, usize)> {
        (self.distance[node] != u64::MAX).then(|| (self.distance[node], self.source[node]))
    }

    /// The edges from `node` back to the source it was reached from; empty if it was not reached.
    pub fn path_from(&self, mut node: usize) -> Vec<usize> {
        let mut edges = Vec::new();
        while let Some(&(before, edge)) = self.previous.get(node).filter(|_| self.distance[node] != u64::MAX)
        {
            if edge == usize::MAX {
                break;
            }
            edges.push(edge);
            node = before;
        }
        edges
    }

    fn relax(&mut self, node: usize, distance: u64, from: (usize, usize), source: usize) {
        if self.distance[node] == u64::MAX {
            self.labelled.push(node);
        }
        self.distance[node] = distance;
        self.previous[node] = from;
        self.source[node] = source;
        self.heap.push(Reverse((distance, node)));
    }

    fn reset(&mut self) {
        for node in self.labelled.drain(..) {
            self.distance[node] = u64::MAX;
        }
        self.heap.clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::network::EdgeKind;
    use kurbo::Point;

    fn line_of(lengths: &[f64]) -> Network {
        let nodes = (0..=lengths.len()).map(|i| Point::new(i as f64, 0.0)).collect::<Vec<_>>();
        let edges = lengths.iter().enumerate().map(|(i, &length_mm)| Edge {
            from: i,
            to: i + 1,
            chain: vec![nodes[i], nodes[i + 1]],
            corners: Vec::new(),
            length_mm,
            kind: EdgeKind::Drawn,
        });
        Network { edges: edges.collect(), nodes }
    }

    #[test]
    fn distances_are_whole_micrometres_and_the_path_leads_back() {
        let network = line_of(&[1.0, 0.0004, 2.5]);
        let adjacency = Adjacency::new(&network, |_| true);
        let mut dijkstra = Dijkstra::new(4);
        let mut seen = Vec::new();
        dijkstra.search(&adjacency, &[0], u64::MAX, |node, distance| {
            seen.push((node, distance));
            true
        });
        assert_eq!(seen, vec![(0, 0), (1, 1000), (2, 1001), (3, 3501)]);
        assert_eq!(dijkstra.path_from(3), vec![2, 1, 0]);
        assert_eq!(adjacency.depth_first(1), vec![1, 0, 2, 3]);
    }

    #[test]
    fn the_limit_and_the_visitor_stop_a_search() {
        let network = line_of(&[1.0, 1.0, 1.0]);
        let adjacency = Adjacency::new(&network, |_| true);
        let mut dijkstra = Dijkstra::new(4);
        let mut count = 0;
        dijkstra.search(&adjacency, &[0], 2000, |_, _| {
            count += 1;
            true
        });
        assert_eq!(count, 3);
        dijkstra.search(&adjacency, &[3, 0], u64::MAX, |node, _| node != 2);
        assert_eq!(dijkstra.reached(2), Some((1000, 3)));
        assert_eq!(dijkstra.reached(1), Some((1000, 0)));
    }
}
