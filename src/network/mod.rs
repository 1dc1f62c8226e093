//! [`Drawing`] → [`Network`]: a plane graph of every line, split where lines meet, shared lines once.
//!
//! In: the lines of a drawing, and the regions round whose edges she may travel. Out: nodes wherever lines cross, touch,
//! part or end, and the lines between them. A network knows nothing of stitches.
//! Method: curves are flattened within [`FLATTEN_MM`](crate::base::tolerance::FLATTEN_MM), lines split where they cross and
//! joined where they touch or run along each other, and all of it settled on a fine grid by snap rounding, so that no two
//! edges meet except in a node. Limits: lines closer than [`TWIN_MM`] along their length
//! are one; a line may move by that much where it is joined to another, and bits under
//! [`LOST_MM`](crate::base::tolerance::LOST_MM) may vanish in a node. Features nearer than
//! [`FEATURE_MM`](crate::base::tolerance::FEATURE_MM) along a line become one: lines are bent to it by so much.

mod cross;
mod finish;
mod gather;
mod grid;
mod lines;
mod near;
mod settle;
mod spots;
mod tidy;
mod trace;

#[cfg(test)]
mod soups;
#[cfg(test)]
mod tests;

use kurbo::Point;

use crate::base::tolerance::{GRAIN_MM, JOIN_MM, TWIN_MM};
use crate::base::units::LONGEST_MM;
use crate::block::region::Region;
use crate::drawing::Drawing;
use crate::network::gather::Run;

/// Joining bends lines a little, which may bring new ones close; it settles in two or three rounds, and this ends it.
const JOIN_ROUNDS: usize = 8;
/// Taking a sliver away may leave another one; this ends it.
const TIDY_ROUNDS: usize = 12;

/// What an edge of a network is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum EdgeKind {
    /// Part of the drawing: it has to be sewn.
    Drawn,
    /// A way along the edge of the inner outline or of a hole: it may be sewn once, where that is shorter.
    Travel,
}

/// A line between two nodes, as a chain of points.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// The node at the start of the chain.
    pub from: usize,
    /// The node at its end; the same as `from` for a line that closes on itself.
    pub to: usize,
    /// Its points, from the node at the start to the node at the end, both included; at least two.
    pub chain: Vec<Point>,
    /// Rising indices into `chain`, ends excluded, at which the line turns a corner.
    pub corners: Vec<usize>,
    /// The length of the chain, mm.
    pub length_mm: f64,
    /// Drawn, or for travelling.
    pub kind: EdgeKind,
}

/// Nodes wherever lines cross, touch, part or end, and the lines between them. Edges meet only in nodes.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Network {
    /// The nodes, mm, block centre at 0,0.
    pub nodes: Vec<Point>,
    /// The edges, drawn ones first.
    pub edges: Vec<Edge>,
}

/// Connects the lines of `drawing`, with the edges of `travel` as ways to travel; no regions, no travel.
///
/// A closed line that meets nothing is one edge from a node to itself. Edges of `travel` that no drawn line touches are
/// left out: nothing could lead there.
///
/// # Errors
/// [`NetworkError::NotANumber`] and [`NetworkError::TooFar`] for lines with such points.
pub fn connect(drawing: &Drawing, travel: &[Region]) -> Result<Network, NetworkError> {
    let rings = travel.iter().flat_map(Region::rings);
    weave(drawing, rings.map(|r| Run::travel(r.points(), &r.corners())).collect())
}

