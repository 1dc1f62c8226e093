//! The line along the edge of a block: its inner outline, but for the sides across which lines run on.

use kurbo::{BezPath, ParamCurve, PathSeg};

use crate::base::tolerance::{JOIN_MM, TOUCH_MM};
use crate::block::Block;
use crate::block::region::Region;
use crate::block::side::Side;

/// The outlines of `region`, one of the block's; where the block is open, the lines that are left of its outer one.
#[must_use]
pub fn frame(block: &Block, region: &Region) -> Vec<BezPath> {
    if block.open.is_empty() {
        return region.rings().map(|ring| ring.path().clone()).collect();
    }
    let bounds = region.bounds();
    let is_open = |s: &PathSeg| {
        let on = |side: &Side| [s.start(), s.end()].iter().all(|p| side.beyond(*p, bounds).abs() < JOIN_MM);
        block.open.iter().any(on)
    };
    let mut sides: Vec<PathSeg> = region.outer.path().segments().collect();
    // From the first side after an open one, so that none is left in two.
    let first = sides.iter().position(is_open).map_or(0, |i| (i + 1) % sides.len());
    sides.rotate_left(first);
    let lines = sides.split(is_open).filter(|run| !run.is_empty());
    let holes = region.holes.iter().map(|hole| hole.path().clone());
    lines.map(|run| BezPath::from_path_segments(run.iter().copied())).chain(holes).collect()
}

/// True if a line lies on the outline of `region` all along.
#[must_use]
pub fn runs_along(line: &BezPath, region: &Region) -> bool {
    line.segments().all(|s| [0.0, 0.5, 1.0].into_iter().all(|t| region.depth(s.eval(t)) < TOUCH_MM))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::outline;
    use crate::block::shape::Shape;

    fn framed(open: &[Side]) -> Vec<String> {
        let strip = Shape::Rectangle { width: 120.0, height: 60.0 };
        let block = Block { open: open.to_vec(), ..outline(&strip, 10.0).unwrap() };
        frame(&block, &block.inside[0]).iter().map(BezPath::to_svg).collect()
    }

    #[test]
    fn open_sides_are_left_out() {
        assert_eq!(framed(&[]).len(), 1);
        assert_eq!(framed(&[Side::Left, Side::Right]), ["M50,20 L-50,20", "M-50,-20 L50,-20"]);
        assert_eq!(framed(&[Side::Left, Side::Top]), ["M-50,-20 L50,-20 L50,20"]);
        assert_eq!(framed(&[Side::Bottom]), ["M50,-20 L50,20 L-50,20 L-50,-20"]);
    }
}
