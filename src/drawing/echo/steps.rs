//! Steps: rings → lines that hang together, with next to nothing to walk twice.
//!
//! Every ring is offset from one further out, so from any of its points there is a way out. From the innermost ring one line
//! climbs outwards: nearly once round each ring, then in a smooth rise, most of it in the opening of this ring and the rest
//! in that of the next, so that no ring is missed, no two rises stand in one row and nothing is walked twice. Side branches
//! are closed rings, each joined to the next by a short straight step, which has to be walked twice.

use kurbo::Point;

use super::lift::{insert, is_corner, lifted};
use super::rings::Ring;
use crate::base::chain;
use crate::block::region::Region;

/// How far along the ring a rise goes, in parts of the distance between rings; the first that there is room for.
const ALONG: [f64; 4] = [3.0, 2.0, 1.2, 0.6];

/// The part of a rise that lies in the opening of the ring that it leaves.
const OPEN: f64 = 0.7;

/// A rise goes at most this part of the way round a ring.
const ROUND: f64 = 0.25;

/// A ring further than this from another is no neighbour, in parts of the distance between rings.
const NEIGHBOUR: f64 = 1.35;

/// A point nearer than this to a ring lies on it, mm: more than round joins may err by.
pub const ON_RING_MM: f64 = 0.05;

/// A line, and whether it is closed.
pub type Line = (Vec<Point>, bool);

/// Lines along all of `rings`, which are `step` mm apart, but for the first if that is `known`: drawn already, and closed.
///
/// Rings that no step reaches stay apart.
#[must_use]
pub fn lines(rings: &[Ring], known: bool, step: f64, region: &Region) -> Vec<Line> {
    let parents = (0..rings.len()).map(|i| parent(rings, i, step)).collect();
    let drawn = rings.iter().map(|_| Vec::new()).collect();
    let mut web =
        Web { rings: rings.to_vec(), region, step, parents, drawn, ends: Vec::new(), lines: Vec::new() };
    let Some(first) = web.deepest_under(0) else { return Vec::new() };
    if known {
        web.drawn[0].clone_from(&rings[0].points);
    } else {
        let node = web.start(first);
        web.climb(first, node);
    }
    loop {
        if let Some(leaf) = web.open_leaf() {
            web.side(leaf, None);
        } else if !web.bridge() {
            return web.lines;
        }
    }
}

struct Web<'a> {
    rings: Vec<Ring>,
    region: &'a Region,
    step: f64,
    parents: Vec<Option<usize>>,
    // The points of each ring that are drawn: none yet, all of a closed ring, all but the opening of an open one.
    drawn: Vec<Vec<Point>>,
    // Where a climb begins: from there a line may go on without walking anything twice.
    ends: Vec<Point>,
    lines: Vec<Line>,
}

