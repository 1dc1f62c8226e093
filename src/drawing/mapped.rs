//! The lines of a finished design → the same lines in another block: bent to its four sides, or all to one scale.
//!
//! A block of four straight sides that is nearly as wide for its height as the design takes the design's own box onto them:
//! the map that lattices use, bilinear, so that a block that did not come out square is filled to its sides. Any other block
//! takes the lines as a drawing: neither stretched nor turned, as large as it allows.

use kurbo::{BezPath, CubicBez, ParamCurve, ParamCurveDeriv, PathSeg, Point, Rect, Shape, Vec2};

use super::constructions::board::{Board, Ground};
use super::{DrawError, Drawing, own};
use crate::base::curve::{path_length, subpaths};
use crate::block::Block;

/// How much wider or narrower for its height a block may be than a design that is bent to it: ±10 % in common practice.
pub const MOST_STRETCH: f64 = 0.10;
/// A mapped curve is made of pieces no longer than this part of the design's larger side: each leaves the exact one by far
/// less than a thousandth of a millimetre.
const PIECE: f64 = 1.0 / 40.0;

/// The lines of `paths` in the largest region inside the block.
///
/// # Errors
/// As [`own::draw`].
pub fn draw(paths: &[BezPath], block: &Block) -> Result<Drawing, DrawError> {
    let bounds = paths.iter().map(Shape::bounding_box).reduce(|a: Rect, b| a.union(b));
    let region = block.inside.iter().max_by(|a, b| a.area().total_cmp(&b.area()));
    let (Some(bounds), Some(region)) = (bounds, region) else { return own::draw(paths, block) };
    let ground = Ground::of(region);
    let four = matches!(ground, Ground::Four(_)) && region.holes.is_empty();
    let (across, up) = ground.size();
    let wider = (bounds.width() * up) / (bounds.height() * across);
    let alike = (1.0 / (1.0 + MOST_STRETCH)..=1.0 + MOST_STRETCH).contains(&wider);
    if !(four && alike) {
        return own::draw(paths, block);
    }
    let board = Board { ground, columns: 1, rows: 1 };
    let map = Map { bounds, board };
    let lines: Vec<BezPath> = paths.iter().map(|path| map.path(path)).collect();
    own::refuse_too_long("the design", &lines)?;
    Ok(Drawing { stretch: map.stretch(paths), lines, notes: block_notes(block), ..Drawing::default() })
}

fn block_notes(block: &Block) -> Vec<String> {
    if block.inside.len() > 1 {
        vec!["The design fills only the largest part of this block.".into()]
    } else {
        Vec::new()
    }
}

/// From a design's box to a board.
struct Map {
    bounds: Rect,
    board: Board,
}

impl Map {
    fn at(&self, p: Point) -> Point {
        let b = self.bounds;
        self.board.at((p.x - b.x0) / b.width(), (p.y - b.y0) / b.height())
    }

    /// What a small step at `p` becomes; exact for a map that is linear along either axis.
    fn step(&self, p: Point, by: Vec2) -> Vec2 {
        let b = self.bounds;
        let corner = |x: f64, y: f64| self.at(Point::new(x, y));
        let across = (corner(b.x1, p.y) - corner(b.x0, p.y)) / b.width();
        let up = (corner(p.x, b.y1) - corner(p.x, b.y0)) / b.height();
        across * by.x + up * by.y
    }

    fn path(&self, path: &BezPath) -> BezPath {
        let most = self.bounds.width().max(self.bounds.height()) * PIECE;
        let mut mapped = BezPath::new();
        for segments in subpaths(path) {
            let (Some(first), Some(last)) = (segments.first(), segments.last()) else { continue };
            mapped.move_to(self.at(first.start()));
            for segment in &segments {
                self.push(&mut mapped, segment, most);
            }
            if last.end() == first.start() {
                mapped.close_path();
            }
        }
        mapped
    }

