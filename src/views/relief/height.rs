//! Where the cloth is held down → how high it stands everywhere: batting pushes it up evenly, stitches and seams hold it.
//!
//! In: a grid of pinned cells. Out: the height of every cell in mm. The cloth is a membrane under even pressure that
//! tends to the batting's loft: ∇²h − h/λ² = −loft/λ², h = 0 where it is pinned, mirrored at the picture's edge.
//!
//! Method: five-point differences on grids that halve (`grid`), solved by full multigrid (Brandt, Mathematics of
//! Computation 31, 1977, from memory): the coarsest grid first, each finer one begun from the one before and bettered
//! by a few V-cycles. A coarse cell is pinned where any of its four is. Compared with a direct sparse solution in
//! `tests/outside/relief_scipy.py`: no height is off by more than a hundredth of the loft.

mod grid;

use grid::Grid;

/// V-cycles on every grid.
const CYCLES: usize = 3;
/// Sweeps before a coarser grid is asked, and after.
const SWEEPS: usize = 2;
/// Sweeps over the coarsest grid, whose cells are half λ and more.
const COARSEST_SWEEPS: usize = 30;
/// The coarsest grid is the last whose (cell/λ)² is less than this.
const COARSEST: f32 = 0.3;
/// A grid with this few cells across or down has no coarser one.
const FEWEST: usize = 2;
/// Every cell of the coarsest grid starts at this part of the loft.
const START: f32 = 0.6;

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
    if pins.pinned.is_empty() {
        return Vec::new();
    }
    let mut grids = vec![Grid::new(pins.width, pins.height, |x, y| pins.holds(x, y), 1.0 / (reach * reach))];
    while let Some(next) = grids.last().filter(|last| last.smallest_side() > FEWEST).map(Grid::halved) {
        if next.pull >= COARSEST {
            break;
        }
        grids.push(next);
    }
    for level in (0..grids.len()).rev() {
        let [grid, coarser @ ..] = &mut grids[level..] else { break };
        grid.press(loft * grid.pull);
        match coarser.first() {
            None => grid.raise(loft * START),
            Some(coarse) => grid.add(coarse),
        }
        (0..CYCLES).for_each(|_| cycle(&mut grids[level..]));
    }
    grids[0].together(pins.width)
}

/// Betters the heights of the first grid with the help of the coarser ones behind it.
fn cycle(grids: &mut [Grid]) {
    match grids {
        [] => {}
        [only] => only.relax(COARSEST_SWEEPS),
        [grid, coarser @ ..] => {
            grid.relax(SWEEPS);
            coarser[0].ask(grid);
            cycle(coarser);
            grid.add(&coarser[0]);
            grid.relax(SWEEPS);
        }
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
    fn a_grid_of_odd_sides_is_solved_as_well() {
        // One dimension again, the other way round, with cells left over on every coarser grid.
        let mut pins = Pins::new(7, 131);
        pins.line((0.0, 130.5), (7.0, 130.5));
        let heights = solve(&pins, 2.0, 11.0);
        for y in [1, 4, 12, 40] {
            let exact = 2.0 * (1.0 - (-(y as f32) / 11.0).exp());
            let got = heights[(130 - y) * 7 + 3];
            assert!((got - exact).abs() < 0.02, "{y} cells away: {got}, not {exact}");
        }
    }

    #[test]
    fn one_cell_and_no_cell_are_solved() {
        assert!(solve(&Pins::new(0, 5), 1.0, 3.0).is_empty());
        assert_eq!(solve(&Pins::new(1, 1), 1.0, 3.0).len(), 1);
    }
}
