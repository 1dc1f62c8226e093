//! [`Stitches`] → the same stitches turned and shifted, to meet the fabric as it was hooped.
//!
//! A placing turns about 0,0 and then shifts; nothing is stretched. Every needle point is placed and rounded to the
//! grid anew, so all passes through a hole stay in one hole. Rounding moves a point by up to 0.07 mm: place a design
//! once, from the design as it was, not a placed design again.

use std::ops::RangeInclusive;

use kurbo::{Affine, Point, Vec2};

use super::grid::snap;
use super::{Run, Stitches};
use crate::base::angle::{QUARTER_LEFT, turn_deg};

/// Marks that a placing can be worked out from.
pub const MARKS: RangeInclusive<usize> = 2..=16;
/// The least distance between the two marks furthest apart, mm: closer ones say nothing of the turn.
pub const MARKS_APART_MM: f64 = 10.0;

/// A turn about 0,0, then a shift.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Placing {
    /// The turn, degrees, left turns positive.
    pub turn_deg: f64,
    /// The shift after it, mm.
    pub shift: Vec2,
}

/// A placing worked out from marks, and how well they fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// The placing with the least sum of squared misfits.
    pub placing: Placing,
    /// How far the mark that fits worst stays from its place, mm.
    pub misfit_mm: f64,
}

/// Why no placing follows from the marks.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlacingError {
    /// Not as many places as marks, or too few, or too many.
    #[error(
        "{marks} marks and {places} places were given; give {} to {} of each, in the same order",
        MARKS.start(),
        MARKS.end()
    )]
    Count {
        /** Marks in the design. */
        marks: usize,
        /** Their places on the fabric. */
        places: usize,
    },
    /// The marks stand too close to tell a turn.
    #[error(
        "the marks are {apart_mm:.1} mm apart at most; take marks {MARKS_APART_MM} mm apart or further, best in opposite corners"
    )]
    TooClose {
        /** The greatest distance between two of them, mm. */
        apart_mm: f64,
    },
}

impl Placing {
    /// Where `p` goes.
    #[must_use]
    pub fn place(&self, p: Point) -> Point {
        Affine::rotate(self.turn_deg.to_radians()) * p + self.shift
    }
}

