//! Whether a line crosses itself, and how near its passes come: found with square bins.

use kurbo::Point;

use super::near::Near;
use crate::base::chain::{nearest_on_segment, sides};

/// True if no two sides of the line cross or touch, but for neighbours at their joint.
#[must_use]
pub fn is_simple(points: &[Point], closed: bool) -> bool {
    crossings(points, closed).is_empty()
}

/// True if none of the closed lines crosses or touches itself or another.
#[must_use]
pub fn are_simple(lines: &[Vec<Point>]) -> bool {
    lines.iter().all(|line| is_simple(line, true)) && !any_meet(lines)
}

/// True if sides of two different closed lines cross or touch.
fn any_meet(lines: &[Vec<Point>]) -> bool {
    if lines.len() < 2 {
        return false;
    }
    let all: Vec<(Point, Point, usize)> =
        lines.iter().enumerate().flat_map(|(k, line)| sides(line).map(move |(a, b)| (a, b, k))).collect();
    let longest = all.iter().map(|(a, b, _)| a.distance(*b)).fold(f64::MIN_POSITIVE, f64::max);
    let starts: Vec<Point> = all.iter().map(|(a, ..)| *a).collect();
    let mut found = false;
    Near::new(&starts, 2.001 * longest).each_pair(|i, j| {
        let ((a, b, of_a), (c, d, of_c)) = (all[i], all[j]);
        found |= of_a != of_c && meet((a, b), (c, d));
    });
    found
}

/// The least distance between two different closed lines of even points, from the points of one to the sides of the other;
/// at most `reach` mm.
#[must_use]
pub fn nearest_lines(lines: &[Vec<Point>], reach: f64) -> f64 {
    let all: Vec<(Point, Point, usize)> =
        lines.iter().enumerate().flat_map(|(k, line)| sides(line).map(move |(a, b)| (a, b, k))).collect();
    let longest = all.iter().map(|(a, b, _)| a.distance(*b)).fold(0.0, f64::max);
    let starts: Vec<Point> = all.iter().map(|(a, ..)| *a).collect();
    let mut least = reach;
    let off = |p: Point, (a, b, _): (Point, Point, usize)| nearest_on_segment(p, a, b).distance(p);
    Near::new(&starts, reach + longest).each_pair(|i, j| {
        if all[i].2 != all[j].2 && starts[i].distance(starts[j]) < least + longest {
            least = least.min(off(starts[i], all[j])).min(off(starts[j], all[i]));
        }
    });
    least
}

/// The pairs of sides that cross or touch, by the numbers of their first points; neighbours at their joint do not count.
#[must_use]
pub fn crossings(points: &[Point], closed: bool) -> Vec<(usize, usize)> {
    let n = points.len();
    let count = if closed { n } else { n.saturating_sub(1) };
    let side = |i: usize| (points[i], points[(i + 1) % n]);
    let longest = (0..count).map(|i| side(i).0.distance(side(i).1)).fold(0.0, f64::max);
    let mut crossings = Vec::new();
    if longest == 0.0 {
        return crossings;
    }
    // Two sides that meet have their starts within twice the longest side.
    Near::new(&points[..count], 2.001 * longest).each_pair(|i, j| {
        let (i, j) = (i.min(j), i.max(j));
        let joined = j == i + 1 || (closed && i == 0 && j == n - 1);
        if !joined && meet(side(i), side(j)) {
            crossings.push((i, j));
        }
    });
    crossings
}

/// True if two straight pieces cross or touch.
#[must_use]
pub fn meet(a: (Point, Point), b: (Point, Point)) -> bool {
    let cross = |p: Point, q: Point, r: Point| (q - p).cross(r - p);
    let (d1, d2) = (cross(b.0, b.1, a.0), cross(b.0, b.1, a.1));
    let (d3, d4) = (cross(a.0, a.1, b.0), cross(a.0, a.1, b.1));
    let boxes = a.0.x.min(a.1.x) <= b.0.x.max(b.1.x)
        && b.0.x.min(b.1.x) <= a.0.x.max(a.1.x)
        && a.0.y.min(a.1.y) <= b.0.y.max(b.1.y)
        && b.0.y.min(b.1.y) <= a.0.y.max(a.1.y);
    boxes && d1 * d2 <= 0.0 && d3 * d4 <= 0.0
}

/// The least distance between parts of an evenly stepped line that are at least `along` mm apart along it, from the points of one to the
/// sides of the other; at most `reach` mm.
#[must_use]
pub fn nearest_passes(points: &[Point], closed: bool, along: f64, reach: f64) -> f64 {
    let n = points.len();
    let mut at = vec![0.0];
    for w in points.windows(2) {
        at.push(at[at.len() - 1] + w[0].distance(w[1]));
    }
    let total = at[n - 1] + if closed { points[n - 1].distance(points[0]) } else { 0.0 };
    let mut least = reach;
    let longest = points.windows(2).map(|w| w[0].distance(w[1])).fold(0.0, f64::max);
    // From a point to the sides that meet in another.
    let to_sides = |p: Point, j: usize| {
        let before = if j == 0 && !closed { j } else { (j + n - 1) % n };
        let after = if j + 1 == n && !closed { j } else { (j + 1) % n };
        let side = |k: usize| nearest_on_segment(p, points[k], points[j]).distance(p);
        side(before).min(side(after))
    };
    Near::new(points, reach).each_pair(|i, j| {
        let apart = (at[j] - at[i]).abs();
        let apart = if closed { apart.min(total - apart) } else { apart };
        if apart >= along && points[i].distance(points[j]) < least + longest {
            least = least.min(to_sides(points[i], j)).min(to_sides(points[j], i));
        }
    });
    least
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(xy: &[(f64, f64)]) -> Vec<Point> {
        xy.iter().map(|p| Point::from(*p)).collect()
    }

    #[test]
    fn a_crossing_is_found_wherever_it_is() {
        let bow = points(&[(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)]);
        assert_eq!(crossings(&bow, true), [(0, 2)]);
        assert_eq!(crossings(&bow[..3], true), []);
        let touching = points(&[(0.0, 0.0), (10.0, 0.0), (10.0, 5.0), (5.0, 0.0)]);
        assert!(!is_simple(&touching, false));
    }

    #[test]
    fn the_nearest_passes_are_those_far_apart_along_the_line() {
        // A hairpin 3 wide and 20 long, a point every millimetre.
        let up = (0..=20).map(|i| Point::new(0.0, f64::from(i)));
        let over = (1..3).map(|i| Point::new(f64::from(i), 20.0));
        let down = (0..=20).map(|i| Point::new(3.0, 20.0 - f64::from(i)));
        let hairpin: Vec<Point> = up.chain(over).chain(down).collect();
        assert_eq!(nearest_passes(&hairpin, false, 8.0, 10.0), 3.0);
        assert_eq!(nearest_passes(&hairpin, false, 60.0, 10.0), 10.0);
    }
}
