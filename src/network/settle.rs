//! Lines → lines that meet only in knots, exactly: snap rounding on the grid.
//!
//! Every knot and every crossing heats the grid square round it, and every piece is led through the middle of the hot
//! squares it passes (J. D. Hobby, Practical segment intersection with finite precision output, Computational Geometry
//! 13, 1999) [221]. No piece moves by more than a grain.

use crate::network::cross::{along, split};
use crate::network::grid::Grid;
use crate::network::lines::Lines;
use crate::network::spots::{NONE, Spot, Spots};

/// One round is enough by the paper; a second one proves it, and a third is never wanted.
const ROUNDS: usize = 3;

/// Splits lines until no two meet except in knots; only what is fresh is looked at.
pub(super) fn settle(lines: &mut Lines, spots: &mut Spots) {
    for _ in 0..ROUNDS {
        lines.begin_round();
        let grid = Grid::over(lines, spots, 1.0);
        // The pieces as they are before any is bent: the hot squares are tested against these.
        let before = lines.len();
        let ends: Vec<Option<(Spot, Spot)>> =
            (0..before).map(|k| lines.is_piece(k).then(|| lines.piece(spots, k))).collect();
        let mut changed = split(lines, spots, &grid, 0);
        changed |= lead_through(lines, spots, &grid, &ends);
        if !changed {
            break;
        }
    }
}

/// Leads pieces through the hot squares they pass.
fn lead_through(lines: &mut Lines, spots: &Spots, grid: &Grid, ends: &[Option<(Spot, Spot)>]) -> bool {
    let known = |s: &u32| *s != NONE && grid.is_watched(spots.at[*s as usize]);
    let mut hot: Vec<u32> = lines.spot.iter().copied().filter(known).collect();
    hot.sort_unstable();
    hot.dedup();
    let mut wanted = Vec::new();
    for spot in hot {
        let at = spots.at[spot as usize];
        for piece in grid.in_cell(grid.cell_at(at)) {
            let Some((a, b)) = ends[*piece as usize] else { continue };
            if a != at && b != at && passes(a, b, at) {
                wanted.push((*piece, along((a, b), at), spot));
            }
        }
    }
    link(lines, spots, ends, wanted)
}

/// Puts knots into pieces that may have been split since; `wanted` names the piece as it was.
fn link(
    lines: &mut Lines,
    spots: &Spots,
    ends: &[Option<(Spot, Spot)>],
    mut wanted: Vec<(u32, f64, u32)>,
) -> bool {
    wanted.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
    let mut changed = false;
    for (piece, place, spot) in wanted {
        let Some(whole) = ends[piece as usize] else { continue };
        let mut knot = piece;
        // Knots put in since stand in order along the piece; the new one goes behind those before it.
        while let Some(next) = lines.step(knot, true) {
            if (next as usize) < ends.len() || along(whole, lines.at(spots, next)) > place {
                break;
            }
            knot = next;
        }
        changed |= lines.insert(knot, spot);
    }
    changed
}

/// True if the piece from `a` to `b` passes the grid square round `at`, its rim included.
fn passes(a: Spot, b: Spot, at: Spot) -> bool {
    let out = |p: i32, q: i32, c: i32| p.max(q) < c || p.min(q) > c;
    if out(a.x, b.x, at.x) || out(a.y, b.y, at.y) {
        return false;
    }
    // In half grains, so that the rim of the square is whole.
    let ((ux, uy), (vx, vy)) = (b.minus(a), at.minus(a));
    let middle = 2 * (ux * vy - uy * vx);
    middle.abs() <= ux.abs() + uy.abs()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_piece_passes_the_squares_under_it() {
        let s = |x, y| Spot { x, y };
        let passed: Vec<i32> = (0..=4).filter(|y| passes(s(0, 0), s(10, 4), s(5, *y))).collect();
        assert_eq!(passed, vec![2]);
        assert!(passes(s(0, 0), s(10, 4), s(4, 2)));
        assert!(!passes(s(0, 0), s(10, 4), s(4, 3)));
    }
}
