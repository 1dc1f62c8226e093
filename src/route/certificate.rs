//! A [`Network`] and a [`Route`] → whether every line is walked as it should be, and whether nothing shorter exists.
//!
//! Nothing that made the route is trusted or called: steps, pieces, odd nodes and distances are all worked out anew.
//!
//! The proof, for one piece: let `T` be the nodes with an odd number of line ends. However a walk over the piece is laid,
//! what it walks more than once joins all of `T` but its two ends in pairs. The certificate gives each node of `T`, two
//! free ends, and some odd sets of these a dual. No pair is further apart than the duals allow it to be: those of the two,
//! and of all sets that part them, sum to at most the shortest way between them (0 for a free end). Each odd set sends at
//! least one of its members out. So the sum of all duals is a length that no choice can beat; if the route is as short,
//! it is one of the shortest. (Weak duality of J. Edmonds' matching polytope, see [`super::matching`].)

use super::groups::Groups;
use super::matching::OddSet;
use super::nest::Nest;
use super::shortest::{Finder, Roads, micrometres};
use super::{Route, Visit, Walk, check_network};
use crate::network::{Edge, EdgeKind, Network};

/// Duals are counted in fractions of a micrometre; an even number, so that halves are whole.
pub const DUALS_PER_UM: i64 = 2048;

/// The proof that a piece is walked with the least doubling back.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Certificate {
    /// Travel edges that hold the piece together and have to be walked for that, rising; without any the proof holds for
    /// all walks, with some for all walks that use them.
    pub connectors: Vec<usize>,
    /// The node at which the walk was asked to begin.
    pub start: Option<usize>,
    /// The odd nodes, rising.
    pub nodes: Vec<usize>,
    /// How many ends of the walk were free to choose: 2, 1 if it had to begin at a node, 0 if every node is even.
    pub free_ends: usize,
    /// The dual of each odd node and then of each free end, in fractions of a micrometre: [`DUALS_PER_UM`].
    pub duals: Vec<i64>,
    /// Odd sets of indices into `duals`, each with a dual above 0 and after the set around it.
    pub sets: Vec<OddSet>,
}

/// What was found right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Proof {
    /// No route over the same connectors walks less than this more than once, µm.
    pub bound_um: u64,
    /// What the route walks more than once, or along the edge without need, µm.
    pub value_um: u64,
    /// The difference: always 0 in a route that was found right.
    pub gap_um: u64,
}

/// What is wrong with a route or its proof.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// The network itself is not sound.
    #[error("{what}")]
    Network {
        /** What is wrong with it and what to do. */
        what: String,
    },
    /// A step names no edge, or not one that the last step leads to.
    #[error("step {step} of piece {piece} does not follow on from the one before; make the route anew")]
    Broken {
        /** Which piece. */
        piece: usize,
        /** Which of its steps. */
        step: usize,
    },
    /// A step is sewn the wrong number of times.
    #[error("step {step} of piece {piece} is sewn in the wrong way for its visit; make the route anew")]
    WrongVisit {
        /** Which piece. */
        piece: usize,
        /** Which of its steps. */
        step: usize,
    },
    /// A drawn edge is never walked.
    #[error("drawn edge {edge} is never walked; make the route anew")]
    LeftOut {
        /** Which edge of the network. */
        edge: usize,
    },
    /// The route has more pieces than the network, or not one certificate a piece.
    #[error("the route has {found} pieces where {least} would do; make the route anew")]
    Pieces {
        /** Pieces (or certificates) of the route. */
        found: usize,
        /** The fewest there can be. */
        least: usize,
    },
    /// The certificate of a piece speaks of other connectors, odd nodes or ends than the piece has.
    #[error("the certificate of piece {piece} has the wrong {what}; make the route anew")]
    Mismatch {
        /** Which piece. */
        piece: usize,
        /** What is wrong. */
        what: &'static str,
    },
    /// Two nodes are nearer to each other than their duals allow.
    #[error("in piece {piece} odd nodes {a} and {b} are nearer than their duals allow; make the route anew")]
    Dual {
        /** Which piece. */
        piece: usize,
        /** One odd node or free end, as an index into the duals. */
        a: usize,
        /** The other. */
        b: usize,
    },
    /// An odd set is even, has no dual, or is not nested as it should be.
    #[error("in piece {piece} odd set {set} is none; make the route anew")]
    OddSet {
        /** Which piece. */
        piece: usize,
        /** Which set. */
        set: usize,
    },
    /// The proven bound is not reached.
    #[error(
        "piece {piece} doubles back {value_um} µm where only {bound_um} µm are proven; make the route anew"
    )]
    Gap {
        /** Which piece. */
        piece: usize,
        /** What the route walks more than once, µm. */
        value_um: u64,
        /** What is proven, µm. */
        bound_um: u64,
    },
}

