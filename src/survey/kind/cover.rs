//! Stitches by the squares of cloth that they lie on, to ask how many lie on top of each other.
//!
//! A square that holds more stitches than [`MOST_IN_SQUARE`] is looked at in part only, so that the work grows in step with
//! the stitches whatever they are; so many stitches on so little cloth are a lump of thread in any case.

use std::ops::Range;

use kurbo::{Point, Rect, Vec2};
use rustc_hash::FxHashMap;

use super::Stitch;
use crate::survey::needle::{Hole, sort_by_hole};

/// Side of a square, mm: about the length of a stitch.
const SQUARE_MM: f64 = 2.0;
/// The most stitches that are looked at in a square; a fill has about a dozen.
const MOST_IN_SQUARE: usize = 200;

/// Stitches by square.
pub struct Cover<'a> {
    stitches: &'a [Stitch],
    /// Stitches by square, each by its place in `stitches`.
    held: Vec<u32>,
    /// Which of them each square holds.
    squares: FxHashMap<Hole, Range<usize>>,
}

impl<'a> Cover<'a> {
    /// Lays out `stitches` so that all that pass within `reach_mm` of any point can be found.
    pub fn new(stitches: &'a [Stitch], reach_mm: f64) -> Self {
        let mut held = Vec::with_capacity(4 * stitches.len());
        for (i, stitch) in (0_u32..).zip(stitches) {
            squares_under(stitch, reach_mm, |square| held.push((square, i)));
        }
        sort_by_hole(&mut held, |(square, _)| *square);
        let (mut squares, mut from) = (FxHashMap::default(), 0);
        for same in held.chunk_by(|a, b| a.0 == b.0) {
            squares.insert(same[0].0, from..from + same.len());
            from += same.len();
        }
        Self { stitches, held: held.into_iter().map(|(_, i)| i).collect(), squares }
    }

    /// The stitches that pass within reach of `at`, and others about it.
    pub fn over(&self, at: Point) -> impl Iterator<Item = &'a Stitch> + '_ {
        let here = self.squares.get(&(square_of(at.x), square_of(at.y)));
        let here = here.map_or(&[][..], |held| &self.held[held.clone()]);
        here.iter().take(MOST_IN_SQUARE).filter_map(|i| self.stitches.get(*i as usize))
    }
}

fn squares_under(stitch: &Stitch, reach_mm: f64, mut found: impl FnMut(Hole)) {
    let bounds = Rect::from_points(stitch.from, stitch.to).inflate(reach_mm, reach_mm);
    let half = SQUARE_MM / 2.0;
    for column in square_of(bounds.x0)..=square_of(bounds.x1) {
        for row in square_of(bounds.y0)..=square_of(bounds.y1) {
            let corner = Vec2::new(f64::from(column), f64::from(row)) * SQUARE_MM;
            let middle = corner.to_point() + Vec2::new(half, half);
            if stitch.distance(middle) <= half * std::f64::consts::SQRT_2 + reach_mm {
                found((column, row));
            }
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "needle points are checked to lie within 20 m")]
fn square_of(mm: f64) -> i32 {
    (mm / SQUARE_MM).floor() as i32
}
