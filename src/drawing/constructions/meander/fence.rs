//! Edges and points sorted into square bins, so that what is near a point is found at once.

use kurbo::{Point, Rect, Vec2};

use crate::base::angle::{left_of, turn_deg, unit};
use crate::base::chain::{nearest_on_segment, sides, signed_area};
use crate::base::tolerance::CORNER_DEG;
use crate::block::region::Region;

/// Distances that differ by less are one, mm.
const SAME_MM: f64 = 1e-9;

/// The edges of a region in square bins.
#[derive(Debug, Clone)]
pub struct Fence {
    bin: f64,
    bounds: Rect,
    columns: usize,
    rows: usize,
    // Invariant: columns × rows lists; each holds every side that comes within one bin width of its bin.
    bins: Vec<Vec<(Point, Point)>>,
}

impl Fence {
    /// Sorts the edges of `region` into bins `bin` mm wide.
    #[must_use]
    pub fn new(region: &Region, bin: f64) -> Self {
        let bounds = region.bounds().inflate(bin, bin);
        let (columns, rows) = (whole(bounds.width() / bin) + 1, whole(bounds.height() / bin) + 1);
        let mut fence = Self { bin, bounds, columns, rows, bins: vec![Vec::new(); columns * rows] };
        // The region lies to the left of every side.
        for (k, ring) in region.rings().enumerate() {
            let is_right = (signed_area(ring.points()) > 0.0) == (k > 0);
            for (a, b) in sides(ring.points()) {
                if is_right { fence.add(b, a) } else { fence.add(a, b) }
            }
        }
        fence
    }

    fn add(&mut self, a: Point, b: Point) {
        let box_of = Rect::from_points(a, b).inflate(self.bin, self.bin);
        let (from, to) = (self.place(box_of.origin()), self.place(Point::new(box_of.x1, box_of.y1)));
        let diagonal = self.bin * std::f64::consts::FRAC_1_SQRT_2;
        for row in from.1..=to.1 {
            for column in from.0..=to.0 {
                let middle = self.bounds.origin()
                    + Vec2::new((column as f64 + 0.5) * self.bin, (row as f64 + 0.5) * self.bin);
                if nearest_on_segment(middle, a, b).distance(middle) <= self.bin + diagonal {
                    self.bins[row * self.columns + column].push((a, b));
                }
            }
        }
    }

    fn place(&self, p: Point) -> (usize, usize) {
        let column = whole((p.x - self.bounds.x0) / self.bin).min(self.columns - 1);
        (column, whole((p.y - self.bounds.y0) / self.bin).min(self.rows - 1))
    }

    /// The point of the edges nearest to `p`, if it is within one bin width.
    #[must_use]
    pub fn nearest(&self, p: Point) -> Option<Point> {
        let (column, row) = self.place(p);
        let mut best = None;
        let mut least = self.bin;
        for (a, b) in &self.bins[row * self.columns + column] {
            let q = nearest_on_segment(p, *a, *b);
            let away = q.distance(p);
            if away < least {
                (best, least) = (Some(q), away);
            }
        }
        best
    }

    /// The place `clear` mm inside the edges nearest to `p`, if `p` lies outside it or nearer to them.
    ///
    /// Of two sides that meet in the nearest corner, the one that `p` lies farther beside decides which side it is on.
    #[must_use]
    pub fn inside(&self, p: Point, clear: f64) -> Option<Point> {
        let (column, row) = self.place(p);
        let (mut best, mut least, mut beside) = (None, self.bin, 0.0_f64);
        for (a, b) in &self.bins[row * self.columns + column] {
            let q = nearest_on_segment(p, *a, *b);
            let way = unit(*b - *a);
            let (away, left) = (q.distance(p), way.cross(p - *a));
            let is_nearer = away < least - SAME_MM;
            if is_nearer || (away < least + SAME_MM && left.abs() > beside.abs()) {
                (best, beside) = (Some((q, way)), left);
                least = if is_nearer { away } else { least };
            }
        }
        let (q, way) = best?;
        (beside < 0.0 || least < clear).then(|| q + left_of(way) * clear)
    }

