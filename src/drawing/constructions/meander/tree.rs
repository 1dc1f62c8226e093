//! Trees: points in an outline → a random tree over them, and the line round it.
//!
//! The line round a tree over evenly spread cells passes every cell on both sides of every branch: one closed line that
//! never crosses itself and leaves nothing out (Gabriely and Rimon, Spanning-tree based coverage of continuous areas by
//! a mobile robot, 2001 [225]; here on the links of a Delaunay mesh in place of a square grid).
//! Branches turn where they can, so that the line wanders.

use kurbo::{Point, Vec2};
use oorandom::Rand64;
use spade::{DelaunayTriangulation, Point2, Triangulation};

use super::fence::{Fence, whole};
use crate::base::angle::turn_deg;
use crate::base::chain::nearest_on_segment;

/// At most this many branches meet in a point: where four meet, four bends leave a hole of nearly twice the spacing.
const MOST_BRANCHES: usize = 3;

/// Branches that leave a point closer together than this pinch the line between them, degrees.
const NARROW_DEG: f64 = 75.0;

/// Branches that go on straighter than this make a long straight run, degrees of turn.
const STRAIGHT_DEG: f64 = 25.0;

/// At most this many cells along the rim are joined to each other: more make a long straight run beside the edge.
const LONGEST_RUN: usize = 3;

/// What is added to the draw of a branch that is too long, or too near to an edge or a cell: such a one is taken only if nothing else
/// joins two trees, as in the tip of a narrow corner.
const POOR: f64 = 4.0;

/// How near to an edge or a cell such a branch may come, as a part of what others keep.
const POOR_PART: f64 = 0.35;

/// Points and the branches between them.
#[derive(Debug, Clone)]
pub struct Tree {
    /// Where branches meet.
    pub points: Vec<Point>,
    // For each point the points it is joined to.
    branches: Vec<Vec<usize>>,
    /// How many separate trees there are: 1 if everything is joined.
    pub parts: usize,
}

/// What a tree keeps clear of, and by how much.
pub struct Keep<'a> {
    /// The edges that branches keep clear of.
    pub fence: &'a Fence,
    /// How far branches keep from the edges, mm.
    pub clear: f64,
    /// The corners of the edges that point into the region.
    pub posts: &'a [Point],
    /// How far branches keep from those, mm: the line beside a branch must not cut them off.
    pub past: f64,
    /// Branches keep at least this far from other points, mm.
    pub apart: f64,
    /// Branches are shorter than this, mm.
    pub long: f64,
    /// Points nearer to the edge than this lie on the rim, mm.
    pub rim: f64,
    /// How much later branches along the rim are drawn, in parts of the whole draw.
    pub rim_weight: f64,
}

/// Grows a tree over `points`. The first `chain` points are joined one after the other to begin with.
#[must_use]
pub fn grow(points: Vec<Point>, chain: usize, keep: &Keep<'_>, random: &mut Rand64) -> Tree {
    let mut links = links(&points, chain, keep);
    let on_rim: Vec<bool> =
        points.iter().map(|p| keep.fence.away(*p).is_some_and(|d| d < keep.rim)).collect();
    for (a, b, weight) in &mut links {
        let along_rim = *a >= chain && on_rim[*a] && on_rim[*b];
        // Branches off the chain come early, or the line would follow the chain.
        let early = if *a < chain { 0.5 } else { 1.0 };
        *weight += random.rand_float() * early + if along_rim { keep.rim_weight } else { 0.0 };
    }
    links.sort_by(|p, q| p.2.total_cmp(&q.2).then((p.0, p.1).cmp(&(q.0, q.1))));
    let n = points.len();
    let mut tree = Tree { points, branches: vec![Vec::new(); n], parts: n };
    let mut runs: Vec<usize> = (0..n).collect();
    let mut long = vec![1; n];
    let mut roots: Vec<usize> = (0..n).collect();
    for i in 1..chain {
        tree.join(i - 1, i, &mut roots);
    }
    for strictness in [2, 1, 0] {
        for (a, b, weight) in &links {
            let poor = strictness > 0 && *weight >= POOR;
            let ends = chain > 0 && [0, chain - 1].iter().any(|end| a == end || b == end);
            let along_rim = *a >= chain && on_rim[*a] && on_rim[*b];
            let (of_a, of_b) = (root(&mut runs, *a), root(&mut runs, *b));
            let run = along_rim && strictness > 0 && long[of_a] + long[of_b] > LONGEST_RUN;
            let apart = root(&mut roots, *a) != root(&mut roots, *b);
            if !ends && !poor && apart && !run && tree.allows(*a, *b, strictness) {
                tree.join(*a, *b, &mut roots);
                if along_rim {
                    long[of_b] += long[of_a];
                    runs[of_a] = of_b;
                }
            }
        }
    }
    tree
}

