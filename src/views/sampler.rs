//! The motif library → every motif on those of six blocks that it suits, a row a motif: one sheet to look at, or pages to print.
//!
//! Lines only: nothing is walked or sewn.

use kurbo::{Affine, BezPath, Point, Shape as _, Vec2};

use super::column::words;
use super::look;
use super::paper::Paper;
use super::sheet::{self, Anchor, Group, Item, Shape, Sheet};
use crate::block::shape;
use crate::block::{self, Block, BlockError};
use crate::drawing::motif::Motif;
use crate::drawing::settings::resolve;
use crate::drawing::{self, Drawing};
use crate::top::file;

/// How much smaller blocks are drawn on the sheet to look at, and on a page.
const SCALE: f64 = 0.2;
const PAGE_SCALE: f64 = 0.11;
/// Room between blocks, mm on the sheet.
const BETWEEN_MM: f64 = 5.0;
/// Room between columns, mm on the sheet.
const COLUMNS_MM: f64 = 20.0;
/// Room for a motif's name above its row, mm on the sheet.
const NAME_MM: f64 = 7.0;
/// Clear paper at the edge, mm.
const MARGIN_MM: f64 = 14.0;
/// Height of the heading, mm.
const HEADING_MM: f64 = 26.0;
/// Side of the square block, mm: 8 in.
const SIDE_MM: f64 = 203.2;
/// Motifs in one column of the sheet to look at.
const ROWS: usize = 24;
/// What the blocks are, for the heading.
const BLOCKS: &str = "8 in and 4 in squares, half an 8 in square, a 4 in hexagon, a 5 in strip and a block that came out \
                      crooked, each motif at its defaults";

/// Draws every motif at its defaults on every block that it suits, on one sheet.
///
/// # Errors
/// [`BlockError`] never, as the blocks are fixed ones.
pub fn draw(motifs: &[Motif]) -> Result<Sheet, BlockError> {
    let blocks = blocks()?;
    let (columns, rows) = (motifs.len().div_ceil(ROWS).max(1), motifs.len().min(ROWS));
    let (column, row) = (across(&blocks, SCALE) + COLUMNS_MM, row_mm(SCALE));
    let width = 2.0 * MARGIN_MM + column * columns as f64 - COLUMNS_MM;
    let height = 2.0 * MARGIN_MM + HEADING_MM + row * rows as f64;
    let mut items = heading(width, height);
    for (i, motif) in motifs.iter().enumerate() {
        let x = MARGIN_MM + column * (i / ROWS) as f64;
        let y = height - MARGIN_MM - HEADING_MM - row * (i % ROWS) as f64;
        items.extend(one(motif, &blocks, SCALE, Point::new(x, y)));
    }
    Ok(Sheet { title: "Motif sampler".into(), description: description(motifs), width, height, items })
}

