//! Regions: a closed outline with holes, kept both as curves and as points.

use kurbo::{BezPath, Point, Rect};

use crate::base::chain;

/// A closed outline, counter-clockwise.
#[derive(Debug, Clone, PartialEq)]
pub struct Ring {
    // Invariant: one closed subpath, counter-clockwise, without self-crossings.
    path: BezPath,
    // Invariant: `path` flattened within base::tolerance::FLATTEN_MM; the first point is not repeated at the end.
    points: Vec<Point>,
    // Invariant: rising indices into `points` at which the outline turns a corner.
    corners: Vec<usize>,
}

/// An outline and the holes in it that are to be kept clear.
#[derive(Debug, Clone, PartialEq)]
pub struct Region {
    /// The outline.
    pub outer: Ring,
    /// Holes, each inside `outer` and outside the others; counter-clockwise as well.
    pub holes: Vec<Ring>,
}

impl Ring {
    /// The outline as curves.
    #[must_use]
    pub fn path(&self) -> &BezPath {
        &self.path
    }

    /// The outline as points, the first not repeated at the end.
    #[must_use]
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The points at which the outline turns a corner, in order; none for a circle.
    #[must_use]
    pub fn corners(&self) -> Vec<Point> {
        self.corners.iter().map(|i| self.points[*i]).collect()
    }

    /// True if every side between corners is straight.
    #[must_use]
    pub fn is_polygon(&self) -> bool {
        self.corners.len() == self.points.len()
    }
}

impl Region {
    /// The outline and the holes, the outline first.
    pub fn rings(&self) -> impl Iterator<Item = &Ring> {
        std::iter::once(&self.outer).chain(&self.holes)
    }

    /// True if `p` is inside the outline and in no hole.
    #[must_use]
    pub fn contains(&self, p: Point) -> bool {
        chain::contains(&self.outer.points, p) && !self.holes.iter().any(|h| chain::contains(&h.points, p))
    }

    /// The distance from `p` to the nearest edge, holes included, mm; negative outside.
    #[must_use]
    pub fn depth(&self, p: Point) -> f64 {
        let away = self.rings().map(|r| chain::distance_to_ring(p, &r.points)).fold(f64::INFINITY, f64::min);
        if self.contains(p) { away } else { -away }
    }

    /// The bounding box.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        chain::bounds(&self.outer.points)
    }

    /// The area less the holes, mm².
    #[must_use]
    pub fn area(&self) -> f64 {
        let ring = |r: &Ring| chain::signed_area(&r.points).abs();
        ring(&self.outer) - self.holes.iter().map(ring).sum::<f64>()
    }
}
