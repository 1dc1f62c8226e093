//! Curves: flattening, arc length and joints of Bézier paths.
//!
//! Flattening uses `lyon_geom` (never over its tolerance), arc length `kurbo`.

use kurbo::{BezPath, CubicBez, ParamCurve, ParamCurveArclen, PathEl, PathSeg, Point, Vec2};

use super::angle::turn_deg;
use super::tolerance::{ARC_LENGTH_MM, CORNER_DEG};

/// One subpath as a chain of points, with the indices at which the path turns a corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Flat {
    /// The points; a closed subpath repeats its first point at the end.
    pub points: Vec<Point>,
    /// Indices into `points`, ends excluded, where the tangent turns by more than [`CORNER_DEG`].
    pub corners: Vec<usize>,
    /// True if the subpath returns to its first point.
    pub closed: bool,
    /// True if a closed subpath turns a corner at its first point (always true for an open one).
    pub corner_at_start: bool,
}

/// Flattens every subpath of `path`; no point of the curve is further than `tolerance` mm from its chain.
#[must_use]
pub fn flatten(path: &BezPath, tolerance: f64) -> Vec<Flat> {
    subpaths(path).iter().filter_map(|segments| flatten_segments(segments, tolerance)).collect()
}

/// The segments of each subpath, in order; empty subpaths and segments without length are left out.
#[must_use]
pub fn subpaths(path: &BezPath) -> Vec<Vec<PathSeg>> {
    let mut all = Vec::new();
    let mut elements: Vec<PathEl> = Vec::new();
    for element in path.elements() {
        if matches!(element, PathEl::MoveTo(_)) && !elements.is_empty() {
            all.push(std::mem::take(&mut elements));
        }
        elements.push(*element);
    }
    all.push(elements);
    all.into_iter()
        .map(|els| BezPath::from_vec(els).segments().filter(|s| !is_point(s)).collect::<Vec<_>>())
        .filter(|segments| !segments.is_empty())
        .collect()
}

/// The arc length of a path, mm.
#[must_use]
pub fn path_length(path: &BezPath) -> f64 {
    path.segments().map(|s| s.arclen(ARC_LENGTH_MM)).sum()
}

/// The tangent at the start of a segment, looking past control points that coincide.
#[must_use]
pub fn start_tangent(segment: &PathSeg) -> Vec2 {
    let [p0, p1, p2, p3] = as_cubic(segment);
    [p1 - p0, p2 - p0, p3 - p0].into_iter().find(|v| v.hypot() > 1e-9).unwrap_or(Vec2::ZERO)
}

/// The tangent at the end of a segment, looking past control points that coincide.
#[must_use]
pub fn end_tangent(segment: &PathSeg) -> Vec2 {
    let [p0, p1, p2, p3] = as_cubic(segment);
    [p3 - p2, p3 - p1, p3 - p0].into_iter().find(|v| v.hypot() > 1e-9).unwrap_or(Vec2::ZERO)
}

/// Curves that begin where the one before ended, as one open subpath.
#[must_use]
pub fn path_of(curves: &[CubicBez]) -> BezPath {
    let mut path = BezPath::new();
    path.extend(curves.first().map(|c| PathEl::MoveTo(c.p0)));
    path.extend(curves.iter().map(|c| PathEl::CurveTo(c.p1, c.p2, c.p3)));
    path
}

/// A chain as a path of straight lines.
#[must_use]
pub fn path_through(points: &[Point], closed: bool) -> BezPath {
    let mut path = BezPath::new();
    for (i, p) in points.iter().enumerate() {
        if i == 0 {
            path.move_to(*p);
        } else {
            path.line_to(*p);
        }
    }
    if closed && !points.is_empty() {
        path.close_path();
    }
    path
}

/// A smooth curve through points: cubic pieces that share their tangents, by Catmull and Rom's rule with chord lengths
/// (E. Catmull and R. Rom, A class of local interpolating splines, 1974) [232].
///
/// An open curve sets out and arrives straight. Fewer than two points give an empty path.
#[must_use]
pub fn path_smooth(points: &[Point], closed: bool) -> BezPath {
    let n = points.len();
    let mut path = BezPath::new();
    if n < 2 {
        return path;
    }
    let side = |i: usize| points[(i + 1) % n] - points[i % n];
    let tangent = |i: usize| {
        if !closed && (i == 0 || i == n - 1) {
            return side(if i == 0 { 0 } else { n - 2 });
        }
        let (before, after) = (side(i + n - 1), side(i));
        let (a, b) = (before.hypot().max(1e-12), after.hypot().max(1e-12));
        (before * (b / a) + after * (a / b)) / (a + b)
    };
    let tangent = |i: usize| super::angle::unit(tangent(i % n));
    path.move_to(points[0]);
    for i in 0..if closed { n } else { n - 1 } {
        let (from, to) = (points[i], points[(i + 1) % n]);
        // A handle of a third of the chord suits small turns: an arc of angle a needs 4/3 tan(a/4) of its radius.
        let third = from.distance(to) / 3.0;
        path.curve_to(from + tangent(i) * third, to - tangent(i + 1) * third, to);
    }
    if closed {
        path.close_path();
    }
    path
}

