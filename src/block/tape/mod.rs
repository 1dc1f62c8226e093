//! Tape measurements → the corners of a triangle or a four-sided block, the bottom along x.
//!
//! Four sides and one diagonal fix a block. A second diagonal is one measure more than needed: the error of the tape is then
//! spread over all six by least squares (Levenberg, Quarterly of Applied Mathematics 2, 1944 [229], on the five coordinates that
//! are free when the bottom lies along x). The result depends on distances only, so it is the same whichever side is at the bottom.

#[cfg(test)]
mod tests;

use std::fmt;

use kurbo::{Point, Vec2};

use super::BlockError;
use crate::base::angle::{left_of, turn_deg, unit};
use crate::base::units::{Units, show_length};

/// A largest correction above this is worth a second look, mm: a sixteenth of an inch, what a tape is read to.
pub const TAPE_MM: f64 = 1.6;

/// A largest correction above this is a misreading, mm.
///
/// One inch misread on a side of a square is spread so that the largest correction is 4.5 mm; six measures each read a
/// sixteenth wrong, in the worst combination, make 1.9 mm.
pub const MISREAD_MM: f64 = 4.0;

/// On long sides the tape itself errs more: a misreading is also above this part of the longest measure.
pub const MISREAD_SHARE: f64 = 0.005;

/// What was measured, named as the quilter sees the block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// The bottom.
    Bottom,
    /// The right side.
    Right,
    /// The top.
    Top,
    /// The left side.
    Left,
    /// From bottom left to top right.
    Diagonal,
    /// From bottom right to top left.
    OtherDiagonal,
}

impl Measure {
    /// In the order of the six measures.
    pub const ALL: [Self; 6] =
        [Self::Bottom, Self::Right, Self::Top, Self::Left, Self::Diagonal, Self::OtherDiagonal];
}

impl fmt::Display for Measure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Bottom => "bottom",
            Self::Right => "right side",
            Self::Top => "top",
            Self::Left => "left side",
            Self::Diagonal => "diagonal",
            Self::OtherDiagonal => "other diagonal",
        })
    }
}

/// Six measures and the block that they agree on best.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    /// Bottom left, bottom right, top right, top left, mm.
    pub corners: [Point; 4],
    /// What was measured, in the order of [`Measure::ALL`], mm.
    pub measured: [f64; 6],
    /// What each measure became, mm.
    pub fitted: [f64; 6],
}

impl Spread {
    /// The measure with the largest correction, and its index.
    #[must_use]
    pub fn largest(&self) -> (usize, f64) {
        let corrections = self.measured.iter().zip(&self.fitted).map(|(m, f)| (f - m).abs());
        corrections.enumerate().fold((0, 0.0), |best, (i, c)| if c > best.1 { (i, c) } else { best })
    }

    /// Says how far the tape was out and what each measure became.
    #[must_use]
    pub fn sentence(&self) -> String {
        let (worst, correction) = self.largest();
        let became: Vec<String> = Measure::ALL
            .iter()
            .zip(self.measured.iter().zip(&self.fitted))
            .map(|(m, (a, b))| {
                format!("{m} {} to {}", show_length(*a, Units::Inches), show_length(*b, Units::Inches))
            })
            .collect();
        let advice = if correction > TAPE_MM { " That is more than a tape errs; measure again." } else { "" };
        format!(
            "The six measures disagree a little; the error was spread over them, at most {correction:.2} mm (the {}): {}.{advice}",
            Measure::ALL[worst],
            became.join(", ")
        )
    }
}

/// A corner further from square than this is worth a second look, degrees: a block that leans so much is rarely meant.
pub const SKEW_DEG: f64 = 10.0;
/// Corners are alike in it if they differ by less, degrees: far below what a tape shows.
const ALIKE_DEG: f64 = 1e-3;

/// Says which corner of a four-sided block is furthest from square, if that is more than [`SKEW_DEG`].
#[must_use]
pub fn skew(corners: &[Point; 4]) -> Option<String> {
    let angle = |i: usize| {
        let at = corners[i];
        turn_deg(corners[(i + 1) % 4] - at, corners[(i + 3) % 4] - at)
    };
    let off = |i: usize| (angle(i) - 90.0).abs();
    // Of corners alike the first.
    let worst = (1..4).fold(0, |worst, i| if off(i) > off(worst) + ALIKE_DEG { i } else { worst });
    let off = off(worst);
    (off > SKEW_DEG).then(|| {
        format!(
            "By these measures the {} corner is {:.0}°, {off:.0}° off square; if it should be nearly square, measure the \
             sides and the diagonal again.",
            CORNERS[worst],
            angle(worst)
        )
    })
}

