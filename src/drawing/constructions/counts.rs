//! Whole columns and rows, chosen together: how many cells of a wanted size and shape fill a width and a height.
//!
//! Of all counts whose cells are between nearly half and twice as large as asked, those are taken that stretch a cell by no more
//! than [`HARDLY_SHOWS`] if there are any, and of these the ones with the least sum of two squares: the logarithm of
//! how much larger a cell is than asked, and `SHAPE` times that of how much it is stretched. So a circle stays
//! one, and its size gives way. A strip too narrow for one cell makes all cells as small as it takes.
//! Limits: both are measured on mean sides; cells of a block that is not square differ among each other.

use crate::base::units::{Units, show_length};

/// A stretch up to this hardly shows: ±10 %, common practice.
pub const HARDLY_SHOWS: f64 = 0.1;
/// What a stretch weighs against a change of size: a cell 5 % wider than high looks as bad as one 20 % too large.
const SHAPE: f64 = 4.0;
/// How much larger or smaller than asked a cell may be: nearly twice.
const MOST_GROWN: f64 = 1.9;
/// Sums that differ by less are equal; the smaller cells are taken then, which hold the layers better.
const EQUAL: f64 = 1e-9;
/// The most columns or rows that are ever laid.
const MOST: f64 = 100_000.0;

/// Whole columns and rows, and how their cells come out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Counts {
    /// How many along x.
    pub columns: u32,
    /// How many along y.
    pub rows: u32,
    /// Against what was asked for.
    pub fit: Fit,
}

/// How a cell comes out against what was asked for.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Fit {
    /// How far its shape is stretched, one way or the other: 0.1 is 10 %.
    pub stretch: f64,
    /// How much larger it is: 0.1 is 10 % larger, −0.1 10 % smaller.
    pub grown: f64,
}

impl Fit {
    /// Of cells that come out so many times as wide and as high as asked for.
    #[must_use]
    pub fn of(wide: f64, high: f64) -> Self {
        Self { stretch: (wide / high).max(high / wide) - 1.0, grown: (wide * high).sqrt() - 1.0 }
    }

    /// What she should know of a size that is not the one asked for.
    #[must_use]
    pub fn told(self, setting: &str, asked_mm: f64) -> Option<String> {
        let shows = (self.grown.abs() * 100.0).round() > HARDLY_SHOWS * 100.0;
        let [comes, asked] =
            [asked_mm * (1.0 + self.grown), asked_mm].map(|mm| show_length(mm, Units::Inches));
        shows.then(|| format!("The {setting} comes out {comes} instead of {asked}, so that all fit whole."))
    }
}

/// The columns and rows, at least `least` of each, at which cells fill `width` × `height` best.
#[must_use]
pub fn counts((width, height): (f64, f64), cell: (f64, f64), least: u32) -> Counts {
    let fewest = f64::from(least.max(1));
    // All lengths in cells of the size asked for, or of the largest that there is room for.
    let (wide, high) = (width / cell.0, height / cell.1);
    let room = (wide / fewest).min(high / fewest).min(1.0);
    let (x, y) = (wide / room, high / room);
    let cost = |columns: f64, rows: f64| {
        let (wide, high) = ((x / columns).ln(), (y / rows).ln());
        let (size, shape) = ((wide + high) / 2.0, wide - high);
        let shows = shape.abs() > HARDLY_SHOWS.ln_1p() + EQUAL;
        (if shows { (shape.abs() * 100.0).round() } else { 0.0 }, size * size + (SHAPE * shape).powi(2))
    };
    let mut best = ((f64::INFINITY, f64::INFINITY), fewest, fewest);
    let (few, many) = range(x, fewest);
    let mut columns = many;
    while columns >= few {
        for rows in rows_for(columns, (x, y), fewest) {
            let (shows, sum) = cost(columns, rows);
            if shows < best.0.0 || shows == best.0.0 && sum < best.0.1 - EQUAL {
                best = ((shows, sum), columns, rows);
            }
        }
        columns -= 1.0;
    }
    let (_, columns, rows) = best;
    let fit = Fit::of(wide / columns, high / rows);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 1 to MOST")]
    Counts { columns: columns as u32, rows: rows as u32, fit }
}

