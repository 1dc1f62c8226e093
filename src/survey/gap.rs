//! Lines and a block's edges → [`Gap`]: the largest circle that no line crosses, and where it lies.
//!
//! The gap is the circle's diameter: between two lines s apart it is s, as makers of batting mean it; in a corner of
//! angle a between rings s apart it is 2s / (1 + sin(a/2)). A maker's distance is an unquilted square of that side,
//! published [S35], which holds a circle of that diameter, so a gap within the limit keeps to it.
//! What counts as a line: every stitch, the block's outline (it is stitched in the ditch before hooping), and the
//! edges of parts kept clear (they are stitched round in the same way). The circle's centre lies in the block and in
//! no part kept clear; how large those are is asked of each one on its own.
//!
//! Method: branch and bound over a quadtree, best bound first, distances from an R-tree of segments. A cell is bounded
//! by the distance at its centre plus its half diagonal (Lipschitz), and, much tighter along a ridge between two
//! lines, by pairs of segments: the distance to a segment is convex, so nowhere in a cell is the lesser of two above
//! the least, over all mixtures of the two, of the mixture's greatest value at the cell's corners.
//! Exact to [`GAP_MM`]; ties between equal gaps fall the same way every time.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use kurbo::{Point, Vec2};
use rstar::RTree;
use rstar::primitives::Line;

use crate::base::chain;
use crate::base::tolerance::GAP_MM;

/// The ways tried when a circle is pushed to where it is larger.
const WAYS: [(f64, f64); 8] =
    [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)];
/// How finely the widest circle is settled, as a part of [`GAP_MM`].
const SETTLED: f64 = 1e-3;

/// The widest gap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Diameter of the largest circle, mm; the true value is at most [`GAP_MM`] more.
    pub widest_mm: f64,
    /// Its centre, mm.
    pub at: Point,
}

/// The widest gap between `lines` within `edges`: the outline first, then the parts kept clear in it.
///
/// `None` if the outline encloses nothing.
#[must_use]
pub fn widest(edges: &[&[Point]], lines: impl Iterator<Item = (Point, Point)>) -> Option<Gap> {
    let outline = *edges.first()?;
    let sides = edges.iter().flat_map(|ring| chain::sides(ring));
    let segments: Vec<Segment> =
        sides.chain(lines).filter(|(a, b)| a != b).map(|(a, b)| Line::new([a.x, a.y], [b.x, b.y])).collect();
    let field = Field { edges, tree: RTree::bulk_load(segments) };
    let bounds = chain::bounds(outline);
    let half = bounds.width().max(bounds.height()) / 2.0;
    if !half.is_finite() || half == 0.0 {
        return None;
    }
    let centre = bounds.center();
    let [a, b, c, d] = corners_of(centre, half).map(|p| field.nearest(p));
    search(&field, Cell::new(&field, centre, half, [a?, b?, c?, d?])?)
}

type Segment = Line<[f64; 2]>;

/// The edges and every line in them.
struct Field<'a> {
    edges: &'a [&'a [Point]],
    tree: RTree<Segment>,
}

/// A square of the search.
#[derive(Clone, Copy)]
struct Cell {
    centre: Point,
    half: f64,
    /// The nearest segment at the centre, and its distance.
    middle: Segment,
    reach: f64,
    /// The nearest segments at the corners, in the order of [`corners_of`].
    corners: [Segment; 4],
    /// No circle with its centre in the cell has a larger radius.
    bound: f64,
}

impl Field<'_> {
    fn nearest(&self, p: Point) -> Option<Segment> {
        self.tree.nearest_neighbor(&[p.x, p.y]).copied()
    }

    fn reach(&self, p: Point) -> f64 {
        self.nearest(p).map_or(0.0, |s| distance(p, &s))
    }

    fn contains(&self, p: Point) -> bool {
        self.edges.iter().filter(|ring| chain::contains(ring, p)).count() == 1
            && self.edges.first().is_some_and(|outline| chain::contains(outline, p))
    }
}

impl Cell {
    fn new(field: &Field, centre: Point, half: f64, corners: [Segment; 4]) -> Option<Cell> {
        let middle = field.nearest(centre)?;
        let reach = distance(centre, &middle);
        let bound = reach + half * std::f64::consts::SQRT_2;
        Some(Cell { centre, half, middle, reach, corners, bound })
    }

