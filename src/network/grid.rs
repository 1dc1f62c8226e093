//! Straight pieces → a uniform grid of the cells they pass, for finding what is near.

use crate::network::lines::Lines;
use crate::network::spots::{Spot, Spots};

/// Cells for each piece, at most: more would cost more to clear than they save.
const CELLS_A_PIECE: f64 = 2.0;

/// Which pieces pass each cell, or come within reach of it.
pub(super) struct Grid {
    left: f64,
    bottom: f64,
    cell: f64,
    columns: usize,
    rows: usize,
    // Invariant: true for cells that a fresh piece passes; only these have pieces.
    watched: Vec<bool>,
    // Invariant: the pieces of cell c are items[start[c]..start[c + 1]].
    start: Vec<u32>,
    items: Vec<u32>,
}

impl Grid {
    /// Lays a grid over the fresh pieces of `lines` and those near them, each widened by `reach` grains.
    pub(super) fn over(lines: &Lines, spots: &Spots, reach: f64) -> Self {
        let mut pieces: Vec<u32> = (0..lines.len()).filter(|k| lines.is_piece(*k)).collect();
        let mut grid = Self::empty(lines, spots, &pieces, reach);
        let mut watched = vec![false; grid.len()];
        for k in pieces.iter().filter(|k| lines.is_fresh(**k)) {
            grid.for_each_cell(lines.piece(spots, *k), reach, |c| watched[c] = true);
        }
        let mut counts = vec![0_u32; grid.len() + 1];
        pieces.retain(|k| {
            let mut near = 0;
            grid.for_each_cell(lines.piece(spots, *k), reach, |c| {
                counts[c] += u32::from(watched[c]);
                near += u32::from(watched[c]);
            });
            near > 0
        });
        let mut sum = 0;
        for c in &mut counts {
            sum += *c;
            *c = sum;
        }
        let mut items = vec![0_u32; sum as usize];
        for k in pieces.iter().rev() {
            grid.for_each_cell(lines.piece(spots, *k), reach, |c| {
                if watched[c] {
                    counts[c] -= 1;
                    items[counts[c] as usize] = *k;
                }
            });
        }
        (grid.start, grid.items, grid.watched) = (counts, items, watched);
        grid
    }

    /// The number of cells.
    pub(super) fn len(&self) -> usize {
        self.columns * self.rows
    }

    /// True if a fresh piece passes the cell of this spot.
    pub(super) fn is_watched(&self, at: Spot) -> bool {
        self.watched[self.cell_at(at)]
    }

    /// The pieces in a cell.
    pub(super) fn in_cell(&self, cell: usize) -> &[u32] {
        &self.items[self.start[cell] as usize..self.start[cell + 1] as usize]
    }

    /// The cell in which a spot lies.
    pub(super) fn cell_at(&self, at: Spot) -> usize {
        self.row(f64::from(at.y)) * self.columns + self.column(f64::from(at.x))
    }

    fn empty(lines: &Lines, spots: &Spots, pieces: &[u32], reach: f64) -> Self {
        let (mut left, mut bottom) = (f64::INFINITY, f64::INFINITY);
        let (mut right, mut top) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
        let mut length = 0.0;
        for k in pieces {
            let (a, b) = lines.piece(spots, *k);
            for p in [a.point(), b.point()] {
                (left, bottom) = (left.min(p.x), bottom.min(p.y));
                (right, top) = (right.max(p.x), top.max(p.y));
            }
            length += a.distance(b);
        }
        if pieces.is_empty() {
            (left, bottom, right, top) = (0.0, 0.0, 0.0, 0.0);
        }
        let n = pieces.len().max(1) as f64;
        let (width, height) = (right - left + 2.0 * reach, top - bottom + 2.0 * reach);
        // The mean length makes few cells a piece; the other two keep the number of cells in bounds.
        let least =
            (width * height / (CELLS_A_PIECE * n)).sqrt().max(width.max(height) / (CELLS_A_PIECE * n));
        let cell = (length / n).max(least).max(4.0 * reach).max(1.0);
        let count = |size: f64| (size / cell) as usize + 1;
        let (columns, rows) = (count(width), count(height));
        Self {
            left: left - reach,
            bottom: bottom - reach,
            cell,
            columns,
            rows,
            watched: Vec::new(),
            start: Vec::new(),
            items: Vec::new(),
        }
    }

    fn column(&self, x: f64) -> usize {
        // A negative float becomes 0.
        (((x - self.left) / self.cell) as usize).min(self.columns - 1)
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.bottom) / self.cell) as usize).min(self.rows - 1)
    }

    fn for_each_cell(&self, (a, b): (Spot, Spot), reach: f64, mut visit: impl FnMut(usize)) {
        let (a, b) = if a.x <= b.x { (a.point(), b.point()) } else { (b.point(), a.point()) };
        let slope = if b.x > a.x { (b.y - a.y) / (b.x - a.x) } else { 0.0 };
        let (first, last) = (self.column(a.x - reach), self.column(b.x + reach));
        for column in first..=last {
            let (mut y0, mut y1) = (a.y, b.y);
            if first < last && b.x > a.x {
                let edge = self.left + column as f64 * self.cell;
                y0 = a.y + slope * ((edge - reach).clamp(a.x, b.x) - a.x);
                y1 = a.y + slope * ((edge + self.cell + reach).clamp(a.x, b.x) - a.x);
            }
            // One grain more than asked makes up for rounding.
            let (low, high) = (y0.min(y1) - reach - 1.0, y0.max(y1) + reach + 1.0);
            for row in self.row(low)..=self.row(high) {
                visit(row * self.columns + column);
            }
        }
    }
}
