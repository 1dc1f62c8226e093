//! A piece → the lines to walk a second time, the ends of the walk, and the proof that no other choice is shorter.
//!
//! Method: a least-weight T-join of the odd nodes is a perfect matching of least weight under shortest paths (J. Edmonds
//! and E. L. Johnson, "Matching, Euler tours and the Chinese postman", Math. Programming 5, 1973)
//! [210]. A walk has two free ends: two extra vertices that match any odd node at no
//! cost. At first each odd node may only match its nearest ones; then every other pair is priced with the duals, and
//! those that would have paid are let in, until there are none. So the result is exact.
//!
//! Among equally short choices the ends nearest to the outline of the whole drawing are taken: one micrometre counts as
//! [`DUALS_PER_UM`], which leaves room below it for a preference that cannot change the length.

use super::RouteError;
use super::certificate::{Certificate, DUALS_PER_UM};
use super::laminar::LaminarSets;
use super::matching::{Link, Matched, least_perfect};
use super::outline::Outline;
use super::pieces::Piece;
use super::shortest::{Adjacency, Dijkstra};
use crate::network::Network;

/// How many odd nodes each one may match at first. More make every matching slower, fewer make more rounds of pricing.
const NEAREST: usize = 16;
/// The greatest preference of one free end, in units of a dual; even, and two of them stay below [`DUALS_PER_UM`].
const PREFERENCE: i64 = 510;

/// The lines to walk a second time, and the proof.
#[derive(Debug, Clone, PartialEq)]
pub struct Join {
    /// Edges walked once more than they have to be, rising.
    pub edges: Vec<usize>,
    /// Where the walk begins and ends; `None` for a closed walk that may begin anywhere.
    pub ends: Option<(usize, usize)>,
    /// The proof.
    pub certificate: Certificate,
}

/// What all pieces share.
#[derive(Debug)]
pub struct Ground<'a> {
    /// The network.
    pub network: &'a Network,
    /// The adjacency lists of all its edges.
    pub adjacency: Adjacency,
    /// Room for searches.
    pub dijkstra: Dijkstra,
    /// How far inside the drawing a point is, mm.
    pub outline: Outline,
    // Invariant: `usize::MAX` between calls.
    rank: Vec<usize>,
}

impl<'a> Ground<'a> {
    /// Ground without any piece on it.
    pub fn new(network: &'a Network) -> Self {
        Self {
            network,
            adjacency: Adjacency::new(network, |_| true),
            dijkstra: Dijkstra::new(network.nodes.len()),
            outline: Outline::of(network),
            rank: vec![usize::MAX; network.nodes.len()],
        }
    }
}

/// The nodes of odd degree among `edges`, with `start` added or, if it is there already, taken out; rising.
pub fn odd_nodes(network: &Network, edges: impl Iterator<Item = usize>, start: Option<usize>) -> Vec<usize> {
    let ends = edges.flat_map(|i| [network.edges[i].from, network.edges[i].to]);
    odd_ones(ends.chain(start).collect())
}

/// The least join for a piece; its walk begins at `start` if one is given.
///
/// # Errors
/// [`RouteError::Apart`] if the piece does not hang together.
pub fn least_join(ground: &mut Ground, piece: &Piece, start: Option<usize>) -> Result<Join, RouteError> {
    let nodes = odd_nodes(ground.network, piece.required(), start);
    let free_ends = if nodes.is_empty() { 0 } else { 2 - usize::from(start.is_some()) };
    for (i, &n) in nodes.iter().enumerate() {
        ground.rank[n] = i;
    }
    let found = match_odd(ground, &nodes, free_ends).map(|m| (shortest_paths(ground, &nodes, &m), m));
    for &n in &nodes {
        ground.rank[n] = usize::MAX;
    }
    let (edges, matched) = found?;
    let ends = ends_of(&nodes, &matched, start);
    let Matched { mut duals, sets, .. } = matched;
    // Without the preference a free end costs nothing at all: lower its dual by as much.
    for dual in duals.iter_mut().skip(nodes.len()) {
        *dual -= PREFERENCE;
    }
    let certificate =
        Certificate { connectors: piece.connectors.clone(), start, nodes, free_ends, duals, sets };
    Ok(Join { edges, ends, certificate })
}

fn ends_of(nodes: &[usize], matched: &Matched, start: Option<usize>) -> Option<(usize, usize)> {
    let end = |vertex: usize| matched.partner.get(vertex).and_then(|p| nodes.get(*p)).copied();
    match start {
        Some(start) => end(nodes.len()).map(|e| (start, e)).filter(|(s, e)| s != e),
        None => end(nodes.len()).zip(end(nodes.len() + 1)),
    }
}

/// Matches odd nodes (and the free ends, numbered after them) for good.
fn match_odd(ground: &mut Ground, nodes: &[usize], free_ends: usize) -> Result<Matched, RouteError> {
    let count = nodes.len();
    let mut links = Vec::new();
    for i in 0..count {
        near_links(ground, nodes, i, &mut links);
    }
    let free = free_links(ground, nodes, free_ends);
    let mut chained = false;
    loop {
        links.sort_unstable();
        links.dedup();
        let start = first_duals(&links, count, free_ends);
        let all: Vec<Link> = links.iter().chain(&free).copied().collect();
        match least_perfect(&all, &start) {
            Ok(matched) => {
                let paying = paying_links(ground, nodes, &matched);
                if paying.is_empty() {
                    return Ok(matched);
                }
                links.extend(paying);
            }
            // With the chain of all odd nodes among the links there always is a matching.
            Err(_) if !chained => {
                chain_links(ground, nodes, &mut links);
                chained = true;
            }
            Err(_) => return Err(RouteError::Apart { node: nodes.first().copied().unwrap_or(0) }),
        }
    }
}

