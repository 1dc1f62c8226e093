//! [`Picture`] → a template at true size: one page, or pages to join, with a cross at the design's centre.
//!
//! In: a picture and a paper. Out: [`Sheet`]s in printing order, each with bars to check its scale by. A block that
//! fits a page with its notes is one page; otherwise the first page holds the notes and a map, and tiles follow.

pub mod joins;
pub mod marks;
pub mod notes;
pub mod tiles;

use kurbo::{Affine, BezPath, Point, Rect, Vec2};

use crate::views::cloth;
use crate::views::column::{Column, words};
use crate::views::letters;
use crate::views::look::{self, Style};
use crate::views::paper::{EDGE_MM, Paper};
use crate::views::picture::Picture;
use crate::views::sheet::{self, Anchor, Group, Item, Pen, Sheet, Weight};
use crate::views::thread;
use tiles::{Tile, Tiles};

/// More pages than this are no help to anyone.
pub const MOST_PAGES: usize = 100;
/// Paper round a block that shows its edge whole, mm.
const ROUND_BLOCK_MM: f64 = 0.3;
/// The map on the first page is at most this high, mm.
const MAP_MM: f64 = 110.0;
const FOOT_MM: f64 = 11.5;
const GAP_MM: f64 = 2.2;
/// How much of the line under the name is the size's; the rest is the hoop's.
const LEFT_SHARE: f64 = 0.5;
/// The head of a page that shows a tile.
const TILE_HEAD_MM: f64 = 6.0;
const NAME: Style = Style { size: 5.2, weight: Weight::Light, ink: look::INK, leading: 1.15 };
const UNDER_NAME: Style = Style { size: 2.9, weight: Weight::Regular, ink: look::QUIET, leading: 1.3 };
const SMALL: Style = Style { size: 2.35, weight: Weight::Regular, ink: look::QUIET, leading: 1.3 };

/// Why no template can be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TemplateError {
    /// The block would take more than [`MOST_PAGES`] pages.
    #[error(
        "No template: at true size it would take {pages} pages, more than {MOST_PAGES}. A smaller piece has one, and so has every hooping of a quilt file (`thrice quilt`)."
    )]
    TooManyPages {
        /** How many it would take. */
        pages: usize,
    },
}

/// Says whether a template of what is so large can be printed.
fn admit(extent: Rect, paper: Paper) -> Result<(), TemplateError> {
    let (w, h) = paper.size();
    let (least, _) = fewest_pages(extent, [(w, h), (h, w)]);
    if least >= MOST_PAGES { Err(TemplateError::TooManyPages { pages: least + 1 }) } else { Ok(()) }
}

/// How many pages with tiles it takes, and the size of those pages, upright or on their side.
fn fewest_pages(extent: Rect, sizes: [(f64, f64); 2]) -> (usize, (f64, f64)) {
    let block = extent.inflate(ROUND_BLOCK_MM, ROUND_BLOCK_MM);
    let pages = |size: (f64, f64)| {
        let (across, up) = tiles::count((block.width(), block.height()), tile_room(size));
        across.saturating_mul(up)
    };
    let [upright, lying] = sizes.map(|size| (pages(size), size));
    if lying.0 < upright.0 { lying } else { upright }
}

/// Draws the template of a block; `cautions` are printed on its first page.
///
/// # Errors
/// [`TemplateError::TooManyPages`] for a block that no one would tape together.
pub fn draw(picture: &Picture, paper: Paper, cautions: &[&str]) -> Result<Vec<Sheet>, TemplateError> {
    if let Some(sheet) = one_page(picture, paper, cautions) {
        return Ok(vec![sheet]);
    }
    admit(picture.extent(), paper)?;
    let block = picture.extent().inflate(ROUND_BLOCK_MM, ROUND_BLOCK_MM);
    let (w, h) = paper.size();
    let (_, size) = fewest_pages(picture.extent(), [(w, h), (h, w)]);
    let tiles = tiles::cut(block, tile_room(size), picture.centre);
    let design = thread::lines(&picture.runs);
    let mut sheets = vec![cover(picture, paper, cautions, (&tiles, &design))];
    for (i, tile) in tiles.tiles.iter().enumerate() {
        sheets.push(tile_page((picture, &design), size, &tiles, tile, i + 2));
    }
    Ok(sheets)
}

fn tile_room((w, h): (f64, f64)) -> (f64, f64) {
    (w - 2.0 * EDGE_MM, h - 2.0 * EDGE_MM - TILE_HEAD_MM - FOOT_MM - 2.0 * GAP_MM)
}

fn page(picture: &Picture, size: (f64, f64), description: String, items: Vec<Item>) -> Sheet {
    let title = format!("{}: template", picture.title);
    Sheet { title, description, width: size.0, height: size.1, items }
}

