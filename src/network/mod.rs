//! [`Drawing`](crate::drawing::Drawing) → [`Network`]: a plane graph of every line, split where lines meet, shared lines once.
//!
//! A network knows nothing of stitches.

use kurbo::Point;

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
