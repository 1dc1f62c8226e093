//! Room: closed lines → the same lines with their passes apart and no place too far from them.

use std::f64::consts::FRAC_1_SQRT_2;

use kurbo::{Point, Vec2};
use spade::{DelaunayTriangulation, Point2, Triangulation};

use super::bend::{even_by, spread};
use super::fence::{Fence, whole};
use super::near::Near;
use super::wind::STEP;
use crate::base::angle::unit;
use crate::base::chain::{bounds, length, sides};
use crate::block::region::Region;

/// Rounds of moving; in every third, wide places pull the line in.
const ROUNDS: usize = 12;
/// See [`ROUNDS`].
const EVERY: usize = 3;
/// How far inside the edges points stay, spacings: the curve through them swings out by less.
const INSIDE: f64 = 0.006;
/// Passes nearer than this push each other apart, spacings, if they are farther than the second from each other along the line.
const NEAR: f64 = 0.85;
/// See [`NEAR`].
const ALONG: f64 = 2.3;
/// Places farther than this from the line pull it, spacings; the edges are looked along in steps of the second.
const WIDE: f64 = 0.85;
/// See [`WIDE`].
const LOOK: f64 = 0.2;
/// The farthest that a place along the edges is taken for, spacings.
const FARTHEST: f64 = 1.6;
/// What lies within this of the nearest part of the line is pulled with it, spacings.
const BESIDE: f64 = 0.12;
/// How far moves go beyond what is asked, since filtering takes from them: of pushes and of pulls.
const PUSH: f64 = 1.4;
/// See [`PUSH`].
const PULL: f64 = 1.3;
/// The weights by which moves are spread along the line: of pushes and of pulls, binomial.
const SPREAD: [f64; 9] = [1.0, 8.0, 28.0, 56.0, 70.0, 56.0, 28.0, 8.0, 1.0];
/// See [`SPREAD`].
const SPREAD_FAR: [f64; 17] = [
    1.0, 16.0, 120.0, 560.0, 1820.0, 4368.0, 8008.0, 11440.0, 12870.0, 11440.0, 8008.0, 4368.0, 1820.0,
    560.0, 120.0, 16.0, 1.0,
];

/// How fine the lattice is on which wide places are looked for first, as a part of how wide they are.
const FINE: f64 = 0.25;

/// Makes room.
#[must_use]
pub fn make(mut lines: Vec<Vec<Point>>, region: &Region, fence: &Fence, spacing: f64) -> Vec<Vec<Point>> {
    for round in 0..ROUNDS {
        for line in &mut lines {
            *line = even_by(line, STEP * spacing);
        }
        if round % EVERY == EVERY - 1 {
            pull(&mut lines, region, spacing);
        }
        push(&mut lines, spacing);
        for p in lines.iter_mut().flatten() {
            *p = fence.inside(*p, INSIDE * spacing).unwrap_or(*p);
        }
    }
    lines
}

/// Pushes passes apart that are too near.
fn push(lines: &mut [Vec<Point>], spacing: f64) {
    let points = lines.concat();
    let far = whole(ALONG / STEP);
    let mut moves = vec![(Vec2::ZERO, 0.0_f64); points.len()];
    // For every point the first of its line and how many that has.
    let of: Vec<(usize, usize)> = lines
        .iter()
        .scan(0, |next, line| {
            let first = *next;
            *next += line.len();
            Some(std::iter::repeat_n((first, line.len()), line.len()))
        })
        .flatten()
        .collect();
    Near::new(&points, NEAR * spacing).each_pair(|i, j| {
        let along = i.abs_diff(j);
        if of[i].0 != of[j].0 || along.min(of[i].1 - along) > far {
            let way = points[i] - points[j];
            let by = unit(way) * (0.5 * (NEAR * spacing - way.hypot()));
            moves[i] = (moves[i].0 + by, moves[i].1 + 1.0);
            moves[j] = (moves[j].0 - by, moves[j].1 + 1.0);
        }
    });
    let mean: Vec<Vec2> = moves.into_iter().map(|(sum, count)| sum / count.max(1.0)).collect();
    moved(lines, &mean, &SPREAD, PUSH);
}

/// Moves lines by `moves`, point by point of all of them, spread along each line.
fn moved(lines: &mut [Vec<Point>], mut moves: &[Vec2], kernel: &[f64], times: f64) {
    for line in lines {
        let (own, rest) = moves.split_at(line.len());
        for (p, by) in line.iter_mut().zip(spread(own, kernel)) {
            *p += by * times;
        }
        moves = rest;
    }
}

/// Pulls the lines towards places too far from them.
fn pull(lines: &mut [Vec<Point>], region: &Region, spacing: f64) {
    let points = lines.concat();
    let near = Near::new(&points, 2.0 * spacing);
    let mut moves = vec![Vec2::ZERO; points.len()];
    for (place, away) in wide_places(&points, &near, region, spacing) {
        near.each_within(place, away + BESIDE * spacing, |i| {
            let by = unit(place - points[i]) * ((away - WIDE * spacing) * PULL);
            if by.hypot2() > moves[i].hypot2() {
                moves[i] = by;
            }
        });
    }
    moved(lines, &moves, &SPREAD_FAR, 1.0);
}

