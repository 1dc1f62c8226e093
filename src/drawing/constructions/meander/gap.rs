//! The widest gap that a line leaves in a region.

use kurbo::Point;
use spade::{DelaunayTriangulation, Point2, Triangulation};

use super::fence::Bins;
use crate::base::chain::sides;
use crate::block::region::Region;

/// The diameter of the largest circle without a point of the line in it, its middle in the region, mm.
///
/// Inside, the middle is a corner of the Voronoi diagram of the points; along the edges it is found by branch and bound,
/// since distance grows no faster than the way along the edge, right to a hundredth of `spacing`.
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
    let mut radius = widest.sqrt();
    for (a, b) in region.rings().flat_map(|ring| sides(ring.points())) {
        radius = farthest_on(a, b, radius, spacing, &bins);
    }
    2.0 * radius
}

/// The larger of `least` and the largest distance from a point of the side to the nearest in the bins, right to half a
/// hundredth of `spacing`.
fn farthest_on(a: Point, b: Point, least: f64, spacing: f64, bins: &Bins) -> f64 {
    let away = |p: Point| bins.nearest(p).map_or(f64::INFINITY, |(_, d)| d);
    let steps = (a.distance(b) / spacing).ceil().max(1.0) as usize;
    let at = |k: usize| a.lerp(b, k as f64 / steps as f64);
    let mut farthest = least.max(away(a)).max(away(b));
    let mut open: Vec<_> = (0..steps).map(|k| (at(k), at(k + 1))).collect();
    while let Some((a, b)) = open.pop() {
        let middle = a.midpoint(b);
        farthest = farthest.max(away(middle));
        let at_most = f64::midpoint(away(middle), away(a).max(away(b))) + a.distance(b) / 4.0;
        if farthest.is_finite() && at_most > farthest + spacing / 200.0 {
            open.extend([(a, middle), (middle, b)]);
        }
    }
    farthest
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

    #[test]
    fn a_gap_whose_middle_lies_between_tenths_of_the_edge_is_found() {
        let square = [(0.0, 0.0), (100.0, 0.0), (100.0, 2.0), (0.0, 2.0)].map(Point::from);
        let region = Region { outer: Ring::from_points(&square).unwrap(), holes: Vec::new() };
        let points: Vec<Point> = (0..=210)
            .filter(|x| !(87..=104).contains(x))
            .map(|x| Point::new(f64::from(x) * 0.5, -0.2))
            .collect();
        let missing = 2.0 * 4.75_f64.hypot(2.2);
        assert!((widest_gap(&points, 10.0, &region) - missing).abs() < 0.1);
    }
}
