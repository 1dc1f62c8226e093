//! Sizes, tape measurements, corners or a drawn outline → [`Block`]: the finished outline and the inner outline to quilt in.
//!
//! In: a [`Shape`] and a margin, mm. Out: a [`Block`] whose bounding box is centred on 0,0. Sizes are finished sizes;
//! no seam allowance is counted anywhere (the trade's cutting sizes stand in [`cutting`]).
//! Words are read and written in [`words`] and [`name`], drawings in [`drawn`].
//! Limits: a straight outline keeps exact corners inside the margin; a curved one is followed within
//! [`tolerance::FLATTEN_MM`](crate::base::tolerance::FLATTEN_MM).

pub mod chains;
pub mod corners;
pub mod cutting;
pub mod deepest;
pub mod drawn;
mod holes;
pub mod inset;
pub mod lie;
pub mod name;
mod plan;
pub mod pose;
pub mod region;
pub mod shape;
pub mod side;
pub mod suit;
pub mod svg_bounds;
pub mod tape;
pub mod words;

use kurbo::{Point, Size};

use crate::base::units::{LONGEST_MM, LengthError, Units, show_at_most, show_length};
use lie::Lie;
use region::Region;
use shape::Shape;
use side::Side;
use tape::Measure;

/// The least finished side of a block, mm: below it no line of stitches fits between two margins.
pub const LEAST_MM: f64 = 10.0;

/// The most corners of an outline, or segments of a drawn one: rings inside it are worked out from every pair of sides.
pub const MOST_CORNERS: usize = 2000;

/// A block as it is to be quilted: its finished outline and the inner outline that the design has to stay in.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// What was asked for.
    pub shape: Shape,
    /// The finished outline, with its holes to keep clear; the bounding box is centred on 0,0.
    pub outline: Region,
    /// What is left inside the margin: one region, or several where the inset falls apart, the largest first. Never empty.
    pub inside: Vec<Region>,
    /// Kept clear inside the outline and round holes, mm.
    pub margin_mm: f64,
    /// Sides across which lines run on into the next piece; no line is drawn along them.
    pub open: Vec<Side>,
    /// How it lies on the ground of its quilt; `None` for a block by itself.
    pub lie: Option<Lie>,
    /// The largest box that one line of an all-over motif may have, so that a hooping takes it, mm; `None` for any.
    pub within: Option<Size>,
    /// What she should know: a tape's misfit, an inset that fell apart. Whole sentences.
    pub notes: Vec<String>,
}

/// The outline of `shape`, centred on 0,0, and what is left of it inside a margin of `margin_mm`.
///
/// A margin of 0 leaves the whole outline.
///
/// # Errors
/// [`BlockError::Margin`] for a margin that is negative, absurd or not a number; [`BlockError::Vanishes`] where it
/// leaves nothing; the other variants where the shape itself cannot be.
pub fn outline(shape: &Shape, margin_mm: f64) -> Result<Block, BlockError> {
    if !(0.0..=LONGEST_MM).contains(&margin_mm) {
        return Err(BlockError::Margin { margin_mm });
    }
    let mut notes = Vec::new();
    let outline = plan::region(shape, &mut notes)?;
    let inside = match shape {
        Shape::Circle { diameter } => plan::round(diameter / 2.0 - margin_mm),
        _ => inset::inset(&outline, margin_mm),
    };
    if inside.is_empty() {
        let largest_mm = inset::largest_margin(&outline, margin_mm);
        return Err(BlockError::Vanishes { margin_mm, largest_mm });
    }
    if inside.len() > 1 {
        notes.push(format!(
            "A margin of {} parts the block into {} pieces.",
            show_length(margin_mm, Units::Inches),
            inside.len()
        ));
    }
    let open = if matches!(shape, Shape::Corner { .. }) { vec![Side::Left, Side::Top] } else { Vec::new() };
    Ok(Block { shape: shape.clone(), outline, inside, margin_mm, open, lie: None, within: None, notes })
}

impl Block {
    /// The block turned a quarter to the left about its centre: its right side is at the top.
    ///
    /// Its shape, margin and notes stay as they are: they tell of the block, however it lies.
    #[must_use]
    pub fn turned_left(&self) -> Self {
        Self {
            outline: self.outline.turned_left(),
            inside: self.inside.iter().map(Region::turned_left).collect(),
            open: self.open.iter().map(|side| side.turned_left()).collect(),
            within: self.within.map(turned),
            ..self.clone()
        }
    }
}