/// The triangle with these three sides: bottom left, bottom right, top.
///
/// # Errors
/// [`BlockError::CannotReach`] with the three lengths, if two of them are too short.
pub fn triangle(bottom: f64, right: f64, left: f64) -> Result<[Point; 3], BlockError> {
    reach((Measure::Bottom, bottom), (Measure::Right, right), (Measure::Left, left))?;
    let b = Point::new(bottom, 0.0);
    Ok([Point::ZERO, b, apex(Point::ZERO, b, left, right)])
}

/// The convex block with these four sides (bottom, right, top, left) and this diagonal from bottom left to top right.
///
/// # Errors
/// [`BlockError::CannotReach`] with the lengths that clash, [`BlockError::NotConvex`] if a corner points inwards.
pub fn leaning(sides: [f64; 4], diagonal: f64) -> Result<[Point; 4], BlockError> {
    let [bottom, right, top, left] = sides;
    let across = (Measure::Diagonal, diagonal);
    reach((Measure::Bottom, bottom), (Measure::Right, right), across)?;
    reach((Measure::Top, top), (Measure::Left, left), across)?;
    let (a, b) = (Point::ZERO, Point::new(bottom, 0.0));
    let c = apex(a, b, diagonal, right);
    let d = apex(a, c, left, top);
    convex([a, b, c, d], diagonal)
}

/// The convex block that agrees best with four sides and both diagonals.
///
/// # Errors
/// As [`leaning`], and [`BlockError::Misfit`] if a correction is beyond [`MISREAD_MM`] and [`MISREAD_SHARE`].
pub fn spread(sides: [f64; 4], diagonal: f64, other: f64) -> Result<Spread, BlockError> {
    let [bottom, right, top, left] = sides;
    let across = (Measure::OtherDiagonal, other);
    reach((Measure::Bottom, bottom), (Measure::Left, left), across)?;
    reach((Measure::Right, right), (Measure::Top, top), across)?;
    let measured = [bottom, right, top, left, diagonal, other];
    let corners = convex(least_squares(leaning(sides, diagonal)?, &measured), diagonal)?;
    let fitted = PAIRS.map(|(i, j)| corners[i].distance(corners[j]));
    let spread = Spread { corners, measured, fitted };
    let (worst, correction) = spread.largest();
    let longest = measured.iter().copied().fold(0.0, f64::max);
    if correction > MISREAD_MM.max(MISREAD_SHARE * longest) {
        return Err(BlockError::Misfit {
            measure: Measure::ALL[worst],
            measured_mm: measured[worst],
            fitted_mm: fitted[worst],
        });
    }
    Ok(spread)
}

/// The corners in their order.
const CORNERS: [&str; 4] = ["bottom left", "bottom right", "top right", "top left"];

/// The corners at the ends of each measure, in the order of [`Measure::ALL`].
const PAIRS: [(usize, usize); 6] = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)];

/// Refuses three lengths of which one is as long as the other two together, or longer.
fn reach(a: (Measure, f64), b: (Measure, f64), c: (Measure, f64)) -> Result<(), BlockError> {
    for (short, other, long) in [(a, b, c), (a, c, b), (b, c, a)] {
        if long.1 >= short.1 + other.1 {
            return Err(BlockError::CannotReach { short, other, long });
        }
    }
    Ok(())
}

/// The point left of the way from `a` to `b` that is `from_a` from `a` and `from_b` from `b`.
fn apex(a: Point, b: Point, from_a: f64, from_b: f64) -> Point {
    let base = (b - a).hypot();
    let along = (base * base + from_a * from_a - from_b * from_b) / (2.0 * base);
    let up = (from_a * from_a - along * along).max(0.0).sqrt();
    let way = unit(b - a);
    a + way * along + left_of(way) * up
}

