//! A run of stitches → the same run secured at both ends by tiny stitches on its own line.
//!
//! A tie is four stitches: from the end of the line two tiny steps along it, and the same two back. Machine
//! quilters secure a line with 6 to 8 tiny stitches within its first and last quarter inch (published [8]); the
//! four of a tie together with the three passes over them come to as many, and no hole is hit more than twice more.

use kurbo::Point;

use super::grid::snap;
use crate::base::chain::{length, point_along};

/// Stitches in a tie: two out, two back.
pub const TIE_STITCHES: usize = 4;

/// Length of a tie's stitches, mm: above the 0.75 mm shaft of a 75/11 needle (published [10]), so that no stitch
/// falls into its own hole; above 1 mm, so that its holes do not add to those of a junction it begins at; and well below
/// a sewing stitch.
pub const TIE_MM: f64 = 1.1;

/// The longest stitch that is taken for part of a tie when a file is read, mm: [`TIE_MM`] and its rounding.
const TIE_LONGEST_MM: f64 = 1.25;

/// The longest stitch of a knot in a design from elsewhere, mm: shorter than any that sews a line well.
const KNOT_MM: f64 = 0.8;
/// The most stitches of a knot: published are 6 to 8 [8].
const LONGEST_KNOT: usize = 12;

/// The needle points of a tie at the start of `path`, beginning and ending there; `None` if the path is too short.
#[must_use]
pub fn tie(path: &[Point]) -> Option<[Point; TIE_STITCHES + 1]> {
    let first = *path.first()?;
    let step = TIE_MM.min(length(path) / 2.0);
    let near = snap(point_along(path, step)?.0);
    let far = snap(point_along(path, 2.0 * step)?.0);
    let points = [first, near, far, near, first];
    is_tie(&points).then_some(points)
}

/// How many stitches at the start of `points` are a tie: [`TIE_STITCHES`], those of another knot, or 0.
#[must_use]
pub fn tie_at_start(points: &[Point]) -> usize {
    if points.get(..=TIE_STITCHES).is_some_and(is_tie) { TIE_STITCHES } else { knot(points) }
}

/// How many stitches at the end of `points` are a tie: [`TIE_STITCHES`], those of another knot, or 0.
#[must_use]
pub fn tie_at_end(points: &[Point]) -> usize {
    let from = points.len().saturating_sub(LONGEST_KNOT + 2);
    let back: Vec<Point> = points[from..].iter().rev().copied().collect();
    tie_at_start(&back)
}

/// How many stitches at the start are a knot of any kind: tiny ones that go to and fro and then on in longer stitches.
fn knot(points: &[Point]) -> usize {
    let tiny =
        points.windows(2).take(LONGEST_KNOT + 1).take_while(|w| w[0].distance(w[1]) <= KNOT_MM).count();
    if !(2..=LONGEST_KNOT).contains(&tiny) || tiny + 1 >= points.len() {
        return 0;
    }
    let reach = points[0].distance(points[tiny]);
    if length(&points[..=tiny]) >= 2.0 * reach && reach <= KNOT_MM { tiny } else { 0 }
}

/// Two tiny stitches out and the same two back. A line sewn three times never does this, as it turns back after one.
fn is_tie(points: &[Point]) -> bool {
    let &[first, near, far, back, last] = points else { return false };
    let tiny = |a: Point, b: Point| a != b && a.distance(b) <= TIE_LONGEST_MM;
    first == last && near == back && first != far && tiny(first, near) && tiny(near, far)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(xs: &[f64]) -> Vec<Point> {
        xs.iter().map(|x| Point::new(*x, 0.0)).collect()
    }

    #[test]
    fn a_tie_goes_out_and_back_on_the_line() {
        let tied = tie(&points(&[0.0, 1.0, 3.5])).unwrap();
        assert_eq!(tied.to_vec(), points(&[0.0, 1.1, 2.2, 1.1, 0.0]));
    }

    #[test]
    fn a_tie_on_a_short_line_is_shorter_and_on_none_it_is_left_out() {
        assert_eq!(tie(&points(&[0.0, 1.0])).unwrap().to_vec(), points(&[0.0, 0.5, 1.0, 0.5, 0.0]));
        assert_eq!(tie(&points(&[0.0, 0.1])), None);
        assert_eq!(tie(&points(&[0.0])), None);
    }

    #[test]
    fn ties_are_told_from_triple_and_single_stitches() {
        assert_eq!(tie_at_start(&points(&[0.0, 0.8, 1.6, 0.8, 0.0, 2.5])), 4);
        assert_eq!(tie_at_end(&points(&[0.0, 2.5, 1.7, 0.9, 1.7, 2.5])), 4);
        assert_eq!(tie_at_start(&points(&[0.0, 0.9, 0.0, 0.9, 1.8, 0.9, 1.8])), 0);
        assert_eq!(tie_at_end(&points(&[0.0, 0.9, 0.0, 0.9, 1.8, 0.9, 1.8])), 0);
        assert_eq!(tie_at_start(&points(&[0.0, 0.8, 1.6, 2.4, 3.2])), 0);
        assert_eq!(tie_at_start(&points(&[0.0, 2.5, 5.0, 2.5, 0.0])), 0);
    }
}
