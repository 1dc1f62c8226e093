//! Chains: points joined by straight lines, and rings: chains whose last point joins the first (which is not repeated).

use kurbo::{Point, Rect, Vec2};

/// The length of an open chain, mm.
#[must_use]
pub fn length(chain: &[Point]) -> f64 {
    chain.windows(2).map(|w| w[0].distance(w[1])).sum()
}

/// The length round a ring, mm.
#[must_use]
pub fn perimeter(ring: &[Point]) -> f64 {
    sides(ring).map(|(a, b)| a.distance(b)).sum()
}

/// The sides of a ring, in order; the last leads back to the first point.
pub fn sides(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).map(|(a, b)| (*a, *b))
}

/// The signed area of a ring, mm²; counter-clockwise is positive.
#[must_use]
pub fn signed_area(ring: &[Point]) -> f64 {
    let Some(&origin) = ring.first() else { return 0.0 };
    sides(ring).map(|(a, b)| (a - origin).cross(b - origin)).sum::<f64>() / 2.0
}

/// The point of the straight line from `a` to `b` nearest to `p`.
#[must_use]
pub fn nearest_on_segment(p: Point, a: Point, b: Point) -> Point {
    let along = b - a;
    let squared = along.hypot2();
    if squared == 0.0 {
        return a;
    }
    a + along * ((p - a).dot(along) / squared).clamp(0.0, 1.0)
}

/// The distance from `p` to a ring's sides, mm; infinite if the ring has no points.
#[must_use]
pub fn distance_to_ring(p: Point, ring: &[Point]) -> f64 {
    sides(ring).map(|(a, b)| p.distance(nearest_on_segment(p, a, b))).fold(f64::INFINITY, f64::min)
}

/// The distance from `p` to a chain, mm; infinite if the chain has no points.
#[must_use]
pub fn distance_to_chain(p: Point, chain: &[Point]) -> f64 {
    match chain {
        [only] => p.distance(*only),
        _ => chain
            .windows(2)
            .map(|w| p.distance(nearest_on_segment(p, w[0], w[1])))
            .fold(f64::INFINITY, f64::min),
    }
}

/// True if `p` lies inside the ring (even–odd); points on a side may fall either way.
#[must_use]
pub fn contains(ring: &[Point], p: Point) -> bool {
    let mut inside = false;
    for (a, b) in sides(ring) {
        if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y) {
            inside = !inside;
        }
    }
    inside
}

/// The point `along` mm from the start of an open chain, and the direction of travel there.
///
/// Clamped to the ends; `None` for fewer than two points.
#[must_use]
pub fn point_along(chain: &[Point], along: f64) -> Option<(Point, Vec2)> {
    let mut left = along.max(0.0);
    let mut last = None;
    for w in chain.windows(2) {
        let step = w[0].distance(w[1]);
        if step == 0.0 {
            continue;
        }
        if left <= step {
            return Some((w[0].lerp(w[1], left / step), w[1] - w[0]));
        }
        left -= step;
        last = Some((w[1], w[1] - w[0]));
    }
    last
}

/// In how many pieces a straight line is cut where it is bent.
const BEND_PARTS: f64 = 8.0;
/// A cut this close to a point of the chain is left out, mm.
const CUT_MM: f64 = 1e-6;

