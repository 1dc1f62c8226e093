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

/// The square to cut in two for half-square triangles with this finished leg: ⅞ in more.
#[must_use]
pub fn half_square(leg: f64) -> f64 {
    leg + HALF_SQUARE_MM
}

/// As [`half_square`], to the seam exactly: 2 + √2 seams more.
#[must_use]
pub fn half_square_exact(leg: f64) -> f64 {
    leg + SEAM_MM * (2.0 + 2f64.sqrt())
}

/// As [`half_square`], a quarter inch larger, to be trimmed.
#[must_use]
pub fn half_square_to_trim(leg: f64) -> f64 {
    half_square(leg) + SEAM_MM
}

/// The square to cut in four for quarter-square triangles with this finished long side: 1¼ in more.
#[must_use]
pub fn quarter_square(long: f64) -> f64 {
    long + QUARTER_SQUARE_MM
}

/// As [`quarter_square`], to the seam exactly: 2 + 2√2 seams more.
#[must_use]
pub fn quarter_square_exact(long: f64) -> f64 {
    long + 2.0 * SEAM_MM * (1.0 + 2f64.sqrt())
}

/// The square to cut in two for a triangle with this finished long side, up to the next eighth.
///
/// Also the corner squares of a square in a square, for the inner square's side.
#[must_use]
pub fn half_square_by_long_side(long: f64) -> f64 {
    up_to_eighth(long / TRADE_ROOT_TWO + HALF_SQUARE_MM)
}

/// The large square and the four small ones for four flying geese of this finished height, twice as wide as high.
#[must_use]
pub fn geese(height: f64) -> (f64, f64) {
    (quarter_square(2.0 * height), half_square(height))
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

/// From corner to corner of a square.
#[must_use]
pub fn diagonal(side: f64) -> f64 {
    side * 2f64.sqrt()
}

/// What a setting on point of so many rows and columns is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OnPoint {
    /// Blocks, with those between the rows.
    pub blocks: usize,
    /// Side triangles.
    pub side_triangles: usize,
    /// Squares to cut in four for them.
    pub side_squares: usize,
}

/// Counts the pieces of a setting on point; without rows or columns there are none.
#[must_use]
pub fn on_point(rows: usize, columns: usize) -> OnPoint {
    if rows == 0 || columns == 0 {
        return OnPoint { blocks: 0, side_triangles: 0, side_squares: 0 };
    }
    let side_triangles = 2 * (rows + columns - 2);
    let blocks = rows * columns + (rows - 1) * (columns - 1);
    OnPoint { blocks, side_triangles, side_squares: side_triangles.div_ceil(4) }
}

/// The side of the 45° diamonds of an eight-pointed star in a block of this side.
#[must_use]
pub fn star_diamond(block: f64) -> f64 {
    block / (2.0 + 2f64.sqrt())
}

/// The leg of the triangles that make an octagon of a square of this side.
#[must_use]
pub fn octagon_corner(square: f64) -> f64 {
    square / (2.0 + 2f64.sqrt())
}

/// The side of an octagon of this width across the flats.
#[must_use]
pub fn octagon_side(across: f64) -> f64 {
    across / (1.0 + 2f64.sqrt())
}

/// The side of a hexagon of this width between two level sides.
#[must_use]
pub fn hexagon_side(across: f64) -> f64 {
    across / 3f64.sqrt()
}

/// The area of a hexagon of this side, mm².
#[must_use]
pub fn hexagon_area(side: f64) -> f64 {
    1.5 * 3f64.sqrt() * side * side
}

/// A nine-patch from squares cut at this side: unfinished and finished.
#[must_use]
pub fn nine_patch(cut: f64) -> (f64, f64) {
    let finished = 3.0 * (cut - 2.0 * SEAM_MM);
    (finished + 2.0 * SEAM_MM, finished)
}

/// The strip to cut for equilateral triangles of this finished height (three seams more), and the side they then have.
#[must_use]
pub fn equilateral(height: f64) -> (f64, f64) {
    let strip = height + 3.0 * SEAM_MM;
    (strip, strip * 2.0 / 3f64.sqrt())
}

/// The strip to cut for diamonds of this finished side and angle.
#[must_use]
pub fn diamond_strip(side: f64, angle_deg: f64) -> f64 {
    side * angle_deg.to_radians().sin() + 2.0 * SEAM_MM
}
