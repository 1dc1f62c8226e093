//! The trade's arithmetic of cutting sizes: finished sizes → the patches to cut, with a seam of a quarter inch.
//!
//! A courtesy for the sewing sheet: no block is built from it. All lengths in mm, in and out. Where the trade's rule and the
//! exact figure differ, both stand here; the trade rounds up to the next eighth of an inch with 1.414 for √2.

use crate::base::tolerance::ceil_guarded;
use crate::base::units::MM_PER_INCH;

/// The seam allowance, mm: a quarter inch, everywhere.
pub const SEAM_MM: f64 = MM_PER_INCH / 4.0;

/// What the trade takes for √2; it differs from √2 after rounding in one printed size only, the 16 in block.
pub const TRADE_ROOT_TWO: f64 = 1.414;

const EIGHTH_MM: f64 = MM_PER_INCH / 8.0;

/// Added to the leg of a half-square triangle, mm: ⅞ in.
const HALF_SQUARE_MM: f64 = 7.0 * EIGHTH_MM;

/// Added to the long side of a quarter-square triangle, mm: 1¼ in.
const QUARTER_SQUARE_MM: f64 = 10.0 * EIGHTH_MM;

/// The next eighth of an inch up, mm.
#[must_use]
pub fn up_to_eighth(mm: f64) -> f64 {
    ceil_guarded(mm / EIGHTH_MM) * EIGHTH_MM
}

/// The side to cut for a square, or either side of a rectangle: a seam on both sides.
#[must_use]
pub fn square(finished: f64) -> f64 {
    finished + 2.0 * SEAM_MM
}

/// The square to cut in four for quarter-square triangles with this finished long side: 1¼ in more.
#[must_use]
pub fn quarter_square(long: f64) -> f64 {
    long + QUARTER_SQUARE_MM
}

/// The square to cut in two for a triangle with this finished long side, up to the next eighth.
///
/// Also the corner squares of a square in a square, for the inner square's side.
#[must_use]
pub fn half_square_by_long_side(long: f64) -> f64 {
    up_to_eighth(long / TRADE_ROOT_TWO + HALF_SQUARE_MM)
}

/// The square to cut in four for the side triangles of blocks on point, up to the next eighth.
#[must_use]
pub fn side_triangle(block: f64) -> f64 {
    up_to_eighth(TRADE_ROOT_TWO * block + QUARTER_SQUARE_MM)
}

/// The square to cut in two for the corner triangles of blocks on point, up to the next eighth.
#[must_use]
pub fn corner_triangle(block: f64) -> f64 {
    half_square_by_long_side(block)
}