impl Web<'_> {
    fn root(&self, mut i: usize) -> usize {
        while let Some(p) = self.parents[i] {
            i = p;
        }
        i
    }

    fn deepest_under(&self, root: usize) -> Option<usize> {
        (0..self.rings.len()).rev().find(|i| self.root(*i) == root)
    }

    /// The deepest ring not drawn under a root of which something is drawn.
    fn open_leaf(&self) -> Option<usize> {
        let count = self.rings.len();
        let started = |root: usize| (0..count).any(|i| !self.drawn[i].is_empty() && self.root(i) == root);
        (0..count).rev().find(|i| self.drawn[*i].is_empty() && started(self.root(*i)))
    }

    /// The point of a ring furthest from its corners from which there is a rise.
    fn start(&mut self, ring: usize) -> usize {
        let points = self.rings[ring].points.clone();
        let quiet = quietest(&points);
        let Some(parent) = self.parents[ring] else { return quiet };
        let nodes = (0..points.len()).map(|i| (quiet + i) % points.len());
        nodes.into_iter().find(|node| self.rise_to(ring, *node, parent).is_some()).unwrap_or(quiet)
    }

    fn close(&mut self, ring: usize) {
        self.drawn[ring].clone_from(&self.rings[ring].points);
        self.lines.push((self.rings[ring].points.clone(), true));
    }

    /// One line from a point of a ring, closed itself, to the outermost ring, closed as well.
    fn climb(&mut self, mut ring: usize, node: usize) {
        let start = self.rings[ring].points[node];
        let (mut line, mut at) = (vec![start], node);
        self.ends.push(start);
        while let Some(parent) = self.parents[ring].filter(|p| self.drawn[*p].is_empty()) {
            let Some((rise, to)) = self.rise_to(ring, at, parent) else {
                // No way to rise from here: the rest are closed rings with straight steps.
                let from = self.rings[ring].points[at];
                self.lines.push((line, false));
                return self.side(ring, Some(from));
            };
            if line.len() == 1 {
                self.close(ring);
            }
            line.extend_from_slice(&rise[1..]);
            (ring, at) = (parent, to);
            if self.parents[ring].is_none() {
                break;
            }
            at = self.round(ring, at, &mut line);
        }
        if line.len() > 1 {
            self.lines.push((line, false));
        }
        if self.drawn[ring].is_empty() {
            self.close(ring);
        }
    }

    /// Goes along a ring from one of its points to short of that point again; the point where it stops.
    fn round(&mut self, ring: usize, from: usize, line: &mut Vec<Point>) -> usize {
        let points = &self.rings[ring].points;
        let n = points.len();
        let opening = (ALONG[0] * self.step).min(ROUND * chain::perimeter(points)) * OPEN;
        let (mut last, mut left) = (from, 0.0);
        while left < opening {
            let before = (last + n - 1) % n;
            left += points[last].distance(points[before]);
            last = before;
        }
        let mut arc = vec![points[from]];
        let mut i = from;
        while i != last {
            i = (i + 1) % n;
            arc.push(points[i]);
        }
        line.extend_from_slice(&arc[1..]);
        self.drawn[ring] = arc;
        last
    }

    /// The rise from a point of a ring to the one outside it, and the point where it gets there.
    fn rise_to(&mut self, ring: usize, at: usize, parent: usize) -> Option<(Vec<Point>, usize)> {
        for along in ALONG {
            let line = self.rise(ring, at, along * self.step);
            let end = *line.last()?;
            let steady = line.windows(2).all(|w| w[0].distance(w[1]) < self.step);
            if let Some(to) = insert(&mut self.rings[parent].points, end, ON_RING_MM).filter(|_| steady) {
                return Some((line, to));
            }
        }
        None
    }

    /// A line that rises one step over the next `along` mm of a ring.
    fn rise(&self, ring: usize, at: usize, along: f64) -> Vec<Point> {
        let points = &self.rings[ring].points;
        let deep = self.step * self.rings[ring].level as f64;
        let along = along.min(ROUND * chain::perimeter(points));
        let mut line = vec![points[at]];
        let (mut i, mut done) = (at, 0.0);
        while done < along {
            let next = (i + 1) % points.len();
            done = (done + points[i].distance(points[next])).min(along);
            let part = done / along;
            let risen = part * part * (3.0 - 2.0 * part);
            line.push(lifted(points, next, deep - self.step * risen, self.region));
            i = next;
        }
        line
    }

    /// Closed rings from a ring outwards to one that is drawn, and straight steps between them from point to point.
    fn side(&mut self, leaf: usize, mut from: Option<Point>) {
        let mut ring = leaf;
        loop {
            if self.drawn[ring].is_empty() {
                self.close(ring);
            }
            let Some(parent) = self.parents[ring] else { return };
            let known = !self.drawn[parent].is_empty();
            let goals = if known { self.drawn[parent].clone() } else { self.rings[parent].points.clone() };
            let starts = from.map_or_else(|| self.rings[ring].points.clone(), |p| vec![p]);
            let Some((a, b)) = closest(&starts, &goals) else { return };
            self.lines.push((vec![a, b], false));
            if known {
                return;
            }
            (ring, from) = (parent, Some(b));
        }
    }

    /// Joins rings under a root of which nothing is drawn: from where a climb began, if one is near.
    fn bridge(&mut self) -> bool {
        let mut best: Option<(f64, Point, usize, usize)> = None;
        for to in (0..self.rings.len()).filter(|i| self.drawn[*i].is_empty()) {
            for p in self.drawn.iter().flatten() {
                let (j, away) = nearest(&self.rings[to].points, *p);
                // Leaving a ring elsewhere than where a climb began means walking part of it twice.
                let cost = away + if self.ends.contains(p) { 0.0 } else { 2.0 * self.step };
                if away < NEIGHBOUR * self.step && best.is_none_or(|b| cost < b.0 - 1e-6) {
                    best = Some((cost, *p, to, j));
                }
            }
        }
        let Some((_, from, to, j)) = best else { return false };
        self.lines.push((vec![from, self.rings[to].points[j]], false));
        self.climb(to, j);
        true
    }
}

/// The closest two of two sets of points.
fn closest(from: &[Point], to: &[Point]) -> Option<(Point, Point)> {
    let pairs = from.iter().filter(|_| !to.is_empty()).map(|p| (*p, to[nearest(to, *p).0]));
    pairs.min_by(|a, b| {
        // Rounded, so that of many as close the first is taken.
        let away = |(p, q): &(Point, Point)| (p.distance(*q) * 1e3).round();
        away(a).total_cmp(&away(b))
    })
}

/// The ring one level out that is nearest, of the same kind (outline or hole) where two are as near.
fn parent(rings: &[Ring], i: usize, step: f64) -> Option<usize> {
    let hole = |r: &Ring| chain::signed_area(&r.points) < 0.0;
    let candidates = (0..rings.len()).filter(|p| rings[*p].level + 1 == rings[i].level);
    let near = candidates.map(|p| {
        let away =
            rings[i].points.iter().map(|q| nearest(&rings[p].points, *q).1).fold(f64::INFINITY, f64::min);
        ((away / step * 20.0).round(), hole(&rings[p]) != hole(&rings[i]), p)
    });
    let near = near.filter(|n| n.0 < NEIGHBOUR * 20.0);
    near.min_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2)))).map(|n| n.2)
}

/// The point of a chain nearest to `p`, and how far it is.
fn nearest(points: &[Point], p: Point) -> (usize, f64) {
    let mut best = (0, f64::INFINITY);
    for (i, q) in points.iter().enumerate() {
        let away = q.distance_squared(p);
        if away < best.1 {
            best = (i, away);
        }
    }
    (best.0, best.1.sqrt())
}

/// The point of a ring furthest from its corners.
#[must_use]
pub fn quietest(points: &[Point]) -> usize {
    let n = points.len();
    let corners: Vec<usize> = (0..n).filter(|i| is_corner(points, *i)).collect();
    let away =
        |i: usize| corners.iter().map(|c| points[*c].distance(points[i])).fold(f64::INFINITY, f64::min);
    let rounded = |i: usize| (away(i) * 1e3).round();
    (0..n)
        .filter(|i| !corners.contains(i))
        .min_by(|i, j| rounded(*j).total_cmp(&rounded(*i)).then(i.cmp(j)))
        .unwrap_or(0)
}
