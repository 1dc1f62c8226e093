//! One line in place of rings: it leaves each ring and reaches the next after one turn, ever deeper.
//!
//! A point of a turn lies above the ring that the turn arrives at, towards the outline, at a depth that grows evenly with
//! the way round. Neighbouring turns are therefore exactly as far apart as rings are.

use kurbo::Point;

use super::lift::{insert, lifted};
use super::rings::Ring;
use super::steps::{ON_RING_MM, quietest};
use crate::base::chain;
use crate::block::region::Region;
use crate::drawing::constructions::meander::fence::whole;

/// How far round the innermost ring a spiral goes on before it ends.
const LAST: f64 = 0.6;

/// The spiral over `rings`, one a level from the outline inwards, `step` mm apart: one line from a point of the outline, and
/// on round most of the innermost ring, or all of it if it is to be `closed`.
#[must_use]
pub fn spiral(rings: &[Ring], closed: bool, step: f64, region: &Region) -> Vec<Point> {
    let Some(last) = rings.last() else { return Vec::new() };
    let mut ring = turned(&last.points, quietest(&last.points));
    let mut line = ring.clone();
    line.push(line[0]);
    if !closed {
        line.truncate(whole(LAST * line.len() as f64).max(2));
    }
    for (k, outer) in rings.iter().enumerate().rev().skip(1) {
        let above = turn(&ring, step * k as f64, step, region);
        let mut points = outer.points.clone();
        let seam = insert(&mut points, above[0], ON_RING_MM).unwrap_or(0);
        line.splice(0..1, above);
        ring = turned(&points, seam);
    }
    line
}

/// The ring from its point `first` on.
fn turned(points: &[Point], first: usize) -> Vec<Point> {
    let mut points = points.to_vec();
    points.rotate_left(first);
    points
}

/// One turn: from above the ring's first point, at depth `from`, once round and down to it.
fn turn(ring: &[Point], from: f64, step: f64, region: &Region) -> Vec<Point> {
    // Measured where the turn begins: there, sides are straight from corner to corner, and so are those of the turn.
    let above: Vec<Point> = (0..ring.len()).map(|i| lifted(ring, i, from, region)).collect();
    let whole = chain::perimeter(&above);
    let mut line = Vec::with_capacity(ring.len() + 1);
    let mut done = 0.0;
    for i in 0..ring.len() {
        line.push(lifted(ring, i, from + step * done / whole, region));
        done += above[i].distance(above[(i + 1) % ring.len()]);
    }
    line.push(ring[0]);
    line
}
