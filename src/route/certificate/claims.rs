//! A network and a route → whether the steps and what the certificate speaks of are so.

use super::ways::whole_um;
use super::{Certificate, Refusal};
use crate::network::{Edge, EdgeKind, Network};
use crate::route::{Route, Visit, Walk};

/// Every edge leads from a node to a node and has a length.
pub(super) fn check_edges(network: &Network) -> Result<(), Refusal> {
    let nodes = 0..network.nodes.len();
    let sound = |e: &Edge| {
        nodes.contains(&e.from) && nodes.contains(&e.to) && (0.0..f64::INFINITY).contains(&e.length_mm)
    };
    network.edges.iter().position(|e| !sound(e)).map_or(Ok(()), |edge| Err(Refusal::Network { edge }))
}

/// A number for each node, the same for nodes that hang together by the edges that `open` lets through.
pub(super) fn parts(network: &Network, open: impl Fn(&Edge) -> bool) -> Vec<usize> {
    let mut around = vec![Vec::new(); network.nodes.len()];
    for edge in network.edges.iter().filter(|e| open(e)) {
        around[edge.from].push(edge.to);
        around[edge.to].push(edge.from);
    }
    let mut part = vec![usize::MAX; around.len()];
    for first in 0..around.len() {
        let mut open = vec![first];
        while let Some(node) = open.pop() {
            if part[node] == usize::MAX {
                part[node] = first;
                open.extend(&around[node]);
            }
        }
    }
    part
}

/// Each step follows on; the first visit of a drawn edge is triple, all others single; no drawn edge is left out.
pub(super) fn check_steps(network: &Network, route: &Route) -> Result<(), Refusal> {
    let mut walked = vec![false; network.edges.len()];
    for (piece, walk) in route.pieces.iter().enumerate() {
        let mut at = None;
        for (step, s) in walk.steps.iter().enumerate() {
            let edge = network.edges.get(s.edge).ok_or(Refusal::Broken { piece, step })?;
            let (from, to) = if s.forward { (edge.from, edge.to) } else { (edge.to, edge.from) };
            if at.is_some_and(|n| n != from) {
                return Err(Refusal::Broken { piece, step });
            }
            at = Some(to);
            let first = edge.kind == EdgeKind::Drawn && !walked[s.edge];
            if (s.visit == Visit::Triple) != first {
                return Err(Refusal::WrongVisit { piece, step });
            }
            walked[s.edge] = true;
        }
    }
    let left_out = (0..walked.len()).find(|e| !walked[*e] && network.edges[*e].kind == EdgeKind::Drawn);
    left_out.map_or(Ok(()), |edge| Err(Refusal::LeftOut { edge }))
}

/// The number of connected parts with at least one drawn edge, over drawn and travel edges.
pub(super) fn fewest_pieces(network: &Network) -> usize {
    let part = parts(network, |_| true);
    let drawn = network.edges.iter().filter(|e| e.kind == EdgeKind::Drawn);
    let mut parts: Vec<usize> = drawn.map(|e| part[e.from]).collect();
    parts.sort_unstable();
    parts.dedup();
    parts.len()
}

/// The certificate speaks of this walk; what the walk has beyond what it must have, µm, or what does not fit.
///
/// `part` numbers the nodes by what hangs together by drawn edges alone.
pub(super) fn check_claims(
    network: &Network,
    part: &[usize],
    walk: &Walk,
    certificate: &Certificate,
) -> Result<u64, &'static str> {
    let mut steps: Vec<usize> = walk.steps.iter().map(|s| s.edge).collect();
    steps.sort_unstable();
    let mut drawn = steps.clone();
    drawn.retain(|e| network.edges[*e].kind == EdgeKind::Drawn);
    drawn.dedup();
    let connectors = &certificate.connectors;
    let rising = connectors.windows(2).all(|w| w[0] < w[1]);
    let used = |e: &usize| steps.binary_search(e).is_ok() && drawn.binary_search(e).is_err();
    let mut parts = drawn.iter().map(|e| part[network.edges[*e].from]);
    let whole = parts.next().is_none_or(|first| parts.all(|p| p == first));
    if !rising || !connectors.iter().all(used) || whole != connectors.is_empty() {
        return Err("connectors");
    }
    let required: Vec<&Edge> = drawn.iter().chain(connectors).map(|e| &network.edges[*e]).collect();
    check_odd_nodes(network, walk, &required, certificate)?;
    let walked: u64 = steps.iter().map(|e| whole_um(&network.edges[*e])).sum();
    Ok(walked - required.iter().map(|e| whole_um(e)).sum::<u64>())
}

/// The certificate's start is the walk's, and its nodes are the odd ones of what has to be walked.
fn check_odd_nodes(
    network: &Network,
    walk: &Walk,
    required: &[&Edge],
    certificate: &Certificate,
) -> Result<(), &'static str> {
    let first = walk.steps.first().ok_or("start")?;
    let edge = &network.edges[first.edge];
    let begins = if first.forward { edge.from } else { edge.to };
    if certificate.start.is_some_and(|start| start != begins) {
        return Err("start");
    }
    let mut ends: Vec<usize> =
        required.iter().flat_map(|e| [e.from, e.to]).chain(certificate.start).collect();
    ends.sort_unstable();
    let odd = ends.chunk_by(|a, b| a == b).filter(|same| same.len() % 2 == 1).map(|same| same[0]);
    if !odd.eq(certificate.nodes.iter().copied()) {
        return Err("odd nodes");
    }
    let free = if certificate.nodes.is_empty() { 0 } else { 2 - usize::from(certificate.start.is_some()) };
    if certificate.free_ends != free || certificate.duals.len() != certificate.nodes.len() + free {
        return Err("number of free ends or duals");
    }
    Ok(())
}
