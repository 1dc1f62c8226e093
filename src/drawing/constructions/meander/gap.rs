//! The widest gap that a line leaves in a region.

use kurbo::Point;
use spade::{DelaunayTriangulation, Point2, Triangulation};

use super::fence::Bins;
use crate::base::chain::{length, sides};
use crate::block::region::Region;

/// The diameter of the largest circle without a point of the line in it, its middle in the region, mm.
///
/// Inside, the middle is a corner of the Voronoi diagram of the points; along the edges it is looked for every tenth of
/// `spacing` and at the corners, and there right to a hundredth of the spacing where the gap is at most two spacings wide.
#[must_use]
pub fn widest_gap(points: &[Point], spacing: f64, region: &Region) -> f64 {
    let all = points.iter().map(|p| Point2::new(p.x, p.y)).collect();
    let Ok(mesh) = DelaunayTriangulation::<Point2<f64>>::bulk_load(all) else { return f64::INFINITY };
    let mut widest = 0.0;
    for face in mesh.inner_faces() {
        let (middle, squared) = face.circumcircle();
        if squared > widest && region.contains(Point::new(middle.x, middle.y)) {
            widest = squared;
        }
    }
    let mut bins = Bins::new(region.bounds(), spacing);
    points.iter().for_each(|p| bins.add(*p));
    for ring in region.rings() {
        for (a, b) in sides(ring.points()) {
            let steps = (length(&[a, b]) / (spacing / 10.0)).ceil().max(1.0);
            let mut k = 0.0;
            while k < steps {
                let away = bins.nearest(a.lerp(b, k / steps)).map_or(f64::INFINITY, |(_, d)| d);
                widest = widest.max(away * away);
                k += 1.0;
            }
        }
    }
    2.0 * widest.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::region::Ring;

    #[test]
    fn the_gap_of_a_ring_is_its_inside_or_the_corner_outside_it() {
        let square = [(-50.0, -50.0), (50.0, -50.0), (50.0, 50.0), (-50.0, 50.0)].map(Point::from);
        let region = Region { outer: Ring::from_points(&square).unwrap(), holes: Vec::new() };
        let ring = |radius: f64| -> Vec<Point> {
            let way = |i: u32| kurbo::Vec2::from_angle(f64::from(i) / 360.0 * std::f64::consts::TAU);
            (0..360).map(|i| Point::ZERO + way(i) * radius).collect()
        };
        assert!((widest_gap(&ring(45.0), 30.0, &region) - 90.0).abs() < 0.01);
        let corner = 2.0 * (50.0 * std::f64::consts::SQRT_2 - 30.0);
        assert!((widest_gap(&ring(30.0), 45.0, &region) - corner).abs() < 0.01);
    }
}
