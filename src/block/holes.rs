//! Drawn paths → a [`Region`]: the first closed path is the outline, the closed ones inside it are holes to keep clear.
//!
//! Holes that lie free keep their curves as drawn. Where holes overlap each other or stick out of the outline they are united
//! and cut out with the boolean operations of `geo` on fine chains, and curves are fitted to the result.

use geo::bool_ops::{FillRule, OpType};
use geo::{Area, BooleanOps, MultiPolygon, Polygon};
use kurbo::{BezPath, Point};

use super::chains::{fine, line, ring_through};
use super::region::{Region, Ring};
use super::{BlockError, corners, drawn, inset};
use crate::base::chain;
use crate::base::tolerance::FLATTEN_MM;

/// Areas that differ by less are the same, mm²: what fine chains leave along the edges of a large block.
const SAME_MM2: f64 = 0.01;

/// The region that `paths` draw; what was left out goes to `notes`.
///
/// # Errors
/// [`BlockError::NoClosedPath`], [`BlockError::DrawnCrossing`], and [`BlockError::Parted`] if the holes leave not exactly one
/// piece.
pub fn region(paths: &[BezPath], notes: &mut Vec<String>) -> Result<Region, BlockError> {
    let open = paths.iter().filter(|p| !drawn::is_closed(p)).count();
    let mut closed = paths.iter().filter(|p| drawn::is_closed(p));
    let outer = closed.next().ok_or(BlockError::NoClosedPath)?;
    let chain = fine(outer);
    if let Some((_, _, at)) = corners::crossing(&chain) {
        return Err(BlockError::DrawnCrossing { at });
    }
    let outer = Ring::from_path(outer).ok_or(BlockError::NoArea)?;
    if open > 0 {
        notes.push(format!(
            "{open} open {} left out of the outline, which has to be closed.",
            are(open, "path")
        ));
    }
    let whole = Polygon::new(line(&chain), Vec::new());
    let mut holes: Vec<Hole> = Vec::new();
    let (mut outside, mut sticking_out) = (0, 0);
    for path in closed {
        let hole = Hole::new(path);
        if hole.area.unsigned_area() < SAME_MM2 {
            continue;
        }
        let inside = hole.area.intersection(&whole).unsigned_area();
        if inside < SAME_MM2 {
            outside += 1;
            continue;
        }
        sticking_out += usize::from(hole.area.unsigned_area() - inside > SAME_MM2);
        holes.push(hole);
    }
    if outside > 0 {
        notes.push(format!("{outside} closed {} outside the outline and left out.", are(outside, "path")));
    }
    if sticking_out > 0 {
        notes.push(format!(
            "{sticking_out} {} out of the outline; the block was cut along it.",
            stick(sticking_out)
        ));
    }
    let free = sticking_out == 0
        && holes.iter().all(|h| h.ring.is_some() && apart(&h.chain, &chain))
        && holes.iter().enumerate().all(|(i, h)| holes[..i].iter().all(|other| h.is_clear_of(other)));
    if free {
        return Ok(Region { outer, holes: holes.into_iter().filter_map(|h| h.ring).collect() });
    }
    let cut = MultiPolygon(holes.into_iter().flat_map(|h| h.area).collect());
    let left = whole.boolean_op_with_fill_rule(&cut, OpType::Difference, FillRule::NonZero);
    let mut pieces = inset::pieces(left, ring_through);
    match (pieces.pop(), pieces.len()) {
        (Some(only), 0) => Ok(only),
        (_, others) => Err(BlockError::Parted { pieces: if others == 0 { 0 } else { others + 1 } }),
    }
}

/// A closed path to keep clear.
struct Hole {
    /// As drawn, if it does not cross itself.
    ring: Option<Ring>,
    chain: Vec<Point>,
    /// What it covers, also where it crosses itself.
    area: MultiPolygon,
}

impl Hole {
    fn new(path: &BezPath) -> Self {
        let chain = fine(path);
        let ring = if corners::crossing(&chain).is_none() { Ring::from_path(path) } else { None };
        let polygon = Polygon::new(line(&chain), Vec::new());
        let area =
            polygon.boolean_op_with_fill_rule(&MultiPolygon(Vec::new()), OpType::Union, FillRule::NonZero);
        Self { ring, chain, area }
    }

    fn is_clear_of(&self, other: &Self) -> bool {
        apart(&self.chain, &other.chain) && self.area.intersection(&other.area).unsigned_area() < SAME_MM2
    }
}

/// True if no point of either ring lies on the other.
fn apart(a: &[Point], b: &[Point]) -> bool {
    let near = |p: &Point, ring: &[Point]| chain::distance_to_ring(*p, ring) < FLATTEN_MM;
    !a.iter().any(|p| near(p, b)) && !b.iter().any(|p| near(p, a))
}

fn are(count: usize, noun: &str) -> String {
    if count == 1 { format!("{noun} is") } else { format!("{noun}s are") }
}

