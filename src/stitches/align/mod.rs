//! Marks, each where it is in the design and where it was measured in the hoop → the turn and shift that bring them together.
//!
//! Least squares in closed form (Umeyama, Least-squares estimation of transformation parameters between two point patterns,
//! IEEE TPAMI 13, 1991 [233]). Nothing is scaled unless that is asked for. The error to expect away from the marks follows
//! from their own: with an error of FLE in each of N marks, at a distance d from their mean, TRE² = FLE² (1/N + d²/2S), S the
//! sum of their squared distances from it (the form in two dimensions of Fitzpatrick and West, The distribution of target
//! registration error in rigid-body point-based registration, IEEE TMI 20, 2001; from memory); scaling adds d²/2S.

#[cfg(test)]
mod tests;

use std::ops::RangeInclusive;

use kurbo::{Affine, Point, Vec2};

use crate::base::angle::turn_deg;

/// Marks that a placing can be worked out from.
pub const MARKS: RangeInclusive<usize> = 1..=4;
/// The least distance between the two marks furthest apart, mm: closer ones say nothing of the turn.
pub const MARKS_APART_MM: f64 = 10.0;
/// The error with which a mark is measured, mm: read off to the nearest millimetre (common practice, no source).
pub const MARK_ERROR_MM: f64 = 0.5;
/// What marks may say of the scale: beyond that one of them is misread, or it is another design.
pub const SCALES: RangeInclusive<f64> = 0.9..=1.1;

/// A mark: where it is in the design, and where it was measured in the hoop; mm from the middle of each.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mark {
    /// In the design.
    pub design: Point,
    /// In the hoop.
    pub hoop: Point,
}

/// How a design is brought to its marks.
#[derive(Debug, Clone, PartialEq)]
pub struct Alignment {
    /// The turn about 0,0, degrees, left turns positive.
    pub turn_deg: f64,
    /// The scale, 1 unless it was asked for.
    pub scale: f64,
    /// The shift after it, mm.
    pub shift: Vec2,
    /// How far each mark stays from its place, mm.
    pub misfits_mm: Vec<f64>,
}

/// Why no alignment follows from the marks.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AlignError {
    /// Too few marks, or too many.
    #[error("{marks} marks were given; give {} to {}", MARKS.start(), MARKS.end())]
    Count {
        /** How many there are. */
        marks: usize,
    },
    /// The marks stand too close to tell a turn.
    #[error(
        "the marks are {apart_mm:.1} mm apart at most; take marks {MARKS_APART_MM} mm apart or further, best in opposite corners"
    )]
    TooClose {
        /** The greatest distance between two of them, mm. */
        apart_mm: f64,
    },
    /// One mark tells no scale, and others may tell one that cannot be.
    #[error(
        "the marks ask for {percent:.1} % of the size; measure them again, or make the design anew with `thrice refit`"
    )]
    Scale {
        /** What they ask for. */
        percent: f64,
    },
    /// A scale from one mark.
    #[error("one mark tells nothing of the scale; give two or more, or leave --scale out")]
    NoScale,
}

impl Alignment {
    /// From the design to the hoop.
    #[must_use]
    pub fn map(&self) -> Affine {
        let turned = Affine::rotate(self.turn_deg.to_radians()) * Affine::scale(self.scale);
        Affine::translate(self.shift) * turned
    }

    /// How far the mark that fits worst stays from its place, mm.
    #[must_use]
    pub fn misfit_mm(&self) -> f64 {
        self.misfits_mm.iter().copied().fold(0.0, f64::max)
    }

    /// The error with which the marks were measured, mm, root mean square, as their misfits tell: least squares hides a part of
    /// it, as many of the marks' coordinates as the fit is free to choose. `None` if nothing is left of them to tell by.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "a few marks")]
    pub fn told_error_mm(&self, scaled: bool) -> Option<f64> {
        let fitted = if scaled { 4 } else { 3 };
        let left = (2 * self.misfits_mm.len()).checked_sub(fitted).filter(|left| *left > 0)?;
        let squares: f64 = self.misfits_mm.iter().map(|mm| mm * mm).sum();
        Some((2.0 * squares / left as f64).sqrt())
    }
}

