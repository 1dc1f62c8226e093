//! A quilt's map so large that every number is read from where the machine stands: pages to join.

use kurbo::{Affine, Point, Rect};

use super::{group, quilt};
use crate::top::Work;
use crate::views::column::words;
use crate::views::letters;
use crate::views::look::{self, Style};
use crate::views::paper::{EDGE_MM, Paper};
use crate::views::sheet::{Anchor, Group, Item, Sheet};
use crate::views::template::{joins, tiles};

/// True size against the map's.
const SMALLER: f64 = 4.0;
/// The head of a page, mm.
const HEAD_MM: f64 = 7.0;
/// Paper round the quilt, mm.
const ROUND_MM: f64 = 3.0;

/// Draws the map at a quarter of true size, on as few pages of `paper` as that takes.
#[must_use]
pub fn draw(work: &Work, paper: Paper) -> Vec<Sheet> {
    let (w, h) = work.layout.size;
    let whole = Rect::from_center_size(Point::ZERO, (w / SMALLER, h / SMALLER)).inflate(ROUND_MM, ROUND_MM);
    let room = |(w, h): (f64, f64)| (w - 2.0 * EDGE_MM, h - 2.0 * EDGE_MM - HEAD_MM);
    let count = |size| {
        let (across, up) = tiles::count((whole.width(), whole.height()), room(size));
        across * up
    };
    let (w, h) = paper.size();
    let size = if count((h, w)) < count((w, h)) { (h, w) } else { (w, h) };
    // Nothing on a map has to be whole on one page.
    let tiles = tiles::cut(whole, room(size), whole.origin());
    let map = group("map", Affine::scale(1.0 / SMALLER), quilt(work, 1.0 / SMALLER, true));
    let page = |(index, tile): (usize, &tiles::Tile)| {
        let middle = Point::new(size.0 / 2.0, (size.1 - HEAD_MM) / 2.0);
        let mut items = vec![map.clone()];
        items.extend(joins::draw(&tiles, tile, ("page", index + 1)));
        let placed = Affine::translate(middle - tile.shown.center());
        let map = Group { label: "quilt".into(), placed, clip: Some(tile.shown), items };
        let description = format!("page {} of {}, a quarter of true size", index + 1, tiles.tiles.len());
        let items = head(work, &description, size).into_iter().chain([Item::Group(map)]).collect();
        Sheet {
            title: format!("{}: large map", work.quilt.title),
            description,
            width: size.0,
            height: size.1,
            items,
        }
    };
    tiles.tiles.iter().enumerate().map(page).collect()
}

fn head(work: &Work, description: &str, size: (f64, f64)) -> Vec<Item> {
    let y = size.1 - EDGE_MM - 3.4;
    let (name, told) = (Style { size: 3.4, ..look::BODY }, look::LABEL);
    let room = size.0 - 2.0 * EDGE_MM - letters::width(description, told.size) - 8.0;
    let title = letters::shorten(&format!("{}: map", work.quilt.title), name.size, room);
    vec![
        words(&title, Point::new(EDGE_MM, y), name, Anchor::Start),
        words(description, Point::new(size.0 - EDGE_MM, y), told, Anchor::End),
    ]
}
