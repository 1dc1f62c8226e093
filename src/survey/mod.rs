//! [`Stitches`] + [`Block`] → [`Survey`]: figures and findings.
//!
//! In: needle points and the block they were made for, mm, y up. Out: what a quilter asks before she spends thread: how
//! long the steps are and how often each was sewn, how wide the widest gap is, where thread piles up, whether it fits
//! her hoop, and what it takes in minutes, thread and bobbins.
//! Figures are measured on the needle points alone, never taken from what was meant.

pub mod batting;
pub mod cautions;
pub mod check;
pub mod crooked;
pub mod estimate;
pub mod gap;
pub mod holes;
pub mod hoop;
pub mod kind;
pub mod lie;
pub mod lines;
pub mod loft;
pub mod nearest;
pub mod needle;
pub mod remedy;
pub mod report;
pub mod steps;
pub mod verdict;
pub mod warnings;

use kurbo::{Point, Rect};

use crate::base::chain;
use crate::base::tolerance::GRID_MM;
use crate::base::units::{MM_PER_INCH, Units};
use crate::block::Block;
use crate::block::region::Ring;
use crate::stitches::Stitches;
use estimate::{Estimate, Pace};
use gap::Gap;
use holes::Heaviest;
use hoop::{Fit, Hoop, Misfit};
use needle::Run;
use steps::Steps;

/// Gaps no wider than this, or than half of what the batting allows, are not told apart, mm: an eighth of an inch. No
/// batting asks for lines so close.
const NARROW_MM: f64 = MM_PER_INCH / 8.0;
/// The widest gap limit that is taken at its word, mm.
pub const GAP_LIMIT_MAX_MM: f64 = 24.0 * MM_PER_INCH;

/// What the stitches are held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sandwich {
    /// The widest gap that the batting allows, mm; see [`batting::find`].
    pub gap_limit_mm: f64,
    /// The hoop's sewing field, if there is one to keep to.
    pub hoop: Option<Hoop>,
    /// Speed, thickness and bobbin.
    pub pace: Pace,
}

/// Figures of a sewn block.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// Pieces that are sewn without a jump.
    pub pieces: usize,
    /// The machine file's origin, mm in block coordinates.
    pub centre: Point,
    /// Counts and lengths of steps.
    pub steps: Steps,
    /// The widest gap in the block; `None` if it encloses nothing.
    pub gap: Option<Gap>,
    /// The widest circle in a part that is kept clear; `None` without such a part.
    pub clear_gap: Option<Gap>,
    /// The widest gap that the batting allows, mm.
    pub gap_limit_mm: f64,
    /// How far the needle goes past the block's edge, mm, and where it does so furthest; `None` if it stays inside.
    pub past: Option<(f64, Point)>,
    /// The heaviest disc of needle holes.
    pub holes: Heaviest,
    /// How the stitches lie in the hoop's field.
    pub fit: Option<Fit>,
    /// Minutes, thread and bobbins.
    pub estimate: Estimate,
}

impl Default for Sandwich {
    fn default() -> Self {
        Sandwich { gap_limit_mm: batting::UNKNOWN.gap_mm, hoop: None, pace: Pace::default() }
    }
}

impl Survey {
    /// Moves between pieces: one less than there are pieces.
    #[must_use]
    pub fn jumps(&self) -> usize {
        self.pieces.saturating_sub(1)
    }

    /// True if it is sewn turned a quarter to the left against its block, because only so it fits the hoop.
    #[must_use]
    pub fn is_turned(&self) -> bool {
        self.fit.is_some_and(|fit| fit.fits && fit.turned)
    }

    /// True if no gap of the block is wider than the batting allows, but for one step of the machine: holes are
    /// rounded to it, and a line drawn exactly at the limit is no fault.
    #[must_use]
    pub fn is_held(&self) -> bool {
        self.gap.is_none_or(|g| g.widest_mm <= self.gap_limit_mm + GRID_MM)
    }
}