/// The stitches placed anew, every needle point rounded to the grid once.
///
/// Two holes that fall into one are one hole, and the stitch between them is left out.
#[must_use]
pub fn place(stitches: &Stitches, placing: &Placing) -> Stitches {
    Stitches::new(stitches.pieces.iter().map(|run| place_run(run, placing)).collect())
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

/// The placing that brings `marks` closest to `places`, by least squares.
///
/// Closed form: the turn is the angle of the summed products of the marks about their means (Umeyama, Least-squares
/// estimation of transformation parameters between two point patterns, IEEE TPAMI 13, 1991 [233]; without its scale).
///
/// # Errors
/// [`PlacingError::Count`] unless there are as many places as marks, within [`MARKS`]; [`PlacingError::TooClose`] if
/// the marks, or the places, are less than [`MARKS_APART_MM`] apart, or not numbers.
pub fn fit(marks: &[Point], places: &[Point]) -> Result<Fit, PlacingError> {
    if marks.len() != places.len() || !MARKS.contains(&marks.len()) {
        return Err(PlacingError::Count { marks: marks.len(), places: places.len() });
    }
    for apart_mm in [furthest_apart(marks), furthest_apart(places)] {
        if !(MARKS_APART_MM..f64::INFINITY).contains(&apart_mm) {
            return Err(PlacingError::TooClose { apart_mm });
        }
    }
    let (from, to) = (mean(marks), mean(places));
    let (mut dot, mut cross) = (0.0, 0.0);
    for (mark, place) in marks.iter().zip(places) {
        dot += (*mark - from).dot(*place - to);
        cross += (*mark - from).cross(*place - to);
    }
    let turn_deg = turn_deg(Vec2::new(1.0, 0.0), Vec2::new(dot, cross));
    let turned = Placing { turn_deg, shift: Vec2::ZERO };
    let placing = Placing { turn_deg, shift: to - turned.place(from) };
    let misfits = marks.iter().zip(places).map(|(mark, at)| placing.place(*mark).distance(*at));
    Ok(Fit { placing, misfit_mm: misfits.fold(0.0, f64::max) })
}

fn place_run(run: &Run, placing: &Placing) -> Run {
    let placed: Vec<Point> = run.points.iter().map(|p| snap(placing.place(*p))).collect();
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

fn mean(points: &[Point]) -> Point {
    let sum = points.iter().fold(Vec2::ZERO, |sum, p| sum + p.to_vec2());
    (sum / points.len() as f64).to_point()
}

/// The greatest distance between two points, mm; infinite if any of them is not a place.
fn furthest_apart(points: &[Point]) -> f64 {
    if points.iter().any(|p| !p.is_finite()) {
        return f64::INFINITY;
    }
    points.iter().flat_map(|a| points.iter().map(|b| a.distance(*b))).fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(all: &[(f64, f64)]) -> Vec<Point> {
        all.iter().map(|p| Point::from(*p)).collect()
    }

    fn placing(turn_deg: f64, x: f64, y: f64) -> Placing {
        Placing { turn_deg, shift: Vec2::new(x, y) }
    }

    #[test]
    fn a_turned_design_keeps_its_passes_and_ties() {
        let run =
            [(0.0, 0.0), (0.8, 0.0), (1.6, 0.0), (0.8, 0.0), (0.0, 0.0), (2.5, 0.0), (0.0, 0.0), (2.5, 0.0)];
        let before = Stitches::new(vec![Run::from_points(points(&run))]);
        let after = place(&before, &placing(90.0, 1.0, 0.0));
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
        assert_eq!(after, place(&before, &placing(90.0, 0.0, 0.0)));
        assert_eq!(quarter_left(&quarter_left(&quarter_left(&after))), before);
    }

    #[test]
    fn holes_that_fall_together_make_no_stitch() {
        // Turned by 45° and shifted, 0.1, 0.1 and 0.2, 0.1 come to -0.03, 0.161 and 0.041, 0.232: both in the cell 0, 0.2.
        let tied = points(&[(0.1, 0.1), (0.2, 0.1), (3.0, 0.0), (3.0, 0.0)]);
        let before = Stitches::new(vec![Run { points: tied, tie_in: 1, tie_off: 1 }]);
        let after = place(&before, &placing(45.0, -0.03, 0.02));
        assert_eq!(after.pieces[0].points, points(&[(0.0, 0.2), (2.1, 2.1), (2.1, 2.1)]));
        assert_eq!((after.pieces[0].tie_in, after.pieces[0].tie_off), (0, 1));
        assert_eq!(place(&before, &placing(0.0, 0.0, 0.0)), before);
    }

    #[test]
    fn marks_give_back_their_placing() {
        let marks = points(&[(-60.0, -40.0), (60.0, -40.0), (60.0, 45.0), (-55.0, 40.0)]);
        for turn in [-179.0, -90.0, -3.2, 0.0, 0.4, 12.0, 135.0] {
            let wanted = placing(turn, 4.5, -7.25);
            let places: Vec<Point> = marks.iter().map(|p| wanted.place(*p)).collect();
            for count in 2..=marks.len() {
                let fit = fit(&marks[..count], &places[..count]).unwrap();
                assert!((fit.placing.turn_deg - turn).abs() < 1e-9, "{fit:?}");
                assert!((fit.placing.shift - wanted.shift).hypot() < 1e-9, "{fit:?}");
                assert!(fit.misfit_mm < 1e-9);
            }
        }
    }

    #[test]
    fn marks_that_do_not_agree_share_their_misfit() {
        // The places are 2 mm further apart than the marks: each stays 1 mm off.
        let fit = fit(&points(&[(-50.0, 0.0), (50.0, 0.0)]), &points(&[(0.0, -51.0), (0.0, 51.0)])).unwrap();
        assert!((fit.placing.turn_deg - 90.0).abs() < 1e-9 && (fit.misfit_mm - 1.0).abs() < 1e-9, "{fit:?}");
    }

    #[test]
    fn marks_that_tell_nothing_are_refused() {
        let two = points(&[(0.0, 0.0), (50.0, 0.0)]);
        assert_eq!(fit(&two, &two[..1]), Err(PlacingError::Count { marks: 2, places: 1 }));
        assert_eq!(fit(&two[..1], &two[..1]), Err(PlacingError::Count { marks: 1, places: 1 }));
        let close = points(&[(0.0, 0.0), (9.0, 0.0)]);
        assert_eq!(fit(&two, &close), Err(PlacingError::TooClose { apart_mm: 9.0 }));
        assert!(fit(&two, &points(&[(0.0, 0.0), (f64::NAN, 0.0)])).is_err());
    }
}