/// The links of the Delaunay mesh that keep clear of the edges; the weight is 0, or [`POOR`] for a link of last resort.
fn links(points: &[Point], chain: usize, keep: &Keep<'_>) -> Vec<(usize, usize, f64)> {
    let mut mesh: DelaunayTriangulation<Point2<f64>> = DelaunayTriangulation::new();
    let mut number = Vec::new();
    for (i, p) in points.iter().enumerate() {
        if let Ok(vertex) = mesh.insert(Point2::new(p.x, p.y))
            && vertex.index() == number.len()
        {
            number.push(i);
        }
    }
    let clear = |a: usize, b: usize, part: f64| {
        let past = |post: &Point| {
            nearest_on_segment(*post, points[a], points[b]).distance(*post) >= part * keep.past
        };
        if a >= chain && !keep.posts.iter().all(past) {
            return false;
        }
        // Close enough together that none can miss an edge that is crossed.
        let count = (points[a].distance(points[b]) / (part * keep.clear)).ceil().max(1.0);
        (0..=whole(count)).all(|k| {
            let t = k as f64 / count;
            let p = points[a].lerp(points[b], t);
            // Points of the chain lie on the edge themselves.
            let away =
                part * keep.clear * if a < chain { t } else { 1.0 } * if b < chain { 1.0 - t } else { 1.0 };
            keep.fence.away(p).is_none_or(|d| d >= away)
        })
    };
    let passes = |edge: &spade::handles::UndirectedEdgeHandle<'_, Point2<f64>, (), (), ()>, part: f64| {
        let [a, b] = edge.vertices().map(|v| points[number[v.fix().index()]]);
        let sides = [edge.as_directed(), edge.as_directed().rev()];
        sides.iter().filter_map(|side| side.opposite_vertex()).all(|v| {
            let p = points[number[v.fix().index()]];
            // Points of the chain are no cells: a branch may pass them more closely.
            let apart = if number[v.fix().index()] < chain { keep.apart / 2.0 } else { keep.apart };
            nearest_on_segment(p, a, b).distance(p) > part * apart
        })
    };
    let mut links = Vec::new();
    for edge in mesh.undirected_edges() {
        let [a, b] = edge.vertices().map(|v| number[v.fix().index()]);
        let (a, b) = (a.min(b), a.max(b));
        if b < chain {
            continue;
        }
        let short = points[a].distance(points[b]) < keep.long;
        if short && passes(&edge, 1.0) && clear(a, b, 1.0) {
            links.push((a, b, 0.0));
        } else if passes(&edge, POOR_PART) && clear(a, b, POOR_PART) {
            links.push((a, b, POOR));
        }
    }
    links
}

fn root(roots: &mut [usize], mut i: usize) -> usize {
    while roots[i] != i {
        roots[i] = roots[roots[i]];
        i = roots[i];
    }
    i
}

impl Tree {
    fn join(&mut self, a: usize, b: usize, roots: &mut [usize]) {
        self.branches[a].push(b);
        self.branches[b].push(a);
        let (from, to) = (root(roots, a), root(roots, b));
        roots[from] = to;
        self.parts -= 1;
    }

    /// True if a branch from `a` to `b` is good enough: 2 wants turns, 1 no crowding, 0 takes anything.
    fn allows(&self, a: usize, b: usize, strictness: u8) -> bool {
        let at = |a: usize, b: usize| {
            let way = self.points[b] - self.points[a];
            let turns: Vec<f64> = self.branches[a]
                .iter()
                .map(|c| turn_deg(way, self.points[*c] - self.points[a]).abs())
                .collect();
            let crowded = turns.len() >= MOST_BRANCHES || turns.iter().any(|t| *t < NARROW_DEG);
            let straight = turns.iter().any(|t| *t > 180.0 - STRAIGHT_DEG);
            !(strictness > 0 && crowded || strictness > 1 && straight)
        };
        at(a, b) && at(b, a)
    }

    /// The line round the tree, `off` mm from its branches, anticlockwise round the outside; its end is not its start.
    ///
    /// With a chain of `chain` points, only the side of the chain on which the rest of the tree hangs: an open line from
    /// the first point of the chain to the last.
    #[must_use]
    pub fn round(&self, chain: usize, off: f64) -> Vec<Point> {
        let mut line = Vec::new();
        if self.points.len() == 1 {
            push_arc(self.points[0], off, 0.0, std::f64::consts::TAU * 0.99, &mut line);
            return line;
        }
        let sorted: Vec<Vec<usize>> = (0..self.points.len()).map(|i| self.by_angle(i)).collect();
        let start =
            if chain > 1 { (chain - 1, chain - 2) } else { (0, sorted[0].first().copied().unwrap_or(0)) };
        let (mut from, mut at) = start;
        if chain > 1 {
            line.push(self.points[from]);
        }
        loop {
            if chain > 1 && at == 0 {
                line.push(self.points[0]);
                line.reverse();
                break;
            }
            let around = &sorted[at];
            let i = around.iter().position(|n| *n == from).unwrap_or(0);
            let next = around[(i + 1) % around.len()];
            self.turn(from, at, next, off, &mut line);
            (from, at) = (at, next);
            if (from, at) == start {
                break;
            }
        }
        line
    }

    fn by_angle(&self, i: usize) -> Vec<usize> {
        let angle = |n: &usize| (self.points[*n] - self.points[i]).atan2();
        let mut around = self.branches[i].clone();
        around.sort_by(|a, b| angle(a).total_cmp(&angle(b)));
        around
    }

    /// The way round the point `at`, coming along one branch and leaving along the next to the left.
    fn turn(&self, from: usize, at: usize, next: usize, off: f64, line: &mut Vec<Point>) {
        let centre = self.points[at];
        let alpha = (self.points[from] - centre).atan2();
        let beta = (self.points[next] - centre).atan2();
        let mut sweep = (beta - alpha).rem_euclid(std::f64::consts::TAU);
        if from == next {
            sweep = std::f64::consts::TAU;
        }
        if sweep < std::f64::consts::PI {
            line.push(centre + Vec2::from_angle(alpha + sweep / 2.0) * (off / (sweep / 2.0).sin().max(0.2)));
        } else {
            push_arc(centre, off, alpha + std::f64::consts::FRAC_PI_2, sweep - std::f64::consts::PI, line);
        }
    }
}

fn push_arc(centre: Point, radius: f64, from: f64, sweep: f64, line: &mut Vec<Point>) {
    let steps = 1.0 + (sweep / 0.5).floor();
    let mut k = 0.0;
    while k <= steps {
        line.push(centre + Vec2::from_angle(from + sweep * k / steps) * radius);
        k += 1.0;
    }
}
