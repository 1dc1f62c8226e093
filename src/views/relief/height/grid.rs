//! One grid of the height's equation: its cells in two colours, the sweeps over them, and the way to the next coarser grid.
//!
//! Red cells have an even sum of column and row, black ones an odd sum; each colour fills an array of half the width, so
//! that a sweep over one colour reads the other only. Every row has a cell more at both ends that mirrors the outermost,
//! and an even number of cells. Sweeps over-relax by a factor found by trial on hatches, waves and a lone line: with it
//! three cycles of two sweeps before and two after leave 0.15 % of the loft where a factor of 1 leaves 1.5 %.

use rayon::iter::{IndexedParallelIterator, ParallelIterator};
use rayon::slice::ParallelSliceMut;

/// How far a cell goes beyond what its neighbours ask.
const OMEGA: f32 = 1.45;
/// Rows that one thread takes at least.
const ROWS: usize = 16;

/// Cells in two colours with what pushes them.
pub struct Grid {
    half: usize,
    rows: usize,
    /// (cell/λ)².
    pub pull: f32,
    halves: [Half; 2],
}

/// The cells of one colour.
struct Half {
    /// Heights, a mirrored cell at both ends of every row.
    cells: Vec<f32>,
    /// 1 for a free cell, 0 for a pinned one.
    free: Vec<f32>,
    /// The right-hand side of each cell's equation.
    push: Vec<f32>,
}

impl Half {
    fn new(free: Vec<f32>, half: usize) -> Self {
        let rows = free.len() / half;
        Half { cells: vec![0.0; rows * (half + 2)], push: vec![0.0; free.len()], free }
    }
}

impl Grid {
    /// A grid with all heights 0; `pinned` tells which cells of a column and a row are held.
    pub fn new(width: usize, rows: usize, pinned: impl Fn(usize, usize) -> bool, pull: f32) -> Self {
        let half = width.div_ceil(2);
        let mut free = [vec![1.0; half * rows], vec![1.0; half * rows]];
        for y in 0..rows {
            for x in (0..width).filter(|x| pinned(*x, y)) {
                free[(x + y) % 2][y * half + x / 2] = 0.0;
            }
        }
        Grid { half, rows, pull, halves: free.map(|free| Half::new(free, half)) }
    }

    /// The number of cells across or down, whichever is less.
    pub fn smallest_side(&self) -> usize {
        self.rows.min(self.half * 2)
    }

    /// The grid whose cells are twice as large.
    pub fn halved(&self) -> Self {
        let held = |x: usize, y: usize| {
            let row = |y: usize| self.halves.iter().any(|h| h.free[y * self.half + x] == 0.0);
            row(2 * y) || (2 * y + 1 < self.rows && row(2 * y + 1))
        };
        Grid::new(self.half, self.rows.div_ceil(2), held, self.pull * 4.0)
    }

    /// Gives every cell the same right-hand side.
    pub fn press(&mut self, push: f32) {
        self.halves.iter_mut().for_each(|h| h.push.fill(push));
    }

    /// Gives every free cell the same height.
    pub fn raise(&mut self, height: f32) {
        let half = self.half;
        for own in &mut self.halves {
            for (cells, free) in own.cells.chunks_mut(half + 2).zip(own.free.chunks(half)) {
                cells[1..=half].iter_mut().zip(free).for_each(|(c, free)| *c = height * free);
                mirror(cells);
            }
        }
    }

    /// Sweeps over red and black cells in turn.
    pub fn relax(&mut self, sweeps: usize) {
        let (half, rows) = (self.half, self.rows);
        let hold = 4.0 + self.pull;
        let gain = OMEGA / hold;
        let [red, black] = &mut self.halves;
        for _ in 0..sweeps {
            sweep(red, black, (half, rows), 0, (gain, hold));
            sweep(black, red, (half, rows), 1, (gain, hold));
        }
    }

    /// Takes what is still wrong in `fine` as the right-hand side, and starts from 0.
    pub fn ask(&mut self, fine: &Grid) {
        let half = self.half;
        let [red, black] = &mut self.halves;
        [&mut *red, &mut *black].into_iter().for_each(|h| h.cells.fill(0.0));
        let free = red.free.chunks(half).zip(black.free.chunks(half)).collect::<Vec<_>>();
        red.push
            .par_chunks_mut(half)
            .zip(black.push.par_chunks_mut(half))
            .enumerate()
            .with_min_len(ROWS)
            .for_each(|(y, (red, black))| {
                let mut wrong = vec![0.0; half * 2];
                fine.wrong(2 * y, &mut wrong);
                if 2 * y + 1 < fine.rows {
                    fine.wrong(2 * y + 1, &mut wrong);
                }
                let (even, odd) = if y % 2 == 0 { (red, black) } else { (black, red) };
                let (even_free, odd_free) = if y % 2 == 0 { free[y] } else { (free[y].1, free[y].0) };
                for (i, pair) in wrong.chunks_exact(2).enumerate() {
                    even[i] = pair[0] * even_free[i];
                    odd[i] = pair[1] * odd_free[i];
                }
            });
    }

