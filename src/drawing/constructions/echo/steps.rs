//! Steps: rings → closed rings and short steps between them, so that all hang together.
//!
//! Every ring stays closed and true, and has one step to the ring outside it. The first step goes along the middle of a
//! corner, as in a picture frame, where the corner is hidden in the drawing already, or straight out from a rounded ring; each
//! further one goes on from where the step before came in, so that all lie on one ray and four lines meet on every ring
//! between: no step has to be walked twice.

use kurbo::Point;

use super::lift::{insert, is_corner, lifted};
use super::rings::Ring;
use crate::base::chain;
use crate::block::region::Region;

/// The longest step, in parts of the distance between rings: a corner of 36° has one as long.
const LONGEST: f64 = 3.3;

/// How many places round a ring a step may take where there are no corners.
const PLACES: usize = 32;

/// A step is looked at in so many parts.
const LOOKED_AT: u32 = 12;

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
    let mut web = Web {
        parents: (0..rings.len()).map(|i| parent(rings, i, step)).collect(),
        rings: rings.to_vec(),
        region,
        step,
        steps: Vec::new(),
        begun: vec![None; rings.len()],
    };
    for ring in 0..rings.len() {
        if let Some(parent) = web.parents[ring] {
            web.join(ring, parent);
        }
    }
    web.bridge();
    let drawn = web.rings.into_iter().skip(usize::from(known));
    let rings = drawn.map(|r| (r.points, true));
    rings.chain(web.steps.into_iter().map(|s| (s.to_vec(), false))).collect()
}

struct Web<'a> {
    rings: Vec<Ring>,
    region: &'a Region,
    step: f64,
    parents: Vec<Option<usize>>,
    // From the inner ring to the outer one.
    steps: Vec<[Point; 2]>,
    // Where the step of each ring begins on it.
    begun: Vec<Option<Point>>,
}

impl Web<'_> {
    /// Lays a step between a ring and the one outside it.
    fn join(&mut self, ring: usize, parent: usize) {
        if let Some(step) = self.onward(ring, parent) {
            return self.lay(ring, step);
        }
        let places = self.places(ring, parent);
        let best = places.into_iter().min_by(|a, b| self.cost(*a).total_cmp(&self.cost(*b)));
        let step = best.or_else(|| {
            let (a, b) = closest(&self.rings[ring].points, &self.rings[parent].points)?;
            Some([a, b])
        });
        let Some([a, b]) = step else { return };
        let goal = &mut self.rings[parent].points;
        let (corner, away) = nearest(goal, b);
        let b = if away < ON_RING_MM { goal[corner] } else { b };
        if insert(goal, b, ON_RING_MM).is_some() {
            self.lay(ring, [a, b]);
        }
    }

    fn lay(&mut self, ring: usize, step: [Point; 2]) {
        self.steps.push(step);
        self.begun[ring] = Some(step[0]);
    }

    /// The step that goes on straight from where the outer ring's own step begins.
    fn onward(&mut self, ring: usize, parent: usize) -> Option<[Point; 2]> {
        let from = self.begun[parent]?;
        let sides = chain::sides(&self.rings[ring].points);
        let feet = sides.map(|(a, b)| chain::nearest_on_segment(from, a, b));
        let to = feet.min_by(|a, b| a.distance_squared(from).total_cmp(&b.distance_squared(from)))?;
        if to.distance(from) > LONGEST * self.step || !self.is_between(ring, parent, [from, to]) {
            return None;
        }
        let points = &mut self.rings[ring].points;
        let at = insert(points, to, ON_RING_MM)?;
        Some([points[at], from])
    }

    /// True if a step crosses no ring on its way: all of it lies as deep as its ends or between them. Round an inward corner
    /// another ring may lie in between.
    fn is_between(&self, ring: usize, parent: usize, [from, to]: [Point; 2]) -> bool {
        let [outer, inner] = [parent, ring].map(|i| self.step * self.rings[i].level as f64);
        let deep = outer - ON_RING_MM..=inner + ON_RING_MM;
        let depth = |p: Point| {
            let edges = self.region.rings().map(|edge| chain::distance_to_ring(p, edge.points()));
            edges.fold(f64::INFINITY, f64::min)
        };
        (1..LOOKED_AT).all(|k| deep.contains(&depth(from.lerp(to, f64::from(k) / f64::from(LOOKED_AT)))))
    }

    /// Steps from the corners of a ring to the corners outside them; without such corners, from places spread round it.
    fn places(&self, ring: usize, parent: usize) -> Vec<[Point; 2]> {
        let points = &self.rings[ring].points;
        let goal = &self.rings[parent].points;
        let depth = self.step * self.rings[parent].level as f64;
        let at = |i: usize| [points[i], lifted(points, i, depth, self.region)];
        let sound = |s: &[Point; 2]| {
            let far = s[0].distance(s[1]);
            far <= LONGEST * self.step && chain::distance_to_ring(s[1], goal) < ON_RING_MM
        };
        let corners: Vec<[Point; 2]> =
            (0..points.len()).filter(|i| is_corner(points, *i)).map(at).filter(sound).collect();
        if corners.len() > 1 {
            return corners;
        }
        let spread = (0..PLACES).map(|k| k * points.len() / PLACES).map(at);
        spread.filter(sound).chain(corners).collect()
    }

    /// Shorter steps are better: those in the widest corner.
    fn cost(&self, step: [Point; 2]) -> f64 {
        // Rounded, so that dust does not decide between places that are equal.
        (step[0].distance(step[1]) / self.step * 1e6).round()
    }

    /// Joins what does not hang together yet by the shortest steps between neighbours.
    fn bridge(&mut self) {
        let mut group: Vec<usize> = (0..self.rings.len()).map(|i| self.root(i)).collect();
        loop {
            let mut best: Option<(f64, Point, Point, usize, usize)> = None;
            for i in 0..self.rings.len() {
                for j in (0..i).filter(|j| group[*j] != group[i]) {
                    let (a, b) = (&self.rings[i].points, &self.rings[j].points);
                    let Some((p, q)) = closest(a, b) else { continue };
                    let away = p.distance(q);
                    if away < NEIGHBOUR * self.step && best.is_none_or(|b| away < b.0 - 1e-6) {
                        best = Some((away, p, q, i, j));
                    }
                }
            }
            let Some((_, p, q, i, j)) = best else { return };
            self.steps.push([p, q]);
            let (from, to) = (group[i], group[j]);
            group.iter_mut().filter(|g| **g == from).for_each(|g| *g = to);
        }
    }

    fn root(&self, mut i: usize) -> usize {
        while let Some(p) = self.parents[i] {
            i = p;
        }
        i
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
