//! Straight lines → [`Lines`], which knows the nearest of them to any point.
//!
//! The lines lie in a grid of squares, each of which names the lines that pass through it; squares round the point are
//! looked at from near to far until none that is left can hold a nearer line. Squares are about as wide as lines lie apart,
//! so that a look-up takes the same time however many lines there are.

use kurbo::{Point, Rect};

use crate::base::chain::nearest_on_segment;

/// The most squares along a side of the grid.
const MOST_ALONG: f64 = 1024.0;
/// So many entries a line, and so many besides, are room enough.
const ENTRIES_EACH: f64 = 3.0;
const ENTRIES_BESIDES: f64 = 20_000.0;

/// A straight line between two points, mm.
pub type Line = (Point, Point);

/// Lines by the squares that they pass through.
pub struct Lines {
    lines: Vec<Line>,
    from: Point,
    side: f64,
    columns: usize,
    rows: usize,
    /// Where each square's entries begin, and where the last one's end.
    starts: Vec<u32>,
    /// Lines by square, each by its place in `lines`.
    entries: Vec<u32>,
}

impl Lines {
    /// Lays out the lines of finite ends that come into `bounds`; `None` if there are none.
    #[expect(clippy::cast_precision_loss, reason = "counts of stitches are far below 2^52")]
    pub fn new(lines: impl Iterator<Item = Line>, bounds: Rect) -> Option<Self> {
        let meets = |(a, b): &Line| {
            let own = Rect::from_points(*a, *b);
            own.x0 <= bounds.x1 && own.x1 >= bounds.x0 && own.y0 <= bounds.y1 && own.y1 >= bounds.y0
        };
        let lines: Vec<Line> = lines.filter(meets).collect();
        let length: f64 = lines.iter().map(|(a, b)| a.distance(*b)).sum();
        let longer = bounds.width().max(bounds.height());
        let apart = bounds.area() / length;
        let side = apart.max(length / (ENTRIES_EACH * lines.len() as f64 + ENTRIES_BESIDES));
        let side = side.clamp(longer / MOST_ALONG, longer);
        if lines.is_empty() || !side.is_finite() || side <= 0.0 {
            return None;
        }
        let [columns, rows] = [bounds.width(), bounds.height()].map(|long| at(long / side) + 1);
        let from = bounds.origin();
        let mut all = Self {
            lines,
            from,
            side,
            columns,
            rows,
            starts: vec![0; columns * rows + 1],
            entries: Vec::new(),
        };
        all.fill();
        Some(all)
    }

    /// The line nearest to `p`, no further than `known`, which is one of them.
    pub fn nearest(&self, p: Point, known: Line) -> Line {
        let (mut best, mut away) = (known, squared(p, known));
        let [column, row] = self.square(p);
        for ring in 0..self.columns.max(self.rows) {
            self.each_in_ring([column, row], ring, &mut |square| {
                let held = self.starts[square] as usize..self.starts[square + 1] as usize;
                for line in self.entries[held].iter().map(|i| self.lines[*i as usize]) {
                    let to = squared(p, line);
                    if to < away {
                        (best, away) = (line, to);
                    }
                }
            });
            if away <= self.beyond(p, [column, row], ring).powi(2) {
                break;
            }
        }
        best
    }

    /// Any of the lines.
    pub fn any(&self) -> Line {
        self.lines[0]
    }

    /// No line in a square further out than `ring` from `column` and `row` is nearer to `p` than this.
    #[expect(clippy::cast_precision_loss, reason = "at most a thousand squares a side")]
    fn beyond(&self, p: Point, [column, row]: [usize; 2], ring: usize) -> f64 {
        let side = |along: f64, square: usize, all: usize| {
            let below = match square.checked_sub(ring) {
                None | Some(0) => f64::INFINITY,
                Some(first) => along - first as f64 * self.side,
            };
            let above = square + ring + 1;
            let above = if above >= all { f64::INFINITY } else { above as f64 * self.side - along };
            below.min(above)
        };
        side(p.x - self.from.x, column, self.columns).min(side(p.y - self.from.y, row, self.rows))
    }

    fn each_in_ring(&self, [column, row]: [usize; 2], ring: usize, found: &mut impl FnMut(usize)) {
        let columns = column.saturating_sub(ring)..=(column + ring).min(self.columns - 1);
        let rows = row.saturating_sub(ring)..=(row + ring).min(self.rows - 1);
        for r in rows {
            if r.abs_diff(row) == ring {
                columns.clone().for_each(|c| found(r * self.columns + c));
                continue;
            }
            if let Some(left) = column.checked_sub(ring) {
                found(r * self.columns + left);
            }
            if column + ring < self.columns {
                found(r * self.columns + column + ring);
            }
        }
    }

