//! A fine chain that follows an outline → a [`Ring`] whose corners are only those of the outline.

use kurbo::Point;

use super::region::Ring;

/// Points nearer than this are one point, mm: what snapping in the boolean operations leaves.
const DUST_MM: f64 = 1e-4;

/// The ring along a fine chain; `None` if it encloses nothing.
pub fn ring_through(points: &[Point]) -> Option<Ring> {
    Ring::from_points(&without_dust(points))
}

/// The chain without points that repeat the one before or lie in a straight side.
fn without_dust(points: &[Point]) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::with_capacity(points.len());
    for p in points {
        if kept.last().is_none_or(|last| last.distance(*p) > DUST_MM) {
            kept.push(*p);
        }
    }
    while kept.len() > 1 && kept[0].distance(kept[kept.len() - 1]) <= DUST_MM {
        kept.pop();
    }
    kept
}