/// Hands back the corners if each of them turns left.
fn convex(corners: [Point; 4], diagonal_mm: f64) -> Result<[Point; 4], BlockError> {
    for (i, corner) in CORNERS.into_iter().enumerate() {
        let (before, at, after) = (corners[(i + 3) % 4], corners[i], corners[(i + 1) % 4]);
        if (at - before).cross(after - at) <= 0.0 {
            return Err(BlockError::NotConvex { corner, diagonal_mm });
        }
    }
    Ok(corners)
}

/// The corners, near `start`, whose six distances have the least squared error against `measured`.
fn least_squares(start: [Point; 4], measured: &[f64; 6]) -> [Point; 4] {
    const MOST_STEPS: usize = 200;
    const SETTLED: f64 = 1e-13;
    const DAMPING: std::ops::RangeInclusive<f64> = 1e-12..=1e12;
    let error = |c: &[Point; 4]| -> f64 { residuals(c, measured).iter().map(|r| r * r).sum() };
    let mut corners = start;
    let mut damping = 1e-3;
    for _ in 0..MOST_STEPS {
        let step = damped_step(&corners, measured, damping);
        let next = stepped(&corners, &step);
        let moved = step.iter().fold(0.0, |m: f64, s| m.max(s.abs()));
        let better = error(&next) <= error(&corners);
        if better {
            corners = next;
        }
        damping =
            (if better { damping / 10.0 } else { damping * 10.0 }).clamp(*DAMPING.start(), *DAMPING.end());
        if moved < SETTLED * measured[4] {
            break;
        }
    }
    corners
}

fn residuals(corners: &[Point; 4], measured: &[f64; 6]) -> [f64; 6] {
    std::array::from_fn(|k| corners[PAIRS[k].0].distance(corners[PAIRS[k].1]) - measured[k])
}

/// Moves the corners by the five free coordinates: x of bottom right, x and y of top right, x and y of top left.
fn stepped(corners: &[Point; 4], step: &[f64; 5]) -> [Point; 4] {
    let [a, b, c, d] = *corners;
    [a, b + Vec2::new(step[0], 0.0), c + Vec2::new(step[1], step[2]), d + Vec2::new(step[3], step[4])]
}

/// Solves (JᵀJ + λ diag JᵀJ) step = −Jᵀr for the five free coordinates.
fn damped_step(corners: &[Point; 4], measured: &[f64; 6], damping: f64) -> [f64; 5] {
    let r = residuals(corners, measured);
    let rows: [[f64; 5]; 6] = std::array::from_fn(|k| slopes(corners, PAIRS[k]));
    let mut system = [[0.0; 6]; 5];
    for i in 0..5 {
        for j in 0..5 {
            system[i][j] = rows.iter().map(|row| row[i] * row[j]).sum();
        }
        system[i][i] *= 1.0 + damping;
        system[i][5] = -rows.iter().zip(&r).map(|(row, r)| row[i] * r).sum::<f64>();
    }
    solve(system)
}

/// How the distance between corners `i` and `j` changes with each free coordinate.
fn slopes(corners: &[Point; 4], (i, j): (usize, usize)) -> [f64; 5] {
    let way = unit(corners[j] - corners[i]);
    let mut row = [0.0; 5];
    for (corner, sign) in [(i, -1.0), (j, 1.0)] {
        match corner {
            1 => row[0] += sign * way.x,
            2 => (row[1], row[2]) = (row[1] + sign * way.x, row[2] + sign * way.y),
            3 => (row[3], row[4]) = (row[3] + sign * way.x, row[4] + sign * way.y),
            _ => {}
        }
    }
    row
}

/// Gaussian elimination with row pivoting; a row without a pivot gives 0.
fn solve(mut m: [[f64; 6]; 5]) -> [f64; 5] {
    for col in 0..5 {
        let pivot = (col..5).fold(col, |best, r| if m[r][col].abs() > m[best][col].abs() { r } else { best });
        m.swap(col, pivot);
        if m[col][col] == 0.0 {
            continue;
        }
        let top = m[col];
        for row in &mut m[col + 1..] {
            let factor = row[col] / top[col];
            for (value, above) in row.iter_mut().zip(top) {
                *value -= factor * above;
            }
        }
    }
    let mut x = [0.0; 5];
    for row in (0..5).rev() {
        let known: f64 = (row + 1..5).map(|k| m[row][k] * x[k]).sum();
        x[row] = if m[row][row] == 0.0 { 0.0 } else { (m[row][5] - known) / m[row][row] };
    }
    x
}