fn stick(count: usize) -> &'static str {
    if count == 1 { "shape to keep clear sticks" } else { "shapes to keep clear stick" }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn made(paths: &[&str]) -> (Result<Region, BlockError>, Vec<String>) {
        let paths: Vec<BezPath> = paths.iter().map(|p| BezPath::from_svg(p).unwrap()).collect();
        let mut notes = Vec::new();
        (region(&paths, &mut notes), notes)
    }

    fn disc(x: f64, y: f64, r: f64) -> String {
        format!("M{},{y} A{r},{r} 0 0 1 {},{y} A{r},{r} 0 0 1 {},{y} Z", x - r, x + r, x - r)
    }

    const SQUARE: &str = "M0,0 L100,0 L100,100 L0,100 Z";

    /// The area with chords counted: within 0.01 mm of every curve.
    fn assert_area(region: &Region, expected: f64) {
        assert!((region.area() - expected).abs() < 1.5, "{} is not {expected}", region.area());
    }

    #[test]
    fn a_hole_inside_keeps_its_curves() {
        let (got, notes) = made(&[SQUARE, &disc(50.0, 50.0, 20.0)]);
        let got = got.unwrap();
        assert_eq!((got.holes.len(), notes.len()), (1, 0));
        assert_eq!(
            got.holes[0].path().segments().filter(|s| matches!(s, kurbo::PathSeg::Cubic(_))).count(),
            4
        );
        assert_area(&got, 10_000.0 - PI * 400.0);
    }

    #[test]
    fn overlapping_and_nested_holes_are_united() {
        let (got, _) =
            made(&[SQUARE, &disc(40.0, 50.0, 20.0), &disc(60.0, 50.0, 20.0), &disc(40.0, 50.0, 5.0)]);
        let got = got.unwrap();
        assert_eq!(got.holes.len(), 1);
        assert_eq!(got.holes[0].corners().len(), 2);
        let lens = 2.0 * 400.0 * (0.5f64).acos() - 10.0 * (4.0 * 400.0 - 400.0f64).sqrt();
        assert_area(&got, 10_000.0 - 2.0 * PI * 400.0 + lens);
    }

    #[test]
    fn a_hole_drawn_twice_is_one_hole() {
        let (got, _) = made(&[SQUARE, &disc(50.0, 50.0, 20.0), &disc(50.0, 50.0, 20.0)]);
        let got = got.unwrap();
        assert_eq!(got.holes.len(), 1);
        assert_area(&got, 10_000.0 - PI * 400.0);
    }

    #[test]
    fn a_hole_along_the_edge_becomes_part_of_the_outline() {
        let (got, notes) = made(&[SQUARE, "M0,40 L30,40 L30,60 L0,60 Z"]);
        let got = got.unwrap();
        assert_eq!((got.holes.len(), got.outer.corners().len(), notes.len()), (0, 8, 0));
        assert_area(&got, 9_400.0);
    }

    #[test]
    fn a_hole_that_sticks_out_is_cut_into_the_block_and_said_so() {
        let (got, notes) = made(&[SQUARE, &disc(100.0, 50.0, 20.0)]);
        let got = got.unwrap();
        assert!(got.holes.is_empty());
        assert_eq!(got.outer.corners().len(), 6);
        assert_area(&got, 10_000.0 - PI * 200.0);
        assert_eq!(notes, ["1 shape to keep clear sticks out of the outline; the block was cut along it."]);
    }

    #[test]
    fn paths_that_do_not_count_are_noted() {
        let (got, notes) =
            made(&["M0,0 L9,9", SQUARE, &disc(200.0, 0.0, 20.0), "M1,1 L5,1", "M50,50 L60,50 L55,50 Z"]);
        assert_eq!(got.unwrap().holes, []);
        let expected = [
            "2 open paths are left out of the outline, which has to be closed.",
            "1 closed path is outside the outline and left out.",
        ];
        assert_eq!(notes, expected);
    }

    #[test]
    fn an_outline_that_crosses_itself_is_refused() {
        let (got, _) = made(&["M0,0 C200,0 -100,100 100,100 L100,0 L0,100 Z"]);
        assert!(matches!(got, Err(BlockError::DrawnCrossing { .. })), "{got:?}");
        assert_eq!(made(&["M0,0 L50,50"]).0, Err(BlockError::NoClosedPath));
    }

    #[test]
    fn holes_that_cover_or_part_the_block_are_refused() {
        assert_eq!(made(&[SQUARE, SQUARE]).0, Err(BlockError::Parted { pieces: 0 }));
        assert_eq!(made(&[SQUARE, &disc(50.0, 50.0, 90.0)]).0, Err(BlockError::Parted { pieces: 0 }));
        assert_eq!(
            made(&[SQUARE, "M40,-5 L60,-5 L60,105 L40,105 Z"]).0,
            Err(BlockError::Parted { pieces: 2 })
        );
    }

    #[test]
    fn a_hole_that_crosses_itself_keeps_all_it_covers_clear() {
        let (got, _) = made(&[SQUARE, "M20,20 L80,80 L80,20 L20,80 Z"]);
        assert_area(&got.unwrap(), 10_000.0 - 1_800.0);
    }
}