    /// Adds to each pair of neighbours in a row how far their equations are off.
    fn wrong(&self, y: usize, sums: &mut [f32]) {
        let (half, hold) = (self.half, 4.0 + self.pull);
        let row = y * half..(y + 1) * half;
        for (colour, [own, other]) in [(0, [0, 1]), (1, [1, 0])] {
            let own = &self.halves[own];
            let [above, below, left, right] = around(&self.halves[other].cells, (half, self.rows), y, colour);
            let cells = &own.cells[y * (half + 2) + 1..][..half];
            let (free, push) = (&own.free[row.clone()], &own.push[row.clone()]);
            let sums = &mut sums[..half];
            for i in 0..half {
                sums[i] += free[i] * (above[i] + below[i] + left[i] + right[i] + push[i] - hold * cells[i]);
            }
        }
    }

    /// Adds the heights of the coarser grid, smoothed between the middles of its cells; pinned cells stay 0.
    pub fn add(&mut self, coarse: &Grid) {
        let half = self.half;
        let [red, black] = &mut self.halves;
        let free: Vec<[&[f32]; 2]> =
            red.free.chunks(half).zip(black.free.chunks(half)).map(|(r, b)| [r, b]).collect();
        let rows = red.cells.par_chunks_mut(half + 2).zip(black.cells.par_chunks_mut(half + 2));
        rows.enumerate().with_min_len(ROWS).for_each(|(y, (red, black))| {
            let near = coarse.row(y / 2);
            let far = coarse.row(if y % 2 == 0 {
                (y / 2).saturating_sub(1)
            } else {
                (y / 2 + 1).min(coarse.rows - 1)
            });
            let mut between: Vec<f32> = near.iter().zip(&far).map(|(a, b)| 0.75 * a + 0.25 * b).collect();
            mirror(&mut between);
            for (colour, cells) in [red, black].into_iter().enumerate() {
                // A cell in an even column leans to the left, one in an odd column to the right.
                let side = if (y + colour) % 2 == 0 { &between[..half] } else { &between[2..] };
                let (middle, free) = (&between[1..=half], free[y][colour]);
                let own = &mut cells[1..=half];
                for i in 0..half {
                    own[i] += free[i] * (0.75 * middle[i] + 0.25 * side[i]);
                }
                mirror(cells);
            }
        });
    }

    /// The heights of one row, the colours together, with a cell to spare at both ends. The row is as long as the finer
    /// grid's half.
    fn row(&self, y: usize) -> Vec<f32> {
        let mut row = vec![0.0; 2 * self.half + 2];
        for (colour, half) in self.halves.iter().enumerate() {
            let cells = &half.cells[y * (self.half + 2) + 1..][..self.half];
            let first = (y + colour) % 2;
            row[1 + first..].iter_mut().step_by(2).zip(cells).for_each(|(to, c)| *to = *c);
        }
        row
    }

    /// The heights of all cells, `width` a row.
    pub fn together(&self, width: usize) -> Vec<f32> {
        let mut all = vec![0.0; width * self.rows];
        all.par_chunks_mut(width).enumerate().with_min_len(ROWS).for_each(|(y, to)| {
            to.copy_from_slice(&self.row(y)[1..=width]);
        });
        all
    }
}

/// One sweep over the cells of one colour; `other` has their neighbours.
fn sweep(own: &mut Half, other: &Half, size: (usize, usize), colour: usize, (gain, hold): (f32, f32)) {
    let half = size.0;
    let Half { cells, free, push } = own;
    cells.par_chunks_mut(half + 2).enumerate().with_min_len(ROWS).for_each(|(y, row)| {
        let [above, below, left, right] = around(&other.cells, size, y, colour);
        let (free, push) = (&free[y * half..][..half], &push[y * half..][..half]);
        let own = &mut row[1..=half];
        for i in 0..half {
            let sum = above[i] + below[i] + left[i] + right[i];
            own[i] += gain * free[i] * (sum + push[i] - hold * own[i]);
        }
        mirror(row);
    });
}

/// The neighbours above, below, left and right of a row of one colour, among the cells of the other.
fn around(other: &[f32], (half, rows): (usize, usize), y: usize, colour: usize) -> [&[f32]; 4] {
    let row = |y: usize| &other[y * (half + 2)..(y + 1) * (half + 2)];
    let above = if y == 0 { 1.min(rows - 1) } else { y - 1 };
    let below = if y + 1 == rows { rows.saturating_sub(2) } else { y + 1 };
    // In an even column the left neighbour has the index before, in an odd one the right neighbour the index after.
    let first = (y + colour) % 2;
    let beside = row(y);
    [&row(above)[1..=half], &row(below)[1..=half], &beside[first..][..half], &beside[first + 1..][..half]]
}

/// Gives the spare cells at both ends of a row the heights of the outermost.
fn mirror(row: &mut [f32]) {
    let last = row.len() - 1;
    row[0] = row[1];
    row[last] = row[last - 1];
}