/// Surveys `stitches` sewn in `block`; without a block, the stitches' bounding box stands in for its outline.
///
/// A design that does not fit the hoop is surveyed all the same; [`admit`] refuses it.
///
/// # Errors
/// [`SurveyError::BadPoint`] for a needle point that is no number, [`SurveyError::NoStitches`] if nothing is sewn,
/// [`SurveyError::GapLimitOutOfRange`] and the errors of [`estimate::estimate`] for a sandwich that cannot be.
pub fn survey(
    stitches: &Stitches,
    block: Option<&Block>,
    sandwich: &Sandwich,
) -> Result<Survey, SurveyError> {
    let runs = needle::runs(stitches)?;
    let edges = block.map(|b| b.outline.rings().map(Ring::points).collect());
    measure(&runs, stitches.centre, edges, sandwich)
}

/// The most needle holes in any disc of 1 mm; 0 if nothing is sewn.
///
/// # Errors
/// [`SurveyError::BadPoint`] for a needle point that is no number.
pub fn most_holes(stitches: &Stitches) -> Result<usize, SurveyError> {
    Ok(holes::heaviest(&needle::runs(stitches)?).map_or(0, |h| h.holes))
}

/// Says how stitches are sewn in `hoop`, turned a quarter if only that fits, or refuses them; see [`hoop::admit`].
///
/// # Errors
/// [`SurveyError::TooLarge`] with what would help; [`SurveyError::BadPoint`] for a needle point that is no number.
pub fn admit(stitches: &Stitches, hoop: Hoop, units: Units) -> Result<Fit, SurveyError> {
    let points: Vec<Point> = needle::runs(stitches)?.iter().flat_map(|r| r.points).copied().collect();
    hoop::admit(hoop, chain::bounds(&points), units)
}

fn measure(
    runs: &[Run],
    centre: Point,
    edges: Option<Vec<&[Point]>>,
    sandwich: &Sandwich,
) -> Result<Survey, SurveyError> {
    let gap_limit_mm = sandwich.gap_limit_mm;
    if !(f64::MIN_POSITIVE..=GAP_LIMIT_MAX_MM).contains(&gap_limit_mm) {
        return Err(SurveyError::GapLimitOutOfRange { gap_limit_mm });
    }
    let passes_of = steps::passes_of(runs);
    let steps = steps::measure(runs, &passes_of)?;
    let past = edges.as_ref().and_then(|edges| past(edges.first()?, runs));
    let frame = corners(steps.bounds);
    let edges = edges.unwrap_or_else(|| vec![&frame]);
    let lines = lines::joined(passes_of.into_keys()).into_iter();
    let clear = edges.iter().skip(1).filter_map(|ring| gap::widest(&[ring], std::iter::empty()));
    let (gap, holes) = rayon::join(
        || gap::widest_over(NARROW_MM.min(gap_limit_mm / 2.0), &edges, lines),
        || holes::heaviest(runs),
    );
    Ok(Survey {
        pieces: runs.iter().filter(|r| !r.points.is_empty()).count(),
        centre,
        gap,
        clear_gap: clear.max_by(|a, b| a.widest_mm.total_cmp(&b.widest_mm)),
        gap_limit_mm,
        past,
        holes: holes.ok_or(SurveyError::NoStitches)?,
        fit: sandwich.hoop.map(|h| hoop::fit(h, steps.bounds)),
        estimate: estimate::estimate(runs, &sandwich.pace)?,
        steps,
    })
}

/// The needle point furthest past a block's edge, if one is past it by more than the machine's step.
fn past(edge: &[Point], runs: &[Run]) -> Option<(f64, Point)> {
    let outside = runs.iter().flat_map(|run| run.points).filter(|p| !chain::contains(edge, **p));
    let past = outside.map(|p| (chain::distance_to_ring(*p, edge), *p));
    past.max_by(|a, b| a.0.total_cmp(&b.0)).filter(|(mm, _)| *mm > GRID_MM)
}

fn corners(r: Rect) -> [Point; 4] {
    [(r.x0, r.y0), (r.x1, r.y0), (r.x1, r.y1), (r.x0, r.y1)].map(Point::from)
}

