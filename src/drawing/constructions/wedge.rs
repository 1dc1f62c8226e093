//! Wedges: path data drawn once → its copies round a middle, each turned to the next place.
//!
//! In a wedge x goes from 0 at the inner radius to 1 at the outer one, and y from −1 to 1 between the borders that it
//! shares with its neighbours. Straight lines stay straight; curves follow by their ends and end tangents.

use kurbo::{BezPath, Circle, Point, Shape, Vec2};
use std::f64::consts::TAU;

use super::part::{Part, carry};
use crate::base::tolerance::ARC_LENGTH_MM;

/// Copies of a wedge round a middle.
#[derive(Debug, Clone, Copy)]
pub struct Round {
    /// The middle.
    pub middle: Point,
    /// From and to which distance from it x goes, mm.
    pub radii: [f64; 2],
    /// The direction of the first copy, radians.
    pub begin: f64,
    /// How many copies there are.
    pub count: u32,
}

impl Round {
    /// The point at wedge coordinates `p` of copy `i`.
    #[must_use]
    pub fn at(&self, p: Point, i: u32) -> Point {
        let radius = self.radii[0] + (self.radii[1] - self.radii[0]) * p.x;
        let turn = TAU / f64::from(self.count);
        self.middle + Vec2::from_angle(self.begin + turn * (f64::from(i) + p.y / 2.0)) * radius
    }

    /// All copies of the parts.
    #[must_use]
    pub fn lines(&self, parts: &[Part]) -> Vec<BezPath> {
        let one = |i: u32| parts.iter().map(move |part| carry(part.path(), |p| self.at(p, i)));
        (0..self.count).flat_map(one).collect()
    }
}

/// A circle of so many mm.
#[must_use]
pub fn circle(middle: Point, radius: f64) -> BezPath {
    Circle::new(middle, radius).to_path(ARC_LENGTH_MM)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbours_share_their_borders() {
        let round = Round { middle: Point::new(5.0, 5.0), radii: [10.0, 30.0], begin: 0.0, count: 6 };
        assert!(round.at(Point::new(0.5, 1.0), 1).distance(round.at(Point::new(0.5, -1.0), 2)) < 1e-9);
        let part = Part::try_from("M0,-1 L1,0 L0,1".to_owned()).unwrap();
        let lines = round.lines(std::slice::from_ref(&part));
        assert_eq!(lines.len(), 6);
        let tip = lines[0].elements()[1].end_point().unwrap();
        assert!(tip.distance(Point::new(35.0, 5.0)) < 1e-9);
    }
}