/// A chain bent so that it begins and ends at `ends`, with the places of its corners in `corners`, which rise.
///
/// Within `reach` mm of an end, or half the chain, points move with the end: wholly there, less and less away from it, so
/// that the chain goes on smoothly. A chain of fewer than two points stays as it is.
#[must_use]
pub fn pulled(chain: &[Point], corners: &[usize], ends: [Point; 2], reach: f64) -> (Vec<Point>, Vec<usize>) {
    let (Some(first), Some(last)) = (chain.first(), chain.last()) else { return (Vec::new(), Vec::new()) };
    let (by_first, by_last) = (ends[0] - *first, ends[1] - *last);
    let total = length(chain);
    let reach = reach.min(total / 2.0).max(f64::MIN_POSITIVE);
    let share = |s: f64| (1.0 - s / reach).max(0.0).powi(2);
    let moved = |p: Point, s: f64| p + by_first * share(s) + by_last * share(total - s);
    let cut = |k: i32| reach * f64::from(k) / BEND_PARTS;
    let mut cuts: Vec<f64> = (1..=BEND_PARTS as i32).flat_map(|k| [cut(k), total - cut(k)]).collect();
    cuts.sort_by(f64::total_cmp);
    let (mut bent, mut kept, mut s) = (vec![ends[0]], Vec::new(), 0.0);
    for (i, w) in chain.windows(2).enumerate() {
        let piece = w[0].distance(w[1]);
        let inner = cuts.iter().filter(|c| **c > s + CUT_MM && **c < s + piece - CUT_MM);
        bent.extend(inner.map(|c| moved(w[0].lerp(w[1], (c - s) / piece), *c)));
        s += piece;
        bent.push(moved(w[1], s));
        if corners.binary_search(&(i + 1)).is_ok() {
            kept.push(bent.len() - 1);
        }
    }
    let end = bent.len() - 1;
    bent[end] = ends[1];
    (bent, kept)
}

/// The corners of the convex hull, counter-clockwise (Andrew's monotone chain, Information Processing Letters 9, 1979) [218].
#[must_use]
pub fn hull(points: &[Point]) -> Vec<Point> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let half = |points: &mut dyn Iterator<Item = &Point>| {
        let mut side: Vec<Point> = Vec::new();
        for p in points {
            while let [.., a, b] = side[..]
                && (b - a).cross(*p - b) <= 0.0
            {
                side.pop();
            }
            side.push(*p);
        }
        side
    };
    let mut all = half(&mut sorted.iter());
    all.extend(half(&mut sorted.iter().rev()));
    all
}

/// The bounding box of points; empty at 0,0 for none.
#[must_use]
pub fn bounds(points: &[Point]) -> Rect {
    let Some(&first) = points.first() else { return Rect::ZERO };
    points.iter().fold(Rect::from_points(first, first), |all, p| all.union_pt(*p))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square() -> Vec<Point> {
        vec![Point::new(0.0, 0.0), Point::new(4.0, 0.0), Point::new(4.0, 4.0), Point::new(0.0, 4.0)]
    }

    #[test]
    fn a_square_has_its_area_and_perimeter() {
        assert_eq!(signed_area(&square()), 16.0);
        assert_eq!(perimeter(&square()), 16.0);
        assert_eq!(length(&square()), 12.0);
    }

    #[test]
    fn inside_and_distance_agree() {
        assert!(contains(&square(), Point::new(1.0, 3.0)));
        assert!(!contains(&square(), Point::new(5.0, 3.0)));
        assert_eq!(distance_to_ring(Point::new(5.0, 3.0), &square()), 1.0);
    }

    #[test]
    fn a_pulled_chain_meets_its_new_ends_and_stays_elsewhere() {
        let chain = [(0.0, 0.0), (20.0, 0.0), (20.0, 10.0)].map(Point::from);
        let ends = [Point::new(0.0, 0.4), Point::new(20.3, 10.0)];
        let (bent, corners) = pulled(&chain, &[1], ends, 4.0);
        assert_eq!([bent[0], bent[bent.len() - 1]], ends);
        assert_eq!(corners.len(), 1);
        assert_eq!(bent[corners[0]], chain[1]);
        let off = bent.iter().map(|p| distance_to_chain(*p, &chain)).fold(0.0, f64::max);
        assert!((off - 0.4).abs() < 1e-9, "{off}");
        let far = |p: &&Point| p.distance(chain[0]) > 4.0 && p.distance(chain[2]) > 4.0;
        assert!(bent.iter().filter(far).all(|p| distance_to_chain(*p, &chain) < 1e-9));
        // A pull along the chain bends nothing.
        let (straight, _) = pulled(&chain[..2], &[], [Point::new(0.3, 0.0), chain[1]], 4.0);
        assert!(straight.iter().all(|p| p.y == 0.0) && straight.windows(2).all(|w| w[0].x < w[1].x));
    }

    #[test]
    fn a_point_along_keeps_its_direction() {
        let (at, way) = point_along(&square(), 6.0).unwrap();
        assert_eq!((at, way), (Point::new(4.0, 2.0), Vec2::new(0.0, 4.0)));
    }
}
