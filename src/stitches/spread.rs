//! A route → the places where the needle passes over a junction instead of going down in it.
//!
//! Three passes put 3 × degree / 2 holes into a junction: 12 where eight line ends meet. Where a visit goes straight
//! through a junction of [`CROWDED_DEGREE`] lines or more, every second such visit takes a whole step across it: its
//! holes stand half a step before and behind, its thread still runs over the junction. Eight line ends then leave 6
//! holes, and the visits that turn there, or were not passed over, keep the junction's own hole.
//! Stopping short by less than a step does not help: holes half a millimetre apart are in one 1 mm disc.

use kurbo::Point;

use crate::base::chain::{distance_to_chain, length, point_along};
use crate::base::tolerance::GRID_MM;
use crate::network::{Edge, EdgeKind, Network};
use crate::route::{Route, Step, Visit};

/// Line ends that make a junction crowded: six leave 9 holes in one hole, where two lines that cross leave 6.
pub const CROWDED_DEGREE: usize = 6;
/// How far a step across may pass beside the junction before its ends are rounded, mm: a third of the grid, unseen.
const BESIDE_MM: f64 = GRID_MM / 3.0;
/// Two steps across one junction keep at least this far apart at one end, mm; closer ones could share their holes, and
/// their thread would be sewn six times.
const APART_MM: f64 = 4.0 * GRID_MM;
/// Steps that have to fit between the junction and the next hole that is fixed, so that spacing them anew does not show.
const ROOM_STEPS: f64 = 2.0;

/// Where the needle passes over.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Spread {
    /// For every edge, whether its steps stand half a step away from its `from` and its `to`.
    pub ends: Vec<[bool; 2]>,
    /// For every piece and step, whether the needle passes over the node where the step ends.
    pub over: Vec<Vec<bool>>,
}

/// No passing over: every visit of a junction has its hole.
#[must_use]
pub fn nowhere(route: &Route, network: &Network) -> Spread {
    let over = route.pieces.iter().map(|walk| vec![false; walk.steps.len()]).collect();
    Spread { ends: vec![[false; 2]; network.edges.len()], over }
}

/// Every second straight visit of every crowded junction, in sewing order.
#[must_use]
pub fn over_crowded(route: &Route, network: &Network, step_mm: f64) -> Spread {
    let mut spread = nowhere(route, network);
    let degrees = degrees(network);
    let visits = visits(route, network);
    let mut pass = vec![false; network.nodes.len()];
    let mut taken: Vec<(usize, [Point; 2])> = Vec::new();
    for (walk, over) in route.pieces.iter().zip(&mut spread.over) {
        for (i, pair) in walk.steps.windows(2).enumerate() {
            let node = end_node(network, pair[0]);
            let once = pair.iter().all(|step| visits[step.edge] == 1);
            if !once || degrees[node] < CROWDED_DEGREE {
                continue;
            }
            let Some(across) = step_across(network, (pair[0], pair[1]), step_mm) else { continue };
            pass[node] = !pass[node];
            if pass[node] && !taken.iter().any(|(at, other)| *at == node && is_same(*other, across)) {
                taken.push((node, across));
                over[i] = true;
                spread.ends[pair[0].edge][usize::from(pair[0].forward)] = true;
                spread.ends[pair[1].edge][usize::from(!pair[1].forward)] = true;
            }
        }
    }
    spread
}

fn degrees(network: &Network) -> Vec<usize> {
    let mut degrees = vec![0; network.nodes.len()];
    for edge in network.edges.iter().filter(|edge| edge.kind == EdgeKind::Drawn) {
        degrees[edge.from] += 1;
        degrees[edge.to] += 1;
    }
    degrees
}

/// How often each edge is walked: one that is walked again needs the same holes both times, the junction's among them.
fn visits(route: &Route, network: &Network) -> Vec<usize> {
    let mut visits = vec![0; network.edges.len()];
    for step in route.pieces.iter().flat_map(|walk| &walk.steps) {
        visits[step.edge] += 1;
    }
    visits
}

fn end_node(network: &Network, step: Step) -> usize {
    let edge = &network.edges[step.edge];
    if step.forward { edge.to } else { edge.from }
}

/// The ends of a step across the junction, if both are first visits with room for one that passes over it.
fn step_across(network: &Network, (before, after): (Step, Step), step_mm: f64) -> Option<[Point; 2]> {
    let triple = before.visit == Visit::Triple && after.visit == Visit::Triple;
    let behind = leading_away(&network.edges[before.edge], !before.forward);
    let ahead = leading_away(&network.edges[after.edge], after.forward);
    let room = ROOM_STEPS * step_mm;
    if !triple || length(&behind) < room || length(&ahead) < room {
        return None;
    }
    let half = |chain: &[Point]| point_along(chain, step_mm / 2.0).map(|(p, _)| p);
    let (from, to) = (half(&behind)?, half(&ahead)?);
    let over = distance_to_chain(ahead[0], &[from, to]) <= BESIDE_MM && from.distance(to) > step_mm / 2.0;
    over.then_some([from, to])
}

