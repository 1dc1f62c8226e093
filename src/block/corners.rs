//! Corners as typed → the corners of a simple polygon, counter-clockwise, without those in the middle of a straight side.

use kurbo::Point;

use super::BlockError;
use crate::base::chain;
use crate::base::tolerance::WELD_MM;

/// A corner nearer than this to the straight line between its neighbours is no corner, mm.
const IN_LINE_MM: f64 = 1e-6;

/// Checks that `corners` go once round a simple polygon, and hands them back counter-clockwise.
///
/// Clockwise corners are turned round, a first corner repeated at the end and corners in the middle of a straight side are dropped.
///
/// # Errors
/// [`BlockError::NoPoint`], [`BlockError::FewCorners`], [`BlockError::RepeatedCorner`], [`BlockError::Crossing`],
/// [`BlockError::NoArea`].
pub fn checked(corners: &[Point]) -> Result<Vec<Point>, BlockError> {
    if let Some(i) = corners.iter().position(|p| !p.is_finite()) {
        return Err(BlockError::NoPoint { number: i + 1 });
    }
    let mut ring = corners.to_vec();
    if ring.len() > 1 && ring[0].distance(ring[ring.len() - 1]) < WELD_MM {
        ring.pop();
    }
    if ring.len() < 3 {
        return Err(BlockError::FewCorners { count: ring.len() });
    }
    if let Some(i) = (1..ring.len()).find(|i| ring[*i].distance(ring[i - 1]) < WELD_MM) {
        return Err(BlockError::RepeatedCorner { number: i + 1 });
    }
    if chain::sides(&ring).all(|(a, _)| off_line(a, ring[0], ring[1]) < IN_LINE_MM) {
        return Err(BlockError::NoArea);
    }
    if let Some((first, second, at)) = crossing(&ring) {
        return Err(BlockError::Crossing { first: first + 1, second: second + 1, at });
    }
    let mut ring = without_straight(&ring, IN_LINE_MM);
    if chain::signed_area(&ring) < 0.0 {
        ring.reverse();
        ring.rotate_right(1);
    }
    Ok(ring)
}

/// True if no corner of a simple, counter-clockwise ring points inwards.
#[must_use]
pub fn is_convex(ring: &[Point]) -> bool {
    let n = ring.len();
    (0..n).all(|i| (ring[(i + 1) % n] - ring[i]).cross(ring[(i + 2) % n] - ring[(i + 1) % n]) >= 0.0)
}

/// The first two sides of a ring that cross, touch or lie on each other, by index, and where; neighbours may share their end.
#[must_use]
pub fn crossing(ring: &[Point]) -> Option<(usize, usize, Point)> {
    let sides: Vec<(Point, Point)> = chain::sides(ring).collect();
    let left = |i: usize| sides[i].0.x.min(sides[i].1.x);
    let right = |i: usize| sides[i].0.x.max(sides[i].1.x);
    let mut order: Vec<usize> = (0..sides.len()).collect();
    order.sort_by(|a, b| left(*a).total_cmp(&left(*b)).then(a.cmp(b)));
    let mut first: Option<(usize, usize, Point)> = None;
    for (n, &i) in order.iter().enumerate() {
        for &j in order[n + 1..].iter().take_while(|j| left(**j) <= right(i) + WELD_MM) {
            let (a, b) = (i.min(j), i.max(j));
            let earlier = first.is_none_or(|(x, y, _)| (a, b) < (x, y));
            if earlier && let Some(at) = meeting(ring.len(), a, b, &sides) {
                first = Some((a, b, at));
            }
        }
    }
    first
}

/// Where sides `a` < `b` of a ring of `count` meet, other than at an end that neighbours share.
fn meeting(count: usize, a: usize, b: usize, sides: &[(Point, Point)]) -> Option<Point> {
    let (p, q) = sides[a];
    let (r, s) = sides[b];
    if a + 1 == b {
        return folds_back(p, q, s);
    }
    if b + 1 == count && a == 0 {
        return folds_back(r, p, q);
    }
    let ends = [(p, r, s), (q, r, s), (r, p, q), (s, p, q)];
    let touching = ends
        .into_iter()
        .find(|(end, from, to)| end.distance(chain::nearest_on_segment(*end, *from, *to)) < IN_LINE_MM);
    if let Some((end, ..)) = touching {
        return Some(end);
    }
    let (along, across) = (q - p, s - r);
    let turn = along.cross(across);
    let (t, u) = ((r - p).cross(across) / turn, (r - p).cross(along) / turn);
    ((0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u)).then(|| p + along * t)
}

