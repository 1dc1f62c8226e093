//! A guide: a fine chain with its directions, looked up by the length along it.
//!
//! Spines and the lines on which plume heads stand are guides. What is drawn is not the chain: curves are laid through
//! points of the guide along its directions ([`Guide::curve`]).
//! Limits: a point looked up lies within a micrometre of the smooth line if neighbours are [`STEP_MM`] apart.

use kurbo::{BezPath, Point, Vec2};

use crate::base::angle::unit;
use crate::base::chain;

/// How far apart the points of a guide stand, mm: fine enough that a chord of a 10 mm bend leaves it by 3 µm.
pub const STEP_MM: f64 = 0.5;

/// The longest piece between two knots of a drawn curve, mm.
const KNOT_MM: f64 = 6.0;

/// A fine chain, open or closed.
#[derive(Debug, Clone)]
pub struct Guide {
    // Invariant: at least two points; a closed guide repeats its first point at the end.
    points: Vec<Point>,
    // Invariant: the unit direction at each point.
    ways: Vec<Vec2>,
    // Invariant: the length along the chain at each point, rising.
    along: Vec<f64>,
    closed: bool,
}

impl Guide {
    /// The guide along an open chain; `None` if it has no length.
    pub fn open(points: &[Point]) -> Option<Self> {
        Self::new(points.to_vec(), false)
    }

    /// The guide round a ring whose first point is not repeated; `None` if it has no length.
    pub fn closed(ring: &[Point]) -> Option<Self> {
        let mut points = ring.to_vec();
        points.push(*ring.first()?);
        Self::new(points, true)
    }

    fn new(points: Vec<Point>, closed: bool) -> Option<Self> {
        let points = evenly(&points)?;
        let n = points.len();
        let mut along = vec![0.0; n];
        for i in 1..n {
            along[i] = along[i - 1] + points[i].distance(points[i - 1]);
        }
        let ways = (0..n).map(|i| {
            let before = if i > 0 {
                i - 1
            } else if closed {
                n - 2
            } else {
                0
            };
            let after = if i + 1 < n {
                i + 1
            } else if closed {
                1
            } else {
                n - 1
            };
            match (closed, i) {
                (true, _) if i == 0 || i + 1 == n => unit(points[1] - points[n - 2]),
                _ => unit(points[after] - points[before]),
            }
        });
        let mut ways: Vec<Vec2> = ways.collect();
        if !closed && n > 3 {
            // At an open end the chord leans by half a step's bend: carry the bend on.
            ways[0] = unit(unit(points[1] - points[0]) * 2.0 - ways[1]);
            ways[n - 1] = unit(unit(points[n - 1] - points[n - 2]) * 2.0 - ways[n - 2]);
        }
        Some(Self { points, ways, along, closed })
    }

    /// Its length, mm.
    pub fn length(&self) -> f64 {
        self.along[self.along.len() - 1]
    }

    /// The point and the unit direction `s` mm along; round and round if closed, held at the ends if open.
    pub fn at(&self, s: f64) -> (Point, Vec2) {
        let s = if self.closed { s.rem_euclid(self.length()) } else { s.clamp(0.0, self.length()) };
        let i = self.along.partition_point(|a| *a <= s).clamp(1, self.along.len() - 1);
        let t = (s - self.along[i - 1]) / (self.along[i] - self.along[i - 1]);
        let way = self.ways[i - 1].lerp(self.ways[i], t);
        (self.points[i - 1].lerp(self.points[i], t), unit(way))
    }

    /// How far along the point nearest to `p` lies, mm.
    pub fn nearest(&self, p: Point) -> f64 {
        let mut best = (f64::INFINITY, 0.0);
        for (i, w) in self.points.windows(2).enumerate() {
            let q = chain::nearest_on_segment(p, w[0], w[1]);
            let away = q.distance_squared(p);
            if away < best.0 {
                best = (away, self.along[i] + q.distance(w[0]));
            }
        }
        best.1
    }

    /// The point of it nearest to `p`.
    pub fn nearest_to(&self, p: Point) -> Point {
        self.at(self.nearest(p)).0
    }

    /// `s`, or the same place rounds later or earlier on a closed guide, whichever is nearest to `t`.
    pub fn beside(&self, s: f64, t: f64) -> f64 {
        if self.closed { s + ((t - s) / self.length()).round() * self.length() } else { s }
    }

    /// The part of an open guide up to `s` mm along; `None` if that is nothing.
    pub fn upto(&self, s: f64) -> Option<Self> {
        let n = self.along.partition_point(|a| *a < s - 1e-6);
        let mut points = self.points[..n].to_vec();
        points.push(self.at(s).0);
        Self::open(&points)
    }

    /// The part of a closed guide from `s` to `t` mm along; `None` if that is nothing.
    pub fn between(&self, s: f64, t: f64) -> Option<Self> {
        let length = (t - s).rem_euclid(self.length());
        let pieces = (length / STEP_MM).ceil().max(1.0) as usize;
        let points: Vec<Point> =
            (0..=pieces).map(|i| self.at(s + length * i as f64 / pieces as f64).0).collect();
        Self::open(&points)
    }

    /// The part of an open guide from `s` mm along; `None` if that is nothing.
    pub fn from(&self, s: f64) -> Option<Self> {
        let n = self.along.partition_point(|a| *a < s + 1e-6);
        let mut points = vec![self.at(s).0];
        points.extend(&self.points[n..]);
        Self::open(&points)
    }

