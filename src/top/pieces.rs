//! Lines of a border → what of them lies in a piece of it, and in how many parts that hangs together.

use kurbo::{Affine, BezPath, Line, PathSeg, Point, Rect, Shape as _};

use super::repeats;
use crate::block::region::Region;
use crate::drawing::constructions::clip::{cut, groups};

/// Lines, each with the box round it.
pub type Boxed<'l> = [(&'l BezPath, Rect)];

/// Lines with the boxes round them, which take longer to find than to look at.
#[must_use]
pub fn boxed(lines: &[BezPath]) -> Vec<(&BezPath, Rect)> {
    lines.iter().map(|line| (line, line.bounding_box())).collect()
}

/// The lines between two places along a run, moved to the middle between them.
#[must_use]
pub fn piece_of(lines: &Boxed<'_>, (from, to): (f64, f64), width: f64) -> Vec<BezPath> {
    let edges = [from, to].map(|x| PathSeg::Line(Line::new((x, -width), (x, width))));
    let keep = |p: Point| p.x > from && p.x < to;
    let near = lines.iter().filter(|(_, b)| b.x1 > from && b.x0 < to);
    let near: Vec<BezPath> = near.map(|(line, _)| (*line).clone()).collect();
    let parts = cut(&near, edges.into_iter(), &keep, 0.0);
    repeats::moved(&parts, Affine::translate((-f64::midpoint(from, to), 0.0)))
}

/// The lines inside regions, every bit of them.
#[must_use]
pub fn inside_of(lines: &[BezPath], within: &[Region]) -> Vec<BezPath> {
    let edges = within.iter().flat_map(Region::rings).flat_map(|ring| ring.path().segments());
    cut(lines, edges, &|p| within.iter().any(|region| region.depth(p) > 0.0), 0.0)
}

/// In how many parts lines hang together.
#[must_use]
pub fn count_of(lines: &[BezPath]) -> usize {
    let mut groups = groups(lines);
    groups.sort_unstable();
    groups.dedup();
    groups.len()
}

/// In how many parts the lines hang together that are left of those within `width` of `x`, cut there.
#[must_use]
pub fn parts_before(lines: &Boxed<'_>, x: f64, width: f64) -> usize {
    let near = lines.iter().filter(|(_, b)| b.x1 > x - width && b.x0 < x);
    let near: Vec<(&BezPath, Rect)> = near.copied().collect();
    count_of(&piece_of(&near, (f64::NEG_INFINITY.max(-1e6), x), width))
}