/// The same on pages of `paper`.
///
/// # Errors
/// [`BlockError`] never, as the blocks are fixed ones.
pub fn pages(motifs: &[Motif], paper: Paper) -> Result<Vec<Sheet>, BlockError> {
    let blocks = blocks()?;
    let (width, height) = paper.size();
    let scale = PAGE_SCALE.min((width - 2.0 * MARGIN_MM) / across(&blocks, SCALE) * SCALE);
    let row = row_mm(scale);
    let room = ((height - 2.0 * MARGIN_MM - HEADING_MM) / row).floor().max(1.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a dozen")]
    let pages = motifs.chunks(room as usize).map(|motifs| {
        let mut items = heading(width, height);
        for (i, motif) in motifs.iter().enumerate() {
            let y = height - MARGIN_MM - HEADING_MM - row * i as f64;
            items.extend(one(motif, &blocks, scale, Point::new(MARGIN_MM, y)));
        }
        Sheet { title: "Motif sampler".into(), description: description(motifs), width, height, items }
    });
    Ok(pages.collect())
}

fn description(motifs: &[Motif]) -> String {
    format!("{} motifs, each on those of six blocks that it suits.", motifs.len())
}

fn heading(width: f64, height: f64) -> Vec<Item> {
    let page = sheet::rectangle(kurbo::Rect::new(0.0, 0.0, width, height));
    let top = Point::new(MARGIN_MM, height - MARGIN_MM - look::TITLE.size);
    let below = top - Vec2::new(0.0, 7.0);
    vec![
        sheet::fill(page, look::PAGE),
        words("Motifs", top, look::TITLE, Anchor::Start),
        words(BLOCKS, below, look::SUBTITLE, Anchor::Start),
    ]
}

/// How long a row is, mm on the sheet.
fn across(blocks: &[Block], scale: f64) -> f64 {
    let widths = blocks.iter().map(|b| b.outline.bounds().width() * scale + BETWEEN_MM * scale / SCALE);
    widths.sum::<f64>() - BETWEEN_MM * scale / SCALE
}

/// How far rows stand apart, mm on the sheet.
fn row_mm(scale: f64) -> f64 {
    SIDE_MM * scale + NAME_MM + BETWEEN_MM
}

fn blocks() -> Result<Vec<Block>, BlockError> {
    let crooked = [(0.0, 0.0), (206.4, 8.0), (190.5, 196.9), (-12.7, 203.2)].map(Point::from).to_vec();
    let shapes = [
        shape::Shape::Square { side: SIDE_MM },
        shape::Shape::Square { side: SIDE_MM / 2.0 },
        shape::Shape::HalfSquare { leg: SIDE_MM },
        shape::Shape::Hexagon { side: SIDE_MM / 2.0 },
        shape::Shape::Strip { width: 127.0, length: 508.0 },
        shape::Shape::Corners { corners: crooked },
    ];
    shapes.iter().map(|s| block::outline(s, file::MARGIN_MM)).collect()
}

/// One row: a motif's name, and the motif on every block; `at` is the row's top left.
fn one(motif: &Motif, blocks: &[Block], scale: f64, at: Point) -> Vec<Item> {
    let name = format!("{} · {}", motif.title, motif.name);
    let mut items = vec![words(&name, at + Vec2::new(0.0, -4.0), look::LABEL, Anchor::Start)];
    let mut x = at.x;
    for block in blocks {
        let bounds = block.outline.bounds();
        let placed = Affine::translate((x, at.y - NAME_MM))
            * Affine::scale(scale)
            * Affine::translate((-bounds.x0, -bounds.y1));
        let drawn = settled(motif, block);
        items.push(Item::Group(Group::new(&motif.title, placed, cloth(block, scale, drawn.as_ref()))));
        x += bounds.width() * scale + BETWEEN_MM * scale / SCALE;
    }
    items
}

fn settled(motif: &Motif, block: &Block) -> Option<Drawing> {
    let settings = resolve(&motif.name, &motif.settings, &[]).ok()?;
    drawing::draw(motif, &settings, block).ok()
}

/// A block and its lines; only its edge where the motif does not suit it.
fn cloth(block: &Block, scale: f64, drawn: Option<&Drawing>) -> Vec<Item> {
    let edge = block.outline.outer.path().clone();
    let Some(drawing) = drawn else {
        let pen = sheet::Pen::dashed(0.2 / scale, look::HAIR, &[1.0 / scale, 1.0 / scale]);
        return vec![sheet::line(edge, pen)];
    };
    let mut lines = BezPath::new();
    for line in &drawing.lines {
        lines.extend(line.path_elements(0.1));
    }
    let cloth =
        Shape { path: edge, fill: Some(look::FABRIC), pens: vec![sheet::Pen::flat(0.2 / scale, look::SEAM)] };
    vec![Item::Shape(cloth), sheet::line(lines, sheet::Pen::new(0.32 / scale, look::THREAD))]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::library;
    use crate::views::svg;

    #[test]
    fn every_motif_stands_on_the_sheet_by_name() {
        let motifs = library::read_all(&[]).unwrap();
        let sheet = draw(&motifs).unwrap();
        let count = sheet.items.iter().filter(|i| matches!(i, Item::Group(_))).count();
        assert_eq!(count, 6 * motifs.len());
        assert!(svg::write(&sheet).contains("Orange peel"));
        let pages = pages(&motifs, Paper::Letter).unwrap();
        let on = |sheet: &Sheet| sheet.items.iter().filter(|i| matches!(i, Item::Group(_))).count();
        assert_eq!(pages.iter().map(on).sum::<usize>(), 6 * motifs.len());
        assert!(pages.len() > 1 && pages.iter().all(|p| (p.width, p.height) == Paper::Letter.size()));
    }
}
