//! An edge → its needle holes, rounded to the machine's grid once and shared by every visit.

use std::collections::BTreeMap;

use kurbo::Point;

use super::grid::{cells, millimetres, snap};
use super::spread::Spread;
use super::steps::{Stretch, needle_points};
use crate::base::chain::point_along;
use crate::base::tolerance::CHORD_MM;
use crate::network::{Edge, Network};
use crate::route::Route;

/// Rounds of looking for better holes; a second one settles what the first moved.
const SWEEPS: usize = 2;
/// By which shares of a step a hole is moved off one that another line has, tried in order.
const PARTED: [f64; 5] = [0.0, 0.3, -0.3, 0.15, -0.15];

/// The holes of every edge the route uses, from the edge's `from` to its `to`; none for the others.
///
/// Where the needle is to pass over an edge's end, its steps stand half a step away from it; the end's own hole is
/// listed all the same, for visits that use it. Neighbouring holes differ; an edge that falls into one grid cell has one hole.
#[must_use]
pub fn of_edges(route: &Route, network: &Network, step_mm: f64, spread: &Spread) -> Vec<Vec<Point>> {
    let mut used = vec![false; network.edges.len()];
    for step in route.pieces.iter().flat_map(|walk| &walk.steps) {
        used[step.edge] = true;
    }
    let edges = network.edges.iter().zip(&spread.ends).zip(used);
    let mut holes: Vec<Vec<Point>> = edges
        .map(|((edge, open), used)| if used { of_edge(edge, network, step_mm, *open) } else { Vec::new() })
        .collect();
    part_twins(&mut holes, network);
    holes
}

/// Moves the hole next to a node where two lines that touch there would share it.
///
/// Lines that leave a node in one direction are closer than the grid at their first hole. Sharing it, the stitch to it
/// would be sewn six times; so the later edge's hole is moved along its line by a part of a step.
fn part_twins(holes: &mut [Vec<Point>], network: &Network) {
    let mut first: BTreeMap<(usize, i64, i64), usize> = BTreeMap::new();
    for (i, (holes, edge)) in holes.iter_mut().zip(&network.edges).enumerate() {
        for at_start in [true, false] {
            let node = if at_start { edge.from } else { edge.to };
            let key = |p: Point| (node, cells(p.x), cells(p.y));
            let Some(near) = beside(holes, at_start) else { continue };
            let taken = |p: Point, first: &BTreeMap<_, usize>| first.get(&key(p)).is_some_and(|e| *e != i);
            let moved = PARTED.iter().find_map(|share| {
                if *share == 0.0 {
                    return (!taken(near, &first)).then_some(near);
                }
                moved_along(edge, holes, at_start, *share).filter(|p| !taken(*p, &first))
            });
            let settled = moved.unwrap_or(near);
            let index = if at_start { 1 } else { holes.len() - 2 };
            if settled != near {
                holes[index] = settled;
            }
            first.entry(key(settled)).or_insert(i);
        }
    }
}

/// The hole next to an edge's end, if there are holes between its ends.
fn beside(holes: &[Point], at_start: bool) -> Option<Point> {
    let inner = holes.get(1..holes.len().checked_sub(1)?)?;
    if at_start { inner.first().copied() } else { inner.last().copied() }
}

/// The hole next to an edge's end, moved on along the line by a share of the step behind it (back where negative).
fn moved_along(edge: &Edge, holes: &[Point], at_start: bool, share: f64) -> Option<Point> {
    let (mut chain, mut stops) = (edge.chain.clone(), holes.to_vec());
    if !at_start {
        chain.reverse();
        stops.reverse();
    }
    let [node, near, next, ..] = stops[..] else { return None };
    let along = node.distance(near) + share * near.distance(next);
    Some(snap(point_along(&chain, along)?.0))
}

fn of_edge(edge: &Edge, network: &Network, step_mm: f64, open: [bool; 2]) -> Vec<Point> {
    let mut holes = vec![snap(network.nodes[edge.from])];
    let last = edge.chain.len() - 1;
    let stops = edge.corners.iter().copied().filter(|c| (1..last).contains(c)).chain([last]);
    let mut from = 0;
    for to in stops {
        let stretch = Stretch::new(&edge.chain[from..=to]);
        holes.extend(&of_stretch(&stretch, step_mm, [open[0] && from == 0, open[1] && to == last])[1..]);
        from = to;
    }
    // The node's own place, not the chain's copy of it: every edge that meets there uses the same hole.
    holes.pop();
    holes.push(snap(network.nodes[edge.to]));
    holes.dedup();
    holes
}

/// The holes of a smooth stretch: its needle points on the grid.
///
/// Each goes to the nearest grid point; where a stitch would then leave the line by more than [`CHORD_MM`], the holes
/// at its ends try the grid points about them. The ends of the stretch stay, as other lines may meet there.
fn of_stretch(stretch: &Stretch, step_mm: f64, open: [bool; 2]) -> Vec<Point> {
    let along = needle_points(stretch, step_mm, open);
    let mut holes: Vec<Point> = along.iter().map(|s| snap(stretch.at(*s))).collect();
    for _ in 0..SWEEPS {
        for i in 1..holes.len() - 1 {
            let off = |p: Point| {
                let before = stretch.leaves((holes[i - 1], p), (along[i - 1], along[i]));
                before.max(stretch.leaves((p, holes[i + 1]), (along[i], along[i + 1])))
            };
            if off(holes[i]) > CHORD_MM {
                holes[i] = about(holes[i])
                    .into_iter()
                    .min_by(|a, b| off(*a).total_cmp(&off(*b)))
                    .unwrap_or(holes[i]);
            }
        }
    }
    holes
}

