//! Lines → lines split where they cross.
//!
//! Crossings are decided in whole numbers, so that none is missed or found twice; their places are rounded to the grid.

use crate::network::grid::Grid;
use crate::network::lines::Lines;
use crate::network::spots::{Spot, Spots};

/// Splits lines at their crossings; a crossing within `reach` grains of a known spot moves there.
///
/// Looks only at pieces that are fresh, and at those that they may cross. Says whether anything changed.
pub(super) fn split(lines: &mut Lines, spots: &mut Spots, grid: &Grid, reach: i32) -> bool {
    let mut wanted = Vec::new();
    for (a, b, at) in crossings(lines, spots, grid) {
        let spot = spots.place(at, reach);
        spots.pinned[spot as usize] = true;
        for piece in [a, b] {
            wanted.push((piece, along(lines.piece(spots, piece), spots.at[spot as usize]), spot));
        }
    }
    lines.insert_all(wanted)
}

/// How far along a piece a spot lies, 0 at its start and 1 at its end.
pub(super) fn along((a, b): (Spot, Spot), at: Spot) -> f64 {
    let (way, to) = (b.point() - a.point(), at.point() - a.point());
    if way.hypot2() == 0.0 { 0.0 } else { to.dot(way) / way.hypot2() }
}

/// Every pair of pieces that cross inside both, with the place; a fresh one in each pair.
fn crossings(lines: &Lines, spots: &Spots, grid: &Grid) -> Vec<(u32, u32, Spot)> {
    let mut found = Vec::new();
    let mut here: Vec<(u32, bool, Spot, Spot)> = Vec::new();
    for cell in 0..grid.len() {
        here.clear();
        here.extend(grid.in_cell(cell).iter().map(|k| {
            let (a, b) = lines.piece(spots, *k);
            (*k, lines.is_fresh(*k), a, b)
        }));
        for (n, (i, i_fresh, a, b)) in here.iter().enumerate() {
            for (j, j_fresh, c, d) in &here[n + 1..] {
                if !(*i_fresh || *j_fresh) || apart(a.x, b.x, c.x, d.x) || apart(a.y, b.y, c.y, d.y) {
                    continue;
                }
                // The pair meets in several cells; it counts in the one that holds the crossing.
                if let Some(at) = crossing(*a, *b, *c, *d)
                    && grid.cell_at(at) == cell
                {
                    found.push((*i, *j, at));
                }
            }
        }
    }
    // In the order of the lines, not of the cells, so that a turned drawing is treated alike.
    found.sort_unstable();
    found
}

fn apart(a: i32, b: i32, c: i32, d: i32) -> bool {
    a.max(b) < c.min(d) || c.max(d) < a.min(b)
}

/// Where two pieces cross, if each has its ends on both sides of the other.
fn crossing(a: Spot, b: Spot, c: Spot, d: Spot) -> Option<Spot> {
    let (from_c, from_d) = (side(a, b, c), side(a, b, d));
    if from_c.signum() * from_d.signum() >= 0 || side(c, d, a).signum() * side(c, d, b).signum() >= 0 {
        return None;
    }
    let t = from_c as f64 / (from_c as f64 - from_d as f64);
    let at = c.point().lerp(d.point(), t);
    Some(Spot { x: at.x.round() as i32, y: at.y.round() as i32 })
}

/// On which side of the line from `a` to `b` the spot `p` lies: positive to the left, 0 on it.
pub(super) fn side(a: Spot, b: Spot, p: Spot) -> i64 {
    let ((ux, uy), (vx, vy)) = (b.minus(a), p.minus(a));
    ux * vy - uy * vx
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn touching_is_not_crossing() {
        let s = |x, y| Spot { x, y };
        assert_eq!(crossing(s(0, 0), s(10, 0), s(5, 0), s(5, 9)), None);
        assert_eq!(crossing(s(0, 0), s(10, 0), s(5, -1), s(5, 9)), Some(s(5, 0)));
        assert_eq!(crossing(s(0, 0), s(10, 0), s(2, 0), s(8, 0)), None);
    }
}