/// The fewest and the most cells of a size that is allowed, along a length of `cells` cells of the size asked for.
fn range(cells: f64, fewest: f64) -> (f64, f64) {
    let few = (cells / MOST_GROWN).ceil().clamp(fewest, MOST);
    (few, (cells * MOST_GROWN).floor().clamp(few, MOST))
}

/// The rows that may be best beside so many columns, the most first: next to those that leave the shape as it is, and
/// next to those with the least sum of squares.
fn rows_for(columns: f64, (x, y): (f64, f64), fewest: f64) -> [f64; 4] {
    let (few, many) = range(y, fewest);
    let shape = y * columns / x;
    // Where the sum's slope along the logarithm of the rows is nothing.
    let share = (4.0 * SHAPE * SHAPE - 1.0) / (4.0 * SHAPE * SHAPE + 1.0);
    let sum = y * (columns / x).powf(share);
    let mut rows = [shape.ceil(), shape.floor(), sum.ceil(), sum.floor()].map(|n| n.clamp(few, many));
    rows.sort_by(|a, b| b.total_cmp(a));
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    fn whole(size: (f64, f64), cell: (f64, f64)) -> (u32, u32) {
        let counts = counts(size, cell, 1);
        (counts.columns, counts.rows)
    }

    #[test]
    fn a_cell_keeps_its_shape_before_its_size() {
        // 5 1/2 by 8 1/2 in with cells of 3 3/4: one by two cells would be 29 % wider than high.
        assert_eq!(whole((5.5, 8.5), (3.75, 3.75)), (2, 3));
        assert_eq!(whole((8.5, 5.5), (3.75, 3.75)), (3, 2));
        // A strip is one row, however narrow, of cells as long as it is wide.
        assert_eq!(whole((39.5, 4.5), (3.75, 3.75)), (9, 1));
        assert_eq!(whole((29.5, 1.5), (3.75, 3.75)), (20, 1));
        // Squares have as many of both.
        assert_eq!(whole((7.5, 7.5), (1.0, 1.0)), (8, 8));
        assert_eq!(whole((3.5, 3.5), (2.0, 1.0)), (2, 4));
    }

    #[test]
    fn the_fit_tells_shape_and_size_apart() {
        let fit = counts((5.5, 8.5), (3.75, 3.75), 1).fit;
        assert!((fit.stretch - 2.8333 / 2.75 + 1.0).abs() < 1e-4, "{fit:?}");
        assert!((fit.grown - (2.8333f64 * 2.75).sqrt() / 3.75 + 1.0).abs() < 1e-4, "{fit:?}");
        let told = fit.told("flower", 95.25).unwrap();
        assert_eq!(
            told,
            "The flower comes out about 2 13/16 in (70.9 mm) instead of 3 3/4 in (95.3 mm), so that all fit whole."
        );
        assert_eq!(Fit { stretch: 0.3, grown: 0.1 }.told("flower", 95.25), None);
    }

    #[test]
    fn no_other_counts_of_a_size_allowed_are_stretched_less_than_ten_percent_if_these_are_more() {
        for i in 0..60 {
            for k in 0..60 {
                let (x, y) = (1.0 + f64::from(i) * 0.07, 1.0 + f64::from(k) * 0.11);
                let got = counts((x, y), (1.0, 1.0), 1);
                let each = |cells: f64| {
                    (1..=12)
                        .filter(move |n| (1.0 / 1.9..=1.9).contains(&(cells / f64::from(*n))))
                        .map(f64::from)
                };
                let all = each(x).flat_map(|c| each(y).map(move |r| Fit::of(x / c, y / r).stretch));
                let least = all.fold(f64::INFINITY, f64::min);
                let bound = if least <= 0.1 { 0.1 } else { least + 0.012 };
                assert!(got.fit.stretch <= bound + 1e-9, "{x} x {y}: {got:?}, where {least} is possible");
            }
        }
    }
}
