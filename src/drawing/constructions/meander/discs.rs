//! Discs that ride on a line: they keep the room that a loop will need.

use kurbo::{Point, Vec2};

use super::bend::even_by;
use super::fence::whole;
use crate::base::angle::{left_of, unit};
use crate::base::chain;

/// A disc that touches a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Disc {
    /// The number of the point of the line that it stands on.
    pub at: usize,
    /// 1 for one on the left of the line, -1 for one on its right.
    pub side: f64,
    /// The radius that it grows to, mm.
    pub radius: f64,
    /// How far others keep off it, mm.
    pub clear: f64,
}

/// How large a disc is to begin with, as a part of its radius.
const SMALL: f64 = 0.3;

/// Discs are full grown after this part of the rounds.
const GROWN: f64 = 0.7;

/// The line that a disc stands on is not pushed off it as far as this from its foot, in radii.
const FOOT: f64 = 1.5;

/// How hard what comes too near is pushed, as a part of the way that it is too near.
const PUSH: f64 = 0.25;

/// Points about `step` mm apart evenly along the line, the discs standing where they stood.
#[must_use]
pub fn resample(line: &[Point], closed: bool, step: f64, discs: &mut [Disc]) -> Vec<Point> {
    let points = even_by(line, closed, step);
    let long = if closed { chain::perimeter(line) } else { chain::length(line) };
    let parts = if closed { points.len() } else { points.len() - 1 };
    for disc in discs {
        let along = chain::length(&line[..=disc.at]) / long;
        disc.at = whole((along * parts as f64).round()).min(points.len() - 1);
    }
    points
}

/// Adds to `moves` what pushes the line off the discs and the discs off the line and each other, when they have `grown` from 0 to 1.
pub fn push_out(points: &[Point], discs: &[Disc], grown: f64, moves: &mut [Vec2]) {
    let n = points.len();
    let size = SMALL + (1.0 - SMALL) * (grown / GROWN).min(1.0);
    let radius = |disc: &Disc| disc.radius * size;
    let middle = |disc: &Disc| {
        let along = unit(points[(disc.at + 1) % n] - points[(disc.at + n - 1) % n]);
        points[disc.at] + left_of(along) * (disc.side * radius(disc))
    };
    let middles: Vec<Point> = discs.iter().map(middle).collect();
    for (k, disc) in discs.iter().enumerate() {
        let step = points[disc.at].distance(points[(disc.at + 1) % n]).max(1e-6);
        let (foot, reach) = (whole(FOOT * radius(disc) / step), radius(disc) + disc.clear);
        let mut back = Vec2::ZERO;
        for (i, p) in points.iter().enumerate() {
            let away = *p - middles[k];
            let along = i.abs_diff(disc.at);
            if away.hypot2() < reach * reach && along.min(n - along) > foot {
                let long = away.hypot().max(1e-6);
                let push = away * (PUSH * (reach - long) / long);
                moves[i] += push;
                back -= push;
            }
        }
        for (other, q) in discs.iter().zip(&middles) {
            let away = middles[k] - *q;
            let (long, reach) = (away.hypot(), radius(disc) + radius(other) + disc.clear);
            if long > 0.0 && long < reach {
                back += away * ((reach - long) / long);
            }
        }
        // What pushes the disc pushes the line under it.
        let width = whole(radius(disc) / step).max(1);
        for i in (disc.at + n - width..=disc.at + n + width).map(|i| i % n) {
            moves[i] += back * PUSH;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_disc_pushes_the_next_pass_away_and_its_own_foot_back() {
        let below = (0..=40).map(|i| Point::new(f64::from(i), 0.0));
        let above = (0..=40).map(|i| Point::new(40.0 - f64::from(i), 6.0));
        let points: Vec<Point> = below.chain(above).collect();
        let disc = Disc { at: 20, side: 1.0, radius: 3.0, clear: 2.0 };
        let mut moves = vec![Vec2::ZERO; points.len()];
        push_out(&points, std::slice::from_ref(&disc), 1.0, &mut moves);
        assert!((moves[61].y - PUSH * 2.0).abs() < 1e-9, "straight above it: {:?}", moves[61]);
        assert!(moves[20].y < 0.0 && moves[10] == Vec2::ZERO && moves[75] == Vec2::ZERO);
        let mut discs = [disc];
        assert_eq!(resample(&points, false, 0.5, &mut discs)[discs[0].at].x.round(), 20.0);
    }
}