/// Name, size and how it lies in the hoop at the top of a page; the column's `y` is where the rest starts.
fn head(picture: &Picture, size: (f64, f64), right: &str) -> Column {
    let mut column = Column::new(EDGE_MM, size.1 - EDGE_MM, size.0 - 2.0 * EDGE_MM);
    let at = Point::new(size.0 - EDGE_MM, column.y - 4.2);
    let right = &with_fingerprint(right.to_owned(), picture);
    column.items.push(words(right, at, SMALL, Anchor::End));
    let full = column.width;
    column.width -= letters::width(right, SMALL.size) + 6.0;
    column.text(&picture.title, NAME, 1);
    let mut hoop = Column::new(column.x + full * LEFT_SHARE, column.y, full * (1.0 - LEFT_SHARE));
    let style = if picture.turned { Style { weight: Weight::Bold, ink: look::INK, ..SMALL } } else { SMALL };
    hoop.text(&picture.in_hoop(), style, 4);
    column.width = full * LEFT_SHARE - 4.0;
    column.text(&picture.subtitle(), UNDER_NAME, 2);
    column.width = full;
    column.y = column.y.min(hoop.y);
    column.items.append(&mut hoop.items);
    column
}

/// Words with the fingerprint behind them, by which sheet and machine file are matched.
fn with_fingerprint(mut words: String, picture: &Picture) -> String {
    if let Some(fingerprint) = picture.fingerprint() {
        words.push_str("  ·  fingerprint ");
        words.push_str(fingerprint);
    }
    words
}

fn foot(size: (f64, f64)) -> Vec<Item> {
    notes::foot(Point::new(EDGE_MM, EDGE_MM + FOOT_MM), size.0 - 2.0 * EDGE_MM)
}

/// The whole template on one page, if block and notes fit, upright or on its side.
fn one_page(picture: &Picture, paper: Paper, cautions: &[&str]) -> Option<Sheet> {
    let (w, h) = paper.size();
    let ways = [((w, h), 1.0), ((h, w), 1.0), ((w, h), 0.93), ((h, w), 0.93)];
    ways.into_iter().find_map(|(size, scale)| one_page_on(picture, size, cautions, scale))
}

fn one_page_on(picture: &Picture, size: (f64, f64), cautions: &[&str], scale: f64) -> Option<Sheet> {
    let block = picture.extent().inflate(ROUND_BLOCK_MM, ROUND_BLOCK_MM);
    let head = head(picture, size, "template at true size");
    let notes = notes::draw(picture, cautions, size.0 - 2.0 * EDGE_MM, scale);
    let floor = EDGE_MM + FOOT_MM + GAP_MM - notes.y + GAP_MM;
    let room = Rect::new(EDGE_MM, floor, size.0 - EDGE_MM, head.y - GAP_MM);
    if block.width() > room.width() || block.height() > room.height() {
        return None;
    }
    let mut items = head.items;
    let shift = room.center() - block.center();
    items.push(placed((picture, &thread::lines(&picture.runs)), room - shift, shift));
    let at = Affine::translate((EDGE_MM, floor - GAP_MM));
    items.push(Item::Group(Group::new("notes", at, notes.items)));
    items.append(&mut foot(size));
    for y in [floor - GAP_MM / 2.0, EDGE_MM + FOOT_MM + GAP_MM / 2.0] {
        let (from, to) = (Point::new(EDGE_MM, y), Point::new(size.0 - EDGE_MM, y));
        items.push(sheet::straight(from, to, look::hairline()));
    }
    let description = format!("{}. Print at actual size.", picture.subtitle());
    Some(page(picture, size, description, items))
}

/// The template moved by `shift` onto its page, nothing of it outside `clip` (block coordinates).
fn placed((picture, design): (&Picture, &BezPath), clip: Rect, shift: Vec2) -> Item {
    let items = marks::draw(picture, thread::near(design, clip));
    Item::Group(Group { label: "template".into(), placed: Affine::translate(shift), clip: Some(clip), items })
}

/// The first page of a template in several: how to join them, a map, and the notes.
fn cover(picture: &Picture, paper: Paper, cautions: &[&str], (tiles, design): (&Tiles, &BezPath)) -> Sheet {
    let size = paper.size();
    let count = tiles.tiles.len() + 1;
    let mut column = head(picture, size, &format!("page 1 of {count}"));
    column.gap(6.0);
    let block = picture.extent();
    let scale = (column.width / block.width()).min(MAP_MM / block.height()).min(1.0);
    let high = (block.height() * scale).max(12.0);
    column.items.append(&mut cloth::arrow_to_top(Point::new(size.0 / 2.0, column.y), 1.0));
    column.gap(cloth::TOP_MM + 1.2);
    let middle = Point::new(size.0 / 2.0, column.y - high / 2.0);
    column.items.append(&mut map((picture, design), tiles, middle, scale));
    column.gap(high + 8.0);
    let (heading, steps) = joining(count);
    column.text(heading, look::HEADING, 1);
    column.gap(0.8);
    for step in steps {
        column.point(&step, look::BODY, true);
        column.gap(0.8);
    }
    column.gap(5.0);
    let notes = notes::draw(picture, cautions, column.width, 1.0);
    let at = Affine::translate((EDGE_MM, column.y));
    column.items.push(Item::Group(Group::new("notes", at, notes.items)));
    column.items.append(&mut foot(size));
    let description = format!("{}. Map of {} pages to join.", picture.subtitle(), count - 1);
    page(picture, size, description, column.items)
}

