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

#[cfg(test)]
mod tests {
    use super::certificate::verify;
    use super::shortest::{UM_PER_MM, micrometres};
    use super::trail::Arc;
    use super::*;
    use crate::block::side::Side;
    use crate::network::{Edge, EdgeKind};
    use kurbo::Point;
    use oorandom::Rand64;

    /// Nodes as `x y`, edges as `from-to`, drawn unless they begin with `~`.
    fn network(nodes: &str, edges: &str) -> Network {
        let numbers: Vec<f64> = nodes.split_whitespace().map(|n| n.parse().unwrap()).collect();
        let nodes: Vec<Point> = numbers.chunks(2).map(|n| Point::new(n[0], n[1])).collect();
        let edge = |text: &str| {
            let (from, to) = text.trim_start_matches('~').split_once('-').unwrap();
            let (from, to): (usize, usize) = (from.parse().unwrap(), to.parse().unwrap());
            let kind = if text.starts_with('~') { EdgeKind::Travel } else { EdgeKind::Drawn };
            let chain = vec![nodes[from], nodes[to]];
            Edge { from, to, chain, corners: vec![], length_mm: nodes[from].distance(nodes[to]), kind }
        };
        Network { edges: edges.split_whitespace().map(edge).collect(), nodes }
    }

    /// The nodes of each walk in order; a single pass is written `~`, a triple one `=`.
    fn walked(network: &Network, options: &WalkOptions) -> String {
        let route = walk(network, options).unwrap();
        verify(network, &route).unwrap();
        let mut text = String::new();
        for walk in &route.pieces {
            let arc = |s: &Step| Arc { edge: s.edge, forward: s.forward };
            text += &walk.steps.first().map_or(String::new(), |s| arc(s).ends(network).0.to_string());
            for s in &walk.steps {
                text += if s.visit == Visit::Triple { "=" } else { "~" };
                text += &arc(s).ends(network).1.to_string();
            }
            text += " ";
        }
        text.trim_end().to_owned()
    }

    #[test]
    fn an_empty_network_gives_an_empty_route() {
        assert_eq!(walk(&Network::default(), &WalkOptions::default()), Ok(Route::default()));
        let only_travel = network("0 0 1 0", "~0-1");
        assert_eq!(walked(&only_travel, &WalkOptions::default()), "");
    }

    #[test]
    fn a_cross_is_walked_once_and_back_along_two_arms() {
        let cross = network("0 0 3 0 0 3 -1 0 0 -1", "0-1 0-2 0-3 0-4");
        let route = walk(&cross, &WalkOptions::default()).unwrap();
        assert_eq!((route.drawn_mm, route.doubled_mm, route.least_mm), (8.0, 2.0, 2.0));
        assert_eq!(walked(&cross, &WalkOptions::default()), "1=0=3~0=4~0=2");
    }

    #[test]
    fn travel_is_taken_where_it_is_shorter() {
        let comb = network("0 0 0 9 2 0 2 9 4 0 4 9", "0-1 2-3 4-5 1-3 3-5 ~0-2 ~2-4");
        let route = walk(&comb, &WalkOptions::default()).unwrap();
        assert_eq!((route.doubled_mm, route.travelled_mm, route.least_mm), (0.0, 2.0, 2.0));
    }

    #[test]
    fn pieces_are_joined_along_travel_and_the_rest_are_ordered() {
        let network = network("0 0 5 0 9 0 14 0 90 0 95 0 30 0 35 0", "0-1 2-3 4-5 6-7 ~1-2 ~3-1");
        assert_eq!(walked(&network, &WalkOptions::default()), "0=1~2=3 6=7 4=5");
        let route = walk(&network, &WalkOptions::default()).unwrap();
        assert_eq!((route.travelled_mm, route.connected_mm, route.moved_mm), (4.0, 4.0, 71.0));
    }

    #[test]
    fn an_asked_start_is_kept_and_its_cost_told() {
        let line = network("0 0 5 0 9 0", "0-1 1-2");
        let start = Some(Start::At(Point::new(5.0, 1.0)));
        assert_eq!(walked(&line, &WalkOptions { start }), "1=2~1=0");
        assert_eq!(walk(&line, &WalkOptions { start }).unwrap().start_costs_mm, 4.0);
        let start = Some(Start::Side(Side::Right));
        assert_eq!(walked(&line, &WalkOptions { start }), "2=1=0");
    }

    #[test]
    fn a_star_of_equal_rays_is_routed() {
        // Every ray is equally near to all others, so that the nearest ones are the same for all of them.
        let points: String =
            (0..100).map(|i| format!("{} {} ", f64::from(i).cos(), f64::from(i).sin())).collect();
        let rays: String = (1..=100).map(|i| format!("0-{i} ")).collect();
        let star = network(&format!("0 0 {points}"), &rays);
        let route = walk(&star, &WalkOptions::default()).unwrap();
        assert!((route.doubled_mm - 98.0).abs() < 1e-6, "{}", route.doubled_mm);
        assert_eq!(verify(&star, &route).unwrap().bound_um(), 98_000);
    }

