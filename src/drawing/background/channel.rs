//! The channel: a drawing's lines and the places that it leaves open → pockets an even distance away from it, and the lines
//! between channel and pockets.
//!
//! What runs on behind a drawing ends on an echo of it, not on the drawing itself: cut at every head of a plume it would
//! leave ticks and slivers there.

use kurbo::{BezPath, Line, ParamCurve, PathEl, PathSeg, Point};

use super::open::{Place, grown_round};
use crate::base::angle::unit;
use crate::base::chain::distance_to_chain;
use crate::base::curve::{flatten, path_through};
use crate::base::tolerance::{FLATTEN_MM, JOIN_MM};
use crate::block::Block;
use crate::block::deepest::deepest;
use crate::block::region::Region;

/// How round the echo goes past a notch of the drawing, in channels: a cusp would be a pile of stitches.
const NOTCH: f64 = 1.0;

/// A pocket less wide than this all over is left open, mm: a bit of a line or two would be seen there, not a background
/// (chosen by eye).
pub const POCKET_MM: f64 = 9.0;

/// A line that nowhere gets this far off an echo would look like a double line, mm.
const GRAZE_MM: f64 = 2.5;

/// How far beyond their ends walls cut, mm.
const BEYOND_MM: f64 = 0.3;

/// In how many places of each piece of a line its distance is looked at.
const PLACES: u32 = 8;

/// Pockets for a background, and the echoes that bound them.
pub struct Channel {
    /// The pockets; they reach to the block's edge.
    pub pockets: Vec<Region>,
    /// Their outlines, but for what lies on the block's edge.
    pub walls: Vec<BezPath>,
}

/// The channel of `away` mm round `lines` in the open places.
#[must_use]
pub fn around(lines: &[BezPath], open: &[Place], block: &Block, away: f64) -> Channel {
    let near = grown_round(lines, away, NOTCH * away);
    let is_wide = |pocket: &Region| 2.0 * deepest(pocket).1 >= POCKET_MM;
    let pockets: Vec<Region> = open.iter().flat_map(|place| place.out_of(&near)).filter(is_wide).collect();
    let walls = pockets.iter().flat_map(Region::rings).flat_map(|ring| inner(ring.points(), block)).collect();
    Channel { pockets, walls }
}

impl Channel {
    /// What lines are cut at: the walls, and on beyond the ends on the block's edge, so that a line along it is cut there.
    #[must_use]
    pub fn cuts(&self) -> Vec<PathSeg> {
        let mut cuts: Vec<PathSeg> = self.walls.iter().flat_map(BezPath::segments).collect();
        let closed = |wall: &BezPath| wall.elements().last() == Some(&PathEl::ClosePath);
        for wall in self.walls.iter().filter(|wall| !closed(wall)) {
            let ends = [wall.segments().next().map(|s| s.reverse()), wall.segments().last()];
            cuts.extend(ends.into_iter().flatten().map(|s| {
                let beyond = s.end() + unit(s.end() - s.start()) * BEYOND_MM;
                PathSeg::Line(Line::new(s.end(), beyond))
            }));
        }
        cuts
    }

    /// True if a line nowhere gets clearly off the walls.
    #[must_use]
    pub fn is_grazed_by(&self, line: &BezPath) -> bool {
        let places =
            line.segments().flat_map(|s| (0..=PLACES).map(move |k| s.eval(f64::from(k) / f64::from(PLACES))));
        let walls: Vec<Vec<Point>> =
            self.walls.iter().flat_map(|wall| flatten(wall, FLATTEN_MM)).map(|flat| flat.points).collect();
        let off =
            |p: Point| walls.iter().map(|wall| distance_to_chain(p, wall)).fold(f64::INFINITY, f64::min);
        places.map(off).all(|far| far < GRAZE_MM)
    }
}

/// The stretches of a ring that do not lie on the block's edge.
fn inner(points: &[Point], block: &Block) -> Vec<BezPath> {
    let n = points.len();
    let depth = |p: Point| block.inside.iter().map(|r| r.depth(p)).fold(f64::NEG_INFINITY, f64::max);
    let on_edge: Vec<bool> = (0..n)
        .map(|i| {
            let (p, q) = (points[i], points[(i + 1) % n]);
            [p, p.midpoint(q), q].into_iter().all(|p| depth(p) < JOIN_MM)
        })
        .collect();
    let Some(first) = on_edge.iter().position(|on| *on) else { return vec![path_through(points, true)] };
    let mut all = Vec::new();
    let mut run: Vec<Point> = Vec::new();
    for k in 1..=n {
        let i = (first + k) % n;
        match on_edge[i] {
            false if run.is_empty() => run.extend([points[i], points[(i + 1) % n]]),
            false => run.push(points[(i + 1) % n]),
            true if run.len() > 1 => all.push(path_through(&std::mem::take(&mut run), false)),
            true => {}
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::outline;
    use crate::block::shape::Shape;
    use crate::drawing::background::open;

    /// A ring of radius 80 mm that nearly fills a square of 190.5 mm.
    fn ring() -> (Vec<BezPath>, Block) {
        let path = BezPath::from_svg("M80,0 A80,80 0 0 1 -80,0 A80,80 0 0 1 80,0").unwrap();
        (vec![path], outline(&Shape::Square { side: 203.2 }, 6.35).unwrap())
    }

    #[test]
    fn walls_run_at_the_channel_s_width_and_end_on_the_edge() {
        let (lines, block) = ring();
        let places = open::places(&lines, &block, open::WIDER);
        let channel = around(&lines, &places, &block, 6.35);
        // One pocket all round, whose outer side is the edge; the ring's inside is a part of the drawing like any other.
        assert_eq!((channel.pockets.len(), channel.walls.len()), (1, 1));
        for p in channel.walls.iter().flat_map(|w| flatten(w, 0.01)).flat_map(|f| f.points) {
            let off = ((p.to_vec2().hypot() - 80.0).abs() - 6.35).abs();
            assert!(off < 0.03, "{p:?} is {off} mm off the channel's width");
        }
    }

    #[test]
    fn a_line_along_a_wall_grazes_it_and_one_across_the_pocket_does_not() {
        let (lines, block) = ring();
        let channel = around(&lines, &open::places(&lines, &block, open::WIDER), &block, 6.35);
        let path = |d: &str| BezPath::from_svg(d).unwrap();
        assert!(channel.is_grazed_by(&path("M-8,87 L8,87")));
        assert!(!channel.is_grazed_by(&path("M0,86.35 L0,95.25")));
    }
}