/// The turn and shift that bring `marks` together with the least sum of squared misfits; the scale as well if `scaled`.
///
/// One mark is a shift alone.
///
/// # Errors
/// [`AlignError::Count`] outside [`MARKS`]; [`AlignError::TooClose`] if several are less than [`MARKS_APART_MM`] apart in
/// the design or in the hoop, or not numbers; [`AlignError::Scale`] and [`AlignError::NoScale`] if a scale is asked for that
/// they do not tell.
pub fn align(marks: &[Mark], scaled: bool) -> Result<Alignment, AlignError> {
    if !MARKS.contains(&marks.len()) {
        return Err(AlignError::Count { marks: marks.len() });
    }
    if let [only] = marks {
        if scaled {
            return Err(AlignError::NoScale);
        }
        let shift = only.hoop - only.design;
        return Ok(Alignment { turn_deg: 0.0, scale: 1.0, shift, misfits_mm: vec![0.0] });
    }
    let (design, hoop): (Vec<Point>, Vec<Point>) = marks.iter().map(|m| (m.design, m.hoop)).unzip();
    for apart_mm in [furthest_apart(&design), furthest_apart(&hoop)] {
        if !(MARKS_APART_MM..f64::INFINITY).contains(&apart_mm) {
            return Err(AlignError::TooClose { apart_mm });
        }
    }
    let (from, to) = (mean(&design), mean(&hoop));
    let (mut dot, mut cross) = (0.0, 0.0);
    for mark in marks {
        dot += (mark.design - from).dot(mark.hoop - to);
        cross += (mark.design - from).cross(mark.hoop - to);
    }
    let scale = if scaled { dot.hypot(cross) / spread(&design) } else { 1.0 };
    if !SCALES.contains(&scale) {
        return Err(AlignError::Scale { percent: scale * 100.0 });
    }
    let turn_deg = turn_deg(Vec2::new(1.0, 0.0), Vec2::new(dot, cross));
    let turned = Alignment { turn_deg, scale, shift: Vec2::ZERO, misfits_mm: Vec::new() };
    let shift = to - turned.map() * from;
    let placed = Alignment { shift, ..turned };
    let misfits_mm = marks.iter().map(|mark| (placed.map() * mark.design).distance(mark.hoop)).collect();
    Ok(Alignment { misfits_mm, ..placed })
}

/// The error to expect at `at` in the design, mm, root mean square, if each mark was measured with an error of `mark_mm`;
/// `None` for one mark, which tells nothing of the turn.
#[must_use]
#[expect(clippy::cast_precision_loss, reason = "a few marks")]
pub fn expected_error_mm(marks: &[Mark], at: Point, mark_mm: f64, scaled: bool) -> Option<f64> {
    let design: Vec<Point> = marks.iter().map(|m| m.design).collect();
    let spread = spread(&design);
    if spread == 0.0 {
        return None;
    }
    let away = at.distance(mean(&design));
    let freedoms = if scaled { 1.0 } else { 0.5 };
    Some(mark_mm * (1.0 / marks.len() as f64 + freedoms * away * away / spread).sqrt())
}

/// The sum of squared distances from the mean.
fn spread(points: &[Point]) -> f64 {
    let mean = mean(points);
    points.iter().map(|p| p.distance_squared(mean)).sum()
}

#[expect(clippy::cast_precision_loss, reason = "a few marks")]
fn mean(points: &[Point]) -> Point {
    let sum = points.iter().fold(Vec2::ZERO, |sum, p| sum + p.to_vec2());
    (sum / points.len().max(1) as f64).to_point()
}

/// The greatest distance between two points, mm; infinite if any of them is not a place.
fn furthest_apart(points: &[Point]) -> f64 {
    if points.iter().any(|p| !p.is_finite()) {
        return f64::INFINITY;
    }
    points.iter().flat_map(|a| points.iter().map(|b| a.distance(*b))).fold(0.0, f64::max)
}
