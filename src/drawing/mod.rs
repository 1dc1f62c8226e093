//! [`Block`](crate::block::Block) + motif + settings → [`Drawing`]: the motif's lines as curves, fitted to the inner outline.
//!
//! A drawing knows nothing of thread: no passes, no steps, no order.

use kurbo::BezPath;

/// A motif's lines, fitted to one block; mm, block centre at 0,0.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Drawing {
    /// The lines: one subpath each, open or closed. They may cross, touch and run over each other.
    pub lines: Vec<BezPath>,
    /// How far the fit had to stretch the motif away from the size asked for: 0.1 is 10 %.
    pub stretch: f64,
    /// What she should know about this fit. Whole sentences.
    pub notes: Vec<String>,
}
