//! [`Network`] → its connected pieces, joined by travel edges where that makes fewer of them.
//!
//! Pieces that only touch through travel are connected by the shortest set of connectors between pairs of pieces (a
//! spanning tree; J. B. Kruskal, "On the shortest spanning subtree of a graph", Proc. Amer. Math. Soc. 7, 1956)
//! [214]. Limits: which connectors make the shortest walk is the rural
//! postman problem, which is NP-hard; this is one good choice, not always the best.

use super::shortest::{Adjacency, Dijkstra, micrometres};
use super::union_find::UnionFind;
use crate::network::{EdgeKind, Network};

/// What one walk has to cover.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// Drawn edges, rising.
    pub drawn: Vec<usize>,
    /// Travel edges that hold the piece together, rising.
    pub connectors: Vec<usize>,
}

impl Piece {
    /// Everything that has to be walked at least once.
    pub fn required(&self) -> impl Iterator<Item = usize> + '_ {
        self.drawn.iter().chain(&self.connectors).copied()
    }
}

/// The pieces of a network, by the lowest of their drawn edges. Travel edges that connect nothing are left out.
pub fn split(network: &Network) -> Vec<Piece> {
    let mut groups = UnionFind::new(network.nodes.len());
    for edge in network.edges.iter().filter(|e| e.kind == EdgeKind::Drawn) {
        groups.union(edge.from, edge.to);
    }
    let connectors = connect(network, &mut groups);
    let mut place = vec![usize::MAX; network.nodes.len()];
    let mut pieces: Vec<Piece> = Vec::new();
    for (i, edge) in network.edges.iter().enumerate().filter(|(_, e)| e.kind == EdgeKind::Drawn) {
        let group = groups.find(edge.from);
        if place[group] == usize::MAX {
            place[group] = pieces.len();
            pieces.push(Piece { drawn: Vec::new(), connectors: Vec::new() });
        }
        pieces[place[group]].drawn.push(i);
    }
    for i in connectors {
        pieces[place[groups.find(network.edges[i].from)]].connectors.push(i);
    }
    pieces
}

/// Joins groups along travel edges, the shortest connector first; the travel edges used, rising.
fn connect(network: &Network, groups: &mut UnionFind) -> Vec<usize> {
    let drawn = network.edges.iter().filter(|e| e.kind == EdgeKind::Drawn);
    let mut on_lines: Vec<usize> = drawn.flat_map(|e| [e.from, e.to]).collect();
    on_lines.sort_unstable();
    on_lines.dedup();
    let Some(&first) = on_lines.first() else { return Vec::new() };
    let whole = groups.find(first);
    if on_lines.iter().all(|n| groups.find(*n) == whole) {
        return Vec::new();
    }
    let adjacency = Adjacency::new(network, |e| e.kind == EdgeKind::Travel);
    let mut dijkstra = Dijkstra::new(network.nodes.len());
    dijkstra.search(&adjacency, &on_lines, u64::MAX, |_, _| true);
    let mut bridges = Vec::new();
    for (i, edge) in network.edges.iter().enumerate().filter(|(_, e)| e.kind == EdgeKind::Travel) {
        if let (Some((a, _)), Some((b, _))) = (dijkstra.reached(edge.from), dijkstra.reached(edge.to)) {
            bridges.push((a + b + micrometres(edge), i));
        }
    }
    bridges.sort_unstable();
    let mut used = Vec::new();
    for (_, i) in bridges {
        let ends = [network.edges[i].from, network.edges[i].to];
        let [a, b] = ends.map(|n| dijkstra.reached(n).map_or(n, |(_, source)| source));
        if groups.union(a, b) {
            used.push(i);
            used.extend(ends.iter().flat_map(|n| dijkstra.path_from(*n)));
        }
    }
    used.sort_unstable();
    used.dedup();
    for &i in &used {
        groups.union(network.edges[i].from, network.edges[i].to);
    }
    used
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::network::Edge;
    use kurbo::Point;

    #[test]
    fn the_shortest_connectors_are_taken_and_no_more() {
        // Three short lines in a row of six nodes, with short and long ways between them and a spare end.
        let nodes: Vec<Point> = (0..8).map(|i| Point::new(f64::from(i), 0.0)).collect();
        let edge = |(from, to, length_mm, kind): (usize, usize, f64, EdgeKind)| Edge {
            from,
            to,
            chain: vec![nodes[from], nodes[to]],
            corners: vec![],
            length_mm,
            kind,
        };
        let (d, t) = (EdgeKind::Drawn, EdgeKind::Travel);
        let edges = [
            (0, 1, 1.0, d),
            (2, 3, 1.0, d),
            (4, 5, 1.0, d),
            (1, 2, 3.0, t),
            (1, 6, 1.0, t),
            (6, 2, 1.5, t),
            (3, 4, 2.0, t),
            (0, 5, 2.5, t),
            (5, 7, 1.0, t),
        ];
        let network = Network { edges: edges.into_iter().map(edge).collect(), nodes: nodes.clone() };
        let pieces = split(&network);
        assert_eq!(pieces.len(), 1);
        assert_eq!(
            (pieces[0].drawn.as_slice(), pieces[0].connectors.as_slice()),
            (&[0, 1, 2][..], &[4, 5, 6][..])
        );
    }
}
