//! Stitches by the squares of cloth that they lie on, to ask how many lie on top of each other.
//!
//! A square that holds more stitches than [`MOST_IN_SQUARE`] is looked at in part only, so that the work grows in step with
//! the stitches whatever they are; so many stitches on so little cloth are a lump of thread in any case.

use kurbo::{Point, Rect, Vec2};
use rayon::slice::ParallelSliceMut;

use super::Stitch;

/// Side of a square, mm: about the length of a stitch.
const SQUARE_MM: f64 = 2.0;
/// The most stitches that are looked at in a square; a fill has about a dozen.
const MOST_IN_SQUARE: usize = 200;

/// Stitches by square.
pub struct Cover<'a> {
    stitches: &'a [Stitch],
    /// Square and stitch, sorted.
    held: Vec<(u64, u32)>,
}

impl<'a> Cover<'a> {
    /// Lays out `stitches` so that all that pass within `reach_mm` of any point can be found.
    pub fn new(stitches: &'a [Stitch], reach_mm: f64) -> Self {
        let mut held = Vec::with_capacity(4 * stitches.len());
        for (i, stitch) in (0_u32..).zip(stitches) {
            squares_under(stitch, reach_mm, |square| held.push((square, i)));
        }
        held.par_sort_unstable();
        Self { stitches, held }
    }

    /// The stitches that pass within reach of `at`, and others about it.
    pub fn over(&self, at: Point) -> impl Iterator<Item = &'a Stitch> + '_ {
        let square = key(square_of(at.x), square_of(at.y));
        let from = self.held.partition_point(|(s, _)| *s < square);
        let here = self.held[from..].iter().take_while(move |(s, _)| *s == square).take(MOST_IN_SQUARE);
        here.filter_map(|(_, i)| self.stitches.get(*i as usize))
    }
}

fn squares_under(stitch: &Stitch, reach_mm: f64, mut found: impl FnMut(u64)) {
    let bounds = Rect::from_points(stitch.from, stitch.to).inflate(reach_mm, reach_mm);
    let half = SQUARE_MM / 2.0;
    for column in square_of(bounds.x0)..=square_of(bounds.x1) {
        for row in square_of(bounds.y0)..=square_of(bounds.y1) {
            let corner = Vec2::new(f64::from(column), f64::from(row)) * SQUARE_MM;
            let middle = corner.to_point() + Vec2::new(half, half);
            if stitch.distance(middle) <= half * std::f64::consts::SQRT_2 + reach_mm {
                found(key(column, row));
            }
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "needle points are checked to lie within 20 m")]
fn square_of(mm: f64) -> i32 {
    (mm / SQUARE_MM).floor() as i32
}

/// Squares in one order, by column and row.
fn key(column: i32, row: i32) -> u64 {
    let shifted = |n: i32| u64::from(n.abs_diff(i32::MIN));
    shifted(column) << 32 | shifted(row)
}
