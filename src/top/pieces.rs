//! Lines of a border → what of them lies in a piece of it, and in how many parts that hangs together.

use kurbo::{Affine, BezPath, Line, PathSeg, Point, Shape as _};

use super::repeats;
use crate::block::region::Region;
use crate::drawing::constructions::clip::{cut, groups};

/// The lines between two places along a run, moved to the middle between them.
#[must_use]
pub fn piece_of(lines: &[BezPath], (from, to): (f64, f64), width: f64) -> Vec<BezPath> {
    let edges = [from, to].map(|x| PathSeg::Line(Line::new((x, -width), (x, width))));
    let keep = |p: Point| p.x > from && p.x < to;
    let near: Vec<BezPath> = lines
        .iter()
        .filter(|l| {
            let b = l.bounding_box();
            b.x1 > from && b.x0 < to
        })
        .cloned()
        .collect();
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
pub fn parts_before(lines: &[BezPath], x: f64, width: f64) -> usize {
    let near = |l: &&BezPath| {
        let b = l.bounding_box();
        b.x1 > x - width && b.x0 < x
    };
    let near: Vec<BezPath> = lines.iter().filter(near).cloned().collect();
    count_of(&piece_of(&near, (f64::NEG_INFINITY.max(-1e6), x), width))
}