    /// The cell with its bound tightened by every pair of its segments.
    fn tightened(self) -> Cell {
        let places = corners_of(self.centre, self.half);
        let [a, b, c, d] = self.corners;
        let mut at_corners: Vec<[f64; 4]> = Vec::with_capacity(5);
        for segment in [self.middle, a, b, c, d] {
            let distances = places.map(|p| distance(p, &segment));
            if !at_corners.contains(&distances) {
                at_corners.push(distances);
            }
        }
        let mut bound = self.bound;
        for (i, one) in at_corners.iter().enumerate() {
            for other in &at_corners[i..] {
                bound = bound.min(mixed_bound(one, other));
            }
        }
        Cell { bound, ..self }
    }

    /// The four quarters of the cell.
    fn quarters(&self, field: &Field) -> Option<[Cell; 4]> {
        let quarter = self.half / 2.0;
        let [sw, se, ne, nw] = self.corners;
        let beside = |x: f64, y: f64| field.nearest(self.centre + Vec2::new(x, y) * self.half);
        let (s, e, n, w) = (beside(0.0, -1.0)?, beside(1.0, 0.0)?, beside(0.0, 1.0)?, beside(-1.0, 0.0)?);
        let m = self.middle;
        let [c0, c1, c2, c3] = corners_of(self.centre, quarter);
        Some([
            Cell::new(field, c0, quarter, [sw, s, m, w])?,
            Cell::new(field, c1, quarter, [s, se, e, m])?,
            Cell::new(field, c2, quarter, [m, e, ne, n])?,
            Cell::new(field, c3, quarter, [w, m, n, nw])?,
        ])
    }
}

impl PartialEq for Cell {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Cell {}

impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Cell {
    /// The larger bound first; equal bounds from left to right, then from the bottom up.
    fn cmp(&self, other: &Self) -> Ordering {
        let place =
            |c: &Cell, d: &Cell| d.centre.x.total_cmp(&c.centre.x).then(d.centre.y.total_cmp(&c.centre.y));
        self.bound.total_cmp(&other.bound).then_with(|| place(self, other))
    }
}

/// Searches the square `whole`; radii here, the diameter at the end.
fn search(field: &Field, whole: Cell) -> Option<Gap> {
    let within = GAP_MM / 2.0;
    let (mut at, mut radius) = (whole.centre, 0.0);
    let mut cells = BinaryHeap::from([whole]);
    while let Some(cell) = cells.pop() {
        if cell.bound <= radius + within {
            break;
        }
        if cell.reach > radius && field.contains(cell.centre) {
            (at, radius) = pushed(field, cell.centre, cell.reach, cell.half, within);
        }
        for quarter in cell.quarters(field)? {
            let hollow = quarter.reach > quarter.half * std::f64::consts::SQRT_2;
            if quarter.bound <= radius + within || (hollow && !field.contains(quarter.centre)) {
                continue;
            }
            let quarter = quarter.tightened();
            if quarter.bound > radius + within {
                cells.push(quarter);
            }
        }
    }
    let (at, radius) = pushed(field, at, radius, GAP_MM, GAP_MM * SETTLED);
    (radius > 0.0).then_some(Gap { widest_mm: 2.0 * radius, at })
}

/// Pushes a circle to where it is larger, with steps from `stride` down to `finest`.
fn pushed(field: &Field, from: Point, reach: f64, stride: f64, finest: f64) -> (Point, f64) {
    let (mut at, mut radius, mut stride) = (from, reach, stride);
    while stride >= finest {
        let mut tried =
            WAYS.iter().map(|(x, y)| at + Vec2::new(*x, *y) * stride).map(|p| (p, field.reach(p)));
        let better = tried.find(|(p, r)| *r > radius && field.contains(*p));
        match better {
            Some(found) => (at, radius) = found,
            None => stride /= 2.0,
        }
    }
    (at, radius)
}

/// The least, over all mixtures of the two, of a mixture's greatest value at the corners.
fn mixed_bound(one: &[f64; 4], other: &[f64; 4]) -> f64 {
    let greatest = |part: f64| {
        let mixed = one.iter().zip(other).map(|(a, b)| part * a + (1.0 - part) * b);
        mixed.fold(f64::NEG_INFINITY, f64::max)
    };
    let mut least = greatest(0.0).min(greatest(1.0));
    for i in 0..4 {
        for j in 0..i {
            let part = (other[j] - other[i]) / (one[i] - other[i] - one[j] + other[j]);
            if (0.0..=1.0).contains(&part) {
                least = least.min(greatest(part));
            }
        }
    }
    least
}

/// Corners of a square, counter-clockwise from the bottom left.
fn corners_of(centre: Point, half: f64) -> [Point; 4] {
    [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(x, y)| centre + Vec2::new(x, y) * half)
}

fn distance(p: Point, segment: &Segment) -> f64 {
    let [from, to] = [segment.from, segment.to].map(|[x, y]| Point::new(x, y));
    p.distance(chain::nearest_on_segment(p, from, to))
}