/// Why stitches cannot be surveyed, or what was asked about them cannot be answered.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SurveyError {
    /// A needle point that is no place on the cloth.
    #[error(
        "hole {point} of piece {piece} lies at {x}, {y} mm, which is no place on a quilt; make the design anew"
    )]
    BadPoint {
        /** Counted from 1. */
        piece: usize,
        /** Counted from 1. */
        point: usize,
        /** Across, mm. */
        x: f64,
        /** Up, mm. */
        y: f64,
    },
    /// No needle point leaves its hole.
    #[error("there is no stitch in the design; draw at least one line in it")]
    NoStitches,
    /// The gap limit is not one of any batting.
    #[error(
        "a gap limit of {gap_limit_mm} mm cannot be; batting labels give more than 0 and up to {} in",
        (GAP_LIMIT_MAX_MM / MM_PER_INCH).round()
    )]
    GapLimitOutOfRange {
        /** What was asked for, mm. */
        gap_limit_mm: f64,
    },
    /// No batting of that name.
    #[error(
        "no batting is called `{name}`, the nearest is `{nearest}`; name one of {}, or give the label's figure as the gap",
        batting::names()
    )]
    NoSuchBatting {
        /** What was asked for. */
        name: String,
        /** The nearest name. */
        nearest: &'static str,
    },
    /// Not a sewing field.
    #[error("`{text}` is not a sewing field; write across and up with a unit, like `200x300mm`")]
    HoopNotRead {
        /** What was typed. */
        text: String,
    },
    /// A field that no hoop has.
    #[error(
        "`{text}` is out of range for the side of a sewing field; sides go from {} to {} mm",
        hoop::FIELD_MIN_MM,
        hoop::FIELD_MAX_MM
    )]
    HoopOutOfRange {
        /** The side as typed. */
        text: String,
    },
    /// The design does not fit the hoop, neither as it lies nor turned a quarter.
    #[error("{0}")]
    TooLarge(Box<Misfit>),
    /// Not a length of thread.
    #[error("`{text}` is not the thread on a bobbin; write it like `100m` or `110yd`")]
    BobbinNotRead {
        /** What was typed. */
        text: String,
    },
    /// More or less thread than a bobbin holds.
    #[error(
        "{bobbin_m} m of thread on a bobbin cannot be; bobbins hold {} to {} m",
        estimate::BOBBIN_MIN_M,
        estimate::BOBBIN_MAX_M
    )]
    BobbinOutOfRange {
        /** What was asked for, m. */
        bobbin_m: f64,
    },
    /// A speed that no machine sews at.
    #[error(
        "a speed of {speed} stitches a minute cannot be; machines sew {} to {}",
        estimate::SPEED_MIN,
        estimate::SPEED_MAX
    )]
    SpeedOutOfRange {
        /** What was asked for. */
        speed: f64,
    },
    /// A sandwich that no needle goes through.
    #[error(
        "a thickness of {thickness_mm} mm cannot be sewn; sewn down, three layers are {} to {} mm thick",
        estimate::THICKNESS_MIN_MM,
        estimate::THICKNESS_MAX_MM
    )]
    ThicknessOutOfRange {
        /** What was asked for, mm. */
        thickness_mm: f64,
    },
}

