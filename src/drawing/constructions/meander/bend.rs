//! Bends: lines as even points, smoothed, and how much of them is flat.

use kurbo::{Point, Vec2};

use super::fence::whole;
use crate::base::chain;

/// A line is flat where its radius is larger than this, spacings: 40 mm at half an inch.
const FLAT_RADIUS: f64 = 3.15;

/// Points to each side over which curvature is taken.
const REACH: usize = 2;

/// Points about `step` mm apart evenly along a closed line, at least twelve.
#[must_use]
pub fn even_by(line: &[Point], step: f64) -> Vec<Point> {
    even(line, true, whole((chain::perimeter(line) / step).round()).max(12))
}

/// `count` points evenly along the line, its ends kept if it is open.
#[must_use]
pub fn even(line: &[Point], closed: bool, count: usize) -> Vec<Point> {
    let mut chain: Vec<Point> = line.to_vec();
    if closed && let Some(first) = line.first() {
        chain.push(*first);
    }
    let total = chain::length(&chain);
    let parts = if closed { count } else { count - 1 };
    let step = total / parts as f64;
    let mut points = Vec::with_capacity(count);
    let (mut done, mut next) = (0.0, 0.0);
    for w in chain.windows(2) {
        let long = w[0].distance(w[1]);
        while points.len() < count && next <= done + long && long > 0.0 {
            points.push(w[0].lerp(w[1], (next - done) / long));
            next += step;
        }
        done += long;
    }
    while points.len() < count {
        points.extend(chain.last());
    }
    points
}

/// The points of a closed line weighted by `kernel`, whose middle is the point itself.
#[must_use]
pub fn filtered(points: &[Point], kernel: &[f64]) -> Vec<Point> {
    let moves: Vec<Vec2> = points.iter().map(|p| p.to_vec2()).collect();
    spread(&moves, kernel).into_iter().map(Vec2::to_point).collect()
}

/// Values along a closed line weighted by `kernel`, whose middle is the value itself.
#[must_use]
pub fn spread(values: &[Vec2], kernel: &[f64]) -> Vec<Vec2> {
    let (n, half) = (values.len(), kernel.len() / 2);
    let at = |i: usize, j: usize| values[(i + j + n * kernel.len() - half) % n];
    let total: f64 = kernel.iter().sum();
    let sum = |i: usize| kernel.iter().enumerate().fold(Vec2::ZERO, |sum, (j, w)| sum + at(i, j) * *w);
    (0..n).map(|i| sum(i) / total).collect()
}

/// The curvature at every point of a closed line of even points, 1/mm, to the left positive.
#[must_use]
pub fn curvature(points: &[Point]) -> Vec<f64> {
    let n = points.len();
    let at = |i: usize| {
        let (a, b, c) = (points[(i + n - REACH) % n], points[i], points[(i + REACH) % n]);
        let product = (b - a).hypot() * (c - b).hypot() * (c - a).hypot();
        if product > 0.0 { 2.0 * (b - a).cross(c - b) / product } else { 0.0 }
    };
    (0..n).map(at).collect()
}

/// Which part of a closed line of even points is flat, and its longest flat run, in points.
#[must_use]
pub fn flat(points: &[Point], spacing: f64) -> (f64, usize) {
    let is_flat: Vec<bool> =
        curvature(points).iter().map(|k| k.abs() * spacing * FLAT_RADIUS < 1.0).collect();
    let n = is_flat.len();
    let (mut longest, mut run) = (0, 0);
    for i in 0..2 * n {
        run = if is_flat[i % n] { run + 1 } else { 0 };
        longest = longest.max(run.min(n));
    }
    (is_flat.iter().filter(|f| **f).count() as f64 / n as f64, longest)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A stadium: two straights of 100 mm between half circles of 20 mm, about a millimetre a point.
    fn stadium() -> Vec<Point> {
        let arc = |x: f64, from: f64| {
            let at = move |k: u32| from + f64::from(k) / 63.0 * std::f64::consts::PI;
            (0..63).map(move |k| Point::new(x, 20.0) + Vec2::from_angle(at(k)) * 20.0)
        };
        let low = (0..100).map(|k| Point::new(f64::from(k), 0.0));
        let high = (0..100).map(|k| Point::new(100.0 - f64::from(k), 40.0));
        let half = std::f64::consts::FRAC_PI_2;
        low.chain(arc(100.0, -half)).chain(high).chain(arc(0.0, half)).collect()
    }

    #[test]
    fn the_straights_of_a_stadium_are_flat_and_its_ends_are_not() {
        let points = even_by(&stadium(), 1.0);
        let (share, run) = flat(&points, 12.7);
        assert!((share - 200.0 / (200.0 + 40.0 * std::f64::consts::PI)).abs() < 0.02, "{share}");
        assert!(run.abs_diff(100) < 4, "{run}");
        let bent = curvature(&points).into_iter().fold(0.0, f64::max);
        assert!((bent - 0.05).abs() < 0.003, "{bent}");
    }

    #[test]
    fn a_filter_keeps_what_is_even_and_flattens_a_spike() {
        let mut values = vec![Vec2::new(1.0, 0.0); 9];
        values[4].x = 5.0;
        let xs: Vec<f64> = spread(&values, &[1.0, 2.0, 1.0]).iter().map(|v| v.x).collect();
        assert_eq!(xs, [1.0, 1.0, 1.0, 2.0, 3.0, 2.0, 1.0, 1.0, 1.0]);
    }
}