/// Links from odd node `i` to the nearest others.
fn near_links(ground: &mut Ground, nodes: &[usize], i: usize, links: &mut Vec<Link>) {
    let (rank, mut left) = (&ground.rank, NEAREST);
    ground.dijkstra.search(&ground.adjacency, &[nodes[i]], u64::MAX, |node, distance| {
        let j = rank[node];
        if j != usize::MAX && j != i {
            links.push(link(i, j, distance));
            left -= 1;
        }
        left > 0
    });
}

/// Links from each odd node to the next along a walk through the whole piece, which is mostly near.
fn chain_links(ground: &mut Ground, nodes: &[usize], links: &mut Vec<Link>) {
    let Some(&first) = nodes.first() else { return };
    let mut odd = ground.adjacency.depth_first(first);
    odd.retain(|n| ground.rank[*n] != usize::MAX);
    for w in odd.windows(2) {
        ground.dijkstra.search(&ground.adjacency, &[w[0]], u64::MAX, |node, _| node != w[1]);
        if let Some((distance, _)) = ground.dijkstra.reached(w[1]) {
            links.push(link(ground.rank[w[0]], ground.rank[w[1]], distance));
        }
    }
}

#[expect(clippy::cast_possible_wrap, reason = "the whole network is shorter than LONGEST_NETWORK_MM")]
fn link(i: usize, j: usize, distance: u64) -> Link {
    Link { a: i.min(j), b: i.max(j), weight: distance as i64 * DUALS_PER_UM }
}

/// Links of the free ends: to every odd node, cheapest near the outline, and to each other.
fn free_links(ground: &Ground, nodes: &[usize], free_ends: usize) -> Vec<Link> {
    let depths: Vec<f64> = nodes.iter().map(|n| ground.outline.depth(ground.network.nodes[*n])).collect();
    let deepest = depths.iter().copied().fold(f64::MIN_POSITIVE, f64::max);
    let mut links = Vec::new();
    for end in nodes.len()..nodes.len() + free_ends {
        for (i, depth) in depths.iter().enumerate() {
            #[expect(clippy::cast_possible_truncation, reason = "between 0 and PREFERENCE")]
            let preference = (depth / deepest * (PREFERENCE / 2) as f64) as i64 * 2;
            links.push(Link { a: i, b: end, weight: preference });
        }
        links.extend((nodes.len()..end).map(|other| Link { a: other, b: end, weight: 0 }));
    }
    links
}

/// Half the way to the nearest other for odd nodes; for free ends as little as that asks.
fn first_duals(links: &[Link], count: usize, free_ends: usize) -> Vec<i64> {
    let mut start = vec![i64::MAX; count];
    for l in links {
        start[l.a] = start[l.a].min(l.weight / 2);
        start[l.b] = start[l.b].min(l.weight / 2);
    }
    let mut most = 0;
    for s in &mut start {
        *s = if *s == i64::MAX { 0 } else { *s };
        most = most.max(*s);
    }
    start.extend(vec![-most; free_ends]);
    start
}

/// The pairs of odd nodes that are nearer to each other than their duals allow.
///
/// The duals around two nodes can only exceed their distance if twice the larger sum does, so each search is short.
fn paying_links(ground: &mut Ground, nodes: &[usize], matched: &Matched) -> Vec<Link> {
    let Ok(sets) = LaminarSets::new(matched.duals.len(), &matched.sets) else { return Vec::new() };
    let reach: Vec<i128> =
        matched.duals.iter().enumerate().map(|(v, d)| i128::from(*d) + sets.around(v)).collect();
    let rank = &ground.rank;
    let mut paying = Vec::new();
    for (i, &node) in nodes.iter().enumerate() {
        let Ok(limit) = u64::try_from(2 * reach[i] / i128::from(DUALS_PER_UM)) else { continue };
        ground.dijkstra.search(&ground.adjacency, &[node], limit, |other, distance| {
            let j = rank[other];
            if j != usize::MAX && j != i && reach[j] <= reach[i] {
                let l = link(i, j, distance);
                if reach[i] + reach[j] - 2 * sets.around_both(i, j) > i128::from(l.weight) {
                    paying.push(l);
                }
            }
            true
        });
    }
    paying
}

/// The edges on the shortest paths between matched nodes; what two paths share cancels out.
fn shortest_paths(ground: &mut Ground, nodes: &[usize], matched: &Matched) -> Vec<usize> {
    let mut edges = Vec::new();
    for (i, &j) in matched.partner.iter().enumerate().take(nodes.len()) {
        if i < j && j < nodes.len() {
            ground.dijkstra.search(&ground.adjacency, &[nodes[i]], u64::MAX, |node, _| node != nodes[j]);
            edges.extend(ground.dijkstra.path_from(nodes[j]));
        }
    }
    odd_ones(edges)
}

/// The values that occur an odd number of times, rising.
fn odd_ones(mut values: Vec<usize>) -> Vec<usize> {
    values.sort_unstable();
    let mut odd: Vec<usize> = Vec::new();
    for v in values {
        if odd.last() == Some(&v) {
            odd.pop();
        } else {
            odd.push(v);
        }
    }
    odd
}
