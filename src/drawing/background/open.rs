//! Open places: lines in a block → the parts of the block that they leave open.
//!
//! The lines are given a hair's breadth and taken away from the inner outline; what is left falls into places. A place at
//! the block's edge is open; one that the lines close in is open if it is clearly wider than the drawing's own parts: the
//! middle of a wreath is open, its plumes are not. Wide is the largest circle that fits.

use geo::algorithm::buffer::{BufferStyle, LineCap, LineJoin};
use geo::{BooleanOps, Buffer, MultiLineString, MultiPolygon, Simplify};
use kurbo::BezPath;

use crate::base::curve::flatten;
use crate::base::tolerance::FLATTEN_MM;
use crate::block::deepest::deepest;
use crate::block::inset::pieces;
use crate::block::region::{Region, Ring};
use crate::block::{Block, chains};
use crate::drawing::constructions::echo::rings::{inside, round};

/// Half the breadth that lines are given, mm: wider than what the network joins, thinner than thread.
const HAIR_MM: f64 = 0.03;

/// A place closed in is open if it is at least this many times as wide as the middle one of its kind: petals and plumes of one
/// design come up to one and a half times as wide as each other.
pub const WIDER: f64 = 1.6;

/// The same for repeated cells, whose parts of a kind are equally wide: the squares between orange peels come to 1.4.
pub const WIDER_IN_CELLS: f64 = 1.35;

/// The same for plumes along an open spine, which leave nothing open between them: the one in the middle of a half wreath
/// comes to twice.
pub const WIDER_IN_PLUMES: f64 = 3.0;

/// No place narrower than this is open, mm: nothing could be drawn there that would be seen.
const LEAST_MM: f64 = 5.0;

/// A part of a block that a drawing leaves open.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// The place, short of the drawing's lines by a hair.
    pub region: Region,
    /// True if the drawing's lines go all round it.
    pub closed_in: bool,
    /// The diameter of the largest circle in it, mm.
    pub width: f64,
}

/// The open places of a block with `lines` in it, the largest of each region first; `wider` is [`WIDER`],
/// [`WIDER_IN_CELLS`] or [`WIDER_IN_PLUMES`].
#[must_use]
pub fn places(lines: &[BezPath], block: &Block, wider: f64) -> Vec<Place> {
    let strands = strands(lines);
    let hair = BufferStyle::new(HAIR_MM).line_join(LineJoin::Bevel).line_cap(LineCap::Square);
    let thick = strands.buffer_with_style(hair);
    let mut all = Vec::new();
    for region in &block.inside {
        for place in regions(inside(region, 0.0).difference(&thick)) {
            let at_edge = |ring: &Ring| ring.points().iter().any(|p| region.depth(*p) < HAIR_MM / 2.0);
            let closed_in = !place.rings().any(at_edge);
            all.push(Place { width: 2.0 * deepest(&place).1, region: place, closed_in });
        }
    }
    let mut widths: Vec<f64> = all.iter().filter(|p| p.closed_in).map(|p| p.width).collect();
    widths.sort_by(f64::total_cmp);
    let middle = widths.get(widths.len() / 2).copied().unwrap_or(0.0);
    let least = |place: &Place| LEAST_MM.max(if place.closed_in { wider * middle } else { 0.0 });
    all.retain(|place| place.width >= least(place));
    all
}

impl Place {
    /// What is left of the place out of the `grown` lines, without parts narrower than `narrow` mm, the largest part first.
    /// It still reaches to the block's edge.
    #[must_use]
    pub fn clear_of(&self, grown: &MultiPolygon, narrow: f64) -> Vec<Region> {
        let left = inside(&self.region, 0.0).difference(grown);
        let wide = left.buffer_with_style(round(-narrow / 2.0)).buffer_with_style(round(narrow / 2.0));
        // Growing back may overshoot by the last digits; grown rounds have more points than anything drawn along them needs.
        regions(wide.intersection(&left).simplify(FLATTEN_MM))
    }

    /// The parts of the place out of `near`, whatever their width; they reach to the block's edge.
    #[must_use]
    pub fn out_of(&self, near: &MultiPolygon) -> Vec<Region> {
        regions(inside(&self.region, 0.0).difference(near).simplify(FLATTEN_MM))
    }
}

/// All that lies within `by` mm of `lines`, and all notches of it that no circle of radius `notch` mm enters.
#[must_use]
pub fn grown_round(lines: &[BezPath], by: f64, notch: f64) -> MultiPolygon {
    strands(lines).buffer_with_style(round(by + notch)).buffer_with_style(round(-notch))
}

/// All that lies within `by` mm of `lines`.
#[must_use]
pub fn grown(lines: &[BezPath], by: f64) -> MultiPolygon {
    strands(lines).buffer_with_style(round(by))
}

fn strands(lines: &[BezPath]) -> MultiLineString {
    let flat = lines.iter().flat_map(|line| flatten(line, FLATTEN_MM));
    flat.map(|f| chains::line(&f.points)).collect()
}

fn regions(polygons: MultiPolygon) -> Vec<Region> {
    pieces(polygons, chains::ring_by_lines)
}
