//! Points sorted once into square bins, so that what is near a place is found at once.

use kurbo::{Point, Rect};

use super::fence::whole;
use crate::base::chain::bounds;

/// Points in square bins, row by row; made anew when they have moved.
#[derive(Debug, Clone)]
pub struct Near {
    around: Rect,
    bin: f64,
    columns: usize,
    rows: usize,
    // Invariant: `start[b]..start[b + 1]` are the places in `sorted` of the points in bin b.
    start: Vec<usize>,
    // Each point with its number.
    sorted: Vec<(Point, usize)>,
}

impl Near {
    /// Sorts `points` into bins `bin` mm wide.
    #[must_use]
    pub fn new(points: &[Point], bin: f64) -> Self {
        let around = bounds(points);
        let (columns, rows) = (whole(around.width() / bin) + 1, whole(around.height() / bin) + 1);
        let place = |p: &Point| whole((p.y - around.y0) / bin) * columns + whole((p.x - around.x0) / bin);
        let places: Vec<usize> = points.iter().map(place).collect();
        let mut start = vec![0_usize; columns * rows + 1];
        for b in &places {
            start[b + 1] += 1;
        }
        for b in 1..start.len() {
            start[b] += start[b - 1];
        }
        let mut fill = start.clone();
        let mut sorted = vec![(Point::ZERO, 0); points.len()];
        for (i, (p, b)) in points.iter().zip(&places).enumerate() {
            sorted[fill[*b]] = (*p, i);
            fill[*b] += 1;
        }
        Self { around, bin, columns, rows, start, sorted }
    }

    /// The points in the bins from `left` to `right` of a row.
    fn run(&self, row: usize, left: usize, right: usize) -> &[(Point, usize)] {
        &self.sorted[self.start[row * self.columns + left]..self.start[row * self.columns + right + 1]]
    }

    /// Calls `found` with the numbers of every pair of points that are less than one bin width apart.
    pub fn each_pair(&self, mut found: impl FnMut(usize, usize)) {
        let reach = self.bin * self.bin;
        for row in 0..self.rows {
            for column in 0..self.columns {
                let here = row * self.columns + column;
                let right = (column + 1).min(self.columns - 1);
                // What comes later in the same row, and all of the row above.
                let level = &self.sorted[self.start[here]..self.start[row * self.columns + right + 1]];
                let above: &[(Point, usize)] = if row + 1 < self.rows {
                    self.run(row + 1, column.saturating_sub(1), right)
                } else {
                    &[]
                };
                for k in 0..self.start[here + 1] - self.start[here] {
                    let (p, i) = level[k];
                    for (q, j) in level[k + 1..].iter().chain(above) {
                        if p.distance_squared(*q) < reach {
                            found(i, *j);
                        }
                    }
                }
            }
        }
    }

    /// The columns and rows around `p`, from and to.
    fn around(&self, p: Point) -> [usize; 4] {
        let column = whole((p.x - self.around.x0) / self.bin).min(self.columns - 1);
        let row = whole((p.y - self.around.y0) / self.bin).min(self.rows - 1);
        let (right, high) = ((column + 1).min(self.columns - 1), (row + 1).min(self.rows - 1));
        [column.saturating_sub(1), right, row.saturating_sub(1), high]
    }

    /// The number of the nearest point and how far it is, mm; sure to be found if it is within a bin's width.
    #[must_use]
    pub fn nearest(&self, p: Point) -> Option<(usize, f64)> {
        let [left, right, low, high] = self.around(p);
        let mut best: Option<(usize, f64)> = None;
        for row in low..=high {
            for (q, i) in self.run(row, left, right) {
                let away = p.distance_squared(*q);
                if best.is_none_or(|(_, least)| away < least) {
                    best = Some((*i, away));
                }
            }
        }
        best.map(|(i, away)| (i, away.sqrt()))
    }

    /// Calls `found` with the number of every point that is less than `reach` mm from `p`.
    ///
    /// Limits: `p` may lie outside the points' bounding box by less than `reach`.
    pub fn each_within(&self, p: Point, reach: f64, mut found: impl FnMut(usize)) {
        let (x, y) = ((p.x - self.around.x0) / self.bin, (p.y - self.around.y0) / self.bin);
        let far = reach / self.bin;
        let (left, right) = (whole(x - far), whole(x + far).min(self.columns - 1));
        let (low, high) = (whole(y - far), whole(y + far).min(self.rows - 1));
        if left > right {
            return;
        }
        for row in low..=high {
            for (q, i) in self.run(row, left, right) {
                if p.distance_squared(*q) < reach * reach {
                    found(*i);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A hundred points in a lattice 1 mm apart.
    fn lattice() -> Vec<Point> {
        (0..100).map(|i| Point::new(f64::from(i % 10), f64::from(i / 10))).collect()
    }

    #[test]
    fn every_pair_within_a_bin_is_found_once() {
        let mut pairs = Vec::new();
        Near::new(&lattice(), 1.2).each_pair(|i, j| pairs.push((i.min(j), i.max(j))));
        pairs.sort_unstable();
        // Nine to a row and nine to a column.
        assert_eq!((pairs.len(), pairs[0], pairs[1]), (180, (0, 1), (0, 10)));
        pairs.dedup();
        assert_eq!(pairs.len(), 180);
    }

    #[test]
    fn what_is_near_a_place_is_found_also_from_outside() {
        let near = Near::new(&lattice(), 1.2);
        assert_eq!(near.nearest(Point::new(-0.5, 3.2)).map(|(i, _)| i), Some(30));
        let mut found = Vec::new();
        near.each_within(Point::new(9.6, 9.0), 1.1, |i| found.push(i));
        assert_eq!(found, [99]);
        near.each_within(Point::new(0.0, 0.0), 1.1, |i| found.push(i));
        found.sort_unstable();
        assert_eq!(found, [0, 1, 10, 99]);
    }
}
