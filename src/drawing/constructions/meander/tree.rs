//! Tree: a mesh → a spanning tree of its points, annealed so that the line round it is never straight for long.
//!
//! The line round a spanning tree passes every point and every face of a plane mesh: one closed line that never crosses
//! itself and leaves nothing out (Gabriely and Rimon, Spanning-tree based coverage of continuous areas by a mobile robot,
//! 2001 [225]; here on a mesh in place of a square grid). The edges that are no branches are a tree of the faces, round
//! which the same line winds, so both are wanted to turn: a random tree is annealed by exchanging edges (Kirkpatrick,
//! Gelatt and Vecchi, Optimization by simulated annealing, Science 220, 1983, from memory). Large meshes are cut into
//! clusters with a tree each, which keeps the cost in step with the area and the line from marching in parallel waves.

use std::f64::consts::TAU;

use kurbo::{Point, Vec2};
use oorandom::Rand64;

use super::cells::pick;
use super::mesh::{Mesh, root, unite};

/// Exchanges tried for every edge, and the heat at the first and the last.
const TRIALS: usize = 160;
/// See [`TRIALS`].
const HEAT: (f64, f64) = (0.7, 0.03);
/// What a branch along the rim costs: bends face the edge, they do not run along it.
const RIM: f64 = 0.5;
/// What a leaf costs that has another beside it on the rim: a row of them is a comb.
const COMB: f64 = 1.2;
/// What it costs if two branches along the rim meet in a corner that points inwards: beyond it is no room for two bends.
const PINCH: f64 = 3.0;
/// The angle beyond the rim below which it is such a corner, radians.
const PINCH_ANGLE: f64 = 2.8;
/// Points in a cluster, and how many points need none.
const CLUSTER: usize = 16;
/// See [`CLUSTER`].
const UNDIVIDED: usize = 64;
/// Rounds of moving the clusters' middles.
const ROUNDS: usize = 8;
/// The room that a disc takes at a point, degrees: so much for every branch, so much for every edge that is none, and
/// so much there is; what it costs to have less, by the degree.
const ROOM_DEG: (f64, f64, f64) = (106.0, 35.0, 362.0);
/// See [`ROOM_DEG`].
const CROWDED: f64 = 0.1;
/// What the angle between two neighbouring branches costs: a straight one is a weak wave, a wide one a round knob.
const BENDS: [(f64, f64); 6] =
    [(0.0, 0.0), (100.0, 0.0), (180.0, 1.0), (250.0, 0.0), (290.0, -0.25), (361.0, -0.25)];

/// Which edges of the mesh are branches: of one tree, or of one for every window that points are labelled with.
#[must_use]
pub fn grow(mesh: &Mesh, windows: Option<&[usize]>, random: &mut Rand64) -> Vec<bool> {
    let in_one = |a: usize, b: usize| windows.is_none_or(|of| of[a] == of[b]);
    let labels = clusters(mesh, in_one, random);
    let mut tree = Tree::new(mesh);
    let mut roots: Vec<usize> = (0..mesh.points.len()).collect();
    let mut order: Vec<usize> = (0..mesh.edges.len()).collect();
    for i in (1..order.len()).rev() {
        order.swap(i, pick(random, i + 1));
    }
    let is_inner = |e: usize| labels[mesh.edges[e].ends[0]] == labels[mesh.edges[e].ends[1]];
    let mut inner = vec![Vec::new(); labels.iter().max().map_or(0, |most| most + 1)];
    for e in order.into_iter().filter(|e| is_inner(*e)) {
        let [a, b] = mesh.edges[e].ends;
        inner[labels[a]].push(e);
        if unite(&mut roots, a, b) {
            tree.set(e, true);
        }
    }
    inner.iter().for_each(|edges| tree.anneal(edges, random));
    let mut joins: Vec<(f64, usize)> =
        (0..mesh.edges.len()).filter(|e| !is_inner(*e)).map(|e| (tree.rise(e), e)).collect();
    joins.retain(|(_, e)| in_one(mesh.edges[*e].ends[0], mesh.edges[*e].ends[1]));
    joins.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)));
    for (_, e) in joins {
        if unite(&mut roots, mesh.edges[e].ends[0], mesh.edges[e].ends[1]) {
            tree.set(e, true);
        }
    }
    tree.on
}