/// A size as it is after a quarter turn.
fn turned(size: Size) -> Size {
    Size::new(size.height, size.width)
}

/// What is left of a region `by_mm` mm further in, the largest piece first; empty if nothing is.
#[must_use]
pub fn further_in(region: &Region, by_mm: f64) -> Vec<Region> {
    inset::inset(region, by_mm)
}

/// Why there is no such block.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BlockError {
    /// A size outside [`LEAST_MM`] to [`LONGEST_MM`], or not a number.
    #[error(
        "a {what} of {} cannot be quilted; give {} to {} m",
        show_length(*mm, Units::Inches), show_length(LEAST_MM, Units::Inches), LONGEST_MM / 1000.0
    )]
    Size {
        /** What was measured. */
        what: &'static str,
        /** Its size, mm. */
        mm: f64,
    },
    /// An angle that makes no diamond.
    #[error(
        "a diamond of {angle_deg}° is too flat to quilt; give {} to {} degrees",
        plan::DIAMOND_DEG.start(), plan::DIAMOND_DEG.end()
    )]
    Angle {
        /** What was asked for, degrees. */
        angle_deg: f64,
    },
    /// A margin that is no margin.
    #[error("a margin of {margin_mm} mm cannot be kept; give 0 mm or a little more, such as 1/4in")]
    Margin {
        /** What was asked for, mm. */
        margin_mm: f64,
    },
    /// The margin leaves nothing to quilt.
    #[error(
        "a margin of {} leaves nothing of the block; the largest that leaves something is {}",
        show_length(*margin_mm, Units::Inches), show_at_most(*largest_mm, Units::Inches)
    )]
    Vanishes {
        /** What was asked for, mm. */
        margin_mm: f64,
        /** The largest margin that leaves something, mm, rounded down to a tenth. */
        largest_mm: f64,
    },
    /// Neither three nor four sides.
    #[error("{count} sides were measured; give three, or four and a diagonal")]
    SideCount {
        /** How many there are. */
        count: usize,
    },
    /// Four sides alone do not fix a block.
    #[error(
        "four sides can still lean; measure from bottom left to top right as well, and add that as `diagonal`"
    )]
    NoDiagonal,
    /// A triangle has no diagonal.
    #[error("a triangle has no diagonal; leave it out, or give four sides")]
    TriangleDiagonal,
    /// Three measures that cannot form a triangle.
    #[error(
        "the {} of {} and the {} of {} cannot reach across the {} of {}; measure these three again",
        short.0, show_length(short.1, Units::Inches), other.0, show_length(other.1, Units::Inches),
        long.0, show_length(long.1, Units::Inches)
    )]
    CannotReach {
        /** A measure, mm. */
        short: (Measure, f64),
        /** Another measure, mm. */
        other: (Measure, f64),
        /** The one that is too long for both, mm. */
        long: (Measure, f64),
    },
    /// The measures put one corner of four inside the other three.
    #[error(
        "with a diagonal of {} the {corner} corner points inwards; measure the diagonal from bottom left to top right again, or give the corners of a block that is meant so",
        show_length(*diagonal_mm, Units::Inches)
    )]
    NotConvex {
        /** Which corner. */
        corner: &'static str,
        /** The measured diagonal, mm. */
        diagonal_mm: f64,
    },
    /// The measures disagree by more than a tape errs.
    #[error(
        "the sides and diagonals disagree: the {measure} of {} would have to be {}; one of the six is misread, measure again",
        show_length(*measured_mm, Units::Inches), show_length(*fitted_mm, Units::Inches)
    )]
    Misfit {
        /** The measure with the largest correction. */
        measure: Measure,
        /** What was measured, mm. */
        measured_mm: f64,
        /** What it would have to be, mm. */
        fitted_mm: f64,
    },
    /// Too few corners for an outline.
    #[error("{count} corners make no block; give three or more, in order")]
    FewCorners {
        /** How many there are. */
        count: usize,
    },
    /// A corner is not a pair of numbers.
    #[error("corner {number} is not a point; give its distance across and up")]
    NoPoint {
        /** Which corner, from 1. */
        number: usize,
    },
    /// A corner given twice.
    #[error("corner {number} is given twice; leave one of them out")]
    RepeatedCorner {
        /** The later of the two, from 1. */
        number: usize,
    },
    /// An outline that crosses or touches itself.
    #[error("side {first} crosses or touches side {second} near {}, {}; give the corners in order round the block",
        show_length(at.x, Units::Inches), show_length(at.y, Units::Inches))]
    Crossing {
        /** A side, from 1: the one from corner 1 to corner 2. */
        first: usize,
        /** The side it meets, from 1. */
        second: usize,
        /** Where, in the coordinates given, mm. */
        at: Point,
    },
    /// All corners in one line.
    #[error("the outline encloses nothing; its corners lie in one line")]
    NoArea,
    /// Text that is no drawing.
    #[error("the drawing cannot be read: {reason}; save it again as plain SVG")]
    Drawing {
        /** What the reader says. */
        reason: String,
    },
    /// A drawing without an outline.
    #[error(
        "the drawing has no closed path; close the outline, and give it a line or a fill so that it can be seen"
    )]
    NoClosedPath,
    /// A drawn outline that crosses itself.
    #[error("the drawn outline crosses itself near {}, {}; draw it as a single loop",
        show_length(at.x, Units::Inches), show_length(at.y, Units::Inches))]
    DrawnCrossing {
        /** Where, from the bottom left of the page, mm. */
        at: Point,
    },
    /// Holes that leave no block, or part it.
    #[error(
        "the shapes to keep clear leave {pieces} pieces of the block; draw the outline of each block by itself"
    )]
    Parted {
        /** How many are left. */
        pieces: usize,
    },
    /// A key that is no shape.
    #[error("`{key}` is no shape; the shapes are {}", words::KEYS.join(", "))]
    UnknownShape {
        /** What was typed. */
        key: String,
    },
    /// A word that names no kind of block.
    #[error("`{word}` is no kind of block; the kinds are {}", suit::Suit::ALL.map(suit::Suit::word).join(", "))]
    UnknownSuit {
        /** What was typed. */
        word: String,
    },
    /// An outline of more corners than can be followed.
    #[error("the outline has {count} corners; draw it with at most {MOST_CORNERS}, or with curves")]
    TooManyCorners {
        /** How many it has. */
        count: usize,
    },
    /// A comma where a decimal point is meant.
    #[error("`{value}` has a comma, which separates two figures; write decimals with a point, such as 8.5in")]
    DecimalComma {
        /** What was typed. */
        value: String,
    },
    /// Too many or too few figures for a shape.
    #[error("`{value}` does not suit {key}; write it like `{example}`")]
    Figures {
        /** The shape's key. */
        key: &'static str,
        /** What was typed. */
        value: String,
        /** How it should look. */
        example: &'static str,
    },
    /// A length that cannot be read.
    #[error(transparent)]
    Length(#[from] LengthError),
}

