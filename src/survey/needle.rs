//! [`Stitches`] → plain runs of needle points: all that the other files of this folder know of stitches.
//!
//! Every point is checked here once; past this file a point is a number on the cloth.

use kurbo::Point;

use super::SurveyError;
use crate::base::tolerance::GRID_MM;
use crate::base::units::LONGEST_MM;
use crate::stitches::Stitches;

/// A needle hole: its place counted in steps of the machine, [`GRID_MM`] each, across and up.
pub type Hole = (i32, i32);

/// One unbroken run of needle points; the machine moves to the next without sewing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run<'a> {
    /// The needle points in sewing order, mm.
    pub points: &'a [Point],
    /// How many steps at the start only tie the thread in.
    pub tie_in: usize,
    /// How many steps at the end only tie the thread off.
    pub tie_off: usize,
}

impl Run<'_> {
    /// Every step of the needle, ties included, in sewing order.
    pub fn steps(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        self.points.windows(2).map(|w| (w[0], w[1]))
    }

    /// The steps that sew the line: all but the ties.
    pub fn line_steps(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        let last = self.points.len().saturating_sub(1).saturating_sub(self.tie_off);
        self.steps().take(last).skip(self.tie_in)
    }
}

/// The runs of `stitches`, in sewing order.
///
/// # Errors
/// [`SurveyError::BadPoint`] for a point that is not a number or lies further out than any quilt reaches.
pub fn runs(stitches: &Stitches) -> Result<Vec<Run<'_>>, SurveyError> {
    let runs: Vec<Run> = stitches
        .pieces
        .iter()
        .map(|r| Run { points: &r.points, tie_in: r.tie_in, tie_off: r.tie_off })
        .collect();
    check(&runs)?;
    Ok(runs)
}

/// The hole that a needle point makes.
#[must_use]
#[expect(clippy::cast_possible_truncation, reason = "`runs` lets no point past LONGEST_MM")]
pub fn hole(p: Point) -> Hole {
    ((p.x / GRID_MM).round() as i32, (p.y / GRID_MM).round() as i32)
}

/// Sorts `items` by their holes, from left to right, then from the bottom up; equal ones stay in their order.
pub fn sort_by_hole<T>(items: &mut [T], hole: impl Fn(&T) -> Hole) {
    let least = corner(items.iter().map(&hole));
    radsort::sort_by_key(items, |item| rank(hole(item), least));
}

/// Sorts `items` by their stitches: by the first hole, then by the second; equal ones stay in their order.
pub fn sort_by_stitch<T>(items: &mut [T], stitch: impl Fn(&T) -> (Hole, Hole)) {
    let least = corner(items.iter().map(&stitch).flat_map(|(a, b)| [a, b]));
    radsort::sort_by_key(items, |item| {
        let (a, b) = stitch(item);
        u128::from(rank(a, least)) << 64 | u128::from(rank(b, least))
    });
}

/// The bottom left corner of the box round `holes`.
fn corner(holes: impl Iterator<Item = Hole>) -> Hole {
    holes.fold((i32::MAX, i32::MAX), |least, hole| (least.0.min(hole.0), least.1.min(hole.1)))
}

/// A number that grows as holes are sorted. Counted from `least`, so that its upper digits are nought and cost no time.
fn rank((x, y): Hole, least: Hole) -> u64 {
    u64::from(x.abs_diff(least.0)) << 32 | u64::from(y.abs_diff(least.1))
}

/// The middle of a hole, mm.
#[must_use]
pub fn place(hole: Hole) -> Point {
    // Divided by ten, not multiplied by a tenth, so that 3 steps print as 0.3 mm.
    let steps_per_mm = (1.0 / GRID_MM).round();
    Point::new(f64::from(hole.0) / steps_per_mm, f64::from(hole.1) / steps_per_mm)
}

fn check(runs: &[Run]) -> Result<(), SurveyError> {
    let sewable = -LONGEST_MM..=LONGEST_MM;
    for (piece, run) in runs.iter().enumerate() {
        let bad = run.points.iter().position(|p| !(sewable.contains(&p.x) && sewable.contains(&p.y)));
        if let Some(point) = bad {
            let at = run.points[point];
            return Err(SurveyError::BadPoint { piece: piece + 1, point: point + 1, x: at.x, y: at.y });
        }
    }
    Ok(())
}

/// Stitches through these points, a piece each, for tests.
#[cfg(test)]
pub fn sewn_through(pieces: &[Vec<Point>]) -> Stitches {
    let sewn = |points: &Vec<Point>| crate::stitches::Run { points: points.clone(), tie_in: 0, tie_off: 0 };
    Stitches { pieces: pieces.iter().map(sewn).collect(), ..Stitches::default() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(xs: &[f64]) -> Vec<Point> {
        xs.iter().map(|x| Point::new(*x, 0.0)).collect()
    }

    #[test]
    fn ties_are_no_part_of_the_line() {
        let points = line(&[0.0, 0.5, 0.0, 2.0, 4.0, 3.5]);
        let run = Run { points: &points, tie_in: 2, tie_off: 1 };
        let ends: Vec<f64> = run.line_steps().map(|(_, b)| b.x).collect();
        assert_eq!(ends, [2.0, 4.0]);
        assert_eq!(run.steps().count(), 5);
    }

    #[test]
    fn ties_longer_than_the_run_leave_nothing() {
        let points = line(&[0.0, 1.0]);
        assert_eq!(Run { points: &points, tie_in: 4, tie_off: 3 }.line_steps().count(), 0);
        assert_eq!(Run { points: &[], tie_in: 0, tie_off: 0 }.line_steps().count(), 0);
    }

    #[test]
    fn a_point_that_is_no_number_is_refused_with_its_place() {
        for bad in [f64::NAN, f64::INFINITY, 1e9] {
            let stitches = sewn_through(&[line(&[0.0]), line(&[0.0, bad])]);
            let refused = runs(&stitches).unwrap_err();
            assert!(matches!(refused, SurveyError::BadPoint { piece: 2, point: 2, .. }), "{refused}");
        }
    }

    #[test]
    fn a_hole_is_counted_in_steps_of_the_machine() {
        assert_eq!(hole(Point::new(0.299_999_999, -1.2)), (3, -12));
        assert_eq!(place((3, -12)), Point::new(0.3, -1.2));
    }
}
