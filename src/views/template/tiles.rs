//! A block larger than a page → tiles that overlap, each small enough for its page.

use kurbo::{Point, Rect};

use crate::base::tolerance::ceil_guarded;

/// How far two neighbours show the same part, mm: half of it on either side of the line where they join.
pub const OVERLAP_MM: f64 = 10.0;
/// A join keeps this far from the design's centre if it can, mm, so that the cross is whole on one page.
const CLEAR_OF_CENTRE_MM: f64 = 20.0;

/// One page's part of the block.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tile {
    /// Counted from the left, from 0.
    pub column: usize,
    /// Counted from the top, from 0.
    pub row: usize,
    /// What the page shows, in block coordinates, its overlaps included.
    pub shown: Rect,
    /// What is left when its overlaps are cut off: the tiles' cores cover the block once.
    pub core: Rect,
}

/// How a block is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Tiles {
    /// How many tiles lie side by side.
    pub columns: usize,
    /// How many lie one below the other.
    pub rows: usize,
    /// The tiles in reading order.
    pub tiles: Vec<Tile>,
}

/// How many tiles no larger than `room` (width, height, mm) it takes to cover `size`.
#[must_use]
pub fn count(size: (f64, f64), room: (f64, f64)) -> (usize, usize) {
    (along(size.0, room.0), along(size.1, room.1))
}

/// Cuts `block` into as few tiles as its width and height ask, none larger than `room` (width, height, mm).
#[must_use]
pub fn cut(block: Rect, room: (f64, f64), centre: Point) -> Tiles {
    let across = spans(block.x0, block.x1, room.0, centre.x);
    let up = spans(block.y0, block.y1, room.1, centre.y);
    let mut tiles = Vec::new();
    for (row, y) in up.iter().rev().enumerate() {
        for (column, x) in across.iter().enumerate() {
            tiles.push(Tile {
                column,
                row,
                shown: Rect::new(x.shown.0, y.shown.0, x.shown.1, y.shown.1),
                core: Rect::new(x.core.0, y.core.0, x.core.1, y.core.1),
            });
        }
    }
    Tiles { columns: across.len(), rows: up.len(), tiles }
}

/// Along one axis: what a tile shows, and what of it is its own.
struct Span {
    shown: (f64, f64),
    core: (f64, f64),
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "at least one, a few thousand at most"
)]
fn along(length: f64, room: f64) -> usize {
    if length <= room {
        return 1;
    }
    ceil_guarded((length - OVERLAP_MM) / (room - OVERLAP_MM)).max(1.0) as usize
}

fn spans(from: f64, to: f64, room: f64, centre: f64) -> Vec<Span> {
    let count = along(to - from, room);
    if count == 1 {
        return vec![Span { shown: (from, to), core: (from, to) }];
    }
    let joins = joins(from, to, room, count, centre);
    let join = |k: usize| joins[k];
    let half = OVERLAP_MM / 2.0;
    (0..count)
        .map(|k| {
            let core = (if k == 0 { from } else { join(k - 1) }, if k + 1 == count { to } else { join(k) });
            let low = if k == 0 { from } else { core.0 - half };
            let high = if k + 1 == count { to } else { core.1 + half };
            Span { shown: (low, high), core }
        })
        .collect()
}

/// Where `count` tiles meet: equally far apart, moved a little if that takes them clear of the centre. Where the pages
/// leave too little room for that, inner tiles fill their pages and the outer two share what is left, as unevenly as it
/// takes; the most that can be had is taken.
#[expect(clippy::cast_precision_loss, reason = "a few thousand at most")]
fn joins(from: f64, to: f64, room: f64, count: usize, centre: f64) -> Vec<f64> {
    let n = count as f64;
    let middle = f64::midpoint(from, to);
    let each = (to - from + OVERLAP_MM * (n - 1.0)) / n;
    let at = |pitch: f64, shift: f64| -> Vec<f64> {
        (1..count).map(|k| middle + (k as f64 - n / 2.0) * pitch + shift).collect()
    };
    let spare = n * (room - each) / 2.0;
    let even = shifts(room - each).map(|shift| at(each - OVERLAP_MM, shift));
    let full = shifts(spare).map(|shift| at(room - OVERLAP_MM, shift));
    let clear = |joins: &Vec<f64>| joins.iter().map(|j| (j - centre).abs()).fold(f64::INFINITY, f64::min);
    let mut best = at(each - OVERLAP_MM, 0.0);
    for trial in even.chain(full) {
        if clear(&best) >= CLEAR_OF_CENTRE_MM {
            break;
        }
        if clear(&trial) > clear(&best) {
            best = trial;
        }
    }
    best
}

/// 0, then steps of 1 mm either way, up to `most`.
fn shifts(most: f64) -> impl Iterator<Item = f64> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few hundred at most")]
    let steps = most.clamp(0.0, 3.0 * CLEAR_OF_CENTRE_MM) as u32;
    (0..=steps).flat_map(|n| [f64::from(n), -f64::from(n)])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut_strip() -> Tiles {
        cut(Rect::new(-762.0, -63.5, 762.0, 63.5), (267.0, 160.0), Point::ZERO)
    }

    #[test]
    fn a_block_that_fits_is_one_tile() {
        let block = Rect::new(-50.0, -60.0, 50.0, 60.0);
        let tiles = cut(block, (100.0, 120.0), Point::ZERO).tiles;
        assert_eq!(tiles, [Tile { column: 0, row: 0, shown: block, core: block }]);
    }

    #[test]
    fn no_tile_is_larger_than_its_page_and_cores_cover_the_block_once() {
        let tiles = cut_strip().tiles;
        assert_eq!(tiles.len(), 6);
        assert!(tiles.iter().all(|t| t.shown.width() <= 267.0 + 1e-9));
        let covered: f64 = tiles.iter().map(|t| t.core.width()).sum();
        assert!((covered - 1524.0).abs() < 1e-9, "cores cover {covered} mm");
        for pair in tiles.windows(2) {
            assert!((pair[0].core.x1 - pair[1].core.x0).abs() < 1e-9);
            assert!((pair[0].shown.x1 - pair[1].shown.x0 - OVERLAP_MM).abs() < 1e-9);
        }
    }

    #[test]
    fn no_join_runs_through_the_cross() {
        // Six equal tiles would join at 0, where the cross is; full pages leave 14 mm to move them.
        for tile in cut_strip().tiles {
            assert!(tile.core.x0.abs() >= 14.0, "a join at {}", tile.core.x0);
        }
    }

    #[test]
    fn rows_are_counted_from_the_top() {
        let tiles = cut(Rect::new(0.0, 0.0, 300.0, 300.0), (200.0, 200.0), Point::new(150.0, 150.0)).tiles;
        assert_eq!(tiles.len(), 4);
        assert!(tiles[0].core.y0 > tiles[2].core.y0 && tiles[0].core.x0 < tiles[1].core.x0);
    }
}
