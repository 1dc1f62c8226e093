//! [`Network`] → [`Route`]: one walk a piece over every drawn line, with the least doubling back.
//!
//! A route knows nothing of step lengths.
//!
//! Sewing each line three times leaves the parity of every junction as it is, so the least that has to be sewn is three
//! times the drawn length and once more a least set of lines that pairs up the odd junctions. [`walk`] finds that set
//! exactly, with each line rounded to whole micrometres, and keeps the proof in the route; [`certificate::verify`] checks it without trusting the
//! search. Where pieces of the drawing only hang together through travel edges, the connectors are chosen first and the
//! rest is exact for that choice; which connectors make the shortest walk is the rural postman problem, which is NP-hard. Which of the shortest walks is taken, its turns and the order of pieces
//! are good choices, not always the best.

pub mod certificate;
mod join;
mod laminar;
mod lay;
pub mod matching;
mod order;
mod outline;
mod pieces;
mod shortest;
pub mod start;
mod trail;
mod turns;
mod union_find;

#[cfg(test)]
mod tests;

use crate::network::Network;
use certificate::Certificate;
use certificate::refusal::Refusal;
use join::{Ground, least_join};
use lay::{lay_piece, put_in_order};
use pieces::Piece;
use start::{Start, start_node};

/// The longest network that is routed, mm of all its edges: ten kilometres, so that sums of micrometres stay exact.
pub const LONGEST_NETWORK_MM: f64 = 1e7;

/// How an edge is sewn on one visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Visit {
    /// The first visit of a drawn edge: every stitch forward, back, forward.
    Triple,
    /// Any later visit of a drawn edge, and every visit of a travel edge: one pass.
    Single,
}

impl Visit {
    /// How many times the edge is sewn.
    #[must_use]
    pub fn passes(self) -> usize {
        match self {
            Self::Triple => 3,
            Self::Single => 1,
        }
    }
}

/// One edge of a walk.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Step {
    /// Index into the network's edges.
    pub edge: usize,
    /// True if walked from the edge's `from` to its `to`.
    pub forward: bool,
    /// How it is sewn.
    pub visit: Visit,
}

/// An unbroken walk over one connected piece.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Walk {
    /// The edges in order; each begins where the last one ended.
    pub steps: Vec<Step>,
}

/// One walk a piece, in sewing order. Jumps = pieces − 1.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Route {
    /// The walks, in sewing order.
    pub pieces: Vec<Walk>,
    /// The proof of each piece, in the same order.
    pub certificates: Vec<Certificate>,
    /// Length of the drawn lines, each counted once, mm.
    pub drawn_mm: f64,
    /// Length of drawn lines that are walked a second time, mm.
    pub doubled_mm: f64,
    /// Length of travel along the edge, mm.
    pub travelled_mm: f64,
    /// The least that `doubled_mm` and `travelled_mm` can sum to with the same connectors and the same start, mm.
    pub least_mm: f64,
    /// How much of `travelled_mm` is there to hold pieces together, mm.
    pub connected_mm: f64,
    /// Length of the moves between pieces, mm.
    pub moved_mm: f64,
    /// What the asked start costs over a free choice, mm.
    pub start_costs_mm: f64,
}

/// What may be asked of a route.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct WalkOptions {
    /// Where to begin. Default: wherever the route is shortest, near the edge of the drawing if there is a choice.
    pub start: Option<Start>,
}