    fn push(&self, mapped: &mut BezPath, segment: &PathSeg, most: f64) {
        let cubic: CubicBez = segment.to_cubic();
        let reach = cubic.p0.distance(cubic.p1) + cubic.p1.distance(cubic.p2) + cubic.p2.distance(cubic.p3);
        let pieces = (reach / most).ceil().max(1.0);
        let mut k = 0.0;
        while k < pieces {
            let piece = cubic.subsegment(k / pieces..(k + 1.0) / pieces);
            let (from, to) = (self.at(piece.p0), self.at(piece.p3));
            let out = self.step(piece.p0, piece.p1 - piece.p0);
            let into = self.step(piece.p3, piece.p3 - piece.p2);
            mapped.curve_to(from + out, to - into, to);
            k += 1.0;
        }
    }

    /// How much a part of the lines is longer or shorter than the mean of all, at most.
    fn stretch(&self, paths: &[BezPath]) -> f64 {
        let ratio = |segment: &PathSeg, t: f64| {
            let cubic = segment.to_cubic();
            let way = cubic.deriv().eval(t).to_vec2();
            (way.hypot() > 0.0).then(|| self.step(cubic.eval(t), way).hypot() / way.hypot())
        };
        let ratios: Vec<f64> = paths
            .iter()
            .flat_map(BezPath::segments)
            .flat_map(|segment| [0.1, 0.5, 0.9].map(|t| ratio(&segment, t)))
            .flatten()
            .collect();
        let before: f64 = paths.iter().map(path_length).sum();
        let after: f64 = paths.iter().map(|path| path_length(&self.path(path))).sum();
        let mean = after / before;
        ratios.iter().map(|r| (r / mean - 1.0).abs()).fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::chain;
    use crate::base::curve::flatten;
    use crate::block::outline;
    use crate::block::shape;

    fn circle() -> Vec<BezPath> {
        vec![
            kurbo::Circle::new((3.0, 4.0), 40.0).to_path(1e-4),
            BezPath::from_svg("M-37,-36 L43,-36 L43,44 L-37,44 Z").unwrap(),
        ]
    }

    #[test]
    fn a_square_takes_a_square_design_to_one_scale() {
        let block = outline(&shape::Shape::Square { side: 120.0 }, 10.0).unwrap();
        let drawn = draw(&circle(), &block).unwrap();
        let points = &flatten(&drawn.lines[0], 0.001)[0].points;
        let off = points.iter().map(|p| (p.to_vec2().hypot() - 50.0).abs()).fold(0.0, f64::max);
        assert!(off < 0.01 && drawn.stretch < 1e-6, "{off} {}", drawn.stretch);
    }

    #[test]
    fn an_odd_block_is_filled_to_its_sides_and_points_go_where_the_map_takes_them() {
        let corners = [(0.0, 0.0), (104.0, 0.0), (100.0, 102.0), (0.0, 98.0)].map(Point::from).to_vec();
        let block = outline(&shape::Shape::Corners { corners }, 6.0).unwrap();
        let drawn = draw(&circle(), &block).unwrap();
        let ring = block.inside[0].outer.corners();
        for corner in &ring {
            let near = drawn.lines[1].segments().map(|s| s.start().distance(*corner)).fold(9.0, f64::min);
            assert!(near < 1e-3, "{corner} {near}");
        }
        // The middle of the left side of the box touches the circle, and so does its image.
        let Ground::Four([a, .., d]) = Ground::of(&block.inside[0]) else { panic!("not four sides") };
        let points = &flatten(&drawn.lines[0], 0.0005)[0].points;
        let near = chain::distance_to_chain(a.midpoint(d), points);
        assert!(near < 0.01, "{near}");
        assert!((0.01..MOST_STRETCH).contains(&drawn.stretch), "{}", drawn.stretch);
    }

    #[test]
    fn a_long_block_leaves_a_circle_round() {
        let block = outline(&shape::Shape::Rectangle { width: 150.0, height: 100.0 }, 10.0).unwrap();
        let drawn = draw(&circle()[..1], &block).unwrap();
        let bounds = drawn.lines[0].bounding_box();
        assert!((bounds.width() - bounds.height()).abs() < 0.01 && (bounds.height() - 80.0).abs() < 0.05);
    }
}