/// What to do with the pages behind the cover, `last` being the last one.
fn joining(last: usize) -> (&'static str, Vec<String>) {
    let measure = "measure the block’s edges once more before you cut it out.";
    if last == 2 {
        let print = "Print page 2 at actual size and check the bars on it.".to_owned();
        return ("Printing", vec![print, format!("Then {measure}")]);
    }
    let steps = vec![
        format!("Print pages 2 to {last} at actual size and check the bars on each of them."),
        "Cut each page along its line marked “cut here”, on the left and at the top.".to_owned(),
        "Lay it on the page before it so that line meets line and ring meets ring, and tape it.".to_owned(),
        format!("When all are joined, {measure}"),
    ];
    ("Joining the pages", steps)
}

/// The block made small, with the pages laid over it and their numbers.
fn map((picture, design): (&Picture, &BezPath), tiles: &Tiles, middle: Point, scale: f64) -> Vec<Item> {
    let to_map = Affine::translate(middle.to_vec2())
        * Affine::scale(scale)
        * Affine::translate(-picture.extent().center().to_vec2());
    let mut items = Vec::new();
    let outline = cloth::together(&picture.outline);
    items.push(Item::Shape(sheet::Shape {
        path: to_map * outline,
        fill: Some(look::FABRIC),
        pens: vec![Pen::new(0.3, look::INK)],
    }));
    items.push(sheet::line(to_map * design.clone(), Pen::new(0.15, look::QUIET.thin(0.7))));
    for (i, tile) in tiles.tiles.iter().enumerate() {
        let rect = to_map.transform_rect_bbox(tile.core);
        let pen = || Pen::dashed(0.25, look::START, &[1.6, 1.0]);
        let (left, top) = (Point::new(rect.x0, rect.y1), Point::new(rect.x1, rect.y1));
        if tile.column > 0 {
            items.push(sheet::straight(Point::new(rect.x0, rect.y0), left, pen()));
        }
        if tile.row > 0 {
            items.push(sheet::straight(left, top, pen()));
        }
        let number = (i + 2).to_string();
        let style = Style { size: 5.0, weight: Weight::Bold, ink: look::START, leading: 1.0 };
        let at = rect.center();
        items.push(sheet::fill(sheet::circle(at, 4.2), look::CLEAR.thin(0.9)));
        let base = at - Vec2::new(0.0, style.size * letters::CAPITAL / 2.0);
        items.push(words(&number, base, style, Anchor::Middle));
    }
    items
}

/// A page that shows one tile, with the lines where its neighbours join.
fn tile_page(
    (picture, design): (&Picture, &BezPath),
    size: (f64, f64),
    tiles: &Tiles,
    tile: &Tile,
    number: usize,
) -> Sheet {
    let count = tiles.tiles.len() + 1;
    let mut items = tile_head(picture, size, tiles, tile, number);
    let floor = EDGE_MM + FOOT_MM + GAP_MM;
    let (room_w, room_h) = tile_room(size);
    let room = Rect::from_origin_size((EDGE_MM, floor), (room_w, room_h));
    let shift = room.center() - tile.shown.center();
    // Where no neighbour joins, there may be paper for the ends of the cross.
    let paper = room - shift;
    let clip = Rect::new(
        if tile.column == 0 { paper.x0 } else { tile.shown.x0 },
        if tile.row + 1 == tiles.rows { paper.y0 } else { tile.shown.y0 },
        if tile.column + 1 == tiles.columns { paper.x1 } else { tile.shown.x1 },
        if tile.row == 0 { paper.y1 } else { tile.shown.y1 },
    );
    items.push(placed((picture, design), clip, shift));
    let joins = joins::draw(tiles, tile, ("page", number));
    items.push(Item::Group(Group::new("joins", Affine::translate(shift), joins)));
    items.append(&mut foot(size));
    page(picture, size, format!("Page {number} of {count}, to be joined with its neighbours."), items)
}

fn tile_head(picture: &Picture, size: (f64, f64), tiles: &Tiles, tile: &Tile, number: usize) -> Vec<Item> {
    let y = size.1 - EDGE_MM - 3.4;
    let count = tiles.tiles.len() + 1;
    let place = format!("page {number} of {count}  ·  row {}, column {}", tile.row + 1, tile.column + 1);
    let place = with_fingerprint(place, picture);
    let right = Point::new(size.0 - EDGE_MM, y);
    let room = size.0 - 2.0 * EDGE_MM - letters::width(&place, SMALL.size) - 8.0;
    let style = Style { size: 3.4, weight: Weight::Regular, ink: look::INK, leading: 1.0 };
    let name = letters::shorten(&picture.title, style.size, room);
    vec![words(&name, Point::new(EDGE_MM, y), style, Anchor::Start), words(&place, right, SMALL, Anchor::End)]
}
