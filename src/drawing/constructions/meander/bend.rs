//! Bending: lines as even points, straightened a little at a time, and rounded where they turn too sharply.

use kurbo::{Point, Vec2};

use super::fence::whole;
use crate::base::chain;

/// How far a sharp point is pulled in at a time, as a part of the way to the middle of its neighbours times two.
const BLUNT: f64 = 0.15;

/// How often sharp points are pulled in at the most.
const BLUNTINGS: usize = 60;

/// Points about `step` mm apart evenly along the line, at least twelve.
#[must_use]
pub fn even_by(line: &[Point], closed: bool, step: f64) -> Vec<Point> {
    let long = if closed { chain::perimeter(line) } else { chain::length(line) };
    even(line, closed, whole((long / step).round()).max(12))
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

/// Fills `moves` with what evens out the bending of the line: `bend` times the fourth difference of its points, which shakes the line
/// if `bend` is over a sixteenth.
pub fn straighten(points: &[Point], closed: bool, bend: f64, moves: &mut Vec<Vec2>) {
    let n = points.len();
    let turn = |a: Point, b: Point, c: Point| (c - b) - (b - a);
    let end = |i: usize| {
        if closed { turn(points[(i + n - 1) % n], points[i], points[(i + 1) % n]) } else { Vec2::ZERO }
    };
    let (first, last) = (end(0), end(n - 1));
    let inner = points.windows(3).map(|w| turn(w[0], w[1], w[2]));
    let (before_first, after_last) = if closed { (last, first) } else { (Vec2::ZERO, Vec2::ZERO) };
    let (mut before, mut here) = (before_first, first);
    moves.clear();
    for after in inner.chain([last, after_last]) {
        moves.push((here * 2.0 - before - after) * bend);
        (before, here) = (here, after);
    }
}

/// Pulls in every point at which an evenly stepped line turns on a smaller radius than `radius`, in steps, and its neighbours with it.
pub fn blunt(points: &mut [Point], closed: bool, radius: f64) {
    let n = points.len();
    let limit = 1.0 - 0.5 / (radius * radius);
    for _ in 0..BLUNTINGS {
        let side = |i: usize| points[(i + 1) % n] - points[i % n];
        let sharp = |i: &usize| {
            let (a, b) = (side(i + n - 1), side(*i));
            a.dot(b) < limit * (a.hypot2() * b.hypot2()).sqrt()
        };
        let inner = if closed { 0..n } else { 2..n - 2 };
        let sharp: Vec<usize> = inner.filter(sharp).collect();
        let mut moves: Vec<(usize, Vec2)> = Vec::new();
        for i in sharp.into_iter().flat_map(|i| [i + n - 1, i, i + 1]) {
            let i = i % n;
            moves.push((i, (side(i) - side(i + n - 1)) * BLUNT));
        }
        if moves.is_empty() {
            return;
        }
        for (i, by) in moves {
            points[i] += by;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_corner_becomes_round_and_a_straight_line_stays() {
        let mut line: Vec<Point> =
            (0..20).map(|i| Point::new(f64::from(i.min(10)), f64::from((i - 10).max(0)))).collect();
        blunt(&mut line, false, 1.5);
        assert_eq!(line[3], Point::new(3.0, 0.0));
        let turn = |i: usize| {
            let (a, b) = (line[i] - line[i - 1], line[i + 1] - line[i]);
            a.dot(b) / (a.hypot() * b.hypot())
        };
        let sharpest = (1..19).map(turn).fold(1.0, f64::min);
        assert!(sharpest >= 1.0 - 0.5 / 2.25, "a turn of cosine {sharpest}");
    }

    #[test]
    fn straightening_moves_a_kink_back_and_keeps_the_middle() {
        let mut line: Vec<Point> = (0..9).map(|i| Point::new(f64::from(i), 0.0)).collect();
        line[4].y = 1.0;
        let mut moves = Vec::new();
        straighten(&line, false, 0.05, &mut moves);
        let ys: Vec<i32> = moves.iter().map(|m| (m.y * 100.0).round() as i32).collect();
        assert_eq!(ys, [0, 0, -5, 20, -30, 20, -5, 0, 0]);
        straighten(&line, true, 0.05, &mut moves);
        let sum = moves.iter().fold(Vec2::ZERO, |sum, m| sum + *m);
        assert!(sum.hypot() < 1e-12, "the middle is moved by {sum:?}");
    }
}
