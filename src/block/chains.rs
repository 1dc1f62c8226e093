//! A fine chain that follows an outline → a [`Ring`]: straight sides as lines, the rest as curves fitted to the chain.
//!
//! Method: a chord of a curve flattened to [`FINE_MM`] bulges by no more than that, so a longer chord between two turns is a
//! straight side; what lies between straight sides and corners is fitted with cubics (Schneider, An Algorithm for
//! Automatically Fitting Digitized Curves, Graphics Gems, 1990) [230]. Where the fit strays, the chain itself is kept.

use flo_curves::bezier::{BezierCurve, Curve, fit_curve_cubic};
use flo_curves::geo::{Coord2, Coordinate2D};
use geo::{Coord, LineString};
use kurbo::{BezPath, ParamCurveArclen, Point, Vec2};

use super::corners;
use super::region::Ring;
use crate::base::angle::{turn_deg, unit};
use crate::base::tolerance::{CORNER_DEG, FLATTEN_MM};
use crate::base::{chain, curve};

/// How far the flattened outline may leave the curve before it is worked on, mm: a tenth of what follows it.
pub const FINE_MM: f64 = 0.001;

/// Points nearer than this are one point, mm: what snapping in the boolean operations leaves.
const DUST_MM: f64 = 1e-4;

/// A point nearer than this to the line between its neighbours lies in a straight side, mm.
const IN_LINE_MM: f64 = 1e-5;

/// A chord is a straight side if, bent as its ends turn, it would bulge by more than this, mm.
const BULGE_MM: f64 = 3.0 * FINE_MM;

/// How closely the curves are fitted to the chain's points, mm.
const FIT_MM: f64 = 0.002;

/// A closed path as a chain that leaves its curves by at most [`FINE_MM`].
pub fn fine(path: &BezPath) -> Vec<Point> {
    let Some(mut flat) = curve::flatten(path, FINE_MM).into_iter().next() else { return Vec::new() };
    flat.points.pop();
    flat.points
}

/// A chain as the closed line string that `geo` takes.
pub fn line(points: &[Point]) -> LineString {
    points.iter().map(|p| Coord { x: p.x, y: p.y }).collect()
}

/// The ring along a chain by straight lines only; `None` if it encloses nothing.
pub fn ring_by_lines(points: &[Point]) -> Option<Ring> {
    Ring::from_points(&tidy(points))
}

/// The ring along a fine chain; `None` if it encloses nothing.
pub fn ring_through(points: &[Point]) -> Option<Ring> {
    let points = tidy(points);
    let n = points.len();
    if n < 3 {
        return None;
    }
    let turn =
        |i: usize| turn_deg(points[i % n] - points[(i + n - 1) % n], points[(i + 1) % n] - points[i % n]);
    let turns: Vec<f64> = (0..n).map(turn).collect();
    let straight: Vec<bool> = (0..n).map(|i| is_straight(&points, &turns, i)).collect();
    if straight.iter().all(|s| *s) {
        return Ring::from_points(&points);
    }
    let is_break = |i: &usize| straight[*i] || straight[(i + n - 1) % n] || turns[*i].abs() > CORNER_DEG;
    let breaks: Vec<usize> = (0..n).filter(is_break).collect();
    let (first, smooth) = (breaks.first().copied().unwrap_or(0), breaks.is_empty());
    let mut path = BezPath::new();
    path.move_to(points[first]);
    let ends = breaks.iter().skip(1).copied().chain([first + n]);
    let mut start = first;
    for end in ends {
        let run: Vec<Point> = (start..=end).map(|i| points[i % n]).collect();
        if run.len() == 2 {
            path.line_to(run[1]);
        } else {
            let whole = smooth.then(|| middle_way(points[n - 1], points[0], points[1]));
            let before = (straight[(start + n - 1) % n] && turns[start % n].abs() <= CORNER_DEG)
                .then(|| unit(points[start % n] - points[(start + n - 1) % n]));
            let after = (straight[end % n] && turns[end % n].abs() <= CORNER_DEG)
                .then(|| unit(points[(end + 1) % n] - points[end % n]));
            push_fitted(&run, whole.or(before), whole.or(after), &mut path);
        }
        start = end;
    }
    path.close_path();
    Ring::from_path(&path)
}

/// The chain without points that repeat the one before or lie in a straight side.
fn tidy(points: &[Point]) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::with_capacity(points.len());
    for p in points {
        if kept.last().is_none_or(|last| last.distance(*p) > DUST_MM) {
            kept.push(*p);
        }
    }
    while kept.len() > 1 && kept[0].distance(kept[kept.len() - 1]) <= DUST_MM {
        kept.pop();
    }
    corners::without_straight(&kept, IN_LINE_MM)
}

/// True if the side from point `i` to the next is a straight side and not a chord of a curve.
fn is_straight(points: &[Point], turns: &[f64], i: usize) -> bool {
    let next = (i + 1) % points.len();
    let turn = turns[i].abs().min(turns[next].abs()).to_radians();
    points[i].distance(points[next]) * turn / 8.0 > BULGE_MM
}

