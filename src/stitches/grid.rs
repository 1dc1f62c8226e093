//! Millimetres ⇄ the machine's grid of [`GRID_MM`]: a needle hole is rounded once, here, and used by every pass.

use kurbo::{Point, Rect};

use crate::base::tolerance::GRID_MM;

/// Grid cells in a millimetre. Dividing by 10 gives the nearest `f64` to a tenth; multiplying by [`GRID_MM`] does not.
const CELLS_PER_MM: f64 = 10.0;
const _: () = assert!(GRID_MM * CELLS_PER_MM == 1.0);

/// A length in whole grid cells, to the nearest; halves go away from zero, so mirrored lines round alike.
#[must_use]
pub fn cells(mm: f64) -> i64 {
    (mm * CELLS_PER_MM).round() as i64
}

/// Grid cells as millimetres.
#[must_use]
pub fn millimetres(cells: i64) -> f64 {
    cells as f64 / CELLS_PER_MM
}

/// The grid point nearest to `p`.
#[must_use]
pub fn snap(p: Point) -> Point {
    Point::new(millimetres(cells(p.x)), millimetres(cells(p.y)))
}

/// The middle of a box, on the grid; between two cells the lower one, so that a shift by whole cells shifts it alike.
#[must_use]
pub fn middle(bounds: Rect) -> Point {
    let between = |low: f64, high: f64| millimetres((cells(low) + cells(high)).div_euclid(2));
    Point::new(between(bounds.x0, bounds.x1), between(bounds.y0, bounds.y1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halves_round_away_from_zero_on_both_sides() {
        assert_eq!((cells(0.25), cells(-0.25), cells(0.24)), (3, -3, 2));
        assert_eq!(snap(Point::new(-0.04, 1.26)), Point::new(0.0, 1.3));
    }

    #[test]
    fn the_middle_moves_with_its_box() {
        let middle_of = |by: f64| middle(Rect::new(by, by, by + 0.5, by + 0.2));
        assert_eq!(middle_of(0.0), Point::new(0.2, 0.1));
        assert_eq!(middle_of(-0.3), Point::new(-0.1, -0.2));
    }
}