/// Checks a route over a network, and that no other walks less.
///
/// # Errors
/// A [`Refusal`] that names the first thing found wrong.
pub fn verify(network: &Network, route: &Route) -> Result<Proof, Refusal> {
    check_network(network).map_err(|e| Refusal::Network { what: e.to_string() })?;
    check_steps(network, route)?;
    let least = fewest_pieces(network);
    for found in [route.pieces.len(), route.certificates.len()] {
        if found != least {
            return Err(Refusal::Pieces { found, least });
        }
    }
    let roads = Roads::new(network, |_| true);
    let mut finder = Finder::new(network.nodes.len());
    let mut together = Groups::new(network.nodes.len());
    for edge in network.edges.iter().filter(|e| e.kind == EdgeKind::Drawn) {
        together.join(edge.from, edge.to);
    }
    let mut proof = Proof { bound_um: 0, value_um: 0, gap_um: 0 };
    for (piece, (walk, certificate)) in route.pieces.iter().zip(&route.certificates).enumerate() {
        let extra = check_claims(network, &mut together, walk, certificate)
            .map_err(|what| Refusal::Mismatch { piece, what })?;
        check_duals(&roads, &mut finder, certificate).map_err(|flaw| match flaw {
            Flaw::Pair(a, b) => Refusal::Dual { piece, a, b },
            Flaw::Set(set) => Refusal::OddSet { piece, set },
        })?;
        let bound = bound_um(certificate);
        if bound != i128::from(extra) {
            let bound_um = u64::try_from(bound).unwrap_or(0);
            return Err(Refusal::Gap { piece, value_um: extra, bound_um });
        }
        proof.bound_um += extra;
        proof.value_um += extra;
    }
    Ok(proof)
}

/// Each step follows on; the first visit of a drawn edge is triple, all others single; no drawn edge is left out.
fn check_steps(network: &Network, route: &Route) -> Result<(), Refusal> {
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
fn fewest_pieces(network: &Network) -> usize {
    let mut groups = Groups::new(network.nodes.len());
    for edge in &network.edges {
        groups.join(edge.from, edge.to);
    }
    let drawn = network.edges.iter().filter(|e| e.kind == EdgeKind::Drawn);
    let mut parts: Vec<usize> = drawn.map(|e| groups.of(e.from)).collect();
    parts.sort_unstable();
    parts.dedup();
    parts.len()
}

/// The certificate speaks of this walk; what the walk has beyond what it must have, µm, or what does not fit.
///
/// `together` are the nodes that hang together by drawn edges alone.
fn check_claims(
    network: &Network,
    together: &mut Groups,
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
    let mut groups = drawn.iter().map(|e| together.of(network.edges[*e].from));
    let whole = groups.next().is_none_or(|first| groups.all(|g| g == first));
    if !rising || !connectors.iter().all(used) || whole != connectors.is_empty() {
        return Err("connectors");
    }
    let required: Vec<&Edge> = drawn.iter().chain(connectors).map(|e| &network.edges[*e]).collect();
    check_odd_nodes(network, walk, &required, certificate)?;
    let walked: u64 = steps.iter().map(|e| micrometres(&network.edges[*e])).sum();
    Ok(walked - required.iter().map(|e| micrometres(e)).sum::<u64>())
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

/// What is wrong with duals.
enum Flaw {
    Pair(usize, usize),
    Set(usize),
}

/// No two are nearer to each other than the duals allow, and every set is odd and nested as it should be.
fn check_duals(roads: &Roads, finder: &mut Finder, certificate: &Certificate) -> Result<(), Flaw> {
    let count = certificate.duals.len();
    let nest = Nest::new(count, &certificate.sets).map_err(Flaw::Set)?;
    let reach: Vec<i128> =
        certificate.duals.iter().enumerate().map(|(v, d)| i128::from(*d) + nest.around(v)).collect();
    // Duals of sets that hold both do not count for a pair.
    let asked = |a: usize, b: usize| reach[a] + reach[b] - 2 * nest.around_both(a, b);
    for end in certificate.nodes.len()..count {
        if let Some(other) = (0..end).find(|other| asked(*other, end) > 0) {
            return Err(Flaw::Pair(other, end));
        }
    }
    for (a, &node) in certificate.nodes.iter().enumerate() {
        // A pair asks for at most the sum of both reaches, so the one that reaches further finds it within twice that.
        let Ok(limit) = u64::try_from(2 * reach[a] / i128::from(DUALS_PER_UM)) else { continue };
        let mut wrong = None;
        finder.spread(roads, &[node], limit, |other, distance| {
            let found = certificate.nodes.binary_search(&other).ok().filter(|b| *b != a);
            let near = |b: &usize| asked(a, *b) > i128::from(distance) * i128::from(DUALS_PER_UM);
            wrong = found.filter(near);
            wrong.is_none()
        });
        wrong.map_or(Ok(()), |b| Err(Flaw::Pair(a, b)))?;
    }
    Ok(())
}

/// The sum of all duals, rounded up to whole micrometres: every length is one.
fn bound_um(certificate: &Certificate) -> i128 {
    let own: i128 = certificate.duals.iter().map(|d| i128::from(*d)).sum();
    let sets: i128 = certificate.sets.iter().map(|s| i128::from(s.dual)).sum();
    let per = i128::from(DUALS_PER_UM);
    (own + sets + per - 1).div_euclid(per)
}