/// Adds curves along `run`, which leave and arrive in the given directions, if these are known.
fn push_fitted(run: &[Point], leaving: Option<Vec2>, arriving: Option<Vec2>, path: &mut BezPath) {
    let n = run.len();
    let leaving = leaving.unwrap_or_else(|| end_way(run[0], run[1], run[2]));
    let arriving = arriving.unwrap_or_else(|| -end_way(run[n - 1], run[n - 2], run[n - 3]));
    let coords: Vec<Coord2> = run.iter().map(|p| Coord2(p.x, p.y)).collect();
    let (out, back) = (Coord2(leaving.x, leaving.y), Coord2(-arriving.x, -arriving.y));
    let fitted: Vec<Curve<Coord2>> = fit_curve_cubic(&coords, &out, &back, FIT_MM);
    let point = |c: Coord2| Point::new(c.x(), c.y());
    let mut curves = BezPath::new();
    curves.move_to(run[0]);
    for curve in &fitted {
        let (a, b) = curve.control_points();
        curves.curve_to(point(a), point(b), point(curve.end_point()));
    }
    if follows(&curves, run) {
        path.extend(curves.elements()[1..].iter().copied());
    } else {
        path.extend(curve::path_through(run, false).elements()[1..].iter().copied());
    }
}

/// True if the curves stay by the chain and are no longer than it.
fn follows(curves: &BezPath, run: &[Point]) -> bool {
    const LONGER: f64 = 1.001;
    let flat = curve::flatten(curves, FINE_MM);
    let [flat] = flat.as_slice() else { return false };
    let near = |p: &Point, chain: &[Point]| chain::distance_to_chain(*p, chain) < FLATTEN_MM / 2.0;
    let length: f64 = curves.segments().map(|s| s.arclen(FINE_MM)).sum();
    curves.is_finite()
        && length < chain::length(run) * LONGER + FINE_MM
        && run.iter().all(|p| near(p, &flat.points))
        && flat.points.iter().all(|p| near(p, run))
}

/// The direction at `a` of the circle through `a`, `b`, `c`.
fn end_way(a: Point, b: Point, c: Point) -> Vec2 {
    let share = a.distance(b) / (a.distance(b) + b.distance(c));
    turned(b - a, -turn_deg(b - a, c - b) * share)
}

/// The direction at `b` of the circle through `a`, `b`, `c`.
fn middle_way(a: Point, b: Point, c: Point) -> Vec2 {
    let share = a.distance(b) / (a.distance(b) + b.distance(c));
    turned(b - a, turn_deg(b - a, c - b) * share)
}

fn turned(way: Vec2, degrees: f64) -> Vec2 {
    Vec2::from_angle(way.atan2() + degrees.to_radians())
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{Circle, Ellipse, PathSeg, RoundedRect, Shape};

    fn through(path: &BezPath) -> Ring {
        let mut flat = curve::flatten(path, FINE_MM).remove(0);
        flat.points.pop();
        ring_through(&flat.points).unwrap()
    }

    fn strays(ring: &Ring, from: impl Fn(Point) -> f64) -> f64 {
        ring.points().iter().map(|p| from(*p).abs()).fold(0.0, f64::max)
    }

    #[test]
    fn a_fine_circle_becomes_a_few_arcs_again() {
        for radius in [3.0, 40.0, 400.0] {
            let ring = through(&Circle::new((7.0, -9.0), radius).to_path(1e-7));
            assert!(ring.corners().is_empty());
            assert!(ring.path().elements().len() < 40, "{} elements", ring.path().elements().len());
            let worst = strays(&ring, |p| p.distance(Point::new(7.0, -9.0)) - radius);
            assert!(worst < 0.004, "radius {radius}: {worst}");
        }
    }

    #[test]
    fn a_rounded_square_keeps_four_straight_sides_and_no_corner() {
        let ring = through(&RoundedRect::new(0.0, 0.0, 80.0, 60.0, 10.0).to_path(1e-7));
        let lines: Vec<f64> = ring
            .path()
            .segments()
            .filter_map(|s| if let PathSeg::Line(l) = s { Some(l.p0.distance(l.p1)) } else { None })
            .collect();
        assert_eq!(lines.len(), 4, "{lines:?}");
        assert!(lines.iter().all(|l| (l - 60.0).abs() < 1e-3 || (l - 40.0).abs() < 1e-3), "{lines:?}");
        assert!(ring.corners().is_empty());
    }

    #[test]
    fn a_half_moon_keeps_its_two_corners() {
        let moon = BezPath::from_svg("M-50,0 A50,50 0 0 1 50,0 A80,80 0 0 0 -50,0 Z").unwrap();
        let ring = through(&moon);
        assert_eq!(ring.corners().len(), 2);
        assert!(ring.corners().iter().all(|c| (c.x.abs() - 50.0).abs() < 1e-3 && c.y.abs() < 1e-3));
        assert!(!ring.is_polygon());
    }

    #[test]
    fn a_polygon_with_slight_bends_stays_straight() {
        let points: Vec<Point> = (0..40)
            .map(|i| (Vec2::from_angle(f64::from(i) * std::f64::consts::TAU / 40.0) * 90.0).to_point())
            .collect();
        let ring = ring_through(&points).unwrap();
        assert!(ring.is_straight());
        assert_eq!(ring.points().len(), 40);
    }

    #[test]
    fn an_ellipse_is_followed_closely() {
        let ellipse = Ellipse::new((0.0, 0.0), (90.0, 20.0), 0.4).to_path(1e-7);
        let fine = curve::flatten(&ellipse, 1e-4).remove(0).points;
        let worst = strays(&through(&ellipse), |p| chain::distance_to_ring(p, &fine));
        assert!(worst < 0.004, "{worst}");
    }
}
