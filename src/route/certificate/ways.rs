//! A network → how far apart its nodes are, for the verifier alone.
//!
//! The shortest ways that made the route are not asked: lengths are rounded and ways are found here once more, by Dijkstra's
//! method with lazy deletion.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::network::{Edge, Network};

/// The length of an edge in whole micrometres, at least one: the unit in which a certificate counts.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "the network was checked")]
pub(super) fn whole_um(edge: &Edge) -> u64 {
    match (edge.length_mm * 1000.0).round() as u64 {
        0 => 1,
        um => um,
    }
}

/// All edges of a network as ways out of its nodes, and room for a search.
pub(super) struct Ways {
    // Invariant: the ways out of node n are `out[from[n]..from[n + 1]]`, each a node and a length.
    from: Vec<usize>,
    out: Vec<(usize, u64)>,
    // Invariant: all `u64::MAX` between searches.
    near: Vec<u64>,
}

impl Ways {
    pub(super) fn of(network: &Network) -> Self {
        let nodes = network.nodes.len();
        let mut from = vec![0; nodes + 1];
        for edge in &network.edges {
            from[edge.from + 1] += 1;
            from[edge.to + 1] += 1;
        }
        for node in 0..nodes {
            from[node + 1] += from[node];
        }
        let (mut next, mut out) = (from.clone(), vec![(0, 0); from[nodes]]);
        for edge in &network.edges {
            for (here, there) in [(edge.from, edge.to), (edge.to, edge.from)] {
                out[next[here]] = (there, whole_um(edge));
                next[here] += 1;
            }
        }
        Self { from, out, near: vec![u64::MAX; nodes] }
    }

    /// Every node within `limit` µm of `source`, with its distance.
    pub(super) fn around(&mut self, source: usize, limit: u64) -> Vec<(usize, u64)> {
        let (mut settled, mut touched) = (Vec::new(), vec![source]);
        let mut open = BinaryHeap::from([Reverse((0, source))]);
        self.near[source] = 0;
        while let Some(Reverse((um, node))) = open.pop() {
            if um > self.near[node] {
                continue;
            }
            settled.push((node, um));
            for (there, length) in &self.out[self.from[node]..self.from[node + 1]] {
                let far = um + length;
                if far <= limit && far < self.near[*there] {
                    self.near[*there] = far;
                    touched.push(*there);
                    open.push(Reverse((far, *there)));
                }
            }
        }
        for node in touched {
            self.near[node] = u64::MAX;
        }
        settled
    }
}
