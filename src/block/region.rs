//! Regions: a closed outline with holes, kept both as curves and as points.

use kurbo::{Affine, BezPath, ParamCurve, PathSeg, Point, Rect, Vec2};

use crate::base::angle::QUARTER_LEFT;
use crate::base::tolerance::FLATTEN_MM;
use crate::base::{chain, curve};

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

/// The area below which a ring encloses nothing, mm².
const NO_AREA_MM2: f64 = 1e-6;

impl Ring {
    /// The ring along the first subpath of `path`, which is taken as closed and turned counter-clockwise.
    ///
    /// `None` if it encloses no area. Not checked: that the path does not cross itself.
    #[must_use]
    pub fn from_path(path: &BezPath) -> Option<Self> {
        let mut segments = curve::subpaths(path).into_iter().next()?;
        if matches!(segments.last(), Some(PathSeg::Line(l)) if l.p1 == segments[0].start()) {
            segments.pop();
        }
        let mut path = BezPath::from_path_segments(segments.into_iter());
        path.close_path();
        let mut flat = curve::flatten(&path, FLATTEN_MM).into_iter().next()?;
        flat.points.pop();
        let area = chain::signed_area(&flat.points);
        if area.abs() < NO_AREA_MM2 || !area.is_finite() {
            return None;
        }
        if area < 0.0 {
            return Self::from_path(&path.reverse_subpaths());
        }
        let start = flat.corner_at_start.then_some(0);
        let corners = start.into_iter().chain(flat.corners).collect();
        Some(Self { path, points: flat.points, corners })
    }

    /// The ring through `points` by straight sides; the first point is not repeated.
    ///
    /// `None` if it encloses no area. Not checked: that the sides do not cross.
    #[must_use]
    pub fn from_points(points: &[Point]) -> Option<Self> {
        Self::from_path(&curve::path_through(points, true))
    }

    /// The ring shifted.
    #[must_use]
    pub fn moved(&self, by: Vec2) -> Self {
        Self {
            path: Affine::translate(by) * &self.path,
            points: self.points.iter().map(|p| *p + by).collect(),
            corners: self.corners.clone(),
        }
    }

    /// The ring turned a quarter to the left about 0,0, exactly.
    #[must_use]
    pub fn turned_left(&self) -> Self {
        Self {
            path: QUARTER_LEFT * &self.path,
            points: self.points.iter().map(|p| QUARTER_LEFT * *p).collect(),
            corners: self.corners.clone(),
        }
    }

    /// True if the outline is made of straight lines only, whether or not they meet in corners.
    #[must_use]
    pub fn is_straight(&self) -> bool {
        self.path.segments().all(|s| matches!(s, PathSeg::Line(_)))
    }

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

    /// True if every side between corners is straight: a bend too slight for a corner makes it no polygon.
    #[must_use]
    pub fn is_polygon(&self) -> bool {
        self.corners.len() == self.points.len()
    }
}

impl Region {
    /// The region shifted.
    #[must_use]
    pub fn moved(&self, by: Vec2) -> Self {
        Self { outer: self.outer.moved(by), holes: self.holes.iter().map(|h| h.moved(by)).collect() }
    }

    /// The region turned a quarter to the left about 0,0, exactly.
    #[must_use]
    pub fn turned_left(&self) -> Self {
        Self { outer: self.outer.turned_left(), holes: self.holes.iter().map(Ring::turned_left).collect() }
    }

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

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{Circle, Shape};

    #[test]
    fn a_clockwise_square_becomes_counter_clockwise_with_four_corners() {
        let ring = Ring::from_path(&BezPath::from_svg("M0,0 L0,4 L4,4 L4,0 Z").unwrap()).unwrap();
        assert_eq!(chain::signed_area(ring.points()), 16.0);
        assert_eq!(ring.corners().len(), 4);
        assert!(ring.is_polygon() && ring.is_straight());
    }

    #[test]
    fn a_circle_is_no_polygon_and_has_no_corner() {
        let ring = Ring::from_path(&Circle::new((0.0, 0.0), 50.0).to_path(1e-6)).unwrap();
        assert!(!ring.is_polygon() && !ring.is_straight() && ring.corners().is_empty());
    }

    #[test]
    fn a_slight_bend_is_straight_lines_but_no_polygon() {
        let bent = [(0.0, 0.0), (50.0, -2.0), (100.0, 0.0), (100.0, 80.0), (0.0, 80.0)].map(Point::from);
        let ring = Ring::from_points(&bent).unwrap();
        assert!(ring.is_straight() && !ring.is_polygon());
        assert_eq!((ring.points().len(), ring.corners().len()), (5, 4));
    }

    #[test]
    fn depth_counts_holes_and_is_negative_outside() {
        let square = |c: f64, r: f64| {
            Ring::from_points(
                &[(c - r, c - r), (c + r, c - r), (c + r, c + r), (c - r, c + r)].map(Point::from),
            )
            .unwrap()
        };
        let region = Region { outer: square(0.0, 10.0), holes: vec![square(0.0, 2.0)] };
        assert_eq!(region.area(), 384.0);
        assert_eq!(region.depth(Point::new(5.0, 0.0)), 3.0);
        assert_eq!(region.depth(Point::new(1.0, 0.0)), -1.0);
        assert_eq!(region.moved(Vec2::new(5.0, 0.0)).depth(Point::new(16.0, 0.0)), -1.0);
    }

    #[test]
    fn a_quarter_turn_brings_the_right_side_to_the_top() {
        let corners = [(0.0, 0.0), (40.0, 0.0), (0.0, 10.0)].map(Point::from);
        let turned = Ring::from_points(&corners).unwrap().turned_left();
        assert_eq!(turned.points(), [(0.0, 0.0), (0.0, 40.0), (-10.0, 0.0)].map(Point::from));
        assert_eq!(chain::signed_area(turned.points()), 200.0);
        assert_eq!(turned.corners(), turned.points());
    }

    #[test]
    fn a_line_there_and_back_is_no_ring() {
        assert_eq!(Ring::from_points(&[(0.0, 0.0), (9.0, 0.0), (4.0, 0.0)].map(Point::from)), None);
    }
}
