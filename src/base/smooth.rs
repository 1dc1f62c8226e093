//! A chain of points that was once a curve → the curve through them, with its corners kept.
//!
//! Method: the tangent at a point is that of the circle through it and its neighbours; at an end or corner it mirrors
//! the tangent of the neighbour, as on a circle. On points of a circle the result leaves it by less than a thousandth
//! of a step. Limits: a corner is told from a tight curve by its neighbours' turns; corners a single step apart may be
//! taken for a curve and the other way round.

use kurbo::{BezPath, Point, Vec2};

use super::angle::{turn_deg, unit};

/// A turn above this is a corner whatever its neighbours, degrees: a curve of 1 mm radius sewn in steps of 0.8 mm turns
/// by 47° a step.
const SHARP_DEG: f64 = 50.0;
/// A turn above this is a corner if it stands out, degrees: smaller ones may be the grid's rounding.
const BLUNT_DEG: f64 = 20.0;
/// A turn stands out if it is more than this many times its neighbours' turns.
const STANDS_OUT: f64 = 2.5;
/// Turns below this are straight, degrees.
const STRAIGHT_DEG: f64 = 1e-6;

/// The curve through `points`; a closed one joins its last point to its first, which is not repeated.
///
/// Points that repeat the one before are left out; fewer than two points are no curve.
#[must_use]
pub fn smooth_path(points: &[Point], closed: bool) -> BezPath {
    let mut points = points.to_vec();
    points.dedup();
    if closed && points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    let closed = closed && points.len() > 2;
    let mut path = BezPath::new();
    if points.len() < 2 {
        return path;
    }
    let tangents = tangents(&points, closed);
    path.move_to(points[0]);
    let count = if closed { points.len() } else { points.len() - 1 };
    for i in 0..count {
        let next = (i + 1) % points.len();
        push_span(&mut path, (points[i], tangents[i]), (points[next], tangents[next]));
    }
    if closed {
        path.close_path();
    }
    path
}

/// Whether the chain turns a corner at each of its points; the ends of an open one always.
#[must_use]
pub fn corners(points: &[Point], closed: bool) -> Vec<bool> {
    let turns: Vec<Option<f64>> = (0..points.len())
        .map(|i| {
            let (before, after) = neighbours(points, i, closed)?;
            Some(turn_deg(points[i] - before, after - points[i]).abs())
        })
        .collect();
    let is_corner = |i: usize| {
        let Some(turn) = turns[i] else { return true };
        let beside = [(i + turns.len() - 1) % turns.len(), (i + 1) % turns.len()];
        let most = beside
            .iter()
            .filter_map(|n| turns[*n])
            .fold(None, |most: Option<f64>, turn| Some(most.map_or(turn, |most| most.max(turn))));
        turn > SHARP_DEG || turn > BLUNT_DEG && most.is_some_and(|most| turn > STANDS_OUT * most)
    };
    (0..points.len()).map(is_corner).collect()
}

fn neighbours(points: &[Point], i: usize, closed: bool) -> Option<(Point, Point)> {
    let last = points.len() - 1;
    match (i, closed) {
        (0, false) => None,
        (0, true) => Some((points[last], points[1])),
        _ if i < last => Some((points[i - 1], points[i + 1])),
        (_, true) => Some((points[i - 1], points[0])),
        (_, false) => None,
    }
}

/// The direction of the curve at every point; `None` at ends and corners.
fn tangents(points: &[Point], closed: bool) -> Vec<Option<Vec2>> {
    let corners = corners(points, closed);
    let tangent = |i: usize| {
        let (before, after) = neighbours(points, i, closed)?;
        let (a, b) = (points[i] - before, after - points[i]);
        // A circle turns from chord to tangent by half the chord's arc.
        let turn = turn_deg(a, b).to_radians() * a.hypot() / (a.hypot() + b.hypot());
        Some(rotated(unit(a), turn))
    };
    (0..points.len()).map(|i| if corners[i] { None } else { tangent(i) }).collect()
}

