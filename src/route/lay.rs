//! Pieces with their joins → walks in sewing order.

use std::collections::BTreeMap;

use super::certificate::Certificate;
use super::join::{Ground, Join};
use super::order::{self, Stop, Turn};
use super::pieces::Piece;
use super::trail::{Arc, begin_at, lay, turn_round};
use super::{Route, Step, Visit, Walk, length_mm};
use crate::network::{EdgeKind, Network};

/// The most ends of lines in a node for a walk to begin and end there: each two are three needle holes, beginning and ending
/// three more, and more than twelve in a place do not sew well.
const MOST_ENDS_AT_START: usize = 6;

/// A trail over one piece, before visits are counted.
pub struct Laid {
    trail: Vec<Arc>,
    closed: bool,
    certificate: Certificate,
}

/// The trail over a piece; it begins at `start` if one is given, else near the outline where that is free to choose, and not
/// where very many lines meet if it can be helped.
pub fn lay_piece(ground: &Ground, piece: &Piece, join: Join, start: Option<usize>) -> Laid {
    let network = ground.network;
    let edges: Vec<usize> = piece.required().chain(join.edges).collect();
    let mut trail = lay(network, &edges, join.ends);
    if join.ends.is_none() {
        let mut visits: BTreeMap<usize, usize> = BTreeMap::new();
        for arc in &trail {
            *visits.entry(arc.ends(network).0).or_default() += 1;
        }
        let crowded = |count: usize| 2 * count > MOST_ENDS_AT_START;
        let best = visits.iter().min_by_key(|(n, count)| (crowded(**count), outwardness(ground, **n)));
        if let Some(node) = start.or(best.map(|(n, _)| *n)) {
            begin_at(network, &mut trail, node);
        }
    } else if start.is_none()
        && join.ends.is_some_and(|(s, e)| outwardness(ground, e) < outwardness(ground, s))
    {
        turn_round(&mut trail);
    }
    Laid { trail, closed: join.ends.is_none(), certificate: join.certificate }
}

/// Sorts nodes: the outermost first, those equally far out from the bottom left.
#[expect(clippy::cast_possible_truncation, reason = "tenths of a millimetre, saturating")]
fn outwardness(ground: &Ground, node: usize) -> (i64, i64, i64) {
    let p = ground.network.nodes[node];
    let tenths = |mm: f64| (mm * 10.0).round() as i64;
    (tenths(ground.outline.depth(p)), tenths(p.y), tenths(p.x))
}

/// Adds the trails to the route, in an order that keeps the moves short; with `fixed`, the first stays first.
pub fn put_in_order(network: &Network, laid: Vec<Laid>, fixed: bool, route: &mut Route) {
    let place = |l: &Laid, i: usize| l.trail.get(i).map(|a| network.nodes[a.ends(network).0]);
    let stop = |l: &Laid| {
        let all = (0..l.trail.len()).filter_map(|i| place(l, i)).collect::<Vec<_>>();
        let end = l.trail.last().map(|a| network.nodes[a.ends(network).1]);
        if l.closed {
            Stop::Closed(all)
        } else {
            Stop::Open(all.first().copied().unwrap_or_default(), end.unwrap_or_default())
        }
    };
    let stops: Vec<Stop> = laid.iter().map(stop).collect();
    let turns = order::order(&stops, fixed);
    route.moved_mm = order::moved_mm(&stops, &turns);
    let mut laid: Vec<Option<Laid>> = laid.into_iter().map(Some).collect();
    let mut walked = vec![false; network.edges.len()];
    for turn in turns {
        let Some(Laid { mut trail, certificate, .. }) = laid[turn.trail].take() else { continue };
        take_turn(network, &mut trail, turn);
        let steps: Vec<Step> = trail.iter().map(|arc| step(network, *arc, &mut walked)).collect();
        for s in steps.iter().filter(|s| s.visit == Visit::Single) {
            let mm = length_mm(network, [s.edge].iter());
            match network.edges[s.edge].kind {
                EdgeKind::Drawn => route.doubled_mm += mm,
                EdgeKind::Travel => route.travelled_mm += mm,
            }
        }
        route.pieces.push(Walk { steps });
        route.certificates.push(certificate);
    }
}

fn take_turn(network: &Network, trail: &mut [Arc], turn: Turn) {
    if turn.reversed {
        turn_round(trail);
    } else if turn.entry > 0 {
        let node = trail[turn.entry].ends(network).0;
        begin_at(network, trail, node);
    }
}

fn step(network: &Network, arc: Arc, walked: &mut [bool]) -> Step {
    let first = network.edges[arc.edge].kind == EdgeKind::Drawn && !walked[arc.edge];
    walked[arc.edge] = true;
    let visit = if first { Visit::Triple } else { Visit::Single };
    Step { edge: arc.edge, forward: arc.forward, visit }
}
