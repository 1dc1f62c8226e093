//! [`Stitches`] → the same stitches turned and shifted, to meet the fabric as it was hooped.
//!
//! Every needle point is placed and rounded to the grid anew, so all passes through a hole stay in one hole. Rounding moves a
//! point by up to 0.07 mm: place a design once, from the design as it was, not a placed design again. How it is to be turned
//! is worked out in [`align`](super::align).

use kurbo::{Affine, Point};

use super::grid::snap;
use super::{Run, Stitches};
use crate::base::angle::QUARTER_LEFT;

/// The stitches placed anew, every needle point rounded to the grid once.
///
/// Two holes that fall into one are one hole, and the stitch between them is left out.
#[must_use]
pub fn place(stitches: &Stitches, to: Affine) -> Stitches {
    Stitches::new(stitches.pieces.iter().map(|run| place_run(run, to)).collect())
}

/// The stitches turned a quarter to the left about 0,0, exactly: a grid point goes to a grid point.
#[must_use]
pub fn quarter_left(stitches: &Stitches) -> Stitches {
    let turned = |run: &Run| Run {
        points: run.points.iter().map(|p| snap(QUARTER_LEFT * *p)).collect(),
        ..run.clone()
    };
    Stitches::new(stitches.pieces.iter().map(turned).collect())
}

fn place_run(run: &Run, to: Affine) -> Run {
    let placed: Vec<Point> = run.points.iter().map(|p| snap(to * *p)).collect();
    let body_ends = run.points.len().saturating_sub(run.tie_off);
    let mut new = Run { tie_in: run.tie_in, tie_off: run.tie_off, ..Run::default() };
    for (i, p) in placed.iter().enumerate() {
        let fell_together = i > 0 && *p == placed[i - 1] && run.points[i] != run.points[i - 1];
        if !fell_together {
            new.points.push(*p);
        } else if i <= run.tie_in {
            new.tie_in -= 1;
        } else if i >= body_ends {
            new.tie_off -= 1;
        }
    }
    new
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(all: &[(f64, f64)]) -> Vec<Point> {
        all.iter().map(|p| Point::from(*p)).collect()
    }

    fn placing(turn_deg: f64, x: f64, y: f64) -> Affine {
        Affine::translate((x, y)) * Affine::rotate(turn_deg.to_radians())
    }

    #[test]
    fn a_turned_design_keeps_its_passes_and_ties() {
        let run =
            [(0.0, 0.0), (0.8, 0.0), (1.6, 0.0), (0.8, 0.0), (0.0, 0.0), (2.5, 0.0), (0.0, 0.0), (2.5, 0.0)];
        let before = Stitches::new(vec![Run::from_points(points(&run))]);
        let after = place(&before, placing(90.0, 1.0, 0.0));
        let wanted =
            [(1.0, 0.0), (1.0, 0.8), (1.0, 1.6), (1.0, 0.8), (1.0, 0.0), (1.0, 2.5), (1.0, 0.0), (1.0, 2.5)];
        assert_eq!(after.pieces[0].points, points(&wanted));
        assert_eq!((after.pieces[0].tie_in, after.pieces[0].tie_off), (4, 0));
        assert_eq!(after.centre, Point::new(1.0, 1.2));
    }

    #[test]
    fn a_quarter_turn_moves_every_hole_to_a_hole_and_four_are_none() {
        let run = Run { points: points(&[(-7.3, 2.1), (0.1, -0.4), (12.8, 3.5)]), tie_in: 1, tie_off: 0 };
        let before = Stitches::new(vec![run]);
        let after = quarter_left(&before);
        assert_eq!(after.pieces[0].points, points(&[(-2.1, -7.3), (0.4, 0.1), (-3.5, 12.8)]));
        assert_eq!((after.pieces[0].tie_in, after.centre), (1, Point::new(-1.6, 2.7)));
        assert_eq!(after, place(&before, placing(90.0, 0.0, 0.0)));
        assert_eq!(quarter_left(&quarter_left(&quarter_left(&after))), before);
    }

    #[test]
    fn holes_that_fall_together_make_no_stitch() {
        // Turned by 45° and shifted, 0.1, 0.1 and 0.2, 0.1 come to -0.03, 0.161 and 0.041, 0.232: both in the cell 0, 0.2.
        let tied = points(&[(0.1, 0.1), (0.2, 0.1), (3.0, 0.0), (3.0, 0.0)]);
        let before = Stitches::new(vec![Run { points: tied, tie_in: 1, tie_off: 1 }]);
        let after = place(&before, placing(45.0, -0.03, 0.02));
        assert_eq!(after.pieces[0].points, points(&[(0.0, 0.2), (2.1, 2.1), (2.1, 2.1)]));
        assert_eq!((after.pieces[0].tie_in, after.pieces[0].tie_off), (0, 1));
        assert_eq!(place(&before, placing(0.0, 0.0, 0.0)), before);
    }
}
