//! An edge → its needle holes, rounded to the machine's grid once and shared by every visit.

use kurbo::Point;

use super::grid::snap;
use super::steps::{Stretch, needle_points};
use crate::network::{Edge, Network};
use crate::route::Route;

/// The holes of every edge the route uses, from the edge's `from` to its `to`; none for the others.
///
/// Neighbouring holes differ; an edge that falls into one grid cell has one hole.
#[must_use]
pub fn of_edges(route: &Route, network: &Network, step_mm: f64) -> Vec<Vec<Point>> {
    let mut used = vec![false; network.edges.len()];
    for step in route.pieces.iter().flat_map(|walk| &walk.steps) {
        used[step.edge] = true;
    }
    let edges = network.edges.iter().zip(used);
    edges.map(|(edge, used)| if used { of_edge(edge, network, step_mm) } else { Vec::new() }).collect()
}

fn of_edge(edge: &Edge, network: &Network, step_mm: f64) -> Vec<Point> {
    let mut holes = vec![snap(network.nodes[edge.from])];
    let last = edge.chain.len() - 1;
    let stops = edge.corners.iter().copied().filter(|c| (1..last).contains(c)).chain([last]);
    let mut from = 0;
    for to in stops {
        let stretch = Stretch::new(&edge.chain[from..=to]);
        let along = needle_points(&stretch, step_mm);
        holes.extend(along[1..].iter().map(|s| snap(stretch.at(*s))));
        from = to;
    }
    // The node's own place, not the chain's copy of it: every edge that meets there uses the same hole.
    holes.pop();
    holes.push(snap(network.nodes[edge.to]));
    holes.dedup();
    holes
}
