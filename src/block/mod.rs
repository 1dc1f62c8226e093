//! Sizes, tape measurements, corners or a drawn outline → [`Block`]: the finished outline and the inner outline to quilt in.
//!
//! In: a [`Shape`] and a margin, mm. Out: a [`Block`] whose bounding box is centred on 0,0. Sizes are finished sizes;
//! no seam allowance is counted anywhere.

pub mod region;
pub mod shape;
pub mod suit;

use region::Region;
use shape::Shape;

/// A block as it is to be quilted: its finished outline and the inner outline that the design has to stay in.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// What was asked for.
    pub shape: Shape,
    /// The finished outline, with its holes to keep clear; the bounding box is centred on 0,0.
    pub outline: Region,
    /// What is left inside the margin: one region, or several where the inset falls apart. Never empty.
    pub inside: Vec<Region>,
    /// Kept clear inside the outline and round holes, mm.
    pub margin_mm: f64,
    /// What she should know: a tape's misfit, an inset that fell apart. Whole sentences.
    pub notes: Vec<String>,
}