/// The tip of two neighbouring sides, if the second runs back along the first.
fn folds_back(from: Point, tip: Point, to: Point) -> Option<Point> {
    let (back, on) = (from - tip, to - tip);
    let near = if back.hypot2() < on.hypot2() { off_line(from, tip, to) } else { off_line(to, tip, from) };
    (back.dot(on) > 0.0 && near < IN_LINE_MM).then_some(tip)
}

/// The distance of `p` from the straight line through `a` and `b`.
fn off_line(p: Point, a: Point, b: Point) -> f64 {
    (b - a).cross(p - a).abs() / (b - a).hypot()
}

/// The ring without the points that lie within `within` mm of the straight line from the last one kept to the next.
#[must_use]
pub fn without_straight(ring: &[Point], within: f64) -> Vec<Point> {
    let in_line = |p: Point, before: Point, after: Point| {
        p.distance(chain::nearest_on_segment(p, before, after)) < within
    };
    let mut kept: Vec<Point> = Vec::with_capacity(ring.len());
    for (i, p) in ring.iter().enumerate() {
        let after = ring[(i + 1) % ring.len()];
        if kept.last().is_none_or(|before| !in_line(*p, *before, after)) {
            kept.push(*p);
        }
    }
    if let [first, second, .., last] = kept[..]
        && in_line(first, last, second)
    {
        kept.remove(0);
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(xy: &[(f64, f64)]) -> Vec<Point> {
        xy.iter().map(|p| Point::from(*p)).collect()
    }

    const SQUARE: [(f64, f64); 4] = [(0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0)];

    #[test]
    fn clockwise_corners_are_turned_round() {
        let mut clockwise = ring(&SQUARE);
        clockwise.reverse();
        let got = checked(&clockwise).unwrap();
        assert_eq!(chain::signed_area(&got), 1600.0);
        assert_eq!(got[0], clockwise[0]);
    }

    #[test]
    fn a_bow_tie_is_refused_with_the_sides_that_cross() {
        let got = checked(&ring(&[(0.0, 0.0), (40.0, 40.0), (40.0, 0.0), (0.0, 40.0)]));
        assert_eq!(got, Err(BlockError::Crossing { first: 1, second: 3, at: Point::new(20.0, 20.0) }));
    }

    #[test]
    fn a_corner_on_another_side_is_refused() {
        let got = checked(&ring(&[(0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (20.0, 0.0), (0.0, 40.0)]));
        assert!(matches!(got, Err(BlockError::Crossing { first: 1, second: 3, .. })), "{got:?}");
    }

    #[test]
    fn a_spike_is_refused() {
        let got =
            checked(&ring(&[(0.0, 0.0), (40.0, 0.0), (60.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0)]));
        assert!(matches!(got, Err(BlockError::Crossing { .. })), "{got:?}");
    }

    #[test]
    fn corners_in_a_straight_side_are_dropped() {
        let got =
            checked(&ring(&[(0.0, 0.0), (20.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0), (0.0, 9.0)]));
        assert_eq!(got.unwrap(), ring(&SQUARE));
    }

    #[test]
    fn a_slight_bend_rounded_off_in_three_points_keeps_one() {
        // The three lie on one line within the tolerance as neighbours, but the bend they make does not.
        let bend = [(0.0, 0.0), (50.0, 0.0), (50.005, 1e-5), (50.01, 3e-5), (100.0, 0.3), (50.0, 80.0)];
        let got = without_straight(&ring(&bend), 1e-4);
        assert_eq!(got.len(), 4, "{got:?}");
    }

    #[test]
    fn a_first_corner_repeated_at_the_end_is_one_corner() {
        let closed = [&SQUARE[..], &SQUARE[..1]].concat();
        assert_eq!(checked(&ring(&closed)).unwrap().len(), 4);
    }

    #[test]
    fn corners_that_make_no_outline_are_refused() {
        assert_eq!(checked(&ring(&SQUARE[..2])), Err(BlockError::FewCorners { count: 2 }));
        assert_eq!(checked(&[]), Err(BlockError::FewCorners { count: 0 }));
        let twice = [SQUARE[0], SQUARE[1], SQUARE[1], SQUARE[2]];
        assert_eq!(checked(&ring(&twice)), Err(BlockError::RepeatedCorner { number: 3 }));
        assert_eq!(checked(&ring(&[(0.0, 0.0), (5.0, 5.0), (9.0, 9.0)])), Err(BlockError::NoArea));
        let nan = [(0.0, 0.0), (f64::NAN, 5.0), (9.0, 9.0)];
        assert_eq!(checked(&ring(&nan)), Err(BlockError::NoPoint { number: 2 }));
    }
}