/// A straight line, or a cubic that is nearly an arc.
fn push_span(path: &mut BezPath, (from, out): (Point, Option<Vec2>), (to, into): (Point, Option<Vec2>)) {
    let chord = to - from;
    let angle = |tangent: Vec2| turn_deg(chord, tangent).to_radians();
    let (out, into) = match (out.map(angle), into.map(angle)) {
        (Some(out), Some(into)) => (out, into),
        (Some(out), None) => (out, -out),
        (None, Some(into)) => (-into, into),
        (None, None) => (0.0, 0.0),
    };
    if out.abs().max(into.abs()) < STRAIGHT_DEG.to_radians() {
        path.line_to(to);
        return;
    }
    // The handle of an arc that turns by `angle` from tangent to chord: 4/3 tan(angle / 2) R.
    let handle = |angle: f64| rotated(chord, angle) / (3.0 * (angle / 2.0).cos().powi(2));
    path.curve_to(from + handle(out), to - handle(into), to);
}

fn rotated(v: Vec2, angle: f64) -> Vec2 {
    let (sin, cos) = angle.sin_cos();
    Vec2::new(v.x * cos - v.y * sin, v.x * sin + v.y * cos)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::curve::flatten;

    fn ring(radius: f64, count: usize) -> Vec<Point> {
        let turn = std::f64::consts::TAU / count as f64;
        (0..count).map(|i| Point::ORIGIN + Vec2::from_angle(turn * i as f64) * radius).collect()
    }

    #[test]
    fn points_of_a_circle_give_the_circle_back() {
        for (points, closed) in [(ring(5.0, 20), true), (ring(5.0, 20)[..13].to_vec(), false)] {
            let flat = flatten(&smooth_path(&points, closed), 0.0001).remove(0);
            let off = flat.points.iter().map(|p| (p.to_vec2().hypot() - 5.0).abs()).fold(0.0, f64::max);
            assert!(off < 0.001, "{off}");
            assert!(flat.corners.is_empty() && flat.closed == closed);
        }
    }

    #[test]
    fn a_square_keeps_its_corners_and_sides() {
        let square =
            [(0.0, 0.0), (2.0, 0.0), (4.0, 0.0), (4.0, 2.0), (4.0, 4.0), (2.0, 4.0), (0.0, 4.0), (0.0, 2.0)];
        let points: Vec<Point> = square.into_iter().map(Point::from).collect();
        let wanted = [true, false, true, false, true, false, true, false];
        assert_eq!(corners(&points, true), wanted);
        assert_eq!(smooth_path(&points, true).to_svg(), "M0,0 L2,0 L4,0 L4,2 L4,4 L2,4 L0,4 L0,2 L0,0 Z");
    }

    #[test]
    fn a_petal_has_corners_at_its_tips_only() {
        // Two arcs of a right angle that meet in tips of 90°.
        let arc = |from: f64, centre: Point| {
            let spoke = move |i: usize| Vec2::from_angle((from + 15.0 * i as f64).to_radians()) * 10.0;
            (0..6).map(move |i| centre + spoke(i))
        };
        let reach = 50.0_f64.sqrt();
        let petal: Vec<Point> =
            arc(45.0, Point::new(0.0, -reach)).chain(arc(225.0, Point::new(0.0, reach))).collect();
        let found = corners(&petal, true);
        assert_eq!((0..12).filter(|i| found[*i]).collect::<Vec<_>>(), [0, 6]);
        let flat = flatten(&smooth_path(&petal, true), 0.001).remove(0);
        let off = flat.points.iter().map(|p| {
            let far = |y: f64| (p.distance(Point::new(0.0, y)) - 10.0).abs();
            far(-reach).min(far(reach))
        });
        let off = off.fold(0.0, f64::max);
        assert!(off < 0.01, "{off}");
    }

    #[test]
    fn too_few_points_are_no_curve() {
        assert!(smooth_path(&[], true).is_empty());
        assert!(smooth_path(&[Point::ORIGIN, Point::ORIGIN], false).is_empty());
        assert_eq!(smooth_path(&[Point::ORIGIN, Point::new(1.0, 0.0)], true).to_svg(), "M0,0 L1,0");
    }
}