    /// The distance from `p` to the edges, mm, if it is within one bin width.
    #[must_use]
    pub fn away(&self, p: Point) -> Option<f64> {
        self.nearest(p).map(|q| q.distance(p))
    }
}

/// The corners of the outline and of the holes that point into the region, each between its neighbours along the ring.
#[must_use]
pub fn posts(region: &Region) -> Vec<[Point; 3]> {
    let mut posts = Vec::new();
    for (k, ring) in region.rings().enumerate() {
        let points = ring.points();
        let n = points.len();
        let inward = if k == 0 { -1.0 } else { 1.0 };
        for i in 0..n {
            let [before, at, after] = [points[(i + n - 1) % n], points[i], points[(i + 1) % n]];
            if turn_deg(at - before, after - at) * inward > CORNER_DEG {
                posts.push([before, at, after]);
            }
        }
    }
    posts
}

/// Points in square bins.
#[derive(Debug, Clone)]
pub struct Bins {
    origin: Point,
    bin: f64,
    columns: usize,
    lists: Vec<Vec<usize>>,
    points: Vec<Point>,
}

impl Bins {
    /// No points yet; they have to lie in `bounds`, and what lies outside is put in its outermost bins.
    #[must_use]
    pub fn new(bounds: Rect, bin: f64) -> Self {
        let (columns, rows) = (whole(bounds.width() / bin) + 3, whole(bounds.height() / bin) + 3);
        let origin = bounds.origin() - Vec2::new(bin, bin);
        Self { origin, bin, columns, lists: vec![Vec::new(); columns * rows], points: Vec::new() }
    }

    fn place(&self, p: Point) -> (usize, usize) {
        let column = whole((p.x - self.origin.x) / self.bin).min(self.columns - 1);
        (column, whole((p.y - self.origin.y) / self.bin).min(self.lists.len() / self.columns - 1))
    }

    /// Adds a point.
    pub fn add(&mut self, p: Point) {
        let (column, row) = self.place(p);
        self.lists[row * self.columns + column].push(self.points.len());
        self.points.push(p);
    }

    /// The points, in the order in which they were added.
    #[must_use]
    pub fn into_points(self) -> Vec<Point> {
        self.points
    }

    /// The nearest point, and how far it is, among those in the bins around `p`: sure to be found within a bin's width.
    #[must_use]
    pub fn nearest(&self, p: Point) -> Option<(usize, f64)> {
        let (column, row) = self.place(p);
        let mut best: Option<(usize, f64)> = None;
        for r in row.saturating_sub(1)..=row + 1 {
            for c in column.saturating_sub(1)..=(column + 1).min(self.columns - 1) {
                for i in self.lists.get(r * self.columns + c).into_iter().flatten() {
                    let away = self.points[*i].distance_squared(p);
                    if best.is_none_or(|(_, least)| away < least) {
                        best = Some((*i, away));
                    }
                }
            }
        }
        best.map(|(i, away)| (i, away.sqrt()))
    }
}

/// A quotient cut off to a whole number; negative ones and what is no number are 0.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the cast saturates, which is what is meant"
)]
#[must_use]
pub fn whole(quotient: f64) -> usize {
    quotient as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::region::Ring;

    #[test]
    fn corners_that_point_in_are_those_of_holes_and_the_bend_of_an_l() {
        let ring = |points: &[(f64, f64)]| {
            Ring::from_points(&points.iter().map(|p| Point::from(*p)).collect::<Vec<_>>()).unwrap()
        };
        let outer = ring(&[(0.0, 0.0), (90.0, 0.0), (90.0, 40.0), (40.0, 40.0), (40.0, 90.0), (0.0, 90.0)]);
        let hole = ring(&[(10.0, 10.0), (20.0, 10.0), (10.0, 20.0)]);
        let posts = posts(&Region { outer, holes: vec![hole] });
        let at: Vec<(f64, f64)> = posts.iter().map(|[_, p, _]| (p.x, p.y)).collect();
        assert_eq!(at, [(40.0, 40.0), (10.0, 10.0), (20.0, 10.0), (10.0, 20.0)]);
        assert_eq!(posts[0], [Point::new(90.0, 40.0), Point::new(40.0, 40.0), Point::new(40.0, 90.0)]);
    }
}
