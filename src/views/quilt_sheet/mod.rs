//! A quilt's [`Work`] → its work sheet.

use kurbo::{BezPath, Point};

use crate::top::Work;
use crate::top::plan::Plan;
use crate::views::paper::Paper;
use crate::views::sheet::{self, Sheet};

/// The radius of the rings round shared needle holes, mm.
const RING_MM: f64 = 2.0;

/// Draws the work sheet.
#[must_use]
pub fn draw(_work: &Work, _plan: &Plan, _paper: Paper) -> Vec<Sheet> {
    Vec::new()
}

/// Rings round needle holes that hoopings share, for a template.
#[must_use]
pub fn rings(holes: &[Point]) -> Vec<BezPath> {
    holes.iter().map(|p| sheet::circle(*p, RING_MM)).collect()
}
