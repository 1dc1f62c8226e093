//! A network → how far inside its drawing a point lies, so that walks can begin and end near the edge.
//!
//! The outline is the convex hull of the drawn lines (A. M. Andrew, "Another efficient algorithm for convex hulls in two
//! dimensions", Information Processing Letters 9, 1979) [218].

use kurbo::Point;

use crate::base::chain::distance_to_ring;
use crate::network::{EdgeKind, Network};

/// Corners kept of an outline: a circle loses less than 0.01 % of its radius.
const MOST_CORNERS: usize = 256;

/// The convex outline of a drawing.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Outline {
    ring: Vec<Point>,
}

impl Outline {
    /// The outline of all drawn lines.
    pub fn of(network: &Network) -> Self {
        let drawn = network.edges.iter().filter(|e| e.kind == EdgeKind::Drawn);
        let ring = hull(drawn.flat_map(|e| e.chain.iter().copied()).collect());
        let every = ring.len().div_ceil(MOST_CORNERS).max(1);
        Self { ring: ring.into_iter().step_by(every).collect() }
    }

    /// How far a point is from the outline, mm; 0 if there is none.
    pub fn depth(&self, p: Point) -> f64 {
        if self.ring.is_empty() { 0.0 } else { distance_to_ring(p, &self.ring) }
    }
}

fn hull(mut points: Vec<Point>) -> Vec<Point> {
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points.dedup();
    let mut ring = half_hull(points.iter());
    let upper = half_hull(points.iter().rev());
    if upper.len() > 2 || ring.len() > 2 {
        ring.pop();
        ring.extend(upper.iter().take(upper.len().saturating_sub(1)));
    }
    ring
}

fn half_hull<'a>(points: impl Iterator<Item = &'a Point>) -> Vec<Point> {
    let mut half: Vec<Point> = Vec::new();
    for &p in points {
        while let [.., a, b] = half[..]
            && (b - a).cross(p - b) <= 0.0
        {
            half.pop();
        }
        half.push(p);
    }
    half
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hull_of_a_square_and_its_middle_has_four_corners() {
        let points = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0), (2.0, 2.0), (2.0, 0.0)];
        let ring = hull(points.iter().map(|p| Point::new(p.0, p.1)).collect());
        assert_eq!(ring.len(), 4);
        assert_eq!(Outline { ring }.depth(Point::new(2.0, 1.0)), 1.0);
    }

    #[test]
    fn a_line_is_its_own_hull() {
        let ring = hull([0.0, 1.0, 3.0].iter().map(|x| Point::new(*x, 0.0)).collect());
        assert_eq!(ring, vec![Point::new(0.0, 0.0), Point::new(3.0, 0.0)]);
        assert!(hull(Vec::new()).is_empty());
    }
}
