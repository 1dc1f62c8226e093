//! Needle points inside an edge → how far they may be turned or shifted before one of them meets it.
//!
//! Exact: a point that is turned runs on a circle, and meets a straight side where the circle does. Either is for itself: a
//! turn and a shift together leave less.

use std::f64::consts::PI;

use kurbo::{Point, Vec2};

use super::hoop::{CLEARANCE_MM, Hoop};
use crate::base::chain::{self, hull};

/// What is left before a needle point meets an edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leeway {
    /// The largest turn either way, degrees, at most 180.
    pub turn_deg: f64,
    /// The largest shift any way, mm.
    pub shift_mm: f64,
}

/// The leeway of `points` within `ring` when they are turned about `about`; none at all if one of them is outside.
#[must_use]
pub fn within(points: &[Point], about: Point, ring: &[Point]) -> Leeway {
    let outer: Vec<Point> = if is_convex(ring) { hull(points) } else { points.to_vec() };
    if outer.iter().any(|p| !chain::contains(ring, *p)) {
        return Leeway { turn_deg: 0.0, shift_mm: 0.0 };
    }
    let nearest = chain::distance_to_ring(about, ring);
    let sides: Vec<(Point, Point)> = chain::sides(ring).collect();
    let reached = outer.iter().filter(|p| p.distance(about) >= nearest);
    let turns = reached.flat_map(|p| sides.iter().map(|side| turn_to_side(*p, about, *side)));
    let turn = turns.fold(PI, f64::min);
    let shift_mm = outer.iter().map(|p| chain::distance_to_ring(*p, ring)).fold(f64::INFINITY, f64::min);
    Leeway { turn_deg: turn.to_degrees(), shift_mm }
}

/// The leeway of `points` in the field of `hoop` about `about`, its clearance kept free.
#[must_use]
pub fn in_hoop(points: &[Point], about: Point, hoop: Hoop) -> Leeway {
    let half = Vec2::new(hoop.width_mm / 2.0 - CLEARANCE_MM, hoop.height_mm / 2.0 - CLEARANCE_MM);
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
    within(points, about, &corners.map(|(x, y)| about + Vec2::new(x * half.x, y * half.y)))
}

/// How far the furthest of `points` is past the field of `hoop` about 0,0 less its clearance, mm; 0 if all are in it.
#[must_use]
pub fn past_hoop(points: impl Iterator<Item = Point>, hoop: Hoop) -> f64 {
    let past = points.map(|p| {
        (p.x.abs() + CLEARANCE_MM - hoop.width_mm / 2.0).max(p.y.abs() + CLEARANCE_MM - hoop.height_mm / 2.0)
    });
    past.fold(0.0, f64::max)
}

/// The least turn of `p` about `about` that brings it onto a side, radians; half a turn if none does.
fn turn_to_side(p: Point, about: Point, (a, b): (Point, Point)) -> f64 {
    let (arm, from, way) = (p - about, a - about, b - a);
    // |from + t way| = |arm|
    let (two_a, half_b) = (way.hypot2(), from.dot(way));
    let rest = half_b * half_b - two_a * (from.hypot2() - arm.hypot2());
    if two_a == 0.0 || rest < 0.0 {
        return PI;
    }
    let ends = [(-half_b - rest.sqrt()) / two_a, (-half_b + rest.sqrt()) / two_a];
    let met = ends.into_iter().filter(|t| (0.0..=1.0).contains(t)).map(|t| from + way * t);
    met.map(|q| arm.cross(q).atan2(arm.dot(q)).abs()).fold(PI, f64::min)
}

