//! A smooth stretch of many short curves → as few curves as follow it closely.
//!
//! Method: of all cubics that leave and arrive in the stretch's own directions, the one of least squares to points along it,
//! each point's place on the cubic drawn nearer by Newton's method a few times [230]; where that leaves the stretch by too
//! much, the stretch is halved. Handles are never longer than half of the stretch, so that no curve runs past its ends and
//! back, which a distance across the curve would not tell.

use kurbo::{CubicBez, ParamCurve, ParamCurveDeriv, Point, Vec2};

use crate::base::angle::unit;

/// Points taken on each of the short curves.
const POINTS_EACH: usize = 6;
/// How often the places on the cubic are drawn nearer.
const ROUNDS: usize = 4;
/// The longest handle, as a part of the stretch's length; a half circle has 0.42.
const LONGEST_HANDLE: f64 = 0.5;

/// Few cubics that leave `spans` by no more than `within_mm`; a stretch that is not followed so is left as it is.
#[must_use]
pub fn fitted(spans: &[CubicBez], within_mm: f64) -> Vec<CubicBez> {
    if spans.len() < 2 {
        return spans.to_vec();
    }
    if let Some(one) = Points::along(spans).cubic(within_mm) {
        return vec![one];
    }
    let (before, after) = spans.split_at(spans.len() / 2);
    [fitted(before, within_mm), fitted(after, within_mm)].concat()
}

/// Points along a stretch, with the directions at its ends.
struct Points {
    points: Vec<Point>,
    /// How far along the stretch each point is, from 0 to 1.
    along: Vec<f64>,
    length: f64,
    out: Vec2,
    into: Vec2,
}

impl Points {
    fn along(spans: &[CubicBez]) -> Self {
        let mut points = vec![spans[0].p0];
        for span in spans {
            points.extend((1..=POINTS_EACH).map(|i| span.eval(i as f64 / POINTS_EACH as f64)));
        }
        let mut run = vec![0.0];
        for w in points.windows(2) {
            run.push(run[run.len() - 1] + w[0].distance(w[1]));
        }
        let length = run[run.len() - 1];
        let last = spans[spans.len() - 1];
        Points {
            points,
            along: run.iter().map(|mm| mm / length).collect(),
            length,
            out: unit(spans[0].deriv().eval(0.0).to_vec2()),
            into: unit(last.deriv().eval(1.0).to_vec2()),
        }
    }

    /// The cubic along all of them, if it is near enough.
    fn cubic(&self, within_mm: f64) -> Option<CubicBez> {
        let mut along = self.along.clone();
        for _ in 0..ROUNDS {
            let cubic = self.of_least_squares(&along)?;
            let near = |(p, s): (&Point, &f64)| cubic.eval(*s).distance(*p) <= within_mm;
            if along.windows(2).all(|w| w[0] < w[1]) && self.points.iter().zip(&along).all(near) {
                return Some(cubic);
            }
            self.draw_nearer(&cubic, &mut along);
        }
        None
    }

    /// The handles of the best cubic: two equations for two lengths.
    fn of_least_squares(&self, along: &[f64]) -> Option<CubicBez> {
        let (from, to) = (self.points[0], self.points[self.points.len() - 1]);
        let (mut oo, mut oi, mut ii, mut o, mut i) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for (p, s) in self.points.iter().zip(along) {
            let t = 1.0 - s;
            let (out, into) = (self.out * (3.0 * t * t * s), self.into * (-3.0 * t * s * s));
            let plain = from.to_vec2() * (t * t * (t + 3.0 * s)) + to.to_vec2() * (s * s * (s + 3.0 * t));
            let rest = p.to_vec2() - plain;
            (oo, oi, ii) = (oo + out.dot(out), oi + out.dot(into), ii + into.dot(into));
            (o, i) = (o + out.dot(rest), i + into.dot(rest));
        }
        let det = oo * ii - oi * oi;
        let (first, second) = ((o * ii - i * oi) / det, (i * oo - o * oi) / det);
        let handles = 0.0..=LONGEST_HANDLE * self.length;
        (handles.contains(&first) && handles.contains(&second))
            .then(|| CubicBez::new(from, from + self.out * first, to - self.into * second, to))
    }

    /// One step of Newton's method for the place of every point on the cubic but the ends.
    fn draw_nearer(&self, cubic: &CubicBez, along: &mut [f64]) {
        let (first, second) = (cubic.deriv(), cubic.deriv().deriv());
        let last = along.len() - 1;
        for (p, s) in self.points.iter().zip(along.iter_mut()).take(last).skip(1) {
            let off = cubic.eval(*s) - *p;
            let (way, bend) = (first.eval(*s).to_vec2(), second.eval(*s).to_vec2());
            let slope = way.hypot2() + off.dot(bend);
            if slope > 0.0 {
                *s = (*s - off.dot(way) / slope).clamp(0.0, 1.0);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::smooth::smooth_path;

    fn spans(points: &[Point]) -> Vec<CubicBez> {
        smooth_path(points, false).segments().map(|s| s.to_cubic()).collect()
    }

    #[test]
    fn an_arc_is_a_curve_or_two() {
        let arc: Vec<Point> =
            (0..40).map(|i| (Vec2::from_angle(f64::from(i) * 0.08) * 30.0).to_point()).collect();
        let found = fitted(&spans(&arc), 0.015);
        assert!(found.len() <= 4, "{}", found.len());
        let off = found.iter().flat_map(|c| (0..=20).map(|i| c.eval(f64::from(i) / 20.0)));
        let off = off.map(|p| (p.to_vec2().hypot() - 30.0).abs()).fold(0.0, f64::max);
        assert!(off < 0.02, "{off}");
    }

    #[test]
    fn a_nearly_straight_stretch_does_not_run_past_its_end() {
        let wavy: Vec<Point> =
            (0..30).map(|i| Point::new(2.3 * f64::from(i), 0.04 * f64::from(i * i % 3))).collect();
        let found = fitted(&spans(&wavy), 0.015);
        for (c, s) in found.iter().flat_map(|c| (0..=50).map(move |i| (c, f64::from(i) / 50.0))) {
            let p = c.eval(s);
            assert!((0.0..=66.7).contains(&p.x) && (-0.05..0.13).contains(&p.y), "{p}");
            assert!(c.deriv().eval(s).x > 0.0, "{c:?} turns back");
        }
    }
}
