//! Where the cloth is held down → how high it stands everywhere: batting pushes it up evenly, stitches and seams hold it.
//!
//! In: a grid of pinned cells. Out: the height of every cell in mm. The cloth is a membrane under even pressure that
//! tends to the batting's loft: ∇²h − h/λ² = −loft/λ², h = 0 where it is pinned, mirrored at the picture's edge.
//!
//! Method: five-point differences; red–black successive over-relaxation (Young, Transactions of the American
//! Mathematical Society 76, 1954, from memory) in two arrays of half the width, one a colour, with rows in parallel.
//! The factor is 2 / (1 + 0.6/λ), λ in cells, found by trial. The error shrinks by about the factor less one a sweep;
//! there are as many sweeps as bring it well under a hundredth of the loft. Compared with a direct sparse solution
//! in `tests/outside/relief_scipy.py`.

use rayon::iter::{IndexedParallelIterator, ParallelIterator};
use rayon::slice::{ParallelSlice, ParallelSliceMut};

/// Every cell starts at this part of the loft.
const START: f32 = 0.6;
/// Sweeps go on until the first error has shrunk by e to this power.
const SHRINK: f32 = 7.0;

/// A grid of cells, the rows from the top, each cell pinned or free.
#[derive(Debug, Clone, PartialEq)]
pub struct Pins {
    width: usize,
    height: usize,
    pinned: Vec<bool>,
}

impl Pins {
    /// A grid with every cell free.
    #[must_use]
    pub fn new(width: usize, height: usize) -> Self {
        Pins { width, height, pinned: vec![false; width * height] }
    }

    /// Cells across and down.
    #[must_use]
    pub fn size(&self) -> (usize, usize) {
        (self.width, self.height)
    }

    /// True for a cell that is held down.
    #[must_use]
    pub fn holds(&self, x: usize, y: usize) -> bool {
        self.pinned[y * self.width + x]
    }

    /// Pins the cells along a straight line between two places in cells; what lies outside the grid is left out.
    pub fn line(&mut self, from: (f64, f64), to: (f64, f64)) {
        let long = (to.0 - from.0).abs().max((to.1 - from.1).abs());
        let most = (self.width + self.height) as f64 * 4.0;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "bounded just here")]
        let steps = (long * 1.5).ceil().clamp(1.0, most) as usize;
        for i in 0..=steps {
            let t = i as f64 / steps as f64;
            self.pin(from.0 + (to.0 - from.0) * t, from.1 + (to.1 - from.1) * t);
        }
    }

    fn pin(&mut self, x: f64, y: f64) {
        if (0.0..self.width as f64).contains(&x) && (0.0..self.height as f64).contains(&y) {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "in the grid")]
            let (x, y) = (x as usize, y as usize);
            self.pinned[y * self.width + x] = true;
        }
    }
}

/// The height of every cell, in rows from the top, in the unit of `loft`; `reach` is λ in cells.
#[must_use]
pub fn solve(pins: &Pins, loft: f32, reach: f32) -> Vec<f32> {
    let (width, height) = pins.size();
    if width == 0 || height == 0 {
        return Vec::new();
    }
    let mut halves = Halves::of(pins, loft * START);
    let omega = 2.0 / (1.0 + 0.6 / reach);
    let pull = 1.0 / (reach * reach);
    let step = Step { gain: omega / (4.0 + pull), push: loft * pull, hold: 4.0 + pull };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few hundred")]
    let sweeps = (SHRINK / -(omega - 1.0).clamp(0.05, 0.999).ln()).ceil() as usize;
    for _ in 0..sweeps {
        sweep(&mut halves.red, &halves.black, &halves.red_free, halves.half, 0, step);
        sweep(&mut halves.black, &halves.red, &halves.black_free, halves.half, 1, step);
    }
    halves.together(width)
}

/// The grid in two colours: red cells have an even sum of column and row. Rows have an even number of cells.
struct Halves {
    half: usize,
    red: Vec<f32>,
    black: Vec<f32>,
    /// 1 for a free cell, 0 for a pinned one.
    red_free: Vec<f32>,
    black_free: Vec<f32>,
}

#[derive(Clone, Copy)]
struct Step {
    gain: f32,
    push: f32,
    hold: f32,
}

impl Halves {
    fn of(pins: &Pins, start: f32) -> Self {
        let half = pins.width.div_ceil(2);
        let mut free = [vec![1.0; half * pins.height], vec![1.0; half * pins.height]];
        for y in 0..pins.height {
            for x in (0..pins.width).filter(|x| pins.holds(*x, y)) {
                free[(x + y) % 2][y * half + x / 2] = 0.0;
            }
        }
        let [red_free, black_free] = free;
        let heights = |free: &[f32]| free.iter().map(|f| f * start).collect::<Vec<f32>>();
        Halves { half, red: heights(&red_free), black: heights(&black_free), red_free, black_free }
    }