fn weave(drawing: &Drawing, travel: Vec<Run>) -> Result<Network, NetworkError> {
    let (mut lines, mut spots) = gather::gather(drawing, travel)?;
    for _ in 0..JOIN_ROUNDS {
        lines.begin_round();
        let grid = grid::Grid::over(&lines, &spots, TWIN_MM / GRAIN_MM);
        let crossed = cross::split(&mut lines, &mut spots, &grid, spots::grains(JOIN_MM));
        if crossed {
            lines = trace::thinned(lines, &spots);
        }
        let grid = grid::Grid::over(&lines, &spots, TWIN_MM / GRAIN_MM);
        let joined = near::join(&mut lines, &mut spots, &grid);
        if !crossed && !joined {
            break;
        }
    }
    lines.refresh();
    settle::settle(&mut lines, &mut spots);
    let mut strands = trace::trace(&lines, &spots);
    for _ in 0..TIDY_ROUNDS {
        let Some(mut tidied) = tidy::tidy(&strands, &mut spots) else { break };
        settle::settle(&mut tidied, &mut spots);
        strands = trace::trace(&tidied, &spots);
    }
    Ok(finish::finish(strands, &spots))
}

/// Why lines cannot be connected.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NetworkError {
    /// A point of a line is not a number.
    #[error(
        "line {line} of the drawing has a point that is not a number; check the settings it was drawn with"
    )]
    NotANumber {
        /** Which line, from 1. */
        line: usize,
    },
    /// A point of a line is further out than any quilt.
    #[error("line {line} of the drawing goes out to {at_mm} mm; keep it within {} m of the centre", LONGEST_MM / 1000.0)]
    TooFar {
        /** Which line, from 1. */
        line: usize,
        /** How far out, mm. */
        at_mm: f64,
    },
}

impl Edge {
    /// True for an edge that has to be sewn.
    #[must_use]
    pub fn is_drawn(&self) -> bool {
        self.kind == EdgeKind::Drawn
    }
}

impl Network {
    /// The edges at each node, in rising order; a loop is named twice.
    #[must_use]
    pub fn adjacency(&self) -> Vec<Vec<usize>> {
        let mut around = vec![Vec::new(); self.nodes.len()];
        for (i, edge) in self.edges.iter().enumerate() {
            around[edge.from].push(i);
            around[edge.to].push(i);
        }
        around
    }

    /// The number of edge ends at a node, travel included.
    #[must_use]
    pub fn degree(&self, node: usize) -> usize {
        self.edges.iter().map(|e| usize::from(e.from == node) + usize::from(e.to == node)).sum()
    }

    /// The number of drawn edge ends at each node.
    #[must_use]
    pub fn drawn_degrees(&self) -> Vec<usize> {
        let mut degrees = vec![0; self.nodes.len()];
        for edge in self.edges.iter().filter(|e| e.is_drawn()) {
            degrees[edge.from] += 1;
            degrees[edge.to] += 1;
        }
        degrees
    }

    /// The drawn edges of each connected piece of the drawing, travel left aside; in order of their first edges.
    #[must_use]
    pub fn pieces(&self) -> Vec<Vec<usize>> {
        self.connected(false)
    }

    /// The edges of each connected piece with travel counted in; pieces of travel alone are left out.
    #[must_use]
    pub fn joined_pieces(&self) -> Vec<Vec<usize>> {
        self.connected(true)
    }

    fn connected(&self, with_travel: bool) -> Vec<Vec<usize>> {
        let mut seen = vec![false; self.edges.len()];
        let around = self.adjacency();
        let mut pieces = Vec::new();
        for first in 0..self.edges.len() {
            if seen[first] || !self.edges[first].is_drawn() {
                continue;
            }
            seen[first] = true;
            let mut piece = vec![first];
            let mut next = 0;
            while let Some(&edge) = piece.get(next) {
                next += 1;
                for &other in around[self.edges[edge].from].iter().chain(&around[self.edges[edge].to]) {
                    if (with_travel || self.edges[other].is_drawn())
                        && !std::mem::replace(&mut seen[other], true)
                    {
                        piece.push(other);
                    }
                }
            }
            piece.sort_unstable();
            pieces.push(piece);
        }
        pieces
    }

    /// The length of all drawn edges, mm.
    #[must_use]
    pub fn drawn_length(&self) -> f64 {
        // Not `sum`, which makes −0 of no edges.
        self.edges.iter().filter(|e| e.is_drawn()).fold(0.0, |sum, e| sum + e.length_mm)
    }
}