/// True if two steps across a junction lie so close that they would share their holes: lines that touch there.
fn is_same(a: [Point; 2], b: [Point; 2]) -> bool {
    let near = |p: Point, q: Point| p.distance(q) < APART_MM;
    near(a[0], b[0]) && near(a[1], b[1]) || near(a[0], b[1]) && near(a[1], b[0])
}

/// The edge's chain away from its `from` (or its `to`) up to the first corner.
fn leading_away(edge: &Edge, from_start: bool) -> Vec<Point> {
    let last = edge.chain.len() - 1;
    if from_start {
        let to = edge.corners.first().map_or(last, |c| *c);
        edge.chain[..=to].to_vec()
    } else {
        let to = edge.corners.last().map_or(0, |c| *c);
        edge.chain[to..].iter().rev().copied().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::route::Walk;
    use crate::stitches::{SewOptions, Stitches, sew};
    use kurbo::Vec2;

    /// `lines` straight lines of 40 mm through 0,0, joined by a rim into one walk: in along a spoke, out
    /// across, and along the rim to the next.
    fn star(lines: usize) -> (Route, Network) {
        let spokes = 2 * lines;
        let tip = |i: usize| {
            let turn = std::f64::consts::TAU * i as f64 / spokes as f64;
            Point::ORIGIN + Vec2::from_angle(turn) * 20.0
        };
        let mut network = Network { nodes: vec![Point::ORIGIN], edges: Vec::new() };
        network.nodes.extend((0..spokes).map(tip));
        let mut add = |from: usize, to: usize| {
            let chain = vec![network.nodes[from], network.nodes[to]];
            let length_mm = length(&chain);
            let edge = Edge { from, to, corners: vec![], length_mm, kind: EdgeKind::Drawn, chain };
            network.edges.push(edge);
            network.edges.len() - 1
        };
        let mut steps = Vec::new();
        for line in 0..lines {
            let near = line * (lines + 1) % spokes;
            let far = (near + lines) % spokes;
            let ways = [
                (add(0, 1 + near), false),
                (add(0, 1 + far), true),
                (add(1 + far, 1 + (far + 1) % spokes), true),
            ];
            steps.extend(ways.map(|(edge, forward)| Step { edge, forward, visit: Visit::Triple }));
        }
        (Route { pieces: vec![Walk { steps }], ..Route::default() }, network)
    }

    /// The most holes in a 1 mm disc about 0,0 and up to 3 mm from it.
    fn most_holes(stitches: &Stitches) -> usize {
        let inner: Vec<Point> = stitches.points().filter(|p| p.to_vec2().hypot() <= 4.0).collect();
        let places = (-30..=30)
            .flat_map(|x| (-30..=30).map(move |y| Point::new(f64::from(x) / 10.0, f64::from(y) / 10.0)));
        places.map(|at| inner.iter().filter(|p| p.distance(at) <= 0.5 + 1e-9).count()).max().unwrap()
    }

    fn sewn(lines: usize, spread_junctions: bool) -> Stitches {
        let (route, network) = star(lines);
        sew(&route, &network, &SewOptions { spread_junctions, ..SewOptions::default() }).unwrap()
    }

    #[test]
    fn a_crowded_junction_takes_half_the_strikes() {
        for (lines, plain, spread) in [(2, 6, 6), (3, 9, 3), (4, 12, 6), (5, 15, 6), (6, 18, 9)] {
            assert_eq!(most_holes(&sewn(lines, false)), plain, "{lines} lines");
            assert_eq!(most_holes(&sewn(lines, true)), spread, "{lines} lines");
        }
    }

    #[test]
    fn of_two_lines_that_touch_only_one_passes_over() {
        let ends = |y: f64| [Point::new(-1.2, y), Point::new(1.2, y)];
        assert!(is_same(ends(0.0), ends(0.1)));
        assert!(is_same(ends(0.0), [ends(0.1)[1], ends(0.1)[0]]));
        assert!(!is_same(ends(0.0), ends(0.5)));
    }

    #[test]
    fn the_line_over_a_junction_is_sewn_without_a_long_step() {
        let stitches = sewn(4, true);
        let longest = stitches.segments().map(|(a, b)| a.distance(b)).fold(0.0, f64::max);
        assert!(longest < 2.8, "{longest}");
        let over = stitches.segments().filter(|(a, b)| a.midpoint(*b).to_vec2().hypot() < 0.15);
        assert_eq!(over.count(), 6, "two lines pass over, three times each");
    }

    #[test]
    fn a_line_that_is_walked_again_keeps_its_holes() {
        let (mut route, network) = star(3);
        let again: Vec<Step> = route.pieces[0].steps.clone();
        let again = again.into_iter().map(|step| Step { visit: Visit::Single, ..step });
        route.pieces.push(Walk { steps: again.collect() });
        assert_eq!(over_crowded(&route, &network, 2.5), nowhere(&route, &network));
    }

    #[test]
    fn a_turn_in_a_crowded_junction_keeps_its_hole() {
        let (mut route, network) = star(4);
        // In along the first line, out along the second.
        let [first, .., second, _, _] = route.pieces[0].steps[..6] else {
            panic!("the star has six steps and more")
        };
        route.pieces[0].steps = vec![first, Step { forward: true, ..second }];
        assert_eq!(over_crowded(&route, &network, 2.5), nowhere(&route, &network));
    }
}
