//! Needle points and lines → heat maps: holes to the millimetre, and how wide the gap is about each place.

use std::collections::BTreeMap;

use kurbo::{Point, Rect};
use rstar::RTree;
use rstar::primitives::Line;

use super::layers::Heat;
use crate::base::chain::nearest_on_segment;
use crate::block::Block;
use crate::stitches::Stitches;
use crate::survey::holes::{DISC_MM, MOST_HOLES};

/// The side of a cell of the gap map, mm: a design's detail without a heavy file; larger where a block would have more
/// than [`MOST_GAP_CELLS`] of them.
const GAP_CELL_MM: f64 = 3.0;
/// Cells of a gap map: 600 mm square of the smallest, two megabytes of picture.
const MOST_GAP_CELLS: f64 = 40_000.0;

/// Needle holes in every millimetre square that has any.
#[must_use]
pub fn holes(stitches: &Stitches) -> Heat {
    let mut counts: BTreeMap<(i64, i64), f64> = BTreeMap::new();
    for p in stitches.points() {
        *counts.entry(cell(p, DISC_MM)).or_default() += 1.0;
    }
    let cells = counts.into_iter().map(|(c, n)| (middle(c, DISC_MM), n)).collect();
    Heat { label: "needle holes in 1 mm".into(), top: MOST_HOLES as f64, cell_mm: DISC_MM, cells }
}

/// How wide a circle about each place of the block could be before it meets a line or the edge, mm.
#[must_use]
pub fn gaps(stitches: &Stitches, block: Option<&Block>, limit_mm: f64) -> Heat {
    let bounds = block.map_or(stitches.bounds(), |b| b.outline.bounds());
    let lines = stitches.segments().filter(|(a, b)| a != b);
    let lines = RTree::bulk_load(lines.map(|(a, b)| Line::new([a.x, a.y], [b.x, b.y])).collect());
    let open = |at: Point| lines.nearest_neighbor(&[at.x, at.y]).map_or(f64::INFINITY, |l| distance(at, l));
    let side = (bounds.area() / MOST_GAP_CELLS).sqrt().max(GAP_CELL_MM);
    let mut cells = Vec::new();
    let (from, to) = (cell(bounds.origin(), side), cell(Point::new(bounds.x1, bounds.y1), side));
    for i in from.0..=to.0 {
        for j in from.1..=to.1 {
            let at = middle((i, j), side);
            let edge = block.map_or_else(|| inset(bounds, at), |b| b.outline.depth(at));
            if edge > 0.0 {
                cells.push((at, 2.0 * open(at).min(edge)));
            }
        }
    }
    Heat { label: "mm of open width".into(), top: limit_mm, cell_mm: side, cells }
}

fn distance(at: Point, line: &Line<[f64; 2]>) -> f64 {
    let [from, to] = [line.from, line.to].map(|[x, y]| Point::new(x, y));
    at.distance(nearest_on_segment(at, from, to))
}

fn inset(bounds: Rect, p: Point) -> f64 {
    (p.x - bounds.x0).min(bounds.x1 - p.x).min(p.y - bounds.y0).min(bounds.y1 - p.y)
}

#[expect(clippy::cast_possible_truncation, reason = "saturates; needle points lie on a quilt")]
fn cell(p: Point, side: f64) -> (i64, i64) {
    ((p.x / side).floor() as i64, (p.y / side).floor() as i64)
}

fn middle(cell: (i64, i64), side: f64) -> Point {
    Point::new((cell.0 as f64 + 0.5) * side, (cell.1 as f64 + 0.5) * side)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stitches::Run;

    fn sewn() -> Stitches {
        let points = [(0.2, 0.2), (30.0, 0.2), (0.2, 0.2), (30.0, 40.0)].map(Point::from).to_vec();
        Stitches::new(vec![Run { points, tie_in: 0, tie_off: 0 }])
    }

    #[test]
    fn strikes_are_counted_where_they_fall() {
        let heat = holes(&sewn());
        let most = heat.cells.iter().max_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
        assert_eq!(*most, (Point::new(0.5, 0.5), 2.0));
        assert_eq!(heat.cells.iter().map(|c| c.1).sum::<f64>(), 4.0);
    }

    #[test]
    fn a_gap_map_of_a_large_piece_has_larger_cells_not_more() {
        let points = [(0.0, 0.0), (4.0, 0.0), (2800.0, 2800.0)].map(Point::from).to_vec();
        let heat = gaps(&Stitches::new(vec![Run { points, tie_in: 0, tie_off: 0 }]), None, 50.0);
        assert!((39_000..=41_000).contains(&heat.cells.len()), "{}", heat.cells.len());
        assert!((heat.cell_mm - 14.0).abs() < 1e-9, "{}", heat.cell_mm);
        assert_eq!(gaps(&sewn(), None, 50.0).cell_mm, GAP_CELL_MM);
    }

    #[test]
    fn the_gap_is_widest_away_from_the_lines() {
        let heat = gaps(&sewn(), None, 50.0);
        let most = heat.cells.iter().max_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
        // The incircle of the 30 × 40 × 50 triangle is 20 mm across; cells are 3 mm.
        assert!((17.0..=20.0).contains(&most.1), "{most:?}");
    }
}
