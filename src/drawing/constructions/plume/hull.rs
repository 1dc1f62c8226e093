//! Outlines inside outlines: insets, rounded outlines, the largest circle.
//!
//! Offsets are those of `geo`, with round joins; the largest piece is taken where an inset falls apart.

use geo::algorithm::buffer::{BufferStyle, LineJoin};
use geo::{Area, Buffer, Coord, LineString, Polygon, Simplify};
use kurbo::{Point, Vec2};
use std::f64::consts::TAU;

use super::guide::Guide;
use crate::base::angle::{left_of, turn_deg, unit};
use crate::base::chain;
use crate::block::deepest;
use crate::block::region::Region;

/// Chord of a round join, in radii.
const ROUND: f64 = 0.02;

/// By how much a point has to be deeper to count, mm.
const DEEPER_MM: f64 = 0.05;

/// How far a ring may be simplified for moving it, mm.
const SIMPLE_MM: f64 = 0.005;

/// How far apart the points of a circle are, mm, and the fewest and the most of them.
const FINE_MM: f64 = 0.05;
const FEWEST: f64 = 64.0;
const MOST: f64 = 20_000.0;

/// A circle as a ring of points.
pub fn circle(middle: Point, radius: f64) -> Vec<Point> {
    let n = (TAU * radius / FINE_MM).ceil().clamp(FEWEST, MOST);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped just above")]
    (0..n as usize).map(|i| middle + Vec2::from_angle(i as f64 / n * TAU) * radius).collect()
}

/// A ring without points that make no difference; offsets of many thousand points take long.
pub fn simple(ring: &[Point]) -> Vec<Point> {
    let mut line: LineString = ring.iter().map(|p| Coord { x: p.x, y: p.y }).collect();
    line.close();
    let mut points: Vec<Point> = line.simplify(SIMPLE_MM).coords().map(|c| Point::new(c.x, c.y)).collect();
    points.pop();
    points
}

/// A ring moved inwards by `by` mm; `None` where nothing is left.
pub fn inset(ring: &[Point], by: f64) -> Option<Vec<Point>> {
    moved(ring, -by)
}

/// A ring moved outwards by `by` mm, with round corners.
pub fn outset(ring: &[Point], by: f64) -> Option<Vec<Point>> {
    moved(ring, by)
}

fn moved(ring: &[Point], by: f64) -> Option<Vec<Point>> {
    let line: LineString = ring.iter().map(|p| Coord { x: p.x, y: p.y }).collect();
    let style = BufferStyle::new(by).line_join(LineJoin::Round(ROUND));
    let pieces = Polygon::new(line, Vec::new()).buffer_with_style(style);
    let largest = pieces.into_iter().max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))?;
    let mut points: Vec<Point> = largest.exterior().coords().map(|c| Point::new(c.x, c.y)).collect();
    points.pop();
    if chain::signed_area(&points) < 0.0 {
        points.reverse();
    }
    (points.len() > 2).then_some(points)
}

/// A chain, the inside on its left, with its corners rounded to `radius` mm but for its ends, on which it still ends.
pub fn rounded(chain: &[Point], radius: f64) -> Option<Guide> {
    const TURNED_DEG: f64 = 150.0;
    let [first, .., last] = *chain else { return None };
    let (start, end) = (unit(chain[1] - first), unit(last - chain[chain.len() - 2]));
    // Both ends are led on and closed far away, so that they are no corners.
    let turned: f64 = chain.windows(3).map(|w| turn_deg(w[1] - w[0], w[2] - w[1])).sum();
    let mut far = 4.0 * chain::length(chain) + 8.0 * radius;
    if turned > 180.0 {
        // Led on, the ends would meet: half of the way there at most.
        far = far.min(first.distance(last) / 4.0 / ((turned - 180.0).to_radians() / 2.0).sin().abs());
    }
    let mut ring = vec![first - start * far];
    ring.extend(chain);
    ring.push(last + end * far);
    if turned < TURNED_DEG {
        ring.push(first.midpoint(last) + left_of(unit(last - first)) * far);
    }
    let round = Guide::closed(&outset(&inset(&ring, radius)?, radius)?)?;
    round.between(round.nearest(first), round.nearest(last))
}

/// The centre of the largest circle inside a region's outline, and its radius, mm; a place has to be deeper by `DEEPER_MM` to
/// take the place of the middle of the box, so that even blocks keep their own centre.
pub fn largest_circle(region: &Region) -> (Point, f64) {
    let filled = Region { outer: region.outer.clone(), holes: Vec::new() };
    deepest::search(&filled, DEEPER_MM, f64::INFINITY)
}
