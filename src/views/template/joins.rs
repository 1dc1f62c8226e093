//! A tile of a large picture → the lines where its neighbours join it.

use kurbo::{Affine, Point, Rect, Vec2};

use super::tiles::{OVERLAP_MM, Tile, Tiles};
use crate::views::column::words;
use crate::views::letters;
use crate::views::look::{self, Style};
use crate::views::sheet::{self, Anchor, Group, Item, Pen, Weight};

const STYLE: Style = Style { size: 2.35, weight: Weight::Regular, ink: look::START, leading: 1.3 };

/// The lines where a tile meets its neighbours, with rings to match and what to do there; the tile's own page has that `number`
/// of its kind, and its neighbours follow in reading order.
#[must_use]
pub fn draw(tiles: &Tiles, tile: &Tile, (page, number): (&str, usize)) -> Vec<Item> {
    let (core, shown) = (tile.core, tile.shown);
    let mut items = Vec::new();
    let mut join = |from: Point, to: Point, text: &str, side: f64| {
        items.push(sheet::straight(from, to, Pen::dashed(0.22, look::START, &[3.0, 1.5])));
        for part in [0.08, 0.5, 0.92] {
            items.append(&mut ring(from.lerp(to, part)));
        }
        let along = (to - from).normalize();
        let up = Vec2::new(-along.y, along.x);
        let rise = if side > 0.0 { 1.3 } else { -1.3 - STYLE.size * letters::CAPITAL };
        let at = from.lerp(to, 0.12) + up * rise;
        let placed = Affine::translate(at.to_vec2()) * Affine::rotate(along.atan2());
        let label = words(text, Point::ZERO, STYLE, Anchor::Start);
        let ground = Rect::new(-0.5, -0.6, letters::width(text, STYLE.size) + 0.5, STYLE.size * 0.8 + 0.3);
        let ground = sheet::fill(sheet::rounded(ground, 0.5), look::CLEAR.thin(0.8));
        items.push(Item::Group(Group::new("", placed, vec![ground, label])));
    };
    let cut = |other: usize| format!("cut here, then lay on {page} {other}");
    let lay = |other: usize| format!("{page} {other} lies here");
    if tile.column > 0 {
        let (from, to) = (Point::new(core.x0, shown.y0), Point::new(core.x0, shown.y1));
        join(from, to, &cut(number - 1), 1.0);
    }
    if tile.column + 1 < tiles.columns {
        let (from, to) = (Point::new(core.x1, shown.y0), Point::new(core.x1, shown.y1));
        join(from, to, &lay(number + 1), -1.0);
    }
    if tile.row > 0 {
        let (from, to) = (Point::new(shown.x0, core.y1), Point::new(shown.x1, core.y1));
        join(from, to, &cut(number - tiles.columns), 1.0);
    }
    if tile.row + 1 < tiles.rows {
        let (from, to) = (Point::new(shown.x0, core.y0), Point::new(shown.x1, core.y0));
        join(from, to, &lay(number + tiles.columns), -1.0);
    }
    items
}

/// A ring with a cross in it, half of it on either page.
fn ring(at: Point) -> Vec<Item> {
    let reach = OVERLAP_MM * 0.28;
    let pen = || Pen::flat(0.2, look::START);
    let (across, up) = (Vec2::new(reach, 0.0), Vec2::new(0.0, reach));
    vec![
        sheet::line(sheet::circle(at, reach * 0.72), pen()),
        sheet::straight(at - across, at + across, pen()),
        sheet::straight(at - up, at + up, pen()),
    ]
}