    fn together(&self, width: usize) -> Vec<f32> {
        let rows = self.red.len() / self.half;
        let mut all = vec![0.0; width * rows];
        for (y, row) in all.chunks_mut(width).enumerate() {
            for (x, h) in row.iter_mut().enumerate() {
                let colour = if (x + y) % 2 == 0 { &self.red } else { &self.black };
                *h = colour[y * self.half + x / 2];
            }
        }
        all
    }
}

/// One pass over the cells of one colour; `other` has their neighbours.
fn sweep(own: &mut [f32], other: &[f32], free: &[f32], half: usize, colour: usize, step: Step) {
    let rows = own.len() / half;
    own.par_chunks_mut(half).zip(free.par_chunks(half)).enumerate().for_each(|(y, (row, free))| {
        let line = |y: usize| &other[y * half..(y + 1) * half];
        let above = if y == 0 { 1.min(rows - 1) } else { y - 1 };
        let below = if y + 1 == rows { rows.saturating_sub(2) } else { y + 1 };
        let around = Around { above: line(above), below: line(below), beside: line(y) };
        if (y + colour).is_multiple_of(2) {
            around.relax_before(row, free, step);
        } else {
            around.relax_behind(row, free, step);
        }
    });
}

/// The neighbours of a row of one colour.
struct Around<'a> {
    above: &'a [f32],
    below: &'a [f32],
    beside: &'a [f32],
}

impl Around<'_> {
    /// A row whose cells stand before the neighbours of the same index: the left neighbour has the index before.
    fn relax_before(&self, row: &mut [f32], free: &[f32], step: Step) {
        let mirrored = self.above[0] + self.below[0] + 2.0 * self.beside[0];
        row[0] += step.change(row[0], mirrored) * free[0];
        let left = &self.beside[..row.len() - 1];
        let right = &self.beside[1..];
        let cells = row[1..].iter_mut().zip(&free[1..]).zip(self.above[1..].iter().zip(&self.below[1..]));
        for (((h, free), (above, below)), (left, right)) in cells.zip(left.iter().zip(right)) {
            *h += step.change(*h, above + below + left + right) * free;
        }
    }

    /// A row whose cells stand behind the neighbours of the same index: the right neighbour has the index after.
    fn relax_behind(&self, row: &mut [f32], free: &[f32], step: Step) {
        let last = row.len() - 1;
        let left = &self.beside[..last];
        let right = &self.beside[1..];
        let cells = row[..last].iter_mut().zip(free).zip(self.above.iter().zip(self.below));
        for (((h, free), (above, below)), (left, right)) in cells.zip(left.iter().zip(right)) {
            *h += step.change(*h, above + below + left + right) * free;
        }
        let mirrored = self.above[last] + self.below[last] + 2.0 * self.beside[last];
        row[last] += step.change(row[last], mirrored) * free[last];
    }
}

impl Step {
    /// By how much a cell changes, from the sum of its four neighbours.
    fn change(self, h: f32, neighbours: f32) -> f32 {
        self.gain * (neighbours + self.push - self.hold * h)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn far_from_every_pin_the_cloth_stands_as_high_as_the_loft() {
        let heights = solve(&Pins::new(20, 12), 3.0, 8.0);
        assert!(heights.iter().all(|h| (h - 3.0).abs() < 0.01), "{heights:?}");
    }

    #[test]
    fn beside_a_straight_seam_the_cloth_rises_as_the_exponential_does() {
        // In one dimension the solution is loft × (1 − e^(−x/λ)); the mirrored edge lies twelve λ away.
        let (reach, loft) = (10.0, 2.0);
        let mut pins = Pins::new(120, 6);
        pins.line((0.5, 0.0), (0.5, 6.0));
        let heights = solve(&pins, loft, reach);
        for x in [1, 3, 10, 25, 60] {
            let exact = loft * (1.0 - (-(x as f32) / reach).exp());
            let got = heights[2 * 120 + x];
            assert!((got - exact).abs() < 0.01 * loft, "{x} cells away: {got}, not {exact}");
        }
        assert_eq!(heights[2 * 120], 0.0);
    }

    #[test]
    fn a_line_outside_the_grid_pins_nothing_and_ends_soon() {
        let mut pins = Pins::new(10, 10);
        pins.line((-5.0, -5.0), (-1e12, -5.0));
        pins.line((2.5, 2.5), (2.5, 2.5));
        assert_eq!((0..100).filter(|i| pins.holds(i % 10, i / 10)).collect::<Vec<_>>(), [22]);
    }

    #[test]
    fn one_cell_and_no_cell_are_solved() {
        assert!(solve(&Pins::new(0, 5), 1.0, 3.0).is_empty());
        assert_eq!(solve(&Pins::new(1, 1), 1.0, 3.0).len(), 1);
    }
}
