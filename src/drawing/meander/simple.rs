//! Whether a line crosses itself, and how near its passes come: found with square bins.

use kurbo::Point;

use super::fence::whole;
use crate::base::chain::bounds;

/// Calls `found` with every pair `i < j` of points that lie in the same or in neighbouring bins `bin` mm wide.
pub fn each_near(points: &[Point], bin: f64, mut found: impl FnMut(usize, usize)) {
    let around = bounds(points);
    let (columns, rows) = (whole(around.width() / bin) + 1, whole(around.height() / bin) + 1);
    let place = |p: &Point| whole((p.y - around.y0) / bin) * columns + whole((p.x - around.x0) / bin);
    // Counting sort: `start[b]..start[b + 1]` are the points of bin b.
    let mut start = vec![0_usize; columns * rows + 1];
    for p in points {
        start[place(p) + 1] += 1;
    }
    for b in 1..start.len() {
        start[b] += start[b - 1];
    }
    let mut fill = start.clone();
    let mut sorted = vec![0_usize; points.len()];
    for (i, p) in points.iter().enumerate() {
        sorted[fill[place(p)]] = i;
        fill[place(p)] += 1;
    }
    for row in 0..rows {
        for column in 0..columns {
            let here = row * columns + column;
            let mine = &sorted[start[here]..start[here + 1]];
            for (k, i) in mine.iter().enumerate() {
                mine[k + 1..].iter().for_each(|j| found(*i.min(j), *i.max(j)));
            }
            let right = if column + 1 < columns { 1 } else { 0 };
            let mut others = Vec::with_capacity(2);
            if right == 1 {
                others.push((here + 1, here + 2));
            }
            if row + 1 < rows {
                let above = here + columns;
                others.push((above - usize::from(column > 0), above + right + 1));
            }
            for (from, to) in others {
                for j in &sorted[start[from]..start[to]] {
                    mine.iter().for_each(|i| found(*i.min(j), *i.max(j)));
                }
            }
        }
    }
}

/// True if no two sides of the line cross or touch, but for neighbours at their joint.
#[must_use]
pub fn is_simple(points: &[Point], closed: bool) -> bool {
    crossings(points, closed).is_empty()
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
    each_near(&points[..count], 2.0 * longest, |i, j| {
        let joined = j == i + 1 || (closed && i == 0 && j == n - 1);
        if !joined && meet(side(i), side(j)) {
            crossings.push((i, j));
        }
    });
    crossings
}

fn meet(a: (Point, Point), b: (Point, Point)) -> bool {
    let cross = |p: Point, q: Point, r: Point| (q - p).cross(r - p);
    let (d1, d2) = (cross(b.0, b.1, a.0), cross(b.0, b.1, a.1));
    let (d3, d4) = (cross(a.0, a.1, b.0), cross(a.0, a.1, b.1));
    let boxes = a.0.x.min(a.1.x) <= b.0.x.max(b.1.x)
        && b.0.x.min(b.1.x) <= a.0.x.max(a.1.x)
        && a.0.y.min(a.1.y) <= b.0.y.max(b.1.y)
        && b.0.y.min(b.1.y) <= a.0.y.max(a.1.y);
    boxes && d1 * d2 <= 0.0 && d3 * d4 <= 0.0
}

/// The least distance between points of an evenly stepped line that are at least `along` mm apart along it; at most `reach` mm.
#[must_use]
pub fn nearest_passes(points: &[Point], closed: bool, along: f64, reach: f64) -> f64 {
    let n = points.len();
    let mut at = vec![0.0];
    for w in points.windows(2) {
        at.push(at[at.len() - 1] + w[0].distance(w[1]));
    }
    let total = at[n - 1] + if closed { points[n - 1].distance(points[0]) } else { 0.0 };
    let mut least = reach * reach;
    each_near(points, reach, |i, j| {
        let apart = at[j] - at[i];
        let apart = if closed { apart.min(total - apart) } else { apart };
        if apart >= along {
            least = least.min(points[i].distance_squared(points[j]));
        }
    });
    least.sqrt()
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