impl SurveyError {
    /// What to do, in a line of its own, where it does not fit into the message.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            SurveyError::TooLarge(misfit) => Some(misfit.hint()),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sewn(points: &[(f64, f64)]) -> Stitches {
        needle::sewn_through(&[points.iter().map(|p| Point::from(*p)).collect()])
    }

    #[test]
    fn without_a_block_the_stitches_own_bounds_are_the_edge() {
        // Two sides and the diagonal of a 30 × 40 mm box: the largest circle is the incircle of either half.
        let got =
            survey(&sewn(&[(0.0, 40.0), (0.0, 0.0), (30.0, 0.0), (0.0, 40.0)]), None, &Sandwich::default());
        let gap = got.unwrap().gap.unwrap();
        assert!((gap.widest_mm - 20.0).abs() <= 0.01, "{gap:?}");
    }

    #[test]
    fn a_line_without_height_has_no_gap() {
        let got = survey(&sewn(&[(0.0, 0.0), (3.0, 0.0)]), None, &Sandwich::default()).unwrap();
        assert_eq!((got.gap, got.is_held(), got.jumps()), (None, true, 0));
    }

    #[test]
    fn nothing_sewn_is_refused() {
        for pieces in [vec![], vec![vec![]], vec![vec![Point::ZERO]]] {
            let got = survey(&needle::sewn_through(&pieces), None, &Sandwich::default());
            assert_eq!(got, Err(SurveyError::NoStitches));
        }
    }

    #[test]
    fn a_point_that_is_no_number_is_refused() {
        let got = survey(&sewn(&[(0.0, 0.0), (f64::NAN, 0.0)]), None, &Sandwich::default()).unwrap_err();
        assert_eq!(
            got.to_string(),
            "hole 2 of piece 1 lies at NaN, 0 mm, which is no place on a quilt; make the design anew"
        );
    }

    #[test]
    fn a_gap_limit_that_cannot_be_is_refused() {
        for gap_limit_mm in [f64::NAN, 0.0, -1.0, 1e4] {
            let sandwich = Sandwich { gap_limit_mm, ..Sandwich::default() };
            let got = survey(&sewn(&[(0.0, 0.0), (3.0, 0.0)]), None, &sandwich);
            assert!(matches!(got, Err(SurveyError::GapLimitOutOfRange { .. })), "{gap_limit_mm}");
        }
    }

    #[test]
    fn a_part_kept_clear_is_measured_on_its_own() {
        let outline = corners(Rect::new(-50.0, -50.0, 50.0, 50.0));
        let clear = corners(Rect::new(-20.0, -15.0, 20.0, 15.0));
        let points = [(-40.0, -40.0), (40.0, -40.0)].map(Point::from);
        let run = Run { points: &points, tie_in: 0, tie_off: 0 };
        let edges: Vec<&[Point]> = vec![&outline, &clear];
        let got = measure(&[run], Point::ZERO, Some(edges), &Sandwich::default()).unwrap();
        assert!((got.clear_gap.unwrap().widest_mm - 30.0).abs() <= 0.01);
        // Beside the clear part the block is 35 mm deep above it; a corner's circle reaches to the clear part's corner:
        // centre (50 − r, 50 − r) with r = hypot(30 − r, 35 − r), so r = 65 − √2100.
        let r = 65.0 - 2100.0_f64.sqrt();
        assert!((got.gap.unwrap().widest_mm - 2.0 * r).abs() <= 0.01, "{:?} {r}", got.gap);
    }

    #[test]
    fn a_needle_past_the_block_s_edge_is_measured() {
        let edge = corners(Rect::new(-50.0, -50.0, 50.0, 50.0));
        let measured = |points: &[(f64, f64)]| {
            let points: Vec<Point> = points.iter().map(|p| Point::from(*p)).collect();
            let run = Run { points: &points, tie_in: 0, tie_off: 0 };
            measure(&[run], Point::ZERO, Some(vec![&edge]), &Sandwich::default()).unwrap().past
        };
        assert_eq!(measured(&[(0.0, 0.0), (50.0, 0.0)]), None);
        assert_eq!(measured(&[(0.0, 0.0), (54.0, 0.0), (0.0, -57.5)]), Some((7.5, Point::new(0.0, -57.5))));
    }

    #[test]
    fn a_design_too_large_for_the_hoop_is_refused_with_a_hint() {
        let big = sewn(&[(-100.0, -100.0), (100.0, 100.0)]);
        let refused = admit(&big, "200x200mm".parse().unwrap(), Units::Millimetres).unwrap_err();
        assert_eq!(
            refused.to_string(),
            "the stitches are 200 mm (7 7/8 in) wide and 200 mm (7 7/8 in) high, but a field of 200 x 200 mm takes \
             198 x 198 mm with 1 mm kept free all round"
        );
        assert_eq!(
            refused.hint().unwrap(),
            "take a larger hoop: --hoop 230x230mm, or let `thrice quilt` split it over about 4 hoopings"
        );
        assert!(
            admit(&sewn(&[(-99.0, -99.0), (99.0, 99.0)]), "200x200mm".parse().unwrap(), Units::Inches)
                .is_ok()
        );
    }
}