/// The route over every drawn line of a network with the fewest jumps and the least doubling back.
///
/// With [`WalkOptions::start`], the least for that start. An empty network gives an empty route.
///
/// # Errors
/// [`RouteError::Node`], [`RouteError::Edge`], [`RouteError::EdgeLength`], [`RouteError::TooLong`] for networks that are
/// none, [`RouteError::Start`] for a start that is no point, [`RouteError::Apart`] never for a network that passed these.
pub fn walk(network: &Network, options: &WalkOptions) -> Result<Route, RouteError> {
    check_network(network)?;
    if let Some(Start::At(p)) = options.start
        && !p.is_finite()
    {
        return Err(RouteError::Start { x: p.x, y: p.y });
    }
    let mut pieces = pieces::split(network);
    let start = options.start.and_then(|wish| start_node(network, wish));
    if let Some(node) = start {
        let at_node = |p: &Piece| p.drawn.iter().any(|e| ends(network, *e).contains(&node));
        let first = pieces.iter().position(at_node).unwrap_or(0);
        pieces[..=first].rotate_right(1);
    }
    let mut ground = Ground::new(network);
    let mut route = Route::default();
    let mut laid = Vec::new();
    for (i, piece) in pieces.iter().enumerate() {
        let start = start.filter(|_| i == 0);
        let join = least_join(&mut ground, piece, start)?;
        if start.is_some() {
            let free = least_join(&mut ground, piece, None)?;
            route.start_costs_mm =
                length_mm(network, join.edges.iter()) - length_mm(network, free.edges.iter());
        }
        route.drawn_mm += length_mm(network, piece.drawn.iter());
        route.connected_mm += length_mm(network, piece.connectors.iter());
        route.least_mm += length_mm(network, piece.connectors.iter().chain(&join.edges));
        laid.push(lay_piece(&ground, piece, join, start));
    }
    put_in_order(network, laid, start.is_some(), &mut route);
    Ok(route)
}

/// Why a network cannot be routed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RouteError {
    /// A node is not at a point.
    #[error("node {node} lies at no point ({x}, {y}); draw it within the block")]
    Node {
        /** Which node. */
        node: usize,
        /** Its x. */
        x: f64,
        /** Its y. */
        y: f64,
    },
    /// An edge does not lead from a node to a node.
    #[error("edge {edge} leads from node {from} to node {to} of {nodes}; connect it to nodes that exist")]
    Edge {
        /** Which edge. */
        edge: usize,
        /** Its first node. */
        from: usize,
        /** Its last node. */
        to: usize,
        /** How many nodes there are. */
        nodes: usize,
    },
    /// An edge has no length.
    #[error("edge {edge} has a length of {length_mm} mm; give it one from 0 mm up")]
    EdgeLength {
        /** Which edge. */
        edge: usize,
        /** Its length, mm. */
        length_mm: f64,
    },
    /// The network is too long for exact sums.
    #[error("the lines are {total_mm} mm long; route at most {LONGEST_NETWORK_MM} mm at a time")]
    TooLong {
        /** The length of all edges, mm. */
        total_mm: f64,
    },
    /// The start asked for is no point.
    #[error("a walk cannot begin at ({x}, {y}); give a point within the block")]
    Start {
        /** Its x. */
        x: f64,
        /** Its y. */
        y: f64,
    },
    /// A piece turned out not to hang together.
    #[error("the lines around node {node} do not hang together; connect the drawing anew")]
    Apart {
        /** One of its nodes. */
        node: usize,
    },
    /// The route is not what it should be, or not proven to be.
    #[error("the route does not hold: {0}")]
    Unproven(#[from] Refusal),
}

fn check_network(network: &Network) -> Result<(), RouteError> {
    if let Some((node, p)) = network.nodes.iter().enumerate().find(|(_, p)| !p.is_finite()) {
        return Err(RouteError::Node { node, x: p.x, y: p.y });
    }
    let nodes = network.nodes.len();
    for (edge, e) in network.edges.iter().enumerate() {
        if e.from >= nodes || e.to >= nodes {
            return Err(RouteError::Edge { edge, from: e.from, to: e.to, nodes });
        }
        if !(0.0..f64::INFINITY).contains(&e.length_mm) {
            return Err(RouteError::EdgeLength { edge, length_mm: e.length_mm });
        }
    }
    let total_mm: f64 = network.edges.iter().map(|e| e.length_mm).sum();
    if total_mm > LONGEST_NETWORK_MM { Err(RouteError::TooLong { total_mm }) } else { Ok(()) }
}

fn ends(network: &Network, edge: usize) -> [usize; 2] {
    [network.edges[edge].from, network.edges[edge].to]
}

/// The length of edges, mm.
fn length_mm<'a>(network: &Network, edges: impl Iterator<Item = &'a usize>) -> f64 {
    edges.fold(0.0, |sum, e| sum + network.edges[*e].length_mm)
}
