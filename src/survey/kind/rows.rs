//! Stitches → where they lie in rows close together, as a fill does: how much line that runs the same way lies about each.
//!
//! The line is added up in cells of a millimetre by its direction; about a stitch the nine cells round its middle count.
//! A row on its own comes to 0.33–0.47 mm in a mm², two that meet at most to twice that.

use kurbo::Point;
use rustc_hash::FxHashMap;

use super::Stitch;

/// Side of a cell, mm.
const CELL_MM: f64 = 1.0;
/// Directions that are told apart in half a turn; those beside one another count as the same way.
const WAYS: usize = 6;

/// How much line runs each way in every cell, mm.
pub struct Rows(FxHashMap<(i32, i32), [f32; WAYS]>);

impl Rows {
    /// Adds up `stitches`, each with the part of its length that is its own.
    #[expect(clippy::cast_possible_truncation, reason = "lengths are a few mm")]
    pub fn new<'a>(stitches: impl Iterator<Item = (&'a Stitch, f64)>) -> Self {
        let mut cells: FxHashMap<(i32, i32), [f32; WAYS]> = FxHashMap::default();
        for (stitch, own_mm) in stitches {
            let parts = (stitch.length() / CELL_MM).ceil().max(1.0);
            let share = (own_mm / parts) as f32;
            let way = way(stitch);
            let mut part = 0.5;
            while part < parts {
                cells.entry(cell(stitch.from.lerp(stitch.to, part / parts))).or_default()[way] += share;
                part += 1.0;
            }
        }
        Self(cells)
    }

    /// Line that runs the same way about the middle of `stitch`, mm in a mm², and the part of all line there that runs so:
    /// as the stitch does, or nearly so to one side.
    pub fn about(&self, stitch: &Stitch) -> (f64, f64) {
        let (column, row) = cell(stitch.middle());
        let around = (-1..=1).flat_map(|i| (-1..=1).map(move |j| (column + i, row + j)));
        let mut line = [0.0_f32; WAYS];
        for cell in around.filter_map(|cell| self.0.get(&cell)) {
            line.iter_mut().zip(cell).for_each(|(all, here)| *all += here);
        }
        let own = way(stitch);
        let [left, right] = [(own + 1) % WAYS, (own + WAYS - 1) % WAYS];
        let all: f32 = line.iter().sum();
        let same_way = (line[own] + line[left].max(line[right])) / all.max(f32::MIN_POSITIVE);
        let density = f64::from(line[own] + line[left] + line[right]) / (9.0 * CELL_MM * CELL_MM);
        (density, f64::from(same_way))
    }
}

#[expect(clippy::cast_possible_truncation, reason = "needle points are checked to lie within 20 m")]
fn cell(p: Point) -> (i32, i32) {
    ((p.x / CELL_MM).floor() as i32, (p.y / CELL_MM).floor() as i32)
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "between 0 and the count of ways"
)]
fn way(stitch: &Stitch) -> usize {
    let half_turns = stitch.way().atan2() / std::f64::consts::PI;
    ((half_turns.rem_euclid(1.0) * WAYS as f64) as usize).min(WAYS - 1)
}
