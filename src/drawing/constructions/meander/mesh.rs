//! Mesh: points in a region → faces of three and four corners between them, and the edges that part the faces.

use std::collections::{BTreeMap, BTreeSet};

use kurbo::{Point, Vec2};
use spade::{DelaunayTriangulation, Point2, Triangulation};

use super::fence::{Fence, whole};
use crate::base::angle::turn_deg;

/// A triangle on the rim whose outer angle is larger is left out, degrees.
const SLIVER_DEG: f64 = 125.0;

/// The angles that a face of four corners may have, degrees.
const QUAD_DEG: std::ops::RangeInclusive<f64> = 40.0..=150.0;

/// An edge of the mesh.
#[derive(Debug, Clone)]
pub struct Edge {
    /// The points it joins.
    pub ends: [usize; 2],
    /// The faces to its left and right, going from the first end to the second.
    pub sides: [Option<usize>; 2],
}

/// Points, the edges between them, and the faces between those.
#[derive(Debug, Clone)]
pub struct Mesh {
    /// The corners.
    pub points: Vec<Point>,
    /// The corners of each face, anticlockwise.
    pub faces: Vec<Vec<usize>>,
    /// The edges.
    pub edges: Vec<Edge>,
    /// The edges at each point, anticlockwise, each with the direction in which it leaves, radians.
    pub around: Vec<Vec<(usize, f64)>>,
}

impl Mesh {
    /// Meshes `points`; edges keep `clear` mm from the edges of the region. Parts that cannot be joined stay apart.
    #[must_use]
    pub fn new(points: Vec<Point>, fence: &Fence, clear: f64) -> Self {
        let (triangles, links) = delaunay(&points);
        let usable: BTreeSet<Link> =
            links.into_iter().filter(|l| is_clear(points[l.0], points[l.1], fence, clear)).collect();
        let is_usable = |t: &[usize; 3]| (0..3).all(|i| usable.contains(&link(t[i], t[(i + 1) % 3])));
        let triangles = triangles.into_iter().filter(is_usable).collect();
        let faces = quads(&points, peel(&points, triangles));
        let mut edges: BTreeMap<Link, [Option<usize>; 2]> = BTreeMap::new();
        for (f, face) in faces.iter().enumerate() {
            for i in 0..face.len() {
                let (a, b) = (face[i], face[(i + 1) % face.len()]);
                edges.entry(link(a, b)).or_default()[usize::from(a > b)] = Some(f);
            }
        }
        join_parts(&points, &usable, &mut edges);
        let edges = edges.into_iter().map(|((a, b), sides)| Edge { ends: [a, b], sides }).collect();
        let mut mesh = Mesh { points, faces, edges, around: Vec::new() };
        mesh.around = mesh.sorted_around();
        mesh
    }

    /// The edges at each point by their directions.
    fn sorted_around(&self) -> Vec<Vec<(usize, f64)>> {
        let mut around = vec![Vec::new(); self.points.len()];
        for (e, edge) in self.edges.iter().enumerate() {
            let [a, b] = edge.ends;
            let way = self.points[b] - self.points[a];
            around[a].push((e, way.atan2()));
            around[b].push((e, (-way).atan2()));
        }
        around.iter_mut().for_each(|list: &mut Vec<_>| list.sort_by(|e, f| e.1.total_cmp(&f.1)));
        around
    }

    /// True if every point can be reached from every other.
    #[must_use]
    pub fn is_joined(&self) -> bool {
        let mut roots: Vec<usize> = (0..self.points.len()).collect();
        let mut parts = self.points.len();
        for edge in &self.edges {
            parts -= usize::from(unite(&mut roots, edge.ends[0], edge.ends[1]));
        }
        parts == 1
    }

    /// The other end of an edge.
    #[must_use]
    pub fn other(&self, edge: usize, end: usize) -> usize {
        let [a, b] = self.edges[edge].ends;
        if a == end { b } else { a }
    }

    /// The face to the left of an edge, seen from one of its ends.
    #[must_use]
    pub fn left(&self, edge: usize, from: usize) -> Option<usize> {
        let edge = &self.edges[edge];
        edge.sides[usize::from(edge.ends[0] != from)]
    }

    /// The middle of a face's corners.
    #[must_use]
    pub fn middle(&self, face: usize) -> Point {
        let corners = &self.faces[face];
        let sum = corners.iter().fold(Vec2::ZERO, |sum, c| sum + self.points[*c].to_vec2());
        (sum / corners.len() as f64).to_point()
    }

    /// True if an edge has no face on one side.
    #[must_use]
    pub fn is_rim(&self, edge: usize) -> bool {
        self.edges[edge].sides.contains(&None)
    }
}

/// Two points that are joined, the lower number first.
type Link = (usize, usize);

fn link(a: usize, b: usize) -> Link {
    (a.min(b), a.max(b))
}

