//! Rings: a region → the lines at whole steps of depth inside it.
//!
//! Every ring is offset from the outline itself, never from the last ring, so that errors do not add up. Offsets are those
//! of `geo`. Round joins in q segments a quarter turn err by d (1 − cos(π / 4q)); the finest that `geo` makes, asked for one
//! hundredth of a half turn, may come out 1.2 times as coarse and errs by up to 2e-4 of the depth: 0.02 mm at 100 mm.

use geo::algorithm::buffer::{BufferStyle, LineCap, LineJoin};
use geo::{Buffer, Coord, LineString, MultiPolygon, Polygon};
use kurbo::Point;

use crate::base::chain;
use crate::block::region::Region;

/// A closed line at one depth.
#[derive(Debug, Clone, PartialEq)]
pub struct Ring {
    /// How many steps below the outline.
    pub level: usize,
    /// Its points, the inside on the left; the first is not repeated.
    pub points: Vec<Point>,
}

/// The angle of a segment of a round join, radians: `geo` makes none finer.
const FINEST: f64 = 0.01 * std::f64::consts::PI;

/// What is left of a region `depth` mm inside all of its edges.
#[must_use]
pub fn inside(region: &Region, depth: f64) -> MultiPolygon {
    let line = |points: &[Point]| -> LineString { points.iter().map(|p| Coord { x: p.x, y: p.y }).collect() };
    let holes = region.holes.iter().map(|h| line(h.points())).collect();
    let whole = Polygon::new(line(region.outer.points()), holes);
    if depth == 0.0 {
        return MultiPolygon(vec![whole]);
    }
    whole.buffer_with_style(round(-depth))
}

/// Offset by `distance` with the finest round joins.
#[must_use]
pub fn round(distance: f64) -> BufferStyle<f64> {
    BufferStyle::new(distance).line_join(LineJoin::Round(FINEST)).line_cap(LineCap::Round(FINEST))
}

/// The rings at the first `levels` of the depths 0, `step`, 2 `step`, …, without those shorter than `least` mm; their points
/// are at most `fine` mm apart.
#[must_use]
pub fn rings(region: &Region, step: f64, levels: usize, least: f64, fine: f64) -> Vec<Ring> {
    let mut all = Vec::new();
    for level in 0..levels {
        let left = inside(region, step * level as f64);
        for polygon in &left {
            for (n, line) in std::iter::once(polygon.exterior()).chain(polygon.interiors()).enumerate() {
                let mut points = tidy(line);
                if (chain::signed_area(&points) > 0.0) != (n == 0) {
                    points.reverse();
                }
                if chain::perimeter(&points) >= least || level == 0 {
                    all.push(Ring { level, points: dense(&points, fine) });
                }
            }
        }
    }
    for ring in &mut all {
        rotate_to_bottom(&mut ring.points);
    }
    all.sort_by(|a, b| {
        let area = |r: &Ring| chain::signed_area(&r.points);
        a.level
            .cmp(&b.level)
            .then(area(b).total_cmp(&area(a)))
            .then(a.points[0].y.total_cmp(&b.points[0].y).then(a.points[0].x.total_cmp(&b.points[0].x)))
    });
    all
}

/// The points of a closed line without those that repeat.
fn tidy(line: &LineString) -> Vec<Point> {
    let mut points: Vec<Point> = Vec::new();
    for c in line.coords() {
        let p = Point::new(c.x, c.y);
        if points.last().is_none_or(|q| q.distance(p) > 1e-6) {
            points.push(p);
        }
    }
    while points.len() > 1 && points[0].distance(points[points.len() - 1]) < 1e-6 {
        points.pop();
    }
    points
}

/// The same ring with more points, at most `fine` mm apart.
fn dense(points: &[Point], fine: f64) -> Vec<Point> {
    let mut all = Vec::new();
    for (a, b) in chain::sides(points) {
        let count = (a.distance(b) / fine).ceil().max(1.0);
        let mut k = 0.0;
        while k < count {
            all.push(a.lerp(b, k / count));
            k += 1.0;
        }
    }
    all
}

/// The lowest point first, the leftmost of these: where a ring begins must not hang on how it was found.
fn rotate_to_bottom(points: &mut [Point]) {
    let key = |p: &Point| ((p.y * 1e4).round(), (p.x * 1e4).round());
    let first = (0..points.len()).min_by(|i, j| {
        let (a, b) = (key(&points[*i]), key(&points[*j]));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    points.rotate_left(first.unwrap_or(0));
}
