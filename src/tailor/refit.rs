//! A design from elsewhere → its lines, as a motif that the program sews anew in any block.
//!
//! Only running lines have lines to find. All passes are merged; what is sewn once along the design's edge while the rest is
//! triple is travel in the ditch, and is left out.

use kurbo::{BezPath, Point, Rect, Shape as _};

use crate::base::chain::{self, hull};
use crate::base::units::{Units, show_length};
use crate::block::shape::Shape;
use crate::block::{self, Block, BlockError, LEAST_MM};
use crate::drawing::motif::Motif;
use crate::drawing::settings::Settings;
use crate::stitches::Stitches;
use crate::stitches::unpick::seam::Passes;
use crate::stitches::unpick::unpick;
use crate::survey::kind::areas::{Area, Cover};
use crate::survey::kind::{self, Kind, Sewn};
use crate::survey::needle::Run;
use crate::survey::{SurveyError, needle, steps};
use crate::tailor::{Design, Order};

/// Travel lies this near to the edge of the design, mm: what is left of it inside a margin of nothing, and rounding.
const ALONG_EDGE_MM: f64 = 0.5;
/// If so many times as many passes lie on each other as share their holes, they have holes of their own.
const OWN_HOLES: f64 = 1.4;
/// The least and the largest part of its size that a design is sewn at.
pub const SCALES: std::ops::RangeInclusive<f64> = 0.1..=10.0;

/// The lines of a design.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Lines {
    /// The lines as curves, mm from the design's own origin.
    pub paths: Vec<BezPath>,
    /// What she should know about them; whole sentences.
    pub notes: Vec<String>,
}

/// Why a design has no lines to sew anew.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RefitError {
    /// Satin or fill.
    #[error(
        "the design has {what} ({told_by}), which has no line to refit; take a design drawn in running stitches, or leave these parts out of it"
    )]
    NotRunning {
        /** Satin or fill. */
        what: &'static str,
        /** How that was recognised. */
        told_by: String,
    },
    /// Nothing is sewn.
    #[error("there is no line in the design; check that it is the right file")]
    NoLines,
    /// A scale that is no scale.
    #[error("a scale of {percent} % is out of range; give {:.0}% to {:.0}%", SCALES.start() * 100.0, SCALES.end() * 100.0)]
    Scale {
        /** What was asked for. */
        percent: f64,
    },
    /// The block at that scale.
    #[error(transparent)]
    Block(#[from] BlockError),
    /// A needle point that is no number.
    #[error(transparent)]
    Survey(#[from] SurveyError),
}

/// The lines that a running design was sewn from.
///
/// # Errors
/// [`RefitError::NotRunning`] for satin and fill, [`RefitError::NoLines`] if nothing is sewn.
pub fn lines(stitches: &Stitches, units: Units) -> Result<Lines, RefitError> {
    let runs = needle::runs(stitches)?;
    let kind = kind::tell(&runs);
    if let Some(area) = kind.areas.iter().max_by_key(|area| area.stitches) {
        return Err(not_running(area, units));
    }
    let points: Vec<Point> = stitches.points().collect();
    let edge = hull(&points);
    let along_edge = |p: Point| chain::distance_to_ring(p, &edge) <= ALONG_EDGE_MM;
    let triple = kind.word() == Some(Sewn::Triple);
    let travel = |a: Point, b: Point, passes: usize| triple && passes == 1 && along_edge(a) && along_edge(b);
    let left_out = std::cell::Cell::new(0.0);
    let is_line = |a: Point, b: Point, passes: usize| {
        if travel(a, b, passes) {
            left_out.set(left_out.get() + a.distance(b));
        }
        !travel(a, b, passes)
    };
    let unpicked = unpick(stitches, passes(&runs, &kind), &is_line);
    let paths: Vec<BezPath> =
        unpicked.lines.iter().map(|line| line.path()).filter(|path| !path.is_empty()).collect();
    if paths.is_empty() {
        return Err(RefitError::NoLines);
    }
    let mut notes = Vec::new();
    if left_out.get() > 0.0 {
        let long = show_length(left_out.get(), units);
        notes.push(format!("{long} sewn once along the design's edge were taken for travel and left out."));
    }
    Ok(Lines { paths, notes })
}

/// Whether passes share their holes: if not, more of them lie on top of each other than go through the same holes.
#[expect(clippy::cast_precision_loss, reason = "counts of passes are small")]
fn passes(runs: &[Run], kind: &Kind) -> Passes {
    let lain = kind.passes.iter().map(|(passes, part)| *passes as f64 * part).sum::<f64>();
    let shared = steps::passes_of(runs);
    let mean = shared.values().sum::<usize>() as f64 / shared.len().max(1) as f64;
    if lain > OWN_HOLES * mean { Passes::OwnHoles } else { Passes::SharedHoles }
}

fn not_running(area: &Area, units: Units) -> RefitError {
    let what = match area.cover {
        Cover::Satin => "satin",
        Cover::Fill => "fill",
    };
    RefitError::NotRunning { what, told_by: area.how(units) }
}

/// A block of the lines' own size times `scale`, without a margin.
///
/// # Errors
/// [`RefitError::Scale`] outside [`SCALES`]; [`RefitError::Block`] for a design too small or too large to be a block.
pub fn own_box(lines: &Lines, scale: f64) -> Result<Block, RefitError> {
    if !SCALES.contains(&scale) {
        return Err(RefitError::Scale { percent: (scale * 1000.0).round() / 10.0 });
    }
    let bounds = lines.paths.iter().map(|path| path.bounding_box()).reduce(|a: Rect, b| a.union(b));
    let size = bounds.ok_or(RefitError::NoLines)?.size() * scale;
    let longer = size.width.max(size.height);
    // A line without height gets room about it; the longer side says how large it is sewn.
    let [width, height] =
        [size.width, size.height].map(|side| if side == longer { side } else { side.max(LEAST_MM) });
    let mut block = block::outline(&Shape::Rectangle { width, height }, 0.0)?;
    block.notes.push("No block was given: its edge here is the design's own box.".into());
    Ok(block)
}

/// An order for the lines in a block: only what is drawn is sewn, nothing along the edge is added.
#[must_use]
pub fn order(name: &str, title: &str, lines: &Lines, block: Block) -> Order {
    let motif = Motif::of_design(title, lines.paths.clone());
    let design = Design::Motif(Box::new(motif), Settings::default());
    Order {
        travel: false,
        notes: lines.notes.iter().map(|note| note.as_str().into()).collect(),
        ..Order::new(name, block, design)
    }
}