#[cfg(test)]
mod tests {
    use super::*;

    fn made(key: &str, value: &str, margin_mm: f64) -> Result<Block, BlockError> {
        outline(&Shape::from_words(key, value)?, margin_mm)
    }

    #[test]
    fn no_margin_leaves_the_whole_outline() {
        let block = made("octagon", "8in", 0.0).unwrap();
        assert_eq!(block.inside, vec![block.outline.clone()]);
        assert!(block.notes.is_empty());
    }

    #[test]
    fn a_margin_that_is_none_is_refused() {
        for margin_mm in [-1.0, f64::NAN, f64::INFINITY] {
            assert!(
                matches!(made("square", "8in", margin_mm), Err(BlockError::Margin { .. })),
                "{margin_mm}"
            );
        }
    }

    #[test]
    fn a_margin_that_leaves_nothing_is_refused_with_the_largest_that_does() {
        let words = made("square", "2in", 30.0).unwrap_err().to_string();
        assert_eq!(
            words,
            "a margin of 1 3/16 in (30 mm) leaves nothing of the block; the largest that leaves something is 15/16 in (23.8 mm)"
        );
        assert!(made("square", "2in", 24.8).is_ok());
    }

    #[test]
    fn a_circle_inside_a_circle_has_no_corner_and_the_right_radius() {
        let block = made("circle", "7in", 6.35).unwrap();
        let inside = &block.inside[0].outer;
        assert!(inside.corners().is_empty());
        let worst = inside.points().iter().map(|p| (p.to_vec2().hypot() - 82.55).abs()).fold(0.0, f64::max);
        assert!(worst < 0.002, "{worst}");
    }
}