/// The triangles of the Delaunay mesh, and its links.
fn delaunay(points: &[Point]) -> (Vec<[usize; 3]>, Vec<Link>) {
    let mut mesh: DelaunayTriangulation<Point2<f64>> = DelaunayTriangulation::new();
    let mut number = Vec::new();
    for (i, p) in points.iter().enumerate() {
        if let Ok(vertex) = mesh.insert(Point2::new(p.x, p.y))
            && vertex.index() == number.len()
        {
            number.push(i);
        }
    }
    let triangles = mesh.inner_faces().map(|f| f.vertices().map(|v| number[v.fix().index()])).collect();
    let links = mesh.undirected_edges().map(|e| {
        let [a, b] = e.vertices().map(|v| number[v.fix().index()]);
        link(a, b)
    });
    (triangles, links.collect())
}

/// Adds the shortest links that join parts of the mesh which have no face in common, as in a narrow neck.
fn join_parts(points: &[Point], usable: &BTreeSet<Link>, edges: &mut BTreeMap<Link, [Option<usize>; 2]>) {
    let mut roots: Vec<usize> = (0..points.len()).collect();
    for (a, b) in edges.keys() {
        unite(&mut roots, *a, *b);
    }
    let long = |l: &Link| points[l.0].distance(points[l.1]);
    let mut bare: Vec<Link> = usable.iter().copied().collect();
    bare.sort_by(|p, q| long(p).total_cmp(&long(q)).then(p.cmp(q)));
    for (a, b) in bare {
        if unite(&mut roots, a, b) {
            edges.insert((a, b), [None, None]);
        }
    }
}

/// True if every place of a straight piece is at least `clear` mm from the edges.
fn is_clear(a: Point, b: Point, fence: &Fence, clear: f64) -> bool {
    let count = (a.distance(b) / (0.7 * clear)).ceil().max(1.0);
    (0..=whole(count)).all(|k| fence.away(a.lerp(b, k as f64 / count)).is_none_or(|d| d >= clear))
}

/// Leaves out triangles that lie along the rim with a wide angle, until there are none.
fn peel(points: &[Point], mut triangles: Vec<[usize; 3]>) -> Vec<[usize; 3]> {
    loop {
        let mut count: BTreeMap<Link, usize> = BTreeMap::new();
        for t in &triangles {
            for i in 0..3 {
                let (a, b) = (t[i], t[(i + 1) % 3]);
                *count.entry(link(a, b)).or_default() += 1;
            }
        }
        let before = triangles.len();
        triangles.retain(|t| {
            (0..3).all(|i| {
                let (a, b, c) = (t[i], t[(i + 1) % 3], t[(i + 2) % 3]);
                let rim = count[&link(a, b)] == 1;
                let wide = 180.0 - turn_deg(points[c] - points[b], points[a] - points[c]).abs() > SLIVER_DEG;
                !(rim && wide)
            })
        });
        if triangles.len() == before {
            return triangles;
        }
    }
}

/// Joins pairs of triangles into faces of four corners, the squarest first.
fn quads(points: &[Point], triangles: Vec<[usize; 3]>) -> Vec<Vec<usize>> {
    let mut sides: BTreeMap<Link, Vec<(usize, usize)>> = BTreeMap::new();
    for (f, t) in triangles.iter().enumerate() {
        for i in 0..3 {
            let (a, b) = (t[i], t[(i + 1) % 3]);
            sides.entry(link(a, b)).or_default().push((f, t[(i + 2) % 3]));
        }
    }
    let mut pairs: Vec<(f64, [usize; 2], Vec<usize>)> = Vec::new();
    for ((a, b), list) in &sides {
        let [(f, c), (g, d)] = list[..] else { continue };
        // Anticlockwise: a, d, b, c if c lies left of a → b.
        let left = (points[*b] - points[*a]).cross(points[c] - points[*a]) > 0.0;
        let corners = if left { vec![*a, d, *b, c] } else { vec![*a, c, *b, d] };
        let angle = |i: usize| {
            let at = |k: usize| points[corners[k % 4]];
            180.0 - turn_deg(at(i + 4) - at(i + 3), at(i + 1) - at(i))
        };
        let angles: Vec<f64> = (0..4).map(angle).collect();
        if angles.iter().all(|a| QUAD_DEG.contains(a)) {
            pairs.push((angles.iter().map(|a| (a - 90.0).abs()).sum(), [f, g], corners));
        }
    }
    pairs.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)));
    let mut taken = vec![false; triangles.len()];
    let mut faces = Vec::new();
    for (_, pair, corners) in pairs {
        if pair.iter().all(|f| !taken[*f]) {
            pair.iter().for_each(|f| taken[*f] = true);
            faces.push(corners);
        }
    }
    faces.extend(triangles.iter().zip(&taken).filter(|(_, t)| !**t).map(|(t, _)| t.to_vec()));
    faces
}

/// Unites the sets of two points (union–find); false if they were one already.
pub fn unite(roots: &mut [usize], a: usize, b: usize) -> bool {
    let (a, b) = (root(roots, a), root(roots, b));
    roots[a] = b;
    a != b
}

/// The root of a point's set, paths halved on the way.
pub fn root(roots: &mut [usize], mut i: usize) -> usize {
    while roots[i] != i {
        roots[i] = roots[roots[i]];
        i = roots[i];
    }
    i
}
