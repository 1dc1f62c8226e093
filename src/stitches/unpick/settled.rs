//! Holes of a line → where they were before the machine's grid rounded them, as well as the line tells.
//!
//! Of all lines whose points round to these holes it is nearly the one that bends most evenly: every point is drawn to where
//! its neighbours' bend would have it (the least fourth difference), and never leaves its own square of the grid. Ends,
//! corners and places where lines meet stay where they are.

use kurbo::{Point, Vec2};

use crate::base::smooth::corners;
use crate::base::tolerance::GRID_MM;

/// Times over which the points are drawn; more change nothing that can be seen.
const ROUNDS: usize = 40;
/// How far a point goes each time towards where its neighbours have it; the fourth difference settles below 1/8.
const SHARE: f64 = 1.0 / 12.0;

/// The holes as they were before rounding; `meets` are those that stay.
#[must_use]
pub fn settled(holes: &[Point], meets: &[bool], closed: bool) -> Vec<Point> {
    let n = holes.len();
    if n < 5 {
        return holes.to_vec();
    }
    let corner = corners(holes, closed);
    let stays = |i: usize| corner[i] || meets.get(i).copied().unwrap_or(true);
    // The five points about each that moves; none of the inner three is a corner or an end.
    let about = |i: usize| -> Option<[usize; 5]> {
        if !closed && (i < 2 || i + 2 >= n) {
            return None;
        }
        let five = [i + n - 2, i + n - 1, i, i + 1, i + 2].map(|k| k % n);
        (!stays(i) && !corner[five[1]] && !corner[five[3]]).then_some(five)
    };
    let moving: Vec<[usize; 5]> = (0..n).filter_map(about).collect();
    let mut points = holes.to_vec();
    for _ in 0..ROUNDS {
        let steps: Vec<Vec2> = moving
            .iter()
            .map(|five| {
                let [a, b, c, d, e] = five.map(|k| points[k].to_vec2());
                (a - 4.0 * b + 6.0 * c - 4.0 * d + e) * SHARE
            })
            .collect();
        for (five, step) in moving.iter().zip(steps) {
            let i = five[2];
            points[i] = within(points[i] - step, holes[i]);
        }
    }
    points
}

/// The point nearest to `p` that rounds to `hole`.
fn within(p: Point, hole: Point) -> Point {
    let half = GRID_MM / 2.0;
    Point::new(p.x.clamp(hole.x - half, hole.x + half), p.y.clamp(hole.y - half, hole.y + half))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounded_holes_of_a_slanting_line_lie_on_it_again() {
        let exact = |i: usize| Point::new(0.03, 0.02) + Vec2::new(2.41, 0.37) * i as f64;
        let rounded = |p: Point| Point::new((p.x * 10.0).round() / 10.0, (p.y * 10.0).round() / 10.0);
        let holes: Vec<Point> = (0..30).map(|i| rounded(exact(i))).collect();
        let mut meets = vec![false; 30];
        (meets[0], meets[29]) = (true, true);
        let off = |points: &[Point]| {
            let way = Vec2::new(2.41, 0.37);
            let far = points.iter().map(|p| ((*p - exact(0)).cross(way) / way.hypot()).abs());
            (far.sum::<f64>()) / 30.0
        };
        let settled = settled(&holes, &meets, false);
        assert!(off(&settled) < 0.6 * off(&holes), "{} of {}", off(&settled), off(&holes));
        assert!(settled.iter().zip(&holes).all(|(a, b)| rounded(*a).distance(*b) < 0.1001));
    }

    #[test]
    fn corners_and_ends_stay() {
        let holes: Vec<Point> = (0..6)
            .map(|i| Point::new(2.0 * f64::from(i), 0.0))
            .chain((1..6).map(|i| Point::new(10.0, 2.0 * f64::from(i))))
            .collect();
        let settled = settled(&holes, &[false; 11], false);
        assert_eq!((settled[0], settled[5], settled[10]), (holes[0], holes[5], holes[10]));
    }
}
