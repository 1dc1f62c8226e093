//! Spots: the places that lines run through, on a grid fine enough for any needle and exact in whole numbers.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use kurbo::{Point, Vec2};

use crate::base::tolerance::GRAIN_MM;

/// No spot, no knot.
pub(super) const NONE: u32 = u32::MAX;
/// Cells of the look-up grid, grains; a little more than the widest look-up.
const CELL: i32 = 400;

/// A place on the grid, in grains of [`GRAIN_MM`]. Lengths are limited so that products of differences fit an `i64`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Spot {
    pub(super) x: i32,
    pub(super) y: i32,
}

impl Spot {
    /// The spot nearest to a point in mm.
    pub(super) fn nearest(p: Point) -> Self {
        // A float outside the range of `i32` is clamped to it, so this cannot fail.
        Self { x: (p.x / GRAIN_MM).round() as i32, y: (p.y / GRAIN_MM).round() as i32 }
    }

    /// The spot in grains.
    pub(super) fn point(self) -> Point {
        Point::new(f64::from(self.x), f64::from(self.y))
    }

    /// The spot in mm.
    pub(super) fn mm(self) -> Point {
        // A division by a whole number is rounded once: 100000 grains are 10 mm exactly.
        let grains = (1.0 / GRAIN_MM).round();
        Point::new(f64::from(self.x) / grains, f64::from(self.y) / grains)
    }

    /// The difference to another spot, in whole grains.
    pub(super) fn minus(self, other: Self) -> (i64, i64) {
        (i64::from(self.x) - i64::from(other.x), i64::from(self.y) - i64::from(other.y))
    }

    /// The distance to another spot, in grains.
    pub(super) fn distance(self, other: Self) -> f64 {
        self.point().distance(other.point())
    }
}

/// A length in mm as whole grains.
pub(super) const fn grains(mm: f64) -> i32 {
    (mm / GRAIN_MM + 0.5) as i32
}

/// All spots, each with what is known of it.
#[derive(Debug, Default)]
pub(super) struct Spots {
    pub(super) at: Vec<Spot>,
    /// More than one line relies on this place.
    pub(super) pinned: Vec<bool>,
    /// A line ends or turns a corner here.
    pub(super) feature: Vec<bool>,
    /// A line turns a corner here.
    pub(super) corner: Vec<bool>,
    /// The tangents with which lines leave their ends.
    pub(super) leaving: Vec<(u32, Vec2)>,
    // Invariant: heads of the lists of spots in each cell, linked by `after`. Only looked up, never iterated.
    cells: HashMap<(i32, i32), u32, BuildHasherDefault<CellHasher>>,
    after: Vec<u32>,
}

impl Spots {
    /// The known spot nearest to `at`, if there is one within `reach` grains.
    pub(super) fn near(&self, at: Spot, reach: i32) -> Option<u32> {
        let mut best: Option<(i64, u32)> = None;
        let cell = |v: i32, by: i32| v.saturating_add(by).div_euclid(CELL);
        for i in cell(at.x, -reach)..=cell(at.x, reach) {
            for j in cell(at.y, -reach)..=cell(at.y, reach) {
                let mut id = self.cells.get(&(i, j)).copied().unwrap_or(NONE);
                while id != NONE {
                    let (dx, dy) = self.at[id as usize].minus(at);
                    let found = (dx * dx + dy * dy, id);
                    if found.0 <= i64::from(reach) * i64::from(reach) && best.is_none_or(|b| found < b) {
                        best = Some(found);
                    }
                    id = self.after[id as usize];
                }
            }
        }
        best.map(|(_, id)| id)
    }

    /// The known spot within `reach` grains of `at`, or else a new one at `at`.
    pub(super) fn place(&mut self, at: Spot, reach: i32) -> u32 {
        if let Some(known) = self.near(at, reach) {
            return known;
        }
        let id = self.at.len() as u32;
        let head = self.cells.entry((at.x.div_euclid(CELL), at.y.div_euclid(CELL))).or_insert(NONE);
        self.after.push(*head);
        *head = id;
        self.at.push(at);
        self.pinned.push(false);
        self.feature.push(false);
        self.corner.push(false);
        id
    }

    /// Gives another spot what is known of this one's corner and ends; `leaving` is to be sorted before it is read.
    pub(super) fn pass_on(&mut self, from: u32, to: u32) {
        if from == to {
            return;
        }
        self.feature[to as usize] |= self.feature[from as usize];
        self.corner[to as usize] |= self.corner[from as usize];
        let leaving: Vec<Vec2> = self.leaving.iter().filter(|l| l.0 == from).map(|l| l.1).collect();
        self.leaving.extend(leaving.into_iter().map(|way| (to, way)));
    }

    /// True if a line may give this spot up for one beside it.
    pub(super) fn is_free(&self, id: u32) -> bool {
        !self.pinned[id as usize] && !self.feature[id as usize]
    }
}

/// A quick hash of a cell: the cells come from places, not from an enemy.
#[derive(Debug, Default)]
pub(super) struct CellHasher(u64);

impl Hasher for CellHasher {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        bytes.iter().for_each(|b| self.write_i32(i32::from(*b)));
    }

    fn write_i32(&mut self, n: i32) {
        // Knuth's multiplicative hashing, with 2^64 over the golden ratio.
        self.0 = (self.0.rotate_left(25) ^ u64::from(n as u32)).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        self.0 ^= self.0 >> 29;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_within_reach_is_the_same_spot() {
        let mut spots = Spots::default();
        let a = spots.place(Spot { x: -399, y: 0 }, 50);
        assert_eq!(spots.place(Spot { x: -439, y: 30 }, 50), a);
        assert_ne!(spots.place(Spot { x: -440, y: 31 }, 50), a);
    }

    #[test]
    fn whole_millimetres_stay_whole() {
        assert_eq!(Spot::nearest(Point::new(10.0, -203.2)).mm(), Point::new(10.0, -203.2));
    }
}
