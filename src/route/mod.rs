//! [`Network`](crate::network::Network) → [`Route`]: one walk a piece over every drawn line, with the least doubling back.
//!
//! A route knows nothing of step lengths.

/// How an edge is sewn on one visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Visit {
    /// The first visit of a drawn edge: every stitch forward, back, forward.
    Triple,
    /// Any later visit of a drawn edge, and every visit of a travel edge: one pass.
    Single,
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
    /// Length of the drawn lines, each counted once, mm.
    pub drawn_mm: f64,
    /// Length of drawn lines that are walked a second time, mm.
    pub doubled_mm: f64,
    /// Length of travel along the edge, mm.
    pub travelled_mm: f64,
}
