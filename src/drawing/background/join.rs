//! Joining: lines that hang on nothing → the same lines and the shortest ways from them to the rest.

use kurbo::{BezPath, Line, Point, Shape};
use rstar::RTree;
use rstar::primitives::Line as Side;

use crate::base::chain::nearest_on_segment;
use crate::base::curve::{flatten, path_through};
use crate::base::tolerance::{FLATTEN_MM, WELD_MM};
use crate::block::Block;
use crate::block::region::Region;
use crate::drawing::constructions::clip::groups;

/// Ways begin at points this close together along a line, mm: a shorter way between two of them is not found.
const LOOK_MM: f64 = 1.0;

/// `first`, then `more`, then the shortest way from each group of `more` that hangs on nothing to what is joined already,
/// the nearest group first. With `by_edge`, lines that touch the same edge of the block hang together.
#[must_use]
pub fn joined(first: &[BezPath], more: Vec<BezPath>, block: &Block, by_edge: bool) -> Vec<BezPath> {
    let edges = block.inside.iter().flat_map(Region::rings).filter(|_| by_edge);
    let edges: Vec<BezPath> = edges.map(|ring| path_through(ring.points(), true)).collect();
    let mut lines: Vec<BezPath> = first.iter().cloned().chain(more).collect();
    let count = lines.len();
    lines.extend(edges);
    let group = groups(&lines);
    lines.truncate(count);
    let mut loose: Vec<usize> = group[..count].to_vec();
    loose.sort_unstable();
    loose.dedup();
    loose.retain(|g| !group[..first.len()].contains(g));
    let of = |g: usize| lines.iter().zip(&group).filter(move |(_, of)| **of == g).map(|(line, _)| line);
    let mut rest: Vec<Vec<Point>> = loose.iter().map(|g| of(*g).flat_map(looked_at).collect()).collect();
    let known = lines.iter().zip(&group).filter(|(_, g)| !loose.contains(g)).map(|(line, _)| line);
    let mut tree: RTree<Side<[f64; 2]>> = RTree::bulk_load(known.flat_map(sides).collect());
    let mut ways = Vec::new();
    while let Some((n, from, to)) = nearest(&rest, &tree) {
        ways.push(Line::new(from, to).to_path(FLATTEN_MM));
        rest.remove(n);
        of(loose.remove(n)).flat_map(sides).for_each(|side| tree.insert(side));
    }
    lines.extend(ways);
    lines
}

/// The group nearest to the sides in `tree`, a point of it and the nearest point there.
fn nearest(rest: &[Vec<Point>], tree: &RTree<Side<[f64; 2]>>) -> Option<(usize, Point, Point)> {
    let mut best: Option<(f64, (usize, Point, Point))> = None;
    for (n, points) in rest.iter().enumerate() {
        for p in points {
            let Some(side) = tree.nearest_neighbor(&[p.x, p.y]) else { continue };
            let to = nearest_on_segment(*p, point(side.from), point(side.to));
            let away = p.distance(to);
            if best.is_none_or(|(least, _)| away < least) {
                best = Some((away, (n, *p, to)));
            }
        }
    }
    best.map(|(_, way)| way)
}

fn point([x, y]: [f64; 2]) -> Point {
    Point::new(x, y)
}

fn sides(line: &BezPath) -> Vec<Side<[f64; 2]>> {
    // So close that a way that ends on a side ends on the curve.
    let flat = flatten(line, WELD_MM / 4.0);
    let pairs = flat.iter().flat_map(|f| f.points.windows(2));
    pairs.map(|w| Side::new([w[0].x, w[0].y], [w[1].x, w[1].y])).collect()
}

/// Points of a line, close together.
fn looked_at(line: &BezPath) -> Vec<Point> {
    let mut points = Vec::new();
    for side in sides(line) {
        let (from, to) = (point(side.from), point(side.to));
        let count = (from.distance(to) / LOOK_MM).ceil().max(1.0);
        let mut k = 0.0;
        while k < count {
            points.push(from.lerp(to, k / count));
            k += 1.0;
        }
        points.push(to);
    }
    points
}