    /// The square that `p` lies in, or the nearest to it.
    fn square(&self, p: Point) -> [usize; 2] {
        let along = (p - self.from) / self.side;
        [at(along.x).min(self.columns - 1), at(along.y).min(self.rows - 1)]
    }

    /// Enters every line in the squares that it passes through: counted first, then laid behind one another.
    fn fill(&mut self) {
        let mut squares: Vec<(u32, u32)> = Vec::new();
        for (i, line) in (0_u32..).zip(&self.lines) {
            self.each_under(*line, &mut |square| squares.push((square, i)));
        }
        for (square, _) in &squares {
            self.starts[*square as usize + 1] += 1;
        }
        for square in 1..self.starts.len() {
            self.starts[square] += self.starts[square - 1];
        }
        let mut next = self.starts.clone();
        self.entries = vec![0; squares.len()];
        for (square, i) in squares {
            let place = &mut next[square as usize];
            self.entries[*place as usize] = i;
            *place += 1;
        }
    }

    /// The squares that a line passes through, row by row, with a hair to spare.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_precision_loss,
        reason = "at most a million squares"
    )]
    fn each_under(&self, (a, b): Line, found: &mut impl FnMut(u32)) {
        let (low, high) = if a.y <= b.y { (a, b) } else { (b, a) };
        let hair = self.side * 1e-9;
        let x_at = |y: f64| match high.y - low.y {
            rise if rise > 0.0 => low.lerp(high, ((y - low.y) / rise).clamp(0.0, 1.0)).x,
            _ => high.x,
        };
        let [_, first] = self.square(Point::new(low.x, low.y - hair));
        let [_, last] = self.square(Point::new(high.x, high.y + hair));
        for row in first..=last {
            let floor = self.from.y + row as f64 * self.side - hair;
            let (one, two) = match high.y - low.y > 0.0 {
                true => (x_at(floor), x_at(floor + self.side + 2.0 * hair)),
                false => (low.x, high.x),
            };
            // Rows at the grid's edge hold what lies beyond them as well.
            let one = if row == 0 { (one, low.x) } else { (one, one) };
            let two = if row + 1 == self.rows { (two, high.x) } else { (two, two) };
            let least = one.0.min(one.1).min(two.0).min(two.1) - hair;
            let most = one.0.max(one.1).max(two.0).max(two.1) + hair;
            let [left, _] = self.square(Point::new(least, low.y));
            let [right, _] = self.square(Point::new(most, low.y));
            (left..=right).for_each(|column| found((row * self.columns + column) as u32));
        }
    }
}

/// The distance from a point to a line, mm.
pub fn distance(p: Point, (a, b): Line) -> f64 {
    squared(p, (a, b)).sqrt()
}

fn squared(p: Point, (a, b): Line) -> f64 {
    p.distance_squared(nearest_on_segment(p, a, b))
}

/// A count of squares; below the first one is the first.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates; at most a thousand")]
fn at(squares: f64) -> usize {
    squares.max(0.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::{Strategy, prop, prop_assert, proptest};

    #[test]
    fn without_a_line_in_the_box_there_is_none() {
        let bounds = Rect::new(0.0, 0.0, 10.0, 10.0);
        let outside = (Point::new(20.0, 0.0), Point::new(20.0, 9.0));
        assert!(Lines::new(std::iter::empty(), bounds).is_none());
        assert!(Lines::new(std::iter::once(outside), bounds).is_none());
        assert!(Lines::new(std::iter::once((Point::ZERO, Point::new(1.0, 0.0))), Rect::ZERO).is_none());
    }

    fn place(reach: i32) -> impl Strategy<Value = Point> {
        (-reach..=reach, -reach..=reach)
            .prop_map(|(x, y)| Point::new(f64::from(x) / 10.0, f64::from(y) / 10.0))
    }

    proptest! {
        #[test]
        fn none_of_the_lines_is_nearer(
            lines in prop::collection::vec((place(400), place(400)), 1..60),
            points in prop::collection::vec(place(500), 1..20),
        ) {
            let bounds = Rect::new(-30.0, -20.0, 25.0, 35.0);
            let meets = |(a, b): &Line| {
                a.x.min(b.x) <= bounds.x1 && a.x.max(b.x) >= bounds.x0 && a.y.min(b.y) <= bounds.y1 && a.y.max(b.y) >= bounds.y0
            };
            let known: Vec<Line> = lines.iter().copied().filter(meets).collect();
            if let Some(all) = Lines::new(lines.into_iter(), bounds) {
                for p in points {
                    let found = distance(p, all.nearest(p, all.any()));
                    let least = known.iter().map(|line| distance(p, *line)).fold(f64::INFINITY, f64::min);
                    prop_assert!((found - least).abs() < 1e-12, "{} at {:?}, but {}", found, p, least);
                }
            } else {
                prop_assert!(known.is_empty());
            }
        }
    }
}