/// The middles of the empty circles that are too large, and their radii: corners of the Voronoi diagram, and places along the edges.
fn wide_places(points: &[Point], near: &Near, region: &Region, spacing: f64) -> Vec<(Point, f64)> {
    let wide = WIDE * spacing;
    let mut found = Vec::new();
    let open = open(points, region, wide);
    if let Ok(mesh) = DelaunayTriangulation::<Point2<f64>>::bulk_load(open) {
        for (middle, squared) in mesh.inner_faces().map(|f| f.circumcircle()) {
            let middle = Point::new(middle.x, middle.y);
            if squared > wide * wide && region.contains(middle) {
                let radius = squared.sqrt();
                let mut is_empty = true;
                near.each_within(middle, radius * (1.0 - 1e-9), |_| is_empty = false);
                if is_empty {
                    found.push((middle, radius));
                }
            }
        }
    }
    for (a, b) in region.rings().flat_map(|r| sides(r.points())) {
        let steps = (length(&[a, b]) / (LOOK * spacing)).ceil().max(1.0);
        let mut k = 0.0;
        while k < steps {
            let place = a.lerp(b, k / steps);
            let away = near.nearest(place).map_or(FARTHEST * spacing, |(_, away)| away);
            if away > wide {
                found.push((place, away.min(FARTHEST * spacing)));
            }
            k += 1.0;
        }
    }
    found
}

/// The points that lie on any circle of a radius of more than `wide` mm with none inside and its middle in the region; few others.
///
/// On such a circle's way from a point of it to its middle lies a place `wide` from that point and no nearer to any. So of the
/// cells of a lattice, those are marked that are nearer to a point than that, and points with no cell about them left
/// unmarked are left out: most of them, and a mesh of the rest is made in a fraction of the time.
fn open(points: &[Point], region: &Region, wide: f64) -> Vec<Point2<f64>> {
    let cell = FINE * wide;
    let around = region.rings().fold(bounds(points), |all, ring| all.union(bounds(ring.points())));
    let (columns, rows) = (whole(around.width() / cell) + 1, whole(around.height() / cell) + 1);
    let mut near = vec![false; columns * rows];
    let corner = FRAC_1_SQRT_2 * cell;
    // The cells whose middles lie from `from` to `to` mm along one axis.
    let range = |from: f64, to: f64, count: usize| {
        let first = (from / cell - 0.5).ceil().max(0.0);
        let past = (to / cell + 0.5).floor().max(0.0);
        whole(first).min(count)..whole(past).min(count).max(whole(first).min(count))
    };
    let reach = wide - corner;
    for p in points {
        let (x, y) = (p.x - around.x0, p.y - around.y0);
        for row in range(y - reach, y + reach, rows) {
            let up = (row as f64 + 0.5) * cell - y;
            let half = (reach * reach - up * up).max(0.0).sqrt();
            let cells = range(x - half, x + half, columns);
            near[row * columns..][cells].fill(true);
        }
    }
    let far = wide + corner;
    let is_open = |p: &&Point| {
        let (x, y) = (p.x - around.x0, p.y - around.y0);
        let cells = range(x - far, x + far, columns);
        range(y - far, y + far, rows).any(|row| near[row * columns..][cells.clone()].iter().any(|near| !near))
    };
    points.iter().filter(is_open).map(|p| Point2::new(p.x, p.y)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::region::Ring;
    use oorandom::Rand64;

    /// The middles and radii of all large empty circles, by a mesh of all points.
    fn by_all(points: &[Point], region: &Region, wide: f64) -> Vec<(Point, f64)> {
        let all = points.iter().map(|p| Point2::new(p.x, p.y)).collect();
        let mesh = DelaunayTriangulation::<Point2<f64>>::bulk_load(all).unwrap();
        let circles = mesh.inner_faces().map(|f| f.circumcircle());
        let circles = circles.map(|(middle, squared)| (Point::new(middle.x, middle.y), squared.sqrt()));
        circles.filter(|(middle, radius)| *radius > wide && region.contains(*middle)).collect()
    }

    #[test]
    fn every_wide_place_is_found_among_few_points() {
        let corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (50.0, 60.0), (50.0, 100.0), (0.0, 100.0)];
        let ring = Ring::from_points(&corners.map(Point::from)).unwrap();
        let region = Region { outer: ring, holes: Vec::new() };
        let mut random = Rand64::new(3);
        let mut any = || Point::new(100.0 * random.rand_float(), 100.0 * random.rand_float());
        let points: Vec<Point> = (0..4000).map(|_| any()).filter(|p| region.contains(*p)).collect();
        for spacing in [2.5, 3.0, 4.0] {
            let wide = WIDE * spacing;
            let near = Near::new(&points, 2.0 * spacing);
            let mut expected = by_all(&points, &region, wide);
            let mut found = wide_places(&points, &near, &region, spacing);
            assert!(found.len() >= expected.len(), "{} of {}", found.len(), expected.len());
            found.truncate(expected.len());
            let by_place =
                |a: &(Point, f64), b: &(Point, f64)| a.0.x.total_cmp(&b.0.x).then(a.0.y.total_cmp(&b.0.y));
            expected.sort_by(by_place);
            found.sort_by(by_place);
            for (e, f) in expected.iter().zip(&found) {
                assert!(e.0.distance(f.0) < 1e-6 && (e.1 - f.1).abs() < 1e-6, "{e:?} is not {f:?}");
            }
            let few = open(&points, &region, wide).len();
            assert!(spacing < 4.0 || few < points.len() / 4, "{few} of {}", points.len());
        }
    }
}
