//! [`Stitches`] → [`Fingerprint`]: eight letters and digits by which papers and machine file are matched by eye.
//!
//! In it go the needle holes on the 0.1 mm grid in sewing order, from the first hole, and where the machine moves without
//! sewing: what every machine format keeps. So it is the same for the stitches as they were made and as they are read back
//! from any file of them, wherever the origin lies in it.
//! Limits: formats split a stitch longer than they allow, each at its own length; the fingerprint of a design with stitches
//! over 12.1 mm is that of one file, not of the design. Of designs that differ, one pair in 2⁴⁰ has the same by chance.

use std::fmt::{self, Display};

use serde::{Serialize, Serializer};

use super::Stitches;
use super::grid::cells;
use crate::base::fnv::fnv_1a;

/// Letters and digits that are not taken for one another on paper: without I, O, 0 and 1.
const SIGNS: [u8; 32] = *b"23456789ABCDEFGHJKLMNPQRSTUVWXYZ";
/// How many of them a fingerprint has.
const LENGTH: u32 = 8;
/// Bits that one of them tells.
const BITS: u32 = 5;

/// What stands for a design's stitches; shown as `K7QM-3XRA`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fingerprint(u64);

/// The fingerprint of stitches as they will be sewn: turned, if the file is turned.
#[must_use]
pub fn of(stitches: &Stitches) -> Fingerprint {
    let runs = || stitches.pieces.iter().filter(|run| !run.points.is_empty());
    let first = runs().next().map_or((0, 0), |run| (cells(run.points[0].x), cells(run.points[0].y)));
    let numbers = runs().flat_map(|run| {
        let holes = run.points.iter().flat_map(|p| [cells(p.x) - first.0, cells(p.y) - first.1]);
        // How many holes follow: two runs are not one.
        i64::try_from(run.points.len()).into_iter().chain(holes)
    });
    let hash = fnv_1a(numbers.flat_map(i64::to_le_bytes));
    // Folded, as the hash's authors advise for fewer bits.
    let bits = LENGTH * BITS;
    Fingerprint((hash >> bits ^ hash) & ((1 << bits) - 1))
}

impl Display for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = |place: u32| {
            let number = (self.0 >> (BITS * place)) & ((1 << BITS) - 1);
            char::from(SIGNS[usize::try_from(number).unwrap_or(0)])
        };
        let half = |from: u32| (from..from + LENGTH / 2).map(sign).collect::<String>();
        f.pad(&format!("{}-{}", half(0), half(LENGTH / 2)))
    }
}

impl Serialize for Fingerprint {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

#[cfg(test)]
mod tests {
    use kurbo::{Point, Vec2};

    use super::*;
    use crate::stitches::Run;
    use crate::stitches::grid::snap;

    fn stitches(runs: &[&[(f64, f64)]], by: Vec2) -> Stitches {
        let run = |points: &&[(f64, f64)]| {
            Run::from_points(points.iter().map(|p| snap(Point::from(*p) + by)).collect())
        };
        Stitches::new(runs.iter().map(run).collect())
    }

    const LINE: &[(f64, f64)] = &[(0.0, 0.0), (2.5, 0.1), (5.0, 0.0), (7.5, 0.3)];

    #[test]
    fn it_is_eight_signs_in_two_halves() {
        let shown = of(&stitches(&[LINE], Vec2::ZERO)).to_string();
        assert_eq!((shown.len(), shown.find('-')), (9, Some(4)), "{shown}");
        assert!(shown.bytes().all(|b| b == b'-' || SIGNS.contains(&b)), "{shown}");
    }

    #[test]
    fn it_stays_where_the_design_is_moved() {
        let at = |x, y| of(&stitches(&[LINE, &LINE[1..]], Vec2::new(x, y)));
        assert_eq!(at(0.0, 0.0), at(-31.7, 250.3));
    }

    #[test]
    fn it_changes_with_a_hole_its_order_and_a_jump() {
        let backwards: Vec<(f64, f64)> = LINE.iter().rev().copied().collect();
        let mut moved = LINE.to_vec();
        moved[2].1 = 0.1;
        let all = [
            of(&stitches(&[LINE], Vec2::ZERO)),
            of(&stitches(&[&backwards], Vec2::ZERO)),
            of(&stitches(&[&moved], Vec2::ZERO)),
            of(&stitches(&[&LINE[..2], &LINE[2..]], Vec2::ZERO)),
            of(&stitches(&[&LINE[..3], &LINE[3..]], Vec2::ZERO)),
            of(&stitches(&[], Vec2::ZERO)),
        ];
        for (i, one) in all.iter().enumerate() {
            assert!(!all[..i].contains(one), "{i}: {one}");
        }
    }

    #[test]
    fn designs_that_hardly_differ_have_fingerprints_that_do() {
        // Every tenth of a millimetre of one hole of a long line: no two alike, and every sign takes many values.
        let mut seen = std::collections::BTreeSet::new();
        let mut signs = vec![std::collections::BTreeSet::new(); 9];
        for tenth in 0..2000_i32 {
            let mut points: Vec<(f64, f64)> = (0..50).map(|i| (f64::from(i) * 2.5, 0.0)).collect();
            points[49].1 = f64::from(tenth) / 10.0;
            let shown = of(&stitches(&[&points], Vec2::ZERO)).to_string();
            shown.chars().enumerate().for_each(|(i, c)| {
                signs[i].insert(c);
            });
            seen.insert(shown);
        }
        assert_eq!(seen.len(), 2000);
        let counts: Vec<usize> = signs.iter().map(std::collections::BTreeSet::len).collect();
        assert_eq!(counts, [32, 32, 32, 32, 1, 32, 32, 32, 32]);
    }
}
