//! A route over a network → the same with features that are too near for a stitch between them made one, or passed over.
//!
//! A feature is a node that the route uses: an end, or a place where lines meet or part. The step between two of them must
//! be as long as a stitch. Where it is not, there are two ways out, tried in this order, the nearest features first:
//! the walk runs straight on through one of them, so that no hole is needed there on that visit and the stitch stays within
//! [`CHORD_MM`] of its line; or the two share a hole, at the place that is nearest, by least squares, to all lines that lead
//! away from them, and these lines are bent to it over [`BEND_MM`].
//! Limits: holes are shared only as far as no feature moves by more than `MOVED_MM`; what is crowded beyond that keeps its
//! short steps, and the survey counts them.

use kurbo::{Point, Vec2};

use super::grid::snap;
use super::spread::Spread;
use super::steps::{SHORTEST_MM, Stretch};
use crate::base::chain::{length, nearest_on_segment, point_along, pulled};
use crate::base::tolerance::{BEND_MM, CHORD_MM, GRID_MM};
use crate::network::Network;
use crate::route::{Route, Step};

/// A line shorter than this cannot be bent into two steps of [`SHORTEST_MM`], rounding allowed for.
const TWO_STEPS_MM: f64 = 2.0 * SHORTEST_MM + 0.2;
/// A line that leads back to its hole needs three steps, as two would be one that is sewn there and back.
const THREE_STEPS_MM: f64 = 3.0 * SHORTEST_MM + 0.2;
/// How far a feature may be moved to share a hole, mm.
const MOVED_MM: f64 = 1.0;
/// How far along a line its direction at a feature is taken, mm.
const LOOK_MM: f64 = 1.5;
/// How much a shared hole is drawn to the middle of its features where the lines leave it free.
const DRAWN_TO_MIDDLE: f64 = 0.05;

/// What is sewn: every line ends at a fixed hole.
#[derive(Debug, Clone, PartialEq)]
pub struct Settled {
    /// The network with its nodes on the machine's grid, those that share a hole in one place; a line whose ends share a
    /// hole and that is too short to be sewn has no length.
    pub network: Network,
    /// For every piece and step, whether the walk runs on into the next step without a hole between them.
    pub runs_on: Vec<Vec<bool>>,
}

/// A part of a walk between two fixed holes: the piece, and the first and last of its steps.
#[derive(Clone, Copy, PartialEq)]
struct Span {
    piece: usize,
    first: usize,
    last: usize,
}

/// What is known while features are made one.
struct Ground<'a> {
    route: &'a Route,
    network: &'a Network,
    spread: &'a Spread,
    /// How often each edge is walked.
    visits: Vec<usize>,
    runs_on: Vec<Vec<bool>>,
    // Invariant: the nodes that share a hole name the lowest of them.
    shares: Vec<usize>,
    holes: Vec<Point>,
    // Invariant: the nodes of each group, by the lowest of them; empty for the others.
    groups: Vec<Vec<usize>>,
    /// The edges round each node.
    around: Vec<Vec<usize>>,
}

/// Settles all features of a route; with `may_run_on` false, only by sharing holes.
#[must_use]
pub fn settle(route: &Route, network: &Network, spread: &Spread, may_run_on: bool) -> Settled {
    let mut visits = vec![0; network.edges.len()];
    for step in route.pieces.iter().flat_map(|walk| &walk.steps) {
        visits[step.edge] += 1;
    }
    let mut ground = Ground {
        route,
        network,
        spread,
        visits,
        runs_on: route.pieces.iter().map(|walk| vec![false; walk.steps.len()]).collect(),
        shares: (0..network.nodes.len()).collect(),
        holes: network.nodes.iter().map(|p| snap(*p)).collect(),
        groups: (0..network.nodes.len()).map(|n| vec![n]).collect(),
        around: network.adjacency(),
    };
    let mut short = ground.short_steps();
    // Each round makes two features one, or leaves things as they are for good.
    loop {
        let before = short.len();
        short.retain(|(piece, step)| !ground.settle_at(*piece, *step, may_run_on));
        if short.len() == before {
            return ground.settled();
        }
    }
}

