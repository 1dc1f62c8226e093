//! The motif library → one sheet with every motif on a square, a half-square triangle, a strip and a crooked block.
//!
//! Lines only: nothing is walked or sewn. Blocks are drawn at a fifth of their size.

use kurbo::{Affine, BezPath, Point, Shape as _, Vec2};

use super::column::words;
use super::look;
use super::sheet::{self, Anchor, Group, Item, Shape, Sheet};
use crate::block::shape;
use crate::block::{self, Block, BlockError};
use crate::drawing::motif::Motif;
use crate::drawing::settings::resolve;
use crate::drawing::{self, Drawing};

/// How much smaller blocks are drawn.
const SCALE: f64 = 0.2;
/// Room between blocks, mm on the sheet.
const BETWEEN_MM: f64 = 8.0;
/// Room for a motif's name, mm on the sheet.
const NAME_MM: f64 = 44.0;
/// Clear paper at the edge, mm.
const MARGIN_MM: f64 = 14.0;
/// Height of the heading, mm.
const HEADING_MM: f64 = 26.0;
/// Side of the square block, mm: 8 in.
const SIDE_MM: f64 = 203.2;
/// Kept clear inside the seam, mm: 1/4 in.
const CLEAR_MM: f64 = 6.35;
/// Motifs in one column of the sheet.
const ROWS: usize = 11;

/// Draws every motif at its defaults on every block that it suits.
///
/// # Errors
/// [`BlockError`] never, as the blocks are fixed ones.
pub fn draw(motifs: &[Motif]) -> Result<Sheet, BlockError> {
    let blocks: Vec<Block> =
        shapes().iter().map(|s| block::outline(s, CLEAR_MM)).collect::<Result<_, _>>()?;
    let column =
        NAME_MM + blocks.iter().map(|b| b.outline.bounds().width() * SCALE + BETWEEN_MM).sum::<f64>();
    let row = SIDE_MM * SCALE + BETWEEN_MM;
    let (columns, rows) = (motifs.len().div_ceil(ROWS).max(1), motifs.len().min(ROWS));
    let width = 2.0 * MARGIN_MM + column * columns as f64 - BETWEEN_MM;
    let height = 2.0 * MARGIN_MM + HEADING_MM + row * rows as f64;
    let mut items =
        vec![sheet::fill(sheet::rectangle(kurbo::Rect::new(0.0, 0.0, width, height)), look::PAGE)];
    let top = Point::new(MARGIN_MM, height - MARGIN_MM - look::TITLE.size);
    items.push(words("Motifs", top, look::TITLE, Anchor::Start));
    let line = "an 8 in square, its half-square triangle, a 5 in strip and a block that came out crooked, \
                each motif at its defaults";
    items.push(words(line, top - Vec2::new(0.0, 7.0), look::SUBTITLE, Anchor::Start));
    for (i, motif) in motifs.iter().enumerate() {
        let x = MARGIN_MM + column * (i / ROWS) as f64;
        let y = height - MARGIN_MM - HEADING_MM - row * (i % ROWS) as f64;
        items.extend(one(motif, &blocks, Point::new(x, y)));
    }
    let description = format!("{} motifs, each on four blocks.", motifs.len());
    Ok(Sheet { title: "Motif sampler".into(), description, width, height, items })
}

fn shapes() -> [shape::Shape; 4] {
    [
        shape::Shape::Square { side: SIDE_MM },
        shape::Shape::HalfSquare { leg: SIDE_MM },
        shape::Shape::Strip { width: 127.0, length: 508.0 },
        shape::Shape::Corners {
            corners: [(0.0, 0.0), (206.4, 8.0), (190.5, 196.9), (-12.7, 203.2)].map(Point::from).to_vec(),
        },
    ]
}

/// One row: a motif's name, and the motif on every block; `at` is the row's top left.
fn one(motif: &Motif, blocks: &[Block], at: Point) -> Vec<Item> {
    let mut items = vec![words(&motif.title, at + Vec2::new(0.0, -6.0), look::VALUE, Anchor::Start)];
    items.push(words(&motif.name, at + Vec2::new(0.0, -11.0), look::LABEL, Anchor::Start));
    let mut x = at.x + NAME_MM;
    for block in blocks {
        let bounds = block.outline.bounds();
        let placed =
            Affine::translate((x, at.y)) * Affine::scale(SCALE) * Affine::translate((-bounds.x0, -bounds.y1));
        let drawn = settled(motif, block);
        items.push(Item::Group(Group::new(&motif.title, placed, cloth(block, drawn.as_ref()))));
        x += bounds.width() * SCALE + BETWEEN_MM;
    }
    items
}

fn settled(motif: &Motif, block: &Block) -> Option<Drawing> {
    let settings = resolve(&motif.name, &motif.settings, &[]).ok()?;
    drawing::draw(motif, &settings, block).ok()
}

/// A block and its lines; only its edge where the motif does not suit it.
fn cloth(block: &Block, drawn: Option<&Drawing>) -> Vec<Item> {
    let edge = block.outline.outer.path().clone();
    let Some(drawing) = drawn else {
        let pen = sheet::Pen::dashed(0.2 / SCALE, look::HAIR, &[1.0 / SCALE, 1.0 / SCALE]);
        return vec![sheet::line(edge, pen)];
    };
    let mut lines = BezPath::new();
    for line in &drawing.lines {
        lines.extend(line.path_elements(0.1));
    }
    let cloth =
        Shape { path: edge, fill: Some(look::FABRIC), pens: vec![sheet::Pen::flat(0.2 / SCALE, look::SEAM)] };
    vec![Item::Shape(cloth), sheet::line(lines, sheet::Pen::new(0.32 / SCALE, look::THREAD))]
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
        assert_eq!(count, 4 * motifs.len());
        assert!(svg::write(&sheet).contains("Orange peel"));
    }
}