    /// The same line the other way round; `None` if it has no length.
    pub fn reversed(&self) -> Option<Self> {
        let points: Vec<Point> = self.points.iter().rev().copied().collect();
        Self::new(points, self.closed)
    }

    /// Its points; a closed guide repeats its first point at the end.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The same line with its bends evened out over about `reach` mm either way; the ends of an open guide stay.
    pub fn smoothed(&self, reach: f64) -> Option<Self> {
        let n = self.points.len() - 1;
        let step = self.length() / n as f64;
        // Repeated averaging of three neighbours: a bell curve whose variance grows by half a step squared each time.
        let times = (2.0 * (reach / step).powi(2)).min(20_000.0) as usize;
        let mut points = self.points.clone();
        if self.closed {
            points.pop();
        }
        let m = points.len();
        for _ in 0..times {
            let old = points.clone();
            for i in 0..m {
                let (before, after) = (old[(i + m - 1) % m], old[(i + 1) % m]);
                if self.closed || (i > 0 && i + 1 < m) {
                    points[i] = old[i].lerp(before.midpoint(after), 0.5);
                }
            }
        }
        if self.closed { Self::closed(&points) } else { Self::open(&points) }
    }

    /// The smooth curve along the guide, with a knot at each of `knots` (mm along, in any order).
    ///
    /// Closed guides give a closed curve that starts at the first knot.
    pub fn curve(&self, knots: &[f64]) -> BezPath {
        self.curve_between(0.0, self.length(), knots)
    }

    /// The smooth curve along an open guide from `from` to `to` mm along, or round a closed one.
    pub fn curve_between(&self, from: f64, to: f64, knots: &[f64]) -> BezPath {
        let mut at: Vec<f64> = knots.to_vec();
        if self.closed {
            at.iter_mut().for_each(|s| *s = s.rem_euclid(self.length()));
        } else {
            at.retain(|s| (from..to).contains(s));
            at.extend([from, to]);
        }
        at.sort_by(f64::total_cmp);
        at.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
        if self.closed {
            at.push(at.first().copied().unwrap_or(0.0) + self.length());
        }
        let mut path = BezPath::new();
        for (i, w) in at.windows(2).enumerate() {
            if i == 0 {
                path.move_to(self.at(w[0]).0);
            }
            let pieces = ((w[1] - w[0]) / KNOT_MM).ceil().max(1.0);
            let step = (w[1] - w[0]) / pieces;
            for k in 0..pieces as usize {
                let ((p, v), (q, u)) =
                    (self.at(w[0] + step * k as f64), self.at(w[0] + step * (k + 1) as f64));
                path.curve_to(p + v * step / 3.0, q - u * step / 3.0, q);
            }
        }
        if self.closed {
            path.close_path();
        }
        path
    }
}

/// The chain with its points a whole number of equal steps apart, none longer than [`STEP_MM`].
fn evenly(points: &[Point]) -> Option<Vec<Point>> {
    let length = chain::length(points);
    if !(length > 1e-6 && length.is_finite()) {
        return None;
    }
    let pieces = (length / STEP_MM).ceil().max(8.0) as usize;
    let step = length / pieces as f64;
    let mut even = Vec::with_capacity(pieces + 1);
    even.push(points[0]);
    let mut gone = 0.0;
    for w in points.windows(2) {
        let side = w[0].distance(w[1]);
        while even.len() < pieces && (even.len() as f64) * step <= gone + side && side > 0.0 {
            even.push(w[0].lerp(w[1], ((even.len() as f64) * step - gone) / side));
        }
        gone += side;
    }
    even.push(points[points.len() - 1]);
    Some(even)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::curve::path_length;

    fn circle(radius: f64) -> Guide {
        let ring: Vec<Point> = (0..2000)
            .map(|i| (Vec2::from_angle(f64::from(i) * std::f64::consts::TAU / 2000.0) * radius).to_point())
            .collect();
        Guide::closed(&ring).unwrap()
    }

    #[test]
    fn the_curve_through_a_circle_keeps_its_length_and_knots() {
        let guide = circle(40.0);
        let curve = guide.curve(&[3.0, 90.0]);
        assert!((path_length(&curve) - 80.0 * std::f64::consts::PI).abs() < 0.01);
        let start = curve.segments().next().unwrap();
        let (knot, _) = guide.at(3.0);
        assert!(kurbo::ParamCurve::start(&start).distance(knot) < 1e-9);
    }

    #[test]
    fn the_nearest_point_is_found() {
        let along = circle(40.0).nearest(Point::new(0.0, 55.0));
        assert!((along - 20.0 * std::f64::consts::PI).abs() < STEP_MM / 2.0, "{along}");
    }

    #[test]
    fn smoothing_rounds_a_corner_and_keeps_the_ends() {
        let bent = Guide::open(&[(0.0, 0.0), (50.0, 0.0), (50.0, 50.0)].map(Point::from)).unwrap();
        let round = bent.smoothed(8.0).unwrap();
        let away = round.at(round.nearest(Point::new(50.0, 0.0))).0.distance(Point::new(50.0, 0.0));
        assert!((2.0..10.0).contains(&away), "{away}");
        assert_eq!((round.at(0.0).0, round.at(1e9).0), (Point::new(0.0, 0.0), Point::new(50.0, 50.0)));
    }
}