impl Ground<'_> {
    /// The steps of the walks that are too short for two stitches, the shortest first.
    fn short_steps(&self) -> Vec<(usize, usize)> {
        let mut short = Vec::new();
        for (piece, walk) in self.route.pieces.iter().enumerate() {
            for (i, step) in walk.steps.iter().enumerate() {
                let length = self.network.edges[step.edge].length_mm;
                if length < TWO_STEPS_MM || self.is_too_short(Span { piece, first: i, last: i }) {
                    short.push((length, piece, i));
                }
            }
        }
        short.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        short.into_iter().map(|(_, piece, i)| (piece, i)).collect()
    }

    /// Deals with the part of a walk round one step, if it is too short for a stitch; says whether anything changed.
    fn settle_at(&mut self, piece: usize, step: usize, may_run_on: bool) -> bool {
        let Span { first, .. } = self.span_to(piece, step);
        let span = Span { first, ..self.span_from(piece, step) };
        self.is_too_short(span) && (may_run_on && self.run_on(span) || self.share(span))
    }

    fn steps(&self, span: Span) -> &[Step] {
        &self.route.pieces[span.piece].steps[span.first..=span.last]
    }

    fn length(&self, span: Span) -> f64 {
        self.steps(span).iter().map(|s| self.network.edges[s.edge].length_mm).sum()
    }

    fn ends(&self, span: Span) -> [usize; 2] {
        let steps = self.steps(span);
        let (first, last) = (steps[0], steps[steps.len() - 1]);
        [nodes(self.network, first)[0], nodes(self.network, last)[1]].map(|n| self.shares[n])
    }

    /// True if no whole stitches lead along the span from hole to hole, and it has not been given up as one hole.
    fn is_too_short(&self, span: Span) -> bool {
        let ([from, to], length) = (self.ends(span), self.length(span));
        if from == to {
            // A line within a shared hole is not sewn. One that leads back to its own node is: there and back by one stitch
            // each if it is as narrow as a thorn, unless one of them begins before the node.
            let [step] = self.steps(span) else { return false };
            let edge = &self.network.edges[step.edge];
            return edge.from == edge.to && length < 2.0 * TWO_STEPS_MM;
        }
        length < TWO_STEPS_MM
            && (self.holes[from].distance(self.holes[to]) < SHORTEST_MM || self.lies_beside_another(span))
    }

    /// True if another line leads from one end of the span to the other, and both are so short that they would be one step.
    fn lies_beside_another(&self, span: Span) -> bool {
        let [step] = self.steps(span) else { return false };
        let [from, to] = self.ends(span);
        let around = self.groups[from].iter().flat_map(|n| &self.around[*n]);
        around.into_iter().any(|i| {
            let other = &self.network.edges[*i];
            let ends = [other.from, other.to].map(|n| self.shares[n]);
            *i != step.edge
                && (ends == [from, to] || ends == [to, from])
                && self.visits[*i] > 0
                && other.length_mm < TWO_STEPS_MM
        })
    }

    /// Lets the walk run on at one end of the span, if that is straight enough; says whether it does now.
    fn run_on(&mut self, span: Span) -> bool {
        let before = span.first.checked_sub(1).map(|last| self.span_to(span.piece, last));
        let steps = self.runs_on[span.piece].len();
        let after = (span.last + 1 < steps).then(|| self.span_from(span.piece, span.last + 1));
        let ways = [before.map(|b| (b, span)), after.map(|a| (span, a))];
        let offs = ways.into_iter().flatten().filter_map(|(a, b)| Some((self.off(a, b, span)?, a.last)));
        let best = offs.min_by(|a, b| a.0.total_cmp(&b.0)).filter(|(off, _)| *off <= CHORD_MM);
        if let Some((_, last)) = best {
            self.runs_on[span.piece][last] = true;
        }
        best.is_some()
    }

    fn span_to(&self, piece: usize, last: usize) -> Span {
        let first = (0..last).rev().find(|i| !self.runs_on[piece][*i]).map_or(0, |i| i + 1);
        Span { piece, first, last }
    }

    fn span_from(&self, piece: usize, first: usize) -> Span {
        let last = (first..).find(|i| !self.runs_on[piece][*i]).unwrap_or(first);
        Span { piece, first, last }
    }

    /// How far the first stitch of the `short` one of two spans leaves their lines when it runs on into the other.
    fn off(&self, a: Span, b: Span, short: Span) -> Option<f64> {
        let steps = [self.steps(a), self.steps(b)].concat();
        let alike = steps.iter().all(|s| self.visits[s.edge] == 1 && s.visit == steps[0].visit);
        let joined = Span { last: b.last, ..a };
        if !alike
            || self.spread.over[a.piece][a.last]
            || self.is_too_short(joined)
            || self.ends(joined)[0] == self.ends(joined)[1]
        {
            return None;
        }
        let mut chain = joined_chain(self.network, &steps);
        if short == b {
            chain.reverse();
        }
        let stretch = Stretch::new(&chain);
        let from = self.length(short);
        let back = (from - SHORTEST_MM).max(0.0);
        let far = (0..40).map(|i| from + f64::from(i) * 0.05);
        let long_enough = |s: &f64| stretch.at(*s).distance(stretch.at(back)) >= SHORTEST_MM + GRID_MM;
        let to = far.take_while(|s| *s <= stretch.length()).find(long_enough)?;
        Some(stretch.sag(back, to))
    }

    /// Gives both ends of the span one hole; says whether they have one now.
    fn share(&mut self, span: Span) -> bool {
        let [a, b] = self.ends(span);
        if a == b {
            return false;
        }
        let members = [self.groups[a].as_slice(), &self.groups[b]].concat();
        let Some(hole) = self.best_hole(&members) else { return false };
        for n in &members {
            self.shares[*n] = a.min(b);
            self.holes[*n] = hole;
        }
        self.groups[a.max(b)].clear();
        self.groups[a.min(b)] = members;
        true
    }

    /// The place nearest to all lines that lead away from the nodes, if none of them is too far from it.
    fn best_hole(&self, members: &[usize]) -> Option<Point> {
        let points = || members.iter().map(|n| self.network.nodes[*n]);
        let middle =
            (points().fold(Vec2::ZERO, |sum, p| sum + p.to_vec2()) / members.len() as f64).to_point();
        // The normal equations of Σ ((h − nᵢ)·mᵢ)² + ε (h − middle)², about the middle.
        let (mut xx, mut xy, mut yy) = (DRAWN_TO_MIDDLE, 0.0, DRAWN_TO_MIDDLE);
        let (mut x, mut y) = (0.0, 0.0);
        for (node, way) in
            members.iter().flat_map(|n| self.leading_away(*n, members).map(move |way| (*n, way)))
        {
            let across = Vec2::new(-way.y, way.x);
            let off = (self.network.nodes[node] - middle).dot(across);
            (xx, xy, yy) = (xx + across.x * across.x, xy + across.x * across.y, yy + across.y * across.y);
            (x, y) = (x + off * across.x, y + off * across.y);
        }
        let det = xx * yy - xy * xy;
        let nearest = Vec2::new(yy * x - xy * y, xx * y - xy * x) / det;
        // Lines that meet at a small angle, or beyond the edge, have their nearest place off the drawing; between the two
        // features that are furthest apart it is on it.
        let pairs = members.iter().flat_map(|a| members.iter().map(move |b| (*a, *b)));
        let apart = |(a, b): &(usize, usize)| self.network.nodes[*a].distance(self.network.nodes[*b]);
        let (a, b) = pairs.max_by(|p, q| apart(p).total_cmp(&apart(q)))?;
        let hole = snap(nearest_on_segment(middle + nearest, self.network.nodes[a], self.network.nodes[b]));
        points().all(|p| p.distance(hole) <= MOVED_MM).then_some(hole)
    }

    /// The directions of the used lines that lead from a node out of the group.
    fn leading_away<'b>(&'b self, node: usize, members: &'b [usize]) -> impl Iterator<Item = Vec2> + 'b {
        let out = self.around[node].iter().map(|i| (*i, &self.network.edges[*i]));
        let out = out
            .filter(|(i, e)| self.visits[*i] > 0 && !(members.contains(&e.from) && members.contains(&e.to)));
        out.filter_map(move |(_, e)| {
            let mut chain = e.chain.clone();
            if e.from != node {
                chain.reverse();
            }
            let way = point_along(&chain, LOOK_MM)?.0 - chain[0];
            (way.hypot() > 0.0).then(|| way / way.hypot())
        })
    }

    fn settled(self) -> Settled {
        let mut network = self.network.clone();
        let is_shared = |n: usize| self.groups[self.shares[n]].len() > 1;
        for edge in &mut network.edges {
            let within = edge.from != edge.to && self.shares[edge.from] == self.shares[edge.to];
            let ends = [edge.from, edge.to].map(|n| self.holes[n]);
            if within && edge.length_mm < THREE_STEPS_MM {
                (edge.chain, edge.corners, edge.length_mm) = (ends.to_vec(), Vec::new(), 0.0);
            } else if is_shared(edge.from) || is_shared(edge.to) {
                (edge.chain, edge.corners) = pulled(&edge.chain, &edge.corners, ends, BEND_MM);
                edge.length_mm = length(&edge.chain);
            }
        }
        network.nodes.clone_from(&self.holes);
        Settled { network, runs_on: self.runs_on }
    }
}

/// The nodes that a step leads from and to.
fn nodes(network: &Network, step: Step) -> [usize; 2] {
    let edge = &network.edges[step.edge];
    if step.forward { [edge.from, edge.to] } else { [edge.to, edge.from] }
}

/// The chain along several steps of a walk.
pub(super) fn joined_chain(network: &Network, steps: &[Step]) -> Vec<Point> {
    let mut chain: Vec<Point> = Vec::new();
    for step in steps {
        chain.pop();
        let points = network.edges[step.edge].chain.iter();
        if step.forward { chain.extend(points) } else { chain.extend(points.rev()) }
    }
    chain
}