/// A grid point and the eight about it.
fn about(p: Point) -> [Point; 9] {
    let (x, y) = (cells(p.x), cells(p.y));
    let shifts = [(0, 0), (-1, 0), (1, 0), (0, -1), (0, 1), (-1, -1), (1, -1), (-1, 1), (1, 1)];
    shifts.map(|(dx, dy)| Point::new(millimetres(x + dx), millimetres(y + dy)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::chain;
    use crate::base::tolerance::FLATTEN_MM;
    use crate::network::EdgeKind;
    use crate::route::{Step, Visit, Walk};
    use crate::stitches::spread::nowhere;
    use kurbo::Vec2;

    const CLOSED: [bool; 2] = [false; 2];

    /// One edge along an arc of `radius` mm and 20 mm (or five sixths of a turn) that begins at `start`.
    fn arc(radius: f64, start: Point, from_turn: f64) -> Network {
        let turn = (20.0 / radius).min(5.0);
        let count = (turn / (2.0 * (1.0 - FLATTEN_MM / radius).acos())).ceil();
        let spoke = |share: f64| Vec2::from_angle(from_turn + turn * share) * radius;
        let chain: Vec<Point> =
            (0..=count as usize).map(|i| start + spoke(i as f64 / count) - spoke(0.0)).collect();
        let nodes = vec![chain[0], chain[chain.len() - 1]];
        let length_mm = chain::length(&chain);
        let edge = Edge { from: 0, to: 1, corners: vec![], length_mm, kind: EdgeKind::Drawn, chain };
        Network { nodes, edges: vec![edge] }
    }

    /// The furthest that the line and its stitches leave each other.
    fn furthest(line: &[Point], holes: &[Point]) -> f64 {
        let samples = |all: &[Point]| -> Vec<Point> {
            let pairs = all.windows(2);
            pairs.flat_map(|w| [0.0, 0.25, 0.5, 0.75, 1.0].map(|t| w[0].lerp(w[1], t))).collect()
        };
        let line_off = samples(line).into_iter().map(|p| chain::distance_to_chain(p, holes));
        let holes_off = samples(holes).into_iter().map(|p| chain::distance_to_chain(p, line));
        line_off.chain(holes_off).fold(0.0, f64::max)
    }

    #[test]
    fn rounded_stitches_keep_to_their_curve() {
        let mut random = oorandom::Rand64::new(7);
        for radius in [1.5, 2.0, 3.0, 5.0, 8.0, 13.0, 20.0, 100.0] {
            for _ in 0..40 {
                let start = Point::new(random.rand_float(), random.rand_float());
                let network = arc(radius, start, random.rand_float() * 6.3);
                let holes = of_edge(&network.edges[0], &network, 2.5, CLOSED);
                let off = furthest(&network.edges[0].chain, &holes);
                assert!(off <= CHORD_MM + FLATTEN_MM, "radius {radius} from {start}: {off}");
            }
        }
    }

    #[test]
    fn lines_that_touch_in_a_node_do_not_share_their_next_hole() {
        let start = Point::new(0.04, 0.02);
        let mut network = arc(90.0, start, 1.0);
        let other = arc(110.0, start, 1.0);
        network.nodes.push(other.nodes[1]);
        network.edges.push(Edge { to: 2, ..other.edges[0].clone() });
        let steps = [0, 1].map(|edge| Step { edge, forward: edge == 1, visit: Visit::Triple });
        let route = Route { pieces: vec![Walk { steps: steps.to_vec() }], ..Route::default() };
        let holes = of_edges(&route, &network, 2.5, &nowhere(&route, &network));
        let alone = |i: usize| of_edge(&network.edges[i], &network, 2.5, CLOSED);
        assert_eq!(alone(0)[1], alone(1)[1], "the two would share a hole");
        assert_eq!((&holes[0], holes[1].len()), (&alone(0), alone(1).len()));
        assert!(holes[0][1].distance(holes[1][1]) > 0.5, "{:?}", (holes[0][1], holes[1][1]));
        assert!(furthest(&network.edges[1].chain, &holes[1]) <= CHORD_MM + FLATTEN_MM);
    }

    #[test]
    fn holes_are_the_nearest_grid_points_where_that_suffices() {
        let network = arc(60.0, Point::new(0.33, 0.71), 1.0);
        let edge = &network.edges[0];
        let stretch = Stretch::new(&edge.chain);
        let plain: Vec<Point> =
            needle_points(&stretch, 2.5, CLOSED).into_iter().map(|s| snap(stretch.at(s))).collect();
        assert_eq!(of_edge(edge, &network, 2.5, CLOSED), plain);
    }

    #[test]
    fn a_corner_beside_a_node_makes_no_stitch_without_length() {
        let chain = vec![Point::new(0.0, 0.0), Point::new(0.02, 0.03), Point::new(5.0, 0.0)];
        let (nodes, corners) = (vec![chain[0], chain[2]], vec![1]);
        let edge = Edge { from: 0, to: 1, corners, length_mm: 5.0, kind: EdgeKind::Drawn, chain };
        let network = Network { nodes, edges: vec![edge] };
        let holes = of_edge(&network.edges[0], &network, 2.5, CLOSED);
        assert_eq!(holes, [0.0, 2.5, 5.0].map(|x| Point::new(x, 0.0)));
    }
}