fn flatten_segments(segments: &[PathSeg], tolerance: f64) -> Option<Flat> {
    let first = segments.first()?.start();
    let mut points = vec![first];
    let mut corners = Vec::new();
    for (i, segment) in segments.iter().enumerate() {
        if i > 0 && turn_deg(end_tangent(&segments[i - 1]), start_tangent(segment)).abs() > CORNER_DEG {
            corners.push(points.len() - 1);
        }
        push_flattened(segment, tolerance, &mut points);
    }
    let last = segments.last()?;
    let closed = last.end().distance(first) < 1e-6;
    if closed && let Some(end) = points.last_mut() {
        *end = first;
    }
    let turn = turn_deg(end_tangent(last), start_tangent(&segments[0])).abs();
    Some(Flat { points, corners, closed, corner_at_start: !closed || turn > CORNER_DEG })
}

fn push_flattened(segment: &PathSeg, tolerance: f64, points: &mut Vec<Point>) {
    if let PathSeg::Line(line) = segment {
        points.push(line.p1);
        return;
    }
    let [p0, p1, p2, p3] = as_cubic(segment).map(|p| lyon_geom::point(p.x, p.y));
    let cubic = lyon_geom::CubicBezierSegment { from: p0, ctrl1: p1, ctrl2: p2, to: p3 };
    // A curve and its reverse get the same points, so that a line drawn both ways is one line.
    if (p3.x, p3.y) >= (p0.x, p0.y) {
        cubic.for_each_flattened(tolerance, &mut |piece| points.push(Point::new(piece.to.x, piece.to.y)));
        return;
    }
    let start = points.len();
    let backward = lyon_geom::CubicBezierSegment { from: p3, ctrl1: p2, ctrl2: p1, to: p0 };
    backward.for_each_flattened(tolerance, &mut |piece| points.push(Point::new(piece.from.x, piece.from.y)));
    points[start..].reverse();
}

fn as_cubic(segment: &PathSeg) -> [Point; 4] {
    let c = segment.to_cubic();
    [c.p0, c.p1, c.p2, c.p3]
}

fn is_point(segment: &PathSeg) -> bool {
    let [p0, p1, p2, p3] = as_cubic(segment);
    [p1, p2, p3].iter().all(|p| p.distance(p0) < 1e-9)
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{Circle, Shape};

    #[test]
    fn a_circle_flattens_to_a_closed_chain_without_corners() {
        let flat = flatten(&Circle::new((0.0, 0.0), 10.0).to_path(1e-6), 0.01);
        assert_eq!(flat.len(), 1);
        assert!(flat[0].closed && !flat[0].corner_at_start && flat[0].corners.is_empty());
        let worst = flat[0].points.windows(2).map(|w| 10.0 - w[0].midpoint(w[1]).to_vec2().hypot());
        let worst = worst.fold(0.0, f64::max);
        assert!(worst <= 0.0101, "the chain leaves the circle by {worst} mm");
    }

    #[test]
    fn a_curve_drawn_backward_has_the_same_points() {
        let forward = BezPath::from_svg("M0,0 C3,9 12,-4 10,5").unwrap();
        let mut points = flatten(&forward.reverse_subpaths(), 0.01).remove(0).points;
        points.reverse();
        assert_eq!(flatten(&forward, 0.01)[0].points, points);
    }

    #[test]
    fn a_square_keeps_its_corners() {
        let path = BezPath::from_svg("M0,0 L10,0 L10,10 L0,10 Z").unwrap();
        let flat = flatten(&path, 0.01);
        assert_eq!(flat[0].corners, vec![1, 2, 3]);
        assert!(flat[0].corner_at_start);
    }

    #[test]
    fn a_smooth_path_through_points_of_a_circle_is_round_and_has_no_corner() {
        let points: Vec<Point> = (0..12)
            .map(|i| Point::ZERO + 10.0 * Vec2::from_angle(f64::from(i) * 30_f64.to_radians()))
            .collect();
        let flat = &flatten(&path_smooth(&points, true), 0.001)[0];
        assert!(flat.closed && flat.corners.is_empty() && !flat.corner_at_start);
        let worst = flat.points.iter().map(|p| (p.to_vec2().hypot() - 10.0).abs()).fold(0.0, f64::max);
        assert!(worst < 0.02, "the curve leaves the circle by {worst} mm");
        let open = path_smooth(&points[..3], false);
        assert_eq!((open.segments().count(), open.segments().last().map(|s| s.end())), (2, Some(points[2])));
    }

    #[test]
    fn two_subpaths_stay_two() {
        let path = BezPath::from_svg("M0,0 L10,0 M5,5 L5,9 L6,9").unwrap();
        assert_eq!(flatten(&path, 0.01).len(), 2);
    }
}
