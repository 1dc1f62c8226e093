//! Stitches as pairs of holes → the fewest straight lines that cover the same places.
//!
//! Stitches that lie on one straight line and touch or overlap become one line; nothing is added, nothing lost. Worked
//! out in whole steps of the machine, so exactly.

use kurbo::Point;
use rayon::slice::ParallelSliceMut;

use super::needle::{Hole, place};

/// A straight line without ends: its direction in lowest terms and its offset.
type Course = (i64, i64, i64);

/// The lines that `stitches` cover, mm, in a fixed order; a stitch without length is no line.
#[must_use]
pub fn joined(stitches: impl Iterator<Item = (Hole, Hole)>) -> Vec<(Point, Point)> {
    // Along one course holes sort as they lie, for x decides, or y where x stays the same.
    let sorted = stitches.filter(|(a, b)| a != b).map(|(a, b)| (a.min(b), a.max(b)));
    let mut stitches: Vec<(Course, Hole, Hole)> = sorted.map(|(a, b)| (course(a, b), a, b)).collect();
    stitches.par_sort_unstable();
    let mut lines: Vec<(Course, Hole, Hole)> = Vec::new();
    for (course, from, to) in stitches {
        match lines.last_mut() {
            Some(line) if course == line.0 && from <= line.2 => line.2 = line.2.max(to),
            _ => lines.push((course, from, to)),
        }
    }
    lines.into_iter().map(|(_, a, b)| (place(a), place(b))).collect()
}

fn course(a: Hole, b: Hole) -> Course {
    let (dx, dy) = (i64::from(b.0) - i64::from(a.0), i64::from(b.1) - i64::from(a.1));
    let common = common_divisor(dx.abs(), dy.abs()).max(1);
    let (dx, dy) = (dx / common, dy / common);
    (dx, dy, dx * i64::from(a.1) - dy * i64::from(a.0))
}

/// Euclid's greatest common divisor.
fn common_divisor(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { common_divisor(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Joins stitches given as "x y x y, …" in steps of the machine; gives lines in the same form.
    fn lines(text: &str) -> String {
        let numbers = |s: &str| s.split_whitespace().map(|n| n.parse::<i32>().unwrap()).collect::<Vec<_>>();
        let stitches = text.split(", ").map(numbers).map(|n| ((n[0], n[1]), (n[2], n[3])));
        let shown = |p: Point| format!("{} {}", p.x * 10.0, p.y * 10.0);
        let all: Vec<String> =
            joined(stitches).into_iter().map(|(a, b)| format!("{} {}", shown(a), shown(b))).collect();
        all.join(", ")
    }

    #[test]
    fn stitches_that_touch_on_one_line_become_one() {
        assert_eq!(lines("0 0 25 0, 25 0 50 0, 75 0 50 0"), "0 0 75 0");
        assert_eq!(lines("0 5 0 -5, 0 10 0 5"), "0 -5 0 10");
        assert_eq!(lines("0 0 10 20, 10 20 15 30"), "0 0 15 30");
    }

    #[test]
    fn overlapping_stitches_become_one() {
        assert_eq!(lines("0 0 40 0, 10 0 20 0, 30 0 60 0"), "0 0 60 0");
    }

    #[test]
    fn a_bend_a_break_and_a_neighbour_stay_apart() {
        assert_eq!(lines("0 0 25 0, 25 0 50 1"), "0 0 25 0, 25 0 50 1");
        assert_eq!(lines("0 0 25 0, 26 0 50 0"), "0 0 25 0, 26 0 50 0");
        assert_eq!(lines("0 0 25 0, 25 1 50 1"), "0 0 25 0, 25 1 50 1");
        assert_eq!(lines("3 3 3 3, 0 0 -1 -1"), "-1 -1 0 0");
    }
}