    #[test]
    fn a_walk_begins_outermost_but_not_where_very_many_lines_meet() {
        let two = network("0 0 -2 1 -1 2 1 2 2 1", "0-1 1-2 2-0 0-3 3-4 4-0");
        assert!(walked(&two, &WalkOptions::default()).starts_with("0="));
        let four = network(
            "0 0 -5 1 -4 2 -3 3 -2 4 2 4 3 3 4 2 5 1",
            "0-1 1-2 2-0 0-3 3-4 4-0 0-5 5-6 6-0 0-7 7-8 8-0",
        );
        let walk = walked(&four, &WalkOptions::default());
        assert!(!walk.starts_with("0=") && walk.matches("0=").count() == 4, "{walk}");
    }

    #[test]
    fn closed_loops_and_parallel_lines_are_walked() {
        let network = network("0 0 5 0", "0-0 0-1 1-0 1-1");
        let route = walk(&network, &WalkOptions::default()).unwrap();
        assert_eq!((route.pieces.len(), route.doubled_mm), (1, 0.0));
        verify(&network, &route).unwrap();
    }

    #[test]
    fn what_is_no_network_is_refused() {
        let mut network = network("0 0 5 0", "0-1");
        network.edges[0].to = 7;
        let words = walk(&network, &WalkOptions::default()).unwrap_err().to_string();
        assert_eq!(words, "edge 0 leads from node 0 to node 7 of 2; connect it to nodes that exist");
        network.edges[0].to = 1;
        for length_mm in [f64::NAN, -1.0, f64::INFINITY] {
            network.edges[0].length_mm = length_mm;
            let error = walk(&network, &WalkOptions::default());
            assert!(matches!(error, Err(RouteError::EdgeLength { edge: 0, .. })), "{error:?}");
        }
        network.edges[0].length_mm = 2e7;
        assert_eq!(walk(&network, &WalkOptions::default()), Err(RouteError::TooLong { total_mm: 2e7 }));
    }

    fn random(dice: &mut Rand64, nodes: u64, edges: u64, travel: u64) -> Network {
        let point = |_| Point::new(dice.rand_range(0..9) as f64, dice.rand_range(0..9) as f64);
        let nodes_at: Vec<Point> = (0..nodes).map(point).collect();
        let mut all = Vec::new();
        for i in 0..edges + travel {
            let (from, to) = (dice.rand_range(0..nodes) as usize, dice.rand_range(0..nodes) as usize);
            let kind = if i < edges { EdgeKind::Drawn } else { EdgeKind::Travel };
            let length_mm = dice.rand_range(0..12) as f64;
            let chain = vec![nodes_at[from], nodes_at[to]];
            all.push(Edge { from, to, chain, corners: vec![], length_mm, kind });
        }
        Network { nodes: nodes_at, edges: all }
    }

    /// The least extra length over all choices of extra edges, µm, with `required` walked once.
    fn brute(network: &Network, required: &[usize], start: Option<usize>) -> u64 {
        let mut least = u64::MAX;
        for extra in 0..1u32 << network.edges.len() {
            let chosen = (0..network.edges.len()).filter(|e| extra >> e & 1 == 1);
            let length = chosen.clone().map(|e| micrometres(&network.edges[e])).sum();
            let odd = join::odd_nodes(network, required.iter().copied().chain(chosen), None);
            let ends_fit = odd.is_empty() || odd.len() == 2 && start.is_none_or(|s| odd.contains(&s));
            // Extra edges far away from the piece may hang loose here, but then leaving them out is shorter still.
            if ends_fit && length < least {
                least = length;
            }
        }
        least
    }

    #[test]
    fn small_networks_agree_with_trying_everything() {
        let mut dice = Rand64::new(5);
        let (mut whole, mut asked) = (0, 0);
        for _ in 0..3000 {
            let (nodes, edges, travel) =
                (dice.rand_range(1..7), dice.rand_range(1..8), dice.rand_range(0..4));
            let network = random(&mut dice, nodes, edges, travel);
            let start = Some(Start::At(network.nodes[0])).filter(|_| dice.rand_range(0..2) == 0);
            let route = walk(&network, &WalkOptions { start }).unwrap();
            verify(&network, &route).unwrap_or_else(|e| panic!("{e}: {network:?} {route:?}"));
            assert!((route.doubled_mm + route.travelled_mm - route.least_mm).abs() < 1e-6);
            if let ([_], [certificate]) = (&route.pieces[..], &route.certificates[..]) {
                let required: Vec<usize> =
                    (0..edges as usize).chain(certificate.connectors.clone()).collect();
                let least = brute(&network, &required, certificate.start) as f64 / UM_PER_MM;
                let found = route.least_mm - route.connected_mm;
                // Lines without length count as a micrometre, so that no way is free.
                assert!((found - least).abs() < 0.02, "{found} for {least} mm: {network:?}");
                whole += 1;
                asked += usize::from(start.is_some());
            }
        }
        assert!(whole > 1000 && asked > 300, "{whole} of one piece, {asked} with a start");
    }
}