/// For each point the number of its cluster; a cluster hangs together (k-means: Lloyd, 1982) [223] and lies in one window.
fn clusters(mesh: &Mesh, in_one: impl Fn(usize, usize) -> bool, random: &mut Rand64) -> Vec<usize> {
    let n = mesh.points.len();
    let count = if n > UNDIVIDED { n.div_ceil(CLUSTER) } else { 1 };
    let mut middles: Vec<Point> = (0..count).map(|_| mesh.points[pick(random, n)]).collect();
    let mut of = vec![0; n];
    for _ in 0..ROUNDS {
        let mut sums = vec![(Vec2::ZERO, 0.0); count];
        for (p, of) in mesh.points.iter().zip(&mut of) {
            let away = |k: &usize| p.distance_squared(middles[*k]);
            *of = (0..count).min_by(|a, b| away(a).total_cmp(&away(b))).unwrap_or(0);
            sums[*of].0 += p.to_vec2();
            sums[*of].1 += 1.0;
        }
        for (middle, (sum, many)) in middles.iter_mut().zip(sums).filter(|(_, s)| s.1 > 0.0) {
            *middle = (sum / many).to_point();
        }
    }
    let mut roots: Vec<usize> = (0..n).collect();
    let hangs = |[a, b]: [usize; 2]| of[a] == of[b] && in_one(a, b);
    for edge in mesh.edges.iter().filter(|e| hangs(e.ends)) {
        unite(&mut roots, edge.ends[0], edge.ends[1]);
    }
    let mut number = vec![None; n];
    let mut next = 0..;
    (0..n).map(|i| *number[root(&mut roots, i)].get_or_insert_with(|| next.next().unwrap_or(0))).collect()
}

/// A tree that is being grown.
struct Tree<'a> {
    mesh: &'a Mesh,
    on: Vec<bool>,
    // The branches at each point.
    at: Vec<Vec<usize>>,
    // The edges round each face, by the directions in which they lie, radians.
    round: Vec<Vec<(usize, f64)>>,
}

impl<'a> Tree<'a> {
    fn new(mesh: &'a Mesh) -> Self {
        let mut round: Vec<Vec<(usize, f64)>> = vec![Vec::new(); mesh.faces.len()];
        let middles: Vec<Point> = (0..mesh.faces.len()).map(|f| mesh.middle(f)).collect();
        for (e, edge) in mesh.edges.iter().enumerate() {
            let [a, b] = edge.ends.map(|p| mesh.points[p]);
            for f in edge.sides.iter().flatten() {
                round[*f].push((e, (a.midpoint(b) - middles[*f]).atan2()));
            }
        }
        round.iter_mut().for_each(|list| list.sort_by(|e, f| e.1.total_cmp(&f.1)));
        Self { mesh, on: vec![false; mesh.edges.len()], at: vec![Vec::new(); mesh.points.len()], round }
    }

    fn set(&mut self, e: usize, on: bool) {
        self.on[e] = on;
        for p in self.mesh.edges[e].ends {
            if on {
                self.at[p].push(e);
            } else {
                self.at[p].retain(|f| *f != e);
            }
        }
    }

    /// Exchanges edges among these, so that it stays a tree, for ever smaller rises of the cost.
    fn anneal(&mut self, edges: &[usize], random: &mut Rand64) {
        let trials = TRIALS * edges.len();
        for t in 0..trials {
            let add = edges[pick(random, edges.len())];
            if self.on[add] {
                continue;
            }
            let way = self.way(self.mesh.edges[add].ends);
            let drop = way[pick(random, way.len())];
            let before = self.cost(&[add, drop]);
            self.set(drop, false);
            self.set(add, true);
            let rise = self.cost(&[add, drop]) - before;
            let heat = HEAT.0 * (HEAT.1 / HEAT.0).powf(t as f64 / trials as f64);
            if rise > 0.0 && random.rand_float() >= (-rise / heat).exp() {
                self.set(add, false);
                self.set(drop, true);
            }
        }
    }