fn is_convex(ring: &[Point]) -> bool {
    let n = ring.len();
    (0..n).all(|i| (ring[(i + 1) % n] - ring[i]).cross(ring[(i + 2) % n] - ring[(i + 1) % n]) >= -1e-9)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(half: f64) -> Vec<Point> {
        [(-half, -half), (half, -half), (half, half), (-half, half)].map(Point::from).to_vec()
    }

    #[test]
    fn a_square_in_a_square_turns_until_its_corners_meet_the_sides() {
        let leeway = within(&square(95.0), Point::ZERO, &square(100.0));
        // A corner at 45° and 95√2 from the middle meets the side where cos = 100 / (95√2).
        let wanted = 45.0 - (100.0 / (95.0 * 2.0_f64.sqrt())).acos().to_degrees();
        assert!((leeway.turn_deg - wanted).abs() < 1e-9, "{leeway:?} {wanted}");
        assert!((leeway.shift_mm - 5.0).abs() < 1e-9);
    }

    #[test]
    fn a_round_design_turns_as_it_likes() {
        let ring: Vec<Point> =
            (0..90).map(|i| Point::ZERO + Vec2::from_angle(f64::from(i) * PI / 45.0) * 90.0).collect();
        assert_eq!(within(&ring, Point::ZERO, &square(95.0)).turn_deg, 180.0);
    }

    #[test]
    fn an_inward_corner_stops_a_turn_that_a_hull_would_allow() {
        let ell = [(-50.0, -50.0), (50.0, -50.0), (50.0, 0.0), (5.0, 0.0), (5.0, 50.0), (-50.0, 50.0)]
            .map(Point::from);
        let arm = [(0.0, 40.0), (0.0, 0.0), (40.0, -5.0)].map(Point::from);
        let leeway = within(&arm, Point::new(0.0, -10.0), &ell);
        // The tip at 0,40 is 50 from the middle of the turn and meets the upright side at x = 5: asin(5/50).
        let right = 0.1_f64.asin().to_degrees();
        // The tip at 40,-5 meets the level side at y = 0.
        let radius = 40.0_f64.hypot(5.0);
        let left = (10.0 / radius).asin().to_degrees() - (5.0 / radius).asin().to_degrees();
        assert!((leeway.turn_deg - right.min(left)).abs() < 1e-9, "{leeway:?} {right} {left}");
        assert_eq!(leeway.shift_mm, 5.0);
    }

    #[test]
    fn every_smaller_turn_keeps_inside_and_a_larger_one_does_not() {
        let points: Vec<Point> = [(80.0, 20.0), (-60.0, 70.0), (-30.0, -85.0)].map(Point::from).to_vec();
        let leeway = within(&points, Point::new(3.0, -2.0), &square(90.0));
        let inside = |deg: f64| {
            let turned = |p: &Point| {
                let (sin, cos) = deg.to_radians().sin_cos();
                let arm = *p - Point::new(3.0, -2.0);
                Point::new(3.0 + arm.x * cos - arm.y * sin, -2.0 + arm.x * sin + arm.y * cos)
            };
            points.iter().all(|p| turned(p).x.abs().max(turned(p).y.abs()) < 90.0)
        };
        for part in 0..100 {
            let deg = leeway.turn_deg * f64::from(part) / 100.0;
            assert!(inside(deg) && inside(-deg), "{deg} of {leeway:?}");
        }
        assert!(!inside(leeway.turn_deg + 0.01) || !inside(-leeway.turn_deg - 0.01));
    }

    #[test]
    fn a_field_keeps_its_clearance_free() {
        let hoop: Hoop = "200x200mm".parse().unwrap();
        assert!((in_hoop(&square(90.0), Point::ZERO, hoop).shift_mm - 9.0).abs() < 1e-9);
        let at = |x: f64, y: f64| past_hoop([Point::new(x, y)].into_iter(), hoop);
        assert_eq!((at(99.0, 0.0), at(0.0, -101.5), at(100.0, 99.5)), (0.0, 2.5, 1.0));
        assert_eq!(
            within(&square(101.0), Point::ZERO, &square(100.0)),
            Leeway { turn_deg: 0.0, shift_mm: 0.0 }
        );
    }
}