    /// The branches from one point of a tree to another, depth first.
    fn way(&self, [from, to]: [usize; 2]) -> Vec<usize> {
        let mut stack = vec![(from, usize::MAX, 0)];
        let mut way: Vec<usize> = Vec::new();
        while let Some((p, came, deep)) = stack.pop() {
            way.truncate(deep);
            way.extend((came != usize::MAX).then_some(came));
            if p == to {
                break;
            }
            let on = self.at[p].iter().filter(|e| **e != came);
            stack.extend(on.map(|e| (self.mesh.other(*e, p), *e, way.len())));
        }
        way
    }

    /// How much more it costs with this branch.
    fn rise(&mut self, e: usize) -> f64 {
        let before = self.cost(&[e]);
        self.set(e, true);
        let after = self.cost(&[e]);
        self.set(e, false);
        after - before
    }

    /// The cost of all that these edges touch.
    fn cost(&self, edges: &[usize]) -> f64 {
        let sorted = |mut all: Vec<usize>| {
            all.sort_unstable();
            all.dedup();
            all
        };
        let points = sorted(edges.iter().flat_map(|e| self.mesh.edges[*e].ends).collect());
        let faces = sorted(edges.iter().flat_map(|e| self.mesh.edges[*e].sides).flatten().collect());
        let rim = edges.iter().filter(|e| self.on[**e] && self.mesh.is_rim(**e)).count() as f64 * RIM;
        let of_points: f64 = points.iter().map(|p| self.cost_of_point(*p)).sum();
        let of_faces: f64 = faces.iter().map(|f| of_angles(&self.round[*f], |e| !self.on[e])).sum();
        rim + of_points + of_faces
    }

    fn cost_of_point(&self, p: usize) -> f64 {
        let all = &self.mesh.around[p];
        let is_leaf = |q: usize| self.at[q].len() == 1;
        let beside = |e: usize| self.mesh.is_rim(e) && !self.on[e] && is_leaf(self.mesh.other(e, p));
        let combs = if is_leaf(p) { all.iter().filter(|(e, _)| beside(*e)).count() } else { 0 };
        let is_pinched = (0..all.len()).any(|i| {
            let ((e, from), (next, to)) = (all[i], all[(i + 1) % all.len()]);
            let wide = (to - from).rem_euclid(TAU);
            self.on[e] && self.on[next] && e != next && self.mesh.left(e, p).is_none() && wide < PINCH_ANGLE
        });
        let pinch = if is_pinched { PINCH } else { 0.0 };
        combs as f64 * COMB + pinch + of_angles(all, |e| self.on[e])
    }
}

/// What the directions of those edges cost that are branches.
fn of_angles(all: &[(usize, f64)], is_branch: impl Fn(usize) -> bool) -> f64 {
    let mut branches = all.iter().filter(|(e, _)| is_branch(*e)).map(|(_, angle)| *angle);
    let Some(first) = branches.next() else { return PINCH };
    let (mut count, mut last, mut cost) = (1.0, first, 0.0);
    for angle in branches {
        cost += bend((angle - last).to_degrees());
        count += 1.0;
        last = angle;
    }
    cost += bend((first + TAU - last).to_degrees());
    let room = ROOM_DEG.0 * count + ROOM_DEG.1 * (all.len() as f64 - count) - ROOM_DEG.2;
    cost + CROWDED * room.max(0.0)
}

/// [`BENDS`], linear in between.
fn bend(deg: f64) -> f64 {
    let i = BENDS.partition_point(|(x, _)| *x <= deg).clamp(1, BENDS.len() - 1);
    let ((x0, y0), (x1, y1)) = (BENDS[i - 1], BENDS[i]);
    y0 + (y1 - y0) * (deg - x0) / (x1 - x0)
}
